//! The climate's year for irrigation: reference evapotranspiration and rain by month.
//!
//! - In: the property's normals and place. Out: twelve months.
//! - Evapotranspiration as given; else Hargreaves from the temperatures (FAO Irrigation and Drainage Paper
//!   56, equation 52); else from temperatures guessed by latitude and height. Rain as given; else none, so
//!   that nothing is watered too little.

use groundwright_plan::Project;
use groundwright_sun::evapotranspiration::{Humidity, Radiation, Weather, reference};
use groundwright_water::Year;

/// Days of the months, and the day of the year in the middle of each.
const MONTHS: [(f64, u16); 12] = [
    (31.0, 15),
    (28.0, 46),
    (31.0, 74),
    (30.0, 105),
    (31.0, 135),
    (30.0, 166),
    (31.0, 196),
    (31.0, 227),
    (30.0, 258),
    (31.0, 288),
    (30.0, 319),
    (31.0, 349),
];
/// Seconds of a day.
const DAY: f64 = 86_400.0;
/// The ice point. [K]
const ICE: f64 = 273.15;
/// Span between the day's highest and lowest temperature where nobody knows. [K]
const SPAN: f64 = 12.0;

/// The year of a place.
pub(crate) fn year(project: &Project) -> Year {
    let climate = project.property.climate.as_ref();
    let temperatures = climate.and_then(|climate| climate.high.zip(climate.low));
    let given = climate.and_then(|climate| climate.reference);
    let guessed = || {
        let (high, low) = temperatures.unwrap_or_else(|| guess(project));
        std::array::from_fn(|i| hargreaves(project, MONTHS[i], high[i], low[i]))
    };
    let rain = climate.and_then(|climate| climate.rain);
    Year {
        reference: given.unwrap_or_else(guessed),
        rain: rain.unwrap_or([0.0; 12]),
        known: (given.is_some() || temperatures.is_some(), rain.is_some()),
    }
}

/// Evapotranspiration of a month. [m] Nothing where temperatures are none of weather.
fn hargreaves(project: &Project, (days, middle): (f64, u16), high: f64, low: f64) -> f64 {
    let place = &project.property.place;
    let weather = Weather {
        latitude: place.latitude.value,
        elevation: place.elevation.value,
        day: middle,
        highest: high,
        lowest: low,
        humidity: Humidity::FromLowest,
        wind: 2.0,
        wind_height: 2.0,
        radiation: Radiation::FromTemperatures(0.16),
        soil_heat: 0.0,
    };
    reference(&weather).map_or(0.0, |steps| steps.hargreaves.max(0.0) * days * DAY)
}

/// Monthly temperatures by latitude and height: a smooth year, warmest a month after the solstice.
/// Common practice, no source; good to several degrees.
fn guess(project: &Project) -> ([f64; 12], [f64; 12]) {
    let place = &project.property.place;
    let latitude = place.latitude.value.to_degrees();
    let beyond = (latitude.abs() - 20.0).max(0.0);
    let mean = 26.0 - 0.5 * beyond - 0.0065 * place.elevation.value;
    let swing = 0.2 * latitude.abs();
    let warmest = if latitude < 0.0 { 0.5 } else { 6.5 };
    let at = |i: usize| ICE + mean + swing * ((i as f64 - warmest) / 12.0 * std::f64::consts::TAU).cos();
    (std::array::from_fn(|i| at(i) + SPAN / 2.0), std::array::from_fn(|i| at(i) - SPAN / 2.0))
}
