//! Water held until it soaks in: dry wells and rain gardens.
//!
//! - In: how much runs in, how fast the soil takes it, the form of the store. Out: sizes and the time
//!   to empty. [m, s]
//! - Method: balance of volume over the storm: what runs in is held or soaks in while it rains.
//! - Source: volume balance. Empty within 48 to 72 h is what stormwater manuals usually ask for,
//!   against mosquitoes and for the next storm: common practice, no source.

use std::f64::consts::PI;

use crate::positive::{NotUsable, above_zero, not_below_zero, share, within};

/// A store and how it behaves in the storm that it was asked about.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Store {
    /// Volume that runs in. [m³]
    pub inflow: f64,
    /// Volume that soaks in during the storm. [m³]
    pub soaked: f64,
    /// Volume that must be held. [m³]
    pub held: f64,
    /// Volume that the store holds. [m³]
    pub holds: f64,
    /// Time to empty when full, by the wetted area half full. [s]
    pub empties: f64,
}

/// A cylindrical pit filled with stone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DryWell {
    /// Diameter. [m]
    pub diameter: f64,
    /// Depth of stone below the inlet. [m]
    pub depth: f64,
    /// Share of the stone that is voids; 1 for an empty chamber.
    pub voids: f64,
}

impl DryWell {
    /// Volume of water that it holds. [m³]
    pub fn holds(&self) -> f64 {
        PI * self.diameter * self.diameter / 4.0 * self.depth * self.voids
    }

    /// Area through which it soaks when half full: bottom and half of the sides. [m²]
    ///
    /// # Source
    /// Sides count half over the time it empties: common practice, no source.
    pub fn soaks_through(&self) -> f64 {
        PI * self.diameter * self.diameter / 4.0 + PI * self.diameter * self.depth / 2.0
    }
}

/// How a dry well copes with a storm.
///
/// # Arguments
/// - `inflow`: volume of runoff. [m³]
/// - `intake`: of the soil, a safety factor already taken off. [m/s]
/// - `duration`: of the storm. [s]
pub fn dry_well(well: DryWell, inflow: f64, intake: f64, duration: f64) -> Result<Store, NotUsable> {
    above_zero("the diameter", well.diameter, "m")?;
    above_zero("the depth", well.depth, "m")?;
    share("the voids", well.voids)?;
    above_zero("the voids", well.voids, "")?;
    stored(inflow, intake, duration, well.holds(), well.soaks_through())
}

/// Depth at which a dry well of a diameter holds what does not soak in. [m]
///
/// # Source
/// V = π D²/4 d n + i t (π D²/4 + π D d/2), solved for d.
pub fn dry_well_depth(
    diameter: f64,
    voids: f64,
    inflow: f64,
    intake: f64,
    duration: f64,
) -> Result<f64, NotUsable> {
    above_zero("the diameter", diameter, "m")?;
    share("the voids", voids)?;
    above_zero("the voids", voids, "")?;
    checked(inflow, intake, duration)?;
    let bottom = PI * diameter * diameter / 4.0;
    let soaks = intake * duration;
    Ok(((inflow - soaks * bottom) / (bottom * voids + soaks * PI * diameter / 2.0)).max(0.0))
}

/// A shallow planted basin with level bottom and sloping sides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RainGarden {
    /// Area at the bottom. [m²]
    pub bottom: f64,
    /// Area of the water when full. [m²]
    pub top: f64,
    /// Depth of ponding. [m]
    pub ponding: f64,
    /// Depth of planting soil that fills with water as well. [m] Not below zero.
    pub soil: f64,
    /// Share of that soil that is free voids.
    pub voids: f64,
}

/// How a rain garden copes with a storm; it soaks in through its bottom.
///
/// # Arguments
/// As [`dry_well`].
pub fn rain_garden(garden: RainGarden, inflow: f64, intake: f64, duration: f64) -> Result<Store, NotUsable> {
    above_zero("the bottom's area", garden.bottom, "m²")?;
    within(
        "the top's area",
        garden.top,
        "m²",
        garden.top >= garden.bottom && garden.top.is_finite(),
        "not less than the bottom",
    )?;
    above_zero("the ponding depth", garden.ponding, "m")?;
    not_below_zero("the depth of soil", garden.soil, "m")?;
    share("the voids", garden.voids)?;
    // A frustum of sides of one slope: prismoid with similar ends.
    let pond = garden.ponding / 3.0 * (garden.bottom + garden.top + (garden.bottom * garden.top).sqrt());
    let holds = pond + garden.bottom * garden.soil * garden.voids;
    stored(inflow, intake, duration, holds, garden.bottom)
}

fn checked(inflow: f64, intake: f64, duration: f64) -> Result<(), NotUsable> {
    not_below_zero("the inflow", inflow, "m³")?;
    not_below_zero("the soil's intake", intake, "m/s")?;
    not_below_zero("the duration", duration, "s")
}

fn stored(inflow: f64, intake: f64, duration: f64, holds: f64, area: f64) -> Result<Store, NotUsable> {
    checked(inflow, intake, duration)?;
    let soaked = (intake * area * duration).min(inflow);
    let empties = if intake > 0.0 { holds / (intake * area) } else { f64::INFINITY };
    Ok(Store { inflow, soaked, held: inflow - soaked, holds, empties })
}
