//! Checks of walls against published figures, worked sections and laws.

mod levels;
mod pressure;
mod sections;
