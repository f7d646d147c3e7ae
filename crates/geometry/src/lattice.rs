//! Points of a regular lattice over a rectangle: square and triangular.
//!
//! - In: bounds, spacing, a point of the lattice, the direction of its rows. Out: points, row by
//!   row, along the row within each.
//! - Method: the rows of the turned lattice that meet the bounds are walked one by one.
//! - Not here: what falls inside a bed (its region decides), counts by formula (`layout.rs`).

use kurbo::{Point, Rect, Vec2};

use crate::fault::{GeometryFault, check_positive, check_reach};

/// No lattice is made with more points than this.
pub const MOST_POINTS: usize = 2_000_000;

/// Points on the bounds within this count as inside. [m]
const EDGE: f64 = 1e-9;

/// Points of the square lattice that lie in the bounds, edges included. [m]
///
/// # Arguments
/// - `spacing`: distance of neighbours along rows and between rows. [m] Above zero.
/// - `origin`: a point of the lattice, inside the bounds or not. [m]
/// - `angle`: direction of the rows, counter-clockwise from east. [rad]
///
/// # Errors
/// A spacing not above zero, a point not finite or too far, more than [`MOST_POINTS`] points.
pub fn square(bounds: Rect, spacing: f64, origin: Point, angle: f64) -> Result<Vec<Point>, GeometryFault> {
    lattice(bounds, &Rows { spacing, pitch: spacing, shift: 0.0 }, origin, angle)
}

/// Points of the triangular (staggered) lattice that lie in the bounds, edges included: every
/// point has six neighbours at the spacing. Arguments and errors as [`square`]. [m]
pub fn triangular(
    bounds: Rect,
    spacing: f64,
    origin: Point,
    angle: f64,
) -> Result<Vec<Point>, GeometryFault> {
    let pitch = spacing * crate::layout::ROW_PITCH;
    lattice(bounds, &Rows { spacing, pitch, shift: spacing / 2.0 }, origin, angle)
}

/// Rows of a lattice.
struct Rows {
    spacing: f64,
    /// Distance of rows. [m]
    pitch: f64,
    /// Shift of every other row along itself. [m]
    shift: f64,
}

fn lattice(bounds: Rect, rows: &Rows, origin: Point, angle: f64) -> Result<Vec<Point>, GeometryFault> {
    check_positive("the spacing", rows.spacing)?;
    let bounds = bounds.abs();
    let (low, high) = (Point::new(bounds.x0, bounds.y0), Point::new(bounds.x1, bounds.y1));
    check_reach(&[origin, low, high])?;
    if !angle.is_finite() {
        return Err(GeometryFault::NotFinite { index: 0 });
    }
    let along = Vec2::from_angle(angle);
    let across = Vec2::new(-along.y, along.x);
    let corners = [low, Point::new(bounds.x1, bounds.y0), high, Point::new(bounds.x0, bounds.y1)];
    let span = |axis: Vec2| {
        let places = corners.map(|corner| (corner - origin).dot(axis));
        (places.into_iter().fold(f64::MAX, f64::min), places.into_iter().fold(f64::MIN, f64::max))
    };
    let ((left, right), (bottom, top)) = (span(along), span(across));
    let count = ((right - left) / rows.spacing + 1.0) * ((top - bottom) / rows.pitch + 1.0);
    if count.is_nan() || count > MOST_POINTS as f64 {
        let spacing = rows.spacing;
        return Err(GeometryFault::TooManyPoints { spacing, count, most: MOST_POINTS });
    }
    let inside = bounds.inflate(EDGE, EDGE);
    let mut points = Vec::new();
    let (first, last) = steps(bottom, top, rows.pitch);
    for row in first..=last {
        let shift = if row.rem_euclid(2) == 1 { rows.shift } else { 0.0 };
        let (from, to) = steps(left - shift, right - shift, rows.spacing);
        for place in from..=to {
            let run = shift + place as f64 * rows.spacing;
            let point = origin + along * run + across * (row as f64 * rows.pitch);
            if inside.x0 <= point.x && point.x <= inside.x1 && inside.y0 <= point.y && point.y <= inside.y1 {
                points.push(point);
            }
        }
    }
    Ok(points)
}

/// First and last multiple of a step within a span, edges included.
fn steps(from: f64, to: f64, step: f64) -> (i64, i64) {
    (((from - EDGE) / step).ceil() as i64, ((to + EDGE) / step).floor() as i64)
}
