//! The interior of a mass: a triangular lattice fitted to the first line.
//!
//! - In: the bed with its first line. Out: lattice places deep enough inside.
//! - Method: a lattice that continues the first line has its plants on lattice places. Directions
//!   of the longest sides and of the whole shape, some phases, and a spacing stretched so that
//!   whole rows fit between opposite sides are tried; the one whose places lie nearest to the
//!   first line's plants, above all across the line, is taken.
//! - A place counts as inside from half a row pitch within the first line on, so that the number
//!   of plants follows the area.

use groundwright_geometry::layout::ROW_PITCH;
use groundwright_geometry::{Point, Region, Vec2};

use super::Bed;
use super::edge::EdgePlant;

/// A triangular lattice, stretched a little along and across its rows.
#[derive(Debug, Clone, Copy)]
struct Lattice {
    origin: Point,
    along: Vec2,
    across: Vec2,
    /// Distance along the rows. [m]
    spacing: f64,
    /// Distance of the rows. [m]
    pitch: f64,
}

impl Lattice {
    fn place(&self, row: i64, column: i64) -> Point {
        let shift = if row.rem_euclid(2) == 1 { 0.5 } else { 0.0 };
        self.origin
            + self.along * ((column as f64 + shift) * self.spacing)
            + self.across * (row as f64 * self.pitch)
    }

    /// From a place to the nearest place of the lattice. [m]
    fn misfit(&self, at: Point) -> Vec2 {
        let run = at - self.origin;
        let (x, y) = (run.dot(self.along) / self.spacing, run.dot(self.across) / self.pitch);
        let low = y.floor() as i64;
        let nearest = (low..=low + 1).map(|row| {
            let shift = if row.rem_euclid(2) == 1 { 0.5 } else { 0.0 };
            self.place(row, (x - shift).round() as i64) - at
        });
        nearest.min_by(|a, b| a.hypot2().total_cmp(&b.hypot2())).unwrap_or(Vec2::ZERO)
    }
}

/// Plants the interior.
pub(super) fn plant(bed: &mut Bed, line: &[EdgePlant]) {
    let Some(lattice) = best_lattice(bed, line) else { return };
    // Half a spacing to the first line, half a row pitch from there.
    let depth = f64::midpoint(1.0, ROW_PITCH) * bed.spacing;
    for at in places_over(&bed.core, &lattice) {
        let near = bed.grid.nearest(at, 0.4 * bed.spacing, None) < 0.4 * bed.spacing;
        if !near && bed.index.signed_distance(at) >= depth {
            bed.points.push(at);
        }
    }
    for &at in &bed.points[bed.held..] {
        bed.grid.insert(at);
    }
}

/// Lattice places over the bounds of a region, turned with the lattice.
fn places_over(region: &Region, lattice: &Lattice) -> Vec<Point> {
    let (x, y) = extents(region, lattice.origin, lattice.along, lattice.across);
    let steps =
        |(from, to): (f64, f64), step: f64| ((from / step).floor() as i64 - 1, (to / step).ceil() as i64 + 1);
    let ((left, right), (low, high)) = (steps(x, lattice.spacing), steps(y, lattice.pitch));
    (low..=high)
        .flat_map(|row| (left..=right).map(move |column| (row, column)))
        .map(|(row, column)| lattice.place(row, column))
        .collect()
}

/// Span of a region along two axes from an origin. [m]
fn extents(region: &Region, origin: Point, along: Vec2, across: Vec2) -> ((f64, f64), (f64, f64)) {
    let start = ((f64::MAX, f64::MIN), (f64::MAX, f64::MIN));
    region.outlines().into_iter().flatten().fold(start, |(x, y), point| {
        let (a, b) = ((point - origin).dot(along), (point - origin).dot(across));
        ((x.0.min(a), x.1.max(a)), (y.0.min(b), y.1.max(b)))
    })
}

/// The lattice that fits the first line best; none without a first line.
fn best_lattice(bed: &Bed, line: &[EdgePlant]) -> Option<Lattice> {
    let spacing = bed.spacing;
    let probes: Vec<EdgePlant> = line.iter().step_by(line.len() / 300 + 1).copied().collect();
    let anchors: Vec<Point> = line.iter().step_by(line.len() / 6 + 1).map(|p| p.at).collect();
    let mut best: Option<(f64, Lattice)> = None;
    for along in directions(&bed.core, line) {
        let across = Vec2::new(-along.y, along.x);
        let (x, y) = extents(&bed.core, Point::ORIGIN, along, across);
        let fitted = |span: (f64, f64), step: f64| {
            let length = span.1 - span.0;
            length / (length / step).round().max(1.0)
        };
        let near = |fitted: f64, step: f64| {
            if (fitted / step - 1.0).abs() < 0.08 { fitted } else { step }
        };
        let pitch = spacing * ROW_PITCH;
        let (wide, high) = (near(fitted(x, spacing), spacing), near(fitted(y, pitch), pitch));
        for (spacing, pitch) in [(wide, high), (spacing, high), (spacing, pitch)] {
            for origin in anchors.iter().flat_map(|a| phases(*a, along * spacing, across * pitch)) {
                let lattice = Lattice { origin, along, across, spacing, pitch };
                let cost = misfit(&lattice, &probes);
                if best.is_none_or(|(least, _)| cost < least - 1e-9) {
                    best = Some((cost, lattice));
                }
            }
        }
    }
    best.map(|(_, lattice)| lattice)
}

/// An anchor, and places a third of a step off along and across.
fn phases(anchor: Point, along: Vec2, across: Vec2) -> impl Iterator<Item = Point> {
    (0..3).flat_map(move |i| {
        (0..3).map(move |j| anchor + along * (f64::from(i) / 3.0) + across * (f64::from(j) / 3.0))
    })
}

/// Mean square distance of the first line's plants from lattice places, along the line at a fifth.
fn misfit(lattice: &Lattice, probes: &[EdgePlant]) -> f64 {
    let sum: f64 = probes
        .iter()
        .map(|probe| {
            let off = lattice.misfit(probe.at);
            let across = off.dot(probe.across);
            across * across + 0.2 * (off.hypot2() - across * across)
        })
        .sum();
    sum / probes.len().max(1) as f64 / (lattice.spacing * lattice.spacing)
}

/// Directions worth trying: the two longest straight sides and the long axis of the first line,
/// without those that a triangular lattice takes for the same.
fn directions(core: &Region, line: &[EdgePlant]) -> Vec<Vec2> {
    let mut sides: Vec<Vec2> = core.edges().map(|edge| edge.p1 - edge.p0).collect();
    sides.sort_by(|a, b| b.hypot2().total_cmp(&a.hypot2()));
    let mut kept: Vec<Vec2> = Vec::new();
    let axis = long_axis(line);
    for side in sides.into_iter().take(20).chain([axis, Vec2::new(-axis.y, axis.x)]) {
        let length = side.hypot();
        if length < 1e-9 || kept.len() >= 6 {
            continue;
        }
        let side = side / length;
        let same = |other: &Vec2| side.cross(*other).abs() < 0.05;
        if !kept.iter().any(same) {
            kept.push(side);
        }
    }
    kept
}

/// Unit direction in which the plants of a line spread most.
fn long_axis(line: &[EdgePlant]) -> Vec2 {
    let points: Vec<Point> = line.iter().map(|plant| plant.at).collect();
    crate::arrange::neighbours::long_axis(&points)
}
