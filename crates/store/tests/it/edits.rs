//! Who may change what at the same time, and what is refused.

use groundwright_plan::{Command, EditError, Kind, ProjectFile};
use groundwright_store::{CommitError, RevisionId};

use crate::yard::{DESIGN, PROPERTY, Yard, element, now, rename, set};

#[test]
fn a_commit_changes_what_it_names_and_keeps_every_other_byte() {
    let yard = Yard::new();
    let committed = yard.commit("anna", set(Kind::Tree, "oak", "at", "[5, 6]"));
    assert_eq!(committed.revision, RevisionId(2));
    let texts = yard.texts();
    assert_eq!(texts.property.unwrap(), PROPERTY.replace("[3, 4] ", "[5, 6] "));
    assert_eq!(texts.design.unwrap(), DESIGN);
}

#[test]
fn two_editors_change_different_fields_of_the_same_element() {
    let yard = Yard::new();
    let base = yard.head();
    yard.commit_on(base, "anna", set(Kind::Tree, "oak", "at", "[5, 6]")).unwrap();
    yard.commit_on(base, "ben", set(Kind::Tree, "oak", "height", "\"11 m\"")).unwrap();
    let property = yard.texts().property.unwrap();
    assert_eq!(property, PROPERTY.replace("[3, 4] ", "[5, 6] ").replace("9 m", "11 m"));
}

#[test]
fn two_editors_change_the_same_field_and_the_second_is_asked() {
    let yard = Yard::new();
    let base = yard.head();
    yard.commit_on(base, "anna", set(Kind::Tree, "oak", "at", "[5, 6]")).unwrap();
    let error = yard.commit_on(base, "ben", set(Kind::Tree, "oak", "at", "[7, 8]")).unwrap_err();
    assert_eq!(
        error.to_string(),
        "somebody changed `at` of tree `oak` in the meantime; look at it and decide again"
    );
    let CommitError::Conflict(clashes) = error else { panic!("a conflict") };
    assert_eq!(clashes[0].ours.as_deref(), Some("at = [5, 6]      # trunk"));
    assert_eq!(clashes[0].theirs.as_deref(), Some("at = [7, 8]      # trunk"));
    assert_eq!(yard.head(), RevisionId(2));
    // The same value from both is no contradiction.
    yard.commit_on(base, "ben", set(Kind::Tree, "oak", "at", "[5, 6]")).unwrap();
    assert_eq!(yard.head(), RevisionId(2));
}

/// A field inside a table is a field of its own, on one line too.
#[test]
fn fields_inside_a_table_do_not_conflict_with_one_another() {
    let yard = Yard::new();
    let base = yard.head();
    yard.commit_on(base, "anna", set(Kind::Bed, "front", "mulch.depth", "\"5 cm\"")).unwrap();
    yard.commit_on(base, "ben", set(Kind::Bed, "front", "mulch.product", "\"fine-bark\"")).unwrap();
    assert!(yard.texts().design.unwrap().contains(r#"{ product = "fine-bark", depth = "5 cm" } # deep"#));
    let whole = set(Kind::Bed, "front", "mulch", "\"medium-bark\"");
    assert!(matches!(yard.commit_on(base, "cleo", whole), Err(CommitError::Conflict(_))));
}

#[test]
fn an_element_that_was_removed_cannot_be_changed_any_more() {
    let yard = Yard::new();
    let base = yard.head();
    yard.commit("anna", Command::Remove { element: element(Kind::Tree, "oak") });
    let error = yard.commit_on(base, "ben", set(Kind::Tree, "oak", "at", "[5, 6]")).unwrap_err();
    assert!(matches!(&error, CommitError::Conflict(c) if c[0].field.is_empty()), "{error}");
    // And the other way round: what was changed since is not removed unseen.
    let base = yard.head();
    yard.commit("anna", set(Kind::Tree, "ash", "at", "[5, 6]"));
    let remove = Command::Remove { element: element(Kind::Tree, "ash") };
    assert!(matches!(yard.commit_on(base, "ben", remove), Err(CommitError::Conflict(_))));
}

#[test]
fn an_edit_follows_an_element_that_was_renamed_since() {
    let yard = Yard::new();
    let base = yard.head();
    yard.commit("anna", rename(Kind::Bed, "front", "entrance"));
    yard.commit_on(base, "ben", set(Kind::Bed, "front", "label", "\"By the door\"")).unwrap();
    let design = yard.texts().design.unwrap();
    assert!(design.contains("id = \"entrance\"\noutline"), "{design}");
    assert!(design.contains("label = \"By the door\""), "{design}");
    assert!(design.contains("in = \"bed entrance\""), "{design}");
}

/// Anna adds a planting to a bed while Ben, who has not seen it, renames the bed.
#[test]
fn renaming_rewrites_references_that_came_since() {
    let yard = Yard::new();
    let base = yard.head();
    let body = "role = \"mass\"\nin = \"bed front\"\nplant = \"acer-rubrum\"\nmass = {}\n".to_owned();
    yard.commit("anna", Command::Add { element: element(Kind::Planting, "more"), body });
    yard.commit_on(base, "ben", rename(Kind::Bed, "front", "entrance")).unwrap();
    assert_eq!(yard.texts().design.unwrap().matches("bed entrance").count(), 2);
}

#[test]
fn what_would_not_read_is_refused_with_the_reason() {
    let yard = Yard::new();
    let error =
        yard.commit_on(yard.head(), "anna", set(Kind::Tree, "oak", "height", "\"tall\"")).unwrap_err();
    let CommitError::Faults(faults) = &error else { panic!("{error}") };
    assert_eq!((faults[0].file.as_str(), faults[0].line), ("property.toml", 17));
    let gone = Command::Remove { element: element(Kind::Tree, "elm") };
    let error = yard.commit_on(yard.head(), "anna", gone).unwrap_err();
    assert!(matches!(error, CommitError::Edit(EditError::NoSuchElement(_))));
    let error = yard.commit_on(RevisionId(7), "anna", set(Kind::Tree, "oak", "at", "[1, 1]")).unwrap_err();
    assert_eq!(error.to_string(), "the project has no revision 7; its newest is 1");
    assert_eq!(yard.head(), RevisionId(1));
}

/// All or none: the second command fails, the first leaves nothing behind.
#[test]
fn commands_that_belong_together_are_kept_together() {
    let yard = Yard::new();
    let commands =
        [set(Kind::Tree, "oak", "at", "[5, 6]"), Command::Remove { element: element(Kind::Tree, "elm") }];
    assert!(yard.store.commit(yard.project, yard.head(), &commands, None, "anna", now()).is_err());
    assert_eq!(yard.texts().property.unwrap(), PROPERTY);
}

/// A phone that lost the answer sends its edit again.
#[test]
fn a_request_sent_again_is_kept_once() {
    let yard = Yard::new();
    let base = yard.head();
    let shift = Command::Move { element: element(Kind::Tree, "oak"), east: 1.0, north: 0.0 };
    for _ in 0..3 {
        yard.store
            .commit(yard.project, base, std::slice::from_ref(&shift), Some("a1"), "anna", now())
            .unwrap();
    }
    assert_eq!(yard.head(), RevisionId(2));
    assert!(yard.texts().property.unwrap().contains("at = [4, 4] "));
    // Without a name of its own it comes to the same, as long as nobody else moved the oak.
    yard.commit_on(base, "anna", shift).unwrap();
    assert_eq!(yard.head(), RevisionId(2));
}

#[test]
fn keys_outside_elements_are_declared_and_retracted() {
    let yard = Yard::new();
    let declare = |field: &str, value: &str| Command::Declare {
        file: ProjectFile::Property,
        field: field.to_owned(),
        value: value.to_owned(),
    };
    let base = yard.head();
    yard.commit_on(base, "anna", declare("place.latitude", "\"44 deg\"")).unwrap();
    yard.commit_on(base, "ben", declare("access.narrowest", "\"1.1 m\"")).unwrap();
    yard.commit_on(
        base,
        "ben",
        Command::Retract { file: ProjectFile::Property, field: "place.hardiness".to_owned() },
    )
    .unwrap();
    let property = yard.texts().property.unwrap();
    assert!(property.contains("[place]\nlatitude = \"44 deg\"\n"), "{property}");
    assert!(property.contains("[access]\nnarrowest = \"1.1 m\"\n"), "{property}");
    let error = yard.commit_on(base, "anna", declare("tree.at", "1")).unwrap_err();
    assert_eq!(
        error.to_string(),
        "`tree.at` is not something that property.toml says outside its elements; name the element instead"
    );
    let error = yard.commit_on(base, "anna", declare("name.first", "1")).unwrap_err();
    assert!(matches!(error, CommitError::Edit(EditError::NoSuchTable { .. })), "{error}");
    assert!(matches!(
        yard.commit_on(base, "anna", declare("place.latitude", "\"45 deg\"")),
        Err(CommitError::Conflict(_))
    ));
}
