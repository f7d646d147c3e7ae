//! Sun in the graph: the light at plants, its findings, the map of the demo.
//!
//! The yard is invented: a bed north of a long house, a bed in the open south of it, a sapling that
//! grows. What is checked follows from the course of the sun at 45° north.

use groundwright_handoff::{Cell, Finding, Severity, When};
use groundwright_job::{Casting, Job, LIGHT_YEARS, Outcome};
use groundwright_plan::Project;

const PROPERTY: &str = r#"
format = 1
units = "m"
name = "light"
[place]
latitude = "45 deg"
longitude = "-123 deg"
time_zone = "America/Los_Angeles"
hardiness = "8b"
children_or_pets = false
[boundary]
outline = [[-20, -20], [20, -20], [20, 20], [-20, 20]]
[[building]]
id = "house"
outline = [[-15, 0], [15, 0], [15, 6], [-15, 6]]
eave = "6 m"
roof = "hip"
pitch = "6 in 12"
overhang = 0
"#;

const BEDS: &str = r#"
format = 1
[[bed]]
id = "north"
outline = [[-10, 6], [10, 6], [10, 8], [-10, 8]]
[[bed]]
id = "south"
outline = [[-10, -12], [10, -12], [10, -10], [-10, -10]]
"#;

fn project(plantings: &str) -> Project {
    crate::support::read(PROPERTY, &format!("{BEDS}\n{plantings}"))
}

fn planting(id: &str, plant: &str, at: &str) -> String {
    format!("[[planting]]\nid = \"{id}\"\nrole = \"specimen\"\nplant = \"{plant}\"\nat = [{at}]\n")
}

fn run(project: &Project) -> Outcome {
    Job::with_sun().run(project, When::years(0.0), &mut ())
}

fn of<'o>(outcome: &'o Outcome, rule: &str) -> Vec<&'o Finding> {
    outcome.findings.iter().filter(|finding| finding.rule.id == rule).collect()
}

#[test]
fn lavender_behind_the_house_is_too_dark_and_in_the_open_it_is_not() {
    let north = run(&project(&planting("one", "lavandula-angustifolia", "0, 7")));
    let dark = of(&north, "planting.too-dark");
    assert_eq!((dark.len(), dark[0].severity, dark[0].year), (1, Severity::Fault, Some(0.0)));
    let hours = dark[0].values.iter().find(|(name, _)| *name == "hours").unwrap().1.value;
    assert!(hours < 6.0 && (2.0 * hours).fract() == 0.0, "half hours: {hours}");
    assert!(dark[0].remedies.len() >= 2, "{:?}", dark[0].remedies);
    let open = run(&project(&planting("one", "lavandula-angustifolia", "0, -11")));
    assert!(of(&open, "planting.too-dark").is_empty());
}

/// Every plant offered instead lives there: the same finding does not come back for it.
#[test]
fn a_hosta_in_the_open_is_too_bright_and_what_is_offered_instead_is_not() {
    let open = run(&project(&planting("one", "hosta-sieboldiana", "0, -11")));
    let bright = of(&open, "planting.too-bright");
    assert_eq!(bright.len(), 1);
    assert!(bright[0].values.iter().any(|(name, datum)| *name == "afternoon" && datum.value > 3.0));
    let stock = groundwright_plan::stock::embedded();
    let offered: Vec<_> = stock
        .taxa
        .values()
        .filter(|taxon| {
            bright[0].remedies.iter().any(|r| r.action.contains(&format!("({})", taxon.botanical)))
        })
        .collect();
    assert!(!offered.is_empty());
    for taxon in offered {
        let again = run(&project(&planting("one", taxon.id.as_str(), "0, -11")));
        assert!(of(&again, "planting.too-bright").is_empty(), "{}", taxon.id);
    }
    let shade = run(&project(&planting("one", "hosta-sieboldiana", "0, 7")));
    assert!(of(&shade, "planting.too-bright").is_empty());
}

/// A maple planted south of lavender takes its sun within ten years, and not before.
#[test]
fn trees_that_grow_take_the_sun_of_others_in_the_year_in_which_they_do() {
    let design =
        planting("maple", "acer-rubrum", "0, -11.6") + &planting("low", "lavandula-angustifolia", "0, -10.4");
    let outcome = run(&project(&design));
    let dark = of(&outcome, "planting.too-dark");
    assert_eq!(dark.len(), 1, "{dark:?}");
    assert_eq!((dark[0].subjects[0].id.as_str(), dark[0].year), ("low", Some(LIGHT_YEARS[1])));
}

/// The map's table tells the shady bed from the sunny one, and its lines lie on the sun's drawing.
#[test]
fn the_map_tells_the_beds_apart() {
    let outcome = run(&project(""));
    let table = outcome.tables.iter().find(|table| table.key == "sun").expect("a table of sun");
    assert_eq!(table.rows.len(), 2);
    assert!(outcome.marks.iter().any(|mark| mark.layer.name == "SUN-HOURS"));
    let without = Job::new().run(&project(""), When::years(0.0), &mut ());
    assert!(without.tables.iter().all(|table| table.key != "sun"));
}

/// What was computed once is not computed again for an unchanged project.
#[test]
fn an_unchanged_yard_keeps_its_sun() {
    let mut job = Job::with_sun();
    let project = project(&planting("one", "lavandula-angustifolia", "0, 7"));
    job.run(&project, When::years(0.0), &mut ());
    job.run(&project, When::years(0.0), &mut ());
    let (computed, reused) = job.counts();
    assert_eq!(computed, 0, "{reused} reused");
}

/// The demo's every plant with a crown has its light, and no more of it than the day is long.
#[test]
fn every_plant_of_the_demo_has_its_light() {
    let project = crate::support::demo("corner-lot").project;
    let outcome = crate::support::run(&project);
    let light = Casting::new(&project, &outcome.yard).plants(&[0.0, 10.0]);
    for (year, plants) in &light.years {
        assert_eq!(plants.len(), outcome.yard.plants.len());
        let known = plants.iter().flatten().count();
        assert!(known * 10 >= plants.len() * 9, "year {year}: {known} of {}", plants.len());
        assert!(
            plants.iter().flatten().all(|sun| (0.0..16.0).contains(&sun.total) && sun.afternoon <= sun.total)
        );
    }
    let mean = |of: usize| {
        let all: Vec<f64> = light.years[of].1.iter().flatten().map(|sun| sun.total).collect();
        all.iter().sum::<f64>() / all.len() as f64
    };
    assert!(mean(1) < mean(0), "crowns grow: {} {}", mean(0), mean(1));
}

/// The mean course of the sun says the same in a raised box in the open as on the open ground, for its
/// plants look over the rim: were it cast on the ground below, the box's own walls would hide it.
#[test]
fn a_box_has_the_sun_of_its_rim() {
    let trough = "[[box]]\nid = \"trough\"\noutline = [[-4, -16], [4, -16], [4, -14], [-4, -14]]\nheight = \"0.8 m\"\nwall = \"20 mm\"\n";
    let outcome = run(&project(trough));
    let table = outcome.tables.iter().find(|table| table.key == "sun").unwrap();
    let hours = |name: &str| -> Vec<f64> {
        let row = table.rows.iter().find(|row| row[0] == Cell::Text(name.to_owned())).unwrap();
        row[1..4]
            .iter()
            .map(|cell| if let Cell::Datum(datum) = cell { datum.value } else { f64::NAN })
            .collect()
    };
    let (boxed, open) = (hours("trough"), hours("south"));
    assert!(boxed[0] > 8.0, "{boxed:?}");
    // Half an hour is a step of the table; the box stands a little further from the house.
    assert!(boxed.iter().zip(&open).all(|(a, b)| (a - b).abs() <= 1.0), "{boxed:?} {open:?}");
}
