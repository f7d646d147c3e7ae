//! Many questions of one region: an R-tree of its edges.
//!
//! - In: a region once, then places [m]. Out: inside or not, distances.
//! - Method: the edges met by a ray to the east are counted; the nearest edge is looked up. Both
//!   take a time that grows with the logarithm of the number of edges (and the edges met).

use kurbo::{Line, Point};
use rstar::primitives::Line as TreeLine;
use rstar::{AABB, PointDistance, RTree};

use super::Region;
use super::measure::ray_crosses;

/// The edges of a region, made for many questions.
#[derive(Debug, Clone)]
pub struct RegionIndex {
    edges: RTree<TreeLine<[f64; 2]>>,
    /// East end of the region. [m]
    east: f64,
}

impl RegionIndex {
    /// Puts the edges of a region in order.
    pub fn new(region: &Region) -> Self {
        let edges = region.edges().map(|e| TreeLine::new([e.p0.x, e.p0.y], [e.p1.x, e.p1.y]));
        let east = region.bounds().map_or(0.0, |bounds| bounds.x1);
        Self { edges: RTree::bulk_load(edges.collect()), east }
    }

    /// Whether a place lies inside, exactly as [`Region::contains`] answers.
    pub fn contains(&self, place: Point) -> bool {
        if !(place.is_finite() && place.x <= self.east) {
            return false;
        }
        let ray = AABB::from_corners([place.x, place.y], [self.east, place.y]);
        let met = self.edges.locate_in_envelope_intersecting(&ray);
        met.filter(|edge| ray_crosses(line_of(edge), place)).count() % 2 == 1
    }

    /// Distance of a place from the boundary, not below zero; infinite if the region is empty or
    /// the place not finite. [m]
    pub fn boundary_distance(&self, place: Point) -> f64 {
        if !place.is_finite() {
            return f64::INFINITY;
        }
        let place = [place.x.clamp(-1e9, 1e9), place.y.clamp(-1e9, 1e9)];
        self.edges.nearest_neighbor(&place).map_or(f64::INFINITY, |edge| edge.distance_2(&place).sqrt())
    }

    /// Distance of a place from the boundary, above zero inside and below zero outside; minus
    /// infinity if the region is empty or the place not finite. [m]
    pub fn signed_distance(&self, place: Point) -> f64 {
        let distance = self.boundary_distance(place);
        if self.contains(place) { distance } else { -distance }
    }
}

fn line_of(edge: &TreeLine<[f64; 2]>) -> Line {
    Line::new((edge.from[0], edge.from[1]), (edge.to[0], edge.to[1]))
}
