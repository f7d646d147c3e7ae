//! `figure volume`, `runoff` and `manning`: check values through the binary.

use serde_json::{Value, json};

use crate::support::{run_with, stdout};

/// Sources: `crates/ground/tests/data/README.md`.
const VOLUMES: &str = include_str!("../../../ground/tests/data/earthwork-volumes.json");

fn answer(topic: &str, case: &Value) -> Value {
    let output = run_with(&["figure", topic], &case.to_string());
    assert!(output.status.success(), "{topic} {case}: {}", stdout(&output));
    let answer: Value = serde_json::from_str(&stdout(&output)).unwrap();
    answer["result"].clone()
}

/// The whole collection goes in as it stands, its expected values spoilt to show that they are not
/// read; all keys come back to every printed digit.
#[test]
fn volumes_come_back_to_every_printed_digit() {
    let cases: Value = serde_json::from_str(VOLUMES).unwrap();
    let result = answer("volume", &cases);
    for (i, prism) in cases["prisms"].as_array().unwrap().iter().enumerate() {
        assert_eq!(result["prisms"][i]["cut"], prism["cut"], "prism {i}");
        assert_eq!(result["prisms"][i]["fill"], prism["fill"], "prism {i}");
    }
    let mut checked = 0;
    for (name, case) in cases.as_object().unwrap().iter().filter(|(_, case)| case.get("expected").is_some()) {
        assert_eq!(result[name]["expected"], case["expected"], "{name}");
        let mut blind = case.clone();
        blind.as_object_mut().unwrap().remove("expected");
        let alone = answer("volume", &blind);
        for key in ["cut", "fill", "net_cut", "overlap_area"] {
            let (ours, printed) =
                (alone["expected"][key].as_f64().unwrap(), case["expected"][key].as_f64().unwrap());
            assert!((ours - printed).abs() <= 5e-9 * printed.abs().max(1.0), "{name} {key}");
        }
        checked += 1;
    }
    assert_eq!(checked, 5);
}

/// Average end area and prismoid: worked example on an estimating page, 740.74 and 716.05 cu yd.
#[test]
fn a_section_in_customary_units() {
    let case = json!({ "ends": ["150 sq ft", "250 sq ft"], "middle": "190 sq ft", "length": "100 ft" });
    let result = answer("volume", &case);
    assert_eq!(format!("{:.2}", result["average_end_area_cu_yd"].as_f64().unwrap()), "740.74");
    assert_eq!(format!("{:.2}", result["prismoidal_cu_yd"].as_f64().unwrap()), "716.05");
}

/// Sources: university exam solutions (rectangle 5 m: V 2.387, Q 9.548 to its rounding); Manning's
/// equation in double precision for the others, 0.1 % for the factor 1.486.
#[test]
fn manning_through_the_binary() {
    let rows = [
        (json!({ "b": "5 m", "y": "0.8 m", "n": 0.015, "S": 0.0025 }), "velocity_m_per_s", 2.3872),
        (
            json!({ "shape": "vee", "side": 3, "depth": "0.5 ft", "n": 0.03, "slope": "2 %" }),
            "flow_cfs",
            2.0130,
        ),
        (
            json!({ "shape": "trapezoid", "bottom": "2 ft", "side": 4, "depth": "0.4 ft", "n": 0.035, "slope": 0.01 }),
            "flow_cfs",
            2.5652,
        ),
        (
            json!({ "shape": "pipe", "diameter": "4 in", "full": true, "n": 0.01, "slope": 0.01 }),
            "flow_cfs",
            0.2474,
        ),
        (
            json!({ "shape": "pipe", "diameter": "6 in", "full": true, "n": 0.018, "slope": 0.005 }),
            "velocity_ft_per_s",
            1.4594,
        ),
        (
            json!({ "shape": "trapezoid", "bottom": "2 ft", "side": 4, "flow": "0.5 cfs", "n": 0.035, "slope": 0.01 }),
            "depth_ft",
            0.1688,
        ),
        (
            json!({ "shape": "vee", "side": 3, "flow": "1.2 cfs", "n": 0.03, "slope": 0.02 }),
            "depth_ft",
            0.4118,
        ),
    ];
    for (case, key, printed) in rows {
        let ours = answer("manning", &case)[key].as_f64().unwrap();
        assert!((ours - printed).abs() <= 0.001 * printed, "{case}: {ours} against {printed}");
    }
}

/// Sources: C i A; USDA TR-55 equations; a composite by hand (0.4171).
#[test]
fn runoff_through_the_binary() {
    let rows = [
        (
            json!({ "coefficient": 0.9, "intensity": "4 in/h", "area": "2000 sq ft" }),
            "peak_flow_gpm",
            74.19 * 1.008_33,
        ),
        (
            json!({ "coefficient": 0.35, "intensity": "3.2 in/h", "area": "0.25 acre" }),
            "peak_flow_cfs",
            0.28 * 1.008_33,
        ),
        (
            json!({ "intensity": "1 in/h", "parts": [
            { "area": "1800 sq ft", "coefficient": 0.9 }, { "area": "5200 sq ft", "coefficient": 0.25 }] }),
            "coefficient",
            0.4171,
        ),
        (json!({ "rain": "2.5 in", "curve_number": 98, "area": "1500 sq ft" }), "volume_gal", 2123.3),
        (json!({ "rain": "3.2 in", "curve_number": 74 }), "runoff_in", 1.0375),
        (
            json!({ "rain": "2 in", "parts": [
            { "area": "1 acre", "curve_number": 98 }, { "area": "1 acre", "curve_number": 61 }] }),
            "runoff_by_parts_in",
            0.924,
        ),
        (json!({ "texture": "sandy loam" }), "intake_in_per_h", 1.059),
        (
            json!({ "timed_hole": { "diameter": "8 in", "start": "12 in", "end": "9 in", "time": "30 min" } }),
            "intake_in_per_h",
            0.96,
        ),
    ];
    for (case, key, printed) in rows {
        let ours = answer("runoff", &case)[key].as_f64().unwrap();
        assert!((ours - printed).abs() <= 0.0006 * printed, "{case}: {ours} against {printed}");
    }
    let never = json!({ "rain": "1 in", "curve_number": 98, "area": "800 sq ft", "intake": "0 in/h", "duration": "1 h",
        "dry_well": { "diameter": "4 ft", "depth": "4 ft" } });
    assert_eq!(answer("runoff", &never)["empties_h"], Value::Null);
}

#[test]
fn a_bad_case_of_the_ground_says_what_was_expected() {
    for (topic, case, words) in [
        ("volume", json!({}), "expected `existing` and `design`"),
        ("volume", json!({ "existing": [[0, 0, 0], [1, 0, 0]], "design": 0 }), "no three levels"),
        (
            "volume",
            json!({ "existing": [[0, 0, 0], [4, 0, 0], [0, 4, 0], [4, 0, 1]], "design": 0 }),
            "two levels at",
        ),
        ("volume", json!({ "existing": [[0, 0]], "design": 0 }), "expected a place with its level"),
        ("volume", json!({ "triangle": [[0, 0], [1, 0]], "depth": [1, 1, 1] }), "expected a list of 3"),
        (
            "manning",
            json!({ "shape": "egg", "n": 0.01, "slope": 0.01 }),
            "expected rectangle, trapezoid, vee or pipe",
        ),
        (
            "manning",
            json!({ "shape": "pipe", "diameter": "4 in", "flow": "2 cfs", "n": 0.01, "slope": 0.01 }),
            "more than the",
        ),
        (
            "manning",
            json!({ "shape": "pipe", "diameter": "4 in", "depth": "2 in", "n": 0.01, "slope": -0.01 }),
            "expected a finite number above zero",
        ),
        ("runoff", json!({ "intensity": "4 in/h", "coefficient": 0.5 }), "`area` is missing"),
        ("runoff", json!({ "rain": "2 in", "curve_number": 120 }), "up to 100"),
        ("runoff", json!({ "texture": "mud" }), "expected sand, loamy sand"),
    ] {
        let output = run_with(&["figure", topic], &case.to_string());
        assert!(!output.status.success(), "{topic} {case}");
        assert!(stdout(&output).contains(words), "{topic} {case}: {}", stdout(&output));
    }
}
