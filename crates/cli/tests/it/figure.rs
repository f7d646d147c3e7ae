//! `figure`: check values go in as they stand in their tables and come back the same.

use serde_json::Value;

use crate::support::{run, run_with, stderr, stdout};

const CHECKS: &str = include_str!("../data/planting-and-takeoff.json");

fn topic_of(case: &Value) -> &'static str {
    match case["topic"].as_str().unwrap() {
        "density" | "area-count" | "layout" => "spacing",
        "row" | "closed-row" | "staggered" => "rows",
        _ => "bulk",
    }
}

/// Every printed digit of every row, with its source beside it in `tests/data`.
#[test]
fn check_values_come_back_to_every_printed_digit() {
    let cases: Vec<Value> = serde_json::from_str(CHECKS).unwrap();
    assert!(cases.len() > 40);
    for topic in ["spacing", "rows", "bulk"] {
        let mine: Vec<&Value> = cases.iter().filter(|case| topic_of(case) == topic).collect();
        assert!(!mine.is_empty());
        let blind: Vec<Value> = mine
            .iter()
            .map(|case| {
                let mut case = (*case).clone();
                case["expected"] = Value::String("not read".to_owned());
                case
            })
            .collect();
        let output = run_with(&["figure", topic, "-"], &serde_json::to_string(&blind).unwrap());
        assert!(output.status.success(), "{}", stdout(&output));
        let answers: Vec<Value> = serde_json::from_str(&stdout(&output)).unwrap();
        for (answer, case) in answers.iter().zip(mine) {
            assert_eq!(answer["expected"], case["expected"], "{}: {}", case["id"], case["source"]);
        }
    }
}

#[test]
fn every_example_is_a_case() {
    for topic in [
        "spacing",
        "rows",
        "bulk",
        "transplants",
        "tape",
        "levels",
        "traverse",
        "similarity",
        "ties",
        "curve",
        "volume",
        "runoff",
        "manning",
    ] {
        let example = stdout(&run(&["figure", topic, "--example"]));
        let output = run_with(&["figure", topic], &example);
        assert!(output.status.success(), "{topic}: {}", stdout(&output));
        let answer: Value = serde_json::from_str(&stdout(&output)).unwrap();
        assert!(answer["result"].is_object(), "{topic}");
        assert!(stdout(&run(&["figure", topic, "--help"])).contains("Example"), "{topic}");
    }
}

/// A pair of holes that wants no size gets the two plants that are most alike: 0.9 m and 0.9 m.
#[test]
fn transplants_balance_a_pair() {
    let example = stdout(&run(&["figure", "transplants", "--example"]));
    let answer: Value =
        serde_json::from_str(&stdout(&run_with(&["figure", "transplants"], &example))).unwrap();
    let mut pair: Vec<u64> =
        answer["result"]["plant_of_hole"].as_array().unwrap().iter().map(|p| p.as_u64().unwrap()).collect();
    pair.sort_unstable();
    assert_eq!(pair, [0, 2]);
    assert_eq!(answer["result"]["left_over"], serde_json::json!([1]));
}

#[test]
fn a_bad_case_says_what_was_expected() {
    for (topic, case, words) in [
        ("bulk", r#"{ "depth": "3 in" }"#, "`area` is missing"),
        ("bulk", r#"{ "area": "540", "depth": "3 in" }"#, "`area`"),
        ("bulk", r#"{ "topic": "density", "inputs": "x" }"#, "topic `density` is not one of"),
        ("spacing", r#"{ "spacing": "0 in" }"#, "expected more than 0"),
        (
            "spacing",
            r#"{ "plant": "polystichum-munitun", "filled_in": 3 }"#,
            "did you mean `polystichum-munitum`",
        ),
        ("rows", r#"{ "spacing": "3 ft" }"#, "expected `length`"),
        ("transplants", r#"{ "dug": [], "holes": [ { "at": [0] } ] }"#, "hole 1"),
        ("tape", r#"{ "fixed": {} }"#, "expected `observations`"),
        ("tape", r#"{ "observations": [{ "a": "A", "b": "A", "length": 3 }] }"#, "ties `A` to itself"),
        ("levels", r#"{ "readings": [] }"#, "no readings"),
        ("traverse", r#"{ "legs": [{ "length": 5 }] }"#, "leg 1: expected `lat`"),
        ("similarity", r#"{ "source": [[0, 0]], "target": [[1, 1]] }"#, "needs two points"),
        ("ties", r#"{ "A": [0, 0], "B": [0, 0], "da": 1, "db": 1 }"#, "expected three finite lengths"),
        ("curve", r#"{ "points": [[0, 0], [1, 1], [2, 2]] }"#, "lie on one line"),
    ] {
        let output = run_with(&["figure", topic], case);
        assert_eq!(output.status.code(), Some(1), "{case}");
        let answer: Value = serde_json::from_str(&stdout(&output)).unwrap();
        assert!(answer["error"].as_str().unwrap().contains(words), "{case}: {answer}");
    }
    let output = run_with(&["figure", "bulk"], "not json");
    assert_eq!(output.status.code(), Some(1));
    assert!(stderr(&output).contains("the case is not JSON"));
}

/// Every number of `expected` stands at the same key of `found`, to its nine digits.
fn compare(at: &str, expected: &Value, found: &Value) -> usize {
    match expected {
        Value::Object(map) => map
            .iter()
            .filter(|(key, _)| *key != "iterations")
            .map(|(key, value)| compare(&format!("{at}.{key}"), value, &found[key]))
            .sum(),
        Value::Array(list) => {
            assert_eq!(found.as_array().map(Vec::len), Some(list.len()), "{at}");
            list.iter().enumerate().map(|(i, value)| compare(&format!("{at}[{i}]"), value, &found[i])).sum()
        }
        Value::Number(number) => {
            let (number, ours) = (number.as_f64().unwrap(), found.as_f64());
            let ours = ours.unwrap_or_else(|| panic!("{at}: expected {number}, found {found}"));
            // One unit of the ninth digit; where the answer is 0, rounding of the inputs' size.
            let digit = if number == 0.0 { 1e-9 } else { 10_f64.powf(number.abs().log10().floor() - 8.0) };
            assert!((ours - number).abs() <= 1.01 * digit, "{at}: expected {number}, found {ours}");
            1
        }
        other => {
            assert_eq!(other, found, "{at}");
            1
        }
    }
}

fn figure(topic: &str, case: &Value) -> Value {
    let output = run_with(&["figure", topic], &case.to_string());
    assert!(output.status.success(), "{}", stdout(&output));
    serde_json::from_str::<Value>(&stdout(&output)).unwrap()["result"].take()
}

/// Source: `tests/data/survey-tape.json`, described in the README beside it.
#[test]
fn tape_networks_come_back_to_every_digit() {
    let case: Value = serde_json::from_str(include_str!("../data/survey-tape.json")).unwrap();
    let mut blind = case.clone();
    for variant in ["clean", "blunder", "published_inputs"] {
        blind[variant].as_object_mut().unwrap().remove("expected");
    }
    let found = figure("tape", &blind);
    let mut count = 0;
    for variant in ["clean", "blunder", "published_inputs"] {
        count += compare(variant, &case[variant]["expected"], &found[variant]["expected"]);
    }
    count += compare("without", &case["blunder"]["without_BD"], &found["blunder"]["without_BD"]);
    for key in ["H", "redundancies", "dof"] {
        count += compare(key, &case["unchecked"][key], &found["unchecked"][key]);
    }
    assert!(count > 500, "{count}");
    let suspects = found["blunder"]["suspects"].as_array().unwrap();
    assert_eq!(suspects.len(), 1);
    assert_eq!((&suspects[0]["a"], &suspects[0]["b"]), (&"B".into(), &"D".into()));
}

/// Source: `tests/data/survey-setout-and-areas.json`, described in the README beside it.
#[test]
fn setting_out_comes_back_to_every_digit() {
    let case: Value = serde_json::from_str(include_str!("../data/survey-setout-and-areas.json")).unwrap();
    let given = ["A", "B", "da", "db", "source", "target", "start", "end", "chord", "vertices"];
    let mut count = 0;
    for (topic, keys) in [
        ("ties", &["trilateration", "baseline_setout"][..]),
        ("curve", &["arc_setout", "chords", "three_point_circles", "bulge_polygons"]),
        ("similarity", &["similarity"]),
    ] {
        let found = figure(topic, &case);
        for key in keys {
            let mut expected = case[*key].clone();
            strip(&mut expected, &given);
            if let Value::Array(circles) = &mut expected
                && *key == "three_point_circles"
            {
                for circle in circles {
                    strip(circle, &["points"]);
                }
            }
            if *key == "arc_setout" {
                strip(&mut expected, &["centre", "radius", "start_direction_deg", "turns"]);
            }
            count += compare(key, &expected, &found[key]);
        }
    }
    assert!(count > 120, "{count}");
}

fn strip(value: &mut Value, keys: &[&str]) {
    match value {
        Value::Object(map) => {
            map.retain(|key, _| !keys.contains(&key.as_str()));
            for value in map.values_mut() {
                strip(value, keys);
            }
        }
        Value::Array(list) => {
            for value in list {
                strip(value, keys);
            }
        }
        _ => {}
    }
}
