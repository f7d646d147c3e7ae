//! Areas of the plane, in any number of parts and with holes.
//!
//! - In: outlines, closed curves, or other regions. Out: [`Region`].
//! - Method: polygons of `geo` with its Boolean operations (even-odd on a grid of about a
//!   billionth of the extent, so a tenth of a micrometre in a yard); curves are flattened first.
//! - A point on the boundary may count as inside or outside.
//! - Measures and places: `measure.rs`; growing and shrinking: `grow.rs`; the visual centre:
//!   `pole.rs`; many questions of one region: `index.rs`.

mod grow;
mod index;
mod measure;
mod pole;

use geo::{BooleanOps, Coord, LineString, MultiPolygon, Polygon};
use kurbo::{BezPath, Line, Point, Rect};

pub use index::RegionIndex;

use crate::curve::Curve;
use crate::fault::{GeometryFault, check_apart, check_positive, check_reach, distinct};
use crate::validate::{OutlineFault, check_outline};

/// Usual tolerance of curves turned into outlines: 5 mm. [m]
pub const FLATTEN: f64 = 0.005;

/// Parts of a region smaller than this are rounding, not area. [m²]
const SPECK: f64 = 1e-9;

/// An area of the plane: parts that do not overlap, each with any number of holes. May be empty.
#[derive(Debug, Clone, PartialEq)]
pub struct Region {
    shape: MultiPolygon<f64>,
}

impl Region {
    /// The region without area.
    pub const fn empty() -> Self {
        Self { shape: MultiPolygon(Vec::new()) }
    }

    /// The area within a closed curve, flattened to `tolerance` ([`FLATTEN`] is usual). [m]
    ///
    /// # Errors
    /// [`GeometryFault::OpenCurve`], or what [`Region::polygon`] finds in the flattened outline;
    /// the indices then count flattened points.
    pub fn from_curve(curve: &Curve, tolerance: f64) -> Result<Self, GeometryFault> {
        if !curve.is_closed() {
            return Err(GeometryFault::OpenCurve);
        }
        let mut points = curve.flatten(tolerance);
        points.dedup_by(|a, b| a.distance(*b) < crate::fault::SAME_POINT);
        if points.len() > 1 && points[0].distance(points[points.len() - 1]) < crate::fault::SAME_POINT {
            points.pop();
        }
        Self::polygon(&points)
    }

    /// The area within an outline, given in either sense of rotation, its first point not
    /// repeated. [m]
    ///
    /// # Errors
    /// A point that is not finite or too far, fewer than 3 distinct points, neighbours within
    /// 1 mm, an outline that crosses or touches itself, no area. [`check_outline`] lists them all.
    pub fn polygon(points: &[Point]) -> Result<Self, GeometryFault> {
        check_reach(points)?;
        let found = distinct(points);
        if found < 3 {
            return Err(GeometryFault::TooFewPoints { found, needed: 3 });
        }
        check_apart(points, true)?;
        for fault in check_outline(points) {
            match fault {
                OutlineFault::Crossing { first, second, at } => {
                    return Err(GeometryFault::SelfCrossing { first, second, at });
                }
                OutlineFault::ZeroArea => return Err(GeometryFault::ZeroArea),
                OutlineFault::Spike { point, at } => {
                    let first = (point + points.len() - 1) % points.len();
                    return Err(GeometryFault::SelfCrossing { first, second: point, at });
                }
                _ => {}
            }
        }
        Ok(Self::of(MultiPolygon(vec![Polygon::new(ring(points), Vec::new())])))
    }

    /// The area within a closed line that may touch itself and repeat points, but not cross itself, such
    /// as a shore traced over a triangulation; its first point is not repeated. Empty where it shuts
    /// nothing in. [m]
    pub fn traced(points: &[Point]) -> Self {
        let finite = points.iter().all(|point| point.is_finite());
        if points.len() < 3 || !finite {
            return Self::empty();
        }
        let line = Polygon::new(ring(points), Vec::new());
        Self::of(geo::algorithm::unary_union([&line]))
    }

    /// An upright rectangle.
    ///
    /// # Errors
    /// Corners not finite or too far, or a side without length.
    pub fn rectangle(rect: Rect) -> Result<Self, GeometryFault> {
        let rect = rect.abs();
        Self::polygon(&[
            Point::new(rect.x0, rect.y0),
            Point::new(rect.x1, rect.y0),
            Point::new(rect.x1, rect.y1),
            Point::new(rect.x0, rect.y1),
        ])
    }

    /// A disc, as a polygon within half of [`FLATTEN`] (or a thousandth of its radius, if that is
    /// less) of the circle and with the circle's area.
    ///
    /// # Errors
    /// A radius that is not above 1 mm, or a disc out of reach.
    pub fn circle(center: Point, radius: f64) -> Result<Self, GeometryFault> {
        check_positive("the radius", radius)?;
        check_reach(&[center])?;
        let sag = (FLATTEN / 2.0).min(radius / 1000.0);
        let step = 2.0 * (1.0 - sag / radius).acos();
        let count = ((std::f64::consts::TAU / step).ceil() as usize).clamp(12, 4096);
        let angle = std::f64::consts::TAU / count as f64;
        // The polygon's radius that gives it the area of the circle.
        let reach = radius * (angle / angle.sin()).sqrt();
        let points: Vec<Point> =
            (0..count).map(|i| center + kurbo::Vec2::from_angle(i as f64 * angle) * reach).collect();
        check_reach(&points)?;
        check_apart(&points, true)?;
        // A regular polygon cannot cross itself; looking for crossings would cost most of its making.
        Ok(Self::of(MultiPolygon(vec![Polygon::new(ring(&points), Vec::new())])))
    }

    /// What lies in either region.
    #[must_use]
    pub fn union(&self, other: &Self) -> Self {
        if self.is_empty() || other.is_empty() {
            return if self.is_empty() { other.clone() } else { self.clone() };
        }
        Self::of(self.shape.union(&other.shape))
    }

    /// What lies in any of those regions whose box touches a rectangle: all that can matter there,
    /// at a cost that does not grow with the rest of the yard.
    pub fn union_near<'a>(rect: Rect, regions: impl IntoIterator<Item = &'a Self>) -> Self {
        Self::union_all(regions.into_iter().filter(|r| r.bounds().is_some_and(|b| b.overlaps(rect))))
    }

    /// What lies in any of the regions.
    ///
    /// Those whose boxes do not touch are united apart: a sweep over all of them would take longer
    /// than its parts.
    pub fn union_all<'a>(regions: impl IntoIterator<Item = &'a Self>) -> Self {
        let shapes: Vec<(&MultiPolygon<f64>, Rect)> =
            regions.into_iter().filter_map(|r| Some((&r.shape, r.bounds()?))).collect();
        let mut united = Vec::new();
        for cluster in clusters(&shapes.iter().map(|(_, bounds)| *bounds).collect::<Vec<_>>()) {
            match cluster[..] {
                [one] => united.extend(shapes[one].0.0.iter().cloned()),
                _ => united.extend(
                    Self::of(geo::algorithm::unary_union(cluster.iter().map(|&i| shapes[i].0))).shape.0,
                ),
            }
        }
        Self { shape: MultiPolygon(united) }
    }

    /// What lies in both regions.
    #[must_use]
    pub fn intersection(&self, other: &Self) -> Self {
        if !self.may_touch(other) {
            return Self::empty();
        }
        Self::of(self.shape.intersection(&other.shape))
    }

    /// What lies in this region and not in the other.
    #[must_use]
    pub fn difference(&self, other: &Self) -> Self {
        if !self.may_touch(other) {
            return self.clone();
        }
        Self::of(self.shape.difference(&other.shape))
    }

    /// Whether the regions share more than `min_area`. [m²]
    pub fn overlaps(&self, other: &Self, min_area: f64) -> bool {
        self.intersection(other).area() > min_area
    }

    /// Whether there is no area at all.
    pub fn is_empty(&self) -> bool {
        self.shape.0.is_empty()
    }

    /// The connected parts, each with its holes, in the order of the region.
    pub fn parts(&self) -> Vec<Self> {
        self.shape.0.iter().map(|part| Self { shape: MultiPolygon(vec![part.clone()]) }).collect()
    }

    /// The outer rings, counter-clockwise, the first point not repeated. [m]
    pub fn outlines(&self) -> Vec<Vec<Point>> {
        self.shape.0.iter().map(|part| points_of(part.exterior())).collect()
    }

    /// All rings part by part: the outer one counter-clockwise, then its holes clockwise, the
    /// first point not repeated. [m]
    pub fn rings(&self) -> Vec<Vec<Vec<Point>>> {
        let rings = |part: &Polygon<f64>| {
            std::iter::once(part.exterior()).chain(part.interiors()).map(points_of).collect()
        };
        self.shape.0.iter().map(rings).collect()
    }

    /// The boundary as a path of closed rings, for drawing with either fill rule. [m]
    pub fn to_path(&self) -> BezPath {
        let mut path = BezPath::new();
        for ring in self.rings().into_iter().flatten() {
            for (i, point) in ring.into_iter().enumerate() {
                if i == 0 {
                    path.move_to(point);
                } else {
                    path.line_to(point);
                }
            }
            path.close_path();
        }
        path
    }

    /// The edges of all rings, with the area on their left.
    pub fn edges(&self) -> impl Iterator<Item = Line> {
        self.edges_by_part().flatten()
    }

    /// The edges of each part, its holes included.
    fn edges_by_part(&self) -> impl Iterator<Item = impl Iterator<Item = Line>> {
        self.shape.0.iter().map(|part| {
            std::iter::once(part.exterior())
                .chain(part.interiors())
                .flat_map(LineString::lines)
                .map(|line| Line::new((line.start.x, line.start.y), (line.end.x, line.end.y)))
        })
    }

    /// Takes polygons as they come out of an operation: specks dropped, rings in their sense.
    fn of(shape: MultiPolygon<f64>) -> Self {
        use geo::algorithm::Area;
        use geo::algorithm::orient::{Direction, Orient};
        let kept = shape
            .0
            .into_iter()
            .filter(|part| part.unsigned_area() > SPECK && part.exterior().0.len() > 3)
            .map(|part| part.orient(Direction::Default))
            .collect();
        Self { shape: MultiPolygon(kept) }
    }

    /// Whether the boxes of the regions touch.
    fn may_touch(&self, other: &Self) -> bool {
        match (self.bounds(), other.bounds()) {
            (Some(a), Some(b)) => a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1,
            _ => false,
        }
    }
}

/// A closed ring of `geo`.
fn ring(points: &[Point]) -> LineString<f64> {
    let coords = points.iter().chain(points.first()).map(|p| Coord { x: p.x, y: p.y });
    LineString(coords.collect())
}

/// The points of a ring without the repeated first one.
fn points_of(ring: &LineString<f64>) -> Vec<Point> {
    let count = ring.0.len().saturating_sub(1);
    ring.0[..count].iter().map(|c| Point::new(c.x, c.y)).collect()
}

/// Boxes that touch one another, directly or through others: lists of indices, each rising, in the
/// order of their first.
fn clusters(boxes: &[Rect]) -> Vec<Vec<usize>> {
    let mut leader: Vec<usize> = (0..boxes.len()).collect();
    let mut by_west: Vec<usize> = (0..boxes.len()).collect();
    by_west.sort_by(|&a, &b| boxes[a].x0.total_cmp(&boxes[b].x0));
    let mut open: Vec<usize> = Vec::new();
    for next in by_west {
        open.retain(|&other| boxes[other].x1 >= boxes[next].x0);
        for &other in &open {
            if boxes[other].y0 <= boxes[next].y1 && boxes[next].y0 <= boxes[other].y1 {
                let (a, b) = (root(&mut leader, other), root(&mut leader, next));
                leader[a.max(b)] = a.min(b);
            }
        }
        open.push(next);
    }
    let mut clusters: std::collections::BTreeMap<usize, Vec<usize>> = std::collections::BTreeMap::new();
    for i in 0..boxes.len() {
        let root = root(&mut leader, i);
        clusters.entry(root).or_default().push(i);
    }
    clusters.into_values().collect()
}

/// Who leads the cluster of an index; the way there is shortened.
fn root(leader: &mut [usize], mut of: usize) -> usize {
    while leader[of] != of {
        leader[of] = leader[leader[of]];
        of = leader[of];
    }
    of
}
