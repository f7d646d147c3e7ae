//! Parallel curves: their distance, closed forms, trimming.

use std::f64::consts::{PI, TAU};

use groundwright_geometry::{Curve, Point};
use proptest::prelude::*;

use crate::given::{closed_curve, open_curve};

fn p(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

/// Largest and smallest distance of points along the pieces from a curve.
fn distances(pieces: &[Curve], base: &Curve) -> (f64, f64) {
    let along = |piece: &Curve| {
        let piece = piece.clone();
        (0..=200).map(move |i| piece.point(piece.length() * f64::from(i) / 200.0))
    };
    let all = pieces.iter().flat_map(|piece| piece.flatten(1e-3).into_iter().chain(along(piece)));
    all.map(|point| base.nearest(point).distance)
        .fold((f64::INFINITY, 0.0), |(low, high), d| (low.min(d), high.max(d)))
}

proptest! {
    /// Every point of the parallel is at the distance, within the tolerance.
    #[test]
    fn a_parallel_keeps_its_distance(
        curve in prop_oneof![open_curve(), closed_curve()], distance in -3.0..3.0,
    ) {
        prop_assume!(f64::abs(distance) > 0.02);
        let tolerance = 0.005;
        let pieces = curve.offset(distance, tolerance);
        if !pieces.is_empty() {
            let (low, high) = distances(&pieces, &curve);
            prop_assert!(low >= distance.abs() - tolerance, "{low} {distance}");
            prop_assert!(high <= distance.abs() + tolerance, "{high} {distance}");
        }
    }

    /// Where the curve runs free of itself, the parallel lies on the side asked for.
    #[test]
    fn a_parallel_of_an_arc_is_an_arc(radius in 2.0..20.0_f64, turn in 0.5..3.0, distance in -1.5..1.5) {
        prop_assume!(f64::abs(distance) > 0.02);
        let at = |angle: f64| p(radius * angle.cos(), radius * angle.sin());
        let base = Curve::arc(at(0.0), at(turn / 2.0), at(turn)).unwrap();
        let pieces = base.offset(distance, 0.002);
        prop_assert_eq!(pieces.len(), 1);
        // To the left of a left bend lies its centre.
        let expected = (radius - distance) * turn;
        prop_assert!((pieces[0].length() - expected).abs() < 0.002 * expected + 1e-6);
    }
}

#[test]
fn the_parallel_of_a_circle_is_a_closed_circle() {
    let ring = Curve::circle(p(2.0, 1.0), 4.0).unwrap();
    for (distance, radius) in [(1.0, 3.0), (-1.0, 5.0), (3.5, 0.5)] {
        let pieces = ring.offset(distance, 1e-3);
        assert_eq!(pieces.len(), 1, "{distance}");
        assert!(pieces[0].is_closed());
        assert!((pieces[0].length() - TAU * radius).abs() < 1e-2);
    }
    assert!(ring.offset(4.5, 1e-3).is_empty());
}

/// Outside a square the corners are rounded, inside they are mitred by trimming.
#[test]
fn the_parallels_of_a_square() {
    let square = Curve::polyline(&[p(0., 0.), p(6., 0.), p(6., 6.), p(0., 6.)], true).unwrap();
    let inner = square.offset(1.0, 1e-3);
    assert_eq!((inner.len(), inner[0].is_closed()), (1, true));
    assert!((inner[0].length() - 16.0).abs() < 1e-2, "{}", inner[0].length());
    let outer = square.offset(-1.0, 1e-3);
    assert_eq!((outer.len(), outer[0].is_closed()), (1, true));
    assert!((outer[0].length() - (24.0 + TAU)).abs() < 1e-2);
    assert!(square.offset(3.1, 1e-3).is_empty());
}

/// A waist narrower than twice the distance parts the inner parallel in two.
#[test]
fn a_waist_parts_the_parallel() {
    let glass =
        Curve::polyline(&[p(0., 0.), p(4., 2.5), p(8., 0.), p(8., 6.), p(4., 3.5), p(0., 6.)], true).unwrap();
    let pieces = glass.offset(0.7, 1e-3);
    assert_eq!(pieces.len(), 2);
    assert!(pieces.iter().all(Curve::is_closed));
    assert_eq!(glass.offset(0.3, 1e-3).len(), 1);
}

/// A half circle with straight legs: r π becomes (r + d) π on the outside.
#[test]
fn a_bend_between_straight_legs_keeps_one_parallel() {
    let bend = Curve::join(vec![
        Curve::polyline(&[p(-5., -2.), p(0., -2.)], false).unwrap(),
        Curve::arc(p(0., -2.), p(2., 0.), p(0., 2.)).unwrap(),
        Curve::polyline(&[p(0., 2.), p(-5., 2.)], false).unwrap(),
    ])
    .unwrap();
    let outside = bend.offset(-1.0, 1e-3);
    assert_eq!(outside.len(), 1);
    assert!((outside[0].length() - (10.0 + 3.0 * PI)).abs() < 1e-2);
    // To the left, beyond the centre of the bend, nothing of the legs' parallels is left.
    assert!(bend.offset(2.01, 1e-3).iter().all(|piece| piece.length() < 5.0));
}
