//! Velocities that a swale's lining stands.
//!
//! - In: cover, slope, whether the soil washes out easily. Out: the greatest velocity. [m/s]
//! - Source: Soil Conservation Service, Handbook of Channel Design for Soil and Water Conservation,
//!   SCS-TP-61, table of permissible velocities for channels lined with vegetation, as reprinted in
//!   county stormwater codes.

use groundwright_units::constants::FOOT;

/// What lines a swale.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Lining {
    /// Bermudagrass.
    Bermudagrass,
    /// Kentucky bluegrass, tall fescue, smooth brome: sod-forming lawn.
    Turf,
    /// Grass mixtures, reed canarygrass; ornamental grasses planted close.
    GrassMixture,
    /// Redtop, red fescue, alfalfa: thin or bunched cover.
    ThinGrass,
    /// Bare or mulched soil.
    Bare,
    /// Cobble and stone.
    Stone,
}

/// The greatest velocity a lining stands. [m/s]; none where the source gives the cover no use on
/// that slope.
///
/// # Arguments
/// - `slope`: of the channel, fall over length.
/// - `washes_out`: whether the soil is easily eroded (sand, silt).
///
/// # Source
/// SCS-TP-61 for the grasses. Bare soil: the same handbook's range for channels without plants, 1.5
/// to 2.5 ft/s for sands and loams, here 1.75 and 2.5; stone 10 ft/s for cobbles of 6 in and more:
/// both recalled.
pub fn permissible_velocity(lining: Lining, slope: f64, washes_out: bool) -> Option<f64> {
    let by_slope = |to_5: f64, to_10: f64, over: f64| {
        if slope <= 0.05 {
            to_5
        } else if slope <= 0.10 {
            to_10
        } else {
            over
        }
    };
    let resistant = match lining {
        Lining::Bermudagrass => by_slope(8.0, 7.0, 6.0),
        Lining::Turf => by_slope(7.0, 6.0, 5.0),
        Lining::GrassMixture if slope <= 0.10 => by_slope(5.0, 4.0, 4.0),
        Lining::ThinGrass if slope <= 0.05 => 3.5,
        Lining::GrassMixture | Lining::ThinGrass => return None,
        Lining::Bare => 2.5,
        Lining::Stone => 10.0,
    };
    let easily = match lining {
        Lining::Bermudagrass | Lining::Turf => resistant - 2.0,
        Lining::GrassMixture | Lining::ThinGrass => resistant - 1.0,
        Lining::Bare => 1.75,
        Lining::Stone => resistant,
    };
    Some(FOOT * if washes_out { easily } else { resistant })
}
