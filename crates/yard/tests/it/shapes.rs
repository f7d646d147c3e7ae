//! Shapes that several checks share.

use groundwright_geometry::{Curve, FLATTEN, Point, Rect, Region, Vec2};

/// Metres in a foot and in an inch (exact by definition).
pub const FOOT: f64 = 0.3048;
pub const INCH: f64 = 0.0254;

pub fn points(list: &[(f64, f64)]) -> Vec<Point> {
    list.iter().map(|&place| place.into()).collect()
}

pub fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Region {
    Region::rectangle(Rect::new(x, y, x + width, y + height)).unwrap()
}

/// A rounded outline about a place: one radius for each of equally many directions.
pub fn blob(center: Point, radii: &[f64]) -> Region {
    let step = std::f64::consts::TAU / radii.len() as f64;
    let outline: Vec<Point> =
        radii.iter().enumerate().map(|(i, r)| center + Vec2::from_angle(i as f64 * step) * *r).collect();
    Region::from_curve(&Curve::smooth(&outline, true).unwrap(), FLATTEN).unwrap()
}

/// A region turned about the origin and shifted.
pub fn moved(region: &Region, angle: f64, shift: Vec2) -> Region {
    let (sin, cos) = angle.sin_cos();
    let place = |p: Point| Point::new(p.x * cos - p.y * sin, p.x * sin + p.y * cos) + shift;
    let rings = region.rings().into_iter().flat_map(|part| {
        let mut rings = part
            .into_iter()
            .map(|ring| Region::polygon(&ring.into_iter().map(place).collect::<Vec<_>>()).unwrap());
        let outer = rings.next().unwrap();
        std::iter::once(rings.fold(outer, |rest, hole| rest.difference(&hole)))
    });
    Region::union_all(&rings.collect::<Vec<_>>())
}
