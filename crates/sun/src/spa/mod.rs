//! Where the sun stands: the full solar position algorithm.
//!
//! - In: an instant as a Julian day, a place. Out: zenith, azimuth, and every step on the way that
//!   the report's worked example prints.
//! - Method: Reda and Andreas, Solar Position Algorithm for Solar Radiation Applications,
//!   NREL/TP-560-34302 (2003, revised 2008), within 0.0003° from the year −2000 to 6000. Own code,
//!   because the example's steps are checked one by one, which no library lets one see.
//! - Not here: events of a day (`events.rs`), the light that comes with the position (`clear_sky.rs`).

// Digits stand as the report prints them, ungrouped, so that they can be compared with it; some come
// near π by chance.
#[allow(clippy::unreadable_literal, clippy::inconsistent_digit_grouping, clippy::approx_constant)]
mod terms;

use std::f64::consts::{PI, TAU};

use terms::{LATITUDE, LONGITUDE, NUTATION, RADIUS, Term};

/// Difference of terrestrial time and universal time. [s] 67 s in 2003 and 69 s in 2022, from
/// memory; a second more or less moves the sun by a hundredth of its own accuracy.
pub const DELTA_T: f64 = 69.0;

/// The sun's refraction at the horizon. [rad] 0.5667°, as in the source.
pub const HORIZON_REFRACTION: f64 = 0.5667 / 180.0 * PI;
/// The sun's apparent radius. [rad] 0.26667°, as in the source.
pub const SUN_RADIUS: f64 = 0.26667 / 180.0 * PI;

/// Where somebody stands, and the air around.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Observer {
    /// Latitude, north positive. [rad]
    pub latitude: f64,
    /// Longitude, east positive. [rad]
    pub longitude: f64,
    /// Height above the sea. [m]
    pub elevation: f64,
    /// Pressure of the air. [Pa]
    pub pressure: f64,
    /// Temperature of the air. [K]
    pub temperature: f64,
}

/// Why a place has no sun.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum ObserverFault {
    /// A value out of its range.
    #[error("the {what} is {value} {unit}; expected {expected}")]
    Range {
        /// Which value.
        what: &'static str,
        /// The value in `unit`.
        value: f64,
        /// Its unit for the reader.
        unit: &'static str,
        /// What was expected.
        expected: &'static str,
    },
}

impl Observer {
    /// Somebody at a height above the sea, in the standard atmosphere of that height at 12 °C.
    pub fn new(latitude: f64, longitude: f64, elevation: f64) -> Self {
        let pressure = crate::clear_sky::pressure_at(elevation);
        Self { latitude, longitude, elevation, pressure, temperature: 285.15 }
    }

    /// The same place if all its values make sense.
    ///
    /// # Errors
    /// A latitude beyond the poles, a longitude beyond ±180° or an elevation, pressure or
    /// temperature that no place on earth has.
    pub fn checked(self) -> Result<Self, ObserverFault> {
        let range = |what, value: f64, low, high, unit, expected| {
            if (low..=high).contains(&value) {
                Ok(())
            } else {
                Err(ObserverFault::Range { what, value, unit, expected })
            }
        };
        range("latitude", self.latitude.to_degrees(), -90.0, 90.0, "degrees", "-90 to 90")?;
        range(
            "longitude",
            self.longitude.to_degrees(),
            -180.0,
            180.0,
            "degrees",
            "-180 to 180, east positive",
        )?;
        range("elevation", self.elevation, -500.0, 9000.0, "m", "-500 to 9000")?;
        range("pressure", self.pressure, 20_000.0, 110_000.0, "Pa", "20000 to 110000")?;
        range("temperature", self.temperature - 273.15, -90.0, 60.0, "degrees Celsius", "-90 to 60")?;
        Ok(self)
    }
}

/// Julian day of an instant given in seconds since 1970-01-01 00:00 UTC. [day]
pub fn julian_day(unix: f64) -> f64 {
    2_440_587.5 + unix / 86_400.0
}

/// The sun seen from the middle of the earth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Geocentric {
    /// Earth's heliocentric longitude L. [rad]
    pub longitude: f64,
    /// Distance of earth and sun R. [astronomical unit]
    pub distance: f64,
    /// Nutation in longitude Δψ. [rad]
    pub nutation_longitude: f64,
    /// Nutation in obliquity Δε. [rad]
    pub nutation_obliquity: f64,
    /// True obliquity of the ecliptic ε. [rad]
    pub obliquity: f64,
    /// Apparent sidereal time at Greenwich ν. [rad]
    pub sidereal_time: f64,
    /// Right ascension α. [rad]
    pub right_ascension: f64,
    /// Declination δ. [rad]
    pub declination: f64,
    /// Equation of time: sundial minus clock. [s]
    pub equation_of_time: f64,
}

/// The sun seen from a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SunPosition {
    /// Angle from straight up to the sun's middle, without refraction. [rad]
    pub zenith: f64,
    /// The same with refraction; equal to `zenith` when the sun is below the horizon. [rad]
    pub apparent_zenith: f64,
    /// Direction of the sun, clockwise from true north, 0 to 2π. [rad]
    pub azimuth: f64,
    /// Observer's local hour angle H, 0 to 2π, from geocentric right ascension. [rad]
    pub hour_angle: f64,
}

impl SunPosition {
    /// Height of the sun's middle above the level horizon, without refraction. [rad]
    pub fn elevation(&self) -> f64 {
        PI / 2.0 - self.zenith
    }

    /// Angle between the sun's rays and the normal of a slope.
    ///
    /// # Arguments
    /// - `tilt`: slope from the horizontal. [rad]
    /// - `aspect`: direction in which the surface faces, measured westward from south as in the
    ///   source. [rad]
    ///
    /// # Source
    /// Equation 47 of the report.
    pub fn incidence(&self, tilt: f64, aspect: f64) -> f64 {
        let zenith = self.apparent_zenith;
        let westward = self.azimuth - PI;
        (zenith.cos() * tilt.cos() + tilt.sin() * zenith.sin() * (westward - aspect).cos())
            .clamp(-1.0, 1.0)
            .acos()
    }
}

/// The sun seen from the middle of the earth. `delta_t`: terrestrial less universal time. [s]
///
/// # Source
/// Steps 3.1 to 3.10 and A.1 of the report.
pub fn geocentric(julian_day: f64, delta_t: f64) -> Geocentric {
    let century = (julian_day - 2_451_545.0) / 36_525.0;
    let ephemeris_century = (julian_day + delta_t / 86_400.0 - 2_451_545.0) / 36_525.0;
    let jce = ephemeris_century;
    let jme = jce / 10.0;

    let longitude = sum(&LONGITUDE, jme).rem_euclid(TAU);
    let latitude = -sum(&LATITUDE, jme);
    let distance = sum(&RADIUS, jme);
    let theta = longitude + PI;

    let (nutation_longitude, nutation_obliquity) = nutation(jce);
    let obliquity = (mean_obliquity(jme / 10.0) / 3600.0).to_radians() + nutation_obliquity;
    let aberration = (-20.4898 / (3600.0 * distance)).to_radians();
    let lambda = theta + nutation_longitude + aberration;

    let days = julian_day - 2_451_545.0;
    let mean_sidereal = 280.460_618_37
        + 360.985_647_366_29 * days
        + century * century * (0.000_387_933 - century / 38_710_000.0);
    let sidereal_time = mean_sidereal.to_radians() + nutation_longitude * obliquity.cos();

    let right_ascension = (lambda.sin() * obliquity.cos() - latitude.tan() * obliquity.sin())
        .atan2(lambda.cos())
        .rem_euclid(TAU);
    let declination =
        (latitude.sin() * obliquity.cos() + latitude.cos() * obliquity.sin() * lambda.sin()).asin();

    let mean_longitude = (280.466_456_7
        + jme
            * (360_007.698_277_9
                + jme
                    * (0.030_320_28 + jme * (1.0 / 49_931.0 + jme * (-1.0 / 15_300.0 - jme / 2_000_000.0)))))
        .to_radians();
    let equation = mean_longitude - 0.005_718_3_f64.to_radians() - right_ascension
        + nutation_longitude * obliquity.cos();
    let equation = (equation + PI).rem_euclid(TAU) - PI;
    Geocentric {
        longitude,
        distance,
        nutation_longitude,
        nutation_obliquity,
        obliquity,
        sidereal_time: sidereal_time.rem_euclid(TAU),
        right_ascension,
        declination,
        equation_of_time: equation / TAU * 86_400.0,
    }
}

/// The sun seen from a place. `delta_t`: terrestrial less universal time. [s]
///
/// # Source
/// Steps 3.11 to 3.14 of the report. The azimuth straight overhead is undefined; any value comes.
pub fn position(observer: &Observer, julian_day: f64, delta_t: f64) -> SunPosition {
    seen_from(observer, &geocentric(julian_day, delta_t))
}

/// A geocentric sun seen from a place.
pub fn seen_from(observer: &Observer, sun: &Geocentric) -> SunPosition {
    let phi = observer.latitude;
    let hour_angle = (sun.sidereal_time + observer.longitude - sun.right_ascension).rem_euclid(TAU);
    let parallax = (8.794 / (3600.0 * sun.distance)).to_radians();
    let u = (0.996_647_19 * phi.tan()).atan();
    let height = observer.elevation / 6_378_140.0;
    let x = u.cos() + height * phi.cos();
    let y = 0.996_647_19 * u.sin() + height * phi.sin();

    let cos_declination = sun.declination.cos();
    let below = cos_declination - x * parallax.sin() * hour_angle.cos();
    let shift = (-x * parallax.sin() * hour_angle.sin()).atan2(below);
    let declination = ((sun.declination.sin() - y * parallax.sin()) * shift.cos()).atan2(below);
    let hour = hour_angle - shift;

    let sine = phi.sin() * declination.sin() + phi.cos() * declination.cos() * hour.cos();
    let elevation = sine.clamp(-1.0, 1.0).asin();
    let azimuth = hour.sin().atan2(hour.cos() * phi.sin() - declination.tan() * phi.cos()) + PI;
    SunPosition {
        zenith: PI / 2.0 - elevation,
        apparent_zenith: PI / 2.0 - elevation - refraction(elevation, observer),
        azimuth: azimuth.rem_euclid(TAU),
        hour_angle,
    }
}

/// By how much the air lifts the sun. [rad] Nothing once its upper edge is below the horizon.
///
/// # Source
/// Equation 42 of the report.
pub fn refraction(elevation: f64, observer: &Observer) -> f64 {
    if elevation < -(SUN_RADIUS + HORIZON_REFRACTION) {
        return 0.0;
    }
    let e = elevation.to_degrees();
    let air = observer.pressure / 101_000.0 * 283.0 / observer.temperature_in_report();
    (air * 1.02 / (60.0 * (e + 10.3 / (e + 5.11)).to_radians().tan())).to_radians()
}

impl Observer {
    /// The report counts the ice point as 273 K.
    fn temperature_in_report(&self) -> f64 {
        self.temperature - 273.15 + 273.0
    }
}

fn sum(series: &[&[Term]], t: f64) -> f64 {
    let mut power = 1.0;
    let mut total = 0.0;
    for terms in series {
        total += power * terms.iter().map(|(a, b, c)| a * (b + c * t).cos()).sum::<f64>();
        power *= t;
    }
    total / 1e8
}

/// Nutation in longitude and in obliquity. [rad]
fn nutation(t: f64) -> (f64, f64) {
    let polynomial = |c: [f64; 4]| (c[0] + t * (c[1] + t * (c[2] + t * c[3]))).to_radians();
    let arguments = [
        polynomial([297.850_36, 445_267.111_48, -0.001_914_2, 1.0 / 189_474.0]),
        polynomial([357.527_72, 35_999.050_34, -0.000_160_3, -1.0 / 300_000.0]),
        polynomial([134.962_98, 477_198.867_398, 0.008_697_2, 1.0 / 56_250.0]),
        polynomial([93.271_91, 483_202.017_538, -0.003_682_5, 1.0 / 327_270.0]),
        polynomial([125.044_52, -1_934.136_261, 0.002_070_8, 1.0 / 450_000.0]),
    ];
    let (mut longitude, mut obliquity) = (0.0, 0.0);
    for (factors, [a, b, c, d]) in &NUTATION {
        let angle: f64 = factors.iter().zip(&arguments).map(|(f, x)| f64::from(*f) * x).sum();
        longitude += (a + b * t) * angle.sin();
        obliquity += (c + d * t) * angle.cos();
    }
    ((longitude / 36_000_000.0).to_radians(), (obliquity / 36_000_000.0).to_radians())
}

/// Mean obliquity of the ecliptic, u in units of ten thousand Julian years. [arc second]
fn mean_obliquity(u: f64) -> f64 {
    const C: [f64; 11] =
        [84_381.448, -4680.93, -1.55, 1999.25, -51.38, -249.67, -39.05, 7.12, 27.87, 5.79, 2.45];
    C.iter().rev().fold(0.0, |sum, c| sum * u + c)
}
