//! Checks of walls against published figures, worked sections and laws.

mod advice;
mod laying;
mod levels;
mod pressure;
mod sections;
mod steps;
mod yards;
