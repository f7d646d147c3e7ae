//! Journals of other versions.

use std::fs;

use groundwright_plan::Kind;
use groundwright_store::{Store, StoreError};
use rusqlite::Connection;

use crate::yard::{Yard, now, set};

#[test]
fn a_journal_of_a_newer_program_is_left_alone() {
    let yard = Yard::new();
    let path = yard.place.path().join("journal.sqlite");
    Connection::open(&path).unwrap().pragma_update(None, "user_version", 99).unwrap();
    let error = Store::open(&path).unwrap_err();
    assert!(matches!(error, StoreError::Newer { found: 99, .. }), "{error}");
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
