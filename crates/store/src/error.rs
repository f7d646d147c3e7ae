//! What can go wrong with a journal, and with one edit.

use std::path::PathBuf;

use groundwright_plan::{Clash, EditError, Fault, clashes_in_words};

use crate::journal::{ProjectId, RevisionId};

/// The journal or the folder cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// SQLite reports something.
    #[error("the journal cannot be used: {0}; if the disk is full, make room, and try again")]
    Journal(#[from] rusqlite::Error),
    /// A newer program made the journal.
    #[error("the journal has version {found}, this program knows up to {newest}; use a newer groundwright")]
    Newer {
        /// The journal's version.
        found: u32,
        /// The newest version that this program knows.
        newest: u32,
    },
    /// What the journal holds is not what it was given.
    #[error("the journal is damaged: {0}; bring back a copy of it, or open the folder with a new journal")]
    Damaged(String),
    /// There is no such project.
    #[error("the journal has no project {0}; open its folder first")]
    NoSuchProject(ProjectId),
    /// There is no such revision.
    #[error("the project has no revision {0}; its newest is {1}")]
    NoSuchRevision(RevisionId, RevisionId),
    /// Another revision has the name.
    #[error("revision {other} is already called `{name}`; take the name from it first, or choose another")]
    NameTaken {
        /// The name.
        name: String,
        /// The revision that has it.
        other: RevisionId,
    },
    /// A file or folder cannot be read or written.
    #[error("{path}: {why}; check that it exists and may be written", path = .path.display())]
    File {
        /// The file or folder.
        path: PathBuf,
        /// What the system says.
        why: std::io::Error,
    },
    /// The folder does not read, and the journal has no project for it.
    #[error("the folder does not read as a project: {}", faults_in_words(.0))]
    Faults(Vec<Fault>),
    /// The folder changed again and again while it was being read.
    #[error(
        "{folder} keeps changing while it is being written; close the program that writes there",
        folder = .0.display()
    )]
    Restless(PathBuf),
}

impl StoreError {
    pub(crate) fn file(path: impl Into<PathBuf>) -> impl FnOnce(std::io::Error) -> Self {
        let path = path.into();
        move |why| Self::File { path, why }
    }
}

/// Why an edit was not kept. The head is as it was.
#[derive(Debug, thiserror::Error)]
pub enum CommitError {
    /// A command cannot be applied.
    #[error(transparent)]
    Edit(#[from] EditError),
    /// The project would not read any more.
    #[error("the project would not read any more: {}", faults_in_words(.0))]
    Faults(Vec<Fault>),
    /// Somebody else changed the same fields since.
    #[error("somebody changed {} in the meantime; look at it and decide again", clashes_in_words(.0))]
    Conflict(Vec<Clash>),
    /// There is nothing of this author to take back or to bring back.
    #[error("there is nothing left to {0}")]
    Nothing(&'static str),
    /// There is no difference between folder and journal to settle.
    #[error("folder and journal do not contradict one another; there is nothing to settle")]
    NotInConflict,
    /// The journal cannot be used.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl From<rusqlite::Error> for CommitError {
    fn from(error: rusqlite::Error) -> Self {
        Self::Store(error.into())
    }
}

/// The first fault in full, and how many more there are.
fn faults_in_words(faults: &[Fault]) -> String {
    match faults {
        [] => "no reason was given".to_owned(),
        [only] => only.to_string(),
        [first, rest @ ..] => format!("{first} (and {} more)", rest.len()),
    }
}
