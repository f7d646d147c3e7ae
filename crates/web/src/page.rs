//! What the server knows of one page: what it looks at, what it was told, its trial.
//!
//! - In: a state of the project. Out: messages with what changed since the last.
//! - A page that does not read its messages is lost; it connects again and is told all.

use std::collections::BTreeMap;

use groundwright_handoff::{Align, Cell, Mark, Table};
use groundwright_job::Outcome;
use groundwright_plan::{ElementRef, Loaded};
use groundwright_units::{Reader, System};
use tokio::sync::mpsc::Sender;

use crate::book::Notice;
use crate::checks::causes;
use crate::desk::State;
use crate::explain;
use crate::fields::sheet;
use crate::messages::{
    CauseNews, ColumnNews, ElementNews, FigureNews, PictureNews, SheetNews, TableNews, Tell,
};
use crate::screen::{Look, Screen};
use crate::tags::Placed;

/// Tables that the page shows.
const TABLES: [&str; 2] = ["takeoff", "takeoff-basis"];

/// What a hand tries.
#[derive(Debug)]
pub struct Trial {
    /// Its number.
    pub seq: u32,
    /// The project as it would be.
    pub state: State,
    /// What drew the moved point, in words.
    pub drawn: String,
}

#[derive(Debug, Default)]
struct Told {
    revision: Option<u64>,
    undo: (bool, bool),
    trial: Option<u32>,
    stale: bool,
    figures: Vec<FigureNews>,
    elements: BTreeMap<String, ElementNews>,
    causes: Option<Vec<CauseNews>>,
    tables: Option<Vec<TableNews>>,
    pictures: Option<Vec<PictureNews>>,
    sheets: Vec<SheetNews>,
    drawn: String,
    notice: Notice,
    visit: Option<Tell>,
}

/// One page.
#[derive(Debug)]
pub struct Page {
    out: Sender<String>,
    lost: bool,
    /// Units that it speaks.
    pub system: System,
    /// Drawing and scale that it wants to see.
    pub wish: Option<(String, f64)>,
    /// Elements that the person works on.
    pub selected: Vec<ElementRef>,
    /// Whether it shows the first visit.
    pub visits: bool,
    /// What the hand tries.
    pub trial: Option<Trial>,
    screen: Screen,
    told: Told,
}

impl Page {
    /// A page that was told nothing yet.
    pub fn new(out: Sender<String>, system: System) -> Self {
        Self {
            out,
            lost: false,
            system,
            wish: None,
            selected: Vec::new(),
            visits: false,
            trial: None,
            screen: Screen::default(),
            told: Told::default(),
        }
    }

    /// Whether nobody reads its messages.
    pub fn is_lost(&self) -> bool {
        self.lost
    }

    /// Forgets what it was told: all is told again.
    pub fn forget(&mut self) {
        self.told = Told::default();
        self.screen = Screen::default();
    }

    /// Sends a message, or gives the page up.
    pub fn send(&mut self, tell: &Tell) {
        // Numbers of the project are finite, and all keys are texts.
        let Ok(text) = serde_json::to_string(tell) else { return };
        self.lost |= self.out.try_send(text).is_err();
    }

    /// Shows a drawing; whether anything of it changed.
    pub fn draw(&mut self, look: Look, marks: &[Mark]) -> bool {
        self.screen.look_at(look);
        let trial = self.trial.as_ref().map(|trial| trial.seq);
        let Some(tell) = self.screen.advance(marks, trial) else { return false };
        self.send(&tell);
        true
    }

    /// Shows tags at their places.
    pub fn tagged(&mut self, placed: &Placed) {
        let trial = self.trial.as_ref().map(|trial| trial.seq);
        if let Some(tell) = self.screen.tagged(&placed.look, &placed.tags, trial) {
            self.send(&tell);
        }
    }

    /// Tells what keeps folder and journal apart, when that changes.
    pub fn tell_notice(&mut self, notice: &Notice) {
        if self.told.notice != *notice {
            self.told.notice = notice.clone();
            self.send(&Tell::Notice { text: notice.text.clone(), settle: notice.settle });
        }
    }

    /// Tells what the first visit knows, when that changes.
    pub fn tell_visit(&mut self, tell: Tell) {
        if self.told.visit.as_ref() != Some(&tell) {
            self.send(&tell);
            self.told.visit = Some(tell);
        }
    }

    /// Tells what changed beside the drawing.
    pub fn tell_news(
        &mut self,
        revision: u64,
        undo: (bool, bool),
        loaded: &Loaded,
        outcome: &Outcome,
        reader: &Reader,
    ) {
        let trial = self.trial.as_ref().map(|trial| trial.seq);
        let figures = explain::figures(loaded, outcome, reader);
        let elements = explain::elements(loaded, outcome, reader);
        let pictures = crate::site::pictures(loaded);
        let causes = causes(&loaded.project, &outcome.findings, reader);
        let tables: Vec<TableNews> = TABLES
            .iter()
            .filter_map(|key| outcome.tables.iter().find(|table| table.key == *key))
            .map(|table| table_news(table, reader))
            .collect();
        let mut changed: BTreeMap<String, Option<ElementNews>> = elements
            .iter()
            .filter(|(name, news)| self.told.elements.get(*name) != Some(*news))
            .map(|(name, news)| (name.clone(), Some(news.clone())))
            .collect();
        let gone = self.told.elements.keys().filter(|name| !elements.contains_key(*name));
        changed.extend(gone.map(|name| (name.clone(), None)));

        let told = &mut self.told;
        let tell = Tell::News {
            revision,
            trial,
            undo,
            figures: (told.figures != figures).then(|| figures.clone()),
            elements: changed,
            causes: (told.causes.as_ref() != Some(&causes)).then(|| causes.clone()),
            tables: (told.tables.as_ref() != Some(&tables)).then(|| tables.clone()),
            stale: outcome.stale,
            pictures: (told.pictures.as_ref() != Some(&pictures)).then(|| pictures.clone()),
        };
        let is_news = match &tell {
            Tell::News { figures: None, elements, causes: None, tables: None, pictures: None, .. } => {
                !elements.is_empty()
                    || trial.is_some()
                    || (told.revision, told.undo, told.trial, told.stale)
                        != (Some(revision), undo, trial, outcome.stale)
            }
            _ => true,
        };
        told.figures = figures;
        told.elements = elements;
        told.causes = Some(causes);
        told.tables = Some(tables);
        told.pictures = Some(pictures);
        (told.revision, told.undo, told.trial, told.stale) = (Some(revision), undo, trial, outcome.stale);
        self.tell_sheets(loaded, reader);
        if is_news {
            self.send(&tell);
        }
    }

    fn tell_sheets(&mut self, loaded: &Loaded, reader: &Reader) {
        let sheets: Vec<SheetNews> =
            self.selected.iter().filter_map(|element| sheet(loaded, element, reader)).collect();
        let drawn = self.trial.as_ref().map(|trial| trial.drawn.clone()).unwrap_or_default();
        if sheets != self.told.sheets || drawn != self.told.drawn {
            self.send(&Tell::Sheets { sheets: sheets.clone(), drawn: drawn.clone() });
            self.told.sheets = sheets;
            self.told.drawn = drawn;
        }
    }
}

/// A table with its numbers in the reader's units.
fn table_news(table: &Table, reader: &Reader) -> TableNews {
    let cell = |cell: &Cell| match cell {
        Cell::Text(text) | Cell::Italic(text) => text.clone(),
        Cell::Datum(datum) => datum.show(reader),
        Cell::Empty => String::new(),
    };
    TableNews {
        key: table.key.to_owned(),
        title: table.title.clone(),
        columns: table
            .columns
            .iter()
            .map(|column| ColumnNews { title: column.title.clone(), number: column.align == Align::Right })
            .collect(),
        rows: table.rows.iter().map(|row| row.iter().map(cell).collect()).collect(),
        notes: table.notes.clone(),
    }
}
