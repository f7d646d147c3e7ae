//! Root balls and planting holes.
//!
//! - In: diameters and depths. Out: volumes and a mass for lifting.
//! - Method: cylinders, as the trade reckons; a tapered ball is taken as a share of its cylinder.
//! - Assumes straight-sided holes as deep as the ball.

use std::f64::consts::PI;

use groundwright_units::constants::INCH;

use crate::bulk::BulkError;

fn positive(what: &'static str, value: f64) -> Result<f64, BulkError> {
    if value.is_finite() && value > 0.0 {
        Ok(value)
    } else {
        Err(BulkError::Range { what, value, expected: "a finite number above zero" })
    }
}

/// Least depth of a field-grown ball. [m]
///
/// # Arguments
/// - `diameter`: diameter of the ball. [m]
///
/// # Errors
/// A diameter that is not finite and above zero.
///
/// # Source
/// University of Florida pages: 75 % of the diameter under 20 in, 66 % from 20 to 30 in, 60 % above.
/// The printed bands leave 30 to 31 in open; a ball of 30 in and more takes 60 % here above 30 in.
pub fn ball_depth(diameter: f64) -> Result<f64, BulkError> {
    let inches = positive("the ball's diameter", diameter)? / INCH;
    let share = if inches < 20.0 - 1e-9 {
        0.75
    } else if inches <= 30.0 + 1e-9 {
        0.66
    } else {
        0.60
    };
    Ok(share * diameter)
}

/// Volume of a cylinder. [m³]
///
/// # Errors
/// A size that is not finite and above zero.
pub fn cylinder(diameter: f64, depth: f64) -> Result<f64, BulkError> {
    positive("the diameter", diameter)?;
    positive("the depth", depth)?;
    Ok(PI * diameter * diameter / 4.0 * depth)
}

/// Earth moved for one planting hole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hole {
    /// Volume dug. [m³]
    pub hole: f64,
    /// Volume of the ball or pot. [m³]
    pub ball: f64,
    /// Volume put back. [m³]
    pub backfill: f64,
    /// Bank volume left over, before it swells. [m³]
    pub spoil: f64,
}

/// The hole for a ball or pot: straight-sided and as deep as the ball.
///
/// # Arguments
/// - `diameter`, `depth`: of the ball. [m]
/// - `width_ratio`: width of the hole over the ball's, at least 1.
///
/// # Errors
/// A size that is not finite and above zero, or a ratio below 1.
///
/// # Source
/// Two to three times the ball's widest diameter: trade-magazine planting guide and Colorado State
/// University GardenNotes 633; the soil taken out is put back, so what is left over is the ball.
pub fn hole(diameter: f64, depth: f64, width_ratio: f64) -> Result<Hole, BulkError> {
    if !(width_ratio.is_finite() && width_ratio >= 1.0) {
        return Err(BulkError::Range {
            what: "the hole's width over the ball's",
            value: width_ratio,
            expected: "a ratio of 1 or more",
        });
    }
    let ball = cylinder(diameter, depth)?;
    let hole = ball * width_ratio * width_ratio;
    Ok(Hole { hole, ball, backfill: hole - ball, spoil: ball })
}
