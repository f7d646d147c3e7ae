//! Tables of lights: aiming sheet, circuits, transformers, timer, light around.

use groundwright_handoff::{Cell, Column, Datum, Table};
use groundwright_plan::{LightZone, Switch};

use super::{LightStudy, burning};
use crate::runs::Topology;

const MONTHS: [&str; 12] = [
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

pub(super) fn all(study: &LightStudy<'_>) -> Vec<Table> {
    if study.lamps.is_empty() {
        return Vec::new();
    }
    let mut all = vec![lights(study), circuits(study), transformers(study), around(study)];
    all.extend(timer(study));
    all
}

fn text(words: impl Into<String>) -> Cell {
    let words = words.into();
    if words.is_empty() { Cell::Empty } else { Cell::Text(words) }
}

fn plain(value: f64, digits: usize) -> Cell {
    Cell::Text(format!("{value:.digits$}"))
}

/// Words for how a run branches.
pub(super) fn topology(topology: Topology) -> &'static str {
    match topology {
        Topology::Tee => "branched",
        Topology::Daisy => "from lamp to lamp",
        Topology::Hub => "hub with spokes",
    }
}

/// Illuminance to two figures: no meter in a garden tells more.
pub(super) fn lux(value: f64) -> String {
    match value {
        v if v >= 100.0 => format!("{:.0}", (v / 10.0).round() * 10.0),
        v if v >= 10.0 => format!("{v:.0}"),
        v if v >= 1.0 => format!("{v:.1}"),
        v => format!("{v:.2}"),
    }
}

/// The sheet for the night visit.
fn lights(study: &LightStudy<'_>) -> Table {
    let reader = study.reader;
    let rows = study
        .lamps
        .iter()
        .enumerate()
        .map(|(i, lamp)| {
            let away = lamp.place().distance(groundwright_geometry::Point::new(lamp.target.x, lamp.target.y));
            let tilt = lamp.tilt().to_degrees();
            let aim = if lamp.aimed {
                let rise = lamp.target.z - lamp.at.z;
                let way = if rise < 0.0 { "down" } else { "up" };
                format!("{} away, {} {way}", reader.length(away), reader.length(rise.abs()))
            } else if tilt < 0.0 {
                "down".to_owned()
            } else {
                "up".to_owned()
            };
            let level = study.levels.as_ref().map_or(lamp.light.level, |levels| levels[i]);
            vec![
                text(lamp.tag()),
                text(lamp.light.label.clone()),
                text(lamp.product.name.clone()),
                text(study.zones.get(lamp.zone).map_or("", |zone| zone.label.as_str())),
                text(reader.length(lamp.light.height.value)),
                text(aim),
                text(format!("{tilt:+.0}°")),
                text(lux(lamp.together)),
                lamp.light.wanted.map_or(Cell::Empty, |wanted| text(lux(wanted))),
                text(format!("{:.0} %", level * 100.0)),
                study.voltages(i).map_or(Cell::Empty, |(low, _)| plain(low, 1)),
                Cell::Empty,
            ]
        })
        .collect();
    Table {
        key: "lights",
        title: "Lights and their aim".to_owned(),
        columns: vec![
            Column::text("No.", 0.5),
            Column::text("Light", 1.6),
            Column::text("Fixture", 1.7),
            Column::text("Zone", 1.0),
            Column::number("Height", 0.8),
            Column::text("Aim", 1.5),
            Column::number("Tilt", 0.6),
            Column::number("lx there", 0.7),
            Column::number("lx wanted", 0.7),
            Column::number("Level", 0.6),
            Column::number("V, all on", 0.7),
            Column::text("V, lx read", 0.9),
        ],
        rows,
        notes: vec![
            "lx there: at the aimed point, meter towards the light, from all lights, in October with leaves; light that \
             bounces is not in it."
                .to_owned(),
            "Tilt: of the beam above the horizon. V: at the lamp; read it before the cover is closed.".to_owned(),
            "Hot glass and bright lamps: aim from beside, with gloves; never look into a beam.".to_owned(),
        ],
    }
}

fn circuits(study: &LightStudy<'_>) -> Table {
    let reader = study.reader;
    let mut rows = Vec::new();
    for transformer in &study.transformers {
        let Ok(design) = &transformer.design else { continue };
        for (number, run) in design.runs.iter().enumerate() {
            let sized = &run.sized;
            let tags: Vec<String> = run
                .lamps
                .iter()
                .filter_map(|l| Some(study.lamps.get(*transformer.lamps.get(*l)?)?.tag()))
                .collect();
            let losses: f64 = sized.all_on.cable_losses.iter().sum();
            let (low, high) = (
                sized.lowest.iter().copied().fold(f64::INFINITY, f64::min),
                sized.highest.iter().copied().fold(0.0, f64::max),
            );
            rows.push(vec![
                text(transformer.transformer.label.clone()),
                Cell::Text((number + 1).to_string()),
                text(tags.join(" ")),
                text(topology(run.layout.topology)),
                text(if sized.home == sized.rest {
                    format!("{} AWG", sized.home.awg())
                } else {
                    format!("{} then {} AWG", sized.home.awg(), sized.rest.awg())
                }),
                text(reader.length(run.layout.cable())),
                plain(sized.all_on.source_current, 2),
                plain(sized.all_on.balance.supplied, 1),
                plain(losses, 1),
                plain(sized.tap, 0),
                text(format!("{low:.1} to {high:.1}")),
                plain(sized.margin, 1),
            ]);
        }
    }
    Table {
        key: "circuits",
        title: "Circuits".to_owned(),
        columns: vec![
            Column::text("Transformer", 1.1),
            Column::number("Run", 0.4),
            Column::text("Lights", 2.0),
            Column::text("How", 1.1),
            Column::text("Cable", 1.0),
            Column::number("Length", 0.8),
            Column::number("A", 0.5),
            Column::number("VA", 0.6),
            Column::number("Lost, W", 0.6),
            Column::number("Tap, V", 0.5),
            Column::text("V at lamps", 1.0),
            Column::number("Margin, V", 0.7),
        ],
        rows,
        notes: vec![
            "Lengths with slack, depth and tails. V at lamps: least with all on, most with one zone alone; both lie within \
             the lamp's label by the margin."
                .to_owned(),
            "Nodal analysis, conductors at 20 °C (NFPA 70 chapter 9 table 8 resistances), splices 0.005 Ω. A licensed \
             electrician and the local code decide about supply, outlet and listing."
                .to_owned(),
        ],
    }
}

fn transformers(study: &LightStudy<'_>) -> Table {
    let rows = study
        .transformers
        .iter()
        .map(|run| {
            let design = run.design.as_ref().ok();
            let load = design.map(|design| design.loading);
            let cell = |value: Option<f64>, digits| value.map_or(Cell::Empty, |value| plain(value, digits));
            vec![
                text(run.transformer.label.clone()),
                text(run.product.map_or("none carries it", |product| &product.name)),
                Cell::Datum(Datum::count(run.lamps.len())),
                cell(load.map(|l| l.load), 0),
                cell(load.map(|l| l.rating), 0),
                text(load.map_or(String::new(), |l| format!("{:.0} %", l.share * 100.0))),
                cell(load.map(|l| l.spare), 0),
                design.map_or(Cell::Empty, |d| Cell::Datum(Datum::length(d.route.length))),
                Cell::Datum(Datum::length(run.trench.under_paving)),
            ]
        })
        .collect();
    Table {
        key: "transformers",
        title: "Transformers".to_owned(),
        columns: vec![
            Column::text("Transformer", 1.2),
            Column::text("Product", 2.0),
            Column::number("Lights", 0.6),
            Column::number("VA", 0.6),
            Column::number("Rating, VA", 0.8),
            Column::number("Loaded", 0.6),
            Column::number("VA to spare", 0.8),
            Column::number("Trench", 0.8),
            Column::number("Under paving", 0.9),
        ],
        rows,
        notes: vec![
            "Loaded to four fifths at most: practice. To spare: until then, for later lights.".to_owned(),
        ],
    }
}

/// What the light does around.
fn around(study: &LightStudy<'_>) -> Table {
    let practice = &study.project.practice;
    let night = &study.night;
    let mut rows: Vec<Vec<Cell>> = night
        .walks
        .iter()
        .map(|walk| {
            vec![
                text(format!("{}: mean on the ground", walk.label)),
                text(format!("{} lx", lux(walk.light.mean))),
                text(format!("{} lx wanted", lux(practice.light_walk))),
                text(format!("least {} lx, most {} lx", lux(walk.light.least), lux(walk.light.most))),
            ]
        })
        .collect();
    if let Some(trespass) = night.trespass {
        rows.push(vec![
            text("property line, upright at eye height, most"),
            text(format!("{} lx", lux(trespass.lux))),
            text(format!("{} lx allowed", lux(practice.light_trespass))),
            text(
                study
                    .lamps
                    .get(trespass.lamp)
                    .map_or(String::new(), |lamp| format!("most from {}", lamp.tag())),
            ),
        ]);
    }
    for eye in &night.eyes {
        let tag = study.lamps.get(eye.lamp).map_or(String::new(), super::LampRun::tag);
        rows.push(vec![
            text(format!("in the eye at {}", eye.viewpoint.id)),
            text(format!("{:.0} cd", eye.candela)),
            text(format!("{:.0} cd allowed", practice.light_glare)),
            text(format!("{tag}, {} away", study.reader.length(eye.distance))),
        ]);
    }
    let (whole, up) = night.flux;
    rows.push(vec![
        text("above the horizon as aimed"),
        text(format!("{up:.0} lm")),
        text("what crowns and walls hold back is not taken off"),
        text(format!("{:.0} % of {whole:.0} lm", 100.0 * up / whole.max(1e-9))),
    ]);
    Table {
        key: "night",
        title: "Light around".to_owned(),
        columns: vec![
            Column::text("Where", 2.2),
            Column::text("Found", 0.9),
            Column::text("Limit", 1.6),
            Column::text("Note", 1.8),
        ],
        rows,
        notes: vec!["Of these lights alone, without sky, street and neighbours.".to_owned()],
    }
}

fn switch_words(switch: Switch) -> String {
    match switch {
        Switch::Dusk => "dusk".to_owned(),
        Switch::Dawn => "dawn".to_owned(),
        Switch::Clock(minutes) => format!("{:02}:{:02}", minutes / 60, minutes % 60),
    }
}

/// When a zone burns, in words.
pub(super) fn rule(zone: &LightZone) -> String {
    let words = format!("{} to {}", switch_words(zone.on), switch_words(zone.off));
    match zone.dimmed {
        Some((from, level)) => {
            format!("{words}, {:.0} % from {}", level * 100.0, switch_words(Switch::Clock(from)))
        }
        None => words,
    }
}

/// Volt-amperes of a zone with the losses of its cables as shared by load. [VA]
pub(super) fn zone_load(study: &LightStudy<'_>, zone: usize) -> f64 {
    let lamps = study.lamps.iter().filter(|lamp| lamp.zone == zone);
    let own: f64 = lamps.map(|lamp| lamp.product.watts * lamp.light.level).sum();
    let all: f64 = study.lamps.iter().map(|lamp| lamp.product.watts).sum();
    let losses: f64 = study
        .transformers
        .iter()
        .filter_map(|run| run.design.as_ref().ok())
        .flat_map(|design| &design.runs)
        .flat_map(|run| &run.sized.all_on.cable_losses)
        .sum();
    own * (1.0 + losses / all.max(1e-9))
}

fn timer(study: &LightStudy<'_>) -> Option<Table> {
    if study.nights.is_empty() {
        return None;
    }
    let used: Vec<(usize, &LightZone)> = study
        .zones
        .iter()
        .enumerate()
        .filter(|(i, _)| study.lamps.iter().any(|lamp| lamp.zone == *i))
        .collect();
    let clock = |seconds: Option<f64>| {
        seconds.map_or("none".to_owned(), |s| {
            let minutes = (s / 60.0).round() as u32 % 1440;
            format!("{:02}:{:02}", minutes / 60, minutes % 60)
        })
    };
    let mut columns =
        vec![Column::text("Month", 1.1), Column::text("Dusk, 11th", 0.8), Column::text("Dawn", 0.8)];
    for (_, zone) in &used {
        columns.push(Column::number(&format!("{}, h", zone.label), 1.0));
    }
    columns.push(Column::number("kWh", 0.8));
    let energy = |month: Option<u8>| -> f64 {
        used.iter()
            .map(|(i, zone)| burning(zone, &study.nights, month).full * zone_load(study, *i) / 1000.0)
            .sum()
    };
    let mut rows = Vec::new();
    for (i, name) in MONTHS.iter().enumerate() {
        let month = i as u8 + 1;
        let middle = study.nights.iter().find(|night| night.month == month && night.day == 11);
        let mut row = vec![
            text(*name),
            text(clock(middle.and_then(|night| night.dusk))),
            text(clock(middle.and_then(|night| night.dawn))),
        ];
        for (_, zone) in &used {
            row.push(plain(burning(zone, &study.nights, Some(month)).lit, 0));
        }
        row.push(plain(energy(Some(month)), 1));
        rows.push(row);
    }
    let mut sum = vec![text("Year"), Cell::Empty, Cell::Empty];
    for (_, zone) in &used {
        sum.push(plain(burning(zone, &study.nights, None).lit, 0));
    }
    let year = energy(None);
    sum.push(plain(year, 0));
    rows.push(sum);
    let mut notes: Vec<String> =
        used.iter().map(|(_, zone)| format!("{}: {}.", zone.label, rule(zone))).collect();
    notes.push(format!(
        "Civil dusk and dawn of the place, by the clock. A year uses {year:.0} kWh, {:.0} at a price of {:.2} a kWh; losses \
         of the transformers are not in it.",
        year * study.project.practice.energy_price,
        study.project.practice.energy_price
    ));
    Some(Table { key: "timer", title: "Timer through the year".to_owned(), columns, rows, notes })
}
