//! Broken projects: each fault at its place, in words that help.
//!
//! Every file of `tests/broken` is a project with something wrong in it, and behind `--- expected`
//! the faults that a person is shown, one a line: `file:line:column: problem | expected | remedy`.
//! All faults, their order, their places and their whole texts are compared.
//!
//! After a change of words, run once with `GROUNDWRIGHT_UPDATE=1` and read the difference.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use groundwright_plan::{Fault, Sources, line_and_column, read_project};

use crate::sections::Sections;

/// The faults of a project, as the files of `tests/broken` write them.
fn written(sources: &Sources) -> String {
    let faults = read_project(sources.clone()).err().unwrap_or_default();
    faults.iter().fold(String::new(), |mut text, fault| {
        let Fault { file, line, column, problem, expected, remedy, .. } = fault;
        writeln!(text, "{file}:{line}:{column}: {problem} | {expected} | {remedy}").unwrap();
        text
    })
}

fn cases() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/broken");
    let mut files: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    files
}

#[test]
fn every_fault_is_reported_at_its_place_in_its_words() {
    let update = std::env::var_os("GROUNDWRIGHT_UPDATE").is_some();
    let mut wrong = String::new();
    for path in cases() {
        let text = fs::read_to_string(&path).unwrap();
        let sections = Sections::split(&text);
        let expected = sections.part("expected").unwrap_or_else(|| panic!("{path:?} expects nothing"));
        let found = written(&sections.sources());
        if update {
            let body = text.split_once("--- expected\n").unwrap().0;
            fs::write(&path, format!("{body}--- expected\n{found}")).unwrap();
        } else if found != expected || found.is_empty() {
            let name = path.file_name().unwrap().to_string_lossy();
            writeln!(wrong, "{name}\nexpected:\n{expected}found:\n{found}").unwrap();
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// A fault without a remedy or an expectation leaves its reader alone.
#[test]
fn every_fault_says_what_was_expected_or_how_to_mend_it() {
    for path in cases() {
        let sources = Sections::split(&fs::read_to_string(&path).unwrap()).sources();
        for fault in read_project(sources.clone()).err().unwrap_or_default() {
            assert!(!(fault.expected.is_empty() && fault.remedy.is_empty()), "{path:?}: {fault}");
            let text = sources.text(&fault.file).unwrap_or_default();
            assert_eq!((fault.line, fault.column), line_and_column(text, fault.start), "{path:?}: {fault}");
            assert!(text.get(fault.start..fault.end).is_some(), "{path:?}: {fault} cuts a character");
        }
    }
}

/// Several faults come in the order of files and places, so that a person mends from the top.
#[test]
fn faults_come_in_the_order_of_the_file() {
    for path in cases() {
        let sources = Sections::split(&fs::read_to_string(&path).unwrap()).sources();
        let faults = read_project(sources).unwrap_err();
        let places: Vec<_> = faults.iter().map(|f| (f.file.clone(), f.line, f.column)).collect();
        assert!(places.is_sorted(), "{path:?}: {places:?}");
    }
}
