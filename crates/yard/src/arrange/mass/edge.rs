//! The first line of a mass: half a spacing inside the edge, at equal spacing along it.
//!
//! - In: the core of the bed, whose rings are the line. Out: plants on it, with the direction
//!   across the line at each, to which the interior is fitted.
//! - Method: a plant in every sharp corner, equal parts between; a ring without corners is divided
//!   by n = round(L/d).
//! - A place nearer than 0.8 spacings to a plant already there is left out.

use groundwright_geometry::{Point, Vec2};

use super::{Bed, CROWDED};

/// A turn sharper than this gets a plant of its own: 40°. [rad]
const CORNER: f64 = 0.7;

/// A plant of the first line.
#[derive(Debug, Clone, Copy)]
pub(super) struct EdgePlant {
    pub(super) at: Point,
    /// Unit direction across the line.
    pub(super) across: Vec2,
}

/// Plants the first line on every ring of the core.
pub(super) fn plant(bed: &mut Bed<'_>) -> Vec<EdgePlant> {
    let mut line = Vec::new();
    for ring in bed.core.rings().into_iter().flatten() {
        for place in along_ring(&ring, bed.spacing) {
            if bed.offer(place.at, CROWDED) {
                line.push(place);
            }
        }
    }
    line
}

/// Places at equal spacing along a closed ring.
fn along_ring(ring: &[Point], spacing: f64) -> Vec<EdgePlant> {
    let walk = Walk::new(ring);
    let corners = corners(ring, &walk, spacing);
    let Some(&first) = corners.first() else {
        let count = (walk.length / spacing).round().max(1.0) as usize;
        return (0..count).map(|i| walk.at(walk.length * i as f64 / count as f64)).collect();
    };
    let mut places = Vec::new();
    let ends = corners[1..].iter().copied().chain([first + walk.length]);
    for (&from, to) in corners.iter().zip(ends) {
        let parts = parts(to - from, spacing);
        places.extend((0..parts).map(|i| walk.at(from + (to - from) * i as f64 / parts as f64)));
    }
    places
}

/// Equal parts of a side between two corners, none shorter than 0.8 spacings if it can be.
fn parts(length: f64, spacing: f64) -> usize {
    let count = (length / spacing).round().max(1.0);
    if count > 1.0 && length / count < CROWDED * spacing {
        return count as usize - 1;
    }
    count as usize
}

/// Lengths along the ring of its sharp corners, rising; of corners nearer to each other than 0.85
/// spacings the sharper one.
fn corners(ring: &[Point], walk: &Walk<'_>, spacing: f64) -> Vec<f64> {
    let count = ring.len();
    let mut sharp: Vec<(f64, f64)> = (0..count)
        .map(|i| {
            let arrive = ring[i] - ring[(i + count - 1) % count];
            let leave = ring[(i + 1) % count] - ring[i];
            (arrive.cross(leave).atan2(arrive.dot(leave)).abs(), walk.runs[i])
        })
        .filter(|(turn, _)| *turn > CORNER)
        .collect();
    // Turns of a micro-radian's difference are equal, or rounding would choose among them.
    let rank = |turn: f64| -(turn * 1e6).round() as i64;
    sharp.sort_by_key(|(turn, _)| rank(*turn));
    let mut kept: Vec<f64> = Vec::new();
    for (_, run) in sharp {
        let apart = |other: &f64| {
            let between = (run - other).abs();
            between.min(walk.length - between) >= 0.85 * spacing
        };
        if kept.iter().all(apart) {
            kept.push(run);
        }
    }
    kept.sort_by(f64::total_cmp);
    kept
}

/// A ring by the length along it.
struct Walk<'a> {
    ring: &'a [Point],
    /// Length at each point of the ring. [m]
    runs: Vec<f64>,
    length: f64,
}

impl<'a> Walk<'a> {
    fn new(ring: &'a [Point]) -> Self {
        let mut length = 0.0;
        let mut runs = Vec::with_capacity(ring.len());
        for (i, point) in ring.iter().enumerate() {
            runs.push(length);
            length += point.distance(ring[(i + 1) % ring.len()]);
        }
        Self { ring, runs, length }
    }

    fn at(&self, run: f64) -> EdgePlant {
        let run = if run >= self.length { run - self.length } else { run };
        let from = self.runs.partition_point(|start| *start <= run).saturating_sub(1);
        let (start, end) = (self.ring[from], self.ring[(from + 1) % self.ring.len()]);
        let side = end - start;
        let length = side.hypot().max(f64::MIN_POSITIVE);
        let along = side / length;
        EdgePlant {
            at: start + along * (run - self.runs[from]).min(length),
            across: Vec2::new(-along.y, along.x),
        }
    }
}
