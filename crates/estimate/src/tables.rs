//! The takeoff as tables: what to order, and on what basis.

use groundwright_handoff::{Cell, Column, Datum, Table};
use groundwright_units::Reader;

use crate::takeoff::{Line, Takeoff};

/// The takeoff table and the table of its basis.
pub fn tables(takeoff: &Takeoff, reader: &Reader) -> Vec<Table> {
    vec![order(takeoff), basis(takeoff, reader)]
}

fn text(words: impl Into<String>) -> Cell {
    let words = words.into();
    if words.is_empty() { Cell::Empty } else { Cell::Text(words) }
}

fn packs(line: &Line) -> String {
    let packs: Vec<String> =
        line.packs.iter().map(|(count, pack)| format!("{count:.0} × {}", pack.name)).collect();
    packs.join(" + ")
}

fn order(takeoff: &Takeoff) -> Table {
    let rows = takeoff
        .lines
        .iter()
        .map(|line| {
            vec![
                text(line.phase.title()),
                text(&line.description),
                Cell::Datum(line.net_datum()),
                if line.allowance > 1e-9 { Cell::Datum(Datum::ratio(line.allowance)) } else { Cell::Empty },
                Cell::Datum(line.ordered_datum()),
                text(packs(line)),
                if line.spare > 1e-9 { Cell::Datum(line.spare_datum()) } else { Cell::Empty },
            ]
        })
        .collect();
    Table {
        key: "takeoff",
        title: "Takeoff".to_owned(),
        columns: vec![
            Column::text("Phase", 1.3),
            Column::text("Item", 2.8),
            Column::number("Net", 1.0),
            Column::number("Allowance", 0.8),
            Column::number("Order", 1.0),
            Column::text("As", 2.0),
            Column::number("Spare", 0.9),
        ],
        rows,
        notes: vec![
            "Spare: what is ordered beyond the net amount, by allowance and by whole packs.".to_owned(),
            "Loose volumes: order loose, it settles to the depth stated in the basis.".to_owned(),
        ],
    }
}

fn basis(takeoff: &Takeoff, reader: &Reader) -> Table {
    let mut rows = Vec::new();
    for line in &takeoff.lines {
        for part in &line.parts {
            let steps: Vec<String> = part
                .basis
                .iter()
                .map(|step| format!("{} {} ({})", step.what, step.datum.show(reader), step.how))
                .collect();
            rows.push(vec![
                text(&line.description),
                text(part.subject.to_string()),
                Cell::Datum(Datum { value: part.amount, dimension: line.dimension }),
                text(steps.join("; ")),
            ]);
        }
    }
    Table {
        key: "takeoff-basis",
        title: "Basis of the takeoff".to_owned(),
        columns: vec![
            Column::text("Item", 2.0),
            Column::text("For", 1.4),
            Column::number("Net", 0.9),
            Column::text("How it came about", 5.0),
        ],
        rows,
        notes: vec!["Every number can be followed by hand from the left to the right.".to_owned()],
    }
}
