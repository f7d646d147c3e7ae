//! Adjustment of a network by weighted nonlinear least squares.
//!
//! - In: a network. Out: places with cofactors, readings with residuals and redundancy.
//! - Method: Gauss-Newton from the starting places of `placing.rs`, damped after Levenberg and
//!   Marquardt when a step makes the fit worse; weights 1/σ². Terms after Ghilani, Adjustment
//!   Computations, and Baarda 1968 for reliability.
//! - Points that the readings leave free are taken out with their readings, and listed.
//! - Residual = adjusted − observed.

use std::f64::consts::PI;

use groundwright_geometry::Point;

use crate::SurveyError;
use crate::equation;
use crate::network::{Network, Observed};
use crate::normal_equations::{Cofactors, Factor, Free, Row, solve};
use crate::placing::{Datum, Mirrored, Placing, place};
use crate::statistics::{SNOOPING_CHANCE, SNOOPING_POWER, normal_critical, normal_quantile};

/// Steps after which an adjustment that has not settled is given up.
const STEPS: usize = 400;

/// Largest correction at which the adjustment has settled, in a yard up to 14 m wide; in a wider one
/// it grows with the last bit of its coordinates. [m]
const SETTLED: f64 = 1e-13;

/// Large residuals make the steps shrink slowly; after this many, [`ROUNDING`] is near enough.
const SLOW: usize = 60;

/// Below this a correction that no longer shrinks is rounding. [m]
const ROUNDING: f64 = 1e-8;

/// Below this redundancy a reading is unchecked: an error of it shows nowhere.
pub const UNCHECKED: f64 = 1e-6;

/// An error ellipse at one standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ellipse {
    /// Greater half axis. [m]
    pub major: f64,
    /// Smaller half axis. [m]
    pub minor: f64,
    /// Direction of the greater axis, counter-clockwise from east, 0 to π. [rad]
    pub direction: f64,
}

/// A point after the adjustment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AdjustedPoint {
    /// Its place. [m]
    pub at: Point,
    /// Cofactor of x: its variance before scaling by the variance factor. [m²]
    pub qxx: f64,
    /// Cofactor of y. [m²]
    pub qyy: f64,
    /// Cofactor of x and y. [m²]
    pub qxy: f64,
    /// Whether the readings determine it; if not, its place is arbitrary.
    pub determined: bool,
}

impl AdjustedPoint {
    /// Standard deviations by x and y, before scaling by the variance factor. [m]
    pub fn sigmas(&self) -> (f64, f64) {
        (self.qxx.max(0.0).sqrt(), self.qyy.max(0.0).sqrt())
    }

    /// Its error ellipse, before scaling by the variance factor.
    pub fn ellipse(&self) -> Ellipse {
        let (half_sum, half_difference) = (f64::midpoint(self.qxx, self.qyy), (self.qxx - self.qyy) / 2.0);
        let root = half_difference.hypot(self.qxy);
        let direction = 0.5 * self.qxy.atan2(half_difference);
        Ellipse {
            major: (half_sum + root).max(0.0).sqrt(),
            minor: (half_sum - root).max(0.0).sqrt(),
            direction: direction.rem_euclid(PI),
        }
    }
}

/// A reading after the adjustment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AdjustedReading {
    /// Adjusted value. [m, rad]
    pub adjusted: f64,
    /// Adjusted minus observed. [m, rad]
    pub residual: f64,
    /// Share of the reading that the others check, 0 to 1. \[dimensionless\]
    pub redundancy: f64,
    /// Standardised residual; `None` where the reading is unchecked. \[dimensionless\]
    pub standardised: Option<f64>,
    /// Smallest error that the snooping would find; `None` where it is unchecked. [m, rad]
    pub detectable: Option<f64>,
    /// Whether it took part: readings of undetermined points do not.
    pub used: bool,
}

impl AdjustedReading {
    /// Estimated error of the reading, observed minus true, were it the only bad one. [m, rad]
    pub fn estimated_error(&self) -> Option<f64> {
        self.standardised.map(|_| -self.residual / self.redundancy)
    }
}

/// An adjusted network.
#[derive(Debug, Clone, PartialEq)]
pub struct Adjustment {
    /// Points, in the order of the network.
    pub points: Vec<AdjustedPoint>,
    /// Readings, in the order of the network.
    pub readings: Vec<AdjustedReading>,
    /// The frame.
    pub datum: Datum,
    /// Readings beyond what determines the points.
    pub freedom: usize,
    /// Weighted sum of squared residuals. \[dimensionless\]
    pub weighted_sum: f64,
    /// Steps taken.
    pub steps: usize,
    /// Points that the readings do not determine.
    pub undetermined: Vec<usize>,
    /// Points whose mirror image fits as well.
    pub mirrored: Vec<Mirrored>,
}

impl Adjustment {
    /// Variance factor: 1 where the readings are as good as their standard deviations say; `None`
    /// without redundancy. \[dimensionless\]
    pub fn variance_factor(&self) -> Option<f64> {
        (self.freedom > 0).then(|| self.weighted_sum / self.freedom as f64)
    }

    /// The reading with the largest standardised residual.
    pub fn largest(&self) -> Option<usize> {
        let size = |i: &usize| self.readings[*i].standardised.map_or(-1.0, f64::abs);
        (0..self.readings.len())
            .filter(|i| self.readings[*i].standardised.is_some())
            .max_by(|a, b| size(a).total_cmp(&size(b)).then(b.cmp(a)))
    }
}

/// Adjusts a network.
///
/// # Errors
/// [`SurveyError`] where a value is wrong, nothing is left to adjust, or the steps do not settle.
/// A network without redundancy, with undetermined points or with gross errors is no error.
pub fn adjust(network: &Network) -> Result<Adjustment, SurveyError> {
    network.check()?;
    adjust_from(network, place(network), &[])
}

/// Adjusts from given starting places, leaving out some readings.
pub(crate) fn adjust_from(
    network: &Network,
    placing: Placing,
    left_out: &[usize],
) -> Result<Adjustment, SurveyError> {
    let Placing { mut at, lost, mirrored, datum } = placing;
    let mut work = Work::new(network, datum, &lost, left_out);
    loop {
        if work.used.iter().all(|used| !used) {
            return if network.readings.is_empty() {
                Err(SurveyError::Empty)
            } else {
                Ok(work.finish(&at, mirrored, None, 0))
            };
        }
        match work.settle(&mut at) {
            Ok((steps, factor)) => return Ok(work.finish(&at, mirrored, factor, steps)),
            Err(Stop::Free(point)) => work.drop_point(point),
            Err(Stop::NotSettled) => return Err(SurveyError::NotSettled { iterations: STEPS }),
        }
    }
}

enum Stop {
    /// A point that the readings leave free.
    Free(usize),
    NotSettled,
}

/// The network while it is adjusted.
struct Work<'n> {
    network: &'n Network,
    datum: Datum,
    /// Points that take part.
    determined: Vec<bool>,
    /// Readings that take part.
    used: Vec<bool>,
    /// Readings that do not take part, whatever becomes of the points.
    left_out: Vec<bool>,
    /// Unknowns of each point by x and y.
    unknowns: Vec<[Option<usize>; 2]>,
    /// Point of each unknown.
    owners: Vec<usize>,
}

impl<'n> Work<'n> {
    fn new(network: &'n Network, datum: Datum, lost: &[usize], left_out: &[usize]) -> Self {
        let mut work = Self {
            network,
            datum,
            determined: vec![true; network.points.len()],
            used: Vec::new(),
            left_out: vec![false; network.readings.len()],
            unknowns: Vec::new(),
            owners: Vec::new(),
        };
        for point in lost {
            work.determined[*point] = false;
        }
        for reading in left_out {
            work.left_out[*reading] = true;
        }
        work.number();
        work
    }

    fn drop_point(&mut self, point: usize) {
        self.determined[point] = false;
        self.number();
    }

    /// Numbers the unknowns of the points that take part, after taking out readings of the others.
    fn number(&mut self) {
        self.used = self
            .network
            .readings
            .iter()
            .zip(&self.left_out)
            .map(|(reading, out)| !out && reading.observed.points().all(|point| self.determined[point]))
            .collect();
        let mut tied = vec![false; self.network.points.len()];
        for (reading, used) in self.network.readings.iter().zip(&self.used) {
            if *used {
                reading.observed.points().for_each(|point| tied[point] = true);
            }
        }
        self.owners.clear();
        self.unknowns = vec![[None; 2]; self.network.points.len()];
        for (i, point) in self.network.points.iter().enumerate() {
            let free = match self.datum {
                _ if point.held.is_some() => [false, false],
                Datum::Frame { origin, .. } if origin == i => [false, false],
                Datum::Frame { east, .. } if east == i => [true, false],
                _ => [true, true],
            };
            self.determined[i] &= tied[i] || !(free[0] || free[1]);
            for (axis, free) in free.into_iter().enumerate() {
                if free && self.determined[i] {
                    self.unknowns[i][axis] = Some(self.owners.len());
                    self.owners.push(i);
                }
            }
        }
    }

    fn rows(&self, at: &[Point]) -> Result<Vec<Row>, Stop> {
        let mut rows = Vec::with_capacity(self.network.readings.len());
        for (reading, used) in self.network.readings.iter().zip(&self.used) {
            if !used {
                continue;
            }
            let computed = equation::linearise(reading.observed, at)
                .ok_or_else(|| Stop::Free(reading.observed.points().next().unwrap_or(0)))?;
            rows.push(Row {
                terms: self.terms(&computed),
                weight: 1.0 / (reading.sigma * reading.sigma),
                misfit: equation::misfit(reading.observed, reading.value, computed.value),
            });
        }
        Ok(rows)
    }

    fn terms(&self, computed: &equation::Computed) -> Vec<(usize, f64)> {
        let mut terms = Vec::with_capacity(6);
        for (point, gradient) in &computed.gradients {
            for (unknown, slope) in self.unknowns[*point].iter().zip([gradient.x, gradient.y]) {
                if let Some(unknown) = unknown {
                    terms.push((*unknown, slope));
                }
            }
        }
        terms
    }

    /// Steps until the corrections vanish. Gives the number of steps and the last factor.
    fn settle(&self, at: &mut Vec<Point>) -> Result<(usize, Option<Factor>), Stop> {
        let n = self.owners.len();
        if n == 0 {
            return Ok((0, None));
        }
        let extent = at.iter().fold(1.0_f64, |most, place| most.max(place.x.abs()).max(place.y.abs()));
        let settled = SETTLED.max(32.0 * f64::EPSILON * extent);
        let mut before = f64::INFINITY;
        let mut damping = 0.0;
        let mut rows = self.rows(at)?;
        let mut cost = weighted_sum(&rows);
        for step in 1..=STEPS {
            let solved_with = damping;
            let (correction, factor) =
                solve(n, &rows, damping).map_err(|Free(unknown)| Stop::Free(self.owners[unknown]))?;
            let mut next = at.clone();
            for (i, unknowns) in self.unknowns.iter().enumerate() {
                next[i].x += unknowns[0].map_or(0.0, |unknown| correction[unknown]);
                next[i].y += unknowns[1].map_or(0.0, |unknown| correction[unknown]);
            }
            // A damped step is short without being near.
            let reach = 1.0 + damping;
            let largest = correction.iter().fold(0.0_f64, |most, c| most.max(c.abs() * reach));
            let next_rows = self.rows(&next)?;
            let next_cost = weighted_sum(&next_rows);
            let foretold = cost - foretold_sum(&rows, &correction);
            let better = next_cost <= cost * (1.0 + 1e-11) + 1e-12;
            let slow = largest > 0.5 * before || step > SLOW;
            let still = largest < settled || (largest < ROUNDING && slow);
            before = largest;
            if !(largest.is_finite() && (better || still)) {
                damping = (damping * 10.0).max(1e-3);
                continue;
            }
            // Near the end the gain is rounding and tells nothing.
            if foretold > 1e-10 * cost {
                let gain = (cost - next_cost) / foretold;
                if gain < 0.25 {
                    damping = (damping * 4.0).max(1e-3);
                } else if gain > 0.75 {
                    damping = if damping < 1e-6 { 0.0 } else { damping / 4.0 };
                }
            }
            *at = next;
            rows = next_rows;
            cost = next_cost;
            if still {
                let plain = if solved_with == 0.0 { factor } else { self.factor(n, &rows)? };
                return Ok((step, Some(plain)));
            }
        }
        Err(Stop::NotSettled)
    }

    /// The factor without damping, for the cofactors.
    fn factor(&self, n: usize, rows: &[Row]) -> Result<Factor, Stop> {
        let solved = solve(n, rows, 0.0).map_err(|Free(unknown)| Stop::Free(self.owners[unknown]))?;
        Ok(solved.1)
    }

    fn finish(
        &self,
        at: &[Point],
        mirrored: Vec<Mirrored>,
        factor: Option<Factor>,
        steps: usize,
    ) -> Adjustment {
        let cofactors = factor.map(Factor::cofactors);
        let critical = normal_critical(SNOOPING_CHANCE) + normal_quantile(SNOOPING_POWER);
        let mut weighted_sum = 0.0;
        let mut readings = Vec::with_capacity(self.network.readings.len());
        for (reading, used) in self.network.readings.iter().zip(&self.used) {
            let computed = equation::value(reading.observed, at);
            let residual = -equation::misfit(reading.observed, reading.value, computed);
            if !used {
                readings.push(unused(reading.value, residual));
                continue;
            }
            let variance = reading.sigma * reading.sigma;
            weighted_sum += residual * residual / variance;
            let left = self.cofactor(reading.observed, at, cofactors.as_ref()) / variance;
            let redundancy = (1.0 - left).clamp(0.0, 1.0);
            let checked = redundancy > UNCHECKED;
            readings.push(AdjustedReading {
                adjusted: reading.value + residual,
                residual,
                redundancy: if checked { redundancy } else { 0.0 },
                standardised: checked.then(|| residual / (reading.sigma * redundancy.sqrt())),
                detectable: checked.then(|| critical * reading.sigma / redundancy.sqrt()),
                used: true,
            });
        }
        let points = (0..at.len()).map(|i| self.point(i, at[i], cofactors.as_ref())).collect();
        Adjustment {
            points,
            readings,
            datum: self.datum,
            freedom: self.used.iter().filter(|used| **used).count().saturating_sub(self.owners.len()),
            weighted_sum,
            steps,
            undetermined: (0..at.len()).filter(|i| !self.determined[*i]).collect(),
            mirrored: mirrored.into_iter().filter(|m| self.determined[m.point]).collect(),
        }
    }

    /// Cofactor of an adjusted reading. [m², rad²]
    fn cofactor(&self, observed: Observed, at: &[Point], cofactors: Option<&Cofactors>) -> f64 {
        let Some(cofactors) = cofactors else { return 0.0 };
        equation::linearise(observed, at).map_or(0.0, |computed| cofactors.of_row(&self.terms(&computed)))
    }

    fn point(&self, i: usize, at: Point, cofactors: Option<&Cofactors>) -> AdjustedPoint {
        let entry = |a: Option<usize>, b: Option<usize>| match (a, b, cofactors) {
            (Some(a), Some(b), Some(cofactors)) => cofactors.entry(a, b).unwrap_or(0.0),
            _ => 0.0,
        };
        let [x, y] = self.unknowns[i];
        AdjustedPoint {
            at,
            qxx: entry(x, x),
            qyy: entry(y, y),
            qxy: entry(x, y),
            determined: self.determined[i],
        }
    }
}

fn weighted_sum(rows: &[Row]) -> f64 {
    rows.iter().map(|row| row.weight * row.misfit * row.misfit).sum()
}

/// The weighted sum that a correction would leave if the readings were linear.
fn foretold_sum(rows: &[Row], correction: &[f64]) -> f64 {
    let left = |row: &Row| row.misfit - row.terms.iter().map(|(i, a)| a * correction[*i]).sum::<f64>();
    rows.iter().map(|row| row.weight * left(row).powi(2)).sum()
}

fn unused(value: f64, residual: f64) -> AdjustedReading {
    AdjustedReading {
        adjusted: value + residual,
        residual,
        redundancy: 0.0,
        standardised: None,
        detectable: None,
        used: false,
    }
}
