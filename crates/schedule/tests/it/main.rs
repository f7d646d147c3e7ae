//! Checks of dates, crews, orders and calendar files against published values and laws.

mod crews;
mod critical_path;
