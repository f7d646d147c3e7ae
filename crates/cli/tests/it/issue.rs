//! `issue`: the package of the demos, read back by other people's libraries.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;
use std::time::Duration;

use serde_json::Value;

use crate::support::{python, run, stderr, stdout, workspace};

fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let list = std::fs::read_to_string(folder.join("contents.txt")).unwrap();
    list.lines().map(|name| (name.to_owned(), std::fs::read(folder.join(name)).unwrap())).collect()
}

fn issue(project: &str, to: &Path, more: &[&str]) -> Value {
    let mut arguments = vec!["issue", project, "--format", "json", "--to", to.to_str().unwrap()];
    arguments.extend(more);
    let output = run(&arguments);
    assert!(output.status.success(), "{}", stderr(&output));
    serde_json::from_str(&stdout(&output)).unwrap()
}

/// Two seconds apart, on one thread and on two: the same bytes.
#[test]
fn the_same_project_gives_the_same_bytes() {
    let folder = tempfile::tempdir().unwrap();
    let (one, two) = (folder.path().join("one"), folder.path().join("two"));
    issue("demo/corner-lot", &one, &["--threads", "1"]);
    std::thread::sleep(Duration::from_secs(2));
    issue("demo/corner-lot", &two, &["--threads", "2"]);
    let (one, two) = (contents(&one), contents(&two));
    assert_eq!(one.keys().collect::<Vec<_>>(), two.keys().collect::<Vec<_>>());
    for (name, bytes) in &one {
        assert!(bytes == &two[name], "{name} differs");
    }
}

/// PDF pages and sizes, true scale, DXF audits and XLSX cells, by pypdfium2, ezdxf and openpyxl.
#[test]
fn other_libraries_read_the_package() {
    for project in ["demo/corner-lot", "demo/courtyard-metric"] {
        let folder = tempfile::tempdir().unwrap();
        issue(project, folder.path(), &[]);
        let script = workspace().join("crates/cli/tests/read_package.py");
        let output = Command::new(python()).arg(&script).arg(folder.path()).arg(project).output().unwrap();
        assert!(output.status.success(), "{project}\n{}{}", stdout(&output), stderr(&output));
    }
}

/// The demo is what it promises to be.
#[test]
fn the_corner_lot_has_what_it_promises() {
    let folder = tempfile::tempdir().unwrap();
    let answer = issue("demo/corner-lot", folder.path(), &[]);
    assert!(answer["files"].as_array().unwrap().len() > 12);
    let table = |name: &str| -> Vec<Vec<String>> {
        let text = std::fs::read_to_string(folder.path().join(format!("tables/{name}.csv"))).unwrap();
        let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(text.as_bytes());
        reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect()
    };
    let positions = table("positions");
    let new = positions.iter().filter(|row| row[3] != "transplant").count();
    assert!(new >= 350, "{new} new plants");
    let mut taxa: Vec<&String> =
        positions.iter().filter(|row| row[3] != "transplant").map(|row| &row[2]).collect();
    taxa.sort();
    taxa.dedup();
    assert!(taxa.len() >= 25, "{} taxa", taxa.len());
    let moved = positions.len() - new;
    assert!(moved >= 10, "{moved} transplants");
    // The takeoff counts what the plan shows.
    let net: f64 = table("takeoff")
        .iter()
        .filter(|row| row[0] == "Planting" || row[0] == "Seasonal colour")
        .filter(|row| row[1].contains(", "))
        .map(|row| row[2].parse::<f64>().unwrap())
        .sum();
    assert!((net - new as f64).abs() < 1e-9, "{net} in the takeoff, {new} on the plan");
}

/// A later package takes away what it no longer has, and nothing that is not its own.
#[test]
fn stale_sheets_go_and_other_files_stay() {
    let folder = tempfile::tempdir().unwrap();
    let to = folder.path();
    std::fs::write(to.join("my-notes.txt"), "mine").unwrap();
    issue("demo/corner-lot", to, &[]);
    let list = std::fs::read_to_string(to.join("contents.txt")).unwrap();
    std::fs::write(to.join("drawings/old.svg"), "stale").unwrap();
    std::fs::write(to.join("contents.txt"), format!("{list}drawings/old.svg\n../outside.txt\n")).unwrap();
    issue("demo/corner-lot", to, &[]);
    assert!(!to.join("drawings/old.svg").exists());
    assert_eq!(std::fs::read_to_string(to.join("my-notes.txt")).unwrap(), "mine");
}
