//! Findings about the site: what is dangerous to dig, what harms kept roots, what nobody knows yet.
//!
//! - In: the study. Out: findings with numbers, sources and remedies.
//! - Property line and ways in: `property.rs`. Plants kept, moved, removed: `plants.rs`. Digging near
//!   services: `services.rs`; over the roots of kept trees: `roots.rs`.

pub(crate) mod plants;
mod property;
mod roots;
pub(crate) mod services;

use groundwright_geometry::Point;
use groundwright_handoff::Finding;
use groundwright_plan::stock::Taxon;
use groundwright_yard::{Origin, Plant, size_bought};

use crate::study::SiteStudy;

/// All findings of the site.
pub(crate) fn findings(study: &SiteStudy<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    property::findings(study, &mut all);
    services::findings(study, &mut all);
    roots::findings(study, &mut all);
    plants::findings(study, &mut all);
    all.extend(of_new_plants(study));
    all
}

/// Findings of what is planted: on somebody else's land, at services, among roots, too wide for the
/// way in. All others read no plant of the design.
pub(crate) fn of_new_plants(study: &SiteStudy<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    property::of_new_plants(study, &mut all);
    services::of_new_plants(study, &mut all);
    roots::of_new_plants(study, &mut all);
    all
}

/// A small pot whose size nobody knows is taken as this wide. [m] Common practice, no source.
const POT: f64 = 0.15;

/// Width of the ball or pot with which a plant is set; none for plants that stay. [m]
fn ball_width(study: &SiteStudy<'_>, plant: &Plant) -> Option<f64> {
    match &plant.origin {
        Origin::Kept => None,
        Origin::New => {
            let taxon = plant.taxon.as_ref().and_then(|id| study.project.stock.taxa.get(id));
            let container = taxon.and_then(|t| size_bought(&study.project.stock, t, plant.size.as_deref()));
            Some(container.and_then(|c| c.diameter).unwrap_or(POT))
        }
        Origin::Moved(shrub, ordinal) => {
            let dug = &study.yard.transplanting.dug;
            let dug = dug.iter().find(|dug| &dug.shrub == shrub && dug.ordinal == *ordinal)?;
            Some(dug.spread * study.project.practice.dug_ball)
        }
    }
}

fn place(plant: &Plant) -> Point {
    plant.at.plan()
}

/// Whom a taxon is said to harm; none where nothing is listed, which is no statement of safety.
pub(crate) fn toxicity(taxon: &Taxon) -> Option<&str> {
    match taxon.toxicity.as_str() {
        "" | "none known" | "unknown" => None,
        whom => Some(whom),
    }
}
