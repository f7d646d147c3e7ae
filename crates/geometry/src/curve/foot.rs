//! The nearest point of a curve, its foot.
//!
//! - In: a place. Out: [`Foot`]: station, point, distance and side.
//! - Method: chords of the segments in an R-tree give candidates; on each candidate the parameter
//!   is refined by safeguarded Newton steps on the squared distance.
//! - The search structure is built once for a curve, so thousands of questions are cheap.

use std::sync::Arc;

use kurbo::{CubicBez, ParamCurve, ParamCurveDeriv, ParamCurveNearest, PathSeg, Point, Vec2};
use rstar::RTree;
use rstar::primitives::{CachedEnvelope, GeomWithData, Line as TreeLine};

use super::Curve;
use super::station::direction;

/// The nearest point of a curve to a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Foot {
    /// Station of the foot. [m]
    pub station: f64,
    /// The foot itself. [m]
    pub point: Point,
    /// Distance of the place from the curve, not below zero. [m]
    pub distance: f64,
    /// The same distance with a sign: above zero to the left of travel. [m]
    pub side: f64,
}

/// A chord of a segment: its index and the range of its parameter.
#[derive(Debug, Clone, Copy)]
struct Chord {
    segment: usize,
    from: f64,
    to: f64,
}

/// Chords of a curve in an R-tree.
pub(super) struct FootIndex {
    tree: RTree<GeomWithData<CachedEnvelope<TreeLine<[f64; 2]>>, Chord>>,
    /// Largest distance of a chord from its curve. [m]
    sag: f64,
}

/// Beyond this a place is only far away; the search runs from its direction. [m]
const FAR: f64 = 1e7;

impl Curve {
    /// The nearest point of the curve; the lower station if two are equally near.
    ///
    /// A place that is not finite is taken as the origin, with an infinite distance.
    pub fn nearest(&self, place: Point) -> Foot {
        if !place.is_finite() {
            let foot = self.nearest(Point::ORIGIN);
            return Foot { distance: f64::INFINITY, side: f64::INFINITY, ..foot };
        }
        let search = Point::new(place.x.clamp(-FAR, FAR), place.y.clamp(-FAR, FAR));
        let (segment, t) = self.nearest_parameter(search);
        let point = self.segments[segment].eval(t);
        let distance = place.distance(point);
        let left = self.travel_at(segment, t).cross(search - point) >= 0.0;
        Foot {
            station: self.station_of(segment, t),
            point,
            distance,
            side: if left { distance } else { -distance },
        }
    }

    /// Distance of a place from the curve. [m]
    pub(super) fn distance(&self, place: Point) -> f64 {
        let (segment, t) = self.nearest_parameter(place);
        self.segments[segment].eval(t).distance(place)
    }

    fn nearest_parameter(&self, place: Point) -> (usize, f64) {
        let feet = self.feet.get_or_init(|| Arc::new(FootIndex::new(&self.segments)));
        let query = [place.x, place.y];
        let mut best = (f64::INFINITY, 0, 0.0);
        for (near, distance_2) in feet.tree.nearest_neighbor_iter_with_distance_2(&query) {
            if distance_2.sqrt() - feet.sag > best.0 + 1e-9 {
                break;
            }
            let chord = near.data;
            let segment = &self.segments[chord.segment];
            let t = refine(segment, place, chord.from, chord.to);
            let found = (segment.eval(t).distance(place), chord.segment, t);
            let tie = (found.0 - best.0).abs() <= 1e-12;
            if (tie && (found.1, found.2) < (best.1, best.2)) || (!tie && found.0 < best.0) {
                best = found;
            }
        }
        (best.1, best.2)
    }

    /// Direction of travel at a parameter; at a corner the mean of both directions, which tells
    /// left from right there.
    fn travel_at(&self, segment: usize, t: f64) -> Vec2 {
        let count = self.segments.len();
        let here = direction(&self.segments[segment], t);
        let beside = if t <= 0.0 && (segment > 0 || self.closed) {
            direction(&self.segments[(segment + count - 1) % count], 1.0)
        } else if t >= 1.0 && (segment + 1 < count || self.closed) {
            direction(&self.segments[(segment + 1) % count], 0.0)
        } else {
            return here;
        };
        let mean = here + beside;
        if mean.hypot() > 1e-9 { mean } else { here }
    }
}

impl FootIndex {
    fn new(segments: &[PathSeg]) -> Self {
        // Fewer chords on large curves; the parameter is refined in any case.
        let size = segments.iter().map(|s| s.start().distance(s.end())).fold(0.0, f64::max);
        let sag = (1e-4 * size).max(1e-3);
        let mut chords = Vec::new();
        for (segment, shape) in segments.iter().enumerate() {
            let pieces = chord_count(shape, sag);
            let mut start = shape.eval(0.0);
            for i in 0..pieces {
                let (from, to) = (i as f64 / pieces as f64, (i + 1) as f64 / pieces as f64);
                let end = shape.eval(to);
                let line = TreeLine::new([start.x, start.y], [end.x, end.y]);
                chords.push(GeomWithData::new(CachedEnvelope::new(line), Chord { segment, from, to }));
                start = end;
            }
        }
        Self { tree: RTree::bulk_load(chords), sag }
    }
}

/// Chords of equal parameter that keep within `sag` of a segment.
///
/// A chord over a step h of the parameter is off by at most h² max|B''| / 8.
pub(super) fn chord_count(segment: &PathSeg, sag: f64) -> usize {
    let second = match segment {
        PathSeg::Line(_) => return 1,
        PathSeg::Quad(q) => 2.0 * bend(q.p0, q.p1, q.p2),
        PathSeg::Cubic(c) => 6.0 * bend(c.p0, c.p1, c.p2).max(bend(c.p1, c.p2, c.p3)),
    };
    ((second / (8.0 * sag)).sqrt().ceil() as usize).clamp(1, 8192)
}

fn bend(a: Point, b: Point, c: Point) -> f64 {
    (a.to_vec2() - 2.0 * b.to_vec2() + c.to_vec2()).hypot()
}

/// Parameter of the nearest point of a segment within a range.
fn refine(segment: &PathSeg, place: Point, from: f64, to: f64) -> f64 {
    match segment {
        PathSeg::Line(line) => line.nearest(place, 1e-9).t.clamp(from, to),
        PathSeg::Quad(quad) => refine_cubic(&quad.raise(), place, from, to),
        PathSeg::Cubic(cubic) => refine_cubic(cubic, place, from, to),
    }
}

/// Parameter of the nearest point of a cubic within a range; a range that turns sharply may come
/// near twice and is taken in parts.
fn refine_cubic(cubic: &CubicBez, place: Point, from: f64, to: f64) -> f64 {
    let speed = cubic.deriv();
    let (leave, arrive) = (speed.eval(from).to_vec2(), speed.eval(to).to_vec2());
    if leave.dot(arrive) > 0.5 * leave.hypot() * arrive.hypot() {
        return newton(cubic, place, from, to);
    }
    let part = |i: u32| from + (to - from) * f64::from(i) / 8.0;
    (0..8)
        .map(|i| newton(cubic, place, part(i), part(i + 1)))
        .min_by(|a, b| {
            let distance = |t: f64| cubic.eval(t).distance(place);
            distance(*a).total_cmp(&distance(*b))
        })
        .unwrap_or(from)
}

/// Newton steps on the derivative of the squared distance, halving where they leave the bracket.
fn newton(cubic: &CubicBez, place: Point, from: f64, to: f64) -> f64 {
    let first = cubic.deriv();
    let second = first.deriv();
    let slope = |t: f64| (cubic.eval(t) - place).dot(first.eval(t).to_vec2());
    let (mut low, mut high) = (from, to);
    let (at_low, at_high) = (slope(low), slope(high));
    if at_low >= 0.0 && at_high >= 0.0 {
        return low;
    }
    if at_low <= 0.0 && at_high <= 0.0 {
        return high;
    }
    if at_low > 0.0 {
        // Distance rises and then falls: the nearer end is the nearest place.
        let nearer = cubic.eval(low).distance(place) <= cubic.eval(high).distance(place);
        return if nearer { low } else { high };
    }
    let mut t = f64::midpoint(low, high);
    for _ in 0..60 {
        let value = slope(t);
        if value < 0.0 {
            low = t;
        } else {
            high = t;
        }
        let along = first.eval(t).to_vec2();
        let rate = along.hypot2() + (cubic.eval(t) - place).dot(second.eval(t).to_vec2());
        let step = t - value / rate;
        let next = if step > low && step < high { step } else { f64::midpoint(low, high) };
        if (next - t).abs() < 1e-15 {
            return next;
        }
        t = next;
    }
    t
}
