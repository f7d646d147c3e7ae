//! What lights say about themselves.

use groundwright_handoff::{Datum, Finding, Rule, Severity, Source};
use groundwright_plan::{Command, ElementRef, Kind, LightRole};

use super::tables::lux;
use super::{LampRun, LightStudy, TransformerRun};
use crate::design::DesignError;

/// Year up to which plants are looked at that may cover a light. [a]
const YEARS: u32 = 10;
/// Share of what is wanted below which a target is missed.
const MISSED: f64 = 0.85;
/// Least over mean on a walk below which dark patches are felt. Common practice, no source.
const PATCHY: f64 = 0.1;
/// Colour temperatures further apart than this are seen side by side. [K] Common practice, no source.
const MIXED: f64 = 350.0;
/// Distance from water within which such lights need a special listing: 10 ft. [m] NFPA 70 article 411,
/// read at second hand; local codes differ.
const FROM_WATER: f64 = 10.0 * groundwright_units::constants::FOOT;

macro_rules! rules {
    ($($name:ident = $id:literal, $title:literal, $sentence:literal, $source:expr;)*) => {
        $(static $name: Rule = Rule { id: $id, title: $title, sentence: $sentence, source: $source };)*
    };
}

const CODE: Source = Source::Published("NFPA 70 article 411, read at second hand; the local code decides");

rules! {
    NO_TRANSFORMER = "light.no-transformer", "Lights that nothing feeds",
        "{subject} has no transformer to feed it.", Source::CommonPractice;
    NOT_FED = "light.not-fed", "Lights that no cable feeds within their voltages",
        "{subject}: {problem}.", Source::Published("voltage window of the lamp's label; circuit by nodal analysis");
    OVERLOADED = "light.transformer-loaded", "Transformers that are loaded too far",
        "{subject} would carry {load} VA of {rating}; practice loads it to {limit}.",
        Source::Published("four fifths of the rating: a trade magazine's worked example");
    SUPPLY = "light.supply", "Supplies that an electrician provides",
        "{subject} needs a dry, reachable outlet with ground-fault protection, outdoors under a cover for use. {count} \
         {light|lights} hang on it.", CODE;
    MISSES = "light.misses", "Lights that do not bring what is wanted",
        "{subject}: {tag} brings {found} lx at its aim even undimmed, {wanted} lx are wanted.", Source::Practice;
    LEVEL = "light.level", "Lights to be dimmed so that the whole is balanced",
        "{subject}: at {levels} the whole is as wanted; it stands at {now}.",
        Source::Published("least squares within bounds over all wanted places");
    DARK = "light.walk-dark", "Walks that stay dark",
        "{subject} has {found} lx in the mean where lights serve it, {wanted} lx are wanted.", Source::Practice;
    UNEVEN = "light.walk-uneven", "Walks with dark patches",
        "{subject}: its darkest place has {least} lx, {share} of the mean.", Source::CommonPractice;
    TRESPASS = "light.trespass", "Light on the neighbour",
        "{subject}: {found} lx arrive upright at the property line, {most} of it from {tag}; {limit_lx} lx are allowed.",
        Source::Published("CIE 150, from memory; many towns have a limit of their own");
    GLARE = "light.glare", "Lamps in the eye",
        "{subject}: {tag} sends {found} cd into the eye at {other}, {limit_cd} cd are allowed.", Source::CommonPractice;
    COVERED = "light.covered", "Lights that plants will cover",
        "{subject}: {tag} stands within {plant} from {year} on.", Source::CommonPractice;
    COLOURS = "light.colours", "Zones of unlike colour",
        "{subject} mixes {low} and {high} K.", Source::CommonPractice;
    ROOTS = "light.in-roots", "Cable among the roots of kept trees",
        "{subject}: {length} of its trench lie inside tree protection.", Source::Practice;
    BURIED = "light.beside-services", "Cable over buried services",
        "{subject}: its trench crosses or comes near {what}.", Source::CommonPractice;
    NEAR_WATER = "light.near-water", "Lights near water",
        "{subject}: {tag} stands {distance} from the water; within {limit} commonly only what is listed for it is allowed.",
        CODE;
    IN_TREE = "light.in-tree", "Lights in trees",
        "{subject} hangs in a tree: straps are let out every year, screws are the arborist's, the cable is slack.",
        Source::CommonPractice;
    UNAIMED = "light.no-aim", "Lights that are aimed at nothing",
        "{subject} has no aim: it points straight up.", Source::CommonPractice;
}

pub(super) fn all(study: &LightStudy<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for (i, lamp) in study.lamps.iter().enumerate() {
        if first_of(study, i) {
            unfed(study, lamp, &mut all);
            aimless(lamp, &mut all);
        }
    }
    for run in &study.transformers {
        circuits(study, run, &mut all);
        ground(study, run, &mut all);
    }
    balance(study, &mut all);
    around(study, &mut all);
    covered(study, &mut all);
    colours(study, &mut all);
    water(study, &mut all);
    all
}

fn first_of(study: &LightStudy<'_>, i: usize) -> bool {
    i == 0 || study.lamps[i - 1].light.id != study.lamps[i].light.id
}

fn unfed(study: &LightStudy<'_>, lamp: &LampRun<'_>, all: &mut Vec<Finding>) {
    if lamp.transformer.is_none() {
        all.push(
            Finding::new(&NO_TRANSFORMER, Severity::Fault, lamp.element())
                .at(lamp.place())
                .remedy("place a `[[transformer]]` by an outlet, or name one in the zone", Vec::new()),
        );
    }
    let in_tree = lamp.light.role == LightRole::Down
        && study.yard.plot.trees.iter().any(|tree| tree.at.distance(lamp.place()) < 1.0);
    if in_tree {
        all.push(
            Finding::new(&IN_TREE, Severity::Note, lamp.element())
                .at(lamp.place())
                .remedy("plan a visit every year, and have an arborist hang it", Vec::new()),
        );
    }
}

fn aimless(lamp: &LampRun<'_>, all: &mut Vec<Finding>) {
    let down = matches!(lamp.light.role, LightRole::Path | LightRole::Step | LightRole::Down);
    if !lamp.aimed && !down {
        all.push(
            Finding::new(&UNAIMED, Severity::Doubt, lamp.element())
                .at(lamp.place())
                .remedy("give `aim`, an element such as \"tree oak\", or `aim_place`", Vec::new()),
        );
    }
}

fn circuits(study: &LightStudy<'_>, run: &TransformerRun<'_>, all: &mut Vec<Finding>) {
    match &run.design {
        Err(problem) => {
            // Their numbers count the lamps of this transformer.
            let lamp = match problem {
                DesignError::Lamp { lamp, .. } => run.lamps.get(lamp - 1).map(|l| &study.lamps[*l]),
                _ => None,
            };
            let (words, place) = match (problem, lamp) {
                (DesignError::Lamp { why, .. }, Some(lamp)) => {
                    (format!("{}: {why}", lamp.tag()), lamp.place())
                }
                _ => (problem.to_string(), run.at),
            };
            all.push(
                Finding::new(&NOT_FED, Severity::Fault, run.element())
                    .word("problem", words)
                    .at(place)
                    .remedy(
                        "bring the transformer nearer, offer thicker cable, or take lamps of a wider window",
                        Vec::new(),
                    ),
            );
        }
        Ok(design) => {
            if !design.loading.within_practice() {
                let load = design.loading;
                all.push(
                    Finding::new(&OVERLOADED, Severity::Fault, run.element())
                        .value("load", Datum::number(load.load.round()))
                        .value("rating", Datum::number(load.rating))
                        .limit(Datum::number((load.rating * crate::transformer::USABLE_SHARE).round()))
                        .at(run.at)
                        .remedy("take a larger transformer, or a second one", Vec::new()),
                );
            }
        }
    }
    all.push(
        Finding::new(&SUPPLY, Severity::Note, run.element())
            .value("count", Datum::count(run.lamps.len()))
            .at(run.at)
            .remedy("ask an electrician before the walls are closed", Vec::new()),
    );
}

fn ground(study: &LightStudy<'_>, run: &TransformerRun<'_>, all: &mut Vec<Finding>) {
    if run.trench.in_roots > 0.3 {
        all.push(
            Finding::new(&ROOTS, Severity::Danger, run.element())
                .value("length", Datum::length(run.trench.in_roots))
                .at(run.at)
                .remedy(
                    "lay it by hand on the ground under mulch there, or by air; ask an arborist",
                    Vec::new(),
                ),
        );
    }
    let near = study.yard.plot.buried_lines.iter().filter_map(|route| {
        let thing = study.project.property.buried.iter().find(|b| b.id == route.element.id)?;
        let touches = |stretch: &&super::trench::Stretch| {
            let middle = stretch.ends.0.midpoint(stretch.ends.1);
            [stretch.ends.0, middle, stretch.ends.1].iter().any(|at| route.line.nearest(*at).distance < 0.6)
        };
        let stretch = run.trench.stretches.iter().find(touches)?;
        Some((route.element.clone(), groundwright_plan::Word::word(thing.kind), stretch.ends.0))
    });
    let near: Vec<_> = near.collect();
    let Some((.., at)) = near.first() else { return };
    let mut kinds: Vec<&str> = near.iter().map(|(_, kind, _)| *kind).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let finding =
        Finding::new(&BURIED, Severity::Danger, run.element()).word("what", kinds.join(", ")).at(*at);
    let finding = near.iter().fold(finding, |finding, (element, ..)| finding.also(element.clone()));
    all.push(
        finding.remedy("have all located and marked, dig by hand there, keep the cable apart", Vec::new()),
    );
}

/// What the wanted light needs: other levels, or more lamp. One finding for each light.
fn balance(study: &LightStudy<'_>, all: &mut Vec<Finding>) {
    let Some(levels) = &study.levels else { return };
    for light in &study.project.design.lighting.lights {
        let Some(wanted) = light.wanted else { continue };
        let own: Vec<usize> =
            (0..study.lamps.len()).filter(|i| study.lamps[*i].light.id == light.id).collect();
        let undimmed = |i: usize| {
            let lamp = &study.lamps[i];
            if light.level > 0.0 { lamp.together + lamp.own * (1.0 / light.level - 1.0) } else { 0.0 }
        };
        let Some(weakest) = own.iter().copied().min_by(|a, b| undimmed(*a).total_cmp(&undimmed(*b))) else {
            continue;
        };
        if undimmed(weakest) < MISSED * wanted {
            all.push(missing(study, &study.lamps[weakest], undimmed(weakest), wanted));
            continue;
        }
        if own.iter().all(|i| (levels[*i] - light.level).abs() <= 0.05) {
            continue;
        }
        let rounded: Vec<f64> = own.iter().map(|i| (levels[*i] * 20.0).round() * 5.0).collect();
        let words: Vec<String> = own
            .iter()
            .zip(&rounded)
            .map(|(i, level)| format!("{} {level:.0} %", study.lamps[*i].tag()))
            .collect();
        let alike = rounded.iter().all(|level| (level - rounded[0]).abs() < 0.1);
        let set = Command::set(Kind::Light, &light.id, "level", &format!("\"{:.0} %\"", rounded[0]));
        all.push(
            Finding::new(&LEVEL, Severity::Note, study.lamps[weakest].element())
                .word("levels", words.join(", "))
                .value("now", Datum::ratio(light.level))
                .at(study.lamps[weakest].place())
                .remedy(
                    if alike {
                        format!("dim it to {:.0} %", rounded[0])
                    } else {
                        "dim lamp by lamp".to_owned()
                    },
                    if alike { vec![set] } else { Vec::new() },
                ),
        );
    }
}

/// A lamp that is too weak, with the fixture of the stock that would do.
fn missing(study: &LightStudy<'_>, lamp: &LampRun<'_>, full: f64, wanted: f64) -> Finding {
    let needed = lamp.fixture.full_candela(lamp.fixture.axis()) * wanted / full.max(1e-9);
    let peak = |product: &groundwright_plan::stock::LightFixture| {
        super::beam(product).map_or(0.0, |beam| beam.peak() * product.loss)
    };
    let stronger = study
        .project
        .stock
        .light_fixtures
        .values()
        .filter(|product| product.driver && peak(product) >= needed * MISSED)
        .min_by(|a, b| a.watts.total_cmp(&b.watts));
    let finding = Finding::new(&MISSES, Severity::Doubt, lamp.element())
        .word("tag", lamp.tag())
        .word("found", lux(full))
        .word("wanted", lux(wanted))
        .at(lamp.place());
    match stronger {
        Some(product) => finding.remedy(
            format!("take {}", product.name),
            vec![Command::set(Kind::Light, &lamp.light.id, "fixture", &format!("\"{}\"", product.id))],
        ),
        None => finding.remedy("bring it nearer, or add a second one", Vec::new()),
    }
}

fn around(study: &LightStudy<'_>, all: &mut Vec<Finding>) {
    let practice = &study.project.practice;
    let night = &study.night;
    for walk in &night.walks {
        if walk.light.mean < practice.light_walk {
            all.push(
                Finding::new(&DARK, Severity::Doubt, walk.element.clone())
                    .word("found", lux(walk.light.mean))
                    .word("wanted", lux(practice.light_walk))
                    .at(walk.darkest)
                    .remedy("add a path light near its darkest place, or take a brighter one", Vec::new()),
            );
        } else if walk.light.least < PATCHY * walk.light.mean {
            all.push(
                Finding::new(&UNEVEN, Severity::Note, walk.element.clone())
                    .word("least", lux(walk.light.least))
                    .value("share", Datum::ratio(walk.light.least / walk.light.mean))
                    .at(walk.darkest)
                    .remedy("move a light towards the dark place, or set them closer", Vec::new()),
            );
        }
    }
    if let Some(trespass) = night.trespass.filter(|found| found.lux > practice.light_trespass)
        && let Some(lamp) = study.lamps.get(trespass.lamp)
    {
        let over = practice.light_trespass / trespass.lux;
        all.push(
            Finding::new(&TRESPASS, Severity::Fault, lamp.element())
                .also(ElementRef::new(Kind::PaperLine, &"boundary".into()))
                .word("found", lux(trespass.lux))
                .word("most", lux(trespass.of_lamp))
                .word("tag", lamp.tag())
                .word("limit_lx", lux(practice.light_trespass))
                .at(trespass.at)
                .remedy(
                    format!(
                        "turn it away from there, shield it, or dim it to {:.0} %",
                        lamp.light.level * over * 100.0
                    ),
                    Vec::new(),
                ),
        );
    }
    for eye in night.eyes.iter().filter(|eye| eye.candela > practice.light_glare) {
        let Some(lamp) = study.lamps.get(eye.lamp) else { continue };
        all.push(
            Finding::new(&GLARE, Severity::Doubt, lamp.element())
                .also(eye.viewpoint.clone())
                .word("tag", lamp.tag())
                .word("found", format!("{:.0}", eye.candela))
                .word("limit_cd", format!("{:.0}", practice.light_glare))
                .word("other", eye.viewpoint.to_string())
                .at(lamp.place())
                .remedy("move it so that it shines away from there, or put a louvre on it", Vec::new()),
        );
    }
}

/// Lights that stand within the crown of a new plant in some year.
fn covered(study: &LightStudy<'_>, all: &mut Vec<Finding>) {
    let stock = &study.project.stock;
    for (i, lamp) in study.lamps.iter().enumerate() {
        if lamp.light.role == LightRole::Down {
            continue;
        }
        let above = lamp.at.z - study.yard.ground.proposed(lamp.place());
        let mut soonest: Option<(u32, &groundwright_plan::stock::Taxon, ElementRef)> = None;
        for plant in &study.yard.plants {
            let distance = groundwright_geometry::Point::new(plant.at.x, plant.at.y).distance(lamp.place());
            let Some(taxon) = plant.taxon.as_ref().and_then(|id| stock.taxa.get(id)) else { continue };
            if distance > 4.0 || plant.key.instruction.kind != Kind::Planting {
                continue;
            }
            let container = plant.size.as_ref().and_then(|size| stock.containers.get(size));
            let spread = groundwright_yard::spread_curve(taxon, container);
            let height = groundwright_yard::height_curve(taxon, container);
            let covers = |year: u32| {
                let years = f64::from(year);
                let radius = spread.spread(years).map_or(0.0, |spread| spread / 2.0);
                radius > distance && height.spread(years).is_ok_and(|height| height > above)
            };
            let before = soonest.as_ref().map_or(YEARS, |(year, ..)| year.saturating_sub(1));
            if let Some(year) = (0..=before).find(|year| covers(*year)) {
                soonest = Some((year, taxon, plant.key.instruction.clone()));
            }
        }
        let kept = kept_over(study, lamp.place(), above);
        if let Some((element, name)) = kept {
            all.push(
                Finding::new(&COVERED, Severity::Doubt, study.lamps[i].element())
                    .also(element)
                    .word("tag", lamp.tag())
                    .word("plant", name)
                    .word("year", "today")
                    .at(lamp.place())
                    .remedy("move it out of the crown, raise it on a longer stem, or clip there", Vec::new()),
            );
        } else if let Some((year, taxon, planting)) = soonest {
            all.push(
                Finding::new(&COVERED, Severity::Doubt, study.lamps[i].element())
                    .also(planting)
                    .word("tag", lamp.tag())
                    .word("plant", taxon.common.clone())
                    .word(
                        "year",
                        if year == 0 { "the first year".to_owned() } else { format!("year {year}") },
                    )
                    .from_year(f64::from(year))
                    .at(lamp.place())
                    .remedy("move it out of the crown, raise it on a longer stem, or clip there", Vec::new()),
            );
        }
    }
}

/// A shrub that stays and stands over a place today.
fn kept_over(
    study: &LightStudy<'_>,
    at: groundwright_geometry::Point,
    above: f64,
) -> Option<(ElementRef, String)> {
    use groundwright_plan::Action;
    study.yard.plot.shrubs.iter().find_map(|spot| {
        let shrub = study.project.property.shrubs.iter().find(|shrub| shrub.id == spot.element.id)?;
        let covers = shrub.action == Action::Keep
            && spot.at.distance(at) < shrub.spread.value / 2.0
            && shrub.height.value > above;
        covers.then(|| (spot.element.clone(), shrub.name.clone()))
    })
}

fn colours(study: &LightStudy<'_>, all: &mut Vec<Finding>) {
    for (i, zone) in study.zones.iter().enumerate() {
        let kelvin = study.lamps.iter().filter(|lamp| lamp.zone == i).map(|lamp| lamp.product.kelvin);
        let (low, high) = kelvin.fold((f64::INFINITY, 0.0_f64), |(low, high), k| (low.min(k), high.max(k)));
        if high - low > MIXED {
            all.push(
                Finding::new(&COLOURS, Severity::Note, ElementRef::new(Kind::LightZone, &zone.id))
                    .word("low", format!("{low:.0}"))
                    .word("high", format!("{high:.0}"))
                    .remedy("take lamps of one colour, or part the zone", Vec::new()),
            );
        }
    }
}

fn water(study: &LightStudy<'_>, all: &mut Vec<Finding>) {
    use groundwright_plan::SurfaceKind;
    for area in &study.yard.plot.surfaces {
        let wet = study
            .project
            .property
            .surfaces
            .iter()
            .any(|surface| surface.id == area.element.id && surface.kind == SurfaceKind::Water);
        if !wet {
            continue;
        }
        let index = groundwright_geometry::RegionIndex::new(&area.whole);
        for lamp in &study.lamps {
            let distance = -index.signed_distance(lamp.place());
            if distance < FROM_WATER {
                all.push(
                    Finding::new(&NEAR_WATER, Severity::Danger, lamp.element())
                        .also(area.element.clone())
                        .word("tag", lamp.tag())
                        .value("distance", Datum::length(distance.max(0.0)))
                        .limit(Datum::length(FROM_WATER))
                        .at(lamp.place())
                        .remedy(
                            "move it away, or have an electrician choose what is listed for water",
                            Vec::new(),
                        ),
                );
            }
        }
    }
}
