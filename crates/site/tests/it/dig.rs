//! Findings about digging: services, roots, the property line, the way in.

use groundwright_geometry::Point3;
use groundwright_handoff::{Severity, Study};
use groundwright_plan::{ElementId, ElementRef, Kind, PlantingRole, Project, TaxonId, apply};
use groundwright_site::study;
use groundwright_units::{Reader, System};
use groundwright_yard::{Origin, Plant, PlantKey};

use crate::small::{DESIGN, Lie, PROPERTY, findings, of_rule, project, read, sources, with, yard};

fn value(finding: &groundwright_handoff::Finding, name: &str) -> f64 {
    finding.values.iter().find(|(key, _)| *key == name).unwrap().1.value
}

/// The gas line runs at x = 28 under the new sod from y = 1 to y = 9.
#[test]
fn gas_under_new_sod_is_a_danger_with_its_length() {
    let all = findings(&project());
    let [gas] = of_rule(&all, "site.service-under-digging")[..] else { panic!("{all:?}") };
    assert_eq!(gas.severity, Severity::Danger);
    assert_eq!(gas.subjects[1], ElementRef::new(Kind::Lawn, &"east".into()));
    assert!((value(gas, "length") - 8.0).abs() < 0.01);
    assert_eq!(
        gas.sentence(&Reader::new(System::Metric)),
        "buried thing `gas` (gas) runs 8.00 m under lawn `east`, about 600 mm deep. \
         Locate before digging: call the local utility locating centre."
    );
}

/// A telephone cable 0.25 m down in a bed stripped by 0.05 and worked 0.15 m deep is only a doubt,
/// one 0.2 m down or less is reached.
#[test]
fn a_cable_that_the_tiller_reaches_is_a_fault() {
    for (depth, severity) in [("0.25", Severity::Doubt), ("0.20", Severity::Fault), ("0.05", Severity::Fault)]
    {
        let property = format!(
            "[[buried]]\nid = \"phone\"\nkind = \"telecom\"\nroute = [<0 3>, <9 3>]\n\
             depth = {{ value = {depth}, standing = \"measured\" }}\n"
        );
        let all = findings(&with(&property, ""));
        let phone = of_rule(&all, "site.service-under-digging");
        let phone = phone.iter().find(|f| f.subjects[0].id.as_str() == "phone").unwrap();
        assert_eq!(phone.severity, severity, "{depth}");
        assert!((value(phone, "length") - 8.0).abs() < 0.01);
    }
}

#[test]
fn a_septic_tank_under_a_bed_is_reported_as_a_place() {
    let property = "[[buried]]\nid = \"tank\"\nkind = \"septic\"\nat = <2 2>\ndepth = 0.5\nfate = \"cap\"\n";
    let all = findings(&with(property, ""));
    assert_eq!(of_rule(&all, "site.service-fitting-under-digging").len(), 1);
    assert_eq!(of_rule(&all, "site.service-altered").len(), 1);
}

#[test]
fn garden_pipes_are_a_note_while_they_stay_in_use() {
    let all = findings(&project());
    let [pipe] = of_rule(&all, "site.garden-pipe-under-digging")[..] else { panic!("{all:?}") };
    assert_eq!(pipe.severity, Severity::Note);
    assert!((value(pipe, "length") - 8.0).abs() < 0.01);
    let capped = PROPERTY.replace("kind = \"irrigation pipe\"", "kind = \"irrigation pipe\"\nfate = \"cap\"");
    let all = findings(&read(sources(Lie::default(), &capped, DESIGN)));
    assert!(of_rule(&all, "site.garden-pipe-under-digging").is_empty());
}

fn pot(x: f64, y: f64, size: &str) -> Plant {
    let instruction = ElementRef::new(Kind::Planting, &ElementId::from("row"));
    Plant {
        key: PlantKey { instruction, ordinal: 0 },
        taxon: Some(TaxonId("camellia-japonica".to_owned())),
        at: Point3::new(x, y, 0.0),
        origin: Origin::New,
        role: PlantingRole::Specimen,
        size: Some(size.to_owned()),
        place: None,
        prominence: 0.0,
        rank: None,
    }
}

fn with_pots(project: &Project, pots: Vec<Plant>) -> Vec<groundwright_handoff::Finding> {
    let mut yard = yard(project);
    yard.plants.extend(pots);
    study(project, &yard).findings()
}

/// A hole is twice as wide as its pot: its edge, not its middle, counts.
#[test]
fn holes_near_the_gas_line_are_counted_from_their_edge() {
    let project = project();
    let width = project.stock.containers["#5"].diameter.unwrap();
    let zone = 24.0 * 0.0254;
    let near = with_pots(&project, vec![pot(28.0 - zone - width + 0.02, 3.0, "#5"), pot(26.0, 3.0, "#5")]);
    let [hole] = of_rule(&near, "site.service-at-holes")[..] else { panic!("{near:?}") };
    assert_eq!((hole.severity, value(hole, "count")), (Severity::Danger, 1.0));
    assert!((value(hole, "least") - (zone - 0.02)).abs() < 1e-6);
    let far = with_pots(&project, vec![pot(28.0 - zone - width - 0.02, 3.0, "#5")]);
    assert!(of_rule(&far, "site.service-at-holes").is_empty());
}

#[test]
fn a_ball_wider_than_the_gate_is_a_doubt() {
    let project = with("[access]\nnarrowest = 0.3\n", "");
    let width = project.stock.containers["#15"].diameter.unwrap();
    assert!(width > 0.3, "the test needs a pot wider than the gate");
    let all = with_pots(&project, vec![pot(26.0, 3.0, "#15")]);
    let [tight] = of_rule(&all, "site.narrow-access")[..] else { panic!("{all:?}") };
    assert_eq!(tight.severity, Severity::Doubt);
    assert!((value(tight, "ball") - width).abs() < 1e-9);
    let wide = with_pots(&with("[access]\nnarrowest = 1.2\n", ""), vec![pot(26.0, 3.0, "#15")]);
    assert!(of_rule(&wide, "site.narrow-access").is_empty());
}

/// The whole circle of 9π m² lies in the bed: all of it is tilled.
#[test]
fn soil_worked_in_over_roots_is_a_fault_that_its_remedies_mend() {
    let texts = sources(Lie::default(), PROPERTY, DESIGN);
    let all = findings(&read(texts.clone()));
    let [tilled] = of_rule(&all, "site.roots-tilled")[..] else { panic!("{all:?}") };
    assert_eq!(tilled.severity, Severity::Fault);
    assert!((value(tilled, "share") - 1.0).abs() < 1e-3);
    let commands: Vec<_> = tilled.remedies.iter().flat_map(|remedy| &remedy.commands).collect();
    assert_eq!(commands.len(), 2);
    for command in commands {
        let mended = read(apply(&texts, command).unwrap());
        assert!(of_rule(&findings(&mended), "site.roots-tilled").is_empty(), "{command:?}");
    }
}

/// The box is 1 m square inside walls of 0.1 m: 1.44 m² of the circle, which is 5 %.
#[test]
fn a_box_over_roots_counts_with_its_walls() {
    let design = "[[box]]\nid = \"trough\"\noutline = [<4 5>, <5 5>, <5 6>, <4 6>]\nwall = 0.1\n";
    let all = findings(&with("", design));
    let [built] = of_rule(&all, "site.roots-built")[..] else { panic!("{all:?}") };
    assert_eq!(built.severity, Severity::Doubt);
    assert!((value(built, "area") - 1.44).abs() < 0.02, "{}", value(built, "area"));
}

#[test]
fn a_bed_beyond_the_line_is_a_fault_with_its_area_and_a_walk_is_not() {
    let design = "[[bed]]\nid = \"strip\"\noutline = [<-1 2>, <0.5 2>, <0.5 6>, <-1 6>]\n";
    let all = findings(&with("", design));
    let [beyond] = of_rule(&all, "site.beyond-boundary")[..] else { panic!("{all:?}") };
    assert_eq!(beyond.severity, Severity::Fault);
    assert!((value(beyond, "area") - 4.0).abs() < 1e-6);
}

#[test]
fn a_hand_s_width_over_the_line_is_on_it() {
    let design = "[[bed]]\nid = \"strip\"\noutline = [<-0.1 2>, <0.5 2>, <0.5 6>, <-0.1 6>]\n";
    assert!(of_rule(&findings(&with("", design)), "site.beyond-boundary").is_empty());
}

#[test]
fn felling_a_neighbour_s_tree_is_a_fault_and_keeping_it_a_note() {
    for (action, severity) in [("remove", Severity::Fault), ("keep", Severity::Note)] {
        let property = format!(
            "[[tree]]\nid = \"theirs\"\nplant = \"acer-circinatum\"\nat = <33 12>\naction = \"{action}\"\n"
        );
        let all = findings(&with(&property, ""));
        let [beyond] = of_rule(&all, "site.plants-beyond-boundary")[..] else { panic!("{all:?}") };
        assert_eq!(beyond.severity, severity);
        assert!((value(beyond, "distance") - 3.0).abs() < 1e-6);
    }
}

#[test]
fn a_line_that_nobody_vouches_for_and_no_line_at_all_are_told() {
    assert!(of_rule(&findings(&project()), "site.boundary-unknown").is_empty());
    let unknown = PROPERTY.replace("known = { value = \"pins found\", standing = \"measured\" }\n", "");
    let all = findings(&read(sources(Lie::default(), &unknown, DESIGN)));
    assert_eq!(of_rule(&all, "site.boundary-unknown").len(), 1);
    let outline = "[boundary]\noutline = [<0 0>, <30 0>, <30 24>, <0 24>]\n";
    let none = unknown.replace(outline, "");
    assert!(none.len() < unknown.len());
    let all = findings(&read(sources(Lie::default(), &none, DESIGN)));
    assert_eq!(of_rule(&all, "site.no-boundary").len(), 1);
    assert!(of_rule(&all, "site.boundary-unknown").is_empty());
}
