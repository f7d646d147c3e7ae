//! Points that come and go, found by place.
//!
//! - In: points, one by one. Out: who stands near a place.
//! - Method: a grid of square cells, each a chain of points. Asking for a radius of about a cell
//!   costs the same however many points there are.
//! - Assumes finite points; those outside the bounds are kept in the outermost cells, which stays
//!   right for searches but slow if there are many.
//! - Not here: fixed sets of points (`groundwright_geometry::PointIndex`).

use groundwright_geometry::{Point, Rect, Vec2};

/// No grid has more cells a side than this.
const MOST_CELLS: f64 = 2000.0;

/// End of a chain.
const NONE: u32 = u32::MAX;

/// Points in a grid of cells.
#[derive(Debug, Clone)]
pub(super) struct Neighbours {
    origin: Point,
    cell: f64,
    columns: usize,
    rows: usize,
    first: Vec<u32>,
    next: Vec<u32>,
    points: Vec<Point>,
}

impl Neighbours {
    /// An empty grid over bounds, with cells of about `cell`. [m]
    pub(super) fn new(bounds: Rect, cell: f64) -> Self {
        let bounds = bounds.abs();
        let side = bounds.width().max(bounds.height());
        let cell = cell.max(side / MOST_CELLS).max(1e-6);
        let count = |length: f64| (length / cell).floor() as usize + 1;
        let (columns, rows) = (count(bounds.width()), count(bounds.height()));
        Self {
            origin: bounds.origin(),
            cell,
            columns,
            rows,
            first: vec![NONE; columns * rows],
            next: Vec::new(),
            points: Vec::new(),
        }
    }

    /// A grid that holds the points given, indexed as they are.
    pub(super) fn of(points: &[Point], cell: f64) -> Self {
        let bounds = bounds_of(points);
        let mut grid = Self::new(bounds, cell);
        for &point in points {
            grid.insert(point);
        }
        grid
    }

    /// Puts a point in, and tells its index: the number of points put in before.
    pub(super) fn insert(&mut self, point: Point) -> usize {
        let index = self.points.len();
        let (column, row) = self.cell_of(point);
        let head = &mut self.first[row * self.columns + column];
        self.next.push(*head);
        *head = index as u32;
        self.points.push(point);
        index
    }

    /// Takes a point out; the indices of the others stay.
    pub(super) fn remove(&mut self, index: usize) {
        let (column, row) = self.cell_of(self.points[index]);
        let cell = row * self.columns + column;
        if self.first[cell] == index as u32 {
            self.first[cell] = self.next[index];
            return;
        }
        let mut at = self.first[cell];
        while at != NONE {
            let after = self.next[at as usize];
            if after == index as u32 {
                self.next[at as usize] = self.next[index];
                return;
            }
            at = after;
        }
    }

    /// Moves a point to another place; its index stays.
    pub(super) fn shift(&mut self, index: usize, to: Point) {
        let (from, cell) = (self.cell_of(self.points[index]), self.cell_of(to));
        if from != cell {
            self.remove(index);
            let head = &mut self.first[cell.1 * self.columns + cell.0];
            self.next[index] = *head;
            *head = index as u32;
        }
        self.points[index] = to;
    }

    /// Visits all points nearer than `radius`, with their distance. [m]
    pub(super) fn near(&self, place: Point, radius: f64, mut visit: impl FnMut(usize, f64)) {
        let (left, low) = self.cell_of(Point::new(place.x - radius, place.y - radius));
        let (right, high) = self.cell_of(Point::new(place.x + radius, place.y + radius));
        for row in low..=high {
            for column in left..=right {
                let mut at = self.first[row * self.columns + column];
                while at != NONE {
                    let index = at as usize;
                    let squared = self.points[index].distance_squared(place);
                    if squared < radius * radius {
                        visit(index, squared.sqrt());
                    }
                    at = self.next[index];
                }
            }
        }
    }

    /// Distance of the nearest point within `radius`, one index passed over; `radius` if there is
    /// none. [m]
    pub(super) fn nearest(&self, place: Point, radius: f64, passed_over: Option<usize>) -> f64 {
        let mut least = radius;
        self.near(place, radius, |index, distance| {
            if Some(index) != passed_over {
                least = least.min(distance);
            }
        });
        least
    }

    /// Whether a point stands nearer than `radius`. [m]
    pub(super) fn has_near(&self, place: Point, radius: f64) -> bool {
        let (left, low) = self.cell_of(Point::new(place.x - radius, place.y - radius));
        let (right, high) = self.cell_of(Point::new(place.x + radius, place.y + radius));
        // The cell of the place itself is the likeliest.
        let own = self.cell_of(place);
        let others = (low..=high).flat_map(|row| (left..=right).map(move |column| (column, row)));
        std::iter::once(own).chain(others).any(|(column, row)| {
            let mut at = self.first[row * self.columns + column];
            while at != NONE {
                if self.points[at as usize].distance_squared(place) < radius * radius {
                    return true;
                }
                at = self.next[at as usize];
            }
            false
        })
    }

    fn cell_of(&self, place: Point) -> (usize, usize) {
        let index = |run: f64, count: usize| ((run / self.cell).floor().max(0.0) as usize).min(count - 1);
        (index(place.x - self.origin.x, self.columns), index(place.y - self.origin.y, self.rows))
    }
}

/// The upright box around points; a box without size at the origin if there are none. [m]
pub(super) fn bounds_of(points: &[Point]) -> Rect {
    let Some(&start) = points.first() else {
        return Rect::ZERO;
    };
    points.iter().fold(Rect::from_points(start, start), |bounds, point| bounds.union_pt(*point))
}

/// Unit direction in which points spread most; east if they spread alike in all.
pub(super) fn long_axis(points: &[Point]) -> Vec2 {
    let count = points.len().max(1) as f64;
    let mean = points.iter().fold(Vec2::ZERO, |sum, point| sum + point.to_vec2()) / count;
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for point in points {
        let off = point.to_vec2() - mean;
        xx += off.x * off.x;
        xy += off.x * off.y;
        yy += off.y * off.y;
    }
    Vec2::from_angle((2.0 * xy).atan2(xx - yy) / 2.0)
}

/// Distance of every point to its nearest fellow; none if there is only one point. [m]
pub(super) fn nearest_distances(points: &[Point]) -> Vec<Option<f64>> {
    let index = groundwright_geometry::PointIndex::new(points);
    points
        .iter()
        .enumerate()
        .map(|(i, point)| index.nearest_but(*point, Some(i)).map(|(_, distance)| distance))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arrange::draws::Draws;

    #[test]
    fn the_grid_finds_what_a_plain_search_finds() {
        let mut draws = Draws::new(7);
        let points: Vec<Point> =
            (0..300).map(|_| Point::new(draws.between(-4.0, 4.0), draws.between(0.0, 9.0))).collect();
        let mut grid = Neighbours::of(&points, 0.7);
        for removed in (0..300).step_by(3) {
            grid.remove(removed);
        }
        for _ in 0..50 {
            let place = Point::new(draws.between(-6.0, 6.0), draws.between(-2.0, 11.0));
            let mut found = Vec::new();
            grid.near(place, 1.5, |index, _| found.push(index));
            found.sort_unstable();
            let expected: Vec<usize> =
                (0..300).filter(|i| i % 3 != 0 && points[*i].distance(place) < 1.5).collect();
            assert_eq!(found, expected);
        }
    }
}
