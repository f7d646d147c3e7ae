//! Earth pressure by plane wedges that slide along the wall: Coulomb.
//!
//! - In: a wedge. Out: the coefficient, its parts across and down the wall, the critical plane.
//! - Assumes soil without cohesion, drained, with a plane of failure. For passive pressure a plane
//!   overstates what the soil gives once the wall friction passes a third of the soil's.
//! - Source: Coulomb 1776, in the form of Müller-Breslau 1906.

use crate::pressure::{Pressure, PressureError, Wedge};

/// Active pressure.
///
/// # Errors
/// Angles outside the formula, and ground that does not stand by itself.
///
/// # Source
/// Ka = cos²(φ+ω) / [cos²ω cos(ω−δ) (1+S)²], S² = sin(φ+δ) sin(φ−β) / [cos(ω−δ) cos(ω+β)].
pub fn active(wedge: &Wedge) -> Result<Pressure, PressureError> {
    wedge.check()?;
    let Wedge { friction, wall_friction, batter, slope } = *wedge;
    let facing = (batter - wall_friction).cos();
    let root = ((friction + wall_friction).sin() * (friction - slope).sin()
        / (facing * (batter + slope).cos()))
    .max(0.0)
    .sqrt();
    let coefficient =
        (friction + batter).cos().powi(2) / (batter.cos().powi(2) * facing * (1.0 + root).powi(2));
    Ok(wedge.parts(coefficient))
}

/// Inclination of the critical plane of the active wedge from the horizontal. [rad]
///
/// # Errors
/// As [`active`].
///
/// # Source
/// tan(θ−φ) = [−a + √(a(a+b)(1+tb))] / [1+t(a+b)] with a = tan(φ−β), b = cot(φ+ω), t = tan(δ−ω);
/// written here as a b / [a + √(a(a+b)(1+tb))], which is the same and never 0/0 for a above 0.
pub fn critical_plane(wedge: &Wedge) -> Result<f64, PressureError> {
    wedge.check()?;
    let a = (wedge.friction - wedge.slope).tan();
    if a <= 0.0 {
        return Ok(wedge.friction);
    }
    let b = 1.0 / (wedge.friction + wedge.batter).tan();
    let t = (wedge.wall_friction - wedge.batter).tan();
    let root = (a * (a + b) * (1.0 + t * b)).max(0.0).sqrt();
    Ok(wedge.friction + (a * b / (a + root)).atan())
}

/// Passive pressure, with the wall pressed into the soil and the soil lifted along it.
///
/// # Errors
/// As [`active`], and where slope and wall friction leave no plane.
///
/// # Source
/// Kp = cos²(φ−ω) / [cos²ω cos(ω+δ) (1−S)²], S² = sin(φ+δ) sin(φ+β) / [cos(ω+δ) cos(ω+β)].
pub fn passive(wedge: &Wedge) -> Result<Pressure, PressureError> {
    wedge.check()?;
    let Wedge { friction, wall_friction, batter, slope } = *wedge;
    let none = PressureError::NoPassiveWedge { wall_friction, slope };
    let (rises, facing) = ((friction + slope).sin(), (batter + wall_friction).cos());
    if rises < 0.0 || facing <= 0.0 {
        return Err(none);
    }
    let root = ((friction + wall_friction).sin() * rises / (facing * (batter + slope).cos())).sqrt();
    if root >= 1.0 {
        return Err(none);
    }
    let coefficient =
        (friction - batter).cos().powi(2) / (batter.cos().powi(2) * facing * (1.0 - root).powi(2));
    let to_level = wall_friction + batter;
    Ok(Pressure {
        coefficient,
        horizontal: coefficient * to_level.cos(),
        vertical: coefficient * to_level.sin(),
    })
}
