//! What a nozzle throws: flow and throw by pressure, and where between head and end of throw it falls.
//!
//! - In: rated values and a pressure [Pa]. Out: a [`Jet`]: flow [m³/s], throw [m], in range or not.
//! - The profile along a radius is straight between points and scaled so that what falls is the flow.
//! - Flow goes with the square root of pressure; throw with a power that the maker's table gives.

use crate::positive::{NotUsable, above_zero, not_below_zero, within};
use std::f64::consts::TAU;

/// Depth along a radius: straight between points.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    /// Share of the throw, rising from 0 to 1, with relative depth.
    points: Vec<(f64, f64)>,
    /// ∫ depth · s ds from 0 to 1.
    moment: f64,
}

impl Profile {
    /// A profile through points of share of the throw (0 to 1, rising) and relative depth.
    ///
    /// # Errors
    /// Fewer than two points, shares that do not rise from 0 to 1, a depth below zero, or none above.
    pub fn new(points: &[(f64, f64)]) -> Result<Self, NotUsable> {
        let count = points.len() as f64;
        within("the count of points of the profile", count, "", points.len() >= 2, "two or more")?;
        let (first, last) = (points[0].0, points[points.len() - 1].0);
        within("the first share of the throw", first, "", first == 0.0, "0, at the head")?;
        within(
            "the last share of the throw",
            last,
            "",
            (last - 1.0).abs() < f64::EPSILON,
            "1, at the end of the throw",
        )?;
        let mut moment = 0.0;
        not_below_zero("a depth of the profile", points[0].1, "")?;
        for pair in points.windows(2) {
            let ((s0, d0), (s1, d1)) = (pair[0], pair[1]);
            above_zero("the step to the next share of the throw", s1 - s0, "")?;
            not_below_zero("a depth of the profile", d1, "")?;
            // Exact for a straight line: Simpson's rule on a quadratic.
            let middle = f64::midpoint(s0, s1) * f64::midpoint(d0, d1);
            moment += (s1 - s0) / 6.0 * (s0 * d0 + 4.0 * middle + s1 * d1);
        }
        above_zero("what the profile lets fall", moment, "")?;
        Ok(Self { points: points.to_vec(), moment })
    }

    /// The cone: most at the head, nothing at the end of the throw.
    pub fn cone() -> Self {
        Self { points: vec![(0.0, 1.0), (1.0, 0.0)], moment: 1.0 / 6.0 }
    }

    /// The same everywhere within the throw.
    pub fn even() -> Self {
        Self { points: vec![(0.0, 1.0), (1.0, 1.0)], moment: 0.5 }
    }

    /// Rate at a share of the throw, for a flow over a sector. [m/s]
    ///
    /// # Arguments
    /// - `share`: distance over throw, not below zero. `flow`: [m³/s]
    /// - `sweep`: angle of the sector, above zero. [rad] `throw`: above zero. [m]
    pub fn rate(&self, share: f64, flow: f64, sweep: f64, throw: f64) -> f64 {
        self.relative(share) * self.scale(flow, sweep, throw)
    }

    /// Rate where the relative depth is 1. [m/s]
    pub(crate) fn scale(&self, flow: f64, sweep: f64, throw: f64) -> f64 {
        flow / (sweep * throw * throw * self.moment)
    }

    /// Share of a sector's water that falls within a share of the throw. 0 to 1
    pub(crate) fn share_within(&self, share: f64) -> f64 {
        let mut sum = 0.0;
        for pair in self.points.windows(2) {
            let ((s0, d0), (s1, d1)) = (pair[0], pair[1]);
            if share <= s0 {
                break;
            }
            let end = share.min(s1);
            let depth = d0 + (d1 - d0) * (end - s0) / (s1 - s0);
            let middle = f64::midpoint(s0, end) * f64::midpoint(d0, depth);
            sum += (end - s0) / 6.0 * (s0 * d0 + 4.0 * middle + end * depth);
        }
        (sum / self.moment).min(1.0)
    }

    /// Relative depth; nothing beyond the throw.
    pub(crate) fn relative(&self, share: f64) -> f64 {
        if !(0.0..=1.0).contains(&share) {
            return 0.0;
        }
        let end = self.points.partition_point(|point| point.0 < share).clamp(1, self.points.len() - 1);
        let ((s0, d0), (s1, d1)) = (self.points[end - 1], self.points[end]);
        d0 + (d1 - d0) * (share - s0) / (s1 - s0)
    }
}

/// A nozzle by its maker's table.
#[derive(Debug, Clone, PartialEq)]
pub struct Nozzle {
    /// Pressure to which flow and throw refer. [Pa]
    pub rated_pressure: f64,
    /// Flow at that pressure over the rated sweep. [m³/s]
    pub flow: f64,
    /// Sweep to which the flow refers. [rad]
    pub rated_sweep: f64,
    /// Whether the flow goes with the sweep, so that quarter and full circles put down the same.
    pub matched: bool,
    /// Throw at that pressure. [m]
    pub throw: f64,
    /// Power of the pressure with which the throw grows; 0 for regulated throws.
    pub throw_exponent: f64,
    /// Lowest and highest working pressure. [Pa]
    pub range: (f64, f64),
    /// Smallest and largest sweep. [rad]
    pub sweeps: (f64, f64),
    /// Shortest throw to which it may be turned down, as a share of the throw.
    pub shortest: f64,
    /// How the depth falls along the radius.
    pub profile: Profile,
}

/// What leaves a nozzle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Jet {
    /// Flow. [m³/s]
    pub flow: f64,
    /// Throw. [m]
    pub throw: f64,
    /// Whether the pressure lies within the nozzle's range; outside, it mists or falls short.
    pub in_range: bool,
}

impl Nozzle {
    /// What leaves it at a pressure over a sweep.
    ///
    /// # Errors
    /// A pressure not above zero, a sweep that the nozzle does not have, rated values not above zero.
    pub fn jet(&self, pressure: f64, sweep: f64) -> Result<Jet, NotUsable> {
        above_zero("the pressure", pressure, "Pa")?;
        above_zero("the rated pressure", self.rated_pressure, "Pa")?;
        above_zero("the rated flow", self.flow, "m³/s")?;
        above_zero("the rated throw", self.throw, "m")?;
        not_below_zero("the power of the throw", self.throw_exponent, "")?;
        within("the rated sweep", self.rated_sweep, "rad", self.rated_sweep > 0.0, "above 0, up to 2π")?;
        let good = sweep >= self.sweeps.0 - 1e-9 && sweep <= self.sweeps.1.min(TAU) + 1e-9;
        within("the sweep", sweep, "rad", good, "within the sweeps of the nozzle")?;
        let share = pressure / self.rated_pressure;
        let arc = if self.matched { sweep / self.rated_sweep } else { 1.0 };
        Ok(Jet {
            flow: self.flow * arc * share.sqrt(),
            throw: self.throw * share.powf(self.throw_exponent),
            in_range: (self.range.0..=self.range.1).contains(&pressure),
        })
    }
}
