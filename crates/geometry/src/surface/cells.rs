//! Which triangles lie where: a grid of about two triangles a cell.
//!
//! - In: points and triangles. Out: candidates at a place, or near a rectangle.
//! - Method: two passes, count and fill, into one flat list. A triangle is listed in the cells that
//!   it touches, so that long thin ones do not crowd the cells of their box.

use kurbo::{Point, Rect};

use crate::Point3;

/// The grid.
#[derive(Debug, Clone)]
pub(crate) struct Cells {
    bounds: Rect,
    size: f64,
    columns: usize,
    rows: usize,
    starts: Vec<u32>,
    entries: Vec<u32>,
}

impl Cells {
    pub(crate) fn new(points: &[Point3], triangles: &[[u32; 3]]) -> Self {
        let at = |i: u32| points[i as usize].plan();
        let first = triangles.first().map_or(Point::ORIGIN, |t| at(t[0]));
        let bounds =
            triangles.iter().flatten().fold(Rect::from_points(first, first), |rect, &i| rect.union_pt(at(i)));
        // Never a side without length: a surface has area, but the sum must not depend on it.
        let (width, height) = (bounds.width().max(1e-6), bounds.height().max(1e-6));
        let wanted = (triangles.len() as f64 / 2.0).max(1.0);
        let size = (width * height / wanted).sqrt().max(width.max(height) / 4096.0);
        let columns = ((width / size).ceil() as usize).max(1);
        let rows = ((height / size).ceil() as usize).max(1);
        let mut cells =
            Self { bounds, size, columns, rows, starts: vec![0; columns * rows + 1], entries: Vec::new() };
        let mut counts = vec![0u32; columns * rows];
        for corners in triangles {
            cells.each_touched(corners.map(at), |cell| counts[cell] += 1);
        }
        let mut sum = 0;
        for (cell, count) in counts.iter_mut().enumerate() {
            cells.starts[cell] = sum;
            sum += *count;
            *count = cells.starts[cell];
        }
        cells.starts[columns * rows] = sum;
        let mut entries = vec![0u32; sum as usize];
        for (index, corners) in triangles.iter().enumerate() {
            cells.each_touched(corners.map(at), |cell| {
                entries[counts[cell] as usize] = index as u32;
                counts[cell] += 1;
            });
        }
        cells.entries = entries;
        cells
    }

    pub(crate) fn bounds(&self) -> Rect {
        self.bounds
    }

    /// Side of a cell. [m]
    pub(crate) fn size(&self) -> f64 {
        self.size
    }

    /// Triangles that may hold a place, rising.
    pub(crate) fn at(&self, place: Point) -> impl Iterator<Item = usize> {
        // A hair outside still asks the outermost cells.
        let hair = 1e-9 * (1.0 + self.bounds.width() + self.bounds.height());
        let inside = place.is_finite() && self.bounds.inflate(hair, hair).contains(place);
        let cell = if inside { Some(self.row(place.y) * self.columns + self.column(place.x)) } else { None };
        cell.into_iter().flat_map(|cell| self.listed(cell))
    }

    /// Triangles that may touch a rectangle, each once, rising.
    pub(crate) fn near(&self, rect: Rect) -> Vec<usize> {
        let mut found = Vec::new();
        self.collect(rect, &mut found);
        found.sort_unstable();
        found.dedup();
        found
    }

    /// Adds the triangles listed in the cells of a rectangle, some of them more than once.
    pub(crate) fn collect(&self, rect: Rect, found: &mut Vec<usize>) {
        let rect = rect.abs();
        let apart = rect.x0 > self.bounds.x1
            || rect.x1 < self.bounds.x0
            || rect.y0 > self.bounds.y1
            || rect.y1 < self.bounds.y0;
        if apart || !rect.is_finite() {
            return;
        }
        for row in self.row(rect.y0)..=self.row(rect.y1) {
            for column in self.column(rect.x0)..=self.column(rect.x1) {
                found.extend(self.listed(row * self.columns + column));
            }
        }
    }

    fn listed(&self, cell: usize) -> impl Iterator<Item = usize> {
        let range = self.starts[cell] as usize..self.starts[cell + 1] as usize;
        self.entries[range].iter().map(|&i| i as usize)
    }

    fn column(&self, x: f64) -> usize {
        (((x - self.bounds.x0) / self.size).max(0.0) as usize).min(self.columns - 1)
    }

    fn row(&self, y: f64) -> usize {
        (((y - self.bounds.y0) / self.size).max(0.0) as usize).min(self.rows - 1)
    }

    /// The cells that a triangle touches, by separating axes.
    fn each_touched(&self, [a, b, c]: [Point; 3], mut each: impl FnMut(usize)) {
        let rect = Rect::from_points(a, b).union_pt(c);
        let columns = self.column(rect.x0)..=self.column(rect.x1);
        let one = columns.start() == columns.end();
        for row in self.row(rect.y0)..=self.row(rect.y1) {
            for column in columns.clone() {
                let small = one && self.row(rect.y0) == self.row(rect.y1);
                if small || self.touches(row, column, [a, b, c]) {
                    each(row * self.columns + column);
                }
            }
        }
    }

    fn touches(&self, row: usize, column: usize, corners: [Point; 3]) -> bool {
        // The cell a little larger than it is: better one candidate too many than one too few.
        let half = self.size * (0.5 + 1e-6);
        let middle = Point::new(
            self.bounds.x0 + (column as f64 + 0.5) * self.size,
            self.bounds.y0 + (row as f64 + 0.5) * self.size,
        );
        (0..3).all(|i| {
            let (from, along) = (corners[i], corners[(i + 1) % 3] - corners[i]);
            // The triangle lies left of its edges: the cell's best corner must not lie right.
            along.cross(middle - from) + half * (along.x.abs() + along.y.abs()) >= 0.0
        })
    }
}
