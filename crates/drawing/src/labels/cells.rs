//! A grid of square cells over the window, so that neighbours are found without asking everybody.
//!
//! - In: boxes and lines on paper. Out: numbers of the cells that they touch.
//! - What lies outside the window is entered in the nearest cells of its rim, so nothing is lost.

use kurbo::{Point, Rect};

/// Side of a cell: about the height of a tag and the width of a pot. [mm]
const SIDE_MM: f64 = 8.0;

/// No window has more cells in a direction than this; larger ones get larger cells.
const MOST: f64 = 512.0;

/// The division of the window into cells.
#[derive(Debug, Clone, PartialEq)]
pub struct Cells {
    origin: Point,
    side: f64,
    columns: u32,
    rows: u32,
}

impl Cells {
    /// Divides a window with sides above zero.
    pub fn over(window: Rect) -> Self {
        let side = SIDE_MM.max(window.width() / MOST).max(window.height() / MOST);
        let count = |length: f64| (length / side).ceil().max(1.0) as u32;
        Self { origin: window.origin(), side, columns: count(window.width()), rows: count(window.height()) }
    }

    /// Number of cells.
    pub fn count(&self) -> usize {
        (self.columns * self.rows) as usize
    }

    fn column(&self, x: f64) -> u32 {
        ((x - self.origin.x) / self.side).floor().clamp(0.0, f64::from(self.columns - 1)) as u32
    }

    fn row(&self, y: f64) -> u32 {
        ((y - self.origin.y) / self.side).floor().clamp(0.0, f64::from(self.rows - 1)) as u32
    }

    /// Visits the cells that a box touches.
    pub fn in_box(&self, of: Rect, mut visit: impl FnMut(u32)) {
        for row in self.row(of.y0)..=self.row(of.y1) {
            for column in self.column(of.x0)..=self.column(of.x1) {
                visit(row * self.columns + column);
            }
        }
    }

    /// Visits the cells that a straight line touches; row by row, from where it enters the row to
    /// where it leaves.
    pub fn on_line(&self, a: Point, b: Point, mut visit: impl FnMut(u32)) {
        let (top, bottom) = if a.y <= b.y { (a, b) } else { (b, a) };
        let x_at = |y: f64| {
            let height = bottom.y - top.y;
            if height > 0.0 {
                top.x + (bottom.x - top.x) * ((y - top.y) / height).clamp(0.0, 1.0)
            } else {
                top.x
            }
        };
        let (first, last) = (self.row(top.y), self.row(bottom.y));
        for row in first..=last {
            let edge = |row: u32| self.origin.y + f64::from(row) * self.side;
            let from = if row == first { top.x } else { x_at(edge(row)) };
            let to = if row == last { bottom.x } else { x_at(edge(row + 1)) };
            for column in self.column(from.min(to))..=self.column(from.max(to)) {
                visit(row * self.columns + column);
            }
        }
    }

    /// Cells that a tag with its clearance and its leader touch, sorted, each once.
    pub fn of_spot(&self, tag: Rect, leader: &[Point]) -> Vec<u32> {
        let mut cells = Vec::new();
        let clearance = super::price::CLEARANCE_MM;
        self.in_box(tag.inflate(clearance, clearance), |cell| cells.push(cell));
        for pair in leader.windows(2) {
            self.on_line(pair[0], pair[1], |cell| cells.push(cell));
        }
        cells.sort_unstable();
        cells.dedup();
        cells
    }
}

/// Remembers who was seen in the current round, so that a thing in several cells counts once.
#[derive(Debug, Clone, Default)]
pub struct Seen {
    round: u32,
    last: Vec<u32>,
}

impl Seen {
    /// A memory for `count` things.
    pub fn of(count: usize) -> Self {
        Self { round: 0, last: vec![0; count] }
    }

    /// Begins a new round in which nobody has been seen.
    pub fn forget(&mut self) {
        if self.round == u32::MAX {
            self.last.fill(0);
            self.round = 0;
        }
        self.round += 1;
    }

    /// Whether it is seen for the first time in this round.
    pub fn first_time(&mut self, which: u32) -> bool {
        let last = &mut self.last[which as usize];
        let first = *last != self.round;
        *last = self.round;
        first
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every point of a line lies in one of the cells that the line names.
    #[test]
    fn a_line_touches_the_cells_of_all_its_points() {
        let cells = Cells::over(Rect::new(0.0, 0.0, 200.0, 100.0));
        for (a, b) in [
            (Point::new(3.0, 4.0), Point::new(190.0, 91.0)),
            (Point::new(190.0, 4.0), Point::new(3.0, 9.0)),
            (Point::new(50.0, 90.0), Point::new(50.0, 2.0)),
            (Point::new(-30.0, 50.0), Point::new(230.0, 50.0)),
        ] {
            let mut touched = Vec::new();
            cells.on_line(a, b, |cell| touched.push(cell));
            for i in 0..=1000 {
                let point = a.lerp(b, f64::from(i) / 1000.0);
                let mut own = Vec::new();
                cells.in_box(Rect::from_points(point, point), |cell| own.push(cell));
                assert!(touched.contains(&own[0]), "{a:?} to {b:?} at {point:?}");
            }
        }
    }
}
