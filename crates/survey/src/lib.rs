//! Tape notes to coordinates and levels, imports of points and drawings, and setting out backwards.
//!
//! - In: readings as booked on site, or files of other programs in open formats. Out: adjusted
//!   coordinates with their accuracy, suspected slips, points that more readings would fix.
//! - Method: weighted nonlinear least squares on sparse normal equations, data snooping.
//! - Lengths in metres, angles in radians; plan coordinates x east, y north.
//! - Not here: ground surfaces (`groundwright-ground`), where the files lie, who draws the result.

mod adjust;
pub mod circular;
mod equation;
mod error;
pub mod field_book;
pub mod import;
pub mod levelling;
mod missing;
mod network;
mod normal_equations;
mod placing;
pub mod setting_out;
pub mod similarity;
mod slip;
mod snooping;
pub mod statistics;
pub mod traverse;
mod trilateration;

pub use adjust::{AdjustedPoint, AdjustedReading, Adjustment, Ellipse, adjust};
pub use error::SurveyError;
pub use missing::{Missing, missing};
pub use network::{Booked, Network, NetworkPoint, Observed, Reading, SideOf, Slope, TapeAccuracy, level_run};
pub use placing::{Datum, Mirrored};
pub use slip::{Slip, SlipKind};
pub use snooping::{Snooped, Suspect, snoop};
pub use trilateration::{TwoTapes, two_tapes};
