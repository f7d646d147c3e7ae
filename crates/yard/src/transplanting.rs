//! The inventory of dug plants and their way into new holes.
//!
//! - In: shrubs marked *move*, and the holes of plantings that draw from them. Out: which dug plant
//!   fills which hole, what is left over, what is short.
//! - Method: an exact assignment for each taxon ([`crate::arrange::transplants`]).

use groundwright_geometry::{Point, Region};
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
/// Plantings that name shrubs draw from those alone, those with the fewest named first; the others
/// from all movable plants of their taxon that are left. All holes that draw from the same plants
/// make one exact assignment; between lists that overlap only in part, the order decides.
pub fn assign(project: &Project, plot: &Plot, arrangements: &[&Arrangement]) -> Transplanting {
    let mut result = Transplanting { dug: inventory(project, plot), ..Transplanting::default() };
    let mut free: Vec<bool> = vec![true; result.dug.len()];
    for batch in batches(project, arrangements) {
        fill(project, plot, &batch, &mut free, &mut result);
    }
    result.left_over = (0..free.len()).filter(|&i| free[i]).collect();
    result.moves.sort_by(|a, b| (&a.planting, a.ordinal).cmp(&(&b.planting, b.ordinal)));
    result.short.sort();
    result
}

/// Holes that draw from the same plants.
struct Batch<'a> {
    from: &'a [ElementId],
    taxon: &'a TaxonId,
    holes: Vec<Open<'a>>,
}

/// One hole.
struct Open<'a> {
    planting: &'a ElementId,
    ordinal: u32,
    at: Point,
    /// Ordinal of its mirror partner in the same planting.
    mirror: Option<u32>,
}

/// Batches, those that name their plants first, so that nobody else takes them.
fn batches<'a>(project: &'a Project, arrangements: &[&'a Arrangement]) -> Vec<Batch<'a>> {
    let resolver = Resolver::new(project);
    let mut batches: Vec<Batch<'a>> = Vec::new();
    for planting in project.design.plantings.iter().filter(|p| p.source == PlantSource::Transplants) {
        let Some(arrangement) = arrangements.iter().find(|a| a.planting == planting.id) else { continue };
        let axis = planting.axis.as_ref().and_then(|(a, b)| Some((resolver.point(a)?, resolver.point(b)?)));
        let mirrors = mirrors(arrangement, axis);
        for (ordinal, position) in arrangement.positions.iter().enumerate() {
            let open = Open {
                planting: &arrangement.planting,
                ordinal: ordinal as u32,
                at: position.at,
                mirror: mirrors[ordinal].map(|i| i as u32),
            };
            let same = |b: &&mut Batch<'a>| b.from == planting.from_shrubs && *b.taxon == position.taxon;
            match batches.iter_mut().find(same) {
                Some(batch) => batch.holes.push(open),
                None => batches.push(Batch {
                    from: &planting.from_shrubs,
                    taxon: &position.taxon,
                    holes: vec![open],
                }),
            }
        }
    }
    batches.sort_by_key(|batch| (batch.from.is_empty(), batch.from.len()));
    batches
}

/// The mirror partner of each position about an axis: mutual nearest within half a spacing.
fn mirrors(arrangement: &Arrangement, axis: Option<(Point, Point)>) -> Vec<Option<usize>> {
    let count = arrangement.positions.len();
    let Some((a, b)) = axis.filter(|(a, b)| a.distance(*b) > 0.01) else { return vec![None; count] };
    let along = (b - a).normalize();
    let nearest = |i: usize| {
        let to = arrangement.positions[i].at - a;
        let reflected = a + along * (2.0 * to.dot(along)) - to;
        (0..count)
            .filter(|&j| j != i)
            .map(|j| (j, arrangement.positions[j].at.distance(reflected)))
            .min_by(|x, y| x.1.total_cmp(&y.1))
            .filter(|(_, distance)| *distance <= arrangement.spacing / 2.0)
            .map(|(j, _)| j)
    };
    let partners: Vec<Option<usize>> = (0..count).map(nearest).collect();
    (0..count).map(|i| partners[i].filter(|&j| partners[j] == Some(i))).collect()
}

fn fill(project: &Project, plot: &Plot, batch: &Batch<'_>, free: &mut [bool], result: &mut Transplanting) {
    let drawn: Vec<usize> =
        (0..result.dug.len()).filter(|&i| free[i] && suits(batch, &result.dug[i])).collect();
    let dug: Vec<Dug> = drawn.iter().map(|&i| candidate(project, i, &result.dug[i])).collect();
    let holes = holes(project, plot, batch);
    let assigned = match transplants::assign_transplants(&dug, &holes) {
        Ok(assigned) => assigned,
        Err(problem) => {
            let planting = batch.holes.first().map(|h| h.planting.clone());
            result.problems.extend(planting.map(|planting| (planting, problem.to_string())));
            return;
        }
    };
    for (open, plant) in batch.holes.iter().zip(&assigned.plant_of) {
        match plant {
            Some(plant) => {
                let index = drawn[*plant];
                free[index] = false;
                let distance = result.dug[index].at.distance(open.at);
                let (planting, ordinal) = (open.planting.clone(), open.ordinal);
                result.moves.push(Move { dug: index, planting, ordinal, distance });
            }
            None => result.short.push((open.planting.clone(), open.ordinal)),
        }
    }
}

/// Whether a dug plant may fill the batch's holes. A named plant that the stock does not know is
/// taken at its word.
fn suits(batch: &Batch<'_>, dug: &DugPlant) -> bool {
    let named = batch.from.contains(&dug.shrub);
    match &dug.taxon {
        Some(taxon) => taxon == batch.taxon && (named || batch.from.is_empty()),
        None => named,
    }
}

fn candidate(project: &Project, index: usize, dug: &DugPlant) -> Dug {
    let shrub = project.property.shrubs.iter().find(|s| s.id == dug.shrub);
    let taxon = dug.taxon.as_ref().and_then(|taxon| project.stock.taxa.get(taxon));
    let condition = match shrub.map(|s| s.condition.value) {
        Some(Condition::Good) => 1.0,
        Some(Condition::Fair) | None => 0.6,
        Some(Condition::Poor) => 0.2,
    };
    Dug {
        key: index as u64,
        height: dug.height,
        spread: dug.spread,
        condition,
        flowering: shrub.is_some_and(|s| s.flowering),
        interest: std::array::from_fn(|month| taxon.is_some_and(|t| t.blooms_in(month as u8 + 1))),
        at: dug.at,
    }
}

fn holes(project: &Project, plot: &Plot, batch: &Batch<'_>) -> Vec<Hole> {
    let points: Vec<Point> = batch.holes.iter().map(|hole| hole.at).collect();
    let blockers: Vec<Region> = plot.buildings.iter().map(|b| b.whole.clone()).collect();
    let seen = prominence(&points, &viewpoints(project, plot), &blockers);
    let scores = seen.map_or_else(|_| vec![0.0; points.len()], |seen| seen.scores);
    let partner = |hole: &Open<'_>| {
        let mirror = hole.mirror?;
        batch.holes.iter().position(|other| other.planting == hole.planting && other.ordinal == mirror)
    };
    batch
        .holes
        .iter()
        .zip(scores)
        .map(|(hole, prominence)| Hole {
            at: hole.at,
            wanted_height: None,
            wanted_spread: None,
            prominence,
            wanted_interest: [false; 12],
            pair: partner(hole),
        })
        .collect()
}
