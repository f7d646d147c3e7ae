//! Schedules of walls, their calculation sheet, the mason's laying sheet.

use std::fmt::Write as _;

use groundwright_handoff::{Cell, Column, Datum, Table};

use super::elevation::letter;
use super::words::{force, moment, pressure, unit_weight};
use super::{PartRun, SectionRun, WallRun, WallStudy};
use crate::courses::Laid;
use crate::{Gravity, worst};

fn text(words: impl Into<String>) -> Cell {
    Cell::Text(words.into())
}

pub(crate) fn all(study: &WallStudy<'_>) -> Vec<Table> {
    let mut all = Vec::new();
    if !study.walls.is_empty() {
        all.extend([schedule(study), checks(study), calculation(study), laying(study), cuts(study)]);
    }
    if !study.flights.is_empty() {
        all.push(flights(study));
    }
    if !study.pavings.is_empty() {
        all.push(pavings(study));
    }
    all
}

fn schedule(study: &WallStudy<'_>) -> Table {
    let reader = study.reader;
    let rows = study.walls.iter().flat_map(|run| {
        run.parts.iter().map(move |part| {
            let panels = part.base.as_ref().map_or(&[][..], |base| &base.panels);
            let courses = panels.iter().map(|panel| panel.courses);
            let (least, most) = (courses.clone().min().unwrap_or(0), courses.max().unwrap_or(0));
            let shows = panels.iter().map(|panel| panel.exposed).fold(0.0, f64::max);
            let embedded = panels.iter().map(|panel| panel.embedment).fold(f64::INFINITY, f64::min);
            let units = match &part.laid {
                Some(Ok(laid)) => laid.units.len().to_string(),
                _ => "not laid".to_owned(),
            };
            vec![
                text(&run.wall.label),
                text(format!("{} to {}", reader.length(part.from), reader.length(part.to))),
                text(if least == most { most.to_string() } else { format!("{least} to {most}") }),
                text(units),
                Cell::Datum(Datum::length(shows)),
                if embedded.is_finite() { Cell::Datum(Datum::depth(embedded)) } else { Cell::Empty },
                text(&run.units.name),
            ]
        })
    });
    Table {
        key: "walls",
        title: "Walls".to_owned(),
        columns: vec![
            Column::text("Wall", 1.4),
            Column::text("Stations", 1.5),
            Column::number("Courses", 0.8),
            Column::number("Units", 0.7),
            Column::number("Shows", 0.8),
            Column::number("Buried", 0.8),
            Column::text("Of", 1.8),
        ],
        rows: rows.collect(),
        notes: vec![
            "Stations run along the face of the lowest course, from left to right as one faces the wall. \
             `Shows` is the greatest height above the ground in front without the cap, `Buried` the least depth."
                .to_owned(),
        ],
    }
}

fn checks(study: &WallStudy<'_>) -> Table {
    let reader = study.reader;
    let rows = study.walls.iter().flat_map(|run| {
        let sections = run.parts.iter().flat_map(|part| &part.sections);
        sections.map(move |found| {
            let mut row = vec![
                text(&run.wall.label),
                text(reader.length(found.station)),
                text(found.section.facing.courses.to_string()),
                Cell::Datum(Datum::length(found.section.exposed())),
            ];
            match &found.gravity {
                Ok(gravity) => {
                    let least = |values: &mut dyn Iterator<Item = f64>| {
                        let least = values.fold(f64::INFINITY, f64::min);
                        if least.is_finite() { text(format!("{least:.2}")) } else { Cell::Empty }
                    };
                    row.extend([
                        text(format!("{:.2}", gravity.sliding)),
                        text(format!("{:.2}", gravity.overturning)),
                        text(gravity.bearing.map_or("lifts".to_owned(), |b| format!("{:.2}", b.factor))),
                        least(&mut gravity.joints.iter().map(|joint| joint.shear)),
                        least(&mut gravity.joints.iter().map(|joint| joint.tipping)),
                        text(match &found.reinforced {
                            Some(both) => format!(
                                "{} of reinforcement: {}",
                                if both.0.layers.len() == 1 {
                                    "1 layer".to_owned()
                                } else {
                                    format!("{} layers", both.0.layers.len())
                                },
                                verdict_words(&both.1.verdicts)
                            ),
                            None => verdict_words(&gravity.verdicts),
                        }),
                    ]);
                }
                Err(problem) => {
                    row.extend((0..5).map(|_| Cell::Empty));
                    row.push(text(problem.to_string()));
                }
            }
            row
        })
    });
    Table {
        key: "wall-checks",
        title: "Walls: factors of safety at every change of height and every ten feet".to_owned(),
        columns: vec![
            Column::text("Wall", 1.3),
            Column::number("Station", 0.8),
            Column::number("Courses", 0.7),
            Column::number("Shows", 0.8),
            Column::number("Sliding", 0.7),
            Column::number("Overturning", 0.9),
            Column::number("Bearing", 0.7),
            Column::number("Shear", 0.7),
            Column::number("Tipping", 0.7),
            Column::text("Against what is asked", 1.8),
        ],
        rows: rows.collect(),
        notes: vec![
            "Coulomb's pressure, gravity section, the downward part of the thrust left out. Asked: 1.5 against sliding and \
             overturning (IBC 2009 1807.2.3, IRC 2009 R404.4), 2.0 bearing, 1.5 shear and tipping (custom, from memory)."
                .to_owned(),
            "A computation for review: the local code and a licensed engineer decide.".to_owned(),
        ],
    }
}

fn verdict_words(verdicts: &[crate::Verdict]) -> String {
    match worst(verdicts) {
        Some(verdict) if verdict.passes() => format!("least in hand: {}", verdict.check.name()),
        Some(verdict) => format!("{} {:.2} of {:.2}", verdict.check.name(), verdict.found, verdict.required),
        None => String::new(),
    }
}

/// One line of a calculation.
struct Line(&'static str, &'static str, String, &'static str);

fn calculation(study: &WallStudy<'_>) -> Table {
    let mut rows = Vec::new();
    for run in &study.walls {
        let Some((part, found)) = run.shown() else { continue };
        let station = study.reader.length(found.station);
        rows.push(vec![
            text(format!("{}, station {station}", run.wall.label)),
            Cell::Empty,
            Cell::Empty,
            text("the tallest section with layers of reinforcement, else the one furthest from passing"),
        ]);
        for Line(what, symbol, value, how) in lines(study, run, part, found) {
            rows.push(vec![text(what), text(symbol), text(value), text(how)]);
        }
    }
    Table {
        key: "wall-calculation",
        title: "Walls: the calculation, line by line".to_owned(),
        columns: vec![
            Column::text("What", 2.2),
            Column::text("Symbol", 0.7),
            Column::number("Value", 1.1),
            Column::text("How, and whose", 3.2),
        ],
        rows,
        notes: vec!["Per unit length of wall. A computation for review by a licensed engineer.".to_owned()],
    }
}

fn lines(study: &WallStudy<'_>, run: &WallRun<'_>, part: &PartRun, found: &SectionRun) -> Vec<Line> {
    let reader = study.reader.with_inches(groundwright_units::InchFraction::Quarter);
    let s = &found.section;
    let degrees = |value: f64| format!("{:.1}°", value.to_degrees());
    let soil = |known: Option<groundwright_plan::Given<f64>>| {
        if known.is_some() { "given with the wall" } else { "presumed for its class, from memory" }
    };
    let mut all = vec![
        Line("courses", "n", s.facing.courses.to_string(), "levels of foot and top, in whole courses"),
        Line("height of a course", "h", reader.depth(s.facing.height), "stock"),
        Line("depth of a unit", "d", reader.depth(s.facing.depth), "stock"),
        Line("setback of a course", "s", reader.depth(s.facing.setback), "stock"),
        Line("unit weight of units with fill", "γu", unit_weight(reader, s.facing.unit_weight), "stock"),
        Line("embedment", "e", reader.depth(s.embedment), "a tenth of the exposed height, at least 6 in"),
        Line("whole height", "H", reader.length(s.facing.total()), "n h"),
        Line(
            "friction of the retained soil",
            "φ",
            degrees(s.retained.friction),
            soil(run.wall.retained_friction),
        ),
        Line(
            "its unit weight",
            "γ",
            unit_weight(reader, s.retained.unit_weight),
            "presumed for its class, from memory",
        ),
        Line("friction on the units", "δ", degrees(s.wall_friction), "⅔ φ: common practice, from memory"),
        Line(
            "friction of the foundation",
            "φf",
            degrees(s.foundation.friction),
            soil(run.wall.foundation_friction),
        ),
        Line("slope above", "β", degrees(s.slope), "as given with the wall"),
        Line("load above", "q", pressure(reader, s.load.whole()), load_source(found)),
        Line("steepest fall in front", "", format!("{:.1} %", part.fall * 100.0), "graded ground"),
    ];
    match &found.gravity {
        Ok(gravity) => all.extend(gravity_lines(reader, s, gravity)),
        Err(problem) => all.push(Line("not computed", "", problem.to_string(), "")),
    }
    if let Some(both) = &found.reinforced {
        all.extend(reinforced_lines(reader, &both.0, &both.1));
    }
    all
}

/// The same wall with its layers: outside, then each layer.
fn reinforced_lines(
    reader: groundwright_units::Reader,
    wall: &crate::ReinforcedSection,
    r: &crate::Reinforced,
) -> Vec<Line> {
    let factor = |value: f64| format!("{value:.2}");
    let mut all = vec![
        Line(
            "with reinforcement: fill among the layers",
            "φi",
            format!("{:.1}°", wall.fill.friction.to_degrees()),
            "presumed for its class, from memory",
        ),
        Line(
            "length of the block",
            "L",
            reader.length(r.length),
            "from the face; at least 0.6 H and 4 ft, custom",
        ),
        Line(
            "thrust behind the block",
            "P",
            force(reader, r.thrust.horizontal),
            "Coulomb, at the smaller friction of both soils",
        ),
        Line("weight of the block", "W", force(reader, r.weight), "units, fill, slope on it"),
        Line("factor against sliding", "", factor(r.sliding), "asked 1.5"),
        Line("factor against overturning", "", factor(r.overturning), "asked 2.0, custom, from memory"),
        Line(
            "factor of bearing",
            "",
            r.bearing.map_or("lifts".to_owned(), |b| factor(b.factor)),
            "asked 2.0",
        ),
        Line(
            "allowable strength of a layer",
            "Ta",
            force(reader, r.allowable),
            "ultimate over creep, durability, damage and 1.5",
        ),
        Line(
            "internal plane from the level",
            "",
            format!("{:.1}°", r.plane.to_degrees()),
            "Coulomb's critical plane",
        ),
        Line("tipping of the units above the top layer", "", factor(r.crest.tipping), "asked 1.5"),
    ];
    for layer in &r.layers {
        all.extend([
            Line("layer at", "", reader.length(layer.height), "above the base of the units"),
            Line("its force", "F", force(reader, layer.force), "pressure midway to its neighbours"),
            Line("tension", "", factor(layer.tension), "Ta / F; asked 1.0, the 1.5 is in Ta"),
            Line("pullout", "", factor(layer.pullout), "asked 1.5"),
            Line("connection", "", factor(layer.connection), "asked 1.5"),
            Line("sliding along it", "", factor(layer.sliding), "asked 1.5"),
            Line("anchorage beyond the plane", "", reader.length(layer.anchorage), "at least 1 ft"),
        ]);
    }
    all
}

fn load_source(found: &SectionRun) -> &'static str {
    if found.tier.is_some() {
        "load of the wall, and the share of the upper terrace that counts (custom, from memory)"
    } else {
        "load of the wall: people 100 psf (from memory), cars 250 psf (highway handbook)"
    }
}

fn gravity_lines(reader: groundwright_units::Reader, s: &crate::Section, g: &Gravity) -> Vec<Line> {
    let number = |value: f64| format!("{value:.4}");
    let factor = |value: f64| format!("{value:.2}");
    let mut all = vec![
        Line("batter", "ω", format!("{:.2}°", g.batter.to_degrees()), "atan(s / h)"),
        Line(
            "coefficient of active pressure",
            "Ka",
            number(g.thrust.pressure.coefficient),
            "Coulomb 1776, with batter, δ and β",
        ),
        Line("its horizontal part", "Kah", number(g.thrust.pressure.horizontal), "Ka cos(δ − ω)"),
        Line("thrust of the soil, across", "Ps", force(reader, g.thrust.soil_horizontal), "½ Kah γ H²"),
        Line("thrust of the load, across", "Pq", force(reader, g.thrust.load_horizontal), "Kah q H"),
        Line("weight of the stack", "W", force(reader, g.weight), "n h d γu"),
        Line("its arm from the toe", "x", reader.depth(g.arm), "d/2 + s (n − 1)/2"),
        Line(
            "friction at the base",
            "μ",
            number(g.base_friction),
            "tangent of the weaker of pad and foundation",
        ),
        Line("resistance to sliding", "Rs", force(reader, g.sliding_resistance), "μ W"),
        Line("factor against sliding", "", factor(g.sliding), "Rs / (Ps + Pq); asked 1.5, IBC 2009 1807.2.3"),
        Line("overturning moment", "Mo", moment(reader, g.overturning_moment), "Ps H/3 + Pq H/2"),
        Line("resisting moment", "Mr", moment(reader, g.resisting_moment), "W x"),
        Line(
            "factor against overturning",
            "",
            factor(g.overturning),
            "Mr / Mo; asked 1.5, IBC 2009 1807.2.3",
        ),
        Line(
            "the same, downward part counted",
            "",
            factor(g.with_vertical.overturning),
            "for comparison, not judged",
        ),
    ];
    if let Some(b) = &g.bearing {
        all.extend([
            Line("eccentricity", "ε", reader.depth(b.eccentricity), "d/2 − (Mr − Mo)/W"),
            Line("effective width", "B'", reader.depth(b.width), "d − 2 |ε|, Meyerhof 1953"),
            Line("pressure applied", "", pressure(reader, b.applied), "W / B'"),
            Line(
                "ultimate pressure",
                "",
                pressure(reader, b.ultimate),
                "Terzaghi's sum with Vesić's factors",
            ),
            Line("factor of bearing", "", factor(b.factor), "asked 2.0, custom, from memory"),
        ]);
    }
    if let Some(b) = &g.under_pad {
        all.push(Line(
            "factor of bearing under the pad",
            "",
            factor(b.factor),
            "load spread 2 down to 1 out; asked 2.0",
        ));
    }
    if let Some(joint) = g.joints.iter().min_by(|a, b| a.shear.total_cmp(&b.shear)) {
        all.push(Line(
            "least shear between courses",
            "",
            factor(joint.shear),
            "capacity over thrust above the joint; asked 1.5",
        ));
    }
    if let Some(joint) = g.joints.iter().min_by(|a, b| a.tipping.total_cmp(&b.tipping)) {
        all.push(Line(
            "least tipping of the courses above a joint",
            "",
            factor(joint.tipping),
            "moments about the joint's front; asked 1.5",
        ));
    }
    if let Some(quake) = &g.quake {
        all.extend([
            Line(
                "added thrust in the earthquake",
                "",
                force(reader, quake.added),
                "Mononobe–Okabe, at 0.6 H",
            ),
            Line(
                "factor against sliding, earthquake",
                "",
                factor(quake.sliding),
                "asked three quarters of 1.5, custom",
            ),
            Line(
                "factor against overturning, earthquake",
                "",
                factor(quake.overturning),
                "asked three quarters of 1.5, custom",
            ),
        ]);
    }
    match crate::worst_circle(s, None, s.facing.depth) {
        Ok(Some(circle)) => all.push(Line(
            "least slip circle",
            "",
            factor(circle.factor),
            "Bishop, simplified check through and below the wall; asked 1.3",
        )),
        Ok(None) => {}
        Err(problem) => all.push(Line("slip circle", "", problem.to_string(), "")),
    }
    all
}

fn laying(study: &WallStudy<'_>) -> Table {
    let reader = study.reader;
    let mut rows = Vec::new();
    for run in &study.walls {
        for part in &run.parts {
            let (Ok(base), Some(Ok(laid))) = (&part.base, &part.laid) else { continue };
            let low = base.panels.iter().map(|panel| panel.base).fold(f64::INFINITY, f64::min);
            for (course, sequence, from, to) in sequences(study, laid) {
                rows.push(vec![
                    text(&run.wall.label),
                    text((course + 1).to_string()),
                    text(reader.level(low + f64::from(course) * run.units.height)),
                    text(format!("{} to {}", reader.length(part.from + from), reader.length(part.from + to))),
                    text(sequence),
                ]);
            }
        }
    }
    let mut notes: Vec<String> =
        study.walls.iter().map(|run| format!("{}: {}", run.units.name, letters(study, run))).collect();
    notes.sort();
    notes.dedup();
    notes.push(
        "A number before a letter counts equal units in a row; a length in brackets is a piece cut from the letter before \
         it. Set the first course level in both directions, without its rear lips; check every third unit."
            .to_owned(),
    );
    Table {
        key: "wall-laying",
        title: "Laying sheet: course by course, from left to right".to_owned(),
        columns: vec![
            Column::text("Wall", 1.1),
            Column::number("Course", 0.6),
            Column::number("Underside", 0.8),
            Column::text("Stations", 1.4),
            Column::text("Units", 4.6),
        ],
        rows,
        notes,
    }
}

/// What each letter means.
fn letters(study: &WallStudy<'_>, run: &WallRun<'_>) -> String {
    let mut words: Vec<String> = run
        .units
        .units
        .iter()
        .enumerate()
        .map(|(i, unit)| format!("{} is {}", letter(i), study.reader.depth(unit.length)))
        .collect();
    if run.units.corner.is_some() {
        words.push(format!("{} the corner unit", letter(run.units.units.len())));
    }
    words.join(", ")
}

/// Courses as runs of letters: course, letters, first and last station from the part's start.
fn sequences(study: &WallStudy<'_>, laid: &Laid) -> Vec<(u32, String, f64, f64)> {
    let mut all: Vec<(u32, String, f64, f64)> = Vec::new();
    let units = &laid.units;
    for group in units.chunk_by(|a, b| a.course == b.course) {
        // Where the base steps a course has gaps; each stretch is a line of its own.
        for stretch in group.chunk_by(|a, b| a.run != b.run || (b.base[0] - a.base[1]).abs() < 0.02) {
            let mut words = String::new();
            for same in stretch.chunk_by(|a, b| a.kind == b.kind && !a.cut && !b.cut) {
                let Some(first) = same.first() else { continue };
                let gap = if words.is_empty() { "" } else { " " };
                let name = letter(first.kind);
                let _ = if first.cut {
                    write!(words, "{gap}{name}({})", eighths(study).depth(first.length))
                } else if same.len() > 1 {
                    write!(words, "{gap}{}{name}", same.len())
                } else {
                    write!(words, "{gap}{name}")
                };
            }
            if let (Some(first), Some(last)) = (stretch.first(), stretch.last()) {
                all.push((
                    first.course,
                    words,
                    first.base[0].min(last.base[0]),
                    last.base[1].max(first.base[1]),
                ));
            }
        }
    }
    all
}

/// A reader that sees an eighth of an inch, to which stone is cut.
fn eighths(study: &WallStudy<'_>) -> groundwright_units::Reader {
    study.reader.with_inches(groundwright_units::InchFraction::Eighth)
}

fn cuts(study: &WallStudy<'_>) -> Table {
    let reader = study.reader;
    let mut rows = Vec::new();
    for run in &study.walls {
        for part in &run.parts {
            let Some(Ok(laid)) = &part.laid else { continue };
            for cut in &laid.cuts {
                rows.push(vec![
                    text(&run.wall.label),
                    text((cut.course + 1).to_string()),
                    text(reader.length(part.from + cut.station)),
                    text(letter(cut.kind).to_string()),
                    text(eighths(study).depth(cut.length)),
                ]);
            }
        }
    }
    let bounds: usize = study
        .walls
        .iter()
        .flat_map(|run| &run.parts)
        .filter_map(|part| part.laid.as_ref()?.as_ref().ok())
        .map(|laid| laid.cuts_bound)
        .sum();
    let note = format!(
        "All walls together: {} cuts; no laying of these courses can do with fewer than {bounds}. Cut wet, with eye, ear and breathing protection: \
         stone dust harms the lungs for good.",
        rows.len()
    );
    Table {
        key: "wall-cuts",
        title: "Cut list".to_owned(),
        columns: vec![
            Column::text("Wall", 1.4),
            Column::number("Course", 0.7),
            Column::number("Station", 1.0),
            Column::text("From", 0.6),
            Column::number("Keep", 0.9),
        ],
        rows,
        notes: vec![note],
    }
}

fn flights(study: &WallStudy<'_>) -> Table {
    let rows = study.flights.iter().map(|flight| {
        let steps = flight.steps;
        let count = steps.risers();
        vec![
            text(&steps.label),
            text(count.to_string()),
            Cell::Datum(Datum::depth(steps.rise() / count as f64)),
            Cell::Datum(Datum::depth(steps.tread.value)),
            Cell::Datum(Datum::length(steps.run())),
            Cell::Datum(Datum::length(steps.width.value)),
            text(&steps.material),
        ]
    });
    Table {
        key: "steps",
        title: "Steps".to_owned(),
        columns: vec![
            Column::text("Flight", 1.4),
            Column::number("Risers", 0.7),
            Column::number("Riser", 0.8),
            Column::number("Tread", 0.8),
            Column::number("Run", 0.8),
            Column::number("Width", 0.8),
            Column::text("Of", 1.6),
        ],
        rows: rows.collect(),
        notes: vec!["All risers of a flight alike; treads fall 1 % to the front.".to_owned()],
    }
}

fn pavings(study: &WallStudy<'_>) -> Table {
    let rows = study.pavings.iter().map(|(paving, area)| {
        let product = study.project.stock.pavers.get(&paving.product);
        vec![
            text(&paving.label),
            text(product.map_or(paving.product.as_str(), |product| &product.name)),
            Cell::Datum(Datum::area(area.free.area())),
            Cell::Datum(Datum::depth(paving.base.value)),
            Cell::Datum(Datum::depth(paving.bedding.value)),
            text(product.map_or("", |product| &product.pattern)),
        ]
    });
    Table {
        key: "paving",
        title: "Paving".to_owned(),
        columns: vec![
            Column::text("Paving", 1.4),
            Column::text("Of", 1.6),
            Column::number("Area", 0.9),
            Column::number("Base", 0.7),
            Column::number("Bedding", 0.8),
            Column::text("Pattern", 1.1),
        ],
        rows: rows.collect(),
        notes: vec!["Base of graded stone, compacted in layers of four inches at most.".to_owned()],
    }
}
