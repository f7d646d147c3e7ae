//! Tests of the estimate: check values of `tests/data/README.md`, and laws of prices.

mod checks;
mod laws;
mod support;
