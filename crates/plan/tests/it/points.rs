//! Points of an element: found where the file writes them, moved one at a time.
//!
//! The texts are read again after every command; only the point that was named may differ.

use groundwright_geometry::Point;
use groundwright_plan::{
    EditError, ElementId, ElementRef, Kind, Sources, apply, place_text, point_added, point_moved,
    point_removed, points_of, read_project,
};
use proptest::prelude::*;

fn sources() -> Sources {
    let property = "format = 1\nname = \"Points\"\nunits = \"decimal ft\"\n\n[[building]]\nid = \"house\"\noutline = [[0, 0], [20, 0], [20, 30], [0, 30]]\n";
    let design = r#"format = 1

[[bed]]
id = "front"
outline = [
    { along = "building house", from = [20, 0], to = [0, 0] },
    { straight = [[-4, 0]] }, # to the drive
    { smooth = [[3, -6.5], ["14 ft", -8], [24, -6], [20, 0]] },
]
mulch = "fine-bark"

[[planting]]
id = "dots"
role = "specimen"
plant = "acer-circinatum"
in = "bed front"
at = [[4, -2], [9, -3]]
"#;
    Sources { property: Some(property.to_owned()), design: Some(design.to_owned()), ..Sources::default() }
}

fn element(kind: Kind, id: &str) -> ElementRef {
    ElementRef::new(kind, &ElementId::from(id))
}

const FOOT: f64 = 0.3048;

#[test]
fn points_are_found_where_the_file_writes_them() {
    let points = points_of(&sources(), &element(Kind::Bed, "front")).unwrap();
    let paths: Vec<&str> = points.iter().map(|p| p.path.as_str()).collect();
    assert_eq!(
        paths,
        [
            "outline/0/from",
            "outline/0/to",
            "outline/1/straight/0",
            "outline/2/smooth/0",
            "outline/2/smooth/1",
            "outline/2/smooth/2",
            "outline/2/smooth/3",
        ]
    );
    assert!(points[4].at.distance(Point::new(14.0 * FOOT, -8.0 * FOOT)) < 1e-9);
    let dots = points_of(&sources(), &element(Kind::Planting, "dots")).unwrap();
    assert_eq!(dots.iter().map(|p| p.path.as_str()).collect::<Vec<_>>(), ["at/0", "at/1"]);
}

#[test]
fn a_moved_point_keeps_comments_and_its_way_of_writing() {
    let bed = element(Kind::Bed, "front");
    let to = Point::new(13.25 * FOOT, -9.0 * FOOT);
    let command = point_moved(&sources(), &bed, "outline/2/smooth/1", to).unwrap();
    let after = apply(&sources(), &command).unwrap();
    let before = sources().design.unwrap();
    assert_eq!(after.design.unwrap(), before.replace("[\"14 ft\", -8]", "[\"13.25 ft\", -9]"));
}

#[test]
fn points_come_and_go() {
    let bed = element(Kind::Bed, "front");
    let command =
        point_added(&sources(), &bed, "outline/2/smooth/1", Point::new(19.0 * FOOT, -8.5 * FOOT)).unwrap();
    let more = apply(&sources(), &command).unwrap();
    assert!(
        more.design.as_ref().unwrap().contains("[\"14 ft\", -8], [\"19 ft\", -8.5], [24, -6]"),
        "{more:?}"
    );
    let command = point_removed(&more, &bed, "outline/2/smooth/2").unwrap();
    assert_eq!(apply(&more, &command).unwrap(), sources());
    let dots = element(Kind::Planting, "dots");
    let fewer = apply(&sources(), &point_removed(&sources(), &dots, "at/0").unwrap()).unwrap();
    let refused = point_removed(&fewer, &dots, "at/0").unwrap_err();
    assert!(refused.to_string().contains("too few would be left"), "{refused}");
}

#[test]
fn what_is_no_point_is_refused() {
    let bed = element(Kind::Bed, "front");
    for path in
        ["", "outline", "outline/9/smooth/0", "outline/2/smooth/9", "outline/2/smooth/0/0", "mulch", "id"]
    {
        let refused = point_moved(&sources(), &bed, path, Point::ORIGIN).unwrap_err();
        assert!(matches!(refused, EditError::NoSuchPoint { .. }), "{path}: {refused}");
    }
    let nowhere = Point::new(f64::NAN, 0.0);
    assert!(point_moved(&sources(), &bed, "outline/2/smooth/0", nowhere).is_err());
}

#[test]
fn places_are_written_in_declared_units() {
    assert_eq!(place_text(&sources(), Point::new(12.5 * FOOT, -3.0 * FOOT)), "[12.5, -3]");
    let bare = Sources::default();
    assert_eq!(place_text(&bare, Point::new(1.25, 2.0)), "[\"1.25 m\", \"2 m\"]");
}

#[test]
fn an_acceptance_needs_a_reason() {
    let with = |reason: &str| {
        let mut sources = sources();
        let record = format!(
            "\n[[accepted]]\nid = \"one\"\nfinding = \"planting.row-short\"\nabout = [\"planting dots\"]\n{reason}\n"
        );
        sources.design.as_mut().unwrap().push_str(&record);
        read_project(sources)
    };
    let loaded = with("reason = \"the owner prunes\"").unwrap();
    assert_eq!(loaded.project.design.accepted[0].about, ["planting dots"]);
    for bad in ["", "reason = \" \"", "reason = 3"] {
        let faults = with(bad).unwrap_err();
        assert_eq!(faults.len(), 1, "{bad}: {faults:?}");
        assert!(faults[0].to_string().contains("reason"), "{bad}: {faults:?}");
    }
}

proptest! {
    /// Moving one point to where another hand would put it leaves every other point where it was.
    #[test]
    fn only_the_named_point_moves(index in 0_usize..7, x in -30.0..30.0_f64, y in -30.0..30.0_f64) {
        let bed = element(Kind::Bed, "front");
        let before = points_of(&sources(), &bed).unwrap();
        let command = point_moved(&sources(), &bed, &before[index].path, Point::new(x, y)).unwrap();
        let after = points_of(&apply(&sources(), &command).unwrap(), &bed).unwrap();
        prop_assert_eq!(before.len(), after.len());
        for (i, (old, new)) in before.iter().zip(&after).enumerate() {
            let expected = if i == index { Point::new(x, y) } else { old.at };
            // Written in thousandths of a foot.
            prop_assert!(new.at.distance(expected) < 0.001 * FOOT);
        }
    }
}
