//! Figure `rows`.

use groundwright_geometry::{Curve, Point, layout};
use groundwright_units::constants::{FOOT, INCH};
use groundwright_yard::arrange::rows::{Ends, Footing, Pattern, RowRule, Toward, lay_rows};
use serde_json::{Map, Value, json};

use super::{Answer, case, prose};

pub(super) const EXAMPLE: &str =
    r#"{ "length": "40 ft", "spacing": "36 in", "rows": 2, "pattern": "staggered", "tolerance": "10 %" }"#;
pub(super) const HELP: &str = "Example:\n  echo '{ \"length\": \"40 ft\", \"spacing\": \"36 in\", \"rows\": 2 }' | groundwright figure rows";

pub(super) fn figure(case: &Map<String, Value>) -> Result<Answer, String> {
    if let Some((topic, text)) = prose::sentence(case) {
        return in_words(topic, text);
    }
    let line = line(case)?;
    let spacing = case::required_length(case, "spacing")?;
    let rule = RowRule {
        inset: case::length(case, "inset")?.unwrap_or(0.0),
        rows: count(case, "rows")?.unwrap_or(1),
        spacing,
        pitch: case::length(case, "pitch")?,
        pattern: match case::text(case, "pattern")? {
            None | Some("staggered") => Pattern::Staggered,
            Some("square") => Pattern::Square,
            Some(other) => return Err(format!("`pattern` is `{other}`; expected staggered or square")),
        },
        ends: match case::text(case, "ends")? {
            None | Some("plants") => Ends::AtEnds,
            Some("half") => Ends::HalfSpace,
            Some(other) => return Err(format!("`ends` is `{other}`; expected plants or half")),
        },
        tolerance: case::share(case, "tolerance")?.unwrap_or(0.0),
        toward: Toward::Left,
    };
    let laid = lay_rows(&line, &rule, &|_| Footing::Free).map_err(|e| e.to_string())?;
    let counts: Vec<usize> =
        (0..rule.rows).map(|row| laid.plants.iter().filter(|p| p.row == row).count()).collect();
    let positions: Vec<Value> = laid
        .plants
        .iter()
        .map(|p| json!({ "row": p.row, "step": p.step, "at_m": [p.at.x, p.at.y], "along_m": p.along }))
        .collect();
    Ok(Answer::new(json!({
        "plants": laid.plants.len(),
        "plants_by_row": counts,
        "spacing_by_row_m": laid.spacing,
        "row_pitch_m": rule.row_pitch(),
        "least_spacing_m": laid.least_spacing,
        "ends_finished": laid.ends_finished,
        "positions": positions,
    })))
}

fn line(case: &Map<String, Value>) -> Result<Curve, String> {
    let closed = case::flag(case, "closed")?;
    match (case::length(case, "length")?, case.get("points").and_then(Value::as_array)) {
        (Some(length), None) if closed => {
            // A closed line of a given length may have any form; a circle is the plainest.
            Curve::circle(Point::ORIGIN, length / std::f64::consts::TAU).map_err(|e| e.to_string())
        }
        (Some(length), None) => {
            Curve::polyline(&[Point::ORIGIN, Point::new(length, 0.0)], false).map_err(|e| e.to_string())
        }
        (None, Some(points)) => {
            let points: Result<Vec<Point>, String> =
                points.iter().map(|p| case::place("points", p)).collect();
            Curve::smooth(&points?, closed).map_err(|e| e.to_string())
        }
        _ => Err("expected `length`, or `points` of a curve, and not both".to_owned()),
    }
}

fn count(case: &Map<String, Value>, key: &str) -> Result<Option<usize>, String> {
    let Some(value) = case.get(key) else { return Ok(None) };
    let count = value.as_u64().and_then(|n| usize::try_from(n).ok()).filter(|n| (1..=1000).contains(n));
    count.map(Some).ok_or_else(|| format!("`{key}` is {value}; expected a whole number from 1 to 1000"))
}

fn in_words(topic: &str, text: &str) -> Result<Answer, String> {
    match topic {
        "row" => {
            let n = prose::numbers(text, &["open row", "ft", "in o.c."], 2)?;
            let (length, d) = (n[0] * FOOT, n[1] * INCH);
            let (ends, inset) = (layout::row_from_end_to_end(length, d), layout::row_inset(length, d));
            let words = format!("plants at both ends {ends}; half-spacing inset {inset}");
            Ok(Answer::in_words(json!({ "plants_at_both_ends": ends, "half_spacing_inset": inset }), words))
        }
        "closed-row" => {
            let n = prose::numbers(text, &["closed curve of length", "ft", "nominal", "in"], 2)?;
            let (count, spacing) = layout::closed_row(n[0] * FOOT, n[1] * INCH)
                .ok_or("the curve or the spacing has no length; expected lengths above 0")?;
            let words = format!("{count} plants at {:.4} in each", spacing / INCH);
            Ok(Answer::in_words(json!({ "plants": count, "spacing_m": spacing }), words))
        }
        "staggered" => {
            let n = prose::numbers(text, &["staggered rows", "ft long", "in along the row"], 3)?;
            let rows = layout::staggered_rows(n[1] * FOOT, n[2] * INCH, n[0] as usize);
            let words = format!(
                "rows of {} and {} alternating = {}; equilateral row pitch {:.3} in",
                rows.first().copied().unwrap_or(0),
                rows.get(1).copied().unwrap_or(0),
                rows.iter().sum::<usize>(),
                n[2] * 3.0_f64.sqrt() / 2.0
            );
            Ok(Answer::in_words(json!({ "plants_by_row": rows }), words))
        }
        other => Err(prose::unknown(other, &["row", "closed-row", "staggered"])),
    }
}
