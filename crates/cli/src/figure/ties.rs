//! Figure `ties`: two tapes to a point, station and offset, and the best pair of references.

use groundwright_geometry::Point;
use groundwright_survey::TapeAccuracy;
use groundwright_survey::setting_out::{BaseLine, Mark, best_ties, ties};
use groundwright_survey::two_tapes;
use serde_json::{Map, Value, json};

use super::tape::{option, round};
use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{
  "references": { "corner": [0, 0], "post": [12, 1], "meter": [3, 9] },
  "points": [{ "name": "maple", "at": [5, 6] }]
}"#;
pub(super) const HELP: &str = "Example:\n  groundwright figure ties --example | groundwright figure ties";

/// Reach of a tape where the case gives none. [m]
const TAPE: f64 = 30.0;

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    if case.contains_key("da") {
        return trilateration(case).map(Answer::new);
    }
    if case.contains_key("start") {
        return baseline(case).map(Answer::new);
    }
    if case.contains_key("references") {
        return best(case).map(Answer::new);
    }
    // The whole file of cases goes in as well as one case alone.
    let mut result = Map::new();
    if let Some(Value::Array(cases)) = case.get("trilateration") {
        let answers: Result<Vec<Value>, String> = cases.iter().map(|c| trilateration(object(c)?)).collect();
        result.insert("trilateration".to_owned(), Value::Array(answers?));
    }
    if let Some(inner) = case.get("baseline_setout") {
        result.insert("baseline_setout".to_owned(), baseline(object(inner)?)?);
    }
    if result.is_empty() {
        return Err("expected `A`, `B`, `da`, `db`; or `start`, `end`, `points`; or `references`, `points`"
            .to_owned());
    }
    Ok(Answer::new(Value::Object(result)))
}

fn object(value: &Value) -> Result<&Case, String> {
    value.as_object().ok_or_else(|| format!("{value} is no object"))
}

fn place(case: &Case, key: &str) -> Result<Point, String> {
    case::place(key, case.get(key).unwrap_or(&Value::Null))
}

fn trilateration(case: &Case) -> Result<Value, String> {
    let found = two_tapes(
        place(case, "A")?,
        place(case, "B")?,
        case::required_length(case, "da")?,
        case::required_length(case, "db")?,
    )
    .map_err(|e| e.to_string())?;
    let xy = |at: Option<Point>| at.map_or(Value::Null, |at| json!([round(at.x), round(at.y)]));
    let mut answer = json!({ "u": round(found.along), "v": option(found.across) });
    if found.across.is_some() {
        answer["left"] = xy(found.left);
        answer["right"] = xy(found.right);
        answer["intersection_angle_deg"] = option(found.crossing.map(f64::to_degrees));
    } else {
        answer["gap_outside"] = round(found.gap_outside);
        answer["gap_inside"] = round(found.gap_inside);
        answer["finding"] = json!("the tapes do not meet: take both again");
    }
    Ok(answer)
}

fn baseline(case: &Case) -> Result<Value, String> {
    let (start, end) = (place(case, "start")?, place(case, "end")?);
    let line = BaseLine::new(start, end).map_err(|e| e.to_string())?;
    let mark = |name: &str, at| Mark { name: name.to_owned(), at, cofactors: [0.0; 3] };
    let ends = [mark("start", start), mark("end", end)];
    let list = case.get("points").and_then(Value::as_array).ok_or("`points` is missing; expected a list")?;
    let points = list.iter().map(|item| {
        let item = object(item)?;
        let (station, offset, at) = if item.contains_key("station") {
            let station = case::required_length(item, "station")?;
            let offset = case::length(item, "offset_left")?.unwrap_or(0.0);
            (station, offset, line.place(station, offset))
        } else {
            let at = place(item, "at")?;
            let (station, offset) = line.station_and_offset(at);
            (station, offset, at)
        };
        let tied = ties(at, &ends, 0, 1, TapeAccuracy::USUAL);
        let mut answer = json!({
            "station": round(station), "offset_left": round(offset),
            "x": round(at.x), "y": round(at.y),
            "tie_from_start": round((at - start).hypot()),
            "tie_from_end": round((at - end).hypot()),
            "intersection_angle_deg": option(tied.as_ref().map(|t| t.crossing.to_degrees())),
        });
        answer["finding"] = match tied {
            Some(ties) if !ties.weak() => Value::Null,
            _ => json!("weak: the tapes cross too flat; use station and offset, or another reference"),
        };
        Ok(answer)
    });
    let points: Result<Vec<Value>, String> = points.collect();
    Ok(json!({ "baseline_length": round(line.length()), "points": points? }))
}

fn best(case: &Case) -> Result<Value, String> {
    let known = case.get("references").map_or(Err("`references` is missing".to_owned()), object)?;
    let references: Result<Vec<Mark>, String> = known
        .iter()
        .map(|(name, at)| Ok(Mark { name: name.clone(), at: case::place(name, at)?, cofactors: [0.0; 3] }))
        .collect();
    let references = references?;
    let longest = case::length(case, "tape")?.unwrap_or(TAPE);
    let list = case.get("points").and_then(Value::as_array).ok_or("`points` is missing; expected a list")?;
    let points = list.iter().map(|item| {
        let item = object(item)?;
        let at = place(item, "at")?;
        let ties = best_ties(at, &references, TapeAccuracy::USUAL, longest).map_err(|e| e.to_string())?;
        Ok(json!({
            "name": item.get("name"),
            "from": [references[ties.first].name, references[ties.second].name],
            "lengths_m": ties.lengths.map(round),
            "intersection_angle_deg": round(ties.crossing.to_degrees()),
            "side": if ties.left { "left" } else { "right" },
            "sigma_major_m": round(ties.accuracy.major),
            "sigma_minor_m": round(ties.accuracy.minor),
            "weak": ties.weak(),
        }))
    });
    let points: Result<Vec<Value>, String> = points.collect();
    Ok(json!({ "points": points? }))
}
