//! Tables: schedules for documents and checks, with cells that keep their numbers.

use crate::Datum;

/// How a column is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Align {
    /// Text.
    Left,
    /// Numbers.
    Right,
}

/// A column.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Column {
    /// Heading.
    pub title: String,
    /// How it is set.
    pub align: Align,
    /// Share of the width relative to the other columns. Above zero.
    pub weight: f64,
}

impl Column {
    /// A column of text.
    pub fn text(title: &str, weight: f64) -> Self {
        Self { title: title.to_owned(), align: Align::Left, weight }
    }
    /// A column of numbers.
    pub fn number(title: &str, weight: f64) -> Self {
        Self { title: title.to_owned(), align: Align::Right, weight }
    }
}

/// One cell.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Cell {
    /// Words.
    Text(String),
    /// Words in italics, as botanical names are set.
    Italic(String),
    /// A number with its dimension.
    Datum(Datum),
    /// Nothing.
    Empty,
}

/// A table.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Table {
    /// Stable key, also the file name of its CSV: `plant-schedule`.
    pub key: &'static str,
    /// Heading.
    pub title: String,
    /// Columns.
    pub columns: Vec<Column>,
    /// Rows; each has as many cells as there are columns.
    pub rows: Vec<Vec<Cell>>,
    /// Sentences below it: basis, sources, cautions.
    pub notes: Vec<String>,
}
