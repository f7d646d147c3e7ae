//! The way of one drop: straight down the slope, triangle by triangle.
//!
//! - In: a surface's watershed and a place. Out: the course of steepest descent to where it ends.
//! - Method: in a triangle against the gradient to its edge; where both sides fall to the edge, along
//!   the edge to its lower end; from a corner down its steepest facet or edge. Every step goes down.

use groundwright_geometry::surface::OUTSIDE;
use groundwright_geometry::{Point, Point3, Surface};

use crate::Watershed;

/// How a course ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// Over the rim of the surface.
    Leaves,
    /// In a lowest place.
    Hollow,
    /// On level ground, where it spreads.
    Level,
}

/// The way of a drop.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// Places with levels, never rising. [m]
    pub places: Vec<Point3>,
    /// How it ends.
    pub end: End,
}

impl Course {
    /// Length in plan. [m]
    pub fn length(&self) -> f64 {
        self.places.windows(2).map(|pair| pair[0].plan().distance(pair[1].plan())).sum()
    }
}

/// Ground flatter than this is level: a millimetre in a hundred metres.
const LEVEL: f64 = 1e-5;

/// Where a drop is.
enum Drop {
    In(usize),
    At(u32),
}

/// The course of a drop from a place; none outside the surface.
pub fn descend(surface: &Surface, shed: &Watershed<'_>, from: Point) -> Option<Course> {
    let triangle = surface.triangle_at(from)?;
    let level = surface.level_in(triangle, from);
    let mut places = vec![Point3::new(from.x, from.y, level)];
    let mut drop = Drop::In(triangle);
    // Each triangle and each edge is passed a few times at most; the bound is against rounding.
    for _ in 0..surface.triangles().len() * 4 + 16 {
        let here = places[places.len() - 1];
        let step = match drop {
            Drop::In(triangle) => across(surface, triangle, here.plan()),
            Drop::At(corner) => from_corner(surface, shed, corner),
        };
        match step {
            Step::On(next, at) => {
                drop = next;
                if at.plan().distance(here.plan()) > 1e-9 {
                    places.push(Point3::new(at.x, at.y, at.z.min(here.z)));
                }
            }
            Step::Along(at, corner) => {
                drop = Drop::At(corner);
                let foot = surface.points()[corner as usize];
                places.push(Point3::new(at.x, at.y, at.z.min(here.z)));
                places.push(Point3::new(foot.x, foot.y, foot.z.min(at.z).min(here.z)));
            }
            Step::End(end, at) => {
                places.extend(at.map(|at| Point3::new(at.x, at.y, at.z.min(here.z))));
                return Some(Course { places, end });
            }
        }
    }
    Some(Course { places, end: End::Level })
}

enum Step {
    On(Drop, Point3),
    /// To a place on an edge, and along it to its lower end.
    Along(Point3, u32),
    End(End, Option<Point3>),
}

/// From a place in a triangle to its edge, and on.
fn across(surface: &Surface, triangle: usize, from: Point) -> Step {
    let down = -surface.gradient(triangle);
    if down.hypot() < LEVEL {
        return Step::End(End::Level, None);
    }
    let corners = surface.corners(triangle);
    let mut exit: Option<(f64, usize)> = None;
    for i in 0..3 {
        let (a, b) = (corners[i].plan(), corners[(i + 1) % 3].plan());
        let outward = -(b - a).cross(down);
        if outward > 1e-12 * (b - a).hypot() * down.hypot() {
            let way = ((b - a).cross(from - a) / outward).max(0.0);
            if exit.is_none_or(|(nearest, _)| way < nearest) {
                exit = Some((way, i));
            }
        }
    }
    let Some((way, edge)) = exit else { return Step::End(End::Level, None) };
    let at = from + down * way;
    let (i, j) = (surface.triangles()[triangle][edge], surface.triangles()[triangle][(edge + 1) % 3]);
    let (a, b) = (surface.points()[i as usize], surface.points()[j as usize]);
    let level = surface.level_in(triangle, at);
    let at = Point3::new(at.x, at.y, level);
    for (corner, place) in [(i, a), (j, b)] {
        if place.plan().distance(at.plan()) < 1e-9 {
            return Step::On(Drop::At(corner), place);
        }
    }
    let next = surface.across()[triangle][edge];
    if next == OUTSIDE {
        return Step::End(End::Leaves, Some(at));
    }
    let beyond = -surface.gradient(next as usize);
    let inward = -(b.plan() - a.plan()).cross(beyond);
    if inward > 0.0 && beyond.hypot() >= LEVEL {
        return Step::On(Drop::In(next as usize), at);
    }
    if beyond.hypot() < LEVEL {
        return Step::End(End::Level, Some(at));
    }
    // Both sides fall to the edge: along it to the lower end.
    if (a.z - b.z).abs() < LEVEL * a.plan().distance(b.plan()) {
        return Step::End(End::Level, Some(at));
    }
    Step::Along(at, if a.z < b.z { i } else { j })
}

/// From a corner down its steepest facet or edge.
fn from_corner(surface: &Surface, shed: &Watershed<'_>, corner: u32) -> Step {
    let from = surface.points()[corner as usize];
    let mut best: Option<(f64, Drop, Point3)> = None;
    let mut rim = false;
    for &triangle in shed.fan(corner) {
        let corners = surface.triangles()[triangle as usize];
        let i = corners.iter().position(|&c| c == corner).unwrap_or(0);
        let (b, c) = (corners[(i + 1) % 3], corners[(i + 2) % 3]);
        rim |= surface.across()[triangle as usize][i] == OUTSIDE
            || surface.across()[triangle as usize][(i + 2) % 3] == OUTSIDE;
        let steepest = |best: &Option<(f64, Drop, Point3)>| best.as_ref().map_or(LEVEL, |(fall, ..)| *fall);
        for end in [b, c] {
            let to = surface.points()[end as usize];
            let fall = (from.z - to.z) / from.plan().distance(to.plan());
            if fall > steepest(&best) {
                best = Some((fall, Drop::At(end), to));
            }
        }
        let down = -surface.gradient(triangle as usize);
        let (u, v) = (
            surface.points()[b as usize].plan() - from.plan(),
            surface.points()[c as usize].plan() - from.plan(),
        );
        if u.cross(down) > 0.0 && down.cross(v) > 0.0 && down.hypot() > steepest(&best) {
            best = Some((down.hypot(), Drop::In(triangle as usize), from));
        }
    }
    match best {
        Some((_, next, at)) => Step::On(next, at),
        None if rim => Step::End(End::Leaves, None),
        None => Step::End(End::Hollow, None),
    }
}
