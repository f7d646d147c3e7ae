//! Layouts: heads, drip rows and pipe routes against what every layout must keep.

use std::f64::consts::{PI, TAU};

use groundwright_geometry::{Point, Rect, Region, Vec2};
use groundwright_water::{
    DripLine, Emitter, Friction, Head, HeadRules, LayoutError, Link, Network, Node, Nozzle, Part, Profile,
    RouteError, RouteGround, RowRules, Supply, WATER, emitters_to_plant, place_heads, ring_rows, route,
    solve, straight_rows,
};

fn spray() -> Nozzle {
    Nozzle {
        rated_pressure: 210e3,
        flow: 2.3e-4,
        rated_sweep: TAU,
        matched: true,
        throw: 4.5,
        throw_exponent: 0.3,
        range: (140e3, 280e3),
        sweeps: (PI / 9.0, TAU),
        shortest: 0.7,
        profile: Profile::cone(),
    }
}

fn polygon(points: &[(f64, f64)]) -> Region {
    Region::polygon(&points.iter().map(|&(x, y)| Point::new(x, y)).collect::<Vec<_>>()).unwrap()
}

fn box_of(x0: f64, y0: f64, x1: f64, y1: f64) -> Region {
    Region::rectangle(Rect::new(x0, y0, x1, y1)).unwrap()
}

/// Whether a place lies in the sector of a head.
fn wets(head: &Head, place: Point) -> bool {
    let off = place - head.at;
    let turned = (off.atan2() - head.start).rem_euclid(TAU);
    off.hypot() < head.throw && turned < head.sweep
}

/// A square of two throws: a quarter circle in each corner, halves between, a full circle inside;
/// its uniformity is that of the endless pattern or better, and next to nothing misses.
#[test]
fn a_square_lawn_gets_quarters_halves_and_a_full_circle() {
    let area = box_of(0.0, 0.0, 9.0, 9.0);
    let rules = HeadRules { rounds: 0, ..HeadRules::default() };
    let ours = place_heads(&area, &spray(), 210e3, &[], &[], rules).unwrap();
    assert_eq!((ours.heads.len(), ours.at_edges), (9, 8), "{ours:#?}");
    let sweeps: Vec<usize> =
        ours.heads.iter().map(|head| (head.sweep / (PI / 2.0)).round() as usize).collect();
    assert_eq!(sweeps, [1, 1, 1, 1, 2, 2, 2, 2, 4]);
    assert!(ours.before.low_quarter > 0.80, "{:?}", ours.before);
    assert!(ours.missed < 0.06 && ours.in_range && ours.without.is_empty(), "{}", ours.missed);
    // Flow over area: 4 quarters, 4 halves and a full circle.
    assert!((ours.flow - 4.0 * 2.3e-4).abs() < 0.06 * ours.flow, "{}", ours.flow);
}

/// An odd lawn about a terrace: no sector lies on house or terrace, the search makes it no worse.
#[test]
fn nothing_is_thrown_over_what_must_stay_dry() {
    let area = polygon(&[(0.0, 0.0), (16.0, 0.0), (16.0, 7.0), (10.0, 7.0), (10.0, 14.0), (0.0, 12.0)]);
    let terrace = box_of(4.0, 4.0, 7.0, 7.0);
    let house = box_of(10.0, 7.0, 20.0, 16.0);
    let dry = [terrace.clone(), house];
    let lawn = area.difference(&terrace);
    let begin = std::time::Instant::now();
    let ours = place_heads(&lawn, &spray(), 210e3, &dry, &[], HeadRules::default()).unwrap();
    println!(
        "{} heads in {:?}: DU {:.3} before, {:.3} after, missed {:.3}",
        ours.heads.len(),
        begin.elapsed(),
        ours.before.low_quarter,
        ours.after.low_quarter,
        ours.missed
    );
    assert!(ours.after.low_quarter >= ours.before.low_quarter);
    assert!(ours.after.low_quarter > 0.4);
    for head in &ours.heads {
        assert!(lawn.contains(head.at));
        assert!(head.throw >= 0.7 * 4.5 - 1e-9 && head.throw <= 4.5 + 1e-9);
        for region in &dry {
            let bounds = region.bounds().unwrap();
            for i in 1..20 {
                for j in 1..20 {
                    let share = Vec2::new(f64::from(i) / 20.0, f64::from(j) / 20.0);
                    let place =
                        bounds.origin() + Vec2::new(bounds.width() * share.x, bounds.height() * share.y);
                    assert!(!wets(head, place), "{head:?} wets {place:?}");
                }
            }
        }
    }
}

#[test]
fn heads_that_cannot_be_placed_say_why() {
    let area = box_of(0.0, 0.0, 9.0, 9.0);
    let few = HeadRules { most: 2, ..HeadRules::default() };
    assert!(matches!(
        place_heads(&area, &spray(), 210e3, &[], &[], few),
        Err(LayoutError::TooMany { count: 4, most: 2 })
    ));
    let strip = box_of(0.0, 0.0, 9.0, 0.15);
    let said = place_heads(&strip, &spray(), 210e3, &[], &[], HeadRules::default()).unwrap_err().to_string();
    assert!(said.contains("no head fits"), "{said}");
    let said = place_heads(&area, &spray(), -1.0, &[], &[], HeadRules::default()).unwrap_err().to_string();
    assert!(said.contains("the pressure is -1 Pa"), "{said}");
    let low = place_heads(&area, &spray(), 100e3, &[], &[], HeadRules { rounds: 0, ..HeadRules::default() });
    assert!(!low.unwrap().in_range);
}

fn rows() -> RowRules {
    RowRules { spacing: 0.5, inset: 0.25, emitter_spacing: 0.3, longest: 60.0 }
}

/// A bed of 10 by 4 m: rows at half metres, the outermost 25 cm from the edge; header and footer.
#[test]
fn drip_rows_cover_a_bed() {
    let bed = box_of(0.0, 0.0, 10.0, 4.0);
    let ours = straight_rows(&bed, rows(), None).unwrap();
    assert_eq!((ours.blocks.len(), ours.blocks[0].rows.len()), (1, 8));
    assert!((ours.line - 8.0 * 9.5).abs() < 1e-3 && (ours.blank - 2.0 * 3.5).abs() < 1e-3, "{ours:?}");
    assert_eq!(ours.emitters, 8 * 32);
    assert!(ours.too_long.is_empty());
    let short = straight_rows(&bed, RowRules { longest: 9.0, ..rows() }, None).unwrap();
    assert_eq!(short.too_long.len(), 8);
    // A notch from above cuts the upper rows in two: their other part is a block of its own.
    let notched = bed.difference(&box_of(4.0, 2.0, 6.0, 4.0));
    let ours = straight_rows(&notched, rows(), Some(0.0)).unwrap();
    assert_eq!(ours.blocks.len(), 2, "{ours:?}");
    for row in ours.blocks.iter().flat_map(|block| &block.rows) {
        let middle = row[0].midpoint(row[1]);
        assert!(notched.contains(middle) && notched.boundary_distance(middle) > 0.249);
    }
    // Rings with sides of 3, 2 and 1 m in a square of 3.5 m.
    let rings = ring_rows(&box_of(0.0, 0.0, 3.5, 3.5), rows()).unwrap();
    assert_eq!(rings.rings.len(), 3);
    assert!((rings.line - 4.0 * (3.0 + 2.0 + 1.0)).abs() < 0.05, "{}", rings.line);
    assert!(straight_rows(&box_of(0.0, 0.0, 9.0, 0.4), rows(), None).is_err());
    assert_eq!(emitters_to_plant(6.0, 0.5, 0.9).unwrap(), 5);
    assert!(emitters_to_plant(6.0, 0.0, 0.9).is_err());
}

fn drip() -> DripLine {
    DripLine {
        emitter: Emitter::rated(2e-3 / 3600.0, 100e3, 0.5).unwrap(),
        spacing: 0.3,
        diameter: 0.0136,
        coefficient: 140.0,
        barbs: 1.0,
        slope: 0.02,
    }
}

/// The marched line is the same line solved as a network.
#[test]
fn a_drip_line_agrees_with_its_network() {
    let line = drip();
    let ours = line.at_work(120, 150e3, &WATER).unwrap();
    let mut nodes = vec![Node {
        supply: Some(Supply { head: WATER.head(150e3), droop: None }),
        ..Node::joint("inlet", 0.0)
    }];
    let mut links = Vec::new();
    for i in 1..=120_u32 {
        let elevation = 0.02 * 0.3 * f64::from(i);
        nodes.push(Node { emitter: Some(line.emitter), ..Node::joint(format!("{i}"), elevation) });
        let friction = Friction::HazenWilliams(140.0);
        let part = Part::Pipe { length: 0.3, diameter: 0.0136, friction, minor: 0.0 };
        let i = i as usize;
        links.push(Link { name: format!("{i}"), from: i - 1, to: i, part });
    }
    let solved = solve(&Network { nodes, links, fluid: WATER }).unwrap();
    for (state, pressure) in solved.nodes[1..].iter().zip(&ours.pressures) {
        assert!((state.pressure - pressure).abs() < 1.0, "{} {pressure}", state.pressure);
    }
    assert!((solved.links[0].flow - ours.flow).abs() < 1e-9);
}

/// One emitter more than the longest line breaks a limit.
#[test]
fn the_longest_line_is_the_longest() {
    let line = drip();
    let ours = line.longest(150e3, 70e3, 0.2, &WATER).unwrap();
    assert!(ours.least >= 70e3 && ours.variation <= 0.2);
    let more = line.at_work(ours.flows.len() + 1, 150e3, &WATER).unwrap();
    assert!(more.least < 70e3 || more.variation > 0.2);
    assert!(line.longest(50e3, 70e3, 0.2, &WATER).unwrap_err().to_string().contains("not even one emitter"));
    assert!(line.at_work(5000, 20e3, &WATER).unwrap_err().to_string().contains("to reach the last emitter"));
}

/// Four ends of a cross: the best tree is the cross itself. A wall is gone round, paving where it pays.
#[test]
fn routes_are_short_and_keep_off() {
    let bounds = Rect::new(0.0, 0.0, 20.0, 20.0);
    let open = RouteGround { bounds, cell: 0.5, dear: &[], barred: &[] };
    let ends = [Point::new(10.25, 18.25), Point::new(18.25, 10.25), Point::new(10.25, 2.25)];
    let ours = route(open, Point::new(2.25, 10.25), &ends).unwrap();
    assert!((ours.length - 32.0).abs() < 1e-9, "{ours:?}");
    assert!(ours.bound <= ours.cost && ours.cost <= 2.0 * ours.bound + 1e-9);
    for (i, end) in ends.iter().enumerate() {
        assert!(ours.nodes.iter().any(|node| node.target == Some(i) && node.at == *end));
    }
    for (i, node) in ours.nodes.iter().enumerate() {
        assert_eq!(node.after.is_none(), i == 0);
        assert!(node.after.is_none_or(|after| after < i));
    }
    let wall = [box_of(9.0, 0.0, 11.0, 15.0)];
    let (here, there) = (Point::new(2.25, 2.25), Point::new(18.25, 2.25));
    let round = route(RouteGround { barred: &wall, ..open }, here, &[there]).unwrap();
    assert!(round.length > 30.0);
    for node in &round.nodes[1..] {
        let before = round.nodes[node.after.unwrap()].at;
        for i in 0..=50 {
            assert!(!wall[0].contains(before.lerp(node.at, f64::from(i) / 50.0)));
        }
    }
    let paving = |factor| [(box_of(9.0, 0.0, 11.0, 15.0), factor)];
    let across = route(RouteGround { dear: &paving(3.0), ..open }, here, &[there]).unwrap();
    assert!((across.length - 16.0).abs() < 1e-9 && across.cost > 19.0, "{across:?}");
    let about = route(RouteGround { dear: &paving(50.0), ..open }, here, &[there]).unwrap();
    assert!(about.length > 30.0);
    let full = [box_of(9.0, 0.0, 11.0, 20.0)];
    let shut = route(RouteGround { barred: &full, ..open }, here, &[there]);
    assert_eq!(shut, Err(RouteError::ShutIn { target: 1 }));
    let said = route(open, here, &[Point::new(30.0, 2.0)]).unwrap_err().to_string();
    assert!(said.contains("target 1 at (30.00 m, 2.00 m) lies outside"), "{said}");
    assert!(route(open, here, &[]).is_err());
}

/// Sixty heads on a property of 50 m take a moment.
#[test]
fn sixty_ends_are_routed_in_a_moment() {
    let bounds = Rect::new(0.0, 0.0, 50.0, 50.0);
    let open = RouteGround { bounds, cell: 0.5, dear: &[], barred: &[] };
    let ends: Vec<Point> = (0..60)
        .map(|i| Point::new(f64::from(i * 37 % 97) / 2.0 + 0.3, f64::from(i * 61 % 89) / 2.0 + 0.3))
        .collect();
    let begin = std::time::Instant::now();
    let ours = route(open, Point::new(0.3, 0.3), &ends).unwrap();
    println!("60 ends: {:?}, cost {:.1}, bound {:.1}", begin.elapsed(), ours.cost, ours.bound);
    assert!(ours.cost <= 2.0 * ours.bound + 60.0);
}
