//! Daily balance of water in the root zone.
//!
//! - In: soil, roots, and for each day reference evapotranspiration, rain and irrigation. [m]
//! - Out: for each day depletion, stress, evapotranspiration, drainage; and the sums, which close.
//! - Method: FAO Irrigation and Drainage Paper 56 (Allen, Pereira, Raes and Smith 1998), chapter 8.
//! - Rain and irrigation enter at the beginning of a day; no water rises from below.
//! - Depths are metres of water here, as all lengths are; the paper writes millimetres.

use crate::positive::{NotUsable, above_zero, not_below_zero, share, within};

/// Root zone and its soil.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RootZone {
    /// Water content at field capacity, share of the volume.
    pub field_capacity: f64,
    /// Water content at the wilting point, share of the volume.
    pub wilting_point: f64,
    /// Depth of the roots. [m]
    pub depth: f64,
    /// Share p of the available water that plants take without stress at 5 mm a day, 0.1 to 0.8.
    pub easy_share: f64,
}

/// One day.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Day {
    /// Reference evapotranspiration. [m]
    pub reference: f64,
    /// Crop coefficient or plant factor.
    pub plant_factor: f64,
    /// Rain. [m]
    pub rain: f64,
    /// What of the rain runs off. [m]
    pub runoff: f64,
    /// Net irrigation that reaches the soil. [m]
    pub irrigation: f64,
}

/// The root zone at the end of a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DayEnd {
    /// Depletion below field capacity at the beginning, after rain and irrigation. [m]
    pub depletion_start: f64,
    /// Share p adjusted to the day.
    pub easy_share: f64,
    /// Readily available water. [m]
    pub readily_available: f64,
    /// Stress coefficient, 0 to 1.
    pub stress: f64,
    /// Evapotranspiration without stress. [m]
    pub unstressed: f64,
    /// Evapotranspiration. [m]
    pub evapotranspiration: f64,
    /// Deep percolation. [m]
    pub percolation: f64,
    /// Depletion at the end. [m]
    pub depletion: f64,
}

/// The balance of a run of days: in + depletion before = out + depletion after, up to `open`.
#[derive(Debug, Clone, PartialEq)]
pub struct SoilBalance {
    /// Total available water. [m]
    pub available: f64,
    /// Each day.
    pub days: Vec<DayEnd>,
    /// Rain and irrigation, less runoff. [m]
    pub inflow: f64,
    /// Evapotranspiration. [m]
    pub evapotranspiration: f64,
    /// Deep percolation. [m]
    pub percolation: f64,
    /// What the balance leaves open. [m]
    pub open: f64,
}

impl RootZone {
    /// Total available water: (θ_FC − θ_WP) Z_r. [m]
    pub fn available(&self) -> f64 {
        (self.field_capacity - self.wilting_point) * self.depth
    }

    /// Share p on a day with an evapotranspiration: p + 0.04 (5 − ET in mm), from 0.1 to 0.8.
    ///
    /// # Source
    /// FAO-56, table 22, note 2.
    pub fn easy_share_on(&self, evapotranspiration: f64) -> f64 {
        (self.easy_share + 0.04 * (5.0 - evapotranspiration * 1000.0)).clamp(0.1, 0.8)
    }

    /// # Errors
    /// Contents that are no shares or not in order, no depth, p out of 0.1 to 0.8.
    pub fn check(&self) -> Result<(), NotUsable> {
        share("the field capacity", self.field_capacity)?;
        share("the wilting point", self.wilting_point)?;
        above_zero("field capacity less wilting point", self.field_capacity - self.wilting_point, "")?;
        above_zero("the depth of the roots", self.depth, "m")?;
        let good = (0.1..=0.8).contains(&self.easy_share);
        within("the share p of easily taken water", self.easy_share, "", good, "0.1 to 0.8")
    }
}

/// Stress coefficient at a depletion: 1 up to the readily available water, then falling to 0.
///
/// # Arguments
/// - `depletion`, `available`, `readily`: depletion, TAW and RAW. [m]
///
/// # Source
/// FAO-56, equation 84.
pub fn stress(depletion: f64, available: f64, readily: f64) -> f64 {
    if depletion <= readily { 1.0 } else { ((available - depletion) / (available - readily)).clamp(0.0, 1.0) }
}

/// Follows the root zone over days.
///
/// # Arguments
/// - `depletion`: at the beginning, 0 to the total available water. [m]
/// - `adjusted`: whether p follows the day's evapotranspiration.
///
/// # Errors
/// Numbers below zero or not finite, a depletion beyond the available water.
///
/// # Source
/// FAO-56, equations 82 to 88.
pub fn soil_water(
    zone: RootZone,
    depletion: f64,
    days: &[Day],
    adjusted: bool,
) -> Result<SoilBalance, NotUsable> {
    zone.check()?;
    let available = zone.available();
    let good = (0.0..=available).contains(&depletion);
    within("the depletion at the beginning", depletion, "m", good, "0 to the total available water")?;
    let mut before = depletion;
    let mut ends = Vec::with_capacity(days.len());
    for day in days {
        check_day(day)?;
        let end = one_day(zone, before, day, adjusted);
        before = end.depletion;
        ends.push(end);
    }
    let inflow = days.iter().map(|day| day.rain - day.runoff + day.irrigation).sum::<f64>();
    let evapotranspiration = ends.iter().map(|end| end.evapotranspiration).sum::<f64>();
    let percolation = ends.iter().map(|end| end.percolation).sum::<f64>();
    let open = inflow + before - depletion - evapotranspiration - percolation;
    Ok(SoilBalance { available, days: ends, inflow, evapotranspiration, percolation, open })
}

fn one_day(zone: RootZone, before: f64, day: &Day, adjusted: bool) -> DayEnd {
    let available = zone.available();
    let unstressed = day.reference * day.plant_factor;
    let easy_share = if adjusted { zone.easy_share_on(unstressed) } else { zone.easy_share };
    let readily_available = easy_share * available;
    let wetted = before - (day.rain - day.runoff) - day.irrigation;
    let depletion_start = wetted.max(0.0);
    let stress = stress(depletion_start, available, readily_available);
    // No more than is there.
    let evapotranspiration = (stress * unstressed).min(available - wetted);
    let after = wetted + evapotranspiration;
    let percolation = (-after).max(0.0);
    DayEnd {
        depletion_start,
        easy_share,
        readily_available,
        stress,
        unstressed,
        evapotranspiration,
        percolation,
        depletion: after.max(0.0).min(available),
    }
}

fn check_day(day: &Day) -> Result<(), NotUsable> {
    not_below_zero("the reference evapotranspiration", day.reference, "m")?;
    not_below_zero("the plant factor", day.plant_factor, "")?;
    not_below_zero("the rain", day.rain, "m")?;
    not_below_zero("the runoff", day.runoff, "m")?;
    not_below_zero("the rain that does not run off", day.rain - day.runoff, "m")?;
    not_below_zero("the irrigation", day.irrigation, "m")
}

/// Depth of roots at an age: grows in even steps from planting to full depth. [m]
///
/// # Arguments
/// - `planted`: depth of the root ball. [m] `full`: depth when grown in, no less. [m]
/// - `age`, `maturity`: in one unit of time; at and after `maturity` the roots are at full depth.
///
/// # Errors
/// Depths or times not above zero, a full depth below the planted one.
///
/// # Source
/// FAO-56 lets roots grow with the crop's cover; a straight line in time is common practice, no source.
pub fn root_depth(planted: f64, full: f64, age: f64, maturity: f64) -> Result<f64, NotUsable> {
    above_zero("the depth of the root ball", planted, "m")?;
    above_zero("the full depth", full, "m")?;
    not_below_zero("the full depth less that of the root ball", full - planted, "m")?;
    not_below_zero("the age", age, "")?;
    above_zero("the age at which it is grown in", maturity, "")?;
    Ok(planted + (full - planted) * (age / maturity).min(1.0))
}

/// Days from one irrigation to the next, and the net depth of each.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Whole days, at least 1.
    pub days: u32,
    /// Net depth that refills the root zone. [m]
    pub net: f64,
    /// Whether a single day takes more than the soil gives without stress.
    pub too_long: bool,
}

/// The longest interval that leaves no stress.
///
/// # Arguments
/// - `readily`: readily available water. [m] `daily`: evapotranspiration of a day, less rain. [m]
/// - `most`: longest interval wanted, at least 1. [days]
///
/// # Errors
/// Water not above zero, a day's need below it.
pub fn interval(readily: f64, daily: f64, most: u32) -> Result<Interval, NotUsable> {
    above_zero("the readily available water", readily, "m")?;
    not_below_zero("a day's need", daily, "m")?;
    above_zero("the longest interval", f64::from(most), "days")?;
    let whole = if daily > 0.0 { (readily / daily).floor().min(f64::from(most)) } else { f64::from(most) };
    let days = (whole as u32).max(1);
    Ok(Interval { days, net: daily * f64::from(days), too_long: daily > readily })
}
