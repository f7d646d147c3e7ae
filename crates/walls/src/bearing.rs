//! What the ground under a strip can bear.
//!
//! - In: soil of the foundation, effective width, overburden. Out: factors and ultimate pressure.
//! - Assumes a strip on level ground, drained, no water at the base, no factors of shape, depth or
//!   inclination. Soil tests and licensed practice decide where more depends on it.
//! - Source: Prandtl 1921 and Reissner 1924 for Nc and Nq; Nγ after Vesić 1973, Meyerhof 1963, Hansen 1970.

use std::f64::consts::{FRAC_PI_4, PI};

use crate::positive::{NotUsable, above_zero, not_below_zero, within};

/// Factors of bearing capacity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Factors {
    /// Of cohesion, Nc.
    pub cohesion: f64,
    /// Of overburden, Nq.
    pub overburden: f64,
    /// Of the soil's own weight, Nγ after Vesić: 2 (Nq + 1) tan φ.
    pub weight_vesic: f64,
    /// Nγ after Meyerhof: (Nq − 1) tan 1.4 φ.
    pub weight_meyerhof: f64,
    /// Nγ after Hansen: 1.5 (Nq − 1) tan φ.
    pub weight_hansen: f64,
}

/// Factors for a friction angle. [rad]
///
/// Without friction Nc is 2 + π and Nγ is zero, as Prandtl's wedge gives.
///
/// # Errors
/// A friction below 0 or from 50° on, where the factors lose their meaning.
pub fn factors(friction: f64) -> Result<Factors, NotUsable> {
    let good = friction >= 0.0 && friction.to_degrees() < 50.0;
    within("the foundation's friction angle", friction, "rad", good, "an angle from 0 to below 50° (0.873)")?;
    let tangent = friction.tan();
    let overburden = (PI * tangent).exp() * (FRAC_PI_4 + friction / 2.0).tan().powi(2);
    // Below a thousandth of a degree the quotient is all rounding.
    let cohesion = if friction < 2e-5 { 2.0 + PI } else { (overburden - 1.0) / tangent };
    Ok(Factors {
        cohesion,
        overburden,
        weight_vesic: 2.0 * (overburden + 1.0) * tangent,
        weight_meyerhof: (overburden - 1.0) * (1.4 * friction).tan(),
        weight_hansen: 1.5 * (overburden - 1.0) * tangent,
    })
}

/// Ultimate pressure under a strip: c Nc + q Nq + γ B′ Nγ / 2, with Vesić's Nγ. [Pa]
///
/// # Arguments
/// - `cohesion`: [Pa]; `unit_weight`: of the foundation's soil [N/m³].
/// - `overburden`: pressure of the ground beside the strip at its base. [Pa]
/// - `width`: effective width, the width less twice the eccentricity. [m] Above zero.
pub fn ultimate(
    factors: &Factors,
    cohesion: f64,
    unit_weight: f64,
    overburden: f64,
    width: f64,
) -> Result<f64, NotUsable> {
    not_below_zero("the cohesion", cohesion, "Pa")?;
    above_zero("the unit weight", unit_weight, "N/m³")?;
    not_below_zero("the overburden", overburden, "Pa")?;
    above_zero("the effective width", width, "m")?;
    Ok(cohesion * factors.cohesion
        + overburden * factors.overburden
        + 0.5 * unit_weight * width * factors.weight_vesic)
}
