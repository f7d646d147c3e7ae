//! A yard as rays see it: opaque triangles and crowns that let light through.
//!
//! - In: solids of the studies. Out: [`Scene`], which answers how much light comes along a ray.
//! - Buried bodies and the ground's own paving cast no shadow and are left out; glass is opaque
//!   here, because what is behind it is a house.
//! - Method: a bounding-volume hierarchy over triangles and crowns alike (crate `obvhs`, single
//!   precision boxes, grown by a millimetre; the bodies themselves are met in double precision).
//! - Not here: whole maps, which are cheaper by projecting the bodies along the sun (`groundwright-sun`).

use earcut::Earcut;
use glam::{Vec3A, vec3a};
use groundwright_geometry::Point3;
use groundwright_handoff::{Body, CrownForm, Role, Solid};
use groundwright_plan::ElementRef;
use obvhs::aabb::Aabb;
use obvhs::bvh2::Bvh2;
use obvhs::ploc::{PlocBuilder, PlocSearchDistance, SortPrecision};
use obvhs::ray::Ray;

use crate::crown::{Crown, Direction};

/// A triangle in space. [m]
pub type Triangle = [Point3; 3];

/// Boxes are grown by this so that rounding loses nothing. [m]
const MARGIN: f64 = 1e-3;
/// A ray does not meet what lies nearer than this to its origin. [m]
const START: f64 = 1e-6;

/// A scene without its index: what is projected to make maps.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Bodies {
    /// Opaque triangles.
    pub triangles: Vec<Triangle>,
    /// Crowns.
    pub crowns: Vec<Crown>,
    /// Whose crown each is, and which of the owner's bodies.
    pub owners: Vec<(ElementRef, u32)>,
}

/// A body that cannot be placed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{subject}: {problem}")]
pub struct BodyFault {
    /// Whose.
    pub subject: ElementRef,
    /// What is wrong with it.
    pub problem: String,
}

impl Bodies {
    /// The bodies above ground among solids, and those that are none.
    pub fn of(solids: &[Solid]) -> (Self, Vec<BodyFault>) {
        let mut bodies = Self::default();
        let mut faults = Vec::new();
        for solid in solids.iter().filter(|s| !matches!(s.role, Role::Buried | Role::Ground)) {
            if let Err(problem) = bodies.add(solid) {
                faults.push(BodyFault { subject: solid.subject.clone(), problem });
            }
        }
        (bodies, faults)
    }

    fn add(&mut self, solid: &Solid) -> Result<(), String> {
        match &solid.body {
            Body::Prism { outline, height } => self.prism(outline, *height),
            Body::Faces { faces } => {
                for face in faces {
                    self.face(face);
                }
                Ok(())
            }
            Body::Crown { form, centre, radius, half_height } => {
                let foot = Point3::new(centre.x, centre.y, centre.z - half_height);
                self.crown(solid, *form, foot, *radius, 2.0 * half_height, solid.transmittance)
            }
            Body::Cylinder { foot, radius, height } => {
                self.crown(solid, CrownForm::Cylinder, *foot, *radius, *height, solid.transmittance)
            }
            Body::Ribbon { line, width, height } => self.ribbon(line, *width, *height),
        }
    }

    fn crown(
        &mut self,
        solid: &Solid,
        form: CrownForm,
        foot: Point3,
        radius: f64,
        height: f64,
        transmittance: f64,
    ) -> Result<(), String> {
        let crown = Crown::new(form, foot, radius, height, transmittance).map_err(|e| e.to_string())?;
        self.crowns.push(crown);
        self.owners.push((solid.subject.clone(), solid.ordinal));
        Ok(())
    }

    fn prism(&mut self, outline: &[Point3], height: f64) -> Result<(), String> {
        if outline.len() < 3 || !height.is_finite() || height <= 0.0 {
            return Err(format!("a prism of {} corners and {height} m", outline.len()));
        }
        let up = |at: &Point3| Point3::new(at.x, at.y, at.z + height);
        self.face(&outline.iter().map(up).collect::<Vec<_>>());
        for (a, b) in outline.iter().zip(outline.iter().cycle().skip(1)) {
            self.face(&[*a, *b, up(b), up(a)]);
        }
        Ok(())
    }

    fn ribbon(&mut self, line: &[Point3], width: f64, height: f64) -> Result<(), String> {
        if !(width.is_finite() && height.is_finite()) || height <= 0.0 {
            return Err(format!("a ribbon {width} m wide and {height} m high"));
        }
        for pair in line.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            let along = b.plan() - a.plan();
            if along.hypot() < 1e-9 {
                continue;
            }
            let side = groundwright_geometry::Vec2::new(-along.y, along.x) / along.hypot() * (width / 2.0);
            let corner =
                |at: Point3, sign: f64| Point3::new(at.x + sign * side.x, at.y + sign * side.y, at.z);
            let box_ = [corner(a, -1.0), corner(b, -1.0), corner(b, 1.0), corner(a, 1.0)];
            self.prism(&box_, height)?;
        }
        Ok(())
    }

    /// Adds a flat outline in space, cut into triangles.
    pub fn face(&mut self, face: &[Point3]) {
        match *face {
            [a, b, c] => self.triangles.push([a, b, c]),
            [a, b, c, d] if convex(&[a, b, c, d]) => {
                self.triangles.extend([[a, b, c], [a, c, d]]);
            }
            _ => self.triangles.extend(cut(face)),
        }
    }
}

/// Normal of a flat outline by Newell's sum; its length is twice the area.
fn normal(face: &[Point3]) -> [f64; 3] {
    let mut n = [0.0; 3];
    for (a, b) in face.iter().zip(face.iter().cycle().skip(1)) {
        n[0] += (a.y - b.y) * (a.z + b.z);
        n[1] += (a.z - b.z) * (a.x + b.x);
        n[2] += (a.x - b.x) * (a.y + b.y);
    }
    n
}

/// The outline laid flat by leaving out the axis along which it is thinnest.
fn flattened(face: &[Point3]) -> Vec<[f64; 2]> {
    let n = normal(face).map(f64::abs);
    face.iter()
        .map(|p| {
            if n[2] >= n[0] && n[2] >= n[1] {
                [p.x, p.y]
            } else if n[0] >= n[1] {
                [p.y, p.z]
            } else {
                [p.x, p.z]
            }
        })
        .collect()
}

fn convex(face: &[Point3; 4]) -> bool {
    let flat = flattened(face);
    let turn = |i: usize| {
        let (a, b, c) = (flat[i], flat[(i + 1) % 4], flat[(i + 2) % 4]);
        (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
    };
    (0..4).all(|i| turn(i) >= 0.0) || (0..4).all(|i| turn(i) <= 0.0)
}

fn cut(face: &[Point3]) -> Vec<Triangle> {
    let mut indices: Vec<u32> = Vec::new();
    Earcut::new().earcut(flattened(face), &[], &mut indices);
    indices.chunks_exact(3).map(|t| [face[t[0] as usize], face[t[1] as usize], face[t[2] as usize]]).collect()
}

/// Bodies with the index that rays run through.
pub struct Scene {
    bodies: Bodies,
    index: Option<Bvh2>,
}

impl Scene {
    /// Builds the index.
    pub fn new(bodies: Bodies) -> Self {
        let boxes: Vec<Aabb> = bodies
            .triangles
            .iter()
            .map(around_triangle)
            .chain(bodies.crowns.iter().map(around_crown))
            .collect();
        let index = (!boxes.is_empty()).then(|| {
            let order = (0..boxes.len() as u32).collect();
            PlocBuilder::with_capacity(boxes.len()).build(
                PlocSearchDistance::Low,
                &boxes,
                order,
                SortPrecision::U64,
                0,
            )
        });
        Self { bodies, index }
    }

    /// What is in it.
    pub fn bodies(&self) -> &Bodies {
        &self.bodies
    }

    /// Share of light that comes along a ray from where it points, 0 to 1.
    ///
    /// # Arguments
    /// - `origin`: where the light is looked for. [m]
    /// - `direction`: towards the light, a unit vector.
    pub fn light(&self, origin: Point3, direction: Direction) -> f64 {
        self.light_beyond(origin, direction, |_| false)
    }

    /// Share of light that passes from one point to another, 0 to 1. Bodies that touch either end within
    /// two centimetres do not count: a lamp on a wall and the wall that it lights are no obstacle.
    pub fn between(&self, from: Point3, to: Point3) -> f64 {
        /// What either end may touch. [m]
        const TOUCH: f64 = 0.02;
        let Some(index) = &self.index else { return 1.0 };
        let way = [to.x - from.x, to.y - from.y, to.z - from.z];
        let length = dot(way, way).sqrt();
        if length <= 2.0 * TOUCH {
            return 1.0;
        }
        let direction = way.map(|v| v / length);
        let along = |distance: f64| {
            let [dx, dy, dz] = direction.map(|v| v * distance);
            Point3::new(from.x + dx, from.y + dy, from.z + dz)
        };
        let (origin, end) = (along(TOUCH), along(length - TOUCH));
        let opaque = self.bodies.triangles.len();
        let mut depth = 0.0;
        let [dx, dy, dz] = direction.map(|v| v as f32);
        let ray = Ray::new(
            vec3a(origin.x as f32, origin.y as f32, origin.z as f32),
            vec3a(dx, dy, dz),
            0.0,
            (length - 2.0 * TOUCH) as f32,
        );
        let clear = index.ray_traverse_miss(ray, |_, slot| {
            let body = index.primitive_indices[slot] as usize;
            if let Some(triangle) = self.bodies.triangles.get(body) {
                let stands =
                    distance_to(triangle, origin, direction).is_some_and(|d| d < length - 2.0 * TOUCH);
                return if stands { 0.0 } else { f32::INFINITY };
            }
            let crown = &self.bodies.crowns[body - opaque];
            // What lies beyond the end is taken off.
            let chord = crown.chord(origin, direction) - crown.chord(end, direction);
            if chord > 0.0 {
                depth += crown.extinction * chord;
            }
            if depth == f64::INFINITY { 0.0 } else { f32::INFINITY }
        });
        if clear { (-depth).exp() } else { 0.0 }
    }

    /// The same, without the crowns that `leave_out` names by their index: a plant does not shade
    /// itself.
    pub fn light_beyond(
        &self,
        origin: Point3,
        direction: Direction,
        leave_out: impl Fn(usize) -> bool,
    ) -> f64 {
        let Some(index) = &self.index else { return 1.0 };
        let opaque = self.bodies.triangles.len();
        let mut depth = 0.0;
        let [dx, dy, dz] = direction.map(|v| v as f32);
        let ray = Ray::new_inf(vec3a(origin.x as f32, origin.y as f32, origin.z as f32), vec3a(dx, dy, dz));
        let clear = index.ray_traverse_miss(ray, |_, slot| {
            let body = index.primitive_indices[slot] as usize;
            if let Some(triangle) = self.bodies.triangles.get(body) {
                return if meets(triangle, origin, direction) { 0.0 } else { f32::INFINITY };
            }
            let crown = &self.bodies.crowns[body - opaque];
            if !leave_out(body - opaque) {
                let chord = crown.chord(origin, direction);
                if chord > 0.0 {
                    depth += crown.extinction * chord;
                }
            }
            // A crown that lets nothing through ends the search.
            if depth == f64::INFINITY { 0.0 } else { f32::INFINITY }
        });
        if clear { (-depth).exp() } else { 0.0 }
    }
}

fn around_triangle(triangle: &Triangle) -> Aabb {
    let axis = |of: fn(&Point3) -> f64| {
        let values = triangle.map(|p| of(&p));
        (
            values.iter().copied().fold(f64::INFINITY, f64::min),
            values.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        )
    };
    let (x, y, z) = (axis(|p| p.x), axis(|p| p.y), axis(|p| p.z));
    grown([x.0, y.0, z.0], [x.1, y.1, z.1])
}

fn around_crown(crown: &Crown) -> Aabb {
    let (foot, r) = (crown.foot, crown.radius);
    grown([foot.x - r, foot.y - r, foot.z], [foot.x + r, foot.y + r, foot.z + crown.height])
}

fn grown(low: [f64; 3], high: [f64; 3]) -> Aabb {
    let low = low.map(|v| (v - MARGIN) as f32);
    let high = high.map(|v| (v + MARGIN) as f32);
    Aabb::new(Vec3A::from_array(low), Vec3A::from_array(high))
}

/// Whether a ray meets a triangle ahead of it, from either side.
///
/// # Source
/// Möller and Trumbore 1997.
fn meets(triangle: &Triangle, origin: Point3, d: Direction) -> bool {
    distance_to(triangle, origin, d).is_some()
}

/// Distance along a ray at which it meets a triangle ahead of it, from either side. [m]
fn distance_to(triangle: &Triangle, origin: Point3, d: Direction) -> Option<f64> {
    let [a, b, c] = triangle;
    let (e1, e2) = ([b.x - a.x, b.y - a.y, b.z - a.z], [c.x - a.x, c.y - a.y, c.z - a.z]);
    let p = cross(d, e2);
    let determinant = dot(e1, p);
    if determinant.abs() < 1e-14 {
        return None;
    }
    let s = [origin.x - a.x, origin.y - a.y, origin.z - a.z];
    let u = dot(s, p) / determinant;
    let q = cross(s, e1);
    let v = dot(d, q) / determinant;
    let distance = dot(e2, q) / determinant;
    (u >= 0.0 && v >= 0.0 && u + v <= 1.0 && distance > START).then_some(distance)
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
