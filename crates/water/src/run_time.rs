//! How long a zone runs: from the plants' need to minutes on a controller.
//!
//! - In: evapotranspiration and rain [m], plant factor, efficiency, rate [m/s] or flow [m³/s].
//! - Out: gross depth [m], volume [m³] and run time [s] for a period, and for each start.

use crate::positive::{NotUsable, above_zero, not_below_zero, share_above_zero};

/// What a zone needs in a period.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Need {
    /// Reference evapotranspiration of the period. [m]
    pub reference: f64,
    /// Plant factor.
    pub plant_factor: f64,
    /// Rain that counts, in the same period. [m]
    pub rain: f64,
    /// Share of the water applied that the plants can use, above 0, up to 1.
    pub efficiency: f64,
}

impl Need {
    /// Net depth: ET₀ PF − rain, not below zero. [m]
    ///
    /// # Errors
    /// A number below zero or not finite.
    pub fn net(&self) -> Result<f64, NotUsable> {
        not_below_zero("the reference evapotranspiration", self.reference, "m")?;
        not_below_zero("the plant factor", self.plant_factor, "")?;
        not_below_zero("the rain", self.rain, "m")?;
        Ok((self.reference * self.plant_factor - self.rain).max(0.0))
    }

    /// Gross depth: net over efficiency. [m]
    ///
    /// # Errors
    /// As [`Need::net`], and an efficiency that is no share above 0.
    pub fn gross(&self) -> Result<f64, NotUsable> {
        share_above_zero("the efficiency", self.efficiency)?;
        Ok(self.net()? / self.efficiency)
    }
}

/// Time to put down a gross depth [m] at a rate [m/s]. [s]
///
/// # Errors
/// A depth below zero, a rate not above it.
pub fn run_time(gross: f64, rate: f64) -> Result<f64, NotUsable> {
    not_below_zero("the gross depth", gross, "m")?;
    above_zero("the rate", rate, "m/s")?;
    Ok(gross / rate)
}

/// Time for emitters of a flow together [m³/s] to give an area [m²] a gross depth [m]. [s]
///
/// # Errors
/// A depth below zero, an area or flow not above it.
pub fn drip_run_time(gross: f64, area: f64, flow: f64) -> Result<f64, NotUsable> {
    not_below_zero("the gross depth", gross, "m")?;
    above_zero("the area", area, "m²")?;
    above_zero("the flow", flow, "m³/s")?;
    Ok(gross * area / flow)
}
