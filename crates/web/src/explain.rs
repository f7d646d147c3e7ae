//! What things are, in words: for the line under the cursor, the list of the selection and the
//! figures that move with the hand.
//!
//! - In: the project and what follows from it. Out: a title and a sentence for every element, and
//!   the main figures.

use std::collections::BTreeMap;

use groundwright_handoff::{Dimension, Severity};
use groundwright_job::Outcome;
use groundwright_plan::{Kind, Loaded, PlantSource, Planting, Project, TaxonId, Word};
use groundwright_units::Reader;
use groundwright_yard::{Area, Origin, Plot};

use crate::checks;
use crate::element_name::name_of;
use crate::messages::{ElementNews, FigureNews};

/// Every element in words, by its name.
pub fn elements(loaded: &Loaded, outcome: &Outcome, reader: &Reader) -> BTreeMap<String, ElementNews> {
    let project = &loaded.project;
    let plot = &outcome.yard.plot;
    let mut all: BTreeMap<String, ElementNews> = project
        .elements()
        .into_iter()
        .filter(|element| element.kind != Kind::Acceptance)
        .map(|element| {
            let title = format!("{} {}", sentence_case(element.kind.word()), element.id);
            (name_of(&element), ElementNews { title, detail: String::new() })
        })
        .collect();
    let mut say = |kind: Kind, id: &str, title: Option<String>, detail: String| {
        if let Some(news) = all.get_mut(&format!("{} {id}", kind.key())) {
            news.title = title.unwrap_or_else(|| std::mem::take(&mut news.title));
            news.detail = detail;
        }
    };
    for planting in &project.design.plantings {
        let (title, detail) = planting_words(project, outcome, planting, reader);
        say(Kind::Planting, planting.id.as_str(), Some(title), detail);
    }
    let counts = plants_by_place(outcome);
    for bed in &project.design.beds {
        let area = plot.beds.iter().find(|a| a.element.id == bed.id);
        let mut parts = area_words(area, reader);
        if let Some(mulch) = &bed.mulch {
            let name = project.stock.mulches.get(&mulch.product).map_or(&mulch.product, |m| &m.loose.name);
            parts.push(format!("{} of {name}", reader.depth(mulch.depth.value)));
        }
        parts.extend(planted(&counts, Kind::Bed, bed.id.as_str()));
        say(Kind::Bed, bed.id.as_str(), Some(format!("Bed: {}", bed.label)), parts.join(", "));
    }
    for planter in &project.design.boxes {
        let area = plot.boxes.iter().find(|a| a.element.id == planter.id);
        let mut parts = area_words(area, reader);
        parts.extend(planted(&counts, Kind::PlanterBox, planter.id.as_str()));
        say(Kind::PlanterBox, planter.id.as_str(), Some(format!("Box: {}", planter.label)), parts.join(", "));
    }
    for lawn in &project.design.lawns {
        let area = plot.lawns.iter().find(|a| a.element.id == lawn.id);
        let mut parts = vec![lawn.kind.word().to_owned()];
        parts.extend(area_words(area, reader));
        say(Kind::Lawn, lawn.id.as_str(), None, parts.join(", "));
    }
    for note in &project.design.notes {
        say(Kind::Note, note.id.as_str(), None, note.text.clone());
    }
    for edging in &project.design.edgings {
        let name = project.stock.edgings.get(&edging.product).map_or(&edging.product, |e| &e.name);
        say(Kind::Edging, edging.id.as_str(), None, format!("{name}, along {}", edging.along));
    }
    found(project, plot, reader, &mut say);
    all
}

/// What stands on the property.
fn found(
    project: &Project,
    plot: &Plot,
    reader: &Reader,
    say: &mut impl FnMut(Kind, &str, Option<String>, String),
) {
    let property = &project.property;
    for building in &property.buildings {
        let area = plot.buildings.iter().find(|a| a.element.id == building.id);
        let mut parts = area_words(area, reader);
        parts.push(format!("eave at {}", reader.length(building.eave.value)));
        let title = format!("Building: {}", building.label);
        say(Kind::Building, building.id.as_str(), Some(title), parts.join(", "));
    }
    for surface in &property.surfaces {
        let area = plot.surfaces.iter().find(|a| a.element.id == surface.id);
        let mut parts = vec![surface.material.value.clone()];
        parts.extend(area_words(area, reader));
        let title = format!("{}: {}", sentence_case(surface.kind.word()), surface.id);
        say(Kind::Surface, surface.id.as_str(), Some(title), parts.join(", "));
    }
    for tree in &property.trees {
        let detail = format!(
            "trunk {}, crown {}, height {}: {}",
            reader.depth(tree.diameter.value),
            reader.length(tree.crown.value),
            reader.length(tree.height.value),
            tree.action.word()
        );
        let title = format!("Tree: {}", plant_name(project, tree.taxon.as_ref(), &tree.name));
        say(Kind::Tree, tree.id.as_str(), Some(title), detail);
    }
    for shrub in &property.shrubs {
        let detail = format!(
            "{} of {} wide and {} high: {}",
            shrub.count,
            reader.length(shrub.spread.value),
            reader.length(shrub.height.value),
            shrub.action.word()
        );
        let title = format!("Found: {}", plant_name(project, shrub.taxon.as_ref(), &shrub.name));
        say(Kind::Shrub, shrub.id.as_str(), Some(title), detail);
    }
    for overgrown in &property.overgrown {
        let area = plot.overgrown.iter().find(|a| a.element.id == overgrown.id);
        let title = format!("Overgrown: {}", plant_name(project, overgrown.taxon.as_ref(), &overgrown.name));
        say(Kind::Overgrown, overgrown.id.as_str(), Some(title), area_words(area, reader).join(", "));
    }
    for buried in &property.buried {
        let depth = reader.depth(buried.depth.value);
        let detail = format!("about {depth} deep; have it located before anybody digs");
        let title = format!("Buried {}", buried.kind.word());
        say(Kind::Buried, buried.id.as_str(), Some(title), detail);
    }
    for utility in &property.utilities {
        let detail = format!("keep {} free round it", reader.length(utility.clearance.value));
        say(Kind::Utility, utility.id.as_str(), Some(sentence_case(&utility.name)), detail);
    }
    for opening in &property.openings {
        let detail = format!(
            "{} wide, sill at {}, of {}",
            reader.length(opening.width.value),
            reader.depth(opening.sill.value),
            opening.building
        );
        say(Kind::Opening, opening.id.as_str(), Some(sentence_case(opening.kind.word())), detail);
    }
    for line in &property.paper_lines {
        let limit = line.height_limit.map(|limit| format!("nothing above {}", reader.length(limit.value)));
        let title = sentence_case(line.kind.word());
        say(Kind::PaperLine, line.id.as_str(), Some(title), limit.unwrap_or_default());
    }
    for wire in &property.overhead_wires {
        say(Kind::OverheadWire, wire.id.as_str(), None, format!("at {}", reader.length(wire.height.value)));
    }
}

fn plants_by_place(outcome: &Outcome) -> BTreeMap<(Kind, &str), usize> {
    let mut counts = BTreeMap::new();
    for plant in &outcome.yard.plants {
        if let Some(place) = plant.place.as_ref().filter(|_| plant.origin != Origin::Kept) {
            *counts.entry((place.kind, place.id.as_str())).or_insert(0) += 1;
        }
    }
    counts
}

fn planted(counts: &BTreeMap<(Kind, &str), usize>, kind: Kind, id: &str) -> Option<String> {
    counts.get(&(kind, id)).map(|count| plural(*count, "plant"))
}

/// `1 plant`, `7 plants`.
pub fn plural(count: usize, word: &str) -> String {
    if count == 1 { format!("1 {word}") } else { format!("{count} {word}s") }
}

fn area_words(area: Option<&Area>, reader: &Reader) -> Vec<String> {
    let Some(area) = area else { return Vec::new() };
    vec![reader.area(area.free.area()), format!("{} round", reader.length(area.edge.length()))]
}

fn plant_name(project: &Project, taxon: Option<&TaxonId>, otherwise: &str) -> String {
    match taxon.and_then(|taxon| project.stock.taxa.get(taxon)) {
        Some(taxon) if taxon.common.is_empty() => taxon.botanical.clone(),
        Some(taxon) => format!("{} ({})", taxon.botanical, taxon.common),
        None => otherwise.to_owned(),
    }
}

fn planting_words(
    project: &Project,
    outcome: &Outcome,
    planting: &Planting,
    reader: &Reader,
) -> (String, String) {
    let arrangement = outcome.yard.arrangements.iter().find(|a| a.planting == planting.id);
    let count = outcome.yard.plants_of(&planting.id).count();
    let names: Vec<String> = planting
        .shares
        .iter()
        .map(|share| plant_name(project, Some(&share.taxon), share.taxon.as_str()))
        .collect();
    let title = format!("{}: {count} × {}", sentence_case(planting.role.word()), names.join(" + "));
    let mut parts = Vec::new();
    if let Some(size) = &planting.size {
        parts.push(size.clone());
    }
    if let Some(arrangement) = arrangement {
        let spacing = arrangement.mean_spacing.unwrap_or(arrangement.spacing);
        parts.push(reader.spacing(spacing));
        parts.extend(arrangement.area.map(|area| reader.area(area)));
        if arrangement.skipped > 0 {
            parts.push(format!(
                "{} left out where something is in the way",
                plural(arrangement.skipped, "place")
            ));
        }
    }
    if planting.source == PlantSource::Transplants {
        parts.push("from transplants".to_owned());
    }
    if let Some(place) = &planting.place {
        parts.push(format!("in {place}"));
    }
    (title, parts.join(", "))
}

fn sentence_case(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The main figures: they move with the hand.
pub fn figures(loaded: &Loaded, outcome: &Outcome, reader: &Reader) -> Vec<FigureNews> {
    let figure = |key: &str, name: &str, value: String| FigureNews {
        key: key.to_owned(),
        name: name.to_owned(),
        value,
    };
    let plants = outcome.yard.plants.iter().filter(|plant| plant.origin != Origin::Kept).count();
    let beds: f64 = outcome.yard.plot.beds.iter().map(|bed| bed.free.area()).sum();
    let turf: f64 = outcome.yard.plot.lawns.iter().map(|lawn| lawn.free.area()).sum();
    let mulch: f64 = outcome
        .takeoff
        .lines
        .iter()
        .filter(|line| line.item.starts_with("mulch") && line.dimension == Dimension::Volume)
        .map(|line| line.net)
        .sum();
    let open = |severity: Severity| {
        let all = outcome.findings.iter().filter(|finding| finding.severity == severity);
        all.filter(|finding| checks::accepted(&loaded.project, finding).is_none()).count().to_string()
    };
    vec![
        figure("plants", "Plants to set", reader.count(plants as u64)),
        figure("beds", "Beds", reader.area(beds)),
        figure("lawn", "Lawn", reader.area(turf)),
        figure("mulch", "Mulch", reader.volume(mulch)),
        figure("danger", "Dangers", open(Severity::Danger)),
        figure("fault", "Faults", open(Severity::Fault)),
        figure("doubt", "Doubts", open(Severity::Doubt)),
    ]
}
