//! The property line and the ways in.

use groundwright_geometry::{Point, Region, RegionIndex};
use groundwright_handoff::{Datum, Finding, Rule, Severity, Source};
use groundwright_plan::{Action, ElementRef, Kind, Standing, Surface, SurfaceKind};
use groundwright_yard::Origin;

use super::{ball_width, place};
use crate::study::{SiteStudy, is_public, whole_property};

static NO_LINE: Rule = Rule {
    id: "site.no-boundary",
    title: "Property line missing",
    sentence: "The project has no property line, so nothing can be checked against it.",
    source: Source::CommonPractice,
};
static LINE_UNKNOWN: Rule = Rule {
    id: "site.boundary-unknown",
    title: "Property line not vouched for",
    sentence: "Nobody said how well the property line is known; the work could reach onto a neighbour's land.",
    source: Source::CommonPractice,
};
static AREA_BEYOND: Rule = Rule {
    id: "site.beyond-boundary",
    title: "Beyond the property line",
    sentence: "{subject}: {area} of it lies beyond the property line.",
    source: Source::CommonPractice,
};
static PLACES_BEYOND: Rule = Rule {
    id: "site.plants-beyond-boundary",
    title: "Plants beyond the property line",
    sentence: "{subject}: {count} {stands|stand} beyond the property line, the farthest by {distance}.",
    source: Source::CommonPractice,
};
static NARROW: Rule = Rule {
    id: "site.narrow-access",
    title: "Root balls and the narrowest way in",
    sentence: "The narrowest way in is {limit} wide; a root ball of {subject} is {ball} wide.",
    source: Source::CommonPractice,
};
static NO_ROOF: Rule = Rule {
    id: "site.no-roof",
    title: "Roofs left out",
    sentence: "{subject} is taken without its roof: {problem}. Its shadows come out too short.",
    source: Source::CommonPractice,
};

/// What lies nearer to the property line than this is on it: a tape's and a brush's width. [m]
/// Common practice, no source.
const ON_THE_LINE: f64 = 0.15;
/// Slivers below this are rounding. [m²]
const SLIVER: f64 = 0.05;
/// A ball wider than this share of the way in is awkward to carry through. Common practice, no source.
const TIGHT: f64 = 0.8;

pub(super) fn findings(study: &SiteStudy<'_>, all: &mut Vec<Finding>) {
    line(study, all);
    if let Some(boundary) = &study.yard.plot.boundary {
        areas_beyond(study, &boundary.whole, all);
        found_beyond(study, &boundary.whole, all);
    }
}

pub(super) fn of_new_plants(study: &SiteStudy<'_>, all: &mut Vec<Finding>) {
    if let Some(boundary) = &study.yard.plot.boundary {
        let index = RegionIndex::new(&boundary.whole);
        for planting in &study.project.design.plantings {
            let places: Vec<Point> = study.yard.plants_of(&planting.id).map(place).collect();
            let element = ElementRef::new(Kind::Planting, &planting.id);
            all.extend(places_beyond(&index, &element, &places, Severity::Fault));
        }
    }
    access(study, all);
    roofs(study, all);
}

fn roofs(study: &SiteStudy<'_>, all: &mut Vec<Finding>) {
    for building in &study.project.property.buildings {
        let problem = crate::solids::roofs(study, building).into_iter().find_map(Result::err);
        if let Some(problem) = problem {
            let element = ElementRef::new(Kind::Building, &building.id);
            let finding =
                Finding::new(&NO_ROOF, Severity::Note, element).word("problem", problem.to_string());
            all.push(
                finding.remedy("give the outline without its smallest corners, or a flat roof", Vec::new()),
            );
        }
    }
}

fn line(study: &SiteStudy<'_>, all: &mut Vec<Finding>) {
    match &study.project.property.boundary {
        None => {
            all.push(Finding::new(&NO_LINE, Severity::Doubt, whole_property()).remedy(
                "take it from the plat or from pins found, and write it under [boundary]",
                Vec::new(),
            ));
        }
        Some(boundary) if matches!(boundary.known.standing, Standing::Assumed { .. }) => all.push(
            Finding::new(&LINE_UNKNOWN, Severity::Doubt, whole_property())
                .rests_on(whole_property(), "known", boundary.known.standing)
                .remedy("look for pins or a survey, and say so under `known`", Vec::new()),
        ),
        Some(_) => {}
    }
}

/// How an element that lies beyond the line matters: what is there is a fact, what is planned a fault.
fn areas_beyond(study: &SiteStudy<'_>, inside: &Region, all: &mut Vec<Finding>) {
    let plot = &study.yard.plot;
    let wide = inside.grow(ON_THE_LINE);
    // Drives and walks lead out to the street over public ground.
    let leads_out = |surface: &Surface| {
        is_public(surface) || matches!(surface.kind, SurfaceKind::Drive | SurfaceKind::Walk)
    };
    let private = |element: &ElementRef| {
        !study.project.property.surfaces.iter().any(|surface| surface.id == element.id && leads_out(surface))
    };
    let there = plot.buildings.iter().chain(plot.surfaces.iter().filter(|area| private(&area.element)));
    let there = there.map(|area| (area, &area.whole, Severity::Note));
    let cleared = plot.overgrown.iter().map(|area| (area, &area.whole, Severity::Fault));
    let planned = plot.beds.iter().chain(&plot.boxes).chain(&plot.lawns);
    let planned = planned.map(|area| (area, &area.free, Severity::Fault));
    for (area, region, severity) in there.chain(cleared).chain(planned) {
        if region.difference(&wide).area() <= SLIVER {
            continue;
        }
        let beyond = region.difference(inside);
        let mut finding = Finding::new(&AREA_BEYOND, severity, area.element.clone())
            .value("area", Datum::area(beyond.area()));
        if let Some((at, _)) = beyond.pole(0.05) {
            finding = finding.at(at);
        }
        all.push(with_line_remedies(finding, severity));
    }
}

fn with_line_remedies(finding: Finding, severity: Severity) -> Finding {
    if severity == Severity::Note {
        return finding.remedy("ask whose land it is before anything is changed there", Vec::new());
    }
    finding
        .remedy("draw it back to the property line", Vec::new())
        .remedy("get the neighbour's or the authority's leave in writing", Vec::new())
}

fn found_beyond(study: &SiteStudy<'_>, inside: &Region, all: &mut Vec<Finding>) {
    let index = RegionIndex::new(inside);
    for plant in &study.found {
        // A neighbour's tree is not ours to fell or to dig.
        let severity = if plant.action == Action::Keep { Severity::Note } else { Severity::Fault };
        all.extend(places_beyond(&index, &plant.element, &plant.places, severity));
    }
}

fn places_beyond(
    inside: &RegionIndex,
    element: &ElementRef,
    places: &[Point],
    severity: Severity,
) -> Option<Finding> {
    let outside = places.iter().filter(|at| !inside.contains(**at));
    let beyond = outside.map(|at| (inside.boundary_distance(*at), *at));
    let beyond: Vec<(f64, Point)> = beyond.filter(|(distance, _)| *distance > ON_THE_LINE).collect();
    let (distance, at) = beyond.iter().copied().max_by(|a, b| a.0.total_cmp(&b.0))?;
    let finding = Finding::new(&PLACES_BEYOND, severity, element.clone())
        .value("count", Datum::count(beyond.len()))
        .value("distance", Datum::length(distance))
        .at(at);
    Some(with_line_remedies(finding, severity))
}

/// The widest ball of all plants that are set, against the narrowest way in.
fn access(study: &SiteStudy<'_>, all: &mut Vec<Finding>) {
    let narrowest = study.project.property.access.narrowest;
    let set = study.yard.plants.iter().filter(|plant| plant.origin != Origin::Kept);
    let balls = set.filter_map(|plant| Some((plant, ball_width(study, plant)?)));
    let Some((plant, ball)) = balls.max_by(|a, b| a.1.total_cmp(&b.1)) else { return };
    if ball <= TIGHT * narrowest.value {
        return;
    }
    let severity = if ball > narrowest.value { Severity::Doubt } else { Severity::Note };
    all.push(
        Finding::new(&NARROW, severity, plant.key.instruction.clone())
            .value("ball", Datum::length(ball))
            .limit(Datum::length(narrowest.value))
            .at(place(plant))
            .rests_on(whole_property(), "access.narrowest", narrowest.standing)
            .remedy("see whether it goes by that way at all; else take a smaller size", Vec::new()),
    );
}
