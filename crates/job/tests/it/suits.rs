//! Findings of plants that their place does not suit, on a yard of one bed south of a house.
//!
//! The yard is invented; what is checked is that each slip is told once, at its element, with its
//! numbers, and that a yard without the slip is silent.

use groundwright_handoff::{Finding, Severity};
use groundwright_plan::{Project, Sources, read_project};

use crate::support::run;

const PROPERTY: &str = r#"
format = 1
units = "m"
name = "suits"
[place]
hardiness = "8b"
children_or_pets = false
[boundary]
outline = [[-20, -20], [20, -20], [20, 20], [-20, 20]]
[[building]]
id = "house"
outline = [[-5, 0], [5, 0], [5, 6], [-5, 6]]
[[opening]]
id = "window"
building = "house"
kind = "window"
at = [0, 0]
width = "1.2 m"
sill = "0.8 m"
[[surface]]
id = "walk"
kind = "walk"
outline = [[-10, -6], [10, -6], [10, -5], [-10, -5]]
[[tree]]
id = "oak"
plant = "quercus-garryana"
at = [14, -14]
diameter = "0.5 m"
crown = "10 m"
"#;

const BED: &str = r#"
format = 1
[[bed]]
id = "south"
outline = [[-10, -5], [10, -5], [10, 0], [-10, 0]]
"#;

fn project(property: &str, plantings: &str) -> Project {
    let sources = Sources {
        property: Some(property.to_owned()),
        design: Some(format!("{BED}{plantings}")),
        ..Sources::default()
    };
    read_project(sources).unwrap_or_else(|faults| panic!("{}", faults[0])).project
}

fn told(property: &str, plantings: &str, rule: &str) -> Vec<Finding> {
    run(&project(property, plantings)).findings.into_iter().filter(|f| f.rule.id == rule).collect()
}

fn single(plant: &str, x: f64, y: f64) -> String {
    format!("[[planting]]\nid = \"one\"\nrole = \"specimen\"\nplant = \"{plant}\"\nat = [{x}, {y}]\n")
}

/// Lavandula angustifolia is hardy to zone 5 in the stock.
#[test]
fn a_winter_colder_than_the_plant_bears_is_a_fault() {
    let cold = PROPERTY.replace("\"8b\"", "\"4b\"");
    let lavender = single("lavandula-angustifolia", 0.0, -3.0);
    let found = told(&cold, &lavender, "planting.too-cold");
    assert_eq!((found.len(), found[0].severity), (1, Severity::Fault));
    assert!(told(PROPERTY, &lavender, "planting.too-cold").is_empty());
}

#[test]
fn water_among_the_roots_names_the_bed_and_all_that_suffer() {
    let wet = PROPERTY.replace("hardiness", "winter_water = \"0.15 m\"\nhardiness");
    let lavender = single("lavandula-angustifolia", 0.0, -3.0);
    let found = told(&wet, &lavender, "planting.wet-feet");
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].subjects[0].to_string(), "bed `south`");
    assert!(told(&wet, &single("juncus-patens", 0.0, -3.0), "planting.wet-feet").is_empty());
    let dry = PROPERTY.replace("hardiness", "winter_water = \"0.31 m\"\nhardiness");
    assert!(told(&dry, &lavender, "planting.wet-feet").is_empty());
}

/// A camellia of 1.5 to 3 m spread 0.5 m from the wall presses 2.25 / 2 - 0.5 = 0.625 m into it.
#[test]
fn a_crown_on_the_wall_says_by_how_much_and_from_when() {
    let project = project(PROPERTY, &single("camellia-japonica", -3.0, -0.5));
    let taxon = &project.stock.taxa[&groundwright_plan::TaxonId("camellia-japonica".to_owned())];
    let expected = taxon.mature_spread() / 2.0 - 0.5;
    let found = run(&project).findings;
    let wall = found.iter().find(|f| f.rule.id == "planting.grows-on-wall").expect("it is told");
    let over = wall.values.iter().find(|(name, _)| *name == "over").expect("by how much").1.value;
    assert!((over - expected).abs() < 1e-6, "{over} {expected}");
    assert!(wall.year.is_some_and(|year| year > 0.0 && year < 40.0), "{:?}", wall.year);
    assert!(told(PROPERTY, &single("camellia-japonica", -3.0, -2.5), "planting.grows-on-wall").is_empty());
}

#[test]
fn a_shrub_that_shuts_a_window_is_told_and_one_beside_it_is_not() {
    let before = told(PROPERTY, &single("camellia-japonica", 0.0, -1.0), "planting.grows-before-opening");
    assert_eq!(before.len(), 1);
    let beside = told(PROPERTY, &single("camellia-japonica", -4.5, -1.0), "planting.grows-before-opening");
    assert!(beside.is_empty(), "{beside:?}");
}

#[test]
fn a_plant_on_paving_or_in_the_house_is_a_fault() {
    let walk = told(PROPERTY, &single("lavandula-angustifolia", 0.0, -5.5), "planting.stands-on-paving");
    assert_eq!((walk.len(), walk[0].severity), (1, Severity::Fault));
    let house = told(PROPERTY, &single("lavandula-angustifolia", 0.0, 3.0), "planting.stands-in-building");
    assert_eq!((house.len(), house[0].severity), (1, Severity::Fault));
}

/// A hedge of wide spacing laid first takes places of the row behind it; a tree takes only its trunk.
#[test]
fn places_that_another_planting_holds_are_told_with_their_number() {
    let row = |spacing: &str| {
        format!(
            "[[planting]]\nid = \"first\"\nrole = \"group\"\nplant = \"camellia-japonica\"\nat = [[-4, -3], [0, -3], [4, -3]]\n\
             spacing = \"{spacing}\"\n[[planting]]\nid = \"row\"\nrole = \"edge\"\nplant = \"lavandula-angustifolia\"\n\
             spacing = \"0.5 m\"\nrow = {{ line = [[-8, -3.2], [8, -3.2]] }}\n"
        )
    };
    let held = told(PROPERTY, &row("2 m"), "planting.held-by-others");
    assert_eq!(held.len(), 1);
    assert_eq!(held[0].subjects[0].to_string(), "planting `row`");
    let project = project(PROPERTY, &row("2 m"));
    let outcome = run(&project);
    let id = groundwright_plan::ElementId("row".to_owned());
    let (set, told_count) = (outcome.yard.plants_of(&id).count(), held[0].values[0].1.value as usize);
    let alone = row("2 m").replace("[[-4, -3], [0, -3], [4, -3]]", "[[-4, -0.6], [0, -0.6], [4, -0.6]]");
    let free = run(&self::project(PROPERTY, &alone)).yard.plants_of(&id).count();
    assert_eq!(set + told_count, free, "what stands and what is left out is the whole row");
    let tree = row("6 m").replace("camellia-japonica", "acer-circinatum");
    let under = run(&self::project(PROPERTY, &tree)).yard.plants_of(&id).count();
    assert!(under + 9 >= free, "three trunks take at most three places each: {under} of {free}");
}

#[test]
fn holes_among_the_roots_of_a_kept_tree_are_told() {
    let design = "[[bed]]\nid = \"oak-bed\"\noutline = [[9, -19], [19, -19], [19, -9], [9, -9]]\n";
    let found = told(PROPERTY, &format!("{design}{}", single("iris-tenax", 12.0, -12.0)), "site.roots-holes");
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].subjects[0].to_string(), "tree `oak`");
}
