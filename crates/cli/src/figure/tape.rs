//! Figure `tape`: a network of taped lengths adjusted, its errors found.

use std::collections::BTreeMap;

use groundwright_geometry::Point;
use groundwright_survey::statistics::{SNOOPING_CHANCE, chi_squared_quantile, normal_critical};
use groundwright_survey::{Adjustment, Network, Reading, Snooped, TapeAccuracy, missing, snoop};
use groundwright_units::significant;
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{
  "fixed": { "A": [0, 0], "B": [14, 0] },
  "observations": [
    { "a": "A", "b": "C", "length": "12.805 m" },
    { "a": "B", "b": "C", "length": "8.950 m" },
    { "a": "A", "b": "D", "length": "9.208 m" },
    { "a": "B", "b": "D", "length": "14.030 m" },
    { "a": "C", "b": "D", "length": "7.035 m" }
  ]
}"#;
pub(super) const HELP: &str = "Example:\n  groundwright figure tape --example | groundwright figure tape";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let mut result = Map::new();
    if case.contains_key("observations") {
        let network = network(case, list(case, "observations")?)?;
        result = full(&network)?;
        result.insert("suspects".to_owned(), suspects(&network)?);
    }
    if let Some(clean) = case.get("clean") {
        variants(case, clean, &mut result)?;
    }
    if let Some(Value::Object(station)) = case.get("published_inputs") {
        result.insert("published_inputs".to_owned(), json!({ "expected": one_station(station)? }));
    }
    if result.is_empty() {
        return Err("expected `observations`: a list such as [{ \"a\": \"A\", \"b\": \"C\", \"length\": \"12' 6\\\"\" }]"
            .to_owned());
    }
    Ok(Answer::new(Value::Object(result)))
}

/// One network in its variants: clean, with a blunder, without the bad tape, with an unchecked point.
fn variants(case: &Case, clean: &Value, result: &mut Case) -> Result<(), String> {
    let clean = clean.as_object().ok_or("`clean` is no object")?;
    let observations = list(clean, "observations")?;
    let whole = network(case, observations)?;
    result.insert("clean".to_owned(), json!({ "expected": full(&whole)? }));
    let Some(Value::Object(blunder)) = case.get("blunder") else { return Ok(()) };
    let changed = blunder.get("observations_changed").and_then(Value::as_object);
    let changed = changed.ok_or("`blunder.observations_changed` is missing; expected { a, b, length }")?;
    let same = |item: &&Value| ["a", "b"].iter().all(|key| item.get(key) == changed.get(*key));
    let mut bad: Vec<Value> = observations.to_vec();
    let index =
        observations.iter().position(|item| same(&item)).ok_or("the changed tape is not in the list")?;
    bad[index]["length"] = changed.get("length").cloned().unwrap_or(Value::Null);
    let bad = network(case, &bad)?;
    let mut answer = json!({ "expected": full(&bad)?, "suspects": suspects(&bad)? });
    let rest: Vec<Value> = observations.iter().filter(|item| !same(item)).cloned().collect();
    let mut without = full(&network(case, &rest)?)?;
    without.retain(|key, _| ["points", "variance_factor", "dof", "largest_w"].contains(&key.as_str()));
    answer[format!("without_{}{}", name(changed, "a")?, name(changed, "b")?)] = Value::Object(without);
    result.insert("blunder".to_owned(), answer);
    if let Some(Value::Object(unchecked)) = case.get("unchecked") {
        let extra = list(unchecked, "extra")?;
        let all: Vec<Value> = observations.iter().chain(extra).cloned().collect();
        let network = network(case, &all)?;
        let snooped = adjusted(&network)?;
        let mut answer = Map::new();
        for (i, point) in network
            .points
            .iter()
            .enumerate()
            .filter(|(i, _)| !whole.points.iter().any(|p| p.name == network.points[*i].name))
        {
            answer.insert(point.name.clone(), point_of(&snooped.all, i));
        }
        let tail = &snooped.all.readings[observations.len()..];
        answer.insert("redundancies".to_owned(), tail.iter().map(|r| round(r.redundancy)).collect());
        answer.insert("dof".to_owned(), json!(snooped.all.freedom));
        answer.insert("mirrored".to_owned(), mirrored(&network, &snooped.all));
        result.insert("unchecked".to_owned(), Value::Object(answer));
    }
    Ok(())
}

/// Distances from known points to one station, of unit weight, as `{ "UA": 1938.589, … }`.
fn one_station(station: &Case) -> Result<Value, String> {
    let distances = station.get("distances").and_then(Value::as_object).ok_or("`distances` is missing")?;
    let start = station.get("start").map(|start| case::place("start", start)).transpose()?;
    let mut network = Network::default();
    let known = places(station, "fixed")?;
    for (name, at) in &known {
        network.point(name, Some(*at), None);
    }
    for (pair, _) in distances {
        let to = known.keys().find(|name| pair.ends_with(name.as_str()));
        let to = to.ok_or_else(|| format!("`{pair}` ends in no fixed point"))?;
        let unknown = &pair[..pair.len() - to.len()];
        let from = network.index_of(unknown).unwrap_or_else(|| network.point(unknown, None, start));
        let to = network.index_of(to).unwrap_or_default();
        network.readings.push(Reading::distance(from, to, case::required_length(distances, pair)?, 1.0));
    }
    let adjustment = adjusted(&network)?.all;
    let mut answer = points(&network, &adjustment);
    answer.insert("s0".to_owned(), option(adjustment.variance_factor().map(f64::sqrt)));
    answer.insert("residuals".to_owned(), adjustment.readings.iter().map(|r| round(r.residual)).collect());
    Ok(Value::Object(answer))
}

fn network(case: &Case, observations: &[Value]) -> Result<Network, String> {
    let mut network = Network::default();
    for (name, at) in places(case, "fixed")? {
        network.point(&name, Some(at), None);
    }
    let near = places(case, "approximate")?;
    for (i, item) in observations.iter().enumerate() {
        let about = |problem: String| format!("observation {}: {problem}", i + 1);
        let item = item.as_object().ok_or_else(|| about(format!("{item} is no object")))?;
        let mut end = |key: &str| {
            let name = name(item, key).map_err(about)?;
            Ok::<usize, String>(match network.index_of(name) {
                Some(index) => index,
                None => network.point(name, None, near.get(name).copied()),
            })
        };
        let (from, to) = (end("a")?, end("b")?);
        let length = case::required_length(item, "length").map_err(about)?;
        let sigma = case::length(item, "sigma").map_err(about)?;
        let sigma = sigma.unwrap_or_else(|| TapeAccuracy::USUAL.sigma(length));
        network.readings.push(Reading::distance(from, to, length, sigma));
    }
    Ok(network)
}

fn adjusted(network: &Network) -> Result<Snooped, String> {
    snoop(network).map_err(|e| e.to_string())
}

/// Everything about an adjustment with all readings.
fn full(network: &Network) -> Result<Case, String> {
    let adjustment = adjusted(network)?.all;
    let factor = adjustment.variance_factor();
    let mut answer = Map::new();
    let mut put = |key: &str, value: Value| answer.insert(key.to_owned(), value);
    put("iterations", json!(adjustment.steps));
    put("dof", json!(adjustment.freedom));
    put("vPv", round(adjustment.weighted_sum));
    put("variance_factor", option(factor));
    put("s0", option(factor.map(f64::sqrt)));
    let bounds = [0.025, 0.975].map(|p| round(chi_squared_quantile(p, adjustment.freedom)));
    put("chi2_95_two_sided", json!(bounds));
    put("w_critical", round(normal_critical(SNOOPING_CHANCE)));
    put("alpha", json!(SNOOPING_CHANCE));
    put("points", Value::Object(points(network, &adjustment)));
    let readings: Vec<Value> = network
        .readings
        .iter()
        .zip(&adjustment.readings)
        .map(|(reading, adjusted)| {
            let (a, b) = ends(network, reading);
            json!({
                "a": a, "b": b,
                "observed": round(reading.value),
                "sigma": round(reading.sigma),
                "adjusted": round(adjusted.adjusted),
                "residual": round(adjusted.residual),
                "redundancy": round(adjusted.redundancy),
                "w": option(adjusted.standardised),
                "mdb": option(adjusted.detectable),
            })
        })
        .collect();
    put("observations", Value::Array(readings));
    put("largest_w", largest(network, &adjustment));
    let names = |points: &[usize]| points.iter().map(|i| network.points[*i].name.clone()).collect::<Vec<_>>();
    put("undetermined", json!(names(&adjustment.undetermined)));
    let wanted = missing(network, &adjustment)
        .into_iter()
        .map(|want| json!({ "point": network.points[want.point].name, "tape_to": names(&want.to) }));
    put("readings_wanted", wanted.collect());
    put("mirrored", mirrored(network, &adjustment));
    Ok(answer)
}

fn largest(network: &Network, adjustment: &Adjustment) -> Value {
    let Some(index) = adjustment.largest() else { return Value::Null };
    let (a, b) = ends(network, &network.readings[index]);
    let reading = &adjustment.readings[index];
    json!({
        "index": index, "a": a, "b": b,
        "w": option(reading.standardised),
        "estimated_error": option(reading.estimated_error()),
    })
}

fn suspects(network: &Network) -> Result<Value, String> {
    let name = |i: usize| network.points[i].name.clone();
    let list = adjusted(network)?.suspects.into_iter().map(|suspect| {
        let (a, b) = ends(network, &network.readings[suspect.reading]);
        let slips: Vec<Value> = suspect
            .slips
            .iter()
            .map(|slip| json!({ "slip": slip.kind.words(name), "meant_m": round(slip.meant) }))
            .collect();
        json!({
            "index": suspect.reading, "a": a, "b": b,
            "error_m": round(suspect.error),
            "error_sigma_m": round(suspect.sigma),
            "as_likely": suspect.alike,
            "slips": slips,
        })
    });
    Ok(list.collect())
}

fn mirrored(network: &Network, adjustment: &Adjustment) -> Value {
    let name = |i: usize| &network.points[i].name;
    let list = adjustment.mirrored.iter().map(|m| {
        json!({
            "point": name(m.point),
            "about": [name(m.from), name(m.to)],
            "other_place": [round(m.other.x), round(m.other.y)],
        })
    });
    list.collect()
}

fn points(network: &Network, adjustment: &Adjustment) -> Case {
    let free = network.points.iter().enumerate().filter(|(_, point)| point.held.is_none());
    free.map(|(i, point)| (point.name.clone(), point_of(adjustment, i))).collect()
}

fn point_of(adjustment: &Adjustment, index: usize) -> Value {
    let point = &adjustment.points[index];
    if !point.determined {
        return Value::Null;
    }
    let (sx, sy) = point.sigmas();
    let scale = adjustment.variance_factor().map(f64::sqrt);
    let ellipse = point.ellipse();
    json!({
        "x": round(point.at.x),
        "y": round(point.at.y),
        "qxx": round(point.qxx),
        "qyy": round(point.qyy),
        "qxy": round(point.qxy),
        "sx_prior": round(sx),
        "sy_prior": round(sy),
        "sx_post": option(scale.map(|s| s * sx)),
        "sy_post": option(scale.map(|s| s * sy)),
        "ellipse_prior": {
            "major": round(ellipse.major),
            "minor": round(ellipse.minor),
            "major_dir_deg_ccw_from_x": round(ellipse.direction.to_degrees()),
        },
    })
}

fn ends(network: &Network, reading: &Reading) -> (String, String) {
    let mut points = reading.observed.points().map(|i| network.points[i].name.clone());
    (points.next().unwrap_or_default(), points.next().unwrap_or_default())
}

fn places(case: &Case, key: &str) -> Result<BTreeMap<String, Point>, String> {
    match case.get(key) {
        None => Ok(BTreeMap::new()),
        Some(Value::Object(places)) => {
            places.iter().map(|(name, at)| Ok((name.clone(), case::place(name, at)?))).collect()
        }
        Some(other) => Err(format!("`{key}` is {other}; expected points such as {{ \"A\": [0, 0] }}")),
    }
}

fn list<'c>(case: &'c Case, key: &str) -> Result<&'c [Value], String> {
    let list = case.get(key).and_then(Value::as_array);
    list.map(Vec::as_slice).ok_or_else(|| format!("`{key}` is missing; expected a list"))
}

fn name<'c>(case: &'c Case, key: &str) -> Result<&'c str, String> {
    case::text(case, key)?.ok_or_else(|| format!("`{key}` is missing; expected the name of a point"))
}

/// A number to nine digits, more than any tape gives and enough to compare.
pub(super) fn round(value: f64) -> Value {
    json!(significant(value, 9))
}

pub(super) fn option(value: Option<f64>) -> Value {
    value.map_or(Value::Null, round)
}
