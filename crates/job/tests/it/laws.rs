//! Laws of the yard.

use std::collections::BTreeMap;

use groundwright_geometry::{Point, RegionIndex};
use groundwright_handoff::Study;
use groundwright_job::Outcome;
use groundwright_yard::Origin;
use proptest::prelude::*;

use crate::support::{demo, run, yard};

fn amounts(outcome: &Outcome) -> BTreeMap<String, f64> {
    outcome.takeoff.lines.iter().map(|line| (line.item.clone(), line.net)).collect()
}

/// Shifting the property changes no quantity and no count; turning it none that is measured. (A
/// turned mass may fill with a plant more or less: its lattice is sought among fixed directions.)
fn assert_moved_alike(turn: f64, east: f64, north: f64) {
    let (still, moved) = (run(&yard(0.0, 0.0, 0.0)), run(&yard(turn, east, north)));
    let (still, moved) = (amounts(&still), amounts(&moved));
    assert_eq!(still.keys().collect::<Vec<_>>(), moved.keys().collect::<Vec<_>>());
    for (item, amount) in &still {
        let mass = item.contains("polystichum") || item.contains("mahonia");
        let tolerance = if mass && turn != 0.0 { 0.06 * amount + 1.0 } else { 2e-3 * amount.max(1.0) };
        assert!((amount - moved[item]).abs() <= tolerance, "{item}: {amount} against {}", moved[item]);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, ..ProptestConfig::default() })]

    #[test]
    fn a_shifted_yard_takes_the_same(east in -400.0..400.0f64, north in -400.0..400.0f64) {
        assert_moved_alike(0.0, east, north);
    }

    #[test]
    fn a_turned_yard_takes_the_same(turn in -180.0..180.0f64) {
        assert_moved_alike(turn, 30.0, -20.0);
    }
}

/// Every new plant stands in a bed or box, clear of buildings and paving, and none on another.
#[test]
fn plants_stand_where_they_may() {
    for name in ["corner-lot", "courtyard-metric"] {
        let loaded = demo(name);
        let outcome = run(&loaded.project);
        let plot = &outcome.yard.plot;
        let built: Vec<RegionIndex> =
            plot.buildings.iter().chain(&plot.surfaces).map(|area| RegionIndex::new(&area.whole)).collect();
        let set: Vec<_> = outcome.yard.plants.iter().filter(|p| p.origin != Origin::Kept).collect();
        assert!(set.len() > 50);
        for plant in &set {
            let at = Point::new(plant.at.x, plant.at.y);
            assert!(plant.place.is_some(), "{name}: {:?} stands in no bed", plant.key);
            assert!(built.iter().all(|area| !area.contains(at)), "{name}: {:?} stands on paving", plant.key);
        }
        let points: Vec<Point> = set.iter().map(|p| Point::new(p.at.x, p.at.y)).collect();
        let index = groundwright_geometry::PointIndex::new(&points);
        for (i, at) in points.iter().enumerate() {
            let (other, distance) = index.nearest_but(*at, Some(i)).unwrap();
            assert!(distance > 0.06, "{name}: {:?} stands on {:?}", set[i].key, set[other].key);
        }
    }
}

/// What is dug is planted, left over, or nothing: none is lost and none used twice.
#[test]
fn every_dug_plant_is_accounted_for() {
    for name in ["corner-lot", "courtyard-metric"] {
        let outcome = run(&demo(name).project);
        let moving = &outcome.yard.transplanting;
        let mut used: Vec<usize> =
            moving.moves.iter().map(|m| m.dug).chain(moving.left_over.iter().copied()).collect();
        used.sort_unstable();
        assert_eq!(used, (0..moving.dug.len()).collect::<Vec<_>>(), "{name}");
        for m in &moving.moves {
            let planted = outcome.yard.plants_of(&m.planting).find(|p| p.key.ordinal == m.ordinal).unwrap();
            assert_eq!(planted.taxon, moving.dug[m.dug].taxon, "{name}: a dug plant changed its kind");
        }
    }
}

/// The two halves of a symmetric pair are the two most alike of the three dug: by height all three
/// are alike here, so the pair is filled and one is left.
#[test]
fn a_pair_is_filled_before_anything_is_left() {
    let outcome = run(&yard(0.0, 0.0, 0.0));
    let moving = &outcome.yard.transplanting;
    assert_eq!((moving.moves.len(), moving.left_over.len(), moving.short.len()), (2, 1, 0));
}

/// Net amounts of the takeoff are the sums of the studies' quantities.
#[test]
fn the_takeoff_adds_up() {
    let outcome = run(&demo("corner-lot").project);
    let mut sums: BTreeMap<&str, f64> = BTreeMap::new();
    for quantity in &outcome.quantities {
        assert!(quantity.amount.value.is_finite() && quantity.amount.value >= 0.0, "{quantity:?}");
        *sums.entry(&quantity.item).or_insert(0.0) += quantity.amount.value;
    }
    let net: f64 = outcome.takeoff.lines.iter().map(|line| line.net).sum();
    let sum: f64 = sums.values().sum();
    assert!((net - sum).abs() < 1e-6 * sum, "{net} {sum}");
    for line in &outcome.takeoff.lines {
        assert!(line.ordered >= line.net - 1e-9, "{}: less is ordered than needed", line.item);
        let parts: f64 = line.parts.iter().map(|part| part.amount).sum();
        assert!((parts - line.net).abs() < 1e-9 * line.net.max(1.0), "{}", line.item);
    }
}

/// Sentences leave no placeholder open, and every finding names its source.
#[test]
fn findings_speak_in_full() {
    for name in ["corner-lot", "courtyard-metric"] {
        let loaded = demo(name);
        let outcome = run(&loaded.project);
        let reader = groundwright_units::Reader::new(loaded.project.property.system);
        assert!(!outcome.findings.is_empty());
        for finding in &outcome.findings {
            let sentence = finding.sentence(&reader);
            assert!(!sentence.contains('{') && !sentence.contains('}'), "{}: {sentence}", finding.rule.id);
            assert!(!finding.rule.source.words().is_empty());
            for remedy in &finding.remedies {
                for command in &remedy.commands {
                    let changed = groundwright_plan::apply(&loaded.sources, command);
                    assert!(changed.is_ok(), "{}: {:?}: {:?}", finding.rule.id, command, changed.err());
                }
            }
        }
    }
}

/// Bodies are finite, and crowns grow.
#[test]
fn solids_grow() {
    let project = demo("corner-lot").project;
    let outcome = run(&project);
    let volume = |years: f64| -> f64 {
        groundwright_job::solids(&project, &outcome.yard, groundwright_handoff::When::years(years))
            .iter()
            .filter_map(|solid| match solid.body {
                groundwright_handoff::Body::Crown { radius, half_height, .. } => {
                    Some(radius * radius * half_height)
                }
                _ => None,
            })
            .sum()
    };
    let (planted, five, ten) = (volume(0.0), volume(5.0), volume(10.0));
    assert!(planted > 0.0 && planted < five && five < ten, "{planted} {five} {ten}");
    let study = groundwright_planting::study(&project, &outcome.yard);
    assert!(!study.tasks().is_empty());
}
