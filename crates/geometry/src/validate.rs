//! What is wrong with an outline, all at once, for the person who drew it.
//!
//! - In: the points of a closed outline, the first not repeated. Out: [`OutlineFault`]s in order.
//! - Method: edges in an R-tree, each met with the edges whose boxes touch its own.
//! - Two edges that touch or overlap count as crossing: an area cannot be told from such a line.
//! - Not here: making a region of a good outline (`region`).

use kurbo::{Line, Point};
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use crate::fault::{FARTHEST, SAME_POINT, distinct};

/// What is wrong with an outline. Points and edges count from 0 in the fields, from 1 in the text.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum OutlineFault {
    /// A coordinate is NaN or infinite.
    #[error("point {}: a coordinate is not a finite number", point + 1)]
    NotFinite {
        /// Index of the point.
        point: usize,
    },
    /// A coordinate is more than 10 km from the origin.
    #[error("point {}: more than 10 km from the origin, a kilometre-sized slip", point + 1)]
    TooFar {
        /// Index of the point.
        point: usize,
    },
    /// Fewer than three distinct points.
    #[error("{found} distinct points, an outline needs at least 3")]
    TooFewPoints {
        /// Distinct points found.
        found: usize,
    },
    /// Two consecutive points within a millimetre.
    #[error(
        "points {} and {} are the same place ({:.3} m, {:.3} m); remove one",
        first + 1, second + 1, at.x, at.y
    )]
    Duplicate {
        /// Index of the first point.
        first: usize,
        /// Index of the second; 0 if the outline repeats its first point at the end.
        second: usize,
        /// Where they lie. [m]
        at: Point,
    },
    /// The outline turns back on itself at a point.
    #[error(
        "the outline runs back on itself at point {} ({:.3} m, {:.3} m); remove the spike",
        point + 1, at.x, at.y
    )]
    Spike {
        /// Index of the point at the tip.
        point: usize,
        /// Where it lies. [m]
        at: Point,
    },
    /// Two edges that are not neighbours cross or touch.
    #[error(
        "edges {} and {} cross at ({:.3} m, {:.3} m); reorder or move their points",
        first + 1, second + 1, at.x, at.y
    )]
    Crossing {
        /// Index of the first edge, which runs from that point to the next.
        first: usize,
        /// Index of the second edge.
        second: usize,
        /// Where they cross. [m]
        at: Point,
    },
    /// The outline encloses nothing.
    #[error("the outline encloses no area")]
    ZeroArea,
}

/// Everything that is wrong with a closed outline; empty if it is sound.
///
/// Unusable coordinates or too few points hide the faults that would follow from them.
///
/// # Arguments
/// - `points`: the outline in either sense of rotation, the first point not repeated. [m]
pub fn check_outline(points: &[Point]) -> Vec<OutlineFault> {
    let mut faults: Vec<OutlineFault> = points.iter().enumerate().filter_map(reach).collect();
    if !faults.is_empty() {
        return faults;
    }
    let found = distinct(points);
    if found < 3 {
        return vec![OutlineFault::TooFewPoints { found }];
    }
    faults.extend(duplicates(points));
    let kept = apart(points);
    faults.extend(spikes(points, &kept));
    faults.extend(crossings(points, &kept));
    if signed_area(points).abs() < SAME_POINT * SAME_POINT {
        faults.push(OutlineFault::ZeroArea);
    }
    faults
}

fn reach((point, at): (usize, &Point)) -> Option<OutlineFault> {
    if !at.is_finite() {
        return Some(OutlineFault::NotFinite { point });
    }
    (at.x.abs() > FARTHEST || at.y.abs() > FARTHEST).then_some(OutlineFault::TooFar { point })
}

fn duplicates(points: &[Point]) -> impl Iterator<Item = OutlineFault> {
    (0..points.len()).filter_map(|first| {
        let second = (first + 1) % points.len();
        let at = points[first];
        (at.distance(points[second]) < SAME_POINT).then_some(OutlineFault::Duplicate { first, second, at })
    })
}

/// Indices of the points without repetitions, so that one fault is not told twice.
fn apart(points: &[Point]) -> Vec<usize> {
    let mut kept: Vec<usize> = Vec::with_capacity(points.len());
    let near = |a: usize, b: usize| points[a].distance(points[b]) < SAME_POINT;
    for i in 0..points.len() {
        if kept.last().is_none_or(|&last| !near(last, i)) {
            kept.push(i);
        }
    }
    while kept.len() > 1 && near(kept[0], kept[kept.len() - 1]) {
        kept.pop();
    }
    kept
}

/// Points at which the outline turns back so sharply that the tip is less than a millimetre wide.
fn spikes(points: &[Point], kept: &[usize]) -> impl Iterator<Item = OutlineFault> {
    let count = kept.len();
    (0..count).filter_map(move |i| {
        let at = points[kept[i]];
        let arrive = at - points[kept[(i + count - 1) % count]];
        let leave = points[kept[(i + 1) % count]] - at;
        // How far the shorter leg's end lies from the other leg.
        let width = arrive.cross(leave).abs() / arrive.hypot().max(leave.hypot());
        let back = arrive.dot(leave) < 0.0 && width < SAME_POINT;
        back.then_some(OutlineFault::Spike { point: kept[i], at })
    })
}

fn crossings(points: &[Point], kept: &[usize]) -> Vec<OutlineFault> {
    let count = kept.len();
    let edge = |i: usize| Line::new(points[kept[i]], points[kept[(i + 1) % count]]);
    let edges: Vec<Line> = (0..count).map(edge).collect();
    crossing_edges(&edges, count)
        .into_iter()
        // Neighbours share a point; where they overlap, the spike says so.
        .filter(|c| c.second - c.first > 1 && !(c.first == 0 && c.second == count - 1))
        .map(|c| OutlineFault::Crossing { first: kept[c.first], second: kept[c.second], at: c.at })
        .collect()
}

/// Area enclosed by a closed outline, above zero if it runs counter-clockwise (shoelace). [m²]
pub(crate) fn signed_area(points: &[Point]) -> f64 {
    let Some(&origin) = points.first() else {
        return 0.0;
    };
    let next = points.iter().skip(1).chain([&origin]);
    points.iter().zip(next).map(|(a, b)| (*a - origin).cross(*b - origin)).sum::<f64>() / 2.0
}

/// Two edges of a list that meet.
#[derive(Debug, Clone, Copy)]
pub(crate) struct EdgeCrossing {
    pub(crate) first: usize,
    pub(crate) second: usize,
    pub(crate) at: Point,
}

/// All pairs of edges that share a point, the first of them among the first `count`, by rising
/// first and second index.
pub(crate) fn crossing_edges(edges: &[Line], count: usize) -> Vec<EdgeCrossing> {
    let boxes = edges.iter().enumerate().map(|(i, edge)| {
        let (low, high) = corners(edge);
        GeomWithData::new(Rectangle::from_corners(low, high), i)
    });
    let tree = RTree::bulk_load(boxes.collect());
    let mut found = Vec::new();
    for (first, edge) in edges.iter().enumerate().take(count) {
        let (low, high) = corners(edge);
        let around = AABB::from_corners(low, high);
        for near in tree.locate_in_envelope_intersecting(&around) {
            let second = near.data;
            if second > first
                && let Some(at) = meeting(*edge, edges[second])
            {
                found.push(EdgeCrossing { first, second, at });
            }
        }
    }
    found.sort_by_key(|crossing| (crossing.first, crossing.second));
    found
}

fn corners(edge: &Line) -> ([f64; 2], [f64; 2]) {
    let (a, b) = (edge.p0, edge.p1);
    ([a.x.min(b.x), a.y.min(b.y)], [a.x.max(b.x), a.y.max(b.y)])
}

/// A point that two edges share; of an overlap its first point along the first edge.
fn meeting(one: Line, two: Line) -> Option<Point> {
    let (r, s) = (one.p1 - one.p0, two.p1 - two.p0);
    let apart = two.p0 - one.p0;
    let cross = r.cross(s);
    let sizes = r.hypot() * s.hypot();
    if sizes == 0.0 {
        return None;
    }
    if cross.abs() > 1e-12 * sizes {
        let (t, u) = (apart.cross(s) / cross, apart.cross(r) / cross);
        let (slack_t, slack_u) = (1e-12 / r.hypot(), 1e-12 / s.hypot());
        let on = (-slack_t..=1.0 + slack_t).contains(&t) && (-slack_u..=1.0 + slack_u).contains(&u);
        return on.then(|| one.p0 + r * t.clamp(0.0, 1.0));
    }
    if apart.cross(r).abs() > 1e-12 * r.hypot() {
        return None;
    }
    let along = |point: Point| (point - one.p0).dot(r) / r.hypot2();
    let (from, to) = (along(two.p0).min(along(two.p1)), along(two.p0).max(along(two.p1)));
    (from <= 1.0 && to >= 0.0).then(|| one.p0 + r * from.clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(list: &[(f64, f64)]) -> Vec<Point> {
        list.iter().map(|&p| p.into()).collect()
    }

    #[test]
    fn a_sound_outline_has_no_fault() {
        assert_eq!(check_outline(&points(&[(0., 0.), (4., 0.), (4., 3.), (0., 3.)])), []);
    }

    #[test]
    fn a_bow_tie_names_both_edges_and_the_place() {
        let faults = check_outline(&points(&[(0., 0.), (4., 4.), (4., 0.), (0., 3.)]));
        let [OutlineFault::Crossing { first: 0, second: 2, at }] = faults[..] else { panic!("{faults:?}") };
        // y = x meets y = 3 - 3x/4 at x = 12/7.
        assert!(at.distance(Point::new(12. / 7., 12. / 7.)) < 1e-12);
    }

    #[test]
    fn a_repeated_first_point_is_a_duplicate() {
        let faults = check_outline(&points(&[(0., 0.), (4., 0.), (4., 3.), (0., 0.)]));
        assert_eq!(faults, [OutlineFault::Duplicate { first: 3, second: 0, at: Point::ORIGIN }]);
    }

    #[test]
    fn a_spike_and_a_flat_outline_are_told() {
        let spike = check_outline(&points(&[(0., 0.), (4., 0.), (9., 0.), (4., 0.), (4., 3.)]));
        assert!(spike.contains(&OutlineFault::Spike { point: 2, at: Point::new(9., 0.) }));
        let flat = check_outline(&points(&[(0., 0.), (4., 0.), (9., 0.)]));
        assert!(flat.contains(&OutlineFault::ZeroArea));
    }
}
