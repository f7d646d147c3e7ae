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
