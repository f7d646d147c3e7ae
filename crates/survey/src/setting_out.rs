//! Setting out backwards: what to tape on the ground so that a point of the plan is found.
//!
//! - In: a point, and reference points that can be found on the ground. Out: two ties from the pair
//!   that fixes it best, with the accuracy to expect; station and offset from a base line.
//! - Method: cofactors of two tapes that cross; the pair with the smallest greater half axis wins.
//! - Offset is positive to the left of the base line's direction.

use std::f64::consts::FRAC_PI_2;

use groundwright_geometry::{Point, Vec2};

use crate::SurveyError;
use crate::adjust::{AdjustedPoint, Ellipse};
use crate::equation::left;
use crate::network::TapeAccuracy;

/// Tapes that cross at less than this, or less than this short of straight, are weak. 30°: common
/// practice, no source. [rad]
pub const WEAK: f64 = std::f64::consts::FRAC_PI_6;

/// A reference point that can be found on the ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Its name.
    pub name: String,
    /// Its place. [m]
    pub at: Point,
    /// Variances of its place by x and y, and their covariance: 0 where it is held. [m²]
    pub cofactors: [f64; 3],
}

/// Two ties to a point.
#[derive(Debug, Clone, PartialEq)]
pub struct Ties {
    /// First reference, by its place in the list.
    pub first: usize,
    /// Second reference.
    pub second: usize,
    /// Tapes from them. [m]
    pub lengths: [f64; 2],
    /// Angle at which the tapes cross. [rad]
    pub crossing: f64,
    /// Whether the point lies left of the direction from the first to the second.
    pub left: bool,
    /// Accuracy on the ground to expect: one standard deviation.
    pub accuracy: Ellipse,
}

impl Ties {
    /// Whether the tapes cross too flat or too sharp.
    pub fn weak(&self) -> bool {
        (self.crossing - FRAC_PI_2).abs() > FRAC_PI_2 - WEAK
    }
}

/// Ties from the pair of references that fixes the point best.
///
/// # Arguments
/// - `longest`: reach of the tape. [m]
///
/// # Errors
/// [`SurveyError::Geometry`] where no two references within reach cross at the point.
pub fn best_ties(
    point: Point,
    references: &[Mark],
    tape: TapeAccuracy,
    longest: f64,
) -> Result<Ties, SurveyError> {
    let mut best: Option<Ties> = None;
    for first in 0..references.len() {
        for second in first + 1..references.len() {
            let Some(ties) = ties(point, references, first, second, tape) else { continue };
            let reached = ties.lengths.iter().all(|length| *length <= longest);
            if reached && best.as_ref().is_none_or(|best| ties.accuracy.major < best.accuracy.major) {
                best = Some(ties);
            }
        }
    }
    best.ok_or_else(|| SurveyError::Geometry {
        what: format!(
            "no two of {} references tie the point at ({:.2}, {:.2})",
            references.len(),
            point.x,
            point.y
        ),
        mend: "add a reference beside it, or give a longer tape",
    })
}

/// Ties from one pair; `None` where the tapes do not cross.
pub fn ties(
    point: Point,
    references: &[Mark],
    first: usize,
    second: usize,
    tape: TapeAccuracy,
) -> Option<Ties> {
    let arms = [first, second].map(|i| point - references[i].at);
    let lengths = arms.map(Vec2::hypot);
    if !lengths.iter().all(|length| length.is_finite() && *length > 1e-6) {
        return None;
    }
    let units = [arms[0] / lengths[0], arms[1] / lengths[1]];
    let determinant = units[0].cross(units[1]);
    if determinant.abs() < 1e-6 {
        return None;
    }
    // Variance of each tape with that of its reference along it: two equations, two unknowns.
    let variance = |k: usize, i: usize| {
        let [qxx, qyy, qxy] = references[i].cofactors;
        let u = units[k];
        let reference = u.x * u.x * qxx + u.y * u.y * qyy + 2.0 * u.x * u.y * qxy;
        tape.sigma(lengths[k]).powi(2) + reference
    };
    let (v1, v2) = (variance(0, first), variance(1, second));
    // Moving one tape by δ moves the point along the other tape's normal by δ / sin.
    let (n1, n2) = (left(units[1]) / determinant, left(units[0]) / determinant);
    let cofactors = AdjustedPoint {
        at: point,
        qxx: v1 * n1.x * n1.x + v2 * n2.x * n2.x,
        qyy: v1 * n1.y * n1.y + v2 * n2.y * n2.y,
        qxy: v1 * n1.x * n1.y + v2 * n2.x * n2.y,
        determined: true,
    };
    let line = references[second].at - references[first].at;
    Some(Ties {
        first,
        second,
        lengths,
        crossing: units[0].dot(units[1]).clamp(-1.0, 1.0).acos(),
        left: line.cross(arms[0]) > 0.0,
        accuracy: cofactors.ellipse(),
    })
}

/// A base line between two points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BaseLine {
    start: Point,
    unit: Vec2,
    length: f64,
}

impl BaseLine {
    /// From one point to another. [m]
    ///
    /// # Errors
    /// [`SurveyError::Geometry`] where the two fall in one place.
    pub fn new(start: Point, end: Point) -> Result<Self, SurveyError> {
        let length = (end - start).hypot();
        if !(length.is_finite() && length > 0.0) {
            return Err(SurveyError::Geometry {
                what: format!("a base line from ({}, {}) to itself has no direction", start.x, start.y),
                mend: "give two different points",
            });
        }
        Ok(Self { start, unit: (end - start) / length, length })
    }

    /// Its length. [m]
    pub fn length(&self) -> f64 {
        self.length
    }

    /// The place at a station and an offset. [m]
    pub fn place(&self, station: f64, offset: f64) -> Point {
        self.start + self.unit * station + left(self.unit) * offset
    }

    /// Station and offset of a place. [m]
    pub fn station_and_offset(&self, place: Point) -> (f64, f64) {
        let arm = place - self.start;
        (arm.dot(self.unit), self.unit.cross(arm))
    }
}
