//! Tables as a workbook: one worksheet for each.
//!
//! - In: tables, the reader and the workbook's title. Out: the bytes of an XLSX file with real
//!   numbers, a heading row that stays in sight and repeats in print, widths to the contents, and
//!   a fixed date, so that the same tables give the same bytes.
//! - Texts are written as texts, so none is run as a formula.
//! - A table's notes stand below its last row, one empty row between.

use groundwright_handoff::{Align, Dimension, Table};
use groundwright_units::{Reader, System};
use rust_xlsxwriter::{
    DocProperties, ExcelDateTime, Format, FormatAlign, FormatBorder, Workbook, Worksheet, XlsxError,
};

use crate::error::SheetError;
use crate::plain::{PlainCell, PlainTable, plain};

/// Narrowest and widest column, in characters.
const WIDTHS: (usize, usize) = (8, 48);

/// The tables as an XLSX file.
///
/// # Errors
/// - [`SheetError::Write`]: a text or a table is larger than the format allows (32,767 characters
///   in a cell, 1,048,576 rows).
pub fn xlsx(tables: &[Table], reader: &Reader, title: &str) -> Result<Vec<u8>, SheetError> {
    workbook(tables, *reader, title)
        .map_err(|error| SheetError::Write { format: "XLSX", reason: error.to_string() })
}

fn workbook(tables: &[Table], reader: Reader, title: &str) -> Result<Vec<u8>, XlsxError> {
    let mut workbook = Workbook::new();
    let properties =
        DocProperties::new().set_title(title).set_creation_datetime(&ExcelDateTime::from_ymd(2000, 1, 1)?);
    workbook.set_properties(&properties);
    let mut names: Vec<String> = Vec::new();
    for table in tables {
        let name = sheet_name(&table.title, &names);
        let sheet = workbook.add_worksheet();
        sheet.set_name(&name)?;
        names.push(name);
        fill(sheet, table, &plain(table, reader))?;
        set_up_print(sheet, reader.system)?;
    }
    if tables.is_empty() {
        workbook.add_worksheet().set_name("Empty")?;
    }
    workbook.save_to_buffer()
}

fn fill(sheet: &mut Worksheet, table: &Table, plain: &PlainTable) -> Result<(), XlsxError> {
    let mut row: u32 = 1;
    for (i, heading) in plain.headings.iter().enumerate() {
        let column = i as u16;
        sheet.write_string_with_format(0, column, heading, &heading_format(plain, i))?;
        sheet.set_column_width(column, width(plain, i))?;
    }
    for cells in &plain.rows {
        for (i, cell) in cells.iter().enumerate() {
            write(sheet, row, i as u16, cell)?;
        }
        row += 1;
    }
    sheet.set_freeze_panes(1, 0)?;
    let note = Format::new().set_italic();
    for (i, words) in table.notes.iter().enumerate() {
        sheet.write_string_with_format(row + 1 + i as u32, 0, words, &note)?;
    }
    Ok(())
}

fn write(sheet: &mut Worksheet, row: u32, column: u16, cell: &PlainCell) -> Result<(), XlsxError> {
    let text = Format::new().set_text_wrap().set_align(FormatAlign::Top);
    match cell {
        PlainCell::Text(words) => sheet.write_string_with_format(row, column, words, &text)?,
        PlainCell::Italic(words) => sheet.write_string_with_format(row, column, words, &text.set_italic())?,
        PlainCell::Number(value, dimension) => {
            let format =
                Format::new().set_num_format(number_format(*value, *dimension)).set_align(FormatAlign::Top);
            sheet.write_number_with_format(row, column, *value, &format)?
        }
        PlainCell::Empty => return Ok(()),
    };
    Ok(())
}

/// How finely a number is shown; the cell keeps all its digits.
fn number_format(value: f64, dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Count if value.fract() == 0.0 => "#,##0",
        Dimension::Length | Dimension::Size | Dimension::Volume => "#,##0.00",
        Dimension::Spacing | Dimension::Depth | Dimension::Angle | Dimension::Ratio => "#,##0.##",
        Dimension::Area | Dimension::Mass | Dimension::Hours | Dimension::Flow | Dimension::Speed => {
            "#,##0.0"
        }
        Dimension::Count | Dimension::Number | Dimension::Years => "General",
    }
}

fn heading_format(plain: &PlainTable, column: usize) -> Format {
    let align = match column_align(plain, column) {
        Align::Left => FormatAlign::Left,
        Align::Right => FormatAlign::Right,
    };
    Format::new().set_bold().set_text_wrap().set_border_bottom(FormatBorder::Thin).set_align(align)
}

/// Headings stand over their numbers.
fn column_align(plain: &PlainTable, column: usize) -> Align {
    let is_number = |row: &Vec<PlainCell>| matches!(row.get(column), Some(PlainCell::Number(..)));
    if plain.rows.iter().any(is_number) { Align::Right } else { Align::Left }
}

/// Wide enough for the contents, within reason. [characters]
fn width(plain: &PlainTable, column: usize) -> f64 {
    let longest = plain.rows.iter().filter_map(|row| row.get(column)).map(|cell| match cell {
        PlainCell::Text(words) | PlainCell::Italic(words) => words.chars().count(),
        PlainCell::Number(value, _) => value.to_string().len() + 2,
        PlainCell::Empty => 0,
    });
    let heading = plain.headings[column].chars().count();
    (longest.max().unwrap_or(0).max(heading) + 2).clamp(WIDTHS.0, WIDTHS.1) as f64
}

fn set_up_print(sheet: &mut Worksheet, system: System) -> Result<(), XlsxError> {
    // Codes of the format: 1 is US letter, 9 is A4.
    sheet.set_paper_size(if system == System::Us { 1 } else { 9 });
    sheet.set_landscape();
    sheet.set_print_fit_to_pages(1, 0);
    sheet.set_repeat_rows(0, 0)?;
    Ok(())
}

/// A name that the format allows: at most 31 characters, none of `[]:*?/\`, no apostrophe at an
/// end, and no name twice whatever the case of its letters.
fn sheet_name(title: &str, taken: &[String]) -> String {
    let allowed: String =
        title.chars().map(|c| if "[]:*?/\\".contains(c) || c.is_control() { ' ' } else { c }).collect();
    let allowed = allowed.trim().trim_matches('\'').trim();
    let allowed = if allowed.is_empty() { "Table" } else { allowed };
    let cut = |most: usize| allowed.chars().take(most).collect::<String>().trim_end().to_owned();
    let is_taken = |name: &str| taken.iter().any(|other| other.to_lowercase() == name.to_lowercase());
    let mut name = cut(31);
    let mut n = 1;
    while is_taken(&name) {
        n += 1;
        let suffix = format!(" ({n})");
        name = format!("{}{suffix}", cut(31 - suffix.len()));
    }
    name
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sheet_names_are_allowed_and_different() {
        assert_eq!(sheet_name("Plant schedule", &[]), "Plant schedule");
        assert_eq!(sheet_name("Soil / mulch [all]", &[]), "Soil   mulch  all");
        assert_eq!(sheet_name("''", &[]), "Table");
        let long = "A schedule with a very long title indeed";
        let first = sheet_name(long, &[]);
        assert_eq!(first.chars().count(), 31);
        let second = sheet_name(&long.to_uppercase(), std::slice::from_ref(&first));
        assert!(second.ends_with(" (2)") && second.chars().count() <= 31);
    }
}
