//! What an upper wall of a terrace lays on the lower one.
//!
//! - In: both heights, their distance, soil and load of the upper terrace. Out: a load for the lower wall.
//! - Rule: an upper wall as near as the lower one is high counts with its whole weight; at twice that
//!   distance it counts no more; between, in proportion. Custom, from memory: slip circles under both
//!   walls are licensed practice where tiers are near.

use crate::positive::{NotUsable, above_zero, not_below_zero};
use crate::section::Load;

/// Distance in heights of the lower wall up to which the upper one counts whole.
pub const WHOLE_WITHIN: f64 = 1.0;
/// Distance in heights of the lower wall from which the upper one counts no more.
pub const FREE_FROM: f64 = 2.0;

/// An upper wall as the lower one feels it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tier {
    /// Share of the upper terrace's weight that counts.
    pub share: f64,
    /// Load for the lower wall. It drives and never holds.
    pub load: Load,
    /// Distance from which the walls are free of one another. [m]
    pub free_from: f64,
}

/// Load of an upper wall on the lower one.
///
/// # Arguments
/// - `lower`, `upper`: whole heights of the walls. [m]
/// - `distance`: from face to face in plan. [m]
/// - `unit_weight`: of the soil that the upper wall holds [N/m³]; `load`: on it.
pub fn upper_wall(
    lower: f64,
    upper: f64,
    distance: f64,
    unit_weight: f64,
    load: Load,
) -> Result<Tier, NotUsable> {
    above_zero("the height of the lower wall", lower, "m")?;
    above_zero("the height of the upper wall", upper, "m")?;
    not_below_zero("the distance of the walls", distance, "m")?;
    above_zero("the unit weight of the soil", unit_weight, "N/m³")?;
    not_below_zero("the load", load.whole(), "Pa")?;
    let free_from = FREE_FROM * lower;
    let share = ((free_from - distance) / (lower * (FREE_FROM - WHOLE_WITHIN))).clamp(0.0, 1.0);
    let live = share * (unit_weight * upper + load.whole());
    Ok(Tier { share, load: Load { live, dead: 0.0 }, free_from })
}
