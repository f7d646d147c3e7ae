//! Whether wall and ground slide together: slip circles under and behind the wall.
//!
//! - In: a section and how far its block reaches behind the face. Out: the worst circle of a search and
//!   its factor. Slices by Bishop's simplified method.
//! - A simplified check, stated as such: dry ground, level ground in front, circles that pass wholly
//!   under and behind the block, one soil behind and one below. Water, soft layers, tiers and
//!   earthquakes are licensed practice.
//! - Source: Bishop 1955.

use rayon::prelude::*;

use crate::positive::{NotUsable, above_zero};
use crate::section::{Section, Soil};

/// A slice of a slip circle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slice {
    /// Width. [m]
    pub width: f64,
    /// Weight with what loads it. [N/m]
    pub weight: f64,
    /// Inclination of its base, positive where it drives. [rad]
    pub inclination: f64,
    /// Friction at its base. [rad]
    pub friction: f64,
    /// Cohesion at its base. [Pa]
    pub cohesion: f64,
}

/// A slip circle; x from the front of the lowest course towards the soil, y up from its base.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Circle {
    /// Centre. [m]
    pub x: f64,
    /// Centre. [m]
    pub y: f64,
    /// Radius. [m]
    pub radius: f64,
    /// Where it leaves the ground in front. [m]
    pub from: f64,
    /// Where it meets the ground above. [m]
    pub to: f64,
    /// Factor of safety.
    pub factor: f64,
}

/// Slices of a circle.
const SLICES: usize = 40;

/// Factor of safety of slices by Bishop's simplified method; `None` when nothing drives or the base is
/// so steep that the method loses its meaning.
pub fn bishop(slices: &[Slice]) -> Option<f64> {
    let driving: f64 = slices.iter().map(|s| s.weight * s.inclination.sin()).sum();
    if driving.is_nan() || driving <= 0.0 {
        return None;
    }
    let mut factor = 1.0_f64;
    for _ in 0..60 {
        let mut resisting = 0.0;
        for s in slices {
            let share = s.inclination.cos() + s.inclination.sin() * s.friction.tan() / factor;
            // Below a fifth the normal force at the base runs away: custom of the method, from memory.
            if share < 0.2 {
                return None;
            }
            resisting += (s.cohesion * s.width + s.weight * s.friction.tan()) / share;
        }
        let next = resisting / driving;
        if !next.is_finite() || next <= 0.0 {
            return None;
        }
        if (next - factor).abs() < 1e-9 * next {
            return Some(next);
        }
        factor = next;
    }
    Some(factor)
}

/// The worst circle found.
///
/// Entry in front, exit above and depth under the base run over a grid, which is then refined about its
/// worst member.
///
/// # Arguments
/// - `fill`: soil of the block behind the units, if it is reinforced.
/// - `block`: how far the block reaches behind the face at its base, the depth of a unit for a gravity
///   wall. [m]
///
/// # Errors
/// A section that cannot be used. `Ok(None)` when no circle drives.
pub fn worst_circle(section: &Section, fill: Option<&Soil>, block: f64) -> Result<Option<Circle>, NotUsable> {
    section.check()?;
    above_zero("the length of the block", block, "m")?;
    let ground = Ground { section, fill, block, lean: section.facing.setback / section.facing.height };
    let total = section.facing.total();
    let mut centre = [1.0, 2.0, 0.75];
    let mut reach = [1.0, 2.0, 0.75];
    let mut best: Option<Circle> = None;
    for _ in 0..4 {
        let found = (0..1000_usize)
            .into_par_iter()
            .filter_map(|i| {
                let step = |k: usize, n: usize| centre[k] + reach[k] * ((n as f64 + 0.5) / 5.0 - 1.0);
                let at = [step(0, i % 10), step(1, i / 10 % 10), step(2, i / 100)];
                ground.circle(at.map(|share| share.max(0.005) * total)).map(|circle| (circle, at))
            })
            .min_by(|a, b| a.0.factor.total_cmp(&b.0.factor));
        let Some((circle, at)) = found else { break };
        if best.is_none_or(|b| circle.factor < b.factor) {
            best = Some(circle);
            centre = at;
        }
        reach = reach.map(|r| r * 0.35);
    }
    Ok(best)
}

struct Ground<'s> {
    section: &'s Section,
    fill: Option<&'s Soil>,
    block: f64,
    lean: f64,
}

impl Ground<'_> {
    /// Height of the ground's surface.
    fn surface(&self, x: f64) -> f64 {
        let total = self.section.facing.total();
        let top = total * self.lean;
        if x < 0.0 {
            self.section.embedment
        } else if x < top {
            (x / self.lean).max(self.section.embedment)
        } else {
            total + (x - top - self.section.facing.depth).max(0.0) * self.section.slope.tan()
        }
    }

    /// The circle that leaves the ground `before` the wall, meets it `behind` the block's top, and passes
    /// `under` the base at the block's back corner.
    fn circle(&self, [before, behind, under]: [f64; 3]) -> Option<Circle> {
        let from = -before;
        let to = self.block + self.section.facing.total() * self.lean + behind;
        let points = [(from, self.section.embedment), (self.block, -under), (to, self.surface(to))];
        let (x, y) = centre(points)?;
        let radius = (from - x).hypot(points[0].1 - y);
        // A centre below the exit would make the circle overhang.
        if y < points[2].1 {
            return None;
        }
        let slices = self.slices(x, y, radius, from, to)?;
        bishop(&slices).map(|factor| Circle { x, y, radius, from, to, factor })
    }

    fn slices(&self, x: f64, y: f64, radius: f64, from: f64, to: f64) -> Option<Vec<Slice>> {
        let Section { facing, retained, foundation, load, .. } = self.section;
        let width = (to - from) / SLICES as f64;
        let top = facing.total() * self.lean;
        (0..SLICES)
            .map(|i| {
                let at = from + (i as f64 + 0.5) * width;
                let base = y - (radius * radius - (at - x).powi(2)).max(0.0).sqrt();
                let surface = self.surface(at);
                let in_block = base > 0.0 && at >= base * self.lean && at < self.block + base * self.lean;
                if in_block || base > surface + 1e-9 {
                    return None;
                }
                let above = (surface - base.max(0.0)).max(0.0);
                let below = (-base).max(0.0) - (-surface).max(0.0);
                let behind_units = at >= facing.depth + self.lean * above / 2.0;
                let weight_above = match (at, behind_units) {
                    (at, _) if at < 0.0 => foundation.unit_weight,
                    (_, false) => facing.unit_weight,
                    (at, true) if at < self.block => self.fill.unwrap_or(retained).unit_weight,
                    _ => retained.unit_weight,
                };
                let loaded = if at > top + facing.depth { load.whole() } else { 0.0 };
                let soil = if base < 0.0 || at < 0.0 { foundation } else { retained };
                Some(Slice {
                    width,
                    weight: width * (above * weight_above + below * foundation.unit_weight + loaded),
                    inclination: ((at - x) / radius).clamp(-1.0, 1.0).asin(),
                    friction: soil.friction,
                    cohesion: soil.cohesion,
                })
            })
            .collect()
    }
}

/// Centre of the circle through three points.
fn centre(points: [(f64, f64); 3]) -> Option<(f64, f64)> {
    let [(ax, ay), (bx, by), (cx, cy)] = points;
    let twice = 2.0 * ((bx - ax) * (cy - ay) - (cx - ax) * (by - ay));
    if twice.abs() < 1e-9 {
        return None;
    }
    let b = (bx - ax).powi(2) + (by - ay).powi(2);
    let c = (cx - ax).powi(2) + (cy - ay).powi(2);
    Some((ax + ((cy - ay) * b - (by - ay) * c) / twice, ay + ((bx - ax) * c - (cx - ax) * b) / twice))
}
