//! Circuits: worked networks, closed forms, laws of networks, bad input, speed.

use std::time::Instant;

use groundwright_light::conductor::{self, Gauge, SOIL_TEMPERATURE, TABLE_TEMPERATURE, trade_drop};
use groundwright_light::transformer::{USABLE_SHARE, loading, next_rating, run_loads};
use groundwright_light::{Cable, CircuitError, LampKind, Load, Network, Window, Wiring};
use groundwright_units::constants::{FOOT, ZERO_CELSIUS};
use proptest::prelude::*;
use serde_json::Value;

/// Source: `tests/data/README.md`.
const CIRCUITS: &str = include_str!("../data/lighting_circuits.json");

pub(crate) fn cases() -> Vec<Value> {
    let all: Value = serde_json::from_str(CIRCUITS).unwrap();
    all["circuits"].as_array().unwrap().clone()
}

fn network_of(case: &Value) -> Network {
    let mut joints: Vec<String> = vec![case["source_node"].as_str().unwrap().to_owned()];
    let temperature = case["R_temp_C"].as_f64().unwrap() + ZERO_CELSIUS;
    let mut cables = Vec::new();
    for segment in case["segments"].as_array().unwrap() {
        let mut index = |name: &Value| {
            let name = name.as_str().unwrap();
            joints.iter().position(|joint| joint == name).unwrap_or_else(|| {
                joints.push(name.to_owned());
                joints.len() - 1
            })
        };
        let gauge = Gauge::from_awg(segment[2].as_u64().unwrap() as u8).unwrap();
        cables.push(Cable {
            from: index(&segment[0]),
            to: index(&segment[1]),
            length: segment[3].as_f64().unwrap() * FOOT,
            resistance: conductor::resistance(gauge, temperature).unwrap(),
            splice: 0.0,
        });
    }
    let loads = case["loads"].as_array().unwrap().iter().map(|load| Load {
        joint: joints.iter().position(|joint| joint == load[0].as_str().unwrap()).unwrap(),
        kind: match load[1].as_str().unwrap() {
            "cp" => LampKind::ConstantPower,
            "z" => LampKind::Resistive,
            "fil" => LampKind::Filament,
            other => panic!("{other}"),
        },
        power: load[2].as_f64().unwrap(),
        rated_voltage: load[3].as_f64().unwrap_or(12.0),
    });
    let loads = loads.collect();
    Network { joints, source: 0, cables, loads }
}

/// Nodal Newton solutions of an independent script, confirmed by an independent power-flow library
/// to 5e-13 V; every printed digit of every node voltage and every current.
#[test]
fn worked_circuits_to_every_printed_digit() {
    let mut checked = 0;
    for case in cases() {
        let id = case["id"].as_str().unwrap();
        let expected = &case["expected"];
        let network = network_of(&case);
        let supply = case["source_V"].as_f64().unwrap();
        let wiring = network.clone().wiring().unwrap();
        if expected["solvable"] == false {
            continue;
        }
        let found = wiring.operate(supply).unwrap_or_else(|e| panic!("{id}: {e}"));
        for (name, voltage) in expected["node_V"].as_object().unwrap() {
            let joint = network.joints.iter().position(|joint| joint == name).unwrap();
            let ours = found.voltages[joint];
            assert!((ours - voltage.as_f64().unwrap()).abs() < 5.1e-6, "{id} {name}: {ours} and {voltage}");
        }
        for (cable, i) in network.cables.iter().zip(&found.cable_currents) {
            let name = format!("{}-{}", network.joints[cable.from], network.joints[cable.to]);
            let printed = expected["segment_A"][&name].as_f64().unwrap();
            assert!((i - printed).abs() < 5.1e-6, "{id} {name}: {i} and {printed}");
        }
        for (ours, key) in [
            (found.source_current * supply, "source_VA"),
            (found.balance.lamps, "load_W_total"),
            (found.balance.cables, "cable_loss_W"),
        ] {
            let printed = expected[key].as_f64().unwrap();
            assert!((ours - printed).abs() < 5.1e-5, "{id} {key}: {ours} and {printed}");
        }
        assert!(found.balance.residual().abs() < 1e-9, "{id}: {:?}", found.balance);
        let runs = run_loads(&wiring, &found);
        assert!((runs[0].lowest - expected["lowest_V_at_load"].as_f64().unwrap()).abs() < 5.1e-6, "{id}");
        assert!((runs[0].highest - expected["highest_V_at_load"].as_f64().unwrap()).abs() < 5.1e-6, "{id}");
        assert!((runs[0].current - found.source_current).abs() < 1e-9, "{id}");
        assert!((runs[0].power + runs[0].loss - found.balance.supplied).abs() < 1e-9, "{id}");
        checked += 1;
    }
    assert_eq!(checked, 12);
}

/// Closed form: a load at the end of R can take no more than V²/(4 R): 144/(4 × 1.996) = 18.036 W.
#[test]
fn the_limit_of_a_load_that_cannot_be_fed_is_the_closed_one() {
    let case = cases().into_iter().find(|case| case["expected"]["solvable"] == false).unwrap();
    let error = network_of(&case).wiring().unwrap().operate(12.0).unwrap_err();
    let CircuitError::NoWorkingPoint { limit, power, .. } = error else { panic!("{error}") };
    assert_eq!(power, 19.0);
    assert!((limit - 144.0 / (4.0 * 1.996)).abs() < 1e-3, "{limit}");
    assert!(error.to_string().contains("thicker cable"), "{error}");
}

/// The code handbook's column at 75 °C, and its reduction to 25 °C computed beside it, per 1000 ft.
#[test]
fn conductors_agree_with_the_table() {
    let rows = [
        (Gauge::Awg18, "7.95", "6.6661"),
        (Gauge::Awg16, "4.99", "4.1841"),
        (Gauge::Awg14, "3.14", "2.6329"),
        (Gauge::Awg12, "1.98", "1.6602"),
        (Gauge::Awg10, "1.24", "1.0397"),
        (Gauge::Awg8, "0.778", "0.6524"),
    ];
    for (gauge, hot, soil) in rows {
        let per_kft = |t| conductor::resistance(gauge, t).unwrap() * 1000.0 * FOOT;
        let decimals = hot.len() - hot.find('.').unwrap() - 1;
        assert_eq!(format!("{:.*}", decimals, per_kft(TABLE_TEMPERATURE)), hot, "{gauge:?}");
        assert_eq!(format!("{:.4}", per_kft(SOIL_TEMPERATURE)), soil, "{gauge:?}");
    }
    assert!(conductor::resistance(Gauge::Awg12, 25.0).is_err(), "25 K is no garden");
}

/// Worked example of a trade article: 80 W at 80 ft of 12 AWG, 6400/7500 = 0.853 V.
#[test]
fn the_trade_rule_agrees_with_its_worked_example() {
    assert_eq!(format!("{:.3}", trade_drop(Gauge::Awg12, 80.0, 80.0 * FOOT)), "0.853");
}

/// A trade magazine's worked example: 220 W over 0.8 is 275, next size 300.
#[test]
fn a_transformer_is_loaded_to_four_fifths() {
    assert_eq!(next_rating(&[150.0, 600.0, 300.0, 900.0], 220.0, USABLE_SHARE), Some(300.0));
    assert_eq!(next_rating(&[150.0], 220.0, USABLE_SHARE), None);
    let over = loading(300.0, 260.0, USABLE_SHARE).unwrap();
    assert!(!over.within_practice());
    assert!((over.spare + 20.0).abs() < 1e-12);
    assert!(loading(0.0, 10.0, USABLE_SHARE).unwrap_err().to_string().contains("rating"));
}

#[test]
fn a_lamp_without_a_window_is_refused() {
    for (low, high) in [(12.0, 11.0), (0.0, 12.0), (f64::NAN, 12.0), (11.0, f64::NAN), (11.0, f64::INFINITY)]
    {
        assert!(Window::new(low, high).is_err(), "{low} {high}");
    }
    let error = Window::new(12.0, 11.0).unwrap_err().to_string();
    assert_eq!(error, "highest voltage of the lamp is 11 V; expected a finite number above the lowest");
}

fn chain(n: usize, kind: LampKind, power: f64, length: f64) -> Network {
    let resistance = conductor::resistance(Gauge::Awg12, TABLE_TEMPERATURE).unwrap();
    Network {
        joints: (0..=n).map(|i| format!("L{i}")).collect(),
        source: 0,
        cables: (0..n).map(|i| Cable { from: i, to: i + 1, length, resistance, splice: 0.0 }).collect(),
        loads: (1..=n).map(|joint| Load { joint, kind, power, rated_voltage: 12.0 }).collect(),
    }
}

#[test]
fn bad_networks_are_refused_with_their_place() {
    let good = chain(4, LampKind::ConstantPower, 5.0, 3.0);
    let refused = |change: &dyn Fn(&mut Network)| {
        let mut network = good.clone();
        change(&mut network);
        network.wiring().unwrap_err().to_string()
    };
    let broken = refused(&|n| {
        n.cables.remove(1);
    });
    assert_eq!(
        broken,
        "no cable connects L2, L3, L4 with the supply; mend the break, or add the missing cable"
    );
    assert!(refused(&|n| n.loads.clear()).contains("no lamps"));
    assert!(refused(&|n| n.cables[2].to = 9).contains("cable 3 is at joint 9"));
    assert!(refused(&|n| n.loads[0].joint = 7).contains("lamp 1 is at joint 7"));
    assert!(refused(&|n| n.cables[0].to = 0).contains("to itself"));
    assert!(refused(&|n| n.cables[1].length = f64::NAN).contains("cable from L1 to L2: length is NaN m"));
    assert!(refused(&|n| n.loads[1].power = -1.0).contains("lamp at `L2`: power is -1 W"));
    assert!(refused(&|n| n.source = 12).contains("the supply"));
    let wiring = good.wiring().unwrap();
    for supply in [0.0, -12.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(wiring.operate(supply), Err(CircuitError::Supply(_))), "{supply}");
    }
}

/// A loop with a break is a tree, and feeds its lamps worse than whole.
#[test]
fn a_ring_with_a_break_works_with_less_voltage() {
    let case = cases().into_iter().find(|case| case["id"] == "D_ring_led6").unwrap();
    let whole = network_of(&case);
    let mut broken = whole.clone();
    broken.cables.remove(2);
    let lowest = |network: Network| {
        let wiring = network.wiring().unwrap();
        (wiring.closing().len(), run_loads(&wiring, &wiring.operate(12.0).unwrap())[0].lowest)
    };
    let ((one, high), (none, low)) = (lowest(whole), lowest(broken));
    assert_eq!((one, none), (1, 0));
    assert!(low < high - 0.05, "{low} {high}");
}

/// Any graph: a random tree, some loops, lamps of all kinds.
fn any_network() -> impl Strategy<Value = Network> {
    let lamp = (0..3u8, 1.0..12.0f64);
    let node = (0.0..1.0f64, 1.0..12.0f64, 0..6usize, lamp);
    (prop::collection::vec(node, 1..40), prop::collection::vec((0.0..1.0f64, 0.0..1.0f64), 0..4)).prop_map(
        |(nodes, loops)| {
            let n = nodes.len() + 1;
            let r = |gauge: usize| conductor::resistance(Gauge::ALL[gauge], SOIL_TEMPERATURE).unwrap();
            let mut cables = Vec::new();
            let mut loads = Vec::new();
            for (i, (before, length, gauge, (kind, power))) in nodes.into_iter().enumerate() {
                let from = (before * (i + 1) as f64) as usize;
                cables.push(Cable { from, to: i + 1, length, resistance: r(gauge), splice: 0.002 });
                let kind = [LampKind::Resistive, LampKind::ConstantPower, LampKind::Filament][kind as usize];
                loads.push(Load { joint: i + 1, kind, power: power / n as f64 * 4.0, rated_voltage: 12.0 });
            }
            for (a, b) in loops {
                let (from, to) = ((a * n as f64) as usize, (b * n as f64) as usize);
                if from != to {
                    cables.push(Cable { from, to, length: 5.0, resistance: r(3), splice: 0.0 });
                }
            }
            Network { joints: (0..n).map(|i| i.to_string()).collect(), source: 0, cables, loads }
        },
    )
}

proptest! {
    /// Conservation of energy, and Kirchhoff's law of currents at every joint.
    #[test]
    fn power_and_currents_balance(network in any_network(), supply in 11.0..15.0f64) {
        let wiring = network.clone().wiring().unwrap();
        let Ok(found) = wiring.operate(supply) else { return Ok(()) };
        prop_assert!(found.balance.residual().abs() < 1e-8, "{:?}", found.balance);
        for joint in 1..network.joints.len() {
            let flows = network.cables.iter().zip(&found.cable_currents).map(|(c, i)| {
                if c.to == joint { *i } else if c.from == joint { -*i } else { 0.0 }
            });
            let lamps = network.loads.iter().zip(&found.lamp_currents).filter(|(l, _)| l.joint == joint);
            let lamps: f64 = lamps.map(|(_, i)| i).sum();
            prop_assert!((flows.sum::<f64>() - lamps).abs() < 1e-8);
        }
    }

    /// Voltage never rises along a fed branch, and nowhere above the supply.
    #[test]
    fn voltage_falls_along_every_branch(network in any_network(), supply in 11.0..15.0f64) {
        let mut tree = network;
        tree.cables.truncate(tree.joints.len() - 1);
        let wiring = tree.wiring().unwrap();
        let Ok(found) = wiring.operate(supply) else { return Ok(()) };
        for joint in 1..wiring.network().joints.len() {
            let path = wiring.path(joint);
            prop_assert!(path.windows(2).all(|p| found.voltages[p[0]] <= found.voltages[p[1]] + 1e-12));
        }
    }

    /// Sweeps and the sparse factor are two solvers of one network: a loop closed through a cable
    /// that hardly conducts changes nothing.
    #[test]
    fn sweep_and_factor_agree(network in any_network(), supply in 11.0..15.0f64) {
        let mut tree = network;
        tree.cables.truncate(tree.joints.len() - 1);
        let last = tree.joints.len() - 1;
        let mut looped = tree.clone();
        looped.cables.push(Cable { from: 0, to: last, length: 1.0, resistance: 1e12, splice: 0.0 });
        let (a, b) = (tree.wiring().unwrap().operate(supply), looped.wiring().unwrap().operate(supply));
        match (a, b) {
            (Ok(a), Ok(b)) => for (a, b) in a.voltages.iter().zip(&b.voltages) {
                prop_assert!((a - b).abs() < 1e-8, "{a} {b}");
            },
            (Err(_), Err(_)) => {}
            (a, b) => prop_assert!(false, "{a:?} {b:?}"),
        }
    }

    /// Lamps are interchangeable: numbering joints backwards changes no voltage.
    #[test]
    fn numbering_changes_nothing(network in any_network(), supply in 11.0..15.0f64) {
        let n = network.joints.len() - 1;
        let mut turned = network.clone();
        turned.source = n;
        turned.cables.iter_mut().for_each(|c| (c.from, c.to) = (n - c.to, n - c.from));
        turned.loads.iter_mut().for_each(|l| l.joint = n - l.joint);
        let (a, b) = (network.wiring().unwrap().operate(supply), turned.wiring().unwrap().operate(supply));
        if let (Ok(a), Ok(b)) = (&a, &b) {
            for (i, v) in a.voltages.iter().enumerate() {
                prop_assert!((v - b.voltages[n - i]).abs() < 1e-9);
            }
        } else {
            prop_assert!(a.is_err() && b.is_err());
        }
    }

    /// Switching a lamp off lifts no voltage down: what `sizing` rests on.
    #[test]
    fn fewer_lamps_mean_no_less_voltage(network in any_network(), dark in 0..40usize) {
        let wiring = network.wiring().unwrap();
        let Ok(all) = wiring.operate(12.0) else { return Ok(()) };
        let some = wiring.operate_where(12.0, |lamp| lamp != dark).unwrap();
        prop_assert!(all.voltages.iter().zip(&some.voltages).all(|(a, s)| *s >= a - 1e-10));
    }
}

/// 1,000 lamps: a tree and a mesh, each step well under a millisecond. The limit is generous, since
/// machines are shared; the figures are printed.
#[test]
fn a_thousand_lamps_are_solved_at_once() {
    for loops in [0usize, 40] {
        let mut network = chain(1000, LampKind::ConstantPower, 0.4, 0.01);
        let spare = network.cables[0];
        for i in 0..loops {
            network.cables.push(Cable { from: i * 20, to: i * 20 + 15, ..spare });
        }
        let wiring: Wiring = network.wiring().unwrap();
        let start = Instant::now();
        let rounds = 20;
        let mut steps = 0;
        for _ in 0..rounds {
            steps += wiring.operate(15.0).unwrap().steps;
        }
        let step = start.elapsed().as_secs_f64() / steps as f64;
        println!("1000 lamps, {loops} loops: {:.1} µs a step, {} steps", step * 1e6, steps / rounds);
        assert!(step < 5e-3, "{step} s");
    }
}
