//! A connected planar curve of straight and cubic pieces, open or closed, with stations.
//!
//! - In: points, an arc's three points, a path, or curves to join. Out: [`Curve`].
//! - Method: the pieces are kept with their cumulative arc lengths, so that every question can be
//!   asked by *station*, the length along the curve from its start.
//! - Assumes points apart by a millimetre and within 10 km, else a [`GeometryFault`].
//! - Questions by station: `station.rs`; nearest point: `foot.rs`; parts: `part.rs`;
//!   parallels: `offset.rs`; against a region: `crossing.rs`.

mod arc_length;
mod build;
mod crossing;
mod foot;
mod offset;
mod part;
mod station;

use std::sync::{Arc, OnceLock};

use kurbo::{BezPath, ParamCurve, PathEl, PathSeg, Point};

pub use arc_length::arc_length;
pub use crossing::Crossing;
pub use foot::Foot;

use crate::fault::{GeometryFault, SAME_POINT, check_reach};
use foot::FootIndex;

/// Error allowed on the arc length of a curve. [m]
pub const STATION_ACCURACY: f64 = 1e-6;

/// A connected planar curve, open or closed, made of straight and cubic pieces.
///
/// It is never empty, every coordinate is finite, and its length is above zero.
#[derive(Clone)]
pub struct Curve {
    path: BezPath,
    closed: bool,
    segments: Vec<PathSeg>,
    /// Station at which each segment starts, and the length at the end: n + 1 values. [m]
    stations: Vec<f64>,
    /// Search structure for the nearest point, built when first needed.
    feet: OnceLock<Arc<FootIndex>>,
}

/// Its path, and nothing that only speeds up questions: equal curves have equal texts, whatever was
/// asked of them.
impl std::fmt::Debug for Curve {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Curve")
            .field("path", &self.path)
            .field("closed", &self.closed)
            .finish_non_exhaustive()
    }
}

impl PartialEq for Curve {
    fn eq(&self, other: &Self) -> bool {
        self.closed == other.closed && self.path == other.path
    }
}

impl Curve {
    /// Straight pieces from point to point; a closed one returns to the first point by itself.
    ///
    /// # Errors
    /// A point that is not finite or too far, fewer than 2 distinct points (3 if closed),
    /// consecutive points within 1 mm.
    pub fn polyline(points: &[Point], closed: bool) -> Result<Self, GeometryFault> {
        build::polyline(points, closed)
    }

    /// A smooth curve through all points: centripetal Catmull-Rom spline, as cubic pieces.
    ///
    /// Passes through every point in order, with a continuous tangent. A closed one is periodic.
    ///
    /// # Errors
    /// As [`Curve::polyline`].
    ///
    /// # Source
    /// Barry and Goldman 1988 (recursive form) with the exponent 1/2 of Yuksel, Schaefer and
    /// Keyser 2011; recalled, and checked by the property that the curve passes its points.
    pub fn smooth(points: &[Point], closed: bool) -> Result<Self, GeometryFault> {
        build::smooth(points, closed)
    }

    /// The circular arc from `start` to `end` that passes `through`; a straight line if the
    /// three are collinear.
    ///
    /// # Errors
    /// As [`Curve::polyline`]; [`GeometryFault::NoArc`] if the points are collinear and `through`
    /// is not between the others.
    pub fn arc(start: Point, through: Point, end: Point) -> Result<Self, GeometryFault> {
        build::arc(start, through, end)
    }

    /// A full circle, counter-clockwise from its east point.
    ///
    /// # Errors
    /// A radius that is not above zero, or a circle out of reach.
    pub fn circle(center: Point, radius: f64) -> Result<Self, GeometryFault> {
        build::circle(center, radius)
    }

    /// Pieces end to end, in order; a gap between two of them is closed by a straight piece.
    ///
    /// The result is open, even where its ends meet: see [`Curve::closed`].
    ///
    /// # Errors
    /// [`GeometryFault::TooFewPoints`] if there are no pieces.
    pub fn join(pieces: Vec<Self>) -> Result<Self, GeometryFault> {
        build::join(pieces)
    }

    /// A path of one connected piece; quadratic pieces are raised to cubic ones.
    ///
    /// # Errors
    /// A point that is not finite or too far, no length, or more than one connected piece
    /// ([`GeometryFault::Disconnected`]).
    pub fn from_path(path: &BezPath) -> Result<Self, GeometryFault> {
        build::from_path(path)
    }

    /// The same curve closed: its ends are joined by a straight piece unless they meet already.
    ///
    /// # Errors
    /// [`GeometryFault::TooFewPoints`] if the curve is a single straight piece.
    pub fn closed(self) -> Result<Self, GeometryFault> {
        if self.closed {
            return Ok(self);
        }
        Self::from_segments(self.segments, true)
    }

    /// Whether the curve returns to its start.
    pub const fn is_closed(&self) -> bool {
        self.closed
    }

    /// The curve as a path, for drawing. [m]
    pub const fn path(&self) -> &BezPath {
        &self.path
    }

    /// The straight and cubic pieces in order.
    pub fn segments(&self) -> &[PathSeg] {
        &self.segments
    }

    /// Where the curve starts.
    pub fn start(&self) -> Point {
        self.segments[0].start()
    }

    /// Where the curve ends; the start again if it is closed.
    pub fn end(&self) -> Point {
        self.segments[self.segments.len() - 1].end()
    }

    /// Makes a curve of segments that follow one another, joining small and large gaps.
    fn from_segments(segments: Vec<PathSeg>, closed: bool) -> Result<Self, GeometryFault> {
        let mut segments = build::connect(segments, closed);
        let controls: Vec<Point> = segments.iter().flat_map(build::controls).collect();
        check_reach(&controls)?;
        segments.retain(|segment| arc_length(segment, STATION_ACCURACY) > 0.0);
        if segments.is_empty() {
            return Err(GeometryFault::ZeroLength);
        }
        if closed && segments.iter().all(|s| matches!(s, PathSeg::Line(_))) && segments.len() < 3 {
            return Err(GeometryFault::TooFewPoints { found: segments.len(), needed: 3 });
        }
        // A share of the error for each segment, so that the whole keeps its accuracy.
        let share = STATION_ACCURACY / 4.0 / segments.len() as f64;
        let mut stations = Vec::with_capacity(segments.len() + 1);
        let mut station = 0.0;
        stations.push(station);
        for segment in &segments {
            station += arc_length(segment, share);
            stations.push(station);
        }
        if !(station.is_finite() && station >= SAME_POINT) {
            return Err(GeometryFault::ZeroLength);
        }
        let path = path_of(&segments, closed);
        Ok(Self { path, closed, segments, stations, feet: OnceLock::new() })
    }
}

/// The path of segments that follow one another.
fn path_of(segments: &[PathSeg], closed: bool) -> BezPath {
    let mut path = BezPath::new();
    path.push(PathEl::MoveTo(segments[0].start()));
    for segment in segments {
        path.push(segment.as_path_el());
    }
    if closed {
        path.push(PathEl::ClosePath);
    }
    path
}
