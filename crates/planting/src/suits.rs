//! Findings of plants that the place does not suit: too cold a winter, water about the roots.
//!
//! - In: the study, with the place as told and the taxa of the stock. Out: findings, one for each
//!   planting and taxon, or for each wet bed.
//! - Boxes stand above winter water, and colder than the ground: a zone more is asked of what lives
//!   in them.
//! - Not here: sun and shade, which need the course of the sun; summer water under trees
//!   (`findings.rs`).

use std::collections::BTreeMap;

use groundwright_handoff::{Datum, Finding, Rule, Severity, Source};
use groundwright_plan::stock::{Taxon, WetSoil};
use groundwright_plan::{ElementRef, Given, Kind, Planting, PlantingRole};
use groundwright_yard::{Origin, Plant};

use crate::study::PlantingStudy;

static TOO_COLD: Rule = Rule {
    id: "planting.too-cold",
    title: "Plants that the winter may kill",
    sentence: "{subject}: {plant} is hardy to zone {hardy}; {where} is zone {zone}.",
    source: Source::Published("the stock's hardiness zones; the place's zone from the hardiness map"),
};
static TOO_WARM: Rule = Rule {
    id: "planting.too-warm",
    title: "Plants that want a colder winter",
    sentence: "{subject}: {plant} is at home up to zone {hardy}; {where} is zone {zone}.",
    source: Source::Published("the stock's hardiness zones; the place's zone from the hardiness map"),
};
static BOX_COLD: Rule = Rule {
    id: "planting.box-cold",
    title: "Plants in boxes that have no cold to spare",
    sentence: "{subject}: {plant} is hardy to zone {hardy} in the ground; in {where} the ball freezes through, \
               and zone {zone} leaves nothing to spare.",
    source: Source::CommonPractice,
};
static WET: Rule = Rule {
    id: "planting.wet-feet",
    title: "Plants that do not bear water about their roots",
    sentence: "{subject}: water stands {depth} below grade in winter, nearer than {limit}; \
               what does not bear wet soil here: {plants}.",
    source: Source::CommonPractice,
};

/// Water nearer to the surface than this stands among the roots of most shrubs and perennials. [m]
/// A foot: common practice, no source.
const ROOT_DEPTH: f64 = 0.3048;

/// Plants in boxes want to be hardy in a place this many zones colder. Common practice, no source.
const BOX_ZONES: u8 = 1;

/// All findings of plants against the place.
pub(crate) fn findings(study: &PlantingStudy<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for planting in &study.project.design.plantings {
        for share in &planting.shares {
            let Some(taxon) = study.project.stock.taxa.get(&share.taxon) else { continue };
            // What lives one season is gone before the winter.
            if planting.role != PlantingRole::Seasonal {
                winter(study, planting, taxon, &mut all);
            }
        }
    }
    wet(study, &mut all);
    all
}

fn plants<'s>(
    study: &'s PlantingStudy<'_>,
    planting: &'s Planting,
    taxon: &'s Taxon,
) -> impl Iterator<Item = &'s Plant> {
    study.yard.plants_of(&planting.id).filter(|plant| plant.taxon.as_ref() == Some(&taxon.id))
}

fn is_boxed(plant: &Plant) -> bool {
    plant.place.as_ref().is_some_and(|place| place.kind == Kind::PlanterBox)
}

fn winter(study: &PlantingStudy<'_>, planting: &Planting, taxon: &Taxon, all: &mut Vec<Finding>) {
    let Some((coldest, warmest)) = taxon.zones else { return };
    let zone = &study.project.property.place.hardiness;
    let Some(first) = plants(study, planting, taxon).next() else { return };
    let tell = |rule, severity, hardy: u8, place: String, plant: &Plant| {
        Finding::new(rule, severity, ElementRef::new(Kind::Planting, &planting.id))
            .word("plant", &taxon.botanical)
            .word("hardy", hardy.to_string())
            .word("where", place)
            .word("zone", zone.value.to_string())
            .at(crate::findings::place(plant))
            .rests_on(crate::findings::whole_property(), "place.hardiness", zone.standing)
            .remedy("choose a plant for this zone, or look the zone up again", Vec::new())
    };
    let here = || "this place".to_owned();
    if zone.value.number < coldest {
        all.push(tell(&TOO_COLD, Severity::Fault, coldest, here(), first));
    } else if zone.value.number > warmest {
        all.push(tell(&TOO_WARM, Severity::Note, warmest, here(), first));
    } else if zone.value.number < coldest + BOX_ZONES
        && let Some(boxed) = plants(study, planting, taxon).find(|plant| is_boxed(plant))
    {
        let place = boxed.place.as_ref().map_or_else(here, ToString::to_string);
        all.push(tell(&BOX_COLD, Severity::Doubt, coldest, place, boxed));
    }
}

/// Beds in which water stands among the roots, with all that does not bear it.
fn wet(study: &PlantingStudy<'_>, all: &mut Vec<Finding>) {
    let project = study.project;
    let everywhere = project.property.place.winter_water;
    let mut standing: BTreeMap<&ElementRef, Vec<&Plant>> = BTreeMap::new();
    for plant in &study.yard.plants {
        if let Some(place) = &plant.place {
            standing.entry(place).or_default().push(plant);
        }
    }
    for bed in &project.design.beds {
        let element = ElementRef::new(Kind::Bed, &bed.id);
        let water: Given<f64> = match (bed.winter_water, everywhere.value) {
            (Some(own), _) => own,
            (None, Some(depth)) => Given { value: depth, standing: everywhere.standing },
            (None, None) => continue,
        };
        if water.value >= ROOT_DEPTH {
            continue;
        }
        let suffer: Vec<(&Plant, &Taxon)> = standing
            .get(&element)
            .into_iter()
            .flatten()
            .filter_map(|&plant| Some((plant, study.taxon(plant)?)))
            .filter(|(plant, taxon)| plant.origin != Origin::Kept && taxon.wet_soil == Some(WetSoil::No))
            .collect();
        let Some((first, _)) = suffer.first() else { continue };
        let mut names: Vec<&str> = suffer.iter().map(|(_, taxon)| taxon.botanical.as_str()).collect();
        names.sort_unstable();
        names.dedup();
        let mut plantings: Vec<&ElementRef> =
            suffer.iter().map(|(plant, _)| &plant.key.instruction).collect();
        plantings.sort();
        plantings.dedup();
        let mut finding = Finding::new(&WET, Severity::Doubt, element.clone())
            .word("plants", names.join(", "))
            .value("depth", Datum::depth(water.value))
            .limit(Datum::depth(ROOT_DEPTH))
            .at(crate::findings::place(first))
            .rests_on(element, "winter_water", water.standing)
            .remedy("dig a hole in February, and state the bed's own `winter_water`", Vec::new())
            .remedy("raise the bed, drain it, or choose plants that bear wet soil", Vec::new());
        for planting in plantings {
            finding = finding.also(planting.clone());
        }
        all.push(finding);
    }
}
