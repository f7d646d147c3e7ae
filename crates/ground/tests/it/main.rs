//! Checks of the ground against published figures, closed forms and laws.

mod drainage;
mod flow;
mod volumes;
mod water;
mod yards;
