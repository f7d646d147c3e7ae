//! Marks, tables, tasks and solids of the small yard.

use std::collections::{BTreeMap, BTreeSet};

use groundwright_handoff::{Body, Drawing, Glyph, Mark, Role, Shape, Solid, Study, Task, Trade, When};
use groundwright_plan::{ElementRef, Kind, Project};
use groundwright_site::{layers, study};

use crate::small::{project, quantities, with, yard};

fn marks(project: &Project) -> Vec<Mark> {
    study(project, &yard(project)).marks(When::years(0.0))
}

fn tasks(project: &Project) -> Vec<Task> {
    study(project, &yard(project)).tasks()
}

#[test]
fn keys_of_marks_are_unique() {
    let mut keys = BTreeSet::new();
    for mark in marks(&project()) {
        assert!(keys.insert((mark.subject.clone(), mark.layer.name, mark.ordinal)), "{mark:?}");
    }
}

#[test]
fn layers_have_names_of_their_own_and_the_base_is_on_every_plan() {
    let names: BTreeSet<&str> = layers::ALL.iter().map(|layer| layer.name).collect();
    let orders: BTreeSet<u16> = layers::ALL.iter().map(|layer| layer.order).collect();
    assert_eq!((names.len(), orders.len()), (layers::ALL.len(), layers::ALL.len()));
    for layer in layers::ALL {
        let plain = layer.name.chars().all(|c| c.is_ascii_uppercase() || c == '-');
        assert!(plain, "{}", layer.name);
        let base = layer.name.starts_with("BASE-");
        assert_eq!(layer.on.contains(&Drawing::Transplants), base, "{}", layer.name);
        // Whoever digs sees the base, where he must not, and what can be hit.
        let digging = ["EXIST-PROTECTION", "EXIST-SERVICE", "EXIST-SERVICE-LETTER"].contains(&layer.name);
        // Planting also sees the crowns above it.
        let planted = base || digging || layer.name == "EXIST-CROWN-KEEP";
        assert_eq!(layer.on.contains(&Drawing::Planting), planted, "{}", layer.name);
        assert_eq!(layer.on.contains(&Drawing::Ground), base || digging, "{}", layer.name);
        assert!(layer.on.contains(&Drawing::Existing));
    }
}

#[test]
fn every_mark_lies_on_a_listed_layer() {
    let names: BTreeSet<&str> = layers::ALL.iter().map(|layer| layer.name).collect();
    assert!(marks(&project()).iter().all(|mark| names.contains(mark.layer.name)));
}

/// Signs by fate: the oak and two ferns stay, two azaleas move, a cherry and six shrubs go.
#[test]
fn every_plant_found_has_the_sign_of_its_fate_and_one_tag() {
    let all = marks(&project());
    let mut signs: BTreeMap<Glyph, usize> = BTreeMap::new();
    for mark in &all {
        if let Shape::Glyph { glyph, .. } = mark.shape {
            *signs.entry(glyph).or_default() += 1;
        }
    }
    let count = |glyph| signs.get(&glyph).copied().unwrap_or(0);
    assert_eq!(
        [Glyph::TrunkKept, Glyph::ShrubKept, Glyph::Dug, Glyph::Removed, Glyph::Door].map(count),
        [1, 2, 2, 7, 1]
    );
    let tags: Vec<&[String]> = all
        .iter()
        .filter(|mark| mark.layer.name == "EXIST-TAG")
        .filter_map(|mark| match &mark.shape {
            Shape::Callout { lines, .. } => Some(&lines[..]),
            _ => None,
        })
        .collect();
    assert_eq!(tags.len(), 8);
    assert_eq!(tags[0], ["T1 Quercus garryana", "250 mm keep"]);
    assert!(tags.contains(&&["S5 Polystichum munitum".to_owned(), "keep 2".to_owned()][..]));
    assert_eq!(tags[7], ["OG1 Rubus armeniacus", "40.0 m², 1.50 m high: clear"]);
}

/// The pieces of a lettered line and the gaps for its letters make its length: 17 + 8 m of gas, three
/// letters with 0.44 m each.
#[test]
fn letters_stand_in_the_gaps_of_a_buried_line() {
    use groundwright_geometry::Curve;
    let gas = ElementRef::new(Kind::Buried, &"gas".into());
    let all: Vec<Mark> = marks(&project()).into_iter().filter(|mark| mark.subject == gas).collect();
    let mut drawn = 0.0;
    let mut letters = 0;
    for mark in &all {
        match &mark.shape {
            Shape::Path { path, .. } => drawn += Curve::from_path(path).unwrap().length(),
            Shape::Text { text, .. } => {
                assert_eq!(text, "G");
                letters += 1;
            }
            other => panic!("{other:?}"),
        }
    }
    assert_eq!(letters, 3);
    assert!((drawn - (25.0 - 3.0 * 0.44)).abs() < 1e-3, "{drawn}");
}

#[test]
fn the_door_opens_into_the_house() {
    let all = marks(&project());
    let door = all.iter().find_map(|mark| match mark.shape {
        Shape::Glyph { glyph: Glyph::Door, rotation, .. } => Some(rotation),
        _ => None,
    });
    // The house lies north of its south wall: the sign's upper side looks north.
    assert!(door.unwrap().rem_euclid(std::f64::consts::TAU).abs() < 1e-9, "{door:?}");
}

#[test]
fn rows_fit_their_columns() {
    let project = project();
    let yard = yard(&project);
    let tables = study(&project, &yard).tables();
    let keys: Vec<&str> = tables.iter().map(|table| table.key).collect();
    assert_eq!(keys, ["existing-plants", "buried", "tree-protection"]);
    for table in &tables {
        assert!(table.rows.iter().all(|row| row.len() == table.columns.len()), "{}", table.key);
        assert!(!table.notes.is_empty());
    }
    assert_eq!(tables[0].rows.len(), 8);
    assert_eq!(tables[1].rows.len(), 2);
}

#[test]
fn tasks_wait_only_for_tasks_that_exist_and_nothing_waits_for_itself() {
    let all = tasks(&project());
    let keys: BTreeSet<&str> = all.iter().map(|task| task.key.as_str()).collect();
    assert_eq!(keys.len(), all.len());
    for task in &all {
        assert!(task.key.starts_with("clear/") && task.labour_hours > 0.0, "{task:?}");
        for link in &task.after {
            let met = match link.before.strip_suffix('/') {
                Some(_) => keys.iter().any(|key| key.starts_with(&link.before)),
                None => keys.contains(link.before.as_str()),
            };
            assert!(met && !task.key.starts_with(&link.before), "{} waits for {}", task.key, link.before);
        }
    }
}

#[test]
fn what_tasks_consume_is_in_the_takeoff_and_all_of_the_takeoff_is_consumed() {
    let project = project();
    let taken: BTreeSet<String> = quantities(&project).into_iter().map(|q| q.item).collect();
    let consumed: BTreeSet<String> = tasks(&project).into_iter().flat_map(|task| task.consumes).collect();
    assert_eq!(taken, consumed);
}

#[test]
fn nobody_digs_before_services_are_marked_and_the_fence_stands() {
    let all = tasks(&project());
    let find = |key: &str| all.iter().find(|task| task.key == key).unwrap();
    assert_eq!(find("clear/locate").hold_point.as_deref(), Some("services located and marked"));
    let fence = find("clear/fence");
    assert_eq!(fence.hold_point.as_deref(), Some("tree protection fence standing before any machine"));
    for task in
        all.iter().filter(|t| ["tree", "shrub", "overgrown", "strip"].iter().any(|s| t.key.contains(s)))
    {
        let waits = |key| task.after.iter().any(|link| link.before == key);
        assert!(waits("clear/locate") && waits("clear/fence"), "{}", task.key);
    }
    let felling = find("clear/tree/cherry");
    assert_eq!(felling.trade, Trade::Arborist);
    assert!(felling.cautions.iter().any(|caution| caution.contains("Licensed arborist")));
}

/// Hours by the practice's rates: 40 m² of brambles 1.5 m high at 0.08; 64 m² of turf at 0.03; three
/// medium shrubs at 0.8.
#[test]
fn hours_follow_the_practice() {
    let all = tasks(&project());
    let hours = |key: &str| all.iter().find(|task| task.key == key).unwrap().labour_hours;
    assert!((hours("clear/overgrown/brambles") - 4.8).abs() < 1e-6);
    assert!((hours("clear/strip/lawn-east") - 1.92).abs() < 1e-6);
    assert!((hours("clear/shrub/junipers") - 2.4).abs() < 1e-9);
}

#[test]
fn irrigation_that_changes_is_a_fitter_s_task_before_stripping() {
    let property = "[[buried]]\nid = \"head\"\nkind = \"irrigation head\"\nat = <22 2>\nfate = \"move\"\n";
    let all = tasks(&with(property, ""));
    let fitter = all.iter().find(|task| task.key == "clear/irrigation").unwrap();
    assert_eq!(fitter.trade, Trade::Irrigation);
    let strip = all.iter().find(|task| task.key == "clear/strip/lawn-east").unwrap();
    assert!(strip.after.iter().any(|link| link.before == "clear/irrigation"));
}

fn solids(month: u8) -> Vec<Solid> {
    let project = project();
    let yard = yard(&project);
    study(&project, &yard).solids(When { month, day: 1, age_hundredths: 0 })
}

#[test]
fn the_oak_has_a_trunk_a_crown_up_to_its_height_and_a_root_zone_under_ground() {
    let oak = ElementRef::new(Kind::Tree, &"oak".into());
    let all: Vec<Solid> = solids(7).into_iter().filter(|solid| solid.subject == oak).collect();
    assert_eq!(all.len(), 3);
    let Body::Crown { centre, radius, half_height, .. } = all[1].body else { panic!("{all:?}") };
    assert!((centre.z + half_height - 10.0).abs() < 1e-9 && (radius - 4.0).abs() < 1e-9);
    let Body::Cylinder { foot, radius, height } = all[2].body else { panic!("{all:?}") };
    assert_eq!(all[2].role, Role::Buried);
    assert!((foot.z + height).abs() < 1e-9 && (radius - 3.0).abs() < 1e-9);
}

/// The stock calls the oak deciduous: more light passes in January.
#[test]
fn a_bare_crown_lets_more_light_through() {
    let light = |month| solids(month).iter().map(|solid| solid.transmittance).fold(0.0, f64::max);
    assert!(light(1) > light(7) && light(7) > 0.0);
}

#[test]
fn what_goes_or_moves_has_no_body_and_the_gas_pipe_lies_below_its_cover() {
    let all = solids(7);
    let ids: BTreeSet<&str> = all.iter().map(|solid| solid.subject.id.as_str()).collect();
    assert!(!["cherry", "junipers", "azaleas"].iter().any(|id| ids.contains(id)));
    let gas = all.iter().find(|solid| solid.subject.id.as_str() == "gas").unwrap();
    let Body::Ribbon { line, height, .. } = &gas.body else { panic!("{gas:?}") };
    assert!(line.iter().all(|point| (point.z + height + 0.6).abs() < 1e-9));
    let house = all.iter().find(|solid| solid.subject.id.as_str() == "house").unwrap();
    assert!(
        matches!(&house.body, Body::Prism { outline, height } if outline.len() == 4 && (height - 3.0).abs() < 1e-9)
    );
}

/// An empty property has nothing to say but what it does not know.
#[test]
fn an_empty_property_does_not_fail() {
    let property = "format = 1\nunits = \"m\"\nname = \"empty\"\n";
    let project =
        crate::small::read(crate::small::sources(crate::small::Lie::default(), property, "format = 1\n"));
    let yard = yard(&project);
    let study = study(&project, &yard);
    assert!(
        study.quantities().is_empty()
            && study.tables().is_empty()
            && study.marks(When::years(0.0)).is_empty()
    );
    let keys: Vec<String> = study.tasks().into_iter().map(|task| task.key).collect();
    assert_eq!(keys, ["clear/locate"]);
    assert_eq!(study.findings().len(), 1);
}
