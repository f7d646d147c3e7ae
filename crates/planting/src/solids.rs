//! Bodies of planting: crowns at an age, boxes.

use groundwright_geometry::Point3;
use groundwright_handoff::{Body, Role, Solid, When};
use groundwright_plan::stock::Foliage;

use crate::findings::is_set;
use crate::study::PlantingStudy;

/// Share of direct light through a crown in leaf; a default until the sun study has its own.
/// Common practice, no source.
const IN_LEAF: f64 = 0.15;

/// Share of direct light through a bare crown. Common practice, no source.
const BARE: f64 = 0.6;

/// All bodies of planting at a date and an age.
pub(crate) fn solids(study: &PlantingStudy<'_>, when: When) -> Vec<Solid> {
    let mut all = Vec::new();
    // The south is bare when the north is in leaf.
    let south = study.project.property.place.latitude.value < 0.0;
    let month = if south { (when.month + 5) % 12 + 1 } else { when.month };
    for plant in study.yard.plants.iter().filter(|plant| is_set(plant)) {
        let Some(taxon) = study.taxon(plant) else { continue };
        let (Ok(spread), Ok(height)) = (
            study.spread_curve(plant, taxon).spread(when.age()),
            study.height_curve(plant, taxon).spread(when.age()),
        ) else {
            continue;
        };
        let bare = matches!(taxon.foliage, Some(Foliage::Deciduous | Foliage::Herbaceous))
            && !(4..=10).contains(&month);
        all.push(Solid {
            subject: plant.key.instruction.clone(),
            ordinal: plant.key.ordinal,
            role: Role::Grows,
            body: Body::Crown {
                centre: Point3::new(plant.at.x, plant.at.y, plant.at.z + height / 2.0),
                radius: spread / 2.0,
                half_height: height / 2.0,
            },
            material: taxon.id.to_string(),
            transmittance: if bare { BARE } else { IN_LEAF },
        });
    }
    for planter in &study.project.design.boxes {
        let element = groundwright_plan::ElementRef::new(groundwright_plan::Kind::PlanterBox, &planter.id);
        let Some(area) = study.yard.plot.area(&element) else { continue };
        let outline = area
            .whole
            .grow(planter.wall.value)
            .outlines()
            .into_iter()
            .next()
            .unwrap_or_default()
            .into_iter()
            .map(|at| Point3::new(at.x, at.y, study.yard.ground.proposed(at)))
            .collect();
        all.push(Solid {
            subject: element,
            ordinal: 0,
            role: Role::Stands,
            body: Body::Prism { outline, height: planter.height.value },
            material: "planter box".to_owned(),
            transmittance: 0.0,
        });
    }
    all
}
