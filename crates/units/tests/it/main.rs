//! Checks of the whole edge: constants against their definitions, and laws of parse and print.

mod definitions;
mod laws;
