//! Findings of the site.

use groundwright_geometry::{Point, Region, RegionIndex};
use groundwright_handoff::{Datum, Finding, Rule, Severity, Source};
use groundwright_plan::{Action, BuriedKind, Command, Condition, ElementRef, Kind, Standing, SurfaceKind};
use groundwright_yard::{Area, Origin};

use crate::study::SiteStudy;

static OUTSIDE: Rule = Rule {
    id: "site.outside",
    title: "Work outside the property line",
    sentence: "{subject}: {area} of it lies outside the property line ({known}).",
    source: Source::Practice,
};
static NO_BOUNDARY: Rule = Rule {
    id: "site.no-boundary",
    title: "No property line",
    sentence: "The project gives no property line; nothing can be checked against it.",
    source: Source::Practice,
};
static UNKNOWN_LINE: Rule = Rule {
    id: "site.line-unknown",
    title: "Property line not verified",
    sentence: "The property line is known {known}; have a surveyor find the pins before building near it.",
    source: Source::CommonPractice,
};
static SERVICE_IN_BED: Rule = Rule {
    id: "site.service",
    title: "Buried services under planned work",
    sentence: "{what} {service} runs {length} under {place}; depth {depth} is not certain until it is located.",
    source: Source::CommonPractice,
};
static ROOTS_CUT: Rule = Rule {
    id: "site.roots",
    title: "Soil work inside a tree protection ring",
    sentence: "{subject}: soil is worked {depth} deep on {area} inside the ring of {tree}, {limit} from its trunk.",
    source: Source::Published("1.0 to 1.5 ft of radius per inch of trunk: municipal and extension rules"),
};
static WEED_KEPT: Rule = Rule {
    id: "site.weed-kept",
    title: "Weeds that stay",
    sentence: "{subject}: {plant} is a weed or listed as invasive and is marked {action}.",
    source: Source::Published("the stock's entry with its own source"),
};
static POOR_MOVED: Rule = Rule {
    id: "site.poor-moved",
    title: "Weak plants to be moved",
    sentence: "{subject}: {count} plants in poor condition are marked to be moved; few survive it.",
    source: Source::CommonPractice,
};
static TREE_REMOVED: Rule = Rule {
    id: "site.tree-removed",
    title: "Trees to be taken down",
    sentence: "{subject} of {diameter} is taken down: a licensed arborist's work; ask the local office whether a permit is needed.",
    source: Source::CommonPractice,
};
static NARROW: Rule = Rule {
    id: "site.access",
    title: "Narrow access",
    sentence: "The narrowest passage is {width}; loads and balls wider than {limit} must come another way.",
    source: Source::CommonPractice,
};

/// Area outside the line below which nobody would see it. [m²]
const SLIVER: f64 = 0.05;

/// Room left on each side of a barrow or ball in a passage. [m] Common practice, no source.
const PLAY: f64 = 0.1;

/// All findings of the site.
pub(crate) fn findings(study: &SiteStudy<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    boundary(study, &mut all);
    services(study, &mut all);
    roots(study, &mut all);
    plants(study, &mut all);
    access(study, &mut all);
    all
}

fn project_wide() -> ElementRef {
    ElementRef::new(Kind::PaperLine, &"boundary".into())
}

fn boundary(study: &SiteStudy<'_>, all: &mut Vec<Finding>) {
    let plot = &study.yard.plot;
    let Some(line) = &plot.boundary else {
        all.push(
            Finding::new(&NO_BOUNDARY, Severity::Doubt, project_wide())
                .remedy("add `[boundary]` with an outline to property.toml", Vec::new()),
        );
        return;
    };
    let known = study.project.property.boundary.as_ref().map(|b| b.known.clone());
    let words = known.as_ref().map_or("by nobody", |k| k.value.as_str()).to_owned();
    if known.is_none_or(|k| k.standing != Standing::Measured) {
        all.push(
            Finding::new(&UNKNOWN_LINE, Severity::Note, project_wide())
                .word("known", format!("“{words}”"))
                .remedy("mark it `standing = \"measured\"` when the pins are found", Vec::new()),
        );
    }
    let inside = line.whole.grow(0.02);
    let public = |area: &Area| {
        study.project.property.surfaces.iter().any(|s| {
            s.id == area.element.id && matches!(s.kind, SurfaceKind::Street | SurfaceKind::Sidewalk | SurfaceKind::Curb)
        })
    };
    let drives = |area: &Area| {
        study
            .project
            .property
            .surfaces
            .iter()
            .any(|s| s.id == area.element.id && matches!(s.kind, SurfaceKind::Drive | SurfaceKind::Walk))
    };
    let surfaces = plot.surfaces.iter().filter(|area| !public(area) && !drives(area));
    for area in plot.buildings.iter().chain(surfaces).chain(&plot.beds).chain(&plot.boxes).chain(&plot.lawns) {
        let out = area.free.difference(&inside);
        if out.area() > SLIVER {
            let mut finding = Finding::new(&OUTSIDE, Severity::Doubt, area.element.clone())
                .value("area", Datum::area(out.area()))
                .word("known", &words)
                .remedy("draw it inside the line, or ask whose ground it is", Vec::new());
            if let Some(at) = out.centroid() {
                finding = finding.at(at);
            }
            all.push(finding);
        }
    }
}

/// Services whose line runs under a bed, box or new lawn.
fn services(study: &SiteStudy<'_>, all: &mut Vec<Finding>) {
    let plot = &study.yard.plot;
    for route in &plot.buried_lines {
        let Some(buried) = study.project.property.buried.iter().find(|b| b.id == route.element.id) else { continue };
        if !buried.kind.is_service() {
            continue;
        }
        let grave = matches!(buried.kind, BuriedKind::Gas | BuriedKind::Power);
        for area in plot.beds.iter().chain(&plot.boxes) {
            let under = route.line.intervals_inside(&area.free);
            let length: f64 = under.iter().map(|(from, to)| to - from).sum();
            let Some(first) = under.first().filter(|_| length > 0.1) else { continue };
            let severity = if grave { Severity::Danger } else { Severity::Doubt };
            all.push(
                Finding::new(&SERVICE_IN_BED, severity, route.element.clone())
                    .also(area.element.clone())
                    .word("what", capital(&buried.kind.to_string()))
                    .word("service", format!("line `{}`", route.element.id))
                    .word("place", area.element.to_string())
                    .value("length", Datum::length(length))
                    .value("depth", Datum::depth(buried.depth.value))
                    .rests_on(route.element.clone(), "depth", buried.depth.standing)
                    .at(route.line.point(f64::midpoint(first.0, first.1)))
                    .remedy(
                        "call the local one-call centre before digging; dig by hand near the marks",
                        Vec::new(),
                    ),
            );
        }
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|c| c.to_uppercase().collect::<String>() + letters.as_str()).unwrap_or_default()
}

/// Soil preparation worked in inside a protection ring.
fn roots(study: &SiteStudy<'_>, all: &mut Vec<Finding>) {
    for bed in &study.project.design.beds {
        let Some(soil) = bed.soil.as_ref().filter(|soil| soil.worked_in.value > 0.0) else { continue };
        let element = ElementRef::new(Kind::Bed, &bed.id);
        let Some(area) = study.yard.plot.area(&element) else { continue };
        for ring in &study.rings {
            let shared = area.free.intersection(&ring.region);
            if shared.area() <= SLIVER {
                continue;
            }
            let mut finding = Finding::new(&ROOTS_CUT, Severity::Fault, element.clone())
                .also(ring.element.clone())
                .value("depth", Datum::depth(soil.worked_in.value))
                .value("area", Datum::area(shared.area()))
                .word("tree", ring.element.to_string())
                .limit(Datum::length(ring.radius))
                .rests_on(ring.element.clone(), "diameter", ring.tree.diameter.standing)
                .remedy(
                    "lay it on top and work nothing in",
                    vec![Command::set(Kind::Bed, &bed.id, "soil.worked_in", "\"0 in\"")],
                );
            if let Some(at) = shared.centroid() {
                finding = finding.at(at);
            }
            all.push(finding);
        }
    }
}

fn plants(study: &SiteStudy<'_>, all: &mut Vec<Finding>) {
    let property = &study.project.property;
    let stock = &study.project.stock.taxa;
    let mut weed = |element: ElementRef, taxon: Option<&groundwright_plan::TaxonId>, action: Action| {
        let Some(taxon) = taxon.and_then(|id| stock.get(id)) else { return };
        if action != Action::Remove && (taxon.weed || !taxon.invasive.is_empty()) {
            let kind = element.kind;
            let id = element.id.clone();
            all.push(
                Finding::new(&WEED_KEPT, Severity::Doubt, element)
                    .word("plant", &taxon.botanical)
                    .word("action", action.to_string())
                    .remedy("take it out", vec![Command::set(kind, &id, "action", "\"remove\"")]),
            );
        }
    };
    for tree in &property.trees {
        weed(ElementRef::new(Kind::Tree, &tree.id), tree.taxon.as_ref(), tree.action);
    }
    for shrub in &property.shrubs {
        weed(ElementRef::new(Kind::Shrub, &shrub.id), shrub.taxon.as_ref(), shrub.action);
    }
    for shrub in property.shrubs.iter().filter(|s| s.action == Action::Move && s.condition.value == Condition::Poor) {
        let element = ElementRef::new(Kind::Shrub, &shrub.id);
        all.push(
            Finding::new(&POOR_MOVED, Severity::Doubt, element.clone())
                .value("count", Datum::count(shrub.count))
                .rests_on(element, "condition", shrub.condition.standing)
                .remedy("take it out and buy new", vec![Command::set(Kind::Shrub, &shrub.id, "action", "\"remove\"")]),
        );
    }
    for tree in property.trees.iter().filter(|t| t.action == Action::Remove) {
        let element = ElementRef::new(Kind::Tree, &tree.id);
        all.push(
            Finding::new(&TREE_REMOVED, Severity::Danger, element.clone())
                .value("diameter", Datum::depth(tree.diameter.value))
                .rests_on(element, "diameter", tree.diameter.standing)
                .remedy("hire a licensed arborist", Vec::new()),
        );
    }
}

/// The widest ball bought or dug against the narrowest passage.
fn access(study: &SiteStudy<'_>, all: &mut Vec<Finding>) {
    let passage = study.project.property.access.narrowest;
    let bought = study.yard.plants.iter().filter(|p| p.origin == Origin::New).filter_map(|plant| {
        let taxon = study.project.stock.taxa.get(plant.taxon.as_ref()?)?;
        groundwright_yard::size_bought(&study.project.stock, taxon, plant.size.as_deref())?.diameter
    });
    let dug = study.yard.transplanting.dug.iter().map(|dug| dug.spread * study.project.practice.dug_ball);
    let widest = bought.chain(dug).fold(0.0, f64::max);
    let limit = passage.value - 2.0 * PLAY;
    if widest > limit {
        all.push(
            Finding::new(&NARROW, Severity::Doubt, project_wide())
                .value("width", Datum::length(passage.value))
                .limit(Datum::length(limit))
                .remedy("measure the gate, or plan to lift over the fence", Vec::new()),
        );
    }
}

/// Whether a point lies inside any of the areas; used by the marks to keep letters off buildings.
pub(crate) fn inside(areas: &[Area]) -> impl Fn(Point) -> bool {
    let index = RegionIndex::new(&Region::union_all(areas.iter().map(|area| &area.whole)));
    move |at| index.contains(at)
}
