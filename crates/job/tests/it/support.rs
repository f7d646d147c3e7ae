//! Projects from text.

use std::path::Path;

use groundwright_handoff::When;
use groundwright_job::{Job, Outcome};
use groundwright_plan::{Loaded, Project, Sources, load_folder, read_project};

pub(crate) fn read(property: &str, design: &str) -> Project {
    let sources = Sources {
        property: Some(property.to_owned()),
        design: Some(design.to_owned()),
        ..Sources::default()
    };
    match read_project(sources) {
        Ok(loaded) => loaded.project,
        Err(faults) => panic!("{faults:#?}"),
    }
}

pub(crate) fn demo(name: &str) -> Loaded {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(name);
    load_folder(&folder).unwrap_or_else(|faults| panic!("{faults:#?}"))
}

pub(crate) fn run(project: &Project) -> Outcome {
    let outcome = Job::new().run(project, When::years(0.0), &mut ());
    assert!(outcome.faults.is_empty(), "{:?}", outcome.faults);
    outcome
}

/// A yard turned by `turn` degrees about the origin and shifted by metres: a house, a walk, beds of
/// every kind of piece, plantings of every layout.
pub(crate) fn yard(turn: f64, east: f64, north: f64) -> Project {
    let (sin, cos) = turn.to_radians().sin_cos();
    let p = |x: f64, y: f64| format!("[{:.9}, {:.9}]", x * cos - y * sin + east, x * sin + y * cos + north);
    let ring = |points: &[(f64, f64)]| {
        format!("[{}]", points.iter().map(|&(x, y)| p(x, y)).collect::<Vec<_>>().join(", "))
    };
    let property = format!(
        r#"format = 1
units = "m"
name = "law"
[boundary]
outline = {lot}
known = "pins"
[[building]]
id = "house"
outline = {house}
[[surface]]
id = "walk"
kind = "walk"
outline = {walk}
[[tree]]
id = "oak"
plant = "quercus-garryana"
at = {oak}
diameter = "0.5 m"
[[shrub]]
id = "old"
plant = "camellia-sasanqua"
action = "move"
height = "1.2 m"
spread = "1 m"
places = {old}
[[overgrown]]
id = "bank"
plant = "rubus-armeniacus"
outline = {bank}
[[viewpoint]]
id = "street"
role = "street"
at = {street}
"#,
        lot = ring(&[(0.0, 0.0), (30.0, 0.0), (30.0, 40.0), (0.0, 40.0)]),
        house = ring(&[(8.0, 18.0), (22.0, 18.0), (22.0, 30.0), (8.0, 30.0)]),
        walk = ring(&[(14.0, 0.0), (16.0, 0.0), (16.0, 18.0), (14.0, 18.0)]),
        oak = p(4.0, 35.0),
        old = ring(&[(26.0, 34.0), (27.5, 35.0), (26.0, 37.0)]),
        bank = ring(&[(24.0, 20.0), (29.0, 20.0), (29.0, 30.0), (24.0, 30.0)]),
        street = p(15.0, -2.0),
    );
    let design = format!(
        r#"format = 1
[[bed]]
id = "left"
mulch = "medium-bark"
soil = {{ amendment = "compost", depth = "50 mm" }}
outline = [
  {{ along = "building house", from = {a}, to = {b} }},
  {{ straight = [{b}, {c}] }},
  {{ smooth = [{d}, {e}, {f}] }},
]
[[bed]]
id = "right"
mulch = "fine-bark"
outline = {right}
[[lawn]]
id = "turf"
kind = "sod"
product = "sod-tall-fescue"
outline = {turf}
[[edging]]
id = "edge"
product = "steel-10ft"
along = "bed right"
[[planting]]
id = "across"
role = "edge"
plant = "heuchera-micrantha"
spacing = "0.4 m"
row = {{ line = [{row0}, {row1}] }}
[[planting]]
id = "fill"
role = "mass"
plants = [{{ plant = "polystichum-munitum", parts = 2 }}, {{ plant = "mahonia-repens", parts = 1 }}]
spacing = "0.6 m"
in = "bed left"
mass = true
[[planting]]
id = "five"
role = "group"
plant = "choisya-ternata"
spacing = "0.9 m"
in = "bed right"
group = {{ at = {five}, count = 5 }}
[[planting]]
id = "pair"
role = "specimen"
plant = "camellia-sasanqua"
source = "transplants"
at = [{pair0}, {pair1}]
axis = [{axis0}, {axis1}]
"#,
        a = p(8.5, 18.0),
        b = p(13.9, 18.0),
        c = p(13.9, 10.0),
        d = p(11.0, 9.0),
        e = p(9.0, 11.0),
        f = p(8.0, 15.0),
        right = ring(&[(16.0, 10.0), (22.0, 10.0), (22.0, 17.5), (16.0, 17.5)]),
        turf = ring(&[(1.0, 1.0), (29.0, 1.0), (29.0, 12.0), (1.0, 12.0)]),
        row0 = p(10.2, 11.0),
        row1 = p(21.0, 11.0),
        five = p(19.0, 14.0),
        pair0 = p(12.8, 16.5),
        pair1 = p(17.2, 16.5),
        axis0 = p(15.0, 0.0),
        axis1 = p(15.0, 18.0),
    );
    read(&property, &design)
}
