//! Projects as revisions in a journal, in step with their folders.
//!
//! - In: project folders, commands, bytes to attach; time and author as arguments. Out: the head's
//!   texts, what they read as, the past.
//! - A journal is one SQLite file (write-ahead log, `synchronous=FULL`): what [`Store::commit`]
//!   returns is on disk. Text and attachments are kept once, by the hash of their content.
//! - Not here: what commands do to texts (`groundwright-plan`), clocks, the network.
//!
//! # Use
//! ```
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! use groundwright_plan::{Command, Kind};
//! use groundwright_store::Store;
//!
//! # let place = tempfile::tempdir()?;
//! # let folder = place.path().join("yard");
//! # std::fs::create_dir(&folder)?;
//! # std::fs::write(folder.join("property.toml"), "format = 1\nunits = \"m\"\nname = \"Yard\"\n\
//! #   [boundary]\noutline = [[0, 0], [9, 0], [9, 9], [0, 9]]\n\
//! #   [[tree]]\nid = \"oak\"\nplant = \"Quercus sp.\"\nat = [1, 2]\n")?;
//! # let now = "2026-03-14T09:00:00Z".parse::<jiff::Timestamp>()?;
//! let store = Store::open(&place.path().join("journal.sqlite"))?;
//! let opened = store.open_folder(&folder, "anna", now)?;
//! let (project, base) = (opened.project, opened.revision);
//!
//! let move_oak = Command::set(Kind::Tree, &"oak".into(), "at", "[3, 4]");
//! let committed = store.commit(project, base, &[move_oak], None, "anna", now)?; // on disk now
//! store.sync(project, "anna", now)?;                                           // and in the folder
//! assert!(std::fs::read_to_string(folder.join("property.toml"))?.contains("at = [3, 4]"));
//! assert_eq!(store.reach(project, "anna")?.undo, Some(committed.revision));
//! store.undo(project, None, "anna", now)?;
//! # Ok(())
//! # }
//! ```
//!
//! # Rules
//! - Commands name the revision that their author saw. What others changed since is kept; only the
//!   same field of the same element is a conflict, and then nothing is changed.
//! - Undo and redo belong to an author: they take back and bring back that author's own edits, also
//!   when others have edited since. Each is a revision of its own, so both work after a restart.
//! - The rule of truth between journal and folder stands in `folder.rs`: a folder that does not
//!   read, or contradicts the head, is shown and left as it is.

mod attachment;
mod content;
mod edit;
mod error;
mod folder;
mod journal;
mod schema;

pub use attachment::Attachment;
pub use content::Hash;
pub use edit::Reach;
pub use error::{CommitError, StoreError};
pub use folder::{How, Opened};
pub use journal::{Cause, Committed, Head, ProjectId, Revision, RevisionId, Store};
