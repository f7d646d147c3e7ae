//! How fast water runs in a full pipe, and the flow at which it runs too fast.
//!
//! - In: flow [m³/s] and inside diameter [m]. Out: velocity [m/s], or the other way round.
//! - The limit of 5 ft/s is a design rule against water hammer and wear, not physics.

use std::f64::consts::PI;

use groundwright_units::constants::FOOT;

use crate::positive::{NotUsable, above_zero, finite};

/// Usual greatest velocity in plastic pipe: 5 ft/s. [m/s] Common practice, no source.
pub const USUAL_LIMIT: f64 = 5.0 * FOOT;

/// Area of the bore. [m²]
pub(crate) fn bore(diameter: f64) -> f64 {
    PI / 4.0 * diameter * diameter
}

/// Mean velocity of a flow in a full pipe; its sign is that of the flow. [m/s]
///
/// # Arguments
/// - `flow`: any finite number. [m³/s]
/// - `diameter`: inside diameter, above zero. [m]
///
/// # Errors
/// A number that is not what is said above.
pub fn velocity(flow: f64, diameter: f64) -> Result<f64, NotUsable> {
    finite("the flow", flow, "m³/s")?;
    above_zero("the inside diameter", diameter, "m")?;
    Ok(flow / bore(diameter))
}

/// The flow at which a full pipe reaches a velocity. [m³/s]
///
/// # Errors
/// A velocity or diameter that is not a finite number above zero.
pub fn flow_at_velocity(velocity: f64, diameter: f64) -> Result<f64, NotUsable> {
    above_zero("the velocity", velocity, "m/s")?;
    above_zero("the inside diameter", diameter, "m")?;
    Ok(velocity * bore(diameter))
}
