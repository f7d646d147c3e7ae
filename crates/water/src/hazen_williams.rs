//! Friction loss in pipes by Hazen and Williams.
//!
//! - In: flow, inside diameter, length, the pipe's coefficient C. Out: head lost. [m]
//! - For water near 15 °C in turbulent flow. With C = 150 it runs up to a fifth below
//!   Darcy-Weisbach at low speeds in small plastic pipe (`darcy_weisbach.rs`).

use groundwright_units::constants::FOOT;

use crate::positive::{NotUsable, above_zero, finite, not_below_zero};

/// Power of the flow.
pub const FLOW_POWER: f64 = 1.852;

/// Power of the diameter.
const DIAMETER_POWER: f64 = 4.871;

/// Head lost for each metre at a flow of 1 m³/s. [m/m]
///
/// The customary 4.727 for feet and cubic feet per second, turned into metres: its dimension is
/// length to the power 4.871 − 3 · 1.852.
pub(crate) fn unit_resistance(diameter: f64, coefficient: f64) -> f64 {
    let factor = 4.727 * FOOT.powf(DIAMETER_POWER - 3.0 * FLOW_POWER);
    factor * coefficient.powf(-FLOW_POWER) * diameter.powf(-DIAMETER_POWER)
}

/// Head lost along a pipe; its sign is that of the flow. [m]
///
/// # Arguments
/// - `flow`: any finite number. [m³/s]
/// - `diameter`: inside, above zero. [m]
/// - `length`: not below zero. [m]
/// - `coefficient`: Hazen and Williams' C, above zero: 150 for smooth plastic, 140 for polyethylene
///   and copper, 100 for old steel (common practice, no source).
///
/// # Errors
/// A number that is not what is said above.
///
/// # Source
/// h = 4.727 C^-1.852 d^-4.871 L Q^1.852 in feet and cubic feet per second, as in the manual of the
/// public-domain network solver of the US Environmental Protection Agency (EPANET 2.2). The SI form
/// 10.67 L Q^1.852 / (C^1.852 D^4.8704) and the short form 4.52 in psi differ by up to 0.4 %.
pub fn hazen_williams(flow: f64, diameter: f64, length: f64, coefficient: f64) -> Result<f64, NotUsable> {
    finite("the flow", flow, "m³/s")?;
    above_zero("the inside diameter", diameter, "m")?;
    not_below_zero("the length", length, "m")?;
    above_zero("the coefficient C", coefficient, "")?;
    let loss = unit_resistance(diameter, coefficient) * length * flow.abs().powf(FLOW_POWER);
    finite("the loss", loss, "m")?;
    Ok(loss.copysign(flow))
}

/// Share of the full-flow loss in a line whose flow leaves through equal, equally spaced outlets.
///
/// The first outlet stands one full spacing from the inlet. 1 for one outlet.
///
/// # Errors
/// No outlet, or a power not above 1.
///
/// # Source
/// Christiansen 1942: F = 1/(m+1) + 1/(2N) + √(m−1)/(6N²).
pub fn many_outlets(outlets: usize, flow_power: f64) -> Result<f64, NotUsable> {
    above_zero("the count of outlets", outlets as f64, "")?;
    finite("the power of the flow", flow_power, "")?;
    above_zero("the power of the flow less 1", flow_power - 1.0, "")?;
    let n = outlets as f64;
    Ok(1.0 / (flow_power + 1.0) + 1.0 / (2.0 * n) + (flow_power - 1.0).sqrt() / (6.0 * n * n))
}
