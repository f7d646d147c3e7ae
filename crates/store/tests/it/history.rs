//! Undo, redo and the list of revisions.

use groundwright_plan::{Command, Kind, Sources};
use groundwright_store::{Cause, CommitError, RevisionId};
use proptest::prelude::*;

use crate::yard::{PROPERTY, Yard, element, now, set, sources};

#[test]
fn undo_and_redo_give_back_the_same_bytes_also_after_a_restart() {
    let yard = Yard::new();
    yard.commit("anna", set(Kind::Tree, "oak", "at", "[5, 6]"));
    let one = yard.texts();
    yard.commit("anna", Command::Remove { element: element(Kind::Tree, "ash") });
    let two = yard.texts();
    let yard = yard.reopened();
    yard.store.undo(yard.project, None, "anna", now()).unwrap();
    assert_eq!(yard.texts(), one);
    let yard = yard.reopened();
    yard.store.undo(yard.project, None, "anna", now()).unwrap();
    assert_eq!(yard.texts(), sources());
    assert!(matches!(yard.store.undo(yard.project, None, "anna", now()), Err(CommitError::Nothing(_))));
    let yard = yard.reopened();
    yard.store.redo(yard.project, None, "anna", now()).unwrap();
    yard.store.redo(yard.project, None, "anna", now()).unwrap();
    assert_eq!(yard.texts(), two);
    let error = yard.store.redo(yard.project, None, "anna", now()).unwrap_err();
    assert_eq!(error.to_string(), "there is nothing left to bring back");
    let causes: Vec<Cause> =
        yard.store.revisions(yard.project).unwrap().iter().map(|revision| revision.cause).collect();
    assert_eq!(
        causes,
        [Cause::Begun, Cause::Edit, Cause::Edit, Cause::Undo, Cause::Undo, Cause::Redo, Cause::Redo]
    );
}

#[test]
fn undo_takes_back_ones_own_edit_and_leaves_the_others() {
    let yard = Yard::new();
    yard.commit("anna", set(Kind::Tree, "oak", "at", "[5, 6]"));
    yard.commit("ben", set(Kind::Tree, "ash", "at", "[1, 2]"));
    yard.commit("ben", set(Kind::Tree, "oak", "height", "\"12 m\""));
    yard.store.undo(yard.project, None, "anna", now()).unwrap();
    let expected = PROPERTY.replace("[20, 21]", "[1, 2]").replace("9 m", "12 m");
    assert_eq!(yard.texts().property.unwrap(), expected);
    yard.store.undo(yard.project, None, "ben", now()).unwrap();
    assert_eq!(yard.texts().property.unwrap(), PROPERTY.replace("[20, 21]", "[1, 2]"));
    yard.store.redo(yard.project, None, "anna", now()).unwrap();
    let expected = PROPERTY.replace("[20, 21]", "[1, 2]").replace("[3, 4] ", "[5, 6] ");
    assert_eq!(yard.texts().property.unwrap(), expected);
}

#[test]
fn undo_is_refused_where_another_changed_the_same_field_since() {
    let yard = Yard::new();
    yard.commit("anna", set(Kind::Tree, "oak", "at", "[5, 6]"));
    yard.commit("ben", set(Kind::Tree, "oak", "at", "[7, 8]"));
    let error = yard.store.undo(yard.project, None, "anna", now()).unwrap_err();
    assert!(matches!(error, CommitError::Conflict(_)), "{error}");
    // Taking back the adding of what another has built upon would leave a project that does not read.
    let body = "outline = [[15, 5], [19, 5], [19, 9]]\n".to_owned();
    yard.commit("anna", Command::Add { element: element(Kind::Bed, "back"), body });
    yard.commit("ben", set(Kind::Planting, "carpet", "in", "\"bed back\""));
    let error = yard.store.undo(yard.project, None, "anna", now()).unwrap_err();
    assert!(matches!(error, CommitError::Faults(_)), "{error}");
}

#[test]
fn a_new_edit_ends_what_could_be_brought_back() {
    let yard = Yard::new();
    yard.commit("anna", set(Kind::Tree, "oak", "at", "[5, 6]"));
    yard.store.undo(yard.project, None, "anna", now()).unwrap();
    assert_eq!(yard.store.reach(yard.project, "anna").unwrap().redo, Some(RevisionId(2)));
    yard.commit("ben", set(Kind::Tree, "ash", "at", "[1, 2]"));
    assert_eq!(yard.store.reach(yard.project, "anna").unwrap().redo, Some(RevisionId(2)));
    yard.commit("anna", set(Kind::Tree, "oak", "height", "\"12 m\""));
    let reach = yard.store.reach(yard.project, "anna").unwrap();
    assert_eq!((reach.undo, reach.redo), (Some(RevisionId(5)), None));
}

#[test]
fn the_difference_of_two_revisions_is_told_by_element_and_field() {
    let yard = Yard::new();
    yard.commit("anna", set(Kind::Tree, "oak", "at", "[5, 6]"));
    yard.commit("anna", Command::Remove { element: element(Kind::Tree, "ash") });
    yard.commit("anna", set(Kind::Bed, "front", "mulch.depth", "\"5 cm\""));
    let told = |from, to| -> Vec<String> {
        yard.store
            .difference(yard.project, RevisionId(from), RevisionId(to))
            .unwrap()
            .into_iter()
            .map(|d| {
                let side =
                    |text: Option<String>| text.map_or("none".to_owned(), |text| text.replace('\n', " | "));
                format!("{} {}: {} -> {}", d.subject, d.field, side(d.before), side(d.after))
            })
            .collect()
    };
    assert_eq!(
        told(1, 4),
        [
            "bed `front` mulch.depth: depth = \"8 cm\" -> depth = \"5 cm\"",
            "tree `ash` : id = \"ash\" | plant = \"Fraxinus sp.\" | at = [20, 21] -> none",
            "tree `oak` at: at = [3, 4]      # trunk -> at = [5, 6]      # trunk",
        ]
    );
    assert_eq!(told(2, 1), ["tree `oak` at: at = [5, 6]      # trunk -> at = [3, 4]      # trunk"]);
    assert!(told(3, 3).is_empty());
}

#[test]
fn a_revision_can_be_called_by_a_name_of_its_own() {
    let yard = Yard::new();
    yard.commit("anna", set(Kind::Tree, "oak", "at", "[5, 6]"));
    let name = |number, name| yard.store.name_revision(yard.project, RevisionId(number), name);
    let names = || -> Vec<Option<String>> {
        yard.store.revisions(yard.project).unwrap().into_iter().map(|revision| revision.name).collect()
    };
    name(1, Some(" as shown to the client ")).unwrap();
    assert_eq!(names(), [Some("as shown to the client".to_owned()), None]);
    let error = name(2, Some("as shown to the client")).unwrap_err();
    assert_eq!(
        error.to_string(),
        "revision 1 is already called `as shown to the client`; take the name from it first, or choose another"
    );
    name(1, Some(" ")).unwrap();
    name(2, Some("as shown to the client")).unwrap();
    assert_eq!(names(), [None, Some("as shown to the client".to_owned())]);
    assert!(name(3, None).is_err());
}

#[derive(Debug, Clone)]
enum Deed {
    Edit(Command),
    Undo,
    Redo,
    Restart,
    Sync,
}

fn command() -> impl Strategy<Value = Command> {
    let tree = prop_oneof![Just("oak"), Just("ash"), Just("elm")];
    (tree, 0..7_u8, 0..29_i32, 1..29_i32).prop_map(|(id, what, x, y)| match what {
        0 | 1 => set(Kind::Tree, id, "at", &format!("[{x}, {y}]")),
        2 => set(Kind::Tree, id, "height", &format!("\"{y} m\"")),
        3 => Command::Clear { element: element(Kind::Tree, id), field: "height".to_owned() },
        4 => Command::Remove { element: element(Kind::Tree, id) },
        5 => Command::Add {
            element: element(Kind::Tree, id),
            body: format!("# seen late\nplant = \"Ulmus sp.\" # perhaps\nat = [{x}, {y}]\n"),
        },
        _ => set(Kind::Bed, "front", "mulch.depth", &format!("\"{y} cm\"")),
    })
}

fn deed() -> impl Strategy<Value = Deed> {
    prop_oneof![
        6 => command().prop_map(Deed::Edit),
        3 => Just(Deed::Undo),
        2 => Just(Deed::Redo),
        1 => Just(Deed::Restart),
        1 => Just(Deed::Sync),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// One author's journal is a list of texts with a finger on one of them, whatever happens in
    /// between, and the past never changes.
    #[test]
    fn undo_and_redo_move_along_the_texts_of_one_author(deeds in prop::collection::vec(deed(), 1..30)) {
        let mut yard = Yard::new();
        let mut texts = vec![sources()];
        let mut at = 0;
        let mut past: Vec<Sources> = vec![sources()];
        for deed in deeds {
            match deed {
                Deed::Edit(command) => {
                    let before = yard.texts();
                    if yard.commit_on(yard.head(), "anna", command).is_ok() && yard.texts() != before {
                        texts.truncate(at + 1);
                        texts.push(yard.texts());
                        at += 1;
                    }
                }
                Deed::Undo => {
                    let done = yard.store.undo(yard.project, None, "anna", now()).is_ok();
                    prop_assert_eq!(done, at > 0);
                    at = at.saturating_sub(1);
                }
                Deed::Redo => {
                    let done = yard.store.redo(yard.project, None, "anna", now()).is_ok();
                    prop_assert_eq!(done, at + 1 < texts.len());
                    at = (at + 1).min(texts.len() - 1);
                }
                Deed::Restart => yard = yard.reopened(),
                Deed::Sync => {
                    yard.sync();
                    prop_assert_eq!(yard.read_folder(), yard.texts());
                }
            }
            prop_assert_eq!(&yard.texts(), &texts[at]);
            if yard.head().0 as usize > past.len() {
                past.push(yard.texts());
            }
        }
        for (number, text) in (1_i64..).zip(&past) {
            prop_assert_eq!(&yard.store.texts(yard.project, RevisionId(number)).unwrap(), text);
        }
    }

    /// Two authors who have not seen one another's edits: what is acknowledged is there, and a
    /// refusal changes nothing.
    #[test]
    fn edits_of_two_authors_meet_or_are_refused(
        hers in prop::collection::vec(command(), 1..5), his in prop::collection::vec(command(), 1..5),
    ) {
        let yard = Yard::new();
        let base = yard.head();
        for command in hers {
            let _ = yard.commit_on(yard.head(), "anna", command);
        }
        let after_hers = yard.texts();
        for command in his {
            let before = yard.texts();
            let alone = groundwright_plan::apply(&sources(), &command);
            if yard.commit_on(base, "ben", command).is_err() {
                prop_assert_eq!(yard.texts(), before);
                continue;
            }
            // What he did to the base is what he did to the head, unless she did the same.
            let wanted = groundwright_plan::difference(&sources(), &alone.unwrap()).unwrap();
            for done in groundwright_plan::difference(&before, &yard.texts()).unwrap() {
                prop_assert!(wanted.iter().any(|w| w.subject == done.subject && w.after == done.after));
            }
        }
        // Taking back all of his leaves hers.
        while yard.store.undo(yard.project, None, "ben", now()).is_ok() {}
        let left = groundwright_plan::difference(&after_hers, &yard.texts()).unwrap();
        prop_assert!(left.is_empty(), "{left:?}");
    }
}
