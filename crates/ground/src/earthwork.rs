//! Earth between two surfaces: cut and fill.
//!
//! - In: the ground as it is and as it shall be, as triangulated surfaces. [m] Out: volumes of cut
//!   and fill, exact for the two surfaces. [m³]
//! - Method: the triangles of both are laid over one another. Over each common polygon the depth is
//!   a plane; the polygon is parted where the depth is zero, and each part is a prismoid: plan area
//!   times the depth at its centroid, summed over triangles of it.
//! - Assumes nothing about points or diagonals: the surfaces need not share any.
//! - Not here: bulking, compaction and carting (`balance.rs`).

use groundwright_geometry::{Point, Point3, Rect, Surface};

/// Earth moved between two surfaces, as it lies in the ground.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Earthwork {
    /// Volume where the ground is above what it shall be. [m³] Never below zero.
    pub cut: f64,
    /// Volume where the ground is below what it shall be. [m³] Never below zero.
    pub fill: f64,
    /// Plan area on which both surfaces exist. [m²]
    pub area: f64,
    /// Plan area of cut. [m²]
    pub cut_area: f64,
    /// Plan area of fill. [m²]
    pub fill_area: f64,
    /// Greatest depth of cut. [m]
    pub deepest_cut: f64,
    /// Greatest depth of fill. [m]
    pub deepest_fill: f64,
}

impl Earthwork {
    /// Cut less fill. [m³]
    pub fn net_cut(&self) -> f64 {
        self.cut - self.fill
    }
}

/// A depth below this is none: rounding, not earth. [m]
const NO_DEPTH: f64 = 1e-9;

/// A polygon of the overlay with its depth of cut at each corner.
pub type Deep = (Point, f64);

/// Cut and fill between two surfaces, where both exist.
///
/// # Returns
/// Volumes exact to rounding. Where only one surface exists nothing is moved: compare `area` with
/// the surfaces' areas.
///
/// # Source
/// Prismoid between two planes over a polygon: solid geometry.
pub fn between(existing: &Surface, proposed: &Surface) -> Earthwork {
    let mut sum = Earthwork::default();
    overlay(existing, proposed, |polygon| add(&mut sum, polygon));
    sum
}

/// Cut and fill over one triangle, from its depths of cut at the corners (below zero: fill). [m³]
///
/// # Source
/// All depths of one sign: A (d1 + d2 + d3)/3. One of the other sign: its part is
/// A |d1|³ / (3 |d1 − d2| |d1 − d3|), and the rest follows from the net. Both come out of parting
/// the triangle where the depth is zero, which is what is done here.
pub fn prism(triangle: [Point; 3], depths: [f64; 3]) -> Earthwork {
    let mut sum = Earthwork::default();
    let mut corners: Vec<Deep> = triangle.into_iter().zip(depths).collect();
    if twice_area(&corners) < 0.0 {
        corners.reverse();
    }
    add(&mut sum, &corners);
    sum
}

/// Calls back with every common polygon of two surfaces, counter-clockwise, with depths of cut.
pub fn overlay(existing: &Surface, proposed: &Surface, mut each: impl FnMut(&[Deep])) {
    let mut last_seen = vec![u32::MAX; proposed.triangles().len()];
    let mut near = Vec::new();
    for mine in 0..existing.triangles().len() {
        let corners = existing.corners(mine);
        near.clear();
        near.extend(proposed.near(bounds(&corners)));
        for &other in &near {
            if std::mem::replace(&mut last_seen[other], mine as u32) == mine as u32 {
                continue;
            }
            let polygon = common(corners, proposed.corners(other));
            if polygon.len() < 3 {
                continue;
            }
            let deep: Vec<Deep> = polygon
                .into_iter()
                .map(|at| (at, existing.level_in(mine, at) - proposed.level_in(other, at)))
                .collect();
            each(&deep);
        }
    }
}

/// The part of a polygon whose depth is at least a limit (`above`), or at most. Sides are cut where
/// the depth equals the limit.
pub fn deeper(polygon: &[Deep], limit: f64, above: bool) -> Vec<Deep> {
    let side = |depth: f64| if above { depth - limit } else { limit - depth };
    let mut kept = Vec::with_capacity(polygon.len() + 1);
    for i in 0..polygon.len() {
        let (a, b) = (polygon[i], polygon[(i + 1) % polygon.len()]);
        let (p, q) = (side(a.1), side(b.1));
        if p >= 0.0 {
            kept.push(a);
        }
        if (p > 0.0 && q < 0.0) || (p < 0.0 && q > 0.0) {
            kept.push((a.0.lerp(b.0, p / (p - q)), limit));
        }
    }
    kept
}

fn add(sum: &mut Earthwork, polygon: &[Deep]) {
    sum.area += twice_area(polygon) / 2.0;
    let (low, high) = polygon.iter().fold((0.0f64, 0.0f64), |(l, h), &(_, d)| (l.min(d), h.max(d)));
    sum.deepest_cut = sum.deepest_cut.max(high);
    sum.deepest_fill = sum.deepest_fill.max(-low);
    if high > NO_DEPTH {
        let part = deeper(polygon, 0.0, true);
        sum.cut += volume(&part);
        sum.cut_area += twice_area(&part) / 2.0;
    }
    if low < -NO_DEPTH {
        let part = deeper(polygon, 0.0, false);
        sum.fill -= volume(&part);
        sum.fill_area += twice_area(&part) / 2.0;
    }
}

/// Volume under a plane over a polygon. [m³]
fn volume(polygon: &[Deep]) -> f64 {
    let Some(&(apex, depth)) = polygon.first() else { return 0.0 };
    let fan = polygon.windows(2).skip(1);
    fan.map(|pair| (pair[0].0 - apex).cross(pair[1].0 - apex) / 6.0 * (depth + pair[0].1 + pair[1].1)).sum()
}

fn twice_area(polygon: &[Deep]) -> f64 {
    let Some(&(apex, _)) = polygon.first() else { return 0.0 };
    polygon.windows(2).skip(1).map(|pair| (pair[0].0 - apex).cross(pair[1].0 - apex)).sum()
}

fn bounds(corners: &[Point3; 3]) -> Rect {
    Rect::from_points(corners[0].plan(), corners[1].plan()).union_pt(corners[2].plan())
}

/// The polygon that two counter-clockwise triangles share.
fn common(one: [Point3; 3], other: [Point3; 3]) -> Vec<Point> {
    let (a, b) = (bounds(&one), bounds(&other));
    if a.x0 >= b.x1 || b.x0 >= a.x1 || a.y0 >= b.y1 || b.y0 >= a.y1 {
        return Vec::new();
    }
    let mut polygon: Vec<Point> = one.iter().map(|p| p.plan()).collect();
    for i in 0..3 {
        let (from, to) = (other[i].plan(), other[(i + 1) % 3].plan());
        let side = |at: Point| (to - from).cross(at - from);
        let mut kept = Vec::with_capacity(polygon.len() + 1);
        for j in 0..polygon.len() {
            let (a, b) = (polygon[j], polygon[(j + 1) % polygon.len()]);
            let (p, q) = (side(a), side(b));
            if p >= 0.0 {
                kept.push(a);
            }
            if (p > 0.0 && q < 0.0) || (p < 0.0 && q > 0.0) {
                kept.push(a.lerp(b, p / (p - q)));
            }
        }
        polygon = kept;
        if polygon.len() < 3 {
            return Vec::new();
        }
    }
    polygon
}
