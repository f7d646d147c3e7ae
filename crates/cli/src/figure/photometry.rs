//! Figure `photometry`: what a photometric file of IES LM-63 says.

use groundwright_light::ies::{Photometry, read};
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{ "text": "IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 3 1 1 2 0 0 0\n1 1 8\n0 30 90\n0\n900 300 0",
  "interpolated_cd": [[15, 0], [45, 90]] }"#;
pub(super) const HELP: &str =
    "A case is a photometric file itself, or has `text` (the file's text) or `file` (its name, found beside
the case or in a folder `ies` there), and may have `interpolated_cd`: rows [vertical, horizontal] in
degrees. `files` may hold a list of cases. Result: total_lumens (exact integral of the interpolant),
total_lumens_zonal_mean, uplight_lumens, peak_cd with its angles, rated_lamp_lumens, input_watts,
n_vertical, n_horizontal, units, interpolated_cd, beam_deg_50pct, field_deg_10pct (all round alike).
Example:
  groundwright figure photometry lamp.ies";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let Some(files) = case.get("files") else {
        return one(case).map(Answer::new);
    };
    let files = files.as_array().ok_or("`files` is no list")?;
    let of = |row: &Value| {
        let row = row.as_object();
        let name = row.and_then(|row| row.get("file")).cloned().unwrap_or(Value::Null);
        // One file that is broken shall not keep the others back.
        let mut result = match row.map(one) {
            Some(Ok(result)) => result,
            Some(Err(problem)) => json!({ "error": problem }),
            None => json!({ "error": "expected an object with `file` or `text`" }),
        };
        result["file"] = name;
        result
    };
    Ok(Answer::new(json!({ "files": files.iter().map(of).collect::<Vec<_>>() })))
}

fn one(case: &Case) -> Result<Value, String> {
    let text = match (case::text(case, "text")?, case::text(case, "file")?) {
        (Some(text), _) => text.to_owned(),
        (None, Some(file)) => super::read_beside(file)?,
        (None, None) => return Err("expected `text` or `file`, or a photometric file".to_owned()),
    };
    let light = read(&text).map_err(|problem| problem.to_string())?;
    let (peak, vertical, horizontal) = light.peak();
    let mut result = json!({
        "total_lumens": light.flux(),
        "total_lumens_zonal_mean": light.flux_zonal(),
        "uplight_lumens": light.uplight(),
        "peak_cd": peak,
        "peak_at_vert_horiz_deg": [vertical.to_degrees(), horizontal.to_degrees()],
        "rated_lamp_lumens": light.lamp_lumens,
        "input_watts": light.watts,
        "photometric_type": 1,
        "units": if light.in_feet { "feet" } else { "metres" },
        "n_vertical": light.vertical.len(),
        "n_horizontal": light.horizontal.len(),
    });
    if let Some(rows) = case.get("interpolated_cd") {
        result["interpolated_cd"] = interpolated(&light, rows)?;
    }
    if light.horizontal.len() == 1 {
        for (key, share) in [("beam_deg_50pct", 0.5), ("field_deg_10pct", 0.1)] {
            result[key] = json!(light.full_angle(share).map(f64::to_degrees));
        }
    }
    Ok(result)
}

fn interpolated(light: &Photometry, rows: &Value) -> Result<Value, String> {
    let wrong = || format!("`interpolated_cd` is {rows}; expected rows [vertical, horizontal] in degrees");
    let mut out = Vec::new();
    for row in rows.as_array().ok_or_else(wrong)? {
        let angle = |i: usize| row.get(i).and_then(Value::as_f64).filter(|v| v.is_finite()).ok_or_else(wrong);
        let (vertical, horizontal) = (angle(0)?, angle(1)?);
        out.push(json!([row[0], row[1], light.candela(vertical.to_radians(), horizontal.to_radians())]));
    }
    Ok(Value::Array(out))
}
