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
pub(super) struct Lattice {
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

    /// What it costs that plants stand thinner or thicker than asked for: a hundredth for a share
    /// of 2 %.
    fn stretch(&self, spacing: f64) -> f64 {
        let area = self.spacing * self.pitch / (spacing * spacing * ROW_PITCH) - 1.0;
        25.0 * area * area
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

/// Plants the interior on a lattice.
pub(super) fn plant(bed: &mut Bed<'_>, lattice: &Lattice) {
    // Half a spacing to the first line, half a row pitch from there.
    let depth = f64::midpoint(1.0, ROW_PITCH) * bed.spacing;
    for at in places_over(bed.core, lattice) {
        let beside = 0.4 * bed.spacing;
        let actual = bed.index.signed_distance(at);
        if actual >= depth && bed.grid.nearest(at, beside, None) >= beside {
            bed.add(at, actual);
        }
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

/// The lattices that fit the first line best, at most `most`, the best first; each with its own
/// direction or stretch. None without a first line.
pub(super) fn best_lattices(bed: &Bed<'_>, line: &[EdgePlant], most: usize) -> Vec<Lattice> {
    let probes: Vec<EdgePlant> = line.iter().step_by(line.len() / 300 + 1).copied().collect();
    let anchors: Vec<Point> = line.iter().step_by(line.len() / 6 + 1).map(|p| p.at).collect();
    let mut found: Vec<(f64, Lattice)> = Vec::new();
    for along in directions(bed.core, line) {
        let across = Vec2::new(-along.y, along.x);
        for (spacing, pitch) in stretches(bed, along, across) {
            let origins = anchors.iter().flat_map(|at| phases(*at, along * spacing, across * pitch));
            let lattices = origins.map(|origin| Lattice { origin, along, across, spacing, pitch });
            let cost = |lattice: &Lattice| misfit(lattice, &probes) + lattice.stretch(bed.spacing);
            let ranked = lattices.map(|lattice| (cost(&lattice), lattice));
            // Costs alike to a billionth are equal, or rounding would choose among them.
            found.extend(ranked.reduce(|best, next| if next.0 < best.0 - 1e-9 { next } else { best }));
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found.into_iter().take(most).map(|(_, lattice)| lattice).collect()
}

/// Spacing along the rows and pitch: as asked for, and stretched by up to 8 % so that whole rows fit
/// between opposite sides of the core. [m]
fn stretches(bed: &Bed<'_>, along: Vec2, across: Vec2) -> Vec<(f64, f64)> {
    let (x, y) = extents(bed.core, Point::ORIGIN, along, across);
    let fitted = |span: (f64, f64), step: f64| {
        let length = span.1 - span.0;
        let fitted = length / (length / step).round().max(1.0);
        if (fitted / step - 1.0).abs() < 0.08 { fitted } else { step }
    };
    let (spacing, pitch) = (bed.spacing, bed.spacing * ROW_PITCH);
    let (wide, high) = (fitted(x, spacing), fitted(y, pitch));
    vec![(wide, high), (spacing, high), (spacing, pitch)]
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
