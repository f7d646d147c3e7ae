//! Checks of roofs, crowns and rays.

// Full light and full shade are exactly one and nothing, and meant so.
#![allow(clippy::float_cmp)]

mod crowns;
mod rays;
mod roofs;
