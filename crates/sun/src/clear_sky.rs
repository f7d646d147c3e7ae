//! Light of a clear sky, and of an overcast one.
//!
//! - In: apparent zenith, haze, height above the sea. Out: irradiance on the level, straight at the
//!   sun, and from the sky. [W/m²]
//! - Method: Ineichen and Perez 2002 with Linke turbidity, without the enhancement at low sun;
//!   relative air mass after Kasten and Young 1989; Haurwitz 1945 as a second opinion. Overcast:
//!   the standard overcast sky of the CIE (ISO 15469, type 1 in its older form).
//! - Not here: clouds that come and go; the weather record of a place.

use std::f64::consts::PI;

/// Irradiance outside the air, straight at the sun, that the method takes for all the year. [W/m²]
const OUTSIDE: f64 = 1364.0;

/// Light of a clear sky. [W/m²]
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Irradiance {
    /// On the level.
    pub global: f64,
    /// Straight at the sun.
    pub direct_normal: f64,
    /// From the sky, on the level.
    pub diffuse: f64,
}

/// Pressure of the standard atmosphere at a height above the sea. [Pa]
///
/// # Source
/// International standard atmosphere, 100 (44331.514 − h / 11880.516)^(1/0.1902632): the form that
/// solar engineering uses.
pub fn pressure_at(elevation: f64) -> f64 {
    100.0 * ((44_331.514 - elevation.clamp(-500.0, 20_000.0)) / 11_880.516).powf(1.0 / 0.190_263_2)
}

/// Air passed by sunlight over that passed from straight up, at sea level.
///
/// # Source
/// Kasten and Young, Applied Optics 28 (1989): 1 / (cos z + 0.50572 (96.07995 − z)^−1.6364), z in
/// degrees. `None` where the sun is below the horizon, and where z is not a number.
pub fn relative_air_mass(apparent_zenith: f64) -> Option<f64> {
    let z = apparent_zenith.to_degrees();
    (z <= 90.0).then(|| 1.0 / (apparent_zenith.cos() + 0.505_72 * (96.079_95 - z).powf(-1.6364)))
}

/// Light of a clear sky; nothing while the sun is below the horizon.
///
/// # Arguments
/// - `apparent_zenith`: with refraction. [rad]
/// - `turbidity`: Linke turbidity at air mass 2; 2 is very clear, 3 usual, 5 hazy.
/// - `elevation`: height above the sea. [m]
/// - `pressure`: of the air there. [Pa]
///
/// # Source
/// Ineichen and Perez, Solar Energy 73 (2002), equations 8 and 9.
pub fn ineichen(apparent_zenith: f64, turbidity: f64, elevation: f64, pressure: f64) -> Irradiance {
    let Some(relative) = relative_air_mass(apparent_zenith) else {
        return Irradiance { global: 0.0, direct_normal: 0.0, diffuse: 0.0 };
    };
    let air = relative * pressure / 101_325.0;
    let cosine = apparent_zenith.cos().max(0.0);
    let fh1 = (-elevation / 8000.0).exp();
    let fh2 = (-elevation / 1250.0).exp();
    let cg1 = 5.09e-5 * elevation + 0.868;
    let cg2 = 3.92e-5 * elevation + 0.0387;
    let global = cg1 * OUTSIDE * cosine * (-cg2 * air * (fh1 + fh2 * (turbidity - 1.0))).exp().max(0.0);
    let b = 0.664 + 0.163 / fh1;
    let beam = b * OUTSIDE * (-0.09 * air * (turbidity - 1.0)).exp();
    let ratio = (1.0 - (0.1 - 0.2 * (-turbidity).exp()) / (0.1 + 0.882 / fh1)) / cosine;
    let capped = global * ratio.clamp(0.0, 1e20);
    let direct_normal = beam.min(capped).max(0.0);
    Irradiance { global, direct_normal, diffuse: global - direct_normal * cosine }
}

/// Light of a clear sky on the level by the plainest formula. [W/m²]
///
/// # Source
/// Haurwitz 1945: 1098 cos z exp(−0.059 / cos z).
pub fn haurwitz(apparent_zenith: f64) -> f64 {
    let cosine = apparent_zenith.cos();
    if cosine > 0.0 { 1098.0 * cosine * (-0.059 / cosine).exp() } else { 0.0 }
}

/// Share of the light that an overcast sky sends to a level place from one ring of the sky to the
/// next, per steradian: integrates to 1 over the hemisphere. [1/sr]
///
/// # Source
/// CIE standard overcast sky, luminance (1 + 2 sin e) / 3 of that at the zenith e: elevation;
/// weighted by sin e and divided by 7π/9, its integral.
pub fn overcast_weight(elevation: f64) -> f64 {
    let sine = elevation.sin().max(0.0);
    (1.0 + 2.0 * sine) / 3.0 * sine / (7.0 * PI / 9.0)
}

/// Share of the light of an even sky that comes to a level place, per steradian. [1/sr]
pub fn even_weight(elevation: f64) -> f64 {
    elevation.sin().max(0.0) / PI
}
