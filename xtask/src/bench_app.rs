//! `cargo xtask bench-app`: the app in a real browser, as a person meets it.
//!
//! - In: the built binary, the corner lot and a field of 4,840 plants. Out: cold start, first plan,
//!   and from a hand's move to the frame that shows its rows and findings.
//! - The browser's part is `crates/web/tests/browser/bench.mjs`.

use std::process::Command;

use crate::{machine, page, workspace};

/// Runs the benchmark.
pub fn run() -> Result<(), String> {
    let browser = machine::browser()?;
    let build = workspace::cargo().args(["build", "--release"]).current_dir(workspace::root()).status();
    if !build.is_ok_and(|status| status.success()) {
        return Err("the app does not build".to_owned());
    }
    let output = Command::new("node")
        .arg(workspace::root().join("crates/web/tests/browser/bench.mjs"))
        .env("GROUNDWRIGHT_BROWSER", &browser.modules)
        .env("GROUNDWRIGHT_CHROMIUM", &browser.chromium)
        .output()
        .map_err(|e| format!("node: {e}"))?;
    let table = String::from_utf8_lossy(&output.stdout).into_owned();
    if !output.status.success() {
        return Err(format!("{table}{}", String::from_utf8_lossy(&output.stderr)));
    }
    println!("{table}");
    page::write("bench-app", &table)
}
