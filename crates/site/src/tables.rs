//! Tables of the site: plants found, buried things.

use groundwright_geometry::Vec2;
use groundwright_handoff::{Cell, Column, Datum, Table};
use groundwright_plan::{Given, Standing};

use crate::study::SiteStudy;

/// All tables of the site.
pub(crate) fn tables(study: &SiteStudy<'_>) -> Vec<Table> {
    let mut all = Vec::new();
    let property = &study.project.property;
    if !(property.trees.is_empty() && property.shrubs.is_empty() && property.overgrown.is_empty()) {
        all.push(existing(study));
    }
    if !property.buried.is_empty() {
        all.push(buried(study));
    }
    all
}

fn text(words: impl Into<String>) -> Cell {
    let words = words.into();
    if words.is_empty() { Cell::Empty } else { Cell::Text(words) }
}

/// A length in words, marked where it is assumed.
pub(crate) fn length(study: &SiteStudy<'_>, given: Given<f64>) -> String {
    let words = study.reader.length(given.value);
    if matches!(given.standing, Standing::Assumed { .. }) { format!("{words} ±") } else { words }
}

/// Botanical name of a found plant, or the name as written.
pub(crate) fn name(study: &SiteStudy<'_>, taxon: Option<&groundwright_plan::TaxonId>, written: &str) -> String {
    taxon
        .and_then(|id| study.project.stock.taxa.get(id))
        .map_or_else(|| written.to_owned(), |taxon| taxon.botanical.clone())
}

fn existing(study: &SiteStudy<'_>) -> Table {
    let property = &study.project.property;
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for (i, tree) in property.trees.iter().enumerate() {
        rows.push(vec![
            text(format!("T{}", i + 1)),
            Cell::Datum(Datum::count(1)),
            Cell::Italic(name(study, tree.taxon.as_ref(), &tree.name)),
            text(format!("trunk {}, crown {}", study.reader.depth(tree.diameter.value), length(study, tree.crown))),
            text(tree.condition.value.to_string()),
            text(tree.action.to_string()),
            text(tree.note.as_str()),
        ]);
    }
    for (i, shrub) in property.shrubs.iter().enumerate() {
        rows.push(vec![
            text(format!("S{}", i + 1)),
            Cell::Datum(Datum::count(shrub.count)),
            Cell::Italic(name(study, shrub.taxon.as_ref(), &shrub.name)),
            text(format!("{} high, {} wide", length(study, shrub.height), length(study, shrub.spread))),
            text(shrub.condition.value.to_string()),
            text(shrub.action.to_string()),
            text(shrub.note.as_str()),
        ]);
    }
    for (i, weed) in property.overgrown.iter().enumerate() {
        rows.push(vec![
            text(format!("W{}", i + 1)),
            Cell::Empty,
            Cell::Italic(name(study, weed.taxon.as_ref(), &weed.name)),
            text(format!("{} high", length(study, weed.height))),
            Cell::Empty,
            text("clear"),
            Cell::Empty,
        ]);
    }
    Table {
        key: "existing-plants",
        title: "Plants found".to_owned(),
        columns: vec![
            Column::text("Tag", 0.6),
            Column::number("Count", 0.65),
            Column::text("Plant", 2.2),
            Column::text("Size", 2.2),
            Column::text("Condition", 0.9),
            Column::text("Action", 0.8),
            Column::text("Remark", 2.0),
        ],
        rows,
        notes: vec!["± marks a size that nobody measured.".to_owned()],
    }
}

fn buried(study: &SiteStudy<'_>) -> Table {
    let rows = study
        .project
        .property
        .buried
        .iter()
        .map(|b| {
            vec![
                text(b.id.as_str()),
                text(b.kind.to_string()),
                text(b.zone.as_str()),
                text(study.reader.depth(b.depth.value)),
                text(b.depth.standing.word()),
                text(b.fate.to_string()),
            ]
        })
        .collect();
    Table {
        key: "buried",
        title: "Under the ground".to_owned(),
        columns: vec![
            Column::text("Line", 1.4),
            Column::text("What", 1.3),
            Column::text("Zone", 0.9),
            Column::text("Depth", 0.7),
            Column::text("Known", 0.8),
            Column::text("Fate", 0.7),
        ],
        rows,
        notes: vec![
            "Lines as told or seen. None of them may be trusted until it is located and marked on site.".to_owned(),
        ],
    }
}

/// A small step to the upper right, for letters beside a sign. [m]
pub(crate) const BESIDE: Vec2 = Vec2::new(0.25, 0.2);
