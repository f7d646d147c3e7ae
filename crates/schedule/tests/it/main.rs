//! Checks of dates and crews against published values and laws.

mod crews;
mod critical_path;
mod purchases;
