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
    for topic in ["spacing", "rows", "bulk", "transplants"] {
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
