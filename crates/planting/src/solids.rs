//! Bodies of planting: crowns at an age, boxes.

use groundwright_geometry::Point3;
use groundwright_handoff::{Body, Role, Solid, When};
use groundwright_scene::{LeafSeason, day_of_year, form_of, transmittance};

use crate::findings::is_set;
use crate::study::PlantingStudy;

/// All bodies of planting at a date and an age.
pub(crate) fn solids(study: &PlantingStudy<'_>, when: When) -> Vec<Solid> {
    let mut all = Vec::new();
    let south = study.project.property.place.latitude.value < 0.0;
    let in_leaf = LeafSeason::TEMPERATE.in_leaf(day_of_year(when.month, when.day), south);
    for plant in study.yard.plants.iter().filter(|plant| is_set(plant)) {
        let Some(taxon) = study.taxon(plant) else { continue };
        let Some((height, spread)) = study.size_at(plant, taxon, when.age()) else { continue };
        let Some(share) = transmittance(taxon.foliage, in_leaf) else { continue };
        all.push(Solid {
            subject: plant.key.instruction.clone(),
            ordinal: plant.key.ordinal,
            role: Role::Grows,
            body: Body::Crown {
                form: form_of(taxon.habit),
                centre: Point3::new(plant.at.x, plant.at.y, plant.at.z + height / 2.0),
                radius: spread / 2.0,
                half_height: height / 2.0,
            },
            material: taxon.id.to_string(),
            transmittance: share,
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
