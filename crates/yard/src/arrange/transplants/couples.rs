//! Which plants make up the couples of the mirrored pairs that want no height.
//!
//! - In: the measured plants and holes. Out: couples, as many as there are free pairs, or as
//!   plants allow.
//! - Method: plants are put in order of height. In some optimum each couple is two plants next to
//!   each other in that order: were z between x and y of a couple, then x with z (or z with y),
//!   and the other one in z's place, would cost no more, whether z stands in a hole that wants a
//!   height (by the triangle inequality), in another couple, in a hole that wants none, or is left
//!   over. Likewise holes with wanted heights are served in order. So one walk along the plants
//!   suffices: each is left to the others, put into the next hole that wants a height, or made a
//!   couple with the next (dynamic programming).
//! - Time: plants × holes that want a height × pairs.
//! - When plants are short the holes that want a height are left out of the walk: see `mod.rs`.

use super::measure::Job;

/// Imbalance and misfit of height; difference in spread; what is lost in condition.
type Loss = [i64; 3];

/// What the walk did with a plant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Step {
    Left,
    Wanted,
    Couple,
}

/// Chooses the couples.
pub(super) fn choose(job: &Job<'_>) -> Vec<(usize, usize)> {
    let count = job.dug.len();
    let pairs = job.free_pairs.len().min(count / 2);
    if pairs == 0 {
        return Vec::new();
    }
    let mut plants: Vec<usize> = (0..count).collect();
    plants.sort_by_key(|&i| (job.height(i), job.spread(i), -job.condition(i), i));
    let mut wanted: Vec<i64> = job.height_wanted.iter().flatten().copied().collect();
    wanted.sort_unstable();
    if count < job.holes.len() {
        wanted.clear();
    }
    Walk::new(job, &plants, &wanted, pairs).couples()
}

/// The table of the walk: least loss after some plants, with some wants served and couples made.
struct Walk<'a> {
    job: &'a Job<'a>,
    plants: &'a [usize],
    wanted: &'a [i64],
    pairs: usize,
    /// What a couple's condition is worth: prominence of free pairs less that of other holes.
    worth: i64,
    free_spread: bool,
    /// The step that led to each state, by plants, wants and couples.
    steps: Vec<Step>,
}

impl<'a> Walk<'a> {
    fn new(job: &'a Job<'a>, plants: &'a [usize], wanted: &'a [i64], pairs: usize) -> Self {
        let in_pair = |hole: usize| job.free_pairs.iter().any(|&(a, b)| a == hole || b == hole);
        let mean = |inside: bool| {
            let ranks = (0..job.holes.len()).filter(|&hole| in_pair(hole) == inside);
            let (sum, count) =
                ranks.fold((0, 0), |(sum, count), hole| (sum + job.prominence(hole), count + 1));
            sum / count.max(1)
        };
        let mut walk = Self {
            job,
            plants,
            wanted,
            pairs,
            worth: mean(true) - mean(false),
            free_spread: job.free_pairs.iter().all(|&(hole, _)| job.free_spread(hole)),
            steps: Vec::new(),
        };
        walk.fill();
        walk
    }

    fn width(&self) -> usize {
        (self.wanted.len() + 1) * (self.pairs + 1)
    }

    fn state(&self, served: usize, couples: usize) -> usize {
        served * (self.pairs + 1) + couples
    }

    fn fill(&mut self) {
        let width = self.width();
        self.steps = vec![Step::Left; (self.plants.len() + 1) * width];
        let mut start = vec![None; width];
        start[0] = Some([0; 3]);
        // Losses after the plant before last and after the last.
        let (mut earlier, mut last) = (vec![None; width], start);
        for walked in 1..=self.plants.len() {
            let mut here: Vec<Option<Loss>> = last.clone();
            for served in 0..=self.wanted.len() {
                for couples in 0..=self.pairs {
                    let state = self.state(served, couples);
                    let mut improve = |from: Option<Loss>, more: Loss, step: Step| {
                        let Some(from) = from else { return };
                        let loss: Loss = std::array::from_fn(|i| from[i] + more[i]);
                        if here[state].is_none_or(|known| loss < known) {
                            here[state] = Some(loss);
                            self.steps[walked * width + state] = step;
                        }
                    };
                    if served > 0 {
                        let before = served.saturating_sub(1) * (self.pairs + 1) + couples;
                        let plant = self.plants[walked - 1];
                        let misfit = (self.job.height(plant) - self.wanted[served - 1]).abs();
                        improve(last[before], [misfit, 0, 0], Step::Wanted);
                    }
                    if couples > 0 && walked > 1 {
                        let before = served * (self.pairs + 1) + couples - 1;
                        let (a, b) = (self.plants[walked - 2], self.plants[walked - 1]);
                        let loss = couple_loss(self.job, a, b, self.free_spread, self.worth);
                        improve(earlier[before], loss, Step::Couple);
                    }
                }
            }
            (earlier, last) = (last, here);
        }
    }

    /// The couples of the least loss, read back from the end.
    fn couples(&self) -> Vec<(usize, usize)> {
        let (mut walked, mut served, mut left) = (self.plants.len(), self.wanted.len(), self.pairs);
        let mut couples = Vec::new();
        while walked > 0 {
            match self.steps[walked * self.width() + self.state(served, left)] {
                Step::Left => walked -= 1,
                Step::Wanted => {
                    walked -= 1;
                    served = served.saturating_sub(1);
                }
                Step::Couple => {
                    couples.push((self.plants[walked - 2], self.plants[walked - 1]));
                    walked = walked.saturating_sub(2);
                    left = left.saturating_sub(1);
                }
            }
        }
        couples.reverse();
        couples
    }
}

fn couple_loss(job: &Job<'_>, a: usize, b: usize, free_spread: bool, worth: i64) -> Loss {
    let spread = if free_spread { (job.spread(a) - job.spread(b)).abs() } else { 0 };
    [(job.height(a) - job.height(b)).abs(), spread, -(job.condition(a) + job.condition(b)) * worth]
}
