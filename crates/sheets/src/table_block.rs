//! A table as a block of strips: widths of columns, wrapped cells, hairlines between rows.
//!
//! - In: a table and the width it may take [mm]. Out: a block whose head carries the column
//!   headings and is repeated; rows are never split.
//! - Method for the widths: each column asks for at least its longest word (numbers are never
//!   broken) and at most its longest line. What is left over after the least widths goes to the
//!   columns by their weights, none beyond what it can use until all are served; the air that
//!   remains then stretches them all alike.
//! - Numbers stand at the right, their headings too; a number that is not finite prints as a dash.

use groundwright_drawing::{Face, TextWidth};
use groundwright_handoff::{Align, Cell, Column, Table, TextAnchor};
use kurbo::Point;

use crate::blocks::{Block, Setter, heading};
use crate::error::SheetError;
use crate::pieces::{Strip, bold, lines_at};
use crate::setting::{GREY, HAIRLINE, INK, Letters, PALE};

/// Room between two columns, in heights of capitals.
const COLUMN_GAP: f64 = 2.0;

/// Whether every column can have its longest word. [mm]
pub(crate) fn table_fits(setter: &Setter<'_>, table: &Table, width: f64) -> bool {
    let needs = needs(setter, table);
    let gaps = gap(setter) * needs.len().saturating_sub(1) as f64;
    needs.iter().map(|need| need.least).sum::<f64>() + gaps <= width
}

/// The table set in a width [mm].
///
/// # Errors
/// - [`SheetError::CellsAndColumns`], [`SheetError::ColumnWeight`]: the table is not well formed.
pub(crate) fn table_block(setter: &Setter<'_>, table: &Table, width: f64) -> Result<Block, SheetError> {
    check(table)?;
    let columns = columns(setter, table, width);
    let titles = column_titles(setter, table, &columns);
    let mut rows: Vec<Strip> = Vec::with_capacity(table.rows.len() + table.notes.len());
    for row in &table.rows {
        rows.push(row_strip(setter, table, row, &columns, width));
    }
    if let Some(last) = rows.last_mut() {
        // The last row closes the table with a darker line than those between rows.
        last.rule(0.0, width, HAIRLINE, INK);
    }
    rows.extend(notes(setter, table, width));
    let head = under_heading(setter, table, "", &titles, width);
    let continued = under_heading(setter, table, "(continued)", &titles, width);
    Ok(Block { title: table.title.clone(), head, continued, rows })
}

/// Refuses tables that are not well formed.
pub(crate) fn check(table: &Table) -> Result<(), SheetError> {
    for column in &table.columns {
        if !(column.weight.is_finite() && column.weight > 0.0) {
            return Err(SheetError::ColumnWeight {
                table: table.key.to_owned(),
                column: column.title.clone(),
                weight: column.weight,
            });
        }
    }
    let columns = table.columns.len();
    match table.rows.iter().position(|row| row.len() != columns) {
        None => Ok(()),
        Some(i) => Err(SheetError::CellsAndColumns {
            table: table.key.to_owned(),
            row: i + 1,
            cells: table.rows[i].len(),
            columns,
        }),
    }
}

fn gap(setter: &Setter<'_>) -> f64 {
    setter.setting.cap * COLUMN_GAP
}

/// What a column asks for. [mm]
struct Need {
    /// Its longest word.
    least: f64,
    /// Its longest line.
    most: f64,
    weight: f64,
}

fn needs(setter: &Setter<'_>, table: &Table) -> Vec<Need> {
    let need = |(i, column): (usize, &Column)| {
        let letters = title_letters(setter);
        let mut least = setter.fonts.widest_word(&column.title, letters.cap, letters.face);
        let mut most = setter.fonts.width_mm(&column.title, letters.cap, letters.face);
        for cell in table.rows.iter().filter_map(|row| row.get(i)) {
            let (words, letters) = words(setter, cell);
            let line = setter.fonts.width_mm(&words, letters.cap, letters.face);
            most = most.max(line);
            least = least.max(match cell {
                Cell::Datum(_) => line,
                _ => setter.fonts.widest_word(&words, letters.cap, letters.face),
            });
        }
        Need { least, most, weight: column.weight }
    };
    table.columns.iter().enumerate().map(need).collect()
}

/// A column's left and right edge. [mm]
#[derive(Debug, Clone, Copy, PartialEq)]
struct Edges {
    left: f64,
    right: f64,
}

fn columns(setter: &Setter<'_>, table: &Table, width: f64) -> Vec<Edges> {
    let needs = needs(setter, table);
    let gap = gap(setter);
    let room = (width - gap * needs.len().saturating_sub(1) as f64).max(0.0);
    let mut left = 0.0;
    let edges = share(&needs, room).into_iter().map(|width| {
        let edges = Edges { left, right: left + width };
        left += width + gap;
        edges
    });
    edges.collect()
}

/// Widths that add up to `room`. [mm]
fn share(needs: &[Need], room: f64) -> Vec<f64> {
    let least: f64 = needs.iter().map(|need| need.least).sum();
    if least > room {
        // Too narrow even for the words: each gives up the same share, and words are broken.
        return needs.iter().map(|need| need.least * room / least).collect();
    }
    let mut widths: Vec<f64> = needs.iter().map(|need| need.least).collect();
    let mut left_over = room - least;
    // Serve by weight those that can still use more; each round fills at least one of them.
    loop {
        let weight: f64 = wanting(needs, &widths).map(|i| needs[i].weight).sum();
        if left_over <= 1e-9 || weight <= 0.0 {
            break;
        }
        let hungry: Vec<usize> = wanting(needs, &widths).collect();
        let portion = hungry
            .iter()
            .map(|&i| (needs[i].most - widths[i]) / needs[i].weight)
            .fold(left_over / weight, f64::min);
        for i in hungry {
            widths[i] += portion * needs[i].weight;
            left_over -= portion * needs[i].weight;
        }
    }
    // All lines fit: the rest is air.
    let total: f64 = widths.iter().sum();
    if left_over > 0.0 && total > 0.0 {
        for width in &mut widths {
            *width *= 1.0 + left_over / total;
        }
    }
    widths
}

fn wanting<'a>(needs: &'a [Need], widths: &'a [f64]) -> impl Iterator<Item = usize> + 'a {
    (0..needs.len()).filter(|&i| needs[i].most - widths[i] > 1e-9)
}

fn title_letters(setter: &Setter<'_>) -> Letters {
    bold(setter.setting.label())
}

/// What a cell says and how it looks.
fn words(setter: &Setter<'_>, cell: &Cell) -> (String, Letters) {
    let letters = setter.setting.body();
    match cell {
        Cell::Text(words) => (words.clone(), letters),
        Cell::Italic(words) => (words.clone(), letters.in_face(Face::Italic)),
        Cell::Datum(datum) if datum.value.is_finite() => (datum.show(&setter.reader), letters),
        Cell::Datum(_) => ("–".to_owned(), letters),
        Cell::Empty => (String::new(), letters),
    }
}

/// Lines of one cell of a row or heading, against the side it is set to; their height. [mm]
fn cell_lines(
    strip: &mut Strip,
    lines: &[String],
    letters: Letters,
    top: f64,
    (edges, align): (Edges, Align),
) -> f64 {
    let (x, anchor) = match align {
        Align::Left => (edges.left, TextAnchor::Left),
        Align::Right => (edges.right, TextAnchor::Right),
    };
    lines_at(&mut strip.primitives, lines, letters, Point::new(x, top), anchor)
}

fn row_strip(setter: &Setter<'_>, table: &Table, row: &[Cell], columns: &[Edges], width: f64) -> Strip {
    let mut strip = Strip::default();
    let air = setter.setting.cap * 0.3;
    let mut height: f64 = setter.setting.body().leading();
    for ((cell, column), edges) in row.iter().zip(&table.columns).zip(columns) {
        let (words, letters) = words(setter, cell);
        let room = edges.right - edges.left + 0.01;
        let lines = match cell {
            Cell::Datum(_) => vec![words],
            _ => setter.fonts.wrap(&words, letters.cap, letters.face, room),
        };
        height = height.max(cell_lines(&mut strip, &lines, letters, air, (*edges, column.align)));
    }
    strip.height = height + 2.0 * air;
    strip.rule(0.0, width, HAIRLINE, PALE);
    strip
}

/// The column headings, standing on the rule below them.
fn column_titles(setter: &Setter<'_>, table: &Table, columns: &[Edges]) -> Strip {
    let letters = title_letters(setter);
    let wrapped: Vec<Vec<String>> = table
        .columns
        .iter()
        .zip(columns)
        .map(|(column, edges)| {
            let room = edges.right - edges.left + 0.01;
            setter.fonts.wrap(&column.title, letters.cap, letters.face, room)
        })
        .collect();
    let most = wrapped.iter().map(Vec::len).max().unwrap_or(1);
    let mut strip = Strip { height: letters.leading() * most as f64, ..Strip::default() };
    for ((lines, column), edges) in wrapped.iter().zip(&table.columns).zip(columns) {
        let top = strip.height - letters.leading() * lines.len() as f64;
        cell_lines(&mut strip, lines, letters, top, (*edges, column.align));
    }
    strip
}

/// Title, rule, column headings, rule.
fn under_heading(setter: &Setter<'_>, table: &Table, suffix: &str, titles: &Strip, width: f64) -> Strip {
    let cap = setter.setting.cap;
    let mut strip = heading(setter, &table.title, suffix, width);
    strip.space(cap * 0.4);
    let top = strip.height;
    strip.primitives.extend(titles.primitives.iter().map(|part| crate::translate::moved(part, 0.0, top)));
    strip.space(titles.height + cap * 0.3);
    strip.rule(0.0, width, HAIRLINE, INK);
    strip
}

fn notes(setter: &Setter<'_>, table: &Table, width: f64) -> Vec<Strip> {
    let letters = setter.setting.body().in_colour(GREY);
    let measure = width.min(letters.cap * 75.0);
    let note = |(i, words): (usize, &String)| {
        let mut strip = Strip { stays_with_previous: i == 0, ..Strip::default() };
        strip.space(if i == 0 { letters.cap * 0.8 } else { letters.cap * 0.3 });
        strip.paragraph(setter.fonts, words, letters, 0.0, measure);
        strip
    };
    table.notes.iter().enumerate().map(note).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn need(least: f64, most: f64, weight: f64) -> Need {
        Need { least, most, weight }
    }

    /// Widths add up to the room, and none falls below its longest word while there is room.
    #[test]
    fn columns_share_the_whole_room() {
        let needs = [need(8.0, 60.0, 3.0), need(10.0, 12.0, 1.0), need(5.0, 5.0, 1.0)];
        for room in [23.0, 30.0, 50.0, 77.0, 120.0] {
            let widths = share(&needs, room);
            assert!((widths.iter().sum::<f64>() - room).abs() < 1e-9, "{room}: {widths:?}");
            assert!(widths.iter().zip(&needs).all(|(width, need)| *width >= need.least - 1e-9));
        }
    }

    #[test]
    fn a_column_that_needs_more_gets_it_from_one_that_does_not() {
        let widths = share(&[need(10.0, 40.0, 1.0), need(10.0, 10.0, 9.0)], 50.0);
        assert!((widths[0] - 40.0).abs() < 1e-9 && (widths[1] - 10.0).abs() < 1e-9, "{widths:?}");
    }

    #[test]
    fn too_narrow_a_room_is_shared_in_proportion() {
        let widths = share(&[need(30.0, 40.0, 1.0), need(10.0, 10.0, 1.0)], 20.0);
        assert!((widths[0] - 15.0).abs() < 1e-9 && (widths[1] - 5.0).abs() < 1e-9, "{widths:?}");
    }
}
