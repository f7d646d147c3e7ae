//! Checks of the site study: published values, figures by hand, laws, and the demo.

mod by_hand;
mod demo;
mod dig;
mod found;
mod handoffs;
mod import;
mod laws;
mod permits;
mod published;
mod set_out;
mod small;
mod survey;
