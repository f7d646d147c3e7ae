//! What is watered: ground and plants of every watering, with what they have in common.
//!
//! - A watering names its areas; one with `rest` takes every bed, box and lawn that no other names and it
//!   does not leave out itself.
//! - Single plants count with their mature crowns.
//! - Plants of an area are those that stand in it; turf counts as a plant of high use. Water classes become
//!   plant factors in the middle of their range; unknown taxa count as moderate.

use std::collections::BTreeSet;

use groundwright_geometry::{Point, Region, RegionIndex};
use groundwright_plan::stock::WaterUse as Class;
use groundwright_plan::{Action, Condition, ElementRef, Kind, Project, Watering, WateringMethod};
use groundwright_yard::{Origin, Plant, Yard};

use super::layout::Layout;
use crate::hydrozones::Exposure;

/// Plant factor of turf: high use, as the model ordinance counts it.
const TURF: f64 = 0.8;
/// Plant factor where nobody knows.
const UNKNOWN: f64 = 0.5;
/// Ground that single plants count for at least. [m²]
const TOO_SMALL: f64 = 0.05;

/// Hours of direct sun a day in the growing season at a place, where they are known. [h]
pub type SunHours<'a> = dyn Fn(Point) -> Option<f64> + Sync + 'a;

/// A plant that drinks.
#[derive(Debug, Clone, PartialEq)]
pub struct Drinker {
    /// Where it stands. [m]
    pub at: Point,
    /// Share of reference evapotranspiration that it needs.
    pub factor: f64,
    /// Mature spread. [m]
    pub spread: f64,
    /// Whether it was moved, or does poorly, so that it gets emitters of its own.
    pub weak: bool,
    /// Words for it.
    pub name: String,
}

/// An area or the plants of an element, and how it is watered.
#[derive(Debug, Clone)]
pub struct AreaRun<'p> {
    /// The instruction.
    pub watering: &'p Watering,
    /// What is watered.
    pub element: ElementRef,
    /// Its name.
    pub label: String,
    /// The ground that is watered; empty where single plants are. [m]
    pub region: Region,
    /// How.
    pub method: WateringMethod,
    /// Its plants.
    pub plants: Vec<Drinker>,
    /// Whether it is turf.
    pub turf: bool,
    /// Sun.
    pub exposure: Exposure,
    /// Slope, rise over run.
    pub slope: f64,
    /// What is laid.
    pub layout: Layout<'p>,
}

impl AreaRun<'_> {
    /// Plant factors of its plants; turf alone has one.
    pub fn factors(&self) -> Vec<f64> {
        let mut all: Vec<f64> = self.plants.iter().map(|plant| plant.factor).collect();
        if self.turf || all.is_empty() {
            all.push(if self.turf { TURF } else { UNKNOWN });
        }
        all
    }

    /// The thirstiest plant's factor.
    pub fn factor(&self) -> f64 {
        self.factors().into_iter().fold(0.0, f64::max)
    }

    /// Ground that counts for the budget: the region, or the crowns of single plants. [m²]
    pub fn area(&self) -> f64 {
        if self.region.is_empty() {
            let crown = |plant: &Drinker| std::f64::consts::PI / 4.0 * plant.spread * plant.spread;
            self.plants.iter().map(crown).sum::<f64>().max(TOO_SMALL)
        } else {
            self.region.area()
        }
    }

    /// A place in the midst of it. [m]
    pub fn middle(&self) -> Option<Point> {
        self.region.pole(0.1).map(|(at, _)| at).or_else(|| {
            let count = self.plants.len() as f64;
            let sum =
                self.plants.iter().fold(groundwright_geometry::Vec2::ZERO, |sum, p| sum + p.at.to_vec2());
            (count > 0.0).then(|| (sum / count).to_point())
        })
    }
}

/// All areas, in file order of the waterings.
pub(super) fn gather<'p>(project: &'p Project, yard: &Yard, hours: &SunHours<'_>) -> Vec<AreaRun<'p>> {
    let waterings = &project.design.irrigation.waterings;
    let named: BTreeSet<&ElementRef> = waterings.iter().flat_map(|watering| &watering.areas).collect();
    let mut all = Vec::new();
    for watering in waterings {
        let mut elements: Vec<ElementRef> = watering.areas.clone();
        if watering.rest {
            let plot = &yard.plot;
            let ground = plot.beds.iter().chain(&plot.boxes).chain(&plot.lawns);
            let free =
                |element: &&ElementRef| !named.contains(element) && !watering.without.contains(element);
            elements.extend(ground.map(|area| &area.element).filter(free).cloned());
        }
        for element in elements {
            all.extend(area(project, yard, watering, element, hours));
        }
    }
    all
}

fn area<'p>(
    project: &'p Project,
    yard: &Yard,
    watering: &'p Watering,
    element: ElementRef,
    hours: &SunHours<'_>,
) -> Option<AreaRun<'p>> {
    let placed = yard.plot.area(&element);
    let label = match placed {
        // Lawns have no label of their own.
        Some(area) if element.kind != Kind::Lawn => area.label.clone(),
        _ => format!("{} {}", element.kind.word(), element.id),
    };
    let region = placed.map_or_else(Region::empty, |area| area.free.clone());
    let plants: Vec<Drinker> =
        plants_of(yard, &element).into_iter().map(|plant| drinker(project, plant)).collect();
    if region.is_empty() && plants.is_empty() {
        return None;
    }
    let turf = element.kind == Kind::Lawn;
    let usual = match element.kind {
        Kind::Lawn => WateringMethod::Spray,
        Kind::Tree => WateringMethod::Bubbler,
        Kind::Planting | Kind::Shrub => WateringMethod::PointDrip,
        _ => WateringMethod::DripLine,
    };
    let mut run = AreaRun {
        watering,
        label,
        region,
        method: watering.method.unwrap_or(usual),
        plants,
        turf,
        exposure: Exposure::Sun,
        slope: 0.0,
        layout: Layout::Existing,
        element,
    };
    let middle = run.middle()?;
    let practice = &project.practice;
    run.exposure = match hours(middle) {
        Some(sun) if sun < practice.part_sun => Exposure::Shade,
        Some(sun) if sun < practice.full_sun => Exposure::PartSun,
        _ => Exposure::Sun,
    };
    let stated = project.design.beds.iter().find(|bed| run.element == ElementRef::new(Kind::Bed, &bed.id));
    run.slope = match yard.ground.proposed_surface() {
        Some(_) => steepness(yard, middle),
        None => stated.map_or(0.0, |bed| bed.slope.value),
    };
    Some(run)
}

/// Slope of the ground about a place, over two metres. Rise over run.
fn steepness(yard: &Yard, at: Point) -> f64 {
    let level = |dx: f64, dy: f64| yard.ground.proposed(Point::new(at.x + dx, at.y + dy));
    let across = (level(1.0, 0.0) - level(-1.0, 0.0)) / 2.0;
    let along = (level(0.0, 1.0) - level(0.0, -1.0)) / 2.0;
    across.hypot(along)
}

fn plants_of<'y>(yard: &'y Yard, element: &ElementRef) -> Vec<&'y Plant> {
    match element.kind {
        Kind::Planting => yard.plants_of(&element.id).collect(),
        Kind::Tree | Kind::Shrub => {
            yard.plants.iter().filter(|plant| &plant.key.instruction == element).collect()
        }
        _ => {
            let inside = yard.plot.area(element).map(|area| RegionIndex::new(&area.free));
            let kept = |plant: &&Plant| {
                let tree = plant.key.instruction.kind == Kind::Tree;
                let stands =
                    inside.as_ref().is_some_and(|region| region.contains(Point::new(plant.at.x, plant.at.y)));
                // A kept tree's roots reach far beyond: it does not set the water of a bed.
                plant.place.as_ref() == Some(element) || (plant.origin == Origin::Kept && !tree && stands)
            };
            yard.plants.iter().filter(kept).collect()
        }
    }
}

fn drinker(project: &Project, plant: &Plant) -> Drinker {
    let taxon = plant.taxon.as_ref().and_then(|taxon| project.stock.taxa.get(taxon));
    let shrub = project
        .property
        .shrubs
        .iter()
        .find(|shrub| plant.key.instruction == ElementRef::new(Kind::Shrub, &shrub.id));
    let poor = shrub.is_some_and(|s| s.action == Action::Keep && s.condition.value == Condition::Poor);
    Drinker {
        at: Point::new(plant.at.x, plant.at.y),
        factor: taxon.and_then(|taxon| taxon.water).map_or(UNKNOWN, factor),
        spread: taxon.map_or(1.0, groundwright_plan::stock::Taxon::mature_spread).max(0.1),
        weak: matches!(plant.origin, Origin::Moved(..)) || poor,
        name: taxon.map_or_else(|| plant.key.instruction.to_string(), |taxon| taxon.botanical.clone()),
    }
}

/// Plant factor in the middle of a class.
///
/// # Source
/// Classes of the plant-water classification that California's ordinance refers to: below 0.1, 0.1 to 0.3,
/// 0.4 to 0.6, 0.7 to 0.9.
fn factor(class: Class) -> f64 {
    match class {
        Class::VeryLow => 0.05,
        Class::Low => 0.2,
        Class::Medium => 0.5,
        Class::High => 0.8,
    }
}
