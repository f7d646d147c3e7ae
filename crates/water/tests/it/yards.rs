//! Whole yards with irrigation, written as text: laws of pipe and evenness, findings, what is refused.
//!
//! The yard is invented: 40 m by 30 m of level ground, a house of 10 m by 8 m, a walk, a lawn, two beds.

use std::f64::consts::TAU;
use std::sync::Arc;

use groundwright_geometry::{Point, RegionIndex, Vec2};
use groundwright_handoff::{Finding, Shape, Study, When};
use groundwright_plan::{Project, Sources, read_project};
use groundwright_units::constants::{GALLON_PER_MINUTE, PSI};
use groundwright_water::{Layout, WaterStudy, Year, stagger, study};
use groundwright_yard::{Transplanting, Yard, assemble, place};
use proptest::prelude::*;

const PROPERTY: &str = r#"
format = 1
units = "m"
name = "yard with water"
[place]
latitude = "44 deg"
longitude = "-123 deg"
soil = "loam"
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
at = [4, 26]
girth = "1.6 m"
height = "12 m"
crown = "6 m"
action = "keep"
dry_summer = true
"#;

const SUPPLY: &str =
    "[supply]\nat = [24, 19]\nstatic_pressure = \"60 psi\"\nbucket = \"5 gal\"\nseconds = 30\n";

const DESIGN: &str = r#"
format = 1
[[lawn]]
id = "green"
kind = "keep"
outline = [[3, 3], [15, 3], [15, 12], [3, 12]]
[[bed]]
id = "east"
outline = [[22, 2], [30, 2], [30, 10], [22, 10]]
[[bed]]
id = "north"
outline = [[27, 14], [38, 14], [38, 24], [27, 24]]
[[bed]]
id = "oak-bed"
outline = [[1, 22], [10, 22], [10, 29], [1, 29]]
"#;

const LAWN: &str = "[[watering]]\nid = \"lawn\"\nareas = [\"lawn green\"]\n";
const BEDS: &str = "[[watering]]\nid = \"beds\"\nareas = [\"bed east\", \"bed north\"]\n";

fn sources(property: &str, design: &str) -> Sources {
    Sources {
        property: Some(format!("{PROPERTY}{property}")),
        design: Some(format!("{DESIGN}{design}")),
        ..Sources::default()
    }
}

fn project(property: &str, design: &str) -> Project {
    let loaded = read_project(sources(property, design)).unwrap_or_else(|faults| {
        let all: Vec<String> = faults.iter().map(ToString::to_string).collect();
        panic!("{}", all.join("\n"))
    });
    loaded.project
}

/// What the reader says of text that it refuses.
fn refused(property: &str, design: &str) -> String {
    let faults = read_project(sources(property, design)).err().unwrap_or_default();
    let all: Vec<String> = faults.iter().map(ToString::to_string).collect();
    assert!(!all.is_empty(), "nothing was refused");
    all.join("\n")
}

fn yard(project: &Project) -> Yard {
    let (plot, faults) = place(project);
    assert!(faults.is_empty(), "{faults:?}");
    assemble(project, Arc::new(plot), Vec::new(), Arc::new(Transplanting::default()))
}

/// Half a metre of evapotranspiration in the summer half, rain in winter.
fn year() -> Year {
    let mut year = Year { reference: [0.02; 12], rain: [0.1; 12], known: (true, true) };
    for month in 4..9 {
        year.reference[month] = 0.14;
        year.rain[month] = 0.0;
    }
    year
}

fn with<T>(property: &str, design: &str, look: impl FnOnce(&WaterStudy<'_>) -> T) -> T {
    let project = project(property, design);
    let yard = yard(&project);
    look(&study(&project, &yard, &|_| Some(8.0), year()))
}

fn of_rule(all: &[Finding], id: &str) -> Finding {
    let told: Vec<&str> = all.iter().map(|finding| finding.rule.id).collect();
    all.iter().find(|finding| finding.rule.id == id).unwrap_or_else(|| panic!("no {id} in {told:?}")).clone()
}

fn near(found: f64, wanted: f64, share: f64) {
    assert!((found - wanted).abs() <= share * wanted.abs(), "{found} is not {wanted}");
}

#[test]
fn without_waterings_the_study_is_silent() {
    with(SUPPLY, "", |study| {
        assert!(study.findings().is_empty());
        assert!(study.quantities().is_empty() && study.tasks().is_empty() && study.tables().is_empty());
        assert!(study.marks(When::years(0.0)).is_empty());
    });
}

#[test]
fn zones_keep_to_the_supply_and_close() {
    with(SUPPLY, &format!("{LAWN}{BEDS}"), |study| {
        let usable = study.source.as_ref().map(|source| source.usable.flow).unwrap_or_default();
        assert!(study.zones.len() >= 2);
        for zone in &study.zones {
            let plan = zone.plan().expect("piped");
            assert!(zone.piped.is_ok(), "{} is short", zone.tag());
            assert!(plan.flow <= usable * 1.0001, "{} takes {} of {usable}", zone.tag(), plan.flow);
            assert!(plan.open < 1e-6, "{} leaves {} open", zone.tag(), plan.open);
            let worst = zone.worst().expect("outlets");
            assert!(worst.1 >= zone.outlets[worst.0].needed);
            if let Some(setting) = zone.kit.setting {
                near(plan.behind_valve, setting, 1e-6);
            }
            let (cost, bound) = plan.quality;
            assert!(cost >= bound * (1.0 - 1e-9));
        }
        // Every area hangs on a zone, and its outlets together are what is laid.
        for (i, run) in study.areas.iter().enumerate() {
            let outlets = study.zones.iter().flat_map(|zone| &zone.outlets).filter(|o| o.of.0 == i);
            let laid = match &run.layout {
                Layout::Heads { heads, .. } => heads.len(),
                _ => 1,
            };
            assert_eq!(outlets.count(), laid, "{}", run.label);
        }
    });
}

/// Bucket and gauge: the flow at 30 psi by the rule of hydrant tests, by hand.
#[test]
fn the_flow_test_limits_the_zones() {
    let supply = format!("{SUPPLY}flowing_pressure = \"50 psi\"\n");
    with(&supply, LAWN, |study| {
        let usable = study.source.as_ref().map(|source| source.usable.flow).unwrap_or_default();
        let tested = 10.0 * GALLON_PER_MINUTE;
        near(usable, tested * ((60.0 - 30.0) / (60.0 - 50.0_f64)).powf(0.54), 1e-4);
    });
}

/// A bubbler at the end of one pipe: friction by Hazen and Williams in its printed form
/// h = 10.67 L Q^1.852 / (C^1.852 d^4.87), losses of parts off their curves, fittings as v²/2g.
#[test]
fn pressure_at_the_end_is_that_of_the_printed_formula() {
    let design = "[[planting]]\nid = \"maple\"\nrole = \"specimen\"\nplant = \"acer-circinatum\"\nsize = \"#5\"\nin = \"bed north\"\nat = [[33, 19]]\n\
        [[watering]]\nid = \"tree\"\nareas = [\"planting maple\"]\nmethod = \"bubbler\"\n";
    let project = project(SUPPLY, design);
    let yard = planted(&project);
    let study = study(&project, &yard, &|_| None, year());
    assert_eq!(study.zones.len(), 1);
    let (zone, main) = (&study.zones[0], study.main.as_ref().expect("main"));
    let plan = zone.plan().expect("piped");
    let flow = plan.flow;
    let curve = |part: &groundwright_plan::stock::WaterPart| {
        let pair = part.curve.windows(2).find(|pair| flow <= pair[1].0).expect("on the curve");
        // Below the first point the line runs to nothing.
        let (a, b) = if flow < pair[0].0 { ((0.0, 0.0), pair[0]) } else { (pair[0], pair[1]) };
        a.1 + (b.1 - a.1) * (flow - a.0) / (b.0 - a.0)
    };
    let lost = |length: f64, size: usize, minor: f64| {
        let pipe = study.pipes[size];
        let head =
            10.67 * length * flow.powf(1.852) / (pipe.coefficient.powf(1.852) * pipe.inside.powf(4.87));
        let speed = flow / (TAU / 8.0 * pipe.inside * pipe.inside);
        head + minor * speed * speed / (2.0 * 9.80665)
    };
    let mut head = 0.0;
    for (i, node) in main.nodes.iter().enumerate().skip(1) {
        head += lost(node.length, main.sizes[i], 0.9);
    }
    for (i, node) in plan.nodes.iter().enumerate().skip(1) {
        head += lost(node.length.max(0.02), plan.sizes[i], 0.9);
    }
    let parts = curve(zone.kit) + study.preventer.map_or(0.0, |(part, _)| curve(part));
    let expected = 60.0 * PSI - head * 9806.65 - parts;
    near(plan.pressures[0], expected, 2e-3);
}

/// Places the plantings too.
fn planted(project: &Project) -> Yard {
    use groundwright_yard::{arrange, prepare};
    let (plot, faults) = place(project);
    assert!(faults.is_empty(), "{faults:?}");
    let arrangements = project
        .design
        .plantings
        .iter()
        .map(|planting| {
            let ready = prepare(project, &plot, planting).expect("prepared");
            Arc::new(arrange(&ready, &[]).expect("laid"))
        })
        .collect();
    assemble(project, Arc::new(plot), arrangements, Arc::new(Transplanting::default()))
}

#[test]
fn no_head_throws_over_walk_or_house() {
    let beside = "[[lawn]]\nid = \"strip\"\nkind = \"keep\"\noutline = [[12, 13], [18.9, 13], [18.9, 19.9], [12, 19.9]]\n";
    let design = format!("{beside}[[watering]]\nid = \"w\"\nareas = [\"lawn strip\"]\nmethod = \"spray\"\n");
    with(SUPPLY, &design, |study| {
        let dry: Vec<RegionIndex> = study.yard.plot.hard().map(RegionIndex::new).collect();
        let house = RegionIndex::new(&study.yard.plot.buildings[0].whole);
        let Layout::Heads { heads, .. } = &study.areas[0].layout else { panic!("no heads") };
        assert!(heads.len() >= 3);
        for head in heads {
            for (i, share) in (0..60).flat_map(|i| [0.3, 0.6, 0.98].map(|share| (i, share))) {
                let angle = head.start + head.sweep * (0.01 + 0.98 * f64::from(i) / 59.0);
                let at = head.at + Vec2::new(angle.cos(), angle.sin()) * (head.throw * share);
                assert!(!dry.iter().any(|region| region.contains(at)), "{at:?} is paved");
                assert!(!house.contains(at), "{at:?} is the house");
            }
        }
    });
}

#[test]
fn every_place_of_a_bed_lies_near_a_line() {
    with(SUPPLY, BEDS, |study| {
        for run in &study.areas {
            let Layout::Lines { rows, product, .. } = &run.layout else { panic!("no line") };
            let spacing = study.project.practice.water_drip_rows;
            let bounds = run.region.bounds().expect("a bed");
            let index = RegionIndex::new(&run.region);
            let mut looked = 0;
            for k in 0..400 {
                let at = Point::new(
                    bounds.x0 + bounds.width() * (f64::from(k % 20) + 0.5) / 20.0,
                    bounds.y0 + bounds.height() * (f64::from(k / 20) + 0.5) / 20.0,
                );
                if index.signed_distance(at) < 0.1 {
                    continue;
                }
                looked += 1;
                let away = rows.rings.iter().map(|ring| distance(ring, at)).fold(f64::INFINITY, f64::min);
                assert!(away <= spacing * 0.75, "{at:?} lies {away} m from a line");
            }
            assert!(looked > 100);
            // What is laid is what flows.
            let zone = study.zones.iter().find(|z| z.outlets.iter().any(|o| o.flow > 0.0)).expect("zone");
            assert!(zone.kit.setting.is_some());
            let flow = product.flow * rows.emitters as f64;
            let mine: f64 = study
                .zones
                .iter()
                .flat_map(|z| &z.outlets)
                .filter(|o| study.areas[o.of.0].element == run.element)
                .map(|o| o.flow)
                .sum();
            near(mine, flow, 1e-9);
        }
    });
}

fn distance(ring: &[Point], at: Point) -> f64 {
    let next = ring.iter().skip(1).chain(ring.first());
    ring.iter()
        .zip(next)
        .map(|(a, b)| {
            let way = *b - *a;
            let t = ((at - *a).dot(way) / way.hypot2().max(1e-12)).clamp(0.0, 1.0);
            (*a + way * t).distance(at)
        })
        .fold(f64::INFINITY, f64::min)
}

/// The worksheet of the ordinance by hand: 0.62 × inches × square feet, in gallons.
#[test]
fn the_budget_is_that_of_the_worksheet() {
    with(SUPPLY, LAWN, |study| {
        let budget = study.budget.as_ref().expect("a budget");
        let square_feet = 108.0 / (0.3048 * 0.3048);
        let inches = (7.0 * 0.02 + 5.0 * 0.14) / 0.0254;
        let gallon = 0.003_785_411_784;
        near(budget.allowance, 0.62 * inches * 0.55 * square_feet * gallon, 1e-3);
        near(budget.use_total, 0.62 * inches * 0.8 / 0.75 * square_feet * gallon, 1e-3);
        assert!(!budget.passes);
        of_rule(&study.findings(), "water.budget");
    });
}

#[test]
fn zones_run_on_allowed_days_and_spread_over_them() {
    let supply = format!("{SUPPLY}watering_days = [\"Tue\", \"Saturday\"]\n");
    with(&supply, &format!("{LAWN}{BEDS}"), |study| {
        let mut runs = 0;
        for zone in &study.zones {
            let schedule = zone.schedule.as_ref().expect("scheduled");
            assert_eq!(schedule.grown.len(), 12);
            for line in schedule.grown.iter().chain(&schedule.first) {
                for (day, runs_then) in line.weekdays.iter().enumerate() {
                    assert!(!runs_then || day == 1 || day == 5, "runs on day {day}");
                    runs += usize::from(*runs_then);
                }
            }
            assert!(schedule.grown[0].volume <= 1e-12, "winter rain is enough");
            assert!(schedule.grown[6].volume > 0.0);
        }
        assert!(runs > 10);
        // Two lines of one run each share the week.
        let mut two = [
            study.zones[0].schedule.as_ref().expect("scheduled").grown[6].clone(),
            study.zones[0].schedule.as_ref().expect("scheduled").grown[6].clone(),
        ];
        for line in &mut two {
            line.weekdays = [false, true, false, false, false, false, false];
        }
        let [a, b] = &mut two;
        stagger(&mut [a, b], [false, true, false, false, false, true, false]);
        assert_ne!(two[0].weekdays, two[1].weekdays);
    });
}

#[test]
fn takeoff_and_drawing_agree() {
    with(SUPPLY, &format!("{LAWN}{BEDS}"), |study| {
        let quantities = study.quantities();
        let marks = study.marks(When::years(0.0));
        let amount = |start: &str| {
            quantities.iter().filter(|q| q.item.starts_with(start)).map(|q| q.amount.value).sum::<f64>()
        };
        let drawn = marks.iter().filter(|m| m.layer.name == "WATER-HEAD").count();
        near(amount("sprinkler/"), drawn as f64, 1e-12);
        let length: f64 = marks
            .iter()
            .filter(|mark| mark.layer.name == "WATER-DRIP-LINE")
            .filter_map(|mark| match &mark.shape {
                Shape::Path { path, .. } => Some(path_length(path)),
                _ => None,
            })
            .sum();
        near(amount("drip/drip-line"), length, 1e-6);
        near(amount("water-part/drip-valve") + amount("water-part/valve"), study.zones.len() as f64, 1e-12);
        let routed: f64 =
            study.main.as_ref().map_or(0.0, |main| main.nodes.iter().map(|n| n.length).sum::<f64>())
                + study
                    .zones
                    .iter()
                    .filter_map(|z| z.plan())
                    .flat_map(|p| &p.nodes)
                    .map(|n| n.length)
                    .sum::<f64>();
        near(amount("pipe/"), routed, 1e-9);
    });
}

fn path_length(path: &groundwright_geometry::BezPath) -> f64 {
    let mut ends: Vec<(Point, Point)> = Vec::new();
    let mut first = Point::ZERO;
    let mut last = Point::ZERO;
    for element in path.elements() {
        use kurbo::PathEl;
        match element {
            PathEl::MoveTo(at) => (first, last) = (*at, *at),
            PathEl::LineTo(at) => {
                ends.push((last, *at));
                last = *at;
            }
            PathEl::ClosePath => ends.push((last, first)),
            other => panic!("{other:?} in a drip line"),
        }
    }
    ends.iter().map(|(a, b)| a.distance(*b)).sum()
}

#[test]
fn pipe_keeps_out_of_the_house() {
    with(SUPPLY, &format!("{LAWN}{BEDS}"), |study| {
        let inside = RegionIndex::new(&study.yard.plot.buildings[0].whole.grow(-0.9));
        let main = study.main.as_ref().expect("main");
        let stretches = study.zones.iter().filter_map(|z| z.plan()).flat_map(|p| &p.stretches);
        for stretch in main.stretches.iter().chain(stretches) {
            let middle = stretch.ends.0.midpoint(stretch.ends.1);
            assert!(!inside.contains(middle), "{middle:?}");
        }
    });
}

#[test]
fn what_is_wrong_is_told() {
    // No supply at all: areas are laid out, nothing is piped.
    with("", LAWN, |study| {
        assert!(study.zones.is_empty());
        of_rule(&study.findings(), "water.no-supply");
    });
    // Nobody held a gauge.
    with("[supply]\nat = [24, 19]\n", LAWN, |study| {
        of_rule(&study.findings(), "water.supply-assumed");
    });
    // A rotor that wants 45 psi far from a supply of 42 psi in thin pipe.
    let weak = "[supply]\nat = [24, 19]\nstatic_pressure = \"31 psi\"\nbucket = \"5 gal\"\nseconds = 30\n";
    let far =
        "[[watering]]\nid = \"w\"\nareas = [\"lawn green\"]\nmethod = \"rotor\"\nproduct = \"rotor-30\"\n";
    with(weak, far, |study| {
        let finding = of_rule(&study.findings(), "water.pressure-low");
        assert!(!finding.remedies.is_empty());
    });
    // Heads cannot water a planting.
    let trees = "[[watering]]\nid = \"w\"\nareas = [\"tree oak\"]\nmethod = \"spray\"\n";
    with(SUPPLY, trees, |study| {
        of_rule(&study.findings(), "water.nothing-fits");
    });
    // Summer water under the oak.
    with(SUPPLY, "[[watering]]\nid = \"w\"\nareas = [\"bed oak-bed\"]\n", |study| {
        of_rule(&study.findings(), "water.under-dry-tree");
    });
    with(SUPPLY, LAWN, |study| {
        of_rule(&study.findings(), "water.backflow");
    });
}

#[test]
fn text_that_cannot_be_is_refused_with_a_remedy() {
    let upside = format!("{SUPPLY}flowing_pressure = \"70 psi\"\n");
    assert!(refused(&upside, LAWN).contains("does not fall when water flows"));
    let days = format!("{SUPPLY}watering_days = [\"Someday\"]\n");
    assert!(refused(&days, LAWN).contains("no day of the week"));
    let short = format!("{SUPPLY}[climate]\nrain = [\"1 in\", \"2 in\"]\n");
    assert!(refused(&short, LAWN).contains("this list has 2 values"));
    assert!(refused(SUPPLY, "[[watering]]\nid = \"w\"\n").contains("it waters nothing"));
    let product = "[[watering]]\nid = \"w\"\nareas = [\"lawn green\"]\nproduct = \"spray-16\"\n";
    assert!(refused(SUPPLY, product).contains("spray-1"));
    let gone = "[[watering]]\nid = \"w\"\nareas = [\"bed west\"]\n";
    assert!(refused(SUPPLY, gone).contains("west"));
}

#[test]
fn heads_stand_where_they_are_told() {
    let told = "[[watering]]\nid = \"w\"\nareas = [\"lawn green\"]\nmethod = \"spray\"\nproduct = \"spray-15\"\n\
        heads = [[3.1, 3.1], [14.9, 3.1], [14.9, 11.9], [3.1, 11.9], [9, 7.5]]\n";
    with(SUPPLY, told, |study| {
        let Layout::Heads { heads, .. } = &study.areas[0].layout else { panic!("no heads") };
        assert_eq!(heads.len(), 5);
        assert!(heads.iter().any(|head| head.at.distance(Point::new(9.0, 7.5)) < 1e-6 && head.sweep > 6.0));
        // In a corner the sector is the corner's.
        let corner = heads.iter().find(|head| head.at.distance(Point::new(3.1, 3.1)) < 1e-6).expect("corner");
        near(corner.sweep, TAU / 4.0, 0.15);
    });
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    /// More pressure in the main never leaves less at the worst head; every zone keeps to the supply.
    #[test]
    fn more_pressure_is_never_less(low in 40.0..60.0_f64, more in 1.0..25.0_f64, width in 5.0..12.0_f64) {
        let lawn = format!("[[lawn]]\nid = \"l\"\nkind = \"keep\"\noutline = [[3, 13], [{}, 13], [{}, 20], [3, 20]]\n\
            [[watering]]\nid = \"w\"\nareas = [\"lawn l\"]\nmethod = \"spray\"\nproduct = \"spray-12\"\n", 3.0 + width, 3.0 + width);
        let worst = |pressure: f64| {
            let supply = format!("[supply]\nat = [24, 19]\nstatic_pressure = \"{pressure} psi\"\nbucket = \"5 gal\"\nseconds = 30\n");
            with(&supply, &lawn, |study| {
                let usable = study.source.as_ref().map(|s| s.usable.flow).unwrap_or_default();
                for zone in &study.zones {
                    assert!(zone.flow <= usable * (1.0 + 1e-9) || zone.outlets.len() == 1);
                }
                study.zones.iter().filter_map(groundwright_water::ZoneRun::worst).map(|w| w.1).fold(f64::INFINITY, f64::min)
            })
        };
        prop_assert!(worst(low + more) >= worst(low) - 1.0);
    }
}
