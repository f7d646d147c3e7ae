//! Plants for a bed: what the stock has that bears the winters here, with sizes and counts.
//!
//! - In: a bed and some words. Out: taxa whose names contain the words, those already used in the
//!   project first, then by common name; with how many would fill the bed.
//! - The count is of an even triangular lattice on the bed's free area: a first figure, not what a
//!   mass will hold beside edges and other plants.
//! - Left out are weeds and what is listed as invasive; what harms is told, not left out. Light and
//!   soil are not asked yet.

use groundwright_geometry::Region;
use groundwright_job::Outcome;
use groundwright_plan::stock::Taxon;
use groundwright_plan::{ElementRef, Loaded, Project};
use groundwright_units::Reader;

use crate::explain::plural;
use crate::messages::PlantNews;

/// Plants told at once.
const SHOWN: usize = 60;

/// Plants for a bed, and how many there are in all.
pub fn plants(
    loaded: &Loaded,
    outcome: &Outcome,
    bed: &ElementRef,
    words: &str,
    reader: &Reader,
) -> (usize, Vec<PlantNews>) {
    let project = &loaded.project;
    let zone = project.property.place.hardiness.value.number;
    let words: Vec<String> = words.to_lowercase().split_whitespace().map(str::to_owned).collect();
    let named = |taxon: &Taxon| {
        let name = format!("{} {} {}", taxon.botanical, taxon.common, taxon.kind).to_lowercase();
        words.iter().all(|word| name.contains(word))
    };
    let hardy = |taxon: &Taxon| taxon.zones.is_none_or(|(cold, warm)| (cold..=warm).contains(&zone));
    let mut fit: Vec<&Taxon> = project
        .stock
        .taxa
        .values()
        .filter(|taxon| !taxon.weed && taxon.invasive.is_empty() && hardy(taxon) && named(taxon))
        .collect();
    let used = |taxon: &Taxon| {
        project.design.plantings.iter().any(|p| p.shares.iter().any(|share| share.taxon == taxon.id))
    };
    fit.sort_by_key(|taxon| (!used(taxon), taxon.common.to_lowercase(), taxon.id.clone()));
    let area = outcome.yard.plot.area(bed).map(|area| &area.free);
    let shown = fit.iter().take(SHOWN).map(|taxon| news(project, taxon, area, reader)).collect();
    (fit.len(), shown)
}

fn news(project: &Project, taxon: &Taxon, bed: Option<&Region>, reader: &Reader) -> PlantNews {
    let spacing = taxon.spacing.unwrap_or_else(|| taxon.mature_spread());
    let mut parts = vec![
        format!("{} high", reader.length(taxon.mature_height())),
        format!("{} wide", reader.length(taxon.mature_spread())),
        reader.spacing(spacing),
    ];
    if let Some(bed) = bed {
        // Triangular lattice: common practice, the density is its geometry.
        let count = (bed.area() * 2.0 / (3.0_f64.sqrt() * spacing * spacing)).floor();
        parts.push(format!("about {} fill this bed", plural(count as usize, "plant")));
    }
    let harmless = taxon.toxicity.is_empty() || taxon.toxicity.starts_with("none");
    let caution = if harmless {
        String::new()
    } else if project.property.place.children_or_pets.value {
        format!("Toxic: {}. Children or pets are here.", taxon.toxicity)
    } else {
        format!("Toxic: {}.", taxon.toxicity)
    };
    PlantNews {
        id: taxon.id.to_string(),
        botanical: taxon.botanical.clone(),
        common: taxon.common.clone(),
        detail: parts.join(", "),
        caution,
    }
}
