//! Networks against another engine's answers, and against the laws of continuity and energy.

use std::time::Instant;

use groundwright_units::constants::{FOOT, GALLON_PER_MINUTE, INCH, PSI};
use groundwright_water::{
    Droop, Emitter, Flag, Fluid, Friction, Link, Network, NetworkError, Node, Part, PumpCurve, Solution,
    Supply, Turbulent, USUAL_LIMIT, WATER, solve,
};
use proptest::prelude::*;
use serde_json::Value;

/// Sources: `tests/data/README.md`.
const NETWORKS: &str = include_str!("../data/pipe-networks.json");
const RANDOM: &str = include_str!("../data/random-networks.jsonl");

fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or(0.0)
}

fn pipe(from: usize, to: usize, length: f64, diameter: f64) -> Link {
    let friction = Friction::HazenWilliams(150.0);
    let part = Part::Pipe { length, diameter, friction, minor: 0.0 };
    Link { name: format!("{from}-{to}"), from, to, part }
}

fn link(from: usize, to: usize, part: Part) -> Link {
    Link { name: format!("{from}-{to}"), from, to, part }
}

fn supply(head: f64) -> Node {
    Node { supply: Some(Supply { head, droop: None }), ..Node::joint("supply", 0.0) }
}

fn outlet(name: &str, elevation: f64, flow: f64, pressure: f64) -> Node {
    let emitter = Emitter::rated(flow, pressure, 0.5).unwrap();
    Node { emitter: Some(emitter), ..Node::joint(name, elevation) }
}

fn of(nodes: Vec<Node>, links: Vec<Link>) -> Network {
    Network { nodes, links, fluid: WATER }
}

/// Water closes at every node and head round every loop.
fn assert_closed(solution: &Solution) {
    let balance = &solution.balance;
    assert!(balance.open_flow <= 1e-9 * balance.supplied + 2e-8, "{balance:?}");
    assert!((balance.supplied - balance.delivered).abs() <= 1e-6 * balance.supplied + 1e-7, "{balance:?}");
    assert!(balance.open_loop < 1e-6, "{balance:?}");
    assert!(balance.open_head < 1e-6, "{balance:?}");
}

/// Three networks of EPANET 2.2 with the file's 0.4333 psi to the foot: 0.05 psi and 0.3 % of flow.
#[test]
fn worked_networks_agree() {
    let file: Value = serde_json::from_str(NETWORKS).unwrap();
    let psi_per_foot = number(&file["units"], "psi_per_ft");
    let fluid = Fluid { specific_weight: psi_per_foot * PSI / FOOT, ..WATER };
    for case in file["networks"].as_array().unwrap() {
        let mut nodes = vec![Node { name: "S".into(), ..supply(number(&case["source"], "head_ft") * FOOT) }];
        for node in case["nodes"].as_array().unwrap() {
            let mut made = Node::joint(node["id"].as_str().unwrap(), number(node, "elev_ft") * FOOT);
            made.demand = number(node, "demand_gpm") * GALLON_PER_MINUTE;
            made.emitter =
                node["k"].as_f64().map(|k| Emitter::rated(k * GALLON_PER_MINUTE, PSI, 0.5).unwrap());
            nodes.push(made);
        }
        let index = |id: &Value| nodes.iter().position(|node| node.name == id.as_str().unwrap()).unwrap();
        let links: Vec<Link> = case["pipes"]
            .as_array()
            .unwrap()
            .iter()
            .map(|pipe| Link {
                name: pipe["id"].as_str().unwrap().into(),
                from: index(&pipe["from"]),
                to: index(&pipe["to"]),
                part: Part::Pipe {
                    length: number(pipe, "length_ft") * FOOT,
                    diameter: number(pipe, "id_in") * INCH,
                    friction: Friction::HazenWilliams(number(pipe, "C")),
                    minor: number(pipe, "minor_k"),
                },
            })
            .collect();
        let network = Network { nodes, links, fluid };
        let solution = solve(&network).unwrap();
        assert_closed(&solution);
        for (i, node) in case["nodes"].as_array().unwrap().iter().enumerate() {
            let state = solution.nodes[i + 1];
            let psi = state.pressure / PSI;
            assert!((psi - number(node, "expect_psi")).abs() < 0.002, "{node}: {psi}");
            assert!((state.head / FOOT - number(node, "expect_head_ft")).abs() < 0.004, "{node}");
            let out = state.outflow / GALLON_PER_MINUTE;
            assert!((out - number(node, "expect_outflow_gpm")).abs() < 0.0003, "{node}: {out}");
        }
        let mut fast = Vec::new();
        for (i, pipe) in case["pipes"].as_array().unwrap().iter().enumerate() {
            let state = solution.links[i];
            let (gpm, fps) = (state.flow / GALLON_PER_MINUTE, state.velocity / FOOT);
            assert!((gpm - number(pipe, "expect_gpm")).abs() < 0.001, "{pipe}: {gpm}");
            assert!((fps - number(pipe, "expect_fps")).abs() < 0.001, "{pipe}: {fps}");
            if state.velocity > USUAL_LIMIT {
                fast.push(pipe["id"].as_str().unwrap());
            }
        }
        let total = solution.balance.supplied / GALLON_PER_MINUTE;
        assert!((total - number(case, "expect_total_gpm")).abs() < 0.001, "{total}");
        assert_eq!(fast, if case["id"] == "B" { vec!["m2"] } else { vec![] });
    }
}

fn random_network(case: &Value, viscosity: f64) -> Network {
    let fluid = Fluid { viscosity, ..WATER };
    let float = |value: &Value| value.as_f64().unwrap();
    let exponent = float(&case["exponent"]);
    let mut nodes: Vec<Node> = case["nodes"]
        .as_array()
        .unwrap()
        .iter()
        .enumerate()
        .map(|(i, node)| {
            let k = float(&node[2]);
            let emitter = (k > 0.0).then(|| Emitter::rated(k, fluid.pressure(1.0), exponent).unwrap());
            Node { emitter, demand: float(&node[1]), ..Node::joint(format!("{i}"), float(&node[0])) }
        })
        .collect();
    nodes[0].supply = Some(Supply { head: float(&case["supply"]), droop: None });
    let rough = float(&case["rough"]);
    let friction = if case["friction"] == "H-W" {
        Friction::HazenWilliams(rough)
    } else {
        Friction::DarcyWeisbach(rough, Turbulent::SwameeJain)
    };
    let mut links = Vec::new();
    for row in case["links"].as_array().unwrap() {
        let at = |k: usize| float(&row[k]);
        let (from, mut to) = (row[0].as_u64().unwrap() as usize, row[1].as_u64().unwrap() as usize);
        let part = match row[2].as_str().unwrap() {
            "pump" => Part::Pump(PumpCurve::through(at(3), (at(4), at(5)), (at(6), at(7))).unwrap()),
            "regulator" => Part::Regulator { setting: fluid.pressure(at(3)), diameter: at(4), minor: at(5) },
            kind => {
                if kind == "check" {
                    // The engine's pipe with a check valve: a check valve without loss, then the pipe.
                    nodes.push(Node::joint("behind", nodes[to].elevation));
                    let part = Part::CheckValve { diameter: at(4), minor: 0.0 };
                    links.push(link(nodes.len() - 1, to, part));
                    to = nodes.len() - 1;
                }
                Part::Pipe { length: at(3), diameter: at(4), friction, minor: at(5) }
            }
        };
        links.push(link(from, to, part));
    }
    Network { nodes, links, fluid }
}

/// 200 random networks, looped and branched, with pumps, regulators and check valves, of another
/// engine: every pressure within 0.1 % of the head at the supply, in the mean far below.
#[test]
fn random_networks_agree_with_another_engine() {
    let mut lines = RANDOM.lines();
    let header: Value = serde_json::from_str(lines.next().unwrap()).unwrap();
    let viscosity = number(&header, "viscosity_m2_per_s");
    let (mut checked, mut worst, mut looped, mut regulated) = (0, 0.0_f64, 0, 0);
    for line in lines {
        let case: Value = serde_json::from_str(line).unwrap();
        let network = random_network(&case, viscosity);
        let solution = solve(&network).unwrap_or_else(|e| panic!("{}: {e}", case["seed"]));
        assert_closed(&solution);
        for (i, head) in case["heads"].as_array().unwrap().iter().enumerate().skip(1) {
            let pressure = head.as_f64().unwrap() - network.nodes[i].elevation;
            let ours = solution.nodes[i].head - network.nodes[i].elevation;
            let off = (ours - pressure).abs() / pressure;
            worst = worst.max(off);
            assert!(off < 0.001, "seed {}, node {i}: {ours} m against {pressure} m", case["seed"]);
        }
        looped += usize::from(solution.balance.loops > 0);
        regulated += usize::from(network.links.iter().any(|l| matches!(l.part, Part::Regulator { .. })));
        checked += 1;
    }
    assert_eq!(checked, 200);
    assert!(looped > 30 && regulated > 15, "{looped} {regulated}");
    println!("largest difference of pressure {:.4} %", worst * 100.0);
}

/// One pipe to one nozzle, by hand: the flow solves H = r Q^1.852 + (Q/k)².
#[test]
fn a_supply_that_falls_meets_a_nozzle() {
    let droop = Droop { coefficient: 2e6, exponent: 1.852 };
    let mut source = supply(40.0);
    source.supply = Some(Supply { head: 40.0, droop: Some(droop) });
    let network = of(vec![source, outlet("head", 1.0, 2e-4, 200e3)], vec![pipe(0, 1, 12.0, 0.0209)]);
    let solution = solve(&network).unwrap();
    assert_closed(&solution);
    let flow = solution.links[0].flow;
    let fall = 2e6 * flow.powf(1.852);
    assert!((solution.nodes[0].head - (40.0 - fall)).abs() < 1e-5, "{fall}");
    let pressure = solution.nodes[1].pressure;
    assert!((flow - 2e-4 * (pressure / 200e3).sqrt()).abs() < 1e-9);
    assert!((WATER.head(pressure) + 1.0 - solution.nodes[1].head).abs() < 1e-9);
}

/// A regulator holds its pressure, opens when too little comes, and shuts against a better supply.
#[test]
fn a_regulator_works_opens_and_shuts() {
    let regulator = |setting| Part::Regulator { setting, diameter: 0.0266, minor: 2.0 };
    let network = |head, setting| {
        of(
            vec![
                supply(head),
                Node::joint("before", 0.0),
                Node::joint("after", 0.0),
                outlet("a", 0.5, 2e-4, 2e5),
            ],
            vec![pipe(0, 1, 20.0, 0.0266), link(1, 2, regulator(setting)), pipe(2, 3, 10.0, 0.0209)],
        )
    };
    let held = solve(&network(60.0, 250e3)).unwrap();
    assert_closed(&held);
    assert!((held.nodes[2].pressure - 250e3).abs() < 1e-3, "{}", held.nodes[2].pressure);
    assert!(held.nodes[1].pressure > 400e3);
    let weak = solve(&network(20.0, 250e3)).unwrap();
    assert_closed(&weak);
    assert!(weak.nodes[2].pressure < 200e3 && weak.links[1].flow > 1e-4);
    let mut backed = network(30.0, 150e3);
    backed.nodes.push(supply(50.0));
    backed.links.push(pipe(4, 2, 5.0, 0.0266));
    let backed = solve(&backed).unwrap();
    assert!(backed.links[1].flow.abs() < 1e-12, "{:?}", backed.links[1]);
    assert!(backed.nodes[2].pressure > 300e3);
}

/// A check valve lets nothing back into a lower supply; a regulated outlet passes no more than it should.
#[test]
fn what_must_not_flow_does_not() {
    let mut low = supply(10.0);
    low.name = "low".into();
    let mut head = outlet("regulated", 0.0, 1e-4, 2e5);
    head.emitter.as_mut().unwrap().regulated_above = Some(2e5);
    let network = of(
        vec![supply(40.0), low, head],
        vec![pipe(0, 2, 5.0, 0.0209), link(1, 2, Part::CheckValve { diameter: 0.0209, minor: 2.0 })],
    );
    let solution = solve(&network).unwrap();
    assert!(solution.links[1].flow.abs() < 1e-7, "{:?}", solution.links[1]);
    assert!((solution.nodes[2].outflow - 1e-4).abs() < 1e-7, "{}", solution.nodes[2].outflow);
}

#[test]
fn what_has_no_answer_says_why() {
    let head = || outlet("head 3", 0.0, 1e-4, 2e5);
    let valve = |open| Part::Valve { diameter: 0.02, minor: 5.0, open };
    let dry = of(vec![Node::joint("a", 0.0), head()], vec![pipe(0, 1, 5.0, 0.02)]);
    assert_eq!(solve(&dry), Err(NetworkError::NoSupply));
    let alone = of(vec![supply(30.0), Node::joint("a", 0.0), head()], vec![pipe(0, 1, 5.0, 0.02)]);
    let said = solve(&alone).unwrap_err().to_string();
    assert!(said.contains("`head 3` is not joined to any supply"), "{said}");
    let closed = of(vec![supply(30.0), head()], vec![link(0, 1, valve(false))]);
    let said = solve(&closed).unwrap_err().to_string();
    assert!(said.contains("shut valves cut `head 3` off"), "{said}");
    let mut bad = of(vec![supply(30.0), head()], vec![pipe(0, 1, f64::NAN, 0.02)]);
    let said = solve(&bad).unwrap_err().to_string();
    assert!(said.contains("0-1: the length is NaN m"), "{said}");
    bad.links[0].to = 7;
    let said = solve(&bad).unwrap_err().to_string();
    assert!(said.contains("ends at node 7, but there are 2"), "{said}");
    bad.links[0].to = 0;
    assert!(solve(&bad).unwrap_err().to_string().contains("begins and ends at `supply`"));
    let twice = Part::Regulator { setting: 2e5, diameter: 0.02, minor: 0.0 };
    let twice = of(vec![supply(30.0), head()], vec![link(0, 1, twice.clone()), link(0, 1, twice)]);
    assert!(solve(&twice).unwrap_err().to_string().contains("whose pressure something else holds"));
}

/// One zone open and one shut is a system at work; the shut zone is out of service.
#[test]
fn a_shut_zone_is_out_of_service_and_bad_pressures_are_flagged() {
    let valve = |open| Part::Valve { diameter: 0.02, minor: 5.0, open };
    let mut high = outlet("on the hill", 28.0, 1e-4, 2e5);
    high.emitter.as_mut().unwrap().range = Some((150e3, 300e3));
    let mut over = Node::joint("crest", 45.0);
    over.demand = 1e-5;
    let network = of(
        vec![supply(30.0), high, outlet("in the shut zone", 0.0, 1e-4, 2e5), over],
        vec![link(0, 1, valve(true)), link(0, 2, valve(false)), pipe(1, 3, 5.0, 0.0209)],
    );
    let solution = solve(&network).unwrap();
    assert!(solution.nodes[2].shut && solution.nodes[2].outflow.abs() < f64::EPSILON);
    let kinds: Vec<bool> = [
        solution.flags.iter().any(|f| matches!(f, Flag::OutOfRange { node, .. } if node == "on the hill")),
        solution.flags.iter().any(|f| matches!(f, Flag::Shut { node } if node == "in the shut zone")),
        solution.flags.iter().any(|f| matches!(f, Flag::NegativePressure { node, .. } if node == "crest")),
    ]
    .into();
    assert_eq!(kinds, [true; 3], "{:?}", solution.flags);
}

/// A pump between two tanks: the flow at which its head meets lift and friction.
#[test]
fn a_pump_works_where_its_curve_meets_the_system() {
    let curve = PumpCurve::through(40.0, (1e-3, 35.0), (2e-3, 20.0)).unwrap();
    assert!((curve.power - 2.0).abs() < 1e-12);
    let network = of(
        vec![supply(0.0), Node::joint("after", 0.0), supply(20.0)],
        vec![link(0, 1, Part::Pump(curve)), pipe(1, 2, 50.0, 0.0351)],
    );
    let solution = solve(&network).unwrap();
    assert_closed(&solution);
    let flow = solution.links[0].flow;
    let left = curve.head(flow) - 20.0 - solution.links[1].loss;
    assert!(flow > 1e-3 && left.abs() < 1e-5, "{flow} {left}");
}

/// A zone of heads in rows off a main; `loops` ties the ends of the rows together.
fn grid(rows: usize, columns: usize, flow: f64, looped: bool) -> Network {
    let mut nodes = vec![supply(60.0)];
    let mut links = Vec::new();
    for row in 0..rows {
        for column in 0..columns {
            let node = 1 + row * columns + column;
            nodes.push(outlet(&format!("{row}.{column}"), 0.1 * (row % 7) as f64, flow, 2e5));
            let before = match (row, column) {
                (0, 0) => 0,
                (_, 0) => node - columns,
                _ => node - 1,
            };
            links.push(pipe(before, node, 4.0, if column == 0 { 0.15 } else { 0.03 }));
            if looped && row > 0 && column > 0 {
                links.push(pipe(node - columns, node, 4.0, 0.03));
            }
        }
    }
    of(nodes, links)
}

/// Times of this machine are in the report of the run; the limit leaves a wide margin.
#[test]
fn large_networks_are_solved_in_a_moment() {
    for (rows, columns, looped) in [(25, 40, false), (25, 40, true), (100, 100, false), (100, 100, true)] {
        let network = grid(rows, columns, 2e-5, looped);
        let begin = Instant::now();
        let solution = solve(&network).unwrap();
        let took = begin.elapsed();
        println!("{rows} x {columns}, looped {looped}: {took:?}, {} steps", solution.steps);
        assert_closed(&solution);
        assert_eq!(solution.balance.loops, if looped { (rows - 1) * (columns - 1) } else { 0 });
        assert!(took.as_secs_f64() < 5.0, "{took:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    /// Water closes at every node and head round every loop, whatever the sizes; and all flows are
    /// the same when the whole yard is lifted together with its supply.
    #[test]
    fn continuity_and_energy_close(
        rows in 1_usize..6, columns in 1_usize..6, looped: bool, flow in 1e-5..4e-4, lift in -30.0..30.0,
        bores in prop::collection::vec(0.012..0.06, 36), check: bool,
    ) {
        let mut network = grid(rows, columns, flow, looped);
        for (link, bore) in network.links.iter_mut().zip(bores.iter().cycle()) {
            if let Part::Pipe { diameter, .. } = &mut link.part {
                *diameter = *bore;
            }
        }
        if check {
            network.links[0].part = Part::CheckValve { diameter: 0.03, minor: 2.5 };
        }
        let solution = solve(&network).unwrap();
        assert_closed(&solution);
        let mut lifted = network.clone();
        for node in &mut lifted.nodes {
            node.elevation += lift;
            if let Some(supply) = &mut node.supply {
                supply.head += lift;
            }
        }
        let lifted = solve(&lifted).unwrap();
        for (a, b) in solution.links.iter().zip(&lifted.links) {
            prop_assert!((a.flow - b.flow).abs() < 1e-8, "{} {}", a.flow, b.flow);
        }
    }
}

fn any_part() -> impl Strategy<Value = Part> {
    let size = prop_oneof![40 => 0.005..0.1, 1 => Just(f64::NAN), 1 => Just(0.0), 1 => Just(-1.0)];
    let k = prop_oneof![9 => Just(0.0), 30 => 0.0..20.0, 1 => Just(f64::INFINITY)];
    prop_oneof![
        4 => (0.1..200.0, 0.008..0.1, 0.0..9.0).prop_map(|(length, diameter, minor)| Part::Pipe {
            length, diameter, friction: Friction::DarcyWeisbach(1e-6, Turbulent::ColebrookWhite), minor,
        }),
        2 => (size.clone(), k.clone(), any::<bool>()).prop_map(|(diameter, minor, open)| Part::Valve { diameter, minor, open }),
        1 => (0.01..0.1, 0.0..9.0).prop_map(|(diameter, minor)| Part::CheckValve { diameter, minor }),
        1 => (size, k, 1e3..9e5).prop_map(|(diameter, minor, setting)| Part::Regulator { setting, diameter, minor }),
        1 => (5.0..60.0, 1e4..1e7, 1.0..3.0)
            .prop_map(|(shutoff, fall, power)| Part::Pump(PumpCurve { shutoff, fall, power })),
        1 => any::<bool>().prop_map(|one_way| Part::Device { curve: vec![(0.0, 1.0), (1e-3, 4.0)], one_way }),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(6000))]
    /// Whatever is joined to whatever: an answer in finite numbers that closes, or an error in words.
    #[test]
    fn any_network_has_an_answer_or_an_error(
        parts in prop::collection::vec((any_part(), 0_usize..9, 0_usize..9), 1..14),
        outlets in prop::collection::vec((-5.0..30.0, 1e-6..1e-3, 0.1..1.5), 8), head in -5.0..90.0, second: bool,
    ) {
        let mut nodes = vec![supply(head)];
        for (elevation, flow, exponent) in outlets {
            let emitter = Some(Emitter::rated(flow, 2e5, exponent).unwrap());
            nodes.push(Node { emitter, ..Node::joint("n", elevation) });
        }
        if second {
            nodes[8] = supply(30.0);
        }
        // A chain keeps most of them joined; the parts lie across it.
        let mut links: Vec<Link> = (0..8).map(|i| pipe(i, i + 1, 8.0, 0.02)).collect();
        let apart = |(_, from, to): &(Part, usize, usize)| from != to;
        links.extend(parts.into_iter().filter(apart).map(|(part, from, to)| link(from, to, part)));
        let regulated = links.iter().any(|link| matches!(link.part, Part::Regulator { .. }));
        match solve(&of(nodes, links)) {
            Ok(solution) => {
                let finite = |x: f64| x.is_finite();
                prop_assert!(solution.nodes.iter().all(|n| finite(n.head) && finite(n.pressure) && finite(n.outflow)));
                prop_assert!(solution.links.iter().all(|l| finite(l.flow) && finite(l.velocity) && finite(l.loss)));
                let balance = &solution.balance;
                prop_assert!(balance.open_flow < 1e-6 + 1e-6 * balance.supplied.abs(), "{balance:?}");
                prop_assert!(balance.open_loop < 1e-3 && balance.open_head < 1e-3, "{balance:?}");
            }
            // Regulators that other ways lead round may find no rest; nothing else may fail to.
            Err(NetworkError::Unsettled { tries, left }) => prop_assert!(regulated, "{tries} {left}"),
            Err(problem) => prop_assert!(!problem.to_string().is_empty()),
        }
    }
}
