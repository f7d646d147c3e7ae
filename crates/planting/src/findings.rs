//! Findings of planting: what would not come out as meant, and what deserves a caution.

use std::collections::BTreeMap;

use groundwright_geometry::{Point, RegionIndex};
use groundwright_handoff::{Datum, Finding, Rule, Severity, Source};
use groundwright_plan::stock::WaterUse;
use groundwright_plan::{
    Action, Command, ElementRef, Kind, Layout, PaperLineKind, PlantSource, Planting, PlantingRole, TaxonId,
};
use groundwright_yard::{Arrangement, Origin, Plant, SpacingReason};

use crate::study::PlantingStudy;

static NOTHING_STANDS: Rule = Rule {
    id: "planting.nothing-stands",
    title: "Plantings without plants",
    sentence: "{subject} has no plants: nothing of its line or area is free to plant.",
    source: Source::Practice,
};
static ENDS_UNEVEN: Rule = Rule {
    id: "planting.row-ends",
    title: "Rows whose ends do not come out even",
    sentence: "{subject}: at {spacing} the row does not come out even at both ends within {limit}.",
    source: Source::CommonPractice,
};
static HELD: Rule = Rule {
    id: "planting.held-by-others",
    title: "Plants left out because others hold the place",
    sentence: "{subject}: about {count} {plant is|plants are} left out, {its place|their places} held by {others}.",
    source: Source::Practice,
};
static CROWDED_OUT: Rule = Rule {
    id: "planting.crowded-out",
    title: "Plants left out where rows crowd",
    sentence: "{subject}: {count} {plant is|plants are} left out in tight bends, where {it|they} would stand too near.",
    source: Source::CommonPractice,
};
static LEFT_EMPTY: Rule = Rule {
    id: "planting.left-empty",
    title: "Ground that a mass leaves open",
    sentence: "{subject}: {area} of its {whole} stays open, in parts too narrow for its spacing.",
    source: Source::CommonPractice,
};
static EVEN_GROUP: Rule = Rule {
    id: "planting.even-group",
    title: "Groups with an even number",
    sentence: "{subject} has {count} {plant|plants}; small groups read better with an odd number.",
    source: Source::CommonPractice,
};
static OUTSIDE_BEDS: Rule = Rule {
    id: "planting.outside-beds",
    title: "Plants outside every bed",
    sentence: "{subject}: {count} {plant stands|plants stand} in no bed or box.",
    source: Source::Practice,
};
static NEAR_PAVING: Rule = Rule {
    id: "planting.near-paving",
    title: "Plants too near paving",
    sentence: "{subject}: {count} {plant stands|plants stand} nearer than {limit} to paving, the nearest at {least}.",
    source: Source::Practice,
};
static NEAR_BUILDING: Rule = Rule {
    id: "planting.near-building",
    title: "Plants too near a building",
    sentence: "{subject}: {count} {plant stands|plants stand} nearer than {limit} to a building, the nearest at {least}.",
    source: Source::Practice,
};
static ON_PAVING: Rule = Rule {
    id: "planting.stands-on-paving",
    title: "Plants on paving or inside a building",
    sentence: "{subject}: {count} {plant stands|plants stand} on paving, where nothing can be planted.",
    source: Source::Practice,
};
static IN_BUILDING: Rule = Rule {
    id: "planting.stands-in-building",
    title: "Plants on paving or inside a building",
    sentence: "{subject}: {count} {plant stands|plants stand} inside a building.",
    source: Source::Practice,
};
static NEVER_CLOSES: Rule = Rule {
    id: "planting.never-closes",
    title: "Plantings that never close",
    sentence: "{subject}: at {spacing} the crowns never touch; {plant} grows to {limit} across.",
    source: Source::CommonPractice,
};
static OUTGROWS: Rule = Rule {
    id: "planting.outgrows",
    title: "Plantings that will outgrow their spacing",
    sentence: "{subject}: {plant} grows to {mature} across and stands at {spacing}; it will need hard pruning or thinning.",
    source: Source::CommonPractice,
};
static LEFT_OVER: Rule = Rule {
    id: "planting.transplants-left",
    title: "Dug plants without a new place",
    sentence: "{subject}: {count} dug {plant or division has|plants or divisions have} no new hole.",
    source: Source::Practice,
};
static NOTHING_YIELDED: Rule = Rule {
    id: "planting.transplants-nothing",
    title: "Plants marked move that yield nothing",
    sentence: "{subject}: {count} {plant is|plants are} marked move, but at {each} expected of each none is left to plant.",
    source: Source::Practice,
};
static SHORT: Rule = Rule {
    id: "planting.transplants-short",
    title: "Holes without a dug plant",
    sentence: "{subject}: {count} of its {whole} holes {gets|get} no dug plant and {stays|stay} empty.",
    source: Source::Practice,
};
static NOT_ASSIGNED: Rule = Rule {
    id: "planting.transplants-unsolved",
    title: "Transplants that could not be assigned",
    sentence: "{subject}: the dug plants could not be assigned: {why}.",
    source: Source::Practice,
};
static SIGHT: Rule = Rule {
    id: "planting.sight-triangle",
    title: "Plants that hide a driver's view",
    sentence: "{subject}: {plant} grows to {height} inside {area}, where nothing may stand above {limit}.",
    source: Source::CommonPractice,
};
static SIGHT_UNCHECKED: Rule = Rule {
    id: "planting.sight-unchecked",
    title: "Sight triangles that cannot be checked",
    sentence: "{subject} has no area or no height limit; whether plants hide a driver's view is not checked.",
    source: Source::Practice,
};
static SUMMER_WATER: Rule = Rule {
    id: "planting.summer-water",
    title: "Thirsty plants under a tree that bears no summer water",
    sentence: "{subject}: {count} {plant of|plants of} {plant} {needs|need} water in summer under the crown of {tree}.",
    source: Source::CommonPractice,
};
static TOXIC: Rule = Rule {
    id: "planting.toxic",
    title: "Toxic plants where children or pets play",
    sentence: "{plant} ({where}) is listed as toxic ({whom}); children or pets use this yard.",
    source: Source::Published(
        "the stock's toxicity entry with its own source; `none known` is no statement of safety",
    ),
};
static INVASIVE: Rule = Rule {
    id: "planting.invasive",
    title: "Plants listed as invasive",
    sentence: "{plant} ({where}) is listed as invasive: {listed}. The local list decides.",
    source: Source::Published("the stock's entry with its own source"),
};

/// A crown pressed below this share of its mature spread is a hedge to be clipped, not a plant.
const LEAST_SHARE: f64 = 0.4;

/// All findings of planting.
pub(crate) fn findings(study: &PlantingStudy<'_>) -> Vec<Finding> {
    // Nearness looks at all plants and takes as long as all else.
    let (mut all, near) = rayon::join(|| of_plantings(study), || crate::nearness::findings(study));
    all.extend(near);
    all
}

fn of_plantings(study: &PlantingStudy<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for planting in &study.project.design.plantings {
        let element = ElementRef::new(Kind::Planting, &planting.id);
        if let Some(arrangement) = study.arrangement(&element) {
            arrangement_findings(study, planting, arrangement, &element, &mut all);
        }
    }
    taxa(study, &mut all);
    clearances(study, &mut all);
    transplants(study, &mut all);
    sight(study, &mut all);
    summer_water(study, &mut all);
    all.extend(crate::outgrowing::findings(study));
    all.extend(crate::suits::findings(study));
    if let Some(light) = study.light {
        all.extend(crate::light::findings(study, light));
    }
    all
}

fn arrangement_findings(
    study: &PlantingStudy<'_>,
    planting: &Planting,
    arrangement: &Arrangement,
    element: &ElementRef,
    all: &mut Vec<Finding>,
) {
    let new = |rule, severity| Finding::new(rule, severity, element.clone());
    let count = arrangement.positions.len();
    held(study, arrangement, element, all);
    let Some(first) = arrangement.positions.first() else {
        all.push(
            new(&NOTHING_STANDS, Severity::Fault)
                .remedy("move its line or area onto free ground", Vec::new()),
        );
        return;
    };
    if !arrangement.ends_finished {
        let own = match &planting.layout {
            Layout::Row { tolerance, .. } => *tolerance,
            _ => None,
        };
        let tolerance = own.unwrap_or(study.project.practice.row_tolerance);
        let mut finding = new(&ENDS_UNEVEN, Severity::Note)
            .value("spacing", Datum::spacing(arrangement.spacing))
            .limit(Datum::ratio(tolerance))
            .at(first.at);
        // The files take up to a half; more would be no rhythm at all.
        if tolerance + 0.05 <= 0.5 {
            let wider = format!("{:.0} %", 100.0 * (tolerance + 0.05));
            let value = format!("\"{wider}\"");
            let command = Command::set(Kind::Planting, &planting.id, "row.tolerance", &value);
            finding = finding.remedy(format!("allow {wider} of play"), vec![command]);
        }
        all.push(finding.remedy("lengthen or shorten its line by part of a spacing", Vec::new()));
    }
    if arrangement.crowded_out > 0 {
        all.push(
            new(&CROWDED_OUT, Severity::Note)
                .value("count", Datum::count(arrangement.crowded_out))
                .at(first.at)
                .remedy("ease the bend of the line, or take fewer rows", Vec::new()),
        );
    }
    if let Some(area) = arrangement.area.filter(|area| arrangement.left_empty > (0.05 * area).max(0.5)) {
        all.push(
            new(&LEFT_EMPTY, Severity::Note)
                .value("area", Datum::area(arrangement.left_empty))
                .value("whole", Datum::area(area))
                .at(first.at)
                .remedy("take a plant of closer spacing for the narrow parts", Vec::new()),
        );
    }
    if matches!(planting.layout, Layout::Group { .. }) && count.is_multiple_of(2) && count < 9 {
        all.push(new(&EVEN_GROUP, Severity::Note).value("count", Datum::count(count)).at(first.at).remedy(
            format!("plant {}", count + 1),
            vec![Command::set(Kind::Planting, &planting.id, "group.count", &(count + 1).to_string())],
        ));
    }
    spacing(study, planting, arrangement, first.at, all);
}

/// Plants that an instruction would have set where others already stand. To give way to kept trunks
/// and shrubs is what rows and masses are asked to do, unless it takes half of them; another planting
/// that takes places is told, and is a doubt when it takes a fifth.
fn held(study: &PlantingStudy<'_>, arrangement: &Arrangement, element: &ElementRef, all: &mut Vec<Finding>) {
    let sum = |only: Option<Kind>| -> usize {
        arrangement.held_by.iter().filter(|(by, _)| only.is_none_or(|k| by.kind == k)).map(|(_, n)| n).sum()
    };
    let (count, by_plantings) = (sum(None), sum(Some(Kind::Planting)));
    let meant = count + arrangement.positions.len();
    if by_plantings == 0 && 2 * count < meant {
        return;
    }
    let severity = if 5 * by_plantings.max(count / 2) >= meant { Severity::Doubt } else { Severity::Note };
    let others: Vec<String> = arrangement.held_by.iter().map(|(by, n)| format!("{by} ({n})")).collect();
    let mut finding = Finding::new(&HELD, severity, element.clone())
        .value("count", Datum::count(count))
        .word("others", others.join(", "))
        .remedy("move one of them, or accept the gap", Vec::new())
        .remedy("state a closer `spacing` for the one that takes the room", Vec::new());
    for (by, _) in &arrangement.held_by {
        finding = finding.also(by.clone());
    }
    let first = arrangement.held_by.first().and_then(|(by, _)| study.yard.plants_of(&by.id).next());
    if let Some(at) = arrangement.positions.first().map(|p| p.at).or(first.map(place)) {
        finding = finding.at(at);
    }
    all.push(finding);
}

/// Spacing against mature spread, where crowns are meant to touch.
fn spacing(
    study: &PlantingStudy<'_>,
    planting: &Planting,
    arrangement: &Arrangement,
    at: Point,
    all: &mut Vec<Finding>,
) {
    if !planting.role.crowns_touch()
        || planting.role == PlantingRole::Seasonal
        || arrangement.positions.len() < 2
    {
        return;
    }
    let element = ElementRef::new(Kind::Planting, &planting.id);
    for share in &planting.shares {
        let Some(taxon) = study.project.stock.taxa.get(&share.taxon) else { continue };
        let mature = taxon.mature_spread();
        let set = |spacing: f64| {
            let text = format!("\"{spacing:.2} m\"");
            vec![Command::set(Kind::Planting, &planting.id, "spacing", &text)]
        };
        if arrangement.spacing > taxon.spread.1 * 1.05 && planting.shares.len() == 1 {
            all.push(
                Finding::new(&NEVER_CLOSES, Severity::Doubt, element.clone())
                    .value("spacing", Datum::spacing(arrangement.spacing))
                    .word("plant", &taxon.botanical)
                    .limit(Datum::size(taxon.spread.1))
                    .at(at)
                    .remedy("plant at the mature spread", set(mature)),
            );
        } else if arrangement.spacing < LEAST_SHARE * mature && arrangement.reason != SpacingReason::Usual {
            all.push(
                Finding::new(&OUTGROWS, Severity::Doubt, element.clone())
                    .value("spacing", Datum::spacing(arrangement.spacing))
                    .value("mature", Datum::size(mature))
                    .word("plant", &taxon.botanical)
                    .limit(Datum::depth(LEAST_SHARE * mature))
                    .at(at)
                    .remedy(
                        "plant wider, or take a smaller form of the stock",
                        set(taxon.spacing.unwrap_or(mature)),
                    ),
            );
        }
    }
}

/// Cautions that belong to a taxon, once for all plantings that have it.
fn taxa(study: &PlantingStudy<'_>, all: &mut Vec<Finding>) {
    let project = study.project;
    let children = project.property.place.children_or_pets;
    let mut planted: BTreeMap<&TaxonId, Vec<ElementRef>> = BTreeMap::new();
    for planting in &project.design.plantings {
        for share in &planting.shares {
            planted.entry(&share.taxon).or_default().push(ElementRef::new(Kind::Planting, &planting.id));
        }
    }
    for (id, mut plantings) in planted {
        let Some(taxon) = project.stock.taxa.get(id) else { continue };
        plantings.dedup();
        let names: Vec<String> = plantings.iter().map(ToString::to_string).collect();
        let tell = |rule, severity, remedy: &str| {
            let mut finding = Finding::new(rule, severity, plantings[0].clone())
                .word("plant", &taxon.botanical)
                .word("where", names.join(", "));
            for other in &plantings[1..] {
                finding = finding.also(other.clone());
            }
            if let Some(at) = study.arrangement(&plantings[0]).and_then(|a| a.positions.first()) {
                finding = finding.at(at.at);
            }
            finding.remedy(remedy, Vec::new())
        };
        let harmful = !matches!(taxon.toxicity.as_str(), "none known" | "unknown" | "");
        if harmful && children.value {
            let remedy = "tell the client, keep it away from play and paths, or choose another plant";
            let finding = tell(&TOXIC, Severity::Doubt, remedy).word("whom", &taxon.toxicity);
            all.push(finding.rests_on(whole_property(), "place.children_or_pets", children.standing));
        }
        if !taxon.invasive.is_empty() {
            let finding = tell(&INVASIVE, Severity::Doubt, "ask the local list before planting it");
            all.push(finding.word("listed", &taxon.invasive));
        }
    }
}

/// The element that answers for the property as a whole.
pub(crate) fn whole_property() -> ElementRef {
    ElementRef::new(Kind::PaperLine, &"boundary".into())
}

pub(crate) fn place(plant: &Plant) -> Point {
    Point::new(plant.at.x, plant.at.y)
}

/// Plants of a planting that fail a test, with the nearest of them.
struct Near {
    count: usize,
    least: f64,
    at: Point,
}

fn nearest_of<'p>(
    plants: impl Iterator<Item = &'p Plant>,
    distance: impl Fn(Point) -> f64,
    limit: f64,
) -> Option<Near> {
    let mut near: Option<Near> = None;
    for plant in plants {
        let at = place(plant);
        let d = distance(at);
        if d >= limit - 1e-6 {
            continue;
        }
        let near = near.get_or_insert(Near { count: 0, least: d, at });
        near.count += 1;
        if d < near.least {
            (near.least, near.at) = (d, at);
        }
    }
    near
}

fn clearances(study: &PlantingStudy<'_>, all: &mut Vec<Finding>) {
    let plot = &study.yard.plot;
    let practice = &study.project.practice;
    let index = |areas: &[groundwright_yard::Area]| {
        RegionIndex::new(&groundwright_geometry::Region::union_all(areas.iter().map(|area| &area.whole)))
    };
    let paving = RegionIndex::new(&groundwright_geometry::Region::union_all(plot.hard()));
    let buildings = index(&plot.buildings);
    let rules = [
        (&NEAR_PAVING, &ON_PAVING, &paving, practice.paving_clearance, plot.hard().next().is_some()),
        (&NEAR_BUILDING, &IN_BUILDING, &buildings, practice.building_clearance, !plot.buildings.is_empty()),
    ];
    for planting in &study.project.design.plantings {
        let element = ElementRef::new(Kind::Planting, &planting.id);
        let mine = || study.yard.plants_of(&planting.id);
        let homeless: Vec<&Plant> = mine().filter(|plant| plant.place.is_none()).collect();
        if let Some(first) = homeless.first() {
            all.push(
                Finding::new(&OUTSIDE_BEDS, Severity::Doubt, element.clone())
                    .value("count", Datum::count(homeless.len()))
                    .at(place(first))
                    .remedy("draw a bed around them, or move them into one", Vec::new()),
            );
        }
        for (rule, inside, index, limit, any) in rules {
            if !any {
                continue;
            }
            let distance = |at| -index.signed_distance_within(at, limit);
            // A box may stand on paving or against a wall; its plants are inside its own walls.
            let in_ground =
                || mine().filter(|p| p.place.as_ref().is_none_or(|place| place.kind != Kind::PlanterBox));
            if let Some(on) = nearest_of(in_ground(), distance, 0.0) {
                all.push(
                    Finding::new(inside, Severity::Fault, element.clone())
                        .value("count", Datum::count(on.count))
                        .at(on.at)
                        .remedy("move them onto open ground", Vec::new()),
                );
            } else if let Some(near) = nearest_of(in_ground(), distance, limit) {
                all.push(
                    Finding::new(rule, Severity::Doubt, element.clone())
                        .value("count", Datum::count(near.count))
                        .value("least", Datum::length(near.least.max(0.0)))
                        .limit(Datum::length(limit))
                        .at(near.at)
                        .remedy("move the line or area further in", Vec::new()),
                );
            }
        }
    }
}

fn transplants(study: &PlantingStudy<'_>, all: &mut Vec<Finding>) {
    let moving = &study.yard.transplanting;
    for shrub in study.project.property.shrubs.iter().filter(|s| s.action == Action::Move) {
        if !moving.dug.iter().any(|dug| dug.shrub == shrub.id) {
            let element = ElementRef::new(Kind::Shrub, &shrub.id);
            let remove = Command::set(Kind::Shrub, &shrub.id, "action", "\"remove\"");
            all.push(
                Finding::new(&NOTHING_YIELDED, Severity::Doubt, element.clone())
                    .value("count", Datum::count(shrub.count))
                    .value("each", Datum::number(shrub.yields.value))
                    .rests_on(element, "yields", shrub.yields.standing)
                    .remedy("take them out instead", vec![remove]),
            );
        }
    }
    let mut shrubs: Vec<&groundwright_plan::ElementId> =
        moving.left_over.iter().map(|&i| &moving.dug[i].shrub).collect();
    shrubs.dedup();
    for shrub in shrubs {
        let left: Vec<usize> =
            moving.left_over.iter().copied().filter(|&i| &moving.dug[i].shrub == shrub).collect();
        all.push(
            Finding::new(&LEFT_OVER, Severity::Doubt, ElementRef::new(Kind::Shrub, shrub))
                .value("count", Datum::count(left.len()))
                .at(moving.dug[left[0]].at)
                .remedy(
                    "give them a planting with `source = \"transplants\"`, or give them away",
                    Vec::new(),
                ),
        );
    }
    let mut short: Vec<&groundwright_plan::ElementId> =
        moving.short.iter().map(|(planting, _)| planting).collect();
    short.dedup();
    for planting in short {
        let count = moving.short.iter().filter(|(p, _)| p == planting).count();
        let element = ElementRef::new(Kind::Planting, planting);
        let whole = study.arrangement(&element).map_or(0, |a| a.positions.len());
        all.push(
            Finding::new(&SHORT, Severity::Doubt, element)
                .value("count", Datum::count(count))
                .value("whole", Datum::count(whole))
                .remedy("take fewer holes, mark more plants to move, or buy the rest", Vec::new()),
        );
    }
    for (planting, why) in &moving.problems {
        all.push(
            Finding::new(&NOT_ASSIGNED, Severity::Fault, ElementRef::new(Kind::Planting, planting))
                .word("why", why),
        );
    }
}

/// Nothing above the limit inside a sight triangle, at its mature height.
fn sight(study: &PlantingStudy<'_>, all: &mut Vec<Finding>) {
    for line in &study.project.property.paper_lines {
        if line.kind != PaperLineKind::SightTriangle {
            continue;
        }
        let element = ElementRef::new(Kind::PaperLine, &line.id);
        let area = study.yard.plot.paper_areas.iter().find(|area| area.element == element);
        let (Some(limit), Some(area)) = (line.height_limit, area) else {
            all.push(Finding::new(&SIGHT_UNCHECKED, Severity::Doubt, element.clone()).remedy(
                "give it an `outline` and a `height_limit`; the local traffic rule says how high",
                Vec::new(),
            ));
            continue;
        };
        let inside = RegionIndex::new(&area.whole);
        let mut named: Vec<(&ElementRef, &groundwright_plan::TaxonId)> = Vec::new();
        for plant in &study.yard.plants {
            let Some(taxon) = study.taxon(plant) else { continue };
            let key = (&plant.key.instruction, &taxon.id);
            if taxon.height.1 <= limit.value || named.contains(&key) || !inside.contains(place(plant)) {
                continue;
            }
            named.push(key);
            all.push(
                Finding::new(&SIGHT, Severity::Danger, plant.key.instruction.clone())
                    .also(element.clone())
                    .word("plant", &taxon.botanical)
                    .word("area", element.to_string())
                    .value("height", Datum::size(taxon.height.1))
                    .limit(Datum::length(limit.value))
                    .at(place(plant))
                    .rests_on(element.clone(), "height_limit", limit.standing)
                    .remedy(
                        "take a lower plant inside the triangle; the local traffic rule decides",
                        Vec::new(),
                    ),
            );
        }
    }
}

fn summer_water(study: &PlantingStudy<'_>, all: &mut Vec<Finding>) {
    for tree in study.project.property.trees.iter().filter(|t| t.dry_summer) {
        if tree.action == groundwright_plan::Action::Remove {
            continue;
        }
        let element = ElementRef::new(Kind::Tree, &tree.id);
        let Some(trunk) = study.yard.plot.place_of(&element) else { continue };
        let radius = tree.crown.value / 2.0;
        for planting in &study.project.design.plantings {
            for share in &planting.shares {
                let Some(taxon) = study.project.stock.taxa.get(&share.taxon) else { continue };
                if !matches!(taxon.water, Some(WaterUse::Medium | WaterUse::High)) {
                    continue;
                }
                let under: Vec<&Plant> = study
                    .yard
                    .plants_of(&planting.id)
                    .filter(|p| p.taxon.as_ref() == Some(&share.taxon) && place(p).distance(trunk) < radius)
                    .collect();
                if let Some(first) = under.first() {
                    all.push(
                        Finding::new(
                            &SUMMER_WATER,
                            Severity::Fault,
                            ElementRef::new(Kind::Planting, &planting.id),
                        )
                        .also(element.clone())
                        .value("count", Datum::count(under.len()))
                        .word("plant", &taxon.botanical)
                        .word("tree", element.to_string())
                        .at(place(first))
                        .rests_on(element.clone(), "crown", tree.crown.standing)
                        .remedy("take plants of low water use under this crown", Vec::new()),
                    );
                }
            }
        }
    }
}

/// Whether a planting's holes are filled with dug plants.
pub(crate) fn is_transplant(planting: &Planting) -> bool {
    planting.source == PlantSource::Transplants
}

/// Whether a plant is to be set by the crew: bought or moved.
pub(crate) fn is_set(plant: &Plant) -> bool {
    plant.origin != Origin::Kept
}
