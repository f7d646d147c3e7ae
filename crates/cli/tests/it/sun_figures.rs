//! `figure` topics of sun, climate and growth: rows of the check tables go in as they stand.
//!
//! Sources of the tables stand in `crates/sun/tests/data/SOURCES.md` and at the checks there.

use serde_json::{Map, Value, json};

use crate::support::{run, run_with, stdout};

const TOPICS: [&str; 7] =
    ["sun", "rise-set", "shadow", "evapotranspiration", "growth", "light-class", "plant-list"];

/// Rows of a table as cases: every value a text.
fn cases(table: &str) -> Vec<Value> {
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let rows = reader.deserialize::<std::collections::BTreeMap<String, String>>();
    rows.map(|row| {
        let fields: Map<String, Value> = row.unwrap().into_iter().map(|(k, v)| (k, json!(v))).collect();
        Value::Object(fields)
    })
    .collect()
}

fn answers(topic: &str, cases: &[Value]) -> Vec<Value> {
    let output = run_with(&["figure", topic], &serde_json::to_string(cases).unwrap());
    assert!(output.status.success(), "{}", stdout(&output));
    serde_json::from_str(&stdout(&output)).unwrap()
}

/// The printed value of a column and the result of the same name.
fn agree(answer: &Value, columns: &[&str], within: f64) {
    for column in columns {
        let printed: f64 = answer[*column].as_str().unwrap().parse().unwrap();
        let ours = answer["result"][*column].as_f64().unwrap();
        assert!((ours - printed).abs() <= within * printed.abs().max(1.0), "{column}: {ours} in {answer}");
    }
}

#[test]
fn positions_skies_and_growth_agree_with_their_tables() {
    for answer in answers("sun", &cases(include_str!("../../../sun/tests/data/sun-positions.csv"))) {
        agree(&answer, &["zenith_geometric", "zenith_apparent"], 1e-5);
        agree(&answer, &["equation_of_time_min"], 1e-3);
    }
    for answer in answers("sun", &cases(include_str!("../../../sun/tests/data/clear-sky.csv"))) {
        agree(&answer, &["ghi", "dni", "dhi", "haurwitz_ghi"], 5e-3);
    }
    let trees = cases(include_str!("../../../yard/tests/data/tree-growth.csv"));
    let trees: Vec<Value> = trees.into_iter().filter(|tree| tree["dbh_cm"] != "").collect();
    assert_eq!(trees.len(), 28);
    for answer in answers("growth", &trees) {
        agree(&answer, &["dbh_cm", "height_m", "crown_diameter_m"], 1e-3);
    }
}

#[test]
fn days_agree_with_their_table() {
    for answer in answers("rise-set", &cases(include_str!("../../../sun/tests/data/sun-rise-set.csv"))) {
        let (result, id) = (&answer["result"], &answer["id"]);
        assert_eq!(result["state"], answer["state"], "{id}");
        for column in ["civil_dawn", "sunrise", "transit", "sunset", "civil_dusk"] {
            let printed = answer[column].as_str().unwrap();
            match result[column].as_str() {
                None => assert_eq!(printed, "", "{id} {column}"),
                Some(ours) => {
                    assert_eq!(&ours[20..], &printed[20..], "{id} {column}: the clock's offset");
                    let at = |text: &str| jiff::Timestamp::strptime("%Y-%m-%d %H:%M:%S %z", text).unwrap();
                    let off = at(ours).as_second() - at(printed).as_second();
                    assert!(off.abs() <= 6, "{id} {column}: {off} s");
                }
            }
        }
    }
}

/// Lengths h / tan e and profile angles atan(tan e / cos g): plane geometry. FAO-56, example 18.
#[test]
fn shadows_and_evapotranspiration_by_hand() {
    let shadow = |case: &str| -> Value {
        serde_json::from_str::<Value>(&stdout(&run_with(&["figure", "shadow"], case))).unwrap()["result"]
            .clone()
    };
    let length = shadow(r#"{ "height": "6 m", "elevation_deg": 5 }"#)["shadow_length_m"].as_f64().unwrap();
    assert!((length - 68.5803).abs() < 5e-5);
    let profile =
        shadow(r#"{ "height": 1, "elevation_deg": 30, "g_deg": 60 }"#)["profile_angle_deg"].as_f64().unwrap();
    assert!((profile - 49.1066).abs() < 5e-5);
    // h08 of the sun-hours table: a finite wall 2 m south of the point.
    let wall = shadow(
        r#"{ "lat": 40, "lon": -105, "date": "2025-03-20", "point": [0, 0, 0], "bodies": [{ "wall": [[-3, -2], [3, -2]], "height": "2.4 m" }] }"#,
    );
    assert!((wall["sun_hours"].as_f64().unwrap() - 7.867).abs() < 0.05, "{wall}");
    let example = stdout(&run(&["figure", "evapotranspiration", "--example"]));
    let answer: Value =
        serde_json::from_str(&stdout(&run_with(&["figure", "evapotranspiration"], &example))).unwrap();
    assert!((answer["result"]["eto_mm_per_day"].as_f64().unwrap() - 3.88).abs() < 0.005, "{answer}");
}

/// The lists are as long as asked, harmless where asked, differ in two plants, and cover months.
#[test]
fn plant_lists_keep_their_wishes() {
    let example = stdout(&run(&["figure", "plant-list", "--example"]));
    let answer: Value =
        serde_json::from_str(&stdout(&run_with(&["figure", "plant-list"], &example))).unwrap();
    let lists: Vec<Vec<String>> = answer["result"]["lists"]
        .as_array()
        .unwrap()
        .iter()
        .map(|list| {
            list["plants"]
                .as_array()
                .unwrap()
                .iter()
                .map(|p| p["plant"].as_str().unwrap().to_owned())
                .collect()
        })
        .collect();
    assert_eq!(lists.len(), 2);
    assert!(lists.iter().all(|list| list.len() == 5));
    assert!(lists[0].iter().filter(|plant| lists[1].contains(plant)).count() <= 3);
    let stock = groundwright_plan::stock::embedded();
    for id in lists.iter().flatten() {
        let taxon = &stock.taxa[&groundwright_plan::TaxonId(id.clone())];
        assert_eq!(taxon.toxicity, "none known", "{id}");
        assert!(
            taxon.mature_height() <= 2.0 && taxon.zones.is_none_or(|(a, b)| (a..=b).contains(&8)),
            "{id}"
        );
    }
}

#[test]
fn examples_work_and_bad_cases_say_what_was_expected() {
    for topic in TOPICS {
        let example = stdout(&run(&["figure", topic, "--example"]));
        let output = run_with(&["figure", topic], &example);
        assert!(output.status.success(), "{topic}: {}", stdout(&output));
        assert!(stdout(&run(&["figure", topic, "--help"])).contains("Example"), "{topic}");
    }
    for (topic, case, words) in [
        ("sun", r#"{ "lat": 95, "lon": 0, "utc": "2025-01-01 00:00:00" }"#, "latitude"),
        ("sun", r#"{ "lat": 45, "lon": 0, "utc": "noon" }"#, "expected a time"),
        ("rise-set", r#"{ "lat": 45, "lon": 0, "date": "2025-01-01", "tz": "Mars/Base" }"#, "Mars/Base"),
        ("shadow", r#"{ "height": "1 m", "elevation_deg": 0 }"#, "more than 0"),
        (
            "shadow",
            r#"{ "lat": 40, "lon": 0, "date": "2025-03-20", "point": [0, 0, 0], "bodies": [{ "box": [[0, 0], [1, 1], [1, 0], [0, 1]], "height": 2 }] }"#,
            "body 1",
        ),
        ("evapotranspiration", r#"{ "lat": 40, "J": 400, "Tmax": 20, "Tmin": 10 }"#, "`J` is 400"),
        ("growth", r#"{ "species": "Quercus agrifolia", "region": "NoEast", "age_yr": 5 }"#, "InlEmp"),
        ("light-class", r#"{ "sun_hours": 30 }"#, "0 to 24"),
        ("plant-list", r#"{ "zone": 8, "taxa": 12, "height_max": "1 mm" }"#, "grows too large"),
    ] {
        let output = run_with(&["figure", topic], case);
        assert_eq!(output.status.code(), Some(1), "{case}");
        let answer: Value = serde_json::from_str(&stdout(&output)).unwrap();
        assert!(answer["error"].as_str().unwrap().contains(words), "{case}: {answer}");
    }
}
