//! Edits: commands on a base revision, undo and redo.
//!
//! - In: commands with the revision that their author saw. Out: the new head, or why not.
//! - Method: commands are tried on their base; what they change there is brought together with what
//!   others changed since, by element and field. Renamings since the base are followed.
//! - Undo takes back the author's own newest edit, also when others have edited since.

use groundwright_plan::{Command, ElementRef, Loaded, MergeError, Sources, apply, merge, read_project};
use jiff::Timestamp;
use rusqlite::{Connection, params};

use crate::error::{CommitError, StoreError};
use crate::journal::{self, Cause, Committed, Entry, ProjectId, RevisionId, Store};

/// What an author can take back and bring back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize)]
pub struct Reach {
    /// The edit that undo would take back.
    pub undo: Option<RevisionId>,
    /// The edit that redo would bring back.
    pub redo: Option<RevisionId>,
}

impl Store {
    /// Applies commands that were made on `base`, all or none. When this returns, they are on disk.
    ///
    /// `request` is the sender's own name for this edit: sent again, it is kept once, and the answer
    /// is the head. Commands that change nothing add no revision.
    ///
    /// # Errors
    /// - [`CommitError::Edit`]: a command cannot be applied to its base.
    /// - [`CommitError::Conflict`]: somebody changed the same field of the same element since.
    /// - [`CommitError::Faults`]: the project would not read any more.
    /// - [`CommitError::Store`]: the journal cannot be used, or knows no such project or revision.
    pub fn commit(
        &self,
        project: ProjectId,
        base: RevisionId,
        commands: &[Command],
        request: Option<&str>,
        author: &str,
        now: Timestamp,
    ) -> Result<Committed, CommitError> {
        let mut connection = self.connection();
        let transaction = Self::begin(&mut connection)?;
        journal::known(&transaction, project, base)?;
        let head = journal::head(&transaction, project)?;
        let sent_again = match request {
            Some(request) => journal::by_request(&transaction, project, request)?.is_some(),
            None => false,
        };
        if sent_again {
            return Ok(Committed { revision: head.revision, loaded: read(head.sources)? });
        }
        let wanted = if base == head.revision {
            apply_all(&head.sources, commands)?
        } else {
            bring_together(&transaction, project, base, &head.sources, commands)?
        };
        let loaded = read(wanted)?;
        if loaded.sources == head.sources {
            return Ok(Committed { revision: head.revision, loaded });
        }
        let entry = Entry { at: now, author, cause: Cause::Edit, other: None, commands, request };
        let revision = journal::add(&transaction, project, &head.sources, &loaded.sources, &entry)?;
        transaction.commit()?;
        Ok(Committed { revision, loaded })
    }

    /// The revision that a request made, if it was kept: also before the program was started anew.
    ///
    /// # Errors
    /// The journal cannot be read.
    pub fn kept(&self, project: ProjectId, request: &str) -> Result<Option<RevisionId>, StoreError> {
        journal::by_request(&self.connection(), project, request)
    }

    /// Takes back the newest edit of `author` that still stands, as a new revision; a `request` that
    /// comes again is done once.
    ///
    /// # Errors
    /// As [`Store::commit`]; [`CommitError::Nothing`] where nothing is left.
    pub fn undo(
        &self,
        project: ProjectId,
        request: Option<&str>,
        author: &str,
        now: Timestamp,
    ) -> Result<Committed, CommitError> {
        self.turn(project, request, author, now, Cause::Undo)
    }

    /// Brings back what `author` took back last, as a new revision; not after a newer edit of theirs.
    /// A `request` that comes again is done once.
    ///
    /// # Errors
    /// As [`Store::commit`]; [`CommitError::Nothing`] where nothing is left.
    pub fn redo(
        &self,
        project: ProjectId,
        request: Option<&str>,
        author: &str,
        now: Timestamp,
    ) -> Result<Committed, CommitError> {
        self.turn(project, request, author, now, Cause::Redo)
    }

    /// What undo and redo of `author` would do.
    ///
    /// # Errors
    /// There is no such project, or the journal cannot be read.
    pub fn reach(&self, project: ProjectId, author: &str) -> Result<Reach, StoreError> {
        let connection = self.connection();
        journal::newest(&connection, project)?;
        let stacks = Stacks::of(&connection, project, author)?;
        Ok(Reach { undo: stacks.done.last().copied(), redo: stacks.undone.last().copied() })
    }

    fn turn(
        &self,
        project: ProjectId,
        request: Option<&str>,
        author: &str,
        now: Timestamp,
        cause: Cause,
    ) -> Result<Committed, CommitError> {
        let mut connection = self.connection();
        let transaction = Self::begin(&mut connection)?;
        let head = journal::head(&transaction, project)?;
        if let Some(request) = request
            && journal::by_request(&transaction, project, request)?.is_some()
        {
            return Ok(Committed { revision: head.revision, loaded: read(head.sources)? });
        }
        let stacks = Stacks::of(&transaction, project, author)?;
        let (edit, word) = match cause {
            Cause::Undo => (stacks.done.last(), "take back"),
            _ => (stacks.undone.last(), "bring back"),
        };
        let edit = *edit.ok_or(CommitError::Nothing(word))?;
        let (before, after) = sides(&transaction, project, edit, cause)?;
        let merged = merged(&after, &head.sources, &before)?;
        let loaded = read(merged)?;
        let entry = Entry { at: now, author, cause, other: Some(edit), commands: &[], request };
        let revision = journal::add(&transaction, project, &head.sources, &loaded.sources, &entry)?;
        transaction.commit()?;
        Ok(Committed { revision, loaded })
    }
}

/// Texts that were there before a step, and texts after it, where the step is to be taken back.
fn sides(
    connection: &Connection,
    project: ProjectId,
    edit: RevisionId,
    cause: Cause,
) -> Result<(Sources, Sources), StoreError> {
    // An edit stands as it was made or as it was brought back last; it went as it was taken back last.
    let opposite = if cause == Cause::Undo { Cause::Redo } else { Cause::Undo };
    let step: Option<i64> = connection
        .prepare_cached("SELECT max(number) FROM revision WHERE project = ?1 AND cause = ?2 AND other = ?3")?
        .query_row(params![project.0, opposite.word(), edit.0], |row| row.get(0))?;
    let step = step.map_or(edit, RevisionId);
    let settled: Option<i64> = connection
        .prepare_cached(
            "SELECT other FROM revision WHERE project = ?1 AND number = ?2 AND cause = 'settled'",
        )?
        .query_row(params![project.0, step.0], |row| row.get(0))
        .or_else(|error| match error {
            rusqlite::Error::QueryReturnedNoRows => Ok(None),
            other => Err(other),
        })?;
    let before = RevisionId(settled.unwrap_or(step.0 - 1));
    Ok((journal::texts(connection, project, before)?, journal::texts(connection, project, step)?))
}

/// The edits of one author, by what can be done with them.
#[derive(Debug, Default)]
struct Stacks {
    done: Vec<RevisionId>,
    undone: Vec<RevisionId>,
}

impl Stacks {
    fn of(connection: &Connection, project: ProjectId, author: &str) -> Result<Self, StoreError> {
        let mut rows = connection.prepare_cached(
            "SELECT number, cause, other FROM revision WHERE project = ?1 AND author = ?2 ORDER BY number",
        )?;
        let mut rows = rows.query(params![project.0, author])?;
        let mut stacks = Self::default();
        while let Some(row) = rows.next()? {
            let number = RevisionId(row.get(0)?);
            let other = row.get::<_, Option<i64>>(2)?.map_or(number, RevisionId);
            match Cause::read(&row.get::<_, String>(1)?)? {
                Cause::Begun => {}
                Cause::Undo => pass(&mut stacks.done, &mut stacks.undone, other),
                Cause::Redo => pass(&mut stacks.undone, &mut stacks.done, other),
                Cause::Edit | Cause::Outside | Cause::Settled => {
                    stacks.done.push(number);
                    stacks.undone.clear();
                }
            }
        }
        Ok(stacks)
    }
}

fn pass(from: &mut Vec<RevisionId>, to: &mut Vec<RevisionId>, edit: RevisionId) {
    from.retain(|own| *own != edit);
    to.push(edit);
}

/// Reads the texts, so that nothing becomes the head that does not.
pub(crate) fn read(sources: Sources) -> Result<Loaded, CommitError> {
    read_project(sources).map_err(CommitError::Faults)
}

pub(crate) fn merged(base: &Sources, ours: &Sources, theirs: &Sources) -> Result<Sources, CommitError> {
    merge(base, ours, theirs, None).map_err(|error| match error {
        MergeError::Clashes(clashes) => CommitError::Conflict(clashes),
        MergeError::NotComparable(why) => StoreError::Damaged(why.to_string()).into(),
    })
}

fn apply_all(sources: &Sources, commands: &[Command]) -> Result<Sources, CommitError> {
    let mut changed = sources.clone();
    for command in commands {
        changed = apply(&changed, command)?;
    }
    Ok(changed)
}

/// The head with commands that were made on an older base.
fn bring_together(
    connection: &Connection,
    project: ProjectId,
    base: RevisionId,
    head: &Sources,
    commands: &[Command],
) -> Result<Sources, CommitError> {
    let mut start = journal::texts(connection, project, base)?;
    let mut commands = commands.to_vec();
    for (element, to) in renamings(connection, project, base, head)? {
        let renaming = Command::Rename { element: element.clone(), to: to.id.to_string() };
        // Where the name was free at the base, the commands meant the element under its old name.
        if let Ok(renamed) = apply(&start, &renaming) {
            start = renamed;
            for command in &mut commands {
                follow(command, &element, &to);
            }
        }
    }
    let wanted = apply_all(&start, &commands)?;
    let both = merged(&start, head, &wanted)?;
    if commands.iter().any(|command| matches!(command, Command::Rename { .. })) {
        // What others added since may refer to the old name.
        return Ok(apply_all(head, &commands).unwrap_or(both));
    }
    Ok(both)
}

/// Elements that were renamed since `base` and still have their new name, in order.
fn renamings(
    connection: &Connection,
    project: ProjectId,
    base: RevisionId,
    head: &Sources,
) -> Result<Vec<(ElementRef, ElementRef)>, CommitError> {
    let mut rows = connection
        .prepare_cached("SELECT note FROM revision WHERE project = ?1 AND number > ?2 ORDER BY number")?;
    let mut rows = rows.query(params![project.0, base.0])?;
    let mut found = Vec::new();
    while let Some(row) = rows.next()? {
        for command in journal::read_note(&row.get::<_, String>(0)?)? {
            if let Command::Rename { element, to } = command {
                let to = ElementRef::new(element.kind, &to.as_str().into());
                found.push((element, to));
            }
        }
    }
    if found.is_empty() {
        return Ok(found);
    }
    let loaded = read(head.clone())?;
    found.retain(|(from, to)| loaded.spans.find(from, "").is_none() && loaded.spans.find(to, "").is_some());
    Ok(found)
}

/// Lets a command follow an element to its new name.
fn follow(command: &mut Command, from: &ElementRef, to: &ElementRef) {
    match command {
        Command::Set { element, .. }
        | Command::Clear { element, .. }
        | Command::Move { element, .. }
        | Command::Add { element, .. }
        | Command::Remove { element }
        | Command::Rename { element, .. } => {
            if element == from {
                *element = to.clone();
            }
        }
        Command::Declare { .. } | Command::Retract { .. } | Command::Scale { .. } => {}
    }
}
