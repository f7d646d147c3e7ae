//! Figure `similarity`: one frame fitted to another on shared points.

use groundwright_survey::similarity::{Shared, fit};
use serde_json::{Map, Value, json};

use super::tape::{option, round};
use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{
  "source": [[0, 0], [12.5, 0.2], [12.1, 8.4]],
  "target": [[50.0, 20.003], [61.394, 25.165], [57.752, 32.533]]
}"#;
pub(super) const HELP: &str =
    "Example:\n  groundwright figure similarity --example | groundwright figure similarity";

pub(super) fn figure(case: &Map<String, Value>) -> Result<Answer, String> {
    // The whole file of cases goes in as well as the case alone.
    let inner = case.get("similarity").and_then(Value::as_object);
    let shared = shared(inner.unwrap_or(case))?;
    let answer = json!({ "with_scale": one(&shared, true)?, "rigid": one(&shared, false)? });
    Ok(Answer::new(if inner.is_some() { json!({ "similarity": answer }) } else { answer }))
}

fn shared(case: &Map<String, Value>) -> Result<Vec<Shared>, String> {
    let list = |key: &str| {
        let list = case.get(key).and_then(Value::as_array);
        list.ok_or_else(|| format!("`{key}` is missing; expected a list of places [x, y]"))
    };
    let (source, target) = (list("source")?, list("target")?);
    if source.len() != target.len() {
        return Err(format!(
            "`source` has {} places and `target` {}; expected as many",
            source.len(),
            target.len()
        ));
    }
    let pair = |(a, b): (&Value, &Value)| {
        Ok(Shared { source: case::place("source", a)?, target: case::place("target", b)?, weight: 1.0 })
    };
    source.iter().zip(target).map(pair).collect()
}

fn one(shared: &[Shared], scaled: bool) -> Result<Value, String> {
    let fit = fit(shared, scaled).map_err(|e| e.to_string())?;
    let residuals: Vec<Value> = fit.residuals.iter().map(|r| json!([round(r.x), round(r.y)])).collect();
    Ok(json!({
        "scale": round(fit.transform.scale),
        "rotation_deg": round(fit.transform.rotation.to_degrees()),
        "tx": round(fit.transform.shift.x),
        "ty": round(fit.transform.shift.y),
        "residuals_fit_minus_target": residuals,
        "sum_sq": round(fit.sum_of_squares),
        "s0": option(fit.s0()),
        "rms_point": round(fit.rms()),
    }))
}
