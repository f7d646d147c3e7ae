//! Light that plants get against light that they bear.
//!
//! - In: hours of direct sun at every plant's top, at several ages of the planting, as a plain
//!   argument; limits of full sun and shade of the firm's practice. Out: findings with the year.
//! - Method: mean hours a day over the growing season (six months) fall into full sun, part, or
//!   shade; a taxon is told that bears none of the class it stands in. Within [`BAND`] of the limit
//!   it is a doubt, beyond it a fault. Hours come from a model: the reader sees half hours.
//! - Source of the limits: full sun from 6 h; horticultural pages put full shade below 3 h or below
//!   4 h, so both limits are settings.
//! - Not here: where the hours come from (`groundwright-sun`).

use std::collections::{BTreeMap, BTreeSet};

use groundwright_handoff::{Datum, Finding, Rule, Severity, Source};
use groundwright_plan::stock::{Light, Taxon};
use groundwright_plan::{ElementRef, Practice, TaxonId};

use crate::study::PlantingStudy;
use crate::suited::{Site, better_suited};

static TOO_DARK: Rule = Rule {
    id: "planting.too-dark",
    title: "Plants that get too little sun",
    sentence: "{subject}: {count} {plant} {gets|get} about {hours} of direct sun a day in the growing season ({band} either way), {when}; {it bears|they bear} {wants}.",
    source: Source::Published(
        "full sun from 6 h a day of direct sun: horticultural extension pages; the lower limit is set in practice.toml",
    ),
};
static TOO_BRIGHT: Rule = Rule {
    id: "planting.too-bright",
    title: "Plants that get too much sun",
    sentence: "{subject}: {count} {plant} {gets|get} about {hours} of direct sun a day in the growing season ({band} either way), {afternoon} of it after noon, {when}; {it bears|they bear} {wants}.",
    source: Source::Published(
        "full sun from 6 h a day of direct sun: horticultural extension pages; the lower limit is set in practice.toml",
    ),
};
static UNKNOWN: Rule = Rule {
    id: "planting.light-unknown",
    title: "Plants whose need of light is not known",
    sentence: "{subject}: the stock does not say what light {plant} bears.",
    source: Source::Practice,
};

/// Hours are as uncertain as this either way: crowns are of even density here, and leaves come and
/// go by the calendar. [h] Common practice, no source.
pub const BAND: f64 = 0.5;

/// Direct sun at one plant, mean over the growing season. [h/day]
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SunAt {
    /// All day. [h]
    pub total: f64,
    /// After the sun's highest. [h]
    pub afternoon: f64,
}

/// Direct sun at every plant of the yard at some ages of the planting.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PlantLight {
    /// Years since planting, ascending, each with one entry for every plant of the yard in its
    /// order; `None` where a plant has no crown.
    pub years: Vec<(f64, Vec<Option<SunAt>>)>,
}

/// The class into which hours of direct sun a day fall.
///
/// # Arguments
/// - `hours`: mean of the growing season. [h]
/// - `full`, `part`: least hours of full sun and of part sun. [h]
///
/// # Source
/// Full sun from 6 h: horticultural extension pages; part from 3 h or from 4 h, depending on the page.
pub fn light_class(hours: f64, full: f64, part: f64) -> Light {
    if hours >= full {
        Light::Full
    } else if hours >= part {
        Light::Part
    } else {
        Light::Shade
    }
}

/// How hours fit what a taxon bears.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LightFit {
    /// It bears them.
    Fits,
    /// Too little, by so many hours. [h]
    Dark(f64),
    /// Too much, by so many hours. [h]
    Bright(f64),
    /// Nobody says what it bears.
    Unknown,
}

/// How hours fit a list of classes that a taxon bears.
pub fn light_fit(bears: &[Light], hours: f64, full: f64, part: f64) -> LightFit {
    let least = |light: &Light| match light {
        Light::Full => full,
        Light::Part => part,
        Light::Shade => 0.0,
    };
    let most = |light: &Light| match light {
        Light::Full => f64::INFINITY,
        Light::Part => full,
        Light::Shade => part,
    };
    if bears.is_empty() || hours.is_nan() {
        return LightFit::Unknown;
    }
    if bears.contains(&light_class(hours, full, part)) {
        return LightFit::Fits;
    }
    let low = bears.iter().map(least).fold(f64::INFINITY, f64::min);
    let high = bears.iter().map(most).fold(0.0, f64::max);
    if hours < low {
        LightFit::Dark(low - hours)
    } else if hours >= high {
        LightFit::Bright(hours - high)
    } else {
        // Between classes that it bears, such as full and shade: what it bears on both sides it
        // bears in the middle.
        LightFit::Fits
    }
}

/// Plants of one planting and taxon that do not fit, at one age.
struct Unfit {
    count: usize,
    worst: f64,
    at: SunAt,
}

/// Findings of light at all ages, each planting and taxon told once for the first age at which it
/// does not fit.
pub(crate) fn findings(study: &PlantingStudy<'_>, light: &PlantLight) -> Vec<Finding> {
    let practice = &study.project.practice;
    let mut all = Vec::new();
    let mut told: BTreeSet<(ElementRef, TaxonId, bool)> = BTreeSet::new();
    for (year, hours) in &light.years {
        for ((element, taxon_id, dark), unfit) in unfit(study, hours, practice) {
            let Some(taxon) = study.project.stock.taxa.get(&taxon_id) else { continue };
            if told.insert((element.clone(), taxon_id, dark)) {
                all.push(finding(study, element, taxon, dark, *year, &unfit));
            }
        }
    }
    all.extend(unknown(study, light));
    all
}

fn unfit(
    study: &PlantingStudy<'_>,
    hours: &[Option<SunAt>],
    practice: &Practice,
) -> BTreeMap<(ElementRef, TaxonId, bool), Unfit> {
    let mut groups: BTreeMap<(ElementRef, TaxonId, bool), Unfit> = BTreeMap::new();
    for (plant, at) in study.yard.plants.iter().zip(hours) {
        let (Some(taxon), Some(at)) = (study.taxon(plant), at) else { continue };
        let (dark, by) = match light_fit(&taxon.sun, at.total, practice.full_sun, practice.part_sun) {
            LightFit::Dark(by) => (true, by),
            LightFit::Bright(by) => (false, by),
            LightFit::Fits | LightFit::Unknown => continue,
        };
        let key = (plant.key.instruction.clone(), taxon.id.clone(), dark);
        let group = groups.entry(key).or_insert(Unfit { count: 0, worst: by, at: *at });
        group.count += 1;
        if by > group.worst {
            (group.worst, group.at) = (by, *at);
        }
    }
    groups
}

fn finding(
    study: &PlantingStudy<'_>,
    element: ElementRef,
    taxon: &Taxon,
    dark: bool,
    year: f64,
    unfit: &Unfit,
) -> Finding {
    let severity = if unfit.worst > BAND { Severity::Fault } else { Severity::Doubt };
    let rule = if dark { &TOO_DARK } else { &TOO_BRIGHT };
    let when = if year == 0.0 {
        "as planted".to_owned()
    } else {
        format!("in year {year:.0}, as crowns have grown")
    };
    let wants: Vec<String> = taxon.sun.iter().map(ToString::to_string).collect();
    let site = Site::of(study.project, Some(unfit.at.total));
    let found = Finding::new(rule, severity, element)
        .value("count", Datum::count(unfit.count))
        .value("hours", Datum::hours(half_hours(unfit.at.total)))
        .value("afternoon", Datum::hours(half_hours(unfit.at.afternoon)))
        .value("band", Datum::hours(BAND))
        .word("plant", &taxon.common)
        .word("when", when)
        .word("wants", wants.join(" or "));
    let mut found = Finding { year: Some(year), ..found };
    for other in better_suited(&study.project.stock, taxon, &site).into_iter().take(3) {
        let action = format!(
            "plant {} ({}) instead: {}",
            other.taxon.common,
            other.taxon.botanical,
            other.reasons.join(", ")
        );
        found = found.remedy(action, Vec::new());
    }
    if dark {
        found.remedy("thin the crowns that shade it, or move the bed", Vec::new())
    } else {
        found.remedy(
            "give it shade from the west, or water and mulch it well in the first summers",
            Vec::new(),
        )
    }
}

fn unknown(study: &PlantingStudy<'_>, light: &PlantLight) -> Vec<Finding> {
    if light.years.is_empty() {
        return Vec::new();
    }
    let mut named: BTreeMap<(ElementRef, TaxonId), String> = BTreeMap::new();
    for plant in &study.yard.plants {
        if let Some(taxon) = study.taxon(plant).filter(|taxon| taxon.sun.is_empty()) {
            named.insert((plant.key.instruction.clone(), taxon.id.clone()), taxon.common.clone());
        }
    }
    let note = |((element, _), name): ((ElementRef, TaxonId), String)| {
        Finding::new(&UNKNOWN, Severity::Note, element).word("plant", name)
    };
    named.into_iter().map(note).collect()
}

/// To the half hour, as far as the model goes. [h]
pub fn half_hours(hours: f64) -> f64 {
    (2.0 * hours).round() / 2.0
}
