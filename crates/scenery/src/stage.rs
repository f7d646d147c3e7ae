//! The whole yard put together.

use std::collections::BTreeMap;
use std::sync::Arc;

use glam::{Affine3A, Quat, Vec3A};
use groundwright_geometry::{Point, Point3};
use groundwright_handoff::{Body, Role, Solid};
use groundwright_picture::{Colour, Instance, Mesh, MeshFault, SceneParts};
use groundwright_plan::{ElementRef, Kind, Project, TaxonId};
use groundwright_scene::day_of_year;
use groundwright_yard::Yard;
use rayon::prelude::*;

use crate::dice::Dice;
use crate::palette::Palette;
use crate::plant::{Grown, grow, of_taxon, unknown};
use crate::shape::Shape;
use crate::{built, ground, house};

/// When and from where the yard is looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// Month, 1 to 12.
    pub month: u8,
    /// Day of the month.
    pub day: u8,
    /// Where the eye stands; blades of the lawn are drawn about it. [m] None are without it.
    pub eye: Option<Point>,
    /// Share of the leaves that are drawn, each larger so that they cover as much; 1 for a picture.
    pub detail: f32,
    /// Luminance of lit windows with its layer; dark without. [cd/m²]
    pub windows: Option<(Colour, u16)>,
}

/// A yard ready for light.
pub struct Stage {
    /// Meshes, instances, materials and maps; lamps and sky are still to be added.
    pub parts: SceneParts,
    /// Plants that stand in it.
    pub plants: usize,
    /// Models that were grown for them.
    pub models: usize,
}

/// What cannot be put together.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum StageFault {
    /// A body that is no mesh.
    #[error("{what}: {fault}")]
    Mesh {
        /// Which body.
        what: String,
        /// Why.
        fault: MeshFault,
    },
}

/// With more models than this, each has fewer leaves.
const CROWDED: usize = 400;
/// Variants grown of each plant.
const VARIANTS: u64 = 3;

/// Which model a plant is: its material, sizes in millimetres, variant.
type Key = (String, [i64; 4], u64);

struct Standing {
    key: Key,
    foot: Point3,
    turn: f32,
    tint: Colour,
}

/// Puts a yard together.
///
/// # Arguments
/// - `solids`: bodies of all studies at the moment's date.
///
/// # Errors
/// [`StageFault`] for a body that cannot be drawn.
pub fn set(project: &Project, yard: &Yard, solids: &[Solid], moment: &Moment) -> Result<Stage, StageFault> {
    let mut palette = Palette::default();
    let mut parts = SceneParts::default();
    let map = ground::map(project, yard, &mut palette);
    let rough = palette.ground("rough grass");
    let covered = palette.number("ground by map", || groundwright_picture::Material::grey(0.2).mapped(0));
    debug_assert!(rough < covered, "materials are numbered in the order in which they are asked for");
    let mut fixed = ground::surface(yard, covered);
    house::buildings(solids, &mut palette, &mut fixed);
    house::openings(project, yard, moment.windows, &mut palette, &mut fixed);
    built::all(project, solids, &mut palette, &mut fixed);
    parts.meshes.push(mesh("ground and buildings", &fixed)?);
    parts.instances.push(Instance::as_is(0));

    let (standing, models) = plants(project, solids, moment, &mut palette);
    let detail = moment.detail * if models.len() > CROWDED { 0.25 } else { 1.0 };
    let grown: Vec<(&Key, Result<Arc<Mesh>, StageFault>)> = models
        .par_iter()
        .map(|(key, grown)| (key, mesh(&key.0, &grow(grown, (&key.0, key.2), most_leaves(grown, detail)))))
        .collect();
    let mut numbers = BTreeMap::new();
    for (key, model) in grown {
        numbers.insert(key, parts.meshes.len());
        parts.meshes.push(model?);
    }
    for plant in &standing {
        let foot = Vec3A::new(plant.foot.x as f32, plant.foot.y as f32, plant.foot.z as f32);
        let pose = Affine3A::from_rotation_translation(Quat::from_rotation_z(plant.turn), foot.into());
        parts.instances.push(Instance { mesh: numbers[&plant.key], pose, tint: plant.tint });
    }
    if let Some(eye) = moment.eye {
        let blades = ground::blades(yard, &map, &mut palette, eye, &mut parts.meshes);
        let blades = blades.map_err(|fault| StageFault::Mesh { what: "lawn".to_owned(), fault })?;
        parts.instances.extend(blades);
    }
    parts.maps.push(map);
    parts.materials = palette.materials;
    Ok(Stage { parts, plants: standing.len(), models: models.len() })
}

fn mesh(what: &str, shape: &Shape) -> Result<Arc<Mesh>, StageFault> {
    let made = Mesh::new(&shape.triangles);
    made.map(Arc::new).map_err(|fault| StageFault::Mesh { what: what.to_owned(), fault })
}

fn most_leaves(grown: &Grown, detail: f32) -> usize {
    let most = if grown.height > 8.0 {
        80_000u32
    } else if grown.height > 2.5 {
        26_000
    } else if grown.height > 0.8 {
        5_000
    } else {
        1_800
    };
    ((most as f32 * detail) as usize).max(60)
}

/// Plants with the models that they need.
fn plants(
    project: &Project,
    solids: &[Solid],
    moment: &Moment,
    palette: &mut Palette,
) -> (Vec<Standing>, BTreeMap<Key, Grown>) {
    let trunks: BTreeMap<&ElementRef, (Point3, f64)> = solids
        .iter()
        .filter(|solid| solid.role == Role::Grows)
        .filter_map(|solid| match &solid.body {
            Body::Cylinder { foot, radius, .. } => Some((&solid.subject, (*foot, *radius))),
            _ => None,
        })
        .collect();
    let day = day_of_year(moment.month, moment.day);
    let south = project.property.place.latitude.value < 0.0;
    let mut standing = Vec::new();
    let mut models: BTreeMap<Key, Grown> = BTreeMap::new();
    for solid in solids.iter().filter(|solid| solid.role == Role::Grows) {
        let Body::Crown { centre, radius, half_height, .. } = &solid.body else { continue };
        let low = centre.z - half_height;
        let trunk = trunks.get(&solid.subject).filter(|_| solid.subject.kind == Kind::Tree);
        let foot = trunk.map_or(low, |(foot, _)| foot.z);
        let (height, clear) = (centre.z + half_height - foot, trunk.map(|_| low - foot));
        let mut dice = Dice::of(&solid.subject.to_string(), u64::from(solid.ordinal));
        let variant = (dice.share() * VARIANTS as f32) as u64;
        let millimetres = |v: f64| (v * 1000.0).round() as i64;
        let sizes =
            [height, *radius, clear.unwrap_or(-1.0), trunk.map_or(-1.0, |(_, r)| *r)].map(millimetres);
        let key: Key = (solid.material.clone(), sizes, variant);
        if !models.contains_key(&key) {
            let thick = trunk.map(|(_, radius)| *radius);
            let taxon = project.stock.taxa.get(&TaxonId(solid.material.clone()));
            let grown = match taxon {
                Some(taxon) => {
                    let when = (moment.month, day, south);
                    of_taxon(taxon, palette, [height, *radius], clear, thick, when)
                }
                None => unknown(palette, [height, *radius], clear.unwrap_or(0.05 * height), thick),
            };
            models.insert(key.clone(), grown);
        }
        standing.push(Standing {
            key,
            foot: Point3::new(centre.x, centre.y, foot),
            turn: dice.between(0.0, std::f32::consts::TAU),
            tint: Vec3A::splat(dice.between(0.88, 1.12)),
        });
    }
    (standing, models)
}
