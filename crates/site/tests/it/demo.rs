//! The corner lot of the demo.

use std::path::Path;

use groundwright_handoff::{Severity, Study, When};
use groundwright_plan::{Action, LawnKind, Project, load_folder};
use groundwright_site::study;

use crate::small::{amount, count, of_rule, yard};

fn corner_lot() -> Project {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/corner-lot");
    load_folder(&folder).unwrap_or_else(|faults| panic!("{faults:?}")).project
}

#[test]
fn counts_are_those_of_the_files() {
    let project = corner_lot();
    let yard = yard(&project);
    let all = study(&project, &yard).quantities();
    let property = &project.property;
    let trees = property.trees.iter().filter(|tree| tree.action == Action::Remove).count();
    let shrubs: usize =
        property.shrubs.iter().filter(|shrub| shrub.action == Action::Remove).map(|shrub| shrub.count).sum();
    let sizes = ["small", "medium", "large"].map(|size| count(&all, &format!("clearing/shrub-{size}")));
    assert_eq!(count(&all, "clearing/tree"), trees);
    assert_eq!(sizes.iter().sum::<usize>(), shrubs);
    assert!(trees > 0 && shrubs > 0);
}

/// No more is stripped than new turf and prepared beds have.
#[test]
fn stripping_stays_within_new_turf_and_prepared_beds() {
    let project = corner_lot();
    let yard = yard(&project);
    let stripped = amount(&study(&project, &yard).quantities(), "clearing/turf-strip", None);
    let design = &project.design;
    let new = |id| design.lawns.iter().any(|lawn| &lawn.id == id && lawn.kind != LawnKind::Keep);
    let prepared = |id| design.beds.iter().any(|bed| &bed.id == id && bed.soil.is_some());
    let lawns = yard.plot.lawns.iter().filter(|area| new(&area.element.id));
    let beds = yard.plot.beds.iter().filter(|area| prepared(&area.element.id));
    let most: f64 = lawns.chain(beds).map(|area| area.free.area()).sum();
    assert!(stripped > 0.0 && stripped <= most, "{stripped} of {most}");
}

/// The owners' gas line runs through the morning bed, which the demo means to be found.
#[test]
fn gas_and_power_are_the_dangers() {
    let project = corner_lot();
    let yard = yard(&project);
    let all = study(&project, &yard).findings();
    let dangers: Vec<&str> = of_rule(&all, "site.service-under-digging")
        .iter()
        .filter(|finding| finding.severity == Severity::Danger)
        .map(|finding| finding.subjects[0].id.as_str())
        .collect();
    assert_eq!(dangers, ["gas", "power-service"]);
    assert!(of_rule(&all, "site.no-boundary").is_empty() && of_rule(&all, "site.beyond-boundary").is_empty());
}

/// The front oak: 6' 5" of girth is 24.51 in of trunk, so 24.51 ft of radius, by hand.
#[test]
fn the_oak_is_protected_by_its_girth() {
    let project = corner_lot();
    let yard = yard(&project);
    let study = study(&project, &yard);
    let oak = study.protections.iter().find(|circle| circle.element.id.as_str() == "oak").unwrap();
    assert!((oak.radius / 0.3048 - 77.0 / std::f64::consts::PI).abs() < 1e-6);
}

#[test]
fn the_same_project_gives_the_same_hand_offs() {
    let project = corner_lot();
    let yard = yard(&project);
    let all = || {
        let study = study(&project, &yard);
        let when = When::years(0.0);
        let (findings, quantities) = (study.findings(), study.quantities());
        (findings, quantities, study.tasks(), study.tables(), study.marks(when), study.solids(when))
    };
    assert_eq!(all(), all());
}

#[test]
fn no_number_is_without_meaning() {
    let project = corner_lot();
    let yard = yard(&project);
    let study = study(&project, &yard);
    for quantity in study.quantities() {
        assert!(quantity.amount.value.is_finite() && quantity.spread.is_finite(), "{quantity:?}");
        assert!(quantity.basis.iter().all(|step| step.datum.value.is_finite()), "{quantity:?}");
    }
    let reader = groundwright_units::Reader::new(project.property.system);
    for finding in study.findings() {
        let sentence = finding.sentence(&reader);
        assert!(!sentence.contains('{') && !sentence.contains("unknown"), "{sentence}");
    }
}
