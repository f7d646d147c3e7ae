//! Documents: PDF pages, CSV and XLSX.
//!
//! - In: painted display lists, tables and the words of a title block. Out: bytes of files.
//! - Same input, same bytes: dates are given or fixed, fonts are embedded here, and nothing reads
//!   a clock, a disk or the fonts of the machine.
//! - Lengths of paper are millimetres, origin at the top left, y down.
//! - Not here: what is drawn and how it looks (`groundwright-drawing`), what a table says (the
//!   studies), where files go (the command line and the app).
//!
//! Start reading at `plan_set.rs` (what a caller describes), then `compose.rs` (how it becomes
//! pages) and `pdf.rs` (how pages become a file).

mod error;
mod paper;
mod plan_set;
mod setting;

pub use error::SheetError;
pub use paper::{Paper, Scale, choose, fit};
pub use plan_set::{
    LegendEntry, NoteBlock, PlacedView, PlanSet, SAMPLE_HEIGHT_MM, SAMPLE_WIDTH_MM, Sheet,
    TitleBlock, tables_sheet,
};
pub use setting::window;
