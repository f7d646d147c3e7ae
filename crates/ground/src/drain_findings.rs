//! What is wrong with swales, pipes and outlets.

use groundwright_geometry::Point;
use groundwright_handoff::{Datum, Finding, Rule, Severity, Source};
use groundwright_plan::{ElementRef, Kind, Outlet, OutletKind, SoilTexture, Storm};
use groundwright_units::constants::{FOOT, HOUR, INCH, MINUTE};

use crate::findings::hours;
use crate::study::{DrainRun, GroundStudy, SwaleRun};
use crate::{
    DryWell, ManningError, NotUsable, RainGarden, Store, Texture, TimedHole, dry_well, of_timed_hole,
    rain_garden,
};

static PIPE_FALL: Rule = Rule {
    id: "drain.fall",
    title: "Pipes that do not fall enough",
    sentence: "{subject} falls {slope}; {limit} keeps it running.",
    source: Source::CommonPractice,
};
static PIPE_SMALL: Rule = Rule {
    id: "drain.undersized",
    title: "Pipes too small",
    sentence: "{subject}: {flow} comes in the design storm; at its fall it carries {limit}.",
    source: Source::Published("Manning's equation, for a pipe 94 % full, which carries most"),
};
static PIPE_SLOW: Rule = Rule {
    id: "drain.slow",
    title: "Pipes that silt up",
    sentence: "{subject} runs at {speed} in the design storm; {limit} carries silt along.",
    source: Source::CommonPractice,
};
static PIPE_COVER: Rule = Rule {
    id: "drain.cover",
    title: "Pipes with too little soil above",
    sentence: "{subject}: at its shallowest there is {cover} above the pipe; {limit} is asked for.",
    source: Source::CommonPractice,
};
static TRENCH: Rule = Rule {
    id: "drain.trench",
    title: "Trenches in which a wall can fall",
    sentence: "{subject}: the trench is {depth} deep; from {limit} nobody enters it without shoring or sloped sides.",
    source: Source::Published(
        "OSHA 29 CFR 1926.652(a)(1): protection from 5 ft; less where a competent person sees a hazard",
    ),
};
static NO_OUTLET: Rule = Rule {
    id: "drain.no-outlet",
    title: "Pipes that lead nowhere",
    sentence: "{subject} names nothing that it leads to.",
    source: Source::Practice,
};
static LAWFUL: Rule = Rule {
    id: "drain.lawful",
    title: "Outlets nobody has allowed",
    sentence: "{subject}: nobody said by whose leave water is let go there.",
    source: Source::CommonPractice,
};
static NEAR_HOUSE: Rule = Rule {
    id: "drain.near-house",
    title: "Water let into the ground beside the house",
    sentence: "{subject} is {distance} from the house; {limit} keeps water off the foundation.",
    source: Source::CommonPractice,
};
static STORE_SMALL: Rule = Rule {
    id: "drain.store",
    title: "Dry wells and rain gardens too small",
    sentence: "{subject}: {held} must be held in the design storm; it holds {limit}.",
    source: Source::Published("balance of volume over the storm; stone's voids as given"),
};
static STORE_SLOW: Rule = Rule {
    id: "drain.empties",
    title: "Water that stands too long",
    sentence: "{subject} takes {time} to empty; {limit} keeps mosquitoes away and leaves room for the next storm.",
    source: Source::CommonPractice,
};
static SWALE_FLAT: Rule = Rule {
    id: "swale.fall",
    title: "Swales that do not fall enough",
    sentence: "{subject} falls {slope}; {limit} is asked for.",
    source: Source::Published(
        "International Residential Code R401.3: 2 % within 10 ft of the foundation; beyond, 1 % is common practice",
    ),
};
static SWALE_SMALL: Rule = Rule {
    id: "swale.undersized",
    title: "Swales that run over",
    sentence: "{subject}: {flow} comes in the design storm; {depth} deep it carries {limit}.",
    source: Source::Published("Manning's equation"),
};
static SWALE_FAST: Rule = Rule {
    id: "swale.erosive",
    title: "Swales that wash out",
    sentence: "{subject} runs at {speed} in the design storm; its lining stands {limit}.",
    source: Source::Published("SCS-TP-61, permissible velocities for vegetated channels"),
};
static SWALE_COVER: Rule = Rule {
    id: "swale.lining",
    title: "Linings not meant for that slope",
    sentence: "{subject} falls {slope}; its grass is not used in channels so steep.",
    source: Source::Published("SCS-TP-61, permissible velocities for vegetated channels"),
};
static SWALE_RAISED: Rule = Rule {
    id: "swale.raised",
    title: "Swales above the ground",
    sentence: "{subject}: its bottom lies {height} above the ground beside it somewhere along it.",
    source: Source::Practice,
};
static BURIED_CAP: Rule = Rule {
    id: "drain.cleanout",
    title: "Cleanouts that will be buried",
    sentence: "{subject}: its cap lies {depth} below the soil and mulch; {limit} above them it is found again.",
    source: Source::CommonPractice,
};

const PIPE_LEAST_FALL: f64 = 0.01;
const CLEANS_ITSELF: f64 = 2.0 * FOOT;
const COVER: f64 = 6.0 * INCH;
const DEEP_TRENCH: f64 = 5.0 * FOOT;
const FROM_HOUSE: f64 = 10.0 * FOOT;
const EMPTIES_IN: f64 = 72.0 * HOUR;
/// Share of a tested intake that is counted on: holes clog. Common practice, no source.
const COUNTED_ON: f64 = 0.5;

pub(crate) fn all(study: &GroundStudy<'_>, all: &mut Vec<Finding>) {
    for run in &study.swales {
        swale(study, run, all);
    }
    for run in &study.drains {
        drain(run, all);
    }
    for outlet in &study.project.design.ground.outlets {
        outlets(study, outlet, all);
    }
    for cleanout in &study.project.design.ground.cleanouts {
        let element = ElementRef::new(Kind::Cleanout, &cleanout.id);
        let Some(at) = study.place_of(&element) else { continue };
        let top = study.yard.ground.proposed(at) + study.covers.mulch(at);
        if cleanout.cap.value < top - 0.002 {
            all.push(
                Finding::new(&BURIED_CAP, Severity::Doubt, element)
                    .value("depth", Datum::depth(top - cleanout.cap.value))
                    .limit(Datum::depth(INCH))
                    .at(at)
                    .remedy("raise its cap to the finished ground, or keep mulch off it", Vec::new()),
            );
        }
    }
}

fn ratio(share: f64) -> Datum {
    Datum::ratio((share * 1000.0).round() / 1000.0)
}

fn middle(points: &[groundwright_geometry::Point3]) -> Point {
    points.get(points.len() / 2).map_or(Point::ORIGIN, |p| p.plan())
}

fn drain(run: &DrainRun<'_>, all: &mut Vec<Finding>) {
    let element = ElementRef::new(Kind::Drain, &run.drain.id);
    let new = |rule, severity| Finding::new(rule, severity, element.clone()).at(middle(&run.course));
    if run.drain.leads_to.is_none() {
        all.push(new(&NO_OUTLET, Severity::Fault).remedy("give `leads_to`", Vec::new()));
    }
    if run.slope < PIPE_LEAST_FALL - 1e-6 {
        let severity = if run.slope <= 0.0 { Severity::Fault } else { Severity::Doubt };
        all.push(
            new(&PIPE_FALL, severity)
                .value("slope", ratio(run.slope))
                .limit(ratio(PIPE_LEAST_FALL))
                .rests_on(element.clone(), "start", run.drain.start.standing)
                .rests_on(element.clone(), "end", run.drain.end.standing)
                .remedy("lower its end, or lead it another way", Vec::new()),
        );
    }
    match run.runs {
        Some(Err(ManningError::TooMuch { flow, most })) => all.push(
            new(&PIPE_SMALL, Severity::Fault)
                .value("flow", Datum::flow(flow))
                .limit(Datum::flow(most))
                .remedy("take the next larger pipe, or a smooth one", Vec::new())
                .remedy("part the water over two pipes", Vec::new()),
        ),
        Some(Ok(flow)) if flow.velocity < CLEANS_ITSELF => all.push(
            new(&PIPE_SLOW, Severity::Note)
                .value("speed", Datum::speed(flow.velocity))
                .limit(Datum::speed(CLEANS_ITSELF))
                .remedy("lay it steeper, and set a cleanout at its upper end", Vec::new()),
        ),
        _ => {}
    }
    if run.cover.0 < COVER - 0.002 {
        let severity = if run.cover.0 < 0.0 { Severity::Fault } else { Severity::Doubt };
        all.push(
            Finding::new(&PIPE_COVER, severity, element.clone())
                .value("cover", Datum::depth(run.cover.0))
                .limit(Datum::depth(COVER))
                .at(run.thin_at)
                .remedy("lay it deeper, or let it come out where the ground is lower", Vec::new()),
        );
    }
    let trench = run.cover.1 + run.drain.diameter.value;
    if trench >= DEEP_TRENCH {
        all.push(
            new(&TRENCH, Severity::Danger)
                .value("depth", Datum::length(trench))
                .limit(Datum::length(DEEP_TRENCH))
                .remedy("lay it less deep, or leave the trench to those who shore", Vec::new()),
        );
    }
}

fn swale(study: &GroundStudy<'_>, run: &SwaleRun<'_>, all: &mut Vec<Finding>) {
    let element = ElementRef::new(Kind::Swale, &run.swale.id);
    let new = |rule, severity| Finding::new(rule, severity, element.clone()).at(middle(&run.course));
    let by_house = run
        .course
        .iter()
        .any(|p| study.yard.plot.buildings.iter().any(|b| b.edge.nearest(p.plan()).distance < FROM_HOUSE));
    let least = if by_house { 0.02 } else { 0.01 };
    if run.slope < least - 1e-6 {
        let severity = if run.slope <= 0.0 { Severity::Fault } else { Severity::Doubt };
        all.push(
            new(&SWALE_FLAT, severity)
                .value("slope", ratio(run.slope))
                .limit(ratio(least))
                .remedy("lower its end, or lay a drain under it", Vec::new()),
        );
    }
    if run.depth < -0.01 {
        all.push(
            new(&SWALE_RAISED, Severity::Fault)
                .value("height", Datum::depth(-run.depth))
                .remedy("lower its levels below the ground there", Vec::new()),
        );
    }
    match (&run.runs, run.stands) {
        (Some(Err(ManningError::TooMuch { flow, most })), _) => all.push(
            new(&SWALE_SMALL, Severity::Fault)
                .value("flow", Datum::flow(*flow))
                .value("depth", Datum::depth(run.depth.max(0.0)))
                .limit(Datum::flow(*most))
                .remedy("make it wider or deeper", Vec::new()),
        ),
        (Some(Ok(_)), None) => all.push(
            new(&SWALE_COVER, Severity::Doubt)
                .value("slope", ratio(run.slope))
                .remedy("line its bottom with stone", Vec::new()),
        ),
        (Some(Ok(flow)), Some(stands)) if flow.velocity > stands => all.push(
            new(&SWALE_FAST, Severity::Fault)
                .value("speed", Datum::speed(flow.velocity))
                .limit(Datum::speed(stands))
                .remedy("make it wider and flatter", Vec::new())
                .remedy("line it with stone, or set checks of stone across it", Vec::new()),
        ),
        _ => {}
    }
}

fn outlets(study: &GroundStudy<'_>, outlet: &Outlet, all: &mut Vec<Finding>) {
    let element = ElementRef::new(Kind::Outlet, &outlet.id);
    let Some(at) = study.place_of(&element) else { return };
    let on_lot = matches!(outlet.kind, OutletKind::DryWell | OutletKind::RainGarden);
    if outlet.allowed.is_empty() && !on_lot {
        all.push(
            Finding::new(&LAWFUL, Severity::Doubt, element.clone())
                .at(at)
                .remedy("ask the local office, and write who allowed it in `allowed`", Vec::new()),
        );
    }
    if !on_lot {
        return;
    }
    let far =
        |b: &groundwright_yard::Area| if b.whole.contains(at) { 0.0 } else { b.edge.nearest(at).distance };
    let distance = study.yard.plot.buildings.iter().map(far).fold(f64::INFINITY, f64::min);
    let edge = distance - outlet.width.value / 2.0;
    if edge < FROM_HOUSE - 0.01 {
        all.push(
            Finding::new(&NEAR_HOUSE, Severity::Fault, element.clone())
                .value("distance", Datum::length(edge.max(0.0)))
                .limit(Datum::length(FROM_HOUSE))
                .at(at)
                .remedy("move it away from the house, downhill", Vec::new()),
        );
    }
    let Some(Ok(store)) = stored(study, outlet) else { return };
    if store.holds < store.held * 0.999 {
        all.push(
            Finding::new(&STORE_SMALL, Severity::Fault, element.clone())
                .value("held", Datum::volume(store.held))
                .limit(Datum::volume(store.holds))
                .at(at)
                .remedy("make it larger, or give it an overflow to a lawful outlet", Vec::new()),
        );
    }
    if store.empties > EMPTIES_IN {
        let time = if store.empties.is_finite() { store.empties } else { 9999.0 * HOUR };
        all.push(
            Finding::new(&STORE_SLOW, Severity::Doubt, element)
                .value("time", hours(time))
                .limit(hours(EMPTIES_IN))
                .at(at)
                .remedy("spread the water over more ground, or lead it elsewhere", Vec::new()),
        );
    }
}

/// How a dry well or rain garden copes with the storm that brings most; none without one.
pub(crate) fn stored(study: &GroundStudy<'_>, outlet: &Outlet) -> Option<Result<Store, NotUsable>> {
    let storms = study.project.property.ground.storms.iter();
    let storm: &Storm = storms.max_by(|a, b| a.depth.value.total_cmp(&b.depth.value))?;
    let inflow = study.comes_to(outlet) * storm.depth.value;
    let duration = storm.minutes.value * MINUTE;
    let intake = intake(study, outlet).ok()? * COUNTED_ON;
    let (width, depth, voids) = (outlet.width.value, outlet.depth.value, outlet.voids.value);
    match outlet.kind {
        OutletKind::DryWell => {
            Some(dry_well(DryWell { diameter: width, depth, voids }, inflow, intake, duration))
        }
        OutletKind::RainGarden => {
            let area = |d: f64| std::f64::consts::PI * d * d / 4.0;
            // Sides at four to one round the bottom.
            let garden = RainGarden {
                bottom: area(width),
                top: area(width + 8.0 * depth),
                ponding: depth,
                soil: 0.0,
                voids,
            };
            Some(rain_garden(garden, inflow, intake, duration))
        }
        _ => None,
    }
}

/// Intake of the soil at an outlet: the nearest timed hole, or the texture by feel. [m/s]
fn intake(study: &GroundStudy<'_>, outlet: &Outlet) -> Result<f64, NotUsable> {
    let resolver = groundwright_yard::Resolver::new(study.project);
    let at = resolver.point(&outlet.at).unwrap_or(Point::ORIGIN);
    let tests = study.project.property.ground.soil_tests.iter();
    let near = tests
        .filter_map(|test| Some((test, resolver.point(&test.at)?.distance(at))))
        .min_by(|a, b| a.1.total_cmp(&b.1));
    match near {
        Some((test, _)) => of_timed_hole(TimedHole {
            diameter: test.diameter.value,
            start: test.start.value,
            end: test.end.value,
            time: test.minutes.value * MINUTE,
        }),
        None => Ok(texture(study.project.property.place.soil.value).intake()),
    }
}

/// The class of the intake table for a class of the texture triangle; classes that it lacks take the
/// slower of their neighbours.
fn texture(soil: SoilTexture) -> Texture {
    match soil {
        SoilTexture::Sand => Texture::Sand,
        SoilTexture::LoamySand => Texture::LoamySand,
        SoilTexture::SandyLoam => Texture::SandyLoam,
        SoilTexture::Loam => Texture::Loam,
        SoilTexture::SiltLoam | SoilTexture::Silt => Texture::SiltyLoam,
        SoilTexture::SandyClayLoam => Texture::SandyClayLoam,
        SoilTexture::ClayLoam => Texture::ClayLoam,
        SoilTexture::SiltyClayLoam => Texture::SiltyClayLoam,
        SoilTexture::SandyClay | SoilTexture::Clay => Texture::Clay,
        SoilTexture::SiltyClay => Texture::SiltyClay,
    }
}
