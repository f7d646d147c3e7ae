//! What works where a wall does not stand by its own weight, with the numbers that make it work.
//!
//! - In: a section and what is at hand (a geosynthetic, a fill). Out: the tallest wall that passes, the
//!   least depth of unit, a better soil behind it, the friction that a soil test would have to find, and
//!   the layers of reinforcement with the least cloth.
//! - Every answer has been put through the same checks as the wall itself.
//! - Layers lie on the joints of the courses, all of one length. Up to [`SEARCHED`] courses every choice of
//!   joints is looked at, so that none takes less cloth; above, evenly spaced ones only.
//! - An earthquake is checked outside only, as in `reinforced.rs`.

use crate::gravity::gravity;
use crate::pressure::PressureError;
use crate::reinforced::{
    GREATEST_SPACING, Grid, LEAST_ANCHORAGE, LEAST_LENGTH, LEAST_LENGTH_SHARE, Layer, Reinforced,
    ReinforcedSection, reinforced,
};
use crate::section::{Section, Soil};
use crate::verdict::{Required, all_pass};

/// Courses up to which every choice of joints is looked at.
pub const SEARCHED: usize = 12;
/// Step of the lengths of layers, and of the depths of units. [m]
const STEP: f64 = 0.01;
/// Longest layer over the whole height: beyond it the ground is dug away for nothing.
const LONGEST: f64 = 2.0;
/// Deepest unit over the present one.
const DEEPEST: f64 = 3.0;
/// Greatest friction that a soil test can be hoped to find: 45°. [rad]
const HIGHEST: f64 = std::f64::consts::FRAC_PI_4;

/// What works.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// Most courses that pass as a gravity wall, the embedment as it is; none where one is too many.
    pub courses: Option<usize>,
    /// Their height above the ground in front. [m]
    pub exposed: f64,
    /// Least depth of a unit that passes at the whole height. [m]
    pub depth: Option<f64>,
    /// Whether the better soil behind it makes it pass.
    pub better_soil: bool,
    /// Friction of the retained soil at which it passes, all else as it is. [rad]
    pub friction: Option<f64>,
    /// Layers that pass with the least cloth, where a geosynthetic is at hand.
    pub layers: Option<Box<(ReinforcedSection, Reinforced)>>,
}

/// What is at hand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtHand {
    /// Soil that could be filled in behind the wall.
    pub better: Soil,
    /// A geosynthetic and the fill that goes with it.
    pub grid: Option<(Grid, Soil)>,
}

/// Advises on a section.
///
/// # Errors
/// A number that cannot be used.
pub fn advise(section: &Section, at_hand: &AtHand) -> Result<Advice, PressureError> {
    section.check()?;
    let passes =
        |section: &Section| gravity(section, &Required::GRAVITY).is_ok_and(|found| all_pass(&found.verdicts));
    let with_courses = |courses: usize| {
        let mut lower = *section;
        lower.facing.courses = courses;
        lower
    };
    let least = (section.embedment / section.facing.height).floor() as usize + 1;
    let courses = (least..=section.facing.courses).rev().find(|courses| passes(&with_courses(*courses)));
    let deeper = |depth: f64| {
        let mut other = *section;
        other.facing.depth = depth;
        passes(&other)
    };
    let with_friction = |friction: f64| {
        let retained = Soil { friction, ..section.retained };
        passes(&Section { retained, wall_friction: retained.on_units(), ..*section })
    };
    let better = Section { retained: at_hand.better, wall_friction: at_hand.better.on_units(), ..*section };
    let layers = match at_hand.grid {
        Some((grid, fill)) => least_layers(section, grid, fill)?.map(Box::new),
        None => None,
    };
    Ok(Advice {
        courses,
        exposed: courses.map_or(0.0, |courses| with_courses(courses).exposed()),
        depth: least_that(section.facing.depth, section.facing.depth * DEEPEST, STEP, deeper),
        better_soil: passes(&better),
        friction: least_that(section.retained.friction, HIGHEST, 0.001, with_friction),
        layers,
    })
}

/// The least value of a range that does, on a step upwards from its low end; none where not even the
/// high end does. What does is taken to do from there on.
fn least_that(low: f64, high: f64, step: f64, does: impl Fn(f64) -> bool) -> Option<f64> {
    let count = ((high - low) / step).floor().max(0.0) as usize;
    let at = |i: usize| low + i as f64 * step;
    if !does(at(count)) {
        return None;
    }
    let (mut fails, mut works) = (None, count);
    if does(low) {
        return Some(low);
    }
    fails.get_or_insert(0);
    while let Some(bad) = fails.filter(|bad| works - bad > 1) {
        let middle = usize::midpoint(bad, works);
        if does(at(middle)) {
            works = middle;
        } else {
            fails = Some(middle);
        }
    }
    Some(at(works))
}

/// Layers that pass with the least cloth.
///
/// # Errors
/// A number that cannot be used.
pub fn least_layers(
    section: &Section,
    grid: Grid,
    fill: Soil,
) -> Result<Option<(ReinforcedSection, Reinforced)>, PressureError> {
    let facing = &section.facing;
    let total = facing.total();
    let spacing = GREATEST_SPACING.min(2.0 * facing.depth);
    let shortest = LEAST_LENGTH.max(LEAST_LENGTH_SHARE * total).max(facing.depth + 0.1);
    let wall = |joints: &[usize], length: f64| ReinforcedSection {
        section: *section,
        fill,
        on_units: fill.on_units(),
        on_soil: fill.friction.min(section.retained.friction),
        grid,
        layers: joints.iter().map(|joint| Layer { height: *joint as f64 * facing.height, length }).collect(),
        least_anchorage: LEAST_ANCHORAGE,
        least_length: LEAST_LENGTH,
        greatest_spacing: spacing,
    };
    // Numbers that cannot be used are told, not taken for a wall that fails.
    wall(&[1.min(facing.courses - 1)], shortest).check()?;
    let does = |joints: &[usize], length: f64| {
        reinforced(&wall(joints, length), &Required::REINFORCED).is_ok_and(|found| all_pass(&found.verdicts))
    };
    let mut best: Option<(f64, Vec<usize>, f64)> = None;
    for count in 1..facing.courses.max(2) {
        // No layer is shorter than the shortest, so that more of them cannot take less.
        if best.as_ref().is_some_and(|(area, ..)| count as f64 * shortest >= *area) {
            break;
        }
        for joints in choices(facing.courses, count) {
            let gap = |pair: &[usize]| (pair[1] - pair[0]) as f64 * facing.height;
            let ends: Vec<usize> = [0].into_iter().chain(joints.clone()).chain([facing.courses]).collect();
            if ends.windows(2).map(gap).fold(0.0, f64::max) > spacing + 1e-9 {
                continue;
            }
            let longest = best
                .as_ref()
                .map_or(f64::INFINITY, |(area, ..)| area / count as f64 - STEP)
                .min((LONGEST * total).max(shortest));
            let Some(length) =
                least_that(shortest, longest.max(shortest), STEP, |length| does(&joints, length))
            else {
                continue;
            };
            let area = count as f64 * length;
            if best.as_ref().is_none_or(|(known, ..)| area < known - 1e-9) {
                best = Some((area, joints, length));
            }
        }
    }
    let Some((_, joints, length)) = best else { return Ok(None) };
    let wall = wall(&joints, length);
    let found = reinforced(&wall, &Required::REINFORCED)?;
    Ok(Some((wall, found)))
}

/// Choices of joints between courses for so many layers.
fn choices(courses: usize, count: usize) -> Vec<Vec<usize>> {
    if courses <= SEARCHED {
        let joints = courses - 1;
        let all = (0_u32..1 << joints).filter(|bits| bits.count_ones() as usize == count);
        let chosen = |bits: u32| (0..joints).filter(|i| bits >> i & 1 == 1).map(|i| i + 1).collect();
        return all.map(chosen).collect();
    }
    // Evenly spaced, the lowest on each of the lower joints.
    (1..=4.min(courses - 1))
        .map(|lowest| {
            let step = (courses - lowest) as f64 / count as f64;
            let mut joints: Vec<usize> =
                (0..count).map(|i| lowest + (i as f64 * step).round() as usize).collect();
            joints.dedup();
            joints
        })
        .filter(|joints| joints.len() == count && joints.iter().all(|joint| *joint < courses))
        .collect()
}
