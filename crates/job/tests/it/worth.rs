//! What is worth measuring next.

use groundwright_handoff::When;
use groundwright_job::{Swing, Worth, worth_measuring};
use groundwright_plan::{Loaded, Sources, read_project};

const PROPERTY: &str = r#"format = 1
units = "m"
name = "first visit"
[boundary]
known = "fence"
outline = [[0, 0], [30, 0], [30, 30], [0, 30]]
[[building]]
id = "house"
outline = [[8, 12], [20, 12], [20, 22], [8, 22]]
[[tree]]
id = "oak"
plant = "quercus-garryana"
at = [25, 5]
"#;

const DESIGN: &str = r#"format = 1
[[bed]]
id = "front"
outline = [[2, 2], [12, 2], [12, 7], [2, 7]]
mulch = { product = "medium-bark", depth = "8 cm" }
[[planting]]
id = "carpet"
role = "mass"
in = "bed front"
plant = "polystichum-munitum"
spacing = "80 cm"
mass = {}
"#;

fn load(property: &str) -> Loaded {
    let sources = Sources {
        property: Some(property.to_owned()),
        design: Some(DESIGN.to_owned()),
        ..Sources::default()
    };
    read_project(sources).unwrap_or_else(|faults| panic!("{faults:#?}"))
}

fn worth(property: &str) -> Vec<Worth> {
    worth_measuring(&load(property), When::years(0.0), &mut || true)
}

fn scale(list: &[Worth]) -> &Worth {
    list.iter().find(|one| one.doubt.name == "[[taped]]").unwrap()
}

/// An area goes with the square of the scale, and so does the mulch on it: with ± 15 % the bark lies
/// between 0.85² and 1.15² of what it is. By hand.
#[test]
fn nothing_moves_the_amounts_of_an_untaped_plan_as_its_scale_does() {
    let list = worth(PROPERTY);
    let moved = |worth: &Worth| worth.swings.iter().map(Swing::share).sum::<f64>();
    let scale = scale(&list);
    // The oak's girth decides how much fence and mulch its roots need, from nothing to a lot.
    let others = list.iter().filter(|one| !one.doubt.name.contains("oak"));
    for one in others {
        assert!(moved(one) <= moved(scale), "{one:?}");
    }
    let bark = scale.swings.iter().find(|swing| swing.item.starts_with("mulch/")).unwrap();
    assert!(bark.now > 0.0);
    assert!((bark.least / bark.now - 0.7225).abs() < 0.02, "{bark:?}");
    assert!((bark.most / bark.now - 1.3225).abs() < 0.02, "{bark:?}");
    let ferns = scale.swings.iter().find(|swing| swing.item.starts_with("plant/")).unwrap();
    assert!(ferns.least < ferns.now && ferns.now < ferns.most, "{ferns:?}");
}

#[test]
fn taping_narrows_the_answers() {
    let one = "[[taped]]\nid = \"front\"\nfrom = [8, 12]\nto = [20, 12]\nlength = \"12 m\"\n";
    let two = "[[taped]]\nid = \"side\"\nfrom = [20, 12]\nto = [20, 22]\nlength = \"10 m\"\n";
    let weights = [PROPERTY.to_owned(), format!("{PROPERTY}{one}"), format!("{PROPERTY}{one}{two}")]
        .map(|property| scale(&worth(&property)).weight);
    assert!(weights[0] > weights[1] && weights[1] > weights[2], "{weights:?}");
}

/// The list is ordered, every doubt stands in it once, and what is certain does not.
#[test]
fn the_list_begins_with_what_changes_most() {
    let list = worth(PROPERTY);
    assert!(list.windows(2).all(|pair| pair[0].weight >= pair[1].weight));
    let doubts = load(PROPERTY).doubts.iter().filter(|doubt| !doubt.file.starts_with("practice")).count();
    assert_eq!(list.len(), doubts + 1);
    for worth in &list {
        assert!(worth.weight.is_finite() && worth.weight >= 0.0);
        for swing in &worth.swings {
            assert!(swing.least <= swing.now && swing.now <= swing.most && swing.least < swing.most);
            assert!((0.0..=1.0).contains(&swing.share()));
        }
    }
    let given = worth(&PROPERTY.replace("at = [25, 5]", "at = [25, 5]\nheight = \"9 m\""));
    assert_eq!(given.len() + 1, list.len());
}

#[test]
fn it_stops_when_it_is_told_to() {
    let mut left = 3;
    let list = worth_measuring(&load(PROPERTY), When::years(0.0), &mut || {
        left -= 1;
        left >= 0
    });
    assert_eq!(list.len(), 3);
}
