//! Levels and break lines to a surface.
//!
//! - In: spot levels, and break lines as polylines with a level at every point. [m] Out: a
//!   [`Surface`] over their convex hull in which every break line is made of edges.
//! - Method: points within a millimetre are one; break lines are cut where they meet points or one
//!   another; then a constrained Delaunay triangulation (spade), points sorted first, so that the
//!   order of the survey does not matter.
//! - Where break lines cross, both must have the same level there, within [`LEVELS_AGREE`].

use kurbo::Point;
use rstar::primitives::{GeomWithData, Line as TreeLine};
use rstar::{AABB, RTree};
use spade::{ConstrainedDelaunayTriangulation, HasPosition, Point2, Triangulation};

use super::{Surface, SurfaceFault, Welder, check_points};
use crate::Point3;
use crate::fault::SAME_POINT;

/// Levels at one place that differ by no more are one level read twice. [m]
///
/// A hand level reads to about a centimetre: common practice, no source.
pub const LEVELS_AGREE: f64 = 0.015;

/// A point nearer to a break line than this lies on it. [m]
const ON_LINE: f64 = 1e-6;

impl Surface {
    /// A surface through spot levels and break lines.
    ///
    /// # Arguments
    /// - `levels`: n spot levels; n may be 0 if the lines have points enough. [m]
    /// - `lines`: polylines with heights, each of two points or more; a closed one repeats its
    ///   first point. [m]
    ///
    /// # Returns
    /// The surface over the convex hull of all points. It does not depend on the order of levels
    /// or lines, as long as no two levels within a millimetre differ.
    ///
    /// # Errors
    /// All faults found: points that are not finite or too far, two levels at one place that
    /// differ, break lines that cross at different heights, fewer than three points apart.
    pub fn from_levels(levels: &[Point3], lines: &[Vec<Point3>]) -> Result<Self, Vec<SurfaceFault>> {
        let (points, triangles) = Net::cut(levels, lines)?.triangulate()?;
        Self::from_triangles(points, &triangles).map_err(|fault| vec![fault])
    }
}

/// Points, and triangles as indices of them.
type Triangulated = (Vec<Point3>, Vec<[usize; 3]>);

/// Points and pieces of lines between them.
pub(super) struct Net {
    pub(super) points: Vec<Point3>,
    pub(super) pieces: Vec<Piece>,
}

/// A piece of a break line between two points.
#[derive(Debug, Clone, Copy)]
pub(super) struct Piece {
    pub(super) ends: [usize; 2],
    pub(super) line: usize,
}

impl Net {
    /// Levels and lines, the lines cut where they meet points or one another.
    pub(super) fn cut(levels: &[Point3], lines: &[Vec<Point3>]) -> Result<Self, Vec<SurfaceFault>> {
        let mut net = Self::gather(levels, lines)?;
        net.split_at_points();
        net.split_at_crossings()?;
        Ok(net)
    }

    fn gather(levels: &[Point3], lines: &[Vec<Point3>]) -> Result<Self, Vec<SurfaceFault>> {
        let mut all: Vec<Point3> = levels.iter().chain(lines.iter().flatten()).copied().collect();
        check_points(&all).map_err(|fault| vec![fault])?;
        // Sorted, so that the first of a crowd is the same in whatever order they were read.
        all.sort_by(|a, b| (a.x.total_cmp(&b.x)).then(a.y.total_cmp(&b.y)).then(a.z.total_cmp(&b.z)));
        let mut points = Vec::with_capacity(all.len());
        let mut welder = Welder::new(SAME_POINT);
        let mut faults = Vec::new();
        for &at in &all {
            let index = welder.put(&mut points, at);
            let kept = points[index].z;
            if (kept - at.z).abs() > LEVELS_AGREE {
                faults.push(SurfaceFault::TwoLevels { at: at.plan(), first: kept, second: at.z });
            }
        }
        if !faults.is_empty() {
            faults.dedup();
            return Err(faults);
        }
        let mut pieces = Vec::new();
        for (line, course) in lines.iter().enumerate() {
            let course: Vec<usize> = course.iter().filter_map(|at| welder.find(&points, at.plan())).collect();
            let ends = course.windows(2).map(|pair| [pair[0], pair[1]]);
            pieces.extend(ends.filter(|[a, b]| a != b).map(|ends| Piece { ends, line }));
        }
        Ok(Self { points, pieces })
    }

    fn ends(&self, piece: Piece) -> (Point3, Point3) {
        (self.points[piece.ends[0]], self.points[piece.ends[1]])
    }

    /// Cuts pieces at points that lie on them.
    pub(super) fn split_at_points(&mut self) {
        if self.pieces.is_empty() {
            return;
        }
        let entries = self.points.iter().enumerate().map(|(i, p)| GeomWithData::new([p.x, p.y], i));
        let tree = RTree::bulk_load(entries.collect());
        let mut cut = Vec::with_capacity(self.pieces.len());
        for &piece in &self.pieces {
            let (a, b) = self.ends(piece);
            let along = b.plan() - a.plan();
            let reach = AABB::from_corners(
                [a.x.min(b.x) - ON_LINE, a.y.min(b.y) - ON_LINE],
                [a.x.max(b.x) + ON_LINE, a.y.max(b.y) + ON_LINE],
            );
            let mut stops: Vec<(f64, usize)> = tree
                .locate_in_envelope(&reach)
                .filter(|entry| !piece.ends.contains(&entry.data))
                .filter_map(|entry| {
                    let from = Point::new(entry.geom()[0], entry.geom()[1]) - a.plan();
                    let share = from.dot(along) / along.hypot2();
                    let aside = from.cross(along).abs() / along.hypot();
                    (aside < ON_LINE && share > 0.0 && share < 1.0).then_some((share, entry.data))
                })
                .collect();
            stops.sort_by(|a, b| a.0.total_cmp(&b.0));
            push_parts(&mut cut, piece, stops.into_iter().map(|(_, index)| index));
        }
        self.pieces = cut;
    }

    /// Cuts pieces where they cross, with a new point at the level of both.
    fn split_at_crossings(&mut self) -> Result<(), Vec<SurfaceFault>> {
        let entries = self.pieces.iter().enumerate().map(|(i, &piece)| {
            let (a, b) = self.ends(piece);
            GeomWithData::new(TreeLine::new([a.x, a.y], [b.x, b.y]), i)
        });
        let tree = RTree::bulk_load(entries.collect());
        let mut stops: Vec<Vec<(f64, usize)>> = vec![Vec::new(); self.pieces.len()];
        let mut faults = Vec::new();
        for first in 0..self.pieces.len() {
            let (a, b) = self.ends(self.pieces[first]);
            let reach = AABB::from_corners([a.x.min(b.x), a.y.min(b.y)], [a.x.max(b.x), a.y.max(b.y)]);
            let mut others: Vec<usize> = tree
                .locate_in_envelope_intersecting(&reach)
                .map(|entry| entry.data)
                .filter(|&second| second > first)
                .collect();
            others.sort_unstable();
            for second in others {
                let (c, d) = self.ends(self.pieces[second]);
                let Some((s, t)) = crossing([a, b, c, d].map(Point3::plan)) else { continue };
                let (one, other) = (a.z + s * (b.z - a.z), c.z + t * (d.z - c.z));
                let at = a.plan() + (b.plan() - a.plan()) * s;
                if (one - other).abs() > LEVELS_AGREE {
                    faults.push(SurfaceFault::Crossing {
                        first: self.pieces[first].line,
                        second: self.pieces[second].line,
                        at,
                        first_level: one,
                        second_level: other,
                    });
                    continue;
                }
                let index = self.points.len();
                self.points.push(Point3::new(at.x, at.y, f64::midpoint(one, other)));
                stops[first].push((s, index));
                stops[second].push((t, index));
            }
        }
        if !faults.is_empty() {
            return Err(faults);
        }
        let mut cut = Vec::with_capacity(self.pieces.len());
        for (&piece, mut stops) in self.pieces.iter().zip(stops) {
            stops.sort_by(|a, b| a.0.total_cmp(&b.0));
            push_parts(&mut cut, piece, stops.into_iter().map(|(_, index)| index));
        }
        self.pieces = cut;
        Ok(())
    }

    /// Points and triangles of the constrained Delaunay triangulation.
    pub(super) fn triangulate(&self) -> Result<Triangulated, Vec<SurfaceFault>> {
        let nodes: Vec<NodeAt> = self
            .points
            .iter()
            .enumerate()
            .map(|(index, p)| NodeAt { at: Point2::new(p.x, p.y), index })
            .collect();
        let mut edges: Vec<[usize; 2]> =
            self.pieces.iter().map(|p| [p.ends[0].min(p.ends[1]), p.ends[0].max(p.ends[1])]).collect();
        edges.sort_unstable();
        edges.dedup();
        let mut left_out = Vec::new();
        let net = ConstrainedDelaunayTriangulation::<NodeAt>::try_bulk_load_cdt(nodes, edges, |edge| {
            left_out.push(edge);
        })
        .map_err(|_| vec![SurfaceFault::NoArea])?;
        let faults: Vec<SurfaceFault> = left_out
            .iter()
            .filter_map(|[a, b]| Some((self.points.get(*a)?.plan(), self.points.get(*b)?.plan())))
            .map(|(from, to)| SurfaceFault::TooClose { from, to })
            .collect();
        if !faults.is_empty() {
            return Err(faults);
        }
        let mut triangles: Vec<[usize; 3]> =
            net.inner_faces().map(|face| face.vertices().map(|v| v.data().index)).collect();
        for corners in &mut triangles {
            let least = (0..3).min_by_key(|&i| corners[i]).unwrap_or(0);
            corners.rotate_left(least);
        }
        triangles.sort_unstable();
        Ok((self.points.clone(), triangles))
    }
}

fn push_parts(cut: &mut Vec<Piece>, piece: Piece, stops: impl Iterator<Item = usize>) {
    let mut from = piece.ends[0];
    for to in stops.chain([piece.ends[1]]) {
        if to != from {
            cut.push(Piece { ends: [from, to], line: piece.line });
        }
        from = to;
    }
}

/// Where two pieces cross inside both, as shares of each.
pub(super) fn crossing([a, b, c, d]: [Point; 4]) -> Option<(f64, f64)> {
    let (u, v, w) = (b - a, d - c, c - a);
    let whole = u.cross(v);
    let (s, t) = (w.cross(v) / whole, w.cross(u) / whole);
    let (slack_s, slack_t) = (ON_LINE / u.hypot(), ON_LINE / v.hypot());
    let inside = s > slack_s && s < 1.0 - slack_s && t > slack_t && t < 1.0 - slack_t;
    (whole != 0.0 && inside).then_some((s, t))
}

#[derive(Debug, Clone, Copy)]
struct NodeAt {
    at: Point2<f64>,
    index: usize,
}

impl HasPosition for NodeAt {
    type Scalar = f64;

    fn position(&self) -> Point2<f64> {
        self.at
    }
}
