//! Why a document could not be made: what is wrong, where, and how to mend it.

/// Why a document could not be made. Sheets and rows count from 1, as the reader counts them.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SheetError {
    /// A size that must be a finite number above zero is not.
    #[error("{what} is {value}, expected a finite number above zero")]
    NotPositive {
        /// What it measures, with its unit.
        what: &'static str,
        /// What it is.
        value: f64,
    },
    /// No scale of the trade brings the extent into the window.
    #[error(
        "{width:.1} m by {height:.1} m does not fit a window of {window_width:.0} mm by \
         {window_height:.0} mm even at {smallest}; take larger paper or draw it in parts"
    )]
    NoScaleFits {
        /// Width of the extent. [m]
        width: f64,
        /// Height of the extent. [m]
        height: f64,
        /// Width of the window. [mm]
        window_width: f64,
        /// Height of the window. [mm]
        window_height: f64,
        /// The smallest scale that was tried.
        smallest: &'static str,
    },
    /// A plan set without sheets.
    #[error("the plan set has no sheets; add at least one")]
    NoSheets,
    /// A view is larger than the room for drawings on its sheet.
    #[error(
        "sheet `{sheet}`, view `{view}`: it is {width:.1} mm by {height:.1} mm, but the sheet has \
         room for {room_width:.1} mm by {room_height:.1} mm; paint it to `window(paper, …)`"
    )]
    ViewTooLarge {
        /// Title of the sheet.
        sheet: String,
        /// Title of the view.
        view: String,
        /// Width of the view. [mm]
        width: f64,
        /// Height of the view. [mm]
        height: f64,
        /// Width of the room. [mm]
        room_width: f64,
        /// Height of the room. [mm]
        room_height: f64,
    },
    /// Something drawn has a coordinate or a size that is not a finite number.
    #[error("sheet `{sheet}`: `{item}` has a coordinate or a size that is not a finite number")]
    NotFinite {
        /// Title of the sheet.
        sheet: String,
        /// Key of the item, or what it is.
        item: String,
    },
    /// A row has more or fewer cells than the table has columns.
    #[error("table `{table}`, row {row}: {cells} cells, expected {columns}, one for each column")]
    CellsAndColumns {
        /// Key of the table.
        table: String,
        /// Which row, from 1.
        row: usize,
        /// Cells it has.
        cells: usize,
        /// Columns of the table.
        columns: usize,
    },
    /// A column's share of the width is not a finite number above zero.
    #[error("table `{table}`, column `{column}`: weight {weight}, expected a finite number above zero")]
    ColumnWeight {
        /// Key of the table.
        table: String,
        /// Title of the column.
        column: String,
        /// The weight it has.
        weight: f64,
    },
    /// Something that is never split is taller than a page.
    #[error(
        "sheet `{sheet}`, `{block}`: one part is {height:.0} mm tall and a page has room for \
         {room:.0} mm; shorten its text or take larger paper"
    )]
    TooTall {
        /// Title of the sheet.
        sheet: String,
        /// Title of the table or heading of the note.
        block: String,
        /// Height of the part. [mm]
        height: f64,
        /// Room on an empty page. [mm]
        room: f64,
    },
    /// The writer of the file format refused.
    #[error("the {format} file could not be written: {reason}")]
    Write {
        /// `PDF`, `CSV` or `XLSX`.
        format: &'static str,
        /// What the writer said.
        reason: String,
    },
}

/// `value` if it is a finite number above zero.
pub(crate) fn positive(what: &'static str, value: f64) -> Result<f64, SheetError> {
    if value.is_finite() && value > 0.0 { Ok(value) } else { Err(SheetError::NotPositive { what, value }) }
}
