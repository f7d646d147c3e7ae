//! Journal and folder in step: the rule of truth.
//!
//! - While a program holds a project the journal's head is the truth; the folder follows it. An edit
//!   is first committed to the journal, then written to the files.
//! - Every file of the folder is compared with the texts of the revisions from the last one that was
//!   written completely (`written`) to the head. All equal to the head: the same. All among these
//!   texts: a writing was cut off, and is done to its end. Anything else was written by another
//!   program and becomes a revision of its own, brought together with the head where that moved.
//! - A folder that does not read never replaces the head, and is not written over.
//! - Files are written beside their place, forced to disk and renamed, so that each is whole.
//!
//! Between the comparison and the renaming lie a few milliseconds in which another program's saving
//! would be lost; no file system offers to rule that out.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File};
use std::io::{ErrorKind, Write};
use std::path::{Component, Path, PathBuf};

use groundwright_plan::{Clash, Fault, MergeError, Side, Sources, merge, read_project, read_sources};
use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension, params};

use crate::content::Hash;
use crate::edit::read;
use crate::error::{CommitError, StoreError};
use crate::journal::{self, Cause, Committed, Entry, ProjectId, RevisionId, Store};

/// How journal and folder stood to one another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum How {
    /// The journal did not know the folder; its texts are the first revision.
    Fresh,
    /// The folder is as the head says.
    Same,
    /// The folder was behind the head and was written anew.
    RolledForward,
    /// Another program changed the files; that is a revision now.
    OutsideEdit,
    /// Another program changed the files, and the head changed the same fields. The folder is left
    /// as it is until [`Store::settle`] decides.
    Conflict(Vec<Clash>),
    /// Another program changed the files and they do not read. The folder is left as it is until
    /// somebody mends it.
    Broken(Vec<Fault>),
}

/// A project in step with its folder, or why it is not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Opened {
    /// The project.
    pub project: ProjectId,
    /// The head's revision now.
    pub revision: RevisionId,
    /// How journal and folder stood to one another.
    pub how: How,
}

/// How often the folder may change while it is being looked at.
const PATIENCE: usize = 5;

impl Store {
    /// Opens a project folder: the first time its texts become the first revision, later journal and
    /// folder are brought into step as [`Store::sync`] does.
    ///
    /// # Errors
    /// The folder does not exist or cannot be written, the journal cannot be used, or a folder that
    /// the journal does not know does not read.
    pub fn open_folder(&self, folder: &Path, author: &str, now: Timestamp) -> Result<Opened, StoreError> {
        let folder = folder.canonicalize().map_err(StoreError::file(folder))?;
        let key = self.key_of(&folder)?;
        {
            let mut connection = self.connection();
            let transaction = Self::begin(&mut connection)?;
            let known: Option<i64> = transaction
                .query_row("SELECT id FROM project WHERE folder = ?1", params![key], |row| row.get(0))
                .optional()?;
            if let Some(id) = known {
                drop(transaction);
                drop(connection);
                return self.sync(ProjectId(id), author, now);
            }
            let sources = read_sources(&folder).map_err(StoreError::Faults)?;
            let sources = read_project(sources).map_err(StoreError::Faults)?.sources;
            transaction.execute("INSERT INTO project (folder, written) VALUES (?1, 1)", params![key])?;
            let project = ProjectId(transaction.last_insert_rowid());
            let entry =
                Entry { at: now, author, cause: Cause::Begun, other: None, commands: &[], request: None };
            let revision = journal::add(&transaction, project, &Sources::default(), &sources, &entry)?;
            transaction.commit()?;
            Ok(Opened { project, revision, how: How::Fresh })
        }
    }

    /// Brings journal and folder into step: takes in what another program changed, then writes the
    /// head's texts to the folder. To be called after edits, and from time to time.
    ///
    /// # Errors
    /// The folder cannot be written, or the journal cannot be used.
    pub fn sync(&self, project: ProjectId, author: &str, now: Timestamp) -> Result<Opened, StoreError> {
        let folder = self.folder(project)?;
        let mut outside = false;
        for _ in 0..PATIENCE {
            let mut connection = self.connection();
            // The right to write is held while files are written, so that two programs do not mix.
            let transaction = Self::begin(&mut connection)?;
            let look = Look::at(&transaction, project, &folder)?;
            let opened = |revision, how| Opened { project, revision, how };
            match look.state {
                State::Level => {
                    mark_written(&transaction, project, look.head)?;
                    transaction.commit()?;
                    let how = if outside { How::OutsideEdit } else { How::Same };
                    return Ok(opened(look.head, how));
                }
                State::Behind => {
                    write_texts(&folder, &look.found, &look.sources)?;
                    mark_written(&transaction, project, look.head)?;
                    transaction.commit()?;
                    let how = if outside { How::OutsideEdit } else { How::RolledForward };
                    return Ok(opened(look.head, how));
                }
                State::Unreadable(faults) => return Ok(opened(look.head, How::Broken(faults))),
                State::Edited => {
                    let merged = match merge(&look.base, &look.sources, &look.theirs, None) {
                        Ok(merged) => merged,
                        Err(MergeError::Clashes(clashes)) => {
                            return Ok(opened(look.head, How::Conflict(clashes)));
                        }
                        Err(MergeError::NotComparable(why)) => {
                            return Err(StoreError::Damaged(why.to_string()));
                        }
                    };
                    let loaded = match read_project(merged) {
                        Ok(loaded) => loaded,
                        Err(faults) => return Ok(opened(look.head, How::Broken(faults))),
                    };
                    let entry = Entry {
                        at: now,
                        author,
                        cause: Cause::Outside,
                        other: None,
                        commands: &[],
                        request: None,
                    };
                    if loaded.sources != look.sources {
                        journal::add(&transaction, project, &look.sources, &loaded.sources, &entry)?;
                    }
                    mark_seen(&transaction, project, &look.found)?;
                    transaction.commit()?;
                    outside = true;
                }
            }
        }
        Err(StoreError::Restless(folder))
    }

    /// Decides a conflict between folder and journal: where both changed a field, `keep` says whose
    /// stands ([`Side::Ours`] is the journal's); all other changes of both are kept. The folder's
    /// texts are kept as a revision before, so that nothing is lost.
    ///
    /// # Errors
    /// [`CommitError::NotInConflict`], or as [`Store::commit`].
    pub fn settle(
        &self,
        project: ProjectId,
        keep: Side,
        author: &str,
        now: Timestamp,
    ) -> Result<Committed, CommitError> {
        let folder = self.folder(project)?;
        let committed = {
            let mut connection = self.connection();
            let transaction = Self::begin(&mut connection)?;
            let look = Look::at(&transaction, project, &folder)?;
            if !matches!(look.state, State::Edited)
                || merge(&look.base, &look.sources, &look.theirs, None).is_ok()
            {
                return Err(CommitError::NotInConflict);
            }
            let settled = merge(&look.base, &look.sources, &look.theirs, Some(keep))
                .map_err(|why| StoreError::Damaged(why.to_string()))?;
            let loaded = read(settled)?;
            let entry = |cause, other| Entry { at: now, author, cause, other, commands: &[], request: None };
            let outside = entry(Cause::Outside, None);
            journal::add(&transaction, project, &look.sources, &look.theirs, &outside)?;
            let settling = entry(Cause::Settled, Some(look.head));
            let revision = journal::add(&transaction, project, &look.theirs, &loaded.sources, &settling)?;
            mark_seen(&transaction, project, &look.found)?;
            transaction.commit()?;
            Committed { revision, loaded }
        };
        self.sync(project, author, now)?;
        Ok(committed)
    }

    /// Writes the texts of a revision into another folder, which is made if there is none.
    ///
    /// # Errors
    /// There is no such revision, or the folder cannot be written.
    pub fn export(&self, project: ProjectId, revision: RevisionId, folder: &Path) -> Result<(), StoreError> {
        let sources = self.texts(project, revision)?;
        fs::create_dir_all(folder).map_err(StoreError::file(folder))?;
        write_texts(folder, &Sources::default(), &sources)
    }

    /// The folder of a project.
    ///
    /// # Errors
    /// There is no such project, or the journal cannot be read.
    pub fn folder(&self, project: ProjectId) -> Result<PathBuf, StoreError> {
        let key: Option<String> = self
            .connection()
            .query_row("SELECT folder FROM project WHERE id = ?1", params![project.0], |row| row.get(0))
            .optional()?;
        let key = key.ok_or(StoreError::NoSuchProject(project))?;
        // Parts of the path that go up are taken away here, because the folder may be gone.
        let mut folder = PathBuf::new();
        for part in self.home().join(key).components() {
            match part {
                Component::ParentDir => {
                    folder.pop();
                }
                Component::CurDir => {}
                other => folder.push(other),
            }
        }
        Ok(folder)
    }

    /// The projects of the journal.
    ///
    /// # Errors
    /// The journal cannot be read.
    pub fn projects(&self) -> Result<Vec<ProjectId>, StoreError> {
        let connection = self.connection();
        let mut rows = connection.prepare("SELECT id FROM project ORDER BY id")?;
        let list = rows.query_map([], |row| row.get(0).map(ProjectId))?.collect::<Result<_, _>>()?;
        Ok(list)
    }

    /// How the journal names a folder: relative where one of the two lies in the other, so that both
    /// can be moved together.
    fn key_of(&self, folder: &Path) -> Result<String, StoreError> {
        let key = if let Ok(below) = folder.strip_prefix(self.home()) {
            Path::new(".").join(below)
        } else if let Ok(above) = self.home().strip_prefix(folder) {
            above.components().map(|_| "..").collect()
        } else {
            folder.to_owned()
        };
        let text = key.to_str().map(str::to_owned);
        text.ok_or_else(|| StoreError::File {
            path: folder.to_owned(),
            why: std::io::Error::new(ErrorKind::InvalidInput, "the path is not Unicode"),
        })
    }
}

/// How a folder compares with the journal.
enum State {
    /// The folder is as the head says.
    Level,
    /// Every file is as some revision since the last complete writing has it.
    Behind,
    /// The files were changed by another program.
    Edited,
    /// The files were changed by another program and do not read.
    Unreadable(Vec<Fault>),
}

struct Look {
    head: RevisionId,
    /// The head's texts.
    sources: Sources,
    /// The texts that the other program began with.
    base: Sources,
    /// The folder's texts.
    found: Sources,
    /// The folder's texts, but where the other program changed nothing, those of the base.
    theirs: Sources,
    state: State,
}

impl Look {
    fn at(connection: &Connection, project: ProjectId, folder: &Path) -> Result<Self, StoreError> {
        let journal::Head { revision: head, sources } = journal::head(connection, project)?;
        let written: i64 =
            connection.query_row("SELECT written FROM project WHERE id = ?1", params![project.0], |row| {
                row.get(0)
            })?;
        let base = journal::texts(connection, project, RevisionId(written))?;
        let (found, faults) = match read_sources(folder) {
            Ok(found) => (found, Vec::new()),
            Err(faults) => (Sources::default(), faults),
        };
        let mut look = Self { head, sources, base, theirs: found.clone(), found, state: State::Level };
        if !faults.is_empty() {
            look.state = State::Unreadable(faults);
        } else if look.found != look.sources {
            let known = Known::of(connection, project, written)?;
            look.state = look.compare(&known);
        }
        Ok(look)
    }

    fn compare(&mut self, known: &Known) -> State {
        let (found, base) = (self.found.files(), self.base.files());
        let head = self.sources.files();
        let names: BTreeSet<&str> = found.keys().chain(base.keys()).chain(head.keys()).copied().collect();
        let mut edited = false;
        let mut theirs = self.found.clone();
        for name in names {
            let text = found.get(name).copied();
            if known.has(name, text, base.get(name).copied()) {
                theirs.put(name, base.get(name).map(|text| (*text).to_owned()));
            } else {
                edited = true;
            }
        }
        self.theirs = theirs;
        if !edited {
            return State::Behind;
        }
        match read_project(self.found.clone()) {
            Ok(_) => State::Edited,
            Err(faults) => State::Unreadable(faults),
        }
    }
}

/// The texts that a file may have without another program having changed it.
struct Known(BTreeMap<String, BTreeSet<Option<Hash>>>);

impl Known {
    fn of(connection: &Connection, project: ProjectId, written: i64) -> Result<Self, StoreError> {
        let mut rows = connection.prepare_cached(
            "SELECT name, hash FROM file WHERE project = ?1 AND revision > ?2
             UNION SELECT name, hash FROM seen WHERE project = ?1",
        )?;
        let mut rows = rows.query(params![project.0, written])?;
        let mut known: BTreeMap<String, BTreeSet<Option<Hash>>> = BTreeMap::new();
        while let Some(row) = rows.next()? {
            let hash: Option<Vec<u8>> = row.get(1)?;
            let hash = hash.map(|bytes| Hash::from_row(&bytes)).transpose()?;
            known.entry(row.get(0)?).or_default().insert(hash);
        }
        Ok(Self(known))
    }

    fn has(&self, name: &str, text: Option<&str>, base: Option<&str>) -> bool {
        let hash = text.map(|text| Hash::of(text.as_bytes()));
        text == base || self.0.get(name).is_some_and(|texts| texts.contains(&hash))
    }
}

fn mark_written(connection: &Connection, project: ProjectId, head: RevisionId) -> Result<(), StoreError> {
    connection.execute(
        "UPDATE project SET written = ?2 WHERE id = ?1 AND written <> ?2",
        params![project.0, head.0],
    )?;
    connection.execute("DELETE FROM seen WHERE project = ?1", params![project.0])?;
    Ok(())
}

fn mark_seen(connection: &Connection, project: ProjectId, found: &Sources) -> Result<(), StoreError> {
    for (name, text) in found.files() {
        connection.execute(
            "INSERT INTO seen (project, name, hash) VALUES (?1, ?2, ?3) ON CONFLICT DO NOTHING",
            params![project.0, name, Hash::of(text.as_bytes()).as_bytes()],
        )?;
    }
    Ok(())
}

/// Makes the files of a folder, which holds the texts `found`, those of `sources`.
fn write_texts(folder: &Path, found: &Sources, sources: &Sources) -> Result<(), StoreError> {
    let (old, new) = (found.files(), sources.files());
    let mut touched = BTreeSet::new();
    for (name, text) in &new {
        if old.get(name) != Some(text) {
            touched.insert(write_file(&folder.join(name), text.as_bytes())?);
        }
    }
    for name in old.keys().filter(|name| !new.contains_key(*name)) {
        let path = folder.join(name);
        fs::remove_file(&path).map_err(StoreError::file(&path))?;
        touched.extend(path.parent().map(Path::to_owned));
    }
    for folder in touched {
        force_folder(&folder)?;
    }
    Ok(())
}

/// Ending of a file that is still being written; no reader of projects looks at it.
const UNFINISHED: &str = "unfinished";

/// Writes a file beside its place, forces it to disk and renames it; gives back its folder.
pub(crate) fn write_file(path: &Path, bytes: &[u8]) -> Result<PathBuf, StoreError> {
    // A link stays a link: what it points at is written.
    let path = path.canonicalize().unwrap_or_else(|_| path.to_owned());
    let folder = path.parent().unwrap_or(Path::new(".")).to_owned();
    fs::create_dir_all(&folder).map_err(StoreError::file(&folder))?;
    let mut beside = path.clone().into_os_string();
    beside.push(format!(".{UNFINISHED}"));
    let beside = PathBuf::from(beside);
    let wrong = || StoreError::file(&beside);
    let mut file = File::create(&beside).map_err(wrong())?;
    file.write_all(bytes).map_err(wrong())?;
    if let Ok(known) = fs::metadata(&path) {
        file.set_permissions(known.permissions()).map_err(wrong())?;
    }
    file.sync_all().map_err(wrong())?;
    drop(file);
    fs::rename(&beside, &path).map_err(StoreError::file(&path))?;
    Ok(folder)
}

/// Forces the names in a folder to disk, where the system can.
pub(crate) fn force_folder(folder: &Path) -> Result<(), StoreError> {
    if cfg!(unix) {
        let open = File::open(folder).map_err(StoreError::file(folder))?;
        open.sync_all().map_err(StoreError::file(folder))?;
    }
    Ok(())
}
