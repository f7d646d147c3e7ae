//! CSV and XLSX files, read back.

use groundwright_handoff::{Cell, Datum};
use groundwright_sheets::{csv, xlsx};
use groundwright_units::{Reader, System};
use serde_json::{Value, json};

use crate::python::read_back;
use crate::sample::plant_schedule;

const US: Reader = Reader::new(System::Us);

#[test]
fn csv_is_read_back_as_it_was_meant() {
    let mut table = plant_schedule(3);
    table.rows[1][3] = Cell::Text("Oakleaf \"hydrangea\", white\nflowers".to_owned());
    table.rows[2][4] = Cell::Text("=3+4".to_owned());
    table.rows[2][5] = Cell::Empty;
    let bytes = csv(&table, &US);
    assert!(bytes.ends_with(b"\r\n"));
    let rows = read_back("read_tables.py", "plants.csv", &bytes, &[]);
    let expected = json!([
        ["Key", "Qty", "Botanical name", "Common name", "Size", "Spacing [in]"],
        ["WF", "5", "Polystichum munitum", "Western sword fern", "1 gal", "23.622"],
        ["OH", "16", "Hydrangea quercifolia", "Oakleaf \"hydrangea\", white\nflowers", "5 gal", "59.0551"],
        [
            "BX",
            "27",
            "Buxus microphylla var. japonica",
            "Littleleaf boxwood, clipped as a low hedge",
            "'=3+4",
            ""
        ],
    ]);
    assert_eq!(rows, expected);
    assert_eq!(bytes, csv(&table, &US));
}

/// Cells of one row, as the workbook's reader gives them.
fn row(sheet: &Value, i: usize) -> &Vec<Value> {
    sheet["rows"][i].as_array().unwrap()
}

#[test]
fn a_workbook_is_read_back_with_real_numbers() {
    let mut mixed = plant_schedule(3);
    mixed.rows[0][5] = Cell::Datum(Datum::ratio(0.15));
    mixed.rows[1][3] = Cell::Text("=1+1".to_owned());
    let tables = [plant_schedule(4), mixed];
    let bytes = xlsx(&tables, &US, "Alder Lane").unwrap();
    let book = read_back("read_tables.py", "plants.xlsx", &bytes, &[]);
    assert_eq!(book["title"], "Alder Lane");
    assert_eq!(book["created"], "2000-01-01 00:00:00");
    let sheets = book["sheets"].as_array().unwrap();
    assert_eq!(sheets[0]["name"], "Plant schedule");
    assert_eq!(sheets[1]["name"], "Plant schedule (2)");
    assert_eq!(sheets[0]["frozen"], "A2");
    let heading = row(&sheets[0], 0);
    assert_eq!(heading[5]["value"], "Spacing [in]");
    assert_eq!(heading[5]["bold"], true);
    let boxwood = row(&sheets[0], 3);
    assert_eq!((&boxwood[1]["value"], &boxwood[1]["type"]), (&json!(27), &json!("int")));
    assert_eq!(boxwood[5]["value"], 18);
    assert_eq!(boxwood[5]["format"], "#,##0.##");
    assert_eq!(boxwood[2]["italic"], true);
    let note = row(&sheets[0], 6);
    assert!(note[0]["value"].as_str().unwrap().starts_with("Counts are from the plan"));
    let (mixed_heading, first, second) = (row(&sheets[1], 0), row(&sheets[1], 1), row(&sheets[1], 2));
    assert_eq!(mixed_heading[6]["value"], "Spacing unit");
    assert_eq!((&first[5]["value"], &first[6]["value"]), (&json!(15), &json!("%")));
    assert_eq!((&second[3]["value"], &second[3]["formula"]), (&json!("=1+1"), &json!(false)));
    let widths: Vec<f64> =
        sheets[0]["widths"].as_array().unwrap().iter().map(|w| w.as_f64().unwrap()).collect();
    assert!(widths[2] > 30.0 && widths[0] < 12.0, "{widths:?}");
}

#[test]
fn the_same_tables_give_the_same_workbook() {
    let tables = [plant_schedule(40)];
    let first = xlsx(&tables, &US, "Alder Lane").unwrap();
    assert!(first == xlsx(&tables, &US, "Alder Lane").unwrap());
}

#[test]
fn a_text_too_long_for_the_format_says_so() {
    let mut table = plant_schedule(1);
    table.rows[0][3] = Cell::Text("x".repeat(40_000));
    let message = xlsx(&[table], &US, "Alder Lane").unwrap_err().to_string();
    assert!(message.starts_with("the XLSX file could not be written: "), "{message}");
}
