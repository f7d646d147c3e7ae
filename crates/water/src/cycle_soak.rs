//! Cycle and soak: a run cut up so that nothing runs off.
//!
//! - In: run time [s], rate and intake [m/s], what the surface holds [m]. Out: cycles and pauses. [s]
//! - A surface takes `intake`, holds `allowance`, and sheds the rest; so a cycle lasts until the
//!   allowance is full, and a pause until it has soaked in.

use crate::positive::{NotUsable, above_zero, not_below_zero, within};

/// A run in cycles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CycleSoak {
    /// Time in all without pauses. [s]
    pub total: f64,
    /// Longest cycle without runoff; none where the soil takes all. [s]
    pub longest: Option<f64>,
    /// Count of cycles; at least 1.
    pub cycles: u32,
    /// Length of each. [s]
    pub cycle: f64,
    /// Pause after each but the last. [s]
    pub soak: f64,
}

impl CycleSoak {
    /// From the first drop to the last. [s]
    pub fn elapsed(&self) -> f64 {
        self.total + f64::from(self.cycles - 1) * self.soak
    }

    /// Each cycle in whole minutes, up or down: controllers take no less. Never down to nothing. [s]
    pub fn whole_minutes(&self, up: bool) -> f64 {
        let minutes = self.cycle / 60.0;
        // What rounding error puts beyond a whole minute is no minute more.
        let whole = if up { (minutes - 1e-9).ceil() } else { (minutes + 1e-9).floor().max(1.0) };
        if self.total > 0.0 { whole * 60.0 } else { 0.0 }
    }
}

/// Most cycles of a run; more is no schedule but a sign of the wrong nozzle.
const MOST_CYCLES: f64 = 1000.0;

/// Cuts a run into cycles.
///
/// # Arguments
/// - `total`: run time, not below zero. [s] `rate`: above zero. [m/s]
/// - `intake`: of the soil on this slope, not below zero. [m/s]
/// - `allowance`: what the surface holds. [m] About 0.1 to 0.3 in, falling with slope (from memory).
///
/// # Errors
/// Numbers that are not what is said; no allowance, or no intake, where the rate is above the intake;
/// more than a thousand cycles.
///
/// # Source
/// Common practice: longest = A/(rate − intake), soak = cycle (rate/intake − 1).
pub fn cycle_soak(total: f64, rate: f64, intake: f64, allowance: f64) -> Result<CycleSoak, NotUsable> {
    not_below_zero("the run time", total, "s")?;
    above_zero("the rate", rate, "m/s")?;
    not_below_zero("the intake", intake, "m/s")?;
    if rate <= intake {
        return Ok(CycleSoak { total, longest: None, cycles: 1, cycle: total, soak: 0.0 });
    }
    above_zero("what the surface holds", allowance, "m")?;
    let longest = allowance / (rate - intake);
    let cycles = (total / longest - 1e-9).ceil().max(1.0);
    within("the count of cycles", cycles, "", cycles <= MOST_CYCLES, "at most 1000; take a lower rate")?;
    let cycle = total / cycles;
    let soak = if cycles > 1.0 || total > 0.0 {
        above_zero("the intake of a soil that must soak", intake, "m/s")?;
        cycle * (rate / intake - 1.0)
    } else {
        0.0
    };
    Ok(CycleSoak { total, longest: Some(longest), cycles: cycles as u32, cycle, soak })
}

/// What the surface of a slope holds before water moves. [m]
///
/// # Arguments
/// - `slope`: rise over run, not below zero.
///
/// # Source
/// 0.3 in on the level, falling in a straight line to 0.1 in at 12 % and steeper: within the range
/// that handbooks print (from memory); a trial on the site goes before it.
pub fn surface_allowance(slope: f64) -> Result<f64, NotUsable> {
    not_below_zero("the slope", slope, "")?;
    let inches = 0.3 - 0.2 * (slope / 0.12).min(1.0);
    Ok(inches * groundwright_units::constants::INCH)
}
