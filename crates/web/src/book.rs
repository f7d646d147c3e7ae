//! The project's texts while the app holds them: revisions, undo and redo.
//!
//! - In: commands on a base revision. Out: the new head, or why not.
//! - Two hands conflict only where both changed the same field of the same element.
//! - A commit carries an id of the page's making; what is sent again is kept once.

use std::collections::BTreeMap;

use groundwright_plan::{Command, EditError, ElementRef, Fault, Loaded, Sources, apply, read_project};

/// Why a commit is not kept.
#[derive(Debug, thiserror::Error)]
pub enum Refusal {
    /// A command cannot be done.
    #[error("{0}")]
    Edit(#[from] EditError),
    /// The project would no longer read.
    #[error("{}", words(.0))]
    Unreadable(Vec<Fault>),
    /// Somebody else changed the same thing meanwhile.
    #[error("{element}: `{field}` was changed in another window meanwhile; look at it and do it again")]
    Conflict {
        /// The element.
        element: ElementRef,
        /// The field.
        field: String,
    },
    /// There is nothing to take back or to bring back.
    #[error("there is nothing to {0}")]
    Nothing(&'static str),
}

/// Faults as one text, the first of them in full.
pub fn words(faults: &[Fault]) -> String {
    let Some(first) = faults.first() else { return "the project does not read".to_owned() };
    let expected =
        if first.expected.is_empty() { String::new() } else { format!("; expected {}", first.expected) };
    let remedy = if first.remedy.is_empty() { String::new() } else { format!("; {}", first.remedy) };
    let more = if faults.len() > 1 { format!(" (and {} more)", faults.len() - 1) } else { String::new() };
    format!("{}{expected}{remedy}{more}", first.problem)
}

/// One revision: what it changed, and the texts before it.
#[derive(Debug, Clone)]
struct Step {
    before: Sources,
    after: Sources,
    touched: Vec<(ElementRef, String)>,
}

/// The project's texts with their past.
#[derive(Debug, Clone)]
pub struct Book {
    head: Sources,
    revision: u64,
    past: Vec<Step>,
    future: Vec<Step>,
    /// What each revision touched, for conflicts.
    touched: Vec<Vec<(ElementRef, String)>>,
    /// Revisions by the commit's id.
    kept: BTreeMap<String, u64>,
}

impl Book {
    /// A book that begins with these texts.
    pub fn new(sources: Sources) -> Self {
        Self {
            head: sources,
            revision: 0,
            past: Vec::new(),
            future: Vec::new(),
            touched: Vec::new(),
            kept: BTreeMap::new(),
        }
    }

    /// The texts now.
    pub fn head(&self) -> &Sources {
        &self.head
    }

    /// The revision now.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// Whether something can be taken back, and whether something can be brought back.
    pub fn can(&self) -> (bool, bool) {
        (!self.past.is_empty(), !self.future.is_empty())
    }

    /// The revision of a commit that was kept already.
    pub fn known(&self, id: &str) -> Option<u64> {
        self.kept.get(id).copied()
    }

    /// Keeps commands that were made on `base`; gives the project as it reads now.
    ///
    /// # Errors
    /// See [`Refusal`]; nothing is changed then.
    pub fn commit(&mut self, id: &str, base: u64, commands: &[Command]) -> Result<Loaded, Refusal> {
        let touched: Vec<(ElementRef, String)> = commands.iter().filter_map(touches).collect();
        for theirs in self.touched.iter().skip(base as usize).flatten() {
            if let Some((element, field)) = touched.iter().find(|ours| meet(ours, theirs)) {
                return Err(Refusal::Conflict { element: element.clone(), field: field.clone() });
            }
        }
        let after = applied(&self.head, commands)?;
        let loaded = read_project(after.clone()).map_err(Refusal::Unreadable)?;
        self.past.push(Step { before: self.head.clone(), after: after.clone(), touched: touched.clone() });
        self.future.clear();
        self.turn(id, after, touched);
        Ok(loaded)
    }

    /// Takes back the last change.
    ///
    /// # Errors
    /// When there is none.
    pub fn undo(&mut self, id: &str) -> Result<Loaded, Refusal> {
        let step = self.past.pop().ok_or(Refusal::Nothing("undo"))?;
        let loaded = read_project(step.before.clone()).map_err(Refusal::Unreadable)?;
        self.turn(id, step.before.clone(), step.touched.clone());
        self.future.push(step);
        Ok(loaded)
    }

    /// Brings back what was taken back.
    ///
    /// # Errors
    /// When there is nothing.
    pub fn redo(&mut self, id: &str) -> Result<Loaded, Refusal> {
        let step = self.future.pop().ok_or(Refusal::Nothing("redo"))?;
        let loaded = read_project(step.after.clone()).map_err(Refusal::Unreadable)?;
        self.turn(id, step.after.clone(), step.touched.clone());
        self.past.push(step);
        Ok(loaded)
    }

    fn turn(&mut self, id: &str, head: Sources, touched: Vec<(ElementRef, String)>) {
        self.head = head;
        self.revision += 1;
        self.touched.push(touched);
        self.kept.insert(id.to_owned(), self.revision);
    }
}

/// Texts after commands, in order.
///
/// # Errors
/// The first command that cannot be done.
pub fn applied(sources: &Sources, commands: &[Command]) -> Result<Sources, EditError> {
    commands.iter().try_fold(sources.clone(), |sources, command| apply(&sources, command))
}

/// Element and field that a command changes; an empty field stands for all of them. The page sends
/// no commands about what lies outside elements.
fn touches(command: &Command) -> Option<(ElementRef, String)> {
    let field = match command {
        Command::Set { field, .. } | Command::Clear { field, .. } => field.clone(),
        _ => String::new(),
    };
    Some((command.element()?.clone(), field))
}

fn meet(ours: &(ElementRef, String), theirs: &(ElementRef, String)) -> bool {
    let inside = |a: &str, b: &str| a.is_empty() || a == b || b.starts_with(&format!("{a}."));
    ours.0 == theirs.0 && (inside(&ours.1, &theirs.1) || inside(&theirs.1, &ours.1))
}
