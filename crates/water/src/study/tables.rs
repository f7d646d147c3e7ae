//! Tables of irrigation: zones, heads, pipe, evenness, controller, budget.

use groundwright_handoff::{Cell, Column, Datum, Table};
use groundwright_plan::{Weekday, Word};

use super::layout::Layout;
use super::{AreaRun, Schedule, WaterStudy, ZoneRun};
use crate::budget::RESIDENTIAL_2015;
use crate::hydrozones::Method;
use crate::supply::LimitedBy;

pub(super) const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

pub(super) fn all(study: &WaterStudy<'_>) -> Vec<Table> {
    if study.areas.is_empty() {
        return Vec::new();
    }
    let mut all = vec![zones(study), areas(study)];
    all.extend(supply(study));
    all.extend(heads(study));
    all.extend(controller(study, "controller", "Controller through the year, plants grown in", |s| &s.grown));
    all.extend(controller(study, "controller-first", "Controller in the first season", |s| &s.first));
    all.extend(budget(study));
    all
}

fn text(words: impl Into<String>) -> Cell {
    let words = words.into();
    if words.is_empty() { Cell::Empty } else { Cell::Text(words) }
}

/// Names of the areas of a zone.
pub(super) fn names(study: &WaterStudy<'_>, zone: &ZoneRun<'_>) -> String {
    let names: Vec<&str> = zone.areas.iter().map(|i| study.areas[*i].label.as_str()).collect();
    names.join(", ")
}

/// What the zone gives its water with.
pub(super) fn method(zone: &ZoneRun<'_>) -> &'static str {
    match zone.common.method {
        Method::Spray => "spray",
        Method::Rotor => "rotor",
        Method::Drip => "drip",
        Method::Bubbler => "bubbler",
    }
}

fn share(value: Option<f64>) -> Cell {
    value.map_or(Cell::Empty, |value| Cell::Text(format!("{:.0} %", value * 100.0)))
}

fn zones(study: &WaterStudy<'_>) -> Table {
    let reader = study.reader;
    let rows = study
        .zones
        .iter()
        .map(|zone| {
            let plan = zone.plan();
            let pressure = |value: Option<f64>| value.map_or(Cell::Empty, |p| text(reader.pressure(p)));
            let fastest = plan.map(|plan| plan.velocities.iter().copied().fold(0.0, f64::max));
            let lateral: Option<f64> = plan.map(|plan| plan.nodes.iter().map(|node| node.length).sum());
            vec![
                text(zone.tag()),
                text(names(study, zone)),
                text(method(zone)),
                text(study.boxes[zone.valve_box].label.clone()),
                text(zone.kit.name.clone()),
                Cell::Datum(Datum::count(zone.outlets.len())),
                Cell::Datum(Datum::flow(plan.map_or(zone.flow, |plan| plan.flow))),
                pressure(plan.map(|plan| plan.behind_valve)),
                pressure(zone.worst().map(|worst| worst.1)),
                share(zone.variation()),
                fastest.map_or(Cell::Empty, |speed| Cell::Datum(Datum::speed(speed))),
                lateral.map_or(Cell::Empty, |length| Cell::Datum(Datum::length(length))),
            ]
        })
        .collect();
    Table {
        key: "water-zones",
        title: "Valves and zones".to_owned(),
        columns: vec![
            Column::text("Zone", 0.5),
            Column::text("Waters", 2.0),
            Column::text("By", 0.8),
            Column::text("Box", 1.0),
            Column::text("Valve", 1.7),
            Column::number("Outlets", 0.6),
            Column::number("Flow", 0.8),
            Column::number("Behind valve", 0.8),
            Column::number("Worst outlet", 0.8),
            Column::number("Differs", 0.6),
            Column::number("Fastest", 0.7),
            Column::number("Laterals", 0.8),
        ],
        rows,
        notes: vec![
            "One zone runs at a time. Pressures and flows: the whole network from the supply, global gradient method, \
             Hazen and Williams. A bed's drip line counts as one outlet."
                .to_owned(),
            "Main and preventer are tested under pressure before they are covered; supply and preventer are a licensed \
             plumber's where the code says so."
                .to_owned(),
        ],
    }
}

fn areas(study: &WaterStudy<'_>) -> Table {
    let reader = study.reader;
    let rows = study
        .areas
        .iter()
        .enumerate()
        .map(|(i, run)| {
            let even = study.evens[i].as_ref();
            let zones: Vec<String> =
                study.zones.iter().filter(|zone| zone.areas.contains(&i)).map(ZoneRun::tag).collect();
            vec![
                text(run.label.clone()),
                text(zones.join(" ")),
                text(run.method.word()),
                text(laid(study, run)),
                Cell::Datum(Datum::area(run.area())),
                text(format!("{:.2}", run.factor())),
                even.map_or(Cell::Empty, |even| text(reader.rain_rate(even.rate))),
                share(even.and_then(|even| even.low_quarter)),
                share(even.and_then(|even| even.christiansen)),
                share(even.and_then(|even| even.emission)),
                share(even.filter(|even| even.grid.is_some()).map(|even| even.missed)),
            ]
        })
        .collect();
    Table {
        key: "water-areas",
        title: "What is watered, and how evenly".to_owned(),
        columns: vec![
            Column::text("Ground", 1.6),
            Column::text("Zone", 0.6),
            Column::text("By", 0.8),
            Column::text("Laid", 2.4),
            Column::number("Area", 0.8),
            Column::number("Plant factor", 0.7),
            Column::number("Rate", 0.8),
            Column::number("Dry quarter", 0.7),
            Column::number("Christiansen", 0.8),
            Column::number("Drip", 0.6),
            Column::number("Beside", 0.6),
        ],
        rows,
        notes: vec![
            "Dry quarter: mean of the driest quarter over the mean, of catch cans set by computation at the pressures \
             found, without wind. Single plants count with their mature crowns. Drip: emission uniformity after Keller and Karmeli 1974. Beside: water that misses the \
             ground."
                .to_owned(),
        ],
    }
}

/// What is laid in an area, in words.
fn laid(study: &WaterStudy<'_>, run: &AreaRun<'_>) -> String {
    let reader = study.reader;
    match &run.layout {
        Layout::Heads { product, heads, .. } => format!("{} × {}", heads.len(), product.name),
        Layout::Bubblers { product, places } => {
            format!("{} × {}", places.iter().map(|place| place.1).sum::<usize>(), product.name)
        }
        Layout::Lines { product, rows, own, .. } => {
            let extra = if own.1 > 0 {
                format!("; {} emitters at moved and weak plants", own.1)
            } else {
                String::new()
            };
            format!("{} of {}{extra}", reader.length(rows.line), product.name)
        }
        Layout::Points { product, places } => {
            let count: usize = places.iter().map(|place| place.1).sum();
            format!("{count} × {} at {} plants", product.name, places.len())
        }
        Layout::Existing => format!("what is there, zone {}", run.watering.existing),
        Layout::Nothing(why) => format!("nothing: {why}"),
    }
}

fn supply(study: &WaterStudy<'_>) -> Option<Table> {
    let source = study.source.as_ref().ok()?;
    let reader = study.reader;
    let stated = |what: &str| if source.assumed.contains(&what) { "assumed" } else { "measured or stated" };
    let mut rows = vec![vec![
        text("pressure, nothing flowing"),
        text(reader.pressure(source.pressure)),
        text(stated("pressure")),
    ]];
    for (by, flow) in &source.usable.limits {
        let words = match by {
            LimitedBy::Meter => "three quarters of the meter's safe flow",
            LimitedBy::MeterLoss => "the meter takes a tenth of the pressure",
            LimitedBy::ServiceLine => "velocity in the service line",
            LimitedBy::FlowTest => "flow test at the pressure to be left",
            LimitedBy::Source => "flow of the bucket",
        };
        let least = (flow - source.usable.flow).abs() < 1e-12;
        rows.push(vec![
            text(words),
            Cell::Datum(Datum::flow(*flow)),
            text(if least { "this is the limit" } else { "" }),
        ]);
    }
    rows.push(vec![
        text("flow that a zone may take"),
        Cell::Datum(Datum::flow(source.usable.flow)),
        text(stated("flow")),
    ]);
    let most = study.zones.iter().map(|zone| zone.plan().map_or(zone.flow, |p| p.flow)).fold(0.0, f64::max);
    rows.push(vec![text("flow of the largest zone"), Cell::Datum(Datum::flow(most)), Cell::Empty]);
    if let Some((part, _)) = study.preventer {
        rows.push(vec![text("backflow preventer"), text(part.name.clone()), text("the local code decides")]);
    }
    if let Ok(main) = &study.main {
        let length: f64 = main.nodes.iter().map(|node| node.length).sum();
        rows.push(vec![text("main"), Cell::Datum(Datum::length(length)), text(sizes(study, main))]);
    }
    Some(Table {
        key: "water-supply",
        title: "Supply".to_owned(),
        columns: vec![Column::text("What", 2.2), Column::text("Value", 1.2), Column::text("Note", 1.6)],
        rows,
        notes: vec!["Limits of meter and service line: common practice, no source.".to_owned()],
    })
}

/// Sizes of the main, each once.
fn sizes(study: &WaterStudy<'_>, main: &super::Main) -> String {
    let used = main.nodes.iter().zip(&main.sizes).filter(|(node, _)| node.after.is_some());
    let mut names: Vec<&str> = used.map(|(_, size)| study.pipes[*size].size.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    names.join(", ")
}

fn heads(study: &WaterStudy<'_>) -> Option<Table> {
    let reader = study.reader;
    let mut rows = Vec::new();
    let mut number = 0;
    for zone in &study.zones {
        let Some(plan) = zone.plan() else { continue };
        for (k, outlet) in zone.outlets.iter().enumerate() {
            let Layout::Heads { product, heads, .. } = &study.areas[outlet.of.0].layout else { continue };
            let Some(head) = heads.get(outlet.of.1) else { continue };
            number += 1;
            rows.push(vec![
                text(format!("H{number}")),
                text(zone.tag()),
                text(product.name.clone()),
                text(format!("{:.0}°", head.sweep.to_degrees())),
                text(reader.length(head.throw)),
                text(reader.pressure(plan.pressures[k])),
                Cell::Datum(Datum::flow(plan.flows[k])),
            ]);
        }
    }
    (!rows.is_empty()).then(|| Table {
        key: "water-heads",
        title: "Heads".to_owned(),
        columns: vec![
            Column::text("No.", 0.5),
            Column::text("Zone", 0.5),
            Column::text("Head", 2.6),
            Column::number("Arc", 0.6),
            Column::number("Throw", 0.8),
            Column::number("Pressure", 0.8),
            Column::number("Flow", 0.8),
        ],
        rows,
        notes: vec!["Throw: as it is turned down, at its set pressure. Read the pressure at the head before it is aimed.".to_owned()],
    })
}

fn controller(
    study: &WaterStudy<'_>,
    key: &'static str,
    title: &str,
    of: fn(&Schedule) -> &Vec<crate::controller::MonthLine>,
) -> Option<Table> {
    let timed: Vec<(&ZoneRun<'_>, &Schedule)> =
        study.zones.iter().filter_map(|zone| Some((zone, zone.schedule.as_ref()?))).collect();
    if timed.is_empty() {
        return None;
    }
    let mut columns = vec![Column::text("Month", 0.8)];
    columns.extend(timed.iter().map(|(zone, _)| Column::text(&zone.tag(), 1.0)));
    columns.push(Column::number("Water", 0.7));
    let mut rows = Vec::new();
    let mut year = 0.0;
    for (i, name) in MONTHS.iter().enumerate() {
        let mut row = vec![text(*name)];
        let mut volume = 0.0;
        for (_, schedule) in &timed {
            let line = &of(schedule)[i];
            volume += line.volume;
            row.push(text(words(line)));
        }
        year += volume;
        row.push(if volume > 0.0 { text(study.reader.water(volume)) } else { Cell::Empty });
        rows.push(row);
    }
    let mut sum = vec![text("Year")];
    sum.extend(
        timed
            .iter()
            .map(|(_, schedule)| text(study.reader.water(of(schedule).iter().map(|line| line.volume).sum()))),
    );
    sum.push(text(study.reader.water(year)));
    rows.push(sum);
    let rates: Vec<String> = timed
        .iter()
        .map(|(zone, schedule)| {
            format!(
                "{} {} at {:.0} %",
                zone.tag(),
                study.reader.rain_rate(schedule.rate),
                schedule.efficiency * 100.0
            )
        })
        .collect();
    let mut notes = vec![
        "Days, then cycles × minutes; between cycles the zone soaks while others run. By the soil's water, reference \
         evapotranspiration and rain of the month (FAO Irrigation and Drainage Paper 56); look at the plants and correct."
            .to_owned(),
        format!("Rates and the share that plants can use: {}.", rates.join("; ")),
    ];
    if !(study.year.known.0 && study.year.known.1) {
        notes.push("The climate is guessed from the latitude: give [climate] in property.toml.".to_owned());
    }
    Some(Table { key, title: title.to_owned(), columns, rows, notes })
}

/// A month of a zone in words: `Tue Sat, 2 × 6 min`.
fn words(line: &crate::controller::MonthLine) -> String {
    let days: Vec<&str> = Weekday::WORDS
        .iter()
        .zip(line.weekdays)
        .filter(|(_, runs)| *runs)
        .map(|(word, _)| &word[..2])
        .collect();
    if days.is_empty() || line.cycle_set <= 0.0 {
        return "off".to_owned();
    }
    let days = if days.len() == 7 { "daily".to_owned() } else { days.join(" ") };
    let minutes = line.cycle_set / 60.0;
    if line.run.cycles > 1 {
        format!("{days}, {} × {minutes:.0} min", line.run.cycles)
    } else {
        format!("{days}, {minutes:.0} min")
    }
}

fn budget(study: &WaterStudy<'_>) -> Option<Table> {
    let budget = study.budget.as_ref()?;
    let reader = study.reader;
    let mut rows: Vec<Vec<Cell>> = study
        .areas
        .iter()
        .zip(&budget.use_by_zone)
        .zip(&budget.factors)
        .map(|((run, volume), factor)| {
            vec![
                text(run.label.clone()),
                text(run.method.word()),
                Cell::Datum(Datum::area(run.area())),
                text(format!("{:.2}", run.factor())),
                text(format!("{factor:.2}")),
                text(reader.water(*volume)),
            ]
        })
        .collect();
    let total = |what: &str, volume: f64| {
        vec![text(what), Cell::Empty, Cell::Empty, Cell::Empty, Cell::Empty, text(reader.water(volume))]
    };
    rows.push(total("Estimated use of a year", budget.use_total));
    rows.push(total("Allowance of the ordinance", budget.allowance));
    let cost = budget.use_total * study.project.practice.water_price;
    let saved = if_dripped(study);
    let mut notes = vec![
        format!(
            "Reference evapotranspiration of the year {}; adjustment factor {RESIDENTIAL_2015} (model water efficient \
             landscape ordinance, California Code of Regulations title 23, 492.4, homes). {} on the average factor {:.2}. \
             The local ordinance decides.",
            reader.depth(study.year.reference.iter().sum()),
            if budget.passes { "Within the allowance" } else { "Above the allowance" },
            budget.average_factor
        ),
        format!("At {:.2} a cubic metre the year costs {cost:.0}.", study.project.practice.water_price),
    ];
    if saved > 0.01 * budget.use_total {
        notes.push(format!("Heads exchanged for drip line would save {} a year.", reader.water(saved)));
    }
    Some(Table {
        key: "water-budget",
        title: "Water of a year".to_owned(),
        columns: vec![
            Column::text("Ground", 2.0),
            Column::text("By", 0.9),
            Column::number("Area", 0.9),
            Column::number("Plant factor", 0.8),
            Column::number("Over efficiency", 0.9),
            Column::number("Water", 0.9),
        ],
        rows,
        notes,
    })
}

/// Water that drip instead of heads on planted ground would save in a year. [m³]
fn if_dripped(study: &WaterStudy<'_>) -> f64 {
    let Some(budget) = &study.budget else { return 0.0 };
    let sprayed =
        study.areas.iter().zip(&budget.use_by_zone).filter(|(run, _)| run.is_sprayed() && !run.turf);
    sprayed
        .map(|(_, volume)| volume * (1.0 - crate::budget::SPRAY_EFFICIENCY / crate::budget::DRIP_EFFICIENCY))
        .sum()
}
