//! The field book in TOML: `[[reading]]` with the columns as keys.
//!
//! - In: TOML 1.0. Out: the same records as from `survey.csv`.
//! - A number stands for its text, so that it means what it means in the other form.

use std::collections::BTreeMap;
use std::ops::Range;

use toml_edit::{Document, Item, Table, Value};

use super::{BookFault, Cell, Record, column, fault};

pub(super) fn records(text: &str) -> (Vec<Record>, Vec<BookFault>) {
    let document = match text.parse::<Document<String>>() {
        Ok(document) => document,
        Err(error) => {
            let what = format!("this is not TOML: {}", error.message().trim().replace('\n', "; "));
            let found = fault(text, error.span().unwrap_or(0..0), what).expected("TOML 1.0");
            return (
                Vec::new(),
                vec![found.remedy("look for a missing quote or `=` here or on the line before")],
            );
        }
    };
    let mut records = Vec::new();
    let mut faults = Vec::new();
    for (key, item) in document.as_table() {
        let span = item.span().unwrap_or(0..0);
        match (key, item) {
            ("format", Item::Value(value)) if value.as_integer() == Some(1) => {}
            ("units", Item::Value(value)) => {
                let what = Cell { text: "units".to_owned(), span: span.clone() };
                let cells = BTreeMap::from([("what", what), ("reading", cell(text, value, &span))]);
                records.push(Record { cells, span });
            }
            ("reading", Item::ArrayOfTables(readings)) => {
                for table in readings {
                    records.extend(record(text, table, &mut faults));
                }
            }
            _ => faults.push(
                fault(text, span, format!("`{key}` is not known here"))
                    .expected("`format = 1`, `units`, and a `[[reading]]` for each reading"),
            ),
        }
    }
    (records, faults)
}

fn record(text: &str, table: &Table, faults: &mut Vec<BookFault>) -> Option<Record> {
    let span = table.span().unwrap_or(0..0);
    let before = faults.len();
    let mut cells = BTreeMap::new();
    for (key, item) in table {
        let here = item.span().unwrap_or_else(|| span.clone());
        match (column(text, key, here.clone()), item.as_value()) {
            (Ok(known), Some(value)) if value.is_str() || value.is_integer() || value.is_float() => {
                cells.insert(known, cell(text, value, &here));
            }
            (Ok(known), _) => faults.push(
                fault(text, here, format!("`{known}` is neither a text nor a number"))
                    .expected("a text such as \"12' 6\\\"\", or a number"),
            ),
            (Err(unknown), _) => faults.push(unknown),
        }
    }
    (faults.len() == before).then_some(Record { cells, span })
}

fn cell(text: &str, value: &Value, span: &Range<usize>) -> Cell {
    let written = value.as_str().map(str::to_owned);
    let written = written.unwrap_or_else(|| text.get(span.clone()).unwrap_or_default().trim().to_owned());
    Cell { text: written.trim().to_owned(), span: span.clone() }
}
