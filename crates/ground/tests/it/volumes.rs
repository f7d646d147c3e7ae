//! Volumes against closed-form solids and published worked examples.

use groundwright_geometry::{Patch, Point, Point3, Surface};
use groundwright_ground::{Soil, average_end_area, balance, between, loads, prism, prismoidal};
use groundwright_units::constants::{CUBIC_FOOT, CUBIC_YARD, FOOT, SQUARE_FOOT};
use proptest::prelude::*;
use serde_json::Value;

/// See `tests/data/README.md`.
const VOLUMES: &str = include_str!("../data/earthwork-volumes.json");

fn cases() -> Value {
    serde_json::from_str(VOLUMES).unwrap()
}

fn points(value: &Value) -> Vec<Point3> {
    let number = |v: &Value, i: usize| v[i].as_f64().unwrap();
    value.as_array().unwrap().iter().map(|p| Point3::new(number(p, 0), number(p, 1), number(p, 2))).collect()
}

fn surface(points_of: &Value, triangles: &Value) -> Surface {
    let triangles: Vec<[usize; 3]> = triangles
        .as_array()
        .unwrap()
        .iter()
        .map(|t| [0, 1, 2].map(|i| t[i].as_u64().unwrap() as usize))
        .collect();
    Surface::from_triangles(points(points_of), &triangles).unwrap()
}

fn flat(like: &Surface, level: f64) -> Surface {
    let b = like.bounds();
    let corners = [(b.x0, b.y0), (b.x1, b.y0), (b.x1, b.y1), (b.x0, b.y1)];
    let corners = corners.map(|(x, y)| Point3::new(x, y, level)).to_vec();
    Surface::from_triangles(corners, &[[0, 1, 2], [0, 2, 3]]).unwrap()
}

/// Printed to nine digits: agree to half of the last.
fn agrees(ours: f64, printed: &Value, what: &str) {
    let printed = printed.as_f64().unwrap();
    assert!((ours - printed).abs() <= 5e-9 * printed.abs().max(1.0), "{what}: {ours} against {printed}");
}

#[test]
fn prisms_agree_with_the_closed_formula() {
    let cases = cases();
    let prisms = cases["prisms"].as_array().unwrap();
    assert_eq!(prisms.len(), 4);
    for case in prisms {
        let corner = |i: usize| {
            Point::new(case["triangle"][i][0].as_f64().unwrap(), case["triangle"][i][1].as_f64().unwrap())
        };
        let depths = [0, 1, 2].map(|i| case["depth"][i].as_f64().unwrap());
        for turn in 0..3 {
            let order = [0, 1, 2].map(|i| (i + turn) % 3);
            let earth = prism(order.map(corner), order.map(|i| depths[i]));
            agrees(earth.cut, &case["cut"], "cut");
            agrees(earth.fill, &case["fill"], "fill");
        }
    }
}

#[test]
fn surfaces_agree_with_the_listed_volumes() {
    let cases = cases();
    let mut checked = 0;
    for (name, case) in cases.as_object().unwrap() {
        let Some(expected) = case.get("expected") else { continue };
        let triangles = case.get("existing_triangles").or_else(|| case.get("triangles")).unwrap();
        let existing = surface(&case["existing"], triangles);
        let proposed = match case["design"].as_str() {
            Some(text) if text.starts_with("z = 0") => flat(&existing, 0.0),
            Some(text) if text.starts_with("z = 1") => flat(&existing, 1.0),
            Some(other) => panic!("{other}"),
            None => surface(&case["design"], &case["design_triangles"]),
        };
        let earth = between(&existing, &proposed);
        agrees(earth.cut, &expected["cut"], name);
        agrees(earth.fill, &expected["fill"], name);
        agrees(earth.net_cut(), &expected["net_cut"], name);
        agrees(earth.area, &expected["overlap_area"], name);
        let back = between(&proposed, &existing);
        assert!((back.cut - earth.fill).abs() < 1e-9 && (back.fill - earth.cut).abs() < 1e-9, "{name}");
        checked += 1;
    }
    assert_eq!(checked, 5);
}

/// Closed forms to 1e-9: a pyramid frustum 4 × 4 to 2 × 2, 3 m high, is 28 m³; a wedge of base 6 × 2,
/// ridge 4 and height 3 is b h (2 a + c)/6 = 16 m³. Source: solid geometry.
#[test]
fn solids_agree_with_their_closed_forms() {
    let base = [(-5.0, -5.0), (5.0, -5.0), (5.0, 5.0), (-5.0, 5.0)];
    let level: Vec<Point3> = base.iter().map(|&(x, y)| Point3::new(x, y, 0.0)).collect();
    let ground = Surface::from_levels(&level, &[]).unwrap();
    let square = |half: f64, z: f64| {
        let corners = [(-half, -half), (half, -half), (half, half), (-half, half), (-half, -half)];
        corners.map(|(x, y)| Point3::new(x, y, z)).to_vec()
    };
    let frustum = Patch {
        rim: square(2.0, 0.0).iter().take(4).map(|p| p.plan()).collect(),
        levels: Vec::new(),
        lines: vec![square(1.0, 3.0)],
    };
    let earth = between(&ground, &ground.patched(&frustum).unwrap());
    assert!((earth.fill - 28.0).abs() < 1e-9 && earth.cut.abs() < 1e-12, "{earth:?}");
    assert!((earth.deepest_fill - 3.0).abs() < 1e-12 && (earth.fill_area - 16.0).abs() < 1e-9);
    let corners = [
        (0.0, 0.0, 0.0),
        (6.0, 0.0, 0.0),
        (6.0, 2.0, 0.0),
        (0.0, 2.0, 0.0),
        (1.0, 1.0, 3.0),
        (5.0, 1.0, 3.0),
    ];
    let corners = corners.map(|(x, y, z)| Point3::new(x, y, z)).to_vec();
    let wedge =
        Surface::from_triangles(corners, &[[0, 1, 5], [0, 5, 4], [1, 2, 5], [2, 3, 4], [2, 4, 5], [3, 0, 4]])
            .unwrap();
    assert!((between(&wedge, &flat(&wedge, 0.0)).cut - 16.0).abs() < 1e-9);
}

/// Ends 150 and 250 ft², middle 190 ft², 100 ft long: 19,333.33 ft³ = 716.05 yd³ by the prismoidal
/// formula, 20,000 ft³ = 740.74 yd³ by average end area. Source: worked example on an estimating page.
#[test]
fn sections_agree_with_the_worked_example() {
    let ends = [150.0 * SQUARE_FOOT, 250.0 * SQUARE_FOOT];
    let prismoid = prismoidal(100.0 * FOOT, ends, 190.0 * SQUARE_FOOT).unwrap();
    let average = average_end_area(100.0 * FOOT, ends).unwrap();
    assert_eq!(format!("{:.2} {:.2}", prismoid / CUBIC_FOOT, prismoid / CUBIC_YARD), "19333.33 716.05");
    assert_eq!(format!("{:.2} {:.2}", average / CUBIC_FOOT, average / CUBIC_YARD), "20000.00 740.74");
}

/// Road cut, bed 20 ft, sides 1½ : 1, cuts 0, 5, 10, 15, 0 ft at 50 ft: average end area 56,250 ft³
/// exactly; the prismoidal formula, middle areas from the middle cut, 52,500 ft³.
/// Source: Vose, Handbook of Railroad Construction, art. 108 (56,200 with rounded areas).
#[test]
fn a_road_cut_agrees_with_the_handbook() {
    let cuts = [0.0, 5.0, 10.0, 15.0, 0.0];
    let area = |cut: f64| (20.0 + 1.5 * cut) * cut * SQUARE_FOOT;
    let (mut average, mut prismoid) = (0.0, 0.0);
    for pair in cuts.windows(2) {
        let ends = [area(pair[0]), area(pair[1])];
        average += average_end_area(50.0 * FOOT, ends).unwrap();
        prismoid += prismoidal(50.0 * FOOT, ends, area(f64::midpoint(pair[0], pair[1]))).unwrap();
    }
    assert!((average / CUBIC_FOOT - 56_250.0).abs() < 1e-6);
    assert!((prismoid / CUBIC_FOOT - 52_500.0).abs() < 1e-6);
}

/// By hand: 10 m³ cut, 6 m³ compacted fill, swell 25 %, shrinkage 20 %: the fill takes 7.5 bank m³,
/// 2.5 are left, 3.125 on the truck. With 4 m³ cut: 3.2 compacted, 2.8 lacking = 3.5 bank = 4.375 loose.
#[test]
fn a_balance_closes_by_hand() {
    let soil = Soil { swell: 0.25, shrinkage: 0.2, usable: 1.0 };
    let left = balance(10.0, 6.0, soil).unwrap();
    assert!((left.reused - 7.5).abs() < 1e-12 && (left.haul_loose - 3.125).abs() < 1e-12);
    assert!(left.lacking.abs() < 1e-12);
    let lacking = balance(4.0, 6.0, soil).unwrap();
    assert!((lacking.lacking - 2.8).abs() < 1e-12 && (lacking.import_loose - 4.375).abs() < 1e-12);
    assert_eq!((loads(4.375, 2.0), loads(4.0, 2.0), loads(0.0, 2.0)), (Ok(3), Ok(2), Ok(0)));
    assert!(balance(-1.0, 0.0, soil).is_err() && balance(1.0, f64::NAN, soil).is_err());
    assert!(balance(1.0, 1.0, Soil { shrinkage: 1.0, ..soil }).is_err());
    assert!(loads(1.0, 0.0).is_err());
}

fn rough(seed: u32, count: usize) -> Vec<Point3> {
    let mut state = u64::from(seed) | 1;
    let mut next = move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 40) as f64 / (1u64 << 24) as f64
    };
    let corners = [(0.0, 0.0), (20.0, 0.0), (20.0, 12.0), (0.0, 12.0)];
    let mut all: Vec<Point3> = corners.iter().map(|&(x, y)| Point3::new(x, y, next())).collect();
    all.extend((0..count).map(|_| Point3::new(20.0 * next(), 12.0 * next(), next())));
    all
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Cut less fill is the difference of the volumes under the two surfaces, whatever their points.
    #[test]
    fn net_cut_is_the_difference_of_what_lies_below(a in any::<u32>(), b in any::<u32>(), n in 0..60usize, m in 0..60usize) {
        let one = Surface::from_levels(&rough(a, n), &[]).unwrap();
        let other = Surface::from_levels(&rough(b, m), &[]).unwrap();
        let below = |s: &Surface| -> f64 {
            (0..s.triangles().len()).map(|t| s.plan_area(t) * s.corners(t).iter().map(|p| p.z).sum::<f64>() / 3.0).sum()
        };
        let earth = between(&one, &other);
        prop_assert!((earth.net_cut() - (below(&one) - below(&other))).abs() < 1e-9);
        prop_assert!((earth.area - 240.0).abs() < 1e-9);
        prop_assert!((earth.cut_area + earth.fill_area - 240.0).abs() < 1e-6);
        prop_assert!(earth.cut >= 0.0 && earth.fill >= 0.0);
    }

    /// A surface against itself, and against itself raised.
    #[test]
    fn raising_by_a_height_fills_area_times_height(a in any::<u32>(), n in 0..80usize, by in 0.001..3.0f64) {
        let ground = Surface::from_levels(&rough(a, n), &[]).unwrap();
        let none = between(&ground, &ground);
        prop_assert!(none.cut < 1e-9 && none.fill < 1e-9);
        let earth = between(&ground, &ground.raised(by).unwrap());
        prop_assert!((earth.fill - 240.0 * by).abs() < 1e-9 && earth.cut == 0.0);
    }

    /// All earth is somewhere: reused, left over or brought.
    #[test]
    fn the_balance_closes(cut in 0.0..500.0f64, fill in 0.0..500.0f64, swell in 0.0..0.8f64, shrinkage in -0.2..0.5f64, usable in 0.0..1.0f64) {
        let b = balance(cut, fill, Soil { swell, shrinkage, usable }).unwrap();
        prop_assert!((b.reused + b.surplus - cut).abs() < 1e-9);
        prop_assert!((b.reused * (1.0 - shrinkage) + b.lacking - fill).abs() < 1e-9);
        prop_assert!(b.reused >= 0.0 && b.surplus >= 0.0 && b.lacking >= 0.0);
    }
}
