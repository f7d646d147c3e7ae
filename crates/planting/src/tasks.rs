//! Tasks of planting, with hours from the practice's rates.

use groundwright_handoff::{Link, Phase, Quantity, Season, Task, Trade};
use groundwright_plan::{ElementRef, Kind, PlantingRole};

use crate::study::PlantingStudy;
use crate::takeoff;

const LOCATE: &str =
    "Have buried services located and marked before digging; the local one-call centre decides.";
const LIFT: &str = "Heavy balls: use a hand truck or machine; two people above 25 kg.";

fn after(before: &str) -> Link {
    Link { before: before.to_owned(), lag_days: 0.0 }
}

/// All tasks of planting.
pub(crate) fn tasks(study: &PlantingStudy<'_>) -> Vec<Task> {
    let mut all = Vec::new();
    let quantities = takeoff::quantities(study);
    bulk(study, &quantities, &mut all);
    for planting in &study.project.design.plantings {
        let subject = ElementRef::new(Kind::Planting, &planting.id);
        let count = study.yard.plants_of(&planting.id).count();
        if count == 0 {
            continue;
        }
        let transplant = crate::findings::is_transplant(planting);
        let phase = takeoff::phase(planting);
        // Low edges and seasonal colour are set last, so that nobody mulches over them.
        let last = !transplant && (phase == Phase::Seasonal || planting.role == PlantingRole::Edge);
        let key = match (transplant, last) {
            (true, _) => format!("transplant/{}", planting.id),
            (_, true) => format!("after-mulch/{}", planting.id),
            _ => format!("planting/{}", planting.id),
        };
        let verb = if transplant { "Dig and reset" } else { "Plant" };
        let first = if last { after("mulch/") } else { after("soil/") };
        let consumes = quantities.iter().filter(|q| q.subject == subject).map(|q| q.item.clone()).collect();
        all.push(Task {
            key,
            title: format!("{verb} {count} for {}", planting.id),
            trade: Trade::Crew,
            labour_hours: hours(study, planting, transplant),
            after: vec![after("clear/"), after("wall-fill/"), after("steps/"), first],
            season: Some(season(study, transplant)),
            hold_point: (!transplant).then(|| "pots set out and looked at before digging".to_owned()),
            consumes,
            cautions: vec![LOCATE.to_owned(), LIFT.to_owned()],
            subject,
        });
    }
    all
}

/// Months in which plants are set, autumn to spring; the south's autumn is half a year away.
/// Common practice, no source.
fn season(study: &PlantingStudy<'_>, transplant: bool) -> Season {
    let (first, last) = if transplant { (10, 3) } else { (9, 4) };
    let south = study.project.property.place.latitude.value < 0.0;
    let turned = |month: u8| if south { (month + 5) % 12 + 1 } else { month };
    Season { first: turned(first), last: turned(last) }
}

/// Hours to set the plants of a planting. [h]
fn hours(study: &PlantingStudy<'_>, planting: &groundwright_plan::Planting, transplant: bool) -> f64 {
    let practice = &study.project.practice;
    if transplant {
        let moving = &study.yard.transplanting;
        let mine = moving.moves.iter().filter(|m| m.planting == planting.id);
        return mine.map(|m| practice.transplant_hours * moving.dug[m.dug].spread.max(0.2)).sum();
    }
    let hours = |plant: &groundwright_yard::Plant| {
        let litres = study
            .container(plant)
            .and_then(groundwright_plan::stock::Container::usual_volume)
            .map_or(3.0, |volume| volume * 1000.0);
        practice.plant_hours * litres.powf(0.6)
    };
    study.yard.plants_of(&planting.id).map(hours).sum()
}

/// Soil, turf and mulch, a task for each bed or lawn.
fn bulk(study: &PlantingStudy<'_>, quantities: &[Quantity], all: &mut Vec<Task>) {
    let practice = &study.project.practice;
    for quantity in quantities {
        let (prefix, verb, first) = match quantity.phase {
            Phase::Soil => ("soil", "Spread and work in", &["clear/"][..]),
            Phase::Mulching => ("mulch", "Spread", &["planting/", "transplant/"][..]),
            Phase::Turf => ("turf", "Lay", &["soil/"][..]),
            _ => continue,
        };
        let hours = match (quantity.phase, quantity.amount.dimension) {
            (Phase::Turf, groundwright_handoff::Dimension::Area) => {
                quantity.amount.value * practice.sod_hours
            }
            (_, groundwright_handoff::Dimension::Volume) => quantity.amount.value * practice.spread_hours,
            // Spreading by hand what is weighed takes a quarter of an hour to the bag of 20 kg.
            _ => quantity.amount.value / 80.0,
        };
        all.push(Task {
            key: format!("{prefix}/{}/{}", quantity.subject.id, quantity.item),
            title: format!("{verb} {} on {}", quantity.description, quantity.subject.id),
            trade: Trade::Crew,
            labour_hours: hours,
            after: first.iter().map(|before| after(before)).collect(),
            season: None,
            hold_point: None,
            consumes: vec![quantity.item.clone()],
            cautions: if quantity.phase == Phase::Soil { vec![LOCATE.to_owned()] } else { Vec::new() },
            subject: quantity.subject.clone(),
        });
    }
}
