//! Everything that light meets, with the index that rays run through.

use std::collections::BTreeMap;
use std::sync::Arc;

use glam::{Affine3A, Vec3A};
use obvhs::Boundable;
use obvhs::BvhBuildParams;
use obvhs::aabb::Aabb;
use obvhs::cwbvh::CwBvh;
use obvhs::cwbvh::builder::build_cwbvh;
use obvhs::ray::{Ray, RayHit};

use crate::colour::{Colour, luminance};
use crate::guide::Guide;
use crate::lamp::Lamp;
use crate::material::{Material, MaterialMap, Surface};
use crate::mesh::Mesh;
use crate::round::Round;
use crate::sky::Heaven;

/// A mesh in its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Instance {
    /// Which mesh.
    pub mesh: usize,
    /// From the mesh to the scene; must be invertible.
    pub pose: Affine3A,
    /// Factor on its reflectances, 1 for none.
    pub tint: Colour,
}

impl Instance {
    /// A mesh as it is.
    pub fn as_is(mesh: usize) -> Self {
        Self { mesh, pose: Affine3A::IDENTITY, tint: Vec3A::ONE }
    }
}

/// What a scene is made of.
#[derive(Default)]
pub struct SceneParts {
    /// Meshes.
    pub meshes: Vec<Arc<Mesh>>,
    /// Meshes in their places.
    pub instances: Vec<Instance>,
    /// Round bodies with their material.
    pub rounds: Vec<(Round, u16)>,
    /// Materials.
    pub materials: Vec<Material>,
    /// Maps of materials.
    pub maps: Vec<MaterialMap>,
    /// Point lamps.
    pub lamps: Vec<Lamp>,
    /// Sky and sun.
    pub heaven: Heaven,
}

/// Why parts are no scene.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SceneFault {
    /// Something names what is not there.
    #[error("{what} {index} names {names}, which is not there")]
    Missing {
        /// What names it.
        what: &'static str,
        /// Which.
        index: usize,
        /// What it names.
        names: String,
    },
    /// Something that cannot be.
    #[error("{what} {index}: {problem}")]
    Bad {
        /// What.
        what: &'static str,
        /// Which.
        index: usize,
        /// What is wrong.
        problem: String,
    },
}

/// A face that gives off light.
pub(crate) struct LitFace {
    pub(crate) corner: Vec3A,
    pub(crate) edges: [Vec3A; 2],
    pub(crate) normal: Vec3A,
    pub(crate) area: f32,
    pub(crate) emitted: Colour,
    pub(crate) layer: u16,
}

/// A place of a surface that a ray meets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hit {
    /// Distance. [m]
    pub distance: f32,
    /// Where. [m]
    pub at: Vec3A,
    /// Normal of the face, towards where the ray comes from, of length 1.
    pub normal: Vec3A,
    /// Number of the material.
    pub material: u16,
    /// Tint of the instance.
    pub tint: Colour,
    /// The lit face, if it is one.
    pub(crate) lit: Option<u32>,
}

/// A scene.
pub struct Scene {
    parts: SceneParts,
    inverse: Vec<Affine3A>,
    index: Option<CwBvh>,
    lit: Vec<LitFace>,
    /// Lit faces by instance and given triangle.
    lit_at: BTreeMap<(u32, u32), u32>,
    layers: usize,
    glows: bool,
    guide: Guide,
}

struct Boxed(Aabb);

impl Boundable for Boxed {
    fn aabb(&self) -> Aabb {
        self.0
    }
}

enum Met {
    Triangle(usize, usize),
    Round(usize),
}

impl Scene {
    /// Builds the index.
    ///
    /// # Errors
    /// [`SceneFault`].
    pub fn new(parts: SceneParts) -> Result<Self, SceneFault> {
        check(&parts)?;
        let inverse: Vec<Affine3A> = parts.instances.iter().map(|i| i.pose.inverse()).collect();
        let boxes: Vec<Boxed> = parts
            .instances
            .iter()
            .map(|instance| Boxed(moved(parts.meshes[instance.mesh].bounds(), &instance.pose)))
            .chain(parts.rounds.iter().map(|(round, _)| Boxed(round.bounds())))
            .collect();
        let mut spent = std::time::Duration::ZERO;
        let index =
            (!boxes.is_empty()).then(|| build_cwbvh(&boxes, BvhBuildParams::medium_build(), &mut spent));
        let (lit, lit_at) = lit_faces(&parts);
        let heaven = parts.heaven;
        let layers = parts
            .lamps
            .iter()
            .map(|lamp| lamp.layer)
            .chain(parts.materials.iter().filter(|m| m.emitted != Vec3A::ZERO).map(|m| m.layer))
            .chain(heaven.sky.map(|(_, layer)| layer))
            .chain(heaven.sun.map(|sun| sun.layer))
            .max()
            .map_or(1, |layer| usize::from(layer) + 1);
        let glows = parts.materials.iter().any(|m| m.emitted != Vec3A::ZERO);
        let mut scene = Self { parts, inverse, index, lit, lit_at, layers, glows, guide: Guide::default() };
        scene.guide = Guide::of(&scene);
        Ok(scene)
    }

    /// How many layers its sources are credited to.
    pub fn layers(&self) -> usize {
        self.layers
    }

    /// Point lamps.
    pub fn lamps(&self) -> &[Lamp] {
        &self.parts.lamps
    }

    /// Sky and sun.
    pub fn heaven(&self) -> &Heaven {
        &self.parts.heaven
    }

    /// How many triangles it holds, and how many it shows with every instance counted.
    pub fn triangles(&self) -> (usize, usize) {
        let held = self.parts.meshes.iter().map(|mesh| mesh.len()).sum();
        let shown = self.parts.instances.iter().map(|i| self.parts.meshes[i.mesh].len()).sum();
        (held, shown)
    }

    pub(crate) fn guide(&self) -> &Guide {
        &self.guide
    }

    /// Whether anything gives off light that is met by chance alone, such as a round body.
    pub(crate) fn any_lit(&self) -> bool {
        self.glows
    }

    pub(crate) fn lit(&self) -> &[LitFace] {
        &self.lit
    }

    pub(crate) fn material(&self, hit: &Hit) -> &Material {
        &self.parts.materials[usize::from(hit.material)]
    }

    pub(crate) fn surface(&self, hit: &Hit) -> Surface {
        self.material(hit).at(hit.at, hit.normal, hit.tint)
    }

    /// The first surface along a ray. [m] The direction has length 1.
    pub fn hit(&self, origin: Vec3A, direction: Vec3A) -> Option<Hit> {
        let index = self.index.as_ref()?;
        let instances = self.parts.instances.len();
        let mut best: Option<Met> = None;
        let mut found = RayHit::none();
        let ray = Ray::new_inf(origin, direction);
        index.ray_traverse(ray, &mut found, |ray, slot| {
            let body = index.primitive_indices[slot] as usize;
            if body < instances {
                return match self.mesh_of(body).met(self.local(ray, body)) {
                    Some((t, triangle)) if t < ray.tmax => {
                        best = Some(Met::Triangle(body, triangle));
                        t
                    }
                    _ => f32::INFINITY,
                };
            }
            let round = &self.parts.rounds[body - instances].0;
            let (o, d) = (ray.origin.as_dvec3(), ray.direction.as_dvec3());
            match round.met(o, d, f64::from(ray.tmin), f64::from(ray.tmax)) {
                Some(t) if (t as f32) < ray.tmax => {
                    best = Some(Met::Round(body - instances));
                    t as f32
                }
                _ => f32::INFINITY,
            }
        });
        let at = origin + direction * found.t;
        let (normal, material, tint, lit) = match best? {
            Met::Triangle(body, triangle) => {
                let mesh = self.mesh_of(body);
                // Normals go with the transpose of the inverse.
                let turn = self.inverse[body].matrix3.transpose();
                let normal = (turn * mesh.normal(triangle)).normalize_or_zero();
                let lit = if self.lit_at.is_empty() {
                    None
                } else {
                    self.lit_at.get(&(body as u32, mesh.original(triangle))).copied()
                };
                (normal, mesh.material(triangle), self.parts.instances[body].tint, lit)
            }
            Met::Round(i) => {
                let (round, material) = &self.parts.rounds[i];
                (round.normal(at), *material, Vec3A::ONE, None)
            }
        };
        let material = match self.parts.materials[usize::from(material)].map {
            Some(map) => self.parts.maps[usize::from(map)].at(at.x, at.y),
            None => material,
        };
        let normal = if normal.dot(direction) > 0.0 { -normal } else { normal };
        Some(Hit { distance: found.t, at, normal, material, tint, lit })
    }

    /// Whether nothing stands between a place, and another at a distance along a direction. [m]
    pub fn clear(&self, origin: Vec3A, direction: Vec3A, distance: f32) -> bool {
        let Some(index) = &self.index else { return true };
        if distance <= 0.0 {
            return true;
        }
        let instances = self.parts.instances.len();
        index.ray_traverse_miss(Ray::new(origin, direction, 0.0, distance), |ray, slot| {
            let body = index.primitive_indices[slot] as usize;
            let stands = if body < instances {
                self.mesh_of(body).stands(self.local(ray, body))
            } else {
                let round = &self.parts.rounds[body - instances].0;
                round.met(ray.origin.as_dvec3(), ray.direction.as_dvec3(), 0.0, f64::from(ray.tmax)).is_some()
            };
            if stands { 0.0 } else { f32::INFINITY }
        })
    }

    fn mesh_of(&self, instance: usize) -> &Mesh {
        &self.parts.meshes[self.parts.instances[instance].mesh]
    }

    /// The ray as the instance's mesh sees it: lengths along it stay the scene's.
    fn local(&self, ray: &Ray, instance: usize) -> Ray {
        let inverse = &self.inverse[instance];
        Ray::new(
            inverse.transform_point3a(ray.origin),
            inverse.transform_vector3a(ray.direction),
            ray.tmin,
            ray.tmax,
        )
    }
}

fn check(parts: &SceneParts) -> Result<(), SceneFault> {
    let materials = parts.materials.len();
    let missing = |what, index, names| Err(SceneFault::Missing { what, index, names });
    for (index, material) in parts.materials.iter().enumerate() {
        if let Some(problem) = material.fault() {
            return Err(SceneFault::Bad { what: "material", index, problem });
        }
        if let Some(map) = material.map.filter(|map| usize::from(*map) >= parts.maps.len()) {
            return missing("material", index, format!("map {map}"));
        }
    }
    for (index, map) in parts.maps.iter().enumerate() {
        if let Some(problem) = map.fault(materials) {
            return Err(SceneFault::Bad { what: "map", index, problem });
        }
    }
    for (index, instance) in parts.instances.iter().enumerate() {
        if instance.mesh >= parts.meshes.len() {
            return missing("instance", index, format!("mesh {}", instance.mesh));
        }
        if !(instance.pose.is_finite() && instance.pose.matrix3.determinant().abs() > 1e-12) {
            let problem = "its pose cannot be turned back; expected a finite one with volume".into();
            return Err(SceneFault::Bad { what: "instance", index, problem });
        }
    }
    for (index, mesh) in parts.meshes.iter().enumerate() {
        if let Some((_, _, material)) = mesh.all().find(|(_, _, m)| usize::from(*m) >= materials) {
            return missing("mesh", index, format!("material {material}"));
        }
    }
    for (index, (round, material)) in parts.rounds.iter().enumerate() {
        if usize::from(*material) >= materials {
            return missing("round body", index, format!("material {material}"));
        }
        if let Some(problem) = round.fault() {
            return Err(SceneFault::Bad { what: "round body", index, problem });
        }
    }
    Ok(())
}

fn lit_faces(parts: &SceneParts) -> (Vec<LitFace>, BTreeMap<(u32, u32), u32>) {
    let mut faces: Vec<LitFace> = Vec::new();
    let mut at = BTreeMap::new();
    let shines = |material: u16| luminance(parts.materials[usize::from(material)].emitted) > 0.0;
    for (i, instance) in parts.instances.iter().enumerate() {
        for (corners, original, number) in parts.meshes[instance.mesh].all().filter(|(_, _, m)| shines(*m)) {
            if at.contains_key(&(i as u32, original)) {
                continue;
            }
            let [a, b, c] = corners.map(|corner| instance.pose.transform_point3a(corner));
            let across = (b - a).cross(c - a);
            let material = &parts.materials[usize::from(number)];
            at.insert((i as u32, original), faces.len() as u32);
            faces.push(LitFace {
                corner: a,
                edges: [b - a, c - a],
                normal: across.normalize_or_zero(),
                area: across.length() * 0.5,
                emitted: material.emitted,
                layer: material.layer,
            });
        }
    }
    (faces, at)
}

fn moved(bounds: Aabb, pose: &Affine3A) -> Aabb {
    let corner = |i: u32| {
        let pick = |bit: u32, low: f32, high: f32| if i >> bit & 1 == 0 { low } else { high };
        let (low, high) = (bounds.min, bounds.max);
        pose.transform_point3a(Vec3A::new(
            pick(0, low.x, high.x),
            pick(1, low.y, high.y),
            pick(2, low.z, high.z),
        ))
    };
    let margin = Vec3A::splat(1e-4);
    let around = Aabb::from_points(&std::array::from_fn::<Vec3A, 8, _>(|i| corner(i as u32)));
    Aabb::new(around.min - margin, around.max + margin)
}
