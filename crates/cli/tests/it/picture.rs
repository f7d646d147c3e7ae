//! `groundwright picture`: files that other readers open, going on, series, clear words.

use std::path::Path;
use std::process::Command;

use serde_json::Value;

use crate::support::{project, python, run, stderr, stdout};

const PROPERTY: &str = r#"format = 1
units = "m"
name = "Small yard"
[place]
latitude = "45 deg"
longitude = "0 deg"
time_zone = "UTC"
[boundary]
outline = [[0, 0], [16, 0], [16, 20], [0, 20]]
known = "pins found"
[[building]]
id = "house"
outline = [[3, 10], [13, 10], [13, 17], [3, 17]]
siding = "brick"
[[opening]]
id = "bay"
building = "house"
kind = "window"
at = [6, 10]
width = "1.6 m"
sill = "0.8 m"
[[viewpoint]]
id = "gate"
role = "street"
at = [8, -2]
looking = [8, 10]
"#;

const DESIGN: &str = r#"format = 1
[[bed]]
id = "front"
mulch = "medium-bark"
outline = [[3, 7], [13, 7], [13, 9.8], [3, 9.8]]
[[planting]]
id = "ferns"
role = "mass"
plant = "polystichum-munitum"
spacing = "0.9 m"
mass = { outline = [[3.5, 7.5], [12.5, 7.5], [12.5, 9.3], [3.5, 9.3]] }
[[light_zone]]
id = "all"
[[light]]
id = "graze"
role = "graze"
fixture = "up-narrow"
zone = "all"
places = [[8, 9.6]]
height = "0.1 m"
"#;

fn yard(folder: &Path) -> String {
    project(folder, PROPERTY, DESIGN);
    folder.display().to_string()
}

fn picture(folder: &str, to: &Path, more: &[&str]) -> Value {
    let to = to.display().to_string();
    let mut arguments = vec!["picture", folder, "--to", &to, "--size", "48x32", "--format", "json"];
    arguments.extend_from_slice(more);
    let output = run(&arguments);
    assert!(output.status.success(), "{more:?}: {}", stderr(&output));
    serde_json::from_str(&stdout(&output)).expect("JSON")
}

/// Reads a picture back with general-purpose libraries: sizes, sum of the layers against the whole.
const READ: &str = r"
import sys, numpy, OpenEXR
from PIL import Image
png = numpy.asarray(Image.open(sys.argv[1]))
print(png.shape, png.max() > 60)
parts = {part.name(): part.channels['RGB'].pixels for part in OpenEXR.File(sys.argv[2]).parts}
whole = parts.pop('picture')
print(whole.shape, sorted(parts))
print(float(abs(whole - sum(parts.values())).max()) < 1e-4 * float(whole.max()))
";

#[test]
fn a_night_is_written_for_the_eye_and_in_linear_light_with_a_layer_for_each_zone() {
    let folder = tempfile::tempdir().expect("a folder");
    let yard = yard(&folder.path().join("yard"));
    let found =
        picture(&yard, &folder.path().join("out"), &["--time", "22:45", "--windows", "8", "--samples", "4"]);
    let one = &found["pictures"][0];
    assert_eq!(one["layers"], serde_json::json!(["sky", "sun", "windows", "zone all"]));
    assert!(one["sun_deg"].as_f64().expect("a number") < 0.0);
    assert!(one["brightest_cd_m2"].as_f64().expect("a number") > 1.0, "{one}");
    let files = ["png", "exr"].map(|key| one[key].as_str().expect("a name").to_owned());
    assert!(files[0].ends_with("gate-year-3-06-21-2245.png"), "{files:?}");
    let output = Command::new(python()).args(["-c", READ, &files[0], &files[1]]).output().expect("Python");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert_eq!(
        said.lines().collect::<Vec<_>>(),
        ["(32, 48, 3) True", "(32, 48, 3) ['sky', 'windows', 'zone all']", "True"]
    );
}

#[test]
fn a_picture_that_was_stopped_goes_on_to_the_same_end() {
    let folder = tempfile::tempdir().expect("a folder");
    let yard = yard(&folder.path().join("yard"));
    let (once, twice) = (folder.path().join("once"), folder.path().join("twice"));
    let whole = picture(&yard, &once, &["--samples", "12"]);
    assert_eq!(whole["pictures"][0]["whole"], true);
    // No time at all: four paths to a pixel, and what there is put away.
    let part = picture(&yard, &twice, &["--samples", "12", "--seconds", "0"]);
    assert_eq!((&part["pictures"][0]["whole"], &part["pictures"][0]["samples"]), (&false.into(), &4.into()));
    let end = picture(&yard, &twice, &["--samples", "12"]);
    assert_eq!(end["pictures"][0]["samples"], 12);
    let bytes =
        |value: &Value| std::fs::read(value["pictures"][0]["png"].as_str().expect("a name")).expect("a file");
    assert_eq!(bytes(&whole), bytes(&end));
    let left: Vec<String> = std::fs::read_dir(&twice)
        .expect("a folder")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .filter(|name| !["png", "exr"].map(Some).contains(&name.rsplit('.').next()))
        .collect();
    assert!(left.is_empty(), "{left:?}");
    // Of another project the film is not taken up.
    picture(&yard, &twice, &["--samples", "12", "--seconds", "0"]);
    std::fs::write(folder.path().join("yard/design.toml"), DESIGN.replace("0.9 m", "0.7 m")).expect("a file");
    let other = picture(&yard, &twice, &["--samples", "4"]);
    assert_eq!(other["pictures"][0]["samples"], 4);
}

#[test]
fn lists_make_a_series_and_threads_do_not_matter() {
    let folder = tempfile::tempdir().expect("a folder");
    let yard = yard(&folder.path().join("yard"));
    let series = |name: &str, threads: &str| {
        let more = ["--samples", "2", "--years", "0,5", "--date", "01-15,07-01", "--threads", threads];
        picture(&yard, &folder.path().join(name), &more)
    };
    let (one, two) = (series("one", "1"), series("two", "2"));
    let files = |value: &Value| -> Vec<Vec<u8>> {
        let list = value["pictures"].as_array().expect("pictures");
        list.iter().map(|p| std::fs::read(p["png"].as_str().expect("a name")).expect("a file")).collect()
    };
    let (one, two) = (files(&one), files(&two));
    assert_eq!(one.len(), 4);
    assert_eq!(one, two);
    assert_ne!(one[0], one[1], "five years change nothing");
}

#[test]
fn wrong_wishes_are_said_with_what_was_expected() {
    let folder = tempfile::tempdir().expect("a folder");
    let yard = yard(&folder.path().join("yard"));
    for (more, expected) in [
        (["--from", "attic"], "--from attic: there is no such viewpoint; the property has gate"),
        (["--size", "12"], "--size 12: expected columns and rows such as 960x540"),
        (["--time", "25:00"], "--time 25:00: expected hours and minutes such as 21:30"),
        (["--date", "13-01"], "--date 13-01: expected month and day such as 06-21"),
        (["--years", "-1"], "unexpected argument"),
        (["--years", "200"], "--years 200: expected 0 to 100"),
        (["--lighter", "0"], "--lighter 0: expected a factor above 0"),
    ] {
        let output = run(&["picture", &yard, more[0], more[1]]);
        assert!(!output.status.success(), "{more:?}");
        assert!(stderr(&output).contains(expected), "{more:?}: {}", stderr(&output));
    }
}

#[test]
fn a_place_of_the_plan_is_taken_in_the_units_of_the_property() {
    let folder = tempfile::tempdir().expect("a folder");
    let yard = yard(&folder.path().join("yard"));
    let to = folder.path().join("out");
    let one = picture(&yard, &to, &["--at", "8, -3", "--towards", "8,10", "--samples", "1"]);
    let two = picture(&yard, &to, &["--at", "26.2467 ft, -9.8425 ft", "--towards", "8,10", "--samples", "1"]);
    assert_eq!(one["pictures"][0]["png"], two["pictures"][0]["png"]);
    let name = one["pictures"][0]["png"].as_str().expect("a name");
    assert!(name.contains("at-8_0--3_0"), "{name}");
    let output = run(&["picture", &yard, "--at", "8", "--towards", "8,10"]);
    assert!(stderr(&output).contains("--at 8: there is no comma; expected x and y"), "{}", stderr(&output));
}
