//! Losses at fittings and valves, as shares of the velocity head.
//!
//! - In: a loss coefficient K, flow, inside diameter. Out: head lost. [m]
//! - A valve's flow coefficient (flow at a pressure difference) turns into K and back.
//! - The coefficients of fittings are handbook values from memory; a maker's curve goes before them.

use crate::fluid::{Fluid, GRAVITY};
use crate::positive::{NotUsable, above_zero, finite, not_below_zero};
use crate::velocity::bore;

/// A fitting of a small pipe system.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fitting {
    /// Elbow of 90°.
    Elbow,
    /// Elbow of 45°.
    HalfElbow,
    /// Tee, straight through.
    TeeThrough,
    /// Tee, into or out of the branch.
    TeeBranch,
    /// Gate valve or ball valve, wide open.
    GateValve,
    /// Globe valve, wide open.
    GlobeValve,
    /// Swing check valve.
    CheckValve,
    /// Sharp entrance from a tank.
    Entrance,
    /// Exit into a tank.
    Exit,
}

impl Fitting {
    /// Loss coefficient K.
    ///
    /// # Source
    /// Handbook values as commonly printed (from memory): elbow 0.9, 45° 0.4, tee 0.6 and 1.8, gate
    /// 0.2, globe 10, swing check 2.5, entrance 0.5, exit 1.
    pub fn coefficient(self) -> f64 {
        match self {
            Self::Elbow => 0.9,
            Self::HalfElbow => 0.4,
            Self::TeeThrough => 0.6,
            Self::TeeBranch => 1.8,
            Self::GateValve => 0.2,
            Self::GlobeValve => 10.0,
            Self::CheckValve => 2.5,
            Self::Entrance => 0.5,
            Self::Exit => 1.0,
        }
    }
}

/// Head lost for K at a flow of 1 m³/s. [m]
pub(crate) fn minor_resistance(coefficient: f64, diameter: f64) -> f64 {
    coefficient / (2.0 * GRAVITY * bore(diameter) * bore(diameter))
}

/// Head lost at fittings; its sign is that of the flow. [m]
///
/// # Arguments
/// - `coefficient`: sum of the K, not below zero.
/// - `flow`: any finite number. [m³/s]
/// - `diameter`: inside, above zero. [m]
///
/// # Errors
/// A number that is not what is said above.
///
/// # Source
/// h = K v²/2g.
pub fn minor_loss(coefficient: f64, flow: f64, diameter: f64) -> Result<f64, NotUsable> {
    not_below_zero("the loss coefficient K", coefficient, "")?;
    finite("the flow", flow, "m³/s")?;
    above_zero("the inside diameter", diameter, "m")?;
    let loss = minor_resistance(coefficient, diameter) * flow * flow;
    finite("the loss", loss, "m")?;
    Ok(loss.copysign(flow))
}

/// Loss coefficient K of a valve that passes `flow` at a pressure difference.
///
/// # Arguments
/// - `flow`: that passes. [m³/s] `pressure`: difference at which it does. [Pa]
/// - `diameter`: inside diameter of the pipe to which K shall refer. [m]
///
/// # Errors
/// A number that is not finite and above zero.
pub fn coefficient_of_valve(
    flow: f64,
    pressure: f64,
    diameter: f64,
    fluid: &Fluid,
) -> Result<f64, NotUsable> {
    above_zero("the flow", flow, "m³/s")?;
    above_zero("the pressure difference", pressure, "Pa")?;
    above_zero("the inside diameter", diameter, "m")?;
    above_zero("the specific weight", fluid.specific_weight, "N/m³")?;
    let velocity = flow / bore(diameter);
    Ok(fluid.head(pressure) * 2.0 * GRAVITY / (velocity * velocity))
}
