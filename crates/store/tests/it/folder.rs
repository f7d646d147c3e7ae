//! The rule of truth between journal and folder.

use std::fs;

use groundwright_plan::{Kind, Side, Sources, read_project};
use groundwright_store::{Cause, CommitError, How, RevisionId, Store, StoreError};

use crate::yard::{DESIGN, PROPERTY, Yard, now, set, sources};

#[test]
fn a_folder_as_the_head_says_is_the_same() {
    let yard = Yard::new();
    assert_eq!(yard.sync().how, How::Same);
    let again = yard.store.open_folder(&yard.folder(), "anna", now()).unwrap();
    assert_eq!((again.project, again.how), (yard.project, How::Same));
    assert_eq!(yard.read_folder(), sources());
}

#[test]
fn files_follow_the_head() {
    let yard = Yard::new();
    yard.commit("anna", set(Kind::Tree, "oak", "at", "[5, 6]"));
    yard.commit("anna", set(Kind::Bed, "front", "label", "\"Front\""));
    assert_eq!(yard.read_folder(), sources());
    assert_eq!(yard.sync().how, How::RolledForward);
    assert_eq!(yard.read_folder(), yard.texts());
    assert_eq!(yard.sync().how, How::Same);
    let names: Vec<_> = fs::read_dir(yard.folder()).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(names.len(), 2, "nothing is left lying: {names:?}");
}

/// A survey is a file like the others: what another program writes into it becomes a revision, an
/// edit of the app leaves it, and a folder that lost it is not taken for one that never had it.
#[test]
fn a_survey_belongs_to_the_revisions() {
    let yard = Yard::new();
    let book = "what,point,from,to,reading\nwall,,A,B,12 m\ntape,,B,C,5 m\ntape,,A,C,13 m\n";
    fs::write(yard.folder().join("survey.csv"), book).unwrap();
    assert_eq!(yard.sync().how, How::OutsideEdit);
    assert_eq!(yard.texts().text("survey.csv"), Some(book));
    yard.commit("anna", set(Kind::Tree, "oak", "at", "[5, 6]"));
    yard.sync();
    assert_eq!(fs::read_to_string(yard.folder().join("survey.csv")).unwrap(), book);
    fs::remove_file(yard.folder().join("survey.csv")).unwrap();
    assert_eq!(yard.sync().how, How::OutsideEdit);
    assert_eq!(yard.texts().text("survey.csv"), None);
}

/// The program dies between writing two files, with two edits not yet written: every mixture of
/// the texts since the last complete writing is done to its end.
#[test]
fn a_writing_that_was_cut_off_is_done_to_its_end() {
    let states = |yard: &Yard| -> Vec<Sources> {
        (1..=3).map(|n| yard.store.texts(yard.project, RevisionId(n)).unwrap()).collect()
    };
    for property in 0..3 {
        for design in 0..3 {
            let yard = Yard::new();
            yard.commit("anna", set(Kind::Tree, "oak", "at", "[5, 6]"));
            yard.commit("anna", set(Kind::Bed, "front", "label", "\"Front\""));
            let all = states(&yard);
            fs::write(yard.folder().join("property.toml"), all[property].property.as_ref().unwrap()).unwrap();
            fs::write(yard.folder().join("design.toml"), all[design].design.as_ref().unwrap()).unwrap();
            fs::write(yard.folder().join("design.toml.unfinished"), "forma").unwrap();
            let yard = yard.reopened();
            let expected = if all[2] == yard.read_folder() { How::Same } else { How::RolledForward };
            assert_eq!(yard.sync().how, expected, "{property} {design}");
            assert_eq!(yard.read_folder(), all[2]);
            assert_eq!(yard.head(), RevisionId(3));
        }
    }
}

#[test]
fn an_edit_from_outside_is_one_revision_comments_included() {
    let yard = Yard::new();
    yard.replace("property.toml", "# The oak stays.", "# The oak stays, says the owner.");
    yard.replace("design.toml", "\"8 cm\"", "\"6 cm\"");
    assert_eq!(yard.sync().how, How::OutsideEdit);
    assert_eq!(yard.texts(), yard.read_folder());
    let revisions = yard.store.revisions(yard.project).unwrap();
    assert_eq!(revisions.len(), 2);
    assert_eq!((revisions[1].cause, revisions[1].author.as_str()), (Cause::Outside, "outside"));
    assert_eq!(revisions[1].files, ["design.toml", "property.toml"]);
    assert_eq!(yard.sync().how, How::Same);
    // It can be taken back like any edit.
    yard.store.undo(yard.project, None, "outside", now()).unwrap();
    yard.sync();
    assert_eq!(yard.read_folder(), sources());
}

/// Going back to an older text on purpose is an edit, not an old file.
#[test]
fn an_older_text_put_back_from_outside_is_an_edit() {
    let yard = Yard::new();
    yard.commit("anna", set(Kind::Tree, "oak", "at", "[5, 6]"));
    yard.sync();
    fs::write(yard.folder().join("property.toml"), PROPERTY).unwrap();
    assert_eq!(yard.sync().how, How::OutsideEdit);
    assert_eq!(yard.texts(), sources());
}

#[test]
fn edits_in_the_folder_and_in_the_journal_meet() {
    let yard = Yard::new();
    yard.commit("anna", set(Kind::Tree, "oak", "at", "[5, 6]"));
    yard.replace("property.toml", "height = \"9 m\"", "height = \"12 m\" # by clinometer");
    yard.replace("property.toml", "# Walked on a wet day.", "# Walked twice.");
    assert_eq!(yard.sync().how, How::OutsideEdit);
    let expected = PROPERTY
        .replace("[3, 4] ", "[5, 6] ")
        .replace("height = \"9 m\"", "height = \"12 m\" # by clinometer");
    let property = yard.texts().property.unwrap();
    assert!(property.contains("# Walked twice."), "{property}");
    assert_eq!(property.replace("# Walked twice.", "# Walked on a wet day."), expected);
    assert_eq!(yard.read_folder(), yard.texts());
}

#[test]
fn a_contradiction_is_shown_and_nothing_is_written_over() {
    let yard = Yard::new();
    yard.commit("anna", set(Kind::Tree, "oak", "at", "[5, 6]"));
    yard.replace("property.toml", "[3, 4] ", "[7, 8] ");
    yard.replace("property.toml", "\"9 m\"", "\"12 m\"");
    let before = yard.read_folder();
    for _ in 0..2 {
        let How::Conflict(clashes) = yard.sync().how else { panic!("a conflict") };
        assert_eq!(clashes.len(), 1);
        assert_eq!(clashes[0].to_string(), "`at` of tree `oak`");
        assert_eq!(yard.read_folder(), before);
        assert_eq!(yard.head(), RevisionId(2));
    }
    // Editing goes on meanwhile, in the journal.
    yard.commit("anna", set(Kind::Tree, "ash", "at", "[1, 1]"));
    assert!(matches!(yard.sync().how, How::Conflict(_)));
    assert_eq!(yard.read_folder(), before);
}

#[test]
fn a_contradiction_is_settled_field_by_field_and_both_sides_are_kept() {
    for (keep, at) in [(Side::Ours, "[5, 6] "), (Side::Theirs, "[7, 8] ")] {
        let yard = Yard::new();
        yard.commit("anna", set(Kind::Tree, "oak", "at", "[5, 6]"));
        yard.replace("property.toml", "[3, 4] ", "[7, 8] ");
        yard.replace("property.toml", "\"9 m\"", "\"12 m\"");
        let (outside, journal) = (yard.read_folder(), yard.texts());
        yard.store.settle(yard.project, keep, "anna", now()).unwrap();
        let expected = PROPERTY.replace("[3, 4] ", at).replace("\"9 m\"", "\"12 m\"");
        assert_eq!(yard.texts().property.unwrap(), expected);
        assert_eq!(yard.read_folder(), yard.texts());
        assert_eq!(yard.store.texts(yard.project, RevisionId(3)).unwrap(), outside);
        assert_eq!(yard.sync().how, How::Same);
        yard.store.undo(yard.project, None, "anna", now()).unwrap();
        assert_eq!(yard.texts(), journal, "undo goes back to before the decision");
    }
    let yard = Yard::new();
    let error = yard.store.settle(yard.project, Side::Ours, "anna", now()).unwrap_err();
    assert!(matches!(error, CommitError::NotInConflict));
}

#[test]
fn a_folder_that_does_not_read_never_replaces_the_head() {
    let yard = Yard::new();
    for (old, new) in [("units = \"m\"", "units = m"), ("at = [3, 4]", "at = [3]"), ("id = \"oak\"\n", "")] {
        yard.replace("property.toml", old, new);
        let broken = yard.read_folder();
        let How::Broken(faults) = yard.sync().how else { panic!("{new}") };
        assert!(faults.iter().any(|fault| fault.file == "property.toml"));
        assert_eq!((yard.texts(), yard.read_folder()), (sources(), broken));
        // Work goes on in the journal; the broken file is still not written over.
        yard.replace("property.toml", new, old);
    }
    fs::write(yard.folder().join("property.toml"), [b'a', 0xff]).unwrap();
    assert!(matches!(yard.sync().how, How::Broken(_)));
    fs::remove_file(yard.folder().join("property.toml")).unwrap();
    assert!(matches!(yard.sync().how, How::Broken(_)));
    assert_eq!(yard.texts(), sources());
    fs::write(yard.folder().join("property.toml"), PROPERTY).unwrap();
    assert_eq!(yard.sync().how, How::Same);
}

#[test]
fn a_folder_that_does_not_read_begins_no_project() {
    let place = tempfile::tempdir().unwrap();
    let store = Store::open(&place.path().join("journal.sqlite")).unwrap();
    let error = store.open_folder(place.path(), "anna", now()).unwrap_err();
    assert!(matches!(error, StoreError::Faults(_)), "{error}");
    assert!(store.projects().unwrap().is_empty());
    assert!(store.open_folder(&place.path().join("nowhere"), "anna", now()).is_err());
}

/// Files of the stock come and go with the folder and with undo.
#[test]
fn files_of_the_stock_come_and_go() {
    let yard = Yard::new();
    let stock = yard.folder().join("stock");
    fs::create_dir(&stock).unwrap();
    let text = "format = 1\n\n[[mulch]]\nid = \"own-bark\"\nname = \"Own bark\"\n";
    fs::write(stock.join("own.toml"), text).unwrap();
    let how = yard.sync().how;
    if let How::Broken(faults) = &how {
        panic!("{}", faults[0]);
    }
    assert_eq!(how, How::OutsideEdit);
    assert_eq!(yard.texts().text("stock/own.toml"), Some(text));
    yard.store.undo(yard.project, None, "outside", now()).unwrap();
    yard.sync();
    assert!(!stock.join("own.toml").exists());
    yard.store.redo(yard.project, None, "outside", now()).unwrap();
    yard.sync();
    assert_eq!(fs::read_to_string(stock.join("own.toml")).unwrap(), text);
}

#[test]
fn what_is_exported_is_what_was_imported() {
    let yard = Yard::new();
    let property = format!("\u{feff}{}", PROPERTY.replace('\n', "\r\n"));
    let design = DESIGN.trim_end().to_owned();
    fs::write(yard.folder().join("property.toml"), &property).unwrap();
    fs::write(yard.folder().join("design.toml"), &design).unwrap();
    assert_eq!(yard.sync().how, How::OutsideEdit);
    yard.commit("anna", set(Kind::Tree, "oak", "at", "[5, 6]"));
    let copy = yard.place.path().join("copies/first");
    yard.store.export(yard.project, RevisionId(2), &copy).unwrap();
    assert_eq!(fs::read(copy.join("property.toml")).unwrap(), property.as_bytes());
    assert_eq!(fs::read(copy.join("design.toml")).unwrap(), design.as_bytes());
    let opened = yard.store.open_folder(&copy, "anna", now()).unwrap();
    assert_ne!(opened.project, yard.project);
    assert_eq!(
        yard.store.head(opened.project).unwrap().sources,
        yard.store.texts(yard.project, RevisionId(2)).unwrap()
    );
    let head = yard.texts().property.unwrap();
    assert_eq!(head, property.replace("[3, 4] ", "[5, 6] "));
    assert!(read_project(yard.texts()).is_ok());
}

/// A journal inside the folder, or beside it, moves along with it.
#[test]
fn a_folder_moved_together_with_its_journal_keeps_its_past() {
    let place = tempfile::tempdir().unwrap();
    for inside in ["journal.sqlite", ".past/journal.sqlite"] {
        let (old, new) = (place.path().join("old"), place.path().join("new"));
        fs::create_dir(&old).unwrap();
        fs::write(old.join("property.toml"), PROPERTY).unwrap();
        fs::write(old.join("design.toml"), DESIGN).unwrap();
        let store = Store::open(&old.join(inside)).unwrap();
        let before = store.open_folder(&old, "anna", now()).unwrap();
        drop(store);
        fs::rename(&old, &new).unwrap();
        let store = Store::open(&new.join(inside)).unwrap();
        let after = store.open_folder(&new, "anna", now()).unwrap();
        assert_eq!((after.project, after.how), (before.project, How::Same));
        assert_eq!(store.folder(after.project).unwrap(), new.canonicalize().unwrap());
        drop(store);
        fs::remove_dir_all(&new).unwrap();
    }
}
