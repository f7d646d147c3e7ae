//! Tables of planting: the schedule, the list of plantings, transplants, set-out positions.

use std::collections::BTreeMap;

use groundwright_handoff::{Cell, Column, Datum, Table};
use groundwright_plan::stock::Taxon;
use groundwright_plan::{ElementRef, Kind, TaxonId};
use groundwright_yard::{Origin, Plant, SpacingReason};

use crate::findings::{is_set, is_transplant};
use crate::study::PlantingStudy;

/// All tables of planting.
pub(crate) fn tables(study: &PlantingStudy<'_>) -> Vec<Table> {
    let mut all = vec![schedule(study), plantings(study)];
    if !study.yard.transplanting.dug.is_empty() {
        all.push(transplants(study));
    }
    all.extend(prominence(study));
    all.push(positions(study));
    all
}

fn text(words: impl Into<String>) -> Cell {
    let words = words.into();
    if words.is_empty() { Cell::Empty } else { Cell::Text(words) }
}

/// Short cautions for a schedule.
fn cautions(taxon: &Taxon) -> String {
    let mut words = Vec::new();
    match taxon.toxicity.as_str() {
        "none known" | "" => {}
        "unknown" => words.push("toxicity not known".to_owned()),
        whom => words.push(format!("toxic: {whom}")),
    }
    if !taxon.invasive.is_empty() {
        words.push("listed as invasive somewhere: ask the local list".to_owned());
    }
    words.join("; ")
}

fn schedule(study: &PlantingStudy<'_>) -> Table {
    let mut lines: BTreeMap<(TaxonId, String, bool), usize> = BTreeMap::new();
    for plant in study.yard.plants.iter().filter(|plant| is_set(plant)) {
        let Some(taxon) = &plant.taxon else { continue };
        let moved = matches!(plant.origin, Origin::Moved(..));
        let size = if moved {
            "transplant".to_owned()
        } else {
            study.container(plant).map_or_else(|| "open".to_owned(), |c| c.id.clone())
        };
        *lines.entry((taxon.clone(), size, moved)).or_insert(0) += 1;
    }
    let mut rows: Vec<(String, Vec<Cell>)> = lines
        .into_iter()
        .map(|((id, size, _), count)| {
            let tag = study.tag(&id).to_owned();
            let taxon = study.project.stock.taxa.get(&id);
            let row = vec![
                text(tag.clone()),
                Cell::Datum(Datum::count(count)),
                Cell::Italic(taxon.map_or_else(|| id.to_string(), |t| t.botanical.clone())),
                text(taxon.map_or("", |t| t.common.as_str())),
                text(size),
                text(taxon.map_or_else(String::new, |t| study.reader.size_range(t.height.0, t.height.1))),
                text(taxon.map_or_else(String::new, |t| study.reader.size_range(t.spread.0, t.spread.1))),
                text(taxon.map_or_else(String::new, cautions)),
            ];
            (tag, row)
        })
        .collect();
    rows.sort_by(|a, b| a.0.cmp(&b.0));
    Table {
        key: "plant-schedule",
        title: "Plant schedule".to_owned(),
        columns: vec![
            Column::text("Tag", 0.8),
            Column::number("Count", 0.65),
            Column::text("Botanical name", 2.4),
            Column::text("Common name", 1.9),
            Column::text("Size", 1.0),
            Column::text("Mature height", 1.5),
            Column::text("Mature spread", 1.5),
            Column::text("Caution", 1.6),
        ],
        rows: rows.into_iter().map(|(_, row)| row).collect(),
        notes: vec![
            "Sizes are usual mature sizes after ten to twenty years; take them as ± 25 %.".to_owned(),
            "A plant without a caution is not declared safe.".to_owned(),
        ],
    }
}

/// Why a planting has its spacing, in words.
pub(crate) fn reason(reason: SpacingReason) -> String {
    match reason {
        SpacingReason::Stated => "stated".to_owned(),
        SpacingReason::FilledIn(years) => format!("crowns touch after {years} years"),
        SpacingReason::Usual => "usual for the plant".to_owned(),
        SpacingReason::Mature => "mature spread".to_owned(),
    }
}

fn plantings(study: &PlantingStudy<'_>) -> Table {
    let optional = |value: Option<f64>| value.map_or(Cell::Empty, |v| Cell::Datum(Datum::depth(v)));
    let rows = study
        .project
        .design
        .plantings
        .iter()
        .filter_map(|planting| {
            let element = ElementRef::new(Kind::Planting, &planting.id);
            let a = study.arrangement(&element)?;
            let tags: Vec<&str> = planting.shares.iter().map(|share| study.tag(&share.taxon)).collect();
            let per_plant = a.area.map(|area| area / a.positions.len().max(1) as f64);
            Some(vec![
                text(planting.id.as_str()),
                text(planting.role.to_string()),
                text(tags.join(" + ")),
                Cell::Datum(Datum::count(study.yard.plants_of(&planting.id).count())),
                Cell::Datum(Datum::spacing(a.spacing)),
                text(reason(a.reason)),
                optional(a.mean_spacing),
                optional(a.least_spacing),
                per_plant.map_or(Cell::Empty, |area| Cell::Datum(Datum::area(area))),
                text(planting.note.as_str()),
            ])
        })
        .collect();
    Table {
        key: "plantings",
        title: "Plantings".to_owned(),
        columns: vec![
            Column::text("Planting", 1.6),
            Column::text("Role", 0.9),
            Column::text("Tags", 1.3),
            Column::number("Count", 0.6),
            Column::number("Spacing", 0.9),
            Column::text("Because", 1.4),
            Column::number("Mean", 0.9),
            Column::number("Least", 0.9),
            Column::number("Each", 0.9),
            Column::text("Remark", 1.8),
        ],
        rows,
        notes: vec![
            "Mean and least: distance of each plant to its nearest neighbour in the planting.".to_owned(),
        ],
    }
}

fn transplants(study: &PlantingStudy<'_>) -> Table {
    let moving = &study.yard.transplanting;
    let name = |index: usize| {
        let dug = &moving.dug[index];
        let taxon = dug.taxon.as_ref().and_then(|id| study.project.stock.taxa.get(id));
        let found = study.project.property.shrubs.iter().find(|s| s.id == dug.shrub);
        taxon.map(|t| t.botanical.clone()).or_else(|| found.map(|s| s.name.clone())).unwrap_or_default()
    };
    let row = |index: usize, to: Option<(&str, u32, f64)>| {
        let dug = &moving.dug[index];
        vec![
            text(format!("{} {}", dug.shrub, dug.ordinal + 1)),
            Cell::Italic(name(index)),
            text(if dug.division { "division" } else { "plant" }),
            Cell::Datum(Datum::length(dug.height)),
            Cell::Datum(Datum::length(dug.spread)),
            text(to.map_or_else(
                || "no new place".to_owned(),
                |(id, ordinal, _)| format!("{id} {}", ordinal + 1),
            )),
            to.map_or(Cell::Empty, |(_, _, distance)| Cell::Datum(Datum::length(distance))),
        ]
    };
    let mut rows: Vec<Vec<Cell>> =
        moving.moves.iter().map(|m| row(m.dug, Some((m.planting.as_str(), m.ordinal, m.distance)))).collect();
    rows.extend(moving.left_over.iter().map(|&index| row(index, None)));
    let holding: Vec<String> = study
        .project
        .property
        .shrubs
        .iter()
        .filter(|s| s.action == groundwright_plan::Action::Move && !s.holding.is_empty())
        .map(|s| format!("{}: held until planting: {}.", s.id, s.holding.trim_end_matches('.')))
        .collect();
    Table {
        key: "transplants",
        title: "Transplants".to_owned(),
        columns: vec![
            Column::text("From", 1.5),
            Column::text("Plant", 2.0),
            Column::text("As", 0.8),
            Column::number("Height", 0.8),
            Column::number("Spread", 0.8),
            Column::text("To hole", 1.6),
            Column::number("Carry", 0.9),
        ],
        rows,
        notes: holding,
    }
}

/// Ranks by prominence of the plantings that set the best first.
fn prominence(study: &PlantingStudy<'_>) -> Option<Table> {
    let mut ranked: Vec<&Plant> = study.yard.plants.iter().filter(|plant| plant.rank.is_some()).collect();
    if ranked.is_empty() {
        return None;
    }
    ranked.sort_by(|a, b| (&a.key.instruction, a.rank).cmp(&(&b.key.instruction, b.rank)));
    let rows = ranked
        .iter()
        .map(|plant| {
            vec![
                text(plant.key.instruction.id.as_str()),
                Cell::Datum(Datum::count(plant.rank.unwrap_or(0) as usize)),
                Cell::Datum(Datum::count(plant.key.ordinal as usize + 1)),
                text(plant.taxon.as_ref().map_or("?", |taxon| study.tag(taxon))),
                Cell::Datum(Datum::number(plant.prominence * 1000.0)),
            ]
        })
        .collect();
    Some(Table {
        key: "best-first",
        title: "Best and flowering pots first".to_owned(),
        columns: vec![
            Column::text("Planting", 1.8),
            Column::number("Rank", 0.7),
            Column::number("Plant", 0.7),
            Column::text("Tag", 0.9),
            Column::number("Prominence, msr", 1.2),
        ],
        rows,
        notes: vec![
            "Set the best pot at rank 1, seen first from the viewpoints. Where pots stand apart, the rank stands beside \
             each on the plan."
                .to_owned(),
        ],
    })
}

/// Positions for setting out, one row a plant.
fn positions(study: &PlantingStudy<'_>) -> Table {
    let rows = study
        .yard
        .plants
        .iter()
        .filter(|plant| is_set(plant))
        .map(|plant| {
            let transplant = study
                .project
                .design
                .plantings
                .iter()
                .any(|p| p.id == plant.key.instruction.id && is_transplant(p));
            vec![
                text(plant.key.instruction.id.as_str()),
                Cell::Datum(Datum::count(plant.key.ordinal as usize + 1)),
                text(plant.taxon.as_ref().map_or("?", |taxon| study.tag(taxon))),
                text(if transplant {
                    "transplant"
                } else {
                    study.container(plant).map_or("open", |c| c.id.as_str())
                }),
                Cell::Datum(Datum::length(plant.at.x)),
                Cell::Datum(Datum::length(plant.at.y)),
                text(plant.place.as_ref().map_or("", |place| place.id.as_str())),
            ]
        })
        .collect();
    Table {
        key: "positions",
        title: "Pot centres".to_owned(),
        columns: vec![
            Column::text("Planting", 1.8),
            Column::number("Plant", 0.7),
            Column::text("Tag", 0.9),
            Column::text("Size", 0.9),
            Column::number("East", 1.0),
            Column::number("North", 1.0),
            Column::text("Bed", 1.4),
        ],
        rows,
        notes: vec!["East and north in plan coordinates of the property file.".to_owned()],
    }
}
