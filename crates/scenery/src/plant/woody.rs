//! Trees and shrubs: wood towards clumps of leaves.
//!
//! - Clumps lie through the crown, most of them near its outside. The wood runs from the foot towards
//!   the middle of all clumps, parts towards the middles of their halves, and so on to each clump: so
//!   branches fill the crown and taper with what they carry (pipe model, Shinozaki 1964: sections add).

use glam::Vec3A;

use super::{Grown, leaves, outline};
use crate::dice::Dice;
use crate::shape::Shape;

struct Clump {
    at: Vec3A,
    radius: f32,
}

pub(super) fn grow(grown: &Grown, dice: &mut Dice, most: usize, shape: &mut Shape) {
    let tree = grown.height > 2.5;
    let count = if grown.height > 7.0 {
        150
    } else if tree {
        60
    } else {
        24
    };
    let clumps = clumps(grown, dice, count);
    let thick = grown.trunk.unwrap_or(0.011 * grown.height).max(0.004);
    let foot = Vec3A::ZERO;
    let stems = if tree && grown.clear > 0.15 * grown.height { 1 } else { 3 };
    if stems == 1 {
        let fork = Vec3A::new(
            dice.between(-0.1, 0.1) * grown.radius,
            dice.between(-0.1, 0.1) * grown.radius,
            grown.clear.max(0.12 * grown.height),
        );
        // The foot flares.
        let spine = [
            (foot - Vec3A::Z * 0.1, thick * 1.3),
            (foot + Vec3A::Z * 0.12 * grown.height, thick * 1.05),
            (fork, thick * 0.9),
        ];
        shape.tube(&spine, 10, grown.paint.bark);
        let all: Vec<usize> = (0..clumps.len()).collect();
        branch(&clumps, &all, fork, Vec3A::Z, thick * 0.9, grown, dice, shape);
    } else {
        // Parted around the foot, each stem with its side of the crown.
        let start = dice.between(0.0, std::f32::consts::TAU);
        for stem in 0..stems {
            let mine: Vec<usize> = (0..clumps.len())
                .filter(|i| {
                    let turn =
                        (clumps[*i].at.y.atan2(clumps[*i].at.x) - start).rem_euclid(std::f32::consts::TAU);
                    (turn / std::f32::consts::TAU * stems as f32) as usize % stems == stem
                })
                .collect();
            if !mine.is_empty() {
                branch(&clumps, &mine, foot, Vec3A::Z, thick * 0.6, grown, dice, shape);
            }
        }
    }
    let length = if tree { 0.09 } else { (0.05 * grown.height).clamp(0.025, 0.06) };
    leaf_all(grown, &clumps, dice, (length, most), shape);
}

fn clumps(grown: &Grown, dice: &mut Dice, count: usize) -> Vec<Clump> {
    let crown = grown.height - grown.clear;
    // The more clumps, the smaller each: together they fill two thirds of the crown.
    let size = 0.87 / (count as f32).cbrt() * grown.radius.min(0.7 * crown);
    let mut all = Vec::with_capacity(count);
    while all.len() < count {
        let z = dice.share();
        let wide = outline(grown.form, z);
        if dice.share() > wide.max(0.08) {
            continue;
        }
        // Most near the outside, as leaves seek the light.
        let out = dice.share().powf(0.4) * wide;
        let turn = dice.between(0.0, std::f32::consts::TAU);
        let radius = size * dice.between(0.65, 1.25);
        let reach = (grown.radius * out - 0.55 * radius).max(0.0);
        let height =
            (grown.clear + crown * z).clamp(grown.clear + 0.4 * radius, grown.height - 0.55 * radius);
        all.push(Clump { at: Vec3A::new(reach * turn.cos(), reach * turn.sin(), height), radius });
    }
    all
}

/// A branch from a place towards the clumps that it carries.
#[expect(clippy::too_many_arguments, reason = "one branch with all that belongs to it")]
fn branch(
    clumps: &[Clump],
    carried: &[usize],
    from: Vec3A,
    heading: Vec3A,
    thick: f32,
    grown: &Grown,
    dice: &mut Dice,
    shape: &mut Shape,
) {
    let middle = carried.iter().map(|i| clumps[*i].at).sum::<Vec3A>() / carried.len() as f32;
    let share = if carried.len() == 1 { 0.92 } else { 0.55 };
    let to = from + (middle - from) * share + dice.direction() * (0.06 * (middle - from).length());
    // It leaves as its parent went and then turns.
    let bend = from + heading * (0.35 * (to - from).length()) * 0.5 + (to - from) * 0.3;
    let end = if carried.len() == 1 { thick * 0.5 } else { thick * 0.92 };
    let sides = if thick > 0.06 {
        9
    } else if thick > 0.015 {
        6
    } else {
        4
    };
    shape.tube(&[(from, thick), (bend, 0.5 * (thick + end)), (to, end)], sides, grown.paint.bark);
    if carried.len() == 1 {
        twigs(&clumps[carried[0]], to, end, grown, dice, shape);
        return;
    }
    let (near, far) = halved(clumps, carried);
    let heading = (to - bend).normalize_or(heading);
    for part in [near, far] {
        // Sections add: the radius goes with the root of what is carried.
        let radius = (end * (part.len() as f32 / carried.len() as f32).sqrt()).max(0.003);
        branch(clumps, &part, to, heading, radius, grown, dice, shape);
    }
}

/// Clumps parted along the axis on which they are spread most.
fn halved(clumps: &[Clump], carried: &[usize]) -> (Vec<usize>, Vec<usize>) {
    let spread = |axis: usize| {
        let values = carried.iter().map(|i| clumps[*i].at[axis]);
        values.clone().fold(f32::NEG_INFINITY, f32::max) - values.fold(f32::INFINITY, f32::min)
    };
    let axis = (0..3).max_by(|a, b| spread(*a).total_cmp(&spread(*b))).unwrap_or(0);
    let mut sorted = carried.to_vec();
    sorted.sort_by(|a, b| clumps[*a].at[axis].total_cmp(&clumps[*b].at[axis]));
    let far = sorted.split_off(sorted.len() / 2);
    (sorted, far)
}

fn twigs(clump: &Clump, from: Vec3A, thick: f32, grown: &Grown, dice: &mut Dice, shape: &mut Shape) {
    let count = if grown.in_leaf < 0.5 { 22 } else { 5 };
    // So thick at least that it shows from across the street.
    let thick = thick.max(0.0012 * grown.height);
    for _ in 0..count {
        let to = clump.at + dice.in_ball() * clump.radius;
        let bend = from.lerp(to, 0.5) + dice.direction() * (0.12 * clump.radius);
        shape.tube(&[(from, thick * 0.6), (bend, thick * 0.4), (to, 0.001)], 3, grown.paint.bark);
    }
}

fn leaf_all(
    grown: &Grown,
    clumps: &[Clump],
    dice: &mut Dice,
    (length, most): (f32, usize),
    shape: &mut Shape,
) {
    /// Width of a leaf over its length.
    const WIDTH: f32 = 0.62;
    /// Leaf area index of a full crown.
    const INDEX: f32 = 3.4;
    let index = if grown.height > 7.0 { 1.25 } else { 1.0 } * INDEX * grown.in_leaf;
    if index > 0.05 {
        let (count, length) = leaves(index, grown.radius, length, WIDTH, most);
        let weight: f32 = clumps.iter().map(|c| c.radius.powi(2)).sum();
        for clump in clumps {
            let mine = (count as f32 * clump.radius.powi(2) / weight).round() as usize;
            for _ in 0..mine {
                let out = dice.direction();
                // Near the skin of the clump.
                let at = clump.at + out * (clump.radius * dice.share().powf(0.35));
                let along = (out + dice.direction() * 0.8 - Vec3A::Z * 0.25).normalize_or(out)
                    * (length * dice.between(0.7, 1.2));
                let face = (Vec3A::Z * 0.8 + out * 0.6 + dice.direction() * 0.6).normalize_or(Vec3A::Z);
                let material = if dice.share() < 0.3 { grown.paint.second } else { grown.paint.leaf };
                shape.leaf(at, along, face, length * WIDTH, material);
            }
        }
    }
    if grown.in_flower {
        let each = (140 / clumps.len()).max(3);
        let radius = (0.03 * grown.radius).clamp(0.018, 0.05);
        for clump in clumps {
            for _ in 0..each {
                let out = (dice.direction() + Vec3A::Z * 0.4).normalize_or(Vec3A::Z);
                shape.flower(clump.at + out * (clump.radius * 1.02), out, radius, 5, grown.paint.flower);
            }
        }
    }
}
