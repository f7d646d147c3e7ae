//! The whole graph on small yards and on the demo: laws that must hold, and what an edit costs.

mod demo;
mod laws;
mod light;
mod memory;
mod picture;
mod suits;
mod support;
mod worth;
