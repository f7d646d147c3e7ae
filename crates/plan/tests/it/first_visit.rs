//! What a first visit leaves: taped lengths, a bucket and a watch, wishes, and doubts.

use groundwright_plan::{
    Command, ElementRef, Kind, PICKED, Place, Sources, Standing, UNTAPED, apply, read_project, scale_of,
};

use crate::whole;

fn yard(extra: &str) -> Sources {
    let property = format!(
        "format = 1\nunits = \"m\"\nname = \"x\"\n[boundary]\nknown = \"fence\"\n\
         outline = [[0, 0], [20, 0], [20, 10], [0, 10]]\n{extra}"
    );
    Sources { property: Some(property), ..Sources::default() }
}

fn taped(id: &str, to: [f64; 2], length: f64) -> String {
    format!("[[taped]]\nid = \"{id}\"\nfrom = [0, 0]\nto = [{}, {}]\nlength = \"{length} m\"\n", to[0], to[1])
}

#[test]
fn no_taped_length_leaves_the_scale_wide_and_one_is_checked_by_nothing() {
    let none = scale_of(&whole::load(&yard("")).project.property);
    assert_eq!((none.factor, none.spread, none.is_checked()), (1.0, UNTAPED, false));
    let one = scale_of(&whole::load(&yard(&taped("front", [20.0, 0.0], 20.4))).project.property);
    assert!((one.factor - 1.02).abs() < 1e-12);
    // Two ends, each off by a hand's width, in their own ways: √2 · 0.10 m on 20 m, by hand.
    assert!((one.spread - PICKED * 2.0_f64.sqrt() / 20.0).abs() < 1e-12);
    assert!(!one.is_checked());
}

#[test]
fn a_second_length_checks_the_first() {
    let text = taped("front", [20.0, 0.0], 20.4) + &taped("side", [0.0, 10.0], 9.8);
    let scale = scale_of(&whole::load(&yard(&text)).project.property);
    assert!(scale.is_checked());
    assert!((scale.factor - 30.2 / 30.0).abs() < 1e-12);
    // 1.02 and 0.98 lie 0.04 apart.
    assert!((scale.spread - 0.02).abs() < 1e-12);
    assert!((scale.area_spread() - 0.0404).abs() < 1e-12);
}

/// Scaling multiplies lengths of the plan and leaves what was read on the ground.
#[test]
fn scaling_makes_the_plan_agree_with_the_tape() {
    let sources = whole::sources();
    let scaled = apply(&sources, &Command::Scale { factor: 1.25 }).unwrap();
    let (old, new) = (whole::load(&sources).project, whole::load(&scaled).project);
    let at = |place: &Place| match place {
        Place::At(point) => *point,
        Place::Survey { .. } => panic!("a place of its own"),
    };
    let (oak, grown) = (at(&old.property.trees[0].at), at(&new.property.trees[0].at));
    // A place is written to a thousandth of a foot.
    assert!(
        grown.distance(groundwright_geometry::Point::new(oak.x * 1.25, oak.y * 1.25)) < 3.1e-4,
        "{oak:?} {grown:?}"
    );
    assert_eq!(old.property.trees[0].diameter, new.property.trees[0].diameter);
    assert_eq!(old.property.access.narrowest, new.property.access.narrowest);
    assert_eq!(old.property.taped[0].length, new.property.taped[0].length);
    let ratio = scale_of(&old.property).factor / scale_of(&new.property).factor;
    assert!((ratio - 1.25).abs() < 1e-4, "{ratio}");
    assert_eq!(old.elements(), new.elements());
    for factor in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(apply(&sources, &Command::Scale { factor }).is_err());
    }
}

/// A bucket of 10 l in 30 s is 20 l a minute; by hand.
#[test]
fn a_bucket_and_a_watch_give_the_flow() {
    let text = "[supply]\nbucket = \"10 l\"\nseconds = 30\n";
    let supply = whole::load(&yard(text)).project.property.supply;
    assert!((supply.flow().unwrap() * 60_000.0 - 20.0).abs() < 1e-9);
    assert_eq!(whole::load(&yard("[supply]\nbucket = \"10 l\"\n")).project.property.supply.flow(), None);
    assert!(read_project(yard("[supply]\nseconds = 0\n")).is_err());
}

#[test]
fn wishes_are_kept_in_the_clients_words() {
    let wishes = whole::load(&whole::sources()).project.property.wishes;
    assert_eq!(wishes.wants, ["a bench in the evening sun"]);
    assert_eq!(wishes.must_not, ["no thorns by the walk"]);
    assert_eq!(wishes.budget, "20 to 30 thousand");
}

/// Every doubt can be settled: with any of the values that it lists the project reads, and once the
/// value is given the doubt is gone.
#[test]
fn a_doubt_goes_when_its_value_is_given() {
    for sources in [
        whole::sources(),
        yard("[[tree]]\nid = \"oak\"\nplant = \"Quercus sp.\"\nat = [3, 4]\nheight = \"9 m ± 2 m\"\n"),
    ] {
        let loaded = whole::load(&sources);
        assert!(loaded.doubts.len() > 10, "{}", loaded.doubts.len());
        let mut tried = 0;
        for doubt in &loaded.doubts {
            let Some(command) = doubt.tries.first().and_then(|one| doubt.command(&one.value)) else {
                continue;
            };
            let given = apply(&sources, &command).unwrap_or_else(|error| panic!("{doubt:?}: {error}"));
            let after = read_project(given).unwrap_or_else(|faults| panic!("{doubt:?}: {}", faults[0]));
            let same = |other: &&groundwright_plan::Doubt| {
                (&other.file, &other.element, &other.field) == (&doubt.file, &doubt.element, &doubt.field)
            };
            assert!(after.doubts.iter().find(same).is_none(), "{doubt:?} is still in doubt");
            tried += 1;
        }
        assert!(tried > 10);
    }
}

#[test]
fn a_value_marked_as_not_certain_is_a_doubt_with_its_own_range() {
    let text = "[[tree]]\nid = \"oak\"\nplant = \"Quercus sp.\"\nat = [3, 4]\nheight = \"9 m ± 2 m\"\n";
    let loaded = whole::load(&yard(text));
    let oak = ElementRef::new(Kind::Tree, &"oak".into());
    let doubt =
        loaded.doubts.iter().find(|d| d.element.as_ref() == Some(&oak) && d.field == "height").unwrap();
    assert_eq!(doubt.shown, "9.00 m ± 2.00 m");
    let values: Vec<&str> = doubt.tries.iter().map(|one| one.value.as_str()).collect();
    assert_eq!(values, ["\"7.0000 m\"", "\"11.0000 m\""]);
    assert_eq!(loaded.project.property.trees[0].height.standing, Standing::Assumed { spread: 2.0 });
}
