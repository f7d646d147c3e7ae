//! Many questions of one region: an R-tree of its edges.
//!
//! - In: a region once, then places [m]. Out: inside or not, distances.
//! - Method: the edges met by a ray to the east are counted; the nearest edge is looked up. Both
//!   take a time that grows with the logarithm of the number of edges (and the edges met).

use kurbo::{Line, Point, Rect};
use rstar::primitives::{CachedEnvelope, GeomWithData, Line as TreeLine};
use rstar::{AABB, PointDistance, RTree};

use super::Region;
use super::measure::{distance_to_edge, ray_crosses};
use crate::index::BoxIndex;

/// An edge, and the part of the region whose edge it is.
/// Boxes are kept: sorting and searching ask for them over and over.
type Edge = GeomWithData<CachedEnvelope<TreeLine<[f64; 2]>>, u32>;

/// The edges of a region, made for many questions.
#[derive(Debug, Clone)]
pub struct RegionIndex {
    edges: RTree<Edge>,
    /// Boxes of the parts, and a search among them.
    parts: Vec<Rect>,
    boxes: BoxIndex,
}

impl RegionIndex {
    /// Puts the edges of a region in order.
    pub fn new(region: &Region) -> Self {
        let (mut edges, mut parts) = (Vec::new(), Vec::new());
        for (part, of_part) in region.edges_by_part().enumerate() {
            let mut bounds: Option<Rect> = None;
            for edge in of_part {
                let around = Rect::from_points(edge.p0, edge.p1);
                bounds = Some(bounds.map_or(around, |bounds| bounds.union(around)));
                let line = TreeLine::new([edge.p0.x, edge.p0.y], [edge.p1.x, edge.p1.y]);
                edges.push(GeomWithData::new(CachedEnvelope::new(line), part as u32));
            }
            parts.push(bounds.unwrap_or(Rect::ZERO));
        }
        Self { edges: RTree::bulk_load(edges), boxes: BoxIndex::new(&parts), parts }
    }

    /// Smallest box about the region; none if it is empty. [m]
    pub fn bounds(&self) -> Option<Rect> {
        self.parts.iter().copied().reduce(|a, b| a.union(b))
    }

    /// The edges whose boxes touch a box, in no order.
    pub fn edges_near(&self, reach: Rect) -> impl Iterator<Item = Line> + use<'_> {
        let envelope = AABB::from_corners([reach.x0, reach.y0], [reach.x1, reach.y1]);
        self.edges.locate_in_envelope_intersecting(&envelope).map(line_of)
    }

    /// Whether a place lies inside, exactly as [`Region::contains`] answers: a ray meets the edges of
    /// every part whose box does not hold the place an even number of times, so they are passed over.
    pub fn contains(&self, place: Point) -> bool {
        if let [only] = self.parts.as_slice() {
            return only.contains(place) && self.crossings(place, only.x1, |_| true) % 2 == 1;
        }
        let holding: Vec<usize> = self.boxes.at(place).collect();
        let Some(east) = holding.iter().map(|&part| self.parts[part].x1).reduce(f64::max) else {
            return false;
        };
        self.crossings(place, east, |part| holding.contains(&(part as usize))) % 2 == 1
    }

    /// How many edges of some parts a ray meets that runs from a place east as far as `east`.
    fn crossings(&self, place: Point, east: f64, counts: impl Fn(u32) -> bool) -> usize {
        let ray = AABB::from_corners([place.x, place.y], [east, place.y]);
        let met = self.edges.locate_in_envelope_intersecting(&ray).filter(|edge| counts(edge.data));
        met.filter(|edge| ray_crosses(line_of(edge), place)).count()
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

    /// As [`Self::signed_distance`] as far as a reach, beyond which it is infinite: for places that
    /// mostly lie far off. [m]
    pub fn signed_distance_within(&self, place: Point, reach: f64) -> f64 {
        let about = Rect::from_center_size(place, (2.0 * reach, 2.0 * reach));
        let near = self.edges_near(about).map(|edge| distance_to_edge(edge, place));
        let distance = near.filter(|distance| *distance <= reach).fold(f64::INFINITY, f64::min);
        if self.contains(place) { distance } else { -distance }
    }

    /// Distance of a place from the boundary, above zero inside and below zero outside; minus
    /// infinity if the region is empty or the place not finite. [m]
    pub fn signed_distance(&self, place: Point) -> f64 {
        let distance = self.boundary_distance(place);
        if self.contains(place) { distance } else { -distance }
    }
}

fn line_of(edge: &Edge) -> Line {
    let line = edge.geom();
    Line::new((line.from[0], line.from[1]), (line.to[0], line.to[1]))
}
