//! A table as CSV.
//!
//! - In: a table and the reader. Out: UTF-8 bytes after RFC 4180: comma, CRLF, a heading row,
//!   quotes where needed. The table's title and notes are not in the file.
//! - A text that a spreadsheet would run as a formula gets an apostrophe before it, which
//!   spreadsheets take as the mark of a text.
//!   Source: OWASP Application Security Verification Standard 5.0, requirement 1.2.10; read there.

use groundwright_handoff::Table;
use groundwright_units::Reader;

use crate::plain::{PlainCell, plain};

/// The table as a CSV file.
///
/// Numbers are plain, in the unit that the heading names.
///
/// # Panics
/// Never: memory takes all that is written to it.
pub fn csv(table: &Table, reader: &Reader) -> Vec<u8> {
    let plain = plain(table, *reader);
    let mut writer = ::csv::WriterBuilder::new()
        .terminator(::csv::Terminator::CRLF)
        .flexible(true)
        .from_writer(Vec::new());
    let rows = plain.rows.iter().map(|row| row.iter().map(field).collect());
    for row in
        std::iter::once(plain.headings.iter().map(|words| guarded(words)).collect::<Vec<_>>()).chain(rows)
    {
        writer.write_record(&row).expect("a Vec takes all that is written to it");
    }
    writer.into_inner().expect("a Vec takes all that is written to it")
}

fn field(cell: &PlainCell) -> String {
    match cell {
        PlainCell::Text(words) | PlainCell::Italic(words) => guarded(words),
        PlainCell::Number(value, _) => value.to_string(),
        PlainCell::Empty => String::new(),
    }
}

/// The words, with an apostrophe before what a spreadsheet would run.
fn guarded(words: &str) -> String {
    if words.starts_with(['=', '+', '-', '@', '\t', '\r', '\0']) {
        format!("'{words}")
    } else {
        words.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_are_guarded_and_words_are_not() {
        for formula in ["=1+1", "+1", "-2 lights", "@SUM(A1)", "\tx", "\rx"] {
            assert_eq!(guarded(formula), format!("'{formula}"));
        }
        for words in ["Fern", "", "2-year", "a=b", "'Blue' fescue"] {
            assert_eq!(guarded(words), words);
        }
    }
}
