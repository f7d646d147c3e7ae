//! What the demo must show.

use groundwright_plan::Action;

use crate::support::{demo, run};

/// At least 30 plants found, about a third of them to be moved; nine beds; two large conifers and
/// an oak that stay; a bank to be cleared.
#[test]
fn the_corner_lot_is_the_yard_it_describes() {
    let project = demo("corner-lot").project;
    let found: usize =
        project.property.shrubs.iter().map(|s| s.count).sum::<usize>() + project.property.trees.len();
    let moved: usize =
        project.property.shrubs.iter().filter(|s| s.action == Action::Move).map(|s| s.count).sum();
    assert!(found >= 30, "{found} plants found");
    let share = moved as f64 / found as f64;
    assert!((0.25..=0.45).contains(&share), "{moved} of {found} are moved");
    assert!(project.design.beds.len() >= 9);
    assert!(!project.property.overgrown.is_empty());
    let stays = |taxon: &str| {
        project
            .property
            .trees
            .iter()
            .filter(|t| t.action == Action::Keep && t.taxon.as_ref().is_some_and(|id| id.as_str() == taxon))
            .count()
    };
    assert_eq!(stays("pseudotsuga-menziesii"), 2);
    assert_eq!(stays("quercus-garryana"), 1);
    let latitude = project.property.place.latitude.value.to_degrees();
    assert!((latitude - 44.6).abs() < 0.3, "{latitude}");
}

/// Rows that cross the front walk and run through the trough: plants of one planting on both sides,
/// and in the box and out of it.
#[test]
fn rows_cross_the_walk_and_run_through_the_trough() {
    let project = demo("corner-lot").project;
    let outcome = run(&project);
    let places = |planting: &str| {
        let id = groundwright_plan::ElementId(planting.to_owned());
        let mut places: Vec<String> = outcome
            .yard
            .plants_of(&id)
            .filter_map(|p| p.place.as_ref())
            .map(std::string::ToString::to_string)
            .collect();
        places.sort();
        places.dedup();
        places
    };
    let trough = places("trough-row");
    assert!(trough.iter().any(|place| place.contains("box")) && trough.len() >= 2, "{trough:?}");
    let hem = places("sidewalk-hem");
    assert!(hem.len() >= 2, "{hem:?}");
}

/// The graph draws what is there from the property alone; nothing of the design may change it.
#[test]
fn the_drawing_of_what_is_there_reads_nothing_of_the_design() {
    use groundwright_handoff::{Study, When};
    use groundwright_yard::Yard;

    for name in ["corner-lot", "courtyard-metric"] {
        let project = demo(name).project;
        let yard = run(&project).yard;
        let when = When::years(0.0);
        let whole = groundwright_site::study(&project, &yard).marks(when);
        let bare =
            groundwright_plan::Project { design: groundwright_plan::Design::default(), ..project.clone() };
        let alone = Yard::bare(std::sync::Arc::new(yard.plot.existing()));
        assert_eq!(whole, groundwright_site::study(&bare, &alone).marks(when), "{name}");
        // The parts that the graph runs apart say together what the whole study says.
        let unplanted = Yard::bare(yard.plot.clone());
        let design = groundwright_plan::Design { plantings: Vec::new(), ..project.design.clone() };
        let unplanned = groundwright_plan::Project { design, ..project.clone() };
        let site = groundwright_site::study(&project, &yard);
        let ground = groundwright_site::study(&unplanned, &unplanted);
        let mut parts = ground.findings();
        parts.extend(groundwright_site::of_new_plants(&project, &yard));
        assert_eq!(site.findings(), parts, "{name}");
        assert_eq!(site.quantities(), ground.quantities(), "{name}");
        assert_eq!(site.tasks(), ground.tasks(), "{name}");
        assert_eq!(site.tables(), ground.tables(), "{name}");
    }
}
