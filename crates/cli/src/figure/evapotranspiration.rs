//! Figure `evapotranspiration`: reference evapotranspiration with every step.

use groundwright_sun::evapotranspiration::{
    Humidity, MEGAJOULE_PER_DAY, MILLIMETRE_PER_DAY, Radiation, Weather, monthly_soil_heat, reference,
};
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{ "lat": 50.8, "z": 100, "J": 187, "Tmax": 21.5, "Tmin": 12.3, "RHmax": 84, "RHmin": 63, "wind": 2.78, "wind_height": 10, "n": 9.25 }"#;
pub(super) const HELP: &str = r"Keys of a case, in the units of the FAO's paper 56; numbers may also be texts:
  lat, z, J         latitude [degrees], height above the sea [m], day of the year
  Tmax, Tmin        highest and lowest temperature [°C]
  humidity, one of  ea [kPa]; RHmax and RHmin [%]; RHmean [%]; Tdew [°C]; Twet and Tdry [°C]; left out:
                    the dew point is taken as Tmin
  u2                wind 2 m above the ground [m/s]; or wind and wind_height [m]; 2 m/s if left out
  radiation, one of Rs [MJ/m²/day]; n, hours of bright sun; kRs, 0.16 inland to 0.19 at the coast; left
                    out: kRs 0.16
  G                 heat into the soil [MJ/m²/day]; or T_before and T_after, mean temperatures of the months
                    either side; 0 if left out
Result: eto_mm_per_day (Penman-Monteith), hargreaves_mm_per_day, and every step in the same units.
Example:
  groundwright figure evapotranspiration --example | groundwright figure evapotranspiration";

pub(super) fn figure(of: &Map<String, Value>) -> Result<Answer, String> {
    let number = |key: &str| case::decimal(of, key);
    let needed = |key: &str| case::needed_decimal(of, key);
    let kelvin = |celsius: f64| celsius + 273.15;
    let humidity = if let Some(ea) = number("ea")? {
        Humidity::Pressure(1000.0 * ea)
    } else if let Some(most) = number("RHmax")? {
        Humidity::Range(most / 100.0, needed("RHmin")? / 100.0)
    } else if let Some(mean) = number("RHmean")? {
        Humidity::Mean(mean / 100.0)
    } else if let Some(dew) = number("Tdew")? {
        Humidity::DewPoint(kelvin(dew))
    } else if let Some(wet) = number("Twet")? {
        Humidity::Bulbs { wet: kelvin(wet), dry: kelvin(needed("Tdry")?) }
    } else {
        Humidity::FromLowest
    };
    let radiation = if let Some(rs) = number("Rs")? {
        Radiation::Given(rs * MEGAJOULE_PER_DAY)
    } else if let Some(n) = number("n")? {
        Radiation::Sunshine(n * 3600.0)
    } else {
        Radiation::FromTemperatures(number("kRs")?.unwrap_or(0.16))
    };
    let (wind, wind_height) = match (number("u2")?, number("wind")?) {
        (Some(u2), _) => (u2, 2.0),
        (None, Some(wind)) => (wind, number("wind_height")?.unwrap_or(2.0)),
        (None, None) => (2.0, 2.0),
    };
    let soil_heat = match (number("G")?, number("T_before")?) {
        (Some(g), _) => g * MEGAJOULE_PER_DAY,
        (None, Some(before)) => monthly_soil_heat(before, needed("T_after")?),
        (None, None) => 0.0,
    };
    let day = needed("J")?;
    if !(1.0..=366.0).contains(&day) {
        return Err(format!("`J` is {day}; expected a day of the year, 1 to 366"));
    }
    let weather = Weather {
        latitude: needed("lat")?.to_radians(),
        elevation: number("z")?.unwrap_or(0.0),
        day: day as u16,
        highest: kelvin(needed("Tmax")?),
        lowest: kelvin(needed("Tmin")?),
        humidity,
        wind,
        wind_height,
        radiation,
        soil_heat,
    };
    let steps = reference(&weather).map_err(|e| e.to_string())?;
    let mj = |mean: f64| mean / MEGAJOULE_PER_DAY;
    Ok(Answer::new(json!({
        "eto_mm_per_day": steps.penman_monteith / MILLIMETRE_PER_DAY,
        "hargreaves_mm_per_day": steps.hargreaves / MILLIMETRE_PER_DAY,
        "P_kpa": steps.pressure / 1000.0,
        "gamma_kpa_per_c": steps.psychrometric / 1000.0,
        "delta_kpa_per_c": steps.slope / 1000.0,
        "es_kpa": steps.saturation / 1000.0,
        "ea_kpa": steps.vapour / 1000.0,
        "dr": steps.distance,
        "declination_rad": steps.declination,
        "sunset_hour_angle_rad": steps.sunset,
        "Ra_mj": mj(steps.outside),
        "N_hours": steps.daylight / 3600.0,
        "Rs_mj": mj(steps.solar),
        "Rso_mj": mj(steps.clear),
        "Rns_mj": mj(steps.net_shortwave),
        "Rnl_mj": mj(steps.net_longwave),
        "Rn_mj": mj(steps.net),
        "G_mj": mj(weather.soil_heat),
        "u2": steps.wind,
    })))
}
