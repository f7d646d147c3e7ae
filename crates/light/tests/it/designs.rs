//! Routes, runs, sizes: laws, exhaustive search on small cases, growth on large ones.

use std::time::Instant;

use groundwright_geometry::Point;
use groundwright_light::conductor::TABLE_TEMPERATURE;
use groundwright_light::design::{Brief, DesignError, Switching, design};
use groundwright_light::runs::{Laying, Topology, lay};
use groundwright_light::sizing::{CableOption, Choices, Lamp, SizingError, size};
use groundwright_light::{CorridorLine, Corridors, Gauge, LampKind, RouteError, Tie, Way, Window, route};
use proptest::prelude::*;

const TIE: Tie = Tie { snap: 0.01, reach: 3.0, cost: 4.0 };

fn lamp(power: f64, zone: usize) -> Lamp {
    let window = Window::new(10.5, 13.0).unwrap();
    Lamp { kind: LampKind::ConstantPower, power, rated_voltage: 12.0, window, zone }
}

fn brief() -> Brief {
    let prices = [0.9, 1.3, 1.9, 2.9, 4.6, 7.5];
    Brief {
        choices: Choices {
            cables: Gauge::ALL.into_iter().zip(prices).map(|(g, p)| CableOption::new(g, p)).collect(),
            taps: vec![12.0, 13.0, 14.0, 15.0],
            temperature: TABLE_TEMPERATURE,
            splice: 3.0,
            splice_resistance: 0.0,
        },
        laying: Laying::USUAL,
        tie: TIE,
        switching: Switching::AtTransformer,
        most_run: 150.0,
        rating: 600.0,
    }
}

fn line(points: &[(f64, f64)]) -> CorridorLine {
    CorridorLine { points: points.iter().copied().map(Point::from).collect(), cost: 5.0, crossing: 0.0 }
}

/// A comb: lines every ten metres and one across, with lamps beside them.
fn yard(n: usize) -> (Vec<(Point, Lamp)>, Vec<CorridorLine>) {
    let rows = n.div_ceil(20);
    let mut lines = vec![line(
        &(0..rows).map(|row| (0.0, 10.0 * row as f64)).chain([(0.0, 10.0 * rows as f64)]).collect::<Vec<_>>(),
    )];
    let mut lamps = Vec::new();
    for row in 0..rows {
        let y = 10.0 * row as f64;
        lines.push(line(&[(0.0, y), (15.0, y), (30.0, y)]));
        lamps.extend((0..20).map(|i| {
            (Point::new(1.5 * i as f64 + 0.7, y + if i % 2 == 0 { 0.6 } else { -0.4 }), lamp(5.0, i % 2))
        }));
    }
    lamps.truncate(n);
    (lamps, lines)
}

#[test]
fn a_yard_is_designed_with_every_lamp_within_its_window() {
    let (lamps, lines) = yard(60);
    let found = design(&lamps, Point::new(0.0, 0.0), &lines, &brief()).unwrap();
    let mut fed: Vec<usize> = found.runs.iter().flat_map(|run| run.lamps.clone()).collect();
    fed.sort_unstable();
    assert_eq!(fed, (0..60).collect::<Vec<_>>());
    for run in &found.runs {
        let zone = lamps[run.lamps[0]].1.zone;
        assert!(run.lamps.iter().all(|i| lamps[*i].1.zone == zone), "zones are switched apart");
        for (i, (low, high)) in run.lamps.iter().zip(run.sized.lowest.iter().zip(&run.sized.highest)) {
            let window = lamps[*i].1.window;
            assert!(*low >= window.low && *high <= window.high, "lamp {i}: {low} {high}");
        }
        assert!(run.sized.all_on.balance.residual().abs() < 1e-9);
        let load: f64 = run.lamps.iter().map(|i| lamps[*i].1.power).sum();
        assert!(load <= 150.0);
    }
    assert!(found.route.cost >= found.route.bound);
    assert!((found.cost - found.route.cost - found.cable_cost).abs() < 1e-9);
    let load: f64 = found.runs.iter().map(|run| run.sized.all_on.balance.supplied).sum();
    assert!((found.loading.load - load).abs() < 1e-9);
    assert!(found.loading.load > 300.0, "300 W of lamps and the losses");
}

/// Paving is crossed where the sleeve is cheaper than the way round, and not where it is dearer.
#[test]
fn a_sleeve_is_paid_only_where_the_way_round_is_dearer() {
    let round = line(&[(0.0, 0.0), (0.0, 10.0), (4.0, 10.0), (4.0, 0.0)]);
    let places = [Point::new(0.0, 0.0), Point::new(4.0, 0.0)];
    for (sleeve, through) in [(60.0, true), (120.0, false)] {
        let across = CorridorLine { crossing: sleeve, ..line(&[(0.0, 0.0), (4.0, 0.0)]) };
        let corridors = Corridors::tie(&places, &[round.clone(), across], &TIE).unwrap();
        let found = route(&corridors, 0).unwrap();
        let expected = if through { 4.0 * 5.0 + sleeve } else { 24.0 * 5.0 };
        assert!((found.cost - expected).abs() < 1e-9, "{sleeve}: {}", found.cost);
    }
}

/// Three equal legs from a middle: the chain and tee by hand.
#[test]
fn pieces_of_a_star_are_those_by_hand() {
    let lines = [line(&[(0.0, 0.0), (10.0, 0.0), (20.0, 0.0)]), line(&[(10.0, 0.0), (10.0, 5.0)])];
    let places = [Point::new(0.0, 0.0), Point::new(20.0, 0.0), Point::new(10.0, 5.0)];
    let route = route(&Corridors::tie(&places, &lines, &TIE).unwrap(), 0).unwrap();
    assert!((route.length - 25.0).abs() < 1e-12);
    let bare = Laying { slack: 0.0, depth: 0.0, tail: 0.0 };
    let lengths = |topology| {
        let layout = lay(&route, &[(1, 5.0), (2, 5.0)], topology, &bare);
        (layout.pieces.len(), (layout.cable() * 100.0).round() / 100.0, layout.splices())
    };
    // Lamp and line meet in one place: its tie of no length takes a centimetre.
    assert_eq!(lengths(Topology::Tee), (3, 25.0, 2));
    assert_eq!(lengths(Topology::Daisy), (2, 15.0 + 15.0, 1));
    assert_eq!(lengths(Topology::Hub), (3, 25.0, 2));
}

/// Exhaustive: least cost over all pairs of gauges and taps in all switching states.
#[test]
fn the_size_is_the_cheapest_of_all_that_hold_in_every_state() {
    let lines = [line(&[(0.0, 0.0), (30.0, 0.0), (60.0, 0.0)])];
    let places: Vec<Point> = [0.0, 25.0, 32.0, 45.0, 58.0].iter().map(|x| Point::new(*x, 0.5)).collect();
    let route = route(&Corridors::tie(&places, &lines, &TIE).unwrap(), 0).unwrap();
    let lamps: Vec<Lamp> = (0..4).map(|i| lamp(9.0 + 4.0 * i as f64, i % 3)).collect();
    let placed: Vec<(usize, f64)> = lamps.iter().enumerate().map(|(i, l)| (i + 1, l.power)).collect();
    let brief = brief();
    for topology in Topology::ALL {
        let layout = lay(&route, &placed, topology, &brief.laying);
        let sized = size(&layout, &lamps, &brief.choices).unwrap();
        let mut least = f64::INFINITY;
        for home in &brief.choices.cables {
            for rest in brief.choices.cables.iter().filter(|rest| home.gauge >= rest.gauge) {
                let only = |a: &CableOption, b: &CableOption| {
                    let mut network = sized.wiring.network().clone();
                    for (cable, piece) in network.cables.iter_mut().zip(&layout.pieces) {
                        let gauge = if piece.home { a.gauge } else { b.gauge };
                        cable.resistance = gauge.table_resistance();
                    }
                    network.wiring().unwrap()
                };
                let wiring = only(home, rest);
                let holds = brief.choices.taps.iter().any(|tap| {
                    (1..8u32).all(|state| {
                        let on = |i: usize| state & (1 << lamps[i].zone) != 0;
                        wiring.operate_where(*tap, on).is_ok_and(|op| {
                            (0..4).filter(|i| on(*i)).all(|i| {
                                let v = op.voltages[layout.lamps[i]];
                                v >= lamps[i].window.low && v <= lamps[i].window.high
                            })
                        })
                    })
                });
                if holds {
                    let cost: f64 = layout
                        .pieces
                        .iter()
                        .map(|p| p.length * if p.home { home.price } else { rest.price })
                        .sum();
                    least = least.min(cost + 3.0 * layout.splices() as f64);
                }
            }
        }
        assert!((sized.cost - least).abs() < 1e-9, "{topology:?}: {} and {least}", sized.cost);
    }
}

#[test]
fn what_cannot_be_designed_says_why() {
    let (lamps, lines) = yard(20);
    let at = Point::new(0.0, 0.0);
    let far = design(&[(Point::new(5.0, 50.0), lamp(5.0, 0))], at, &lines, &brief()).unwrap_err();
    assert!(matches!(far, DesignError::Route(RouteError::OutOfReach { place: 2, .. })), "{far}");
    let apart = [line(&[(0.0, 0.0), (5.0, 0.0)]), line(&[(20.0, 0.0), (25.0, 0.0)])];
    let error = design(&[(Point::new(22.0, 0.0), lamp(5.0, 0))], at, &apart, &brief()).unwrap_err();
    assert_eq!(error.to_string(), "no way leads from the transformer to place 2; add a line that joins them");
    let mut no_taps = brief();
    no_taps.choices.taps.clear();
    assert!(design(&lamps, at, &lines, &no_taps).unwrap_err().to_string().contains("no taps"));
    let mut low = brief();
    low.choices.taps = vec![10.0];
    let error = design(&lamps, at, &lines, &low).unwrap_err();
    assert!(matches!(error, DesignError::Lamp { why: SizingError::NoneFits { .. }, .. }), "{error}");
    assert!(design(&[], at, &lines, &brief()).unwrap_err().to_string().contains("nothing to connect"));
    let crooked = [line(&[(0.0, 0.0)])];
    assert!(
        design(&lamps, at, &crooked, &brief())
            .unwrap_err()
            .to_string()
            .starts_with("line 1: it has no length")
    );
}

/// The least tree by trying all subsets of ways of a small graph.
fn least_tree(corridors: &Corridors) -> f64 {
    let m = corridors.ways.len();
    (0u32..1 << m)
        .filter_map(|chosen| {
            let mut group: Vec<usize> = (0..corridors.points.len()).collect();
            let mut cost = 0.0;
            for (_, way) in corridors.ways.iter().enumerate().filter(|(i, _)| chosen & (1 << i) != 0) {
                let (a, b) = (group[way.from], group[way.to]);
                group.iter_mut().filter(|g| **g == a).for_each(|g| *g = b);
                cost += way.cost;
            }
            (1..corridors.places).all(|p| group[p] == group[0]).then_some(cost)
        })
        .fold(f64::INFINITY, f64::min)
}

proptest! {
    /// Mehlhorn's guarantee, and the bound reported, against exhaustive search.
    #[test]
    fn the_route_keeps_its_guarantee(
        costs in prop::collection::vec(1.0..9.0f64, 12), places in 2..5usize,
    ) {
        // A grid of 3 by 3 has 12 ways; the places are its first joints in a mixed order.
        let order = [0usize, 8, 5, 6, 4, 1, 2, 3, 7];
        let mut ways = Vec::new();
        let joint = |x: usize, y: usize| order.iter().position(|o| *o == 3 * y + x).unwrap();
        for y in 0..3 { for x in 0..3 {
            if x < 2 { ways.push((joint(x, y), joint(x + 1, y))); }
            if y < 2 { ways.push((joint(x, y), joint(x, y + 1))); }
        }}
        let ways = ways.into_iter().zip(costs).map(|((from, to), cost)| Way { from, to, length: 1.0, cost });
        let corridors = Corridors { points: vec![Point::ORIGIN; 9], ways: ways.collect(), places };
        let found = route(&corridors, 0).unwrap();
        let least = least_tree(&corridors);
        let k = places as f64;
        prop_assert!(found.cost >= least - 1e-9 && found.cost <= 2.0 * (1.0 - 1.0 / k) * least + 1e-9);
        prop_assert!(found.bound <= least + 1e-9, "{} {least}", found.bound);
    }
}

/// 1,000 lamps routed and sized, and eight times as many in near eight times the time.
#[test]
fn a_thousand_lamps_are_designed_at_once() {
    let time = |n: usize| {
        let (lamps, lines) = yard(n);
        let mut brief = brief();
        // Zones are switched at the lamps; a long yard needs lamps that bear a drop.
        brief.switching = Switching::AtLamps;
        let lamps: Vec<(Point, Lamp)> = lamps
            .into_iter()
            .map(|(at, lamp)| (at, Lamp { power: 0.5, window: Window::LED_WIDE, ..lamp }))
            .collect();
        brief.most_run = 15.0;
        let start = Instant::now();
        let found = design(&lamps, Point::new(0.0, 0.0), &lines, &brief).unwrap();
        let took = start.elapsed().as_secs_f64();
        println!(
            "{n} lamps: {took:.3} s, {} runs, trench {:.0} m at most {:.3} of the least",
            found.runs.len(),
            found.route.length,
            found.route.cost / found.route.bound
        );
        took
    };
    let (small, large) = (time(250), time(1000));
    assert!(large < 5.0, "{large} s");
    assert!(large < 40.0 * small.max(1e-3), "{small} s and {large} s");
}
