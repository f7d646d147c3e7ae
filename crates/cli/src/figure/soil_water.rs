//! Figure `soil-water`: the daily balance of a root zone.

use groundwright_units::constants::MILLIMETRE;
use groundwright_water::{Day, RootZone, soil_water};
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{ "field_capacity": 0.32, "wilting_point": 0.12, "depth": "0.8 m", "p": 0.4,
  "depletion": "55 mm", "fixed_p": true,
  "days": [{ "eto": "5 mm", "kc": 1.2 }, { "eto": "5 mm", "kc": 1.2, "rain": "10 mm" }] }"#;
pub(super) const HELP: &str =
    "A day has `eto` and `kc`, and may have `rain`, `runoff` and `irrigation` (net), all depths.";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let needed = |key: &str| {
        case::share(case, key)?.ok_or_else(|| format!("`{key}` is missing; expected a share such as 0.32"))
    };
    let zone = RootZone {
        field_capacity: needed("field_capacity")?,
        wilting_point: needed("wilting_point")?,
        depth: case::required_length(case, "depth")?,
        easy_share: needed("p")?,
    };
    let depletion = case::length(case, "depletion")?.unwrap_or(0.0);
    let rows = case.get("days").and_then(Value::as_array).ok_or("`days` is missing; expected a list")?;
    let mut days = Vec::new();
    for (i, row) in rows.iter().enumerate() {
        let at = |problem: String| format!("day {}: {problem}", i + 1);
        let row = row.as_object().ok_or_else(|| at("expected an object".to_owned()))?;
        days.push(day(row).map_err(at)?);
    }
    let adjusted = !case::flag(case, "fixed_p")?;
    let ours = soil_water(zone, depletion, &days, adjusted).map_err(|problem| problem.to_string())?;
    let ends: Vec<Value> = ours
        .days
        .iter()
        .map(|end| {
            json!({
                "depletion_start_mm": end.depletion_start / MILLIMETRE,
                "p": end.easy_share,
                "RAW_mm": end.readily_available / MILLIMETRE,
                "Ks": end.stress,
                "ETc_mm": end.unstressed / MILLIMETRE,
                "ETc_adj_mm": end.evapotranspiration / MILLIMETRE,
                "percolation_mm": end.percolation / MILLIMETRE,
                "depletion_end_mm": end.depletion / MILLIMETRE,
            })
        })
        .collect();
    Ok(Answer::new(json!({
        "TAW_mm": ours.available / MILLIMETRE,
        "days": ends,
        "inflow_m": ours.inflow,
        "evapotranspiration_m": ours.evapotranspiration,
        "percolation_m": ours.percolation,
        "left_open_m": ours.open,
    })))
}

fn day(row: &Case) -> Result<Day, String> {
    let depth = |key: &str| case::length(row, key).map(|depth| depth.unwrap_or(0.0));
    Ok(Day {
        reference: case::required_length(row, "eto")?,
        plant_factor: case::number(row, "kc")?.ok_or("`kc` is missing; expected a number")?,
        rain: depth("rain")?,
        runoff: depth("runoff")?,
        irrigation: depth("irrigation")?,
    })
}
