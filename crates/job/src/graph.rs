//! What feeds what.
//!
//! ```text
//! property, bed lines ─▶ plot ─▶ prepare ─▶ arrange (rows, then masses) ─▶ transplants ─▶ yard
//!                                                                                          │
//!                       site, planting, edging ◀───────────────────────────────────────────┘
//!                                │
//!                       takeoff, findings, tables, marks
//! ```
//!
//! Keys of later nodes use the digest of what earlier nodes gave out, so that a change that comes
//! to nothing stops where it does.

use std::sync::Arc;

use groundwright_estimate::{Takeoff, take_off};
use groundwright_handoff::{Finding, Mark, Quantity, Solid, Study, Table, Task, When};
use groundwright_plan::{Design, ElementId, Layout, Planting, Project, Stock};
use groundwright_units::Reader;
use groundwright_yard::{
    Arrangement, PlaceFault, Plot, Prepared, Taken, Transplanting, Yard, arrange, assemble, assign, place,
    prepare, size_bought, taken_by_kept,
};

use crate::memo::{Digest, Memo, Node};

const PLOT: Node = Node { name: "plot", version: 1 };
const PREPARE: Node = Node { name: "prepare", version: 1 };
const ROWS: Node = Node { name: "rows", version: 1 };
const MASSES: Node = Node { name: "masses", version: 1 };
const TRANSPLANTS: Node = Node { name: "transplants", version: 1 };
const YARD: Node = Node { name: "yard", version: 1 };
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
}

/// Told when a stage is done; whoever has a clock can time the stages.
pub trait Progress {
    /// A stage is done.
    fn done(&mut self, stage: &'static str);
}

/// Nobody listens.
impl Progress for () {
    fn done(&mut self, _stage: &'static str) {}
}

/// What one study hands out, kept together.
#[derive(Debug, Default)]
struct Handed {
    findings: Vec<Finding>,
    quantities: Vec<Quantity>,
    tasks: Vec<Task>,
    tables: Vec<Table>,
    marks: Vec<Mark>,
    faults: Vec<PlaceFault>,
}

impl Handed {
    fn of(study: &impl Study, when: When) -> Self {
        Self { marks: study.marks(when), ..Self::without_marks(study) }
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
}

/// What each study reads, digested: a study runs again only when that changes.
struct Keys {
    all: Digest,
    existing: Digest,
    ground: Digest,
    survey: Digest,
}

impl Keys {
    fn of(project: &Project, placed: &Placed, stock: Digest, all: Digest, when: When) -> Self {
        let Project { property, design, practice, readings, .. } = project;
        let read = Digest::of(&(stock, property, practice, when));
        let ground = (&design.beds, &design.boxes, &design.lawns, &design.edgings, &design.notes);
        Self {
            all,
            existing: Digest::of(&(read, placed.existing)),
            ground: Digest::of(&(read, placed.plot, ground)),
            survey: Digest::of(&(readings, property.system, when)),
        }
    }

    fn key(&self, discipline: Discipline) -> Digest {
        match discipline {
            Discipline::Survey => self.survey,
            Discipline::Existing => self.existing,
            Discipline::Site | Discipline::Beds | Discipline::Edging => self.ground,
            Discipline::Holes | Discipline::Planting => self.all,
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
    /// What is planted, against what is there.
    Holes,
    /// Beds, boxes and lawns as ground: reads no plant.
    Beds,
    Planting,
    Edging,
}

impl Discipline {
    const ALL: [Self; 7] =
        [Self::Survey, Self::Existing, Self::Site, Self::Holes, Self::Beds, Self::Planting, Self::Edging];
}

/// The job: runs the graph and remembers its nodes from run to run.
#[derive(Default)]
pub struct Job {
    memo: Memo,
    /// The stock of the last run with its digest: to compare it costs far less than to digest it.
    stock: Option<(Stock, Digest)>,
}

type Laid = Result<Arrangement, PlaceFault>;

impl Job {
    /// A job that remembers nothing yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Nodes computed and nodes reused in the last run.
    pub fn counts(&self) -> (usize, usize) {
        self.memo.counts()
    }

    /// Runs all studies of a project for a date and an age.
    pub fn run(&mut self, project: &Project, when: When, progress: &mut dyn Progress) -> Outcome {
        self.memo.begin();
        // The stock is the largest part of a project; its digest serves every node that reads it.
        let stock = self.stock_digest(&project.stock);
        let placed = self.place(project, stock, progress);
        let yard = placed.yard.clone();
        let rest = (&project.property, &project.design, &project.practice);
        let key = Digest::of(&(placed.digest, stock, rest, when));
        let handed = self.studies(project, &yard, &Keys::of(project, &placed, stock, key, when), when);
        progress.done(STUDIES.name);
        let mut faults = placed.faults;
        let mut outcome = Outcome {
            yard,
            faults: Vec::new(),
            findings: Vec::new(),
            quantities: Vec::new(),
            tasks: Vec::new(),
            tables: Vec::new(),
            marks: Vec::new(),
            takeoff: Arc::default(),
        };
        for part in &handed {
            faults.extend(part.faults.iter().cloned());
            outcome.findings.extend(part.findings.iter().cloned());
            outcome.quantities.extend(part.quantities.iter().cloned());
            outcome.tasks.extend(part.tasks.iter().cloned());
            outcome.tables.extend(part.tables.iter().cloned());
            outcome.marks.extend(part.marks.iter().cloned());
        }
        faults.dedup();
        outcome.faults = faults;
        outcome.takeoff = self.memo.get(TAKEOFF, key, || take_off(&outcome.quantities));
        outcome.findings.extend(outcome.takeoff.findings());
        let reader = Reader::new(project.property.system);
        outcome.tables.extend(groundwright_estimate::tables(&outcome.takeoff, &reader));
        sort_findings(&mut outcome.findings);
        progress.done("takeoff");
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
    fn studies(&mut self, project: &Project, yard: &Yard, keys: &Keys, when: When) -> Vec<Arc<Handed>> {
        let studies =
            Discipline::ALL.map(|discipline| (Digest::of(&(keys.key(discipline), discipline)), discipline));
        // What is left out of these cannot be read by those: that keeps their keys true.
        let unplanted = || {
            let design = Design { plantings: Vec::new(), ..project.design.clone() };
            (Project { design, ..project.clone() }, Yard::bare(yard.plot.clone()))
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
                Handed::without_marks(&groundwright_site::study(&project, &yard))
            }
            Discipline::Holes => {
                Handed { findings: groundwright_site::of_new_plants(project, yard), ..Handed::default() }
            }
            Discipline::Beds => {
                let (project, yard) = unplanted();
                Handed::of(&groundwright_planting::beds(&project, &yard.plot), when)
            }
            Discipline::Planting => Handed::of(&groundwright_planting::study(project, yard), when),
            Discipline::Edging => {
                let (project, yard) = unplanted();
                let study = groundwright_edging::study(&project, &yard);
                Handed { faults: study.faults.clone(), ..Handed::of(&study, when) }
            }
        })
    }

    fn place(&mut self, project: &Project, stock: Digest, progress: &mut dyn Progress) -> Placed {
        let design = &project.design;
        let key = Digest::of(&(&project.property, &design.beds, &design.boxes, &design.lawns, &design.notes));
        let plot = self.memo.get(PLOT, key, || {
            let (plot, faults) = place(project);
            let digests = (Digest::of(&plot), Digest::of(&plot.existing()));
            (Arc::new(plot), faults, digests)
        });
        let (plot, mut faults, (plot_digest, existing)) = (plot.0.clone(), plot.1.clone(), plot.2);
        progress.done(PLOT.name);

        let mut prepared = self.prepare(project, &plot, plot_digest, &mut faults);
        give_way(project, &mut prepared);
        progress.done(PREPARE.name);

        let laid = self.lay(project, &plot, &prepared, &mut faults, progress);
        let arrangements: Vec<Arc<Arrangement>> = laid.iter().map(|(_, a)| a.clone()).collect();
        let digests: Vec<Digest> = laid.iter().map(|(digest, _)| *digest).collect();

        // Transplants and yard read plants found, viewpoints, plantings, and the traits of taxa.
        let key = Digest::of(&(plot_digest, &digests, &project.property, &design.plantings, stock));
        let transplanting: Arc<Transplanting> = self.memo.get(TRANSPLANTS, key, || {
            let borrowed: Vec<&Arrangement> = arrangements.iter().map(AsRef::as_ref).collect();
            assign(project, &plot, &borrowed)
        });
        progress.done(TRANSPLANTS.name);

        let yard: Arc<Yard> =
            self.memo.get(YARD, key, || assemble(project, plot, arrangements, transplanting));
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

/// Bodies of all studies at a date and an age, from a yard that is placed.
pub fn solids(project: &Project, yard: &Yard, when: When) -> Vec<Solid> {
    let mut all = groundwright_site::study(project, yard).solids(when);
    all.extend(groundwright_planting::study(project, yard).solids(when));
    all.extend(groundwright_edging::study(project, yard).solids(when));
    all
}
