//! Which positions are seen first: rank by prominence from viewpoints.
//!
//! - In: positions, viewpoints, buildings that hide [m]. Out: a score for each position, and the
//!   order, most prominent first.
//! - Method: a plant looks as large as the solid angle that it fills. A patch of 1 m² turned to the
//!   eye fills about 1/(D² + e²) steradians at a distance D from an eye at height e; weighted by how
//!   near it lies to the middle of the view, and nothing if a building stands between.
//! - Front positions come first by this rule: of two plants in one line of sight the nearer fills
//!   the larger angle. Plants do not hide one another here.
//! - Source: common practice, no source: the best plants go where they are seen first and from
//!   near. The solid angle is geometry.
//! - Not here: assigning dug plants by size as well (`transplants`).

use groundwright_geometry::{Curve, Point, Rect, Region, RegionIndex};

/// A place from which the yard is looked at, such as a door, a window or a seat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Viewpoint {
    /// Where the eye is. [m]
    pub at: Point,
    /// A place that the eye looks at; none for a look all round. [m]
    pub looking: Option<Point>,
    /// How much this view counts beside the others, not below zero. [1]
    pub weight: f64,
    /// Height of the eye above the plants' ground. [m] Above zero.
    pub eye_height: f64,
}

/// Positions by prominence.
#[derive(Debug, Clone, PartialEq)]
pub struct Prominence {
    /// Score of each position: solid angle of 1 m² there, summed over the weighted views. [sr]
    pub scores: Vec<f64>,
    /// Indices of the positions, most prominent first; equal ones by index.
    pub order: Vec<usize>,
    /// How many viewpoints see each position at all.
    pub seen_by: Vec<usize>,
}

/// Why positions cannot be ranked.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ProminenceFault {
    /// A position that is not finite.
    #[error("position {} is not a place; give x and y as finite lengths", index + 1)]
    Position {
        /// Index of the position, from 0.
        index: usize,
    },
    /// A viewpoint with something wrong.
    #[error("viewpoint {}: {what}", index + 1)]
    Viewpoint {
        /// Index of the viewpoint, from 0.
        index: usize,
        /// What is wrong with it.
        what: &'static str,
    },
}

/// Half the angle about the middle of the view that is seen in full: 30°. [rad] Common practice.
const FULL_VIEW: f64 = std::f64::consts::FRAC_PI_6;

/// Half the angle beyond which nothing is seen without turning: 90°. [rad] Common practice.
const LAST_VIEW: f64 = std::f64::consts::FRAC_PI_2;

/// A sight line that only grazes a building for less than this is free. [m]
const GRAZE: f64 = 0.01;

/// Ranks positions by prominence.
///
/// # Arguments
/// - `positions`: where plants stand. [m]
/// - `viewpoints`: from where they are seen; none gives scores of zero, in the order given.
/// - `blockers`: buildings and other things higher than the eye. A viewpoint inside one (a window)
///   looks out of it: only what the sight line enters later hides.
pub fn prominence(
    positions: &[Point],
    viewpoints: &[Viewpoint],
    blockers: &[Region],
) -> Result<Prominence, ProminenceFault> {
    check(positions, viewpoints)?;
    let blockers: Vec<RegionIndex> = blockers.iter().map(RegionIndex::new).collect();
    let mut scores = vec![0.0; positions.len()];
    let mut seen_by = vec![0; positions.len()];
    for viewpoint in viewpoints {
        for (index, position) in positions.iter().enumerate() {
            let share = in_view(viewpoint, *position);
            if share > 0.0 && !hidden(viewpoint.at, *position, &blockers) {
                scores[index] += viewpoint.weight * share * solid_angle(viewpoint, *position);
                seen_by[index] += 1;
            }
        }
    }
    let mut order: Vec<usize> = (0..positions.len()).collect();
    order.sort_by(|&a, &b| scores[b].total_cmp(&scores[a]).then(a.cmp(&b)));
    Ok(Prominence { scores, order, seen_by })
}

fn check(positions: &[Point], viewpoints: &[Viewpoint]) -> Result<(), ProminenceFault> {
    if let Some(index) = positions.iter().position(|position| !position.is_finite()) {
        return Err(ProminenceFault::Position { index });
    }
    for (index, viewpoint) in viewpoints.iter().enumerate() {
        let fault = |what| Err(ProminenceFault::Viewpoint { index, what });
        if !(viewpoint.at.is_finite() && viewpoint.looking.is_none_or(Point::is_finite)) {
            return fault("it is not a place; give x and y as finite lengths");
        }
        if !(viewpoint.eye_height.is_finite() && viewpoint.eye_height > 0.0) {
            return fault("the height of the eye must be a finite length above zero, such as 1.6 m");
        }
        if !(viewpoint.weight.is_finite() && viewpoint.weight >= 0.0) {
            return fault("the weight must be a finite number not below zero; 1 is usual");
        }
        if viewpoint.looking.is_some_and(|to| to.distance(viewpoint.at) < 1e-3) {
            return fault("it looks at itself; let it look at another place or all round");
        }
    }
    Ok(())
}

/// Solid angle of a patch of 1 m² turned to the eye. [sr]
fn solid_angle(viewpoint: &Viewpoint, position: Point) -> f64 {
    let height = viewpoint.eye_height;
    1.0 / (viewpoint.at.distance_squared(position) + height * height)
}

/// How much of the view a position takes part in: 1 about its middle, falling to 0 at its side.
fn in_view(viewpoint: &Viewpoint, position: Point) -> f64 {
    let Some(target) = viewpoint.looking else { return 1.0 };
    let (middle, line) = (target - viewpoint.at, position - viewpoint.at);
    if line.hypot() < 1e-9 {
        return 1.0;
    }
    let angle = middle.cross(line).atan2(middle.dot(line)).abs();
    let fall = ((LAST_VIEW - angle) / (LAST_VIEW - FULL_VIEW)).clamp(0.0, 1.0);
    fall * fall * (3.0 - 2.0 * fall)
}

/// Whether a building stands between the eye and a position.
fn hidden(eye: Point, position: Point, blockers: &[RegionIndex]) -> bool {
    let about = Rect::from_points(eye, position);
    let mut between = blockers.iter().filter(|blocker| blocker.bounds().is_some_and(|b| b.overlaps(about)));
    let Some(first) = between.next() else { return false };
    let Ok(sight) = Curve::polyline(&[eye, position], false) else { return false };
    std::iter::once(first).chain(between).any(|blocker| {
        let inside = sight.stretches_inside(blocker);
        inside.iter().any(|(from, to)| *from > GRAZE && to - from > GRAZE)
    })
}

/// A plant of a batch that is to be set where it shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BatchPlant {
    /// Condition, from 0 for poor to 1 for perfect. [1]
    pub condition: f64,
    /// Whether it flowers now.
    pub flowering: bool,
}

/// Grades of condition: plants of one grade are ranked by flowering first. Common practice.
const GRADES: f64 = 5.0;

/// Which plant of a batch goes to which position: the best to the most prominent.
///
/// Plants are ranked by grade of condition (fifths), then those in flower, then by condition
/// itself, then by index; a condition that is not a number ranks last.
///
/// # Arguments
/// - `order`: indices of positions, most prominent first, as in [`Prominence::order`].
/// - `batch`: the plants.
///
/// # Returns
/// Pairs of position and plant, most prominent first, as many as there are of both.
pub fn assign_best_first(order: &[usize], batch: &[BatchPlant]) -> Vec<(usize, usize)> {
    let mut plants: Vec<usize> = (0..batch.len()).collect();
    let worth = |i: usize| {
        let condition = if batch[i].condition.is_finite() { batch[i].condition } else { -1.0 };
        let grade = (condition * GRADES).floor().clamp(-1.0, GRADES - 1.0) as i64;
        (grade, batch[i].flowering, condition)
    };
    plants.sort_by(|&a, &b| {
        let ((grade_a, flower_a, condition_a), (grade_b, flower_b, condition_b)) = (worth(a), worth(b));
        (grade_b, flower_b)
            .cmp(&(grade_a, flower_a))
            .then(condition_b.total_cmp(&condition_a))
            .then(a.cmp(&b))
    });
    order.iter().copied().zip(plants).collect()
}
