//! Small signs, each recognisable by its form alone.
//!
//! - In: a glyph. Out: its strokes and filled parts in millimetres of paper, centred on its
//!   place, x right, **y up** (as in the yard's frame), not yet turned.
//! - Method: drawn by hand below; `tests` rasterise every two and compare.
//! - Not here: colour (`tones.rs`), placing (`paint.rs`), blocks of DXF (`dxf/`).

use groundwright_handoff::Glyph;
use kurbo::{Arc, BezPath, Circle, Point, Rect, Shape};

/// One part of a sign.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// The path. [mm, y up]
    pub path: BezPath,
    /// Filled with the tone; otherwise a line of [`LINE_MM`].
    pub filled: bool,
}

/// Width of the lines of signs. [mm]
pub const LINE_MM: f64 = 0.18;

/// Flattening of arcs in signs. [mm]
const ACCURACY: f64 = 0.01;

/// All signs.
pub const GLYPHS: [Glyph; 17] = [
    Glyph::PotCentre,
    Glyph::PotSecond,
    Glyph::PotThird,
    Glyph::PotFourth,
    Glyph::TransplantCentre,
    Glyph::TrunkKept,
    Glyph::Removed,
    Glyph::Dug,
    Glyph::ShrubKept,
    Glyph::Eye,
    Glyph::Downspout,
    Glyph::Utility,
    Glyph::Buried,
    Glyph::Reference,
    Glyph::Door,
    Glyph::DropPlace,
    Glyph::SpotLevel,
];

/// Half the side of the square that holds the sign, lines included. [mm]
pub const fn reach_mm(glyph: Glyph) -> f64 {
    match glyph {
        Glyph::PotCentre | Glyph::PotFourth => 0.8,
        Glyph::SpotLevel | Glyph::PotSecond | Glyph::PotThird => 0.9,
        Glyph::TransplantCentre | Glyph::ShrubKept => 1.2,
        Glyph::Eye => 2.6,
        Glyph::DropPlace | Glyph::Door => 2.1,
        _ => 1.7,
    }
}

/// Strokes and filled parts of a sign, in the order of painting. [mm, y up]
pub fn parts(glyph: Glyph) -> Vec<Part> {
    match glyph {
        Glyph::PotCentre => {
            vec![ring(0.7), line(&[(-0.7, 0.0), (0.7, 0.0)]), line(&[(0.0, -0.7), (0.0, 0.7)])]
        }
        Glyph::PotSecond => vec![filled(polygon(&[(-0.8, -0.6), (0.8, -0.6), (0.0, 0.85)]))],
        Glyph::PotThird => vec![stroked(polygon(&[(-0.8, 0.0), (0.0, -0.8), (0.8, 0.0), (0.0, 0.8)]))],
        Glyph::PotFourth => vec![filled(box_path(0.65, 0.65))],
        Glyph::TransplantCentre => {
            vec![square(1.05), line(&[(-0.6, 0.0), (0.6, 0.0)]), line(&[(0.0, -0.6), (0.0, 0.6)])]
        }
        Glyph::TrunkKept => vec![ring(1.5), disc(0.75)],
        Glyph::Removed => vec![line(&[(-1.5, -1.5), (1.5, 1.5)]), line(&[(-1.5, 1.5), (1.5, -1.5)])],
        Glyph::Dug => spade(),
        Glyph::ShrubKept => rays(3, 1.1),
        Glyph::Eye => eye(),
        Glyph::Downspout => vec![ring(1.3), half_disc_left(1.3)],
        Glyph::Utility => vec![box_of(1.5, 1.0), filled(box_path(0.8, 0.4))],
        Glyph::Buried => vec![line(&[(-1.5, 0.3), (1.5, 0.3)]), half_disc_below()],
        Glyph::Reference => target(),
        Glyph::Door => door(),
        Glyph::DropPlace => drop_place(),
        Glyph::SpotLevel => {
            vec![line(&[(-0.7, 0.0), (0.7, 0.0)]), line(&[(0.0, -0.7), (0.0, 0.7)]), disc(0.2)]
        }
    }
}

fn stroked(path: BezPath) -> Part {
    Part { path, filled: false }
}

fn filled(path: BezPath) -> Part {
    Part { path, filled: true }
}

fn polyline(points: &[(f64, f64)]) -> BezPath {
    let mut path = BezPath::new();
    for (i, point) in points.iter().enumerate() {
        if i == 0 {
            path.move_to(*point);
        } else {
            path.line_to(*point);
        }
    }
    path
}

fn polygon(points: &[(f64, f64)]) -> BezPath {
    let mut path = polyline(points);
    path.close_path();
    path
}

fn line(points: &[(f64, f64)]) -> Part {
    stroked(polyline(points))
}

fn circle(radius: f64) -> BezPath {
    Circle::new(Point::ORIGIN, radius).to_path(ACCURACY)
}

fn ring(radius: f64) -> Part {
    stroked(circle(radius))
}

fn disc(radius: f64) -> Part {
    filled(circle(radius))
}

fn box_path(half_width: f64, half_height: f64) -> BezPath {
    Rect::new(-half_width, -half_height, half_width, half_height).to_path(ACCURACY)
}

fn box_of(half_width: f64, half_height: f64) -> Part {
    stroked(box_path(half_width, half_height))
}

fn square(half_side: f64) -> Part {
    box_of(half_side, half_side)
}

/// An arc from `start` over `sweep`, counter-clockwise with y up. [rad]
fn arc(centre: (f64, f64), radius: f64, start: f64, sweep: f64) -> BezPath {
    let arc = Arc::new(Point::from(centre), (radius, radius), start, sweep, 0.0);
    arc.to_path(ACCURACY)
}

/// `count` lines through the centre, evenly turned: an asterisk without a rim.
fn rays(count: usize, radius: f64) -> Vec<Part> {
    let one = |i: usize| {
        let angle = std::f64::consts::PI * (i as f64 / count as f64) + std::f64::consts::FRAC_PI_2;
        let (s, c) = angle.sin_cos();
        line(&[(-radius * c, -radius * s), (radius * c, radius * s)])
    };
    (0..count).map(one).collect()
}

/// A spade: handle above a blade that points into the ground.
fn spade() -> Vec<Part> {
    vec![
        stroked(polygon(&[(-1.1, 0.2), (1.1, 0.2), (0.0, -1.5)])),
        line(&[(0.0, 0.2), (0.0, 1.5)]),
        line(&[(-0.5, 1.5), (0.5, 1.5)]),
    ]
}

/// A lens with a pupil; it looks along its rotation, to the right when unturned.
fn eye() -> Vec<Part> {
    let mut lids = polyline(&[(-1.6, 0.0)]);
    lids.quad_to((0.0, 1.7), (1.6, 0.0));
    lids.quad_to((0.0, -1.7), (-1.6, 0.0));
    lids.close_path();
    vec![stroked(lids), disc(0.45), line(&[(1.6, 0.0), (2.5, 0.0)])]
}

fn half_disc_left(radius: f64) -> Part {
    let mut path = arc((0.0, 0.0), radius, std::f64::consts::FRAC_PI_2, std::f64::consts::PI);
    path.close_path();
    filled(path)
}

/// Half a disc that hangs from the ground line.
fn half_disc_below() -> Part {
    let mut path = arc((0.0, 0.3), 1.0, std::f64::consts::PI, std::f64::consts::PI);
    path.close_path();
    filled(path)
}

/// A dot in a ring from which four arms reach out.
fn target() -> Vec<Part> {
    let arms = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)];
    let arm = |(x, y): (f64, f64)| line(&[(0.8 * x, 0.8 * y), (1.6 * x, 1.6 * y)]);
    [ring(0.8), disc(0.25)].into_iter().chain(arms.map(arm)).collect()
}

/// A leaf that stands open and the arc in which it swings.
fn door() -> Vec<Part> {
    vec![
        line(&[(-1.5, -1.5), (-1.5, 1.5)]),
        line(&[(-1.5, -1.5), (1.5, -1.5)]),
        stroked(arc((-1.5, -1.5), 3.0, 0.0, std::f64::consts::FRAC_PI_2)),
    ]
}

/// An arrow that comes down onto a bar.
fn drop_place() -> Vec<Part> {
    vec![
        line(&[(0.0, 2.0), (0.0, 0.0)]),
        filled(polygon(&[(-0.9, 0.2), (0.9, 0.2), (0.0, -1.2)])),
        line(&[(-1.6, -1.6), (1.6, -1.6)]),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A sign as a person sees it: a grid of darkness, scaled to the same size.
    fn raster(glyph: Glyph) -> Vec<bool> {
        const SIDE: usize = 48;
        let reach = reach_mm(glyph);
        let cell = |i: usize| (i as f64 + 0.5) / SIDE as f64 * 2.0 * reach - reach;
        let parts = parts(glyph);
        let dark = |x: f64, y: f64| {
            let point = Point::new(x, y);
            parts.iter().any(|part| {
                // Lines are thickened to a ninth of the sign, about what the eye resolves.
                let near = |segment: kurbo::PathSeg| {
                    use kurbo::ParamCurveNearest;
                    segment.nearest(point, 1e-4).distance_sq < (reach / 9.0).powi(2)
                };
                (part.filled && part.path.winding(point) != 0) || part.path.segments().any(near)
            })
        };
        (0..SIDE * SIDE).map(|i| dark(cell(i % SIDE), cell(i / SIDE))).collect()
    }

    /// Two signs share at most seven tenths of what either of them darkens.
    #[test]
    fn every_two_signs_differ_by_form() {
        let rasters: Vec<_> = GLYPHS.iter().map(|glyph| (*glyph, raster(*glyph))).collect();
        for (i, (a, first)) in rasters.iter().enumerate() {
            for (b, second) in &rasters[i + 1..] {
                let both = first.iter().zip(second).filter(|(p, q)| **p && **q).count() as f64;
                let either = first.iter().zip(second).filter(|(p, q)| **p || **q).count() as f64;
                assert!(both / either < 0.7, "{a:?} and {b:?} share {:.2}", both / either);
            }
        }
    }

    #[test]
    fn signs_keep_within_their_reach() {
        for glyph in GLYPHS {
            let reach = reach_mm(glyph);
            for part in parts(glyph) {
                let grown = if part.filled { 0.0 } else { LINE_MM / 2.0 };
                let bounds = part.path.bounding_box().inflate(grown, grown);
                let furthest = bounds.x0.abs().max(bounds.x1.abs()).max(bounds.y0.abs()).max(bounds.y1.abs());
                assert!(furthest <= reach + 0.02, "{glyph:?}: {furthest} beyond {reach}");
            }
        }
    }
}
