//! Journals of other versions.

use std::fs;

use groundwright_plan::Kind;
use groundwright_store::{RevisionId, Store, StoreError};
use rusqlite::Connection;

use crate::yard::{DESIGN, PROPERTY, Yard, now, set, sources};

#[test]
fn a_journal_of_a_newer_program_is_left_alone() {
    let yard = Yard::new();
    let path = yard.place.path().join("journal.sqlite");
    Connection::open(&path).unwrap().pragma_update(None, "user_version", 99).unwrap();
    let error = Store::open(&path).unwrap_err();
    assert!(matches!(error, StoreError::Newer { found: 99, .. }), "{error}");
}

/// A journal written by version 1 keeps its past, and can do what came later.
#[test]
fn a_journal_of_version_one_is_brought_up_to_date() {
    let place = tempfile::tempdir().unwrap();
    let path = place.path().join("journal.sqlite");
    Connection::open(&path).unwrap().execute_batch(include_str!("../data/version-1.sql")).unwrap();
    let folder = place.path().join("yard");
    fs::create_dir(&folder).unwrap();
    fs::write(folder.join("property.toml"), PROPERTY).unwrap();
    fs::write(folder.join("design.toml"), DESIGN).unwrap();
    for _ in 0..2 {
        let store = Store::open(&path).unwrap();
        let opened = store.open_folder(&folder, "anna", now()).unwrap();
        assert_eq!(opened.revision, RevisionId(4));
        assert_eq!(store.texts(opened.project, RevisionId(1)).unwrap(), sources());
        let head = store.head(opened.project).unwrap().sources;
        assert!(head.property.unwrap().contains("name = \"Lot 3\""));
        let revisions = store.revisions(opened.project).unwrap();
        assert_eq!(revisions[3].commands.len(), 3);
        store.name_revision(opened.project, RevisionId(2), Some("first walk")).unwrap();
        assert_eq!(store.revisions(opened.project).unwrap()[1].name.as_deref(), Some("first walk"));
    }
    // And it has the same tables as one that was made today.
    let tables = |path: &std::path::Path| -> Vec<String> {
        let journal = Connection::open(path).unwrap();
        let mut rows =
            journal.prepare("SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY name").unwrap();
        rows.query_map([], |row| row.get(0)).unwrap().map(Result::unwrap).collect()
    };
    assert_eq!(tables(&path), tables(&Yard::new().place.path().join("journal.sqlite")));
}

#[test]
fn a_file_that_is_no_journal_is_left_alone() {
    let place = tempfile::tempdir().unwrap();
    let path = place.path().join("journal.sqlite");
    let text = "a letter, and by no means a journal\n".repeat(100);
    fs::write(&path, &text).unwrap();
    assert!(matches!(Store::open(&path), Err(StoreError::Journal(_))));
    assert_eq!(fs::read_to_string(&path).unwrap(), text);
}

#[test]
fn a_damaged_text_is_noticed_and_not_passed_on() {
    let yard = Yard::new();
    yard.commit("anna", set(Kind::Tree, "oak", "at", "[5, 6]"));
    let path = yard.place.path().join("journal.sqlite");
    let journal = Connection::open(path).unwrap();
    let changed = journal.execute("UPDATE content SET packed = 0, bytes = x'6e616d65'", []).unwrap();
    assert!(changed > 0);
    let error = yard.store.head(yard.project).unwrap_err();
    assert!(matches!(error, StoreError::Damaged(_)), "{error}");
    assert!(yard.store.sync(yard.project, "anna", now()).is_err());
}
