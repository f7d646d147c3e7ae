//! Which taxa of the stock suit a place, and which could stand for another.
//!
//! - In: the place's light, zone, soil and people; wishes, or a taxon to be replaced. Out: taxa in
//!   order of how well they suit, each with reasons in words.
//! - What a plant cannot live with rules it out; the rest is weighed. What nobody knows of a taxon
//!   counts as neither good nor bad, except toxicity where children or pets use the yard: only what
//!   is listed as harmless in the sources at hand is offered, which is still no statement of safety.
//! - Weights are common practice, no source.

use groundwright_plan::stock::{Foliage, Light, PlantKind, Taxon, WaterUse, WetSoil};
use groundwright_plan::{Project, Stock};

use crate::light::{LightFit, light_fit};

/// What a place is like.
#[derive(Debug, Clone, PartialEq)]
pub struct Site {
    /// Direct sun in the growing season, if it is known. [h/day]
    pub sun: Option<f64>,
    /// Least hours of full sun. [h]
    pub full_sun: f64,
    /// Least hours of part sun. [h]
    pub part_sun: f64,
    /// Number of the winter hardiness zone.
    pub zone: u8,
    /// Whether water stands near the surface in winter.
    pub wet_winter: bool,
    /// The most water that a plant may need.
    pub water: Option<WaterUse>,
    /// Whether children or pets use the yard.
    pub children_or_pets: bool,
}

/// Roots of shrubs and perennials stand wet where winter water comes nearer than this. [m]
/// Common practice, no source.
const WET: f64 = 0.3;

impl Site {
    /// A place on a property with so much sun.
    pub fn of(project: &Project, sun: Option<f64>) -> Self {
        let place = &project.property.place;
        Self {
            sun,
            full_sun: project.practice.full_sun,
            part_sun: project.practice.part_sun,
            zone: place.hardiness.value.number,
            wet_winter: place.winter_water.value.is_some_and(|depth| depth < WET),
            water: None,
            children_or_pets: place.children_or_pets.value,
        }
    }

    /// Why a taxon cannot live or be wanted here; nothing if it can.
    pub fn against(&self, taxon: &Taxon) -> Option<&'static str> {
        let light = self.sun.map(|sun| light_fit(&taxon.sun, sun, self.full_sun, self.part_sun));
        if taxon.weed {
            return Some("is a weed");
        }
        if !taxon.invasive.is_empty() && taxon.invasive != "unknown" {
            return Some("is listed as invasive somewhere");
        }
        match light {
            Some(LightFit::Dark(_)) => return Some("gets too little sun"),
            Some(LightFit::Bright(_)) => return Some("gets too much sun"),
            _ => {}
        }
        if taxon.kind != PlantKind::Annual
            && taxon.zones.is_some_and(|(low, high)| !(low..=high).contains(&self.zone))
        {
            return Some("is not for this hardiness zone");
        }
        if self.wet_winter && taxon.wet_soil == Some(WetSoil::No) {
            return Some("does not bear wet feet");
        }
        if self.water.zip(taxon.water).is_some_and(|(most, needs)| rank(needs) > rank(most)) {
            return Some("needs more water");
        }
        let harmless = taxon.toxicity == "none known";
        (self.children_or_pets && !harmless).then_some("is not known to be harmless")
    }
}

pub(crate) fn rank(water: WaterUse) -> u8 {
    match water {
        WaterUse::VeryLow => 0,
        WaterUse::Low => 1,
        WaterUse::Medium => 2,
        WaterUse::High => 3,
    }
}

/// A taxon that suits, with how well and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Suited<'s> {
    /// The taxon.
    pub taxon: &'s Taxon,
    /// The more the better; comparable within one list only.
    pub score: f64,
    /// Why, in words.
    pub reasons: Vec<String>,
}

/// Taxa that could stand for another at a place: of like height and spread, as evergreen, for the
/// same role, the best first.
pub fn better_suited<'s>(stock: &'s Stock, instead_of: &Taxon, site: &Site) -> Vec<Suited<'s>> {
    let group = |kind: PlantKind| match kind {
        PlantKind::Tree | PlantKind::Conifer | PlantKind::Palm => 0,
        PlantKind::Shrub => 1,
        PlantKind::Vine => 2,
        PlantKind::Perennial | PlantKind::Grass | PlantKind::Fern | PlantKind::Groundcover => 3,
        PlantKind::Bulb => 4,
        PlantKind::Annual => 5,
    };
    let evergreen =
        |taxon: &Taxon| matches!(taxon.foliage, Some(Foliage::Evergreen | Foliage::SemiEvergreen));
    let near = |a: f64, b: f64| (a / b).ln().abs();
    let mut found: Vec<Suited<'s>> = stock
        .taxa
        .values()
        .filter(|taxon| taxon.id != instead_of.id && group(taxon.kind) == group(instead_of.kind))
        .filter(|taxon| site.against(taxon).is_none())
        .filter_map(|taxon| {
            let height = near(taxon.mature_height(), instead_of.mature_height());
            let spread = near(taxon.mature_spread(), instead_of.mature_spread());
            // Half as high or half as high again is another layer.
            if height > 0.5 || spread > 0.7 {
                return None;
            }
            let mut score = 4.0 - 2.0 * height - 1.5 * spread;
            let mut reasons = vec!["about as high and wide".to_owned()];
            if evergreen(taxon) == evergreen(instead_of) {
                score += 2.0;
                reasons
                    .push(if evergreen(taxon) { "evergreen too" } else { "bare in winter too" }.to_owned());
            }
            if !taxon.bloom_colour.is_empty() && taxon.bloom_colour == instead_of.bloom_colour {
                score += 1.0;
                reasons.push(format!("{} flowers too", taxon.bloom_colour));
            }
            let together = (1..=12).filter(|m| taxon.blooms_in(*m) && instead_of.blooms_in(*m)).count();
            if together > 0 {
                score += 0.5 * (together as f64).min(2.0);
                reasons.push("flowers at the same time".to_owned());
            }
            if site.sun.is_some() && !taxon.sun.is_empty() {
                reasons.push(format!("bears {}", words(&taxon.sun)));
            }
            if taxon.confidence == "high" {
                score += 0.25;
            }
            Some(Suited { taxon, score, reasons })
        })
        .collect();
    found.sort_by(|a, b| b.score.total_cmp(&a.score).then_with(|| a.taxon.id.cmp(&b.taxon.id)));
    found
}

fn words(lights: &[Light]) -> String {
    let all: Vec<String> = lights.iter().map(ToString::to_string).collect();
    all.join(" or ")
}
