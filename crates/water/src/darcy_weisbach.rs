//! Friction loss in pipes by Darcy and Weisbach.
//!
//! - In: flow, inside diameter, length, roughness, the liquid. Out: head lost. [m]
//! - Friction factor: 64/Re up to Re 2000; above 4000 Colebrook and White (solved), or the explicit
//!   formula of Swamee and Jain; between, the cubic of Dunlop, which joins the two with their slopes.
//! - Holds for every liquid and speed, so it is the sanity check of Hazen and Williams.

use std::f64::consts::{LN_10, PI};

use crate::fluid::{Fluid, GRAVITY};
use crate::positive::{NotUsable, above_zero, finite, not_below_zero};
use crate::velocity::bore;

/// Roughness of drawn plastic pipe. [m] From handbooks, from memory.
pub const PLASTIC_ROUGHNESS: f64 = 1.5e-6;

/// Which formula gives the turbulent friction factor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turbulent {
    /// The implicit formula, solved to the last digit.
    ColebrookWhite,
    /// The explicit approximation, within about 1 % of it.
    SwameeJain,
}

/// Reynolds number: below it the flow is laminar.
const LAMINAR: f64 = 2000.0;
/// Reynolds number: above it the flow is turbulent.
const TURBULENT: f64 = 4000.0;

/// Friction factor f and its slope d ln f / d ln Re at a Reynolds number.
///
/// # Arguments
/// - `reynolds`: above zero.
/// - `relative_roughness`: roughness over diameter, from 0 to 0.1.
///
/// # Errors
/// A number that is not what is said above.
///
/// # Source
/// Colebrook 1939; Swamee and Jain 1976; Dunlop's cubic as in the manual of EPANET 2.2.
pub fn friction_factor(
    reynolds: f64,
    relative_roughness: f64,
    formula: Turbulent,
) -> Result<(f64, f64), NotUsable> {
    above_zero("the Reynolds number", reynolds, "")?;
    not_below_zero("the relative roughness", relative_roughness, "")?;
    not_below_zero("0.1 less the relative roughness", 0.1 - relative_roughness, "")?;
    Ok(factor(reynolds, relative_roughness, formula))
}

pub(crate) fn factor(reynolds: f64, relative_roughness: f64, formula: Turbulent) -> (f64, f64) {
    if reynolds <= LAMINAR {
        (64.0 / reynolds, -1.0)
    } else if reynolds >= TURBULENT {
        match formula {
            Turbulent::ColebrookWhite => colebrook_white(reynolds, relative_roughness),
            Turbulent::SwameeJain => swamee_jain(reynolds, relative_roughness),
        }
    } else {
        transition(reynolds, relative_roughness, formula)
    }
}

fn swamee_jain(reynolds: f64, roughness: f64) -> (f64, f64) {
    let smooth = 5.74 / reynolds.powf(0.9);
    let sum = roughness / 3.7 + smooth;
    let log = sum.ln();
    (0.25 * LN_10 * LN_10 / (log * log), 1.8 * smooth / (sum * log))
}

/// Newton's method on x = 1/√f = −2 log₁₀(ε/3.7 + 2.51 x/Re), from Swamee and Jain's value.
fn colebrook_white(reynolds: f64, roughness: f64) -> (f64, f64) {
    let mut x = swamee_jain(reynolds, roughness).0.sqrt().recip();
    let mut pull = 0.0;
    for _ in 0..8 {
        let inside = roughness / 3.7 + 2.51 * x / reynolds;
        pull = 2.0 * 2.51 / (LN_10 * inside * reynolds);
        let step = (x + 2.0 * inside.log10()) / (1.0 + pull);
        x -= step;
        if step.abs() < 1e-14 * x {
            break;
        }
    }
    (x.powi(-2), -2.0 * pull / (1.0 + pull))
}

/// The cubic in Re that takes value and slope from both ends of the transition.
fn transition(reynolds: f64, roughness: f64, formula: Turbulent) -> (f64, f64) {
    let (f_b, slope_b) = factor(TURBULENT, roughness, formula);
    let (f_a, slope_a) = (64.0 / LAMINAR, -1.0);
    let width = TURBULENT - LAMINAR;
    let t = (reynolds - LAMINAR) / width;
    // Slopes df/dt from d ln f / d ln Re.
    let (m_a, m_b) = (slope_a * f_a / LAMINAR * width, slope_b * f_b / TURBULENT * width);
    let c = 3.0 * (f_b - f_a) - 2.0 * m_a - m_b;
    let d = 2.0 * (f_a - f_b) + m_a + m_b;
    let f = f_a + t * (m_a + t * (c + t * d));
    let slope = (m_a + t * (2.0 * c + 3.0 * t * d)) / width * reynolds / f;
    (f, slope)
}

/// Head lost for each metre at a flow above zero, and its derivative. [m/m], [(m/m)/(m³/s)]
pub(crate) fn unit_loss(
    flow: f64,
    diameter: f64,
    roughness: f64,
    fluid: &Fluid,
    formula: Turbulent,
) -> (f64, f64) {
    let reynolds = 4.0 * flow / (PI * diameter * fluid.viscosity);
    if reynolds <= LAMINAR {
        // Poiseuille, linear in the flow, so that it also holds at rest.
        let slope = 128.0 * fluid.viscosity / (PI * GRAVITY * diameter.powi(4));
        return (slope * flow, slope);
    }
    let (f, slope) = factor(reynolds, roughness / diameter, formula);
    let velocity = flow / bore(diameter);
    let loss = f / diameter * velocity * velocity / (2.0 * GRAVITY);
    (loss, loss / flow * (2.0 + slope))
}

/// Head lost along a pipe; its sign is that of the flow. [m]
///
/// # Arguments
/// - `flow`: any finite number. [m³/s]
/// - `diameter`: inside, above zero. [m]
/// - `length`: not below zero. [m]
/// - `roughness`: not below zero, at most a tenth of the diameter. [m]
///
/// # Errors
/// A number that is not what is said above.
///
/// # Source
/// h = f L/D v²/2g (Darcy, Weisbach); factor as in [`friction_factor`].
pub fn darcy_weisbach(
    flow: f64,
    diameter: f64,
    length: f64,
    roughness: f64,
    fluid: &Fluid,
    formula: Turbulent,
) -> Result<f64, NotUsable> {
    finite("the flow", flow, "m³/s")?;
    above_zero("the inside diameter", diameter, "m")?;
    not_below_zero("the length", length, "m")?;
    not_below_zero("the roughness", roughness, "m")?;
    not_below_zero("a tenth of the diameter less the roughness", diameter / 10.0 - roughness, "m")?;
    above_zero("the viscosity", fluid.viscosity, "m²/s")?;
    let (loss, _) = unit_loss(flow.abs(), diameter, roughness, fluid, formula);
    finite("the loss", loss * length, "m")?;
    Ok((loss * length).copysign(flow))
}
