//! The page that lists every table and key of the project's files is complete and invents nothing.

use groundwright_plan::{Kind, keys_of};

const PAGE: &str = include_str!("../../../../docs/project-file.md");

/// What the page says of a kind: from its heading to the next.
fn section(kind: Kind) -> &'static str {
    let heading = format!("### `[[{}]]`", kind.key());
    let (_, rest) = PAGE.split_once(&heading).unwrap_or_else(|| panic!("no heading {heading}"));
    let end = ["\n### ", "\n## "].iter().filter_map(|next| rest.find(next)).min();
    &rest[..end.unwrap_or(rest.len())]
}

/// Names in back quotes in the first cell of each row.
fn listed(section: &str) -> Vec<&str> {
    let first_cells = section.lines().filter_map(|line| line.strip_prefix("| `")?.split(" | ").next());
    first_cells.flat_map(|cell| cell.split('`').step_by(2)).map(str::trim).collect()
}

#[test]
fn every_key_that_the_reader_knows_is_explained() {
    for kind in Kind::ALL.iter().copied() {
        let names = listed(section(kind));
        for key in keys_of(kind) {
            assert!(names.contains(key), "{kind:?}: `{key}` is not explained; the page has {names:?}");
        }
    }
}

#[test]
fn the_page_explains_no_key_that_the_reader_refuses() {
    for kind in Kind::ALL.iter().copied() {
        for name in listed(section(kind)).into_iter().filter(|name| !name.is_empty()) {
            let known = keys_of(kind).contains(&name);
            assert!(known, "{kind:?}: the page explains `{name}`, which the reader does not know");
        }
    }
}
