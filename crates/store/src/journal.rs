//! Projects and their revisions: reading the past, adding to it.
//!
//! - A project's revisions are numbered from 1 without gaps and only ever added to. Each holds the
//!   full text of the files that it changed; nothing is rebuilt by replaying commands.
//! - The head is the newest revision. Undo and redo are revisions too, so that they outlive a
//!   restart and can be seen in the list like any other edit.

use std::fmt;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use groundwright_plan::{Command, Difference, Loaded, Sources};
use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension, Transaction, TransactionBehavior, params};

use crate::content::{self, Hash};
use crate::error::StoreError;
use crate::schema;

/// A project in the journal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
#[serde(transparent)]
pub struct ProjectId(pub i64);

impl fmt::Display for ProjectId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// A revision of one project, numbered from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
#[serde(transparent)]
pub struct RevisionId(pub i64);

impl fmt::Display for RevisionId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// The newest revision with its texts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Head {
    /// The revision.
    pub revision: RevisionId,
    /// The texts of all files.
    pub sources: Sources,
}

/// What an edit came to: the head after it, read.
#[derive(Debug, Clone, PartialEq)]
pub struct Committed {
    /// The head's revision.
    pub revision: RevisionId,
    /// The head's project; its texts are in `loaded.sources`.
    pub loaded: Loaded,
}

/// How a revision came about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Cause {
    /// The folder was opened for the first time.
    Begun,
    /// Commands.
    Edit,
    /// An earlier revision was taken back.
    Undo,
    /// A revision that was taken back was brought back.
    Redo,
    /// The files were changed by another program.
    Outside,
    /// A conflict between folder and journal was decided.
    Settled,
}

const CAUSES: [(Cause, &str); 6] = [
    (Cause::Begun, "begun"),
    (Cause::Edit, "edit"),
    (Cause::Undo, "undo"),
    (Cause::Redo, "redo"),
    (Cause::Outside, "outside"),
    (Cause::Settled, "settled"),
];

impl Cause {
    pub(crate) fn word(self) -> &'static str {
        CAUSES.iter().find(|(cause, _)| *cause == self).map_or("", |(_, word)| word)
    }

    pub(crate) fn read(word: &str) -> Result<Self, StoreError> {
        let found = CAUSES.iter().find(|(_, own)| *own == word);
        found
            .map(|(cause, _)| *cause)
            .ok_or_else(|| StoreError::Damaged(format!("`{word}` is no cause of a revision")))
    }
}

/// One entry of the list of revisions.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Revision {
    /// Its number.
    pub id: RevisionId,
    /// When, to the millisecond.
    #[serde(serialize_with = "as_text")]
    pub at: Timestamp,
    /// Who.
    pub author: String,
    /// How it came about.
    pub cause: Cause,
    /// The revision that was taken back or brought back; for a settled conflict the one before it.
    pub other: Option<RevisionId>,
    /// The commands that made it; empty where it was not made by commands.
    pub commands: Vec<Command>,
    /// What somebody called it: `as shown to the client`.
    pub name: Option<String>,
    /// The names of the files that it changed.
    pub files: Vec<String>,
}

fn as_text<S: serde::Serializer>(at: &Timestamp, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_str(at)
}

/// What is added as a revision.
pub(crate) struct Entry<'e> {
    pub(crate) at: Timestamp,
    pub(crate) author: &'e str,
    pub(crate) cause: Cause,
    pub(crate) other: Option<RevisionId>,
    pub(crate) commands: &'e [Command],
    pub(crate) request: Option<&'e str>,
}

/// A journal of projects in one SQLite file. It may be shared between threads, and the file
/// between processes.
#[derive(Debug)]
pub struct Store {
    connection: Mutex<Connection>,
    home: PathBuf,
}

impl Store {
    /// Opens a journal; makes it, and the folder it lies in, where there is none.
    ///
    /// # Errors
    /// The file cannot be used, or a newer program made it.
    pub fn open(path: &Path) -> Result<Self, StoreError> {
        let home = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        std::fs::create_dir_all(home).map_err(StoreError::file(home))?;
        let home = home.canonicalize().map_err(StoreError::file(home))?;
        Ok(Self { connection: Mutex::new(schema::open(path)?), home })
    }

    /// The folder in which the journal lies.
    pub(crate) fn home(&self) -> &Path {
        &self.home
    }

    pub(crate) fn connection(&self) -> MutexGuard<'_, Connection> {
        // A transaction that was torn by a panic was rolled back, so the connection is sound.
        self.connection.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A transaction that holds the right to write from its begin.
    pub(crate) fn begin(connection: &mut Connection) -> Result<Transaction<'_>, StoreError> {
        Ok(connection.transaction_with_behavior(TransactionBehavior::Immediate)?)
    }

    /// The newest revision with its texts.
    ///
    /// # Errors
    /// There is no such project, or the journal cannot be read.
    pub fn head(&self, project: ProjectId) -> Result<Head, StoreError> {
        let mut connection = self.connection();
        let transaction = connection.transaction()?;
        head(&transaction, project)
    }

    /// The texts of a revision.
    ///
    /// # Errors
    /// There is no such project or revision, or the journal cannot be read.
    pub fn texts(&self, project: ProjectId, revision: RevisionId) -> Result<Sources, StoreError> {
        let mut connection = self.connection();
        let transaction = connection.transaction()?;
        known(&transaction, project, revision)?;
        texts(&transaction, project, revision)
    }

    /// All revisions, the oldest first.
    ///
    /// # Errors
    /// There is no such project, or the journal cannot be read.
    pub fn revisions(&self, project: ProjectId) -> Result<Vec<Revision>, StoreError> {
        let mut connection = self.connection();
        let transaction = connection.transaction()?;
        newest(&transaction, project)?;
        let mut rows = transaction.prepare_cached(
            "SELECT number, at, author, cause, other, note,
                (SELECT group_concat(name, char(10)) FROM file
                 WHERE file.project = revision.project AND file.revision = number), revision.name
             FROM revision WHERE project = ?1 ORDER BY number",
        )?;
        let mut rows = rows.query(params![project.0])?;
        let mut list = Vec::new();
        while let Some(row) = rows.next()? {
            let note: String = row.get(5)?;
            let files: Option<String> = row.get(6)?;
            let mut files: Vec<String> = files.unwrap_or_default().lines().map(str::to_owned).collect();
            files.sort();
            list.push(Revision {
                id: RevisionId(row.get(0)?),
                at: time(row.get(1)?)?,
                author: row.get(2)?,
                cause: Cause::read(&row.get::<_, String>(3)?)?,
                other: row.get::<_, Option<i64>>(4)?.map(RevisionId),
                commands: read_note(&note)?,
                name: row.get(7)?,
                files,
            });
        }
        Ok(list)
    }

    /// Gives a revision a name, another name, or with `None` no name. Spaces around it are left out,
    /// and an empty name is none.
    ///
    /// # Errors
    /// There is no such revision, another revision has that name, or the journal cannot be written.
    pub fn name_revision(
        &self,
        project: ProjectId,
        revision: RevisionId,
        name: Option<&str>,
    ) -> Result<(), StoreError> {
        let mut connection = self.connection();
        let transaction = Self::begin(&mut connection)?;
        known(&transaction, project, revision)?;
        let name = name.map(str::trim).filter(|name| !name.is_empty());
        if let Some(name) = name {
            let other: Option<i64> = transaction
                .query_row(
                    "SELECT number FROM revision WHERE project = ?1 AND name = ?2 AND number <> ?3",
                    params![project.0, name, revision.0],
                    |row| row.get(0),
                )
                .optional()?;
            if let Some(other) = other.map(RevisionId) {
                return Err(StoreError::NameTaken { name: name.to_owned(), other });
            }
        }
        transaction.execute(
            "UPDATE revision SET name = ?3 WHERE project = ?1 AND number = ?2",
            params![project.0, revision.0, name],
        )?;
        transaction.commit()?;
        Ok(())
    }

    /// What has to be done to revision `from` to come to revision `to`, by element and field.
    ///
    /// # Errors
    /// There is no such project or revision, or the journal cannot be read.
    pub fn difference(
        &self,
        project: ProjectId,
        from: RevisionId,
        to: RevisionId,
    ) -> Result<Vec<Difference>, StoreError> {
        let (from, to) = (self.texts(project, from)?, self.texts(project, to)?);
        groundwright_plan::difference(&from, &to).map_err(|error| StoreError::Damaged(error.to_string()))
    }
}

pub(crate) fn time(milliseconds: i64) -> Result<Timestamp, StoreError> {
    Timestamp::from_millisecond(milliseconds)
        .map_err(|_| StoreError::Damaged(format!("{milliseconds} ms is no time of a revision")))
}

/// Commands as a note. A command of a newer program that this one does not know is left out.
pub(crate) fn read_note(note: &str) -> Result<Vec<Command>, StoreError> {
    let values: Vec<serde_json::Value> = serde_json::from_str(note)
        .map_err(|why| StoreError::Damaged(format!("the note of a revision does not read: {why}")))?;
    Ok(values.into_iter().filter_map(|value| serde_json::from_value(value).ok()).collect())
}

/// The number of the newest revision.
pub(crate) fn newest(connection: &Connection, project: ProjectId) -> Result<RevisionId, StoreError> {
    let newest: Option<i64> = connection
        .prepare_cached("SELECT max(number) FROM revision WHERE project = ?1")?
        .query_row(params![project.0], |row| row.get(0))?;
    newest.map(RevisionId).ok_or(StoreError::NoSuchProject(project))
}

/// Fails where a project has no such revision.
pub(crate) fn known(
    connection: &Connection,
    project: ProjectId,
    revision: RevisionId,
) -> Result<(), StoreError> {
    let newest = newest(connection, project)?;
    if (1..=newest.0).contains(&revision.0) {
        Ok(())
    } else {
        Err(StoreError::NoSuchRevision(revision, newest))
    }
}

pub(crate) fn head(connection: &Connection, project: ProjectId) -> Result<Head, StoreError> {
    let revision = newest(connection, project)?;
    Ok(Head { revision, sources: texts(connection, project, revision)? })
}

pub(crate) fn texts(
    connection: &Connection,
    project: ProjectId,
    revision: RevisionId,
) -> Result<Sources, StoreError> {
    let mut rows = connection.prepare_cached(
        "SELECT name, hash FROM file AS f WHERE project = ?1 AND revision = (
             SELECT max(revision) FROM file
             WHERE project = f.project AND name = f.name AND revision <= ?2)",
    )?;
    let mut rows = rows.query(params![project.0, revision.0])?;
    let mut sources = Sources::default();
    while let Some(row) = rows.next()? {
        let Some(hash) = row.get::<_, Option<Vec<u8>>>(1)? else { continue };
        let name: String = row.get(0)?;
        sources.put(&name, Some(text(connection, Hash::from_row(&hash)?)?));
    }
    Ok(sources)
}

fn text(connection: &Connection, hash: Hash) -> Result<String, StoreError> {
    let bytes = content::fetch(connection, hash)?
        .ok_or_else(|| StoreError::Damaged(format!("the text {hash} is missing")))?;
    String::from_utf8(bytes).map_err(|_| StoreError::Damaged(format!("the text {hash} is not UTF-8")))
}

/// Adds a revision that turns `before` into `after`; `before` are the head's texts.
pub(crate) fn add(
    connection: &Connection,
    project: ProjectId,
    before: &Sources,
    after: &Sources,
    entry: &Entry<'_>,
) -> Result<RevisionId, StoreError> {
    let number: i64 = connection
        .prepare_cached("SELECT coalesce(max(number), 0) + 1 FROM revision WHERE project = ?1")?
        .query_row(params![project.0], |row| row.get(0))?;
    let note = serde_json::to_string(entry.commands)
        .map_err(|why| StoreError::Damaged(format!("the commands cannot be written down: {why}")))?;
    connection
        .prepare_cached(
            "INSERT INTO revision (project, number, at, author, cause, other, note, request)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        )?
        .execute(params![
            project.0,
            number,
            entry.at.as_millisecond(),
            entry.author,
            entry.cause.word(),
            entry.other.map(|other| other.0),
            note,
            entry.request
        ])?;
    let (old, new) = (before.files(), after.files());
    for name in old.keys().chain(new.keys()).collect::<std::collections::BTreeSet<_>>() {
        let (old, new) = (old.get(name), new.get(name));
        if old == new {
            continue;
        }
        let hash = new.map(|text| content::keep(connection, text.as_bytes())).transpose()?;
        connection
            .prepare_cached("INSERT INTO file (project, name, revision, hash) VALUES (?1, ?2, ?3, ?4)")?
            .execute(params![project.0, name, number, hash.as_ref().map(Hash::as_bytes)])?;
    }
    Ok(RevisionId(number))
}

/// The revision that was made by a request, if it was.
pub(crate) fn by_request(
    connection: &Connection,
    project: ProjectId,
    request: &str,
) -> Result<Option<RevisionId>, StoreError> {
    let number = connection
        .prepare_cached("SELECT number FROM revision WHERE project = ?1 AND request = ?2")?
        .query_row(params![project.0, request], |row| row.get(0))
        .optional()?;
    Ok(number.map(RevisionId))
}
