//! Layouts: heads, drip rows and pipe routes against what every layout must keep.

use std::f64::consts::{PI, TAU};

use groundwright_geometry::{Point, Rect, Region, Vec2};
use groundwright_water::{Head, HeadRules, LayoutError, Nozzle, Profile, place_heads};

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
