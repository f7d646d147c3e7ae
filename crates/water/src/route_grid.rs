//! The grid on which pipes are routed: what a metre costs in each cell, and cheapest ways over it.
//!
//! - In: the ground. Out: neighbours with costs, ways from a set of cells.
//! - Method: Dijkstra 1959 on eight neighbours; no way squeezes round the corner of barred ground.

use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::f64::consts::SQRT_2;

use groundwright_geometry::{Point, RegionIndex};
use rayon::prelude::*;

use crate::positive::{NotUsable, above_zero, within};
use crate::routing::{RouteError, RouteGround};

/// Most cells of a grid.
const MOST_CELLS: f64 = 4e6;

/// Steps to the eight neighbours.
const STEPS: [(isize, isize); 8] = [(1, 0), (0, 1), (-1, 0), (0, -1), (1, 1), (-1, 1), (-1, -1), (1, -1)];

/// The grid: cost of a metre in each cell; none where no pipe may lie.
pub(crate) struct Grid {
    origin: Point,
    cell: f64,
    columns: usize,
    factors: Vec<Option<f64>>,
}

/// A cost that can be put in order.
#[derive(Clone, Copy, PartialEq)]
struct Cost(f64);
impl Eq for Cost {}
impl PartialOrd for Cost {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Cost {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.0.total_cmp(&other.0)
    }
}

impl Grid {
    pub(crate) fn new(ground: RouteGround<'_>) -> Result<Self, NotUsable> {
        above_zero("the side of a cell", ground.cell, "m")?;
        above_zero("the width of the ground", ground.bounds.width(), "m")?;
        above_zero("the height of the ground", ground.bounds.height(), "m")?;
        for (_, factor) in ground.dear {
            above_zero("the factor of dear ground", *factor, "")?;
        }
        let columns = (ground.bounds.width() / ground.cell).ceil();
        let rows = (ground.bounds.height() / ground.cell).ceil();
        within("the count of cells", columns * rows, "", columns * rows <= MOST_CELLS, "at most 4 million")?;
        let (columns, rows) = (columns as usize, rows as usize);
        let mut grid =
            Self { origin: ground.bounds.origin(), cell: ground.cell, columns, factors: Vec::new() };
        let dear: Vec<(RegionIndex, f64)> =
            ground.dear.iter().map(|(region, factor)| (RegionIndex::new(region), *factor)).collect();
        let barred: Vec<RegionIndex> = ground.barred.iter().map(RegionIndex::new).collect();
        grid.factors = (0..columns * rows)
            .into_par_iter()
            .map(|k| {
                let at = grid.centre(k);
                let open = !barred.iter().any(|index| index.contains(at));
                open.then(|| dear.iter().filter(|(index, _)| index.contains(at)).map(|(_, f)| f).product())
            })
            .collect();
        Ok(grid)
    }

    pub(crate) fn centre(&self, k: usize) -> Point {
        let (column, row) = ((k % self.columns) as f64, (k / self.columns) as f64);
        Point::new(self.origin.x + (column + 0.5) * self.cell, self.origin.y + (row + 0.5) * self.cell)
    }

    pub(crate) fn cell_of(&self, place: Point, end: impl Fn() -> String) -> Result<usize, RouteError> {
        let (x, y) = ((place.x - self.origin.x) / self.cell, (place.y - self.origin.y) / self.cell);
        let rows = self.factors.len() / self.columns;
        let inside = x >= 0.0 && y >= 0.0 && x <= self.columns as f64 && y <= rows as f64;
        let k = (y as usize).min(rows - 1) * self.columns + (x as usize).min(self.columns - 1);
        if inside && self.factors[k].is_some() {
            Ok(k)
        } else {
            Err(RouteError::Outside { end: end(), x: place.x, y: place.y })
        }
    }

    /// Neighbours of a cell with the cost of the way.
    pub(crate) fn ways(&self, k: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
        let columns = self.columns.cast_signed();
        let (column, row) = (k.cast_signed() % columns, k.cast_signed() / columns);
        let rows = self.factors.len().cast_signed() / columns;
        STEPS.into_iter().filter_map(move |(dx, dy)| {
            let (x, y) = (column + dx, row + dy);
            if x < 0 || y < 0 || x >= columns || y >= rows {
                return None;
            }
            let at = |x: isize, y: isize| (y * columns + x).cast_unsigned();
            // Between two barred cells no pipe squeezes through, nor round the corner of one.
            if dx != 0
                && dy != 0
                && (self.factors[at(column + dx, row)].is_none()
                    || self.factors[at(column, row + dy)].is_none())
            {
                return None;
            }
            let next = at(x, y);
            let factor = f64::midpoint(self.factors[k]?, self.factors[next]?);
            let length = if dx != 0 && dy != 0 { SQRT_2 } else { 1.0 } * self.cell;
            Some((next, length * factor))
        })
    }

    /// Cheapest ways from a set of cells until a cell is `wanted`; costs, and the cell before each.
    pub(crate) fn spread(
        &self,
        from: impl Iterator<Item = usize>,
        wanted: impl Fn(usize) -> bool,
    ) -> (Vec<f64>, Vec<usize>, Option<usize>) {
        let n = self.factors.len();
        let (mut costs, mut before) = (vec![f64::INFINITY; n], vec![usize::MAX; n]);
        let mut open = BinaryHeap::new();
        for k in from {
            costs[k] = 0.0;
            open.push(Reverse((Cost(0.0), k)));
        }
        while let Some(Reverse((Cost(cost), k))) = open.pop() {
            if cost > costs[k] {
                continue;
            }
            if wanted(k) {
                return (costs, before, Some(k));
            }
            for (next, way) in self.ways(k) {
                if cost + way < costs[next] {
                    costs[next] = cost + way;
                    before[next] = k;
                    open.push(Reverse((Cost(cost + way), next)));
                }
            }
        }
        (costs, before, None)
    }

    /// Cost of the way between neighbours.
    pub(crate) fn way(&self, from: usize, to: usize) -> f64 {
        self.ways(from).find(|(next, _)| *next == to).map_or(f64::INFINITY, |(_, cost)| cost)
    }
}
