//! Findings of plants that stand too near something that is not theirs: another planting, a kept
//! trunk, a meter; or that stand elsewhere than the instruction says.
//!
//! - In: the study. Out: findings, one for each planting and cause.
//! - Rows and masses keep clear of these by themselves; single plants and groups stand where the
//!   designer says, and are told.

use std::collections::BTreeMap;

use groundwright_geometry::{Point, PointIndex};
use groundwright_handoff::{Datum, Finding, Rule, Severity, Source};
use groundwright_plan::{Action, ElementRef, Kind, Layout};
use groundwright_yard::{Origin, Plant, Resolver, Taken};

use crate::study::PlantingStudy;

static ON_ANOTHER: Rule = Rule {
    id: "planting.on-another",
    title: "Plants on top of another planting's",
    sentence: "{subject}: {count} {plant stands|plants stand} nearer than {limit} to {other}, the nearest at {least}.",
    source: Source::CommonPractice,
};
static ON_KEPT: Rule = Rule {
    id: "planting.on-kept",
    title: "Plants in the room of something that stays",
    sentence: "{subject}: {count} {plant stands|plants stand} within {limit} of {other}, the nearest at {least}.",
    source: Source::Practice,
};
static NOT_IN_PLACE: Rule = Rule {
    id: "planting.not-in-place",
    title: "Plants outside the bed they belong to",
    sentence: "{subject}: {count} {plant stands|plants stand} outside {other}, which the instruction names.",
    source: Source::Practice,
};
static SHIFTED: Rule = Rule {
    id: "planting.shifted",
    title: "Groups shifted into their bed",
    sentence: "{subject} is set {least} from where the instruction puts it, to stand inside {other}.",
    source: Source::Practice,
};

/// Two plants of different plantings nearer than this share of the closer spacing stand on one
/// another. Common practice, no source.
const ON_ONE_ANOTHER: f64 = 0.35;

/// All findings of nearness.
pub(crate) fn findings(study: &PlantingStudy<'_>) -> Vec<Finding> {
    let mut all = others(study);
    all.extend(kept(study));
    all.extend(elsewhere(study));
    all
}

fn at(plant: &Plant) -> Point {
    Point::new(plant.at.x, plant.at.y)
}

/// The nearest offence of each pair of plantings, and how many there are.
#[derive(Clone, Copy)]
struct Worst {
    count: usize,
    least: f64,
    limit: f64,
    at: Point,
}

fn note(worst: &mut BTreeMap<(ElementRef, ElementRef), Worst>, key: (ElementRef, ElementRef), new: Worst) {
    let entry = worst.entry(key).or_insert(Worst { count: 0, ..new });
    entry.count += 1;
    if new.least < entry.least {
        *entry = Worst { count: entry.count, ..new };
    }
}

fn told(rule: &'static Rule, worst: BTreeMap<(ElementRef, ElementRef), Worst>) -> Vec<Finding> {
    worst
        .into_iter()
        .map(|((subject, other), worst)| {
            Finding::new(rule, Severity::Doubt, subject)
                .word("other", other.to_string())
                .also(other)
                .value("count", Datum::count(worst.count))
                .value("least", Datum::length(worst.least))
                .limit(Datum::length(worst.limit))
                .at(worst.at)
                .remedy("move one of them", Vec::new())
        })
        .collect()
}

fn others(study: &PlantingStudy<'_>) -> Vec<Finding> {
    let set: Vec<&Plant> = study.yard.plants.iter().filter(|p| p.origin != Origin::Kept).collect();
    let points: Vec<Point> = set.iter().map(|p| at(p)).collect();
    let index = PointIndex::new(&points);
    let spacing: Vec<f64> = set.iter().map(|p| study.spacing_of(&p.key.instruction)).collect();
    let mut worst = BTreeMap::new();
    for (i, plant) in set.iter().enumerate() {
        for j in index.within(points[i], ON_ONE_ANOTHER * spacing[i]) {
            let limit = ON_ONE_ANOTHER * spacing[i].min(spacing[j]);
            let least = points[i].distance(points[j]);
            // Each pair once, told of the later instruction.
            if j < i && set[j].key.instruction != plant.key.instruction && least < limit {
                let key = (plant.key.instruction.clone(), set[j].key.instruction.clone());
                note(&mut worst, key, Worst { count: 1, least, limit, at: points[i] });
            }
        }
    }
    told(&ON_ANOTHER, worst)
}

/// Kept trunks, kept shrubs, utilities, each with the room it needs.
fn stays(study: &PlantingStudy<'_>) -> Vec<Taken> {
    let property = &study.project.property;
    let plot = &study.yard.plot;
    let room = |element: &ElementRef| match element.kind {
        Kind::Tree => property
            .trees
            .iter()
            .find(|t| t.id == element.id && t.action == Action::Keep)
            .map(|t| t.diameter.value / 2.0 + study.project.practice.trunk_clearance),
        Kind::Shrub => property
            .shrubs
            .iter()
            .find(|s| s.id == element.id && s.action == Action::Keep)
            .map(|s| 0.5 * s.spread.value),
        _ => property.utilities.iter().find(|u| u.id == element.id).map(|u| u.clearance.value),
    };
    plot.trees
        .iter()
        .chain(&plot.shrubs)
        .chain(&plot.utilities)
        .filter_map(|spot| {
            let by = spot.element.clone();
            Some(Taken { radius: room(&by)?, by, at: spot.at })
        })
        .collect()
}

fn kept(study: &PlantingStudy<'_>) -> Vec<Finding> {
    let set: Vec<&Plant> = study.yard.plants.iter().filter(|p| p.origin != Origin::Kept).collect();
    let points: Vec<Point> = set.iter().map(|p| at(p)).collect();
    let index = PointIndex::new(&points);
    let mut worst = BTreeMap::new();
    for room in stays(study) {
        for i in index.within(room.at, room.radius) {
            let least = points[i].distance(room.at);
            if least < room.radius - 1e-6 {
                let key = (set[i].key.instruction.clone(), room.by.clone());
                note(&mut worst, key, Worst { count: 1, least, limit: room.radius, at: points[i] });
            }
        }
    }
    told(&ON_KEPT, worst)
}

fn elsewhere(study: &PlantingStudy<'_>) -> Vec<Finding> {
    let resolver = Resolver::new(study.project);
    let mut all = Vec::new();
    for planting in &study.project.design.plantings {
        let Some(place) = &planting.place else { continue };
        let element = ElementRef::new(Kind::Planting, &planting.id);
        let outside: Vec<&Plant> =
            study.yard.plants_of(&planting.id).filter(|plant| plant.place.as_ref() != Some(place)).collect();
        if let Some(first) = outside.first() {
            all.push(
                Finding::new(&NOT_IN_PLACE, Severity::Doubt, element.clone())
                    .also(place.clone())
                    .word("other", place.to_string())
                    .value("count", Datum::count(outside.len()))
                    .at(at(first))
                    .remedy(format!("move them into {place}, or name the bed they stand in"), Vec::new()),
            );
        }
        let (Layout::Group { at: wanted, .. }, Some(arrangement)) =
            (&planting.layout, study.arrangement(&element))
        else {
            continue;
        };
        let (Some(wanted), false) = (resolver.point(wanted), arrangement.positions.is_empty()) else {
            continue;
        };
        let sum = arrangement
            .positions
            .iter()
            .fold(groundwright_geometry::Vec2::ZERO, |sum, p| sum + p.at.to_vec2());
        let middle = (sum / arrangement.positions.len() as f64).to_point();
        let least = middle.distance(wanted);
        if least > arrangement.spacing {
            all.push(
                Finding::new(&SHIFTED, Severity::Doubt, element)
                    .also(place.clone())
                    .word("other", place.to_string())
                    .value("least", Datum::length(least))
                    .at(middle)
                    .remedy(format!("put its middle inside {place}"), Vec::new()),
            );
        }
    }
    all
}
