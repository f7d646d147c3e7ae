//! Nothing panics and no NaN comes out, whatever goes in.

use groundwright_geometry::{
    Curve, FLATTEN, Frame, Point, PointIndex, Rect, Region, RegionIndex, check_outline, frame, lattice,
    layout,
};
use proptest::prelude::*;

/// Any number at all, with those that make trouble among them.
fn number() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => -20.0..20.0_f64,
        2 => (-6..6_i32).prop_map(f64::from),
        1 => prop::sample::select(vec![
            0.0, -0.0, 1e-12, 9_999.9, -9_999.9, 1e5, 1e200, -1e300, f64::MAX, f64::MIN_POSITIVE,
            f64::NAN, f64::INFINITY, f64::NEG_INFINITY,
        ]),
    ]
}

/// Numbers of a yard on a coarse grid, so that points meet and lines overlap.
fn coarse() -> impl Strategy<Value = f64> {
    prop_oneof![8 => (-6..6_i32).prop_map(f64::from), 1 => -9000.0..9000.0_f64, 1 => -0.01..0.01_f64]
}

fn points(number: impl Strategy<Value = f64>) -> impl Strategy<Value = Vec<Point>> {
    let pair = prop::collection::vec(number, 0..24);
    pair.prop_map(|list| list.chunks_exact(2).map(|c| Point::new(c[0], c[1])).collect())
}

fn query_curve(curve: &Curve, region: &Region, s: f64, t: f64, place: Point) {
    assert!(curve.length() > 0.0 && curve.length().is_finite());
    assert!(curve.point(s).is_finite() && curve.tangent(s).is_finite());
    assert!((curve.normal(t).hypot() - 1.0).abs() < 1e-9);
    assert!(curve.curvature(s).is_finite());
    assert!(!curve.least_radius().is_nan() && curve.corners(s).len() <= curve.segments().len());
    let foot = curve.nearest(place);
    assert!(foot.station.is_finite() && !foot.distance.is_nan() && !foot.side.is_nan());
    if let Ok(part) = curve.sub(s, t) {
        assert!(part.length() > 0.0 && part.length() <= curve.length() * (1.0 + 1e-6) + 1e-6);
    }
    assert!(curve.reversed().length() > 0.0);
    for (from, to) in curve.intervals_outside(region).into_iter().chain(curve.intervals_inside(region)) {
        assert!(from <= to);
    }
    assert!(curve.crossings(region).iter().all(|c| c.point.is_finite()));
}

fn query_region(region: &Region, other: &Region, distance: f64, place: Point) {
    assert!(region.area() >= 0.0 && region.perimeter() >= 0.0);
    let index = RegionIndex::new(region);
    assert_eq!(index.contains(place), region.contains(place));
    assert!(!region.signed_distance(place).is_nan() && !index.signed_distance(place).is_nan());
    let results = [
        region.union(other),
        region.intersection(other),
        region.difference(other),
        region.grow(distance),
        region.grow(-distance.abs()),
        region.narrow_parts(distance),
    ];
    for result in &results {
        assert!(result.area().is_finite() && result.to_path().is_finite());
        assert_eq!(result.is_empty(), result.area() == 0.0);
        if let Some((pole, depth)) = result.pole(0.1) {
            assert!(pole.is_finite() && depth > 0.0);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn curves_of_any_points(
        list in prop_oneof![points(number()), points(coarse())], closed in any::<bool>(),
        s in number(), t in number(), place in (number(), number()),
    ) {
        let disc = Region::circle(Point::new(1.0, 1.0), 3.0).unwrap();
        let mut curves = vec![Curve::polyline(&list, closed), Curve::smooth(&list, closed)];
        if let [a, b, c, ..] = list[..] {
            curves.push(Curve::arc(a, b, c));
            curves.push(Curve::circle(a, s));
        }
        let made: Vec<Curve> = curves.into_iter().flatten().collect();
        for curve in &made {
            query_curve(curve, &disc, s, t, place.into());
        }
        if let Ok(joined) = Curve::join(made) {
            query_curve(&joined, &disc, s, t, place.into());
            if let Ok(ring) = joined.closed() {
                let _ = Region::from_curve(&ring, FLATTEN);
            }
        }
    }

    #[test]
    fn regions_of_any_points(
        one in prop_oneof![points(number()), points(coarse())],
        two in points(coarse()), distance in number(), place in (number(), number()),
    ) {
        let _ = check_outline(&one);
        let ring = Region::polygon(&two).unwrap_or_else(|_| Region::empty());
        let disc = Region::circle(place.into(), distance).unwrap_or_else(|_| ring.clone());
        let region = Region::polygon(&one).unwrap_or_else(|_| disc.clone());
        query_region(&region, &ring, distance.clamp(-50.0, 50.0), place.into());
        query_region(&ring.union(&disc), &region, distance.clamp(-50.0, 50.0), place.into());
    }

    /// The outline has a region if and only if no fault is found.
    #[test]
    fn a_region_needs_a_faultless_outline(list in points(coarse())) {
        prop_assert_eq!(Region::polygon(&list).is_ok(), check_outline(&list).is_empty());
    }

    #[test]
    fn everything_else_of_any_numbers(list in prop::collection::vec(number(), 8), cloud in points(number())) {
        let bounds = Rect::new(list[0], list[1], list[2], list[3]);
        let (spacing, origin) = (list[4].abs().max(1e-3), Point::new(list[5], list[6]));
        if bounds.width().abs() < 50.0 * spacing && bounds.height().abs() < 50.0 * spacing {
            for lattice in [lattice::square, lattice::triangular] {
                if let Ok(points) = lattice(bounds, spacing, origin, list[7]) {
                    prop_assert!(points.iter().all(|p| p.is_finite()));
                }
            }
        }
        let _ = layout::triangular_rows(list[0].min(1e4), list[1].min(1e4), list[2].max(0.01));
        let _ = layout::closed_row(list[3], list[4]);
        let index = PointIndex::new(&cloud);
        let nearest = index.nearest(origin);
        prop_assert!(nearest.is_none_or(|(i, d)| i < cloud.len() && !d.is_nan()));
        let _ = index.within(origin, list[0]);
        let _ = frame::compass_name(list[0]);
        prop_assert!(frame::bearing(Point::new(list[1], list[2]) - origin).is_finite());
        let _ = Frame::along(origin, Point::new(list[1], list[2]));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn parallels_of_any_curve(list in points(coarse()), closed in any::<bool>(), distance in number()) {
        for curve in [Curve::polyline(&list, closed), Curve::smooth(&list, closed)].into_iter().flatten() {
            for piece in curve.offset(distance, 0.005) {
                prop_assert!(piece.length().is_finite());
            }
        }
    }
}
