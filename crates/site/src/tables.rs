//! Tables of the site: existing plants, buried things, tree protection.

use groundwright_geometry::frame::compass_name;
use groundwright_handoff::{Cell, Column, Datum, Table};
use groundwright_plan::{ElementRef, Given, Kind, Standing};

use crate::findings::services::TOLERANCE_ZONE;
use crate::findings::toxicity;
use crate::found::{Found, names};
use crate::marks::lines::letters;
use crate::study::SiteStudy;

/// All tables of the site.
pub(crate) fn tables(study: &SiteStudy<'_>) -> Vec<Table> {
    let mut all = Vec::new();
    if !(study.found.is_empty() && study.cleared.is_empty()) {
        all.push(existing_plants(study));
    }
    if !study.project.property.buried.is_empty() {
        all.push(buried(study));
    }
    if !study.protections.is_empty() {
        all.push(protection(study));
    }
    if !study.project.property.photos.is_empty() {
        all.push(photos(study));
    }
    all
}

fn text(words: impl Into<String>) -> Cell {
    let words = words.into();
    if words.is_empty() { Cell::Empty } else { Cell::Text(words) }
}

/// `measured`, `stated`, or `assumed ± 8"`.
fn known(study: &SiteStudy<'_>, given: Given<f64>) -> String {
    match given.standing {
        Standing::Assumed { spread } if spread > 0.0 => format!("assumed ± {}", study.reader.depth(spread)),
        standing => standing.word().to_owned(),
    }
}

fn existing_plants(study: &SiteStudy<'_>) -> Table {
    let mut rows: Vec<Vec<Cell>> = study.found.iter().map(|plant| plant_row(study, plant)).collect();
    rows.extend(study.cleared.iter().filter_map(|ground| {
        let found = study.project.property.overgrown.iter().find(|o| o.id == ground.element.id)?;
        let (_, botanical, common) = names(&study.project.stock, found.taxon.as_ref(), &found.name);
        let reader = &study.reader;
        Some(vec![
            text(&ground.tag),
            Cell::Empty,
            Cell::Italic(botanical.to_owned()),
            text(common),
            text(format!("{}, {} high", reader.area(ground.area), reader.length(ground.height.value))),
            Cell::Empty,
            text("clear"),
            Cell::Empty,
            text(ground.element.id.as_str()),
        ])
    }));
    Table {
        key: "existing-plants",
        title: "Existing plants".to_owned(),
        columns: vec![
            Column::text("Tag", 0.55),
            Column::number("Count", 0.65),
            Column::text("Botanical name", 2.0),
            Column::text("Common name", 1.5),
            Column::text("Size", 1.7),
            Column::text("Condition", 0.9),
            Column::text("Fate", 0.8),
            Column::text("Note", 2.4),
            Column::text("In the files", 1.3),
        ],
        rows,
        notes: vec![
            "Trees: trunk diameter at breast height, crown, height. Shrubs: spread, height.".to_owned(),
            "Tree work by a licensed arborist only; local rules decide about permits.".to_owned(),
            "A plant without a caution is not declared safe.".to_owned(),
        ],
    }
}

fn plant_row(study: &SiteStudy<'_>, plant: &Found<'_>) -> Vec<Cell> {
    let property = &study.project.property;
    let reader = &study.reader;
    let id = &plant.element.id;
    let tree = property.trees.iter().find(|tree| plant.element.kind == Kind::Tree && &tree.id == id);
    let shrub = property.shrubs.iter().find(|shrub| plant.element.kind == Kind::Shrub && &shrub.id == id);
    let (size, remark) = match (tree, shrub) {
        (Some(tree), _) => (
            format!(
                "{} trunk, {} crown, {}",
                reader.depth(tree.diameter.value),
                reader.length(tree.crown.value),
                reader.length(tree.height.value)
            ),
            tree.note.as_str(),
        ),
        (None, Some(shrub)) => (
            format!("{}, {}", reader.length(shrub.spread.value), reader.length(shrub.height.value)),
            shrub.note.as_str(),
        ),
        (None, None) => (String::new(), ""),
    };
    vec![
        text(&plant.tag),
        Cell::Datum(Datum::count(plant.count)),
        Cell::Italic(plant.botanical.to_owned()),
        text(plant.common),
        text(size),
        text(plant.condition.value.to_string()),
        text(plant.action.to_string()),
        text(note(plant, remark)),
        text(id.as_str()),
    ]
}

/// The remark with the stock's cautions.
fn note(plant: &Found<'_>, remark: &str) -> String {
    let mut parts: Vec<String> = Vec::new();
    if !remark.is_empty() {
        parts.push(remark.trim_end_matches('.').to_owned());
    }
    if let Some(whom) = plant.taxon.and_then(toxicity) {
        parts.push(format!("toxic: {whom}"));
    }
    if plant.taxon.is_some_and(|taxon| taxon.weed || !taxon.invasive.is_empty()) {
        parts.push("weed or listed as invasive somewhere: ask the local list".to_owned());
    }
    parts.join("; ")
}

fn photos(study: &SiteStudy<'_>) -> Table {
    let property = &study.project.property;
    let north = property.north.value;
    let rows = property.photos.iter().map(|photo| {
        let place = |place: &Option<_>| place.as_ref().and_then(|place| property.place(place));
        let way = place(&photo.at).zip(place(&photo.looking)).map(|(at, to)| to - at);
        let way = way.map_or("", |way| compass_name(way.x.atan2(way.y) - north));
        vec![text(photo.id.as_str()), text(way), text(&photo.note), text(&photo.taken), text(&photo.file)]
    });
    Table {
        key: "photos",
        title: "Photos".to_owned(),
        columns: vec![
            Column::text("Photo", 1.0),
            Column::text("Looks", 0.8),
            Column::text("Shows", 2.4),
            Column::text("Taken", 0.8),
            Column::text("File", 1.6),
        ],
        rows: rows.collect(),
        notes: Vec::new(),
    }
}

fn buried(study: &SiteStudy<'_>) -> Table {
    let plot = &study.yard.plot;
    let rows = study
        .project
        .property
        .buried
        .iter()
        .map(|thing| {
            let element = ElementRef::new(Kind::Buried, &thing.id);
            let route = plot.buried_lines.iter().find(|route| route.element == element);
            vec![
                text(letters(thing.kind)),
                text(thing.kind.to_string()),
                text(thing.id.as_str()),
                route.map_or(Cell::Empty, |route| Cell::Datum(Datum::length(route.line.length()))),
                Cell::Datum(Datum::depth(thing.depth.value)),
                text(known(study, thing.depth)),
                text(thing.fate.to_string()),
                text(&thing.zone),
            ]
        })
        .collect();
    Table {
        key: "buried",
        title: "Buried things".to_owned(),
        columns: vec![
            Column::text("On plan", 0.7),
            Column::text("What", 1.4),
            Column::text("In the files", 1.6),
            Column::number("Length", 0.9),
            Column::number("Cover", 0.8),
            Column::text("Cover known", 1.2),
            Column::text("Fate", 0.7),
            Column::text("Zone", 0.6),
        ],
        rows,
        notes: vec![
            "Places and depths are for planning only. Locate before digging: call the local utility locating centre."
                .to_owned(),
            format!(
                "Dig by hand within {} of a mark; the locating centre's own distance comes first.",
                study.reader.depth(TOLERANCE_ZONE)
            ),
            "Services are altered by their owner or a licensed trade only.".to_owned(),
        ],
    }
}

fn protection(study: &SiteStudy<'_>) -> Table {
    let practice = &study.project.practice;
    let rows = study
        .protections
        .iter()
        .map(|circle| {
            let found = study.found.iter().find(|found| found.element == circle.element);
            vec![
                text(found.map_or("", |found| found.tag.as_str())),
                Cell::Italic(found.map_or(String::new(), |found| found.botanical.to_owned())),
                Cell::Datum(Datum::depth(circle.diameter.value)),
                text(known(study, circle.diameter)),
                Cell::Datum(Datum::length(circle.radius)),
                Cell::Datum(Datum::area(crate::protection::area(circle.radius))),
                Cell::Datum(Datum::length(circle.fence)),
            ]
        })
        .collect();
    Table {
        key: "tree-protection",
        title: "Tree protection".to_owned(),
        columns: vec![
            Column::text("Tag", 0.6),
            Column::text("Tree", 2.0),
            Column::number("Trunk", 0.9),
            Column::text("Trunk known", 1.2),
            Column::number("Radius", 1.0),
            Column::number("Area", 1.1),
            Column::number("Fence", 1.0),
        ],
        rows,
        notes: vec![
            format!(
                "Radius = {} × trunk diameter at breast height, at least {}. Published rules use 12, 15 or 18 \
                 (1 to 1.5 ft to the inch); the local rule comes first.",
                practice.protection_ratio,
                study.reader.length(practice.protection_minimum)
            ),
            "Fence: the circle's edge outside other circles and buildings.".to_owned(),
        ],
    }
}
