//! The same surface in smaller triangles.
//!
//! - In: the longest edge allowed. [m] Out: a surface of the same form, whose long edges are halved
//!   until none is longer.
//! - Method: every edge above the limit gets its middle; a triangle with one, two or three such
//!   edges becomes two, three or four. Neighbours see the same middles, so that nothing gapes.

use std::collections::BTreeMap;

use super::{Surface, SurfaceFault};
use crate::Point3;

/// Rounds of halving; more would mean edges a million times too long.
const MOST_ROUNDS: usize = 20;

impl Surface {
    /// The same surface with no edge longer than a length, seen from above.
    ///
    /// # Arguments
    /// - `longest`: finite and above zero. [m]
    /// - `most`: stops halving once there are more triangles than this, so that a slip in the
    ///   length does not fill the memory.
    ///
    /// # Errors
    /// [`SurfaceFault::NotFinite`] for a limit that is no length above zero.
    pub fn refined(&self, longest: f64, most: usize) -> Result<Self, SurfaceFault> {
        if !(longest.is_finite() && longest > 0.0) {
            return Err(SurfaceFault::NotFinite { index: 0 });
        }
        let mut points = self.points.clone();
        let mut triangles: Vec<[usize; 3]> = self.triangles.iter().map(|t| t.map(|i| i as usize)).collect();
        for _ in 0..MOST_ROUNDS {
            if triangles.len() > most {
                break;
            }
            let Some(next) = halve(&mut points, &triangles, longest) else { break };
            triangles = next;
        }
        Self::from_triangles(points, &triangles)
    }
}

/// One round; none if no edge is too long.
fn halve(points: &mut Vec<Point3>, triangles: &[[usize; 3]], longest: f64) -> Option<Vec<[usize; 3]>> {
    let mut middles: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    for corners in triangles {
        for i in 0..3 {
            let (a, b) = (corners[i], corners[(i + 1) % 3]);
            let key = (a.min(b), a.max(b));
            let (p, q) = (points[key.0], points[key.1]);
            if p.plan().distance(q.plan()) > longest && !middles.contains_key(&key) {
                let half = f64::midpoint;
                points.push(Point3::new(half(p.x, q.x), half(p.y, q.y), half(p.z, q.z)));
                middles.insert(key, points.len() - 1);
            }
        }
    }
    if middles.is_empty() {
        return None;
    }
    let middle = |a: usize, b: usize| middles.get(&(a.min(b), a.max(b))).copied();
    let mut next = Vec::with_capacity(triangles.len() * 2);
    for &[a, b, c] in triangles {
        match [middle(a, b), middle(b, c), middle(c, a)] {
            [None, None, None] => next.push([a, b, c]),
            [Some(ab), None, None] => next.extend([[a, ab, c], [ab, b, c]]),
            [None, Some(bc), None] => next.extend([[b, bc, a], [bc, c, a]]),
            [None, None, Some(ca)] => next.extend([[c, ca, b], [ca, a, b]]),
            [Some(ab), Some(bc), None] => next.extend([[b, bc, ab], [a, ab, c], [ab, bc, c]]),
            [None, Some(bc), Some(ca)] => next.extend([[c, ca, bc], [b, bc, a], [bc, ca, a]]),
            [Some(ab), None, Some(ca)] => next.extend([[a, ab, ca], [c, ca, b], [ca, ab, b]]),
            [Some(ab), Some(bc), Some(ca)] => {
                next.extend([[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]);
            }
        }
    }
    Some(next)
}
