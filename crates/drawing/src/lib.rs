//! Marks to a display list, SVG and DXF.
//!
//! - In: marks (what a study wants drawn, in the yard's metres) and a view (a window of paper at a
//!   scale). Out: a keyed display list for paper and screen, standalone SVG, and DXF in real units.
//! - One list for all: paper and screen show the same strokes; DXF takes the same marks and the
//!   same places of tags, but draws the yard at full size.
//! - Light to build: no fonts, no pages. Letters are measured through [`TextWidth`].
//! - Same input, same bytes. No clock, no thread, no hashing.
//! - Not here: sheets, title blocks and legends, and what a study draws.
//!
//! Read `display.rs` first, then `paint.rs`, `labels.rs`, `look.rs`, `svg.rs` and `dxf.rs`.

mod dimension;
mod display;
mod dxf;
mod labels;
pub mod look;
mod paint;
mod svg;
mod text_width;
mod view;

pub use display::{
    DisplayList, Face, Item, LabelFault, LabelFaultKind, LabelReport, LeaderEnd, Painted, PlacedCallout,
    Primitive, Rgb, Stroke, TextWidth, View,
};
pub use dxf::{DrawingUnit, DxfError, dxf};
pub use labels::price;
pub use paint::paint;
pub use svg::svg;
pub use text_width::{AverageWidths, CAP_HEIGHT_OF_EM};
pub use view::mark_key;
