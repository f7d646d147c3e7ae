//! Digging near what lies in the ground.
//!
//! Depths of services are never trusted: ground moves, records err, and a line may lie anywhere in
//! the tolerance zone beside its mark. So whatever is dug over or near a service is reported.

use groundwright_geometry::{Point, Rect};
use groundwright_handoff::{Datum, Finding, Rule, Severity, Source};
use groundwright_plan::{Buried, BuriedKind, ElementRef, Fate, Kind, LawnKind};
use groundwright_yard::{Area, Plant, Plot, Route};

use super::{ball_width, place};
use crate::study::SiteStudy;

static SERVICE_DUG: Rule = Rule {
    id: "site.service-under-digging",
    title: "Services under ground that is dug: locate before digging",
    sentence: "{subject} ({what}) runs {length} under {where}, about {depth} deep. \
               Locate before digging: call the local utility locating centre.",
    source: Source::CommonPractice,
};
static SERVICE_POINT_DUG: Rule = Rule {
    id: "site.service-fitting-under-digging",
    title: "Services under ground that is dug: locate before digging",
    sentence: "{subject} ({what}) lies under {where}, about {depth} deep. \
               Locate before digging: call the local utility locating centre.",
    source: Source::CommonPractice,
};
static SERVICE_HOLE: Rule = Rule {
    id: "site.service-at-holes",
    title: "Planting holes near services: locate before digging",
    sentence: "{subject} ({what}): {count} planting {hole|holes} ({where}) {comes|come} nearer to it than {limit}, the nearest at {least}. \
               Locate before digging: call the local utility locating centre.",
    source: Source::CommonPractice,
};
static SERVICE_ALTERED: Rule = Rule {
    id: "site.service-altered",
    title: "Services that somebody else must alter",
    sentence: "{subject} ({what}) is marked {fate}; only its owner or a licensed trade may do that.",
    source: Source::CommonPractice,
};
static GARDEN_PIPE_DUG: Rule = Rule {
    id: "site.garden-pipe-under-digging",
    title: "Garden pipes and cables under ground that is dug",
    sentence: "{subject} ({what}) stays in use and runs {length} under {where}, about {depth} deep.",
    source: Source::CommonPractice,
};

/// Distance from a service within which one digs by hand: 24 in to each side. [m] From memory: local
/// rules say 18 to 30 in, and the locating centre decides.
pub(crate) const TOLERANCE_ZONE: f64 = 0.6096;

/// No planting hole reaches further from its middle. [m]
const WIDEST_HOLE: f64 = 5.0;

pub(super) fn findings(study: &SiteStudy<'_>, all: &mut Vec<Finding>) {
    let ground = dug(study);
    for thing in &study.project.property.buried {
        if thing.kind.is_service() {
            service(study, &ground, thing, all);
        } else if matches!(thing.fate, Fate::Keep | Fate::Reuse) {
            garden_pipe(study, &ground, thing, all);
        }
    }
}

pub(super) fn of_new_plants(study: &SiteStudy<'_>, all: &mut Vec<Finding>) {
    for thing in study.project.property.buried.iter().filter(|thing| thing.kind.is_service()) {
        holes(study, thing, &ElementRef::new(Kind::Buried, &thing.id), all);
    }
}

/// Ground that is dug: beds, and lawns that are stripped, with the depth to which they are worked.
fn dug<'p>(study: &SiteStudy<'p>) -> Vec<(&'p Area, f64)> {
    let (plot, design) = (&study.yard.plot, &study.project.design);
    let strip = study.project.practice.strip_depth;
    let beds = plot.beds.iter().filter_map(|area| {
        let bed = design.beds.iter().find(|bed| bed.id == area.element.id)?;
        Some((area, bed.soil.as_ref().map_or(0.0, |soil| strip + soil.worked_in.value)))
    });
    let lawns = plot.lawns.iter().filter_map(|area| {
        let lawn = design.lawns.iter().find(|lawn| lawn.id == area.element.id)?;
        (lawn.kind != LawnKind::Keep).then_some((area, strip))
    });
    beds.chain(lawns).collect()
}

/// Where something buried lies under ground that is dug.
struct Under<'p> {
    areas: Vec<&'p Area>,
    /// Length of the line in them; 0 for a single thing. [m]
    length: f64,
    /// Depth of the deepest working above it. [m]
    working: f64,
    at: Point,
}

fn under<'p>(plot: &Plot, ground: &[(&'p Area, f64)], element: &ElementRef) -> Option<Under<'p>> {
    let mut found: Option<Under<'p>> = None;
    for &(area, working) in ground {
        let Some((length, at)) = inside(plot, element, area) else { continue };
        let under = found.get_or_insert(Under { areas: Vec::new(), length: 0.0, working: 0.0, at });
        under.areas.push(area);
        under.length += length;
        under.working = under.working.max(working);
    }
    found
}

/// Length of a buried line inside an area and a place there; a single thing has no length.
fn inside(plot: &Plot, element: &ElementRef, area: &Area) -> Option<(f64, Point)> {
    if let Some(route) = route(plot, element) {
        let intervals = route.line.intervals_inside(&area.free);
        let length: f64 = intervals.iter().map(|(from, to)| to - from).sum();
        let longest = intervals.iter().max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)))?;
        return (length > 0.01).then(|| (length, route.line.point(f64::midpoint(longest.0, longest.1))));
    }
    let spot = plot.buried_spots.iter().find(|spot| &spot.element == element)?;
    area.free.contains(spot.at).then_some((0.0, spot.at))
}

fn route<'p>(plot: &'p Plot, element: &ElementRef) -> Option<&'p Route> {
    plot.buried_lines.iter().find(|route| &route.element == element)
}

/// The ids of some areas as words.
fn list(areas: &[&Area]) -> String {
    let names: Vec<String> = areas.iter().map(|area| area.element.to_string()).collect();
    names.join(", ")
}

/// Gas and power can kill; another service is a fault where the working reaches its depth.
fn severity(thing: &Buried, working: f64) -> Severity {
    match thing.kind {
        BuriedKind::Gas | BuriedKind::Power => Severity::Danger,
        _ if thing.depth.value - thing.depth.standing.spread() <= working => Severity::Fault,
        _ => Severity::Doubt,
    }
}

const LOCATE: &str = "have it located and marked, and keep to hand digging beside the marks";

fn service(study: &SiteStudy<'_>, ground: &[(&Area, f64)], thing: &Buried, all: &mut Vec<Finding>) {
    let element = ElementRef::new(Kind::Buried, &thing.id);
    if let Some(under) = under(&study.yard.plot, ground, &element) {
        let single = route(&study.yard.plot, &element).is_none();
        let rule = if single { &SERVICE_POINT_DUG } else { &SERVICE_DUG };
        let finding = Finding::new(rule, severity(thing, under.working), element.clone());
        all.push(about(finding, thing, &under).remedy(LOCATE, Vec::new()));
    }
    if thing.fate != Fate::Keep {
        all.push(
            Finding::new(&SERVICE_ALTERED, Severity::Fault, element)
                .word("what", thing.kind.to_string())
                .word("fate", thing.fate.to_string())
                .remedy("ask its owner", Vec::new())
                .remedy(
                    "leave it as it is",
                    vec![groundwright_plan::Command::set(Kind::Buried, &thing.id, "fate", "\"keep\"")],
                ),
        );
    }
}

fn about(finding: Finding, thing: &Buried, under: &Under<'_>) -> Finding {
    let mut finding = finding
        .value("length", Datum::length(under.length))
        .value("depth", Datum::depth(thing.depth.value))
        .word("what", thing.kind.to_string())
        .word("where", list(&under.areas))
        .at(under.at);
    for area in &under.areas {
        finding = finding.also(area.element.clone());
    }
    let element = ElementRef::new(Kind::Buried, &thing.id);
    finding.rests_on(element, "depth", thing.depth.standing)
}

/// Holes of new and moved plants whose edge comes nearer to a service than the practice allows.
fn holes(study: &SiteStudy<'_>, thing: &Buried, element: &ElementRef, all: &mut Vec<Finding>) {
    let practice = &study.project.practice;
    let plot = &study.yard.plot;
    let spot = plot.buried_spots.iter().find(|spot| &spot.element == element);
    let route = route(plot, element);
    // Nothing further out than the widest hole and the zone concerns it; that spares most searches.
    let reach = route.map(|route| {
        let points = route.line.flatten(0.05);
        let line = points
            .iter()
            .fold(Rect::from_points(route.line.start(), route.line.end()), |r, p| r.union_pt(*p));
        line.inflate(WIDEST_HOLE + TOLERANCE_ZONE, WIDEST_HOLE + TOLERANCE_ZONE)
    });
    let distance = |at: Point| match (route, spot) {
        (Some(route), _) => route.line.nearest(at).distance,
        (None, Some(spot)) => spot.at.distance(at),
        (None, None) => f64::INFINITY,
    };
    let edge = |plant: &Plant| {
        if reach.is_some_and(|reach| !reach.contains(place(plant))) {
            return None;
        }
        let radius = ball_width(study, plant)? * practice.hole_width / 2.0;
        Some((distance(place(plant)) - radius).max(0.0))
    };
    let near = study.yard.plants.iter().filter_map(|plant| Some((edge(plant)?, plant)));
    let near: Vec<(f64, &Plant)> = near.filter(|(edge, _)| *edge < TOLERANCE_ZONE).collect();
    let Some((least, nearest)) = near.iter().min_by(|a, b| a.0.total_cmp(&b.0)) else { return };
    let severity = if matches!(thing.kind, BuriedKind::Gas | BuriedKind::Power) {
        Severity::Danger
    } else {
        Severity::Fault
    };
    let mut finding = Finding::new(&SERVICE_HOLE, severity, element.clone())
        .value("count", Datum::count(near.len()))
        .value("least", Datum::length(*least))
        .limit(Datum::depth(TOLERANCE_ZONE))
        .word("what", thing.kind.to_string())
        .at(place(nearest));
    let mut plantings: Vec<&ElementRef> = near.iter().map(|(_, plant)| &plant.key.instruction).collect();
    plantings.sort();
    plantings.dedup();
    let names: Vec<String> = plantings.iter().map(ToString::to_string).collect();
    finding = finding.word("where", names.join(", "));
    for planting in plantings {
        finding = finding.also(planting.clone());
    }
    all.push(finding.remedy(LOCATE, Vec::new()).remedy("plant farther from the line", Vec::new()));
}

fn garden_pipe(study: &SiteStudy<'_>, ground: &[(&Area, f64)], thing: &Buried, all: &mut Vec<Finding>) {
    let element = ElementRef::new(Kind::Buried, &thing.id);
    let Some(under) = under(&study.yard.plot, ground, &element).filter(|under| under.length > 0.0) else {
        return;
    };
    let finding = Finding::new(&GARDEN_PIPE_DUG, Severity::Note, element);
    all.push(
        about(finding, thing, &under).remedy("find it and flag it before the ground is worked", Vec::new()),
    );
}
