//! Measures of a region: area, perimeter, box, centroid, inside or outside, distances.
//!
//! - In: a region and, for some, a place [m]. Out: numbers in m and m².
//! - Method: shoelace sums; a place is inside if a ray to the east crosses an odd number of edges.
//! - One pass over the edges for each question; for many questions take [`super::RegionIndex`].

use geo::algorithm::{Area, BoundingRect, Centroid};
use kurbo::{Line, Point, Rect};

use super::Region;

impl Region {
    /// Area, holes taken off. [m²]
    pub fn area(&self) -> f64 {
        self.shape.unsigned_area()
    }

    /// Length of all rings, those of the holes included. [m]
    pub fn perimeter(&self) -> f64 {
        self.edges().map(|edge| edge.p0.distance(edge.p1)).sum()
    }

    /// The upright box around the region; none if it is empty. [m]
    pub fn bounds(&self) -> Option<Rect> {
        let rect = self.shape.bounding_rect()?;
        Some(Rect::new(rect.min().x, rect.min().y, rect.max().x, rect.max().y))
    }

    /// Centre of area, which may lie outside; none if the region is empty. [m]
    pub fn centroid(&self) -> Option<Point> {
        self.shape.centroid().map(|p| Point::new(p.x(), p.y()))
    }

    /// Whether a place lies inside.
    pub fn contains(&self, place: Point) -> bool {
        self.edges().filter(|edge| ray_crosses(*edge, place)).count() % 2 == 1
    }

    /// Distance of a place from the boundary, not below zero; infinite if the region is empty. [m]
    pub fn boundary_distance(&self, place: Point) -> f64 {
        self.edges().map(|edge| distance_to_edge(edge, place)).fold(f64::INFINITY, f64::min)
    }

    /// Distance of a place from the boundary, above zero inside and below zero outside; minus
    /// infinity if the region is empty or the place not finite. [m]
    pub fn signed_distance(&self, place: Point) -> f64 {
        if !place.is_finite() {
            return f64::NEG_INFINITY;
        }
        let distance = self.boundary_distance(place);
        if self.contains(place) { distance } else { -distance }
    }
}

/// Whether the ray from a place to the east crosses an edge (the lower end counts, the upper not).
pub(super) fn ray_crosses(edge: Line, place: Point) -> bool {
    let (a, b) = (edge.p0, edge.p1);
    if (a.y <= place.y) == (b.y <= place.y) {
        return false;
    }
    a.x + (place.y - a.y) / (b.y - a.y) * (b.x - a.x) > place.x
}

/// Distance of a place from an edge; infinite if the place is not finite. [m]
pub(super) fn distance_to_edge(edge: Line, place: Point) -> f64 {
    let along = edge.p1 - edge.p0;
    let size = along.hypot2();
    let t = if size > 0.0 { ((place - edge.p0).dot(along) / size).clamp(0.0, 1.0) } else { 0.0 };
    let distance = (edge.p0 + along * t).distance(place);
    if distance.is_finite() { distance } else { f64::INFINITY }
}
