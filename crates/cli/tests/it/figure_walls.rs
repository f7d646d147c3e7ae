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

/// 2.4 ft in five risers with treads of 14 in: 5.76 in each, stride 25.52 in, 56 in long. By hand.
#[test]
fn steps_are_fitted_to_a_rise() {
    let case =
        json!({ "rise": "2.4 ft", "riser": "6 in", "tread": "14 in", "width": "4 ft", "room": "7 ft" });
    let result = answer("steps", &case)["result"].clone();
    let best = &result["steps"][0];
    assert_eq!((best["risers"].as_u64(), best["treads"].as_u64()), (Some(5), Some(4)));
    for (key, inches) in [("riser_m", 5.76), ("tread_m", 14.0), ("stride_m", 25.52), ("run_m", 56.0)] {
        assert!((best[key].as_f64().unwrap() - inches * 0.0254).abs() < 1e-9, "{key}");
    }
    assert!(result["cautions"][0].as_str().unwrap().contains("handrail"));
    for (case, words) in [
        (json!({}), "`rise` is missing"),
        (json!({ "rise": "-3 ft" }), "rise"),
        (json!({ "rise": "3 ft", "room": "1 ft" }), "no count of equal risers"),
        (json!({ "rise": "3 ft", "least_riser": "0 in" }), "`least_riser`"),
    ] {
        let output = run_with(&["figure", "steps"], &case.to_string());
        assert!(!output.status.success() && stdout(&output).contains(words), "{case}: {}", stdout(&output));
    }
}

/// The wall that the advice proposes passes when it is asked again; layers are the same in kilonewtons and
/// metres as in pounds and feet.
#[test]
fn advice_is_checked_by_asking_again() {
    let example = run_with(&["figure", "wall", "--example"], "");
    let mut case: Value = serde_json::from_str(&stdout(&example)).unwrap();
    case["inputs"]["n"] = json!(9);
    let advice = answer("wall", &case)["result"]["advice"].clone();
    let courses = advice["courses"].as_u64().unwrap();
    let passes = |case: &Value| {
        let verdicts = answer("wall", case)["result"]["verdicts"].clone();
        verdicts.as_array().unwrap().iter().all(|verdict| verdict["passes"] == true)
    };
    assert!(!passes(&case));
    let mut lower = case.clone();
    lower["inputs"]["n"] = json!(courses);
    assert!(passes(&lower));
    lower["inputs"]["n"] = json!(courses + 1);
    assert!(!passes(&lower));
    let mut deeper = case.clone();
    deeper["inputs"]["d"] = advice["depth"].clone();
    assert!(passes(&deeper));
    let grid = json!({ "T_ult": 30.0, "RFcr": 1.6, "RFd": 1.1, "RFid": 1.1, "FS_unc": 1.5, "Cds": 0.8, "Ci": 0.8,
        "a_cs": 8.0, "lam_cs": 30.0, "phi_i": 34.0, "gi": 19.0 });
    for (key, value) in grid.as_object().unwrap() {
        case["inputs"][key] = value.clone();
    }
    let metric = answer("wall", &case)["result"]["chosen_layers"]["layers"].clone();
    case["units"] = json!("lb, ft");
    let (foot, pound) = (0.3048_f64, 4.448_221_615_260_5e-3);
    for (key, factor) in [
        ("hu", foot),
        ("d", foot),
        ("setback", foot),
        ("emb", foot),
        ("pad", foot),
        ("pad_ext", foot),
        ("gu", pound / foot.powi(3)),
        ("gr", pound / foot.powi(3)),
        ("gf", pound / foot.powi(3)),
        ("gi", pound / foot.powi(3)),
        ("gpad", pound / foot.powi(3)),
        ("a_u", pound / foot),
        ("T_ult", pound / foot),
        ("a_cs", pound / foot),
    ] {
        case["inputs"][key] = json!(case["inputs"][key].as_f64().unwrap() / factor);
    }
    let us = answer("wall", &case)["result"]["chosen_layers"]["layers"].clone();
    let (metric, us) = (metric.as_array().unwrap(), us.as_array().unwrap());
    assert!(!metric.is_empty() && metric.len() == us.len());
    for (m, u) in metric.iter().zip(us) {
        for i in 0..2 {
            assert!((m[i].as_f64().unwrap() - u[i].as_f64().unwrap() * foot).abs() < 1e-6, "{m} {u}");
        }
    }
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
    for topic in ["earth-pressure", "wall", "courses", "steps"] {
        let example = run_with(&["figure", topic, "--example"], "");
        assert!(run_with(&["figure", topic], &stdout(&example)).status.success(), "{topic}");
    }
}
