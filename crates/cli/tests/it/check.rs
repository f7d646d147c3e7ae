//! `start` and `check`.

use serde_json::Value;

use crate::support::{DESIGN, PROPERTY, project, run, stderr, stdout};

#[test]
fn a_new_project_reads_and_places_in_both_systems() {
    for units in ["us", "metric"] {
        let folder = tempfile::tempdir().unwrap();
        let at = folder.path().join("yard");
        let at = at.to_str().unwrap();
        let output = run(&["start", at, "--units", units, "--name", "A \"quoted\" name"]);
        assert!(output.status.success(), "{}", stderr(&output));
        let output = run(&["check", at, "--format", "json", "--assumptions"]);
        assert!(output.status.success(), "{units}: {}{}", stdout(&output), stderr(&output));
        let answer: Value = serde_json::from_str(&stdout(&output)).unwrap();
        assert_eq!(answer["project"], "A \"quoted\" name");
        assert!(answer["plants"].as_u64().unwrap() > 2, "{units}");
        assert!(!answer["assumptions"].as_array().unwrap().is_empty());
        let again = run(&["start", at]);
        assert_eq!(again.status.code(), Some(1), "files that exist are left as they are");
        assert!(stderr(&again).contains("exists already"));
    }
}

#[test]
fn a_fault_in_a_file_is_shown_with_its_line() {
    let folder = tempfile::tempdir().unwrap();
    project(folder.path(), PROPERTY, &DESIGN.replace("polystichum-munitum", "polystichum-munitun"));
    let output = run(&["check", folder.path().to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(1));
    let text = stderr(&output);
    assert!(
        text.contains("design.toml:9:9: planting `hedge`: `plant`: no stock file has the plant"),
        "{text}"
    );
    assert!(text.contains("did you mean `polystichum-munitum`?"), "{text}");
}

#[test]
fn what_cannot_be_placed_is_shown_with_its_line() {
    let folder = tempfile::tempdir().unwrap();
    let crossed =
        DESIGN.replace("[[5, 20], [55, 20], [55, 35], [5, 35]]", "[[5, 20], [55, 35], [55, 20], [5, 35]]");
    project(folder.path(), PROPERTY, &crossed);
    let output = run(&["check", folder.path().to_str().unwrap(), "--format", "json"]);
    assert_eq!(output.status.code(), Some(1));
    let answer: Value = serde_json::from_str(&stdout(&output)).unwrap();
    let fault = &answer["faults"][0];
    assert_eq!((fault["file"].as_str(), fault["line"].as_u64()), (Some("design.toml"), Some(5)), "{fault}");
    assert!(fault["problem"].as_str().unwrap().contains("cross"), "{fault}");
}

#[test]
fn deny_turns_findings_into_an_exit_code() {
    let folder = tempfile::tempdir().unwrap();
    let toxic = DESIGN.replace("polystichum-munitum", "digitalis-purpurea");
    project(folder.path(), PROPERTY, &toxic);
    let at = folder.path().to_str().unwrap();
    assert_eq!(run(&["check", at]).status.code(), Some(0));
    assert_eq!(run(&["check", at, "--deny", "doubt"]).status.code(), Some(3));
    assert_eq!(run(&["check", at, "--deny", "danger"]).status.code(), Some(0));
    let text = stdout(&run(&["check", at]));
    assert!(text.contains("toxic") && text.contains("[design.toml:"), "{text}");
}

#[test]
fn wrong_use_is_told_apart() {
    assert_eq!(run(&["check"]).status.code(), Some(2));
    let output = run(&["check", "no/such/folder"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(stderr(&output).contains("there is no folder no/such/folder"));
    let output = run(&["issue", "demo/corner-lot", "--paper", "A9"]);
    assert!(stderr(&output).contains("--paper A9"), "{}", stderr(&output));
}

/// A row keeps its rhythm across the walk: the plants that stand are those of the unbroken row.
#[test]
fn a_row_goes_on_in_step_across_the_walk() {
    let folder = tempfile::tempdir().unwrap();
    project(folder.path(), PROPERTY, DESIGN);
    let to = folder.path().join("out");
    let output = run(&["issue", folder.path().to_str().unwrap(), "--to", to.to_str().unwrap()]);
    assert!(output.status.success(), "{}", stderr(&output));
    let table = std::fs::read_to_string(to.join("tables/positions.csv")).unwrap();
    let east: Vec<f64> =
        table.lines().skip(1).map(|line| line.split(',').nth(4).unwrap().parse().unwrap()).collect();
    // 48 ft at 3 ft are 16 steps and 17 plants from 6 ft; those at 30 ft stands in the walk.
    let expected: Vec<f64> =
        (0..17).map(|i| 6.0 + 3.0 * f64::from(i)).filter(|x| !(28.0..=32.0).contains(x)).collect();
    assert_eq!(east.len(), expected.len(), "{east:?}");
    for (found, wanted) in east.iter().zip(&expected) {
        assert!((found - wanted).abs() < 0.01, "{found} {wanted}");
    }
}
