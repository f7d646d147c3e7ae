//! Checks of the lighting computations against published figures, closed forms and laws.

// Tests compare what must be the same to the last bit.
#![allow(clippy::float_cmp)]

mod circuits;
mod designs;
mod illuminance;
mod photometry;
mod timer;
mod yards;
