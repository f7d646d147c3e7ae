//! Curves: lengths against closed forms, laws of stations, feet, parts and crossings.

use std::f64::consts::{PI, TAU};

use groundwright_geometry::curve::arc_length;
use groundwright_geometry::{BezPath, Curve, FLATTEN, GeometryFault, Point, Rect, Region, Vec2};
use kurbo::QuadBez;
use proptest::prelude::*;

use crate::given::{closed_curve, open_curve, walk};

fn p(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

/// The arc of a circle from one angle through half the turn to the end.
fn arc(radius: f64, from: f64, turn: f64) -> Curve {
    let at = |angle: f64| p(3.0, -2.0) + Vec2::from_angle(angle) * radius;
    Curve::arc(at(from), at(from + turn / 2.0), at(from + turn)).unwrap()
}

proptest! {
    /// An arc is as long as r times its angle, stays on its circle, and bends by 1/r.
    #[test]
    fn an_arc_has_the_closed_form(
        radius in 0.3..80.0_f64, from in -3.0..3.0, turn in 0.3..6.0_f64, left in any::<bool>(),
    ) {
        let signed = if left { turn } else { -turn };
        let curve = arc(radius, from, signed);
        prop_assert!((curve.length() - radius * turn).abs() < 1e-6);
        for i in 0..=20 {
            let station = curve.length() * f64::from(i) / 20.0;
            let expected = p(3.0, -2.0)
                + Vec2::from_angle(from + signed * f64::from(i) / 20.0) * radius;
            prop_assert!(curve.point(station).distance(expected) < 2e-6);
            prop_assert!((curve.curvature(station) * radius - signed.signum()).abs() < 1e-3);
        }
        prop_assert!((curve.least_radius() / radius - 1.0).abs() < 1e-3);
    }

    /// Parabola y = k x² from 0 to a: L = a/2 √(1 + 4k²a²) + asinh(2ka) / 4k.
    #[test]
    fn a_parabola_has_the_closed_form_at_every_accuracy(k in 0.01..20.0_f64, a in 0.1..30.0_f64) {
        prop_assume!(k * a * a < 5000.0);
        let quad = QuadBez::new(p(0., 0.), p(a / 2.0, 0.0), p(a, k * a * a));
        let mut path = BezPath::new();
        path.move_to(quad.p0);
        path.quad_to(quad.p1, quad.p2);
        let curve = Curve::from_path(&path).unwrap();
        let expected = a / 2.0 * (1.0 + 4.0 * k * k * a * a).sqrt() + (2.0 * k * a).asinh() / (4.0 * k);
        prop_assert!((curve.length() - expected).abs() < 1e-6, "{} {}", curve.length(), expected);
        for accuracy in [1e-3, 1e-5, 1e-7, 1e-9] {
            let length = arc_length(&curve.segments()[0], accuracy);
            let off = (length - expected).abs();
            prop_assert!(off < accuracy + 1e-12 * expected, "off by {off:e} at {accuracy:e}");
        }
    }

    /// A point of the curve is its own foot, and stations lead back to it.
    #[test]
    fn a_point_of_the_curve_is_its_own_foot(curve in open_curve(), share in 0.0..1.0) {
        let point = curve.point(share * curve.length());
        let foot = curve.nearest(point);
        prop_assert!(foot.distance < 1e-6);
        prop_assert!(curve.point(foot.station).distance(point) < 5e-6);
    }

    /// No point of the curve is nearer than the foot; the side is the sign of the cross product.
    #[test]
    fn the_foot_is_the_nearest_point(
        curve in open_curve(), x in -70.0..70.0, y in -70.0..70.0,
    ) {
        let place = p(x, y);
        let foot = curve.nearest(place);
        let nearest = curve.flatten(1e-4).into_iter().map(|q| q.distance(place));
        let nearest = nearest.fold(f64::INFINITY, f64::min);
        prop_assert!(foot.distance <= nearest + 1e-9);
        prop_assert!((foot.point.distance(place) - foot.distance).abs() < 1e-9);
        prop_assert!((foot.side.abs() - foot.distance).abs() < 1e-12);
        prop_assert!(curve.point(foot.station).distance(foot.point) < 5e-6);
        let inner = foot.station > 1e-3 && foot.station < curve.length() - 1e-3;
        let corner = curve.corners(1e-3).iter().any(|s| (s - foot.station).abs() < 1e-3);
        if inner && !corner && foot.distance > 1e-3 {
            let cross = curve.tangent(foot.station).cross(place - foot.point);
            prop_assert!((cross - foot.side).abs() < 1e-3 * foot.distance.max(1.0));
        }
    }

    /// The two parts of a cut curve are as long as the whole, and meet at the cut.
    #[test]
    fn the_parts_of_a_curve_add_up(curve in open_curve(), share in 0.05..0.95) {
        let cut = share * curve.length();
        let (near, far) = (curve.sub(0.0, cut).unwrap(), curve.sub(cut, curve.length()).unwrap());
        prop_assert!((near.length() - cut).abs() < 2e-6);
        prop_assert!((near.length() + far.length() - curve.length()).abs() < 4e-6);
        prop_assert!(near.end().distance(far.start()) < 1e-9);
        let half = far.length() / 2.0;
        prop_assert!(far.point(half).distance(curve.point(cut + half)) < 5e-6);
    }

    /// A piece of a closed curve and what is left of it make the whole, whichever wraps round.
    #[test]
    fn pieces_of_a_closed_curve_wrap(curve in closed_curve(), a in 0.0..1.0, b in 0.0..1.0) {
        let (from, to) = (a * curve.length(), b * curve.length());
        prop_assume!(f64::abs(from - to) > 0.01);
        let (one, other) = (curve.sub(from, to).unwrap(), curve.sub(to, from).unwrap());
        prop_assert!((one.length() + other.length() - curve.length()).abs() < 4e-6);
        prop_assert!(one.end().distance(other.start()) < 1e-6);
        prop_assert!(other.end().distance(one.start()) < 1e-6);
        prop_assert!(!one.is_closed());
        prop_assert!(curve.point(from + curve.length()).distance(curve.point(from)) < 1e-5);
    }

    /// Reversed: the same length, the same places from the other end, opposite directions.
    #[test]
    fn a_reversed_curve_runs_back(curve in open_curve(), share in 0.01..0.99) {
        let back = curve.reversed();
        let (there, here) = (share * curve.length(), (1.0 - share) * curve.length());
        prop_assert!((back.length() - curve.length()).abs() < 1e-9);
        prop_assert!(back.point(here).distance(curve.point(there)) < 5e-6);
        prop_assert_eq!(back.reversed(), curve);
    }

    /// A smooth curve passes all its points, in order, without a corner.
    #[test]
    fn a_smooth_curve_passes_its_points(points in walk(10)) {
        let curve = Curve::smooth(&points, false).unwrap();
        let mut station = 0.0;
        for &point in &points {
            let foot = curve.sub(station, curve.length()).map_or(0.0, |rest| rest.nearest(point).distance);
            prop_assert!(foot < 1e-6);
            station = curve.nearest(point).station.max(station);
        }
        prop_assert!(curve.corners(1e-4).is_empty());
        let tangent = curve.tangent(curve.length() / 3.0);
        prop_assert!((tangent.hypot() - 1.0).abs() < 1e-12);
        prop_assert!((curve.normal(curve.length() / 3.0).dot(tangent)).abs() < 1e-12);
    }

    /// What lies outside a region and what lies inside make the whole, and are where they say.
    #[test]
    fn intervals_in_and_out_share_the_curve(
        curve in prop_oneof![open_curve(), closed_curve()], x in -30.0..30.0, y in -30.0..30.0, r in 1.0..15.0,
    ) {
        let disc = Region::circle(p(x, y), r).unwrap();
        let (outside, inside) = (curve.intervals_outside(&disc), curve.intervals_inside(&disc));
        let total: f64 = outside.iter().chain(&inside).map(|(from, to)| to - from).sum();
        prop_assert!((total - curve.length()).abs() < 1e-6);
        for (list, within) in [(&outside, false), (&inside, true)] {
            for &(from, to) in list {
                for share in [0.1, 0.5, 0.9] {
                    let place = curve.point(from + share * (to - from));
                    let depth = disc.signed_distance(place);
                    prop_assert!(depth.abs() < 1e-6 || (depth > 0.0) == within);
                }
            }
        }
        for crossing in curve.crossings(&disc) {
            prop_assert!(disc.boundary_distance(crossing.point) < 1e-5);
        }
        if curve.is_closed() {
            prop_assert!(curve.crossings(&disc).len() % 2 == 0);
        }
    }
}

/// A polyline through a rectangle enters at 3 m and leaves at 7 m.
#[test]
fn a_line_enters_and_leaves_a_rectangle() {
    let walk = Region::rectangle(Rect::new(3.0, -1.0, 7.0, 1.0)).unwrap();
    let row = Curve::polyline(&[p(0., 0.), p(12., 0.)], false).unwrap();
    let crossings = row.crossings(&walk);
    assert_eq!(crossings.iter().map(|c| c.enters).collect::<Vec<_>>(), [true, false]);
    assert!((crossings[0].station - 3.0).abs() < 1e-6 && (crossings[1].station - 7.0).abs() < 1e-6);
    let outside = row.intervals_outside(&walk);
    assert_eq!(outside.len(), 2);
    assert!((outside[1].0 - 7.0).abs() < 1e-6 && (outside[1].1 - 12.0).abs() < 1e-6);
}

/// Meetings at the corners of the region and at the joints of the curve are not lost.
#[test]
fn a_line_through_corners_and_joints_is_cut_there() {
    let diamond = Region::polygon(&[p(3., 0.), p(5., -2.), p(7., 0.), p(5., 2.)]).unwrap();
    let through_corners = Curve::polyline(&[p(0., 0.), p(12., 0.)], false).unwrap();
    let with_joints = [p(0., 0.), p(3., 0.), p(4., 0.5), p(6., -1.), p(8., -3.)];
    for (curve, inside) in [
        (through_corners, (3.0, 7.0)),
        (Curve::polyline(&with_joints, false).unwrap(), (3.0, 3.0 + 1.25_f64.sqrt() + 2.5)),
    ] {
        let found = curve.intervals_inside(&diamond);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!((found[0].0 - inside.0).abs() < 1e-5 && (found[0].1 - inside.1).abs() < 1e-5, "{found:?}");
    }
}

/// On a closed curve the interval through the start is one, and can be cut out as it is given.
#[test]
fn an_interval_through_the_start_is_whole() {
    let ring = Curve::circle(Point::ORIGIN, 5.0).unwrap();
    let west = Region::rectangle(Rect::new(-9.0, -9.0, 0.0, 9.0)).unwrap();
    let outside = ring.intervals_outside(&west);
    assert_eq!(outside.len(), 1);
    let east = ring.sub(outside[0].0, outside[0].1).unwrap();
    assert!((east.length() - PI * 5.0).abs() < 1e-5);
    assert!(east.point(east.length() / 2.0).distance(p(5.0, 0.0)) < 1e-5);
    let clear = Region::rectangle(Rect::new(20.0, 20.0, 30.0, 30.0)).unwrap();
    assert_eq!(ring.intervals_outside(&clear), [(0.0, ring.length())]);
}

#[test]
fn a_circle_is_as_long_as_its_circumference_at_every_size() {
    for radius in [0.05, 0.5, 5.0, 50.0, 500.0] {
        let ring = Curve::circle(p(1.0, 2.0), radius).unwrap();
        assert!((ring.length() - TAU * radius).abs() < 1e-6, "{radius}");
        let foot = ring.nearest(p(1.0 + radius * 3.0, 2.0));
        assert!((foot.distance - 2.0 * radius).abs() < 1e-6 && foot.side < 0.0);
    }
}

#[test]
fn joined_pieces_close_their_gaps_with_straight_lines() {
    let one = Curve::polyline(&[p(0., 0.), p(4., 0.)], false).unwrap();
    let two = Curve::polyline(&[p(4., 3.), p(0., 3.)], false).unwrap();
    let open = Curve::join(vec![one, two]).unwrap();
    assert!((open.length() - 11.0).abs() < 1e-9 && !open.is_closed());
    let closed = open.closed().unwrap();
    assert!((closed.length() - 14.0).abs() < 1e-9 && closed.is_closed());
    assert_eq!(closed.corners(0.1), [0.0, 4.0, 7.0, 11.0]);
    assert!((Region::from_curve(&closed, FLATTEN).unwrap().area() - 12.0).abs() < 1e-9);
}

#[test]
fn three_points_on_a_line_make_a_straight_arc_or_none() {
    let straight = Curve::arc(p(0., 0.), p(1., 1.), p(3., 3.)).unwrap();
    assert!((straight.length() - 18.0_f64.sqrt()).abs() < 1e-9);
    assert_eq!(Curve::arc(p(0., 0.), p(4., 4.), p(3., 3.)), Err(GeometryFault::NoArc));
}

#[test]
fn faults_name_the_point_as_people_count() {
    let repeated = Curve::smooth(&[p(0., 0.), p(2., 0.), p(2., 0.), p(3., 1.)], false).unwrap_err();
    assert_eq!(
        repeated.to_string(),
        "points 2 and 3 lie within 1 mm of each other at (2.000 m, 0.000 m); remove one of them"
    );
    let nan = Curve::polyline(&[p(0., 0.), p(f64::NAN, 0.)], false).unwrap_err();
    assert_eq!(nan, GeometryFault::NotFinite { index: 1 });
    let single = Curve::polyline(&[p(0., 0.), p(0., 0.)], false).unwrap_err();
    assert_eq!(single, GeometryFault::TooFewPoints { found: 1, needed: 2 });
}
