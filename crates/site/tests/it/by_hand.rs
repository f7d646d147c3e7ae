//! The small yard's quantities, worked out on paper.

use std::f64::consts::PI;

use groundwright_handoff::{Dimension, Phase};
use groundwright_site::study;
use groundwright_units::constants::CUBIC_YARD;

use crate::small::{amount, count, project, quantities, with, yard};

/// Circles are polygons of the right area; what cuts them is off by their sag.
const CIRCLE: f64 = 0.01;

/// The oak's circle has 12 × 0.25 m of radius and lies whole in the west bed.
const OAK: f64 = 9.0 * PI;

#[test]
fn turf_is_stripped_in_sod_and_prepared_beds_but_not_over_roots_or_under_brambles() {
    let all = quantities(&project());
    let stripped = |id| amount(&all, "clearing/turf-strip", Some(id));
    assert!((stripped("east") - 64.0).abs() < 1e-6);
    assert!((stripped("west") - (64.0 - OAK)).abs() < CIRCLE, "{}", stripped("west"));
    // Half of the north bed's 40 m² lies under brambles.
    assert!((stripped("north") - 20.0).abs() < 1e-6);
    // No soil prepared, and turf that is kept.
    assert_eq!((stripped("bare"), stripped("back")), (0.0, 0.0));
}

#[test]
fn stripped_sod_is_hauled_at_its_depth_with_swell() {
    let all = quantities(&project());
    // 64 m² × 0.05 m × 1.25
    assert!((amount(&all, "clearing/haul", Some("east")) - 4.0).abs() < 1e-6);
}

#[test]
fn brambles_are_an_area_and_a_quarter_of_what_stood() {
    let all = quantities(&project());
    assert!((amount(&all, "clearing/overgrown-ground", Some("brambles")) - 40.0).abs() < 1e-6);
    assert!((amount(&all, "clearing/weed-kill", Some("brambles")) - 40.0).abs() < 1e-6);
    assert!((amount(&all, "clearing/haul", Some("brambles")) - 40.0 * 1.5 * 0.25).abs() < 1e-6);
}

/// Junipers: 3 × π/4 × 1² × 1 × 0.25 of brush; roots 0.4 m wide, 0.2 m deep, × 1.25.
#[test]
fn shrubs_are_hauled_with_their_roots() {
    let all = quantities(&project());
    let brush = 3.0 * PI / 4.0 * 0.25;
    let roots = 3.0 * PI / 4.0 * 0.16 * 0.2 * 1.25;
    assert!((amount(&all, "clearing/haul", Some("junipers")) - (brush + roots)).abs() < 1e-9);
}

#[test]
fn shrubs_fall_into_classes_of_size_and_only_those_removed_count() {
    let all = quantities(&project());
    let counts = ["small", "medium", "large"].map(|size| count(&all, &format!("clearing/shrub-{size}")));
    assert_eq!(counts, [2, 3, 1]);
}

#[test]
fn the_tree_that_goes_counts_once_with_its_trunk() {
    let all = quantities(&project());
    assert_eq!(count(&all, "clearing/tree"), 1);
    assert!((amount(&all, "clearing/stump", None) - 0.30).abs() < 1e-12);
}

#[test]
fn everything_is_clearing_and_hauled_by_the_load() {
    let all = quantities(&project());
    assert!(all.iter().all(|q| q.phase == Phase::Clearing && q.amount.value > 0.0 && !q.basis.is_empty()));
    for hauled in all.iter().filter(|q| q.item == "clearing/haul") {
        assert_eq!(hauled.amount.dimension, Dimension::Volume);
        let load = hauled.packs.first().unwrap();
        assert!((load.contents - 10.0 * CUBIC_YARD).abs() < 1e-4, "{load:?}");
    }
}

/// What a line's basis says is what it amounts to: the last step is the amount.
#[test]
fn each_haul_ends_its_basis_with_its_amount() {
    for hauled in quantities(&project()).iter().filter(|q| q.item == "clearing/haul") {
        assert_eq!(hauled.basis.last().unwrap().datum, hauled.amount, "{}", hauled.subject);
    }
}

/// Ground is conserved: what is stripped, overgrown or protected makes the whole.
#[test]
fn the_parts_of_stripped_ground_make_the_whole() {
    let project = project();
    let yard = yard(&project);
    let study = study(&project, &yard);
    assert_eq!(study.stripped.len(), 3);
    for ground in &study.stripped {
        let parts = ground.area + ground.overgrown + ground.protected;
        assert!((ground.whole - parts).abs() < 1e-9, "{ground:?}");
    }
}

/// A second bed over the first one strips only what the first left.
#[test]
fn no_ground_is_stripped_twice() {
    let design = r#"
[[bed]]
id = "over"
outline = [<0 18>, <8 18>, <8 23>, <0 23>]
soil = { amendment = "compost" }
"#;
    let all = quantities(&with("", design));
    assert!(amount(&all, "clearing/turf-strip", Some("over")) < 1e-9);
    assert!((amount(&all, "clearing/turf-strip", Some("north")) - 20.0).abs() < 1e-6);
}

#[test]
fn brambles_over_brambles_and_under_the_walk_count_once() {
    let property = r#"
[[overgrown]]
id = "more"
plant = "hedera-helix"
outline = [<2 14>, <6 14>, <6 24>, <2 24>]
height = 1
[[overgrown]]
id = "walkside"
plant = "hedera-helix"
outline = [<15 1>, <18 1>, <18 3>, <15 3>]
height = 1
"#;
    let all = quantities(&with(property, ""));
    assert!((amount(&all, "clearing/overgrown-ground", Some("more")) - 20.0).abs() < 1e-6);
    assert!((amount(&all, "clearing/overgrown-ground", Some("walkside")) - 4.0).abs() < 1e-6);
}

/// One tree alone: the whole circle. Two alike whose trunks stand a radius apart: each loses a third.
#[test]
fn the_fence_follows_the_outer_edge_of_the_circles() {
    let alone = quantities(&project());
    let circle = 2.0 * PI * 3.0;
    assert!((amount(&alone, "clearing/protection-fence", Some("oak")) - circle).abs() < 1e-3);
    let property = r#"
[[tree]]
id = "second"
plant = "quercus-garryana"
at = <5 8>
diameter = 0.25
"#;
    let both = quantities(&with(property, ""));
    for id in ["oak", "second"] {
        let fence = amount(&both, "clearing/protection-fence", Some(id));
        assert!((fence - circle * 2.0 / 3.0).abs() < 0.02, "{id}: {fence}");
    }
}

/// Assumed heights make a range: 40 m² × 0.2 m × 0.25.
#[test]
fn an_assumed_height_gives_the_haul_its_range() {
    let mut project = project();
    project.property.overgrown[0].height = groundwright_plan::Given::assumed(1.5, 0.2);
    let all = quantities(&project);
    let hauled =
        all.iter().find(|q| q.item == "clearing/haul" && q.subject.id.as_str() == "brambles").unwrap();
    assert!((hauled.spread - 2.0).abs() < 1e-6, "{}", hauled.spread);
}
