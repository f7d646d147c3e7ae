//! Checks of the lighting computations against published figures, closed forms and laws.

mod circuits;
mod designs;
mod illuminance;
mod photometry;
