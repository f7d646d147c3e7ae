//! Bodies of the site: buildings, kept plants, root zones, buried lines.

use groundwright_geometry::{Point, Point3};
use groundwright_handoff::{Body, Role, Solid, When};
use groundwright_plan::{Action, Kind};

use crate::study::SiteStudy;

/// Share of direct light through the crown of a kept plant. Common practice, no source.
const CROWN: f64 = 0.15;

/// Depth in which most roots of trees live. [m] Common practice, no source.
const ROOT_DEPTH: f64 = 0.6;

/// Flattening of drawn lines. [m]
const FINE: f64 = 0.01;

/// All bodies of the site; kept plants do not grow here.
pub(crate) fn solids(study: &SiteStudy<'_>, _when: When) -> Vec<Solid> {
    let ground = study.yard.ground;
    let lift = |at: Point, z: f64| Point3::new(at.x, at.y, ground.existing(at) + z);
    let mut all = Vec::new();
    for area in &study.yard.plot.buildings {
        let building = study.project.property.buildings.iter().find(|b| b.id == area.element.id);
        let Some(outline) = area.whole.outlines().into_iter().next() else { continue };
        all.push(Solid {
            subject: area.element.clone(),
            ordinal: 0,
            role: Role::Stands,
            body: Body::Prism {
                outline: outline.into_iter().map(|at| lift(at, 0.0)).collect(),
                height: building.map_or(3.0, |b| b.eave.value),
            },
            material: building.map_or_else(String::new, |b| b.siding.value.clone()),
            transmittance: 0.0,
        });
    }
    for ring in &study.rings {
        let tree = ring.tree;
        let clear = 0.3 * tree.height.value;
        let mut push = |ordinal, role, body, transmittance| {
            let material = tree.taxon.as_ref().map_or_else(|| tree.name.clone(), ToString::to_string);
            all.push(Solid { subject: ring.element.clone(), ordinal, role, body, material, transmittance });
        };
        let half_height = (tree.height.value - clear) / 2.0;
        push(
            0,
            Role::Grows,
            Body::Crown { centre: lift(ring.at, clear + half_height), radius: tree.crown.value / 2.0, half_height },
            CROWN,
        );
        let foot = lift(ring.at, 0.0);
        push(1, Role::Grows, Body::Cylinder { foot, radius: tree.diameter.value / 2.0, height: clear }, 0.0);
        let foot = lift(ring.at, -ROOT_DEPTH);
        push(2, Role::Buried, Body::Cylinder { foot, radius: ring.radius, height: ROOT_DEPTH }, 0.0);
    }
    for spot in &study.yard.plot.shrubs {
        let Some(shrub) = study.project.property.shrubs.iter().find(|s| s.id == spot.element.id) else { continue };
        if shrub.action != Action::Keep {
            continue;
        }
        all.push(Solid {
            subject: spot.element.clone(),
            ordinal: spot.ordinal,
            role: Role::Grows,
            body: Body::Crown {
                centre: lift(spot.at, shrub.height.value / 2.0),
                radius: shrub.spread.value / 2.0,
                half_height: shrub.height.value / 2.0,
            },
            material: shrub.taxon.as_ref().map_or_else(|| shrub.name.clone(), ToString::to_string),
            transmittance: CROWN,
        });
    }
    for route in &study.yard.plot.buried_lines {
        debug_assert_eq!(route.element.kind, Kind::Buried);
        let Some(buried) = study.project.property.buried.iter().find(|b| b.id == route.element.id) else { continue };
        all.push(Solid {
            subject: route.element.clone(),
            ordinal: 0,
            role: Role::Buried,
            body: Body::Ribbon {
                line: route.line.flatten(FINE).into_iter().map(|at| lift(at, -buried.depth.value)).collect(),
                width: 0.05,
                height: 0.05,
            },
            material: buried.kind.to_string(),
            transmittance: 0.0,
        });
    }
    all
}
