//! `figure probe` and `render`: the reference scene through the binary. Source: `tests/data/README.md`.

use serde_json::{Value, json};

use crate::support::{run, run_with, stdout};

const SCENE: &str = include_str!("../data/lighting_scene_a.json");
const EXPECTED: &str = include_str!("../data/lighting_scene_a_expected.json");
const BLOCKS: &str = include_str!("../data/lighting_scene_a_image_blocks.json");

fn answer(topic: &str, case: &Value) -> Value {
    let output = run_with(&["figure", topic], &case.to_string());
    let answer: Value = serde_json::from_str(&stdout(&output)).unwrap_or_else(|e| panic!("{topic}: {e}"));
    assert!(output.status.success(), "{topic}: {}", answer["error"]);
    answer["result"].clone()
}

fn error(topic: &str, case: &Value) -> String {
    let output = run_with(&["figure", topic], &case.to_string());
    assert!(!output.status.success(), "{topic} {case}");
    let answer: Value = serde_json::from_str(&stdout(&output)).expect("JSON");
    answer["error"].as_str().expect("an error").to_owned()
}

fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or_else(|| panic!("{key} in {value}"))
}

/// Direct light to 0.05 %; after bounces to 2 % or four standard errors of both renderers.
#[test]
fn probes_agree_with_the_reference_renderer() {
    let case: Value = serde_json::from_str(SCENE).expect("JSON");
    let expected: Value = serde_json::from_str(EXPECTED).expect("JSON");
    let found = answer("probe", &case);
    let rows = expected["probes"].as_array().expect("rows");
    assert_eq!(found["probes"].as_array().map(Vec::len), Some(12));
    for (ours, theirs) in found["probes"].as_array().expect("rows").iter().zip(rows) {
        let name = &theirs["name"];
        assert_eq!(&ours["name"], name);
        let (direct, closed) = (number(ours, "direct"), number(theirs, "direct"));
        assert!((direct - closed).abs() <= 5e-4 * closed, "{name}: direct {direct}, {closed}");
        for key in ["bounce1", "bounce1to2", "bounce1to8"] {
            let error = format!("{key}_se");
            let (our, their) = (number(ours, key), number(theirs, key));
            let errors = number(ours, &error).hypot(number(theirs, &error));
            assert!((our - their).abs() <= (4.0 * errors).max(0.02 * their), "{name}: {key} {our}, {their}");
            assert!(number(ours, &error) < 0.02 * their, "{name}: {key} is too noisy to tell");
        }
        let sum = direct + number(ours, "bounce1to2");
        assert!((number(ours, "total_2_bounce") - sum).abs() < 1e-9);
    }
}

/// Mean of the image to 0.5 %, blocks to 2 % or 0.003 cd/m² and four standard errors of both; the
/// brightest pixel to 1 %.
#[test]
fn the_image_agrees_with_the_reference_renderer() {
    let mut case: Value = serde_json::from_str(SCENE).expect("JSON");
    case["samples"] = json!(64);
    let expected: Value = serde_json::from_str(BLOCKS).expect("JSON");
    let found = answer("render", &case);
    let (mean, theirs) = (number(&found, "image_mean"), number(&expected, "image_mean"));
    assert!((mean / theirs - 1.0).abs() < 0.005, "mean {mean}, {theirs}");
    let (most, theirs) = (number(&found, "image_max_pixel"), number(&expected, "image_max_pixel"));
    assert!((most / theirs - 1.0).abs() < 0.01, "brightest {most}, {theirs}");
    let rows = |value: &Value| -> Vec<f64> {
        let rows = value["blocks"].as_array().expect("rows").iter();
        rows.flat_map(|row| row.as_array().expect("a row").iter().map(|v| v.as_f64().expect("a number")))
            .collect()
    };
    let (ours, theirs) = (rows(&found), rows(&expected));
    assert_eq!((ours.len(), theirs.len()), (576, 576));
    for (i, (a, b)) in ours.iter().zip(&theirs).enumerate() {
        // The reference's own noise reaches 0.003 cd/m² in single blocks, and so does ours.
        assert!((a - b).abs() <= (0.02 * b).max(0.003) + 0.003, "block {i}: {a}, {b}");
    }
    let outside = ours.iter().zip(&theirs).filter(|(a, b)| (*a - *b).abs() > (0.02 * **b).max(0.003)).count();
    assert!(outside <= 6, "{outside} of 576 blocks are off by more than the tolerance");
    let layers: f64 = found["layers"].as_object().expect("layers").values().filter_map(Value::as_f64).sum();
    assert!((layers / mean - 1.0).abs() < 1e-4, "layers sum to {layers}, the image has {mean}");
    assert_eq!(found["luminance"].as_array().map(Vec::len), Some(360));
}

#[test]
fn bad_scenes_are_said_with_their_place() {
    let wall =
        json!({ "name": "wall", "type": "box", "min": [0, 0, 0], "max": [1, 0, 1], "reflectance": 0.5 });
    let probe = json!({ "name": "here", "position": [0, -1, 0], "normal": [0, 0, 1] });
    let case = json!({ "shapes": [wall], "probes": [probe] });
    assert_eq!(error("probe", &case), "shape 1 wall: `max` is not above `min` along every axis");
    let case = json!({ "shapes": [{ "type": "heap", "reflectance": 0.2 }], "probes": [probe] });
    assert!(error("probe", &case).contains("expected ground, box, cylinder, ellipsoid or sphere"));
    assert!(error("probe", &json!({ "shapes": [] })).contains("`probes` is missing or empty"));
    assert!(error("render", &json!({ "shapes": [] })).contains("`camera` is missing"));
    let camera =
        json!({ "position": [0, 0, 1], "target": [0, 0, 1], "fov_x_deg": 50, "width": 8, "height": 8 });
    assert_eq!(
        error("render", &json!({ "camera": camera })),
        "camera: the eye and what it looks at are the same place, or not finite"
    );
    let lamp =
        json!({ "name": "up", "position": [0, 0, 0], "target": [0, 0, 1], "table": [[10, 5], [5, 1]] });
    let said = error("probe", &json!({ "lights": [lamp], "probes": [probe] }));
    assert!(said.starts_with("light 1 up: its intensities are no table"), "{said}");
}

#[test]
fn the_examples_of_the_help_can_be_run() {
    for topic in ["probe", "render", "resection"] {
        let example = stdout(&run(&["figure", topic, "--example"]));
        let case: Value = serde_json::from_str(&example).expect("JSON");
        let found = answer(topic, &case);
        assert!(found.is_object());
        if topic == "probe" {
            assert!(number(&found["probes"][0], "direct") > 100.0, "{found}");
        }
    }
}

/// The example's photograph was taken from (5, −15, 1.7) towards (6.5, 0, 1.4) at 65.9° (its pixels by
/// hand, in closed form, to whole pixels).
#[test]
fn a_photograph_tells_where_it_was_taken() {
    let example = stdout(&run(&["figure", "resection", "--example"]));
    let case: Value = serde_json::from_str(&example).expect("JSON");
    let found = answer("resection", &case);
    let at: Vec<f64> = found["at_m"].as_array().expect("a place").iter().filter_map(Value::as_f64).collect();
    for (ours, theirs) in at.iter().zip([5.0, -15.0, 1.7]) {
        assert!((ours - theirs).abs() < 0.15, "{at:?}");
    }
    assert!((number(&found, "angle_deg") - 65.9).abs() < 0.8, "{}", found["angle_deg"]);
    assert!(number(&found, "rms_px") < 1.5 && found["points"].as_array().map(Vec::len) == Some(6), "{found}");
    let mut short = case.clone();
    short["points"] = json!([case["points"][0], case["points"][1]]);
    assert!(error("resection", &short).starts_with("2 points are given; expected 4 or more"));
    short["points"] = json!([{ "name": "post", "at": [0, 0], "pixel": [1, 2] }]);
    assert_eq!(error("resection", &short), "point 1 post: `at` is no [x, y, z] in metres");
}
