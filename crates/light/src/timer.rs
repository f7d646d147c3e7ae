//! Evenings: how long lamps burn, at full and dimmed, and what a year of them uses.
//!
//! - In: instants in seconds, of dusk and of the switching; what the lamps draw. Out: hours and energy.
//! - Instants are elapsed time, so that a change of the clocks costs or saves nobody an hour of light.
//! - Not here: when dusk falls, and what the clock shows.

use crate::positive::{NotUsable, not_below_zero, share, within};

/// Lower level from an instant on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dimming {
    /// From then on. [s]
    pub from: f64,
    /// Level of dimming, 0 to 1.
    pub level: f64,
}

/// One evening.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Evening {
    /// How long lamps burn. [s]
    pub lit: f64,
    /// Of it, dimmed. [s]
    pub dimmed: f64,
    /// Time at full level that uses as much. [s]
    pub full: f64,
}

/// An evening from switching on to switching off; none where they go off before they go on.
///
/// # Arguments
/// - `on`, `off`: instants. [s]
///
/// # Errors
/// Instants that are no numbers, a level outside 0 to 1.
///
/// # Source
/// Power in proportion to the level: common practice for drivers, no source; filaments use a little more.
pub fn evening(on: f64, off: f64, dimming: Option<Dimming>) -> Result<Evening, NotUsable> {
    within("instant of switching on", on, "s", on.is_finite(), "a finite instant")?;
    within("instant of switching off", off, "s", off.is_finite(), "a finite instant")?;
    let lit = (off - on).max(0.0);
    let Some(Dimming { from, level }) = dimming else { return Ok(Evening { lit, dimmed: 0.0, full: lit }) };
    within("instant of dimming", from, "s", from.is_finite(), "a finite instant")?;
    share("level of dimming", level)?;
    let dimmed = (off - from.max(on)).clamp(0.0, lit);
    Ok(Evening { lit, dimmed, full: lit - dimmed + level * dimmed })
}

/// Energy of evenings. [J]
///
/// # Arguments
/// - `power`: of the lamps with the losses of cable and transformer. [W]
///
/// # Errors
/// A power below zero.
pub fn energy(evenings: &[Evening], power: f64) -> Result<f64, NotUsable> {
    not_below_zero("power of the lamps", power, "W")?;
    Ok(evenings.iter().map(|evening| evening.full).sum::<f64>() * power)
}
