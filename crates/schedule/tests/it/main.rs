//! Checks of dates, crews, orders and calendar files against published values and laws.

mod critical_path;
