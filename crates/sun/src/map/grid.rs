//! The points of a map: a grid in the plan, each with its height.

use groundwright_geometry::{Point, Point3, Rect};

/// A grid of points at the middles of square cells, row by row from the south-west.
#[derive(Debug, Clone, PartialEq)]
pub struct Grid {
    /// Middle of the first cell. [m]
    pub origin: Point,
    /// Side of a cell. [m]
    pub step: f64,
    /// Cells from west to east.
    pub columns: usize,
    /// Cells from south to north.
    pub rows: usize,
    /// Height of each point. [m]
    pub heights: Vec<f64>,
}

/// Why there is no grid.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum GridFault {
    /// No cells, or endless ones.
    #[error(
        "a map of {width} m by {height} m in steps of {step} m has no cells; expected lengths above zero"
    )]
    Empty {
        /// Extent east to west. [m]
        width: f64,
        /// Extent south to north. [m]
        height: f64,
        /// Step. [m]
        step: f64,
    },
    /// More cells than anybody needs.
    #[error("{0} cells are more than the 4 million that a map may have; expected a wider step")]
    TooMany(f64),
    /// A height that is not finite.
    #[error("the ground at {0} has no finite height")]
    Height(Point),
}

impl Grid {
    /// A grid over a rectangle.
    ///
    /// # Arguments
    /// - `over`: what is to be covered. [m]
    /// - `step`: side of a cell. [m]
    /// - `height`: height of a point. [m]
    ///
    /// # Errors
    /// No cells, more than four million, or a height that is not finite.
    pub fn over(over: Rect, step: f64, height: impl Fn(Point) -> f64) -> Result<Self, GridFault> {
        let (width, length) = (over.width(), over.height());
        if !(width > 0.0 && length > 0.0 && step > 0.0 && (width + length + step).is_finite()) {
            return Err(GridFault::Empty { width, height: length, step });
        }
        let (columns, rows) = ((width / step).ceil(), (length / step).ceil());
        if columns * rows > 4e6 {
            return Err(GridFault::TooMany(columns * rows));
        }
        let origin = Point::new(over.x0 + step / 2.0, over.y0 + step / 2.0);
        let mut grid =
            Self { origin, step, columns: columns as usize, rows: rows as usize, heights: Vec::new() };
        for i in 0..grid.len() {
            let at = grid.at(i);
            let height = height(at);
            if !height.is_finite() {
                return Err(GridFault::Height(at));
            }
            grid.heights.push(height);
        }
        Ok(grid)
    }

    /// How many points.
    pub fn len(&self) -> usize {
        self.columns * self.rows
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// A point in plan. [m]
    pub fn at(&self, index: usize) -> Point {
        let (row, column) = (index / self.columns, index % self.columns);
        Point::new(self.origin.x + column as f64 * self.step, self.origin.y + row as f64 * self.step)
    }

    /// A point in space. [m]
    pub fn place(&self, index: usize) -> Point3 {
        let at = self.at(index);
        Point3::new(at.x, at.y, self.heights[index])
    }

    /// The cell in which a point lies.
    pub fn cell(&self, at: Point) -> Option<usize> {
        let column = ((at.x - self.origin.x) / self.step).round();
        let row = ((at.y - self.origin.y) / self.step).round();
        let inside = (0.0..self.columns as f64).contains(&column) && (0.0..self.rows as f64).contains(&row);
        inside.then(|| row as usize * self.columns + column as usize)
    }

    /// Lowest and highest point of each row, and of all. [m]
    pub(super) fn spans(&self) -> (Vec<(f64, f64)>, (f64, f64)) {
        let span = |values: &[f64]| {
            values.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), z| (l.min(*z), h.max(*z)))
        };
        (self.heights.chunks(self.columns).map(span).collect(), span(&self.heights))
    }

    /// Columns whose middles lie between two x, widened by rounding. [m]
    pub(super) fn columns_between(&self, low: f64, high: f64) -> std::ops::Range<usize> {
        range((low - self.origin.x) / self.step, (high - self.origin.x) / self.step, self.columns)
    }

    /// Rows whose middles lie between two y, widened by rounding. [m]
    pub(super) fn rows_between(&self, low: f64, high: f64) -> std::ops::Range<usize> {
        range((low - self.origin.y) / self.step, (high - self.origin.y) / self.step, self.rows)
    }
}

fn range(low: f64, high: f64, count: usize) -> std::ops::Range<usize> {
    let bound = |v: f64| v.clamp(0.0, count as f64) as usize;
    let (low, high) = (bound((low - 1e-9).ceil()), bound((high + 1e-9).floor() + 1.0));
    low..high.max(low)
}
