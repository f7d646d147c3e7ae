//! Outline of many crowns together: the arcs of circles that no other circle covers.
//!
//! - In: circles. Out: one path of arcs, each from where it comes out from under a neighbour to where
//!   it goes under the next.
//! - Method: for each circle the angles that its neighbours cover, by the law of cosines; what is left
//!   is drawn. Exact, and far cheaper than uniting polygons; the arcs are not chained to rings, so
//!   it serves for lines and not for fills.

use std::f64::consts::{PI, TAU};

use groundwright_geometry::{BezPath, Point, PointIndex};
use kurbo::{Arc, PathEl, Shape as _, Vec2};

/// A crown seen from above.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Circle {
    /// Its middle. [m]
    pub at: Point,
    /// Its radius. [m] Above zero.
    pub radius: f64,
}

/// Arcs flatter than this are rounding. [rad]
const SLIVER: f64 = 1e-9;

/// How far the curves may stray from the true arcs. [m]
const ACCURACY: f64 = 1e-4;

/// The arcs of all circles that lie outside all others.
pub(crate) fn outline(circles: &[Circle]) -> BezPath {
    let points: Vec<Point> = circles.iter().map(|circle| circle.at).collect();
    let index = PointIndex::new(&points);
    let widest = circles.iter().map(|circle| circle.radius).fold(0.0, f64::max);
    let mut path = BezPath::new();
    for (i, circle) in circles.iter().enumerate() {
        let mut near = index.within(circle.at, circle.radius + widest);
        near.sort_unstable();
        let mut covered = Vec::new();
        let mut hidden = false;
        for j in near.into_iter().filter(|&j| j != i) {
            match cover(*circle, circles[j], j < i) {
                Cover::Whole => hidden = true,
                Cover::Part(from, width) => covered.push((from, width)),
                Cover::Nothing => {}
            }
        }
        if !hidden {
            for (from, sweep) in left(covered) {
                arc(*circle, from, sweep, &mut path);
            }
        }
    }
    path
}

/// What one circle covers of another's edge.
enum Cover {
    Nothing,
    Whole,
    /// From an angle in 0 to 2π, over a width. [rad]
    Part(f64, f64),
}

/// Of two circles alike the one that comes first is drawn.
fn cover(circle: Circle, other: Circle, other_first: bool) -> Cover {
    let way = other.at - circle.at;
    let distance = way.hypot();
    if distance >= circle.radius + other.radius {
        return Cover::Nothing;
    }
    if distance <= other.radius - circle.radius {
        let alike = distance < 1e-12 && (other.radius - circle.radius).abs() < 1e-12;
        return if alike && !other_first { Cover::Nothing } else { Cover::Whole };
    }
    if distance <= circle.radius - other.radius {
        return Cover::Nothing;
    }
    let cosine =
        (circle.radius.powi(2) + distance.powi(2) - other.radius.powi(2)) / (2.0 * distance * circle.radius);
    let half = cosine.clamp(-1.0, 1.0).acos();
    Cover::Part((way.atan2() - half).rem_euclid(TAU), 2.0 * half)
}

/// Angles that no interval covers, as start and width, from the covered ones. [rad]
fn left(mut covered: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    if covered.is_empty() {
        return vec![(0.0, TAU)];
    }
    covered.sort_by(|a, b| a.0.total_cmp(&b.0));
    // What reaches over a whole turn covers the beginning as well.
    let over = covered.iter().map(|(from, width)| from + width - TAU).fold(0.0, f64::max);
    let mut free = Vec::new();
    let mut reached = over;
    for (from, width) in covered {
        if from - reached > SLIVER {
            free.push((reached, from - reached));
        }
        reached = reached.max(from + width);
    }
    if TAU - reached > SLIVER {
        free.push((reached, TAU - reached));
    }
    free
}

fn arc(circle: Circle, from: f64, sweep: f64, path: &mut BezPath) {
    let whole = sweep > TAU - SLIVER;
    let sweep = if whole { TAU } else { sweep };
    // Halves, so that no piece of a curve turns by more than a quarter of the accuracy it is given for.
    let parts = if sweep > PI { 2 } else { 1 };
    for part in 0..parts {
        let step = sweep / f64::from(parts);
        let arc = Arc::new(
            circle.at,
            Vec2::new(circle.radius, circle.radius),
            from + f64::from(part) * step,
            step,
            0.0,
        );
        for element in arc.path_elements(ACCURACY) {
            match element {
                PathEl::MoveTo(_) if part > 0 => {}
                element => path.push(element),
            }
        }
    }
    if whole {
        path.close_path();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn length(path: &BezPath) -> f64 {
        path.segments().map(|segment| kurbo::ParamCurveArclen::arclen(&segment, 1e-9)).sum()
    }

    fn circle(x: f64, y: f64, radius: f64) -> Circle {
        Circle { at: Point::new(x, y), radius }
    }

    #[test]
    fn a_circle_alone_is_drawn_whole_and_a_double_once() {
        assert!((length(&outline(&[circle(1.0, 2.0, 0.5)])) - PI).abs() < 1e-3);
        assert!((length(&outline(&[circle(1.0, 2.0, 0.5), circle(1.0, 2.0, 0.5)])) - PI).abs() < 1e-3);
        assert!((length(&outline(&[circle(0.0, 0.0, 2.0), circle(0.5, 0.0, 1.0)])) - TAU * 2.0).abs() < 1e-3);
    }

    /// Two unit circles one apart: each loses the angle 2 arccos(1/2) = 2π/3.
    #[test]
    fn two_circles_lose_what_the_law_of_cosines_says() {
        let both = outline(&[circle(0.0, 0.0, 1.0), circle(1.0, 0.0, 1.0)]);
        assert!((length(&both) - 2.0 * (TAU - TAU / 3.0)).abs() < 1e-3);
    }

    /// No point of the outline lies inside any circle, on a lattice of overlapping circles of two sizes.
    #[test]
    fn no_part_of_the_outline_is_covered() {
        let circles: Vec<Circle> = (0..60)
            .map(|i| {
                let (column, row) = (f64::from(i % 10), f64::from(i / 10));
                circle(column * 0.9 + 0.1 * row, row * 0.8, if i % 3 == 0 { 0.7 } else { 0.5 })
            })
            .collect();
        let path = outline(&circles);
        assert!(length(&path) > 5.0);
        for segment in path.segments() {
            for t in [0.1, 0.5, 0.9] {
                let at = kurbo::ParamCurve::eval(&segment, t);
                for other in &circles {
                    assert!(at.distance(other.at) > other.radius - 2.0 * ACCURACY);
                }
            }
        }
    }
}
