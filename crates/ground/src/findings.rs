//! What the ground's study finds wrong or worth knowing.
//!
//! - Limits carry their source. Local codes differ and decide; nothing here is declared safe.

use groundwright_geometry::{Point, RegionIndex, Vec2};
use groundwright_handoff::{Datum, Finding, Rule, Severity, Source};
use groundwright_plan::{ElementRef, Kind, OpeningKind, SurfaceKind};
use groundwright_units::constants::{FOOT, HOUR, INCH};

use crate::drain_findings;
use crate::study::GroundStudy;
use crate::{Cover, Fall, Station, fall_away};

const FALL: &str = "International Residential Code R401.3: 6 in in the first 10 ft, paving 2 %, or 5 % to a swale; local codes differ";
const DECAY: &str = "International Residential Code R317.1: wood siding 6 in above the ground, 2 in above slabs; local codes differ";
const WHEELS: &str =
    "2010 ADA Standards 403.3: running slope 1:20; required of few homes, a good measure for all";

static TOWARDS_HOUSE: Rule = Rule {
    id: "ground.fall",
    title: "Ground that does not fall away from the house",
    sentence: "{subject}: over {length} from the wall the ground falls {fall}; {limit} is asked for.",
    source: Source::Published(FALL),
};
static RISES: Rule = Rule {
    id: "ground.rises",
    title: "Ground that falls towards the house",
    sentence: "{subject}: over {length} from the wall the ground rises {rise}, so that water comes to the wall; {limit} of fall is asked for.",
    source: Source::Published(FALL),
};
static RISES_BACK: Rule = Rule {
    id: "ground.rises-back",
    title: "Ground that rises again within ten feet of the house",
    sentence: "{subject}: between {from} and {to} from the wall the ground rises; water stands before it.",
    source: Source::Published(FALL),
};
static SIDING: Rule = Rule {
    id: "ground.siding",
    title: "Soil, mulch or paving too high on the siding",
    sentence: "{subject}: the siding ends {clear} above what will lie there; {limit} is asked for.",
    source: Source::Published(DECAY),
};
static SIDING_UNKNOWN: Rule = Rule {
    id: "ground.siding-unknown",
    title: "Where the siding ends was not taken",
    sentence: "{subject}: nobody took the height of the siding's foot, so soil and mulch against it are not checked.",
    source: Source::Practice,
};
static VENT: Rule = Rule {
    id: "ground.vent",
    title: "Vents at or below soil and mulch",
    sentence: "{subject} is {clear} clear of the soil and mulch before it; {limit} keeps water and chips out.",
    source: Source::CommonPractice,
};
static SILL: Rule = Rule {
    id: "ground.sill",
    title: "Sills at or below soil and mulch",
    sentence: "{subject} is {clear} clear of the soil and mulch before it; {limit} is the least that keeps it dry.",
    source: Source::CommonPractice,
};
static STEEP: Rule = Rule {
    id: "ground.steep",
    title: "Steeper than its use bears",
    sentence: "{subject}: up to {slope} over {area}; {use} bears {limit}.",
    source: Source::CommonPractice,
};
static WHEELS_STEEP: Rule = Rule {
    id: "ground.wheels",
    title: "Too steep for wheels",
    sentence: "{subject}: up to {slope}; a way for wheels bears {limit} without being a ramp.",
    source: Source::Published(WHEELS),
};
static NEIGHBOUR: Rule = Rule {
    id: "ground.neighbour",
    title: "More water to the neighbour",
    sentence: "Over the side from {from} to {to} leaves {after} in the design storm, {before} before; do not send more than came.",
    source: Source::CommonPractice,
};
static HOLLOW: Rule = Rule {
    id: "ground.hollow",
    title: "Hollows without outlet",
    sentence: "Water stands up to {depth} deep over {area} before it runs on; {takes} runs in with the design storm.",
    source: Source::CommonPractice,
};
static FLOATS: Rule = Rule {
    id: "ground.mulch-floats",
    title: "Mulch that floats away",
    sentence: "{subject}: {flow} runs across it in the design storm; {mulch} floats.",
    source: Source::CommonPractice,
};
static NO_LEVELS: Rule = Rule {
    id: "ground.no-levels",
    title: "No levels were taken",
    sentence: "The ground is taken as level: five levels from the door sill outwards already show where water goes.",
    source: Source::Practice,
};
static NO_STORM: Rule = Rule {
    id: "ground.no-storm",
    title: "No design storm is given",
    sentence: "Nothing says how hard it rains, so flows are not computed; take depth and minutes from the rainfall atlas.",
    source: Source::Practice,
};
static BEYOND: Rule = Rule {
    id: "ground.beyond-levels",
    title: "Ground where no level was taken",
    sentence: "{share} of the lot lies beyond the levels taken and is assumed to go on level.",
    source: Source::Practice,
};

/// Clear height below a vent, and below a sill. [m]
const VENT_CLEAR: f64 = 4.0 * INCH;
const SILL_CLEAR: f64 = 2.0 * INCH;
/// Clear height below siding over soil, and over paving. [m]
const SIDING_SOIL: f64 = 6.0 * INCH;
const SIDING_PAVED: f64 = 2.0 * INCH;
/// Steepest lawn that is mown by walking behind, steepest planted bed, steepest walk.
const LAWN: f64 = 1.0 / 3.0;
const BED: f64 = 0.5;
const WALK: f64 = 1.0 / 12.0;
/// Steepest way for wheels.
const WHEELS_LIMIT: f64 = 0.05;
/// Flow across a bed from which chips begin to move. [m³/s]
const MOVES_CHIPS: f64 = 0.000_8;
/// Distance between profiles along a wall. [m]
const PROFILES: f64 = 1.5;

/// All findings.
pub(crate) fn all(study: &GroundStudy<'_>) -> Vec<Finding> {
    let property = ElementRef::new(Kind::PaperLine, &"boundary".into());
    let mut all = Vec::new();
    let work = &study.project.design.ground;
    let wanted = !(work.drains.is_empty() && work.swales.is_empty() && work.basins.is_empty());
    if study.earth.is_none() {
        // A first visit is planting alone; where water is led, the ground must be known.
        if wanted || !study.project.property.ground.storms.is_empty() {
            all.push(Finding::new(&NO_LEVELS, Severity::Doubt, property));
        }
        return all;
    }
    if study.storm.is_none() {
        all.push(Finding::new(&NO_STORM, Severity::Note, property.clone()));
    }
    beyond(study, &property, &mut all);
    for (i, _) in study.yard.plot.buildings.iter().enumerate() {
        walls(study, i, &mut all);
    }
    openings(study, &mut all);
    slopes(study, &mut all);
    sides(study, &property, &mut all);
    ponds(study, &property, &mut all);
    floating(study, &mut all);
    drain_findings::all(study, &mut all);
    all
}

fn beyond(study: &GroundStudy<'_>, property: &ElementRef, all: &mut Vec<Finding>) {
    let Some(boundary) = &study.yard.plot.boundary else { return };
    let Ok(hull) = groundwright_geometry::Region::polygon(&study.yard.ground.surveyed) else { return };
    let share = boundary.whole.difference(&hull).area() / boundary.whole.area();
    if share > 0.02 {
        all.push(
            Finding::new(&BEYOND, Severity::Note, property.clone())
                .value("share", Datum::ratio((share * 100.0).round() / 100.0))
                .remedy("take levels along the property line", Vec::new()),
        );
    }
}

/// A place by a wall, with the direction away from it.
pub(crate) struct ByWall {
    pub(crate) at: Point,
    pub(crate) out: Vec2,
}

/// Places along the walls of a building, wall by wall.
pub(crate) fn along_walls(study: &GroundStudy<'_>, building: usize) -> Vec<Vec<ByWall>> {
    let area = &study.yard.plot.buildings[building];
    let outline = area.whole.outlines().into_iter().next().unwrap_or_default();
    (0..outline.len())
        .map(|i| {
            let (from, to) = (outline[i], outline[(i + 1) % outline.len()]);
            let length = from.distance(to);
            let along = (to - from) / length;
            let count = (length / PROFILES).floor() as usize;
            let place = |k: usize| ByWall {
                at: from + along * (length * (k as f64 + 0.5) / count as f64),
                out: Vec2::new(along.y, -along.x),
            };
            (0..count).map(place).collect()
        })
        .collect()
}

/// The proposed ground from a wall outwards, to ten feet, the lot line or another building.
pub(crate) fn profile(study: &GroundStudy<'_>, by: &ByWall) -> Vec<Station> {
    let Some(ground) = study.yard.ground.proposed_surface() else { return Vec::new() };
    // A hair off the wall, where the ground is the yard's and not the cellar's.
    let start = by.at + by.out * 0.02;
    let section = ground.section(&[start, start + by.out * (10.0 * FOOT)]);
    let mut stations = Vec::new();
    for pair in section.windows(2) {
        let middle = pair[0].at.midpoint(pair[1].at);
        let outside = study.yard.plot.boundary.as_ref().is_some_and(|b| !b.whole.contains(middle));
        let Some(level) = pair[0].level else { break };
        stations.push(Station { distance: pair[0].station, level, paved: study.covers.paved(middle) });
        if outside || matches!(study.covers.at(middle), Cover::Building) {
            return stations;
        }
    }
    if let Some(last) = section.last()
        && let Some(level) = last.level
    {
        stations.push(Station { distance: last.station, level, paved: false });
    }
    stations
}

fn walls(study: &GroundStudy<'_>, building: usize, all: &mut Vec<Finding>) {
    let element = &study.yard.plot.buildings[building].element;
    let Some(found) = study.project.property.buildings.iter().find(|b| b.id == element.id) else { return };
    if found.siding_foot.is_none() {
        all.push(Finding::new(&SIDING_UNKNOWN, Severity::Note, element.clone()));
    }
    let mut tightest: Option<(f64, f64, Point)> = None;
    for wall in along_walls(study, building) {
        let mut worst: Option<(Fall, Point)> = None;
        for by in &wall {
            if let Some(fall) = fall_away(&profile(study, by)).filter(|fall| !fall.good())
                && worst.is_none_or(|(known, _)| fall.short > known.short)
            {
                worst = Some((fall, by.at + by.out * (fall.length / 2.0)));
            }
            if let Some(foot) = &found.siding_foot {
                let beside = by.at + by.out * 0.1;
                let top = study.yard.ground.proposed(beside) + study.covers.mulch(beside);
                let clear = study.yard.ground.existing(beside) + foot.value - top;
                let limit = if study.covers.paved(beside) { SIDING_PAVED } else { SIDING_SOIL };
                if clear < limit - 0.002 && tightest.is_none_or(|(c, l, _)| clear - limit < c - l) {
                    tightest = Some((clear, limit, beside));
                }
            }
        }
        all.extend(worst.map(|(fall, at)| fall_finding(element, &fall, at)));
    }
    if let Some((clear, limit, at)) = tightest {
        let severity = if clear < 0.0 { Severity::Fault } else { Severity::Doubt };
        all.push(
            Finding::new(&SIDING, severity, element.clone())
                .value("clear", Datum::depth(clear))
                .limit(Datum::depth(limit))
                .at(at)
                .remedy("lower the soil, or spread no mulch in the strip along the wall", Vec::new()),
        );
    }
}

fn fall_finding(element: &ElementRef, fall: &Fall, at: Point) -> Finding {
    match fall.rises {
        Some((from, to)) if fall.short <= 1e-6 => Finding::new(&RISES_BACK, Severity::Doubt, element.clone())
            .value("from", Datum::length(from))
            .value("to", Datum::length(to))
            .at(at)
            .remedy("grade the rise away, or lead the water out in a swale", Vec::new()),
        _ => {
            // Half a centimetre is within any reading: level ground does not rise.
            let rises = fall.fall < -0.005;
            let (rule, severity) =
                if rises { (&RISES, Severity::Fault) } else { (&TOWARDS_HOUSE, Severity::Doubt) };
            Finding::new(rule, severity, element.clone())
                .value("length", Datum::length(fall.length))
                .value(if rises { "rise" } else { "fall" }, Datum::depth(fall.fall.abs()))
                .limit(Datum::depth(fall.needed))
                .at(at)
                .remedy("grade soil up to the wall only as far as siding and vents allow", Vec::new())
                .remedy("lead the water along a swale of 2 % at least", Vec::new())
        }
    }
}

fn openings(study: &GroundStudy<'_>, all: &mut Vec<Finding>) {
    for (spot, opening) in study.yard.plot.openings.iter().zip(&study.project.property.openings) {
        let (rule, limit) = match opening.kind {
            OpeningKind::Vent => (&VENT, VENT_CLEAR),
            OpeningKind::Window => (&SILL, SILL_CLEAR),
            OpeningKind::Door | OpeningKind::GarageDoor => continue,
        };
        let before = study.beside_wall(spot.at);
        let step = before - spot.at;
        let beside = if step.hypot() > 0.01 { spot.at + step / step.hypot() * 0.2 } else { before };
        let sill = study.yard.ground.existing(beside) + opening.sill.value;
        let clear = sill - study.yard.ground.proposed(beside) - study.covers.mulch(beside);
        if clear < limit - 0.002 {
            let severity = if clear < 0.0 { Severity::Fault } else { Severity::Doubt };
            let mut finding = Finding::new(rule, severity, spot.element.clone())
                .value("clear", Datum::depth(clear))
                .limit(Datum::depth(limit))
                .at(spot.at)
                .rests_on(spot.element.clone(), "sill", opening.sill.standing)
                .remedy("keep mulch a foot from it and lower the soil before it", Vec::new())
                .remedy("set a well before it, with gravel at its bottom", Vec::new());
            if let Some(element) = study.covers.element_at(beside) {
                finding = finding.also(element.clone());
            }
            all.push(finding);
        }
    }
}

fn slopes(study: &GroundStudy<'_>, all: &mut Vec<Finding>) {
    let Some(ground) = study.yard.ground.proposed_surface() else { return };
    let property = &study.project.property;
    let plot = &study.yard.plot;
    let lawns = plot.lawns.iter().map(|area| (area, LAWN, "a lawn that is mown"));
    let beds = plot.beds.iter().map(|area| (area, BED, "a planted bed without terraces"));
    let walks = plot.surfaces.iter().filter_map(|area| {
        let surface = property.surfaces.iter().find(|s| s.id == area.element.id)?;
        match surface.kind {
            SurfaceKind::Walk | SurfaceKind::Patio if surface.accessible => Some((area, WHEELS_LIMIT, "")),
            SurfaceKind::Walk => Some((area, WALK, "a walk without steps")),
            _ => None,
        }
    });
    for (area, limit, uses) in lawns.chain(beds).chain(walks) {
        let Some(bounds) = area.free.bounds() else { continue };
        let index = RegionIndex::new(&area.free);
        let (mut steepest, mut over, mut at) = (0.0f64, 0.0, None);
        for triangle in ground.near(bounds) {
            let [a, b, c] = ground.corners(triangle);
            let middle = Point::new((a.x + b.x + c.x) / 3.0, (a.y + b.y + c.y) / 3.0);
            let slope = ground.gradient(triangle).hypot();
            if slope > limit * 1.001 && index.contains(middle) {
                over += ground.plan_area(triangle);
                if slope > steepest {
                    (steepest, at) = (slope, Some(middle));
                }
            }
        }
        let Some(at) = at.filter(|_| over > 0.5) else { continue };
        let rule = if uses.is_empty() { &WHEELS_STEEP } else { &STEEP };
        all.push(
            Finding::new(rule, Severity::Doubt, area.element.clone())
                .value("slope", Datum::ratio((steepest * 1000.0).round() / 1000.0))
                .value("area", Datum::area(over))
                .word("use", uses)
                .limit(Datum::ratio((limit * 1000.0).round() / 1000.0))
                .at(at)
                .remedy("ease the slope, or break it by steps or a wall", Vec::new()),
        );
    }
}

fn sides(study: &GroundStudy<'_>, property: &ElementRef, all: &mut Vec<Finding>) {
    let name = |at: Point| format!("({}, {})", study.reader.length(at.x), study.reader.length(at.y));
    for side in study.sides.iter().filter(|side| !side.public) {
        let [before, after] = side.leaves.map(|area| area * study.intensity());
        // A tenth and a tenth of a litre a second are within what the method can tell.
        if after > before * 1.1 + 0.000_1 {
            all.push(
                Finding::new(&NEIGHBOUR, Severity::Fault, property.clone())
                    .word("from", name(side.ends[0]))
                    .word("to", name(side.ends[1]))
                    .value("before", Datum::flow(before))
                    .value("after", Datum::flow(after))
                    .at(side.ends[0].midpoint(side.ends[1]))
                    .remedy("turn the water along the line with a swale on your own side", Vec::new())
                    .remedy("hold it in a rain garden or a dry well", Vec::new()),
            );
        }
    }
}

fn ponds(study: &GroundStudy<'_>, property: &ElementRef, all: &mut Vec<Finding>) {
    let Some(runoff) = &study.runoff else { return };
    for pond in &runoff.ponds {
        let element = study.covers.element_at(pond.hollow.at).unwrap_or(property);
        let by_house = study.yard.plot.buildings.iter().any(|b| {
            b.whole.contains(pond.hollow.at) || b.edge.nearest(pond.hollow.at).distance < 10.0 * FOOT
        });
        let severity = if by_house { Severity::Fault } else { Severity::Doubt };
        all.push(
            Finding::new(&HOLLOW, severity, element.clone())
                .value("depth", Datum::depth(pond.hollow.depth()))
                .value("area", Datum::area(pond.hollow.area))
                .value("takes", Datum::flow(pond.takes * study.intensity()))
                .at(pond.hollow.at)
                .remedy("fill it, or open its lowest rim", Vec::new())
                .remedy("set a basin at its lowest place and drain it", Vec::new()),
        );
    }
}

fn floating(study: &GroundStudy<'_>, all: &mut Vec<Finding>) {
    let Some(runoff) = &study.runoff else { return };
    for area in &study.yard.plot.beds {
        let bed = study.project.design.beds.iter().find(|bed| bed.id == area.element.id);
        let Some(mulch) = bed.and_then(|bed| bed.mulch.as_ref()) else { continue };
        let Some(product) = study.project.stock.mulches.get(&mulch.product).filter(|m| m.floats) else {
            continue;
        };
        let Some(bounds) = area.free.bounds() else { continue };
        let index = RegionIndex::new(&area.free);
        let inside = runoff.surface.points().iter().zip(&runoff.gathered);
        let most = inside
            .filter(|(p, _)| bounds.contains(p.plan()) && index.contains(p.plan()))
            .max_by(|a, b| a.1.total_cmp(b.1));
        let Some((at, takes)) = most else { continue };
        let flow = takes * study.intensity();
        if flow > MOVES_CHIPS {
            all.push(
                Finding::new(&FLOATS, Severity::Doubt, area.element.clone())
                    .value("flow", Datum::flow(flow))
                    .word("mulch", &product.loose.name)
                    .limit(Datum::flow(MOVES_CHIPS))
                    .at(at.plan())
                    .remedy("mulch the water's way with stone or a mulch that stays", Vec::new())
                    .remedy("set an edging along the lower side", Vec::new()),
            );
        }
    }
}

/// Hours for a reader. [h]
pub(crate) fn hours(seconds: f64) -> Datum {
    Datum::hours((seconds / HOUR * 10.0).round() / 10.0)
}
