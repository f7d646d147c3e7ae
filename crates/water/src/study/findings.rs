//! What the irrigation says about itself.

use groundwright_geometry::{Point, RegionIndex};
use groundwright_handoff::{Datum, Finding, Rule, Severity, Source as Why};
use groundwright_plan::stock::WaterUse as Class;
use groundwright_plan::{Action, ElementRef, Fate, Kind, Word};

use super::layout::Layout;
use super::pipes::PipeProblem;
use super::{AreaRun, WaterStudy, ZoneRun};
use crate::hydrozones::ZoneFlag;

/// Pressures within a zone that differ by more than this share give flows that differ by a tenth.
const UNLIKE: f64 = 0.20;
/// Months of the year in which nights freeze, below this mean of lowest temperatures. [K]
const FREEZING: f64 = 273.15 + 1.0;
/// How near a buried service a trench is said to touch it. [m]
const NEAR: f64 = 0.6;
/// Highest static pressure that fittings commonly bear without a regulator before them. [Pa]
const HIGH: f64 = 80.0 * groundwright_units::constants::PSI;

macro_rules! rules {
    ($($name:ident = $id:literal, $title:literal, $sentence:literal, $source:expr;)*) => {
        $(static $name: Rule = Rule { id: $id, title: $title, sentence: $sentence, source: $source };)*
    };
}

const LOCAL: Why = Why::Published("plumbing codes ask for it everywhere; the local code decides which kind");

rules! {
    NO_SUPPLY = "water.no-supply", "Irrigation without a supply",
        "{subject} has no water: {problem}.", Why::CommonPractice;
    ASSUMED = "water.supply-assumed", "Supplies that nobody measured",
        "{subject} rests on an assumed {what}: {pressure} and {flow}.", Why::Practice;
    HIGH_PRESSURE = "water.pressure-high", "Supplies of high pressure",
        "The main stands at {pressure}; from {limit_psi} a regulator belongs before valves and fittings.",
        Why::Published("80 psi in common plumbing codes, from memory; the local code decides");
    BACKFLOW = "water.backflow", "What keeps garden water out of the drinking water",
        "{subject}: {name} is taken. Permit, kind, place and yearly test are the local code's and a licensed plumber's.",
        LOCAL;
    FREEZE = "water.freeze", "Pipe that must be emptied before frost",
        "Nights freeze here in {months} months: pipe above the frost is drained or blown out, the preventer wrapped or brought \
         in.", Why::CommonPractice;
    MIXED = "water.mixed-needs", "Ground that mixes plants of unlike thirst",
        "{subject} mixes plants of {least} and {most} water use and is watered for the thirstiest.",
        Why::Published("hydrozones of the model water efficient landscape ordinance");
    TOO_MUCH = "water.too-much", "Outlets that take more than the supply gives",
        "{subject} alone takes {flow}; {available} may be used.", Why::Practice;
    NOTHING = "water.nothing-fits", "Ground that cannot be watered as told",
        "{subject}: {problem}.", Why::CommonPractice;
    LINE_LONG = "water.line-long", "Drip lines longer than their pressure allows",
        "{subject}: its longest line runs {length}, {limit} keep every emitter at work.",
        Why::Published("Hazen and Williams along the line");
    NOT_PIPED = "water.not-piped", "Zones that cannot be piped",
        "{subject}, {tag}: {problem}.", Why::Published("global gradient method, Hazen and Williams");
    LOW = "water.pressure-low", "Zones with too little pressure",
        "{subject}, {tag}: its worst outlet has {pressure}, {least} is the least at which it works.",
        Why::Published("global gradient method, Hazen and Williams");
    HIGH_OUTLET = "water.pressure-over", "Outlets above their pressure",
        "{subject}, {tag}: an outlet stands at {pressure}, above its {most}.", Why::Published("working range of the product");
    VARIES = "water.pressure-varies", "Zones of unlike pressure",
        "{subject}, {tag}: pressures differ by {share}; a fifth gives flows that differ by a tenth.",
        Why::CommonPractice;
    FAST = "water.fast", "Pipe in which water runs too fast",
        "{subject}, {tag}: {found} ft/s in its fastest pipe, {most} ft/s are allowed; a valve that shuts hammers.",
        Why::Practice;
    UNEVEN = "water.uneven", "Ground that is watered unevenly",
        "{subject}: its dry quarter gets {found} of the mean, {limit} are wanted; {more} more water is run for it.",
        Why::Practice;
    MISSES = "water.misses", "Heads that water what is beside their ground",
        "{subject}: {found} of the water falls beside it, {limit} are allowed.", Why::Practice;
    NO_HEAD = "water.no-head", "Corners in which no head fits",
        "{subject}: at {count} {place|places} no sector fits without wetting paving or a house.", Why::CommonPractice;
    UNDER_TREE = "water.under-dry-tree", "Water in summer under trees that do not bear it",
        "{subject} waters the ground under {other}, which bears none in summer.", Why::CommonPractice;
    ROOTS = "water.in-roots", "Trenches among the roots of kept trees",
        "{subject}: {length} of its trench lie inside tree protection.", Why::Practice;
    SERVICES = "water.beside-services", "Trenches over buried services",
        "{subject}: its trench crosses or comes near {what}.", Why::CommonPractice;
    STATIONS = "water.stations", "Controllers with too few stations",
        "{subject} switches {stations} zones, {zones} are laid out.", Why::CommonPractice;
    DRY_BETWEEN = "water.dry-between", "Zones that run dry between their days",
        "{subject}, {tag}: in {month} the soil is spent before the next allowed day.",
        Why::Published("FAO Irrigation and Drainage Paper 56, readily available water");
    LONG_DAY = "water.long-day", "Days on which the water runs too long",
        "On the fullest day of {month} the zones run {hours} together; a night has eight.", Why::CommonPractice;
    BUDGET = "water.budget", "Yards that use more than their budget",
        "A year takes {found}, the allowance of the ordinance is {allowed}.",
        Why::Published("California Code of Regulations, title 23, section 492.4; the local ordinance decides");
    CLIMATE = "water.climate", "Run times from an assumed climate",
        "Run times and the water of a year rest on {what} guessed from the latitude.", Why::Practice;
    UNWATERED = "water.unwatered", "Beds of thirsty plants that nothing waters",
        "{subject} has {count} {plant|plants} of moderate or high water use and no watering.", Why::CommonPractice;
    OLD = "water.old-system", "Old irrigation that is in the way",
        "{subject} is to be {what}.", Why::CommonPractice;
}

pub(super) fn all(study: &WaterStudy<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    let Some(first) = study.areas.first().map(AreaRun::subject) else { return all };
    supply(study, &first, &mut all);
    study.flags.iter().for_each(|flag| all.extend(flagged(study, flag)));
    study.areas.iter().enumerate().for_each(|(i, run)| area(study, i, run, &mut all));
    study.zones.iter().for_each(|zone| piped(study, zone, &mut all));
    trenches(study, &first, &mut all);
    year(study, &first, &mut all);
    unwatered(study, &mut all);
    all
}

fn supply(study: &WaterStudy<'_>, subject: &ElementRef, all: &mut Vec<Finding>) {
    let source = match &study.source {
        Ok(source) => source,
        Err(problem) => {
            all.push(
                Finding::new(&NO_SUPPLY, Severity::Fault, subject.clone())
                    .word("problem", problem.as_str())
                    .remedy("give `at`, `static_pressure`, `bucket` and `seconds` in [supply]", Vec::new()),
            );
            return;
        }
    };
    if !source.assumed.is_empty() {
        all.push(
            Finding::new(&ASSUMED, Severity::Doubt, subject.clone())
                .word("what", source.assumed.join(" and "))
                .word("pressure", study.reader.pressure(source.pressure))
                .value("flow", Datum::flow(source.usable.flow))
                .at(source.at)
                .remedy("hold a gauge and a bucket to the hose bib: ten minutes", Vec::new()),
        );
    }
    if source.pressure > HIGH {
        all.push(
            Finding::new(&HIGH_PRESSURE, Severity::Doubt, subject.clone())
                .word("pressure", study.reader.pressure(source.pressure))
                .word("limit_psi", study.reader.pressure(HIGH))
                .at(source.at)
                .remedy("have a plumber set a pressure regulator behind the meter", Vec::new()),
        );
    }
    if let Some((part, at)) = study.preventer {
        let told = study.project.design.irrigation.preventers.first();
        let subject = told.map_or(subject.clone(), |told| ElementRef::new(Kind::Preventer, &told.id));
        all.push(
            Finding::new(&BACKFLOW, Severity::Note, subject)
                .word("name", part.name.as_str())
                .at(at)
                .remedy("ask the water purveyor which kind is allowed before it is ordered", Vec::new()),
        );
    }
    let lows = study.project.property.climate.as_ref().and_then(|climate| climate.low);
    let freezing = lows.map_or(0, |lows| lows.iter().filter(|low| **low < FREEZING).count());
    if freezing > 0 {
        all.push(
            Finding::new(&FREEZE, Severity::Note, subject.clone())
                .value("months", Datum::count(freezing))
                .remedy("plan a drain valve at the lowest place, and a visit in autumn", Vec::new()),
        );
    }
}

fn flagged(study: &WaterStudy<'_>, flag: &ZoneFlag) -> Option<Finding> {
    let of = |name: &str| study.areas.iter().find(|run| run.label == name);
    match flag {
        ZoneFlag::Mixed { area, least, most } => {
            let run = of(area)?;
            Some(
                placed(Finding::new(&MIXED, Severity::Note, run.element.clone()), run)
                    .word("least", format!("{least:?}").to_lowercase())
                    .word("most", format!("{most:?}").to_lowercase())
                    .remedy(
                        "move the thirsty ones together, or give them a watering of their own with point drip",
                        Vec::new(),
                    ),
            )
        }
        ZoneFlag::TooMuch { area, flow, available, parts } => {
            let run = of(area)?;
            Some(
                placed(Finding::new(&TOO_MUCH, Severity::Fault, run.element.clone()), run)
                    .value("flow", Datum::flow(*flow))
                    .value("available", Datum::flow(*available))
                    .remedy(format!("part it over {parts} waterings"), Vec::new()),
            )
        }
    }
}

fn placed(finding: Finding, run: &AreaRun<'_>) -> Finding {
    match run.middle() {
        Some(at) => finding.at(at),
        None => finding,
    }
}

fn area(study: &WaterStudy<'_>, i: usize, run: &AreaRun<'_>, all: &mut Vec<Finding>) {
    let subject = &run.element;
    match &run.layout {
        Layout::Nothing(problem) => all.push(
            placed(Finding::new(&NOTHING, Severity::Fault, subject.clone()), run)
                .word("problem", problem.as_str())
                .remedy("choose another `method`, or leave it out", Vec::new()),
        ),
        Layout::Lines { rows, longest, .. } => {
            let longest_row = rows.too_long.iter().map(|row| row.1).fold(0.0, f64::max);
            if longest_row > 0.0 {
                all.push(
                    placed(Finding::new(&LINE_LONG, Severity::Fault, subject.clone()), run)
                        .value("length", Datum::length(longest_row))
                        .limit(Datum::length(2.0 * longest))
                        .remedy("feed it at two places, or part the bed over two waterings", Vec::new()),
                );
            }
        }
        Layout::Heads { without, .. } if !without.is_empty() => all.push(
            Finding::new(&NO_HEAD, Severity::Note, subject.clone())
                .value("count", Datum::count(without.len()))
                .at(without[0])
                .remedy("water these corners by drip, or take a nozzle of shorter throw", Vec::new()),
        ),
        _ => {}
    }
    let practice = &study.project.practice;
    if let Some(even) = &study.evens[i] {
        if let Some(quarter) = even.low_quarter.filter(|quarter| *quarter < practice.water_uniformity) {
            let more = crate::uniformity::run_time_multiplier(quarter).unwrap_or(1.0) - 1.0;
            all.push(
                placed(Finding::new(&UNEVEN, Severity::Doubt, subject.clone()), run)
                    .value("found", Datum::ratio(quarter))
                    .value("more", Datum::ratio(more))
                    .limit(Datum::ratio(practice.water_uniformity))
                    .remedy("set heads nearer, smooth its edge, or take drip line", Vec::new()),
            );
        }
        if even.missed > practice.water_missed {
            all.push(
                placed(Finding::new(&MISSES, Severity::Doubt, subject.clone()), run)
                    .value("found", Datum::ratio(even.missed))
                    .limit(Datum::ratio(practice.water_missed))
                    .remedy("take a nozzle of shorter throw, or drip line", Vec::new()),
            );
        }
    }
    all.extend(under_trees(study, run));
}

/// Summer water under a tree that bears none.
fn under_trees(study: &WaterStudy<'_>, run: &AreaRun<'_>) -> Vec<Finding> {
    if run.region.is_empty() || matches!(run.layout, Layout::Nothing(_)) {
        return Vec::new();
    }
    let index = RegionIndex::new(&run.region);
    let trees = &study.project.property.trees;
    trees
        .iter()
        .filter(|tree| tree.dry_summer && tree.action == Action::Keep)
        .filter_map(|tree| {
            let element = ElementRef::new(Kind::Tree, &tree.id);
            let trunk = study.yard.plot.place_of(&element)?;
            let reach = tree.crown.value / 2.0;
            (index.signed_distance(trunk) > -reach).then(|| {
                Finding::new(&UNDER_TREE, Severity::Danger, run.element.clone())
                    .also(element)
                    .at(trunk)
                    .remedy(
                        "leave it out with `without`, or water only beyond the crown until plants are established",
                        Vec::new(),
                    )
            })
        })
        .collect()
}

fn piped(study: &WaterStudy<'_>, zone: &ZoneRun<'_>, all: &mut Vec<Finding>) {
    let Some(run) = zone.areas.first().map(|i| &study.areas[*i]) else { return };
    let subject = run.subject();
    let tagged = |rule: &'static Rule, severity: Severity| {
        Finding::new(rule, severity, subject.clone()).word("tag", zone.tag())
    };
    let words = match &zone.piped {
        Err(PipeProblem::Route(problem) | PipeProblem::Solve(problem)) => Some(problem.clone()),
        Err(PipeProblem::Sizes { why, .. }) => Some(why.clone()),
        _ => None,
    };
    if let Some(words) = words {
        all.push(
            placed(tagged(&NOT_PIPED, Severity::Fault).word("problem", words), run)
                .remedy("place a valve box nearer, or part the zone", Vec::new()),
        );
    }
    let Some(plan) = zone.plan() else { return };
    let reader = &study.reader;
    if let Some((worst, pressure)) = zone.worst() {
        let outlet = &zone.outlets[worst];
        if pressure < outlet.needed {
            all.push(
                tagged(&LOW, Severity::Fault)
                    .word("pressure", reader.pressure(pressure))
                    .word("least", reader.pressure(outlet.needed))
                    .at(outlet.at)
                    .remedy(
                        "part the zone, bring the valve nearer, or have a plumber add a booster pump",
                        Vec::new(),
                    ),
            );
        }
    }
    let over = (0..zone.outlets.len()).find_map(|k| {
        let outlet = &zone.outlets[k];
        let most = outlet.emitter.range?.1;
        let held = outlet.emitter.regulated_above.is_some();
        (plan.pressures[k] > most && !held).then_some((outlet.at, plan.pressures[k], most))
    });
    if let Some((at, pressure, most)) = over {
        all.push(
            tagged(&HIGH_OUTLET, Severity::Doubt)
                .word("pressure", reader.pressure(pressure))
                .word("most", reader.pressure(most))
                .at(at)
                .remedy("take heads that regulate themselves, or a valve with a regulator", Vec::new()),
        );
    }
    // Heads that hold their pressure do not mind.
    let held =
        zone.outlets.iter().enumerate().all(|(k, outlet)| {
            outlet.emitter.regulated_above.is_some_and(|above| plan.pressures[k] >= above)
        });
    if let Some(share) = zone.variation().filter(|share| *share > UNLIKE && !held) {
        all.push(
            placed(tagged(&VARIES, Severity::Doubt).value("share", Datum::ratio(share)), run)
                .remedy("take heads that regulate themselves, or wider pipe", Vec::new()),
        );
    }
    let fastest = plan.velocities.iter().copied().fold(0.0, f64::max);
    let limit = study.project.practice.water_velocity;
    if fastest > limit * 1.05 {
        let feet = |speed: f64| format!("{:.1}", speed / groundwright_units::constants::FOOT);
        all.push(
            placed(
                tagged(&FAST, Severity::Doubt).word("found", feet(fastest)).word("most", feet(limit)),
                run,
            )
            .remedy("part the zone, or offer wider pipe in the stock", Vec::new()),
        );
    }
}

fn trenches(study: &WaterStudy<'_>, subject: &ElementRef, all: &mut Vec<Finding>) {
    let main = study.main.as_ref().ok();
    let rooted: f64 = main.map_or(0.0, |main| main.in_roots)
        + study.zones.iter().filter_map(ZoneRun::plan).map(|plan| plan.in_roots).sum::<f64>();
    if rooted > 0.3 {
        let finding = Finding::new(&ROOTS, Severity::Danger, subject.clone());
        all.push(finding.value("length", Datum::length(rooted)).remedy(
            "bore under them or dig by air, with an arborist; better, move heads or valves out",
            Vec::new(),
        ));
    }
    let stretches = main
        .into_iter()
        .flat_map(|main| &main.stretches)
        .chain(study.zones.iter().filter_map(ZoneRun::plan).flat_map(|plan| &plan.stretches));
    let ends: Vec<Point> =
        stretches.flat_map(|s| [s.ends.0, s.ends.0.midpoint(s.ends.1), s.ends.1]).collect();
    let mut near: Vec<(ElementRef, &'static str, Point)> = Vec::new();
    for route in &study.yard.plot.buried_lines {
        let found = study.project.property.buried.iter().find(|b| b.id == route.element.id);
        let Some(thing) = found.filter(|thing| thing.kind.is_service()) else { continue };
        if let Some(at) = ends.iter().find(|at| route.line.nearest(**at).distance < NEAR) {
            near.push((route.element.clone(), Word::word(thing.kind), *at));
        }
    }
    let Some((.., at)) = near.first() else { return };
    let mut kinds: Vec<&str> = near.iter().map(|(_, kind, _)| *kind).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let finding =
        Finding::new(&SERVICES, Severity::Danger, subject.clone()).word("what", kinds.join(", ")).at(*at);
    let finding = near.iter().fold(finding, |finding, (element, ..)| finding.also(element.clone()));
    all.push(finding.remedy("have all located and marked first, and dig by hand there", Vec::new()));
}

fn year(study: &WaterStudy<'_>, subject: &ElementRef, all: &mut Vec<Finding>) {
    let missing: Vec<&str> = [(study.year.known.0, "evapotranspiration"), (study.year.known.1, "rain")]
        .iter()
        .filter(|(known, _)| !known)
        .map(|(_, word)| *word)
        .collect();
    if !missing.is_empty() {
        all.push(
            Finding::new(&CLIMATE, Severity::Doubt, subject.clone())
                .word("what", missing.join(" and "))
                .remedy(
                    "give monthly `high`, `low` and `rain` in [climate], from the nearest station",
                    Vec::new(),
                ),
        );
    }
    if let Some(controller) = study.controller.filter(|c| c.stations < study.zones.len()) {
        let told = study.project.design.irrigation.controllers.first();
        let subject = told.map_or(subject.clone(), |told| ElementRef::new(Kind::Controller, &told.id));
        all.push(
            Finding::new(&STATIONS, Severity::Fault, subject)
                .value("stations", Datum::count(controller.stations))
                .value("zones", Datum::count(study.zones.len()))
                .remedy("take a larger controller", Vec::new()),
        );
    }
    let peak = study.year.peak();
    for zone in &study.zones {
        let Some(run) = zone.areas.first().map(|i| &study.areas[*i]) else { continue };
        let dry = zone.schedule.as_ref().and_then(|s| s.grown.get(peak)).is_some_and(|line| line.dry_between);
        if dry {
            all.push(
                placed(Finding::new(&DRY_BETWEEN, Severity::Doubt, run.subject()), run)
                    .word("tag", zone.tag())
                    .word("month", super::tables::MONTHS[peak])
                    .remedy(
                        "ask for one more watering day, mulch deeper, or choose less thirsty plants",
                        Vec::new(),
                    ),
            );
        }
    }
    let fullest = fullest_day(study, peak);
    if fullest > 8.0 * 3600.0 {
        all.push(
            Finding::new(&LONG_DAY, Severity::Doubt, subject.clone())
                .word("month", super::tables::MONTHS[peak])
                .value("hours", Datum::hours(fullest / 3600.0))
                .remedy("spread zones over more days, or run two programs", Vec::new()),
        );
    }
    if let Some(budget) = study.budget.as_ref().filter(|budget| !budget.passes) {
        all.push(
            Finding::new(&BUDGET, Severity::Doubt, subject.clone())
                .word("found", study.reader.water(budget.use_total))
                .word("allowed", study.reader.water(budget.allowance))
                .remedy("make turf smaller, or choose plants of less water use", Vec::new()),
        );
    }
}

/// Time from the first to the last drop of the fullest day of a month, soaking of one zone used by the
/// next. [s]
pub(super) fn fullest_day(study: &WaterStudy<'_>, month: usize) -> f64 {
    (0..7)
        .map(|day| {
            let lines = study.zones.iter().filter_map(|zone| zone.schedule.as_ref()?.grown.get(month));
            lines
                .filter(|line| line.weekdays[day])
                .map(|line| f64::from(line.run.cycles) * line.cycle_set)
                .sum()
        })
        .fold(0.0, f64::max)
}

fn unwatered(study: &WaterStudy<'_>, all: &mut Vec<Finding>) {
    for bed in study.yard.plot.beds.iter().chain(&study.yard.plot.boxes) {
        if study.areas.iter().any(|run| run.element == bed.element) {
            continue;
        }
        let thirsty = |plant: &&groundwright_yard::Plant| {
            let taxon = plant.taxon.as_ref().and_then(|taxon| study.project.stock.taxa.get(taxon));
            let drinks =
                taxon.and_then(|t| t.water).is_some_and(|w| matches!(w, Class::Medium | Class::High));
            let alone = study.areas.iter().any(|run| run.element == plant.key.instruction);
            plant.place.as_ref() == Some(&bed.element) && drinks && !alone
        };
        let count = study.yard.plants.iter().filter(thirsty).count();
        if count > 0 {
            let finding = Finding::new(&UNWATERED, Severity::Note, bed.element.clone());
            let finding = finding.value("count", Datum::count(count));
            let finding = match bed.free.pole(0.1) {
                Some((at, _)) => finding.at(at),
                None => finding,
            };
            all.push(
                finding.remedy("name it in a watering, or plan hand watering for two summers", Vec::new()),
            );
        }
    }
    for thing in &study.project.property.buried {
        use groundwright_plan::BuriedKind as Is;
        let ours = matches!(thing.kind, Is::IrrigationHead | Is::IrrigationPipe | Is::IrrigationValve);
        let what = match thing.fate {
            Fate::Cap => "capped at its valve before anything is dug",
            Fate::Move => "taken up and set anew",
            Fate::Keep | Fate::Reuse => continue,
        };
        if ours {
            all.push(
                Finding::new(&OLD, Severity::Note, ElementRef::new(Kind::Buried, &thing.id))
                    .word("what", what)
                    .remedy("do it on the day of clearing, with the water shut", Vec::new()),
            );
        }
    }
}

impl AreaRun<'_> {
    /// The instruction as an element.
    pub fn subject(&self) -> ElementRef {
        ElementRef::new(Kind::Watering, &self.watering.id)
    }
}
