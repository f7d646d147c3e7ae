//! A table as plain words and numbers, for files that other programs read.
//!
//! - In: a table with cells in SI, and the reader. Out: headings that carry the unit, as
//!   `Spacing [in]`, and numbers without one.
//! - A column whose numbers measure different things is followed by a column of their units.
//! - Numbers keep six significant digits: finer than anything measured in a yard, and free of the
//!   noise of conversion. A number that is not finite is an empty cell.

use groundwright_handoff::{Cell, Datum, Dimension, Table};
use groundwright_units::constants::{
    CUBIC_YARD, DEGREE, FOOT, GALLON_PER_MINUTE, INCH, LITRE_PER_MINUTE, MILLIMETRE, POUND, SQUARE_FOOT,
};
use groundwright_units::{Reader, System};

/// A cell without unit or face.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum PlainCell {
    Text(String),
    Italic(String),
    /// In the unit of its column; the dimension says how finely it is shown.
    Number(f64, Dimension),
    Empty,
}

/// A table of plain cells.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PlainTable {
    pub headings: Vec<String>,
    pub rows: Vec<Vec<PlainCell>>,
}

/// Size of the reader's unit in SI, and its symbol; no symbol for pure numbers.
pub(crate) fn unit(dimension: Dimension, system: System) -> (f64, &'static str) {
    use System::{Metric, Us};
    match (dimension, system) {
        (Dimension::Count | Dimension::Number, _) => (1.0, ""),
        (Dimension::Length | Dimension::Size, Us) => (FOOT, "ft"),
        (Dimension::Length | Dimension::Size, Metric) => (1.0, "m"),
        (Dimension::Spacing | Dimension::Depth, Us) => (INCH, "in"),
        (Dimension::Spacing | Dimension::Depth, Metric) => (MILLIMETRE, "mm"),
        (Dimension::Area, Us) => (SQUARE_FOOT, "sq ft"),
        (Dimension::Area, Metric) => (1.0, "m²"),
        (Dimension::Volume, Us) => (CUBIC_YARD, "cu yd"),
        (Dimension::Volume, Metric) => (1.0, "m³"),
        (Dimension::Mass, Us) => (POUND, "lb"),
        (Dimension::Mass, Metric) => (1.0, "kg"),
        (Dimension::Flow, Us) => (GALLON_PER_MINUTE, "gpm"),
        (Dimension::Flow, Metric) => (LITRE_PER_MINUTE, "l/min"),
        (Dimension::Speed, Us) => (FOOT, "ft/s"),
        (Dimension::Speed, Metric) => (1.0, "m/s"),
        (Dimension::Angle, _) => (DEGREE, "°"),
        (Dimension::Ratio, _) => (0.01, "%"),
        (Dimension::Years, _) => (1.0, "years"),
        (Dimension::Hours, _) => (1.0, "h"),
    }
}

/// How a column's numbers get their unit.
enum Units {
    /// All alike: in the heading.
    InHeading(&'static str),
    /// Different: in a column of their own.
    InColumn,
}

/// The table in the reader's units. Rows shorter than the columns are filled with empty cells.
pub(crate) fn plain(table: &Table, reader: Reader) -> PlainTable {
    let columns: Vec<Units> = (0..table.columns.len()).map(|i| units(table, i, reader.system)).collect();
    let mut headings = Vec::new();
    for (column, units) in table.columns.iter().zip(&columns) {
        match units {
            Units::InHeading("") => headings.push(column.title.clone()),
            Units::InHeading(unit) => headings.push(format!("{} [{unit}]", column.title)),
            Units::InColumn => {
                headings.push(column.title.clone());
                headings.push(format!("{} unit", column.title));
            }
        }
    }
    let row = |cells: &Vec<Cell>| {
        let mut row = Vec::with_capacity(headings.len());
        for (i, units) in columns.iter().enumerate() {
            let cell = cells.get(i).unwrap_or(&Cell::Empty);
            row.push(plain_cell(cell, reader.system));
            if matches!(units, Units::InColumn) {
                row.push(unit_cell(cell, reader.system));
            }
        }
        row
    };
    let rows = table.rows.iter().map(row).collect();
    PlainTable { headings, rows }
}

fn units(table: &Table, column: usize, system: System) -> Units {
    let mut symbols = table.rows.iter().filter_map(|row| match row.get(column) {
        Some(Cell::Datum(datum)) => Some(unit(datum.dimension, system).1),
        _ => None,
    });
    let first = symbols.next().unwrap_or("");
    if symbols.all(|symbol| symbol == first) { Units::InHeading(first) } else { Units::InColumn }
}

fn plain_cell(cell: &Cell, system: System) -> PlainCell {
    match cell {
        Cell::Text(words) => PlainCell::Text(words.clone()),
        Cell::Italic(words) => PlainCell::Italic(words.clone()),
        Cell::Datum(datum) => number(*datum, system),
        Cell::Empty => PlainCell::Empty,
    }
}

fn number(datum: Datum, system: System) -> PlainCell {
    let value = six_digits(datum.value / unit(datum.dimension, system).0);
    if value.is_finite() { PlainCell::Number(value, datum.dimension) } else { PlainCell::Empty }
}

fn unit_cell(cell: &Cell, system: System) -> PlainCell {
    match cell {
        Cell::Datum(datum) if datum.value.is_finite() => {
            PlainCell::Text(unit(datum.dimension, system).1.to_owned())
        }
        _ => PlainCell::Empty,
    }
}

/// Rounded to six significant digits, and never minus zero.
fn six_digits(value: f64) -> f64 {
    let rounded = format!("{value:.5e}").parse().unwrap_or(value);
    if rounded == 0.0 { 0.0 } else { rounded }
}

#[cfg(test)]
mod tests {
    use super::*;
    use groundwright_handoff::Column;

    #[test]
    fn six_digits_are_kept_and_noise_is_not() {
        assert_eq!(six_digits(0.4572 / INCH).to_string(), "18");
        assert_eq!(six_digits(1_234_567.0).to_string(), "1234570");
        assert_eq!(six_digits(0.001_234_567_8).to_string(), "0.00123457");
        assert_eq!(six_digits(-0.0).to_string(), "0");
    }

    /// The reader's own text and the plain number agree in unit and size.
    #[test]
    fn units_are_those_that_the_reader_sees_on_paper() {
        let shown = [
            (Datum::area(10.0), System::Us, "108 sq ft"),
            (Datum::area(10.0), System::Metric, "10.0 m²"),
            (Datum::volume(1.0), System::Us, "1.3 cu yd"),
            (Datum::volume(1.0), System::Metric, "1.0 m³"),
            (Datum::mass(10.0), System::Us, "22.0 lb"),
            (Datum::length(2.5), System::Metric, "2.50 m"),
            (Datum::ratio(0.05), System::Us, "5 %"),
            (Datum::hours(3.0), System::Us, "3 h"),
        ];
        for (datum, system, text) in shown {
            assert_eq!(datum.show(&Reader::new(system)), text);
            let (figures, symbol) = text.split_once(' ').unwrap();
            assert_eq!(unit(datum.dimension, system).1, symbol);
            let PlainCell::Number(value, _) = number(datum, system) else { panic!("{text}") };
            let decimals = figures.split_once('.').map_or(0, |(_, decimals)| decimals.len());
            assert_eq!(format!("{value:.decimals$}"), figures);
        }
    }

    #[test]
    fn a_column_of_mixed_measures_gets_a_column_of_units() {
        let table = Table {
            key: "takeoff",
            title: "Takeoff".to_owned(),
            columns: vec![Column::text("Item", 1.0), Column::number("Amount", 1.0)],
            rows: vec![
                vec![Cell::Text("Bark".to_owned()), Cell::Datum(Datum::volume(CUBIC_YARD))],
                vec![Cell::Text("Sod".to_owned()), Cell::Datum(Datum::area(SQUARE_FOOT * 40.0))],
                vec![Cell::Text("Ferns".to_owned()), Cell::Datum(Datum::count(7))],
            ],
            notes: Vec::new(),
        };
        let plain = plain(&table, Reader::new(System::Us));
        assert_eq!(plain.headings, ["Item", "Amount", "Amount unit"]);
        assert_eq!(plain.rows[0][1], PlainCell::Number(1.0, Dimension::Volume));
        assert_eq!(plain.rows[1][2], PlainCell::Text("sq ft".to_owned()));
        assert_eq!(plain.rows[2][2], PlainCell::Text(String::new()));
    }
}
