//! Figure `critical-path`: early and late dates, floats and the critical path of a network.

use groundwright_schedule::{Activity, Link, LinkKind, critical_path};
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{ "activities": {
    "wall": { "duration": 4, "predecessors": [] },
    "backfill": { "duration": 1, "predecessors": ["wall"] },
    "plant": { "duration": 3, "predecessors": [{ "after": "backfill", "link": "SS", "lag": 1 }] } } }"#;
pub(super) const HELP: &str =
    "A predecessor is a name (it finishes before this one starts), or { \"after\", \"link\", \"lag\" } with
link FS, SS, FF or SF and a lag in periods, below zero for an overlap. Result: project_duration;
result with ES, EF, LS, LF, TF (total float), FF (free float) of each activity; critical.
A case may also be a collection of named networks.
Example:
  groundwright figure critical-path --example | groundwright figure critical-path";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    if case.contains_key("activities") {
        return one(case).map(Answer::new);
    }
    let mut results = Map::new();
    for (name, network) in case {
        let Some(network) = network.as_object().filter(|network| network.contains_key("activities")) else {
            continue;
        };
        results.insert(name.clone(), one(network).map_err(|problem| format!("`{name}`: {problem}"))?);
    }
    if results.is_empty() {
        return Err(
            "expected `activities`: { \"A\": { \"duration\": 6, \"predecessors\": [] }, … }".to_owned()
        );
    }
    Ok(Answer::new(Value::Object(results)))
}

fn one(case: &Case) -> Result<Value, String> {
    let rows = case.get("activities").and_then(Value::as_object).ok_or("`activities` is no object")?;
    let names: Vec<&String> = rows.keys().collect();
    let mut activities = Vec::new();
    let mut links = Vec::new();
    for (after, (name, row)) in rows.iter().enumerate() {
        let row = row.as_object().ok_or_else(|| format!("activity `{name}` is no object"))?;
        let duration = row.get("duration").and_then(Value::as_i64);
        let duration = duration
            .ok_or_else(|| format!("activity `{name}`: `duration` is missing; expected whole periods"))?;
        activities.push(Activity { name: name.clone(), duration });
        let predecessors = match row.get("predecessors") {
            None => &[][..],
            Some(Value::Array(list)) => list,
            Some(other) => {
                return Err(format!("activity `{name}`: `predecessors` is {other}; expected a list"));
            }
        };
        for predecessor in predecessors {
            let link = link(predecessor, after, &names);
            links.push(link.map_err(|problem| format!("activity `{name}`: {problem}"))?);
        }
    }
    let found = critical_path(&activities, &links).map_err(|problem| problem.to_string())?;
    let dates: Case = found
        .dates
        .iter()
        .zip(&names)
        .map(|(d, name)| {
            let row = json!({ "ES": d.early_start, "EF": d.early_finish, "LS": d.late_start,
                "LF": d.late_finish, "TF": d.total_float, "FF": d.free_float });
            ((*name).clone(), row)
        })
        .collect();
    let critical: Vec<&String> = found.critical.iter().map(|i| names[*i]).collect();
    Ok(json!({ "project_duration": found.duration, "result": dates, "critical": critical }))
}

fn link(predecessor: &Value, after: usize, names: &[&String]) -> Result<Link, String> {
    let (name, kind, lag) = match predecessor {
        Value::String(name) => (name.as_str(), LinkKind::FinishStart, 0),
        Value::Object(row) => {
            let name = case::text(row, "after")?.ok_or("a predecessor has no `after`")?;
            let kind = match case::text(row, "link")?.unwrap_or("FS") {
                "FS" => LinkKind::FinishStart,
                "SS" => LinkKind::StartStart,
                "FF" => LinkKind::FinishFinish,
                "SF" => LinkKind::StartFinish,
                other => return Err(format!("`link` is `{other}`; expected FS, SS, FF or SF")),
            };
            let lag = row.get("lag").map_or(Some(0), Value::as_i64);
            (name, kind, lag.ok_or("`lag` is not a whole number of periods")?)
        }
        other => return Err(format!("predecessor {other} is neither a name nor an object")),
    };
    let before = names.iter().position(|other| *other == name);
    let before = before.ok_or_else(|| format!("predecessor `{name}` is not among the activities"))?;
    Ok(Link { before, after, kind, lag })
}
