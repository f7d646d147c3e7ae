//! The corner lot of the demo.

use std::path::Path;

use groundwright_handoff::{Severity, Study, When};
use groundwright_plan::{Action, LawnKind, Project, Sources, load_folder, read_project};
use groundwright_site::study;

use crate::small::{amount, count, of_rule, yard};
use crate::survey::word;

fn sources() -> Sources {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/corner-lot");
    load_folder(&folder).unwrap_or_else(|faults| panic!("{faults:?}")).sources
}

fn corner_lot() -> Project {
    read_project(sources()).unwrap_or_else(|faults| panic!("{faults:?}")).project
}

/// The corner lot with one line of its field book booked otherwise, and the number of that line.
fn booked_wrong(right: &str, wrong: &str) -> (Project, usize) {
    let mut sources = sources();
    let (file, book) = sources.survey.take().unwrap();
    let line = book.lines().position(|line| line == right).unwrap_or_else(|| panic!("no line {right}"));
    sources.survey = Some((file, book.replacen(right, wrong, 1)));
    let read = read_project(sources).unwrap_or_else(|faults| panic!("{faults:?}"));
    (read.project, line + 1)
}

/// The yard is measured by its field book: enough readings, most of them checked, none suspected, and
/// the house as the walls say it is.
#[test]
fn the_field_book_is_large_enough_and_sound() {
    let project = corner_lot();
    let readings = &project.readings;
    let (tapes, levels) = (readings.book.network.readings.len(), readings.book.levels.readings.len());
    assert!(tapes >= 90 && levels >= 30, "{tapes} tapes, {levels} levels");
    let (network, heights) = (readings.network.as_ref().unwrap(), readings.levels.as_ref().unwrap());
    assert!(network.suspects.is_empty(), "{:?}", network.suspects);
    assert!(heights.suspects.is_empty(), "{:?}", heights.suspects);
    assert!(network.cleaned.undetermined.is_empty() && network.cleaned.mirrored.is_empty());
    let study = groundwright_site::survey::study(&project);
    let graver = study.findings().into_iter().find(|finding| finding.severity < Severity::Note);
    assert!(graver.is_none(), "{graver:?}");
    // The front of the house is 44 ft long; its corners are as sure as their ellipses say.
    let corner = readings.book.network.index_of("hc2").unwrap();
    let sure = 3.0 * network.cleaned.points[corner].ellipse().major;
    assert!(sure < 0.05, "{sure}");
    let at = |id: &str| project.property.references.iter().find(|r| r.id.as_str() == id).unwrap().at.value;
    assert!((at("hc1").distance(at("hc2")) - 44.0 * 0.3048).abs() < sure);
    // Every height becomes a level of the ground but the three that are not of the ground; six more of the
    // bank were taken by hand level alone and stand in the property file.
    let by_hand = ["foot-south", "foot-middle", "foot-seat", "foot-north", "top-steps", "top-seat"];
    let by_hand = by_hand.map(|place| format!("bank-{place}"));
    let levels = project.property.ground.levels.iter();
    let booked = levels.filter(|level| !by_hand.iter().any(|id| id == level.id.as_str())).count();
    assert_eq!(booked, heights.heights.len() - 3);
    assert!(project.property.ground.levels.iter().all(|level| level.id.as_str() != "door-sill"));
}

/// Two digits of the oak's tape in the wrong order: named by line and slip, and left out, so that the
/// oak stays where it is.
#[test]
fn a_transposed_tape_of_the_demo_is_found() {
    let (project, line) = booked_wrong("tape,,hc1,oak,23-6 1/2", "tape,,hc1,oak,32-6 1/2");
    let findings = groundwright_site::survey::study(&project).findings();
    let slips: Vec<_> = findings.iter().filter(|f| f.rule.id.starts_with("survey.slip")).collect();
    assert_eq!(slips.len(), 1, "{slips:?}");
    // Three tapes fix the oak: which of them is wrong cannot be told by residuals alone.
    let mut lines = vec![word(slips[0], "line")];
    lines.extend(word(slips[0], "lines").split(", "));
    assert!(lines.contains(&line.to_string().as_str()), "{line}: {lines:?}");
}

/// A wall of the house a foot short, where the other readings know better: the only one set aside.
#[test]
fn a_miscounted_wall_of_the_demo_is_found_alone() {
    let right = "tape,,pin-nw,hc4,52-9 1/2";
    let (project, line) = booked_wrong(right, "tape,,pin-nw,hc4,51-9 1/2");
    let findings = groundwright_site::survey::study(&project).findings();
    let slips: Vec<_> = findings.iter().filter(|f| f.rule.id == "survey.slip").collect();
    assert_eq!(slips.len(), 1, "{findings:?}");
    assert_eq!(word(slips[0], "line"), line.to_string());
    assert_eq!(word(slips[0], "slip"), " (tape miscounted, 1 ft too short)");
}

/// A rod read a foot wrong on a corner that two set-ups see.
#[test]
fn a_misread_rod_of_the_demo_is_found_with_its_size() {
    let mut book = sources().survey.unwrap().1;
    let reading = |text: &str| text.lines().find(|l| l.starts_with("rod,hc6,C,,")).unwrap().to_owned();
    let right = reading(&book);
    let feet: f64 = right.trim_end_matches('\'').rsplit(',').next().unwrap().parse().unwrap();
    let wrong = format!("rod,hc6,C,,{:.2}'", feet + 1.0);
    book.clear();
    let (project, line) = booked_wrong(&right, &wrong);
    let findings = groundwright_site::survey::study(&project).findings();
    let slips: Vec<_> = findings.iter().filter(|f| f.rule.id == "survey.level-slip").collect();
    assert!(!slips.is_empty(), "{findings:?}");
    assert!(slips.iter().any(|slip| word(slip, "line") == line.to_string()), "{slips:?}");
    let error = slips[0].values.iter().find(|(name, _)| *name == "error").unwrap().1.value;
    assert!((error - 0.3048).abs() < 0.02, "{error}");
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
