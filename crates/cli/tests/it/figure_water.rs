//! `figure pipe`, `network`, `uniformity`, `soil-water`, `budget` and `run-time`: check values through
//! the binary. Sources: `crates/water/tests/data/README.md`, and beside the figures.

use serde_json::{Value, json};

use crate::support::{run_with, stdout};

const NETWORKS: &str = include_str!("../../../water/tests/data/pipe-networks.json");
const FRICTION: &str = include_str!("../../../water/tests/data/pipe-friction.csv");

fn answer(topic: &str, case: &Value) -> Value {
    let output = run_with(&["figure", topic], &case.to_string());
    assert!(output.status.success(), "{topic} {case}: {}", stdout(&output));
    let answer: Value = serde_json::from_str(&stdout(&output)).unwrap();
    answer["result"].clone()
}

fn close(result: &Value, key: &str, printed: f64, off: f64) {
    let ours = result[key].as_f64().unwrap_or(f64::NAN);
    assert!((ours - printed).abs() <= off, "{key}: {ours} against {printed}");
}

/// Takes the numbers that are expected out of a case, so that nothing can copy them.
fn blind(value: &mut Value) {
    match value {
        Value::Object(map) => {
            map.retain(|key, _| !key.starts_with("expect"));
            map.values_mut().for_each(blind);
        }
        Value::Array(list) => list.iter_mut().for_each(blind),
        _ => {}
    }
}

/// The whole file goes in as it stands, and once more without what it expects.
#[test]
fn networks_come_back_with_the_keys_of_the_file() {
    let file: Value = serde_json::from_str(NETWORKS).unwrap();
    let shown = answer("network", &file);
    let mut hidden = file.clone();
    blind(&mut hidden);
    let alone = answer("network", &hidden);
    for (i, network) in file["networks"].as_array().unwrap().iter().enumerate() {
        for result in [&shown["networks"][i], &alone["networks"][i]] {
            for (list, keys) in [
                ("nodes", ["expect_psi", "expect_head_ft", "expect_outflow_gpm"]),
                ("pipes", ["expect_gpm", "expect_fps", "expect_fps"]),
            ] {
                for (k, row) in network[list].as_array().unwrap().iter().enumerate() {
                    for key in keys {
                        close(&result[list][k], key, row[key].as_f64().unwrap(), 0.005);
                    }
                }
            }
            close(result, "expect_total_gpm", network["expect_total_gpm"].as_f64().unwrap(), 0.001);
        }
    }
}

/// Every row of the friction table, its cells as texts.
#[test]
fn pipes_come_back_with_the_keys_of_the_table() {
    let mut cases = Vec::new();
    let keys: Vec<&str> = FRICTION.lines().next().unwrap().split(',').collect();
    for line in FRICTION.lines().skip(1) {
        let cells: Vec<&str> = line.rsplitn(10, ',').collect::<Vec<_>>().into_iter().rev().collect();
        cases.push(
            keys.iter()
                .zip(cells)
                .map(|(k, v)| ((*k).to_owned(), json!(v)))
                .collect::<serde_json::Map<_, _>>(),
        );
    }
    let output = run_with(&["figure", "pipe"], &json!(cases).to_string());
    assert!(output.status.success(), "{}", stdout(&output));
    let answers: Value = serde_json::from_str(&stdout(&output)).unwrap();
    assert_eq!(answers.as_array().unwrap().len(), 75);
    for row in answers.as_array().unwrap() {
        for (key, share) in [
            // The table takes 0.4085 for the factor and prints three decimals.
            ("velocity_fps", 0.001),
            ("loss_ft_per_100ft", 0.0005),
            ("loss_psi_per_100ft", 0.001),
            ("loss_psi_per_100ft_short_form_452", 0.001),
            ("darcy_weisbach_ft_per_100ft", 0.003),
            ("over_5_fps", 0.0),
        ] {
            let printed: f64 = row[key].as_str().unwrap().parse().unwrap();
            close(&row["result"], key, printed, share * printed);
        }
    }
}

#[test]
fn catch_cans_and_rates_through_the_binary() {
    let cans = json!({ "values": [47, 42, 45, 24, 13, 26, 33, 34, 27, 30, 40, 44, 32, 12, 12] });
    let result = answer("uniformity", &cans);
    for (key, printed) in [
        ("mean", 30.7333),
        ("DU_exact_quarter", 47.722),
        ("DU_floor", 40.130),
        ("DU_round", 49.620),
        ("CU", 69.140),
    ] {
        close(&result, key, printed, 0.0006);
    }
    let cans = json!({ "values": [25.8125, 25.8125], "mouth": "4.5 in", "time": "12 min" });
    close(&answer("uniformity", &cans), "rate_in_per_h", 0.4952, 0.00006);
    let rate = answer("uniformity", &json!({ "flow": "10 gpm", "area": "500 sq ft" }));
    close(&rate, "rate_in_per_h", 1.9250, 0.00006);
}

/// FAO-56, example 37, from memory.
#[test]
fn a_drying_root_zone_through_the_binary() {
    let day = json!({ "eto": "5 mm", "kc": 1.2 });
    let case = json!({ "field_capacity": 0.32, "wilting_point": 0.12, "depth": "0.8 m", "p": 0.4, "fixed_p": true,
        "depletion": "55 mm", "days": vec![day; 10] });
    let result = answer("soil-water", &case);
    close(&result, "TAW_mm", 160.0, 1e-9);
    for (i, stress) in [1.00, 1.00, 0.97, 0.91, 0.85, 0.80, 0.75, 0.70, 0.66, 0.62].iter().enumerate() {
        close(&result["days"][i], "Ks", *stress, 0.0051);
    }
}

#[test]
fn budgets_and_run_times_through_the_binary() {
    let case = json!({ "eto": "52.3 in", "zones": [
        { "plant_factor": 0.8, "method": "overhead", "area": "600 sq ft" },
        { "plant_factor": 0.5, "method": "drip", "area": "1100 sq ft" },
        { "plant_factor": 0.2, "method": "drip", "area": "1500 sq ft" }] });
    let result = answer("budget", &case);
    close(&result, "MAWA_gal", 57_069.8, 0.06);
    close(&result, "ETWU_gal", 54_779.9, 0.06);
    close(&result, "average_ETAF", 0.5279, 0.00006);
    let old = json!({ "eto": "51.1 in", "factor": 0.7, "area": "50000 sq ft" });
    close(&answer("budget", &old), "MAWA_gal", 1_108_870.0, 1.0);
    let case = json!({ "net": "0.5 in", "efficiency": 0.7, "rate": "1.6 in/h", "intake": "0.25 in/h", "allowance": "0.1 in" });
    let result = answer("run-time", &case);
    for (key, printed) in [
        ("gross_in", 0.7143),
        ("total_min", 26.786),
        ("longest_cycle_min", 4.444),
        ("cycles", 7.0),
        ("cycle_min", 3.827),
        ("soak_min", 20.663),
        ("cycle_rounded_up_min", 4.0),
        ("cycle_rounded_down_min", 3.0),
    ] {
        close(&result, key, printed, 0.0006);
    }
    let week = json!({ "eto": "1.8 in", "plant_factor": 0.3, "efficiency": 0.81, "area": "9 sq ft", "flow": 1.2 * 0.003_785_411_784 / 3600.0 });
    close(&answer("run-time", &week), "total_min", 187.01, 0.006);
}

#[test]
fn a_bad_case_of_water_says_what_was_expected() {
    let pipe =
        |to: &str| json!([{ "id": "p", "from": "S", "to": to, "length_ft": 10, "id_in": 1, "C": 150 }]);
    let source = json!({ "id": "S", "head_ft": 100 });
    for (topic, case, words) in [
        ("pipe", json!({ "flow": "10 gpm" }), "`diameter` is missing"),
        ("pipe", json!({ "diameter": "-1 m", "flow": "10 gpm" }), "the inside diameter is -1"),
        ("network", json!({ "nodes": [], "pipes": [] }), "`source` is missing"),
        ("network", json!({ "source": source, "nodes": [{ "id": "A" }], "pipes": pipe("B") }), "`to` is `B`"),
        (
            "network",
            json!({ "source": source, "nodes": [{ "id": "A" }, { "id": "B" }], "pipes": pipe("A") }),
            "`B` is not joined to any supply",
        ),
        ("uniformity", json!({}), "expected `values`"),
        ("uniformity", json!({ "values": [0, 0] }), "the mean depth is 0"),
        (
            "soil-water",
            json!({ "field_capacity": 0.1, "wilting_point": 0.2, "depth": "1 m", "p": 0.4, "days": [] }),
            "field capacity less wilting point",
        ),
        ("budget", json!({ "eto": "50 in" }), "`zones` are missing"),
        ("run-time", json!({ "net": "1 in", "efficiency": 0 }), "the efficiency is 0"),
    ] {
        let output = run_with(&["figure", topic], &case.to_string());
        assert!(!output.status.success(), "{topic} {case}");
        assert!(stdout(&output).contains(words), "{topic} {case}: {}", stdout(&output));
    }
}

#[test]
fn every_example_of_water_is_a_case() {
    for topic in ["pipe", "network", "uniformity", "soil-water", "budget", "run-time"] {
        let example = run_with(&["figure", topic, "--example"], "");
        let case: Value = serde_json::from_str(&stdout(&example)).unwrap();
        assert!(answer(topic, &case).is_object(), "{topic}");
    }
}
