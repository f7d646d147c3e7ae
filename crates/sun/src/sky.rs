//! The sun's way over a year as a list of moments, and the sky as a list of patches.
//!
//! - In: a place, a step. Out: directions with weights.
//! - Method: one day stands for each month, the mean day after Klein 1977, cut into even steps of
//!   local solar time whose middles are taken; a moment counts while the sun's middle is above the
//!   level horizon. Morning is before the sun crosses the meridian.
//! - Directions are turned into the plan by the direction of true north.

use std::f64::consts::{PI, TAU};

use groundwright_scene::Direction;

use crate::spa::{DELTA_T, Observer, position};

/// Mean day of each month: that whose sun is nearest to the month's mean.
///
/// # Source
/// Klein 1977, as in every handbook of solar engineering: days of the month, from memory.
pub const MEAN_DAYS: [u8; 12] = [17, 16, 16, 15, 15, 11, 17, 16, 15, 15, 14, 10];

/// Which half of the day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Half {
    /// Before the sun crosses the meridian.
    Morning,
    /// After.
    Afternoon,
}

/// A moment of sun.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SunMoment {
    /// Towards the sun, in plan coordinates.
    pub direction: Direction,
    /// How long it stands for. [h]
    pub hours: f64,
    /// Month, 1 to 12.
    pub month: u8,
    /// Which half of the day.
    pub half: Half,
}

/// Towards the sun, in plan coordinates.
///
/// # Arguments
/// - `zenith`, `azimuth`: of the sun, clockwise from true north. [rad]
/// - `north`: direction of true north, clockwise from the plan's y axis. [rad]
pub fn direction(zenith: f64, azimuth: f64, north: f64) -> Direction {
    let bearing = azimuth + north;
    [zenith.sin() * bearing.sin(), zenith.sin() * bearing.cos(), zenith.cos()]
}

/// Moments of the mean day of a month.
///
/// # Arguments
/// - `north`: direction of true north, clockwise from the plan's y axis. [rad]
/// - `month`: 1 to 12; another month has no moments.
/// - `step`: length of a moment. [h] Above 0.
pub fn month_moments(observer: &Observer, north: f64, year: i16, month: u8, step: f64) -> Vec<SunMoment> {
    let Some(day) = MEAN_DAYS.get(usize::from(month).wrapping_sub(1)) else { return Vec::new() };
    day_moments(observer, north, (year, month, *day), step)
}

/// Moments of a day, given as year, month and day of the calendar; a day that is none has none.
pub fn day_moments(observer: &Observer, north: f64, date: (i16, u8, u8), step: f64) -> Vec<SunMoment> {
    let (year, month, day) = date;
    let (Ok(month_), Ok(day)) = (i8::try_from(month), i8::try_from(day)) else { return Vec::new() };
    let Ok(date) = jiff::civil::Date::new(year, month_, day) else { return Vec::new() };
    if !(step.is_finite() && step > 1e-3) {
        return Vec::new();
    }
    let midnight = julian_midnight(date) - observer.longitude / TAU;
    let count = (24.0 / step).round().max(1.0) as usize;
    let hours = 24.0 / count as f64;
    (0..count)
        .filter_map(|i| {
            let time = midnight + (i as f64 + 0.5) * hours / 24.0;
            let sun = position(observer, time, DELTA_T);
            let half = if sun.hour_angle > PI { Half::Morning } else { Half::Afternoon };
            (sun.zenith < PI / 2.0).then(|| SunMoment {
                direction: direction(sun.zenith, sun.azimuth, north),
                hours,
                month,
                half,
            })
        })
        .collect()
}

/// Julian day of midnight at Greenwich at the beginning of a date.
fn julian_midnight(date: jiff::civil::Date) -> f64 {
    let epoch = jiff::civil::date(1970, 1, 1);
    let days = epoch.until(date).map_or(0, |span| span.get_days());
    2_440_587.5 + f64::from(days)
}

/// A patch of the sky.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Patch {
    /// Towards its middle.
    pub direction: Direction,
    /// Share of the light on the level that it sends under an even sky.
    pub even: f64,
    /// The same under an overcast one.
    pub overcast: f64,
}

/// The sky in patches of about equal size, whose shares add up to 1.
///
/// # Arguments
/// - `rings`: rings from horizon to zenith, at least 1. 8 give 140 patches or so.
pub fn sky_patches(rings: u32) -> Vec<Patch> {
    let rings = rings.clamp(1, 200);
    let height = PI / 2.0 / f64::from(rings);
    let mut patches = Vec::new();
    for ring in 0..rings {
        let elevation = (f64::from(ring) + 0.5) * height;
        let count = (TAU * elevation.cos() / height).round().max(1.0) as u32;
        let solid =
            TAU * ((elevation + height / 2.0).sin() - (elevation - height / 2.0).sin()) / f64::from(count);
        for i in 0..count {
            let bearing = (f64::from(i) + 0.5) / f64::from(count) * TAU;
            patches.push(Patch {
                direction: [
                    elevation.cos() * bearing.sin(),
                    elevation.cos() * bearing.cos(),
                    elevation.sin(),
                ],
                even: solid * crate::clear_sky::even_weight(elevation),
                overcast: solid * crate::clear_sky::overcast_weight(elevation),
            });
        }
    }
    // What the middles of the rings leave over or short is taken off evenly.
    let (even, overcast) = patches.iter().fold((0.0, 0.0), |(e, o), p| (e + p.even, o + p.overcast));
    for patch in &mut patches {
        patch.even /= even;
        patch.overcast /= overcast;
    }
    patches
}
