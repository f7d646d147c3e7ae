//! Asks an independent reader (`tests/read_dxf.py`) what a file holds.
//!
//! The interpreter comes from `GROUNDWRIGHT_PYTHON`, otherwise from `target/venv`; without it the
//! checks fail, because a check that is skipped checks nothing.

use std::path::{Path, PathBuf};
use std::process::Command;

fn interpreter() -> PathBuf {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    std::env::var_os("GROUNDWRIGHT_PYTHON").map_or_else(|| root.join("target/venv/bin/python"), PathBuf::from)
}

/// Runs the script on a file with this content and reads its answer.
pub fn ask(question: &str, name: &str, content: &[u8]) -> serde_json::Value {
    let python = interpreter();
    assert!(
        python.exists() || python.components().count() == 1,
        "no Python interpreter at {}: run `cargo xtask test`, which makes it with the reader of DXF, \
         or set GROUNDWRIGHT_PYTHON to one that has ezdxf",
        python.display()
    );
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::write(&file, content).unwrap();
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/read_dxf.py");
    let answer =
        Command::new(&python).arg(script).arg(question).arg(&file).output().unwrap_or_else(|error| {
            panic!("{} does not run ({error}): run `cargo xtask test`", python.display())
        });
    assert!(
        answer.status.success(),
        "the reader failed on {}; if ezdxf is missing run `cargo xtask test`\n{}",
        file.display(),
        String::from_utf8_lossy(&answer.stderr)
    );
    serde_json::from_slice(&answer.stdout).unwrap()
}
