//! `survey.csv` cut into records, every cell with its place.
//!
//! - In: text parted by commas, semicolons or tabs, with a heading line. Out: records.
//! - Written by hand, since no reader of such files tells the column of a cell, and since a mark for
//!   inches (`12' 6"`) stands inside cells as it is. A cell that begins with a quotation mark ends with one,
//!   two marks in it stand for one, as a spreadsheet writes it.
//! - Lines that begin with `#` and empty lines are passed over.

use std::collections::BTreeMap;
use std::ops::Range;

use super::{BookFault, Cell, Record, column, fault};

/// The cells of one line: text without quotation, with its place.
pub(crate) fn split(
    line: &str,
    start: usize,
    mark: char,
) -> Result<Vec<(String, Range<usize>)>, Range<usize>> {
    let mut cells = Vec::new();
    let mut rest = 0;
    loop {
        let part = &line[rest..];
        let lead = part.len() - part.trim_start_matches([' ', '\u{feff}']).len();
        let begin = rest + lead;
        let end;
        if line[begin..].starts_with('"') {
            let (text, length) = quoted(&line[begin + 1..]).ok_or(start + begin..start + line.len())?;
            let close = begin + 1 + length;
            end = close + line[close..].find(mark).unwrap_or(line.len() - close);
            cells.push((text, start + begin..start + close));
        } else {
            end = begin + line[begin..].find(mark).unwrap_or(line.len() - begin);
            let text = line[begin..end].trim_end();
            cells.push((text.to_owned(), start + begin..start + begin + text.len()));
        }
        if end >= line.len() {
            return Ok(cells);
        }
        rest = end + mark.len_utf8();
    }
}

/// The text up to the closing mark, and how many bytes were read with it.
fn quoted(text: &str) -> Option<(String, usize)> {
    let mut value = String::new();
    let mut letters = text.char_indices().peekable();
    while let Some((at, letter)) = letters.next() {
        if letter != '"' {
            value.push(letter);
        } else if letters.next_if(|(_, next)| *next == '"').is_some() {
            value.push('"');
        } else {
            return Some((value.trim().to_owned(), at + 1));
        }
    }
    None
}

/// Lines that say something, with their places.
pub(crate) fn lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let mut start = 0;
    text.split('\n').filter_map(move |line| {
        let here = start;
        start += line.len() + 1;
        let line = line.trim_end_matches('\r');
        let said = line.trim_start_matches(['\u{feff}', ' ', '\t']);
        let empty = said.chars().all(|c| matches!(c, ',' | ';' | '\t' | ' '));
        (!empty && !said.starts_with('#')).then_some((here, line))
    })
}

/// What parts the cells: whatever the heading has most of.
pub(crate) fn parting_mark(heading: &str) -> char {
    let count = |mark: char| heading.matches(mark).count();
    [';', '\t'].into_iter().fold(',', |best, mark| if count(mark) > count(best) { mark } else { best })
}

pub(super) fn records(text: &str) -> (Vec<Record>, Vec<BookFault>) {
    let mut faults = Vec::new();
    let mut said = lines(text);
    let Some((start, heading)) = said.next() else { return (Vec::new(), faults) };
    let mark = parting_mark(heading);
    let Some(columns) = headings(text, start, heading, mark, &mut faults) else {
        return (Vec::new(), faults);
    };
    let mut records = Vec::new();
    for (start, line) in said {
        match split(line, start, mark) {
            Ok(cells) => records.extend(record(text, line, start, cells, &columns, &mut faults)),
            Err(span) => faults.push(
                fault(text, span, "the quotation mark is not closed on this line".to_owned())
                    .remedy("close it, or leave both away: 12' 6\" needs no quotation"),
            ),
        }
    }
    (records, faults)
}

/// The columns of the heading line; `None` for one that is none.
fn headings(
    text: &str,
    start: usize,
    heading: &str,
    mark: char,
    faults: &mut Vec<BookFault>,
) -> Option<Vec<Option<&'static str>>> {
    let cells = split(heading, start, mark).unwrap_or_default();
    let mut columns: Vec<Option<&'static str>> = Vec::new();
    for (name, span) in cells {
        if name.is_empty() {
            columns.push(None);
            continue;
        }
        match column(text, &name, span.clone()) {
            Ok(known) if columns.contains(&Some(known)) => {
                faults.push(
                    fault(text, span, format!("the column `{known}` stands twice"))
                        .remedy("keep one of the two"),
                );
                columns.push(None);
            }
            Ok(known) => columns.push(Some(known)),
            Err(unknown) => {
                faults.push(unknown);
                columns.push(None);
            }
        }
    }
    if columns.contains(&Some("what")) {
        return Some(columns);
    }
    faults.clear();
    let end = start + heading.len();
    faults.push(
        fault(text, start..end, "this is not a heading line".to_owned())
            .expected("a first line such as `what,point,from,to,reading,second,note`")
            .remedy("put it above the readings; columns that stay empty may be left out"),
    );
    None
}

fn record(
    text: &str,
    line: &str,
    start: usize,
    cells: Vec<(String, Range<usize>)>,
    columns: &[Option<&'static str>],
    faults: &mut Vec<BookFault>,
) -> Option<Record> {
    let mut known = BTreeMap::new();
    for (i, (value, span)) in cells.into_iter().enumerate() {
        match columns.get(i).copied().flatten() {
            Some(column) => {
                if !value.is_empty() {
                    known.insert(column, Cell { text: value, span });
                }
            }
            None if value.is_empty() => {}
            None => {
                faults.push(
                    fault(text, span, format!("`{value}` stands under no heading"))
                        .expected(format!("at most {} cells", columns.len()))
                        .remedy("look for a comma too many: 1,200 is written 1200, or in quotation marks"),
                );
                return None;
            }
        }
    }
    Some(Record { cells: known, span: start..start + line.len() })
}
