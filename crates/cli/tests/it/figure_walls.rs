//! `figure courses` laid through the binary; what `earth-pressure`, `wall` and `courses` refuse.
//! Sources: `crates/walls/tests/data/README.md`.

use serde_json::{Value, json};

use crate::support::{run_with, stdout};

fn answer(topic: &str, case: &Value) -> Value {
    let output = run_with(&["figure", topic], &case.to_string());
    assert!(output.status.success(), "{topic}: {}", stdout(&output));
    serde_json::from_str(&stdout(&output)).unwrap()
}

/// The stepped base of `walls-quantities.json`: panels of 7, 6, 5 and 4 courses of 18 in, 152 units' worth of
/// face, laid unit by unit with the length of that face.
#[test]
fn the_stepped_wall_is_laid_unit_by_unit() {
    let case = json!({
        "face": [{ "straight": "39 ft" }], "course": "8 in", "embedment": "6 in",
        "levels": [["0 ft", "100 ft", "104 ft"], ["39 ft", "101.95 ft", "104 ft"]],
        "units": [{ "length": "18 in", "share": 1.0, "pallet": 40 }], "least_overlap": "4 in",
    });
    let result = answer("courses", &case)["result"].clone();
    assert_eq!(result["bond"]["stacked_joints"], 0);
    let laid: f64 =
        result["units_laid"].as_array().unwrap().iter().map(|u| u["length_m"].as_f64().unwrap()).sum();
    // Courses that end in the bank may reach up to a unit beyond each of three steps.
    let printed = 152.0 * 0.4572;
    assert!(laid > printed - 1e-6 && laid < printed + 3.0 * 0.4572, "{laid} {printed}");
    let lengths: f64 = result["face_lengths_m"].as_array().unwrap().iter().map(|l| l.as_f64().unwrap()).sum();
    assert!((lengths - laid).abs() < 1e-9);
    assert_eq!(result["count"].as_u64().unwrap() as usize, result["units_laid"].as_array().unwrap().len());
}

#[test]
fn what_cannot_be_worked_out_says_why() {
    for (topic, case, words) in [
        ("earth-pressure", json!({ "phi_deg": 28, "backslope_deg": 30 }), "the slope itself moves"),
        ("earth-pressure", json!({ "phi_deg": 28, "backslope_deg": 20, "kh": 0.15 }), "moves by itself"),
        ("earth-pressure", json!({}), "`phi_deg` is missing"),
        ("courses", json!({}), "`face` is missing"),
        (
            "courses",
            json!({ "face": [{ "straight": "3 m" }], "course": "6 in", "units": [] }),
            "`units` is empty",
        ),
        ("wall", json!({}), "expected `inputs`"),
        ("wall", json!({ "inputs": { "n": 2.5 } }), "whole number of courses"),
    ] {
        let output = run_with(&["figure", topic], &case.to_string());
        assert!(!output.status.success(), "{topic} {case}");
        assert!(stdout(&output).contains(words), "{topic} {case}: {}", stdout(&output));
    }
    for topic in ["earth-pressure", "wall", "courses"] {
        let example = run_with(&["figure", topic, "--example"], "");
        assert!(run_with(&["figure", topic], &stdout(&example)).status.success(), "{topic}");
    }
}
