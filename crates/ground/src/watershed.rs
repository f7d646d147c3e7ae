//! Where water goes over a surface: spill levels, hollows, catchments.
//!
//! - In: a triangulated surface, and the corners at which drains take water in. Out: for each corner
//!   where its water goes, hollows that have no outlet, and what gathers where.
//! - Method: a flood that rises from the rim and the drains (priority flood, Barnes, Lehman and
//!   Mulla 2014) over the edges of the triangulation gives every corner its spill level; on plane
//!   triangles all lowest points and saddles are corners, so that hollows are exact. Water then runs
//!   from corner to corner along the steepest facet, parted between its two lower corners by angle
//!   (after Tarboton 1997); on level ground and in hollows it follows the flood back.
//! - Assumes hollows run over: the share that soaks in or evaporates is not taken off.
//! - The answer is as fine as the triangles: refine the surface first where catchments matter.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use groundwright_geometry::{Point, Surface};

/// A level this much above the ground counts as water standing. [m] Below it lies rounding.
const STANDS: f64 = 1e-6;

/// Nowhere: the water leaves the surface here.
const NONE: u32 = u32::MAX;

/// A surface with the ways of its water.
#[derive(Debug, Clone)]
pub struct Watershed<'s> {
    surface: &'s Surface,
    /// Where the triangles of each corner are listed.
    starts: Vec<u32>,
    fans: Vec<u32>,
    /// Level at which water at a corner would run on. [m]
    spill: Vec<f64>,
    /// The corner to which the flood's way back leads.
    back: Vec<u32>,
    /// Corners in the order in which the flood reached them.
    order: Vec<u32>,
    /// Place of each corner in that order.
    rank: Vec<u32>,
    /// Where each corner's water goes next: one or two corners with their shares.
    ways: Vec<Way>,
}

/// Up to two corners with shares that sum to 1; none where the water leaves. Nobody stands for the
/// second where all goes one way.
type Way = [(u32, f64); 2];

const NOWHERE: Way = [(NONE, 0.0); 2];

const fn all_to(corner: u32) -> Way {
    [(corner, 1.0), (NONE, 0.0)]
}

/// A hollow: water stands in it before any runs on.
#[derive(Debug, Clone, PartialEq)]
pub struct Hollow {
    /// Its lowest place. [m]
    pub at: Point,
    /// Level of the lowest place. [m]
    pub bottom: f64,
    /// Level at which it runs over. [m]
    pub spill: f64,
    /// Volume of water that it holds. [m³]
    pub holds: f64,
    /// Area of the water when full. [m²]
    pub area: f64,
    /// Its corners, rising.
    pub corners: Vec<u32>,
}

impl Hollow {
    /// Depth of water when full. [m]
    pub fn depth(&self) -> f64 {
        self.spill - self.bottom
    }
}

impl<'s> Watershed<'s> {
    /// The ways of water over a surface.
    ///
    /// # Arguments
    /// - `drains`: corners at which water is taken in, besides the rim; those beyond the list of
    ///   points are left out.
    pub fn new(surface: &'s Surface, drains: &[u32]) -> Self {
        let count = surface.points().len();
        let (starts, fans) = fans(surface);
        let mut shed = Self {
            surface,
            starts,
            fans,
            spill: vec![f64::INFINITY; count],
            back: vec![NONE; count],
            order: Vec::with_capacity(count),
            rank: vec![NONE; count],
            ways: Vec::new(),
        };
        shed.flood(drains);
        shed.ways = (0..count as u32).map(|corner| shed.way(corner)).collect();
        shed
    }

    /// Level at which water at each corner would run on, at least the corner's own. [m]
    pub fn spill(&self) -> &[f64] {
        &self.spill
    }

    fn flood(&mut self, drains: &[u32]) {
        let mut front = BinaryHeap::new();
        let mut outlets: Vec<u32> =
            drains.iter().copied().filter(|&d| (d as usize) < self.spill.len()).collect();
        for (triangle, across) in self.surface.across().iter().enumerate() {
            let corners = self.surface.triangles()[triangle];
            for i in (0..3).filter(|&i| across[i] == groundwright_geometry::surface::OUTSIDE) {
                outlets.extend([corners[i], corners[(i + 1) % 3]]);
            }
        }
        for corner in outlets {
            let z = self.z(corner);
            if self.spill[corner as usize] > z {
                self.spill[corner as usize] = z;
                front.push(Reverse((Height(z), corner)));
            }
        }
        while let Some(Reverse((Height(level), corner))) = front.pop() {
            if self.rank[corner as usize] != NONE {
                continue;
            }
            self.rank[corner as usize] = self.order.len() as u32;
            self.order.push(corner);
            for next in self.neighbours(corner) {
                let reached = level.max(self.z(next));
                if reached < self.spill[next as usize] {
                    self.spill[next as usize] = reached;
                    self.back[next as usize] = corner;
                    front.push(Reverse((Height(reached), next)));
                }
            }
        }
    }

    /// Hollows at least so deep [m], deepest first.
    pub fn hollows(&self, least_depth: f64) -> Vec<Hollow> {
        let mut seen = vec![false; self.spill.len()];
        let mut found = Vec::new();
        for &start in &self.order {
            if seen[start as usize] || !self.stands(start) {
                continue;
            }
            let level = self.spill[start as usize];
            let mut corners = vec![start];
            seen[start as usize] = true;
            let mut next = 0;
            while next < corners.len() {
                for other in self.neighbours(corners[next]) {
                    // One water has one level; a higher or lower one beyond a sill is another hollow.
                    let same = (self.spill[other as usize] - level).abs() <= STANDS;
                    if same && self.stands(other) && !std::mem::replace(&mut seen[other as usize], true) {
                        corners.push(other);
                    }
                }
                next += 1;
            }
            corners.sort_unstable();
            let hollow = self.hollow(corners, level);
            if hollow.depth() >= least_depth {
                found.push(hollow);
            }
        }
        found.sort_by(|a, b| b.depth().total_cmp(&a.depth()).then(a.corners.cmp(&b.corners)));
        found
    }

    fn hollow(&self, corners: Vec<u32>, level: f64) -> Hollow {
        let lowest = corners.iter().copied().min_by(|&a, &b| self.z(a).total_cmp(&self.z(b)));
        let lowest = lowest.unwrap_or_default();
        let mut triangles: Vec<u32> = corners.iter().flat_map(|&c| self.fan(c)).copied().collect();
        triangles.sort_unstable();
        triangles.dedup();
        let (mut holds, mut area) = (0.0, 0.0);
        for triangle in triangles {
            let places = self.surface.corners(triangle as usize);
            let under = crate::earthwork::prism(
                places.map(groundwright_geometry::Point3::plan),
                places.map(|p| p.z - level),
            );
            holds += under.fill;
            area += under.fill_area;
        }
        Hollow {
            at: self.surface.points()[lowest as usize].plan(),
            bottom: self.z(lowest),
            spill: level,
            holds,
            area,
            corners,
        }
    }

    fn stands(&self, corner: u32) -> bool {
        self.spill[corner as usize] > self.z(corner) + STANDS
    }

    /// Where a corner's water goes next: corners with shares that sum to 1; none where it leaves.
    pub fn receivers(&self, corner: u32) -> impl Iterator<Item = (u32, f64)> + use<> {
        self.ways[corner as usize].into_iter().filter(|(to, _)| *to != NONE)
    }

    fn way(&self, corner: u32) -> Way {
        let back = self.back[corner as usize];
        if back == NONE {
            return NOWHERE;
        }
        if !self.stands(corner) {
            let reached = self.rank[corner as usize];
            let lower = |c: u32| self.rank[c as usize] < reached && self.z(c) < self.z(corner);
            if let Some(way) = self.steepest(corner, lower) {
                return way;
            }
        }
        all_to(back)
    }

    /// The steepest way down from a corner, over its facets and along its edges.
    fn steepest(&self, corner: u32, lower: impl Fn(u32) -> bool) -> Option<Way> {
        let from = self.surface.points()[corner as usize];
        let mut best: Option<(f64, Way)> = None;
        let mut offer = |fall: f64, way: Way| {
            if fall > 0.0 && best.as_ref().is_none_or(|(steepest, _)| fall > *steepest) {
                best = Some((fall, way));
            }
        };
        for &triangle in self.fan(corner) {
            let corners = self.surface.triangles()[triangle as usize];
            let i = corners.iter().position(|&c| c == corner).unwrap_or(0);
            let (b, c) = (corners[(i + 1) % 3], corners[(i + 2) % 3]);
            for end in [b, c] {
                let to = self.surface.points()[end as usize];
                if lower(end) {
                    offer((from.z - to.z) / from.plan().distance(to.plan()), all_to(end));
                }
            }
            let down = -self.surface.gradient(triangle as usize);
            let (u, v) = (
                self.surface.points()[b as usize].plan() - from.plan(),
                self.surface.points()[c as usize].plan() - from.plan(),
            );
            // Within the facet's angle, and both its far corners below: parted by angle.
            if u.cross(down) > 0.0 && down.cross(v) > 0.0 && lower(b) && lower(c) {
                let first = u.cross(down).atan2(u.dot(down));
                let second = down.cross(v).atan2(down.dot(v));
                let share = second / (first + second);
                // A hair steeper than its own edges can be.
                offer(down.hypot() * (1.0 + 1e-12), [(b, share), (c, 1.0 - share)]);
            }
        }
        best.map(|(_, way)| way)
    }

    /// Rain weight of each corner: a third of each of its triangles, by a weight for each triangle.
    ///
    /// With the weight 1 this is plan area, with a runoff coefficient it is C A. [m²]
    pub fn own(&self, weight: impl Fn(usize) -> f64) -> Vec<f64> {
        let mut own = vec![0.0; self.spill.len()];
        for (triangle, corners) in self.surface.triangles().iter().enumerate() {
            let share = self.surface.plan_area(triangle) * weight(triangle) / 3.0;
            for &corner in corners {
                own[corner as usize] += share;
            }
        }
        own
    }

    /// What gathers at each corner: its own and all that comes down to it.
    ///
    /// # Returns
    /// As many numbers as there are corners. Over the corners where water leaves ([`Self::leaves`])
    /// they sum to the sum of `own`: nothing is lost.
    pub fn gather(&self, own: &[f64]) -> Vec<f64> {
        let mut gathered = own.to_vec();
        gathered.resize(self.spill.len(), 0.0);
        for &corner in self.order.iter().rev() {
            let here = gathered[corner as usize];
            for (to, share) in self.receivers(corner) {
                gathered[to as usize] += here * share;
            }
        }
        gathered
    }

    /// Corners where water leaves the surface: rim and drains.
    pub fn leaves(&self) -> impl Iterator<Item = u32> {
        let last = self.order.iter().copied();
        last.filter(|&corner| self.back[corner as usize] == NONE)
    }

    /// What runs into a hollow, what runs over from others above it included.
    ///
    /// # Arguments
    /// - `own`: what each corner has of its own, as [`Self::own`] gives it.
    pub fn runs_into(&self, hollow: &Hollow, own: &[f64]) -> f64 {
        let inside = |corner: u32| hollow.corners.binary_search(&corner).is_ok();
        let mut gathered = own.to_vec();
        gathered.resize(self.spill.len(), 0.0);
        // The hollow passes nothing on here: what it spills may run back into it along its brim.
        for &corner in self.order.iter().rev().filter(|&&corner| !inside(corner)) {
            let here = gathered[corner as usize];
            for (to, share) in self.receivers(corner) {
                gathered[to as usize] += here * share;
            }
        }
        hollow.corners.iter().map(|&corner| gathered[corner as usize]).sum()
    }

    fn z(&self, corner: u32) -> f64 {
        self.surface.points()[corner as usize].z
    }

    pub(crate) fn fan(&self, corner: u32) -> &[u32] {
        &self.fans[self.starts[corner as usize] as usize..self.starts[corner as usize + 1] as usize]
    }

    fn neighbours(&self, corner: u32) -> Vec<u32> {
        let mut all = Vec::with_capacity(12);
        for &triangle in self.fan(corner) {
            for other in self.surface.triangles()[triangle as usize] {
                if other != corner && !all.contains(&other) {
                    all.push(other);
                }
            }
        }
        all
    }
}

/// The triangles about each corner, in one flat list.
fn fans(surface: &Surface) -> (Vec<u32>, Vec<u32>) {
    let count = surface.points().len();
    let mut starts = vec![0u32; count + 1];
    for &corner in surface.triangles().iter().flatten() {
        starts[corner as usize + 1] += 1;
    }
    for i in 0..count {
        starts[i + 1] += starts[i];
    }
    let mut next = starts.clone();
    let mut fans = vec![0u32; surface.triangles().len() * 3];
    for (triangle, corners) in surface.triangles().iter().enumerate() {
        for &corner in corners {
            fans[next[corner as usize] as usize] = triangle as u32;
            next[corner as usize] += 1;
        }
    }
    (starts, fans)
}

/// Heights in order; they are finite, as the surface checks.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Height(f64);

impl Eq for Height {}

impl PartialOrd for Height {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Height {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.0.total_cmp(&other.0)
    }
}
