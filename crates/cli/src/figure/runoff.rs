//! Figure `runoff`: peak flow, storm runoff, soil intake, storage.

use groundwright_ground::{
    DryWell, RainGarden, Store, Texture, TimedHole, composite, dry_well, dry_well_depth, of_parts,
    of_timed_hole, peak_flow, rain_garden, retention, runoff_depth, weighted_number,
};
use groundwright_units::constants::{CUBIC_FOOT, GALLON, GALLON_PER_MINUTE, HOUR, INCH};
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{
  "intensity": "4 in/h",
  "parts": [
    { "what": "roof", "area": "1800 sq ft", "coefficient": 0.9 },
    { "what": "lawn", "area": "5200 sq ft", "coefficient": 0.25 }
  ]
}"#;
pub(super) const HELP: &str = "Example:\n  echo '{ \"rain\": \"2.5 in\", \"curve_number\": 98, \"area\": \"1500 sq ft\" }' | groundwright figure runoff";

type Case = Map<String, Value>;

fn told<T, E: std::fmt::Display>(result: Result<T, E>) -> Result<T, String> {
    result.map_err(|e| e.to_string())
}

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let mut result = Map::new();
    if case.contains_key("intensity") {
        rational(case, &mut result)?;
    }
    if case.contains_key("rain") {
        curve_number(case, &mut result)?;
    }
    if let Some(Value::Object(hole)) = case.get("timed_hole") {
        let hole = TimedHole {
            diameter: case::required_length(hole, "diameter")?,
            start: case::required_length(hole, "start")?,
            end: case::required_length(hole, "end")?,
            time: case::required_time(hole, "time")?,
        };
        intake_of(told(of_timed_hole(hole))?, &mut result);
    } else if let Some(name) = case::text(case, "texture")? {
        let known = Texture::ALL.iter().find(|(_, known)| *known == name);
        let names: Vec<&str> = Texture::ALL.iter().map(|(_, name)| *name).collect();
        let (texture, _) =
            known.ok_or_else(|| format!("`texture` is `{name}`; expected {}", names.join(", ")))?;
        intake_of(texture.intake(), &mut result);
    }
    if case.contains_key("dry_well") || case.contains_key("rain_garden") {
        storage(case, &mut result)?;
    }
    if result.is_empty() {
        return Err(
            "expected `intensity` (Rational method), `rain` (curve number), `timed_hole` or `texture` \
                    (soil intake), `dry_well` or `rain_garden` (storage)"
                .to_owned(),
        );
    }
    Ok(Answer::new(Value::Object(result)))
}

fn intake_of(intake: f64, result: &mut Case) {
    result.insert("intake_m_per_s".to_owned(), json!(intake));
    result.insert("intake_in_per_h".to_owned(), json!(intake * HOUR / INCH));
}

/// Areas with a number each: of the case itself, or of its parts.
fn parts(case: &Case, key: &str) -> Result<Vec<(f64, f64)>, String> {
    let one = |part: &Case, area: Option<f64>| {
        let number =
            case::number(part, key)?.ok_or_else(|| format!("`{key}` is missing; expected a number"))?;
        area.map(|area| (area, number))
            .ok_or_else(|| "`area` is missing; expected one such as \"2000 sq ft\"".to_owned())
    };
    match case.get("parts") {
        None => one(case, case::area(case, "area")?.or(Some(1.0))).map(|part| vec![part]),
        Some(Value::Array(list)) => list
            .iter()
            .map(|part| part.as_object().ok_or_else(|| format!("{part} is no part; expected an object")))
            .map(|part| part.and_then(|part| one(part, case::area(part, "area")?)))
            .collect(),
        Some(other) => Err(format!("`parts` is {other}; expected a list")),
    }
}

fn rational(case: &Case, result: &mut Case) -> Result<(), String> {
    let intensity = case::speed(case, "intensity")?.unwrap_or(f64::NAN);
    if !case.contains_key("parts") && !case.contains_key("area") {
        return Err("`area` is missing; expected one such as \"2000 sq ft\"".to_owned());
    }
    let parts = parts(case, "coefficient")?;
    let coefficient = told(composite(&parts))?;
    let area: f64 = parts.iter().map(|(area, _)| area).sum();
    let flow = told(peak_flow(coefficient, intensity, area))?;
    let mut put = |key: &str, value: f64| result.insert(key.to_owned(), json!(value));
    put("coefficient", coefficient);
    put("area_m2", area);
    put("peak_flow_m3_per_s", flow);
    put("peak_flow_cfs", flow / CUBIC_FOOT);
    put("peak_flow_gpm", flow / GALLON_PER_MINUTE);
    Ok(())
}

fn curve_number(case: &Case, result: &mut Case) -> Result<(), String> {
    let rain = case::required_length(case, "rain")?;
    let parts = parts(case, "curve_number")?;
    let number = told(weighted_number(&parts))?;
    let depth = told(runoff_depth(rain, number))?;
    let by_parts = told(of_parts(rain, &parts))?;
    let mut put = |key: &str, value: f64| result.insert(key.to_owned(), json!(value));
    put("curve_number", number);
    put("retention_in", told(retention(number))? / INCH);
    put("runoff_m", depth);
    put("runoff_in", depth / INCH);
    put("runoff_by_parts_m", by_parts);
    put("runoff_by_parts_in", by_parts / INCH);
    if case.contains_key("area") || case.contains_key("parts") {
        let area: f64 = parts.iter().map(|(area, _)| area).sum();
        put("volume_m3", by_parts * area);
        put("volume_cu_ft", by_parts * area / CUBIC_FOOT);
        put("volume_gal", by_parts * area / GALLON);
    }
    Ok(())
}

fn storage(case: &Case, result: &mut Case) -> Result<(), String> {
    let inflow = match (case.get("inflow"), result.get("volume_m3").and_then(Value::as_f64)) {
        (Some(value), _) => case::volume("inflow", value)?,
        (None, Some(volume)) => volume,
        (None, None) => return Err("`inflow` is missing; expected a volume such as \"120 cu ft\"".to_owned()),
    };
    let known = result.get("intake_m_per_s").and_then(Value::as_f64);
    let intake = case::speed(case, "intake")?
        .or(known)
        .ok_or("`intake` is missing; expected one such as \"0.5 in/h\"")?;
    let duration = case::required_time(case, "duration")?;
    if let Some(Value::Object(form)) = case.get("dry_well") {
        let diameter = case::required_length(form, "diameter")?;
        let voids = case::share(form, "voids")?.unwrap_or(0.4);
        let depth = match case::length(form, "depth")? {
            Some(depth) => depth,
            None => told(dry_well_depth(diameter, voids, inflow, intake, duration))?,
        };
        result.insert("depth_m".to_owned(), json!(depth));
        let well = DryWell { diameter, depth, voids };
        stored(&told(dry_well(well, inflow, intake, duration))?, result);
    }
    if let Some(Value::Object(form)) = case.get("rain_garden") {
        let bottom = case::area(form, "bottom")?.ok_or("`bottom` is missing; expected an area")?;
        let garden = RainGarden {
            bottom,
            top: case::area(form, "top")?.unwrap_or(bottom),
            ponding: case::required_length(form, "ponding")?,
            soil: case::length(form, "soil")?.unwrap_or(0.0),
            voids: case::share(form, "voids")?.unwrap_or(0.2),
        };
        stored(&told(rain_garden(garden, inflow, intake, duration))?, result);
    }
    Ok(())
}

fn stored(store: &Store, result: &mut Case) {
    let mut put = |key: &str, value: Value| result.insert(key.to_owned(), value);
    put("inflow_m3", json!(store.inflow));
    put("soaked_m3", json!(store.soaked));
    put("held_m3", json!(store.held));
    put("holds_m3", json!(store.holds));
    put("enough", json!(store.holds >= store.held));
    // Where nothing soaks in it never empties, and JSON has no infinity.
    put("empties_h", if store.empties.is_finite() { json!(store.empties / HOUR) } else { Value::Null });
}
