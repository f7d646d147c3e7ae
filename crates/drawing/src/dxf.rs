//! Marks as DXF: the yard at full size, for other drawing programs and for setting out.
//!
//! - In: marks, the places of their tags, the view, the unit. Out: the bytes of an ASCII DXF file
//!   of version R2010 (AC1024), UTF-8.
//! - Model space at 1:1 in metres or feet, plan coordinates as they are: x east, y north. The view's
//!   scale decides how large letters and signs are, its rotation how they stand; its window does
//!   not cut anything off.
//! - Marks whose layer is on the view's drawing and whose frame is the view's. One DXF layer for
//!   each of ours; paths as `LWPOLYLINE` (curves flattened to 2 mm), circles as `CIRCLE`, signs as
//!   `INSERT` of a block, letters as `TEXT`, dimensions as lines and `TEXT`.
//! - Fills stay on paper: an area without a line of its own is outlined finely. Tags without a
//!   place in the window are left out.
//! - Same marks, same bytes: clocks and identifiers in the header are constants.
//! - Not here: what is the crate's and what is mended afterwards (`dxf/mend.rs`).

mod document;
mod entities;
mod mend;

use groundwright_handoff::Mark;
use groundwright_units::constants::FOOT;

use crate::display::{PlacedCallout, View};
use crate::paint::is_drawable;
use crate::view::mark_key;

/// Unit of the coordinates in a DXF file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DrawingUnit {
    /// Metres.
    Metre,
    /// International feet.
    Foot,
}

impl DrawingUnit {
    /// Units of the file in a metre.
    pub fn in_a_metre(self) -> f64 {
        match self {
            Self::Metre => 1.0,
            Self::Foot => 1.0 / FOOT,
        }
    }
}

/// Why a drawing could not be written as DXF.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DxfError {
    /// The view's scale is not between 1000:1 and 1:10⁹, its window not above zero, or one of its
    /// numbers not finite.
    #[error(
        "the view of the DXF drawing needs a scale and a window above zero and finite numbers; choose a scale such as 1:100"
    )]
    View,
    /// A mark has a number that is not finite or lies beyond 1,000 km, or a size that is not above zero.
    #[error(
        "mark `{key}` has a coordinate that is not a number or lies beyond 1,000 km, or a size that is not above zero; correct the element it belongs to"
    )]
    NotDrawable {
        /// Key of the mark.
        key: String,
    },
    /// The writing library refused.
    #[error(
        "the drawing could not be written as DXF: {reason}; this is a fault of the program, please report it"
    )]
    Write {
        /// What the library says.
        reason: String,
    },
}

/// Writes marks as DXF.
///
/// `callouts` are the places that [`crate::paint`] found for the same marks and the same view.
///
/// # Errors
/// - [`DxfError::View`]: the view is not valid.
/// - [`DxfError::NotDrawable`]: a mark of this drawing has a number that cannot be drawn.
/// - [`DxfError::Write`]: the writing library refused.
pub fn dxf(
    marks: &[Mark],
    callouts: &[PlacedCallout],
    view: &View,
    unit: DrawingUnit,
) -> Result<Vec<u8>, DxfError> {
    if !view.is_valid() {
        return Err(DxfError::View);
    }
    let mut shown: Vec<&Mark> = marks.iter().filter(|mark| view.shows(mark)).collect();
    if let Some(bad) = shown.iter().find(|mark| !is_drawable(mark)) {
        return Err(DxfError::NotDrawable { key: mark_key(bad) });
    }
    shown.sort_by_key(|mark| (mark.layer.order, mark.layer.name));
    let drawn = entities::draw(&shown, callouts, view, unit);
    let written = document::write(&shown, drawn, view, unit)
        .map_err(|error| DxfError::Write { reason: error.to_string() })?;
    Ok(mend::mend(&written).into_bytes())
}
