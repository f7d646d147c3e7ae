//! Activities to dates, needs to orders: critical paths, schedules of work that shares crews, purchases.
//!
//! - In: plain activities, links, crews. Out: dates with floats, and crew schedules with how good each
//!   is known to be. Times are whole periods of the caller's choice.
//! - In: needs, suppliers, offers. Out: orders of least landed cost, with how good they are known to be.
//! - Everything is a function of its arguments: searches draw their random numbers from a seed made
//!   of the content, and count their effort in steps, not in seconds.
//! - Not here: which tasks and needs a yard has, the days of a calendar, and drawing the result.

pub mod crew_schedule;
pub mod critical_path;
pub mod network;
pub mod purchase;
mod random;

pub use crew_schedule::{CrewError, CrewProblem, CrewSchedule, Effort, Resource, read_sm, schedule_crews};
pub use critical_path::{CriticalPath, Dates, critical_path};
pub use network::{Activity, Link, LinkKind, NetworkError};
pub use purchase::{Purchase, PurchaseError, PurchaseProblem, purchase};
