//! Sections: the ground along a line.
//!
//! - In: a polyline in plan. [m] Out: stations with levels, one at each corner of the line and
//!   wherever it crosses an edge of the surface; between them the ground is straight.

use kurbo::{Point, Rect};

use super::{Surface, cross};

/// A place of a section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SectionPoint {
    /// Length along the line. [m]
    pub station: f64,
    /// Where. [m]
    pub at: Point,
    /// Level of the ground; none where the line has left the surface. [m]
    pub level: Option<f64>,
}

/// Stations nearer to one another are one. [m]
const SAME_STATION: f64 = 1e-7;

impl Surface {
    /// The ground along a polyline.
    ///
    /// # Returns
    /// Points with rising stations, from the start of the line to its end. A line of fewer than two
    /// points, or with a coordinate that is not finite, has none.
    pub fn section(&self, line: &[Point]) -> Vec<SectionPoint> {
        if line.len() < 2 || line.iter().any(|at| !at.is_finite()) {
            return Vec::new();
        }
        let mut found = Vec::new();
        let mut station = 0.0;
        for pair in line.windows(2) {
            let length = pair[0].distance(pair[1]);
            if length > SAME_STATION {
                self.section_of_piece(pair[0], pair[1], station, &mut found);
            }
            station += length;
        }
        found.dedup_by(|next, last| (next.station - last.station).abs() < SAME_STATION);
        found
    }

    fn section_of_piece(&self, from: Point, to: Point, station: f64, found: &mut Vec<SectionPoint>) {
        let length = from.distance(to);
        let mut shares = vec![0.0, 1.0];
        for triangle in self.along(from, to) {
            if let Some((enter, leave)) = self.share_inside(triangle, from, to) {
                shares.extend([enter, leave]);
            }
        }
        shares.sort_by(f64::total_cmp);
        shares.dedup_by(|b, a| (*b - *a) * length < SAME_STATION);
        // The end survives whatever lay a hair before it.
        if let Some(last) = shares.last_mut() {
            *last = 1.0;
        }
        for share in shares {
            let at = from.lerp(to, share);
            found.push(SectionPoint { station: station + share * length, at, level: self.level(at) });
        }
    }

    /// Triangles near a piece of a line, each once.
    fn along(&self, from: Point, to: Point) -> Vec<usize> {
        let steps = ((from.distance(to) / (4.0 * self.cells.size())).ceil() as usize).clamp(1, 100_000);
        let mut near = Vec::new();
        for step in 0..steps {
            let share = |i: usize| i as f64 / steps as f64;
            let rect = Rect::from_points(from.lerp(to, share(step)), from.lerp(to, share(step + 1)));
            self.cells.collect(rect, &mut near);
        }
        near.sort_unstable();
        near.dedup();
        near
    }

    /// The part of a piece that lies in a triangle, as shares of the piece.
    fn share_inside(&self, triangle: usize, from: Point, to: Point) -> Option<(f64, f64)> {
        let corners = self.corners(triangle).map(crate::Point3::plan);
        let (mut enter, mut leave) = (0.0f64, 1.0f64);
        for i in 0..3 {
            let (a, b) = (corners[i], corners[(i + 1) % 3]);
            let (before, after) = (cross(a, b, from), cross(a, b, to));
            if before < 0.0 && after < 0.0 {
                return None;
            }
            let share = before / (before - after);
            if before < 0.0 {
                enter = enter.max(share);
            } else if after < 0.0 {
                leave = leave.min(share);
            }
        }
        (enter <= leave).then_some((enter, leave))
    }
}
