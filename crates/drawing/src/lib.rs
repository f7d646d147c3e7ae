//! Marks to a display list, SVG and DXF.

mod display;
mod text_width;

pub use display::{
    DisplayList, Face, Item, LabelFault, LabelFaultKind, LabelReport, Painted, PlacedCallout, Primitive, Rgb,
    Stroke, TextWidth, View,
};
pub use text_width::{AverageWidths, CAP_HEIGHT_OF_EM};
