//! Triangles with their index.

use glam::Vec3A;
use obvhs::BvhBuildParams;
use obvhs::aabb::Aabb;
use obvhs::cwbvh::CwBvh;
use obvhs::cwbvh::builder::build_cwbvh_from_tris;
use obvhs::ray::Ray;
use obvhs::rt_triangle::RtTriangle;
use obvhs::triangle::Triangle;

/// Triangles that share an index; placed in a scene once or many times.
pub struct Mesh {
    /// In the order of the index, so that a ray finds them without looking them up.
    triangles: Vec<RtTriangle>,
    materials: Vec<u16>,
    index: CwBvh,
    bounds: Aabb,
}

/// Why triangles are no mesh.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MeshFault {
    /// There are none.
    #[error("there are no triangles; expected one or more")]
    Empty,
    /// A corner is not finite.
    #[error("triangle {0} has a corner that is not finite")]
    NotFinite(usize),
}

impl Mesh {
    /// Builds the index.
    ///
    /// # Arguments
    /// - `triangles`: corners [m] with the number of the material; those without area are left out.
    ///
    /// # Errors
    /// [`MeshFault`].
    pub fn new(triangles: &[([Vec3A; 3], u16)]) -> Result<Self, MeshFault> {
        if let Some(i) = triangles.iter().position(|(corners, _)| corners.iter().any(|c| !c.is_finite())) {
            return Err(MeshFault::NotFinite(i));
        }
        let (kept, materials): (Vec<Triangle>, Vec<u16>) = triangles
            .iter()
            .filter(|([a, b, c], _)| (*b - *a).cross(*c - *a).length_squared() > 0.0)
            .map(|([a, b, c], material)| (Triangle { v0: *a, v1: *b, v2: *c }, *material))
            .unzip();
        if kept.is_empty() {
            return Err(MeshFault::Empty);
        }
        let mut spent = std::time::Duration::ZERO;
        let index = build_cwbvh_from_tris(&kept, BvhBuildParams::medium_build(), &mut spent);
        let order = || index.primitive_indices.iter().map(|i| *i as usize);
        let bounds = kept.iter().map(Triangle::aabb).reduce(|a, b| a.union(&b)).unwrap_or_default();
        Ok(Self {
            triangles: order().map(|i| RtTriangle::from(&kept[i])).collect(),
            materials: order().map(|i| materials[i]).collect(),
            index,
            bounds,
        })
    }

    /// How many triangles it has, counting one for every place in the index.
    pub fn len(&self) -> usize {
        self.triangles.len()
    }

    /// Whether it has none; it never does.
    pub fn is_empty(&self) -> bool {
        self.triangles.is_empty()
    }

    pub(crate) fn bounds(&self) -> Aabb {
        self.bounds
    }

    /// The first triangle along a ray, with its distance.
    pub(crate) fn met(&self, ray: Ray) -> Option<(f32, usize)> {
        let mut hit = obvhs::ray::RayHit::none();
        self.index
            .ray_traverse(ray, &mut hit, |ray, i| self.triangles[i].intersect(ray))
            .then_some((hit.t, hit.primitive_id as usize))
    }

    /// Whether any triangle stands in a ray's way.
    pub(crate) fn stands(&self, ray: Ray) -> bool {
        !self.index.ray_traverse_miss(ray, |ray, i| self.triangles[i].intersect(ray))
    }

    /// Normal of a triangle, of any length.
    pub(crate) fn normal(&self, triangle: usize) -> Vec3A {
        -self.triangles[triangle].ng
    }

    pub(crate) fn material(&self, triangle: usize) -> u16 {
        self.materials[triangle]
    }

    /// Which of the triangles that were given one in the index is; the index may hold one twice.
    pub(crate) fn original(&self, triangle: usize) -> u32 {
        self.index.primitive_indices[triangle]
    }

    /// Every triangle that was given, once, with its material; in the order of the index.
    pub fn triangles(&self) -> impl Iterator<Item = ([Vec3A; 3], u16)> + use<'_> {
        let mut seen = std::collections::BTreeSet::new();
        self.all().filter_map(move |(corners, original, material)| {
            seen.insert(original).then_some((corners, material))
        })
    }

    /// Every place of the index: corners, which given triangle it is, material.
    pub(crate) fn all(&self) -> impl Iterator<Item = ([Vec3A; 3], u32, u16)> + use<'_> {
        self.triangles
            .iter()
            .zip(&self.materials)
            .zip(&self.index.primitive_indices)
            .map(|((t, material), original)| ([t.v0, t.v0 - t.e1, t.v0 + t.e2], *original, *material))
    }
}
