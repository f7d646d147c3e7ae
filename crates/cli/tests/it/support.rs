//! Running the binary, and a small project to run it on.

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

pub(crate) fn workspace() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().unwrap()
}

pub(crate) fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_groundwright"))
        .args(arguments)
        .current_dir(workspace())
        .output()
        .expect("the binary starts")
}

pub(crate) fn run_with(arguments: &[&str], input: &str) -> Output {
    use std::io::Write;
    let mut child = Command::new(env!("CARGO_BIN_EXE_groundwright"))
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the binary starts");
    child.stdin.take().unwrap().write_all(input.as_bytes()).unwrap();
    child.wait_with_output().unwrap()
}

pub(crate) fn stdout(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

pub(crate) fn stderr(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// The Python that `cargo xtask test` sets up.
pub(crate) fn python() -> PathBuf {
    let python = std::env::var_os("GROUNDWRIGHT_PYTHON")
        .map_or_else(|| workspace().join("target/venv/bin/python"), PathBuf::from);
    assert!(python.exists(), "no Python at {}: run `cargo xtask test`, which sets it up", python.display());
    python
}

/// Writes a project of the two files into a folder.
pub(crate) fn project(folder: &Path, property: &str, design: &str) {
    std::fs::create_dir_all(folder).unwrap();
    std::fs::write(folder.join("property.toml"), property).unwrap();
    std::fs::write(folder.join("design.toml"), design).unwrap();
}

pub(crate) const PROPERTY: &str = r#"format = 1
units = "decimal ft"
name = "Test yard"
[boundary]
outline = [[0, 0], [60, 0], [60, 90], [0, 90]]
known = "pins found"
[[building]]
id = "house"
outline = [[10, 40], [50, 40], [50, 70], [10, 70]]
[[surface]]
id = "walk"
kind = "walk"
outline = [[28, 0], [32, 0], [32, 40], [28, 40]]
"#;

pub(crate) const DESIGN: &str = r#"format = 1
[[bed]]
id = "front"
mulch = "medium-bark"
outline = [[5, 20], [55, 20], [55, 35], [5, 35]]
[[planting]]
id = "hedge"
role = "hedge"
plant = "polystichum-munitum"
spacing = "3 ft"
row = { line = [[6, 22], [54, 22]] }
"#;
