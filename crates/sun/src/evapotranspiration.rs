//! Reference evapotranspiration of short grass: how much water the air takes.
//!
//! - In: a day's or month's weather and the place. Out: every step of the calculation, and the water
//!   lost as a depth over time.
//! - Method: Allen, Pereira, Raes and Smith 1998, Crop evapotranspiration, FAO Irrigation and
//!   Drainage Paper 56: Penman–Monteith, with Hargreaves beside it for places without humidity,
//!   wind and radiation. The paper's own units stay inside; SI goes in and comes out.
//! - Not here: plant factors, rain, soil, run times.

use std::f64::consts::PI;

/// A day (or a month, by its middle day) of weather.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weather {
    /// Latitude, north positive. [rad]
    pub latitude: f64,
    /// Height above the sea. [m]
    pub elevation: f64,
    /// Day of the year, 1 to 366.
    pub day: u16,
    /// Highest temperature, or the month's mean of it. [K]
    pub highest: f64,
    /// Lowest temperature, or the month's mean of it. [K]
    pub lowest: f64,
    /// Water in the air.
    pub humidity: Humidity,
    /// Wind speed. [m/s]
    pub wind: f64,
    /// Height at which the wind was measured. [m]
    pub wind_height: f64,
    /// Light of the sun.
    pub radiation: Radiation,
    /// Heat into the soil, mean over the time; nothing for a day. [W/m²]
    pub soil_heat: f64,
}

/// Water in the air, as it is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Humidity {
    /// Vapour pressure. [Pa]
    Pressure(f64),
    /// Highest and lowest relative humidity of the day, 0 to 1.
    Range(f64, f64),
    /// Mean relative humidity, 0 to 1.
    Mean(f64),
    /// Dew point. [K]
    DewPoint(f64),
    /// Temperatures of a ventilated wet and dry bulb. [K]
    Bulbs {
        /// Wet. [K]
        wet: f64,
        /// Dry. [K]
        dry: f64,
    },
    /// Not known: the dew point is taken as the lowest temperature, too high in dry climates.
    FromLowest,
}

/// Light of the sun, as it is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Radiation {
    /// Mean over the day's 24 hours. [W/m²]
    Given(f64),
    /// Hours of bright sun, as a time. [s]
    Sunshine(f64),
    /// From the span of temperatures; 0.16 inland, 0.19 at the coast. [K^-½]
    FromTemperatures(f64),
}

/// Every step, in SI. Radiations are means over 24 hours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Steps {
    /// Pressure of the air. [Pa] Equation 7.
    pub pressure: f64,
    /// Psychrometric constant. [Pa/K] Equation 8.
    pub psychrometric: f64,
    /// Slope of the vapour pressure curve. [Pa/K] Equation 13.
    pub slope: f64,
    /// Saturation vapour pressure. [Pa] Equation 12.
    pub saturation: f64,
    /// Actual vapour pressure. [Pa] Equations 14 to 19 and 48.
    pub vapour: f64,
    /// Inverse relative distance of the sun. Equation 23.
    pub distance: f64,
    /// Declination. [rad] Equation 24.
    pub declination: f64,
    /// Sunset hour angle. [rad] Equation 25.
    pub sunset: f64,
    /// Radiation outside the air. [W/m²] Equation 21.
    pub outside: f64,
    /// Daylight. [s] Equation 34.
    pub daylight: f64,
    /// Solar radiation. [W/m²] Equation 35 or 50.
    pub solar: f64,
    /// Solar radiation under a clear sky. [W/m²] Equation 37.
    pub clear: f64,
    /// Net shortwave radiation. [W/m²] Equation 38.
    pub net_shortwave: f64,
    /// Net longwave radiation. [W/m²] Equation 39.
    pub net_longwave: f64,
    /// Net radiation. [W/m²] Equation 40.
    pub net: f64,
    /// Wind 2 m above the ground. [m/s] Equation 47.
    pub wind: f64,
    /// Reference evapotranspiration after Penman–Monteith. [m/s] Equation 6.
    pub penman_monteith: f64,
    /// The same after Hargreaves. [m/s] Equation 52.
    pub hargreaves: f64,
}

/// Why there is no answer.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("the {what} is {value} {unit}; expected {expected}")]
pub struct WeatherFault {
    /// Which value.
    pub what: &'static str,
    /// The value in `unit`.
    pub value: f64,
    /// Its unit for the reader.
    pub unit: &'static str,
    /// What was expected.
    pub expected: &'static str,
}

/// A millimetre a day. [m/s]
pub const MILLIMETRE_PER_DAY: f64 = 1e-3 / 86_400.0;
/// A megajoule on a square metre in a day. [W/m²]
pub const MEGAJOULE_PER_DAY: f64 = 1e6 / 86_400.0;
/// The ice point. [K]
const ICE: f64 = 273.15;

/// Saturation vapour pressure at a temperature. [Pa]
///
/// # Source
/// Equation 11 of the paper; temperature in kelvin.
pub fn saturation_pressure(temperature: f64) -> f64 {
    1000.0 * e0(temperature - ICE)
}

/// Pressure of the air at a height above the sea, in the paper's form. [Pa]
///
/// # Source
/// Equation 7 of the paper.
pub fn air_pressure(elevation: f64) -> f64 {
    1000.0 * 101.3 * ((293.0 - 0.0065 * elevation) / 293.0).powf(5.26)
}

/// Heat into the soil over a month, from the mean temperatures of the months either side. [W/m²]
///
/// # Source
/// Equation 43 of the paper; temperatures in kelvin.
pub fn monthly_soil_heat(before: f64, after: f64) -> f64 {
    0.07 * (after - before) * MEGAJOULE_PER_DAY
}

/// Radiation outside the air, daylight and what they come from, on a day of the year.
///
/// # Returns
/// Inverse relative distance, declination [rad], sunset hour angle [rad], radiation [W/m²],
/// daylight [s].
///
/// # Source
/// Equations 21 to 25 and 34 of the paper. The cosine of the sunset hour angle is held within −1
/// and 1: polar night has no daylight and midnight sun 24 hours.
pub fn outside(latitude: f64, day: u16) -> (f64, f64, f64, f64, f64) {
    let year = 2.0 * PI * f64::from(day) / 365.0;
    let distance = 1.0 + 0.033 * year.cos();
    let declination = 0.409 * (year - 1.39).sin();
    let sunset = (-latitude.tan() * declination.tan()).clamp(-1.0, 1.0).acos();
    let ra = 24.0 * 60.0 / PI
        * 0.0820
        * distance
        * (sunset * latitude.sin() * declination.sin() + latitude.cos() * declination.cos() * sunset.sin());
    (distance, declination, sunset, ra.max(0.0) * MEGAJOULE_PER_DAY, 24.0 / PI * sunset * 3600.0)
}

/// Reference evapotranspiration with every step.
///
/// # Errors
/// A value that no weather has.
///
/// # Source
/// The paper's chapters 3 and 4; numbers of equations stand beside the fields of [`Steps`].
pub fn reference(weather: &Weather) -> Result<Steps, WeatherFault> {
    check(weather)?;
    let (high, low) = (weather.highest - ICE, weather.lowest - ICE);
    let mean = f64::midpoint(high, low);
    let pressure = air_pressure(weather.elevation) / 1000.0;
    let gamma = 0.665e-3 * pressure;
    let delta = 4098.0 * e0(mean) / (mean + 237.3).powi(2);
    let es = f64::midpoint(e0(high), e0(low));
    let ea = vapour(weather.humidity, high, low, pressure);
    if !(0.0..=1.2 * es).contains(&ea) {
        return Err(WeatherFault {
            what: "vapour pressure",
            value: 1000.0 * ea,
            unit: "Pa",
            expected: "0 up to saturation",
        });
    }
    let (distance, declination, sunset, ra, daylight) = outside(weather.latitude, weather.day);
    let ra_mj = ra / MEGAJOULE_PER_DAY;
    let rs = match weather.radiation {
        Radiation::Given(mean) => mean / MEGAJOULE_PER_DAY,
        Radiation::Sunshine(time) if daylight > 0.0 => (0.25 + 0.5 * time / daylight) * ra_mj,
        Radiation::Sunshine(_) => 0.0,
        Radiation::FromTemperatures(k) => k * (high - low).sqrt() * ra_mj,
    };
    let rso = (0.75 + 2e-5 * weather.elevation) * ra_mj;
    let rns = (1.0 - 0.23) * rs;
    // Without sun the share of clear sky is not known from the sun; the paper's default of a clear
    // night is taken.
    let clear_share = if rso > 0.0 { (rs / rso).min(1.0) } else { 1.0 };
    let fourth = f64::midpoint((high + 273.16).powi(4), (low + 273.16).powi(4));
    let rnl = 4.903e-9 * fourth * (0.34 - 0.14 * ea.sqrt()) * (1.35 * clear_share - 0.35);
    let rn = rns - rnl;
    let u2 = weather.wind * 4.87 / (67.8 * weather.wind_height - 5.42).ln();
    let g = weather.soil_heat / MEGAJOULE_PER_DAY;
    let eto = (0.408 * delta * (rn - g) + gamma * 900.0 / (mean + 273.0) * u2 * (es - ea))
        / (delta + gamma * (1.0 + 0.34 * u2));
    let hargreaves = 0.0023 * (mean + 17.8) * (high - low).sqrt() * 0.408 * ra_mj;
    Ok(Steps {
        pressure: 1000.0 * pressure,
        psychrometric: 1000.0 * gamma,
        slope: 1000.0 * delta,
        saturation: 1000.0 * es,
        vapour: 1000.0 * ea,
        distance,
        declination,
        sunset,
        outside: ra,
        daylight,
        solar: rs * MEGAJOULE_PER_DAY,
        clear: rso * MEGAJOULE_PER_DAY,
        net_shortwave: rns * MEGAJOULE_PER_DAY,
        net_longwave: rnl * MEGAJOULE_PER_DAY,
        net: rn * MEGAJOULE_PER_DAY,
        wind: u2,
        penman_monteith: eto * MILLIMETRE_PER_DAY,
        hargreaves: hargreaves * MILLIMETRE_PER_DAY,
    })
}

/// Saturation vapour pressure, temperature in degrees Celsius. [kPa]
fn e0(t: f64) -> f64 {
    0.6108 * (17.27 * t / (t + 237.3)).exp()
}

/// Actual vapour pressure, temperatures in degrees Celsius, pressure in kPa. [kPa]
fn vapour(humidity: Humidity, high: f64, low: f64, pressure: f64) -> f64 {
    match humidity {
        Humidity::Pressure(pascal) => pascal / 1000.0,
        Humidity::Range(most, least) => f64::midpoint(e0(low) * most, e0(high) * least),
        Humidity::Mean(mean) => mean * f64::midpoint(e0(high), e0(low)),
        Humidity::DewPoint(kelvin) => e0(kelvin - ICE),
        Humidity::Bulbs { wet, dry } => e0(wet - ICE) - 0.000_662 * pressure * (dry - wet),
        Humidity::FromLowest => e0(low),
    }
}

fn check(weather: &Weather) -> Result<(), WeatherFault> {
    let range = |what, value: f64, low, high, unit, expected| {
        if (low..=high).contains(&value) { Ok(()) } else { Err(WeatherFault { what, value, unit, expected }) }
    };
    let celsius = "degrees Celsius";
    range("latitude", weather.latitude.to_degrees(), -90.0, 90.0, "degrees", "-90 to 90")?;
    range("elevation", weather.elevation, -500.0, 9000.0, "m", "-500 to 9000")?;
    range("day of the year", f64::from(weather.day), 1.0, 366.0, "", "1 to 366")?;
    range("highest temperature", weather.highest - ICE, -90.0, 60.0, celsius, "-90 to 60")?;
    range(
        "lowest temperature",
        weather.lowest - ICE,
        -90.0,
        weather.highest - ICE,
        celsius,
        "at most the highest temperature",
    )?;
    range("wind", weather.wind, 0.0, 100.0, "m/s", "0 to 100")?;
    range("height of the wind gauge", weather.wind_height, 0.5, 200.0, "m", "0.5 to 200")?;
    range("heat into the soil", weather.soil_heat, -100.0, 100.0, "W/m²", "-100 to 100")?;
    match weather.humidity {
        Humidity::Range(most, least) => {
            range("highest humidity", most, 0.0, 1.0, "", "a share from 0 to 1")?;
            range("lowest humidity", least, 0.0, most, "", "a share from 0 to the highest humidity")?;
        }
        Humidity::Mean(mean) => range("humidity", mean, 0.0, 1.0, "", "a share from 0 to 1")?,
        Humidity::DewPoint(kelvin) => range("dew point", kelvin - ICE, -90.0, 60.0, celsius, "-90 to 60")?,
        Humidity::Bulbs { wet, dry } => {
            range("dry bulb", dry - ICE, -90.0, 60.0, celsius, "-90 to 60")?;
            range("wet bulb", wet - ICE, -90.0, dry - ICE, celsius, "at most the dry bulb")?;
        }
        Humidity::Pressure(pascal) => range("vapour pressure", pascal, 0.0, 20_000.0, "Pa", "0 to 20000")?,
        Humidity::FromLowest => {}
    }
    match weather.radiation {
        Radiation::Given(mean) => range("solar radiation", mean, 0.0, 600.0, "W/m²", "0 to 600"),
        Radiation::Sunshine(time) => range("sunshine", time / 3600.0, 0.0, 24.0, "h", "0 to 24"),
        Radiation::FromTemperatures(k) => {
            range("radiation coefficient", k, 0.05, 0.3, "", "0.16 inland to 0.19 at the coast")
        }
    }
}
