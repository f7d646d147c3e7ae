//! Fall of the ground away from a building.
//!
//! - In: a profile from the wall outwards, what covers it, how much room there is. Out: what it falls,
//!   what it should, and where it rises back.
//! - Source: International Residential Code R401.3: 6 in of fall within the first 10 ft (5 %); where
//!   lot lines, walls or slopes leave no room, 5 % to a drain or swale; paving within 10 ft 2 %; swales
//!   within 10 ft of the foundation 2 %. Local codes differ and decide.

use groundwright_units::constants::FOOT;

/// Reach of the rule from the wall. [m]
pub const REACH: f64 = 10.0 * FOOT;
/// Least fall of soil, as a share.
pub const SOIL: f64 = 0.05;
/// Least fall of paving, as a share.
pub const PAVING: f64 = 0.02;
/// A rise below this is the reading, not the ground. [m]
const READING: f64 = 0.002;

/// A place of a profile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// Distance from the wall. [m]
    pub distance: f64,
    /// Level. [m]
    pub level: f64,
    /// Whether the ground from here to the next place is paved.
    pub paved: bool,
}

/// What a profile does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fall {
    /// Length that counts: to ten feet, or as far as there is room. [m]
    pub length: f64,
    /// Fall over it; below zero where the ground rises. [m]
    pub fall: f64,
    /// Fall that the rule asks for over it. [m]
    pub needed: f64,
    /// Least number of metres by which the fall is short; below zero where it is more. [m]
    pub short: f64,
    /// First stretch that rises away from the wall, as distances. [m]
    pub rises: Option<(f64, f64)>,
}

impl Fall {
    /// Whether the profile falls as the rule asks, all the way.
    pub fn good(&self) -> bool {
        self.short <= 1e-6 && self.rises.is_none()
    }

    /// Mean fall as a share.
    pub fn share(&self) -> f64 {
        self.fall / self.length
    }
}

/// What a profile does in the first ten feet; none for a profile without length.
///
/// # Arguments
/// - `profile`: places by rising distance, the first at the wall.
pub fn fall_away(profile: &[Station]) -> Option<Fall> {
    let start = profile.first()?;
    let (mut needed, mut rises) = (0.0, None);
    let mut end = *start;
    for pair in profile.windows(2) {
        let (from, mut to) = (pair[0], pair[1]);
        if from.distance - start.distance >= REACH || to.distance <= from.distance {
            break;
        }
        if to.distance - start.distance > REACH {
            let share = (start.distance + REACH - from.distance) / (to.distance - from.distance);
            to.level = from.level + share * (to.level - from.level);
            to.distance = start.distance + REACH;
        }
        needed += (to.distance - from.distance) * if from.paved { PAVING } else { SOIL };
        if to.level > from.level + READING && rises.is_none() {
            rises = Some((from.distance - start.distance, to.distance - start.distance));
        }
        end = to;
    }
    let length = end.distance - start.distance;
    let fall = start.level - end.level;
    (length > 1e-6).then_some(Fall { length, fall, needed, short: needed - fall, rises })
}
