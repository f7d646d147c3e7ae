//! Triangulated surfaces: heights over the plan, plane between three points.
//!
//! - In: levels and break lines (`build.rs`), or triangles as they stand. [m]
//! - Out: a [`Surface`] that answers with level, fall and direction at a place, contours
//!   (`contour.rs`), sections (`section.rs`), and itself with a part graded anew (`patch.rs`).
//! - Method: constrained Delaunay triangulation by `spade`; triangles are found through a grid of
//!   cells (`cells.rs`), so that a question costs the same on a large surface as on a small one.
//! - Assumes one height at a place: an upright face is two lines, foot and top, a little apart.
//! - Not here: earth moved between two surfaces and water on them (`groundwright-ground`).

mod build;
mod cells;
mod contour;
mod fault;
mod patch;
mod refine;
mod section;

pub use build::LEVELS_AGREE;
pub use contour::Contour;
pub use fault::SurfaceFault;
pub use patch::Patch;
pub use section::SectionPoint;

use std::collections::HashMap;

use kurbo::{Point, Rect, Vec2};

use crate::Point3;
use crate::fault::FARTHEST;
use cells::Cells;

/// In place of a neighbour's index: nothing lies across that edge.
pub const OUTSIDE: u32 = u32::MAX;

/// A triangle with less plan area than this is a speck of rounding and is left out. [m²]
const SPECK: f64 = 1e-10;

/// Heights over the plan: triangles that meet along whole edges.
#[derive(Debug, Clone)]
pub struct Surface {
    points: Vec<Point3>,
    triangles: Vec<[u32; 3]>,
    across: Vec<[u32; 3]>,
    cells: Cells,
}

/// Two surfaces are equal when they have the same points and triangles in the same order.
impl PartialEq for Surface {
    fn eq(&self, other: &Self) -> bool {
        self.points == other.points && self.triangles == other.triangles
    }
}

impl Surface {
    /// A surface of given triangles.
    ///
    /// # Arguments
    /// - `points`: places with heights. [m]
    /// - `triangles`: indices of three points each, in either sense of rotation.
    ///
    /// # Returns
    /// The surface, its triangles counter-clockwise and otherwise in the order given; triangles
    /// without area are left out.
    ///
    /// # Errors
    /// A point that is not finite or too far, an index beyond the list, an edge with more than one
    /// triangle on a side, no triangle with an area.
    pub fn from_triangles(points: Vec<Point3>, triangles: &[[usize; 3]]) -> Result<Self, SurfaceFault> {
        check_points(&points)?;
        let mut kept = Vec::with_capacity(triangles.len());
        for (index, &[a, b, c]) in triangles.iter().enumerate() {
            if a.max(b).max(c) >= points.len() {
                return Err(SurfaceFault::NoSuchPoint { triangle: index, points: points.len() });
            }
            let area = cross(points[a].plan(), points[b].plan(), points[c].plan()) / 2.0;
            let turned = if area < 0.0 { [a, c, b] } else { [a, b, c] };
            if area.abs() > SPECK {
                kept.push(turned.map(|i| i as u32));
            }
        }
        if kept.is_empty() {
            return Err(SurfaceFault::NoArea);
        }
        let across = neighbours(&kept, &points)?;
        let cells = Cells::new(&points, &kept);
        Ok(Self { points, triangles: kept, across, cells })
    }

    /// The points. [m]
    pub fn points(&self) -> &[Point3] {
        &self.points
    }

    /// The triangles, counter-clockwise, as indices of points.
    pub fn triangles(&self) -> &[[u32; 3]] {
        &self.triangles
    }

    /// For each triangle the ones across its edges, edge i running from corner i to the next;
    /// [`OUTSIDE`] where there is none.
    pub fn across(&self) -> &[[u32; 3]] {
        &self.across
    }

    /// The corners of a triangle. [m]
    ///
    /// # Panics
    /// If there is no such triangle.
    pub fn corners(&self, triangle: usize) -> [Point3; 3] {
        self.triangles[triangle].map(|i| self.points[i as usize])
    }

    /// How a triangle rises: the vector points uphill, its length is rise over run.
    ///
    /// # Panics
    /// If there is no such triangle.
    pub fn gradient(&self, triangle: usize) -> Vec2 {
        gradient(self.corners(triangle))
    }

    /// Area of a triangle in plan. [m²]
    ///
    /// # Panics
    /// If there is no such triangle.
    pub fn plan_area(&self, triangle: usize) -> f64 {
        let [a, b, c] = self.corners(triangle);
        cross(a.plan(), b.plan(), c.plan()) / 2.0
    }

    /// Area of the whole surface in plan. [m²]
    pub fn area(&self) -> f64 {
        (0..self.triangles.len()).map(|t| self.plan_area(t)).sum()
    }

    /// The rectangle about all triangles. [m]
    pub fn bounds(&self) -> Rect {
        self.cells.bounds()
    }

    /// Lowest and highest point of a triangle. [m]
    pub fn range(&self) -> (f64, f64) {
        let corners = self.triangles.iter().flatten().map(|&i| self.points[i as usize].z);
        corners.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), z| (low.min(z), high.max(z)))
    }

    /// The triangle at a place, the one in which it lies deepest where several meet; none outside.
    pub fn triangle_at(&self, place: Point) -> Option<usize> {
        let mut best: Option<(usize, f64)> = None;
        for triangle in self.cells.at(place) {
            let depth = shares(self.corners(triangle), place).into_iter().fold(f64::INFINITY, f64::min);
            // Places on an edge must belong to one of its sides, whatever rounding says.
            if depth >= -1e-9 && best.is_none_or(|(_, deepest)| depth > deepest) {
                best = Some((triangle, depth));
            }
        }
        best.map(|(triangle, _)| triangle)
    }

    /// Height at a place; none outside the surface or for a place that is not finite. [m]
    pub fn level(&self, place: Point) -> Option<f64> {
        self.triangle_at(place).map(|triangle| self.level_in(triangle, place))
    }

    /// Height at a place on the plane of a triangle. [m]
    ///
    /// # Panics
    /// If there is no such triangle.
    pub fn level_in(&self, triangle: usize, place: Point) -> f64 {
        let corners = self.corners(triangle);
        let shares = shares(corners, place);
        // From the first corner, so that level ground stays level to the last bit.
        corners[0].z + shares[1] * (corners[1].z - corners[0].z) + shares[2] * (corners[2].z - corners[0].z)
    }

    /// Height at a place, beyond the surface that of the nearest place on its rim; none for a place
    /// that is not finite. [m]
    pub fn level_carried_out(&self, place: Point) -> Option<f64> {
        if !place.is_finite() {
            return None;
        }
        self.level(place).or_else(|| {
            let near = self.rim_edges().map(|(a, b)| {
                let along = b.plan() - a.plan();
                let share = ((place - a.plan()).dot(along) / along.hypot2()).clamp(0.0, 1.0);
                let foot = a.plan() + along * share;
                (foot.distance(place), a.z + share * (b.z - a.z))
            });
            near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, z)| z)
        })
    }

    /// The edges with nothing on one side, the surface on their left. [m]
    pub fn rim_edges(&self) -> impl Iterator<Item = (Point3, Point3)> {
        self.across.iter().enumerate().flat_map(move |(triangle, across)| {
            let corners = self.corners(triangle);
            (0..3).filter(|&i| across[i] == OUTSIDE).map(move |i| (corners[i], corners[(i + 1) % 3]))
        })
    }

    /// Triangles that may touch a rectangle, each once, rising; some of them may lie aside.
    pub fn near(&self, rect: Rect) -> Vec<usize> {
        self.cells.near(rect)
    }

    /// The same surface raised by a height (lowered if below zero). [m]
    ///
    /// # Errors
    /// A height that is not finite.
    pub fn raised(&self, by: f64) -> Result<Self, SurfaceFault> {
        let points: Vec<Point3> = self.points.iter().map(|p| Point3::new(p.x, p.y, p.z + by)).collect();
        check_points(&points)?;
        Ok(Self { points, ..self.clone() })
    }
}

/// Twice the area of a triangle, above zero counter-clockwise. [m²]
pub(crate) fn cross(a: Point, b: Point, c: Point) -> f64 {
    (b - a).cross(c - a)
}

/// Barycentric shares of a place in a triangle; all within 0 to 1 inside.
fn shares([a, b, c]: [Point3; 3], place: Point) -> [f64; 3] {
    let (a, b, c) = (a.plan(), b.plan(), c.plan());
    let whole = cross(a, b, c);
    let second = cross(a, place, c) / whole;
    let third = cross(a, b, place) / whole;
    [1.0 - second - third, second, third]
}

/// How the plane through three points rises: uphill, rise over run.
fn gradient([a, b, c]: [Point3; 3]) -> Vec2 {
    let (u, v) = (b.plan() - a.plan(), c.plan() - a.plan());
    let (p, q) = (b.z - a.z, c.z - a.z);
    let whole = u.cross(v);
    Vec2::new((p * v.y - q * u.y) / whole, (q * u.x - p * v.x) / whole)
}

fn check_points(points: &[Point3]) -> Result<(), SurfaceFault> {
    for (index, point) in points.iter().enumerate() {
        if !(point.x.is_finite() && point.y.is_finite() && point.z.is_finite()) {
            return Err(SurfaceFault::NotFinite { index });
        }
        if point.x.abs().max(point.y.abs()).max(point.z.abs()) > FARTHEST {
            return Err(SurfaceFault::TooFar { index, at: *point });
        }
    }
    Ok(())
}

/// The triangle across each edge.
fn neighbours(triangles: &[[u32; 3]], points: &[Point3]) -> Result<Vec<[u32; 3]>, SurfaceFault> {
    // Sorted rather than hashed: quick at a million, and the same at every run.
    let mut edges: Vec<(u64, u32, u8)> = Vec::with_capacity(triangles.len() * 3);
    for (index, corners) in triangles.iter().enumerate() {
        for i in 0..3 {
            let (from, to) = (u64::from(corners[i]), u64::from(corners[(i + 1) % 3]));
            let key = (from.min(to) << 32) | from.max(to);
            edges.push((key, index as u32, (i as u8) | if from < to { 0 } else { 4 }));
        }
    }
    edges.sort_unstable();
    let mut across = vec![[OUTSIDE; 3]; triangles.len()];
    for same in edges.chunk_by(|a, b| a.0 == b.0) {
        match *same {
            [_] => {}
            [(_, first, i), (_, second, j)] if (i ^ j) & 4 != 0 => {
                across[first as usize][usize::from(i & 3)] = second;
                across[second as usize][usize::from(j & 3)] = first;
            }
            _ => {
                let key = same[0].0;
                let (from, to) = (points[(key >> 32) as usize], points[(key & 0xffff_ffff) as usize]);
                return Err(SurfaceFault::Overlap { from: from.plan(), to: to.plan() });
            }
        }
    }
    Ok(across)
}

/// Points that lie together within a distance, found by cells eight times as wide.
pub(crate) struct Welder {
    reach: f64,
    /// The last point put into each cell. Only ever looked up, so its order does not matter.
    heads: HashMap<(i64, i64), u32>,
    /// For each point the one put into its cell before it.
    before: Vec<u32>,
}

impl Welder {
    pub(crate) fn new(reach: f64) -> Self {
        Self { reach, heads: HashMap::new(), before: Vec::new() }
    }

    /// Index of the first point within reach of `at`, or else of the point now pushed. All points
    /// of the list must have come this way, or be meant to be overlooked.
    pub(crate) fn put(&mut self, points: &mut Vec<Point3>, at: Point3) -> usize {
        if let Some(found) = self.find(points, at.plan()) {
            return found;
        }
        let index = points.len();
        points.push(at);
        self.before.resize(points.len(), OUTSIDE);
        let cell = self.cell(at.x, at.y);
        if let Some(last) = self.heads.insert(cell, index as u32) {
            self.before[index] = last;
        }
        index
    }

    pub(crate) fn find(&self, points: &[Point3], at: Point) -> Option<usize> {
        let (low, high) = (
            self.cell(at.x - self.reach, at.y - self.reach),
            self.cell(at.x + self.reach, at.y + self.reach),
        );
        let mut found: Option<usize> = None;
        for x in low.0..=high.0 {
            for y in low.1..=high.1 {
                let mut next = self.heads.get(&(x, y)).copied().unwrap_or(OUTSIDE);
                while next != OUTSIDE {
                    let index = next as usize;
                    if points[index].plan().distance(at) < self.reach {
                        found = Some(found.map_or(index, |first| first.min(index)));
                    }
                    next = self.before[index];
                }
            }
        }
        found
    }

    fn cell(&self, x: f64, y: f64) -> (i64, i64) {
        let size = 8.0 * self.reach;
        ((x / size).floor() as i64, (y / size).floor() as i64)
    }
}
