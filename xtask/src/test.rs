//! `cargo xtask test`: everything that must hold, in one command on a fresh machine with Rust.
//!
//! Every stage runs, whatever became of the one before it, and shows its output as it comes. At
//! the end stand the times of the stages, the lines that the test runner closed with, and as the
//! last line how many tests passed and failed.

use std::io::{BufRead, BufReader};
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use crate::machine::Browser;
use crate::workspace::cargo;
use crate::{machine, tidy};

/// A stage that has run.
struct Stage {
    name: &'static str,
    took: Duration,
    result: Result<(), String>,
}

/// Runs all stages.
///
/// # Errors
/// The stages that failed.
pub fn run() -> Result<(), String> {
    let mut stages = Vec::new();
    let mut python = None;
    let mut browser = None;
    let mut closing = Vec::new();
    stage(&mut stages, "set up", || {
        machine::components()?;
        python = Some(machine::python()?);
        browser = Some(machine::browser()?);
        Ok(())
    });
    stage(&mut stages, "cargo fmt", || command(cargo().args(["fmt", "--all", "--check"])));
    stage(&mut stages, "cargo clippy", || {
        command(cargo().args(["clippy", "--release", "--workspace", "--all-targets", "--", "-D", "warnings"]))
    });
    stage(&mut stages, "cargo test", || tests(python.as_ref(), browser.as_ref(), &mut closing));
    stage(&mut stages, "cargo xtask tidy", tidy::run);
    report(&stages, &closing)
}

fn stage(stages: &mut Vec<Stage>, name: &'static str, work: impl FnOnce() -> Result<(), String>) {
    println!("── {name}");
    let start = Instant::now();
    let result = work();
    if let Err(why) = &result {
        eprintln!("{name}: {why}");
    }
    stages.push(Stage { name, took: start.elapsed(), result });
}

fn command(command: &mut Command) -> Result<(), String> {
    match command.status() {
        Ok(status) if status.success() => Ok(()),
        Ok(status) => Err(status.to_string()),
        Err(error) => Err(error.to_string()),
    }
}

/// Runs every test of the workspace; keeps the lines that the runner closes each binary with.
fn tests(
    python: Option<&PathBuf>,
    browser: Option<&Browser>,
    closing: &mut Vec<String>,
) -> Result<(), String> {
    let mut command = cargo();
    command.args(["test", "--release", "--workspace", "--no-fail-fast"]).stdout(Stdio::piped());
    if let Some(python) = python {
        command.env("GROUNDWRIGHT_PYTHON", python);
    }
    if let Some(browser) = browser {
        command.env("GROUNDWRIGHT_BROWSER", &browser.modules).env("GROUNDWRIGHT_CHROMIUM", &browser.chromium);
    }
    let mut child = command.spawn().map_err(|error| error.to_string())?;
    for line in child.stdout.take().into_iter().flat_map(|out| BufReader::new(out).split(b'\n')) {
        let line = String::from_utf8_lossy(&line.map_err(|error| error.to_string())?).into_owned();
        println!("{line}");
        if line.starts_with("test result:") || line.starts_with("test ") && line.ends_with("FAILED") {
            closing.push(line);
        }
    }
    let status = child.wait().map_err(|error| error.to_string())?;
    if status.success() { Ok(()) } else { Err(status.to_string()) }
}

/// Passed and failed tests, summed over the closing lines of all binaries.
fn totals(closing: &[String]) -> (usize, usize) {
    let count = |line: &str, word: &str| {
        let before = line.split_once(word).map_or("", |(before, _)| before);
        before.split_whitespace().next_back().and_then(|number| number.parse().ok()).unwrap_or(0_usize)
    };
    closing.iter().filter(|line| line.starts_with("test result:")).fold((0, 0), |(passed, failed), line| {
        (passed + count(line, " passed"), failed + count(line, " failed"))
    })
}

fn report(stages: &[Stage], closing: &[String]) -> Result<(), String> {
    println!("\n{:<18}{:>9}  result", "stage", "time");
    for stage in stages {
        let result = if stage.result.is_ok() { "ok" } else { "FAILED" };
        println!("{:<18}{:>7.1} s  {result}", stage.name, stage.took.as_secs_f64());
    }
    let total: Duration = stages.iter().map(|stage| stage.took).sum();
    println!("{:<18}{:>7.1} s\n", "all", total.as_secs_f64());
    // Binaries without tests of their own would hide the others.
    for line in closing.iter().filter(|line| !line.contains(" 0 passed; 0 failed; 0 ignored;")) {
        println!("{line}");
    }
    let failed: Vec<&str> = stages.iter().filter(|s| s.result.is_err()).map(|s| s.name).collect();
    let (passed_tests, failed_tests) = totals(closing);
    if !failed.is_empty() {
        println!("failed: {}", failed.join(", "));
    }
    println!("{passed_tests} passed, {failed_tests} failed");
    if failed.is_empty() { Ok(()) } else { Err(String::new()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_closing_lines_of_all_binaries_are_summed() {
        let closing = [
            "test folder::reads ... FAILED",
            "test result: FAILED. 12 passed; 1 failed; 0 ignored; 0 measured; 0 filtered out; finished in 0.02s",
            "test result: ok. 30 passed; 0 failed; 0 ignored; 0 measured; 3 filtered out; finished in 4.30s",
        ]
        .map(str::to_owned);
        assert_eq!(totals(&closing), (42, 1));
        assert_eq!(totals(&[]), (0, 0));
    }
}
