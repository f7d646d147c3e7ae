//! Transplants: which dug plant goes into which new hole.
//!
//! - In: dug plants and holes, some of them mirrored pairs. [m] Out: an exact assignment, what is
//!   left over, what is short, and the value of every criterion.
//! - Criteria in falling rank; a lower one only decides among assignments equal in all above it:
//!   1. as many holes filled as there are plants for, then as few free pairs (see below)
//!      half filled as possible;
//!   2. height: misfit to what the holes want, in steps of 5 cm, and left-right balance;
//!   3. spread: the same;
//!   4. condition: the best plants in the most prominent holes, Σ condition × prominence;
//!   5. prominence: prominent holes filled first, and with plants in flower, Σ prominence (twice
//!      for a plant in flower);
//!   6. season: months of interest that holes want and plants lack;
//!   7. carrying distance, in steps of 10 cm.
//! - Method: everything but balance is a sum over pairs of plant and hole, and
//!   `groundwright_geometry::assignment` finds the exact lexicographic optimum of such a sum.
//!   Balance couples two holes:
//!   - A pair of holes of which one wants a height: both want the same (the mean of what they
//!     state). |x - T| + |y - T| is never less than |x - y|, so misfit contains balance.
//!   - A pair that wants no height ("free"): for plants x and y the best common target costs
//!     |x - y|, whatever lies between them. Which plants make up the couples of such pairs is
//!     chosen first (`couples.rs`), exactly for criterion 2 over all plants and holes; then couples
//!     go to pairs, and the other plants to the other holes, each by exact assignment.
//! - What is exact: criteria 1 and 2 always, over all assignments, unless plants are short while
//!   free pairs exist (then free pairs are served first, at the least imbalance, and the rest at
//!   the least misfit for what is left). Without free pairs all criteria. With them criteria 3 to 7
//!   are optimal for the couples chosen, and among equal choices of couples those alike in spread
//!   and fit for their prominence are preferred. Doing better for all criteria at once is a
//!   three-dimensional matching, for which no fast exact method is known.
//! - Source: Kuhn 1955 by way of the geometry crate; the ranking is common practice, no source.
//! - Not here: whether a plant survives moving, or when it may be moved.

mod couples;
mod measure;

use groundwright_geometry::Point;
use groundwright_geometry::assignment::{AssignmentFault, assign};

pub use measure::Criteria;

/// A dug plant or division that looks for a new place.
#[derive(Debug, Clone, PartialEq)]
pub struct Dug {
    /// The caller's own number for it, passed through.
    pub key: u64,
    /// Height. [m]
    pub height: f64,
    /// Spread. [m]
    pub spread: f64,
    /// Condition, from 0 for poor to 1 for perfect. [1]
    pub condition: f64,
    /// Whether it flowers now.
    pub flowering: bool,
    /// Months of the year in which it is of interest, January first.
    pub interest: [bool; 12],
    /// Where it lies or stands now. [m]
    pub at: Point,
}

/// A hole that waits for a plant.
#[derive(Debug, Clone, PartialEq)]
pub struct Hole {
    /// Where it is. [m]
    pub at: Point,
    /// Height that suits it; none if any does. [m]
    pub wanted_height: Option<f64>,
    /// Spread that suits it; none if any does. [m]
    pub wanted_spread: Option<f64>,
    /// How prominent it is, in any measure, not below zero (see `prominence.rs`).
    pub prominence: f64,
    /// Months in which it should be of interest, January first.
    pub wanted_interest: [bool; 12],
    /// Index of its mirror partner, which names it in turn.
    pub pair: Option<usize>,
}

/// Which plant goes where.
#[derive(Debug, Clone, PartialEq)]
pub struct Transplanting {
    /// The plant of each hole, as an index.
    pub plant_of: Vec<Option<usize>>,
    /// The hole of each plant, as an index.
    pub hole_of: Vec<Option<usize>>,
    /// Plants without a hole, rising.
    pub leftovers: Vec<usize>,
    /// Holes without a plant, rising.
    pub shortages: Vec<usize>,
    /// What each criterion came to.
    pub criteria: Criteria,
}

/// Why transplants cannot be assigned.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum TransplantFault {
    /// A value of a dug plant that is not usable.
    #[error("dug plant {}: its {what} is {value}, expected {expected}", index + 1)]
    Dug {
        /// Index of the plant, from 0.
        index: usize,
        /// Which value.
        what: &'static str,
        /// The value given.
        value: f64,
        /// What it should be.
        expected: &'static str,
    },
    /// A value of a hole that is not usable.
    #[error("hole {}: its {what} is {value}, expected {expected}", index + 1)]
    Hole {
        /// Index of the hole, from 0.
        index: usize,
        /// Which value.
        what: &'static str,
        /// The value given.
        value: f64,
        /// What it should be.
        expected: &'static str,
    },
    /// A mirror partner that does not name the hole in turn.
    #[error(
        "hole {} names hole {} as its mirror partner, which does not name it in turn; \
         let both name each other", index + 1, partner + 1
    )]
    Pair {
        /// Index of the hole, from 0.
        index: usize,
        /// Index of the partner named, from 0.
        partner: usize,
    },
    /// Values too large to be summed exactly.
    #[error(transparent)]
    Assignment(#[from] AssignmentFault),
}

/// Misfits of size are counted in steps of this, as closely as plants are measured in the field.
/// [m]
pub const SIZE_STEP: f64 = 0.05;

/// Assigns dug plants to holes.
pub fn assign_transplants(dug: &[Dug], holes: &[Hole]) -> Result<Transplanting, TransplantFault> {
    check(dug, holes)?;
    let job = measure::Job::new(dug, holes);
    let couples = couples::choose(&job);
    let mut plant_of = vec![None; holes.len()];
    place_couples(&job, &couples, &mut plant_of)?;
    place_singles(&job, &mut plant_of)?;
    Ok(report(&job, plant_of))
}

fn check(dug: &[Dug], holes: &[Hole]) -> Result<(), TransplantFault> {
    const LENGTH: &str = "a length in metres above zero and below 1000";
    let length = |value: f64| value > 0.0 && value < 1000.0;
    let place = |at: Point| at.x.abs().max(at.y.abs()) < 1e5 && at.is_finite();
    for (index, plant) in dug.iter().enumerate() {
        let fault = |what, value, expected| Err(TransplantFault::Dug { index, what, value, expected });
        for (what, value) in [("height", plant.height), ("spread", plant.spread)] {
            if !length(value) {
                return fault(what, value, LENGTH);
            }
        }
        if !(0.0..=1.0).contains(&plant.condition) {
            return fault("condition", plant.condition, "a number from 0 to 1");
        }
        if !place(plant.at) {
            return fault("place", plant.at.x, "coordinates within 100 km");
        }
    }
    for (index, hole) in holes.iter().enumerate() {
        let fault = |what, value, expected| Err(TransplantFault::Hole { index, what, value, expected });
        for (what, value) in [("wanted height", hole.wanted_height), ("wanted spread", hole.wanted_spread)] {
            if let Some(value) = value.filter(|value| !length(*value)) {
                return fault(what, value, LENGTH);
            }
        }
        if !(hole.prominence.is_finite() && hole.prominence >= 0.0) {
            return fault("prominence", hole.prominence, "a finite number not below zero");
        }
        if !place(hole.at) {
            return fault("place", hole.at.x, "coordinates within 100 km");
        }
        if let Some(partner) = hole.pair
            && (partner == index || holes.get(partner).and_then(|p| p.pair) != Some(index))
        {
            return Err(TransplantFault::Pair { index, partner });
        }
    }
    Ok(())
}

/// Puts couples into the free pairs, each the better way round.
fn place_couples(
    job: &measure::Job<'_>,
    couples: &[(usize, usize)],
    plant_of: &mut [Option<usize>],
) -> Result<(), TransplantFault> {
    let ways = |couple: usize, pair: usize| {
        let ((a, b), (left, right)) = (couples[couple], job.free_pairs[pair]);
        let way = |one, other| {
            let mut cost = measure::sum(job.cost(one, left), job.cost(other, right));
            cost[1] += job.imbalance_of_spread(one, other, left);
            cost
        };
        (way(a, b), way(b, a))
    };
    let chosen = assign(couples.len(), job.free_pairs.len(), |couple, pair| {
        let (straight, crossed) = ways(couple, pair);
        Some(straight.min(crossed))
    })?;
    for (couple, pair) in chosen.into_iter().enumerate() {
        let Some(pair) = pair else { continue };
        let ((a, b), (left, right)) = (couples[couple], job.free_pairs[pair]);
        let (straight, crossed) = ways(couple, pair);
        let (a, b) = if straight <= crossed { (a, b) } else { (b, a) };
        (plant_of[left], plant_of[right]) = (Some(a), Some(b));
    }
    Ok(())
}

/// Puts the other plants into the other holes; a hole of a free pair left open comes last.
fn place_singles(job: &measure::Job<'_>, plant_of: &mut [Option<usize>]) -> Result<(), TransplantFault> {
    let mut used = vec![false; job.dug.len()];
    for &plant in plant_of.iter().flatten() {
        used[plant] = true;
    }
    let plants: Vec<usize> = (0..job.dug.len()).filter(|&i| !used[i]).collect();
    let holes: Vec<usize> = (0..job.holes.len()).filter(|&i| plant_of[i].is_none()).collect();
    let half_of_free: Vec<bool> = {
        let mut half = vec![false; job.holes.len()];
        for &(left, right) in &job.free_pairs {
            (half[left], half[right]) = (true, true);
        }
        half
    };
    let cost = |plant: usize, hole: usize| {
        let mut cost = [0; measure::CRITERIA + 1];
        cost[0] = i64::from(half_of_free[holes[hole]]);
        cost[1..].copy_from_slice(&job.cost(plants[plant], holes[hole]));
        Some(cost)
    };
    // The method is quickest with the fewer ones as rows.
    if plants.len() <= holes.len() {
        for (plant, hole) in assign(plants.len(), holes.len(), cost)?.into_iter().enumerate() {
            if let Some(hole) = hole {
                plant_of[holes[hole]] = Some(plants[plant]);
            }
        }
    } else {
        let chosen = assign(holes.len(), plants.len(), |hole, plant| cost(plant, hole))?;
        for (hole, plant) in chosen.into_iter().enumerate() {
            plant_of[holes[hole]] = plant.map(|plant| plants[plant]);
        }
    }
    Ok(())
}

fn report(job: &measure::Job<'_>, plant_of: Vec<Option<usize>>) -> Transplanting {
    let mut hole_of = vec![None; job.dug.len()];
    for (hole, plant) in plant_of.iter().enumerate() {
        if let Some(plant) = plant {
            hole_of[*plant] = Some(hole);
        }
    }
    let none = |list: &[Option<usize>]| {
        let open = list.iter().enumerate().filter(|(_, given)| given.is_none());
        open.map(|(index, _)| index).collect()
    };
    Transplanting {
        leftovers: none(&hole_of),
        shortages: none(&plant_of),
        criteria: job.criteria(&plant_of),
        plant_of,
        hole_of,
    }
}
