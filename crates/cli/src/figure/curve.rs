//! Figure `curve`: chords and middle ordinates, arcs by stations, circles, bulged rings.

use groundwright_geometry::Point;
use groundwright_survey::circular::{Arc, Chord, bulged_ring, radius_from};
use serde_json::{Map, Value, json};

use super::tape::round;
use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{ "radius": "20 ft", "chord": "12 ft", "step": "2 ft" }"#;
pub(super) const HELP: &str = "Example:\n  echo '{ \"radius\": \"20 ft\", \"chord\": \"12 ft\", \"step\": \"2 ft\" }' | groundwright figure curve";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let alone = one(case)?;
    if let Some(answer) = alone {
        return Ok(Answer::new(answer));
    }
    // The whole file of cases goes in as well as one case alone.
    let mut result = Map::new();
    for key in ["arc_setout", "chords", "three_point_circles", "bulge_polygons"] {
        let known = |value: &Value| {
            one(object(value)?)?.ok_or_else(|| format!("`{key}`: expected chords, arcs or rings"))
        };
        let answer = match case.get(key) {
            None => continue,
            Some(Value::Array(cases)) => {
                Value::Array(cases.iter().map(known).collect::<Result<Vec<_>, _>>()?)
            }
            Some(Value::Object(named)) if key == "bulge_polygons" => Value::Object(
                named
                    .iter()
                    .map(|(name, ring)| Ok((name.clone(), known(ring)?)))
                    .collect::<Result<Map<_, _>, String>>()?,
            ),
            Some(single) => known(single)?,
        };
        result.insert(key.to_owned(), answer);
    }
    if result.is_empty() {
        return Err("expected `radius` and `chord`; `chord` and `mid_ordinate`; three `points`; \
                    `centre`, `radius` and `points` by station; or `vertices` [x, y, bulge]"
            .to_owned());
    }
    Ok(Answer::new(Value::Object(result)))
}

/// One case alone; `None` where it has none of the keys.
fn one(case: &Case) -> Result<Option<Value>, String> {
    // A circle through three points may come with its centre as an expected value.
    if case.contains_key("start_direction_deg") {
        return arc(case).map(Some);
    }
    if case.contains_key("vertices") {
        return ring(case).map(Some);
    }
    if case.contains_key("points") {
        return circle(case).map(Some);
    }
    if case.contains_key("chord") { chord(case).map(Some) } else { Ok(None) }
}

fn object(value: &Value) -> Result<&Case, String> {
    value.as_object().ok_or_else(|| format!("{value} is no object"))
}

fn list<'c>(case: &'c Case, key: &str) -> Result<&'c [Value], String> {
    let list = case.get(key).and_then(Value::as_array);
    list.map(Vec::as_slice).ok_or_else(|| format!("`{key}` is missing; expected a list"))
}

fn chord(case: &Case) -> Result<Value, String> {
    let length = case::required_length(case, "chord")?;
    let radius = match case::length(case, "radius")? {
        Some(radius) => radius,
        None => {
            radius_from(length, case::required_length(case, "mid_ordinate")?).map_err(|e| e.to_string())?
        }
    };
    let chord = Chord::new(radius, length).map_err(|e| e.to_string())?;
    let back = radius_from(length, chord.mid_ordinate).map_err(|e| e.to_string())?;
    let mut answer = json!({
        "radius": round(radius),
        "arc": round(chord.arc),
        "mid_ordinate": round(chord.mid_ordinate),
        "offset_at_quarter_chord": round(chord.offset_at(0.25)),
        "mid_ordinate_approx_c2_over_8r": round(chord.mid_ordinate_shortcut),
        "radius_back_from_chord_and_mid": round(back),
        "segment_area": round(chord.segment_area),
        "tangent_length": round(chord.tangent),
    });
    if let Some(step) = case::length(case, "step")? {
        let rows = chord.table(step);
        answer["table"] = rows
            .iter()
            .map(|(at, offset)| json!({ "along": round(*at), "offset": round(*offset) }))
            .collect();
    }
    Ok(answer)
}

fn circle(case: &Case) -> Result<Value, String> {
    let places: Result<Vec<Point>, String> =
        list(case, "points")?.iter().map(|at| case::place("points", at)).collect();
    let three: [Point; 3] =
        places?.try_into().map_err(|all: Vec<Point>| format!("{} points; expected three", all.len()))?;
    let arc = Arc::through(three).map_err(|e| e.to_string())?;
    Ok(json!({
        "centre": [round(arc.centre.x), round(arc.centre.y)],
        "radius": round(arc.radius),
        "turns": if arc.turns_left() { "left" } else { "right" },
        "arc_length": round(arc.length()),
    }))
}

fn arc(case: &Case) -> Result<Value, String> {
    let start = case::number(case, "start_direction_deg")?
        .ok_or("`start_direction_deg` is missing; expected degrees counter-clockwise from east")?;
    let sense = match case::text(case, "turns")? {
        Some("counter-clockwise" | "left") => 1.0,
        Some("clockwise" | "right") => -1.0,
        _ => return Err("`turns` is missing; expected clockwise or counter-clockwise".to_owned()),
    };
    let radius = case::required_length(case, "radius")?;
    if !(radius.is_finite() && radius > 0.0) {
        return Err("`radius` is not above zero; expected a length such as \"20 ft\"".to_owned());
    }
    let centre = case::place("centre", case.get("centre").unwrap_or(&Value::Null))?;
    let arc = Arc { centre, radius, start: start.to_radians(), sweep: sense * std::f64::consts::TAU };
    let points = list(case, "points")?.iter().map(|item| {
        let item = object(item)?;
        let station = case::required_length(item, "station")?;
        let offset = case::length(item, "offset_left")?.unwrap_or(0.0);
        let at = arc.place(station, offset);
        Ok(json!({
            "station": round(station), "offset_left": round(offset), "x": round(at.x), "y": round(at.y),
        }))
    });
    let points: Result<Vec<Value>, String> = points.collect();
    Ok(json!({ "points": points? }))
}

fn ring(case: &Case) -> Result<Value, String> {
    let corners: Result<Vec<(Point, f64)>, String> = list(case, "vertices")?
        .iter()
        .map(|corner| {
            let numbers: Option<Vec<f64>> =
                corner.as_array().and_then(|c| c.iter().map(Value::as_f64).collect());
            match numbers.as_deref() {
                Some([x, y, bulge]) => Ok((Point::new(*x, *y), *bulge)),
                _ => Err(format!("`vertices`: {corner} is no corner; expected [x, y, bulge]")),
            }
        })
        .collect();
    let (area, perimeter) = bulged_ring(&corners?);
    Ok(json!({ "area": round(area), "perimeter": round(perimeter) }))
}
