//! The inventory of dug plants and their way into new holes.
//!
//! - In: shrubs marked *move*, and the holes of plantings that draw from them. Out: which dug plant
//!   fills which hole, what is left over, what is short.
//! - Method: an exact assignment for each taxon ([`crate::arrange::transplants`]).

use groundwright_geometry::Point;
use groundwright_plan::{Action, Condition, ElementId, PlantSource, Project, TaxonId};

use crate::arrange::prominence::prominence;
use crate::arrange::transplants::{self, Dug, Hole};
use crate::instruct::Arrangement;
use crate::outline::Resolver;
use crate::plot::Plot;
use crate::yard::viewpoints;

/// A plant that is dug, or one of several divisions of it.
#[derive(Debug, Clone, PartialEq)]
pub struct DugPlant {
    /// The shrub found.
    pub shrub: ElementId,
    /// Which of the shrub's dug plants and divisions, from 0.
    pub ordinal: u32,
    /// Taxon; `None` where the stock does not know it.
    pub taxon: Option<TaxonId>,
    /// Where it stands now. [m]
    pub at: Point,
    /// Height. [m]
    pub height: f64,
    /// Spread. [m]
    pub spread: f64,
    /// Whether it is a division of a clump.
    pub division: bool,
}

/// One dug plant's way.
#[derive(Debug, Clone, PartialEq)]
pub struct Move {
    /// Index of the dug plant in [`Transplanting::dug`].
    pub dug: usize,
    /// The planting whose hole it fills.
    pub planting: ElementId,
    /// Ordinal of the hole in the planting.
    pub ordinal: u32,
    /// Carrying distance. [m]
    pub distance: f64,
}

/// What becomes of the dug plants.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Transplanting {
    /// The inventory, in file order.
    pub dug: Vec<DugPlant>,
    /// Who goes where, by planting and ordinal.
    pub moves: Vec<Move>,
    /// Dug plants without a hole, as indices of `dug`.
    pub left_over: Vec<usize>,
    /// Holes without a dug plant, by planting.
    pub short: Vec<(ElementId, u32)>,
    /// Why an assignment could not be made; empty when all were.
    pub problems: Vec<(ElementId, String)>,
}

impl Transplanting {
    /// Which dug plant fills a hole: the shrub and its ordinal.
    pub fn filler(&self, planting: &ElementId, ordinal: u32) -> Option<(ElementId, u32)> {
        let m = self.moves.iter().find(|m| &m.planting == planting && m.ordinal == ordinal)?;
        let dug = &self.dug[m.dug];
        Some((dug.shrub.clone(), dug.ordinal))
    }
}

/// The plants that are dug, divisions counted one by one.
pub fn inventory(project: &Project, plot: &Plot) -> Vec<DugPlant> {
    let mut dug = Vec::new();
    for shrub in project.property.shrubs.iter().filter(|s| s.action == Action::Move) {
        let places: Vec<Point> =
            plot.shrubs.iter().filter(|s| s.element.id == shrub.id).map(|s| s.at).collect();
        if places.is_empty() {
            continue;
        }
        // Whole plants only: a yield of 2.5 from each of 4 clumps is 10 plants.
        let total = (shrub.yields.value * places.len() as f64 + 1e-9).floor() as usize;
        let divided = total > places.len();
        for ordinal in 0..total {
            dug.push(DugPlant {
                shrub: shrub.id.clone(),
                ordinal: ordinal as u32,
                taxon: shrub.taxon.clone(),
                at: places[ordinal * places.len() / total],
                height: shrub.height.value,
                spread: if divided {
                    // Divisions share the clump's area among them.
                    shrub.spread.value / (total as f64 / places.len() as f64).sqrt()
                } else {
                    shrub.spread.value
                },
                division: divided,
            });
        }
    }
    dug
}

/// Assigns dug plants to the holes of plantings that draw from them.
///
/// Plantings that name shrubs draw from those alone; the others from all movable plants of their
/// taxon. Each group of plantings that draws from the same plants is one exact assignment.
pub fn assign(project: &Project, plot: &Plot, arrangements: &[&Arrangement]) -> Transplanting {
    let mut result = Transplanting { dug: inventory(project, plot), ..Transplanting::default() };
    let mut free: Vec<bool> = vec![true; result.dug.len()];
    let mut drawing: Vec<_> = project
        .design
        .plantings
        .iter()
        .filter(|p| p.source == PlantSource::Transplants)
        .filter_map(|p| arrangements.iter().find(|a| a.planting == p.id).map(|a| (p, *a)))
        .collect();
    // Plantings that name their plants come first, so that nobody else takes them.
    drawing.sort_by_key(|(p, _)| p.from_shrubs.is_empty());
    let mut done: Vec<ElementId> = Vec::new();
    for i in 0..drawing.len() {
        let (first, _) = drawing[i];
        if done.contains(&first.id) {
            continue;
        }
        let same = |p: &groundwright_plan::Planting| {
            p.from_shrubs == first.from_shrubs
                && (!p.from_shrubs.is_empty() || p.shares.iter().any(|s| first.shares.iter().any(|f| f.taxon == s.taxon)))
        };
        let batch: Vec<_> = drawing.iter().copied().filter(|(p, _)| !done.contains(&p.id) && same(p)).collect();
        done.extend(batch.iter().map(|(p, _)| p.id.clone()));
        assign_batch(project, plot, &batch, &mut free, &mut result);
    }
    result.left_over = (0..free.len()).filter(|&i| free[i]).collect();
    result.moves.sort_by(|a, b| (&a.planting, a.ordinal).cmp(&(&b.planting, b.ordinal)));
    result
}
