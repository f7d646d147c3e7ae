//! The six hand-offs of the ground.

use groundwright_geometry::Point3;
use groundwright_handoff::{
    Body, Cell, Column, Datum, Finding, Link, Mark, Phase, Quantity, Role, Solid, Step, Study, Table, Task,
    Trade, When,
};
use groundwright_plan::{DrainKind, ElementRef, Kind, OutletKind, Word};
use groundwright_units::constants::INCH;

use crate::drain_findings::stored;
use crate::study::GroundStudy;
use crate::{findings, loads, marks};

/// Earth below this is within what a rake does anyway. [m³]
const RAKED: f64 = 0.05;
/// Stone laid round a perforated pipe, each way. [m] Common practice, no source.
const ENVELOPE: f64 = 4.0 * INCH;

impl Study for GroundStudy<'_> {
    fn findings(&self) -> Vec<Finding> {
        findings::all(self)
    }

    fn quantities(&self) -> Vec<Quantity> {
        let mut all = earth(self);
        for run in &self.drains {
            all.extend(pipe(run, &self.reader));
        }
        let work = &self.project.design.ground;
        let mut count =
            |item: &str, words: &str, kind: Kind, id: &groundwright_plan::ElementId, how: &str| {
                all.push(line(
                    item.to_owned(),
                    words.to_owned(),
                    Datum::count(1),
                    vec![Step::new("pieces", Datum::count(1), how)],
                    ElementRef::new(kind, id),
                    Phase::Hardscape,
                ));
            };
        for e in &work.basins {
            let words = format!("catch basin with grate, {}", self.reader.depth(e.width.value));
            count(&format!("basin/{}", millimetres(e.width.value)), &words, Kind::Basin, &e.id, "as drawn");
        }
        for e in &work.cleanouts {
            count("cleanout", "cleanout with cap", Kind::Cleanout, &e.id, "as drawn");
        }
        for e in work.outlets.iter().filter(|e| e.kind != OutletKind::RainGarden) {
            let words = format!("outlet: {}", e.kind);
            count(
                &format!("outlet/{}", e.kind.word().replace(' ', "-")),
                &words,
                Kind::Outlet,
                &e.id,
                "as drawn",
            );
        }
        for e in work.outlets.iter().filter(|e| e.kind == OutletKind::DryWell) {
            let (d, depth) = (e.width.value, e.depth.value);
            let volume = std::f64::consts::PI * d * d / 4.0 * depth;
            all.push(line(
                "stone/washed".to_owned(),
                "washed stone of one size".to_owned(),
                Datum::volume(volume),
                vec![
                    Step::new("diameter", Datum::length(d), "as drawn"),
                    Step::new("depth of stone", Datum::length(depth), "× π d²/4"),
                ],
                ElementRef::new(Kind::Outlet, &e.id),
                Phase::Hardscape,
            ));
        }
        all
    }

    fn tasks(&self) -> Vec<Task> {
        tasks(self)
    }

    fn tables(&self) -> Vec<Table> {
        let tables = [
            earth_table(self),
            crate::wall_falls::table(self),
            drain_table(self),
            swale_table(self),
            runoff_table(self),
            store_table(self),
        ];
        tables.into_iter().flatten().collect()
    }

    fn marks(&self, _when: When) -> Vec<Mark> {
        marks::all(self)
    }

    fn solids(&self, _when: When) -> Vec<Solid> {
        let mut all: Vec<Solid> = self
            .drains
            .iter()
            .map(|run| Solid {
                subject: ElementRef::new(Kind::Drain, &run.drain.id),
                ordinal: 0,
                role: Role::Buried,
                body: Body::Ribbon {
                    line: run.course.clone(),
                    width: run.drain.diameter.value,
                    height: run.drain.diameter.value,
                },
                material: run.drain.kind.word().to_owned(),
                transmittance: 0.0,
            })
            .collect();
        let work = &self.project.design.ground;
        for outlet in work.outlets.iter().filter(|o| o.kind == OutletKind::DryWell) {
            let element = ElementRef::new(Kind::Outlet, &outlet.id);
            let Some(at) = self.place_of(&element) else { continue };
            // The stone ends a foot below the ground: common practice, no source.
            let top = self.yard.ground.proposed(at) - 12.0 * INCH;
            all.push(Solid {
                subject: element,
                ordinal: 0,
                role: Role::Buried,
                body: Body::Cylinder {
                    foot: Point3::new(at.x, at.y, top - outlet.depth.value),
                    radius: outlet.width.value / 2.0,
                    height: outlet.depth.value,
                },
                material: "washed stone".to_owned(),
                transmittance: 0.0,
            });
        }
        all
    }
}

fn millimetres(length: f64) -> u32 {
    (length * 1000.0).round().max(0.0) as u32
}

fn line(
    item: String,
    description: String,
    amount: Datum,
    basis: Vec<Step>,
    subject: ElementRef,
    phase: Phase,
) -> Quantity {
    Quantity {
        item,
        description,
        amount,
        allowance: 0.0,
        spread: 0.0,
        basis,
        packs: Vec::new(),
        subject,
        phase,
        option: None,
    }
}

fn earth(study: &GroundStudy<'_>) -> Vec<Quantity> {
    let (Some(earth), Some(balance)) = (&study.earth, &study.balance) else { return Vec::new() };
    let subject = graded(study);
    let practice = &study.project.practice;
    let exact = "exact between both surfaces";
    let mut all = Vec::new();
    let mut put = |item: &str, words: &str, volume: f64, basis: Vec<Step>| {
        if volume > RAKED {
            let (item, words) = (format!("earth/{item}"), words.to_owned());
            all.push(line(item, words, Datum::volume(volume), basis, subject.clone(), Phase::Soil));
        }
    };
    let step = |what: &str, value: f64, how: &str| Step::new(what, Datum::volume(value), how);
    put("cut", "cut, as it lies", earth.cut, vec![step("cut", earth.cut, exact)]);
    put("fill", "fill, compacted", earth.fill, vec![step("fill", earth.fill, exact)]);
    put(
        "haul",
        "soil left over, loose",
        balance.haul_loose,
        vec![
            step("cut", balance.cut, exact),
            step("reused as fill", balance.reused, "taken off, as it lies"),
            Step::new("swell", Datum::ratio(practice.swell), "× (1 + swell)"),
        ],
    );
    put(
        "import",
        "soil to bring, loose",
        balance.import_loose,
        vec![
            step("fill lacking", balance.lacking, "compacted"),
            Step::new("shrinkage", Datum::ratio(practice.shrinkage), "÷ (1 − shrinkage)"),
            Step::new("swell", Datum::ratio(practice.swell), "× (1 + swell)"),
        ],
    );
    all
}

/// The first grading or swale, for whom earth is moved.
fn graded(study: &GroundStudy<'_>) -> ElementRef {
    let first = study.yard.ground.graded.first().map(|g| g.element.clone());
    first.unwrap_or_else(|| ElementRef::new(Kind::PaperLine, &"boundary".into()))
}

fn pipe(run: &crate::DrainRun<'_>, reader: &groundwright_units::Reader) -> Vec<Quantity> {
    let inside = reader.depth(run.drain.diameter.value);
    let element = ElementRef::new(Kind::Drain, &run.drain.id);
    let size = millimetres(run.drain.diameter.value);
    let key = run.drain.kind.word().replace(' ', "-");
    let mut pipe = line(
        format!("{key}/{size}"),
        format!("{}, {inside} inside", run.drain.kind),
        Datum::length(run.length),
        vec![Step::new("length", Datum::length(run.length), "along its course")],
        element.clone(),
        Phase::Hardscape,
    );
    // Cuts and joints: common practice, no source.
    pipe.allowance = 0.05;
    let mut all = vec![pipe];
    if run.bends > 0 {
        all.push(line(
            format!("bend/{size}"),
            format!("bend, {inside} inside"),
            Datum::count(run.bends),
            vec![Step::new("turns of more than 10°", Datum::count(run.bends), "counted on the course")],
            element.clone(),
            Phase::Hardscape,
        ));
    }
    if run.drain.kind == DrainKind::Perforated {
        let side = run.drain.diameter.value + 2.0 * ENVELOPE;
        let volume =
            (side * side - std::f64::consts::PI * run.drain.diameter.value.powi(2) / 4.0) * run.length;
        all.push(line(
            "stone/washed".to_owned(),
            "washed stone of one size".to_owned(),
            Datum::volume(volume),
            vec![
                Step::new("length", Datum::length(run.length), "along its course"),
                Step::new(
                    "side of the envelope",
                    Datum::depth(side),
                    "pipe and stone on each side, less the pipe",
                ),
            ],
            element,
            Phase::Hardscape,
        ));
    }
    all
}

fn tasks(study: &GroundStudy<'_>) -> Vec<Task> {
    let practice = &study.project.practice;
    let mut all = Vec::new();
    let located = "Have buried services located and marked before any digging; dig by hand near the marks.";
    let after = |key: &str| vec![Link { before: key.to_owned(), lag_days: 0.0 }];
    if let Some(earth) = study.earth.filter(|e| e.cut + e.fill > RAKED) {
        let loads = study
            .balance
            .and_then(|b| loads(b.haul_loose + b.import_loose, practice.load).ok())
            .filter(|n| *n > 0);
        let carting = loads.map_or(String::new(), |n| format!(", {n} loads carted"));
        all.push(Task {
            key: "grade/yard".to_owned(),
            title: format!("Grade to the levels of the sheet{carting}"),
            trade: Trade::Crew,
            labour_hours: (earth.cut + earth.fill) * practice.grade_hours,
            after: after("clear/"),
            season: None,
            hold_point: Some("levels checked against the sheet, water run from a hose".to_owned()),
            consumes: vec!["earth/cut".to_owned(), "earth/fill".to_owned()],
            cautions: vec![
                located.to_owned(),
                "No cut and no fill inside a tree protection ring.".to_owned(),
                "Grading permits and the neighbour's rights: ask the local office first.".to_owned(),
            ],
            subject: graded(study),
        });
    }
    for run in &study.drains {
        let mut before = after("clear/");
        before.push(Link { before: "grade/".to_owned(), lag_days: 0.0 });
        all.push(Task {
            key: format!("drain/{}", run.drain.id),
            title: format!("Lay {} at a fall of {:.1} %", run.drain.kind, run.slope * 100.0),
            trade: Trade::Crew,
            labour_hours: run.length * practice.drain_hours,
            after: before,
            season: None,
            hold_point: Some("fall checked and water run through before it is covered".to_owned()),
            consumes: vec![format!(
                "{}/{}",
                run.drain.kind.word().replace(' ', "-"),
                millimetres(run.drain.diameter.value)
            )],
            cautions: vec![
                located.to_owned(),
                "A trench wall can fall without warning: from 5 ft, or in bad soil, nobody enters unshored."
                    .to_owned(),
            ],
            subject: ElementRef::new(Kind::Drain, &run.drain.id),
        });
    }
    all
}

fn text(words: impl Into<String>) -> Cell {
    Cell::Text(words.into())
}

fn share(value: f64) -> Cell {
    Cell::Datum(Datum::ratio((value * 1000.0).round() / 1000.0))
}

fn earth_table(study: &GroundStudy<'_>) -> Option<Table> {
    let (earth, b) = (study.earth?, study.balance?);
    if study.yard.ground.graded.is_empty() {
        return None;
    }
    let practice = &study.project.practice;
    let row = |what: &str, value: Datum, how: &str| vec![text(what), Cell::Datum(value), text(how)];
    Some(Table {
        key: "earthwork",
        title: "Earth moved".to_owned(),
        columns: vec![Column::text("What", 1.6), Column::number("Amount", 0.9), Column::text("How", 2.4)],
        rows: vec![
            row("cut", Datum::volume(earth.cut), "as it lies, between both surfaces"),
            row("fill", Datum::volume(earth.fill), "compacted in place, between both surfaces"),
            row("area of cut", Datum::area(earth.cut_area), "in plan"),
            row("area of fill", Datum::area(earth.fill_area), "in plan"),
            row("deepest cut", Datum::depth(earth.deepest_cut), ""),
            row("deepest fill", Datum::depth(earth.deepest_fill), ""),
            row("usable share of the cut", Datum::ratio(practice.usable_cut), "without roots, sod and rubble"),
            row("reused as fill", Datum::volume(b.reused), "as it lies; shrinks when compacted"),
            row("left over", Datum::volume(b.haul_loose), "loose on the truck"),
            row("to bring", Datum::volume(b.import_loose), "loose on the truck"),
        ],
        notes: vec!["Exact prismoids between two triangulations; planting holes, trenches, mulch and soil amendments are not in it.".to_owned()],
    })
}

fn drain_table(study: &GroundStudy<'_>) -> Option<Table> {
    if study.drains.is_empty() {
        return None;
    }
    let rows = study.drains.iter().map(|run| {
        let level = |z: f64| text(marks::level_words(&study.reader, z));
        let (speed, full) = match run.runs {
            Some(Ok(flow)) => {
                (Cell::Datum(Datum::speed(flow.velocity)), share(flow.depth / run.drain.diameter.value))
            }
            Some(Err(_)) => (text("too small"), Cell::Empty),
            None => (Cell::Empty, Cell::Empty),
        };
        vec![
            text(run.drain.id.as_str()),
            text(run.drain.kind.word()),
            Cell::Datum(Datum::depth(run.drain.diameter.value)),
            Cell::Datum(Datum::length(run.length)),
            level(run.drain.start.value),
            level(run.drain.end.value),
            share(run.slope),
            Cell::Datum(Datum::flow(run.flow)),
            speed,
            full,
            Cell::Datum(Datum::depth(run.cover.0)),
            text(run.drain.leads_to.as_ref().map_or("nothing".to_owned(), ToString::to_string)),
        ]
    });
    Some(Table {
        key: "drains",
        title: "Drains".to_owned(),
        columns: vec![
            Column::text("Drain", 1.2),
            Column::text("Kind", 1.2),
            Column::number("Inside", 0.7),
            Column::number("Length", 0.8),
            Column::number("Invert up", 0.9),
            Column::number("Invert down", 0.9),
            Column::number("Fall", 0.6),
            Column::number("Peak flow", 0.9),
            Column::number("Speed", 0.7),
            Column::number("Filled", 0.7),
            Column::number("Least cover", 0.8),
            Column::text("Leads to", 1.3),
        ],
        rows: rows.collect(),
        notes: vec![
            "Peak flow: Rational method, Q = C i A. Depth and speed: Manning's equation, n 0.010 smooth, 0.012 perforated, 0.020 corrugated.".to_owned(),
            "Levels of one datum; the invert is the inside bottom of the pipe.".to_owned(),
        ],
    })
}

fn swale_table(study: &GroundStudy<'_>) -> Option<Table> {
    if study.swales.is_empty() {
        return None;
    }
    let rows = study.swales.iter().map(|run| {
        let (depth, speed) = match run.runs {
            Some(Ok(flow)) => {
                (Cell::Datum(Datum::depth(flow.depth)), Cell::Datum(Datum::speed(flow.velocity)))
            }
            Some(Err(_)) => (text("runs over"), Cell::Empty),
            None => (Cell::Empty, Cell::Empty),
        };
        vec![
            text(run.swale.id.as_str()),
            text(run.swale.lining.word()),
            Cell::Datum(Datum::length(run.length)),
            share(run.slope),
            Cell::Datum(Datum::flow(run.flow)),
            depth,
            speed,
            run.stands.map_or(Cell::Empty, |v| Cell::Datum(Datum::speed(v))),
        ]
    });
    Some(Table {
        key: "swales",
        title: "Swales".to_owned(),
        columns: vec![
            Column::text("Swale", 1.2),
            Column::text("Lining", 0.9),
            Column::number("Length", 0.8),
            Column::number("Fall", 0.6),
            Column::number("Peak flow", 0.9),
            Column::number("Runs deep", 0.8),
            Column::number("Speed", 0.8),
            Column::number("Stands", 0.8),
        ],
        rows: rows.collect(),
        notes: vec![
            "Manning's equation, n 0.03 for turf; velocities that linings stand: SCS-TP-61.".to_owned(),
        ],
    })
}

fn runoff_table(study: &GroundStudy<'_>) -> Option<Table> {
    let storm = study.storm?;
    let spouts = &study.project.property.downspouts;
    study.earth.filter(|_| !spouts.is_empty())?;
    let drains = &study.project.design.ground.drains;
    let rows = spouts.iter().map(|spout| {
        let element = ElementRef::new(Kind::Downspout, &spout.id);
        let taken = drains.iter().find(|d| d.takes.contains(&element));
        let to = taken.map_or_else(|| spout.outlet.value.clone(), |d| format!("drain `{}`", d.id));
        let takes = crate::ROOF * spout.roof_area.value;
        vec![
            text(spout.id.as_str()),
            Cell::Datum(Datum::area(spout.roof_area.value)),
            Cell::Datum(Datum::number(crate::ROOF)),
            Cell::Datum(Datum::flow(takes * storm.intensity())),
            text(to),
        ]
    });
    let words = format!(
        "Storm `{}`: {} in {:.0} minutes{}.",
        storm.id,
        rain_words(&study.reader, storm.depth.value),
        storm.minutes.value,
        if storm.return_period.is_empty() {
            String::new()
        } else {
            format!(", once in {}", storm.return_period)
        }
    );
    Some(Table {
        key: "runoff",
        title: "Roof water by downspout".to_owned(),
        columns: vec![
            Column::text("Downspout", 1.2),
            Column::number("Roof", 0.9),
            Column::number("C", 0.5),
            Column::number("Peak flow", 0.9),
            Column::text("Goes to", 1.6),
        ],
        rows: rows.collect(),
        notes: vec![words, "Rational method, Q = C i A (Kuichling 1889).".to_owned()],
    })
}

/// A depth of rain: hundredths of an inch, or tenths of a millimetre.
fn rain_words(reader: &groundwright_units::Reader, depth: f64) -> String {
    match reader.system {
        groundwright_units::System::Us => format!("{:.2}\"", depth / INCH),
        groundwright_units::System::Metric => format!("{:.1} mm", depth * 1000.0),
    }
}

fn store_table(study: &GroundStudy<'_>) -> Option<Table> {
    let outlets = study.project.design.ground.outlets.iter();
    let rows: Vec<Vec<Cell>> = outlets
        .filter_map(|outlet| {
            let store = stored(study, outlet)?.ok()?;
            let empties = if store.empties.is_finite() {
                Cell::Datum(findings::hours(store.empties))
            } else {
                text("never")
            };
            Some(vec![
                text(outlet.id.as_str()),
                text(outlet.kind.word()),
                Cell::Datum(Datum::volume(store.inflow)),
                Cell::Datum(Datum::volume(store.soaked)),
                Cell::Datum(Datum::volume(store.held)),
                Cell::Datum(Datum::volume(store.holds)),
                empties,
            ])
        })
        .collect();
    (!rows.is_empty()).then(|| Table {
        key: "storage",
        title: "Dry wells and rain gardens".to_owned(),
        columns: vec![
            Column::text("Outlet", 1.2),
            Column::text("Kind", 1.0),
            Column::number("Runs in", 0.9),
            Column::number("Soaks in meanwhile", 1.1),
            Column::number("To hold", 0.9),
            Column::number("Holds", 0.9),
            Column::number("Empties in", 0.9),
        ],
        rows,
        notes: vec![
            "The storm that brings most; half of the tested or usual intake is counted on.".to_owned(),
        ],
    })
}
