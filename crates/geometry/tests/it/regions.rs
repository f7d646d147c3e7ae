//! Regions: areas under motion, set identities, growth, narrow parts, distances, the pole.

use std::f64::consts::PI;

use groundwright_geometry::{Curve, FLATTEN, GeometryFault, Point, Rect, Region, RegionIndex, Vec2};
use proptest::prelude::*;

use crate::given::{closed_curve, moved, region, star};

fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Region {
    Region::rectangle(Rect::new(x0, y0, x1, y1)).unwrap()
}

proptest! {
    /// Turning and shifting an outline changes no area or perimeter; scaling by s gives s² and s.
    #[test]
    fn areas_follow_motion_and_scale(
        points in star(15.0), angle in -3.2..3.2, scale in 0.2..4.0, x in -90.0..90.0, y in -90.0..90.0,
    ) {
        let still = Region::polygon(&points).unwrap();
        let other = Region::polygon(&moved(&points, angle, scale, Vec2::new(x, y))).unwrap();
        prop_assert!((other.area() - still.area() * scale * scale).abs() < 1e-9 * other.area());
        prop_assert!((other.perimeter() - still.perimeter() * scale).abs() < 1e-9 * other.perimeter());
    }

    /// |A ∪ B| + |A ∩ B| = |A| + |B| and |A \ B| + |A ∩ B| = |A|.
    #[test]
    fn union_difference_and_intersection_share_out_the_area(a in region(), b in region()) {
        let (union, common, rest) = (a.union(&b), a.intersection(&b), a.difference(&b));
        prop_assert!((union.area() + common.area() - a.area() - b.area()).abs() < 1e-4);
        prop_assert!((rest.area() + common.area() - a.area()).abs() < 1e-4);
        prop_assert_eq!(a.overlaps(&b, 1e-3), common.area() > 1e-3);
        let all = Region::union_all([&a, &b]);
        prop_assert!((all.area() - union.area()).abs() < 1e-4);
        let parts: f64 = union.parts().iter().map(Region::area).sum();
        prop_assert!((parts - union.area()).abs() < 1e-9);
    }

    /// Steiner's formula for a convex shape: A + P d + π d².
    #[test]
    fn a_grown_convex_region_obeys_steiner(
        points in prop::collection::vec((0.0..30.0_f64, 0.0..30.0_f64), 3..12), distance in 0.05..8.0,
    ) {
        let convex = hull(&points);
        prop_assume!(convex.area() > 0.5);
        let grown = convex.grow(distance);
        let expected = convex.area() + convex.perimeter() * distance + PI * distance * distance;
        let slack = FLATTEN * 2.0 * PI * distance + 1e-4;
        prop_assert!((grown.area() - expected).abs() < slack, "{} {expected}", grown.area());
    }

    /// A place lies in the grown region if and only if its distance says so, and the same inward.
    #[test]
    fn growing_agrees_with_the_distance(
        region in region(), distance in -3.0..3.0,
        places in prop::collection::vec((-35.0..35.0_f64, -35.0..35.0_f64), 60),
    ) {
        prop_assume!(f64::abs(distance) > 0.01);
        let grown = region.grow(distance);
        for place in places {
            let place = Point::from(place);
            let depth = region.signed_distance(place) + distance;
            if depth.abs() > FLATTEN {
                prop_assert_eq!(grown.contains(place), depth > 0.0, "{} {}", place, depth);
            }
        }
    }

    /// The index answers as the plain search does.
    #[test]
    fn the_index_agrees_with_the_region(
        region in region(), places in prop::collection::vec((-35.0..35.0_f64, -35.0..35.0_f64), 60),
    ) {
        let index = RegionIndex::new(&region);
        for place in places {
            let place = Point::from(place);
            prop_assert_eq!(index.contains(place), region.contains(place));
            let (fast, slow) = (index.signed_distance(place), region.signed_distance(place));
            prop_assert!((fast - slow).abs() < 1e-9);
        }
    }

    /// No place is deeper inside than the pole, but for the tolerance.
    #[test]
    fn the_pole_is_the_deepest_point(
        region in region(), places in prop::collection::vec((-35.0..35.0_f64, -35.0..35.0_f64), 200),
    ) {
        let (pole, depth) = region.pole(0.05).unwrap();
        prop_assert!((region.signed_distance(pole) - depth).abs() < 1e-9);
        let index = RegionIndex::new(&region);
        let deepest = places.into_iter().map(|p| index.signed_distance(p.into())).fold(0.0, f64::max);
        prop_assert!(deepest <= depth + 0.05);
    }

    /// The area of a flattened closed curve is that of the curve by Green's theorem.
    #[test]
    fn a_region_has_the_area_of_its_curve(curve in closed_curve()) {
        use kurbo::Shape;
        // A spline with short spokes may cross itself, which is a fault of its own.
        if let Ok(region) = Region::from_curve(&curve, FLATTEN) {
            let slack = FLATTEN * curve.length();
            prop_assert!((region.area() - curve.path().area().abs()).abs() < slack);
        }
    }
}

/// Convex hull (monotone chain).
fn hull(points: &[(f64, f64)]) -> Region {
    let mut sorted: Vec<Point> = points.iter().map(|&p| p.into()).collect();
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let mut ring: Vec<Point> = Vec::new();
    for pass in 0..2 {
        let floor = ring.len() + 1;
        for &point in &sorted {
            while ring.len() > floor
                && (ring[ring.len() - 1] - ring[ring.len() - 2]).cross(point - ring[ring.len() - 1]) <= 1e-6
            {
                ring.pop();
            }
            ring.push(point);
        }
        ring.pop();
        if pass == 0 {
            sorted.reverse();
        }
    }
    Region::polygon(&ring).unwrap_or_else(|_| Region::empty())
}

#[test]
fn a_rectangle_has_its_plain_measures() {
    let bed = rectangle(1.0, 2.0, 9.0, 5.0);
    assert!((bed.area() - 24.0).abs() < 1e-12);
    assert!((bed.perimeter() - 22.0).abs() < 1e-12);
    assert!(bed.centroid().unwrap().distance(Point::new(5.0, 3.5)) < 1e-12);
    assert_eq!(bed.bounds(), Some(Rect::new(1.0, 2.0, 9.0, 5.0)));
    assert!((bed.signed_distance(Point::new(2.0, 4.0)) - 1.0).abs() < 1e-12);
    assert!((bed.signed_distance(Point::new(-2.0, -2.0)) + 5.0).abs() < 1e-12);
    let (pole, depth) = bed.pole(0.01).unwrap();
    assert!((depth - 1.5).abs() < 0.01 && (pole.y - 3.5).abs() < 0.02);
}

#[test]
fn a_disc_has_the_area_of_its_circle() {
    for radius in [0.05, 0.6, 4.0, 30.0] {
        let disc = Region::circle(Point::new(3.0, -7.0), radius).unwrap();
        assert!((disc.area() / (PI * radius * radius) - 1.0).abs() < 1e-9);
        for corner in &disc.outlines()[0] {
            assert!((corner.distance(Point::new(3.0, -7.0)) - radius).abs() <= FLATTEN / 2.0);
        }
    }
}

/// A hole is a ring of its own, and the path fills as the region does.
#[test]
fn a_hole_is_kept() {
    use kurbo::Shape;
    let ring = rectangle(0.0, 0.0, 10.0, 10.0).difference(&rectangle(4.0, 4.0, 6.0, 6.0));
    assert!((ring.area() - 96.0).abs() < 1e-6);
    assert_eq!(ring.rings()[0].len(), 2);
    assert!(!ring.contains(Point::new(5.0, 5.0)));
    assert!((ring.perimeter() - 48.0).abs() < 1e-6);
    assert!((ring.to_path().area() - 96.0).abs() < 1e-6);
    assert_eq!(ring.to_path().winding(Point::new(5.0, 5.0)), 0);
}

/// Two squares of 4 m joined by a neck 2 m long and 0.5 m wide: the neck is all that is narrow.
#[test]
fn a_neck_is_the_narrow_part_of_two_squares() {
    let squares = rectangle(0.0, 0.0, 4.0, 4.0).union(&rectangle(6.0, 0.0, 10.0, 4.0));
    let bed = squares.union(&rectangle(3.9, 1.5, 6.1, 2.0));
    let narrow = bed.narrow_parts(0.8);
    assert_eq!(narrow.parts().len(), 1);
    // The disc of 0.4 m bulges into both ends of the neck by a segment on a chord of 0.5 m.
    let half_angle = (0.25_f64 / 0.4).asin();
    let segment = 0.4 * 0.4 * half_angle - 0.25 * 0.4 * half_angle.cos();
    assert!((narrow.area() - (1.0 - 2.0 * segment)).abs() < 0.01, "{}", narrow.area());
    assert!(narrow.contains(Point::new(5.0, 1.75)));
    assert!(bed.narrow_parts(0.4).is_empty());
    assert!(squares.narrow_parts(1.5).is_empty());
    // Wider than the squares, everything is narrow.
    assert!((squares.narrow_parts(4.5).area() - 32.0).abs() < 1e-3);
}

#[test]
fn faulty_outlines_are_refused_with_a_reason() {
    let p = |x, y| Point::new(x, y);
    let crossing = Region::polygon(&[p(0., 0.), p(4., 4.), p(4., 0.), p(0., 3.)]).unwrap_err();
    assert_eq!(
        crossing.to_string(),
        "edges 1 and 3 of the outline cross at (1.714 m, 1.714 m); reorder or move their points"
    );
    let far = Region::polygon(&[p(0., 0.), p(40_000., 0.), p(4., 4.)]).unwrap_err();
    assert!(far.to_string().contains("kilometre-sized slip"));
    let open = Curve::polyline(&[p(0., 0.), p(4., 4.)], false).unwrap();
    assert_eq!(Region::from_curve(&open, FLATTEN), Err(GeometryFault::OpenCurve));
    let twice = Region::polygon(&[p(0., 0.), p(4., 0.), p(4., 0.0005), p(0., 3.)]).unwrap_err();
    assert!(matches!(twice, GeometryFault::DuplicatePoint { first: 1, second: 2, .. }));
}

/// Two squares that meet in a corner, walked round in one line; a line back on itself; too few points.
#[test]
fn a_traced_line_may_touch_itself() {
    let eight =
        [(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (4.0, 2.0), (4.0, 5.0), (2.0, 5.0), (2.0, 2.0), (0.0, 2.0)];
    let points: Vec<Point> = eight.iter().map(|&(x, y)| Point::new(x, y)).collect();
    let region = Region::traced(&points);
    assert!((region.area() - (4.0 + 6.0)).abs() < 1e-6, "{}", region.area());
    assert!(region.contains(Point::new(1.0, 1.0)) && region.contains(Point::new(3.0, 4.0)));
    assert!(!region.contains(Point::new(1.0, 4.0)) && !region.contains(Point::new(3.0, 1.0)));
    let twice: Vec<Point> = points[..4].iter().flat_map(|&p| [p, p]).collect();
    assert!((Region::traced(&twice).area() - Region::traced(&points[..4]).area()).abs() < 1e-9);
    let back = [Point::new(0.0, 0.0), Point::new(3.0, 0.0), Point::new(1.0, 0.0)];
    assert!(Region::traced(&back).is_empty() && Region::traced(&points[..2]).is_empty());
}

/// Regions in several heaps, far apart and touching: the union is what it is by pairs.
#[test]
fn a_union_of_heaps_is_the_union_by_pairs() {
    let squares: Vec<Region> = (0..24)
        .map(|i| {
            // Heaps of four that overlap or touch by a side; the heaps stand 10 m apart.
            let (x, y) = (f64::from(i % 4) + 10.0 * f64::from(i / 4), f64::from(i % 3) * 0.5);
            rectangle(x, y, x + 1.0, y + 1.0)
        })
        .collect();
    let all = Region::union_all(&squares);
    let by_pairs = squares.iter().fold(Region::empty(), |sum, one| sum.union(one));
    assert!((all.area() - by_pairs.area()).abs() < 1e-6 && (all.area() - 24.0).abs() < 1e-6);
    assert_eq!(all.parts().len(), by_pairs.parts().len());
    assert!(all.difference(&by_pairs).area() < 1e-6 && by_pairs.difference(&all).area() < 1e-6);
}

proptest! {
    /// An index of several parts answers as the region does, near and far; within a reach it gives the
    /// same distance, beyond it none.
    #[test]
    fn an_index_of_parts_answers_as_the_region(
        one in region(), other in star(15.0), apart in 30.0..90.0_f64, reach in 0.1..6.0_f64,
        places in prop::collection::vec((-35.0..125.0_f64, -35.0..35.0_f64), 60),
    ) {
        let other = Region::polygon(&moved(&other, 0.0, 1.0, Vec2::new(apart, 0.0))).unwrap();
        let both = one.union(&other);
        let index = RegionIndex::new(&both);
        prop_assert_eq!(index.bounds(), both.bounds());
        for place in places.into_iter().map(|(x, y)| Point::new(x, y)) {
            prop_assert_eq!(index.contains(place), both.contains(place));
            let (far, near) = (both.signed_distance(place), index.signed_distance_within(place, reach));
            if far.abs() <= reach - 1e-9 {
                prop_assert!((near - far).abs() < 1e-9, "{} {}", near, far);
            } else if far.abs() > reach + 1e-9 {
                prop_assert!(near.is_infinite() && near.signum() * far > 0.0, "{} {}", near, far);
            }
        }
    }
}
