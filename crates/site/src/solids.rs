//! Bodies of what is there: buildings, paving, kept plants, buried things, root zones.
//!
//! - In: the study and a date. Out: bodies; plants that go or are moved have none.
//! - A roof that its outline does not bear is left out, and a finding says so. Kept plants keep their size: how fast
//!   something found grows on is not known.
//! - Forms and sizes named as constants here are common practice, no source.

use groundwright_geometry::{Point, Point3};
use groundwright_handoff::{Body, CrownForm, Role, Solid, When};
use groundwright_plan::{Action, Building, BuriedKind, ElementRef, Kind, Roof as RoofWord, SurfaceKind};
use groundwright_scene::{
    LeafSeason, Roof, RoofFault, RoofForm, day_of_year, form_of, roof_faces, transmittance,
};

use crate::found::Found;
use crate::study::SiteStudy;

/// Height of a tree's lowest branches over its height.
const CLEAR_TRUNK: f64 = 0.25;
/// Depth in which most roots of a tree lie: 2 ft. [m]
const ROOT_DEPTH: f64 = 0.6096;
/// Thickness of paving. [m]
const PAVING: f64 = 0.1;
/// Height of a deck's boards above grade, where nobody took it. [m]
const DECK: f64 = 0.35;
/// Flattening of lines. [m]
const FINE: f64 = 0.01;

/// All bodies of the site at a date.
pub(crate) fn solids(study: &SiteStudy<'_>, when: When) -> Vec<Solid> {
    let mut all = Vec::new();
    buildings(study, &mut all);
    surfaces(study, &mut all);
    trees(study, when, &mut all);
    shrubs(study, when, &mut all);
    buried(study, &mut all);
    roots(study, &mut all);
    all
}

fn at_height(study: &SiteStudy<'_>, at: Point, above: f64) -> Point3 {
    Point3::new(at.x, at.y, study.yard.ground.existing(at) + above)
}

fn solid(subject: &ElementRef, ordinal: usize, role: Role, body: Body, material: impl Into<String>) -> Solid {
    let subject = subject.clone();
    Solid { subject, ordinal: ordinal as u32, role, body, material: material.into(), transmittance: 0.0 }
}

fn buildings(study: &SiteStudy<'_>, all: &mut Vec<Solid>) {
    for building in &study.project.property.buildings {
        let element = ElementRef::new(Kind::Building, &building.id);
        let Some(area) = study.yard.plot.area(&element) else { continue };
        for (i, ring) in area.whole.outlines().into_iter().enumerate() {
            let outline = ring.into_iter().map(|at| at_height(study, at, 0.0)).collect();
            let body = Body::Prism { outline, height: building.eave.value };
            all.push(solid(&element, i, Role::Stands, body, &building.siding.value));
        }
        let walls = area.whole.outlines().len();
        for (i, roof) in roofs(study, building).into_iter().enumerate() {
            if let Ok(faces) = roof {
                let body = Body::Faces { faces };
                all.push(solid(&element, walls + i, Role::Stands, body, "roof"));
            }
        }
    }
}

/// The roof over each part of a building, or why there is none.
pub(crate) fn roofs(study: &SiteStudy<'_>, building: &Building) -> Vec<Result<Vec<Vec<Point3>>, RoofFault>> {
    let element = ElementRef::new(Kind::Building, &building.id);
    let Some(area) = study.yard.plot.area(&element) else { return Vec::new() };
    let form = match building.roof.value {
        RoofWord::Gable => RoofForm::Gable,
        RoofWord::Hip => RoofForm::Hip,
        RoofWord::Shed => RoofForm::Shed,
        RoofWord::Flat => RoofForm::Flat,
    };
    let parts = area.whole.outlines().into_iter();
    parts
        .map(|ring| {
            // The walls stand on the lowest ground; their top is level.
            let foot = ring.iter().map(|at| study.yard.ground.existing(*at)).fold(f64::INFINITY, f64::min);
            let roof = Roof {
                form,
                eave: foot + building.eave.value,
                slope: building.pitch.value,
                overhang: building.overhang.value,
            };
            roof_faces(&ring, &roof)
        })
        .collect()
}

fn surfaces(study: &SiteStudy<'_>, all: &mut Vec<Solid>) {
    for surface in &study.project.property.surfaces {
        let element = ElementRef::new(Kind::Surface, &surface.id);
        let Some(area) = study.yard.plot.area(&element) else { continue };
        let top = if surface.kind == SurfaceKind::Deck { DECK } else { 0.0 };
        for (i, ring) in area.whole.outlines().into_iter().enumerate() {
            let outline = ring.into_iter().map(|at| at_height(study, at, top - PAVING)).collect();
            let body = Body::Prism { outline, height: PAVING };
            all.push(solid(&element, i, Role::Ground, body, &surface.material.value));
        }
    }
}

/// The form of a found plant's crown, and the light through it at a date; nothing where the plant
/// has died down.
fn crown_of(study: &SiteStudy<'_>, plant: &Found<'_>, when: When) -> Option<(CrownForm, f64)> {
    let south = study.project.property.place.latitude.value < 0.0;
    let in_leaf = LeafSeason::TEMPERATE.in_leaf(day_of_year(when.month, when.day), south);
    let share = transmittance(plant.taxon.and_then(|taxon| taxon.foliage), in_leaf)?;
    Some((form_of(plant.taxon.and_then(|taxon| taxon.habit)), share))
}

fn material(plant: &Found<'_>) -> String {
    plant.taxon.map_or_else(|| plant.botanical.to_owned(), |taxon| taxon.id.to_string())
}

fn kept<'s, 'p>(study: &'s SiteStudy<'p>, kind: Kind) -> impl Iterator<Item = &'s Found<'p>> {
    study.found.iter().filter(move |plant| plant.element.kind == kind && plant.action == Action::Keep)
}

fn trees(study: &SiteStudy<'_>, when: When, all: &mut Vec<Solid>) {
    for plant in kept(study, Kind::Tree) {
        let tree = study.project.property.trees.iter().find(|tree| tree.id == plant.element.id);
        let (Some(tree), Some(at)) = (tree, plant.places.first()) else { continue };
        let clear = CLEAR_TRUNK * tree.height.value;
        let half_height = (tree.height.value - clear) / 2.0;
        let trunk = Body::Cylinder {
            foot: at_height(study, *at, 0.0),
            radius: tree.diameter.value / 2.0,
            // The trunk runs up into the crown.
            height: clear + half_height,
        };
        all.push(solid(&plant.element, 0, Role::Grows, trunk, "trunk"));
        let Some((form, share)) = crown_of(study, plant, when) else { continue };
        let crown = Body::Crown {
            form,
            centre: at_height(study, *at, clear + half_height),
            radius: tree.crown.value / 2.0,
            half_height,
        };
        let crown = solid(&plant.element, 1, Role::Grows, crown, material(plant));
        all.push(Solid { transmittance: share, ..crown });
    }
}

fn shrubs(study: &SiteStudy<'_>, when: When, all: &mut Vec<Solid>) {
    for plant in kept(study, Kind::Shrub) {
        let Some(shrub) = study.project.property.shrubs.iter().find(|s| s.id == plant.element.id) else {
            continue;
        };
        let Some((form, share)) = crown_of(study, plant, when) else { continue };
        let half_height = shrub.height.value / 2.0;
        for (i, at) in plant.places.iter().enumerate() {
            let centre = at_height(study, *at, half_height);
            let body = Body::Crown { form, centre, radius: shrub.spread.value / 2.0, half_height };
            let crown = solid(&plant.element, i, Role::Grows, body, material(plant));
            all.push(Solid { transmittance: share, ..crown });
        }
    }
}

/// Nominal width of a buried thing; nobody measured it. [m]
fn width(kind: BuriedKind) -> f64 {
    match kind {
        BuriedKind::Septic => 1.5,
        BuriedKind::Sewer | BuriedKind::Drain | BuriedKind::DownspoutPipe => 0.10,
        BuriedKind::IrrigationValve => 0.30,
        BuriedKind::IrrigationHead => 0.06,
        BuriedKind::Gas | BuriedKind::Water | BuriedKind::Power => 0.05,
        BuriedKind::IrrigationPipe | BuriedKind::Telecom => 0.03,
        BuriedKind::GardenCable => 0.02,
    }
}

fn buried(study: &SiteStudy<'_>, all: &mut Vec<Solid>) {
    let plot = &study.yard.plot;
    for thing in &study.project.property.buried {
        let element = ElementRef::new(Kind::Buried, &thing.id);
        let width = width(thing.kind);
        let foot = -(thing.depth.value + width);
        let material = thing.kind.to_string();
        let mut ordinal = 0;
        if let Some(route) = plot.buried_lines.iter().find(|route| route.element == element) {
            let line = route.line.flatten(FINE).into_iter().map(|at| at_height(study, at, foot)).collect();
            all.push(solid(
                &element,
                ordinal,
                Role::Buried,
                Body::Ribbon { line, width, height: width },
                &material,
            ));
            ordinal += 1;
        }
        for spot in plot.buried_spots.iter().filter(|spot| spot.element == element) {
            let body =
                Body::Cylinder { foot: at_height(study, spot.at, foot), radius: width / 2.0, height: width };
            all.push(solid(&element, ordinal, Role::Buried, body, &material));
            ordinal += 1;
        }
    }
}

/// Root zones of kept trees, as wide as their protection circles.
fn roots(study: &SiteStudy<'_>, all: &mut Vec<Solid>) {
    for circle in &study.protections {
        let foot = at_height(study, circle.at, -ROOT_DEPTH);
        let body = Body::Cylinder { foot, radius: circle.radius, height: ROOT_DEPTH };
        // Trunk and crown of the same tree come before it.
        all.push(solid(&circle.element, 2, Role::Buried, body, "root zone"));
    }
}
