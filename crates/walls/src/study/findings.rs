//! What walls, steps and paving say about themselves.

use groundwright_geometry::{Point, RegionIndex};
use groundwright_handoff::{Datum, Finding, Rule, Severity, Source};
use groundwright_plan::{Action, Command, ElementRef, Kind, Standing, WallLoad, WallSoil, Word};
use groundwright_units::constants::{FOOT, INCH};

use super::{FlightRun, SectionRun, WallRun, WallStudy, grid_of, presumed};
use crate::courses::CoursesError;
use crate::{Advice, AtHand, BaseError, StepLimits, StepsWanted, advise, fit_steps, worst};

/// Height from which building departments ask for a permit: 4 ft, measured from the bottom of the
/// footing. Source: IBC 105.2 item 4, IRC R105.2 item 3; many offices differ. [m]
const PERMIT: f64 = 4.0 * FOOT;
/// Drop from which a walked edge has a guard: 30 in. Source: IBC 1015.2. [m]
const GUARD: f64 = 30.0 * INCH;
/// Distance to a boundary within which the neighbour and the office are asked: the height of the
/// wall, common practice, no source; and never less than this. [m]
const BOUNDARY: f64 = 3.0 * FOOT;
/// Distance to a service within which one digs by hand: 24 in. [m] From memory; local rules say 18 to 30 in.
const SERVICE: f64 = 24.0 * INCH;

macro_rules! rules {
    ($($name:ident = $id:literal, $title:literal, $sentence:literal, $source:expr;)*) => {
        $(static $name: Rule = Rule { id: $id, title: $title, sentence: $sentence, source: $source };)*
    };
}

const WALL_CUSTOM: Source = Source::Published(
    "sliding and overturning 1.5: IBC 2009 1807.2.3, IRC 2009 R404.4; the rest custom of dry-stacked walls, from memory",
);

rules! {
    FAILS = "walls.does-not-stand", "Walls that do not pass as computed",
        "{subject} at station {station}: {check} is {found}, asked is {limit}, with {courses} courses showing {exposed} \
         on soil taken as {soil} of {friction}.", WALL_CUSTOM;
    LAYERS = "walls.reinforced", "Walls that stand only with reinforcement",
        "{subject} does not stand by its weight over {stretch}; with {count} {layer|layers} of {product}, {length} long from the \
         face, every check passes as computed. A reinforced wall is an engineer's design.", WALL_CUSTOM;
    NOT_COMPUTED = "walls.not-computed", "Walls that cannot be computed",
        "{subject} at station {station}: {problem}.", WALL_CUSTOM;
    BASE = "walls.levels", "Walls whose levels do not go together",
        "{subject}: {problem}.", Source::CommonPractice;
    LAYING = "walls.cannot-be-laid", "Walls that these units cannot be laid to",
        "{subject}: {problem}.", Source::Published("bond: public installation notes of two makers of units");
    PERMIT_HEIGHT = "walls.permit-height", "Walls that need a permit and an engineer by their height",
        "{subject} is {units} high from the underside of its units and {pad} from the underside of its pad; \
         many offices ask for a permit and an engineer's design from {limit}, and count from one or the other.",
        Source::Published("IBC 105.2, IRC R105.2: 4 ft from the bottom of the footing; local codes differ");
    PERMIT_LOAD = "walls.permit-load", "Walls that need an engineer by what loads them",
        "{subject} carries {what}: many offices ask for a permit and an engineer's design at any height.",
        Source::Published("IBC 105.2: walls supporting a surcharge are not exempt; local codes differ");
    TIER = "walls.tiers", "Walls that load one another",
        "{subject} is loaded by {other}, {distance} behind it: {share} of that terrace counts. From {limit} on they \
         are free of one another.", Source::CommonPractice;
    GUARD_RULE = "walls.guard", "Edges that may need a guard",
        "{subject} drops {height} where people walk above; from {limit} many codes ask for a guard.",
        Source::Published("IBC 1015.2: guards at drops over 30 in beside walking surfaces; local codes differ");
    FENCE = "walls.fence", "Fences and guards on walls",
        "{subject} carries a fence or guard: its posts push on the top courses, which this computation leaves out.",
        Source::CommonPractice;
    WATER = "walls.water", "Water behind walls",
        "{subject} holds ground from which water seeps: the computation counts on drained soil. A drain must take \
         the water before the wall is built, and an engineer looks at it.", Source::CommonPractice;
    POOR_SOIL = "walls.poor-soil", "Walls on poor soil",
        "{subject}: {where} soil is taken as {soil}, which swells, creeps and carries little; an engineer decides.",
        Source::CommonPractice;
    UNTESTED = "walls.soil-untested", "Walls computed on soil that nobody tested",
        "{subject} rests on a soil that is assumed ({soil}, {friction}). Its weakest check stands at {ratio} of what is \
         asked.", Source::CommonPractice;
    NEAR_BOUNDARY = "walls.near-boundary", "Walls near the property line",
        "{subject} comes within {distance} of the property line, and its trench and drainage reach {reach} behind its \
         face.", Source::CommonPractice;
    OVER_BOUNDARY = "walls.over-boundary", "Walls whose stone or reinforcement reaches over the property line",
        "{subject}: its drainage stone or reinforcement would lie {beyond} beyond the property line.", Source::CommonPractice;
    NEAR_BUILDING = "walls.near-building", "Walls near a building",
        "{subject} comes within {distance} of {other}: digging or loading beside a footing is the engineer's.",
        Source::CommonPractice;
    OVER_BUILDING = "walls.over-building", "Walls over a building",
        "{subject} runs through {other}.", Source::CommonPractice;
    SERVICE_NEAR = "walls.service", "Services near the trench of a wall: locate before digging",
        "{subject} comes within {distance} of {other} ({what}). Locate before digging: call the local utility locating \
         centre.", Source::CommonPractice;
    ROOTS = "walls.in-roots", "Walls inside tree protection",
        "{subject}: {length} of its trench lie inside the protection circle of {other}.", Source::Practice;
    RISERS = "steps.riser", "Risers out of the range that feet expect",
        "{subject}: {count} risers of {riser}; asked is {low} to {high}, all alike.",
        Source::Published("IBC 1011.5.2: risers 4 to 7 in; garden steps 5 to 7 in, common practice, no source");
    STRIDE = "steps.stride", "Steps that break the stride",
        "{subject}: twice the riser and the tread make {sum}; a stride is {low} to {high}.",
        Source::Published("2R + T of 24 to 27 in: published garden-construction rule");
    HANDRAIL = "steps.handrail", "Flights that may need a handrail",
        "{subject} has {count} risers; many codes ask for a handrail from {limit} risers.",
        Source::Published("IRC R311.7.8: flights with four or more risers; local codes differ");
    LANDING = "steps.landing", "Flights without a landing",
        "{subject} rises {rise} in one flight; asked is a landing after at most {limit}.",
        Source::Published("IBC 1011.8: 12 ft between landings");
    NO_WALL = "steps.off-the-ground", "Steps that do not meet the ground",
        "{subject}: the ground at its {end} lies {off} off its level.", Source::CommonPractice;
    FLAT = "paving.flat", "Paving that holds water",
        "{subject} falls {fall} at the steepest; asked is at least {limit}, away from the house.",
        Source::Published("1 to 2 %: public paving notes");
    STEEP = "paving.steep", "Paving that is steep to sit on",
        "{subject} falls {fall}; more than {limit} is felt under a table.", Source::CommonPractice;
}

pub(crate) fn all(study: &WallStudy<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for run in &study.walls {
        stands(study, run, &mut all);
        permits(study, run, &mut all);
        conditions(run, &mut all);
        surroundings(study, run, &mut all);
    }
    for flight in &study.flights {
        steps(study, flight, &mut all);
    }
    for (paving, area) in &study.pavings {
        fall(study, &paving.id, area, &mut all);
    }
    all
}

/// What a level or a search for stones found wrong, with what it needs to hear the reader's units.
fn base_words(problem: &BaseError, study: &WallStudy<'_>, from: f64) -> String {
    let reader = study.reader;
    match problem {
        BaseError::TopBelowFoot { station, top, foot } => format!(
            "at station {} its top {} is not above the ground in front {}; end the wall before it, or raise its top",
            reader.length(from + station),
            reader.level(*top),
            reader.level(*foot)
        ),
        other => other.to_string(),
    }
}

fn laying_words(problem: &CoursesError, study: &WallStudy<'_>, from: f64) -> String {
    let reader = study.reader;
    match problem {
        CoursesError::TooTight { station, course, radius, least, base_needed, courses_possible } => format!(
            "at station {} course {course} lies on a radius of {}, but these units turn no tighter than {}; give the line a \
             radius of at least {}, or keep to {courses_possible} courses there",
            reader.length(from + station),
            reader.length(*radius),
            reader.length(*least),
            reader.length(*base_needed)
        ),
        CoursesError::NoBond { course, from: start, to, shortest, overlap, .. } => format!(
            "course {course} from station {} to {} cannot be laid in bond with pieces of {} and longer and an overlap of {}; \
             move an end or a corner by half a unit, or take units in more lengths",
            reader.length(from + start),
            reader.length(from + to),
            reader.depth(*shortest),
            reader.depth(*overlap)
        ),
        other => other.to_string(),
    }
}

fn stands(study: &WallStudy<'_>, run: &WallRun<'_>, all: &mut Vec<Finding>) {
    let subject = &run.line.element;
    for part in &run.parts {
        if let Err(problem) = &part.base {
            let words = base_words(problem, study, part.from);
            let at = run.line.face.point(f64::midpoint(part.from, part.to));
            all.push(
                Finding::new(&BASE, Severity::Fault, subject.clone())
                    .word("problem", words)
                    .at(at)
                    .remedy("mend `top` or `foot`, or shorten the line", Vec::new()),
            );
        }
        if let Some(Err(problem)) = &part.laid {
            all.push(
                Finding::new(&LAYING, Severity::Fault, subject.clone())
                    .word("problem", laying_words(problem, study, part.from))
                    .at(run.line.face.point(part.from))
                    .remedy("move the line, or take other units", Vec::new()),
            );
        }
    }
    let Some((_, found)) = run.worst() else { return };
    let at = run.line.face.point(found.station);
    match &found.gravity {
        Err(problem) => all.push(
            Finding::new(&NOT_COMPUTED, Severity::Fault, subject.clone())
                .value("station", Datum::length(found.station))
                .word("problem", problem.to_string())
                .at(at)
                .remedy("mend the slope or the soil of the wall", Vec::new()),
        ),
        Ok(_) if found.ratio() < 1.0 - 1e-9 => fails(study, run, found, all),
        Ok(_) => layered(study, run, all),
    }
}

/// A wall that stands with layers of reinforcement.
fn layered(study: &WallStudy<'_>, run: &WallRun<'_>, all: &mut Vec<Finding>) {
    let weakest = run.layered().min_by(|a, b| a.0.by_weight().total_cmp(&b.0.by_weight()));
    let Some((found, wall, _)) = weakest else { return };
    let length = wall.layers.iter().map(|layer| layer.length).fold(0.0, f64::max);
    let product = study.project.stock.grids.get(&run.wall.grid);
    let stretch: f64 = run.layered().map(|(found, ..)| found.stretch.1 - found.stretch.0).sum();
    let mut finding = Finding::new(&LAYERS, Severity::Doubt, run.line.element.clone())
        .value("stretch", Datum::length(stretch))
        .value("count", Datum::count(wall.layers.len()))
        .word("product", product.map_or("geogrid", |product| &product.name))
        .value("length", Datum::length(length))
        .at(run.line.face.point(found.station));
    if let Some(advice) = advice(study, run, found) {
        finding = by_weight(finding, study, run, found, &advice);
    }
    all.push(relies(finding, run));
}

fn advice(study: &WallStudy<'_>, run: &WallRun<'_>, found: &SectionRun) -> Option<Advice> {
    let stone = presumed(WallSoil::CleanStone);
    let usual = study.project.stock.grids.values().next();
    let grid = grid_of(study.project, run).or_else(|| {
        let wall = groundwright_plan::Wall { grid: usual?.id.clone(), ..run.wall.clone() };
        let other = WallRun { wall: &wall, line: run.line, units: run.units, parts: Vec::new() };
        grid_of(study.project, &other)
    });
    advise(&found.section, &AtHand { better: stone, grid }).ok()
}

/// Ways to let a wall stand by its weight, cheapest first.
fn by_weight(
    mut finding: Finding,
    study: &WallStudy<'_>,
    run: &WallRun<'_>,
    found: &SectionRun,
    advice: &Advice,
) -> Finding {
    let reader = study.reader;
    let id = &run.wall.id;
    if advice.better_soil && run.wall.retained.value != WallSoil::CleanStone {
        finding = finding.remedy(
            "fill the wedge behind it with compacted clean stone, as far back as the wall is high",
            vec![Command::set(Kind::Wall, id, "retained", "\"clean stone\"")],
        );
    }
    if let Some(courses) = advice.courses.filter(|courses| *courses < found.section.facing.courses) {
        let exposed = reader.length(advice.exposed);
        finding = finding.remedy(
            format!("lower it to {courses} courses, which show {exposed}: the tallest that stands by its weight here"),
            Vec::new(),
        );
    }
    if let Some(depth) = advice.depth {
        let deeper = study
            .project
            .stock
            .wall_units
            .values()
            .filter(|units| units.depth >= depth)
            .min_by(|a, b| a.depth.total_cmp(&b.depth));
        let words = format!("take units {} deep or deeper", reader.depth(depth));
        finding = match deeper {
            Some(units) => finding.remedy(
                format!("{words}: {}", units.name),
                vec![Command::set(Kind::Wall, id, "units", &format!("\"{}\"", units.id))],
            ),
            None => finding.remedy(words, Vec::new()),
        };
    }
    if let Some(friction) = advice.friction {
        finding = finding.remedy(
            format!(
                "have the soil tested: from a friction of {:.0}° on it stands by its weight",
                friction.to_degrees().ceil()
            ),
            Vec::new(),
        );
    }
    finding
}

fn fails(study: &WallStudy<'_>, run: &WallRun<'_>, found: &SectionRun, all: &mut Vec<Finding>) {
    let Ok(gravity) = &found.gravity else { return };
    let Some(verdict) = worst(&gravity.verdicts) else { return };
    let wall = run.wall;
    let finding = Finding::new(&FAILS, Severity::Danger, run.line.element.clone())
        .value("station", Datum::length(found.station))
        .word("check", verdict.check.name())
        .word("found", format!("{:.2}", verdict.found))
        .limit(Datum::number(verdict.required))
        .value("courses", Datum::count(found.section.facing.courses))
        .value("exposed", Datum::length(found.section.exposed()))
        .word("soil", wall.retained.value.word())
        .word("friction", format!("{:.0}°", found.section.retained.friction.to_degrees()))
        .at(run.line.face.point(found.station));
    let advice = advice(study, run, found);
    let mut finding = finding;
    if let Some(advice) = &advice {
        finding = by_weight(finding, study, run, found, advice);
        let usual = study.project.stock.grids.values().next();
        if let (Some(both), Some(product), true) = (&advice.layers, usual, run.wall.grid.is_empty()) {
            let length = both.0.layers.iter().map(|layer| layer.length).fold(0.0, f64::max);
            finding = finding.remedy(
                format!(
                    "reinforce it: {} layers of {}, {} long, designed by an engineer",
                    both.0.layers.len(),
                    product.name,
                    study.reader.length(length)
                ),
                vec![Command::set(Kind::Wall, &wall.id, "grid", &format!("\"{}\"", product.id))],
            );
        }
    }
    let stands = advice.as_ref().and_then(|advice| advice.courses);
    finding = match stands {
        None => finding.remedy(
            "take another unit or drain and change the soil: not one course of these shows and stands by its weight here",
            Vec::new(),
        ),
        Some(courses) if 2 * courses >= found.section.facing.courses => finding.remedy(
            "part it into two tiers, the upper one twice the lower one's height behind it",
            Vec::new(),
        ),
        Some(_) => finding,
    };
    all.push(relies(finding, run));
}

/// Adds what the answer rests on.
fn relies(mut finding: Finding, run: &WallRun<'_>) -> Finding {
    let subject = &run.line.element;
    for (field, standing) in [
        ("retained", run.wall.retained.standing),
        ("foundation", run.wall.foundation.standing),
        ("load", run.wall.load.standing),
        ("slope", run.wall.slope.standing),
    ] {
        finding = finding.rests_on(subject.clone(), field, standing);
    }
    finding
}

fn permits(study: &WallStudy<'_>, run: &WallRun<'_>, all: &mut Vec<Finding>) {
    let subject = &run.line.element;
    let cap = run.units.cap.map_or(0.0, |cap| cap.1);
    let panels = run.parts.iter().filter_map(|part| part.base.as_ref().ok()).flat_map(|base| &base.panels);
    let units = panels.map(|panel| panel.top - panel.base + cap).fold(0.0, f64::max);
    let pad = units + study.project.practice.wall_pad;
    if pad >= PERMIT {
        let severity = if units >= PERMIT { Severity::Fault } else { Severity::Doubt };
        all.push(
            Finding::new(&PERMIT_HEIGHT, severity, subject.clone())
                .value("units", Datum::length(units))
                .value("pad", Datum::length(pad))
                .limit(Datum::length(PERMIT))
                .remedy("ask the local building office before it is priced", Vec::new()),
        );
    }
    let wall = run.wall;
    let mut loads: Vec<&str> = Vec::new();
    if wall.load.value == WallLoad::Driven {
        loads.push("cars above it");
    }
    if wall.slope.value > 0.05 {
        loads.push("rising ground above it");
    }
    if run.parts.iter().flat_map(|part| &part.sections).any(|section| section.tier.is_some()) {
        loads.push("a wall above it");
    }
    if wall.quake.is_some() {
        loads.push("an earthquake");
    }
    if !loads.is_empty() {
        all.push(
            Finding::new(&PERMIT_LOAD, Severity::Doubt, subject.clone())
                .word("what", loads.join(", "))
                .remedy(
                    "ask the local building office, and have an engineer look at the calculation sheet",
                    Vec::new(),
                ),
        );
    }
}

fn conditions(run: &WallRun<'_>, all: &mut Vec<Finding>) {
    let subject = &run.line.element;
    let wall = run.wall;
    let tiers =
        run.parts.iter().flat_map(|part| &part.sections).filter_map(|s| Some((s.station, s.tier.as_ref()?)));
    if let Some((station, (tier, distance, other))) = tiers.max_by(|a, b| a.1.0.share.total_cmp(&b.1.0.share))
    {
        all.push(
            Finding::new(&TIER, Severity::Doubt, subject.clone())
                .also(other.clone())
                .word("other", other.to_string())
                .value("distance", Datum::length(*distance))
                .value("share", Datum::ratio((tier.share * 100.0).round() / 100.0))
                .limit(Datum::length(tier.free_from))
                .at(run.line.face.point(station))
                .remedy(
                    "move the upper wall back, or leave the computed load and have slip circles looked at",
                    Vec::new(),
                ),
        );
    }
    let tallest = run.tallest();
    if tallest > GUARD && wall.load.value == WallLoad::Walked && !wall.fence {
        let finding = Finding::new(&GUARD_RULE, Severity::Danger, subject.clone())
            .value("height", Datum::length(tallest))
            .limit(Datum::depth(GUARD))
            .rests_on(subject.clone(), "load", wall.load.standing)
            .remedy("keep people off the edge by dense planting, if the office accepts that", Vec::new())
            .remedy(
                "state that nobody walks there",
                vec![Command::set(Kind::Wall, &wall.id, "load", "\"nothing\"")],
            )
            .remedy("plan a guard, and give its posts footings behind the wall", Vec::new());
        all.push(finding);
    }
    if wall.fence {
        let remedy = "set the posts in footings of their own behind the wall, by the maker's detail";
        all.push(Finding::new(&FENCE, Severity::Doubt, subject.clone()).remedy(remedy, Vec::new()));
    }
    if wall.water.value {
        let remedy = "lay a drain behind the wall to an outlet first";
        all.push(Finding::new(&WATER, Severity::Danger, subject.clone()).remedy(remedy, Vec::new()));
    }
    for (place, soil) in [("the retained", wall.retained.value), ("the foundation", wall.foundation.value)] {
        if soil == WallSoil::FatClay {
            all.push(
                Finding::new(&POOR_SOIL, Severity::Danger, subject.clone())
                    .word("where", place)
                    .word("soil", soil.word())
                    .remedy("have the soil tested, and the wall designed by an engineer", Vec::new()),
            );
        }
    }
    untested(run, all);
}

/// A wall that passes by little on a soil that nobody tested.
fn untested(run: &WallRun<'_>, all: &mut Vec<Finding>) {
    let wall = run.wall;
    let Some((_, found)) = run.worst() else { return };
    if !matches!(wall.retained.standing, Standing::Assumed { .. }) || wall.retained_friction.is_some() {
        return;
    }
    let ratio = found.ratio();
    if (1.0..1.25).contains(&ratio) {
        all.push(
            Finding::new(&UNTESTED, Severity::Doubt, run.line.element.clone())
                .word("soil", wall.retained.value.word())
                .word("friction", format!("{:.0}°", found.section.retained.friction.to_degrees()))
                .value("ratio", Datum::ratio((ratio * 100.0).round() / 100.0))
                .rests_on(run.line.element.clone(), "retained", wall.retained.standing)
                .remedy("have the soil behind the wall tested, and give its friction", Vec::new()),
        );
    }
}

fn surroundings(study: &WallStudy<'_>, run: &WallRun<'_>, all: &mut Vec<Finding>) {
    let plot = &study.yard.plot;
    let subject = &run.line.element;
    let practice = &study.project.practice;
    let stations: Vec<f64> =
        run.parts.iter().flat_map(|part| run.line.stations((part.from, part.to))).collect();
    let layers = stations.iter().map(|s| run.parts.iter().map(|part| part.layers_at(*s)).fold(0.0, f64::max));
    let reach = layers.fold(run.units.depth + practice.wall_drain_stone, f64::max);
    let near = |distance: &dyn Fn(Point) -> f64| {
        let each =
            stations.iter().flat_map(|s| [run.line.face.point(*s), run.line.behind(*s, run.line.depth)]);
        each.map(|at| (distance(at), at)).min_by(|a, b| a.0.total_cmp(&b.0))
    };
    if let Some(boundary) = &plot.boundary {
        let index = RegionIndex::new(&boundary.whole);
        let limit = run.tallest().max(BOUNDARY);
        if let Some((distance, at)) = near(&|at| index.boundary_distance(at)).filter(|n| n.0 < limit) {
            all.push(
                Finding::new(&NEAR_BOUNDARY, Severity::Doubt, subject.clone())
                    .value("distance", Datum::length(distance))
                    .value("reach", Datum::length(reach))
                    .at(at)
                    .remedy(
                        "move it further in, or settle it with the neighbour and the office in writing",
                        Vec::new(),
                    ),
            );
        }
        let behind = |s: &f64| {
            let own = run.parts.iter().map(|part| part.layers_at(*s)).fold(0.0, f64::max);
            let far = run.line.behind(*s, own.max(run.units.depth + practice.wall_drain_stone));
            (-index.signed_distance(far), far)
        };
        let farthest = stations.iter().map(behind).max_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((beyond, at)) = farthest.filter(|far| far.0 > 0.005) {
            all.push(
                Finding::new(&OVER_BOUNDARY, Severity::Fault, subject.clone())
                    .value("beyond", Datum::length(beyond))
                    .at(at)
                    .remedy(
                        "move the wall in, or let it stand by its weight: shorter, deeper, or on stone",
                        Vec::new(),
                    ),
            );
        }
    }
    for building in &plot.buildings {
        let index = RegionIndex::new(&building.whole);
        let limit = run.tallest().max(BOUNDARY);
        // Inside of it the distance counts below zero.
        let Some((distance, at)) = near(&|at| -index.signed_distance(at)).filter(|n| n.0 < limit) else {
            continue;
        };
        let (rule, severity) = if distance <= 0.0 {
            (&OVER_BUILDING, Severity::Fault)
        } else {
            (&NEAR_BUILDING, Severity::Doubt)
        };
        all.push(
            Finding::new(rule, severity, subject.clone())
                .also(building.element.clone())
                .word("other", building.element.to_string())
                .value("distance", Datum::length(distance.max(0.0)))
                .at(at)
                .remedy("move the line away from the building", Vec::new()),
        );
    }
    for route in &plot.buried_lines {
        let Some(thing) = study.project.property.buried.iter().find(|b| b.id == route.element.id) else {
            continue;
        };
        let Some((distance, at)) =
            near(&|at| route.line.nearest(at).distance).filter(|n| n.0 < SERVICE + reach)
        else {
            continue;
        };
        all.push(
            Finding::new(&SERVICE_NEAR, Severity::Danger, subject.clone())
                .also(route.element.clone())
                .word("other", route.element.to_string())
                .word("what", thing.kind.word())
                .value("distance", Datum::length(distance))
                .at(at)
                .remedy("have it located and marked, dig by hand, or move the wall", Vec::new()),
        );
    }
    roots(study, run, &stations, all);
}

fn roots(study: &WallStudy<'_>, run: &WallRun<'_>, stations: &[f64], all: &mut Vec<Finding>) {
    let practice = &study.project.practice;
    for spot in &study.yard.plot.trees {
        let tree = study.project.property.trees.iter().find(|t| t.id == spot.element.id);
        let Some(tree) = tree.filter(|tree| tree.action == Action::Keep) else { continue };
        let radius = (tree.diameter.value * practice.protection_ratio).max(practice.protection_minimum);
        let inside = |s: &&f64| {
            let stone = run.line.behind(**s, run.line.depth + practice.wall_drain_stone);
            run.line.face.point(**s).distance(spot.at) < radius || stone.distance(spot.at) < radius
        };
        let hit: Vec<&f64> = stations.iter().filter(inside).collect();
        let Some(first) = hit.first() else { continue };
        let step = stations.get(1).map_or(0.5, |second| second - stations[0]);
        all.push(
            Finding::new(&ROOTS, Severity::Danger, run.line.element.clone())
                .also(spot.element.clone())
                .word("other", spot.element.to_string())
                .value("length", Datum::length(step * hit.len() as f64))
                .at(run.line.face.point(**first))
                .remedy(
                    "end the wall before the circle, or have an arborist dig there by air and hand",
                    Vec::new(),
                ),
        );
    }
}

fn steps(study: &WallStudy<'_>, flight: &FlightRun<'_>, all: &mut Vec<Finding>) {
    let FlightRun { steps, stair } = flight;
    let subject = &stair.element;
    let count = steps.risers();
    let riser = steps.rise() / count as f64;
    let (low, high) = StepLimits::OUTDOORS.riser;
    if riser < low - 1e-6 || riser > high + 1e-6 {
        let finding = Finding::new(&RISERS, Severity::Fault, subject.clone())
            .value("count", Datum::count(count))
            .value("riser", Datum::depth(riser))
            .value("low", Datum::depth(low))
            .value("high", Datum::depth(high))
            .at(stair.from);
        let wanted = StepsWanted {
            rise: steps.rise(),
            riser: steps.riser.value.clamp(low, high),
            tread: steps.tread.value,
            width: steps.width.value,
            room: None,
        };
        let fitting = fit_steps(&wanted, &StepLimits::OUTDOORS).ok().and_then(|all| all.into_iter().next());
        all.push(match fitting {
            Some(better) => {
                let set = |field: &str, value: f64| {
                    Command::set(Kind::Steps, &steps.id, field, &format!("\"{value:.4} m\""))
                };
                let words = format!(
                    "make it {} risers of {} with treads of {}",
                    better.risers(),
                    study.reader.depth(better.riser),
                    study.reader.depth(better.tread)
                );
                finding.remedy(words, vec![set("riser", better.riser), set("tread", better.tread)])
            }
            None => finding.remedy("grade the ground so that it rises by at least one step", Vec::new()),
        });
    }
    let sum = 2.0 * riser + steps.tread.value;
    let (low, high) = StepLimits::OUTDOORS.stride;
    if count > 1 && (sum < low - 1e-6 || sum > high + 1e-6) {
        let tread = format!("\"{:.3} m\"", 25.5 * INCH - 2.0 * riser);
        all.push(
            Finding::new(&STRIDE, Severity::Doubt, subject.clone())
                .value("sum", Datum::depth(sum))
                .value("low", Datum::depth(low))
                .value("high", Datum::depth(high))
                .at(stair.from)
                .remedy(
                    format!("make the treads {}", study.reader.depth(25.5 * INCH - 2.0 * riser)),
                    vec![Command::set(Kind::Steps, &steps.id, "tread", &tread)],
                ),
        );
    }
    if count >= 4 {
        all.push(
            Finding::new(&HANDRAIL, Severity::Doubt, subject.clone())
                .value("count", Datum::count(count))
                .limit(Datum::count(4))
                .at(stair.from)
                .remedy("ask the local office, and plan a rail on one side", Vec::new()),
        );
    }
    let landing = StepLimits::OUTDOORS.landing_rise;
    if steps.rise() > landing {
        all.push(
            Finding::new(&LANDING, Severity::Fault, subject.clone())
                .value("rise", Datum::length(steps.rise()))
                .limit(Datum::length(landing))
                .at(stair.from)
                .remedy("make two flights with a landing as long as a tread is wide and more", Vec::new()),
        );
    }
    meets(study, flight, subject, all);
}

/// Whether the graded ground lies at the levels of a flight's foot and top.
fn meets(study: &WallStudy<'_>, flight: &FlightRun<'_>, subject: &ElementRef, all: &mut Vec<Finding>) {
    let FlightRun { steps, stair } = flight;
    let ground = &study.yard.ground;
    if ground.graded_surface().is_none() {
        return;
    }
    let ends = [
        ("foot", stair.from - stair.up * 0.6, steps.foot),
        ("top", stair.from + stair.up * (stair.run + 0.6), steps.top),
    ];
    for (end, at, level) in ends {
        let off = ground.proposed(at) - level;
        if off.abs() > 2.0 * INCH {
            all.push(
                Finding::new(&NO_WALL, Severity::Doubt, subject.clone())
                    .word("end", end)
                    .value("off", Datum::depth(off))
                    .at(at)
                    .remedy(
                        "grade the ground there to the level of the steps, or give them its level",
                        Vec::new(),
                    ),
            );
        }
    }
}

fn fall(
    study: &WallStudy<'_>,
    _id: &groundwright_plan::ElementId,
    area: &groundwright_yard::Area,
    all: &mut Vec<Finding>,
) {
    let Some(ground) = study.yard.ground.graded_surface() else { return };
    let Some(bounds) = area.free.bounds() else { return };
    let index = RegionIndex::new(&area.free);
    let slopes = ground.near(bounds).into_iter().filter_map(|triangle| {
        let [a, b, c] = ground.corners(triangle);
        let middle = Point::new((a.x + b.x + c.x) / 3.0, (a.y + b.y + c.y) / 3.0);
        index.contains(middle).then(|| ground.gradient(triangle).hypot())
    });
    let steepest = slopes.fold(0.0, f64::max);
    let shown = Datum::ratio((steepest * 1000.0).round() / 1000.0);
    let (rule, limit) = if steepest < 0.01 - 1e-6 {
        (&FLAT, 0.01)
    } else if steepest > 0.04 {
        (&STEEP, 0.04)
    } else {
        return;
    };
    all.push(
        Finding::new(rule, Severity::Doubt, area.element.clone())
            .value("fall", shown)
            .limit(Datum::ratio(limit))
            .remedy("grade it as a pad with a fall of 2 % away from the house", Vec::new()),
    );
}
