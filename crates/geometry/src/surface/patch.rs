//! A surface with a part graded anew.
//!
//! - In: the ground as it is, an outline, and what shall be inside. Out: a surface that is the old
//!   one outside of the outline, exactly, meets it along the outline, and has the new levels inside.
//! - Method: the triangles about the outline are taken out, their edges outside of it kept as
//!   constraints together with the outline draped on the old ground, and the gap is triangulated.

use std::collections::BTreeSet;

use kurbo::{Point, Rect};

use super::build::{Net, Piece, crossing};
use super::{Surface, SurfaceFault, Welder};
use crate::fault::SAME_POINT;
use crate::{Point3, Region, RegionIndex};

/// A part of the ground that is graded anew.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Patch {
    /// Where the grading meets the ground as it is: a simple outline, its first point not
    /// repeated. [m]
    pub rim: Vec<Point>,
    /// Spot levels inside. [m]
    pub levels: Vec<Point3>,
    /// Break lines inside; a closed one repeats its first point. [m]
    pub lines: Vec<Vec<Point3>>,
}

impl Surface {
    /// The surface with a part graded anew.
    ///
    /// # Errors
    /// An outline that is no simple outline or reaches beyond the surface, levels outside of the
    /// outline, and what [`Surface::from_levels`] finds wrong with levels and lines.
    pub fn patched(&self, patch: &Patch) -> Result<Self, Vec<SurfaceFault>> {
        let one = |fault| vec![fault];
        let region = Region::polygon(&patch.rim).map_err(|fault| one(fault.into()))?;
        let inside = RegionIndex::new(&region);
        let bounds =
            patch.rim.iter().fold(Rect::from_points(patch.rim[0], patch.rim[0]), |r, &p| r.union_pt(p));
        let touched: BTreeSet<usize> =
            self.near(bounds.inflate(SAME_POINT, SAME_POINT)).into_iter().collect();
        let mut part = Part { points: Vec::new(), pieces: Vec::new(), welder: Welder::new(SAME_POINT) };
        self.keep_outside(&touched, &patch.rim, &inside, &mut part);
        part.drape(self, &patch.rim).map_err(one)?;
        let fresh = Self::inner(patch, &inside)?;
        for piece in &fresh.pieces {
            let ends = piece.ends.map(|i| part.put(fresh.points[i]));
            part.join(ends);
        }
        for &at in &fresh.points {
            part.put(at);
        }
        let mut net = Net { points: part.points, pieces: part.pieces };
        net.split_at_points();
        let (points, triangles) = net.triangulate()?;
        self.assemble(&touched, &points, &triangles).map_err(one)
    }

    /// Edges of the triangles taken out, as far as they lie outside of the outline.
    fn keep_outside(&self, touched: &BTreeSet<usize>, rim: &[Point], inside: &RegionIndex, part: &mut Part) {
        let mut edges: BTreeSet<(u32, u32)> = BTreeSet::new();
        for &triangle in touched {
            let corners = self.triangles[triangle];
            edges.extend((0..3).map(|i| {
                let (a, b) = (corners[i], corners[(i + 1) % 3]);
                (a.min(b), a.max(b))
            }));
        }
        for (a, b) in edges {
            let (a, b) = (self.points[a as usize], self.points[b as usize]);
            let mut shares = vec![0.0, 1.0];
            for i in 0..rim.len() {
                let (c, d) = (rim[i], rim[(i + 1) % rim.len()]);
                shares.extend(crossing([a.plan(), b.plan(), c, d]).map(|(share, _)| share));
                // A corner of the outline on the edge cuts it as well.
                let along = b.plan() - a.plan();
                let share = (c - a.plan()).dot(along) / along.hypot2();
                let aside = (c - a.plan()).cross(along).abs() / along.hypot();
                if aside < 1e-6 && share > 0.0 && share < 1.0 {
                    shares.push(share);
                }
            }
            shares.sort_by(f64::total_cmp);
            let at = |share: f64| {
                Point3::new(a.x + share * (b.x - a.x), a.y + share * (b.y - a.y), a.z + share * (b.z - a.z))
            };
            for pair in shares.windows(2) {
                let middle = a.plan().lerp(b.plan(), f64::midpoint(pair[0], pair[1]));
                if pair[1] - pair[0] > 1e-12 && inside.signed_distance(middle) < 1e-9 {
                    let ends = [part.put(at(pair[0])), part.put(at(pair[1]))];
                    part.join(ends);
                }
            }
        }
    }

    /// Levels and lines of the inside, checked among themselves.
    fn inner(patch: &Patch, inside: &RegionIndex) -> Result<Net, Vec<SurfaceFault>> {
        let all = patch.levels.iter().chain(patch.lines.iter().flatten());
        let outside: Vec<SurfaceFault> = all
            .filter(|at| inside.signed_distance(at.plan()) <= SAME_POINT)
            .map(|at| SurfaceFault::OutsideRim { at: at.plan() })
            .collect();
        if !outside.is_empty() {
            return Err(outside);
        }
        Net::cut(&patch.levels, &patch.lines)
    }

    /// Old triangles that were left alone, and the new ones in the gap.
    fn assemble(
        &self,
        touched: &BTreeSet<usize>,
        points: &[Point3],
        triangles: &[[usize; 3]],
    ) -> Result<Self, SurfaceFault> {
        let mut all = Vec::with_capacity(self.points.len() + points.len());
        let mut places: Vec<Option<usize>> = vec![None; self.points.len()];
        let mut kept: Vec<[usize; 3]> = Vec::with_capacity(self.triangles.len() + triangles.len());
        let mut shared = Welder::new(1e-9);
        let border: BTreeSet<u32> = touched.iter().flat_map(|&t| self.triangles[t]).collect();
        for (index, corners) in self.triangles.iter().enumerate() {
            if touched.contains(&index) {
                continue;
            }
            kept.push(corners.map(|i| {
                *places[i as usize].get_or_insert_with(|| {
                    let at = self.points[i as usize];
                    if border.contains(&i) {
                        return shared.put(&mut all, at);
                    }
                    all.push(at);
                    all.len() - 1
                })
            }));
        }
        for corners in triangles {
            let [a, b, c] = corners.map(|i| points[i]);
            let middle = Point::new((a.x + b.x + c.x) / 3.0, (a.y + b.y + c.y) / 3.0);
            // The triangulation fills the convex hull; only the gap is wanted.
            if self.triangle_at(middle).is_some_and(|old| touched.contains(&old)) {
                kept.push([a, b, c].map(|at| shared.put(&mut all, at)));
            }
        }
        Self::from_triangles(all, &kept)
    }
}

/// What the gap is triangulated from.
struct Part {
    points: Vec<Point3>,
    pieces: Vec<Piece>,
    welder: Welder,
}

impl Part {
    fn put(&mut self, at: Point3) -> usize {
        self.welder.put(&mut self.points, at)
    }

    fn join(&mut self, ends: [usize; 2]) {
        if ends[0] != ends[1] {
            self.pieces.push(Piece { ends, line: 0 });
        }
    }

    /// The outline, with a point wherever it crosses an edge of the ground.
    fn drape(&mut self, ground: &Surface, rim: &[Point]) -> Result<(), SurfaceFault> {
        let closed: Vec<Point> = rim.iter().chain(rim.first()).copied().collect();
        let mut last: Option<usize> = None;
        for place in ground.section(&closed) {
            let level = place.level.ok_or(SurfaceFault::BeyondGround { at: place.at })?;
            let index = self.put(Point3::new(place.at.x, place.at.y, level));
            if let Some(before) = last {
                self.join([before, index]);
            }
            last = Some(index);
        }
        Ok(())
    }
}
