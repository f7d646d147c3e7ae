//! Shapes to try the laws on.

use groundwright_geometry::{Curve, Point, Region, Vec2};
use proptest::prelude::*;

/// Points of a walk with steps of 0.4 m to 6 m and turns of at most 2.2 rad.
pub fn walk(most: usize) -> impl Strategy<Value = Vec<Point>> {
    let steps = prop::collection::vec((0.4..6.0_f64, -2.2..2.2_f64), 2..most);
    (steps, -50.0..50.0_f64, -50.0..50.0_f64).prop_map(|(steps, x, y)| {
        let mut at = Point::new(x, y);
        let mut angle = 0.0;
        let mut points = vec![at];
        for (step, turn) in steps {
            angle += turn;
            at += Vec2::from_angle(angle) * step;
            points.push(at);
        }
        points
    })
}

/// Open curves: smooth ones, polylines, and both joined.
pub fn open_curve() -> impl Strategy<Value = Curve> {
    (walk(8), walk(5), 0..3_u8).prop_filter_map("an open curve", |(one, two, kind)| {
        let smooth = Curve::smooth(&one, false).ok()?;
        let straight = Curve::polyline(&two, false).ok()?;
        match kind {
            0 => Some(smooth),
            1 => Some(straight),
            _ => Curve::join(vec![smooth, straight]).ok(),
        }
    })
}

/// Outlines that see all of themselves from their middle, so that they never cross themselves.
pub fn star(reach: f64) -> impl Strategy<Value = Vec<Point>> {
    let middle = (-20.0..20.0_f64, -20.0..20.0_f64);
    (prop::collection::vec(0.3..1.0_f64, 5..14), middle).prop_map(move |(reaches, (x, y))| {
        let step = std::f64::consts::TAU / reaches.len() as f64;
        let spoke =
            |(i, r): (usize, &f64)| Point::new(x, y) + Vec2::from_angle(step * i as f64) * (r * reach);
        reaches.iter().enumerate().map(spoke).collect()
    })
}

/// Closed curves that do not cross themselves.
pub fn closed_curve() -> impl Strategy<Value = Curve> {
    (star(12.0), any::<bool>()).prop_filter_map("a closed curve", |(points, smooth)| {
        if smooth { Curve::smooth(&points, true).ok() } else { Curve::polyline(&points, true).ok() }
    })
}

/// Regions of one or two parts, some with a hole.
pub fn region() -> impl Strategy<Value = Region> {
    (star(12.0), star(9.0), star(5.0)).prop_map(|(one, two, hole)| {
        let [one, two, hole] = [one, two, hole].map(|points| Region::polygon(&points).unwrap());
        one.union(&two).difference(&hole)
    })
}

/// The points turned about the origin, scaled, then shifted.
pub fn moved(points: &[Point], angle: f64, scale: f64, shift: Vec2) -> Vec<Point> {
    let (sin, cos) = angle.sin_cos();
    points
        .iter()
        .map(|p| Point::new(p.x * cos - p.y * sin, p.x * sin + p.y * cos))
        .map(|p| (p.to_vec2() * scale + shift).to_point())
        .collect()
}
