//! Figure `levels`: rod readings and height differences adjusted.

use groundwright_survey::levelling::{LevelObserved, LevelReading, Levels, accuracy, snoop_levels};
use serde_json::{Map, Value, json};

use super::tape::{option, round};
use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{
  "held": { "sill": "100 ft" },
  "readings": [
    { "setup": "1", "rod": "sill", "reading": "4.25'" },
    { "setup": "1", "rod": "walk", "reading": "5.10'" },
    { "from": "walk", "to": "gate", "rise": "-0.62'" },
    { "setup": "2", "rod": "gate", "reading": "3.70'" },
    { "setup": "2", "rod": "sill", "reading": "2.24'" }
  ]
}"#;
pub(super) const HELP: &str = "Example:\n  groundwright figure levels --example | groundwright figure levels";

pub(super) fn figure(case: &Map<String, Value>) -> Result<Answer, String> {
    let mut levels = Levels::default();
    if let Some(held) = case.get("held") {
        let held = held.as_object().ok_or("`held` is no object; expected heights by point")?;
        for (name, height) in held {
            levels.held.insert(name.clone(), case::length_value(name, height)?);
        }
    }
    let list = case.get("readings").and_then(Value::as_array);
    for (i, item) in list.ok_or("`readings` is missing; expected a list")?.iter().enumerate() {
        let about = |problem: String| format!("reading {}: {problem}", i + 1);
        let item = item.as_object().ok_or_else(|| about(format!("{item} is no object")))?;
        levels.readings.push(reading(item).map_err(about)?);
    }
    let levelled = snoop_levels(&levels).map_err(|e| e.to_string())?;
    let heights: Map<String, Value> = levelled
        .heights
        .iter()
        .map(|(name, level)| {
            (name.clone(), json!({ "height_m": round(level.height), "sigma_m": round(level.sigma) }))
        })
        .collect();
    let readings: Vec<Value> = levelled
        .readings
        .iter()
        .map(|r| {
            json!({
                "adjusted_m": round(r.adjusted), "residual_m": round(r.residual),
                "redundancy": round(r.redundancy), "w": option(r.standardised), "used": r.used,
            })
        })
        .collect();
    let suspects: Vec<Value> =
        levelled.suspects.iter().map(|s| json!({ "index": s.reading, "w": round(s.standardised) })).collect();
    Ok(Answer::new(json!({
        "heights": heights,
        "readings": readings,
        "dof": levelled.freedom,
        "vPv": round(levelled.weighted_sum),
        "variance_factor": option(levelled.variance_factor()),
        "datum": levelled.datum,
        "undetermined": levelled.undetermined,
        "suspects": suspects,
    })))
}

fn reading(item: &Map<String, Value>) -> Result<LevelReading, String> {
    let name = |key: &str| -> Result<String, String> {
        Ok(case::text(item, key)?.ok_or_else(|| format!("`{key}` is missing; expected a name"))?.to_owned())
    };
    let (observed, value, usual) = if item.contains_key("setup") {
        let observed = LevelObserved::Rod { setup: name("setup")?, point: name("rod")? };
        (observed, case::required_length(item, "reading")?, accuracy::ROD)
    } else {
        let observed = LevelObserved::Difference { from: name("from")?, to: name("to")? };
        (observed, case::required_length(item, "rise")?, accuracy::BY_HAND)
    };
    let sigma = match (case::length(item, "sigma")?, case::number(item, "weight")?) {
        (Some(sigma), None) => sigma,
        (None, Some(weight)) => 1.0 / weight.sqrt(),
        (None, None) => usual,
        (Some(_), Some(_)) => return Err("expected `sigma` or `weight`, and not both".to_owned()),
    };
    Ok(LevelReading { observed, value, sigma, booked: None })
}
