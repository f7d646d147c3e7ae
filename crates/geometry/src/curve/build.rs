//! Making curves: polyline, smooth curve, arc, circle, join.
//!
//! - In: points or pieces as people give them. Out: connected segments for [`Curve`].
//! - Method: centripetal Catmull-Rom in Bézier form; arcs as cubics of at most 45 degrees, finer
//!   on large radii, so that they keep within a tenth of a micrometre of the circle.
//! - Not here: the checks shared with regions (`fault.rs`).

use std::f64::consts::{FRAC_PI_4, PI, TAU};

use kurbo::{BezPath, CubicBez, Line, ParamCurve, PathEl, PathSeg, Point, Vec2};

use super::Curve;
use crate::fault::{FARTHEST, GeometryFault, SAME_POINT, check_apart, check_positive, check_reach, distinct};

/// Largest distance between an arc and the cubics that stand for it. [m]
const ARC_ERROR: f64 = 1e-7;

pub(super) fn polyline(points: &[Point], closed: bool) -> Result<Curve, GeometryFault> {
    check_points(points, closed)?;
    let mut segments: Vec<PathSeg> =
        points.windows(2).map(|pair| Line::new(pair[0], pair[1]).into()).collect();
    if closed {
        segments.push(Line::new(points[points.len() - 1], points[0]).into());
    }
    Curve::from_segments(segments, closed)
}

pub(super) fn smooth(points: &[Point], closed: bool) -> Result<Curve, GeometryFault> {
    check_points(points, closed)?;
    let count = points.len();
    let pieces = if closed { count } else { count - 1 };
    // The point before the first and after the last of an open curve mirror their neighbours,
    // which lets the curve leave its ends straight.
    let at = |i: usize, back: bool| -> Point {
        match (closed, back) {
            (true, true) => points[(i + count - 1) % count],
            (true, false) => points[(i + 2) % count],
            (false, true) if i == 0 => points[0] + (points[0] - points[1]),
            (false, true) => points[i - 1],
            (false, false) if i + 2 >= count => points[count - 1] + (points[count - 1] - points[count - 2]),
            (false, false) => points[i + 2],
        }
    };
    let segments = (0..pieces)
        .map(|i| {
            let (from, to) = (points[i], points[(i + 1) % count]);
            catmull_rom(at(i, true), from, to, at(i, false)).into()
        })
        .collect();
    Curve::from_segments(segments, closed)
}

/// Bézier form of the centripetal Catmull-Rom piece from p1 to p2.
fn catmull_rom(p0: Point, p1: Point, p2: Point, p3: Point) -> CubicBez {
    let (d1, d2, d3) = (p0.distance(p1).sqrt(), p1.distance(p2).sqrt(), p2.distance(p3).sqrt());
    let control = |before: Point, here: Point, next: Point, a: f64, b: f64| -> Point {
        let weighted = next.to_vec2() * (a * a) - before.to_vec2() * (b * b)
            + here.to_vec2() * (2.0 * a * a + 3.0 * a * b + b * b);
        (weighted / (3.0 * a * (a + b))).to_point()
    };
    CubicBez::new(p1, control(p0, p1, p2, d1, d2), control(p3, p2, p1, d3, d2), p2)
}

pub(super) fn arc(start: Point, through: Point, end: Point) -> Result<Curve, GeometryFault> {
    check_points(&[start, through, end], true)?;
    let (to_through, to_end) = (through - start, end - start);
    let cross = to_through.cross(to_end);
    let chord = to_end.hypot();
    // Distance of the middle point from the chord's line.
    if (cross / chord).abs() < ARC_ERROR {
        let along = to_through.dot(to_end) / (chord * chord);
        if (0.0..=1.0).contains(&along) {
            return polyline(&[start, end], false);
        }
        return Err(GeometryFault::NoArc);
    }
    let (a, b) = (to_through.hypot2(), to_end.hypot2());
    let from_start =
        Vec2::new(to_end.y * a - to_through.y * b, to_through.x * b - to_end.x * a) / (2.0 * cross);
    let center = start + from_start;
    let first = (-from_start).atan2();
    let turn = |to: Point| -> f64 {
        let angle = ((to - center).atan2() - first).rem_euclid(TAU);
        if cross > 0.0 { angle } else { angle - TAU }
    };
    let mut segments = sweep(center, from_start.hypot(), first, turn(end))?;
    pin_ends(&mut segments, start, end);
    Curve::from_segments(segments, false)
}

pub(super) fn circle(center: Point, radius: f64) -> Result<Curve, GeometryFault> {
    check_positive("the radius", radius)?;
    let reach = Vec2::new(radius, radius);
    check_reach(&[center - reach, center + reach])?;
    let mut segments = sweep(center, radius, 0.0, TAU)?;
    let start = center + Vec2::new(radius, 0.0);
    pin_ends(&mut segments, start, start);
    Curve::from_segments(segments, true)
}

/// Cubics along a circle, from the angle `first` over the signed angle `turn`.
///
/// The error of a cubic of angle t is close to r (2/27) (t/2)^6 / 8 (expansion of the radius at
/// the usual control length 4/3 tan(t/4)); the pieces are made small enough for [`ARC_ERROR`].
fn sweep(center: Point, radius: f64, first: f64, turn: f64) -> Result<Vec<PathSeg>, GeometryFault> {
    if !(radius.is_finite() && center.is_finite()) || radius * turn.abs() > 8.0 * FARTHEST {
        return Err(GeometryFault::TooFar { index: 1, at: finite_or_origin(center) });
    }
    // 2.73e-4 is the relative error at a right angle; it falls with the sixth power.
    let finest = PI / 2.0 * (ARC_ERROR / (2.73e-4 * radius)).powf(1.0 / 6.0);
    let pieces = (turn.abs() / finest.min(FRAC_PI_4)).ceil().max(1.0);
    let step = turn / pieces;
    let handle = 4.0 / 3.0 * (step / 4.0).tan() * radius;
    let place = |i: usize| {
        let unit = Vec2::from_angle(first + step * i as f64);
        (center + unit * radius, Vec2::new(-unit.y, unit.x) * handle)
    };
    Ok((0..pieces as usize)
        .map(|i| {
            let ((from, leave), (to, arrive)) = (place(i), place(i + 1));
            CubicBez::new(from, from + leave, to - arrive, to).into()
        })
        .collect())
}

fn finite_or_origin(point: Point) -> Point {
    if point.is_finite() { point } else { Point::ORIGIN }
}

/// Sets the outer ends to the points that were given, free of rounding.
fn pin_ends(segments: &mut [PathSeg], start: Point, end: Point) {
    if let Some(segment) = segments.first_mut() {
        move_start(segment, start);
    }
    if let Some(PathSeg::Cubic(cubic)) = segments.last_mut() {
        cubic.p3 = end;
    }
}

pub(super) fn join(pieces: Vec<Curve>) -> Result<Curve, GeometryFault> {
    if pieces.is_empty() {
        return Err(GeometryFault::TooFewPoints { found: 0, needed: 2 });
    }
    let segments = pieces.into_iter().flat_map(|piece| piece.segments).collect();
    Curve::from_segments(segments, false)
}

pub(super) fn from_path(path: &BezPath) -> Result<Curve, GeometryFault> {
    let begins = |el: &PathEl| matches!(el, PathEl::MoveTo(_));
    let pieces = path.elements().iter().filter(|el| begins(el)).count();
    if pieces > 1 {
        return Err(GeometryFault::Disconnected { pieces });
    }
    if pieces == 0 {
        return Err(GeometryFault::TooFewPoints { found: 0, needed: 2 });
    }
    let closed = path.elements().iter().any(|el| matches!(el, PathEl::ClosePath));
    let segments: Vec<PathSeg> = path.segments().map(raise).collect();
    if segments.is_empty() {
        return Err(GeometryFault::ZeroLength);
    }
    Curve::from_segments(segments, closed)
}

/// A quadratic piece as a cubic one; others stay.
fn raise(segment: PathSeg) -> PathSeg {
    match segment {
        PathSeg::Quad(quad) => quad.raise().into(),
        other => other,
    }
}

/// Lets each segment start where the one before ends: small gaps by moving the start, larger ones
/// by a straight piece.
pub(super) fn connect(segments: Vec<PathSeg>, closed: bool) -> Vec<PathSeg> {
    let mut connected: Vec<PathSeg> = Vec::with_capacity(segments.len() + 1);
    for mut segment in segments {
        if let Some(before) = connected.last().map(ParamCurve::end) {
            if before.distance(segment.start()) < SAME_POINT {
                move_start(&mut segment, before);
            } else {
                connected.push(Line::new(before, segment.start()).into());
            }
        }
        connected.push(segment);
    }
    if let (true, Some(start), Some(end)) =
        (closed, connected.first().map(ParamCurve::start), connected.last().map(ParamCurve::end))
    {
        if end.distance(start) < SAME_POINT {
            if let Some(segment) = connected.first_mut() {
                move_start(segment, end);
            }
        } else {
            connected.push(Line::new(end, start).into());
        }
    }
    connected
}

fn move_start(segment: &mut PathSeg, start: Point) {
    match segment {
        PathSeg::Line(line) => line.p0 = start,
        PathSeg::Quad(quad) => quad.p0 = start,
        PathSeg::Cubic(cubic) => cubic.p0 = start,
    }
}

/// The points that hold a segment.
pub(super) fn controls(segment: &PathSeg) -> Vec<Point> {
    match segment {
        PathSeg::Line(line) => vec![line.p0, line.p1],
        PathSeg::Quad(quad) => vec![quad.p0, quad.p1, quad.p2],
        PathSeg::Cubic(cubic) => vec![cubic.p0, cubic.p1, cubic.p2, cubic.p3],
    }
}

/// The checks of the points of a curve.
fn check_points(points: &[Point], closed: bool) -> Result<(), GeometryFault> {
    check_reach(points)?;
    let needed = if closed { 3 } else { 2 };
    let found = distinct(points);
    if found < needed {
        return Err(GeometryFault::TooFewPoints { found, needed });
    }
    check_apart(points, closed)
}
