//! Blocks in columns over as many pages as they need.
//!
//! - In: blocks in order, and the columns of a page, alike on all pages [mm, y down]. Out: what
//!   stands where on each page, and on which page each block begins.
//! - Rows are never split. A block that is cut begins its next part with its continued heading;
//!   a block of at most half a column is not cut at all, and no column ends with a heading and
//!   fewer than three rows.

use groundwright_drawing::Primitive;
use kurbo::{Point, Rect};

use crate::blocks::Block;
use crate::error::SheetError;
use crate::pieces::Strip;

/// Rows that must follow a heading in its column, if there are as many.
const ROWS_WITH_HEADING: usize = 3;

/// What stands at a place: origin of the primitives, and they.
pub(crate) type Standing = (Point, Vec<Primitive>);

/// The outcome.
#[derive(Debug, Default, PartialEq)]
pub(crate) struct Flow {
    pub pages: Vec<Vec<Standing>>,
    /// Page on which each block begins, from 0.
    pub begins: Vec<usize>,
}

/// Lays the blocks into the columns of page after page.
///
/// # Errors
/// - [`SheetError::TooTall`]: a row does not fit even an empty column.
pub(crate) fn flow(blocks: &[Block], columns: &[Rect], gap: f64, sheet: &str) -> Result<Flow, SheetError> {
    let mut pen = Pen { columns, sheet, flow: Flow::default(), column: 0, y: 0.0 };
    if blocks.is_empty() || columns.is_empty() {
        return Ok(pen.flow);
    }
    pen.flow.pages.push(Vec::new());
    for block in blocks {
        pen.begin(block, gap);
        pen.put(&block.head, block)?;
        for (i, row) in block.rows.iter().enumerate() {
            let with_next = match block.rows.get(i + 1) {
                Some(next) if next.stays_with_previous => row.height + next.height,
                _ => row.height,
            };
            if with_next > pen.left() {
                pen.next_column();
                pen.put(&block.continued, block)?;
            }
            pen.put(row, block)?;
        }
    }
    Ok(pen.flow)
}

/// Where the next strip goes.
struct Pen<'a> {
    columns: &'a [Rect],
    sheet: &'a str,
    flow: Flow,
    column: usize,
    /// From the top of the column.
    y: f64,
}

impl Pen<'_> {
    fn left(&self) -> f64 {
        self.columns[self.column].height() - self.y
    }

    fn next_column(&mut self) {
        self.y = 0.0;
        self.column += 1;
        if self.column == self.columns.len() {
            self.column = 0;
            self.flow.pages.push(Vec::new());
        }
    }

    /// Moves to where the block begins: below the one before it, or in the next column.
    fn begin(&mut self, block: &Block, gap: f64) {
        if self.y > 0.0 {
            self.y += gap;
            let whole = block.height();
            let beginning = block.head.height
                + block.rows.iter().take(ROWS_WITH_HEADING).map(|row| row.height).sum::<f64>();
            let small = whole <= self.columns[self.column].height() / 2.0;
            if beginning > self.left() || (small && whole > self.left()) {
                self.next_column();
            }
        }
        self.flow.begins.push(self.flow.pages.len() - 1);
    }

    fn put(&mut self, strip: &Strip, block: &Block) -> Result<(), SheetError> {
        if strip.height > self.left() + 1e-6 {
            return Err(SheetError::TooTall {
                sheet: self.sheet.to_owned(),
                block: block.title.clone(),
                height: strip.height,
                room: self.left(),
            });
        }
        if let Some(page) = self.flow.pages.last_mut() {
            let column = self.columns[self.column];
            page.push((Point::new(column.x0, column.y0 + self.y), strip.primitives.clone()));
        }
        self.y += strip.height;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn strip(height: f64) -> Strip {
        Strip { height, ..Strip::default() }
    }

    fn block(rows: usize, height: f64) -> Block {
        Block {
            title: "Schedule".to_owned(),
            head: strip(10.0),
            continued: strip(8.0),
            rows: vec![strip(height); rows],
        }
    }

    const COLUMNS: [Rect; 2] = [Rect::new(0.0, 0.0, 90.0, 100.0), Rect::new(100.0, 0.0, 190.0, 100.0)];

    fn lowest(flow: &Flow) -> f64 {
        flow.pages.iter().flatten().map(|(at, _)| at.y).fold(0.0, f64::max)
    }

    /// 60 rows of 5 mm under a heading of 10 mm, later of 8 mm, in columns of 100 mm: 18 rows in
    /// every column, so four columns on two pages. Counted by hand.
    #[test]
    fn a_long_schedule_runs_over_columns_and_pages() {
        let flow = flow(&[block(60, 5.0)], &COLUMNS, 6.0, "Plants").unwrap();
        assert_eq!(flow.pages.len(), 2);
        assert_eq!(flow.begins, [0]);
        let strips: usize = flow.pages.iter().map(Vec::len).sum();
        assert_eq!(strips, 60 + 4, "each row once, and a heading in each of four columns");
        assert!(lowest(&flow) <= 95.0 + 1e-9);
    }

    #[test]
    fn a_small_block_is_not_cut() {
        let flow = flow(&[block(10, 5.0), block(6, 5.0)], &COLUMNS, 6.0, "Plants").unwrap();
        assert_eq!(flow.pages.len(), 1);
        let second = &flow.pages[0][11];
        assert_eq!(second.0, Point::new(100.0, 0.0), "40 mm do not fit the 34 mm left");
    }

    #[test]
    fn a_note_takes_the_last_row_along() {
        let mut table = block(18, 5.0);
        table.rows.push(Strip { stays_with_previous: true, ..strip(5.0) });
        let flow = flow(&[table], &COLUMNS, 6.0, "Plants").unwrap();
        let beside: Vec<f64> =
            flow.pages[0].iter().filter(|(at, _)| at.x > 50.0).map(|(at, _)| at.y).collect();
        assert_eq!(beside, [0.0, 8.0, 13.0], "the heading again, the last row, the note");
    }

    #[test]
    fn a_row_taller_than_the_page_says_so() {
        let error = flow(&[block(1, 120.0)], &COLUMNS, 6.0, "Plants").unwrap_err();
        assert_eq!(
            error.to_string(),
            "sheet `Plants`, `Schedule`: one part is 120 mm tall and a page has room for 92 mm; \
             shorten its text or take larger paper"
        );
    }
}
