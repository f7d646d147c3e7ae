//! The parallel of a curve at a signed distance.
//!
//! - In: a distance, above zero to the left, and a tolerance [m]. Out: polyline curves.
//! - Method: points of the curve are moved along their normal and corners rounded on the outside.
//!   Whatever lies nearer to the curve than the distance is a band, bounded by the raw lines of
//!   both sides and by half circles about open ends. The raw line is cut where it meets these, and
//!   the cut pieces inside the band are dropped. That trims tight inside bends and places where
//!   the curve comes near itself.
//! - Not here: the area within a distance of a shape ([`crate::Region::grow`]).

use std::f64::consts::{FRAC_PI_8, TAU};

use kurbo::{Line, ParamCurve, PathSeg, Point, Vec2};

use super::Curve;
use super::station::direction;
use crate::fault::{FARTHEST, SAME_POINT};
use crate::validate::crossing_edges;

impl Curve {
    /// The parallel curve at a signed distance, above zero to the left of travel.
    ///
    /// # Returns
    /// Polyline pieces in the direction of travel; several where the bends are tighter than the
    /// distance, none where nothing is left. No point of them is nearer to this curve than the
    /// distance less the tolerance.
    ///
    /// # Arguments
    /// - `distance`: finite; anything else gives no piece. [m]
    /// - `tolerance`: how far the pieces may be off, not below 10 µm. [m]
    pub fn offset(&self, distance: f64, tolerance: f64) -> Vec<Self> {
        if !distance.is_finite() || distance.abs() > FARTHEST {
            return Vec::new();
        }
        let tolerance = if tolerance > 1e-5 { tolerance.min(1.0) } else { 1e-5 };
        if distance == 0.0 {
            return polyline_of(self.flatten(tolerance), self.closed).into_iter().collect();
        }
        let sag = tolerance / 8.0;
        let raw = self.raw_offset(distance, sag);
        let mut bounds = vec![self.raw_offset(-distance, sag)];
        if !self.closed {
            bounds.push(around(self.start(), distance, sag));
            bounds.push(around(self.end(), distance, sag));
        }
        let least = distance.abs() - tolerance / 2.0;
        let clear = |place: Point| self.distance(place) >= least;
        let mut last = (Point::new(f64::NAN, f64::NAN), false);
        let kept: Vec<Line> = split(&raw, &bounds)
            .into_iter()
            .filter(|line| {
                // Pieces follow one another, so the start has mostly been asked before.
                let start = if last.0 == line.p0 { last.1 } else { clear(line.p0) };
                last = (line.p1, clear(line.p1));
                start && last.1 && clear(line.midpoint())
            })
            .collect();
        chain(&kept, self.closed)
    }

    /// The line of moved points, untrimmed; a closed one returns to its first point.
    fn raw_offset(&self, distance: f64, sag: f64) -> Vec<Point> {
        let count = self.segments.len();
        let mut raw = Vec::new();
        for (i, segment) in self.segments.iter().enumerate() {
            if i > 0 || self.closed {
                let before = &self.segments[(i + count - 1) % count];
                let (arrive, leave) = (direction(before, 1.0), direction(segment, 0.0));
                round_corner(&mut raw, segment.start(), (arrive, leave), distance, sag);
            }
            raw.push(moved(segment, 0.0, distance));
            if !matches!(segment, PathSeg::Line(_)) {
                let ends = (moved(segment, 0.0, distance), moved(segment, 1.0, distance));
                // Four parts at least, so that an S-shaped piece is not taken for its chord.
                sample(&mut raw, segment, (0.0, 1.0), ends, (distance, sag), 0);
            }
            raw.push(moved(segment, 1.0, distance));
        }
        if self.closed
            && let Some(&first) = raw.first()
        {
            raw.push(first);
        }
        raw.dedup_by(|a, b| a.distance(*b) < 1e-9);
        raw
    }
}

/// A point of a segment moved along its left normal.
fn moved(segment: &PathSeg, t: f64, distance: f64) -> Point {
    let along = direction(segment, t);
    segment.eval(t) + Vec2::new(-along.y, along.x) * distance
}

/// Halves a piece until its moved middle lies on the chord of its moved ends.
fn sample(
    raw: &mut Vec<Point>,
    segment: &PathSeg,
    (from, to): (f64, f64),
    (start, end): (Point, Point),
    (distance, sag): (f64, f64),
    depth: u32,
) {
    let middle = f64::midpoint(from, to);
    let at = moved(segment, middle, distance);
    let turn = direction(segment, from).dot(direction(segment, to));
    let flat = at.distance(start.midpoint(end)) <= sag && turn > 0.9;
    if depth >= 12 || (flat && depth >= 2) {
        return;
    }
    sample(raw, segment, (from, middle), (start, at), (distance, sag), depth + 1);
    raw.push(at);
    sample(raw, segment, (middle, to), (at, end), (distance, sag), depth + 1);
}

/// Points of the arc round a corner that turns away from the offset side; on the inside of a turn
/// the raw line runs over the corner itself and is trimmed there.
fn round_corner(raw: &mut Vec<Point>, corner: Point, (arrive, leave): (Vec2, Vec2), distance: f64, sag: f64) {
    let turn = arrive.cross(leave).atan2(arrive.dot(leave));
    if turn * distance >= 0.0 {
        return;
    }
    let pieces = arc_pieces(turn, distance.abs(), sag);
    let normal = Vec2::new(-arrive.y, arrive.x) * distance;
    for i in 0..=pieces {
        let (sin, cos) = (turn * i as f64 / pieces as f64).sin_cos();
        raw.push(corner + Vec2::new(normal.x * cos - normal.y * sin, normal.x * sin + normal.y * cos));
    }
}

/// The circle about an open end, as a closed line.
fn around(center: Point, distance: f64, sag: f64) -> Vec<Point> {
    let pieces = arc_pieces(TAU, distance.abs(), sag);
    let angle = |i: usize| TAU * i as f64 / pieces as f64;
    (0..=pieces).map(|i| center + Vec2::from_angle(angle(i)) * distance.abs()).collect()
}

/// Chords of an arc that keep within `sag` of it.
fn arc_pieces(turn: f64, radius: f64, sag: f64) -> usize {
    let step = (2.0 * (1.0 - (sag / radius).min(1.0)).acos()).min(FRAC_PI_8);
    (turn.abs() / step).ceil().clamp(1.0, 4096.0) as usize
}

/// The edges of a line, cut where they cross one another and the bounds, in order.
fn split(raw: &[Point], bounds: &[Vec<Point>]) -> Vec<Line> {
    let edge = |pair: &[Point]| Line::new(pair[0], pair[1]);
    let edges: Vec<Line> = raw.windows(2).map(edge).collect();
    let cutters = bounds.iter().flat_map(|bound| bound.windows(2).map(edge));
    let all: Vec<Line> = edges.iter().copied().chain(cutters).collect();
    let mut cuts: Vec<Vec<Point>> = vec![Vec::new(); edges.len()];
    // The raw line comes first, so the first edge of a pair is always a raw one.
    for crossing in crossing_edges(&all, edges.len()) {
        cuts[crossing.first].push(crossing.at);
        if crossing.second < edges.len() {
            cuts[crossing.second].push(crossing.at);
        }
    }
    let mut fragments = Vec::with_capacity(edges.len());
    for (edge, mut places) in edges.into_iter().zip(cuts) {
        places.sort_by(|a, b| edge.p0.distance(*a).total_cmp(&edge.p0.distance(*b)));
        let mut from = edge.p0;
        for to in places.into_iter().chain([edge.p1]) {
            if from != to {
                fragments.push(Line::new(from, to));
                from = to;
            }
        }
    }
    fragments
}

/// Puts fragments end to end where they meet, and makes curves of what has a length.
fn chain(fragments: &[Line], closed: bool) -> Vec<Curve> {
    let mut runs: Vec<Vec<Point>> = Vec::new();
    for line in fragments {
        match runs.last_mut() {
            Some(run) if run[run.len() - 1].distance(line.p0) < 1e-6 => run.push(line.p1),
            _ => runs.push(vec![line.p0, line.p1]),
        }
    }
    if closed && runs.len() > 1 && runs[runs.len() - 1].last().zip(runs[0].first()).is_some_and(meet) {
        let first = runs.remove(0);
        if let Some(last) = runs.last_mut() {
            last.extend(first.into_iter().skip(1));
        }
    }
    runs.into_iter().filter_map(|run| polyline_of(run, closed)).collect()
}

fn meet((a, b): (&Point, &Point)) -> bool {
    a.distance(*b) < 1e-6
}

/// A polyline of points of which some may lie close together.
fn polyline_of(mut run: Vec<Point>, closed: bool) -> Option<Curve> {
    let ring = closed && run.len() > 3 && run.first().zip(run.last()).is_some_and(meet);
    let last = run.pop()?;
    run.dedup_by(|a, b| a.distance(*b) < SAME_POINT);
    while run.last().is_some_and(|point| point.distance(last) < SAME_POINT) {
        run.pop();
    }
    if !ring {
        run.push(last);
    }
    Curve::polyline(&run, ring).ok()
}
