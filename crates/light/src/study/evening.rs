//! How long zones burn through a year.

use groundwright_plan::{LightZone, Switch};

use crate::timer::{Dimming, Evening, evening};

const DAY: f64 = 86_400.0;
/// Times of the clock before this belong to the morning after. [min]
const NOON: u16 = 12 * 60;

/// An evening of the year and the days that it stands for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Night {
    /// Month, 1 to 12.
    pub month: u8,
    /// Day of the month.
    pub day: u8,
    /// Civil dusk on the clock, seconds after midnight; none where it does not fall. [s]
    pub dusk: Option<f64>,
    /// The next civil dawn on the clock of the next day. [s]
    pub dawn: Option<f64>,
    /// Days that it stands for.
    pub stands_for: f64,
}

/// What a zone burns in a month or a year.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Burning {
    /// Hours lit. [h]
    pub lit: f64,
    /// Hours at full level that use as much. [h]
    pub full: f64,
}

/// The evening of a zone; none where dusk or dawn does not fall and it asks for them.
fn of(zone: &LightZone, night: &Night) -> Option<Evening> {
    let instant = |switch: Switch| match switch {
        Switch::Dusk => night.dusk,
        Switch::Dawn => night.dawn.map(|dawn| dawn + DAY),
        Switch::Clock(minutes) => Some(clock(minutes)),
    };
    let (on, off) = (instant(zone.on)?, instant(zone.off)?);
    let dimming = zone.dimmed.map(|(from, level)| Dimming { from: clock(from), level });
    evening(on, off, dimming).ok()
}

fn clock(minutes: u16) -> f64 {
    f64::from(minutes) * 60.0 + if minutes < NOON { DAY } else { 0.0 }
}

/// What a zone burns in the nights of a month, or of the year where none is named.
pub fn burning(zone: &LightZone, nights: &[Night], month: Option<u8>) -> Burning {
    let mut sum = Burning::default();
    for night in nights.iter().filter(|night| month.is_none_or(|month| night.month == month)) {
        if let Some(evening) = of(zone, night) {
            sum.lit += night.stands_for * evening.lit / 3600.0;
            sum.full += night.stands_for * evening.full / 3600.0;
        }
    }
    sum
}
