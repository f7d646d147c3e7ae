//! Earth pressure on an upright plane within sloping ground: Rankine.
//!
//! - In: friction of the soil and slope of the ground. Out: coefficients; the thrust is parallel to
//!   the ground.
//! - Assumes soil without cohesion and a slope that goes on; wall friction and batter do not enter.
//! - Source: Rankine 1857.

use crate::pressure::{PressureError, Wedge};

/// Active coefficient for thrust parallel to the ground.
///
/// # Arguments
/// - `friction`: of the soil. [rad]
/// - `slope`: of the ground, either way. [rad] Not more than the friction.
///
/// # Source
/// Ka = cos β (cos β − r) / (cos β + r), r = √(cos²β − cos²φ).
pub fn active(friction: f64, slope: f64) -> Result<f64, PressureError> {
    let (level, root) = terms(friction, slope)?;
    Ok(level * (level - root) / (level + root))
}

/// Passive coefficient for thrust parallel to the ground.
///
/// # Source
/// Kp = cos β (cos β + r) / (cos β − r), r as in [`active`].
pub fn passive(friction: f64, slope: f64) -> Result<f64, PressureError> {
    let (level, root) = terms(friction, slope)?;
    Ok(level * (level + root) / (level - root))
}

fn terms(friction: f64, slope: f64) -> Result<(f64, f64), PressureError> {
    Wedge { friction, wall_friction: 0.0, batter: 0.0, slope: slope.abs() }.check()?;
    let level = slope.cos();
    Ok((level, (level.powi(2) - friction.cos().powi(2)).max(0.0).sqrt()))
}
