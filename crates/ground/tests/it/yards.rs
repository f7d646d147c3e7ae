//! Whole yards written as text: volumes, falls, flows, findings, and what is refused.
//!
//! The yard is invented: 30 m by 20 m, a house of 8 m by 6 m, ground on planes, so that every figure can
//! be worked out by hand.

use std::f64::consts::PI;
use std::sync::Arc;

use groundwright_geometry::{BezPath, Point};
use groundwright_ground::study;
use groundwright_handoff::{Cell, Finding, Shape, Study, When};
use groundwright_plan::{Project, Sources, read_project};
use groundwright_yard::{Transplanting, Yard, assemble, lay_ground, place};
use kurbo::Shape as _;

const PROPERTY: &str = r#"
format = 1
units = "m"
name = "plane yard"
[place]
soil = "loam"
[boundary]
outline = [[0, 0], [30, 0], [30, 20], [0, 20]]
[[building]]
id = "house"
outline = [[11, 7], [19, 7], [19, 13], [11, 13]]
siding_foot = "250 mm"
[[opening]]
id = "east-vent"
building = "house"
kind = "vent"
at = [19, 10]
sill = "150 mm"
[[downspout]]
id = "north-east"
at = [19.1, 13.1]
roof_area = "50 m²"
outlet = "splash block"
"#;

/// Ground that falls by a share to the east.
fn falling(share: f64) -> String {
    let corners = [(-1.0, -1.0), (31.0, -1.0), (31.0, 21.0), (-1.0, 21.0)];
    corners.iter().enumerate().fold(String::new(), |text, (i, (x, y))| {
        text + &format!("[[level]]\nid = \"l{i}\"\nat = [{x}, {y}]\nlevel = {:.4}\n", 10.0 - share * x)
    })
}

const STORM: &str = "[[storm]]\nid = \"cloudburst\"\ndepth = \"6 mm\"\nminutes = 6\n";

fn project(property: &str, design: &str) -> Project {
    let sources = Sources {
        property: Some(format!("{PROPERTY}{property}")),
        design: Some(format!("format = 1\n{design}")),
        ..Sources::default()
    };
    let loaded = read_project(sources).unwrap_or_else(|faults| {
        let all: Vec<String> = faults.iter().map(ToString::to_string).collect();
        panic!("{}", all.join("\n"))
    });
    loaded.project
}

fn yard(project: &Project) -> Yard {
    let (plot, faults) = place(project);
    assert!(faults.is_empty(), "{faults:?}");
    assemble(project, Arc::new(plot), Vec::new(), Arc::new(Transplanting::default()))
}

fn findings(project: &Project) -> Vec<Finding> {
    study(project, &yard(project)).findings()
}

fn of_rule<'f>(all: &'f [Finding], id: &str) -> Vec<&'f Finding> {
    all.iter().filter(|finding| finding.rule.id == id).collect()
}

fn value(finding: &Finding, name: &str) -> f64 {
    finding.values.iter().find(|(known, _)| *known == name).unwrap().1.value
}

#[test]
fn without_levels_the_ground_is_level_and_silent() {
    let bare = project("", "");
    let yard = yard(&bare);
    assert!(yard.ground.proposed(Point::new(3.0, 4.0)) == 0.0 && yard.ground.proposed_surface().is_none());
    let study = study(&bare, &yard);
    assert!(
        study.findings().is_empty()
            && study.quantities().is_empty()
            && study.marks(When::years(0.0)).is_empty()
    );
    let asked = findings(&project(STORM, ""));
    assert_eq!(of_rule(&asked, "ground.no-levels").len(), 1);
}

/// On a plane of 6 % to the east the east wall is good, the west wall has water coming to it: 0.183 m of
/// rise in ten feet. North and south walls run along the contour's fall and stay short.
#[test]
fn a_plane_falls_away_from_one_wall_only() {
    let sloping = project(&falling(0.06), "");
    let all = findings(&sloping);
    let rises = of_rule(&all, "ground.rises");
    assert_eq!(rises.len(), 1);
    assert!((value(rises[0], "rise") - 0.06 * 3.048).abs() < 1e-6);
    assert!(rises[0].place.unwrap().0 < 11.0, "west of the house");
    assert_eq!(of_rule(&all, "ground.fall").len(), 2);
    // The same in the table, wall by wall: east falls as much as west rises, 183 mm in ten feet.
    let placed = yard(&sloping);
    let tables = study(&sloping, &placed).tables();
    let falls = tables.iter().find(|table| table.key == "falls").unwrap();
    let fall_of = |way: &str| {
        let row = falls.rows.iter().find(|row| matches!(&row[0], Cell::Text(text) if text.ends_with(way)));
        match row.map(|row| &row[2]) {
            Some(Cell::Datum(fall)) => fall.value,
            other => panic!("{way}: {other:?}"),
        }
    };
    assert!((fall_of(", east") - 0.06 * 3.048).abs() < 1e-6);
    assert!((fall_of(", west") + 0.06 * 3.048).abs() < 1e-6);
    assert!(fall_of(", north").abs() < 1e-6 && fall_of(", south").abs() < 1e-6);
    let steeper = findings(&project(&falling(0.04), ""));
    assert_eq!(of_rule(&steeper, "ground.fall").len(), 3, "4 % is short of 5 %");
}

/// A vent 150 mm above ground clears 100 mm as found; soil raised by 100 mm leaves 50 mm, and siding
/// 250 mm up keeps its 6 in (152 mm) less 2.4 mm: short as well.
#[test]
fn soil_raised_against_the_wall_reaches_vent_and_siding() {
    let as_found = findings(&project(&falling(0.06), ""));
    assert!(of_rule(&as_found, "ground.vent").is_empty() && of_rule(&as_found, "ground.siding").is_empty());
    let raise = r#"
[[grading]]
id = "east-bed"
outline = [[18, 8], [22, 8], [22, 12], [18, 12]]
raise = "100 mm"
margin = "200 mm"
"#;
    let raised = findings(&project(&falling(0.06), raise));
    let vent = of_rule(&raised, "ground.vent");
    assert_eq!(vent.len(), 1);
    assert!((value(vent[0], "clear") - 0.05).abs() < 1e-6, "{:?}", vent[0].values);
    let siding = of_rule(&raised, "ground.siding");
    assert!((value(siding[0], "clear") - 0.15).abs() < 1e-6);
}

/// An area of 6 × 5 m raised by 0.3 m inside a margin of 0.5 m on level ground: a prismoid between 30 and
/// 20 m², middle 5.5 × 4.5: 0.3/6 (30 + 4 × 24.75 + 20) = 7.45 m³. Source: prismoidal formula. To 1e-6: the
/// margin is offset on a grid of some nanometres.
#[test]
fn a_raised_area_is_a_prismoid() {
    let raise = r#"
[[grading]]
id = "mound"
outline = [[2, 2], [8, 2], [8, 7], [2, 7]]
raise = "300 mm"
margin = "500 mm"
"#;
    let level = project(&falling(0.0), raise);
    let yard = yard(&level);
    let study = study(&level, &yard);
    let earth = study.earth.unwrap();
    assert!((earth.fill - 7.45).abs() < 1e-6 && earth.cut.abs() < 1e-9, "{earth:?}");
    let fill = study.quantities().into_iter().find(|q| q.item == "earth/fill").unwrap();
    assert!((fill.amount.value - 7.45).abs() < 1e-6);
    // 7.45 compacted, nothing cut: ÷ 0.9 × 1.25 loose.
    let import = study.quantities().into_iter().find(|q| q.item == "earth/import").unwrap();
    assert!((import.amount.value - 7.45 / 0.9 * 1.25).abs() < 1e-6);
    assert!(study.tasks().iter().any(|task| task.key == "grade/yard"));
}

/// A downspout of 50 m², 6 mm in 6 min: 0.9 × 50 × 0.006/360 = 0.75 l/s. A pipe of 10 m from 9.0 to 8.8
/// falls 2 %; the dry well takes 0.9 × 50 × 0.006 = 0.27 m³.
const DRAINED: &str = r#"
[[drain]]
id = "roof"
kind = "smooth pipe"
route = [[19.2, 13.4], [29.2, 13.4]]
start = 8.0
end = 7.8
takes = ["downspout north-east"]
leads_to = "outlet pit"
[[outlet]]
id = "pit"
kind = "dry well"
at = [29.2, 13.4]
width = "1 m"
depth = "1 m"
voids = "40 %"
"#;

#[test]
fn a_drain_carries_its_roof() {
    let drained = project(&format!("{}{STORM}", falling(0.06)), DRAINED);
    let yard = yard(&drained);
    let study = study(&drained, &yard);
    let run = &study.drains[0];
    assert!((run.flow - 0.000_75).abs() < 1e-9 && (run.slope - 0.02).abs() < 1e-9);
    assert!((run.length - 10.0).abs() < 1e-6 && run.bends == 0);
    let flow = run.runs.unwrap().unwrap();
    assert!((flow.flow - run.flow).abs() < 1e-8);
    // Cover: the ground falls from 8.848 to 8.248, the pipe's top from 8.1 to 7.9.
    assert!((run.cover.0 - 0.348).abs() < 1e-6 && (run.cover.1 - 0.748).abs() < 1e-6, "{:?}", run.cover);
    let pipe = study.quantities().into_iter().find(|q| q.item == "smooth-pipe/100").unwrap();
    assert!((pipe.amount.value - 10.0).abs() < 1e-6);
    let stone = study.quantities().into_iter().find(|q| q.item == "stone/washed").unwrap();
    assert!((stone.amount.value - PI / 4.0).abs() < 1e-9);
    let all = study.findings();
    assert!(of_rule(&all, "drain.undersized").is_empty() && of_rule(&all, "drain.cover").is_empty());
    // Half of loam's 10.335 mm/h soaks 2.6 mm × 2.36 m² away; 0.27 m³ is held against 0.314 m³.
    assert!(of_rule(&all, "drain.store").is_empty());
    assert!(of_rule(&all, "drain.near-house").is_empty());
    assert_eq!(study.solids(When::years(0.0)).len(), 2);
}

#[test]
fn bad_drains_are_found() {
    let bad = r#"
[[drain]]
id = "thin"
kind = "corrugated pipe"
route = [[19.2, 13.4], [29.2, 13.4]]
start = 8.80
end = 8.80
diameter = "40 mm"
takes = ["downspout north-east"]
leads_to = "outlet street"
[[drain]]
id = "small"
kind = "corrugated pipe"
route = [[19.2, 14.4], [29.2, 14.4]]
start = 8.5
end = 8.4
diameter = "40 mm"
takes = ["downspout north-east"]
[[outlet]]
id = "street"
kind = "kerb"
at = [29.2, 13.4]
[[outlet]]
id = "pit"
kind = "dry well"
at = [20, 10]
width = "600 mm"
depth = "300 mm"
[[drain]]
id = "deep"
kind = "smooth pipe"
route = [[2, 3], [12, 3]]
start = 7.5
end = 7.3
takes = ["downspout north-east"]
leads_to = "outlet pit"
[[swale]]
id = "flat"
line = [[21, 3], [29, 3]]
start = 8.4
end = 8.395
"#;
    let all = findings(&project(&format!("{}{STORM}", falling(0.06)), bad));
    for rule in [
        "drain.fall",
        "drain.undersized",
        "drain.cover",
        "drain.no-outlet",
        "drain.lawful",
        "drain.near-house",
        "drain.store",
        "drain.trench",
        "swale.fall",
        "swale.raised",
    ] {
        assert!(!of_rule(&all, rule).is_empty(), "{rule}");
    }
    for finding in &all {
        let text = finding.sentence(&groundwright_units::Reader::new(groundwright_units::System::Metric));
        assert!(!text.contains('{') && !text.contains("NaN"), "{text}");
        assert!(finding.values.iter().all(|(_, datum)| datum.value.is_finite()), "{text}");
    }
}

/// A bank across the lot turns its water over the sides to the north and south; as found nothing leaves
/// there.
#[test]
fn water_turned_to_the_neighbour_is_found() {
    let ridge = r#"
[[grading]]
id = "ridge"
outline = [[21, -0.6], [24, -0.6], [24, 20.6], [21, 20.6]]
raise = "900 mm"
margin = "500 mm"
"#;
    let before = findings(&project(&format!("{}{STORM}", falling(0.06)), ""));
    assert!(of_rule(&before, "ground.neighbour").is_empty());
    let after = project(&format!("{}{STORM}", falling(0.06)), ridge);
    let yard = yard(&after);
    let study = study(&after, &yard);
    let total = |which: usize| study.sides.iter().map(|side| side.leaves[which]).sum::<f64>();
    // The lot's water leaves somewhere: 600 m² of which 48 are roof, C 0.125, and 45 m² of roof water.
    let all_of_it = (600.0 - 48.0) * 0.125 + 45.0;
    assert!((total(0) - all_of_it).abs() < 0.05 * all_of_it, "{} of {all_of_it}", total(0));
    assert!(total(1) > 0.9 * total(0));
    let told = study.findings();
    assert!(!of_rule(&told, "ground.neighbour").is_empty(), "{:?}", study.sides);
}

#[test]
fn levels_and_gradings_that_cannot_be_are_faults_with_a_remedy() {
    let faults = |property: &str, design: &str| {
        let project = project(property, design);
        let (plot, _) = place(&project);
        let faults = lay_ground(&project, &plot).faults;
        faults.iter().map(ToString::to_string).collect::<Vec<String>>().join("\n")
    };
    let pad = "[[grading]]\nid = \"pad\"\noutline = [[2, 2], [8, 2], [8, 7], [2, 7]]\nlevel = 10\n";
    assert!(faults("", pad).contains("no levels to grade from"));
    let twice = format!("{}[[level]]\nid = \"again\"\nat = [-1, -1]\nlevel = 12\n", falling(0.0));
    assert!(faults(&twice, "").contains("two levels at (-1.000 m, -1.000 m)"), "{}", faults(&twice, ""));
    let two =
        "[[level]]\nid = \"a\"\nat = [0, 0]\nlevel = 1\n[[level]]\nid = \"b\"\nat = [1, 0]\nlevel = 1\n";
    assert!(faults(two, "").contains("give at least three levels"));
    let crossing = format!(
        "{}[[break_line]]\nid = \"x\"\nplaces = [[2, 5], [9, 5]]\nlevels = [10]\n[[break_line]]\nid = \"y\"\nplaces = [[5, 2], [5, 9]]\nlevels = [11]\n",
        falling(0.0)
    );
    let text = faults(&crossing, "");
    assert!(text.contains("break line `x`") && text.contains("cross at (5.000 m, 5.000 m)"), "{text}");
    let bend = "[[swale]]\nid = \"hairpin\"\nline = [[5, 5], [9, 5], [5, 5.2]]\nstart = 9.5\nend = 9.4\n";
    assert!(faults(&falling(0.0), bend).contains("ease the bend"), "{}", faults(&falling(0.0), bend));
    assert_eq!(faults(&falling(0.0), pad), "");
}

/// A round pit in a level yard, of depth 0.5 m at 2 m from its middle and level with the yard at 3 m
/// and, where there is an island, at its middle: what is drawn as wet has the area that the hollow is
/// said to have, worked out from the triangles by another way, and the island is not under water.
#[test]
fn water_that_stands_is_drawn_as_wide_as_it_is_said_to_be() {
    for (island, turns) in [(false, 16), (true, 16), (false, 5)] {
        let ring = |radius: f64, level: f64, name: char| {
            (0..turns).fold(String::new(), |text, i| {
                let (sin, cos) = (f64::from(i) / f64::from(turns) * 2.0 * PI).sin_cos();
                let (x, y) = (24.0 + radius * cos, 10.0 + radius * sin);
                text + &format!("[[level]]\nid = \"{name}{i}\"\nat = [{x:.4}, {y:.4}]\nlevel = {level}\n")
            })
        };
        let middle = if island { 10.1 } else { 9.3 };
        let levels = falling(0.0)
            + &ring(3.0, 10.0, 'o')
            + &ring(2.0, 9.5, 'i')
            + &format!("[[level]]\nid = \"middle\"\nat = [24, 10]\nlevel = {middle}\n");
        let pitted = project(&(levels + STORM), "");
        let yard = yard(&pitted);
        let study = study(&pitted, &yard);
        let all = study.findings();
        let hollow = of_rule(&all, "ground.hollow");
        assert_eq!(hollow.len(), 1, "{island} {turns}");
        let ponds: Vec<BezPath> = study
            .marks(When::years(0.0))
            .into_iter()
            .filter(|mark| mark.layer.name == "GROUND-POND")
            .filter_map(|mark| match mark.shape {
                Shape::Path { path, .. } => Some(path),
                _ => None,
            })
            .collect();
        assert_eq!(ponds.len(), 1, "{island} {turns}");
        let (drawn, said) = (ponds[0].area().abs(), value(hollow[0], "area"));
        assert!((drawn - said).abs() < 0.01 * said, "{island} {turns}: {drawn} drawn, {said} said");
        assert!(ponds[0].winding(Point::new(22.2, 10.3)) != 0);
        assert_eq!(ponds[0].winding(Point::new(24.0, 10.0)) != 0, !island);
    }
}
