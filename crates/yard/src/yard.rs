//! The yard: everything placed, with every plant's identity and position.
//!
//! - In: the plot and the arrangements of all plantings. Out: a [`Yard`].
//! - Every z comes from [`Ground`], which is level until there is a survey.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use groundwright_geometry::{Point, Point3, Region, RegionIndex};
use groundwright_plan::{ElementId, ElementRef, Kind, PlantSource, PlantingRole, Project, TaxonId};

use crate::arrange::prominence::{Viewpoint, prominence};
use crate::ground::{Ground, lay_ground};
use crate::instruct::{Arrangement, Taken};
use crate::plot::Plot;
use crate::transplanting::Transplanting;

/// The lasting identity of a plant: its instruction and its ordinal in it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PlantKey {
    /// The planting, tree or shrub.
    pub instruction: ElementRef,
    /// Which of its plants, from 0.
    pub ordinal: u32,
}

/// Where a plant comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Origin {
    /// Bought.
    New,
    /// It stands there already.
    Kept,
    /// Dug from where the shrub of this id stood; its ordinal among those dug there.
    Moved(ElementId, u32),
}

/// One plant in the yard.
#[derive(Debug, Clone, PartialEq)]
pub struct Plant {
    /// Identity.
    pub key: PlantKey,
    /// Taxon; `None` for found plants that the stock does not know.
    pub taxon: Option<TaxonId>,
    /// Where the middle of its pot or trunk stands. [m]
    pub at: Point3,
    /// Where it comes from.
    pub origin: Origin,
    /// What it is for; kept plants stand as specimens.
    pub role: PlantingRole,
    /// Container class or field size bought.
    pub size: Option<String>,
    /// The bed or box that it stands in.
    pub place: Option<ElementRef>,
    /// How prominent its place is from the viewpoints. [sr]
    pub prominence: f64,
    /// Its rank by prominence in its planting, from 1, where the best go first.
    pub rank: Option<u32>,
}

/// The placed design.
#[derive(Debug, Clone)]
pub struct Yard {
    /// Property and design as geometry.
    pub plot: Arc<Plot>,
    /// The ground.
    pub ground: Ground,
    /// Arrangements, in file order of their plantings.
    pub arrangements: Vec<Arc<Arrangement>>,
    /// All plants: of the plantings in file order, then those kept.
    pub plants: Vec<Plant>,
    /// What became of the dug plants.
    pub transplanting: Arc<Transplanting>,
    /// Where each planting's plants stand in `plants`.
    ranges: BTreeMap<ElementId, Range<usize>>,
}

impl Yard {
    /// A yard in which nothing stands: for studies that read the plot alone.
    pub fn bare(plot: Arc<Plot>) -> Self {
        Self {
            plot,
            ground: Ground::default(),
            arrangements: Vec::new(),
            plants: Vec::new(),
            transplanting: Arc::default(),
            ranges: BTreeMap::new(),
        }
    }

    /// The plants of a planting.
    pub fn plants_of(&self, planting: &ElementId) -> impl Iterator<Item = &Plant> + use<'_> {
        let range = self.ranges.get(planting).cloned().unwrap_or(0..0);
        self.plants[range].iter()
    }
}

/// Places that new plants must leave free: kept trunks with the practice's clearance, kept shrubs
/// with half their spread, meters and machines with the room to reach them.
pub fn taken_by_kept(project: &Project, plot: &Plot) -> Vec<Taken> {
    let property = &project.property;
    let keep = groundwright_plan::Action::Keep;
    let trunks = plot.trees.iter().filter_map(|spot| {
        let tree = property.trees.iter().find(|t| t.id == spot.element.id && t.action == keep)?;
        let radius = tree.diameter.value / 2.0 + project.practice.trunk_clearance;
        Some(Taken { by: spot.element.clone(), at: spot.at, radius })
    });
    let shrubs = plot.shrubs.iter().filter_map(|spot| {
        let shrub = property.shrubs.iter().find(|s| s.id == spot.element.id && s.action == keep)?;
        Some(Taken { by: spot.element.clone(), at: spot.at, radius: shrub.spread.value / 2.0 })
    });
    let utilities = plot.utilities.iter().filter_map(|spot| {
        let utility = property.utilities.iter().find(|u| u.id == spot.element.id)?;
        Some(Taken { by: spot.element.clone(), at: spot.at, radius: utility.clearance.value })
    });
    trunks.chain(shrubs).chain(utilities).collect()
}

/// Viewpoints of the plot with their weights.
pub fn viewpoints(project: &Project, plot: &Plot) -> Vec<Viewpoint> {
    let find = |id: &ElementId| project.property.viewpoints.iter().find(|v| &v.id == id);
    plot.viewpoints
        .iter()
        .zip(&plot.looking)
        .filter_map(|(spot, looking)| {
            let viewpoint = find(&spot.element.id)?;
            let looking = looking.filter(|to| to.distance(spot.at) > 0.01);
            Some(Viewpoint {
                at: spot.at,
                looking,
                weight: viewpoint.weight.value,
                eye_height: viewpoint.eye.value,
            })
        })
        .collect()
}

/// Puts plot, arrangements and transplants together.
///
/// # Arguments
/// - `arrangements`: one for each planting that can be laid out, in file order.
pub fn assemble(
    project: &Project,
    plot: Arc<Plot>,
    arrangements: Vec<Arc<Arrangement>>,
    transplanting: Arc<Transplanting>,
) -> Yard {
    let ground = lay_ground(project, &plot);
    assemble_on(ground, project, plot, arrangements, transplanting)
}

/// As [`assemble`], on ground that is laid already.
pub fn assemble_on(
    ground: Ground,
    project: &Project,
    plot: Arc<Plot>,
    arrangements: Vec<Arc<Arrangement>>,
    transplanting: Arc<Transplanting>,
) -> Yard {
    let mut plants = Vec::new();
    let mut ranges = BTreeMap::new();
    for arrangement in &arrangements {
        let first = plants.len();
        let Some(planting) = project.design.plantings.iter().find(|p| p.id == arrangement.planting) else {
            continue;
        };
        let element = ElementRef::new(Kind::Planting, &planting.id);
        for (ordinal, position) in arrangement.positions.iter().enumerate() {
            let ordinal = ordinal as u32;
            let origin = match planting.source {
                PlantSource::Nursery => Origin::New,
                PlantSource::Transplants => match transplanting.filler(&planting.id, ordinal) {
                    Some((shrub, dug)) => Origin::Moved(shrub, dug),
                    // A hole without a dug plant stays empty; the shortage is reported.
                    None => continue,
                },
            };
            plants.push(Plant {
                key: PlantKey { instruction: element.clone(), ordinal },
                taxon: Some(position.taxon.clone()),
                at: Point3::new(position.at.x, position.at.y, ground.proposed(position.at)),
                origin,
                role: planting.role,
                size: planting.size.clone(),
                place: None,
                prominence: 0.0,
                rank: None,
            });
        }
        ranges.insert(planting.id.clone(), first..plants.len());
    }
    rank(project, &plot, &mut plants);
    add_kept(project, &plot, &ground, &mut plants);
    find_places(&plot, &mut plants);
    Yard { plot, ground, arrangements, plants, transplanting, ranges }
}

/// Prominence of every plant, and ranks in the plantings that set the best first.
fn rank(project: &Project, plot: &Plot, plants: &mut [Plant]) {
    let points: Vec<Point> = plants.iter().map(|p| Point::new(p.at.x, p.at.y)).collect();
    let blockers: Vec<Region> = plot.buildings.iter().map(|b| b.whole.clone()).collect();
    let Ok(seen) = prominence(&points, &viewpoints(project, plot), &blockers) else { return };
    for (plant, score) in plants.iter_mut().zip(&seen.scores) {
        plant.prominence = *score;
    }
    for planting in project.design.plantings.iter().filter(|p| p.best_first) {
        let mine = seen.order.iter().filter(|&&i| plants[i].key.instruction.id == planting.id);
        let mine: Vec<usize> = mine.copied().collect();
        for (rank, index) in mine.into_iter().enumerate() {
            plants[index].rank = Some(rank as u32 + 1);
        }
    }
}

fn add_kept(project: &Project, plot: &Plot, ground: &Ground, plants: &mut Vec<Plant>) {
    let keep = groundwright_plan::Action::Keep;
    let property = &project.property;
    let found = |spot: &crate::plot::Spot| match spot.element.kind {
        Kind::Tree => {
            property.trees.iter().find(|t| t.id == spot.element.id).map(|t| (t.action, t.taxon.clone()))
        }
        _ => property.shrubs.iter().find(|s| s.id == spot.element.id).map(|s| (s.action, s.taxon.clone())),
    };
    for spot in plot.trees.iter().chain(&plot.shrubs) {
        let Some((action, taxon)) = found(spot) else { continue };
        if action != keep {
            continue;
        }
        plants.push(Plant {
            key: PlantKey { instruction: spot.element.clone(), ordinal: spot.ordinal },
            taxon,
            at: Point3::new(spot.at.x, spot.at.y, ground.existing(spot.at)),
            origin: Origin::Kept,
            role: PlantingRole::Specimen,
            size: None,
            place: None,
            prominence: 0.0,
            rank: None,
        });
    }
}

/// Which bed or box each plant stands in.
fn find_places(plot: &Plot, plants: &mut [Plant]) {
    let areas: Vec<(&ElementRef, groundwright_geometry::Rect, RegionIndex)> = plot
        .boxes
        .iter()
        .chain(&plot.beds)
        .filter_map(|area| Some((&area.element, area.free.bounds()?, RegionIndex::new(&area.free))))
        .collect();
    for plant in plants {
        let at = Point::new(plant.at.x, plant.at.y);
        plant.place = areas
            .iter()
            .find(|(_, bounds, index)| bounds.contains(at) && index.contains(at))
            .map(|(element, _, _)| (*element).clone());
    }
}
