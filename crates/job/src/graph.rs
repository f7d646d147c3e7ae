//! What feeds what.
//!
//! ```text
//! property, bed lines ─▶ plot ─▶ prepare ─▶ arrange (rows, then masses) ─▶ transplants ─▶ yard
//!                                                                                          │
//!     solids ─▶ sun ─▶ site, planting, edging, ground, walls, light, water ◀─────────────────────────────┘
//!                                │
//!                       takeoff, findings, tables, marks
//! ```
//!
//! Keys of later nodes use the digest of what earlier nodes gave out, so that a change that comes
//! to nothing stops where it does.
//!
//! While a hand moves, only what is quick is computed ([`Job::live`]); levels, water and sun come
//! from the last time that they were studied ([`Behind`]), and the outcome says when they are stale.

use std::collections::BTreeSet;
use std::sync::{Arc, OnceLock};

use groundwright_estimate::{Takeoff, take_off};
use groundwright_geometry::Point;
use groundwright_handoff::{Finding, Mark, Quantity, Solid, Study, Table, Task, When};
use groundwright_plan::{Design, ElementId, GradedArea, Layout, Line, Piece, Planting, Project, Stock};
use groundwright_planting::PlantLight;
use groundwright_scene::Scene;
use groundwright_sun::{DayHours, Grid, Noon, USUAL_POINTS, usual_grid};
use groundwright_units::Reader;
use groundwright_yard::{
    Arrangement, Ground, PlaceFault, Plot, Prepared, Taken, Transplanting, Yard, arrange, assemble_on,
    assign, lay_ground, place, prepare, size_bought, taken_by_kept,
};

use crate::light::{Casting, LIGHT_YEARS};
use crate::memo::{Digest, Memo, Node};

const PLOT: Node = Node { name: "plot", version: 1 };
const PREPARE: Node = Node { name: "prepare", version: 1 };
const ROWS: Node = Node { name: "rows", version: 1 };
const MASSES: Node = Node { name: "masses", version: 1 };
const TRANSPLANTS: Node = Node { name: "transplants", version: 1 };
const LEVELS: Node = Node { name: "levels", version: 1 };
const YARD: Node = Node { name: "yard", version: 1 };
const SUN: Node = Node { name: "sun", version: 1 };
const NOONS: Node = Node { name: "noons", version: 1 };
const PLANT_LIGHT: Node = Node { name: "plant light", version: 1 };
const STUDIES: Node = Node { name: "studies", version: 1 };
const TAKEOFF: Node = Node { name: "takeoff", version: 1 };

/// What the studies of a project say, all together.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// The placed yard.
    pub yard: Arc<Yard>,
    /// What cannot be placed; with any of these the package is incomplete.
    pub faults: Vec<PlaceFault>,
    /// Findings, most serious first, those of one rule together.
    pub findings: Vec<Finding>,
    /// Quantities of all studies.
    pub quantities: Vec<Quantity>,
    /// Tasks of all studies.
    pub tasks: Vec<Task>,
    /// Tables of all studies and of the takeoff.
    pub tables: Vec<Table>,
    /// Marks of all studies.
    pub marks: Vec<Mark>,
    /// The takeoff.
    pub takeoff: Arc<Takeoff>,
    /// Whether levels, water and sun were studied for another state of the project, or not yet.
    pub stale: bool,
}

/// Told when a stage is done; whoever has a clock can time the stages.
pub trait Progress {
    /// A stage is done.
    fn done(&mut self, stage: &'static str);

    /// Asked between stages of studies that run behind; no ends them.
    fn go_on(&mut self) -> bool {
        true
    }
}

/// Nobody listens.
impl Progress for () {
    fn done(&mut self, _stage: &'static str) {}
}

/// What one study hands out, kept together.
#[derive(Debug, Default, Clone)]
struct Handed {
    findings: Vec<Finding>,
    quantities: Vec<Quantity>,
    tasks: Vec<Task>,
    tables: Vec<Table>,
    marks: Vec<Mark>,
    faults: Vec<PlaceFault>,
}

impl Handed {
    fn of(study: &(impl Study + Sync), when: When) -> Self {
        let (marks, rest) = rayon::join(|| study.marks(when), || Self::without_marks(study));
        Self { marks, ..rest }
    }

    fn without_marks(study: &impl Study) -> Self {
        Self {
            findings: study.findings(),
            quantities: study.quantities(),
            tasks: study.tasks(),
            tables: study.tables(),
            marks: Vec::new(),
            faults: Vec::new(),
        }
    }

    /// What this says and `other` does not: findings of rules about subjects that it is silent
    /// about, tables that it does not have. All else is taken to be the same.
    fn beyond(&self, other: &Self) -> Self {
        let of = |finding: &Finding| (finding.rule.id, finding.subjects.clone());
        let told: BTreeSet<_> = other.findings.iter().map(of).collect();
        let has = |table: &Table| other.tables.iter().any(|known| known.key == table.key);
        Self {
            findings: self.findings.iter().filter(|f| !told.contains(&of(f))).cloned().collect(),
            tables: self.tables.iter().filter(|table| !has(table)).cloned().collect(),
            ..Self::default()
        }
    }
}

/// Levels, lights, sun and irrigation, which are studied behind the hand.
#[derive(Debug, Clone)]
pub struct Behind {
    /// Of which state of the project.
    key: Digest,
    ground: Arc<Handed>,
    lights: Arc<Handed>,
    sun: Arc<Handed>,
    water: Arc<Handed>,
    /// Planting with the sun at every plant.
    planting: Arc<Handed>,
    /// What only the sun adds to planting.
    lit: Arc<Handed>,
}

/// What each study reads, digested: a study runs again only when that changes.
struct Keys {
    all: Digest,
    /// The same, and whether the sun is studied.
    lit: Digest,
    existing: Digest,
    ground: Digest,
    water: Digest,
    survey: Digest,
    set_out: Digest,
    walls: Digest,
    lights: Digest,
    irrigation: Digest,
}

impl Keys {
    fn of(project: &Project, placed: &Placed, stock: Digest, (all, lit): (Digest, bool), when: When) -> Self {
        let Project { property, design, practice, readings, .. } = project;
        let read = Digest::of(&(stock, property, practice, when));
        let ground = (&design.beds, &design.boxes, &design.lawns, &design.edgings, &design.notes);
        Self {
            all,
            lit: Digest::of(&(all, lit)),
            existing: Digest::of(&(read, placed.existing)),
            ground: Digest::of(&(read, placed.plot, ground)),
            water: Digest::of(&(read, placed.plot, ground, &design.ground)),
            survey: Digest::of(&(readings, property.system, when)),
            set_out: Digest::of(&(readings, property.system, placed.plot)),
            walls: Digest::of(&(read, placed.plot, &design.ground, &design.built)),
            lights: Digest::of(&(all, &design.lighting)),
            irrigation: Digest::of(&(all, lit, &design.irrigation)),
        }
    }

    fn key(&self, discipline: Discipline) -> Digest {
        match discipline {
            Discipline::Survey => self.survey,
            Discipline::SetOut => self.set_out,
            Discipline::Existing => self.existing,
            Discipline::Site | Discipline::Beds | Discipline::Edging => self.ground,
            Discipline::Ground => self.water,
            Discipline::Walls => self.walls,
            Discipline::Lights => self.lights,
            Discipline::Water => self.irrigation,
            Discipline::Holes => self.all,
            Discipline::Sun | Discipline::Planting => self.lit,
        }
    }
}

/// The disciplines, in the order in which their hand-offs are listed. A new one is a line here and
/// one in [`Job::studies`].
#[derive(Debug, Clone, Copy)]
enum Discipline {
    /// Readings on site and what they give: reads nothing else.
    Survey,
    /// The drawing of what is there: reads the property alone.
    Existing,
    /// What is there and the ground that is worked: reads no plant of the design.
    Site,
    /// The map of sun hours, where it is asked for.
    Sun,
    /// What is planted, against what is there.
    Holes,
    /// Beds, boxes and lawns as ground: reads no plant.
    Beds,
    Planting,
    Edging,
    /// Levels, earth and water: reads no plant.
    Ground,
    /// Flags along the bed lines: reads the survey and the plot alone.
    SetOut,
    /// Walls, steps and paving: reads no plant.
    Walls,
    /// Lights: reads all that casts shadows.
    Lights,
    /// Irrigation: reads plants, ground and the sun.
    Water,
}

impl Discipline {
    const ALL: [Self; 13] = [
        Self::Survey,
        Self::Existing,
        Self::Site,
        Self::Sun,
        Self::Holes,
        Self::Beds,
        Self::Planting,
        Self::Edging,
        Self::Ground,
        Self::SetOut,
        Self::Walls,
        Self::Lights,
        Self::Water,
    ];

    /// Whether it takes longer than a hand waits.
    fn is_behind(self) -> bool {
        matches!(self, Self::Ground | Self::Sun | Self::Lights | Self::Water)
    }
}

/// The job: runs the graph and remembers its nodes from run to run.
#[derive(Default)]
pub struct Job {
    memo: Memo,
    /// The stock of the last run with its digest: to compare it costs far less than to digest it.
    stock: Option<(Stock, Digest)>,
    /// Which studies run.
    depth: Depth,
}

/// Which studies a job runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
enum Depth {
    /// What follows a hand that moves.
    Live,
    /// All but the sun.
    #[default]
    Unlit,
    /// All.
    Whole,
}

/// Sun of the yard: the map and the light at every plant.
struct Sun {
    grid: Grid,
    months: [DayHours; 12],
    noons: Arc<Vec<Noon>>,
    light: Arc<PlantLight>,
}

type Laid = Result<Arrangement, PlaceFault>;

impl Job {
    /// A job that remembers nothing yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// A job that also studies the sun: maps, and light at every plant.
    pub fn with_sun() -> Self {
        Self { depth: Depth::Whole, ..Self::default() }
    }

    /// A job that leaves out levels, water and sun, so that it follows a hand that moves.
    pub fn live() -> Self {
        Self { depth: Depth::Live, ..Self::default() }
    }

    /// Nodes computed and nodes reused in the last run.
    pub fn counts(&self) -> (usize, usize) {
        self.memo.counts()
    }

    /// Runs the studies of a project for a date and an age.
    pub fn run(&mut self, project: &Project, when: When, progress: &mut dyn Progress) -> Outcome {
        self.run_beside(project, when, None, progress)
    }

    /// Runs the studies; what a live job leaves out is taken from `behind`.
    pub fn run_beside(
        &mut self,
        project: &Project,
        when: When,
        behind: Option<&Behind>,
        progress: &mut dyn Progress,
    ) -> Outcome {
        self.memo.begin();
        // The stock is the largest part of a project; its digest serves every node that reads it.
        let stock = self.stock_digest(&project.stock);
        let placed = self.place(project, stock, progress);
        let key = whole_key(project, &placed, stock, when);
        let sun = if self.depth == Depth::Whole {
            let sun = self.sun(project, &placed.yard, key, progress);
            progress.done(SUN.name);
            sun
        } else {
            None
        };
        let keys = Keys::of(project, &placed, stock, (key, sun.is_some()), when);
        let run = |discipline: &Discipline| self.depth != Depth::Live || !discipline.is_behind();
        let disciplines: Vec<Discipline> = Discipline::ALL.into_iter().filter(run).collect();
        let mut handed = self.studies(project, &placed.yard, sun.as_ref(), &keys, &disciplines, when);
        progress.done(STUDIES.name);
        let mut stale = false;
        if self.depth == Depth::Live {
            stale = behind.is_none_or(|behind| behind.key != key);
            if let Some(behind) = behind {
                add_behind(&disciplines, &mut handed, behind, stale);
            }
        }
        let outcome = self.gather(project, placed, &handed, (key, behind.map(|b| b.key)), stale);
        progress.done("takeoff");
        outcome
    }

    /// Studies levels, water and sun for a live job; nothing when `progress` says no.
    ///
    /// Only a job of [`Job::with_sun`] does this.
    pub fn study_behind(
        &mut self,
        project: &Project,
        when: When,
        progress: &mut dyn Progress,
    ) -> Option<Behind> {
        self.memo.begin();
        let stock = self.stock_digest(&project.stock);
        let placed = self.place(project, stock, progress);
        let key = whole_key(project, &placed, stock, when);
        let go_on = |progress: &mut dyn Progress| progress.go_on().then_some(());
        go_on(progress)?;
        let unlit = Keys::of(project, &placed, stock, (key, false), when);
        let first = [Discipline::Ground, Discipline::Lights, Discipline::Planting];
        let dark = self.studies(project, &placed.yard, None, &unlit, &first, when);
        go_on(progress)?;
        let sun = self.sun(project, &placed.yard, key, progress);
        go_on(progress)?;
        let keys = Keys::of(project, &placed, stock, (key, sun.is_some()), when);
        let lit = [Discipline::Sun, Discipline::Planting, Discipline::Water];
        let light = self.studies(project, &placed.yard, sun.as_ref(), &keys, &lit, when);
        let ([ground, lights, planting], [sun, lit, water]) =
            (<[_; 3]>::try_from(dark).ok()?, <[_; 3]>::try_from(light).ok()?);
        let only = Arc::new(lit.beyond(&planting));
        Some(Behind { key, ground, lights, sun, water, lit: only, planting: lit })
    }

    /// All hand-offs together, and what they come to.
    fn gather(
        &mut self,
        project: &Project,
        placed: Placed,
        handed: &[Arc<Handed>],
        key: (Digest, Option<Digest>),
        stale: bool,
    ) -> Outcome {
        let mut faults = placed.faults;
        let mut outcome = Outcome {
            yard: placed.yard,
            faults: Vec::new(),
            findings: Vec::new(),
            quantities: Vec::new(),
            tasks: Vec::new(),
            tables: Vec::new(),
            marks: Vec::new(),
            takeoff: Arc::default(),
            stale,
        };
        for part in handed {
            faults.extend(part.faults.iter().cloned());
            outcome.findings.extend(part.findings.iter().cloned());
            outcome.quantities.extend(part.quantities.iter().cloned());
            outcome.tasks.extend(part.tasks.iter().cloned());
            outcome.tables.extend(part.tables.iter().cloned());
            outcome.marks.extend(part.marks.iter().cloned());
        }
        faults.dedup();
        outcome.faults = faults;
        let key = Digest::of(&key);
        outcome.takeoff = self.memo.get(TAKEOFF, key, || take_off(&outcome.quantities));
        outcome.findings.extend(outcome.takeoff.findings());
        let reader = Reader::new(project.property.system);
        outcome.tables.extend(groundwright_estimate::tables(&outcome.takeoff, &reader));
        sort_findings(&mut outcome.findings);
        outcome
    }

    fn stock_digest(&mut self, stock: &Stock) -> Digest {
        match &self.stock {
            Some((known, digest)) if known == stock => *digest,
            _ => {
                let digest = Digest::of(stock);
                self.stock = Some((stock.clone(), digest));
                digest
            }
        }
    }

    /// The disciplines do not know one another, so they run side by side.
    fn studies(
        &mut self,
        project: &Project,
        yard: &Yard,
        sun: Option<&Sun>,
        keys: &Keys,
        disciplines: &[Discipline],
        when: When,
    ) -> Vec<Arc<Handed>> {
        let studies: Vec<(Digest, Discipline)> = disciplines
            .iter()
            .map(|discipline| (Digest::of(&(keys.key(*discipline), discipline)), *discipline))
            .collect();
        // What is left out of these cannot be read by those: that keeps their keys true.
        let without = OnceLock::new();
        let unplanted = || {
            let project = without.get_or_init(|| {
                let design = Design { plantings: Vec::new(), ..project.design.clone() };
                Project { design, ..project.clone() }
            });
            (project, Yard::bare(yard.plot.clone()))
        };
        self.memo.all_of(STUDIES, &studies, |discipline| match discipline {
            Discipline::Survey => Handed::of(&groundwright_site::survey::study(project), when),
            Discipline::Existing => {
                let project = Project { design: Design::default(), ..project.clone() };
                let yard = Yard::bare(Arc::new(yard.plot.existing()));
                Handed { marks: groundwright_site::study(&project, &yard).marks(when), ..Handed::default() }
            }
            Discipline::Site => {
                let (project, yard) = unplanted();
                Handed::without_marks(&groundwright_site::study(project, &yard))
            }
            Discipline::Holes => {
                Handed { findings: groundwright_site::of_new_plants(project, yard), ..Handed::default() }
            }
            Discipline::Beds => {
                let (project, yard) = unplanted();
                Handed::of(&groundwright_planting::beds(project, &yard.plot), when)
            }
            Discipline::SetOut => Handed::of(&groundwright_site::set_out::study(project, &yard.plot), when),
            Discipline::Walls => {
                let (project, mut bare) = unplanted();
                bare.ground = yard.ground.clone();
                Handed::of(&groundwright_walls::study(project, &bare), when)
            }
            Discipline::Lights => Self::lights(project, yard, when),
            Discipline::Water => Self::water(project, yard, sun, when),
            Discipline::Ground => {
                let (project, mut bare) = unplanted();
                bare.ground = yard.ground.clone();
                let study = groundwright_ground::study(project, &bare);
                Handed { faults: study.faults.clone(), ..Handed::of(&study, when) }
            }
            Discipline::Sun => sun.map_or_else(Handed::default, |sun| {
                let study = groundwright_sun::study(project, yard, &sun.grid, &sun.months, 0.0);
                let study = groundwright_sun::SunStudy { noons: &sun.noons, ..study };
                Handed::of(&study, when)
            }),
            Discipline::Planting => match sun {
                Some(sun) => {
                    let study = groundwright_planting::study_in_light(project, yard, &sun.light);
                    Handed::of(&study, when)
                }
                None => Handed::of(&groundwright_planting::study(project, yard), when),
            },
            Discipline::Edging => {
                let (project, yard) = unplanted();
                let study = groundwright_edging::study(project, &yard);
                Handed { faults: study.faults.clone(), ..Handed::of(&study, when) }
            }
        })
    }

    /// Lights after dark, in the month of `when`, at the age of its plants.
    fn lights(project: &Project, yard: &Yard, when: When) -> Handed {
        if project.design.lighting.elements().is_empty() {
            return Handed::default();
        }
        let scene = Scene::new(Casting::new(project, yard).bodies(when.month, when.age()));
        let passes = |from, to| scene.between(from, to);
        let study = groundwright_light::study(project, yard, &passes, crate::light::nights(project));
        Handed::of(&study, when)
    }

    /// Irrigation, with the hours of sun of the growing season where the sun is studied.
    fn water(project: &Project, yard: &Yard, sun: Option<&Sun>, when: When) -> Handed {
        if project.design.irrigation.waterings.is_empty() {
            return Handed::default();
        }
        let season = groundwright_sun::season(project.property.place.latitude.value < 0.0);
        let hours = |at: Point| {
            let sun = sun?;
            let cell = sun.grid.cell(at)?;
            let total: f64 = season.iter().map(|m| sun.months[usize::from(*m) - 1].total(cell)).sum();
            Some(total / season.len() as f64)
        };
        let year = crate::climate::year(project);
        Handed::of(&groundwright_water::study(project, yard, &hours, year), when)
    }

    /// Maps the months side by side. A yard without extent has no map, which its own faults tell.
    fn sun(
        &mut self,
        project: &Project,
        yard: &Yard,
        key: Digest,
        progress: &mut dyn Progress,
    ) -> Option<Sun> {
        let grid = usual_grid(project, yard, USUAL_POINTS).ok()?;
        let casting = Casting::new(project, yard);
        let inputs: Vec<(Digest, u8)> = (1..=12).map(|month| (Digest::of(&(key, month)), month)).collect();
        let months = self.memo.all_of(SUN, &inputs, |month| casting.ground(&grid, *month, 0.0));
        if !progress.go_on() {
            return None;
        }
        let light = self.memo.get(PLANT_LIGHT, key, || casting.plants(&LIGHT_YEARS));
        let months: Vec<DayHours> = months.iter().map(|month| month.as_ref().clone()).collect();
        let noons = self.memo.get(NOONS, key, || casting.noons());
        Some(Sun { grid, months: months.try_into().ok()?, noons, light })
    }

    fn place(&mut self, project: &Project, stock: Digest, progress: &mut dyn Progress) -> Placed {
        let design = &project.design;
        let drawn = (&design.beds, &design.boxes, &design.lawns, &design.notes, &design.built);
        let lines = (&design.lighting, &design.irrigation);
        let key = Digest::of(&(&project.property, drawn, lines, &project.stock.wall_units));
        let plot = self.memo.get(PLOT, key, || {
            let (plot, faults) = place(project);
            // Plants, walls and ground do not hang on lights and heads.
            let digests =
                [Digest::of(&plot.without_lines()), Digest::of(&plot.existing()), Digest::of(&plot)];
            (Arc::new(plot), faults, digests)
        });
        let (plot, mut faults, [plot_digest, existing, whole]) = (plot.0.clone(), plot.1.clone(), plot.2);
        progress.done(PLOT.name);

        let mut prepared = self.prepare(project, &plot, plot_digest, &mut faults);
        give_way(project, &mut prepared);
        progress.done(PREPARE.name);

        let laid = self.lay(project, &plot, &prepared, &mut faults, progress);
        let arrangements: Vec<Arc<Arrangement>> = laid.iter().map(|(_, a)| a.clone()).collect();
        let digests: Vec<Digest> = laid.iter().map(|(digest, _)| *digest).collect();

        // Transplants and yard read plants found, viewpoints, plantings, and the traits of taxa.
        let key =
            Digest::of(&(plot_digest, &digests, &project.property, &design.plantings, &design.ground, stock));
        let transplanting: Arc<Transplanting> = self.memo.get(TRANSPLANTS, key, || {
            let borrowed: Vec<&Arrangement> = arrangements.iter().map(AsRef::as_ref).collect();
            assign(project, &plot, &borrowed)
        });
        progress.done(TRANSPLANTS.name);

        let ground: Arc<Ground> =
            self.memo.get(LEVELS, ground_key(project, &plot), || lay_ground(project, &plot));
        let yard: Arc<Yard> = self.memo.get(YARD, Digest::of(&(key, whole)), || {
            assemble_on(ground.as_ref().clone(), project, plot, arrangements, transplanting)
        });
        faults.extend(yard.ground.faults.iter().cloned());
        progress.done(YARD.name);
        Placed { yard, faults, digest: key, plot: plot_digest, existing }
    }

    fn prepare(
        &mut self,
        project: &Project,
        plot: &Plot,
        plot_digest: Digest,
        faults: &mut Vec<PlaceFault>,
    ) -> Vec<(ElementId, Prepared)> {
        let inputs: Vec<(Digest, &Planting)> = project
            .design
            .plantings
            .iter()
            .map(|planting| {
                let stock = &project.stock;
                let taxa: Vec<_> = planting.shares.iter().filter_map(|s| stock.taxa.get(&s.taxon)).collect();
                let size = planting.size.as_deref();
                let sizes: Vec<_> = taxa.iter().map(|taxon| size_bought(stock, taxon, size)).collect();
                // Places may hang on reference points that no element of the plot uses.
                let places = (plot_digest, &project.property.references);
                (Digest::of(&(planting, places, taxa, sizes, project.practice.row_tolerance)), planting)
            })
            .collect();
        let results = self.memo.all_of(PREPARE, &inputs, |planting| prepare(project, plot, planting));
        let mut prepared = Vec::new();
        for ((_, planting), result) in inputs.iter().zip(results) {
            match result.as_ref() {
                Ok(ready) => prepared.push((planting.id.clone(), ready.clone())),
                Err(fault) => faults.push(fault.clone()),
            }
        }
        prepared
    }

    /// Lays out rows, groups and singles in file order, each leaving free what the ones before
    /// took; then all masses at once. Returns arrangements in file order with their digests.
    fn lay(
        &mut self,
        project: &Project,
        plot: &Plot,
        prepared: &[(ElementId, Prepared)],
        faults: &mut Vec<PlaceFault>,
        progress: &mut dyn Progress,
    ) -> Vec<(Digest, Arc<Arrangement>)> {
        let mut taken = taken_by_kept(project, plot);
        let mut results: Vec<Option<Arc<Laid>>> = vec![None; prepared.len()];
        for (i, (_, ready)) in prepared.iter().enumerate().filter(|(_, (_, ready))| !ready.is_mass()) {
            let near = near(&taken, ready);
            let key = Digest::of(&(ready, &near));
            let laid: Arc<Laid> = self.memo.get(ROWS, key, || arrange(ready, &near));
            if let Ok(arrangement) = laid.as_ref() {
                taken.extend(ready.takes(arrangement));
            }
            results[i] = Some(laid);
        }
        progress.done(ROWS.name);
        let masses: Vec<usize> = (0..prepared.len()).filter(|&i| prepared[i].1.is_mass()).collect();
        let inputs: Vec<(Digest, (&Prepared, Vec<Taken>))> = masses
            .iter()
            .map(|&i| {
                let ready = &prepared[i].1;
                let near = near(&taken, ready);
                (Digest::of(&(ready, &near)), (ready, near))
            })
            .collect();
        let laid = self.memo.all_of(MASSES, &inputs, |(ready, near)| arrange(ready, near));
        for (i, laid) in masses.into_iter().zip(laid) {
            results[i] = Some(laid);
        }
        progress.done(MASSES.name);
        let mut good = Vec::new();
        for laid in results.into_iter().flatten() {
            match laid.as_ref() {
                Ok(arrangement) => good.push((Digest::of(arrangement), Arc::new(arrangement.clone()))),
                Err(fault) => faults.push(fault.clone()),
            }
        }
        good
    }
}

/// What the ground reads: levels, what is graded, and how far the plot reaches. An edge that runs
/// along others hangs on all of the design's lines.
fn ground_key(project: &Project, plot: &Plot) -> Digest {
    let design = &project.design;
    let along = |line: &Line| line.pieces.iter().any(|piece| matches!(piece, Piece::Along { .. }));
    let gradings = &design.ground.gradings;
    let outlines = gradings.iter().filter_map(|grading| match &grading.area {
        GradedArea::Outline(line) => Some(line),
        GradedArea::Of(_) => None,
    });
    let of = |element| plot.area(element).map(|area| &area.edge);
    let areas: Vec<_> = gradings
        .iter()
        .filter_map(|grading| match &grading.area {
            GradedArea::Of(element) => Some(of(element)),
            GradedArea::Outline(_) => None,
        })
        .collect();
    let swales = design.ground.swales.iter().map(|swale| &swale.line);
    let lines = outlines.chain(swales).any(along).then_some((&design.beds, &design.boxes, &design.lawns));
    let all =
        plot.boundary.iter().chain(&plot.buildings).chain(plot.paved()).chain(&plot.beds).chain(&plot.lawns);
    let bounds = all.filter_map(|area| area.whole.bounds()).reduce(|a, b| a.union(b));
    let built = (&plot.walls, &plot.stairs, &design.built);
    Digest::of(&(&project.property, &design.ground, areas, lines, bounds, built))
}

/// Key of all that follows from a state of the project.
fn whole_key(project: &Project, placed: &Placed, stock: Digest, when: When) -> Digest {
    Digest::of(&(placed.digest, stock, (&project.property, &project.design, &project.practice), when))
}

/// Adds what was studied behind. What is stale of planting only adds to what is known live.
fn add_behind(disciplines: &[Discipline], handed: &mut Vec<Arc<Handed>>, behind: &Behind, stale: bool) {
    if stale {
        handed.push(behind.lit.clone());
    } else if let Some(at) = disciplines.iter().position(|d| matches!(d, Discipline::Planting)) {
        handed[at] = behind.planting.clone();
    }
    handed.extend([behind.ground.clone(), behind.lights.clone(), behind.sun.clone(), behind.water.clone()]);
}

struct Placed {
    yard: Arc<Yard>,
    faults: Vec<PlaceFault>,
    digest: Digest,
    plot: Digest,
    existing: Digest,
}

/// What is taken within reach of an instruction; the rest does not concern it, nor its key.
fn near(taken: &[Taken], ready: &Prepared) -> Vec<Taken> {
    let Some(reach) = ready.reach() else { return Vec::new() };
    taken.iter().filter(|t| reach.inflate(t.radius, t.radius).contains(t.at)).cloned().collect()
}

/// Masses that fill a whole bed leave out what other masses fill by an outline of their own; of two
/// with outlines the earlier in the file comes first.
fn give_way(project: &Project, prepared: &mut [(ElementId, Prepared)]) {
    let outlined = |id: &ElementId| {
        let planting = project.design.plantings.iter().find(|p| &p.id == id);
        planting.is_some_and(|p| matches!(p.layout, Layout::Mass { outline: Some(_) }))
    };
    let regions: Vec<Option<groundwright_geometry::Region>> =
        prepared.iter().map(|(id, ready)| ready.region().filter(|_| outlined(id)).cloned()).collect();
    let mut filled: Vec<groundwright_geometry::Region> = Vec::new();
    for (i, (id, ready)) in prepared.iter_mut().enumerate() {
        if !ready.is_mass() {
            continue;
        }
        let whole_bed = !outlined(id);
        let before = ready.region().cloned();
        for (j, region) in regions.iter().enumerate() {
            if let Some(region) = region.as_ref().filter(|_| j != i && (whole_bed || j < i)) {
                ready.give_way(region);
            }
        }
        // Of two that fill the same bed the earlier one has it; the later is told that it has none.
        if whole_bed {
            for region in &filled {
                ready.give_way(region);
            }
            filled.extend(before);
        }
    }
}

/// Most serious first; of one severity, rules together, and subjects in order.
fn sort_findings(findings: &mut [Finding]) {
    findings.sort_by(|a, b| (a.severity, a.rule.id, &a.subjects).cmp(&(b.severity, b.rule.id, &b.subjects)));
}

/// Bodies that are seen: those of the studies whose work ends above the ground. Garden lights and
/// whatever lies buried are left out, so that no cable is routed and no pipe sized for a picture.
pub(crate) fn seen_solids(project: &Project, yard: &Yard, when: When) -> Vec<Solid> {
    let mut all = groundwright_site::study(project, yard).solids(when);
    all.extend(groundwright_planting::study(project, yard).solids(when));
    all.extend(groundwright_edging::study(project, yard).solids(when));
    all.extend(groundwright_walls::study(project, yard).solids(when));
    all
}

/// Bodies of all studies at a date and an age, from a yard that is placed.
pub fn solids(project: &Project, yard: &Yard, when: When) -> Vec<Solid> {
    let mut all = groundwright_site::study(project, yard).solids(when);
    all.extend(groundwright_planting::study(project, yard).solids(when));
    all.extend(groundwright_edging::study(project, yard).solids(when));
    all.extend(groundwright_ground::study(project, yard).solids(when));
    all.extend(groundwright_walls::study(project, yard).solids(when));
    all.extend(groundwright_light::study(project, yard, &|_, _| 1.0, Vec::new()).solids(when));
    if !project.design.irrigation.waterings.is_empty() {
        let year = crate::climate::year(project);
        all.extend(groundwright_water::study(project, yard, &|_| None, year).solids(when));
    }
    all
}
