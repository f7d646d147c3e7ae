//! The six hand-offs: all that a study says to anyone further out.
//!
//! A discipline computes in types of its own. Drawings, documents, estimate, schedule and app see
//! only what is defined here: findings, quantities, tasks, tables, marks and solids. All values
//! are SI; words for a reader are made outside, from the data.

mod datum;
mod finding;
mod mark;
mod quantity;
mod solid;
mod table;
mod task;

pub use datum::{Datum, Dimension};
pub use finding::{Finding, Reliance, Remedy, Rule, Severity, Source};
pub use mark::{Drawing, Fill, Frame, Glyph, Layer, Mark, Pattern, Pen, Shape, TextAnchor, Tone, Weight};
pub use quantity::{Pack, Phase, Quantity, Step};
pub use solid::{Body, CrownForm, Role, Solid};
pub use table::{Align, Cell, Column, Table};
pub use task::{Link, Season, Task, Trade};

/// A day and an age: the moment for which solids, marks and growth are asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
pub struct When {
    /// Month of the year, 1 to 12.
    pub month: u8,
    /// Day of the month, 1 to 31.
    pub day: u8,
    /// Hundredths of a year since planting.
    pub age_hundredths: u32,
}

impl When {
    /// The first of October, `years` after planting. [a]
    pub fn years(years: f64) -> Self {
        let hundredths = (years * 100.0).round().clamp(0.0, 100_000.0);
        Self { month: 10, day: 1, age_hundredths: hundredths as u32 }
    }

    /// Age since planting. [a]
    pub fn age(self) -> f64 {
        f64::from(self.age_hundredths) / 100.0
    }
}

/// What every study hands to those further out.
///
/// A study that has nothing to say through one of the hand-offs leaves the default, which is empty.
pub trait Study {
    /// What is wrong or worth knowing.
    fn findings(&self) -> Vec<Finding> {
        Vec::new()
    }
    /// What must be bought or done.
    fn quantities(&self) -> Vec<Quantity> {
        Vec::new()
    }
    /// Work to be scheduled.
    fn tasks(&self) -> Vec<Task> {
        Vec::new()
    }
    /// Schedules and derivations.
    fn tables(&self) -> Vec<Table> {
        Vec::new()
    }
    /// What to draw, at a date and an age.
    fn marks(&self, _when: When) -> Vec<Mark> {
        Vec::new()
    }
    /// Bodies in the yard, at a date and an age.
    fn solids(&self, _when: When) -> Vec<Solid> {
        Vec::new()
    }
}
