//! The visual centre of a region, where a label sits best.
//!
//! - In: a region and a tolerance [m]. Out: the inner point furthest from the boundary.
//! - Method: pole of inaccessibility by a best-first search over squares: the square that could
//!   hold the deepest point is split first, until none can beat the best by the tolerance.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use geo::Simplify;
use kurbo::{Line, Point};

use super::measure::{distance_to_edge, ray_crosses};
use super::{Region, RegionIndex};

/// A square of the search.
struct Cell {
    center: Point,
    half: f64,
    depth: f64,
    /// No point of the square is deeper than this. [m]
    reach: f64,
}

/// Up to so many edges are looked at one by one, which is quicker than looking among them.
const FEW: usize = 64;

/// A boundary to measure depths from.
enum Depths {
    Few(Vec<Line>),
    Many(RegionIndex),
}

impl Depths {
    fn of(region: &Region) -> Self {
        let edges: Vec<Line> = region.edges().collect();
        if edges.len() <= FEW { Self::Few(edges) } else { Self::Many(RegionIndex::new(region)) }
    }

    /// Distance from the boundary, below zero outside. [m]
    fn at(&self, place: Point) -> f64 {
        match self {
            Self::Many(index) => index.signed_distance(place),
            Self::Few(edges) => {
                let mut distance = f64::INFINITY;
                let mut inside = false;
                for edge in edges {
                    distance = distance.min(distance_to_edge(*edge, place));
                    inside ^= ray_crosses(*edge, place);
                }
                if inside { distance } else { -distance }
            }
        }
    }
}

impl Cell {
    fn new(depths: &Depths, center: Point, half: f64) -> Self {
        let depth = depths.at(center);
        Self { center, half, depth, reach: depth + half * std::f64::consts::SQRT_2 }
    }
}

impl PartialEq for Cell {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}
impl Eq for Cell {}
impl PartialOrd for Cell {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Cell {
    fn cmp(&self, other: &Self) -> Ordering {
        self.reach
            .total_cmp(&other.reach)
            .then(other.center.x.total_cmp(&self.center.x))
            .then(other.center.y.total_cmp(&self.center.y))
    }
}

impl Region {
    /// The point deepest inside the region, to within `tolerance` of its depth, and its distance
    /// from the boundary; none if the region is empty. [m]
    ///
    /// A tolerance below a thousandth of the region's size counts as that.
    pub fn pole(&self, tolerance: f64) -> Option<(Point, f64)> {
        let bounds = self.bounds()?;
        let size = bounds.width().min(bounds.height()).max(bounds.width().max(bounds.height()) / 50.0);
        let least = bounds.width().max(bounds.height()) * 1e-3;
        let tolerance = if tolerance > least { tolerance } else { least };
        // A boundary flattened to millimetres has many times the edges that a tolerance of decimetres
        // can tell apart; what the simpler one may be off is taken out of the tolerance.
        let slack = tolerance / 4.0;
        let plain = Self::of(self.shape.simplify(slack));
        let index = Depths::of(if plain.is_empty() { self } else { &plain });
        let mut best = Cell::new(&index, self.centroid()?, 0.0);
        let mut queue = BinaryHeap::new();
        let (columns, rows) = ((bounds.width() / size).ceil(), (bounds.height() / size).ceil());
        for column in 0..columns.max(1.0) as usize {
            for row in 0..rows.max(1.0) as usize {
                let corner = Point::new(
                    bounds.x0 + (column as f64 + 0.5) * size,
                    bounds.y0 + (row as f64 + 0.5) * size,
                );
                queue.push(Cell::new(&index, corner, size / 2.0));
            }
        }
        while let Some(cell) = queue.pop() {
            if cell.reach - best.depth <= tolerance - 2.0 * slack {
                break;
            }
            let half = cell.half / 2.0;
            for (dx, dy) in [(-half, -half), (half, -half), (-half, half), (half, half)] {
                queue.push(Cell::new(&index, cell.center + kurbo::Vec2::new(dx, dy), half));
            }
            if cell.depth > best.depth {
                best = cell;
            }
        }
        let depth = self.signed_distance(best.center);
        (depth > 0.0).then_some((best.center, depth))
    }
}
