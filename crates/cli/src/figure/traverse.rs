//! Figure `traverse`: legs balanced by the compass rule.

use groundwright_geometry::{Point, Vec2};
use groundwright_survey::traverse::{Leg, balance};
use groundwright_units::{AngleUnit, parse_angle};
use serde_json::{Map, Value, json};

use super::tape::round;
use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{
  "start": { "n": 500, "e": 2000 },
  "legs": [
    { "length": 472.68, "lat": -176.357, "dep": -438.548 },
    { "length": 216.13, "lat": 203.395, "dep": -73.093 },
    { "length": 276.52, "lat": 192.357, "dep": 198.651 },
    { "length": 382.24, "lat": -219.312, "dep": 313.065 }
  ]
}"#;
pub(super) const HELP: &str =
    "Example:\n  groundwright figure traverse --example | groundwright figure traverse";

pub(super) fn figure(case: &Map<String, Value>) -> Result<Answer, String> {
    let start = corner(case, "start")?.unwrap_or(Point::ORIGIN);
    let end = corner(case, "end")?;
    let list = case.get("legs").and_then(Value::as_array).ok_or("`legs` is missing; expected a list")?;
    let legs: Result<Vec<Leg>, String> = list
        .iter()
        .enumerate()
        .map(|(i, item)| leg(item).map_err(|problem| format!("leg {}: {problem}", i + 1)))
        .collect();
    let traverse = balance(start, end, &legs?).map_err(|e| e.to_string())?;
    let one_in = traverse.one_in();
    let legs: Vec<Value> = traverse
        .legs
        .iter()
        .map(|leg| {
            json!({
                "lat_balanced": round(leg.run.y), "dep_balanced": round(leg.run.x),
                "new_length": round(leg.length),
                "azimuth_deg": round(leg.bearing.to_degrees()),
                "to": { "n": round(leg.to.y), "e": round(leg.to.x) },
            })
        })
        .collect();
    let finding = traverse.poor().then(|| {
        format!("the traverse closes to 1 in {one_in:.0} only: look for a bad leg before building on it")
    });
    Ok(Answer::new(json!({
        "misclosure_n": round(traverse.misclosure.y),
        "misclosure_e": round(traverse.misclosure.x),
        "misclosure": round(traverse.gap()),
        "length": round(traverse.length),
        "one_in": if one_in.is_finite() { round(one_in) } else { Value::Null },
        "legs": legs,
        "area": traverse.area.map(round),
        "finding": finding,
    })))
}

/// A corner as `{ "n": …, "e": … }`.
fn corner(case: &Map<String, Value>, key: &str) -> Result<Option<Point>, String> {
    let Some(value) = case.get(key) else { return Ok(None) };
    let corner = value.as_object().ok_or_else(|| format!("`{key}` is {value}; expected {{ n, e }}"))?;
    Ok(Some(Point::new(case::required_length(corner, "e")?, case::required_length(corner, "n")?)))
}

fn leg(item: &Value) -> Result<Leg, String> {
    let item = item.as_object().ok_or_else(|| format!("{item} is no object"))?;
    let length = case::required_length(item, "length")?;
    if item.contains_key("lat") {
        let run = Vec2::new(case::required_length(item, "dep")?, case::required_length(item, "lat")?);
        return Ok(Leg { length, run });
    }
    let azimuth = match item.get("azimuth") {
        Some(Value::String(text)) => parse_angle(text, Some(AngleUnit::Degree))
            .map(|a| a.value.radians())
            .map_err(|e| e.to_string())?,
        Some(value) => value.as_f64().ok_or("`azimuth` is no number of degrees")?.to_radians(),
        None => {
            return Err("expected `lat` and `dep`, or `azimuth` in degrees clockwise from north".to_owned());
        }
    };
    Ok(Leg::from_bearing(length, azimuth))
}
