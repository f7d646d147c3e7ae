//! A traverse: legs by length and direction, balanced by the compass rule.
//!
//! - In: legs with length and bearing, or with latitude and departure; the start; the end, if it is
//!   another known point. Out: misclosure, balanced legs, coordinates, area of a loop.
//! - Method: compass (Bowditch) rule: each leg takes a share of the misclosure by its length.
//! - Latitude is the northing of a leg, departure its easting; bearings clockwise from north.

use groundwright_geometry::frame::bearing;
use groundwright_geometry::{Point, Vec2};

use crate::SurveyError;

/// Below one in this many a traverse is too poor to build on. Common practice, no source.
pub const POOR: f64 = 1000.0;

/// A leg as measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leg {
    /// Length. [m] Above zero.
    pub length: f64,
    /// Easting and northing of the leg. [m]
    pub run: Vec2,
}

impl Leg {
    /// A leg by its length and bearing. [m, rad]
    pub fn from_bearing(length: f64, bearing: f64) -> Self {
        Self { length, run: groundwright_geometry::frame::direction(bearing) * length }
    }
}

/// A leg after balancing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BalancedLeg {
    /// Easting and northing. [m]
    pub run: Vec2,
    /// Length. [m]
    pub length: f64,
    /// Bearing, clockwise from north. [rad]
    pub bearing: f64,
    /// The point it leads to. [m]
    pub to: Point,
}

/// A balanced traverse.
#[derive(Debug, Clone, PartialEq)]
pub struct Traverse {
    /// Where the measured legs end, minus where they should. [m]
    pub misclosure: Vec2,
    /// Length of all legs. [m]
    pub length: f64,
    /// The legs, balanced.
    pub legs: Vec<BalancedLeg>,
    /// Area inside a loop; `None` where the traverse ends at another point. [m²]
    pub area: Option<f64>,
}

impl Traverse {
    /// Size of the misclosure. [m]
    pub fn gap(&self) -> f64 {
        self.misclosure.hypot()
    }

    /// Length for one unit of misclosure, the N of "1 in N"; infinite where it closes. \[dimensionless\]
    pub fn one_in(&self) -> f64 {
        self.length / self.gap()
    }

    /// Whether it is too poor to build on.
    pub fn poor(&self) -> bool {
        self.one_in() < POOR
    }
}

/// Balances a traverse by the compass rule.
///
/// # Arguments
/// - `start`: first point. [m]
/// - `end`: last point where it is known and another; `None` for a loop. [m]
///
/// # Errors
/// [`SurveyError::Empty`] without legs, [`SurveyError::Value`] for a leg without a finite length.
pub fn balance(start: Point, end: Option<Point>, legs: &[Leg]) -> Result<Traverse, SurveyError> {
    if legs.is_empty() {
        return Err(SurveyError::Empty);
    }
    for (i, leg) in legs.iter().enumerate() {
        if !(leg.length.is_finite() && leg.length > 0.0 && leg.run.is_finite()) {
            return Err(SurveyError::Value { reading: i + 1, value: leg.length });
        }
    }
    let length: f64 = legs.iter().map(|leg| leg.length).sum();
    let reached = legs.iter().fold(start, |at, leg| at + leg.run);
    let misclosure = reached - end.unwrap_or(start);
    let mut at = start;
    let mut balanced = Vec::with_capacity(legs.len());
    for leg in legs {
        let run = leg.run - misclosure * (leg.length / length);
        at += run;
        balanced.push(BalancedLeg { run, length: run.hypot(), bearing: bearing(run), to: at });
    }
    let area = end.is_none().then(|| {
        let corners: Vec<Point> = balanced.iter().map(|leg| leg.to).collect();
        area_by_coordinates(&corners).abs()
    });
    Ok(Traverse { misclosure, length, legs: balanced, area })
}

/// Area inside a ring of corners by the coordinate rule, positive when they run counter-clockwise.
/// [m²]
pub fn area_by_coordinates(corners: &[Point]) -> f64 {
    // From the first corner, so that large coordinates keep their digits.
    let Some(first) = corners.first() else { return 0.0 };
    let pairs = corners.iter().zip(corners.iter().cycle().skip(1));
    pairs.map(|(a, b)| (*a - *first).cross(*b - *first)).sum::<f64>() / 2.0
}
