//! Figure `budget`: yearly allowance and estimated use of water.

use groundwright_units::constants::GALLON;
use groundwright_water::{
    BudgetZone, DRIP_EFFICIENCY, RESIDENTIAL_2015, SPRAY_EFFICIENCY, allowance, budget,
};
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{ "eto": "52.3 in", "factor": 0.55, "zones": [
  { "name": "lawn", "plant_factor": 0.8, "method": "overhead", "area": "600 sq ft" },
  { "name": "shrubs", "plant_factor": 0.5, "method": "drip", "area": "1100 sq ft" },
  { "name": "herbs", "plant_factor": 0.9, "efficiency": 0.81, "area": "100 sq ft", "special": true }] }"#;
pub(super) const HELP: &str = "Example:\n  echo '{ \"eto\": \"51.1 in\", \"factor\": 0.7, \"area\": \"50000 sq ft\" }' | groundwright figure budget\n\nThe local ordinance decides which factor and which year of the rule hold.";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let reference = case::required_length(case, "eto")?;
    let factor = case::share(case, "factor")?.unwrap_or(RESIDENTIAL_2015);
    let Some(rows) = case.get("zones") else {
        let area =
            case::area(case, "area")?.ok_or("`zones` are missing, or `area` for the allowance alone")?;
        let special = case::area(case, "special_area")?.unwrap_or(0.0);
        let volume = allowance(reference, factor, area, special).map_err(|problem| problem.to_string())?;
        return Ok(Answer::new(json!({ "MAWA_gal": volume / GALLON, "MAWA_m3": volume })));
    };
    let rows = rows.as_array().ok_or("`zones` is no list")?;
    let mut zones = Vec::new();
    for (i, row) in rows.iter().enumerate() {
        let at = |problem: String| format!("zone {}: {problem}", i + 1);
        let row = row.as_object().ok_or_else(|| at("expected an object".to_owned()))?;
        zones.push(zone(row).map_err(at)?);
    }
    let ours = budget(reference, factor, &zones).map_err(|problem| problem.to_string())?;
    let by_zone: Vec<Value> = zones
        .iter()
        .zip(ours.factors.iter().zip(&ours.use_by_zone))
        .map(|(zone, (factor, volume))| {
            json!({ "name": zone.name, "ETAF": factor, "ETWU_gal": volume / GALLON, "ETWU_m3": volume })
        })
        .collect();
    Ok(Answer::new(json!({
        "MAWA_gal": ours.allowance / GALLON,
        "ETWU_gal": ours.use_total / GALLON,
        "ETWU_CCF": ours.use_total / GALLON / 748.0,
        "average_ETAF": ours.average_factor,
        "passes": ours.passes,
        "zones": by_zone,
        "MAWA_m3": ours.allowance,
        "ETWU_m3": ours.use_total,
    })))
}

fn zone(row: &Case) -> Result<BudgetZone, String> {
    let efficiency = match (case::share(row, "efficiency")?, case::text(row, "method")?) {
        (Some(share), _) => share,
        (None, Some("overhead" | "spray")) => SPRAY_EFFICIENCY,
        (None, Some("drip")) => DRIP_EFFICIENCY,
        (None, other) => {
            return Err(format!("`method` is {other:?}; expected overhead or drip, or an `efficiency`"));
        }
    };
    Ok(BudgetZone {
        name: case::text(row, "name")?.unwrap_or_default().to_owned(),
        plant_factor: case::share(row, "plant_factor")?
            .ok_or("`plant_factor` is missing; expected a share")?,
        efficiency,
        area: case::area(row, "area")?.ok_or("`area` is missing; expected an area")?,
        special: case::flag(row, "special")?,
    })
}
