//! Places, lines and outlines as a file gives them: instructions, not yet geometry.

use groundwright_geometry::{Point, Vec2};

use crate::identity::{ElementId, ElementRef};

/// A place in the yard: coordinates, or a reference point with an offset.
#[derive(Debug, Clone, PartialEq)]
pub enum Place {
    /// Plan coordinates. [m]
    At(Point),
    /// A reference point and a shift from it. [m]
    Survey {
        /// The reference point.
        point: ElementId,
        /// Shift east and north. [m]
        offset: Vec2,
    },
}

/// One piece of a line. Each piece begins where the one before it ended.
#[derive(Debug, Clone, PartialEq)]
pub enum Piece {
    /// Straight from point to point.
    Straight(Vec<Place>),
    /// A smooth curve through the points.
    Smooth(Vec<Place>),
    /// A circular arc through three points, or through two from where the last piece ended.
    Arc(Vec<Place>),
    /// The edge of another element, inherited exactly.
    Along {
        /// Whose edge.
        element: ElementRef,
        /// Where to join it, if not where the last piece ended.
        from: Option<Place>,
        /// Where to leave it.
        to: Place,
        /// Go the longer way round instead of the shorter.
        longer: bool,
    },
}

/// A line made of pieces; an outline closes it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Line {
    /// Pieces in order, at least one.
    pub pieces: Vec<Piece>,
}

/// Where on an edge: by arc length, or by the nearest point.
#[derive(Debug, Clone, PartialEq)]
pub enum Station {
    /// Arc length from the edge's start. [m]
    At(f64),
    /// The point of the edge nearest to a place.
    Near(Place),
}
