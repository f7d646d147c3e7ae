//! Figure `sun`: where the sun stands, and the light of a clear sky.

use groundwright_sun::clear_sky::{haurwitz, ineichen, pressure_at, relative_air_mass};
use groundwright_sun::events::seconds;
use groundwright_sun::spa::{DELTA_T, Observer, geocentric, julian_day, position};
use jiff::Timestamp;
use jiff::civil::DateTime;
use jiff::tz::TimeZone;
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{ "lat": 39.742476, "lon": -105.1786, "alt_m": 1830.14, "utc": "2003-10-17 19:30:30", "pressure_pa": 82000, "temp_c": 11, "delta_t_s": 67 }"#;
pub(super) const HELP: &str = r#"Keys of a case; numbers may also be texts, so that rows of a table can be given:
  lat, lon          degrees, north and east positive
  utc               "2003-10-17 19:30:30", or an instant with its offset
  alt_m             height above the sea [m]; 0 if left out
  pressure_pa, temp_c   air, for the refraction; standard air of that height and 12 °C if left out
  delta_t_s         terrestrial less universal time; 69 s if left out
  tilt_deg, aspect_deg  a slope, and the way it faces, westward from south: adds the angle of incidence
  linke_turbidity   adds the light of a clear sky
or, without a time: apparent_zenith_deg, linke_turbidity, altitude_m and pressure_pa for that light alone.
Result: zenith_geometric, zenith_apparent, azimuth_from_north [degrees], equation_of_time_min, and the
steps of the algorithm; ghi, dni, dhi, haurwitz_ghi [W/m²].
Example:
  groundwright figure sun --example | groundwright figure sun"#;

pub(super) fn figure(of: &Map<String, Value>) -> Result<Answer, String> {
    if of.contains_key("apparent_zenith_deg") {
        let zenith = case::needed_decimal(of, "apparent_zenith_deg")?.to_radians();
        let elevation = case::decimal(of, "altitude_m")?.unwrap_or(0.0);
        let pressure = case::decimal(of, "pressure_pa")?.unwrap_or_else(|| pressure_at(elevation));
        return Ok(Answer::new(light(
            zenith,
            case::needed_decimal(of, "linke_turbidity")?,
            elevation,
            pressure,
        )?));
    }
    let observer = observer(of)?;
    let day = julian_day(seconds(instant(of, "utc")?));
    let delta_t = case::decimal(of, "delta_t_s")?.unwrap_or(DELTA_T);
    let (sun, seen) = (geocentric(day, delta_t), position(&observer, day, delta_t));
    let mut result = json!({
        "zenith_geometric": seen.zenith.to_degrees(),
        "zenith_apparent": seen.apparent_zenith.to_degrees(),
        "elevation_geometric": seen.elevation().to_degrees(),
        "azimuth_from_north": seen.azimuth.to_degrees(),
        "equation_of_time_min": sun.equation_of_time / 60.0,
        "julian_day": day,
        "heliocentric_longitude": sun.longitude.to_degrees(),
        "distance_au": sun.distance,
        "nutation_in_longitude": sun.nutation_longitude.to_degrees(),
        "nutation_in_obliquity": sun.nutation_obliquity.to_degrees(),
        "obliquity": sun.obliquity.to_degrees(),
        "hour_angle": seen.hour_angle.to_degrees(),
        "declination": sun.declination.to_degrees(),
    });
    if let Some(tilt) = case::decimal(of, "tilt_deg")? {
        let aspect = case::decimal(of, "aspect_deg")?.unwrap_or(0.0);
        result["incidence"] = json!(seen.incidence(tilt.to_radians(), aspect.to_radians()).to_degrees());
    }
    if let Some(turbidity) = case::decimal(of, "linke_turbidity")? {
        let more = light(seen.apparent_zenith, turbidity, observer.elevation, observer.pressure)?;
        for (key, value) in more.as_object().into_iter().flatten() {
            result[key.as_str()] = value.clone();
        }
    }
    Ok(Answer::new(result))
}

fn light(zenith: f64, turbidity: f64, elevation: f64, pressure: f64) -> Result<Value, String> {
    for (what, value, low, high) in [
        ("linke_turbidity", turbidity, 1.0, 15.0),
        ("apparent_zenith_deg", zenith.to_degrees(), 0.0, 180.0),
        ("altitude_m", elevation, -500.0, 9000.0),
        ("pressure_pa", pressure, 20_000.0, 110_000.0),
    ] {
        if !(low..=high).contains(&value) {
            return Err(format!("`{what}` is {value}; expected {low} to {high}"));
        }
    }
    let light = ineichen(zenith, turbidity, elevation, pressure);
    let air = relative_air_mass(zenith);
    Ok(json!({
        "airmass_rel": air,
        "airmass_abs": air.map(|air| air * pressure / 101_325.0),
        "ghi": light.global,
        "dni": light.direct_normal,
        "dhi": light.diffuse,
        "haurwitz_ghi": haurwitz(zenith),
    }))
}

/// Latitude, longitude, height, air.
pub(super) fn observer(of: &Map<String, Value>) -> Result<Observer, String> {
    let (lat, lon) = (case::needed_decimal(of, "lat")?, case::needed_decimal(of, "lon")?);
    let usual = Observer::new(lat.to_radians(), lon.to_radians(), case::decimal(of, "alt_m")?.unwrap_or(0.0));
    let observer = Observer {
        pressure: case::decimal(of, "pressure_pa")?.unwrap_or(usual.pressure),
        temperature: case::decimal(of, "temp_c")?.map_or(usual.temperature, |celsius| celsius + 273.15),
        ..usual
    };
    observer.checked().map_err(|e| e.to_string())
}

/// An instant: with its offset, or in UTC without one.
fn instant(of: &Map<String, Value>, key: &str) -> Result<Timestamp, String> {
    let text = case::text(of, key)?
        .ok_or_else(|| format!("`{key}` is missing; expected a time such as \"2003-10-17 19:30:30\""))?;
    if let Ok(at) = text.parse::<Timestamp>() {
        return Ok(at);
    }
    let wrong = || format!("`{key}` is \"{text}\"; expected a time such as \"2003-10-17 19:30:30\"");
    let at: DateTime = text.parse().map_err(|_| wrong())?;
    Ok(at.to_zoned_datetime(TimeZone::UTC).map_err(|_| wrong())?.timestamp())
}
