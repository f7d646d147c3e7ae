//! How deep a wall's lowest course lies under the ground in front.
//!
//! - In: exposed height and the fall of the ground in front. Out: depth and the rule that asks for it.
//! - Sources: a tenth of the exposed height, public installation notes of two makers of units; 6 in at
//!   least, from memory; a seventh before ground that falls more steeply than 3 to 1, a third such note.

use groundwright_units::constants::INCH;

use crate::positive::{NotUsable, not_below_zero, within};

/// Least embedment: 6 in. [m]
pub const LEAST: f64 = 6.0 * INCH;
/// Share of the exposed height on level ground.
pub const SHARE_LEVEL: f64 = 0.1;
/// Share of the exposed height before a fall steeper than [`STEEP_FALL`].
pub const SHARE_STEEP: f64 = 1.0 / 7.0;
/// Fall of the ground in front above which it counts as steep: 1 in 3.
pub const STEEP_FALL: f64 = 1.0 / 3.0;

/// Which rule asks for the depth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule {
    /// Six inches at least.
    Least,
    /// A share of the exposed height.
    OfHeight,
    /// The share before falling ground.
    OfHeightSteep,
}

/// A depth and its rule.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Embedment {
    /// Depth. [m]
    pub depth: f64,
    /// The rule.
    pub rule: Rule,
}

/// Least embedment of a wall.
///
/// # Arguments
/// - `exposed`: height above the ground in front. [m]
/// - `fall`: of the ground away from the wall, fall over run; 0 for level or rising ground.
pub fn embedment(exposed: f64, fall: f64) -> Result<Embedment, NotUsable> {
    not_below_zero("the exposed height", exposed, "m")?;
    within("the fall in front", fall, "", (0.0..10.0).contains(&fall), "fall over run, not below zero")?;
    let (share, rule) =
        if fall > STEEP_FALL { (SHARE_STEEP, Rule::OfHeightSteep) } else { (SHARE_LEVEL, Rule::OfHeight) };
    Ok(if share * exposed > LEAST {
        Embedment { depth: share * exposed, rule }
    } else {
        Embedment { depth: LEAST, rule: Rule::Least }
    })
}
