//! The six hand-offs of walls, steps and paving.

use groundwright_geometry::Point3;
use groundwright_handoff::{
    Body, Finding, Link, Mark, Quantity, Role, Solid, Study, Table, Task, Trade, When,
};
use groundwright_plan::ElementRef;

use super::{FlightRun, PartRun, WallRun, WallStudy, findings, marks, tables, takeoff};

const LOCATED: &str =
    "Have buried services located and marked before any digging; dig by hand near the marks.";
const TRENCH: &str = "A cut bank or trench can fall without warning: from 5 ft, or in bad soil, nobody stands below it unshored.";
const REVIEW: &str =
    "The calculation sheet is for review: the local code and a licensed engineer decide about this wall.";
const LIFTING: &str = "Units weigh up to a sack of cement and more: lift with two, or with a clamp.";
const DUST: &str = "Cut wet, with eye, ear and breathing protection: stone dust harms the lungs for good.";

impl Study for WallStudy<'_> {
    fn findings(&self) -> Vec<Finding> {
        findings::all(self)
    }

    fn quantities(&self) -> Vec<Quantity> {
        takeoff::all(self)
    }

    fn tasks(&self) -> Vec<Task> {
        let walls = self.walls.iter().flat_map(|run| wall_tasks(self, run));
        let steps = self.flights.iter().map(|flight| step_task(self, flight));
        let paving = self.pavings.iter().map(|(paving, area)| {
            let hours = area.free.area() * self.project.practice.paving_hours;
            let before = ["clear/", "grade/", "drain/", "wall-fill/", "steps/"];
            task(
                format!("pave/{}", paving.id),
                format!("Lay {} on base and bedding", paving.label),
                Trade::Mason,
                hours,
                &before,
                &area.element,
            )
            .holding("base compacted and its fall checked before the bedding")
            .cautioned(&[LOCATED, DUST])
        });
        walls.chain(steps).chain(paving).collect()
    }

    fn tables(&self) -> Vec<Table> {
        tables::all(self)
    }

    fn marks(&self, _when: When) -> Vec<Mark> {
        marks::all(self)
    }

    fn solids(&self, _when: When) -> Vec<Solid> {
        let mut all = Vec::new();
        for run in &self.walls {
            for part in &run.parts {
                wall_bodies(self, run, part, &mut all);
            }
        }
        for flight in &self.flights {
            step_bodies(flight, &mut all);
        }
        for (paving, area) in &self.pavings {
            paving_bodies(self, paving, area, &mut all);
        }
        all
    }
}

fn task(
    key: String,
    title: String,
    trade: Trade,
    labour_hours: f64,
    before: &[&str],
    subject: &ElementRef,
) -> Task {
    let after = before.iter().map(|key| Link { before: (*key).to_owned(), lag_days: 0.0 }).collect();
    Task {
        key,
        title,
        trade,
        labour_hours,
        after,
        season: None,
        hold_point: None,
        consumes: Vec::new(),
        cautions: Vec::new(),
        subject: subject.clone(),
    }
}

/// What most tasks add.
trait More {
    fn holding(self, point: &str) -> Self;
    fn cautioned(self, cautions: &[&str]) -> Self;
    fn consuming(self, items: &[&str]) -> Self;
}

impl More for Task {
    fn holding(self, point: &str) -> Self {
        Self { hold_point: Some(point.to_owned()), ..self }
    }

    fn cautioned(self, cautions: &[&str]) -> Self {
        Self { cautions: cautions.iter().map(|&c| c.to_owned()).collect(), ..self }
    }

    fn consuming(self, items: &[&str]) -> Self {
        Self { consumes: items.iter().map(|&i| i.to_owned()).collect(), ..self }
    }
}

/// Trench and pad, then the wall, then the fill behind it.
fn wall_tasks(study: &WallStudy<'_>, run: &WallRun<'_>) -> Vec<Task> {
    let practice = &study.project.practice;
    let (mut dug, mut face, mut filled, mut stone) = (0.0, 0.0, 0.0, 0.0);
    for part in &run.parts {
        let Ok(base) = &part.base else { continue };
        let found = takeoff::amounts(study, run, part, base);
        dug += found.dug + found.pad;
        face += found.face;
        filled += found.filled;
        stone += found.stone;
    }
    if face <= 0.0 {
        return Vec::new();
    }
    let (id, subject) = (&run.wall.id, &run.line.element);
    let label = &run.wall.label;
    let (base, wall) = (format!("wall-base/{id}"), format!("wall/{id}"));
    vec![
        task(
            base.clone(),
            format!("Dig and compact the pad of {label}"),
            Trade::Crew,
            dug * practice.wall_dig_hours,
            &["clear/", "grade/"],
            subject,
        )
        .holding("trench bottom firm, pad level along and across, before the first unit")
        .cautioned(&[LOCATED, TRENCH])
        .consuming(&["wall/dug", "stone/graded"]),
        task(
            wall.clone(),
            format!("Lay {label}"),
            Trade::Mason,
            face * practice.wall_hours,
            &[&base],
            subject,
        )
        .holding("first course level and in line; pipe, stone and cloth seen before they are covered")
        .cautioned(&[REVIEW, LIFTING, DUST]),
        task(
            format!("wall-fill/{id}"),
            format!("Fill behind {label} in layers of eight inches, each compacted by light machine"),
            Trade::Crew,
            (filled + stone) * practice.wall_dig_hours,
            &[&wall],
            subject,
        )
        .holding("outlets run free when water is poured behind the wall")
        .cautioned(&["No heavy machine within a yard of the units.", TRENCH])
        .consuming(&["wall/filled", "stone/washed", "filter-cloth", "wall-drain"]),
    ]
}

fn step_task(study: &WallStudy<'_>, flight: &FlightRun<'_>) -> Task {
    let steps = flight.steps;
    let hours = steps.risers() as f64 * steps.width.value * study.project.practice.step_hours;
    task(
        format!("steps/{}", steps.id),
        format!("Set {}, {} risers", steps.label, steps.risers()),
        Trade::Mason,
        hours,
        &["clear/", "grade/", "wall/"],
        &flight.stair.element,
    )
    .holding("all risers alike, treads falling to the front")
    .cautioned(&[LOCATED, LIFTING, DUST])
}

/// The wall by panels, its pad and its pipe.
fn wall_bodies(study: &WallStudy<'_>, run: &WallRun<'_>, part: &PartRun, all: &mut Vec<Solid>) {
    let Ok(base) = &part.base else { return };
    let cap = run.units.cap.map_or(0.0, |cap| cap.1);
    let depth = run.line.depth;
    let practice = &study.project.practice;
    for panel in &base.panels {
        let stations = run.line.stations((part.from + panel.from, part.from + panel.to));
        let along = |behind: f64, z: f64| -> Vec<Point3> {
            let lift = |s: &f64| {
                let at = run.line.behind(*s, behind);
                Point3::new(at.x, at.y, z)
            };
            stations.iter().map(lift).collect()
        };
        let mut put = |role: Role, line: Vec<Point3>, width: f64, height: f64, material: &str| {
            all.push(Solid {
                subject: run.line.element.clone(),
                ordinal: all.len() as u32,
                role,
                body: Body::Ribbon { line, width, height },
                material: material.to_owned(),
                transmittance: 0.0,
            });
        };
        let whole = panel.top - panel.base;
        // The batter moves the middle of the stack back by half of its lean.
        let lean = run.units.setback * panel.courses as f64 / 2.0;
        put(Role::Stands, along(depth / 2.0 + lean, panel.base), depth, whole + cap, &run.units.id);
        let wide = depth + 2.0 * practice.wall_pad_beyond;
        put(Role::Buried, along(depth / 2.0, panel.pad_base), wide, practice.wall_pad, "graded stone");
        put(Role::Buried, along(depth + 0.1, panel.base), 0.1, 0.1, "perforated pipe");
    }
}

fn step_bodies(flight: &FlightRun<'_>, all: &mut Vec<Solid>) {
    let FlightRun { steps, stair } = flight;
    let count = steps.risers();
    let riser = steps.rise() / count as f64;
    let across = groundwright_geometry::Vec2::new(-stair.up.y, stair.up.x) * (stair.width / 2.0);
    for i in 0..count {
        let low = stair.from + stair.up * (i as f64 * steps.tread.value);
        let high = low + stair.up * steps.tread.value;
        let z = steps.foot + i as f64 * riser;
        let corners = [low - across, high - across, high + across, low + across];
        let outline = corners.iter().map(|at| Point3::new(at.x, at.y, z)).collect();
        all.push(Solid {
            subject: stair.element.clone(),
            ordinal: i as u32,
            role: Role::Stands,
            body: Body::Prism { outline, height: riser },
            material: steps.material.clone(),
            transmittance: 0.0,
        });
    }
}

fn paving_bodies(
    study: &WallStudy<'_>,
    paving: &groundwright_plan::Paving,
    area: &groundwright_yard::Area,
    all: &mut Vec<Solid>,
) {
    let thick = study.project.stock.pavers.get(&paving.product).map_or(0.05, |product| product.thickness);
    for (ordinal, ring) in area.free.outlines().into_iter().enumerate() {
        let lift =
            |at: groundwright_geometry::Point| Point3::new(at.x, at.y, study.yard.ground.graded(at) - thick);
        all.push(Solid {
            subject: area.element.clone(),
            ordinal: ordinal as u32,
            role: Role::Ground,
            body: Body::Prism { outline: ring.into_iter().map(lift).collect(), height: thick },
            material: paving.product.clone(),
            transmittance: 0.0,
        });
    }
}
