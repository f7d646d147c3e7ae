//! The project in its journal: revisions, undo and redo, the folder kept in step.
//!
//! - In: commands on a base revision. Out: the project as it reads now, or why not.
//! - The journal lies in `.groundwright/` of the project folder, with a file that keeps it out of git:
//!   what git should keep are the project's own files, which follow the journal's head.
//! - A request carries an id of the page's making; what is sent again after a gap is kept once.

use std::path::Path;

use groundwright_plan::{
    Command, EditError, Fault, Loaded, Side, Sources, apply, clashes_in_words, read_project, read_sources,
};
use groundwright_store::{CommitError, Committed, How, ProjectId, RevisionId, Store, StoreError};
use jiff::Timestamp;

/// Folder of the journal inside the project folder.
const JOURNAL: &str = ".groundwright";

/// Why a project cannot be opened.
#[derive(Debug)]
pub enum Closed {
    /// Its files do not read.
    Faults(Vec<Fault>),
    /// The journal cannot be used.
    Journal(String),
}

impl From<StoreError> for Closed {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::Faults(faults) => Self::Faults(faults),
            other => Self::Journal(other.to_string()),
        }
    }
}

/// What keeps folder and journal apart.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Notice {
    /// In words; empty when all is well.
    pub text: String,
    /// Whether a person can decide it here.
    pub settle: bool,
}

/// A project in its journal.
#[derive(Debug)]
pub struct Book {
    store: Store,
    project: ProjectId,
    author: String,
    revision: RevisionId,
    can: (bool, bool),
    notice: Notice,
}

impl Book {
    /// Opens a project folder with its journal; makes the journal where there is none.
    ///
    /// # Errors
    /// The files do not read, or the journal cannot be made or used.
    pub fn open(folder: &Path, author: &str) -> Result<(Self, Loaded), Closed> {
        // Faults of the files are told before anything is made.
        if !folder.join(JOURNAL).exists() {
            read_project(read_sources(folder).map_err(Closed::Faults)?).map_err(Closed::Faults)?;
        }
        let home = folder.join(JOURNAL);
        let store = Store::open(&home.join("journal.sqlite"))?;
        let ignore = home.join(".gitignore");
        if !ignore.exists() {
            std::fs::write(&ignore, "*\n")
                .map_err(|why| Closed::Journal(format!("{}: {why}", ignore.display())))?;
        }
        let opened = store.open_folder(folder, author, Timestamp::now())?;
        let mut book = Self {
            store,
            project: opened.project,
            author: author.to_owned(),
            revision: opened.revision,
            can: (false, false),
            notice: Notice::default(),
        };
        book.heed(&opened.how);
        let loaded = book.reload()?;
        book.sync_pictures(&loaded);
        Ok((book, loaded))
    }

    /// The revision now.
    pub fn revision(&self) -> u64 {
        self.revision.0.unsigned_abs()
    }

    /// Whether something can be taken back, and whether something can be brought back.
    pub fn can(&self) -> (bool, bool) {
        self.can
    }

    /// What keeps folder and journal apart.
    pub fn notice(&self) -> &Notice {
        &self.notice
    }

    /// The revision of a request that was kept already.
    pub fn known(&self, id: &str) -> Option<u64> {
        // A journal that cannot be read is told when the commit is tried.
        let revision = self.store.kept(self.project, id).ok()??;
        Some(revision.0.unsigned_abs())
    }

    /// Keeps a photo or picture; gives its name below the project folder.
    ///
    /// # Errors
    /// The journal or the folder cannot be written.
    pub fn attach(&self, bytes: &[u8], kind: (&str, &str)) -> Result<String, StoreError> {
        self.store.attach_file(self.project, bytes, kind, Timestamp::now())
    }

    /// Brings photos and pictures of the folder and the journal into step.
    fn sync_pictures(&mut self, loaded: &Loaded) {
        let property = &loaded.project.property;
        let photos = property.photos.iter().map(|photo| photo.file.as_str());
        let names: Vec<&str> = photos.chain(property.pictures.iter().map(|p| p.file.as_str())).collect();
        let text = match self.store.sync_attachments(self.project, &names, Timestamp::now()) {
            Ok(missing) if missing.is_empty() => return,
            Ok(missing) => format!(
                "The project speaks of files that are not there: {}. Copy them into the folder, or remove the photo.",
                missing.join(", ")
            ),
            Err(error) => error.to_string(),
        };
        if self.notice.text.is_empty() {
            self.notice = Notice { text, settle: false };
        }
    }

    /// Keeps commands that were made on `base`; when this returns, they are on disk.
    ///
    /// # Errors
    /// See [`CommitError`]; nothing is changed then.
    pub fn commit(&mut self, id: &str, base: u64, commands: &[Command]) -> Result<Loaded, CommitError> {
        let base = RevisionId(i64::try_from(base).unwrap_or(i64::MAX));
        let now = Timestamp::now();
        let committed = self.store.commit(self.project, base, commands, Some(id), &self.author, now)?;
        self.turn(committed)
    }

    /// Takes back the last change.
    ///
    /// # Errors
    /// When there is none, or others changed the same since.
    pub fn undo(&mut self, id: &str) -> Result<Loaded, CommitError> {
        let committed = self.store.undo(self.project, Some(id), &self.author, Timestamp::now())?;
        self.turn(committed)
    }

    /// Brings back what was taken back.
    ///
    /// # Errors
    /// When there is nothing, or others changed the same since.
    pub fn redo(&mut self, id: &str) -> Result<Loaded, CommitError> {
        let committed = self.store.redo(self.project, Some(id), &self.author, Timestamp::now())?;
        self.turn(committed)
    }

    /// Decides a conflict between folder and journal.
    ///
    /// # Errors
    /// When there is none.
    pub fn settle(&mut self, keep: Side) -> Result<Loaded, CommitError> {
        let committed = self.store.settle(self.project, keep, &self.author, Timestamp::now())?;
        self.notice = Notice::default();
        self.revision = committed.revision;
        self.look_back()?;
        Ok(committed.loaded)
    }

    /// Takes in what another program changed; the project as it reads now, if it did.
    pub fn look_round(&mut self) -> Option<Loaded> {
        let before = (self.revision, self.notice.clone());
        let synced = self.sync();
        if let Err(error) = &synced {
            self.notice = Notice { text: error.to_string(), settle: false };
        }
        let changed = before != (self.revision, self.notice.clone());
        changed.then(|| self.reload().ok()).flatten()
    }

    fn turn(&mut self, committed: Committed) -> Result<Loaded, CommitError> {
        self.revision = committed.revision;
        // The commit stands whatever becomes of the files: what hinders their writing is told.
        if let Err(error) = self.sync() {
            self.notice = Notice { text: error.to_string(), settle: false };
        }
        self.look_back()?;
        if self.revision == committed.revision { Ok(committed.loaded) } else { Ok(self.reload()?) }
    }

    fn sync(&mut self) -> Result<(), StoreError> {
        let opened = self.store.sync(self.project, &self.author, Timestamp::now())?;
        self.revision = opened.revision;
        self.heed(&opened.how);
        Ok(())
    }

    fn heed(&mut self, how: &How) {
        self.notice = match how {
            How::Conflict(clashes) => Notice {
                text: format!(
                    "Another program changed {} in the files, and so did the app. The files are left as they are until you decide.",
                    clashes_in_words(clashes)
                ),
                settle: true,
            },
            How::Broken(faults) => Notice {
                text: format!(
                    "Another program changed the files, and they do not read: {}. They are left as they are until they are mended.",
                    faults.first().map(ToString::to_string).unwrap_or_default()
                ),
                settle: false,
            },
            How::Fresh | How::Same | How::RolledForward | How::OutsideEdit => Notice::default(),
        };
    }

    fn look_back(&mut self) -> Result<(), StoreError> {
        let reach = self.store.reach(self.project, &self.author)?;
        self.can = (reach.undo.is_some(), reach.redo.is_some());
        Ok(())
    }

    /// The project as the head reads.
    fn reload(&mut self) -> Result<Loaded, StoreError> {
        self.look_back()?;
        let head = self.store.head(self.project)?;
        self.revision = head.revision;
        read_project(head.sources).map_err(StoreError::Faults)
    }
}

/// Texts after commands, in order.
///
/// # Errors
/// The first command that cannot be done.
pub fn applied(sources: &Sources, commands: &[Command]) -> Result<Sources, EditError> {
    commands.iter().try_fold(sources.clone(), |sources, command| apply(&sources, command))
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
