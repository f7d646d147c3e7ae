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

mod blocks;
mod canvas;
mod column;
mod compose;
mod csv;
mod error;
mod flow;
mod fonts;
mod north_arrow;
mod paper;
mod pdf;
mod pieces;
mod plain;
mod plan_set;
mod scale_bar;
mod setting;
mod table_block;
mod title_block;
mod translate;
mod views;
mod xlsx;

pub use csv::csv;
pub use error::SheetError;
pub use fonts::Fonts;
pub use paper::{Paper, Scale, choose, fit};
pub use pdf::pdf;
pub use plan_set::{
    LegendEntry, NoteBlock, PlacedView, PlanSet, SAMPLE_HEIGHT_MM, SAMPLE_WIDTH_MM, Sheet, TitleBlock,
    tables_sheet,
};
pub use setting::window;
pub use xlsx::xlsx;
