//! The desk: one thread that holds the project, and answers every page in turn.
//!
//! - In: events from pages and from the thread that places tags. Out: messages to pages.
//! - A trial is computed on the project in memory and forgotten; of trials that wait, only the
//!   newest of a page is computed. A commit changes the head, and every page is told.
//! - No answer waits for tags: they are placed behind (`tags.rs`).

use std::collections::{BTreeMap, VecDeque};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::Duration;

use groundwright_handoff::{Drawing, When};
use groundwright_job::{Behind, Job, Outcome};
use groundwright_package::{Lie, lie};
use groundwright_plan::{ElementRef, Fault, Loaded, Rereader, Side};
use groundwright_store::CommitError;
use groundwright_units::{Reader, System};
use tokio::sync::mpsc::Sender as PageSender;
use tokio::sync::oneshot;

use crate::book::{Book, Closed, applied, words};
use crate::element_name::{element_of, name_of};
use crate::hand::{Bench, HandError, Made, commands, spot};
use crate::messages::{Ask, Edit, FaultNews, LieNews, Spot, Tell};
use crate::page::Page;
use crate::palette;
use crate::plants::plants;
use crate::screen::Look;
use crate::site;
use crate::snapping::Magnets;
use crate::studying::{self, Studied, ToStudy};
use crate::tags::{self, Placed, Wanted};
use crate::weighing::{self, ToWeigh, Weighed};

/// Number of a page's connection.
pub type PageId = u64;

/// What happens at the desk.
#[derive(Debug)]
pub enum Event {
    /// A page connects.
    Open {
        /// Its number.
        page: PageId,
        /// Where its messages go.
        out: PageSender<String>,
    },
    /// A page asks.
    Ask {
        /// Its number.
        page: PageId,
        /// What.
        ask: Ask,
    },
    /// A page's connection ends.
    Close {
        /// Its number.
        page: PageId,
    },
    /// Tags have their places.
    Tags(Placed),
    /// What is worth measuring was weighed.
    Weighed(Weighed),
    /// A page brings a picture.
    Picture {
        /// Its bytes.
        bytes: Vec<u8>,
        /// Media type and ending.
        kind: (&'static str, &'static str),
        /// Told its name below the project folder, or why it is not kept.
        reply: oneshot::Sender<Result<String, String>>,
    },
    /// Levels, water and sun were studied.
    Studied(Box<Studied>),
}

/// Drawings that can be looked at: name and title.
const DRAWINGS: [(&str, &str, Drawing); 13] = [
    ("planting", "Planting", Drawing::Planting),
    ("ground", "Ground", Drawing::Ground),
    ("transplants", "Transplants", Drawing::Transplants),
    ("existing", "Existing", Drawing::Existing),
    ("survey", "Survey", Drawing::Survey),
    ("levels", "Levels", Drawing::Levels),
    ("drainage", "Ways of water", Drawing::Drainage),
    ("sun", "Hours of sun", Drawing::Sun),
    ("shadows", "Shadows at noon", Drawing::Shadows),
    ("lights", "Lights", Drawing::Lighting),
    ("night", "After dark", Drawing::Night),
    ("irrigation", "Irrigation", Drawing::Irrigation),
    ("evenness", "Evenness of water", Drawing::Evenness),
];

/// How long nothing happens before the folder is looked at for what other programs changed.
const LOOK_ROUND: Duration = Duration::from_secs(2);

/// Starts the desk for a project folder; it ends when the last sender is dropped.
pub fn start(folder: PathBuf, author: String) -> std::io::Result<Sender<Event>> {
    let (sender, receiver) = channel();
    let tags = tags::start(sender.clone());
    let weigher = weighing::start(sender.clone());
    let studies = studying::start(sender.clone());
    std::thread::Builder::new().name("desk".to_owned()).spawn(move || {
        Desk::new(folder, author, tags, weigher, studies).work(&receiver);
    })?;
    Ok(sender)
}

/// A state of the project with what follows from it, in the units that were asked for so far.
#[derive(Debug, Clone)]
pub struct State {
    /// The project.
    pub loaded: Arc<Loaded>,
    outcomes: [Option<Arc<Outcome>>; 2],
}

fn slot(system: System) -> usize {
    usize::from(system == System::Metric)
}

/// The head that all pages share.
struct Head {
    book: Book,
    state: State,
    lie: Lie,
}

struct Desk {
    folder: PathBuf,
    author: String,
    job: Job,
    head: Result<Box<Head>, Closed>,
    pages: BTreeMap<PageId, Page>,
    tags: Sender<Wanted>,
    weigher: Sender<ToWeigh>,
    /// The newest revision that was given to be weighed.
    given: Option<u64>,
    weighed: Option<Weighed>,
    studies: Sender<ToStudy>,
    /// Reads what a hand tries.
    files: Rereader,
    /// The newest revision that was given to be studied, in which units.
    studying: Option<(u64, Vec<System>)>,
    behind: Shelf,
}

/// What was studied behind last, by the units of its words.
type Shelf = [Option<Arc<Behind>>; 2];

impl Desk {
    fn new(
        folder: PathBuf,
        author: String,
        tags: Sender<Wanted>,
        weigher: Sender<ToWeigh>,
        studies: Sender<ToStudy>,
    ) -> Self {
        let mut job = Job::live();
        let head = open(&folder, &author, &mut job);
        Self {
            folder,
            author,
            job,
            head,
            pages: BTreeMap::new(),
            tags,
            weigher,
            given: None,
            weighed: None,
            studies,
            studying: None,
            behind: [None, None],
            files: Rereader::default(),
        }
    }

    fn work(mut self, receiver: &Receiver<Event>) {
        let mut waiting: VecDeque<Event> = VecDeque::new();
        loop {
            if waiting.is_empty() {
                match receiver.recv_timeout(LOOK_ROUND) {
                    Ok(event) => waiting.push_back(event),
                    Err(RecvTimeoutError::Timeout) => self.look_round(),
                    Err(RecvTimeoutError::Disconnected) => return,
                }
            }
            waiting.extend(receiver.try_iter());
            if let Some(event) = waiting.pop_front()
                && !is_outdated(&event, &waiting)
            {
                self.event(event);
            }
        }
    }

    fn event(&mut self, event: Event) {
        match event {
            Event::Open { page, out } => {
                let system =
                    self.head.as_ref().map_or(System::Us, |h| h.state.loaded.project.property.system);
                self.pages.insert(page, Page::new(out, system));
                self.welcome(page);
                self.refresh(page);
            }
            Event::Close { page } => {
                self.pages.remove(&page);
            }
            Event::Ask { page, ask } => self.ask(page, ask),
            Event::Weighed(weighed) => {
                self.weighed = Some(weighed);
                let visiting = self.pages.iter().filter(|(_, page)| page.visits).map(|(id, _)| *id);
                for page in visiting.collect::<Vec<_>>() {
                    self.tell_visit(page);
                }
            }
            Event::Picture { bytes, kind, reply } => {
                let kept = match &self.head {
                    Ok(head) => head.book.attach(&bytes, kind).map_err(|why| why.to_string()),
                    Err(_) => Err("the project does not read; mend its files first".to_owned()),
                };
                // A page that is gone does not ask again.
                let _ = reply.send(kept);
            }
            Event::Studied(studied) => self.studied(*studied),
            Event::Tags(placed) => {
                if let Some(page) = self.pages.get_mut(&placed.page) {
                    page.tagged(&placed);
                }
            }
        }
        self.pages.retain(|_, page| !page.is_lost());
    }

    /// Takes in what was studied behind; every page is told.
    fn studied(&mut self, studied: Studied) {
        self.behind[slot(studied.system)] = Some(Arc::new(studied.behind));
        if let Ok(head) = self.head.as_mut() {
            head.state.outcomes[slot(studied.system)] = None;
        }
        for id in self.pages.keys().copied().collect::<Vec<_>>() {
            if let Some(trial) = self.pages.get_mut(&id).and_then(|page| page.trial.as_mut()) {
                trial.state.outcomes[slot(studied.system)] = None;
            }
            self.refresh(id);
        }
    }

    /// Has a new revision studied, in the units of the pages that are open.
    fn study(&mut self) {
        let Ok(head) = self.head.as_ref() else { return };
        let revision = head.book.revision();
        let systems = [System::Us, System::Metric];
        let used = |system: &System| self.pages.values().any(|page| page.system == *system);
        let systems: Vec<System> = systems.into_iter().filter(used).collect();
        let enough = |(known, of): &(u64, Vec<System>)| {
            *known == revision && systems.iter().all(|system| of.contains(system))
        };
        if systems.is_empty() || self.studying.as_ref().is_some_and(enough) {
            return;
        }
        self.studying = Some((revision, systems.clone()));
        // Without the thread what was studied stays stale, which the page says.
        let _ = self.studies.send(ToStudy { loaded: head.state.loaded.clone(), systems });
    }

    fn ask(&mut self, id: PageId, ask: Ask) {
        if self.head.is_err() {
            self.head = open(&self.folder, &self.author, &mut self.job);
            let pages: Vec<PageId> = self.pages.keys().copied().collect();
            for page in pages {
                self.welcome(page);
            }
        }
        let Some(page) = self.pages.get_mut(&id) else { return };
        match ask {
            Ask::Look { drawing, scale } => {
                if scale.is_finite() && DRAWINGS.iter().any(|(name, _, _)| *name == drawing) {
                    page.wish = Some((drawing, scale.clamp(5.0, 5_000.0)));
                    self.refresh(id);
                }
            }
            Ask::Units { system } => {
                page.system = if system == "metric" { System::Metric } else { System::Us };
                self.welcome(id);
                self.refresh(id);
            }
            Ask::Trial { seq, edits } => self.trial(id, seq, &edits),
            Ask::Visit { on } => {
                page.visits = on;
                self.tell_visit(id);
            }
            Ask::Drop => {
                page.trial = None;
                self.refresh(id);
            }
            Ask::Commit { id: commit, base, edits } => self.commit(id, commit, base, &edits),
            Ask::Undo { id: commit } => self.turn(id, commit, Book::undo),
            Ask::Redo { id: commit } => self.turn(id, commit, Book::redo),
            Ask::Select { elements } => {
                page.selected = elements.iter().take(500).filter_map(|name| element_of(name)).collect();
                self.refresh(id);
            }
            Ask::Settle { keep } => self.settle(id, if keep == "files" { Side::Theirs } else { Side::Ours }),
            Ask::Measure { seq, points, reach } => self.measure(id, seq, &points, reach),
            Ask::Plants { seq, bed, words } => {
                let reader = Reader::new(page.system);
                if let (Some(bed), Some((state, outcome))) = (element_of(&bed), self.state_of(id)) {
                    let (total, plants) = plants(&state.loaded, &outcome, &bed, &words, &reader);
                    self.send(id, &Tell::Plants { seq, total, plants });
                }
            }
        }
    }

    /// What a page sees: its trial, or the head.
    fn state_of(&mut self, id: PageId) -> Option<(State, Arc<Outcome>)> {
        let page = self.pages.get_mut(&id)?;
        let head = self.head.as_mut().ok()?;
        let state = page.trial.as_mut().map_or(&mut head.state, |trial| &mut trial.state);
        let outcome = outcome(&mut self.job, state, page.system, &self.behind);
        Some((state.clone(), outcome))
    }

    fn trial(&mut self, id: PageId, seq: u32, edits: &[Edit]) {
        let made = self.made(id, edits);
        let Some(page) = self.pages.get_mut(&id) else { return };
        let Ok(head) = self.head.as_mut() else { return };
        let tried = made.and_then(|made| {
            let sources = applied(&head.state.loaded.sources, &made.commands)?;
            let loaded = self.files.read(sources).map_err(|faults| HandError::Unreadable(words(&faults)))?;
            Ok((made.drawn, loaded))
        });
        match tried {
            Ok((drawn, loaded)) => {
                let state = State { loaded: Arc::new(loaded), outcomes: [None, None] };
                let before = page.trial.replace(crate::page::Trial { seq, state, drawn });
                self.refresh(id);
                // To take a project apart takes a while, which nobody should wait for.
                drop(before);
            }
            Err(why) => {
                page.send(&Tell::Refused { id: String::new(), trial: Some(seq), why: why.to_string() });
            }
        }
    }

    /// Edits as commands on the head.
    fn made(&mut self, id: PageId, edits: &[Edit]) -> Result<Made, HandError> {
        let gone = || HandError::NoElement("project".to_owned());
        let page = self.pages.get(&id).ok_or_else(gone)?;
        let head = self.head.as_mut().map_err(|_| gone())?;
        let outcome = outcome(&mut self.job, &mut head.state, page.system, &self.behind);
        let bench = Bench {
            loaded: &head.state.loaded,
            outcome: &outcome,
            reader: Reader::new(page.system),
            square: -head.lie.rotation,
        };
        commands(bench, edits)
    }

    fn commit(&mut self, id: PageId, commit: String, base: u64, edits: &[Edit]) {
        if let Some(revision) = self.head.as_ref().ok().and_then(|head| head.book.known(&commit)) {
            self.send(id, &Tell::Kept { id: commit, revision, added: Vec::new() });
            return;
        }
        let made = self.made(id, edits).map_err(|e| e.to_string());
        let Ok(head) = self.head.as_mut() else { return };
        let kept = made.and_then(|made| {
            let loaded = head.book.commit(&commit, base, &made.commands).map_err(|e| e.to_string())?;
            Ok((loaded, made.added))
        });
        match kept {
            Ok((loaded, added)) => self.kept(id, commit, loaded, &added),
            Err(why) => self.refuse(id, commit, why),
        }
    }

    fn turn(
        &mut self,
        id: PageId,
        commit: String,
        turn: impl FnOnce(&mut Book, &str) -> Result<Loaded, CommitError>,
    ) {
        let Ok(head) = self.head.as_mut() else { return };
        if let Some(revision) = head.book.known(&commit) {
            self.send(id, &Tell::Kept { id: commit, revision, added: Vec::new() });
            return;
        }
        match turn(&mut head.book, &commit) {
            Ok(loaded) => self.kept(id, commit, loaded, &[]),
            Err(why) => self.refuse(id, commit, why.to_string()),
        }
    }

    fn kept(&mut self, id: PageId, commit: String, loaded: Loaded, added: &[ElementRef]) {
        if let Some(page) = self.pages.get_mut(&id) {
            page.trial = None;
        }
        let Some(revision) = self.head.as_ref().ok().map(|head| head.book.revision()) else { return };
        let added = added.iter().map(name_of).collect();
        self.send(id, &Tell::Kept { id: commit, revision, added });
        self.renew(loaded);
    }

    /// Takes a new head and tells every page.
    fn renew(&mut self, loaded: Loaded) {
        let Ok(head) = self.head.as_mut() else { return };
        head.state = State { loaded: Arc::new(loaded), outcomes: [None, None] };
        let system = head.state.loaded.project.property.system;
        let outcome = outcome(&mut self.job, &mut head.state, system, &self.behind);
        let now = lie(&head.state.loaded.project, &outcome.yard.plot, false);
        let turned = !is_same(now, head.lie);
        if turned {
            head.lie = now;
        }
        for page in self.pages.keys().copied().collect::<Vec<_>>() {
            if turned {
                self.welcome(page);
            }
            self.refresh(page);
        }
    }

    /// Takes in what another program changed in the folder.
    fn look_round(&mut self) {
        if self.pages.is_empty() {
            return;
        }
        if let Some(loaded) = self.head.as_mut().ok().and_then(|head| head.book.look_round()) {
            self.renew(loaded);
        }
    }

    fn settle(&mut self, id: PageId, keep: Side) {
        let Ok(head) = self.head.as_mut() else { return };
        match head.book.settle(keep) {
            Ok(loaded) => self.renew(loaded),
            Err(why) => self.refuse(id, String::new(), why.to_string()),
        }
    }

    fn refuse(&mut self, id: PageId, commit: String, why: String) {
        if let Some(page) = self.pages.get_mut(&id) {
            page.trial = None;
            page.send(&Tell::Refused { id: commit, trial: None, why });
        }
        self.refresh(id);
    }

    fn measure(&mut self, id: PageId, seq: u32, points: &[Spot], reach: Option<f64>) {
        let Some((_, outcome)) = self.state_of(id) else { return };
        let Some(system) = self.pages.get(&id).map(|page| page.system) else { return };
        let square = self.head.as_ref().map_or(0.0, |head| -head.lie.rotation);
        let reader = Reader::new(system);
        let mut drawn = Vec::new();
        for point in points.iter().take(1000) {
            let Ok(point) = spot(*point) else { return };
            let plot = &outcome.yard.plot;
            let magnets = Magnets { plot, own: None, from: drawn.last().copied(), square };
            drawn.push(reach.map_or(point, |reach| magnets.draw(point, reach, reader).at));
        }
        let words = crate::measure::words(&drawn, reader);
        self.send(id, &Tell::Measured { seq, points: drawn.iter().map(|p| [p.x, p.y]).collect(), words });
    }

    fn send(&mut self, id: PageId, tell: &Tell) {
        if let Some(page) = self.pages.get_mut(&id) {
            page.send(tell);
        }
    }

    fn welcome(&mut self, id: PageId) {
        let Some(page) = self.pages.get_mut(&id) else { return };
        page.forget();
        match &self.head {
            Err(Closed::Faults(faults)) => {
                page.send(&Tell::Faults { faults: faults.iter().map(fault_news).collect() });
            }
            Err(Closed::Journal(why)) => {
                let fault = FaultNews { at: String::new(), text: why.clone() };
                page.send(&Tell::Faults { faults: vec![fault] });
            }
            Ok(head) => page.send(&Tell::Welcome {
                name: head.state.loaded.project.property.name.clone(),
                system: if page.system == System::Us { "us" } else { "metric" }.to_owned(),
                lie: LieNews {
                    rotation: head.lie.rotation,
                    north: head.lie.north,
                    centre: [head.lie.centre.x, head.lie.centre.y],
                    width: head.lie.width,
                    height: head.lie.height,
                },
                drawings: DRAWINGS
                    .iter()
                    .map(|(name, title, _)| [*name, *title].map(str::to_owned))
                    .collect(),
                colours: palette::news(),
                square: -head.lie.rotation,
            }),
        }
    }

    /// Tells a page what changed since it was told last.
    fn refresh(&mut self, id: PageId) {
        let Some((state, outcome)) = self.state_of(id) else { return };
        let (Some(page), Ok(head)) = (self.pages.get_mut(&id), self.head.as_ref()) else { return };
        let trial = page.trial.as_ref().map(|trial| trial.seq);
        if let Some((name, scale)) = &page.wish
            && let Some((_, _, drawing)) = DRAWINGS.iter().find(|(known, _, _)| known == name)
        {
            let look = Look {
                drawing: *drawing,
                name: name.clone(),
                scale: *scale,
                rotation: head.lie.rotation,
                centre: head.lie.centre,
                reach: head.lie.width.max(head.lie.height) + 20.0,
            };
            let drew = page.draw(look.clone(), &outcome.marks);
            if drew && trial.is_none() {
                // While the hand moves, tags stay where they are; a thread that is gone places none.
                let marks = Arc::new(outcome.marks.clone());
                let _ = self.tags.send(Wanted { page: id, look, marks });
            }
        }
        let reader = Reader::new(page.system);
        page.tell_notice(head.book.notice());
        page.tell_news(head.book.revision(), head.book.can(), &state.loaded, &outcome, &reader);
        self.tell_visit(id);
        self.study();
    }

    /// Tells a page that shows the first visit what is known; has a new revision weighed.
    fn tell_visit(&mut self, id: PageId) {
        if !self.pages.get(&id).is_some_and(|page| page.visits && page.trial.is_none()) {
            return;
        }
        let Some((state, outcome)) = self.state_of(id) else { return };
        let Some(revision) = self.head.as_ref().ok().map(|head| head.book.revision()) else { return };
        if self.given != Some(revision) {
            self.given = Some(revision);
            // Without the thread nothing is weighed, and the list stays empty.
            let _ = self.weigher.send(ToWeigh { revision, loaded: state.loaded.clone() });
        }
        let weighed = self.weighed.as_ref().map(|one| (one.worth.as_slice(), one.revision != revision));
        let Some(page) = self.pages.get_mut(&id) else { return };
        page.tell_visit(site::news(&state.loaded, &outcome, &Reader::new(page.system), weighed));
    }
}

/// Whether a trial waits that makes this one needless.
fn is_outdated(event: &Event, waiting: &VecDeque<Event>) -> bool {
    let Event::Ask { page, ask: Ask::Trial { .. } } = event else { return false };
    waiting.iter().any(|later| {
        matches!(later, Event::Ask { page: other, ask: Ask::Trial { .. } | Ask::Drop | Ask::Commit { .. } }
            if other == page)
    })
}

/// Opens the folder and computes all that follows from it.
fn open(folder: &std::path::Path, author: &str, job: &mut Job) -> Result<Box<Head>, Closed> {
    let (book, loaded) = Book::open(folder, author)?;
    let system = loaded.project.property.system;
    let mut state = State { loaded: Arc::new(loaded), outcomes: [None, None] };
    let outcome = outcome(job, &mut state, system, &[None, None]);
    let lie = lie(&state.loaded.project, &outcome.yard.plot, false);
    Ok(Box::new(Head { book, state, lie }))
}

/// What follows from a state, for a reader of these units.
fn outcome(job: &mut Job, state: &mut State, system: System, behind: &Shelf) -> Arc<Outcome> {
    let known = &mut state.outcomes[slot(system)];
    if let Some(outcome) = known {
        return outcome.clone();
    }
    let project = &state.loaded.project;
    let when = When::years(0.0);
    let behind = behind[slot(system)].as_deref();
    let outcome = Arc::new(if project.property.system == system {
        job.run_beside(project, when, behind, &mut ())
    } else {
        // Words on the drawing follow the reader's units, not the file's.
        let mut project = project.clone();
        project.property.system = system;
        job.run_beside(&project, when, behind, &mut ())
    });
    *known = Some(outcome.clone());
    outcome
}

/// Whether two lies differ by less than anybody sees.
fn is_same(a: Lie, b: Lie) -> bool {
    (a.rotation - b.rotation).abs() < 1e-9
        && (a.north - b.north).abs() < 1e-9
        && a.centre.distance(b.centre) < 1.0
        && (a.width - b.width).abs() < 2.0
        && (a.height - b.height).abs() < 2.0
}

fn fault_news(fault: &Fault) -> FaultNews {
    FaultNews { at: format!("{}:{}:{}", fault.file, fault.line, fault.column), text: fault.to_string() }
}
