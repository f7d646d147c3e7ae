//! Checks of the sun. Sources of the tables: `tests/data/SOURCES.md`.

// Full light and full shade are exactly one and nothing, and meant so.
#![allow(clippy::float_cmp)]

mod clear_sky;
mod evapotranspiration;
mod events;
mod hours;
mod maps;
mod noon;
mod positions;

/// Rows of a table.
fn rows(text: &str) -> Vec<std::collections::BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader.deserialize().map(|row| row.unwrap()).collect()
}

/// A number of a row.
fn number(row: &std::collections::BTreeMap<String, String>, key: &str) -> f64 {
    row[key].parse().unwrap_or_else(|_| panic!("{key}: {}", row[key]))
}
