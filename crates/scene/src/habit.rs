//! From a plant's habit to the form of its crown, and from the date to the light it lets through.
//!
//! - Forms of habits, shares of light and dates of leaves are common practice, no source, where no
//!   source is named: measured shares scatter from 0.05 to 0.4 in leaf and 0.4 to 0.8 bare.
//! - South of the equator the year is shifted by half.

use groundwright_handoff::CrownForm;
use groundwright_plan::stock::{Foliage, Habit};

/// The form of a habit's crown; rounded where the habit is not known.
pub fn form_of(habit: Option<Habit>) -> CrownForm {
    match habit.unwrap_or(Habit::Rounded) {
        Habit::Rounded | Habit::Upright | Habit::Spreading | Habit::Fountain => CrownForm::Ellipsoid,
        Habit::Conical => CrownForm::Cone,
        Habit::Columnar => CrownForm::Cylinder,
        Habit::Vase => CrownForm::Vase,
        Habit::Mat => CrownForm::Dome,
    }
}

/// Days of the year between which leaves are out, counted from the first of January.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeafSeason {
    /// Day by which leaves are half out.
    pub out: f64,
    /// Day by which half have fallen.
    pub fall: f64,
}

impl LeafSeason {
    /// A temperate garden north of the equator: 15 April to 5 November. Common practice, no source.
    pub const TEMPERATE: Self = Self { out: 105.0, fall: 309.0 };

    /// Share of its leaves that a deciduous plant has on a day, going up and down within four weeks.
    ///
    /// # Arguments
    /// - `day`: of the year, 1 to 366.
    /// - `south`: whether the place lies south of the equator.
    pub fn in_leaf(&self, day: f64, south: bool) -> f64 {
        let day = if south { (day + 182.5) % 365.0 } else { day };
        let ramp = |from: f64| ((day - from) / 28.0 + 0.5).clamp(0.0, 1.0);
        ramp(self.out) * (1.0 - ramp(self.fall))
    }
}

/// Share of direct light through a crown in full leaf.
pub const IN_LEAF: f64 = 0.15;
/// Share of direct light through the bare wood of a crown.
pub const BARE: f64 = 0.6;

/// Share of direct light along a crown's mean chord, from the share of leaves that are out.
/// `None` where nothing stands: a plant that died down. Of plants whose foliage is not known the
/// leaves stay, as most shade is then expected.
pub fn transmittance(foliage: Option<Foliage>, in_leaf: f64) -> Option<f64> {
    // Leaves and wood take light away in the exponent.
    let between = |share: f64| (share * IN_LEAF.ln() + (1.0 - share) * BARE.ln()).exp();
    match foliage {
        None | Some(Foliage::Evergreen) => Some(IN_LEAF),
        Some(Foliage::SemiEvergreen) => Some(between(0.5 + 0.5 * in_leaf)),
        Some(Foliage::Deciduous) => Some(between(in_leaf)),
        Some(Foliage::Herbaceous | Foliage::Annual) if in_leaf <= 0.05 => None,
        Some(Foliage::Herbaceous | Foliage::Annual) => Some((in_leaf * IN_LEAF.ln()).exp()),
    }
}

/// The day of the year of a month and day, in a year of 365. Out of range counts as the nearest.
pub fn day_of_year(month: u8, day: u8) -> f64 {
    const BEFORE: [u16; 12] = [0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334];
    f64::from(BEFORE[usize::from(month.clamp(1, 12)) - 1] + u16::from(day.clamp(1, 31)))
}
