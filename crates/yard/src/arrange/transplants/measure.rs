//! The criteria of transplanting, as whole numbers that add up.
//!
//! - In: plants and holes. Out: the cost of a plant in a hole, criterion by criterion, and the
//!   value of each criterion for a whole assignment.
//! - Whole steps, because exact comparison of sums needs numbers without rounding.

use super::{Dug, Hole, SIZE_STEP};

/// Criteria that are sums over pairs of plant and hole: height, spread, condition, prominence,
/// season, carrying.
pub(super) const CRITERIA: usize = 6;

/// A cost by criteria in falling rank; less is better.
pub(super) type Cost = [i64; CRITERIA];

/// What each criterion came to, in the reader's measures.
#[derive(Debug, Clone, PartialEq)]
pub struct Criteria {
    /// Holes filled.
    pub filled: usize,
    /// Mirrored pairs of which one hole is filled and the other is not.
    pub half_filled_pairs: usize,
    /// Misfit to wanted heights, and imbalance of the pairs that want none. [m]
    pub height: f64,
    /// Misfit to wanted spreads, and imbalance of the pairs that want none. [m]
    pub spread: f64,
    /// Differences in height within the filled pairs, summed. [m]
    pub imbalance: f64,
    /// Σ condition × prominence, as a share of the most prominent hole's. [1]
    pub condition: f64,
    /// Σ prominence of the holes filled, twice where the plant flowers, as the same share. [1]
    pub prominence: f64,
    /// Months of interest that holes want and their plants lack. [month]
    pub season: usize,
    /// Carrying distance in a straight line. [m]
    pub carrying: f64,
}

/// Plants and holes, measured.
pub(super) struct Job<'a> {
    pub(super) dug: &'a [Dug],
    pub(super) holes: &'a [Hole],
    /// Pairs of holes that want no height, the lower index first.
    pub(super) free_pairs: Vec<(usize, usize)>,
    /// Height that each hole wants, in steps; for a mirrored pair the mean of what is stated.
    pub(super) height_wanted: Vec<Option<i64>>,
    spread_wanted: Vec<Option<i64>>,
    /// Prominence from 0 to 1000 for the most prominent hole.
    prominence: Vec<i64>,
}

impl<'a> Job<'a> {
    pub(super) fn new(dug: &'a [Dug], holes: &'a [Hole]) -> Self {
        let height_wanted = wanted(holes, |hole| hole.wanted_height);
        let pairs = holes.iter().enumerate().filter_map(|(i, hole)| hole.pair.map(|j| (i, j)));
        let free_pairs = pairs.filter(|&(i, j)| i < j && height_wanted[i].is_none()).collect();
        let most = holes.iter().map(|hole| hole.prominence).fold(0.0, f64::max);
        let share = |hole: &Hole| if most > 0.0 { hole.prominence / most } else { 0.0 };
        Self {
            dug,
            holes,
            free_pairs,
            spread_wanted: wanted(holes, |hole| hole.wanted_spread),
            height_wanted,
            prominence: holes.iter().map(|hole| (share(hole) * 1000.0).round() as i64).collect(),
        }
    }

    /// Height of a plant in steps.
    pub(super) fn height(&self, plant: usize) -> i64 {
        steps(self.dug[plant].height)
    }

    /// Spread of a plant in steps.
    pub(super) fn spread(&self, plant: usize) -> i64 {
        steps(self.dug[plant].spread)
    }

    /// Condition of a plant, from 0 to 100.
    pub(super) fn condition(&self, plant: usize) -> i64 {
        (self.dug[plant].condition * 100.0).round() as i64
    }

    /// Prominence of a hole, from 0 to 1000.
    pub(super) fn prominence(&self, hole: usize) -> i64 {
        self.prominence[hole]
    }

    /// Whether two mirrored holes want no spread, so that their plants should be alike.
    pub(super) fn free_spread(&self, hole: usize) -> bool {
        self.spread_wanted[hole].is_none()
    }

    /// Difference in spread of two plants in mirrored holes that want none, in steps.
    pub(super) fn imbalance_of_spread(&self, one: usize, other: usize, hole: usize) -> i64 {
        if self.free_spread(hole) { (self.spread(one) - self.spread(other)).abs() } else { 0 }
    }

    /// Cost of a plant in a hole, without what couples two holes.
    pub(super) fn cost(&self, plant: usize, hole: usize) -> Cost {
        let (dug, goal) = (&self.dug[plant], &self.holes[hole]);
        let misfit = |wanted: Option<i64>, size: i64| wanted.map_or(0, |w| (w - size).abs());
        let prominence = self.prominence[hole];
        let flowering = if dug.flowering { 2 } else { 1 };
        [
            misfit(self.height_wanted[hole], self.height(plant)),
            misfit(self.spread_wanted[hole], self.spread(plant)),
            -self.condition(plant) * prominence,
            -flowering * prominence,
            months_lacking(dug, goal),
            (dug.at.distance(goal.at) * 10.0).round() as i64,
        ]
    }

    /// What each criterion comes to for an assignment.
    pub(super) fn criteria(&self, plant_of: &[Option<usize>]) -> Criteria {
        let filled = || plant_of.iter().enumerate().filter_map(|(hole, p)| p.map(|p| (p, hole)));
        let total = filled().fold([0; CRITERIA], |total, (p, hole)| sum(total, self.cost(p, hole)));
        let (mut height, mut spread, mut imbalance, mut half) = (total[0], total[1], 0, 0);
        for (left, right) in self.pairs() {
            let (Some(a), Some(b)) = (plant_of[left], plant_of[right]) else {
                half += usize::from(plant_of[left].is_some() != plant_of[right].is_some());
                continue;
            };
            let apart = (self.height(a) - self.height(b)).abs();
            imbalance += apart;
            if self.height_wanted[left].is_none() {
                height += apart;
            }
            spread += self.imbalance_of_spread(a, b, left);
        }
        Criteria {
            filled: filled().count(),
            half_filled_pairs: half,
            height: height as f64 * SIZE_STEP,
            spread: spread as f64 * SIZE_STEP,
            imbalance: imbalance as f64 * SIZE_STEP,
            condition: -total[2] as f64 / 1e5,
            prominence: -total[3] as f64 / 1e3,
            season: total[4] as usize,
            carrying: filled().map(|(p, h)| self.dug[p].at.distance(self.holes[h].at)).sum(),
        }
    }

    fn pairs(&self) -> impl Iterator<Item = (usize, usize)> {
        let pairs = self.holes.iter().enumerate().filter_map(|(i, hole)| hole.pair.map(|j| (i, j)));
        pairs.filter(|(i, j)| i < j)
    }
}

/// The sum of two costs.
pub(super) fn sum(one: Cost, other: Cost) -> Cost {
    std::array::from_fn(|i| one[i] + other[i])
}

/// A length in whole steps of size.
fn steps(length: f64) -> i64 {
    (length / SIZE_STEP).round() as i64
}

/// What each hole wants, in steps; mirrored holes want the mean of what either states.
fn wanted(holes: &[Hole], of: impl Fn(&Hole) -> Option<f64>) -> Vec<Option<i64>> {
    holes
        .iter()
        .map(|hole| {
            let partner = hole.pair.and_then(|partner| of(&holes[partner]));
            match (of(hole), partner) {
                (Some(own), Some(other)) => Some(steps(f64::midpoint(own, other))),
                (own, other) => own.or(other).map(steps),
            }
        })
        .collect()
}

fn months_lacking(dug: &Dug, hole: &Hole) -> i64 {
    let months = hole.wanted_interest.iter().zip(&dug.interest);
    months.map(|(wanted, there)| i64::from(*wanted && !*there)).sum()
}
