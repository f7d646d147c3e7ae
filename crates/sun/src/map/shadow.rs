//! Shadows on a grid at one direction of light: bodies projected along it.
//!
//! - In: a grid, bodies, a direction. Out: optical depth at every point: 0 in the light, infinite in
//!   full shade, and the sum of extinction times chord behind crowns.
//! - Method: every body's shadow is bounded row by row, and only points within the bounds are
//!   looked at, so that the work follows the area in shade and not bodies times points. A ray for
//!   every point and moment through an index costs several times as much.
//! - A body below a point does not shade it: the test runs up the ray only.

use groundwright_scene::{Bodies, Crown, Direction, Triangle};

use super::grid::Grid;

/// A body lies above a point by more than this if it shades it: a point on a wall's top is in the
/// light. [m]
const ABOVE: f64 = 1e-6;

/// A grid made ready for many directions.
pub(super) struct Canvas<'g> {
    grid: &'g Grid,
    rows: Vec<(f64, f64)>,
    all: (f64, f64),
    eastings: Vec<f64>,
}

impl<'g> Canvas<'g> {
    pub(super) fn new(grid: &'g Grid) -> Self {
        let (rows, all) = grid.spans();
        let eastings = (0..grid.columns).map(|c| grid.origin.x + c as f64 * grid.step).collect();
        Self { grid, rows, all, eastings }
    }

    /// Optical depth at every point towards a light above the horizon, written over `depth`.
    pub(super) fn shade(&self, bodies: &Bodies, direction: Direction, depth: &mut [f64]) {
        depth.fill(0.0);
        for triangle in &bodies.triangles {
            self.triangle(triangle, direction, depth);
        }
        for crown in &bodies.crowns {
            self.crown(crown, direction, depth);
        }
    }

    fn row_y(&self, row: usize) -> f64 {
        self.grid.origin.y + row as f64 * self.grid.step
    }

    /// Points are moved along the light to height 0, where the triangle's shadow is one triangle.
    fn triangle(&self, triangle: &Triangle, [dx, dy, dz]: Direction, depth: &mut [f64]) {
        let (sx, sy) = (dx / dz, dy / dz);
        let p = triangle.map(|v| (v.x - sx * v.z, v.y - sy * v.z, v.z));
        let highest = p.iter().map(|v| v.2).fold(f64::NEG_INFINITY, f64::max);
        if highest <= self.all.0 {
            return;
        }
        let area = (p[1].0 - p[0].0) * (p[2].1 - p[0].1) - (p[1].1 - p[0].1) * (p[2].0 - p[0].0);
        // Seen edge on, it casts none.
        if area.abs() < 1e-12 {
            return;
        }
        let bounds = |of: fn(&(f64, f64, f64)) -> f64| {
            p.iter().map(of).fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)))
        };
        let (low, high) = bounds(|v| v.1);
        let shift = [sy * self.all.0, sy * self.all.1];
        let rows = self.grid.rows_between(low + shift[0].min(shift[1]), high + shift[0].max(shift[1]));
        // Shares of the three corners are linear in the plane: value, slope in x, slope in y.
        let weight = |i: usize, j: usize| {
            let (a, b) = (p[i], p[j]);
            let (gx, gy) = (-(b.1 - a.1) / area, (b.0 - a.0) / area);
            (-(gx * a.0 + gy * a.1), gx, gy)
        };
        let w = [weight(1, 2), weight(2, 0), weight(0, 1)];
        let z = (0..3).fold((0.0, 0.0, 0.0), |sum, i| {
            (sum.0 + w[i].0 * p[i].2, sum.1 + w[i].1 * p[i].2, sum.2 + w[i].2 * p[i].2)
        });
        for row in rows {
            let y = self.row_y(row);
            let (z0, z1) = self.rows[row];
            let Some((west, east)) = across(&p, y - sy * z0, y - sy * z1) else { continue };
            let shift = [sx * z0, sx * z1];
            let columns =
                self.grid.columns_between(west + shift[0].min(shift[1]), east + shift[0].max(shift[1]));
            let first = row * self.grid.columns;
            let heights = &self.grid.heights[first + columns.start..first + columns.end];
            let eastings = &self.eastings[columns.clone()];
            let depths = &mut depth[first + columns.start..first + columns.end];
            for ((depth, height), x) in depths.iter_mut().zip(heights).zip(eastings) {
                let (qx, qy) = (x - sx * height, y - sy * height);
                let share = |w: (f64, f64, f64)| w.0 + w.1 * qx + w.2 * qy;
                let inside = share(w[0]) >= 0.0 && share(w[1]) >= 0.0 && share(w[2]) >= 0.0;
                if inside && share(z) > height + ABOVE {
                    *depth = f64::INFINITY;
                }
            }
        }
    }

    fn crown(&self, crown: &Crown, d: Direction, depth: &mut [f64]) {
        let [dx, dy, dz] = d;
        let top = crown.foot.z + crown.height;
        if top <= self.all.0 {
            return;
        }
        let r = crown.radius;
        // How far along the ray the body may lie from a point.
        let reach = |(z0, z1): (f64, f64)| (((crown.foot.z - z1) / dz).max(0.0), (top - z0) / dz);
        let (near, far) = reach(self.all);
        let south = crown.foot.y - r - (near * dy).max(far * dy);
        let north = crown.foot.y + r - (near * dy).min(far * dy);
        for row in self.grid.rows_between(south, north) {
            let y = self.row_y(row);
            let (mut near, mut far) = reach(self.rows[row]);
            if dy.abs() > 1e-9 {
                let (a, b) = ((crown.foot.y - r - y) / dy, (crown.foot.y + r - y) / dy);
                near = near.max(a.min(b));
                far = far.min(a.max(b));
            } else if (crown.foot.y - y).abs() > r {
                continue;
            }
            if near > far {
                continue;
            }
            let west = crown.foot.x - r - (near * dx).max(far * dx);
            let east = crown.foot.x + r - (near * dx).min(far * dx);
            let columns = self.grid.columns_between(west, east);
            let first = row * self.grid.columns;
            let heights = &self.grid.heights[first + columns.start..first + columns.end];
            let eastings = &self.eastings[columns.clone()];
            let depths = &mut depth[first + columns.start..first + columns.end];
            chords(crown, d, y, eastings, heights, depths);
        }
    }
}

/// Adds a crown's optical depth along one row of points. The same equation as [`Crown::chord`],
/// with what does not change along the row taken out.
fn chords(crown: &Crown, d: Direction, y: f64, eastings: &[f64], heights: &[f64], depths: &mut [f64]) {
    let [dx, dy, dz] = d;
    let [a, b, c] = crown.profile;
    let qa = c * dz * dz - dx * dx - dy * dy;
    if qa > -1e-9 {
        // A cone under a high sun: few rays, taken one by one.
        for ((depth, z), x) in depths.iter_mut().zip(heights).zip(eastings) {
            let chord = crown.chord(groundwright_geometry::Point3::new(*x, y, *z), d);
            if chord > 0.0 {
                *depth += crown.extinction * chord;
            }
        }
        return;
    }
    let v = y - crown.foot.y;
    let (inverse, rise) = (1.0 / qa, 1.0 / dz);
    for ((depth, z), x) in depths.iter_mut().zip(heights).zip(eastings) {
        let (u, w) = (x - crown.foot.x, z - crown.foot.z);
        let qb = c * w * dz + 0.5 * b * dz - u * dx - v * dy;
        let qc = a + b * w + c * w * w - u * u - v * v;
        let root = (qb * qb - qa * qc).max(0.0).sqrt();
        let low = (inverse * (root - qb)).max((-w * rise).max(0.0));
        let high = (inverse * (-qb - root)).min((crown.height - w) * rise);
        let chord = (high - low).max(0.0);
        // Not `extinction * chord` outright: infinity times zero is no number.
        *depth += if chord > 0.0 { crown.extinction * chord } else { 0.0 };
    }
}

/// West and east bounds of a triangle between two y, if it reaches there. [m]
fn across(p: &[(f64, f64, f64); 3], y0: f64, y1: f64) -> Option<(f64, f64)> {
    let (low, high) = (y0.min(y1), y0.max(y1));
    let mut bounds: Option<(f64, f64)> = None;
    let mut take = |x: f64| {
        let (west, east) = bounds.unwrap_or((x, x));
        bounds = Some((west.min(x), east.max(x)));
    };
    for i in 0..3 {
        let (a, b) = (p[i], p[(i + 1) % 3]);
        if (low..=high).contains(&a.1) {
            take(a.0);
        }
        for y in [low, high] {
            if (a.1 < y) != (b.1 < y) {
                take(a.0 + (b.0 - a.0) * (y - a.1) / (b.1 - a.1));
            }
        }
    }
    bounds
}
