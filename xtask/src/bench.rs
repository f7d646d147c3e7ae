//! `cargo xtask bench`: the stages on the demo, on a tenfold and on a hundredfold yard.
//!
//! - In: the corner-lot demo, laid side by side ten and a hundred times. Out: a table on standard
//!   output and in `docs/performance.md`, with date and machine.
//! - Each yard runs in a process of its own, so that peak memory is its own too.
//! - Drawings are timed with the graph only up to tenfold: a hundred lots fit no sheet at a scale
//!   that anybody could read.

use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use groundwright_geometry::{Point, Rect, Vec2};
use groundwright_handoff::{Study, When};
use groundwright_job::{Job, Progress};
use groundwright_package::{Settings, compose};
use groundwright_plan::{
    Aim, ElementId, ElementRef, GradedArea, GradingForm, Layout, Line, Loaded, Piece, Place, Project,
    Station, WallLevels, load_folder,
};

use crate::{page, workspace};

const DEMO: &str = "demo/corner-lot";
/// Distance of one lot's copy from the next, more than the lot and its streets. [m]
const PITCH: f64 = 50.0;

/// Runs the benchmark for 1, 10 and 100 lots, or for one number of lots alone.
pub fn run(options: &[&str]) -> Result<(), String> {
    match options {
        ["--lots", lots] => one(lots.parse().map_err(|_| format!("--lots {lots}: expected a number"))?),
        [] => all(),
        _ => Err("usage: cargo xtask bench".to_owned()),
    }
}

/// Stages in the order of their times in milliseconds, and whatever else a run reports.
type Report = Vec<(String, f64)>;

fn all() -> Result<(), String> {
    let mut columns: Vec<(usize, Report)> = Vec::new();
    for lots in [1, 10, 100] {
        let program = std::env::current_exe().map_err(|e| e.to_string())?;
        let mut best: Option<Report> = None;
        for _ in 0..if lots > 10 { 1 } else { 3 } {
            let output = Command::new(&program)
                .args(["bench", "--lots", &lots.to_string()])
                .output()
                .map_err(|e| e.to_string())?;
            let text = String::from_utf8_lossy(&output.stdout).into_owned();
            if !output.status.success() {
                return Err(format!("{lots} lots: {text}{}", String::from_utf8_lossy(&output.stderr)));
            }
            let report: Report = text
                .lines()
                .filter_map(|line| line.rsplit_once(' '))
                .filter_map(|(name, value)| Some((name.to_owned(), value.parse().ok()?)))
                .collect();
            let total =
                |r: &Report| r.iter().find(|(n, _)| n == "total, ms").map_or(f64::INFINITY, |(_, v)| *v);
            if best.as_ref().is_none_or(|b| total(&report) < total(b)) {
                best = Some(report);
            }
        }
        columns.extend(best.map(|best| (lots, best)));
    }
    let table = table(&columns);
    println!("{table}");
    page::write("bench", &table)
}

fn table(columns: &[(usize, Report)]) -> String {
    let mut out = String::from("| stage |");
    for (lots, _) in columns {
        let _ = write!(out, " {lots} lot{} |", if *lots == 1 { "" } else { "s" });
    }
    out.push_str("\n| --- |");
    out.push_str(&" ---: |".repeat(columns.len()));
    let Some((_, first)) = columns.first() else { return out };
    for (name, _) in first {
        let _ = write!(out, "\n| {name} |");
        for (_, report) in columns {
            match report.iter().find(|(n, _)| n == name) {
                Some((_, value)) if *value >= 100.0 => {
                    let _ = write!(out, " {value:.0} |");
                }
                Some((_, value)) => {
                    let _ = write!(out, " {value:.1} |");
                }
                None => out.push_str(" |"),
            }
        }
    }
    out.push('\n');
    out
}

struct Clock {
    last: Instant,
    times: Vec<(&'static str, Duration)>,
}

impl Progress for Clock {
    fn done(&mut self, stage: &'static str) {
        let now = Instant::now();
        self.times.push((stage, now - self.last));
        self.last = now;
    }
}

/// One yard: cold run, an edit, and the package where it fits a sheet.
fn one(lots: usize) -> Result<(), String> {
    let folder = workspace::root().join(DEMO);
    let start = Instant::now();
    let mut loaded = load(&folder)?;
    let read = start.elapsed();
    if lots > 1 {
        loaded.project = tile(&loaded.project, lots);
    }
    let mut clock = Clock { last: Instant::now(), times: Vec::new() };
    let begin = Instant::now();
    let outcome = Job::with_sun().run(&loaded.project, When::years(0.0), &mut clock);
    if !outcome.faults.is_empty() {
        return Err(format!("{:?}", outcome.faults[0]));
    }
    if lots <= 10 {
        compose(&loaded, &outcome, &Settings::default(), &mut clock).map_err(|e| e.to_string())?;
    }
    let total = begin.elapsed() + read;
    let ms = |time: Duration| time.as_secs_f64() * 1000.0;
    println!("plants {}", outcome.yard.plants.len());
    println!("read the demo, ms {:.3}", ms(read));
    for (stage, time) in &clock.times {
        println!("{stage}, ms {:.3}", ms(*time));
    }
    println!("total, ms {:.3}", ms(total));
    let (project, yard) = (&loaded.project, &outcome.yard);
    hand_offs("site", || groundwright_site::study(project, yard));
    hand_offs("beds", || groundwright_planting::beds(project, &yard.plot));
    hand_offs("planting", || groundwright_planting::study(project, yard));
    hand_offs("edging", || groundwright_edging::study(project, yard));
    hand_offs("ground", || groundwright_ground::study(project, yard));
    let nights = groundwright_job::nights(project);
    hand_offs("lights", || groundwright_light::study(project, yard, &|_, _| 1.0, nights.clone()));
    hand_offs("walls", || groundwright_walls::study(project, yard));
    // The app leaves levels, water and sun out while a hand is at work.
    let mut job = Job::live();
    job.run(&loaded.project, When::years(0.0), &mut ());
    println!(
        "one edit: a planting's spacing, ms {:.3}",
        ms(edit(&mut job, &mut loaded.project, if lots > 10 { 1 } else { 11 }))
    );
    println!("peak memory, MB {:.1}", peak_memory());
    Ok(())
}

/// How long a study takes to say what it has to say, hand-off by hand-off.
fn hand_offs<S: Study>(name: &str, make: impl Fn() -> S) {
    let when = When::years(0.0);
    let start = Instant::now();
    let study = make();
    println!("{name}: study, ms {:.3}", start.elapsed().as_secs_f64() * 1000.0);
    let time = |what: &str, run: &dyn Fn() -> usize| {
        let start = Instant::now();
        std::hint::black_box(run());
        println!("{name}: {what}, ms {:.3}", start.elapsed().as_secs_f64() * 1000.0);
    };
    time("findings", &|| study.findings().len());
    time("quantities", &|| study.quantities().len());
    time("tasks", &|| study.tasks().len());
    time("tables", &|| study.tables().len());
    time("marks", &|| study.marks(when).len());
}

/// The demo that is measured.
pub fn demo() -> Result<Project, String> {
    Ok(load(&workspace::root().join(DEMO))?.project)
}

fn load(folder: &Path) -> Result<Loaded, String> {
    load_folder(folder)
        .map_err(|faults| faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))
}

/// Changes the spacing of the first planting and runs again: the middle of `runs` times.
fn edit(job: &mut Job, project: &mut Project, runs: u8) -> Duration {
    let mut stages = Vec::new();
    let mut times: Vec<Duration> = (0..runs)
        .map(|i| {
            if let Some(planting) = project.design.plantings.iter_mut().find(|p| p.spacing.is_some())
                && let Some(spacing) = &mut planting.spacing
            {
                spacing.value += 0.001 * f64::from(i + 1);
            }
            let start = Instant::now();
            let mut clock = Clock { last: start, times: Vec::new() };
            job.run(project, When::years(0.0), &mut clock);
            stages = clock.times;
            start.elapsed()
        })
        .collect();
    for (stage, time) in stages {
        println!("of it {stage}, ms {:.3}", time.as_secs_f64() * 1000.0);
    }
    times.sort();
    times[times.len() / 2]
}

/// Greatest resident size of this process. [MB]
fn peak_memory() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmHWM"));
    let kilobytes = line.and_then(|line| line.split_whitespace().nth(1)?.parse::<f64>().ok());
    kilobytes.unwrap_or(0.0) / 1000.0
}

/// The project laid side by side `lots` times, every copy with ids of its own: in full rows, as near
/// to a square as there are any.
pub fn tile(one: &Project, lots: usize) -> Project {
    let square = (lots as f64).sqrt().ceil() as usize;
    let side = (square..=lots).find(|side| lots.is_multiple_of(*side)).unwrap_or(lots);
    let mut all = one.clone();
    for lot in 1..lots {
        let shift = Vec2::new((lot % side) as f64 * PITCH, (lot / side) as f64 * PITCH);
        let copy = Copy { shift, suffix: format!("-{lot}") };
        copy.add(one, &mut all);
    }
    let rows = lots.div_ceil(side);
    let whole = Rect::new(-20.0, -20.0, side as f64 * PITCH, rows as f64 * PITCH);
    if let Some(boundary) = &mut all.property.boundary {
        let corners =
            [(whole.x0, whole.y0), (whole.x1, whole.y0), (whole.x1, whole.y1), (whole.x0, whole.y1)];
        boundary.outline = Line {
            pieces: vec![Piece::Straight(corners.map(|(x, y)| Place::At(Point::new(x, y))).to_vec())],
        };
    }
    all
}

/// Copies lists of elements that have nothing to change but their id and one place or line:
/// `moved!(self, from, to: trees.place(at))`.
macro_rules! moved {
    ($copy:ident, $from:ident, $to:ident: $($list:ident.$shift:ident($field:ident)),*) => {
        $(each(&$from.$list, &mut $to.$list, |e| {
            $copy.id(&mut e.id);
            $copy.$shift(&mut e.$field);
        });)*
    };
}

/// How a copy differs from the first lot.
struct Copy {
    shift: Vec2,
    suffix: String,
}

impl Copy {
    fn id(&self, id: &mut ElementId) {
        id.0.push_str(&self.suffix);
    }

    fn element(&self, element: &mut ElementRef) {
        self.id(&mut element.id);
    }

    fn place(&self, place: &mut Place) {
        match place {
            Place::At(point) => *point += self.shift,
            Place::Survey { point, .. } => self.id(point),
        }
    }

    fn line(&self, line: &mut Line) {
        for piece in &mut line.pieces {
            match piece {
                Piece::Straight(places) | Piece::Smooth(places) | Piece::Arc(places) => {
                    for place in places {
                        self.place(place);
                    }
                }
                Piece::Along { element, from, to, .. } => {
                    self.element(element);
                    if let Some(place) = from {
                        self.place(place);
                    }
                    self.place(to);
                }
            }
        }
    }

    fn station(&self, station: &mut Option<Station>) {
        if let Some(Station::Near(place)) = station {
            self.place(place);
        }
    }

    fn add(&self, one: &Project, all: &mut Project) {
        let (from, to) = (&one.property, &mut all.property);
        moved!(self, from, to: buildings.line(outline), surfaces.line(outline), overgrown.line(outline));
        moved!(self, from, to: trees.place(at), downspouts.place(at), utilities.place(at), paper_lines.line(line));
        each(&from.references, &mut to.references, |e| {
            self.id(&mut e.id);
            e.at.value += self.shift;
        });
        each(&from.openings, &mut to.openings, |e| {
            self.id(&mut e.id);
            self.id(&mut e.building);
            self.place(&mut e.at);
        });
        each(&from.shrubs, &mut to.shrubs, |e| {
            self.id(&mut e.id);
            e.places.iter_mut().for_each(|place| self.place(place));
        });
        each(&from.buried, &mut to.buried, |e| {
            self.id(&mut e.id);
            e.route.iter_mut().for_each(|line| self.line(line));
            e.at.iter_mut().for_each(|place| self.place(place));
        });
        self.add_ground(one, all);
        self.add_design(one, all);
    }

    fn add_ground(&self, one: &Project, all: &mut Project) {
        let (from, to) = (&one.property.ground, &mut all.property.ground);
        moved!(self, from, to: levels.place(at), soil_tests.place(at));
        each(&from.break_lines, &mut to.break_lines, |e| {
            self.id(&mut e.id);
            e.course.iter_mut().for_each(|(at, _)| self.place(at));
        });
        let (from, to) = (&one.design.ground, &mut all.design.ground);
        moved!(self, from, to: swales.line(line), basins.place(at), cleanouts.place(at), outlets.place(at));
        each(&from.gradings, &mut to.gradings, |e| {
            self.id(&mut e.id);
            match &mut e.area {
                GradedArea::Of(element) => self.element(element),
                GradedArea::Outline(line) => self.line(line),
            }
            match &mut e.form {
                GradingForm::Pad { fall, .. } => {
                    if let Some((_, from, to)) = fall {
                        self.place(from);
                        self.place(to);
                    }
                }
                GradingForm::Levels(levels) => levels.iter_mut().for_each(|(at, _)| self.place(at)),
                GradingForm::Raise(_) => {}
            }
        });
        each(&from.drains, &mut to.drains, |e| {
            self.id(&mut e.id);
            self.line(&mut e.route);
            e.takes.iter_mut().chain(&mut e.leads_to).for_each(|element| self.element(element));
        });
    }

    fn add_built(&self, one: &Project, all: &mut Project) {
        let (from, to) = (&one.design.built, &mut all.design.built);
        moved!(self, from, to: pavings.line(outline));
        each(&from.walls, &mut to.walls, |e| {
            self.id(&mut e.id);
            self.line(&mut e.line);
            for levels in [&mut e.top, &mut e.foot] {
                if let WallLevels::Spots(spots) = levels {
                    for (at, _) in spots {
                        self.place(at);
                    }
                }
            }
        });
        each(&from.steps, &mut to.steps, |e| {
            self.id(&mut e.id);
            self.place(&mut e.from);
            self.place(&mut e.toward);
        });
    }

    fn add_lights(&self, one: &Project, all: &mut Project) {
        let (from, to) = (&one.design.lighting, &mut all.design.lighting);
        moved!(self, from, to: transformers.place(at));
        each(&from.zones, &mut to.zones, |e| {
            self.id(&mut e.id);
            e.transformer.iter_mut().for_each(|id| self.id(id));
        });
        each(&from.lights, &mut to.lights, |e| {
            self.id(&mut e.id);
            self.id(&mut e.zone);
            e.places.iter_mut().for_each(|place| self.place(place));
            match &mut e.aim {
                Some(Aim::Element(element)) => self.element(element),
                Some(Aim::Place(place)) => self.place(place),
                None => {}
            }
        });
    }

    /// The supply is not copied: all lots hang on the first lot's, as on one meter.
    fn add_irrigation(&self, one: &Project, all: &mut Project) {
        let (from, to) = (&one.design.irrigation, &mut all.design.irrigation);
        moved!(self, from, to: valve_boxes.place(at), controllers.place(at));
        each(&from.waterings, &mut to.waterings, |e| {
            self.id(&mut e.id);
            e.areas.iter_mut().chain(&mut e.without).for_each(|element| self.element(element));
            e.heads.iter_mut().flatten().for_each(|place| self.place(place));
            // What is left over is left over once.
            e.rest = false;
        });
    }

    /// Viewpoints are not copied: everybody looks from the first lot's, as a street has one.
    fn add_design(&self, one: &Project, all: &mut Project) {
        let (from, to) = (&one.design, &mut all.design);
        moved!(self, from, to: beds.line(outline), boxes.line(outline), lawns.line(outline), notes.place(at));
        self.add_built(one, all);
        self.add_lights(one, all);
        self.add_irrigation(one, all);
        let (from, to) = (&one.design, &mut all.design);
        each(&from.edgings, &mut to.edgings, |e| {
            self.id(&mut e.id);
            self.element(&mut e.along);
            self.station(&mut e.from);
            self.station(&mut e.to);
        });
        each(&from.plantings, &mut to.plantings, |e| {
            self.id(&mut e.id);
            e.place.iter_mut().for_each(|element| self.element(element));
            // Transplants stay on their own lot.
            e.from_shrubs.iter_mut().for_each(|id| self.id(id));
            if let Some((a, b)) = &mut e.axis {
                self.place(a);
                self.place(b);
            }
            match &mut e.layout {
                Layout::Single { at } => at.iter_mut().for_each(|place| self.place(place)),
                Layout::Group { at, .. } => self.place(at),
                Layout::Row { along, line, from, to, .. } => {
                    if let Some(element) = along {
                        self.element(element);
                    }
                    if let Some(line) = line {
                        self.line(line);
                    }
                    self.station(from);
                    self.station(to);
                }
                Layout::Mass { outline } => outline.iter_mut().for_each(|line| self.line(line)),
            }
        });
    }
}

fn each<T: Clone>(from: &[T], to: &mut Vec<T>, change: impl Fn(&mut T)) {
    to.extend(from.iter().cloned().map(|mut element| {
        change(&mut element);
        element
    }));
}
