//! Active pressure under steady shaking: Mononobe and Okabe.
//!
//! - In: a wedge and the shaking as shares of gravity. Out: the coefficient, static part included, and
//!   its parts; the thrust is K γ H² (1 − kv) / 2.
//! - Assumes a wall that yields, dry soil, a plane of failure. Where the shaken slope does not stand
//!   there is no answer: neither a root below zero nor a value clamped to one.
//! - Source: Okabe 1926; Mononobe and Matsuo 1929.

use crate::positive::within;
use crate::pressure::{Pressure, PressureError, Quake, Wedge};

/// Pressure under shaking.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shaken {
    /// Seismic angle ψ = atan(kh / (1 − kv)). [rad]
    pub angle: f64,
    /// Coefficient and parts, the static part included.
    pub pressure: Pressure,
}

/// Active pressure under shaking.
///
/// # Errors
/// As for [`crate::coulomb::active`], and where the shaken slope moves by itself.
pub fn active(wedge: &Wedge, quake: &Quake) -> Result<Shaken, PressureError> {
    wedge.check()?;
    let Quake { horizontal, vertical } = *quake;
    within("kh", horizontal, "", (0.0..1.0).contains(&horizontal), "a share of gravity from 0 to below 1")?;
    within("kv", vertical, "", vertical.abs() < 1.0, "a share of gravity within ±1")?;
    let angle = (horizontal / (1.0 - vertical)).atan();
    let Wedge { friction, wall_friction, batter, slope } = *wedge;
    let moves = friction - slope - angle;
    if moves < 0.0 || friction + batter - angle <= 0.0 {
        return Err(PressureError::SlopeMovesShaken { angle, slope, friction });
    }
    let facing = (wall_friction - batter + angle).cos();
    within("the seismic angle", angle, "rad", facing > 0.0, "an angle that leaves a thrust on the wall")?;
    let root =
        ((friction + wall_friction).sin() * moves.sin() / (facing * (batter + slope).cos())).max(0.0).sqrt();
    let coefficient = (friction + batter - angle).cos().powi(2)
        / (angle.cos() * batter.cos().powi(2) * facing * (1.0 + root).powi(2));
    Ok(Shaken { angle, pressure: wedge.parts(coefficient) })
}
