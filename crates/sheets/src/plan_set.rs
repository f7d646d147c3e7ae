//! A set of plan sheets as the caller describes it.
//!
//! - In: painted drawings, legends, notes and tables, and the words of the title block.
//! - Nothing here is laid out: a page is composed in `compose.rs` and painted in `pdf.rs`.
//! - The date is given, never taken from a clock.

use groundwright_drawing::{DisplayList, Primitive};
use groundwright_handoff::Table;

use crate::paper::{Paper, Scale};

/// The words at the foot of every sheet.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct TitleBlock {
    /// Name of the project.
    pub project: String,
    /// Where it is.
    pub address: String,
    /// For whom it is built.
    pub client: Option<String>,
    /// Who draws and builds it.
    pub firm: String,
    /// What the set is for: `client review`, `pricing`, `construction`.
    pub drawn_for: String,
    /// Day of issue. In the form `2026-03-14` it also dates the file.
    pub date: String,
    /// Which issue: `A`, `2`, `first issue`.
    pub revision: String,
    /// How far it may be relied upon: `for review`.
    pub status: String,
}

/// One drawing with its caption.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedView {
    /// What is drawn, at true size on paper.
    pub list: DisplayList,
    /// Words below it.
    pub title: String,
    /// Its scale; `None` writes “not to scale” and draws no scale bar.
    pub scale: Option<Scale>,
    /// Direction of north, clockwise on paper from the top of the sheet; `None` draws no arrow.
    /// [rad]
    pub north: Option<f64>,
}

/// One line of a legend.
#[derive(Debug, Clone, PartialEq)]
pub struct LegendEntry {
    /// How the thing is drawn, in a box of [`SAMPLE_WIDTH_MM`] by [`SAMPLE_HEIGHT_MM`], origin top
    /// left. [mm, y down]
    pub sample: Vec<Primitive>,
    /// What it means.
    pub text: String,
}

/// Width of a legend's sample. [mm]
pub const SAMPLE_WIDTH_MM: f64 = 12.0;
/// Height of a legend's sample. [mm]
pub const SAMPLE_HEIGHT_MM: f64 = 5.0;

/// Paragraphs under a heading.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct NoteBlock {
    /// Heading.
    pub heading: String,
    /// Paragraphs.
    pub paragraphs: Vec<String>,
    /// Whether somebody could be hurt: set in a frame, before all other notes.
    pub caution: bool,
}

/// One sheet; what does not fit beside its drawings follows on further pages.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Sheet {
    /// Title, as in the title block and the document's outline.
    pub title: String,
    /// Drawings in the order of reading; without any, the sheet is pages of text.
    pub views: Vec<PlacedView>,
    /// What the signs mean.
    pub legend: Vec<LegendEntry>,
    /// Schedules.
    pub tables: Vec<Table>,
    /// Notes and cautions.
    pub notes: Vec<NoteBlock>,
}

impl Sheet {
    /// Whether the sheet has a column beside its drawings; the argument of [`crate::window`].
    pub fn has_side_column(&self) -> bool {
        !(self.legend.is_empty() && self.tables.is_empty() && self.notes.is_empty())
    }
}

/// A sheet of tables alone, running over as many pages as it needs.
pub fn tables_sheet(title: impl Into<String>, tables: Vec<Table>) -> Sheet {
    Sheet { title: title.into(), tables, ..Sheet::default() }
}

/// Sheets that are issued together.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanSet {
    /// The words at the foot of every sheet.
    pub title_block: TitleBlock,
    /// Size of all sheets.
    pub paper: Paper,
    /// The sheets in order.
    pub sheets: Vec<Sheet>,
}
