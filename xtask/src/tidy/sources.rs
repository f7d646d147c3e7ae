//! Headers, names and tests of the Rust sources.
//!
//! - In: the files and the names of the disciplines. Out: slips.
//! - Method: line by line, without a parser; what a line cannot tell is left to a reader. Code
//!   below `#[cfg(test)]` and under `tests/` and `benches/` counts as tests.
//! - Not here: what rustc and clippy see.

use super::{File, Slip};

/// Slips of every Rust file.
pub fn check(files: &[File], disciplines: &[String]) -> Vec<Slip> {
    let only_for_tests = test_modules(files);
    let mut slips = Vec::new();
    for file in files.iter().filter(|file| file.path.to_lowercase().ends_with(".rs")) {
        let text = file.text.as_deref().unwrap_or_default();
        if !text.starts_with("//!") {
            slips.push(Slip::new(
                &file.path,
                1,
                "no header: begin with `//!` and what goes in, what comes out, by which method",
            ));
        }
        slips.extend(file_name(&file.path));
        let test =
            in_test_folder(&file.path) || only_for_tests.iter().any(|module| file.path.starts_with(module));
        slips.extend(lines(&file.path, text, test));
        let discipline = disciplines.iter().any(|name| file.path.starts_with(&format!("crates/{name}/src/")));
        if discipline && !test {
            slips.extend(suffixes(&file.path, text));
        }
    }
    slips
}

fn in_test_folder(path: &str) -> bool {
    path.split('/').any(|part| part == "tests" || part == "benches")
}

/// Names that say nothing of what is inside.
const EMPTY_NAMES: [&str; 6] = ["utils", "util", "helpers", "helper", "manager", "managers"];

fn file_name(path: &str) -> Option<Slip> {
    let part = path.trim_end_matches(".rs").split('/').find(|part| EMPTY_NAMES.contains(part))?;
    Some(Slip::new(path, 0, format!("`{part}` says nothing of what is inside; name it after that")))
}

/// Line by line: what tests may not do, and what code outside tests may not do.
fn lines(path: &str, text: &str, test: bool) -> Vec<Slip> {
    let mut slips = Vec::new();
    let mut test = test;
    let mut all = text.lines().map(str::trim).enumerate().peekable();
    while let Some((i, line)) = all.next() {
        let mut slip = |text: &str| slips.push(Slip::new(path, i + 1, text));
        if line.starts_with("//") {
            continue;
        }
        if line.starts_with("#[cfg(test)]") {
            // `mod tests;` names a file, `mod tests {` ends this one.
            test |= !all.peek().is_some_and(|(_, next)| next.ends_with(';'));
        }
        if line.contains(concat!("#[", "ignore")) {
            slip("a test that is switched off: assert today's answer and say why it is wrong");
        }
        if line.contains(concat!("if ", "false")) {
            slip("code that never runs: delete it");
        }
        if !test && line.contains(concat!(".unwrap", "()")) {
            slip("unwrap is for tests: return an error, or `expect` with the reason why it cannot happen");
        }
        if defines(line, "fn ").is_some_and(|name| name.starts_with("get_")) {
            slip("a function is a question or a verb: leave `get_` out");
        }
        if let Some(name) = defines(line, "mod ").filter(|name| EMPTY_NAMES.contains(name)) {
            slip(&format!("`{name}` says nothing of what is inside; name it after that"));
        }
    }
    slips
}

/// The name behind `fn ` or `mod ` where the line defines one.
fn defines<'l>(line: &'l str, keyword: &str) -> Option<&'l str> {
    let at = line.find(keyword)?;
    let modifier = |word: &str| word.starts_with("pub") || ["const", "async", "unsafe"].contains(&word);
    let plain = line[..at].split_whitespace().all(modifier);
    let end = |c: char| !(c.is_alphanumeric() || c == '_');
    plain.then(|| line[at + keyword.len()..].split(end).next().unwrap_or_default())
}

/// Files and folders that are modules for tests only: `#[cfg(test)]` above `mod name;`.
fn test_modules(files: &[File]) -> Vec<String> {
    let mut modules = Vec::new();
    for file in files {
        let Some((folder, name)) = file.path.strip_suffix(".rs").and_then(|path| path.rsplit_once('/'))
        else {
            continue;
        };
        let below = if ["lib", "main", "mod"].contains(&name) {
            folder.to_owned()
        } else {
            format!("{folder}/{name}")
        };
        let text = file.text.as_deref().unwrap_or_default();
        for (line, next) in text.lines().zip(text.lines().skip(1)) {
            let for_tests = line.trim() == "#[cfg(test)]" && next.trim_end().ends_with(';');
            if let Some(name) = defines(next.trim(), "mod ").filter(|_| for_tests) {
                modules.extend([format!("{below}/{name}.rs"), format!("{below}/{name}/")]);
            }
        }
    }
    modules
}

/// Endings of names that carry a unit.
const SUFFIXES: [&str; 27] = [
    "_m", "_mm", "_cm", "_km", "_m2", "_m3", "_kg", "_s", "_rad", "_si", "_deg", "_degrees", "_ft", "_feet",
    "_in", "_inch", "_inches", "_yd", "_sqft", "_cuyd", "_gal", "_gpm", "_psi", "_lb", "_lbs", "_percent",
    "_f",
];

/// Suffixes of coherent SI, which no name needs.
const COHERENT: [&str; 6] = ["_m", "_m2", "_m3", "_kg", "_s", "_rad"];

/// Public numbers of a discipline whose names carry a unit. Inside all is coherent SI; a number
/// that is not says so in its docstring, in brackets: `[ft]`.
fn suffixes(path: &str, text: &str) -> Vec<Slip> {
    let mut slips = Vec::new();
    let mut documented = String::new();
    for (i, line) in text.lines().map(str::trim).enumerate() {
        if line.starts_with("///") {
            documented.push_str(line);
            continue;
        }
        if line.starts_with("#[cfg(test)]") {
            break;
        }
        for name in numbers(line) {
            let Some(suffix) = SUFFIXES.iter().find(|suffix| name.ends_with(**suffix)) else { continue };
            if COHERENT.contains(suffix) {
                slips.push(Slip::new(
                    path,
                    i + 1,
                    format!("`{name}` is in SI like everything inside; leave `{suffix}` out"),
                ));
            } else if !documented.contains(&format!("[{}", suffix.trim_start_matches('_')))
                && !documented.contains('%')
            {
                slips.push(Slip::new(path, i + 1, format!(
                    "`{name}` is not in SI; convert it at the edge, or say its unit in the docstring, such as [ft]"
                )));
            }
        }
        if !line.starts_with("#[") {
            documented.clear();
        }
    }
    slips
}

/// Names of the public numbers that a line declares: fields, constants, arguments of functions.
fn numbers(line: &str) -> Vec<&str> {
    if !line.starts_with("pub ") {
        return Vec::new();
    }
    line.match_indices(": f64")
        .map(|(at, _)| {
            let before = &line[..at];
            let start = before.rfind(|c: char| !(c.is_alphanumeric() || c == '_')).map_or(0, |at| at + 1);
            &before[start..]
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn slips(path: &str, text: &str) -> Vec<String> {
        let file = File { path: path.to_owned(), text: Some(text.to_owned()) };
        check(&[file], &["walls".to_owned()]).into_iter().map(|slip| slip.to_string()).collect()
    }

    /// A line of Rust, with a mark taken out that keeps it from being a slip of this file.
    fn code(text: &str) -> String {
        format!("//! Header.\n{}\n", text.replace('~', ""))
    }

    #[test]
    fn a_sound_file_passes() {
        let sound = "fn area() -> f64 {\n    values.get(3).unwrap_or(0.0)\n}\n#[cfg(test)]\nmod tests {\n    x.unwrap();\n}";
        assert_eq!(slips("crates/walls/src/area.rs", &code(sound)), [""; 0]);
        assert_eq!(slips("crates/walls/tests/it/area.rs", &code("x.unwrap();")), [""; 0]);
        assert_eq!(slips("notes.md", "no header, fn get_it"), [""; 0]);
    }

    #[test]
    fn each_slip_is_found_at_its_line() {
        for (text, line) in [
            ("\n    #[~ignore]\n    fn checks() {}", 3),
            ("if ~false { x }", 2),
            ("let x = y.unwrap~();", 2),
            ("pub(crate) fn get_~height() -> f64 {", 2),
            ("mod helpers;", 2),
            ("#[cfg(test)]\nmod fixtures;\nfn f() { x.unwrap~() }", 4),
        ] {
            let found = slips("crates/units/src/lib.rs", &code(text));
            assert_eq!(found.len(), 1, "{text}: {found:?}");
            assert!(found[0].starts_with(&format!("crates/units/src/lib.rs:{line}: ")), "{found:?}");
        }
        assert_eq!(slips("crates/units/src/lib.rs", "fn f() {}").len(), 1);
        assert_eq!(slips("crates/units/src/utils/lengths.rs", &code("")).len(), 1);
    }

    #[test]
    fn modules_for_tests_only_may_unwrap() {
        let file = |path: &str, text: String| File { path: path.to_owned(), text: Some(text) };
        let lib = file("crates/units/src/lib.rs", code("#[cfg(test)]\nmod given;"));
        let given = file("crates/units/src/given.rs", code("fn f() { x.unwrap~() }"));
        assert_eq!(check(&[lib.clone(), given], &[]), []);
        let other = file("crates/units/src/other.rs", code("fn f() { x.unwrap~() }"));
        assert_eq!(check(&[lib, other], &[]).len(), 1);
    }

    #[test]
    fn units_stand_in_docstrings_and_not_in_names() {
        let path = "crates/walls/src/coulomb.rs";
        assert_eq!(slips(path, &code("/// Height. [m]\npub height: f64,")), [""; 0]);
        assert_eq!(slips(path, &code("/// Height. [m]\npub height_m: f64,")).len(), 1);
        assert_eq!(slips(path, &code("pub fn pressure(depth_ft: f64, density: f64) -> f64 {")).len(), 1);
        assert_eq!(
            slips(path, &code("/// Depth as printed in the handbook. [ft]\npub depth_ft: f64,")),
            [""; 0]
        );
        assert_eq!(slips("crates/units/src/lib.rs", &code("pub height_m: f64,")), [""; 0]);
    }
}
