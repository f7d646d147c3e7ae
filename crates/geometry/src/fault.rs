//! What can be wrong with a shape, said so that the person with the yard can mend it.
//!
//! - In: nothing. Out: [`GeometryFault`], the one error of this crate's constructors.
//! - Points are counted from 0 in the fields and from 1 in the sentences, as people count.
//! - Not here: faults of an outline that has to be drawn again, all at once (`validate.rs`).

use kurbo::Point;

/// Two consecutive points nearer than this are taken for one point entered twice. [m]
pub const SAME_POINT: f64 = 1e-3;

/// No coordinate of a home landscape lies further out; beyond it, a unit has slipped. [m]
pub const FARTHEST: f64 = 10_000.0;

/// Why a shape could not be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum GeometryFault {
    /// A coordinate is NaN or infinite.
    #[error("point {}: a coordinate is not a finite number; give x and y as lengths", index + 1)]
    NotFinite {
        /// Index of the point, from 0.
        index: usize,
    },
    /// A coordinate is further out than [`FARTHEST`].
    #[error(
        "point {}: ({:.3} m, {:.3} m) lies more than 10 km from the origin, a kilometre-sized slip; \
         check the unit and the decimal point",
        index + 1, at.x, at.y
    )]
    TooFar {
        /// Index of the point, from 0.
        index: usize,
        /// Where it would lie. [m]
        at: Point,
    },
    /// Fewer distinct points than the shape needs.
    #[error("{found} distinct points given, at least {needed} are needed; add points")]
    TooFewPoints {
        /// Distinct points found.
        found: usize,
        /// Points that the shape needs.
        needed: usize,
    },
    /// Two consecutive points within [`SAME_POINT`].
    #[error(
        "points {} and {} lie within 1 mm of each other at ({:.3} m, {:.3} m); remove one of them",
        first + 1, second + 1, at.x, at.y
    )]
    DuplicatePoint {
        /// Index of the first of the two points, from 0.
        first: usize,
        /// Index of the second, from 0; 0 itself when a closed shape repeats its first point.
        second: usize,
        /// Where they lie. [m]
        at: Point,
    },
    /// The shape has no length.
    #[error("the curve has no length; give points that are apart")]
    ZeroLength,
    /// Three points on a line of which the middle one is not between the others.
    #[error(
        "the three points of the arc lie on one line and the middle one is not between the others; \
         no arc joins them, move the middle point"
    )]
    NoArc,
    /// A path of several pieces where one was expected.
    #[error("the path has {pieces} connected pieces, expected one; draw it in one stroke")]
    Disconnected {
        /// Number of pieces found.
        pieces: usize,
    },
    /// A region was asked of an open curve.
    #[error("the curve is open, an area needs a closed one; close it or join its ends")]
    OpenCurve,
    /// The outline crosses or touches itself.
    #[error(
        "edges {} and {} of the outline cross at ({:.3} m, {:.3} m); reorder or move their points",
        first + 1, second + 1, at.x, at.y
    )]
    SelfCrossing {
        /// Index of the first edge, from 0; edge i runs from point i to the next.
        first: usize,
        /// Index of the second edge, from 0.
        second: usize,
        /// Where they cross. [m]
        at: Point,
    },
    /// The outline encloses nothing.
    #[error("the outline encloses no area; its points lie on one line or run back on themselves")]
    ZeroArea,
    /// A length that must be finite and above zero.
    #[error("{what} is {value} m, expected a finite length above zero")]
    NotPositive {
        /// Which length.
        what: &'static str,
        /// The value given. [m]
        value: f64,
    },
    /// More points than [`crate::lattice::MOST_POINTS`] would be made.
    #[error(
        "a spacing of {spacing} m would give about {count:.0} points, more than {most}; \
         enlarge the spacing or split the area"
    )]
    TooManyPoints {
        /// Spacing asked for. [m]
        spacing: f64,
        /// About how many points that would give.
        count: f64,
        /// The limit.
        most: usize,
    },
}

/// Checks that every point is finite and within reach.
pub(crate) fn check_reach(points: &[Point]) -> Result<(), GeometryFault> {
    for (index, &at) in points.iter().enumerate() {
        if !at.is_finite() {
            return Err(GeometryFault::NotFinite { index });
        }
        if at.x.abs() > FARTHEST || at.y.abs() > FARTHEST {
            return Err(GeometryFault::TooFar { index, at });
        }
    }
    Ok(())
}

/// Checks that consecutive points are apart; on a closed shape the last and the first as well.
pub(crate) fn check_apart(points: &[Point], closed: bool) -> Result<(), GeometryFault> {
    let count = points.len();
    let pairs = if closed && count > 1 { count } else { count.saturating_sub(1) };
    for first in 0..pairs {
        let second = (first + 1) % count;
        if points[first].distance(points[second]) < SAME_POINT {
            return Err(GeometryFault::DuplicatePoint { first, second, at: points[first] });
        }
    }
    Ok(())
}

/// Number of points that lie apart by [`SAME_POINT`], counted no further than to 3.
pub(crate) fn distinct(points: &[Point]) -> usize {
    let mut kept: Vec<Point> = Vec::new();
    for &point in points {
        if kept.len() < 3 && kept.iter().all(|seen| seen.distance(point) >= SAME_POINT) {
            kept.push(point);
        }
    }
    kept.len()
}

/// Checks that a length is finite and above zero.
pub(crate) fn check_positive(what: &'static str, value: f64) -> Result<(), GeometryFault> {
    if value.is_finite() && value > 0.0 { Ok(()) } else { Err(GeometryFault::NotPositive { what, value }) }
}
