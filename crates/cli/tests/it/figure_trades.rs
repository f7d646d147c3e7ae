//! `figure circuit`, `photometry`, `illuminance`, `graze`, `wall`, `earth-pressure`, `critical-path`,
//! `timer`, `crew-schedule` and `purchase`: check values through the binary. Sources: `tests/data/README.md` of the crates
//! `light`, `walls` and `schedule`.

use std::path::PathBuf;

use serde_json::{Value, json};

use crate::support::{run, run_with, stdout};

const CIRCUITS: &str = include_str!("../../../light/tests/data/lighting_circuits.json");
const PHOTOMETRY: &str = include_str!("../../../light/tests/data/lighting_photometry.json");
const IES: &str = include_str!("../../../light/tests/data/lighting_ies.json");
const TIMER: &str = include_str!("../../../light/tests/data/lighting_timer.json");
const WALLS: &str = include_str!("../../../walls/tests/data/walls-examples.json");
const PRESSURE: &str = include_str!("../../../walls/tests/data/walls-earth-pressure.csv");
const PURCHASE: &str = include_str!("../../../schedule/tests/data/purchasing-milp.json");
const NETWORKS: &str = include_str!("../../../schedule/tests/data/cpm-examples.json");

fn answer(topic: &str, case: &Value) -> Value {
    let output = run_with(&["figure", topic], &case.to_string());
    let answer: Value = serde_json::from_str(&stdout(&output)).unwrap_or_else(|e| panic!("{topic}: {e}"));
    assert!(output.status.success(), "{topic}: {}", answer["error"]);
    answer["result"].clone()
}

fn error(topic: &str, case: &Value) -> String {
    let output = run_with(&["figure", topic], &case.to_string());
    assert!(!output.status.success(), "{topic} {case}");
    let answer: Value = serde_json::from_str(&stdout(&output)).unwrap();
    answer["error"].as_str().unwrap().to_owned()
}

/// Every number that is printed agrees to half of its last digit and to a share; texts are the same.
/// Returns how many were compared.
fn agrees(place: &str, ours: &Value, printed: &Value, share: f64) -> usize {
    match printed {
        Value::Object(map) => map
            .iter()
            .filter(|(key, _)| !["note", "source", "title", "id"].contains(&key.as_str()))
            .map(|(key, value)| agrees(&format!("{place}/{key}"), &ours[key], value, share))
            .sum(),
        Value::Array(list) => {
            let found = ours.as_array().map_or(0, Vec::len);
            assert_eq!(found, list.len(), "{place}: {ours}");
            list.iter().enumerate().map(|(i, v)| agrees(&format!("{place}[{i}]"), &ours[i], v, share)).sum()
        }
        Value::Number(number) => {
            let printed = number.as_f64().unwrap();
            let text = number.to_string();
            let decimals = text.split_once('.').map_or(0, |(_, digits)| digits.len());
            let half = if text.contains('e') { 0.0 } else { 0.501 * 0.1_f64.powf(decimals as f64) };
            let ours = ours.as_f64().unwrap_or_else(|| panic!("{place}: {ours} for {printed}"));
            assert!((ours - printed).abs() <= half.max(share * printed.abs()), "{place}: {ours}, {printed}");
            1
        }
        other => {
            assert_eq!(ours, other, "{place}");
            1
        }
    }
}

/// Takes what is expected out of a case, so that nothing can copy it.
fn blind(mut value: Value) -> Value {
    fn strip(value: &mut Value) {
        match value {
            Value::Object(map) => {
                map.retain(|key, _| {
                    !["expected", "top_layer", "result", "critical", "project_duration"]
                        .contains(&key.as_str())
                });
                map.values_mut().for_each(strip);
            }
            Value::Array(list) => list.iter_mut().for_each(strip),
            _ => {}
        }
    }
    strip(&mut value);
    value
}

fn parsed(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

#[test]
fn circuits_come_back_with_the_keys_of_the_file() {
    let file = parsed(CIRCUITS);
    let result = answer("circuit", &blind(file.clone()));
    let mut compared = 0;
    for (ours, case) in
        result["circuits"].as_array().unwrap().iter().zip(file["circuits"].as_array().unwrap())
    {
        if case["expected"]["solvable"] == false {
            assert_eq!(ours["expected"]["solvable"], false);
            // Closed form: V² / (4 R) at the end of one cable.
            assert!((ours["limit_W"].as_f64().unwrap() - 144.0 / (4.0 * 1.996)).abs() < 1e-3);
            continue;
        }
        compared += agrees("circuit", &ours["expected"], &case["expected"], 1e-6);
    }
    assert!(compared > 200, "{compared}");
    let open = json!({ "source_V": 12, "segments": [["TX", "A", 12, 10]], "loads": [["B", "cp", 5]] });
    assert!(error("circuit", &open).contains("no segment reaches `B`"));
}

fn data(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../light/tests/data").join(name)
}

#[test]
fn photometric_files_are_found_beside_the_case_and_read_alone() {
    let output = run(&["figure", "photometry", data("lighting_ies.json").to_str().unwrap()]);
    let result = parsed(&stdout(&output))["result"].clone();
    let file = parsed(IES);
    let mut compared = 0;
    for (ours, case) in result["files"].as_array().unwrap().iter().zip(file["files"].as_array().unwrap()) {
        if case.get("error").is_some() {
            assert!(ours["error"].as_str().unwrap().contains("1 are missing"), "{ours}");
            continue;
        }
        compared += agrees("photometry", ours, case, 1e-9);
    }
    assert!(compared > 100, "{compared}");
    let alone = run(&["figure", "photometry", data("ies/01_axial_spot.ies").to_str().unwrap()]);
    let alone = parsed(&stdout(&alone))["result"].clone();
    agrees("alone", &alone["peak_cd"], &json!(2406.0), 0.0);
}

#[test]
fn light_on_places_agrees_with_its_closed_forms() {
    let file = parsed(PHOTOMETRY);
    let mut compared = 0;
    for (topic, list, key) in [
        ("illuminance", "inverse_square", "lux"),
        ("illuminance", "diffuse", "cd_per_m2"),
        ("illuminance", "beams", "cospower_lm_per_cd"),
        ("illuminance", "factors", "value"),
        ("illuminance", "area_source", "lux"),
        ("graze", "graze", "lux"),
    ] {
        let result = answer(topic, &json!({ list: file[list] }));
        for (ours, case) in result[list].as_array().unwrap().iter().zip(file[list].as_array().unwrap()) {
            assert!(ours.get(key).is_some(), "{topic} {list}");
            for (key, ours) in ours.as_object().unwrap() {
                compared += agrees(&format!("{list}/{key}"), ours, &case[key], 1e-5);
            }
        }
    }
    assert!(compared > 100, "{compared}");
    assert!(error("graze", &json!({ "beam": "moon" })).contains("expected gaussian"));
}

#[test]
fn whole_sections_come_back_with_the_keys_of_the_file() {
    let file = parsed(WALLS);
    let result = answer("wall", &blind(file.clone()));
    let mut compared = 0;
    for name in ["G1", "G2", "G3", "R1"] {
        compared += agrees(name, &result[name]["expected"], &file[name]["expected"], 1e-7);
        assert!(result[name]["slip_circle"].as_f64().is_some(), "{}", result[name]["slip_circle"]);
    }
    agrees("top", &result["R1"]["top_layer"], &file["R1"]["top_layer"], 1e-7);
    assert!(compared > 250, "{compared}");
    let mut bad = file["G1"].clone();
    bad["inputs"]["n"] = json!(2.5);
    assert!(error("wall", &bad).contains("whole number of courses"));
}

/// Every row of the table is a case, its cells as texts; the whole table is a list of cases.
#[test]
fn rows_of_the_pressure_table_are_cases() {
    let mut lines = PRESSURE.lines();
    let heads: Vec<&str> = lines.next().unwrap().split(',').collect();
    let rows: Vec<Vec<&str>> = lines.map(|line| line.split(',').collect()).collect();
    let case = |row: &Vec<&str>| -> Value {
        heads[..4].iter().zip(row).map(|(head, cell)| ((*head).to_owned(), json!(cell))).collect()
    };
    let cases: Value = rows.iter().map(case).collect();
    let answers = parsed(&stdout(&run_with(&["figure", "earth-pressure"], &cases.to_string())));
    let mut compared = 0;
    for (row, answer) in rows.iter().zip(answers.as_array().unwrap()) {
        for (head, cell) in heads.iter().zip(row).skip(4).filter(|(_, cell)| cell.parse::<f64>().is_ok()) {
            compared += agrees(head, &answer["result"][*head], &serde_json::from_str(cell).unwrap(), 0.0);
        }
    }
    assert!(compared > 300, "{compared}");
}

#[test]
fn networks_of_activities_come_back_with_the_keys_of_the_file() {
    let file = parsed(NETWORKS);
    let result = answer("critical-path", &blind(file.clone()));
    let mut compared = 0;
    for (name, case) in file.as_object().unwrap().iter().filter(|(_, case)| case.get("activities").is_some())
    {
        for key in ["project_duration", "result", "critical"] {
            compared += agrees(name, &result[name][key], &case[key], 0.0);
        }
    }
    assert!(compared > 60, "{compared}");
    let round = json!({ "activities": { "a": { "duration": 1, "predecessors": ["b"] },
        "b": { "duration": 1, "predecessors": ["a"] } } });
    let said = error("critical-path", &round);
    assert!(said.contains('a') && said.contains('b'), "{said}");
}

/// An instance of the PSPLIB format written for this test: two jobs of 3 and 2 share one unit.
#[test]
fn crews_are_scheduled_from_words_and_from_a_file() {
    let case = json!({ "crews": { "mason": 1 }, "activities": {
        "wall": { "duration": 3, "needs": { "mason": 1 } }, "steps": { "duration": 2, "needs": { "mason": 1 } } } });
    let result = answer("crew-schedule", &case);
    assert_eq!((result["makespan"].as_i64(), result["proven"].as_bool()), (Some(5), Some(true)));
    let file = "jobs (incl. supersource/sink ):  4\nPRECEDENCE RELATIONS:\njobnr.    #modes  #successors   successors\n   \
        1        1          2           2   3\n   2        1          1           4\n   3        1          1           4\n   \
        4        1          0\n************\nREQUESTS/DURATIONS:\njobnr. mode duration  R 1\n-----------\n  1      1     0       0\n  \
        2      1     3       1\n  3      1     2       1\n  4      1     0       0\n************\nRESOURCEAVAILABILITIES:\n  R 1\n    1\n************\n";
    let output = run_with(&["figure", "crew-schedule"], file);
    let answer = parsed(&stdout(&output));
    assert_eq!(answer["result"]["makespan"], 5, "{answer}");
    assert!(error("crew-schedule", &json!({})).contains("`crews` is missing"));
}

/// The worked purchase, with the optimum of every set of its suppliers.
#[test]
fn a_purchase_comes_back_with_the_keys_of_the_file() {
    let file = parsed(PURCHASE);
    let result = answer("purchase", &json!({ "problem": file["problem"] }));
    let mut expected = file["answer"].clone();
    expected.as_object_mut().unwrap().remove("solvers");
    let compared = agrees("purchase", &result["answer"], &expected, 0.0);
    assert!(compared > 120, "{compared}");
    assert_eq!(result["answer"]["proven"], true);
    let mut short = file["problem"].clone();
    short["demand"]["soil_yd3"] = json!(900);
    assert!(error("purchase", &short).contains("`soil_yd3`: 900 are needed and 80 can be had"));
}

/// Seconds of the clock.
fn clock(text: &Value) -> i64 {
    let parts: Vec<i64> = text.as_str().unwrap().split(':').map(|part| part.parse().unwrap()).collect();
    parts.iter().fold(0, |sum, part| 60 * sum + part)
}

#[test]
fn dusk_and_dawn_agree_with_two_libraries() {
    let file = parsed(TIMER);
    let result = answer("timer", &file);
    let rows = file["rows"].as_array().unwrap();
    assert!(rows.len() >= 7);
    for (ours, row) in result["rows"].as_array().unwrap().iter().zip(rows) {
        for key in ["sun_m0p833_rise", "sun_m0p833_set", "civil_m6_rise", "civil_m6_set"] {
            let off = clock(&ours[key]) - clock(&row[key]);
            assert!(off.abs() <= 60, "{row}: {key} {}", ours[key]);
        }
    }
}

/// A year of evenings: hours by hand from its single dates; the clocks' change costs no light.
#[test]
fn a_year_of_evenings() {
    let case = json!({ "year": 2025, "tz": "America/Denver", "lat": 39.7392, "lon": -104.9903, "off": "23:00",
        "watts": 100, "price_per_kWh": 0.2 });
    let result = answer("timer", &case);
    assert_eq!((result["evenings"].as_u64(), result["days"].as_array().unwrap().len()), (Some(365), 24));
    let (hours, energy) = (result["hours"].as_f64().unwrap(), result["energy_kWh"].as_f64().unwrap());
    assert!(
        (energy - hours * 0.1).abs() < 1e-9 && (result["cost"].as_f64().unwrap() - energy * 0.2).abs() < 1e-9
    );
    assert!((1000.0..1600.0).contains(&hours), "{hours}");
    let mut dimmed = case.clone();
    dimmed["dim_after"] = json!("00:00");
    dimmed["dim_to"] = json!(0.0);
    dimmed["off"] = json!("01:00");
    let longer = answer("timer", &dimmed);
    let more = longer["hours"].as_f64().unwrap() - hours;
    // Two hours more each evening; on the two nights of change the clock jumps at two, after both.
    assert!((more - 730.0).abs() < 1e-6, "{more}");
    assert!((longer["energy_kWh"].as_f64().unwrap() - (hours + 365.0) * 0.1).abs() < 1e-6);
    assert!(
        error("timer", &json!({ "year": 2025, "tz": "Nowhere/Land", "lat": 0, "lon": 0 }))
            .contains("Nowhere")
    );
}
