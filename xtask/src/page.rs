//! `docs/performance.md`: each benchmark writes its table between marks of its own, with the date
//! and the machine.

use std::process::Command;

use crate::workspace;

const END: &str = "<!-- end -->";

/// Puts the table of `cargo xtask COMMAND` into the page.
///
/// # Errors
/// The page, or the command's mark in it, is missing.
pub fn write(command: &str, table: &str) -> Result<(), String> {
    let path = workspace::root().join("docs/performance.md");
    let page = std::fs::read_to_string(&path).map_err(|e| format!("{}: {e}", path.display()))?;
    let begin = format!("<!-- written by `cargo xtask {command}` -->");
    let missing = |what: &str| format!("docs/performance.md has no `{what}` to write beside");
    let (before, rest) = page.split_once(&begin).ok_or_else(|| missing(&begin))?;
    let (_, after) = rest.split_once(END).ok_or_else(|| missing(END))?;
    let text = format!("{before}{begin}\n\n{}\n\n{}\n\n{END}{after}", machine(), table.trim());
    std::fs::write(&path, text).map_err(|e| format!("{}: {e}", path.display()))
}

/// Date and machine, in words.
fn machine() -> String {
    let shell = |program: &str, arguments: &[&str]| {
        let output = Command::new(program).args(arguments).output().ok();
        output.map_or_else(String::new, |o| String::from_utf8_lossy(&o.stdout).trim().to_owned())
    };
    let model = std::fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let model =
        model.lines().find_map(|line| line.strip_prefix("model name")).unwrap_or(": unknown processor");
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    format!(
        "{}; {cores} threads of {}; {}.",
        shell("date", &["-u", "+%Y-%m-%d"]),
        model.trim_start_matches([' ', '\t', ':']),
        shell("rustc", &["--version"])
    )
}
