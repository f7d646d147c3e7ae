//! Nearest neighbours among many points, and which of many boxes hold a place.
//!
//! - In: points or boxes once, then places. [m] Out: indices into the list given.
//! - Method: R-tree. Answers do not depend on the order of the tree: ties go to the lower index
//!   and lists are sorted.
//! - Points that are not finite are left out, so they are never an answer.

use kurbo::{Point, Rect};
use rstar::RTree;
use rstar::primitives::{GeomWithData, Rectangle};

/// Points made for many questions.
#[derive(Debug, Clone)]
pub struct PointIndex {
    tree: RTree<GeomWithData<[f64; 2], usize>>,
}

/// Distances that differ by less are a tie. [m]
const TIE: f64 = 1e-9;

impl PointIndex {
    /// Puts points in order; indices count in the list given, from 0.
    pub fn new(points: &[Point]) -> Self {
        let entries = points
            .iter()
            .enumerate()
            .filter(|(_, p)| within_reach(**p))
            .map(|(i, p)| GeomWithData::new([p.x, p.y], i));
        Self { tree: RTree::bulk_load(entries.collect()) }
    }

    /// Number of points that can be an answer.
    pub fn len(&self) -> usize {
        self.tree.size()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Index of the nearest point and its distance; none without points or for a place that is
    /// not finite. [m]
    pub fn nearest(&self, place: Point) -> Option<(usize, f64)> {
        self.nearest_but(place, None)
    }

    /// As [`PointIndex::nearest`], passing over one index: the nearest neighbour of a point that
    /// is itself in the list.
    pub fn nearest_but(&self, place: Point, passed_over: Option<usize>) -> Option<(usize, f64)> {
        if !within_reach(place) {
            return None;
        }
        let query = [place.x, place.y];
        let mut near = self
            .tree
            .nearest_neighbor_iter_with_distance_2(&query)
            .filter(|(entry, _)| Some(entry.data) != passed_over)
            .map(|(entry, distance_2)| (entry.data, distance_2.sqrt()));
        let (mut index, distance) = near.next()?;
        for (other, other_distance) in near {
            if other_distance > distance + TIE {
                break;
            }
            index = index.min(other);
        }
        Some((index, distance))
    }

    /// Indices of all points within a radius, edge included, rising. [m]
    pub fn within(&self, place: Point, radius: f64) -> Vec<usize> {
        if !within_reach(place) || radius.is_nan() || radius < 0.0 {
            return Vec::new();
        }
        let radius = radius.min(1e9);
        let found = self.tree.locate_within_distance([place.x, place.y], radius * radius);
        let mut indices: Vec<usize> = found.map(|entry| entry.data).collect();
        indices.sort_unstable();
        indices
    }
}

/// Boxes made for many questions.
#[derive(Debug, Clone)]
pub struct BoxIndex {
    tree: RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>,
}

impl BoxIndex {
    /// Puts boxes in order; indices count in the list given, from 0. Boxes that are not finite hold
    /// no place.
    pub fn new(boxes: &[Rect]) -> Self {
        let entries = boxes
            .iter()
            .enumerate()
            .filter(|(_, b)| b.is_finite())
            .map(|(i, b)| GeomWithData::new(Rectangle::from_corners([b.x0, b.y0], [b.x1, b.y1]), i));
        Self { tree: RTree::bulk_load(entries.collect()) }
    }

    /// Indices of the boxes that hold a place, edges included, in no order.
    pub fn at(&self, place: Point) -> impl Iterator<Item = usize> + use<'_> {
        let finite = place.is_finite().then(|| self.tree.locate_all_at_point(&[place.x, place.y]));
        finite.into_iter().flatten().map(|entry| entry.data)
    }
}

/// Finite, and so near that squares of distances stay finite as well.
fn within_reach(point: Point) -> bool {
    point.x.abs() < 1e100 && point.y.abs() < 1e100
}
