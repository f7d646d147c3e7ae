//! Whole yards with lights, written as text: laws of light and circuits, findings, what is refused.
//!
//! The yard is invented: 40 m by 30 m of level ground, a house of 10 m by 8 m, a tree, a walk, beds.

use std::f64::consts::PI;
use std::sync::Arc;

use groundwright_geometry::Point3;
use groundwright_handoff::{Cell, Finding, Severity, Shape, Study, When};
use groundwright_light::{LightStudy, Night, balance, burning, study};
use groundwright_plan::{Project, Sources, read_project};
use groundwright_units::{Reader, System};
use groundwright_yard::{Transplanting, Yard, assemble, place};
use proptest::prelude::*;

const PROPERTY: &str = r#"
format = 1
units = "m"
name = "yard with lights"
[boundary]
known = "pins found"
outline = [[0, 0], [40, 0], [40, 30], [0, 30]]
[[building]]
id = "house"
outline = [[15, 20], [25, 20], [25, 28], [15, 28]]
[[surface]]
id = "walk"
kind = "walk"
outline = [[19, 0], [21, 0], [21, 20], [19, 20]]
[[tree]]
id = "oak"
plant = "quercus-garryana"
at = [8, 10]
girth = "1.6 m"
height = "12 m"
crown = "9 m"
action = "keep"
[[viewpoint]]
id = "street"
role = "street"
at = [20, -5]
eye = "1.6 m"
"#;

const DESIGN: &str = r#"
format = 1
[[bed]]
id = "west"
outline = [[2, 2], [18.5, 2], [18.5, 19.5], [2, 19.5]]
[[bed]]
id = "east"
outline = [[21.5, 2], [38, 2], [38, 19.5], [21.5, 19.5]]
[[light_zone]]
id = "low"
[[light_zone]]
id = "up"
off = "01:00"
dim_from = "22:00"
dim_to = "50 %"
"#;

const TRANSFORMER: &str = "[[transformer]]\nid = \"main\"\nat = [25.3, 22]\n";
const WALK: &str = "[[light]]\nid = \"walk\"\nrole = \"path\"\nfixture = \"path-hat\"\nzone = \"low\"\n\
    places = [[18.6, 4], [21.4, 8], [18.6, 12], [21.4, 16]]\n";
const OAK: &str = "[[light]]\nid = \"oak\"\nrole = \"up a trunk\"\nfixture = \"up-medium\"\nzone = \"up\"\n\
    places = [[6, 8.5], [10, 8.5]]\naim = \"tree oak\"\n";

fn project(more: &str) -> Project {
    let sources = Sources {
        property: Some(PROPERTY.to_owned()),
        design: Some(format!("{DESIGN}{more}")),
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

/// Nothing stands in the way.
fn clear(_: Point3, _: Point3) -> f64 {
    1.0
}

/// What a study of a design gives.
fn with<T>(more: &str, look: impl FnOnce(&LightStudy<'_>) -> T) -> T {
    let project = project(more);
    let yard = yard(&project);
    look(&study(&project, &yard, &clear, Vec::new()))
}

fn findings(more: &str) -> Vec<Finding> {
    with(more, |study| study.findings())
}

fn of_rule<'f>(all: &'f [Finding], id: &str) -> &'f Finding {
    let ids: Vec<&str> = all.iter().map(|finding| finding.rule.id).collect();
    all.iter().find(|finding| finding.rule.id == id).unwrap_or_else(|| panic!("no {id} in {ids:?}"))
}

#[test]
fn without_lights_the_study_is_silent() {
    with("", |study| {
        assert!(study.findings().is_empty() && study.quantities().is_empty() && study.tasks().is_empty());
        assert!(study.tables().is_empty() && study.marks(When::years(0.0)).is_empty());
        assert!(study.solids(When::years(0.0)).is_empty());
    });
}

/// What the transformer gives is what lamps and cables take, every voltage lies in its window and falls
/// along the cable, every lamp hangs on exactly one run.
#[test]
fn circuits_balance_and_keep_their_windows() {
    with(&format!("{TRANSFORMER}{WALK}{OAK}"), |study| {
        let run = &study.transformers[0];
        let design = run.design.as_ref().unwrap();
        let mut seen: Vec<usize> = design.runs.iter().flat_map(|run| run.lamps.clone()).collect();
        seen.sort_unstable();
        assert_eq!(seen, (0..6).collect::<Vec<_>>());
        // Four path lights of 3 VA and two uplights of 8 VA.
        let lamps = 4.0 * 3.0 + 2.0 * 8.0;
        let lost: f64 = design.runs.iter().flat_map(|run| &run.sized.all_on.cable_losses).sum();
        assert!((design.loading.load - lamps - lost).abs() < 1e-6, "{} {lost}", design.loading.load);
        for part in &design.runs {
            assert!(part.sized.margin >= 0.0);
            for piece in &part.layout.pieces {
                let volts = &part.sized.all_on.voltages;
                assert!(volts[piece.to] <= volts[piece.from] + 1e-12);
            }
        }
        for i in 0..6 {
            let (low, high) = study.voltages(i).unwrap();
            assert!(9.0 <= low && low <= high && high <= 15.0);
        }
        // Zones are switched at the transformer: no run has lamps of both.
        for part in &design.runs {
            let mut zones: Vec<usize> = part.lamps.iter().map(|l| study.lamps[*l].zone).collect();
            zones.dedup();
            assert_eq!(zones.len(), 1);
        }
    });
}

/// On the axis of a Gaussian beam of 450 lm and 38° the intensity is 450 lm over the beam's own flux at one
/// candela (`lighting.md`, section 2); times the light loss, over the distance squared.
#[test]
fn light_at_the_aim_is_the_inverse_square() {
    let one = "[[light]]\nid = \"one\"\nrole = \"wash\"\nfixture = \"up-medium\"\nzone = \"up\"\nat = [30, 10]\n\
               aim_place = [34, 10]\naim_height = \"3.15 m\"\n";
    with(one, |study| {
        let lamp = &study.lamps[0];
        // 4 m east and 3 m up from a source at 0.15 m: 5 m.
        let beam = groundwright_light::Beam::of_lumens(
            groundwright_light::Shape::Gaussian,
            38.0_f64.to_radians(),
            450.0,
        );
        let expected = beam.unwrap().peak() * 0.85 / 25.0;
        assert!((lamp.own - expected).abs() < 1e-9 * expected, "{} {expected}", lamp.own);
        assert!((lamp.tilt() - (3.0_f64 / 5.0).asin()).abs() < 1e-12);
    });
}

/// Light adds up: with either zone dark, what arrives at the property line and on the walk is what the
/// other brings; together it is the sum.
#[test]
fn zones_add_up() {
    let lux = |walk: &str, oak: &str| {
        let text = format!(
            "{}{}",
            WALK.to_owned() + &format!("level = \"{walk}\"\n"),
            OAK.to_owned() + &format!("level = \"{oak}\"\n")
        );
        with(&text, |study| study.night.map.places.clone())
    };
    let (both, walk, oak) = (lux("100 %", "100 %"), lux("100 %", "0 %"), lux("0 %", "100 %"));
    assert!(both.len() > 500 && both.len() == walk.len() && both.len() == oak.len());
    for ((both, walk), oak) in both.iter().zip(&walk).zip(&oak) {
        assert!((both.1 - walk.1 - oak.1).abs() < 1e-9, "{both:?} {walk:?} {oak:?}");
    }
    assert!(both.iter().any(|(_, lux)| *lux > 10.0));
}

/// Lights mirrored about the axis of the walk light it in mirror image.
#[test]
fn mirrored_lights_give_the_same_walk() {
    let mirrored = WALK.replace(
        "[18.6, 4], [21.4, 8], [18.6, 12], [21.4, 16]",
        "[21.4, 4], [18.6, 8], [21.4, 12], [18.6, 16]",
    );
    let of = |text: &str| with(text, |study| study.night.walks[0].light);
    let (a, b) = (of(WALK), of(&mirrored));
    assert!((a.mean - b.mean).abs() < 1e-9 * a.mean && (a.least - b.least).abs() < 1e-9, "{a:?} {b:?}");
}

/// A bare downward cosine source of flux F at height h over wide ground: all of it arrives, so that the sum
/// of illuminance times area over a large square comes near to F (what its shield holds back taken off).
#[test]
fn what_leaves_a_lamp_arrives_on_the_ground() {
    let one = "[[light]]\nid = \"one\"\nrole = \"path\"\nfixture = \"path-hat\"\nzone = \"low\"\nat = [30, 10]\nheight = \"1 m\"\n";
    with(one, |study| {
        let (whole, up) = study.night.flux;
        assert!(up == 0.0, "{up}");
        let near =
            |at: groundwright_geometry::Point| at.distance(groundwright_geometry::Point::new(30.0, 10.0));
        // Rings about the lamp from the map's own grid of half a metre: 0.25 m² a place.
        let arrived: f64 =
            study.night.map.places.iter().filter(|(at, _)| near(*at) < 6.0).map(|(_, lux)| lux * 0.25).sum();
        // Beyond six metres and the shield's 80° a few parts in a hundred are missing.
        assert!(arrived > 0.88 * whole && arrived < 1.05 * whole, "{arrived} of {whole}");
    });
}

#[test]
fn lights_without_transformer_are_told() {
    let all = findings(WALK);
    let found = of_rule(&all, "light.no-transformer");
    assert_eq!(found.severity, Severity::Fault);
    assert!(found.remedies[0].action.contains("[[transformer]]"));
}

#[test]
fn an_overloaded_transformer_is_told() {
    let many: Vec<String> = (0..12).map(|i| format!("[{}, 3]", 3 + i)).collect();
    let text = format!(
        "[[transformer]]\nid = \"main\"\nat = [25.3, 22]\nproduct = \"transformer-150\"\n[[light]]\nid = \"many\"\n\
         role = \"wash\"\nfixture = \"halogen-20\"\nzone = \"up\"\naim_place = [10, 6]\nplaces = [{}]\n",
        many.join(", ")
    );
    let all = findings(&text);
    // 240 W of filament lamps on 150 VA.
    let found = of_rule(&all, "light.transformer-loaded");
    assert_eq!(found.severity, Severity::Fault);
    let told = found.sentence(&Reader::new(System::Metric));
    assert!(told.contains("of 150") && told.contains("120"), "{told}");
}

/// A filament lamp with a window of a hundredth of a volt that no tap meets after a hundred metres of cable.
#[test]
fn a_lamp_that_no_cable_feeds_is_told() {
    let stock = "format = 1\nprovenance = \"invented\"\n[[fixture]]\nid = \"touchy\"\nname = \"touchy\"\nlumens = 300\n\
                 beam_angle = \"36 deg\"\nwatts = 50\ndriver = false\nvolts = [11.985, 11.99]\n";
    let text = format!(
        "{DESIGN}{TRANSFORMER}[[light]]\nid = \"far\"\nrole = \"wash\"\nfixture = \"touchy\"\nzone = \"up\"\n\
         at = [2.5, 2.5]\naim_place = [10, 6]\n"
    );
    let mut sources =
        Sources { property: Some(PROPERTY.to_owned()), design: Some(text), ..Sources::default() };
    sources.stock.push(("own.toml".to_owned(), stock.to_owned()));
    let project = read_project(sources).unwrap().project;
    let yard = yard(&project);
    let all = study(&project, &yard, &clear, Vec::new()).findings();
    let told = of_rule(&all, "light.not-fed").sentence(&Reader::new(System::Metric));
    assert!(told.contains("L1") && told.contains("window"), "{told}");
}

#[test]
fn unknown_zones_and_fixtures_are_refused_with_what_is_near() {
    let text = format!("{DESIGN}{}", WALK.replace("\"low\"", "\"lo\"").replace("path-hat", "path-hut"));
    let sources = Sources { property: Some(PROPERTY.to_owned()), design: Some(text), ..Sources::default() };
    let faults: Vec<String> = read_project(sources).unwrap_err().iter().map(ToString::to_string).collect();
    let all = faults.join("\n");
    assert!(all.contains("no stock file has `path-hut`") && all.contains("path-hat"), "{all}");
    assert!(all.contains("`lo`") && all.contains("low"), "{all}");
}

#[test]
fn light_on_the_neighbour_and_in_the_eye_is_told() {
    let text = "[[light]]\nid = \"bad\"\nrole = \"wash\"\nfixture = \"up-narrow\"\nzone = \"up\"\nat = [20, 1]\n\
                height = \"1.6 m\"\naim_place = [20, -5]\naim_height = \"1.6 m\"\n";
    let all = findings(text);
    let told = of_rule(&all, "light.trespass").sentence(&Reader::new(System::Metric));
    assert!(told.contains("L1"), "{told}");
    let found = of_rule(&all, "light.glare");
    assert!(found.subjects.len() == 2);
}

/// A walk with one light at its end is told to be dark; with four it is not.
#[test]
fn dark_walks_are_told() {
    let weak = "[[light]]\nid = \"w\"\nrole = \"path\"\nfixture = \"path-hat\"\nzone = \"low\"\nat = [18.6, 4]\nlevel = \"10 %\"\n";
    of_rule(&findings(weak), "light.walk-dark");
    // A firm to which a fifth of that is enough hears nothing.
    let sources = Sources {
        property: Some(PROPERTY.to_owned()),
        design: Some(format!("{DESIGN}{WALK}")),
        practice: Some("format = 1\nlight_walk = 0.6\n".to_owned()),
        ..Sources::default()
    };
    let project = read_project(sources).unwrap().project;
    let all = study(&project, &yard(&project), &clear, Vec::new()).findings();
    assert!(all.iter().all(|finding| finding.rule.id != "light.walk-dark"), "{all:?}");
}

/// Cable through the root zone of the oak is told with its length; trenches never cross the house.
#[test]
fn trenches_keep_out_of_buildings_and_tell_of_roots() {
    with(&format!("{TRANSFORMER}{WALK}{OAK}"), |study| {
        let run = &study.transformers[0];
        for stretch in &run.trench.stretches {
            let middle = stretch.ends.0.midpoint(stretch.ends.1);
            let inside = middle.x > 15.0 && middle.x < 25.0 && middle.y > 20.0 && middle.y < 28.0;
            assert!(!inside, "{stretch:?}");
        }
        assert!(run.trench.under_paving > 1.0, "the walk is crossed once: {}", run.trench.under_paving);
        of_rule(&study.findings(), "light.in-roots");
    });
}

/// What is bought is what is drawn: a sign for each light, a disc in the diagram for each, cable as computed.
#[test]
fn takeoff_and_drawing_agree() {
    with(&format!("{TRANSFORMER}{WALK}{OAK}"), |study| {
        let quantities = study.quantities();
        let amount = |item: &str| -> f64 {
            quantities.iter().filter(|q| q.item.starts_with(item)).map(|q| q.amount.value).sum()
        };
        assert_eq!(amount("light/"), 6.0);
        let design = study.transformers[0].design.as_ref().unwrap();
        assert!((amount("light-cable/") - design.cable).abs() < 1e-9);
        let marks = study.marks(When::years(0.0));
        let discs = |layer: &str| {
            let own = marks.iter().filter(|mark| mark.layer.name == layer);
            own.filter(|mark| matches!(mark.shape, Shape::Circle { .. })).count()
        };
        assert_eq!(discs("CIRCUIT-LAMP"), 6);
        assert_eq!(discs("LIGHT-UP"), 2);
        let table = study.tables().into_iter().find(|table| table.key == "lights").unwrap();
        assert_eq!(table.rows.len(), 6);
        assert!(matches!(&table.rows[4][0], Cell::Text(tag) if tag == "L5"));
        assert_eq!(study.tasks().len(), 3);
    });
}

fn night(dusk: f64, dawn: f64) -> Night {
    Night { month: 6, day: 1, dusk: Some(dusk * 3600.0), dawn: Some(dawn * 3600.0), stands_for: 10.0 }
}

/// From dusk at 21:00 to 01:00 are four hours, of which three at half: two and a half at full. Off at 23:00
/// before dusk at 23:30 is no evening; without dusk there is none either. By hand.
#[test]
fn evenings_are_counted_over_midnight() {
    let project = project("");
    let zones = &project.design.lighting.zones;
    let up = burning(&zones[1], &[night(21.0, 4.5)], None);
    assert!((up.lit - 40.0).abs() < 1e-9 && (up.full - 25.0).abs() < 1e-9, "{up:?}");
    let low = burning(&zones[0], &[night(23.5, 2.0)], None);
    assert!(low.lit == 0.0, "{low:?}");
    let none = Night { dusk: None, dawn: None, ..night(0.0, 0.0) };
    assert!(burning(&zones[0], &[none], None).lit == 0.0);
    assert!(burning(&zones[1], &[night(21.0, 4.5)], Some(7)).lit == 0.0);
}

/// Two lamps and two targets: 40 a = 20 and 4 a + 30 b = 10 are met by a = 1/2, b = 8/30. By hand.
#[test]
fn levels_are_found_by_hand() {
    let levels = balance(&[vec![40.0, 0.0], vec![4.0, 30.0]], &[20.0, 10.0]);
    assert!((levels[0] - 0.5).abs() < 1e-4 && (levels[1] - 8.0 / 30.0).abs() < 1e-4, "{levels:?}");
    // What cannot be reached is approached as far as it goes.
    let levels = balance(&[vec![5.0]], &[20.0]);
    assert!((levels[0] - 1.0).abs() < 1e-12);
    assert!(balance(&[], &[]).is_empty());
}

/// Values of SciPy 1.17.1, `scipy.optimize.lsq_linear(A / w, 1, bounds=(0, 1))` with its default method,
/// made on the matrix below.
#[test]
fn levels_agree_with_a_general_solver() {
    let brought = [
        vec![31.0, 2.0, 0.5, 8.0],
        vec![3.0, 12.0, 6.0, 0.2],
        vec![0.4, 7.0, 25.0, 1.0],
        vec![9.0, 0.0, 2.0, 18.0],
        vec![1.0, 1.0, 30.0, 2.0],
    ];
    let wanted = [20.0, 15.0, 6.0, 30.0, 9.0];
    let scipy = [0.421_898_088, 0.571_268_354, 0.104_630_825, 1.0];
    let levels = balance(&brought, &wanted);
    for (level, expected) in levels.iter().zip(scipy) {
        assert!((level - expected).abs() < 2e-4, "{levels:?} {scipy:?}");
    }
}

proptest! {
    /// At the least value no lamp inside its bounds has a slope, none at its low end wants down, none at its
    /// high end wants up.
    #[test]
    fn levels_end_where_no_lamp_wants_to_move(
        rows in prop::collection::vec(prop::collection::vec(0.0..50.0_f64, 5), 1..7),
        wanted in prop::collection::vec(1.0..40.0_f64, 7),
    ) {
        let wanted = &wanted[..rows.len()];
        let levels = balance(&rows, wanted);
        for j in 0..5 {
            let slope: f64 = rows
                .iter()
                .zip(wanted)
                .map(|(row, w)| {
                    let miss = row.iter().zip(&levels).map(|(b, l)| b * l).sum::<f64>() / w - 1.0;
                    row[j] / w * miss
                })
                .sum();
            let tolerance = 1e-4;
            match levels[j] {
                l if l <= 1e-9 => prop_assert!(slope > -tolerance, "{} {}", j, slope),
                l if l >= 1.0 - 1e-9 => prop_assert!(slope < tolerance, "{} {}", j, slope),
                _ => prop_assert!(slope.abs() < tolerance, "{} {} {:?}", j, slope, levels),
            }
        }
    }

    /// A light above level ground gives a point below it I / h², wherever it stands.
    #[test]
    fn downlights_follow_the_inverse_square(height in 0.4..6.0_f64, x in 22.0..37.0_f64, y in 3.0..19.0_f64) {
        let text = format!(
            "[[light]]\nid = \"one\"\nrole = \"path\"\nfixture = \"path-hat\"\nzone = \"low\"\nat = [{x:.3}, {y:.3}]\n\
             height = \"{height:.3} m\"\n"
        );
        let height = (height * 1000.0).round() / 1000.0;
        let own = with(&text, |study| study.lamps[0].own);
        // Cosine power with m from the beam angle of 110°: I0 = F (m + 1) / 2π.
        let m = 0.5_f64.ln() / 55.0_f64.to_radians().cos().ln();
        let expected = 110.0 * (m + 1.0) / (2.0 * PI) * 0.85 / (height * height);
        prop_assert!((own - expected).abs() < 1e-5 * expected, "{} {}", own, expected);
    }
}
