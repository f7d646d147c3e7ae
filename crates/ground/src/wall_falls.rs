//! How the ground falls from the house, wall by wall, as a table.
//!
//! - In: a studied ground. Out: for each wall the place where most is short of what is asked for.
//! - What is asked for, and its source, is in `fall.rs`; what is short is a finding (`findings.rs`).

use groundwright_geometry::frame::compass_name;
use groundwright_handoff::{Cell, Column, Datum, Table};
use groundwright_plan::ElementRef;

use crate::Fall;
use crate::fall_away;
use crate::findings::{along_walls, profile};
use crate::study::GroundStudy;

/// A wall with the worst fall found along it.
struct WallFall {
    building: ElementRef,
    /// Where the wall looks, clockwise from true north. [rad]
    bearing: f64,
    fall: Fall,
}

/// The fall from each wall; none without levels or buildings.
pub(crate) fn table(study: &GroundStudy<'_>) -> Option<Table> {
    study.earth?;
    let falls: Vec<WallFall> = (0..study.yard.plot.buildings.len()).flat_map(|b| worst(study, b)).collect();
    let rows = falls.iter().map(|wall| {
        vec![
            Cell::Text(format!("{}, {}", wall.building.id, compass_name(wall.bearing))),
            Cell::Datum(Datum::length(wall.fall.length)),
            Cell::Datum(Datum::depth(wall.fall.fall)),
            Cell::Datum(Datum::depth(wall.fall.needed)),
        ]
    });
    (!falls.is_empty()).then(|| Table {
        key: "falls",
        title: "Fall from the house, worst place of each wall".to_owned(),
        columns: vec![
            Column::text("Wall, and where it looks", 1.6),
            Column::number("Over", 0.8),
            Column::number("Falls", 0.8),
            Column::number("Asked for", 0.8),
        ],
        rows: rows.collect(),
        notes: vec![
            "A negative fall rises. Proposed ground, to ten feet, the lot line or the next building; local codes differ.".to_owned(),
        ],
    })
}

fn worst(study: &GroundStudy<'_>, building: usize) -> Vec<WallFall> {
    let element = &study.yard.plot.buildings[building].element;
    let north = study.project.property.north.value;
    along_walls(study, building)
        .iter()
        .filter_map(|wall| {
            let falls = wall.iter().filter_map(|by| fall_away(&profile(study, by)));
            let fall = falls.max_by(|a, b| a.short.total_cmp(&b.short))?;
            let out = wall.first()?.out;
            let bearing = out.x.atan2(out.y) - north;
            Some(WallFall { building: element.clone(), bearing, fall })
        })
        .collect()
}
