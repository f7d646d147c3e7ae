//! Findings of plants that will outgrow their place: mature crowns on walls and paving, over the
//! property line, before doors, windows and vents.
//!
//! - In: the study. Out: findings, one for each planting and thing that the crowns reach, with the
//!   year in which the first crown reaches it.
//! - The crown is a circle of the middle mature spread; a hedge is clipped to its spacing. The year
//!   is when the spread curve (`yard`) reaches twice the distance: an estimate, ± 25 %.
//! - Left out: low plants (they may spill over an edge), trees above paving (their crowns are lifted),
//!   vines (they are trained), plants in boxes against the ground's things, one season's colour.

use std::collections::{BTreeMap, BTreeSet};

use groundwright_geometry::{Point, Rect, RegionIndex};
use groundwright_handoff::{Datum, Finding, Rule, Severity, Source};
use groundwright_plan::stock::{PlantKind, Taxon};
use groundwright_plan::{
    ElementId, ElementRef, Kind, Opening, OpeningKind, Planting, PlantingRole, SurfaceKind,
};
use groundwright_yard::{Area, Origin, Plant};

use crate::study::PlantingStudy;

static ON_WALL: Rule = Rule {
    id: "planting.grows-on-wall",
    title: "Crowns that will press on a wall",
    sentence: "{subject}: {plant} grows to {spread} across; crowns that will press on {other}: {count}, \
               the nearest stands {least} from it, {over} too near.",
    source: Source::CommonPractice,
};
static ON_PAVING: Rule = Rule {
    id: "planting.grows-on-paving",
    title: "Crowns that will narrow paving",
    sentence: "{subject}: {plant} grows to {spread} across; crowns that will reach over {other}: {count}, \
               the furthest by {over}.",
    source: Source::CommonPractice,
};
static OVER_LINE: Rule = Rule {
    id: "planting.grows-over-line",
    title: "Crowns that will reach over the property line",
    sentence: "{subject}: {plant} grows to {spread} across; crowns that will reach over the line: {count}, \
               the furthest by {over}.",
    source: Source::CommonPractice,
};
static BEFORE_OPENING: Rule = Rule {
    id: "planting.grows-before-opening",
    title: "Plants that will stand before doors, windows or vents",
    sentence: "{subject}: {plant} grows to {height} before {other} (a {what}), whose sill is at {limit}.",
    source: Source::CommonPractice,
};

/// Plants lower than this may lie against a wall or over an edge. [m] Common practice, no source.
const LOW: f64 = 0.35;

/// A crown this far over an edge is trimmed with the edge. [m] Common practice, no source.
const TRIMMED: f64 = 0.15;

/// A crown this far over is more than a yearly trim. [m] Common practice, no source.
const MUCH: f64 = 0.45;

/// A plant may grow this far above a sill. [m] Common practice, no source.
const ABOVE_SILL: f64 = 0.15;

/// All findings of plants that outgrow their place.
pub(crate) fn findings(study: &PlantingStudy<'_>) -> Vec<Finding> {
    let reached = Reached::new(study);
    let openings = openings(study);
    let mut all = Vec::new();
    for planting in study.project.design.plantings.iter().filter(|p| p.role != PlantingRole::Seasonal) {
        for share in &planting.shares {
            let Some(taxon) = study.project.stock.taxa.get(&share.taxon) else { continue };
            let crowns = crowns(study, planting, taxon);
            if taxon.mature_height() < LOW || taxon.kind == PlantKind::Vine {
                continue;
            }
            let Some(stand) = bounds(&crowns) else { continue };
            reached.crowns_on_things(study, (planting, taxon), &crowns, stand, &mut all);
            for opening in openings.iter().filter(|opening| opening.near(stand)) {
                all.extend(before_opening(study, planting, taxon, &crowns, opening));
            }
        }
    }
    all
}

/// The grown crown of a plant.
struct Crown<'p> {
    plant: &'p Plant,
    at: Point,
    radius: f64,
}

fn crowns<'s>(study: &'s PlantingStudy<'_>, planting: &Planting, taxon: &Taxon) -> Vec<Crown<'s>> {
    let mut radius = 0.5 * taxon.mature_spread();
    if planting.role == PlantingRole::Hedge {
        radius = radius.min(0.5 * study.spacing_of(&ElementRef::new(Kind::Planting, &planting.id)));
    }
    let mine = study.yard.plants_of(&planting.id).filter(|plant| {
        let boxed = plant.place.as_ref().is_some_and(|place| place.kind == Kind::PlanterBox);
        plant.origin != Origin::Kept && plant.taxon.as_ref() == Some(&taxon.id) && !boxed
    });
    mine.map(|plant| Crown { plant, at: crate::findings::place(plant), radius }).collect()
}

/// The box around crowns: what lies outside, none of them reaches.
fn bounds(crowns: &[Crown<'_>]) -> Option<Rect> {
    let boxes =
        crowns.iter().map(|crown| Rect::from_center_size(crown.at, (2.0 * crown.radius, 2.0 * crown.radius)));
    boxes.reduce(|all, one| all.union(one))
}

/// What crowns may reach, with searchable edges.
struct Reached {
    things: Vec<(ElementRef, &'static Rule, Rect, RegionIndex)>,
    boundary: Option<RegionIndex>,
}

impl Reached {
    fn new(study: &PlantingStudy<'_>) -> Self {
        let plot = &study.yard.plot;
        let thing = |area: &Area, rule: &'static Rule| {
            let bounds = area.whole.bounds()?;
            Some((area.element.clone(), rule, bounds, RegionIndex::new(&area.whole)))
        };
        let buildings = plot.buildings.iter().filter_map(|area| thing(area, &ON_WALL));
        let walked = |element: &ElementRef| {
            study.project.property.surfaces.iter().any(|surface| {
                surface.id == element.id && !matches!(surface.kind, SurfaceKind::Water | SurfaceKind::Curb)
            })
        };
        let paving = plot
            .paved()
            .filter(|area| area.element.kind == Kind::Paving || walked(&area.element))
            .filter_map(|area| thing(area, &ON_PAVING));
        Self {
            things: buildings.chain(paving).collect(),
            boundary: plot.boundary.as_ref().map(|area| RegionIndex::new(&area.whole)),
        }
    }

    fn crowns_on_things(
        &self,
        study: &PlantingStudy<'_>,
        (planting, taxon): (&Planting, &Taxon),
        crowns: &[Crown<'_>],
        stand: Rect,
        all: &mut Vec<Finding>,
    ) {
        let lifted = taxon.kind == PlantKind::Tree;
        for (element, rule, bounds, index) in &self.things {
            if !bounds.overlaps(stand) || (lifted && rule.id == ON_PAVING.id) {
                continue;
            }
            let over = |crown: &Crown<'_>| {
                let near = bounds.inflate(crown.radius, crown.radius).contains(crown.at);
                if near { crown.radius + index.signed_distance(crown.at) } else { f64::NEG_INFINITY }
            };
            if let Some(finding) = worst(study, rule, planting, taxon, crowns, over) {
                all.push(finding.also(element.clone()).word("other", element.to_string()));
            }
        }
        if let Some(line) = &self.boundary {
            let over = |crown: &Crown<'_>| crown.radius - line.signed_distance(crown.at);
            all.extend(worst(study, &OVER_LINE, planting, taxon, crowns, over));
        }
    }
}

/// The crowns that reach over by more than is trimmed, told by the one that reaches furthest.
fn worst(
    study: &PlantingStudy<'_>,
    rule: &'static Rule,
    planting: &Planting,
    taxon: &Taxon,
    crowns: &[Crown<'_>],
    over: impl Fn(&Crown<'_>) -> f64,
) -> Option<Finding> {
    let reaching: Vec<(f64, &Crown<'_>)> =
        crowns.iter().map(|crown| (over(crown), crown)).filter(|(over, _)| *over > TRIMMED).collect();
    let &(far, crown) = reaching.iter().max_by(|a, b| a.0.total_cmp(&b.0))?;
    // A crown cannot press further than it is wide.
    let far = far.min(2.0 * crown.radius);
    let least = (crown.radius - far).max(0.0);
    let severity = if far > MUCH { Severity::Doubt } else { Severity::Note };
    let mut finding = Finding::new(rule, severity, ElementRef::new(Kind::Planting, &planting.id))
        .value("count", Datum::count(reaching.len()))
        .value("spread", Datum::size(2.0 * crown.radius))
        .value("over", Datum::length(far))
        .value("least", Datum::length(least))
        .word("plant", &taxon.botanical)
        .at(crown.at)
        .remedy(format!("set it {} further off", study.reader.length(far)), Vec::new())
        .remedy("take a smaller form of the stock, or plan to clip it", Vec::new());
    if let Ok(years) = study.spread_curve(crown.plant, taxon).years_to(2.0 * least.max(0.01)) {
        finding = finding.from_year(years);
    }
    Some(finding)
}

/// A door, window or vent in a wall that is known.
struct Opened<'p> {
    opening: &'p Opening,
    element: ElementRef,
    middle: Point,
}

impl Opened<'_> {
    /// Whether crowns in a box may stand before it.
    fn near(&self, crowns: Rect) -> bool {
        let reach = 0.5 * self.opening.width.value;
        crowns.inflate(reach, reach).contains(self.middle)
    }
}

fn openings<'p>(study: &PlantingStudy<'p>) -> Vec<Opened<'p>> {
    let property = &study.project.property;
    let walls: BTreeSet<&ElementId> = property.buildings.iter().map(|building| &building.id).collect();
    let places: BTreeMap<&ElementRef, Point> =
        study.yard.plot.openings.iter().map(|spot| (&spot.element, spot.at)).collect();
    let known = property.openings.iter().filter(|opening| walls.contains(&opening.building));
    known
        .filter_map(|opening| {
            let element = ElementRef::new(Kind::Opening, &opening.id);
            let middle = *places.get(&element)?;
            Some(Opened { opening, element, middle })
        })
        .collect()
}

/// The first plant whose crown stands before an opening and grows above its sill.
fn before_opening(
    study: &PlantingStudy<'_>,
    planting: &Planting,
    taxon: &Taxon,
    crowns: &[Crown<'_>],
    Opened { opening, element, middle }: &Opened<'_>,
) -> Option<Finding> {
    let (tall, sill) = (taxon.mature_height(), opening.sill.value.max(0.0));
    // A tree before a window is looked under; it is the shrub that shuts it.
    if tall <= sill + ABOVE_SILL || taxon.kind == PlantKind::Tree {
        return None;
    }
    let reach = 0.5 * opening.width.value - TRIMMED;
    let crown = crowns.iter().find(|crown| crown.at.distance(*middle) < crown.radius + reach)?;
    let severity = match opening.kind {
        OpeningKind::Door | OpeningKind::GarageDoor => Severity::Fault,
        OpeningKind::Vent => Severity::Doubt,
        OpeningKind::Window => Severity::Note,
    };
    let finding = Finding::new(&BEFORE_OPENING, severity, ElementRef::new(Kind::Planting, &planting.id))
        .also(element.clone())
        .word("plant", &taxon.botanical)
        .word("other", element.to_string())
        .word("what", opening.kind.to_string())
        .value("height", Datum::size(tall))
        .limit(Datum::length(sill))
        .rests_on(element.clone(), "sill", opening.sill.standing)
        .at(crown.at)
        .remedy("take a lower plant here, or move it aside", Vec::new());
    let years = study.height_curve(crown.plant, taxon).years_to((sill + ABOVE_SILL).max(0.01));
    Some(match years {
        Ok(years) => finding.from_year(years),
        Err(_) => finding,
    })
}
