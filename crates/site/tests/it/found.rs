//! Findings about plants that stay, move or go.

use groundwright_handoff::Severity;
use groundwright_plan::apply;

use crate::small::{DESIGN, Lie, PROPERTY, findings, of_rule, project, read, sources, with};

#[test]
fn a_kept_weed_is_a_doubt_until_it_is_removed() {
    let property = format!(
        "{PROPERTY}[[tree]]\nid = \"holly\"\nplant = \"ilex-aquifolium\"\nat = <22 14>\ncondition = \"good\"\n"
    );
    let texts = sources(Lie::default(), &property, DESIGN);
    let all = findings(&read(texts.clone()));
    let [weed] = of_rule(&all, "site.weed-kept")[..] else { panic!("{all:?}") };
    assert_eq!(weed.severity, Severity::Doubt);
    let mended = read(apply(&texts, &weed.remedies[0].commands[0]).unwrap());
    assert!(of_rule(&findings(&mended), "site.weed-kept").is_empty());
}

/// The stock lists the oak's acorns and leaves as harmful to dogs, the sword fern not at all.
#[test]
fn toxic_plants_that_stay_are_told_where_children_or_pets_play() {
    let all = findings(&project());
    let subjects: Vec<&str> =
        of_rule(&all, "site.toxic-kept").iter().map(|finding| finding.subjects[0].id.as_str()).collect();
    assert_eq!(subjects, ["oak"]);
    let nobody = PROPERTY.replace("children_or_pets = true", "children_or_pets = false");
    let all = findings(&read(sources(Lie::default(), &nobody, DESIGN)));
    assert!(of_rule(&all, "site.toxic-kept").is_empty());
}

#[test]
fn poor_plants_that_move_are_a_doubt_that_both_remedies_mend() {
    let poor = PROPERTY
        .replace("condition = \"fair\"\naction = \"move\"", "condition = \"poor\"\naction = \"move\"");
    let texts = sources(Lie::default(), &poor, DESIGN);
    let all = findings(&read(texts.clone()));
    let [doubt] = of_rule(&all, "site.poor-moved")[..] else { panic!("{all:?}") };
    assert_eq!(doubt.remedies.len(), 2);
    for remedy in &doubt.remedies {
        let mended = read(apply(&texts, &remedy.commands[0]).unwrap());
        assert!(of_rule(&findings(&mended), "site.poor-moved").is_empty());
    }
    assert!(of_rule(&findings(&project()), "site.poor-moved").is_empty());
}

#[test]
fn every_tree_that_goes_asks_about_a_permit() {
    let all = findings(&project());
    let [note] = of_rule(&all, "site.tree-removed")[..] else { panic!("{all:?}") };
    assert_eq!((note.severity, note.subjects[0].id.as_str()), (Severity::Note, "cherry"));
}

/// The cherry is 6 m high and stands at x = 25: a wire 5 m to the east is in reach, one 7 m is not.
#[test]
fn felling_within_reach_of_a_wire_is_a_danger() {
    for (x, dangers) in [(30, 1), (32, 0)] {
        let wire = format!("[[overhead_wire]]\nid = \"wire\"\nline = [<{x} -5>, <{x} 30>]\n");
        let all = findings(&with(&wire, ""));
        let found = of_rule(&all, "site.felled-at-wire");
        assert_eq!(found.len(), dangers, "{x}");
        assert!(found.iter().all(|finding| finding.severity == Severity::Danger));
    }
}

#[test]
fn a_tree_marked_move_is_questioned() {
    let property = "[[tree]]\nid = \"maple\"\nplant = \"acer-circinatum\"\nat = <22 14>\naction = \"move\"\n";
    assert_eq!(of_rule(&findings(&with(property, "")), "site.tree-moved").len(), 1);
}
