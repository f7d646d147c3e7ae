//! Heights: rod readings and height differences adjusted by themselves.
//!
//! - In: points of known height, rod readings from set-ups, height differences. Out: heights with
//!   standard deviations, residuals, redundancy, suspects.
//! - Method: linear least squares on the same normal equations as the tape network; each set-up of
//!   the instrument has an unknown height of its own, so that any number of points may be read from it.
//! - A rod reading is the height of the line of sight above the point.
//! - Residual = adjusted − observed.

use std::collections::BTreeMap;

use crate::SurveyError;
use crate::adjust::UNCHECKED;
use crate::network::Booked;
use crate::normal_equations::{Cofactors, Factor, Free, Row, solve};
use crate::slip::{Slip, explain_height};
use crate::statistics::{SNOOPING_CHANCE, normal_critical};

/// One reading of heights.
#[derive(Debug, Clone, PartialEq)]
pub enum LevelObserved {
    /// The second point is higher than the first by the value.
    Difference {
        /// First point.
        from: String,
        /// Second point.
        to: String,
    },
    /// The rod at a point, read from a set-up of the instrument.
    Rod {
        /// The set-up.
        setup: String,
        /// The point.
        point: String,
    },
}

/// A reading of heights with its value.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelReading {
    /// What was read.
    pub observed: LevelObserved,
    /// The value. [m]
    pub value: f64,
    /// Its standard deviation. [m] Above zero.
    pub sigma: f64,
    /// How it was booked, so that a slip of the pen can be recognised.
    pub booked: Option<Booked>,
}

/// Readings of heights and the points whose heights are held.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Levels {
    /// Heights that are held. [m]
    pub held: BTreeMap<String, f64>,
    /// The readings.
    pub readings: Vec<LevelReading>,
}

impl Levels {
    /// Points at which a height was read, each once or more, in the order of the readings.
    pub fn points(&self) -> impl Iterator<Item = &str> {
        self.readings
            .iter()
            .flat_map(|reading| match &reading.observed {
                LevelObserved::Difference { from, to } => [Some(from.as_str()), Some(to.as_str())],
                LevelObserved::Rod { point, .. } => [Some(point.as_str()), None],
            })
            .flatten()
    }
}

/// How well heights are read with what the trade uses. [m] Common practice, no source.
pub mod accuracy {
    /// An instrument and a rod, one reading. [m]
    pub const ROD: f64 = 0.002;
    /// A hand level, a string or a water level between two points. [m]
    pub const BY_HAND: f64 = 0.010;
}

/// A height after the adjustment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level {
    /// The height. [m]
    pub height: f64,
    /// Its standard deviation before scaling by the variance factor. [m]
    pub sigma: f64,
}

/// A reading after the adjustment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AdjustedLevel {
    /// Adjusted value. [m]
    pub adjusted: f64,
    /// Adjusted minus observed. [m]
    pub residual: f64,
    /// Share of the reading that the others check, 0 to 1. \[dimensionless\]
    pub redundancy: f64,
    /// Standardised residual; `None` where unchecked. \[dimensionless\]
    pub standardised: Option<f64>,
    /// Whether it took part.
    pub used: bool,
}

/// Adjusted heights.
#[derive(Debug, Clone, PartialEq)]
pub struct Levelled {
    /// Heights by point, the held ones too. [m]
    pub heights: BTreeMap<String, Level>,
    /// Heights of the line of sight by set-up. [m]
    pub setups: BTreeMap<String, Level>,
    /// Readings in their order.
    pub readings: Vec<AdjustedLevel>,
    /// Readings beyond what determines the heights.
    pub freedom: usize,
    /// Weighted sum of squared residuals. \[dimensionless\]
    pub weighted_sum: f64,
    /// Points that no reading ties to a known height.
    pub undetermined: Vec<String>,
    /// The point that was taken as the datum where no height is held.
    pub datum: Option<String>,
    /// Readings that were set aside as gross errors, worst first.
    pub suspects: Vec<LevelSuspect>,
}

/// A reading of heights that is likely wrong.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelSuspect {
    /// The reading.
    pub reading: usize,
    /// Its standardised residual when it was set aside. \[dimensionless\]
    pub standardised: f64,
    /// How far the booked value is off against the readings that were kept. [m]
    pub error: f64,
    /// Slips that would explain the error, likeliest first.
    pub slips: Vec<Slip>,
}

impl Levelled {
    /// Variance factor; `None` without redundancy. \[dimensionless\]
    pub fn variance_factor(&self) -> Option<f64> {
        (self.freedom > 0).then(|| self.weighted_sum / self.freedom as f64)
    }
}

/// Adjusts heights. Where none is held, the first point read is taken as 0.
///
/// # Errors
/// [`SurveyError::Empty`] without readings; [`SurveyError::Value`] or [`SurveyError::Sigma`] for a
/// value that cannot be.
pub fn level(levels: &Levels) -> Result<Levelled, SurveyError> {
    level_without(levels, &[])
}

/// Adjusts heights and sets gross errors aside, one after the other, by data snooping.
///
/// # Errors
/// As [`level`].
pub fn snoop_levels(levels: &Levels) -> Result<Levelled, SurveyError> {
    let critical = normal_critical(SNOOPING_CHANCE);
    let mut out: Vec<usize> = Vec::new();
    let mut found: Vec<LevelSuspect> = Vec::new();
    loop {
        let mut levelled = level_without(levels, &out)?;
        let size = |i: &usize| levelled.readings[*i].standardised.map_or(-1.0, f64::abs);
        let worst = (0..levelled.readings.len()).max_by(|a, b| size(a).total_cmp(&size(b)).then(b.cmp(a)));
        let bad = worst.filter(|worst| size(worst) > critical && out.len() < levels.readings.len() / 3);
        let Some(worst) = bad else {
            for suspect in &mut found {
                judge(levels, &levelled, suspect);
            }
            levelled.suspects = found;
            return Ok(levelled);
        };
        let standardised = levelled.readings[worst].standardised.unwrap_or(0.0);
        found.push(LevelSuspect { reading: worst, standardised, error: 0.0, slips: Vec::new() });
        out.push(worst);
    }
}

/// Error and slips as the readings that were kept show them.
fn judge(levels: &Levels, kept: &Levelled, suspect: &mut LevelSuspect) {
    let reading = &levels.readings[suspect.reading];
    suspect.error = reading.value - kept.readings[suspect.reading].adjusted;
    // The heights that it is compared with scatter as well.
    let sigma = std::f64::consts::SQRT_2 * reading.sigma;
    suspect.slips = explain_height(reading.booked.as_ref(), reading.value, suspect.error, sigma);
}

/// Points and set-ups as the nodes of one graph of heights.
struct Nodes<'l> {
    points: Vec<&'l str>,
    setups: Vec<&'l str>,
    /// The two nodes of each reading; the value is the second minus the first.
    ends: Vec<(usize, usize)>,
    names: BTreeMap<(bool, &'l str), usize>,
}

impl<'l> Nodes<'l> {
    fn of(levels: &'l Levels) -> Self {
        let mut nodes =
            Self { points: Vec::new(), setups: Vec::new(), ends: Vec::new(), names: BTreeMap::new() };
        for reading in &levels.readings {
            match &reading.observed {
                LevelObserved::Difference { from, to } => [(false, from), (false, to)],
                LevelObserved::Rod { setup, point } => [(false, point), (true, setup)],
            }
            .into_iter()
            .for_each(|(is_setup, name)| nodes.add(is_setup, name));
        }
        for reading in &levels.readings {
            let (a, b) = match &reading.observed {
                LevelObserved::Difference { from, to } => ((false, from.as_str()), (false, to.as_str())),
                LevelObserved::Rod { setup, point } => ((false, point.as_str()), (true, setup.as_str())),
            };
            let ends = (nodes.index(a), nodes.index(b));
            nodes.ends.push(ends);
        }
        nodes
    }

    fn add(&mut self, is_setup: bool, name: &'l str) {
        let list = if is_setup { &mut self.setups } else { &mut self.points };
        self.names.entry((is_setup, name)).or_insert_with(|| {
            list.push(name);
            list.len() - 1
        });
    }

    /// Points first, then set-ups.
    fn index(&self, (is_setup, name): (bool, &'l str)) -> usize {
        self.names[&(is_setup, name)] + if is_setup { self.points.len() } else { 0 }
    }

    fn len(&self) -> usize {
        self.points.len() + self.setups.len()
    }
}

fn level_without(levels: &Levels, left_out: &[usize]) -> Result<Levelled, SurveyError> {
    check(levels)?;
    let nodes = Nodes::of(levels);
    let n = nodes.len();
    let mut heights: Vec<Option<f64>> = vec![None; n];
    for (i, name) in nodes.points.iter().enumerate() {
        heights[i] = levels.held.get(*name).copied();
    }
    let datum = heights.iter().all(Option::is_none).then(|| nodes.points[0].to_owned());
    if datum.is_some() {
        heights[0] = Some(0.0);
    }
    let held: Vec<bool> = heights.iter().map(Option::is_some).collect();
    // Start from sums of readings along any way from a known height: the problem is linear, but
    // small corrections keep the digits.
    let mut reached = true;
    while reached {
        reached = false;
        for (k, (a, b)) in nodes.ends.iter().copied().enumerate().filter(|(k, _)| !left_out.contains(k)) {
            match (heights[a], heights[b]) {
                (Some(from), None) => heights[b] = Some(from + levels.readings[k].value),
                (None, Some(to)) => heights[a] = Some(to - levels.readings[k].value),
                _ => continue,
            }
            reached = true;
        }
    }
    let mut unknown = vec![None; n];
    let mut count = 0;
    for i in 0..n {
        if !held[i] && heights[i].is_some() {
            unknown[i] = Some(count);
            count += 1;
        }
    }
    let mut rows = Vec::new();
    let mut used = vec![false; levels.readings.len()];
    for (k, ((a, b), reading)) in nodes.ends.iter().copied().zip(&levels.readings).enumerate() {
        let (Some(from), Some(to)) = (heights[a], heights[b]) else { continue };
        if left_out.contains(&k) {
            continue;
        }
        used[k] = true;
        rows.push(Row {
            terms: terms(unknown[a], unknown[b]),
            weight: 1.0 / (reading.sigma * reading.sigma),
            misfit: reading.value - (to - from),
        });
    }
    let cofactors = if count == 0 {
        None
    } else {
        let (correction, factor) = solve(count, &rows, 0.0)
            .map_err(|Free(_)| SurveyError::Singular { names: nodes.points.join(", ") })?;
        for i in 0..n {
            if let (Some(height), Some(unknown)) = (&mut heights[i], unknown[i]) {
                *height += correction[unknown];
            }
        }
        Some(Factor::cofactors(factor))
    };
    let freedom = rows.len().saturating_sub(count);
    Ok(gather(levels, &nodes, &heights, &unknown, &used, cofactors.as_ref(), freedom, datum))
}

fn check(levels: &Levels) -> Result<(), SurveyError> {
    if levels.readings.is_empty() {
        return Err(SurveyError::Empty);
    }
    for (i, reading) in levels.readings.iter().enumerate() {
        if !reading.value.is_finite() {
            return Err(SurveyError::Value { reading: i + 1, value: reading.value });
        }
        if !(reading.sigma.is_finite() && reading.sigma > 0.0) {
            return Err(SurveyError::Sigma { reading: i + 1, sigma: reading.sigma });
        }
        if let LevelObserved::Difference { from, to } = &reading.observed
            && from == to
        {
            return Err(SurveyError::ToItself { reading: i + 1, name: from.clone() });
        }
    }
    match levels.held.iter().find(|(_, height)| !height.is_finite()) {
        Some((name, _)) => Err(SurveyError::Place { name: name.clone() }),
        None => Ok(()),
    }
}

fn terms(from: Option<usize>, to: Option<usize>) -> Vec<(usize, f64)> {
    from.map(|i| (i, -1.0)).into_iter().chain(to.map(|i| (i, 1.0))).collect()
}

#[allow(clippy::too_many_arguments)] // One caller; a struct for it would be named after nothing.
fn gather(
    levels: &Levels,
    nodes: &Nodes<'_>,
    heights: &[Option<f64>],
    unknown: &[Option<usize>],
    used: &[bool],
    cofactors: Option<&Cofactors>,
    freedom: usize,
    datum: Option<String>,
) -> Levelled {
    let sigma = |i: usize| match (unknown[i], cofactors) {
        (Some(u), Some(cofactors)) => cofactors.entry(u, u).unwrap_or(0.0).max(0.0).sqrt(),
        _ => 0.0,
    };
    let list = |names: &[&str], first: usize| -> BTreeMap<String, Level> {
        let known = names.iter().enumerate().filter_map(|(i, name)| Some((i, *name, heights[first + i]?)));
        known.map(|(i, name, height)| (name.to_owned(), Level { height, sigma: sigma(first + i) })).collect()
    };
    let mut weighted_sum = 0.0;
    let mut readings = Vec::new();
    for (k, ((a, b), reading)) in nodes.ends.iter().copied().zip(&levels.readings).enumerate() {
        let computed = heights[a].zip(heights[b]).map_or(reading.value, |(from, to)| to - from);
        let residual = computed - reading.value;
        let variance = reading.sigma * reading.sigma;
        let left = cofactors.filter(|_| used[k]).map_or(0.0, |c| c.of_row(&terms(unknown[a], unknown[b])));
        let redundancy = if used[k] { (1.0 - left / variance).clamp(0.0, 1.0) } else { 0.0 };
        let checked = redundancy > UNCHECKED;
        if used[k] {
            weighted_sum += residual * residual / variance;
        }
        readings.push(AdjustedLevel {
            adjusted: computed,
            residual,
            redundancy: if checked { redundancy } else { 0.0 },
            standardised: checked.then(|| residual / (reading.sigma * redundancy.sqrt())),
            used: used[k],
        });
    }
    let lost = nodes.points.iter().enumerate().filter(|(i, _)| heights[*i].is_none());
    let undetermined = lost.map(|(_, name)| (*name).to_owned()).collect();
    let setups = list(&nodes.setups, nodes.points.len());
    let mut all = list(&nodes.points, 0);
    for (name, height) in &levels.held {
        all.entry(name.clone()).or_insert(Level { height: *height, sigma: 0.0 });
    }
    Levelled {
        heights: all,
        setups,
        readings,
        freedom,
        weighted_sum,
        undetermined,
        datum,
        suspects: Vec::new(),
    }
}
