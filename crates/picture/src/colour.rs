//! Colour as linear light.

use glam::Vec3A;

/// Linear light in the primaries of sRGB (IEC 61966-2-1). Its unit is that of its luminance.
pub type Colour = Vec3A;

/// Even white of the primaries, CIE D65.
pub const WHITE: Colour = Vec3A::ONE;

/// Luminance of a colour, in the colour's unit.
///
/// # Source
/// IEC 61966-2-1: the second row of the primaries' matrix.
pub fn luminance(colour: Colour) -> f32 {
    colour.dot(Vec3A::new(0.2126, 0.7152, 0.0722))
}

/// Colour of a black body, of luminance 1.
///
/// # Arguments
/// - `kelvin`: correlated colour temperature, held within 1,667 to 25,000. [K]
///
/// # Source
/// Cubic fit to the Planckian locus in CIE 1931 x, y, Kim and others 2002 (coefficients from memory;
/// a test holds them to Planck's law).
pub fn of_temperature(kelvin: f64) -> Colour {
    let t = kelvin.clamp(1667.0, 25_000.0);
    let x = if t <= 4000.0 {
        -0.266_123_9e9 / t.powi(3) - 0.234_358_9e6 / t.powi(2) + 0.877_695_6e3 / t + 0.179_910
    } else {
        -3.025_846_9e9 / t.powi(3) + 2.107_037_9e6 / t.powi(2) + 0.222_634_7e3 / t + 0.240_390
    };
    let cubic = |a: f64, b: f64, c: f64, d: f64| ((a * x + b) * x + c) * x + d;
    let y = if t <= 2222.0 {
        cubic(-1.106_381_4, -1.348_110_20, 2.185_558_32, -0.202_196_83)
    } else if t <= 4000.0 {
        cubic(-0.954_947_6, -1.374_185_93, 2.091_370_15, -0.167_488_67)
    } else {
        cubic(3.081_758_0, -5.873_386_70, 3.751_129_97, -0.370_014_83)
    };
    of_chromaticity(x, y)
}

/// Colour of luminance 1 by its CIE 1931 x, y; what lies outside the primaries is cut at their edge.
pub(crate) fn of_chromaticity(x: f64, y: f64) -> Colour {
    let (cx, cz) = (x / y, (1.0 - x - y) / y);
    let row = |a: f64, b: f64, c: f64| (a * cx + b + c * cz).max(0.0) as f32;
    // XYZ to linear sRGB, IEC 61966-2-1, with Y = 1.
    let colour = Vec3A::new(
        row(3.240_625_5, -1.537_208, -0.498_628_6),
        row(-0.968_930_7, 1.875_756_1, 0.041_517_5),
        row(0.055_710_1, -0.204_021_1, 1.056_995_9),
    );
    colour / luminance(colour).max(1e-6)
}

/// One linear channel, 0 to 1, to the eight bits of a display.
///
/// # Source
/// IEC 61966-2-1.
pub fn to_srgb(linear: f32) -> u8 {
    let v = linear.clamp(0.0, 1.0);
    let encoded = if v <= 0.003_130_8 { 12.92 * v } else { 1.055 * v.powf(1.0 / 2.4) - 0.055 };
    (encoded * 255.0).round() as u8
}
