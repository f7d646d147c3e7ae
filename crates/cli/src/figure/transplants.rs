//! Figure `transplants`.

use groundwright_yard::arrange::transplants::{Dug, Hole, assign_transplants};
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{
  "dug": [
    { "height": "0.9 m", "spread": "0.8 m", "condition": 0.9, "at": [12, 3] },
    { "height": "1.4 m", "spread": "1.2 m", "condition": 0.6, "flowering": true, "at": [4, 9] },
    { "height": "0.9 m", "spread": "0.9 m", "condition": 0.7, "at": [5, 9] }
  ],
  "holes": [
    { "at": [0, 0], "prominence": 0.2, "pair": 1 },
    { "at": [3, 0], "prominence": 0.2, "pair": 0 }
  ]
}"#;
pub(super) const HELP: &str =
    "Example:\n  groundwright figure transplants --example | groundwright figure transplants";

pub(super) fn figure(case: &Map<String, Value>) -> Result<Answer, String> {
    let dug: Result<Vec<Dug>, String> =
        list(case, "dug")?.iter().enumerate().map(|(i, d)| plant(i, d)).collect();
    let holes: Result<Vec<Hole>, String> =
        list(case, "holes")?.iter().enumerate().map(|(i, h)| hole(i, h)).collect();
    let (dug, holes) = (dug?, holes?);
    let assigned = assign_transplants(&dug, &holes).map_err(|e| e.to_string())?;
    let carried: f64 = assigned
        .plant_of
        .iter()
        .zip(&holes)
        .filter_map(|(plant, hole)| plant.map(|plant| dug[plant].at.distance(hole.at)))
        .sum();
    Ok(Answer::new(json!({
        "plant_of_hole": assigned.plant_of,
        "left_over": assigned.leftovers,
        "short": assigned.shortages,
        "carried_m": carried,
        "criteria": format!("{:?}", assigned.criteria),
    })))
}

fn list<'c>(case: &'c Map<String, Value>, key: &str) -> Result<Vec<&'c Map<String, Value>>, String> {
    let list = case
        .get(key)
        .and_then(Value::as_array)
        .ok_or_else(|| format!("`{key}` is missing; expected a list"))?;
    list.iter().map(|item| item.as_object().ok_or_else(|| format!("`{key}`: {item} is no object"))).collect()
}

fn plant(index: usize, item: &Map<String, Value>) -> Result<Dug, String> {
    let about = |problem: String| format!("dug plant {}: {problem}", index + 1);
    Ok(Dug {
        key: index as u64,
        height: case::required_length(item, "height").map_err(about)?,
        spread: case::required_length(item, "spread").map_err(about)?,
        condition: case::number(item, "condition").map_err(about)?.unwrap_or(0.6),
        flowering: case::flag(item, "flowering").map_err(about)?,
        interest: months(item, "interest").map_err(about)?,
        at: case::place("at", item.get("at").unwrap_or(&Value::Null)).map_err(about)?,
    })
}

fn hole(index: usize, item: &Map<String, Value>) -> Result<Hole, String> {
    let about = |problem: String| format!("hole {}: {problem}", index + 1);
    Ok(Hole {
        at: case::place("at", item.get("at").unwrap_or(&Value::Null)).map_err(about)?,
        wanted_height: case::length(item, "wanted_height").map_err(about)?,
        wanted_spread: case::length(item, "wanted_spread").map_err(about)?,
        prominence: case::number(item, "prominence").map_err(about)?.unwrap_or(0.0),
        wanted_interest: months(item, "wanted_interest").map_err(about)?,
        pair: match item.get("pair") {
            None | Some(Value::Null) => None,
            Some(value) => {
                let pair = value.as_u64().and_then(|pair| usize::try_from(pair).ok());
                Some(pair.ok_or_else(|| {
                    about(format!("`pair` is {value}; expected the index of a hole, from 0"))
                })?)
            }
        },
    })
}

/// Months by their numbers, 1 to 12.
fn months(item: &Map<String, Value>, key: &str) -> Result<[bool; 12], String> {
    let mut months = [false; 12];
    for value in item.get(key).and_then(Value::as_array).into_iter().flatten() {
        match value.as_u64().filter(|month| (1..=12).contains(month)) {
            Some(month) => months[month as usize - 1] = true,
            None => return Err(format!("`{key}`: {value} is no month; expected 1 to 12")),
        }
    }
    Ok(months)
}
