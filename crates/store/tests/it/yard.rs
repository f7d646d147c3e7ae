//! An invented yard in a folder of its own, with a journal beside it.

use std::fs;
use std::path::PathBuf;

use groundwright_plan::{Command, ElementRef, Kind, Sources, read_sources};
use groundwright_store::{Committed, How, Opened, ProjectId, RevisionId, Store};
use jiff::Timestamp;
use tempfile::TempDir;

pub const PROPERTY: &str = r#"# Walked on a wet day.
format = 1
units = "m"      # metric
name = "Corner lot"

[place]
hardiness = "8b" # from the map

[boundary]
outline = [[0, 0], [30, 0], [30, 30], [0, 30]]

# The oak stays.
[[tree]]
id = "oak"
plant = "Quercus sp."
at = [3, 4]      # trunk
height = "9 m"

[[tree]]
id = "ash"
plant = "Fraxinus sp."
at = [20, 21]
"#;

pub const DESIGN: &str = r#"format = 1

[[bed]]
id = "front"
outline = [[5, 5], [9, 5], [9, 9], [5, 9]]
mulch = { product = "medium-bark", depth = "8 cm" } # deep

[[planting]]
id = "carpet"
role = "mass"
in = "bed front"
plant = "acer-rubrum"
mass = {}
"#;

pub fn sources() -> Sources {
    Sources { property: Some(PROPERTY.to_owned()), design: Some(DESIGN.to_owned()), ..Sources::default() }
}

pub fn now() -> Timestamp {
    "2026-03-14T09:00:00Z".parse().unwrap()
}

pub struct Yard {
    pub store: Store,
    pub project: ProjectId,
    pub place: TempDir,
}

impl Yard {
    pub fn new() -> Self {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().join("yard");
        fs::create_dir(&folder).unwrap();
        fs::write(folder.join("property.toml"), PROPERTY).unwrap();
        fs::write(folder.join("design.toml"), DESIGN).unwrap();
        let store = Store::open(&place.path().join("journal.sqlite")).unwrap();
        let opened = store.open_folder(&folder, "anna", now()).unwrap();
        assert_eq!((opened.how, opened.revision), (How::Fresh, RevisionId(1)));
        Self { project: opened.project, store, place }
    }

    pub fn folder(&self) -> PathBuf {
        self.place.path().join("yard")
    }

    pub fn read_folder(&self) -> Sources {
        read_sources(&self.folder()).unwrap()
    }

    pub fn head(&self) -> RevisionId {
        self.store.head(self.project).unwrap().revision
    }

    pub fn texts(&self) -> Sources {
        self.store.head(self.project).unwrap().sources
    }

    pub fn sync(&self) -> Opened {
        self.store.sync(self.project, "outside", now()).unwrap()
    }

    pub fn commit(&self, author: &str, command: Command) -> Committed {
        self.commit_on(self.head(), author, command).unwrap()
    }

    pub fn commit_on(
        &self,
        base: RevisionId,
        author: &str,
        command: Command,
    ) -> Result<Committed, groundwright_store::CommitError> {
        self.store.commit(self.project, base, &[command], None, author, now())
    }

    /// As after a restart of the program.
    pub fn reopened(self) -> Self {
        let Self { store, place, project } = self;
        drop(store);
        let store = Store::open(&place.path().join("journal.sqlite")).unwrap();
        Self { store, project, place }
    }

    /// Changes a file as another program would.
    pub fn replace(&self, file: &str, old: &str, new: &str) {
        let path = self.folder().join(file);
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.contains(old), "{old} is not in {file}");
        fs::write(path, text.replacen(old, new, 1)).unwrap();
    }
}

pub fn element(kind: Kind, id: &str) -> ElementRef {
    ElementRef::new(kind, &id.into())
}

pub fn set(kind: Kind, id: &str, field: &str, value: &str) -> Command {
    Command::set(kind, &id.into(), field, value)
}

pub fn rename(kind: Kind, id: &str, to: &str) -> Command {
    Command::Rename { element: element(kind, id), to: to.to_owned() }
}
