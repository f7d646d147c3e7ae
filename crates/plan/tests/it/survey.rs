//! The survey in a project: its points are places, its faults have lines, its slips are left out.

use groundwright_geometry::Point;
use groundwright_plan::{Loaded, Sources, Standing, read_project};

const PROPERTY: &str = r#"format = 1
name = "Surveyed"
units = "decimal ft"
[[reference]]
id = "sw"
at = [10, 20]
[[reference]]
id = "se"
at = [40, 20]
[[tree]]
id = "maple"
plant = "Acer sp."
at = "maple"
diameter = "14 in"
action = "keep"
"#;

/// Invented: the maple at (22, 36), by 3-4-5 triangles from the front corners and one tape more.
const SURVEY: &str = "what,from,to,reading,point\n\
wall,SW,SE,30',\n\
tape,SW,Maple,20',\n\
tape,SE,Maple,24.08',\n\
tape,NE,Maple,18.11',\n\
square,SW,NE,,SE\n\
wall,SE,NE,18',\n\
side,SW,SE,left,Maple\n\
side,SW,SE,left,NE\n";

fn read(property: &str, survey: &str) -> Result<Loaded, Vec<String>> {
    let sources = Sources {
        property: Some(property.to_owned()),
        survey: Some(("survey.csv", survey.to_owned())),
        ..Sources::default()
    };
    read_project(sources).map_err(|faults| faults.iter().map(ToString::to_string).collect())
}

#[test]
fn a_point_of_the_survey_is_a_place() {
    let loaded = read(PROPERTY, SURVEY).unwrap();
    let property = &loaded.project.property;
    let maple = property.references.iter().find(|reference| reference.id.as_str() == "maple").unwrap();
    assert_eq!(maple.at.standing, Standing::Measured);
    assert!((maple.at.value - Point::new(22.0 * 0.3048, 36.0 * 0.3048)).hypot() < 0.01, "{maple:?}");
    assert_eq!(property.references.len(), 4, "the corners keep their places");
    let network = loaded.project.readings.network.as_ref().unwrap();
    assert!(network.suspects.is_empty() && network.cleaned.undetermined.is_empty());
}

#[test]
fn faults_of_the_survey_have_their_file_and_line() {
    let faults = read(PROPERTY, &SURVEY.replace("24.08'", "24.08 yrds")).unwrap_err();
    assert!(faults[0].starts_with("survey.csv:4:15: "), "{faults:?}");
    let unknown = read(&PROPERTY.replace("at = \"maple\"", "at = \"mapel\""), SURVEY).unwrap_err();
    assert!(unknown[0].contains("did you mean `maple`?"), "{unknown:?}");
}

#[test]
fn a_point_that_is_not_determined_is_no_place() {
    let loose = SURVEY.replace("tape,SE,Maple,24.08',\n", "").replace("tape,NE,Maple,18.11',\n", "");
    let faults = read(PROPERTY, &loose).unwrap_err();
    assert!(faults[0].contains("there is no reference point `maple`"), "{faults:?}");
}

/// A reading that cannot be points at its own line: a point taped to itself, a tape of no length.
#[test]
fn a_reading_that_cannot_be_names_its_line() {
    for wrong in ["tape,Maple,Maple,24.08'", "tape,SE,Maple,0'"] {
        let faults = read(PROPERTY, &SURVEY.replace("tape,SE,Maple,24.08'", wrong)).unwrap_err();
        assert_eq!(faults.len(), 1, "{faults:?}");
        assert!(faults[0].starts_with("survey.csv:4:"), "{faults:?}");
    }
}

fn refused(survey: &str) -> Vec<String> {
    read(PROPERTY, survey).unwrap_err()
}

/// A height read at a point is a level of the ground there, and no more than one.
#[test]
fn heights_of_the_survey_are_levels_of_the_ground() {
    let heights = format!("{SURVEY}height,,,100',SW\nrod,1,,4.25',SW\nrod,1,,5.50',Maple\nrod,1,,2.00',SE\n");
    let levels = |text: &str| {
        let levels = read(PROPERTY, text).unwrap().project.property.ground.levels;
        let level = |id: &str| levels.iter().find(|l| l.id.as_str() == id).map(|l| l.level.value / 0.3048);
        (levels.len(), level("maple"), level("se"))
    };
    let (count, maple, se) = levels(&heights);
    assert_eq!(count, 3);
    assert!((maple.unwrap() - 98.75).abs() < 1e-9 && (se.unwrap() - 102.25).abs() < 1e-9);
    let (count, _, se) = levels(&format!("{heights}off ground,,,,SE\n"));
    assert_eq!((count, se), (2, None), "the sill is no ground");
    let own = PROPERTY.to_owned() + "[[level]]\nid = \"maple\"\nat = \"maple\"\nlevel = 97\n";
    let read = read(&own, &heights).unwrap().project.property.ground.levels;
    let maple = read.iter().find(|level| level.id.as_str() == "maple").unwrap();
    assert!((maple.level.value - 97.0 * 0.3048).abs() < 1e-9, "the property's own comes first");
}

/// Without a known height, heights are of a datum of their own and do not mix with the property's.
#[test]
fn heights_without_a_datum_do_not_mix_with_known_ones() {
    let loose = format!("{SURVEY}rod,1,,4.25',SW\nrod,1,,5.50',Maple\n");
    assert_eq!(read(PROPERTY, &loose).unwrap().project.property.ground.levels.len(), 2);
    let own = PROPERTY.to_owned() + "[[level]]\nid = \"kerb\"\nat = [0, 0]\nlevel = 97\n";
    assert_eq!(read(&own, &loose).unwrap().project.property.ground.levels.len(), 1);
}

#[test]
fn a_point_off_the_ground_needs_a_height() {
    let faults = refused(&format!("{SURVEY}off ground,,,,Maple\n"));
    assert!(faults[0].contains("no height was read at `Maple`"), "{faults:?}");
    let faults = refused(&format!("{SURVEY}rod,1,,5.50',Maple\noff ground,,,,Mapel\n"));
    assert!(faults[0].contains("did you mean `maple`?"), "{faults:?}");
}

/// Two parts of the yard that no tape ties together: the part without known points is not determined,
/// the other is; nothing is lost.
#[test]
fn a_disconnected_part_gives_no_places_and_harms_none() {
    let apart = format!("{SURVEY}tape,Well,Shed,31',\ntape,Shed,Gate,22',\ntape,Well,Gate,27',\n");
    let loaded = read(PROPERTY, &apart).unwrap();
    let property = &loaded.project.property;
    assert!(property.references.iter().any(|r| r.id.as_str() == "maple"));
    assert!(
        ["well", "shed", "gate"].iter().all(|id| property.references.iter().all(|r| r.id.as_str() != *id))
    );
    let network = loaded.project.readings.network.as_ref().unwrap();
    assert_eq!(network.cleaned.undetermined.len(), 3);
}

/// A right angle that the walls contradict is found, and left out.
#[test]
fn a_contradictory_right_angle_is_set_aside() {
    // The diagonal says that the corner is 10 degrees off.
    let text = "what,from,to,reading,point\nwall,SW,SE,30',\nwall,SE,NE,18',\ntape,SW,NE,32.0',\n\
        square,SW,NE,,SE\nside,SW,SE,left,NE\nwall,NE,NW,30',\nwall,NW,SW,18',\ntape,SE,NW,37.73',\n\
        side,SW,SE,left,NW\ntape,SW,Maple,20',\ntape,SE,Maple,24.08',\nside,SW,SE,left,Maple\n";
    let loaded = read(PROPERTY, text).unwrap();
    let suspects = &loaded.project.readings.network.as_ref().unwrap().suspects;
    let lines: Vec<usize> = suspects.iter().map(|s| loaded.project.readings.book.lines[s.reading]).collect();
    assert_eq!(lines, [5], "{suspects:?}");
}

/// A height known twice is a fault of the book; one read twice is an adjustment.
#[test]
fn a_height_known_twice_is_refused_with_both_lines() {
    let faults = refused(&format!("{SURVEY}height,,,100',SW\nheight,,,101',SW\n"));
    assert!(faults[0].contains("`height` of `sw` is given twice"), "{faults:?}");
    assert!(faults[0].contains("the first is on line 10"), "{faults:?}");
}
