//! Tasks to days, purchase lists to orders, days to a calendar file.
//!
//! - In: plain activities, crews, calendars, needs, offers. Out: dates with floats, crew schedules
//!   and least-cost orders, each with how good it is known to be, and text of a calendar file.
//! - Times within the solvers are whole periods, money and quantities are decimals.
//! - Everything is a function of its arguments: searches draw their random numbers from a seed made
//!   of the content, and count their effort in steps, not in seconds.
//! - Not here: which tasks and needs a yard has, and drawing the result.

pub mod crew_schedule;
pub mod critical_path;
pub mod network;
mod random;

pub use crew_schedule::{CrewError, CrewProblem, CrewSchedule, Effort, Resource, read_sm, schedule_crews};
pub use critical_path::{CriticalPath, Dates, critical_path};
pub use network::{Activity, Link, LinkKind, NetworkError};
