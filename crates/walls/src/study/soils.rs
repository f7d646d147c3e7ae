//! What soils are taken for where nobody tested them.
//!
//! - Low values of the ranges that handbooks presume for each class, drained, without cohesion: from
//!   memory, so each is a default that says so. A test by a laboratory replaces it.

use groundwright_plan::{SoilTexture, WallSoil};
use groundwright_units::constants::{CUBIC_FOOT, POUND_FORCE};

use crate::Soil;

/// Presumed values of a class.
pub fn presumed(class: WallSoil) -> Soil {
    let (degrees, pounds): (f64, f64) = match class {
        WallSoil::CleanStone => (36.0, 105.0),
        WallSoil::Gravel => (35.0, 130.0),
        WallSoil::Sand => (31.0, 120.0),
        WallSoil::SiltySand => (30.0, 120.0),
        WallSoil::Silt => (28.0, 115.0),
        WallSoil::LeanClay => (26.0, 120.0),
        WallSoil::FatClay => (20.0, 115.0),
    };
    Soil { friction: degrees.to_radians(), unit_weight: pounds * POUND_FORCE / CUBIC_FOOT, cohesion: 0.0 }
}

/// The class that a texture of the topsoil suggests for the ground below it.
pub fn of_texture(texture: SoilTexture) -> WallSoil {
    match texture {
        SoilTexture::Sand => WallSoil::Sand,
        SoilTexture::LoamySand | SoilTexture::SandyLoam => WallSoil::SiltySand,
        SoilTexture::Loam | SoilTexture::SiltLoam | SoilTexture::Silt => WallSoil::Silt,
        SoilTexture::SandyClayLoam
        | SoilTexture::ClayLoam
        | SoilTexture::SiltyClayLoam
        | SoilTexture::SandyClay => WallSoil::LeanClay,
        SoilTexture::SiltyClay | SoilTexture::Clay => WallSoil::FatClay,
    }
}
