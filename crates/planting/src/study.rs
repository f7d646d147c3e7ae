//! The planting study: what is planted, counted once and used by all hand-offs.

use std::collections::BTreeMap;

use groundwright_plan::stock::{Container, Taxon};
use groundwright_plan::{ElementId, ElementRef, Project, TaxonId};
use groundwright_units::Reader;
use groundwright_yard::arrange::fill_spacing::SpreadCurve;
use groundwright_yard::{Arrangement, DugPlant, Origin, Plant, Yard, size_bought};

use crate::light::PlantLight;
use crate::takeoff::BedSurface;

/// Planting, from the placed yard.
#[derive(Debug, Clone)]
pub struct PlantingStudy<'p> {
    /// The project.
    pub project: &'p Project,
    /// The placed yard.
    pub yard: &'p Yard,
    /// Arrangements by planting.
    arrangements: BTreeMap<&'p ElementId, &'p Arrangement>,
    /// Short tags of the taxa planted, unique on the drawing.
    pub tags: BTreeMap<TaxonId, String>,
    /// Surfaces of beds and boxes for bulk materials.
    pub surfaces: Vec<BedSurface>,
    /// Units for words inside marks.
    pub reader: Reader,
    /// Sun at the plants, if somebody computed it.
    pub light: Option<&'p PlantLight>,
}

/// Studies planting.
///
/// # Arguments
/// - `project`: for practice, stock and instructions.
/// - `yard`: where everything stands.
pub fn study<'p>(project: &'p Project, yard: &'p Yard) -> PlantingStudy<'p> {
    PlantingStudy {
        project,
        yard,
        arrangements: yard.arrangements.iter().map(|a| (&a.planting, a.as_ref())).collect(),
        tags: tags(project, yard),
        surfaces: crate::takeoff::surfaces(project, yard),
        reader: Reader::new(project.property.system),
        light: None,
    }
}

/// Studies planting, with the sun at every plant.
pub fn study_in_light<'p>(project: &'p Project, yard: &'p Yard, light: &'p PlantLight) -> PlantingStudy<'p> {
    PlantingStudy { light: Some(light), ..study(project, yard) }
}

impl<'p> PlantingStudy<'p> {
    /// The taxon of a plant, if the stock has it.
    pub fn taxon(&self, plant: &Plant) -> Option<&'p Taxon> {
        self.project.stock.taxa.get(plant.taxon.as_ref()?)
    }

    /// The size in which a plant is bought.
    pub fn container(&self, plant: &Plant) -> Option<&'p Container> {
        size_bought(&self.project.stock, self.taxon(plant)?, plant.size.as_deref())
    }

    /// The arrangement of a planting.
    pub fn arrangement(&self, planting: &ElementRef) -> Option<&Arrangement> {
        self.arrangements.get(&planting.id).copied()
    }

    /// The dug plant that a transplant is.
    fn dug(&self, plant: &Plant) -> Option<&'p DugPlant> {
        let Origin::Moved(shrub, ordinal) = &plant.origin else { return None };
        self.yard.transplanting.dug.iter().find(|dug| &dug.shrub == shrub && dug.ordinal == *ordinal)
    }

    /// How a plant's spread grows from the size it is set in: bought, or as it was dug.
    pub fn spread_curve(&self, plant: &Plant, taxon: &Taxon) -> SpreadCurve {
        let curve = groundwright_yard::spread_curve(taxon, self.container(plant));
        self.dug(plant).map_or(curve, |dug| SpreadCurve { planted: dug.spread.min(curve.mature), ..curve })
    }

    /// How a plant's height grows from the size it is set in.
    pub fn height_curve(&self, plant: &Plant, taxon: &Taxon) -> SpreadCurve {
        let curve = groundwright_yard::height_curve(taxon, self.container(plant));
        self.dug(plant).map_or(curve, |dug| SpreadCurve { planted: dug.height.min(curve.mature), ..curve })
    }

    /// Height and spread of a plant some years after planting, by what is likeliest. [m]
    /// Trees grow by published equations where there are any.
    pub fn size_at(&self, plant: &Plant, taxon: &Taxon, years: f64) -> Option<(f64, f64)> {
        let (height, spread) =
            (self.height_curve(plant, taxon).planted, self.spread_curve(plant, taxon).planted);
        let size = groundwright_yard::expected_size(taxon, (height, spread), years).ok()?;
        Some((size.height[1], size.spread[1]))
    }

    /// On-centre spacing asked for in a planting; 0 if it is not laid out. [m]
    pub fn spacing_of(&self, planting: &ElementRef) -> f64 {
        self.arrangement(planting).map_or(0.0, |arrangement| arrangement.spacing)
    }

    /// The tag of a taxon.
    pub fn tag(&self, taxon: &TaxonId) -> &str {
        self.tags.get(taxon).map_or("?", String::as_str)
    }
}

/// Tags of the taxa planted: two letters of the genus and two of the species, a further letter or a
/// number where two would be the same. Botanists' field codes are made so: common practice.
fn tags(project: &Project, yard: &Yard) -> BTreeMap<TaxonId, String> {
    let mut used: BTreeMap<String, usize> = BTreeMap::new();
    let mut taxa: Vec<&TaxonId> =
        yard.arrangements.iter().flat_map(|a| &a.positions).map(|p| &p.taxon).collect();
    taxa.sort();
    taxa.dedup();
    taxa.into_iter()
        .map(|id| {
            let name = project.stock.taxa.get(id).map_or(id.as_str(), |taxon| taxon.botanical.as_str());
            let tag = tag(name);
            let count = used.entry(tag.clone()).or_insert(0);
            *count += 1;
            let tag = if *count > 1 { format!("{tag}{count}") } else { tag };
            (id.clone(), tag)
        })
        .collect()
}

fn tag(botanical: &str) -> String {
    let words: Vec<&str> = botanical
        .split([' ', '-'])
        .filter(|word| !matches!(*word, "x" | "×" | "var." | "subsp." | "f." | "") && !word.starts_with('('))
        .collect();
    let two = |word: &str| {
        let mut letters = word.chars().filter(|c| c.is_alphabetic());
        let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
        let second = letters.next().map(|c| c.to_lowercase().to_string()).unwrap_or_default();
        first + &second
    };
    let form = words.iter().find(|word| word.starts_with('\''));
    let plain: Vec<&&str> = words.iter().filter(|word| !word.starts_with('\'')).collect();
    let mut tag: String = plain.iter().take(2).map(|word| two(word)).collect();
    if let Some(letter) = form.and_then(|form| form.chars().find(|c| c.is_alphabetic())) {
        tag.push('-');
        tag.extend(letter.to_uppercase());
    }
    tag
}

#[cfg(test)]
mod tests {
    use super::tag;

    #[test]
    fn tags_are_made_of_genus_species_and_form() {
        assert_eq!(tag("Polystichum munitum"), "PoMu");
        assert_eq!(tag("Abelia x grandiflora"), "AbGr");
        assert_eq!(tag("Cornus sericea 'Kelseyi'"), "CoSe-K");
        assert_eq!(tag("Sarcococca hookeriana var. humilis"), "SaHo");
    }
}
