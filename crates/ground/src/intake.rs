//! How fast soil takes water: from a timed hole, or from its texture by feel.
//!
//! - In: a hole filled with water and how its level fell, or a texture. Out: intake. [m/s]
//! - A timed hole loses water through its side too; the Porchet method takes that off.

use crate::positive::{NotUsable, above_zero, not_below_zero, within};

/// A hole that was soaked, filled and watched.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimedHole {
    /// Diameter. [m]
    pub diameter: f64,
    /// Water above the bottom at the start. [m]
    pub start: f64,
    /// Water above the bottom at the end. [m]
    pub end: f64,
    /// Time between. [s]
    pub time: f64,
}

/// Intake through level ground, from a timed hole. [m/s]
///
/// # Source
/// Porchet method (inverse auger hole): i = Δh r / (t (r + 2 h_mean)), as used in county
/// stormwater handbooks for shallow percolation tests; recalled.
pub fn of_timed_hole(hole: TimedHole) -> Result<f64, NotUsable> {
    above_zero("the diameter", hole.diameter, "m")?;
    above_zero("the water at the start", hole.start, "m")?;
    not_below_zero("the water at the end", hole.end, "m")?;
    within("the water at the end", hole.end, "m", hole.end <= hole.start, "no more than at the start")?;
    above_zero("the time", hole.time, "s")?;
    let radius = hole.diameter / 2.0;
    let mean = f64::midpoint(hole.start, hole.end);
    Ok((hole.start - hole.end) * radius / (hole.time * (radius + 2.0 * mean)))
}

/// Soil texture, as felt between the fingers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[expect(missing_docs, reason = "the names are the classes of the texture triangle")]
pub enum Texture {
    Sand,
    LoamySand,
    SandyLoam,
    Loam,
    SandyClayLoam,
    SiltyLoam,
    ClayLoam,
    SiltyClayLoam,
    Clay,
    SiltyClay,
}

impl Texture {
    /// All textures with the words for them, fastest first.
    pub const ALL: [(Self, &'static str); 10] = [
        (Self::Sand, "sand"),
        (Self::LoamySand, "loamy sand"),
        (Self::SandyLoam, "sandy loam"),
        (Self::SandyClayLoam, "sandy clay loam"),
        (Self::Loam, "loam"),
        (Self::SiltyLoam, "silty loam"),
        (Self::ClayLoam, "clay loam"),
        (Self::SiltyClayLoam, "silty clay loam"),
        (Self::Clay, "clay"),
        (Self::SiltyClay, "silty clay"),
    ];

    /// Final intake after wetting. [m/s]
    ///
    /// # Source
    /// New Mexico State University, irrigation-scheduling soil table, in cm/h. Published tables differ
    /// by factors of two to five: a timed hole overrides them.
    pub fn intake(self) -> f64 {
        let centimetres_an_hour = match self {
            Self::Sand => 9.536,
            Self::LoamySand => 6.209,
            Self::SandyLoam => 2.691,
            Self::Loam => 1.0335,
            Self::SandyClayLoam => 1.2586,
            Self::SiltyLoam => 0.5129,
            Self::ClayLoam => 0.4695,
            Self::SiltyClayLoam => 0.2564,
            Self::Clay => 0.1927,
            Self::SiltyClay => 0.1779,
        };
        centimetres_an_hour / 100.0 / 3600.0
    }
}
