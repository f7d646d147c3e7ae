//! Figure `uniformity`: how evenly water falls, and how fast.

use groundwright_units::constants::{HOUR, INCH, MILLIMETRE};
use groundwright_water::{Quarter, catch_can_rate, precipitation_rate, run_time_multiplier, uniformity};
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str =
    r#"{ "values": [22, 25, 28, 24, 30, 33, 31, 27], "mouth": "4.5 in", "time": "12 min" }"#;
pub(super) const HELP: &str =
    "Example:\n  echo '{ \"flow\": \"10 gpm\", \"area\": \"500 sq ft\" }' | groundwright figure uniformity";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let mut result = Map::new();
    if let Some(values) = case.get("values") {
        cans(case, values, &mut result)?;
    }
    if let Some(flow) = case::flow(case, "flow")? {
        let area = case::area(case, "area")?.ok_or("`area` is missing; expected the watered area")?;
        let rate = precipitation_rate(flow, area).map_err(|problem| problem.to_string())?;
        put_rate(&mut result, rate);
    }
    if result.is_empty() {
        return Err("expected `values` (what each can caught) or `flow` and `area`".to_owned());
    }
    Ok(Answer::new(Value::Object(result)))
}

fn cans(case: &Case, values: &Value, result: &mut Map<String, Value>) -> Result<(), String> {
    let expected = || format!("`values` is {values}; expected a list of numbers");
    let list = values.as_array().ok_or_else(expected)?;
    let caught: Vec<f64> = list.iter().map(Value::as_f64).collect::<Option<_>>().ok_or_else(expected)?;
    let of = |quarter| uniformity(&caught, quarter).map_err(|problem| problem.to_string());
    let exact = of(Quarter::Exact)?;
    for (key, value) in [
        ("mean", exact.mean),
        ("least", exact.least),
        ("most", exact.most),
        ("DU_exact_quarter", 100.0 * exact.low_quarter),
        ("DU_floor", 100.0 * of(Quarter::Down)?.low_quarter),
        ("DU_round", 100.0 * of(Quarter::Nearest)?.low_quarter),
        ("DU_ceil", 100.0 * of(Quarter::Up)?.low_quarter),
        ("CU", 100.0 * exact.christiansen),
    ] {
        result.insert(key.to_owned(), value.into());
    }
    result.insert("n".to_owned(), exact.count.into());
    let multiplier = run_time_multiplier(exact.low_quarter).map_err(|problem| problem.to_string())?;
    result.insert("run_time_multiplier".to_owned(), multiplier.into());
    if let Some(mouth) = case::length(case, "mouth")? {
        let time = case::required_time(case, "time")?;
        // Cans are read in millilitres.
        let area = std::f64::consts::PI / 4.0 * mouth * mouth;
        let rate = catch_can_rate(exact.mean * 1e-6, area, time).map_err(|problem| problem.to_string())?;
        put_rate(result, rate);
    }
    Ok(())
}

fn put_rate(result: &mut Map<String, Value>, rate: f64) {
    result.insert("rate_m_per_s".to_owned(), json!(rate));
    result.insert("rate_in_per_h".to_owned(), json!(rate * HOUR / INCH));
    result.insert("rate_mm_per_h".to_owned(), json!(rate * HOUR / MILLIMETRE));
}
