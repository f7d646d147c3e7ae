//! The command line of groundwright.
fn main() {}
