//! Contours: lines of one level.
//!
//! - In: levels. [m] Out: polylines in plan, closed ones marked.
//! - Method: a triangle is crossed once by a level that lies within its range; crossings are chained
//!   from triangle to triangle. A corner exactly at the level counts as above it, so that each
//!   crossing has one entry and one exit; flat triangles at the level have no contour of their own.

use kurbo::Point;

use super::{OUTSIDE, Surface};

/// A line of one level.
#[derive(Debug, Clone, PartialEq)]
pub struct Contour {
    /// Its level. [m]
    pub level: f64,
    /// Its course, higher ground on the right; a closed one does not repeat its first point. [m]
    pub course: Vec<Point>,
    /// Whether it closes on itself.
    pub closed: bool,
}

impl Surface {
    /// Contours at all whole multiples of an interval, rising.
    ///
    /// # Arguments
    /// - `interval`: height between neighbours. [m] Finite and above zero; otherwise, and where
    ///   more than ten thousand levels would result, the answer is empty.
    pub fn contours(&self, interval: f64) -> Vec<Contour> {
        let (low, high) = self.range();
        let (first, last) = ((low / interval).ceil(), (high / interval).floor());
        if !(interval.is_finite() && interval > 0.0 && last - first < 10_000.0) {
            return Vec::new();
        }
        let levels: Vec<f64> = (0..=(last - first) as usize).map(|i| (first + i as f64) * interval).collect();
        self.contours_at(&levels)
    }

    /// Contours at levels, in the order given. [m]
    pub fn contours_at(&self, levels: &[f64]) -> Vec<Contour> {
        let mut order: Vec<usize> = (0..levels.len()).filter(|&i| levels[i].is_finite()).collect();
        order.sort_by(|&a, &b| levels[a].total_cmp(&levels[b]));
        let sorted: Vec<f64> = order.iter().map(|&i| levels[i]).collect();
        // The triangles that each level crosses.
        let mut crossed: Vec<Vec<u32>> = vec![Vec::new(); sorted.len()];
        for triangle in 0..self.triangles.len() {
            let z = self.corners(triangle).map(|p| p.z);
            let (low, high) = (z[0].min(z[1]).min(z[2]), z[0].max(z[1]).max(z[2]));
            let from = sorted.partition_point(|&level| level <= low);
            let to = sorted.partition_point(|&level| level <= high);
            for list in crossed.get_mut(from..to).into_iter().flatten() {
                list.push(triangle as u32);
            }
        }
        let mut seen = vec![u32::MAX; self.triangles.len()];
        let mut found: Vec<(usize, Contour)> = Vec::new();
        for (i, list) in crossed.iter().enumerate() {
            for &start in list {
                if seen[start as usize] != i as u32 {
                    found.push((order[i], self.chain(sorted[i], start as usize, i as u32, &mut seen)));
                }
            }
        }
        found.sort_by_key(|(place, _)| *place);
        found.into_iter().map(|(_, contour)| contour).collect()
    }

    /// The whole contour through a triangle.
    fn chain(&self, level: f64, start: usize, stamp: u32, seen: &mut [u32]) -> Contour {
        let mut triangle = start;
        // Back to where it enters the surface, or all the way round.
        loop {
            let (entry, _) = self.gates(triangle, level);
            let before = self.across[triangle][entry];
            if before == OUTSIDE || before as usize == start {
                break;
            }
            triangle = before as usize;
        }
        let (entry, _) = self.gates(triangle, level);
        let closed = self.across[triangle][entry] != OUTSIDE;
        let mut course = Vec::new();
        if !closed {
            course.push(self.crossing(triangle, entry, level));
        }
        loop {
            seen[triangle] = stamp;
            let (_, exit) = self.gates(triangle, level);
            course.push(self.crossing(triangle, exit, level));
            let next = self.across[triangle][exit];
            if next == OUTSIDE || seen[next as usize] == stamp {
                break;
            }
            triangle = next as usize;
        }
        Contour { level, course, closed }
    }

    /// The edges by which a level's line enters and leaves a triangle that it crosses.
    fn gates(&self, triangle: usize, level: f64) -> (usize, usize) {
        let above = self.corners(triangle).map(|p| p.z >= level);
        let entry = (0..3).find(|&i| !above[i] && above[(i + 1) % 3]).unwrap_or(0);
        let exit = (0..3).find(|&i| above[i] && !above[(i + 1) % 3]).unwrap_or(0);
        (entry, exit)
    }

    /// Where a level crosses an edge; the same to the last bit from either side.
    fn crossing(&self, triangle: usize, edge: usize, level: f64) -> Point {
        let corners = self.triangles[triangle];
        let (i, j) = (corners[edge], corners[(edge + 1) % 3]);
        let (a, b) = (self.points[i.min(j) as usize], self.points[i.max(j) as usize]);
        a.plan().lerp(b.plan(), (level - a.z) / (b.z - a.z))
    }
}
