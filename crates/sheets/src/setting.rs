//! How a sheet is set: margins, columns and sizes of letters for each size of paper.
//!
//! - In: the paper. Out: where the border, the drawing, the side column or the foot strip lie, and
//!   the sizes of all letters and lines. [mm, origin at the top left of the sheet, y down]
//! - Larger sheets are read from further away, so letters grow with the paper; no capital is lower
//!   than 1.8 mm, the smallest nominal size of ISO 3098-0 (from memory).
//! - Not here: what stands in those places (`compose.rs`, `views.rs`, `title_block.rs`).

use groundwright_drawing::{Face, Rgb};
use kurbo::{Rect, Size};

use crate::paper::Paper;

/// Ordinary letters and lines.
pub(crate) const INK: Rgb = Rgb(28, 28, 28);
/// Labels and continuations, which recede.
pub(crate) const GREY: Rgb = Rgb(96, 96, 96);
/// Hairlines between rows.
pub(crate) const PALE: Rgb = Rgb(176, 176, 176);
/// Cautions.
pub(crate) const CAUTION: Rgb = Rgb(150, 28, 20);

/// Widths of lines on every sheet. [mm]
pub(crate) const HAIRLINE: f64 = 0.13;
/// A rule that opens a block.
pub(crate) const RULE: f64 = 0.3;
/// The border, and the rule above the title block.
pub(crate) const BORDER: f64 = 0.4;

/// How a piece of text looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Letters {
    /// Height of the capitals. [mm]
    pub cap: f64,
    pub face: Face,
    pub colour: Rgb,
}

impl Letters {
    /// Distance from one base line to the next. [mm]
    pub fn leading(self) -> f64 {
        self.cap * 2.0
    }

    pub fn in_face(self, face: Face) -> Self {
        Self { face, ..self }
    }

    pub fn in_colour(self, colour: Rgb) -> Self {
        Self { colour, ..self }
    }
}

/// Margins, widths and sizes of letters for one size of paper. [mm]
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Setting {
    /// From the edge of the paper to the border.
    pub margin: f64,
    /// Between the border or a divider and what stands beside it.
    pub gutter: f64,
    /// Width of the side column.
    pub column: f64,
    /// Height of capitals in running text.
    pub cap: f64,
}

impl Setting {
    pub fn of(paper: Paper) -> Self {
        let (margin, gutter, column, cap) = match paper.width_mm {
            width if width < 310.0 => (9.0, 4.0, 62.0, 1.8),
            width if width < 450.0 => (11.0, 5.0, 84.0, 1.9),
            width if width < 650.0 => (13.0, 6.0, 108.0, 2.1),
            _ => (15.0, 8.0, 138.0, 2.4),
        };
        Self { margin, gutter, column, cap }
    }

    pub fn body(self) -> Letters {
        Letters { cap: self.cap, face: Face::Regular, colour: INK }
    }

    /// Small words that say what the value below them is.
    pub fn label(self) -> Letters {
        self.body().in_colour(GREY)
    }

    /// Headings of blocks.
    pub fn heading(self) -> Letters {
        Letters { cap: self.cap * 1.25, face: Face::Bold, colour: INK }
    }

    /// Project and sheet titles.
    pub fn title(self) -> Letters {
        Letters { cap: self.cap * 1.6, face: Face::Bold, colour: INK }
    }

    /// The sheet's number.
    pub fn number(self) -> Letters {
        Letters { cap: self.cap * 2.0, face: Face::Bold, colour: INK }
    }

    /// Height of the strip under a view with its title, scale bar and north arrow.
    pub fn caption(self) -> f64 {
        self.cap * 7.6
    }

    /// Height of the title strip at the foot of a sheet without a side column.
    pub fn foot(self) -> f64 {
        self.cap * 9.0
    }

    /// Distance between two blocks in a column.
    pub fn block_gap(self) -> f64 {
        self.cap * 2.6
    }
}

/// Where the parts of one page lie. [mm, y down]
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct PageFrame {
    /// The line around everything.
    pub border: Rect,
    /// Room for views with their captions, or for text in columns.
    pub area: Rect,
    /// Room for the title block and all that stands above it, or for the title strip.
    pub title: Rect,
    /// Whether `title` is a side column and not a strip at the foot.
    pub has_side_column: bool,
}

impl PageFrame {
    pub fn new(paper: Paper, has_side_column: bool) -> Self {
        let setting = Setting::of(paper);
        let border = Rect::new(0.0, 0.0, paper.width_mm, paper.height_mm).inset(-setting.margin);
        let inner = border.inset(-setting.gutter);
        let (area, title) = if has_side_column {
            let divider = inner.x1 - setting.column - setting.gutter;
            (Rect { x1: divider - setting.gutter, ..inner }, Rect { x0: divider + setting.gutter, ..inner })
        } else {
            let divider = border.y1 - setting.foot();
            (Rect { y1: divider - setting.gutter, ..inner }, Rect { y0: divider, y1: border.y1, ..inner })
        };
        Self { border, area, title, has_side_column }
    }
}

/// Room left for one drawing on a sheet, its caption taken off. [mm]
///
/// Sheets with a legend, notes or tables have a side column; others have a strip at the foot.
/// A view painted to this size fills its sheet.
pub fn window(paper: Paper, has_side_column: bool) -> Size {
    let area = PageFrame::new(paper, has_side_column).area;
    Size::new(area.width(), area.height() - Setting::of(paper).caption())
}

#[cfg(test)]
mod tests {
    use super::*;
    use groundwright_units::System;

    #[test]
    fn every_sheet_leaves_most_of_itself_to_the_drawing() {
        for system in [System::Us, System::Metric] {
            for &paper in Paper::sizes(system) {
                let sheet = paper.width_mm * paper.height_mm;
                assert!(window(paper, true).area() > 0.45 * sheet, "{}", paper.name);
                assert!(window(paper, false).area() > 0.6 * sheet, "{}", paper.name);
                assert!(Setting::of(paper).cap >= 1.8);
            }
        }
    }
}
