//! Levels of dimming that bring every target to what is wanted.
//!
//! - In: what each lamp brings to each target at full level, what is wanted there. Out: levels from 0 to 1.
//! - Method: least squares of the relative misses within the bounds, by coordinates one after the other
//!   until none moves; in between all levels inside their bounds leap to their common least value. A small
//!   pull towards full level settles lamps that no target asks anything of.
//! - The problem is convex with bounds on single unknowns, so that coordinate descent ends at its least
//!   value (Tseng 2001); the leap only lowers the value on the way.

use faer::linalg::solvers::Solve;
use faer::{Mat, Side};
use glam::DVec3;

use super::{LampRun, Passes};
use crate::fixture::vector;

/// Weight of a lamp's own wish to be at its full level.
const PULL: f64 = 1e-6;
/// A step below which a level stands still.
const STILL: f64 = 1e-9;
/// Sweeps over all lamps between two leaps, and rounds of both until the search is ended.
const SWEEPS: usize = 20;
const ROUNDS: usize = 400;

/// Levels, 0 to 1 each, for which `Σ ((Σ brought · level − wanted) / wanted)²` is least.
///
/// # Arguments
/// - `brought`: m rows, one for each target, of n values, one for each lamp, at full level. [lx]
/// - `wanted`: m values above zero. [lx]
pub fn balance(brought: &[Vec<f64>], wanted: &[f64]) -> Vec<f64> {
    let n = brought.iter().map(Vec::len).max().unwrap_or(0);
    let rows: Vec<Vec<f64>> = brought
        .iter()
        .zip(wanted)
        .filter(|(_, wanted)| **wanted > 0.0)
        .map(|(row, wanted)| (0..n).map(|j| row.get(j).copied().unwrap_or(0.0) / wanted).collect())
        .collect();
    let mut levels = vec![1.0; n];
    let mut misses: Vec<f64> = rows.iter().map(|row| row.iter().sum::<f64>() - 1.0).collect();
    let weights: Vec<f64> =
        (0..n).map(|j| rows.iter().map(|row| row[j] * row[j]).sum::<f64>() + PULL).collect();
    for _ in 0..ROUNDS {
        let mut moved = 0.0_f64;
        for _ in 0..SWEEPS {
            moved = 0.0;
            for j in 0..n {
                let slope: f64 = rows.iter().zip(&misses).map(|(row, miss)| row[j] * miss).sum::<f64>()
                    + PULL * (levels[j] - 1.0);
                let next = (levels[j] - slope / weights[j]).clamp(0.0, 1.0);
                let step = next - levels[j];
                if step != 0.0 {
                    for (row, miss) in rows.iter().zip(&mut misses) {
                        *miss += row[j] * step;
                    }
                    levels[j] = next;
                    moved = moved.max(step.abs());
                }
            }
        }
        if moved < STILL {
            break;
        }
        leap(&rows, &mut levels, &mut misses);
    }
    levels
}

/// Takes all levels that stand inside their bounds to where they would be least together, or as far on the
/// way there as the bounds let them.
fn leap(rows: &[Vec<f64>], levels: &mut [f64], misses: &mut [f64]) {
    let free: Vec<usize> = (0..levels.len()).filter(|j| levels[*j] > 0.0 && levels[*j] < 1.0).collect();
    if free.len() < 2 {
        return;
    }
    let matrix = Mat::from_fn(free.len(), free.len(), |i, j| {
        let sum: f64 = rows.iter().map(|row| row[free[i]] * row[free[j]]).sum();
        sum + if i == j { PULL } else { 0.0 }
    });
    let slopes = Mat::from_fn(free.len(), 1, |i, _| {
        let sum: f64 = rows.iter().zip(misses.iter()).map(|(row, miss)| row[free[i]] * miss).sum();
        -(sum + PULL * (levels[free[i]] - 1.0))
    });
    let Ok(factor) = matrix.llt(Side::Lower) else { return };
    let way = factor.solve(&slopes);
    let room = free.iter().enumerate().map(|(i, j)| match way[(i, 0)] {
        step if step > 0.0 => (1.0 - levels[*j]) / step,
        step if step < 0.0 => levels[*j] / -step,
        _ => f64::INFINITY,
    });
    let share = room.fold(1.0, f64::min);
    for (i, j) in free.iter().enumerate() {
        let next = (levels[*j] + share * way[(i, 0)]).clamp(0.0, 1.0);
        for (row, miss) in rows.iter().zip(misses.iter_mut()) {
            *miss += row[*j] * (next - levels[*j]);
        }
        levels[*j] = next;
    }
}

/// What each lamp (column) brings at full level to each lamp's target (row), the meter facing the row's
/// own lamp. [lx]
pub(super) fn at_targets(lamps: &[LampRun<'_>], passes: &Passes<'_>) -> Vec<Vec<f64>> {
    use rayon::prelude::*;
    lamps
        .par_iter()
        .map(|target| {
            let facing = (vector(target.at) - vector(target.target)).normalize_or(DVec3::Z);
            lamps.iter().map(|lamp| brought(lamp, vector(target.target), facing, passes)).collect()
        })
        .collect()
}

/// What a lamp at full level brings to a point that faces somewhere. [lx]
pub(super) fn brought(lamp: &LampRun<'_>, to: DVec3, facing: DVec3, passes: &Passes<'_>) -> f64 {
    let way = to - vector(lamp.at);
    let distance = way.length();
    if distance < 0.01 {
        return 0.0;
    }
    let direction = way / distance;
    let cosine = -direction.dot(facing);
    let candela = if cosine > 0.0 { lamp.fixture.full_candela(direction) } else { 0.0 };
    if candela < 1e-6 {
        return 0.0;
    }
    let at = groundwright_geometry::Point3::new(to.x, to.y, to.z);
    candela * cosine / (distance * distance) * passes(lamp.at, at)
}

/// Levels for the targets for which something is wanted; lamps of other lights keep theirs.
pub(super) fn wanted_levels(lamps: &[LampRun<'_>], passes: &Passes<'_>) -> Option<Vec<f64>> {
    let asked: Vec<usize> = (0..lamps.len()).filter(|i| lamps[*i].light.wanted.is_some()).collect();
    if asked.is_empty() {
        return None;
    }
    let all = at_targets(lamps, passes);
    let mut brought = Vec::new();
    let mut wanted = Vec::new();
    for i in &asked {
        let fixed: f64 = (0..lamps.len())
            .filter(|j| lamps[*j].light.wanted.is_none())
            .map(|j| all[*i][j] * lamps[j].light.level)
            .sum();
        // What others bring already is taken off; where they bring it all, next to nothing is left.
        let left = lamps[*i].light.wanted.unwrap_or(0.0) - fixed;
        wanted.push(left.max(0.01));
        brought.push(asked.iter().map(|j| all[*i][*j]).collect());
    }
    let found = balance(&brought, &wanted);
    let mut levels: Vec<f64> = lamps.iter().map(|lamp| lamp.light.level).collect();
    for (i, level) in asked.iter().zip(found) {
        levels[*i] = level;
    }
    Some(levels)
}
