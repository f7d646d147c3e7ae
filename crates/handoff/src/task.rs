//! Tasks: work for a crew, with what must come first.

use groundwright_plan::ElementRef;

/// Who does it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Trade {
    /// The contractor's own crew.
    Crew,
    /// A mason for walls and paving.
    Mason,
    /// An irrigation fitter.
    Irrigation,
    /// A landscape lighting fitter.
    Lighting,
    /// A licensed tree worker.
    Arborist,
}

/// What must be finished before a task may begin.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Link {
    /// Key of the earlier task, or of all tasks whose key begins with it when it ends in `/`.
    pub before: String,
    /// Days to wait after it. [d]
    pub lag_days: f64,
}

/// Months in which work is best done, first and last, wrapping over December.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
pub struct Season {
    /// First month, 1 to 12.
    pub first: u8,
    /// Last month, 1 to 12.
    pub last: u8,
}

/// A piece of work.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Task {
    /// Stable key, `phase/subject` such as `planting/walk-ferns`.
    pub key: String,
    /// What to do, as a short imperative.
    pub title: String,
    /// Who.
    pub trade: Trade,
    /// Hours of work of one person. [h]
    pub labour_hours: f64,
    /// What must come first.
    pub after: Vec<Link>,
    /// When in the year.
    pub season: Option<Season>,
    /// What must be seen and approved before work is covered or goes on.
    pub hold_point: Option<String>,
    /// Items of the quantities that it consumes.
    pub consumes: Vec<String>,
    /// Cautions for those who do it.
    pub cautions: Vec<String>,
    /// For which element.
    pub subject: ElementRef,
}
