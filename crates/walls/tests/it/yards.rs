//! Whole yards with walls, written as text: units against the drawing, levels, what is refused and how.
//!
//! The yard is invented: 40 m by 30 m, level ground at 10 m.

use std::sync::Arc;

use groundwright_handoff::{Finding, Mark, Severity, Shape, Study, When};
use groundwright_plan::{Project, Sources, read_project};
use groundwright_units::{Reader, System};
use groundwright_walls::{elevation_frame, study};
use groundwright_yard::{Transplanting, Yard, assemble, place};

const PROPERTY: &str = r#"
format = 1
units = "m"
name = "yard with walls"
[boundary]
known = "pins found"
outline = [[0, 0], [40, 0], [40, 30], [0, 30]]
[[building]]
id = "house"
outline = [[28, 20], [38, 20], [38, 28], [28, 28]]
[[level]]
id = "a"
at = [0, 0]
level = 10
[[level]]
id = "b"
at = [40, 0]
level = 10
[[level]]
id = "c"
at = [40, 30]
level = 10
[[level]]
id = "d"
at = [0, 30]
level = 10
"#;

fn project(design: &str) -> Project {
    let sources = Sources {
        property: Some(PROPERTY.to_owned()),
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

/// A wall with flush ends, its soil to the left of a line that runs east.
fn wall(line: &str, more: &str) -> String {
    format!(
        "[[wall]]\nid = \"bank\"\nunits = \"split-face-6\"\nline = [{line}]\nsoil = \"left\"\n\
         ends = [\"flush\", \"flush\"]\n{more}"
    )
}

fn findings(design: &str) -> Vec<Finding> {
    let project = project(design);
    study(&project, &yard(&project)).findings()
}

fn of_rule<'f>(all: &'f [Finding], id: &str) -> &'f Finding {
    let ids: Vec<&str> = all.iter().map(|finding| finding.rule.id).collect();
    all.iter().find(|finding| finding.rule.id == id).unwrap_or_else(|| panic!("no {id} in {ids:?}"))
}

fn told(finding: &Finding) -> String {
    finding.sentence(&Reader::new(System::Metric))
}

const STRAIGHT: &str = "{ straight = [[4, 6], [16, 6]] }";
const LOW: &str = "foot = 10\ntop = 10.6\nretained = \"clean stone\"\nload = \"nothing\"\n";

/// Units on the elevation, units taken off and units laid are the same count, cuts as whole ones; caps too.
#[test]
fn counts_are_those_of_the_drawing() {
    for line in [
        STRAIGHT,
        "{ straight = [[4, 6], [9, 6]] }, { arc = [[12.2, 7.3], [13.5, 10.5]] }",
        "{ straight = [[4, 6], [9, 6]] }, { straight = [[9, 6], [9, 11]] }",
    ] {
        let project = project(&wall(line, LOW));
        let yard = yard(&project);
        let study = study(&project, &yard);
        let laid: usize = study.walls[0]
            .parts
            .iter()
            .map(|part| part.laid.as_ref().unwrap().as_ref().unwrap().units.len())
            .sum();
        let marks = study.marks(When::years(0.0));
        let drawn = |layers: &[&str]| {
            let front = elevation_frame(&project.design.built.walls[0].id);
            let here = |mark: &&Mark| layers.contains(&mark.layer.name) && mark.frame == front;
            let paths = marks.iter().filter(here);
            paths.filter(|mark| matches!(mark.shape, Shape::Path { .. })).count()
        };
        let taken = |start: &str| -> usize {
            let all = study.quantities();
            all.iter().filter(|q| q.item.starts_with(start)).map(|q| q.amount.value.round() as usize).sum()
        };
        assert!(laid > 60, "{laid}");
        assert_eq!(drawn(&["WALL-UNIT", "WALL-UNIT-SECOND", "WALL-UNIT-CUT"]), laid, "{line}");
        assert_eq!(taken("wall-unit/"), laid, "{line}");
        assert_eq!(taken("wall-cap/"), drawn(&["WALL-CAP"]), "{line}");
    }
}

/// The top of the cap lies at the wanted level or less than a course above it, the lowest course at least
/// six inches under the ground in front, pads and courses whole courses apart.
#[test]
fn levels_are_kept() {
    let project = project(&wall(STRAIGHT, LOW));
    let yard = yard(&project);
    let study = study(&project, &yard);
    let run = &study.walls[0];
    let base = run.parts[0].base.as_ref().unwrap();
    let cap = run.units.cap.unwrap().1;
    for panel in &base.panels {
        let top = panel.top + cap;
        assert!(top > 10.6 - 1e-9 && top < 10.6 + run.units.height, "{top}");
        assert!(panel.base < 10.0 - 6.0 * 0.0254 + 1e-9, "{}", panel.base);
    }
    assert!((yard.ground.graded(groundwright_geometry::Point::new(10.0, 5.0)) - 10.0).abs() < 0.02);
}

/// A wall 40 m long has a section at least every three metres, and each stretch joins the next.
#[test]
fn sections_leave_no_stretch_out() {
    let project = project(&wall("{ straight = [[1, 6], [39, 6]] }", LOW));
    let yard = yard(&project);
    let study = study(&project, &yard);
    let part = &study.walls[0].parts[0];
    let mut at = part.from;
    for found in &part.sections {
        assert!((found.stretch.0 - at).abs() < 1e-9 && found.stretch.1 - found.stretch.0 < 3.0 + 1e-9);
        at = found.stretch.1;
    }
    assert!((at - part.to).abs() < 1e-9 && part.sections.len() >= 13);
}

#[test]
fn a_foot_above_the_top_is_refused_with_what_to_mend() {
    let all = findings(&wall(STRAIGHT, "foot = 10.6\ntop = 10.0\n"));
    let found = of_rule(&all, "walls.levels");
    assert_eq!(found.severity, Severity::Fault);
    let words = told(found);
    assert!(words.contains("not above the ground in front"), "{words}");
    assert!(found.remedies.iter().any(|remedy| remedy.action.contains("`top` or `foot`")));
}

#[test]
fn a_line_that_crosses_itself_is_refused() {
    let text = wall("{ straight = [[4, 6], [12, 6], [12, 10], [8, 10], [8, 2]] }", LOW);
    let (_, faults) = place(&project(&text));
    assert_eq!(faults.len(), 1);
    let words = faults[0].to_string();
    assert!(words.contains("crosses itself") && words.contains("without a loop"), "{words}");
}

#[test]
fn a_radius_that_the_units_cannot_turn_is_refused() {
    let tight = "{ straight = [[4, 6], [9, 6]] }, { arc = [[9.35, 6.15], [9.5, 6.5]] }, { straight = [[9.5, 6.5], [9.5, 11]] }";
    let all = findings(&wall(tight, LOW));
    let words = told(of_rule(&all, "walls.cannot-be-laid"));
    assert!(words.contains("turn no tighter") && words.contains("radius of at least"), "{words}");
}

#[test]
fn a_wall_over_a_building_is_refused() {
    let all = findings(&wall("{ straight = [[24, 22], [34, 22]] }", LOW));
    let found = of_rule(&all, "walls.over-building");
    assert_eq!(found.severity, Severity::Fault);
    assert!(found.remedies.iter().any(|remedy| remedy.action.contains("away from the building")));
}

/// Two metres of wall on a clay loam with people above: the finding leads with what works.
#[test]
fn a_wall_that_fails_is_told_what_works() {
    let high = "foot = 10\ntop = 11.4\nretained = \"silty sand\"\nload = \"walked\"\n";
    let all = findings(&wall(STRAIGHT, high));
    let found = of_rule(&all, "walls.does-not-stand");
    assert_eq!(found.severity, Severity::Danger);
    let remedies: Vec<&str> = found.remedies.iter().map(|remedy| remedy.action.as_str()).collect();
    println!("{remedies:?}");
    for words in ["the tallest that stands", "reinforce it:"] {
        assert!(remedies.iter().any(|remedy| remedy.contains(words)), "{words}: {remedies:?}");
    }
    assert_eq!(of_rule(&all, "walls.permit-height").severity, Severity::Fault);
    of_rule(&all, "walls.guard");
    // With reinforcement at hand the same wall is laid with layers, and says so.
    let all = findings(&wall(STRAIGHT, &format!("{high}grid = \"geogrid-light\"\n")));
    of_rule(&all, "walls.reinforced");
    assert!(all.iter().all(|finding| finding.rule.id != "walls.does-not-stand"));
}

/// More on the ground above, or a higher wall, never stands better.
#[test]
fn more_load_and_more_height_never_stand_better() {
    let ratio = |top: f64, load: &str| {
        let project = project(&wall(
            STRAIGHT,
            &format!("foot = 10\ntop = {top}\nretained = \"clean stone\"\nload = \"{load}\"\n"),
        ));
        let yard = yard(&project);
        let study = study(&project, &yard);
        study.walls[0].worst().unwrap().1.ratio()
    };
    let mut last = f64::INFINITY;
    for (top, load) in
        [(10.5, "nothing"), (10.5, "walked"), (10.8, "walked"), (11.0, "walked"), (11.0, "driven")]
    {
        let now = ratio(top, load);
        assert!(now < last, "{top} {load}: {now} after {last}");
        last = now;
    }
}

/// A second wall behind loads the first while it stands nearer than twice the first one's height.
#[test]
fn a_wall_behind_loads_the_one_in_front() {
    let two = |behind: f64| {
        let upper = format!(
            "[[wall]]\nid = \"upper\"\nunits = \"split-face-6\"\nsoil = \"left\"\nline = [{{ straight = [[4, {y}], [16, {y}]] }}]\n\
             foot = 10.6\ntop = 11.1\nretained = \"clean stone\"\nload = \"nothing\"\n",
            y = 6.0 + behind
        );
        findings(&(wall(STRAIGHT, LOW) + &upper))
    };
    let near = two(0.8);
    let tier = of_rule(&near, "walls.tiers");
    assert!(tier.subjects.len() == 2);
    assert!(two(6.0).iter().all(|finding| finding.rule.id != "walls.tiers"));
}

#[test]
fn steps_out_of_limits_are_told_what_fits() {
    let steep = "[[steps]]\nid = \"up\"\nfrom = [10, 5]\ntoward = [10, 8]\nfoot = 10\ntop = 10.8\nriser = \"200 mm\"\n\
                 tread = \"300 mm\"\nmaterial = \"stone\"\n";
    let all = findings(steep);
    let found = of_rule(&all, "steps.riser");
    let commands = &found.remedies[0].commands;
    assert_eq!(commands.len(), 2, "{commands:?}");
    assert!(found.remedies[0].action.contains("risers of"));
}
