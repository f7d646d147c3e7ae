//! The field book: readings as they are booked on site, read into networks.
//!
//! - In: the text of `survey.csv`, or of the same in TOML. Out: a [`FieldBook`], or all faults, each
//!   with line, column, what was expected and how to mend it.
//! - Method: both forms become records of the same named cells (`table.rs`, `tables_in_toml.rs`), which
//!   one reader understands (`record.rs`).
//! - One bad line loses no other: all faults come at once, and a book with faults is not used.
//! - Not here: the adjustment. The format is described in `docs/survey-file.md`.

mod record;
mod table;
mod tables_in_toml;

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use groundwright_units::LengthUnit;

pub(crate) use table::{lines, parting_mark, split};

use crate::levelling::Levels;
use crate::network::Network;

/// The columns of the book, also the keys of its TOML form.
pub const COLUMNS: [&str; 7] = ["what", "point", "from", "to", "reading", "second", "note"];

/// Units that bare numbers take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BookUnits {
    /// The unit.
    pub length: LengthUnit,
    /// Whether a bare number with a point is decimal beyond doubt; if not, 12.6 ft is questioned.
    pub decimal: bool,
}

/// One thing wrong in a field book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BookFault {
    /// Bytes of the text that are meant.
    pub span: Range<usize>,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// What is wrong.
    pub problem: String,
    /// What was expected.
    pub expected: String,
    /// How to mend it.
    pub remedy: String,
}

impl std::fmt::Display for BookFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}:{}: {}", self.line, self.column, self.problem)?;
        for part in [&self.expected, &self.remedy].into_iter().filter(|part| !part.is_empty()) {
            write!(f, "; {part}")?;
        }
        Ok(())
    }
}

/// A field book that has been read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FieldBook {
    /// Distances, offsets, angles. Points are named by their ids.
    pub network: Network,
    /// Line of the book for each reading of the network, from 1.
    pub lines: Vec<usize>,
    /// Heights.
    pub levels: Levels,
    /// Line of the book for each reading of heights, from 1.
    pub level_lines: Vec<usize>,
    /// Points whose heights are not of the ground: sills, caps, benchmarks on a wall.
    pub off_ground: BTreeSet<String>,
    /// Names as booked, by id.
    pub names: BTreeMap<String, String>,
    /// Notes, by line.
    pub notes: BTreeMap<usize, String>,
}

impl FieldBook {
    /// Whether nothing was booked.
    pub fn is_empty(&self) -> bool {
        self.network.readings.is_empty() && self.levels.readings.is_empty() && self.network.points.is_empty()
    }
}

/// Reads `survey.csv`.
///
/// # Errors
/// All faults, in the order of the lines.
pub fn read_csv(text: &str, units: BookUnits) -> Result<FieldBook, Vec<BookFault>> {
    let (records, faults) = table::records(text);
    record::read(text, &records, faults, units)
}

/// Reads the same in TOML: `units`, and a `[[reading]]` for each line with the columns as keys.
///
/// # Errors
/// All faults, in the order of the lines.
pub fn read_toml(text: &str, units: BookUnits) -> Result<FieldBook, Vec<BookFault>> {
    let (records, faults) = tables_in_toml::records(text);
    record::read(text, &records, faults, units)
}

/// The id of a point from the name as booked: `SW corner` is `sw-corner`, `101` is `p101`.
pub fn point_id(name: &str) -> Option<String> {
    let mut id: String = name
        .trim()
        .chars()
        .map(|c| if c.is_whitespace() || matches!(c, '_' | '.' | '/') { '-' } else { c.to_ascii_lowercase() })
        .collect();
    if id.starts_with(|c: char| c.is_ascii_digit()) {
        id.insert(0, 'p');
    }
    let good = id.len() <= 60
        && id.starts_with(|c: char| c.is_ascii_lowercase())
        && id.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
    good.then_some(id)
}

/// A cell with its place in the text.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Cell {
    text: String,
    span: Range<usize>,
}

/// A line of the book: cells by their column.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Record {
    cells: BTreeMap<&'static str, Cell>,
    span: Range<usize>,
}

fn fault(text: &str, span: Range<usize>, problem: String) -> BookFault {
    let start = text.floor_char_boundary(span.start.min(text.len()));
    let before = &text[..start];
    let head = before.rfind('\n').map_or(0, |at| at + 1);
    BookFault {
        line: before.matches('\n').count() + 1,
        column: before[head..].chars().count() + 1,
        span,
        problem,
        expected: String::new(),
        remedy: String::new(),
    }
}

impl BookFault {
    fn expected(mut self, text: impl Into<String>) -> Self {
        self.expected = format!("expected {}", text.into());
        self
    }

    fn remedy(mut self, text: impl Into<String>) -> Self {
        self.remedy = text.into();
        self
    }
}

/// The column of a heading; the fault of an unknown one names the nearest.
fn column(text: &str, heading: &str, span: Range<usize>) -> Result<&'static str, BookFault> {
    let lower = heading.trim().to_lowercase();
    COLUMNS.into_iter().find(|known| *known == lower).ok_or_else(|| {
        let nearest = groundwright_units::nearest_name(&lower, &COLUMNS);
        let remedy = nearest.map_or_else(
            || "put remarks into the column `note`".to_owned(),
            |near| format!("did you mean `{near}`?"),
        );
        fault(text, span, format!("the column `{}` is not known", heading.trim()))
            .expected(COLUMNS.join(", "))
            .remedy(remedy)
    })
}
