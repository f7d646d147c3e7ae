//! Straight skeletons and roofs against plane geometry.

use groundwright_geometry::{Point, Point3};
use groundwright_scene::{Roof, RoofFault, RoofForm, roof_faces, straight_skeleton};
use proptest::prelude::*;

fn points(list: &[(f64, f64)]) -> Vec<Point> {
    list.iter().map(|(x, y)| Point::new(*x, *y)).collect()
}

fn roof(form: RoofForm) -> Roof {
    Roof { form, eave: 3.0, slope: 0.5, overhang: 0.0 }
}

/// Area of a flat face in space by half of Newell's normal. [m²]
fn area(face: &[Point3]) -> f64 {
    let mut n = [0.0; 3];
    for (a, b) in face.iter().zip(face.iter().cycle().skip(1)) {
        n[0] += (a.y - b.y) * (a.z + b.z);
        n[1] += (a.z - b.z) * (a.x + b.x);
        n[2] += (a.x - b.x) * (a.y + b.y);
    }
    0.5 * n.iter().map(|v| v * v).sum::<f64>().sqrt()
}

fn top(faces: &[Vec<Point3>]) -> f64 {
    faces.iter().flatten().map(|p| p.z).fold(f64::NEG_INFINITY, f64::max)
}

/// A rectangle of 10 m × 6 m has its ridge 3 m from the long sides, 4 m long: by hand.
#[test]
fn a_rectangle_has_a_ridge() {
    let skeleton = straight_skeleton(&points(&[(0., 0.), (10., 0.), (10., 6.), (0., 6.)])).unwrap();
    let inside: Vec<_> = skeleton.nodes.iter().skip(4).collect();
    assert_eq!(inside.len(), 2, "{inside:?}");
    for node in &inside {
        assert!((node.offset - 3.0).abs() < 1e-9 && (node.at.y - 3.0).abs() < 1e-9);
    }
    assert!((inside[0].at.distance(inside[1].at) - 4.0).abs() < 1e-9);
    assert_eq!(skeleton.faces.iter().map(Vec::len).collect::<Vec<_>>(), [4, 3, 4, 3]);
}

/// A hip roof's area is the footprint's over the cosine of the slope, whatever the footprint: each
/// face has the same slope. Footprints of houses: L, T, U, cross, Z, one with a skew wall.
#[test]
fn hip_roofs_have_the_area_of_the_footprint_over_the_cosine() {
    let houses = [
        vec![(0., 0.), (12., 0.), (12., 5.), (5., 5.), (5., 10.), (0., 10.)],
        vec![(0., 0.), (12., 0.), (12., 4.), (8., 4.), (8., 9.), (4., 9.), (4., 4.), (0., 4.)],
        vec![(0., 0.), (14., 0.), (14., 10.), (10., 10.), (10., 4.), (4., 4.), (4., 10.), (0., 10.)],
        vec![
            (3., 0.),
            (6., 0.),
            (6., 3.),
            (9., 3.),
            (9., 6.),
            (6., 6.),
            (6., 9.),
            (3., 9.),
            (3., 6.),
            (0., 6.),
            (0., 3.),
            (3., 3.),
        ],
        vec![(0., 0.), (8., 0.), (8., 3.), (13., 3.), (13., 9.), (5., 9.), (5., 6.), (0., 6.)],
        vec![(0., 0.), (11., 1.), (12., 7.), (6., 6.), (5., 10.), (-1., 9.)],
        vec![(0., 0.), (4., 0.), (4., 4.), (0., 4.)],
        vec![(0., 0.), (6., 0.), (12., 0.), (12., 5.), (0., 5.)],
    ];
    for house in houses {
        let outline = points(&house);
        let footprint: f64 = groundwright_geometry::Region::polygon(&outline).unwrap().area();
        let faces = roof_faces(&outline, &roof(RoofForm::Hip)).unwrap_or_else(|e| panic!("{house:?}: {e}"));
        let covered: f64 = faces.iter().map(|face| area(face)).sum();
        let expected = footprint * (1.0_f64 + 0.25).sqrt();
        assert!((covered - expected).abs() < 1e-6 * expected, "{house:?}: {covered} {expected}");
    }
}

/// The L of equal wings 4 m wide: the ridge lies 2 m in, and the valley runs from the inner corner.
#[test]
fn an_l_has_a_valley_from_its_inner_corner() {
    let outline = points(&[(0., 0.), (12., 0.), (12., 4.), (4., 4.), (4., 12.), (0., 12.)]);
    let skeleton = straight_skeleton(&outline).unwrap();
    assert!(skeleton.nodes.iter().all(|node| node.offset < 2.0 + 1e-9));
    let valley = skeleton.arcs.iter().find(|arc| arc.nodes.0 == 3 || arc.nodes.1 == 3).unwrap();
    let other = if valley.nodes.0 == 3 { valley.nodes.1 } else { valley.nodes.0 };
    assert!(skeleton.nodes[other].at.distance(Point::new(2.0, 2.0)) < 1e-6, "{:?}", skeleton.nodes[other]);
}

/// 10 m × 6 m, slope 6 in 12: the ridge stands 1.5 m over the eaves and is as long as the house;
/// two slopes of 10 × √(3² + 1.5²) and two ends of ½ · 6 · 1.5, by hand.
#[test]
fn a_gable_roof_has_two_slopes_and_two_upright_ends() {
    let outline = points(&[(0., 0.), (10., 0.), (10., 6.), (0., 6.)]);
    let faces = roof_faces(&outline, &roof(RoofForm::Gable)).unwrap();
    assert!((top(&faces) - 4.5).abs() < 1e-9);
    let mut areas: Vec<f64> = faces.iter().map(|face| area(face)).collect();
    areas.sort_by(f64::total_cmp);
    for (found, by_hand) in areas.iter().zip([4.5, 4.5, 33.541_019_66, 33.541_019_66]) {
        assert!((found - by_hand).abs() < 1e-6, "{areas:?}");
    }
    let square = roof_faces(&points(&[(0., 0.), (6., 0.), (6., 6.), (0., 6.)]), &roof(RoofForm::Gable));
    assert!((top(&square.unwrap()) - 4.5).abs() < 1e-9);
}

/// The L's two ends stand upright above their walls.
#[test]
fn an_l_gets_gables_at_both_ends() {
    let outline = points(&[(0., 0.), (12., 0.), (12., 4.), (4., 4.), (4., 12.), (0., 12.)]);
    let faces = roof_faces(&outline, &roof(RoofForm::Gable)).unwrap();
    let upright = |face: &&Vec<Point3>| {
        face.iter().all(|p| (p.x - 12.0).abs() < 1e-6) || face.iter().all(|p| (p.y - 12.0).abs() < 1e-6)
    };
    assert_eq!(faces.iter().filter(upright).count(), 2, "{faces:?}");
    assert!((top(&faces) - 4.0).abs() < 1e-9);
}

#[test]
fn a_shed_rises_from_its_longest_side_and_a_flat_roof_is_level() {
    let outline = points(&[(0., 0.), (10., 0.), (10., 6.), (0., 6.)]);
    let shed = roof_faces(&outline, &roof(RoofForm::Shed)).unwrap();
    assert!((top(&shed) - 6.0).abs() < 1e-9);
    assert!(shed[0].iter().all(|p| (p.z - 3.0 - 0.5 * p.y).abs() < 1e-9));
    let flat = roof_faces(&outline, &roof(RoofForm::Flat)).unwrap();
    assert_eq!(flat.len(), 1);
    assert!((area(&flat[0]) - 60.0).abs() < 1e-9 && flat[0].iter().all(|p| p.z == 3.0));
}

/// Eaves 0.5 m out lie 0.25 m below the wall's top, and the ridge stays where it was.
#[test]
fn eaves_hang_over() {
    let outline = points(&[(0., 0.), (10., 0.), (10., 6.), (0., 6.)]);
    let faces = roof_faces(&outline, &Roof { overhang: 0.5, ..roof(RoofForm::Hip) }).unwrap();
    let low = faces.iter().flatten().map(|p| p.z).fold(f64::INFINITY, f64::min);
    assert!((low - 2.75).abs() < 1e-9 && (top(&faces) - 4.5).abs() < 1e-9);
    let courtyard = points(&[(0., 0.), (9., 0.), (9., 9.), (5., 9.), (5., 4.), (4., 4.), (4., 9.), (0., 9.)]);
    let fault = roof_faces(&courtyard, &Roof { overhang: 0.6, ..roof(RoofForm::Hip) }).unwrap_err();
    assert!(matches!(fault, RoofFault::Overhang(_)), "{fault}");
}

#[test]
fn what_is_no_roof_says_why() {
    let bow = points(&[(0., 0.), (4., 4.), (4., 0.), (0., 4.)]);
    let text = roof_faces(&bow, &roof(RoofForm::Hip)).unwrap_err().to_string();
    assert!(text.contains("not simple"), "{text}");
    let outline = points(&[(0., 0.), (10., 0.), (10., 6.), (0., 6.)]);
    for bad in [
        Roof { slope: f64::NAN, ..roof(RoofForm::Hip) },
        Roof { slope: -0.1, ..roof(RoofForm::Hip) },
        Roof { eave: f64::INFINITY, ..roof(RoofForm::Flat) },
        Roof { overhang: 50.0, ..roof(RoofForm::Flat) },
    ] {
        assert!(matches!(roof_faces(&outline, &bad), Err(RoofFault::Measure { .. })), "{bad:?}");
    }
}

/// A star-shaped outline: simple by construction, with re-entrant corners as they come.
fn star() -> impl Strategy<Value = Vec<Point>> {
    prop::collection::vec(2.0..9.0f64, 4..14).prop_map(|radii| {
        let n = radii.len() as f64;
        let at = |(i, r): (usize, &f64)| {
            let angle = std::f64::consts::TAU * (i as f64 + 0.2 * (r % 1.0)) / n;
            Point::new(r * angle.cos(), r * angle.sin())
        };
        radii.iter().enumerate().map(at).collect()
    })
}

proptest! {
    /// Every face of the skeleton carries points that are nearest to its own side: a node's offset
    /// is its distance from the line of each side whose face it belongs to, and no face is
    /// missing. The areas adding up is part of the answer's own check, so it is done again here.
    #[test]
    fn faces_tile_the_outline_and_offsets_are_distances(outline in star()) {
        let skeleton = straight_skeleton(&outline).unwrap();
        let n = outline.len();
        let whole = groundwright_geometry::Region::polygon(&outline).unwrap().area();
        let mut covered = 0.0;
        for (side, face) in skeleton.faces.iter().enumerate() {
            let (a, b) = (skeleton.nodes[side].at, skeleton.nodes[(side + 1) % n].at);
            let along = (b - a) / (b - a).hypot();
            for &i in face {
                let node = &skeleton.nodes[i];
                let distance = along.cross(node.at - a);
                prop_assert!((distance - node.offset).abs() < 1e-4, "side {side}: {distance} {}", node.offset);
            }
            let flat: Vec<Point3> = face.iter().map(|&i| Point3::new(skeleton.nodes[i].at.x, skeleton.nodes[i].at.y, 0.0)).collect();
            covered += area(&flat);
        }
        prop_assert!((covered - whole).abs() < 1e-3 * whole, "{covered} {whole}");
    }

    /// Outlines on a grid, where many events fall together.
    #[test]
    fn stairs_and_notches_close(steps in prop::collection::vec((1u8..4, 1u8..4), 2..6)) {
        let mut outline = vec![Point::new(0.0, 0.0)];
        let (mut x, mut y) = (f64::from(steps.iter().map(|s| s.0).sum::<u8>()), 0.0);
        outline.push(Point::new(x, 0.0));
        for (dx, dy) in &steps {
            y += f64::from(*dy);
            outline.push(Point::new(x, y));
            x -= f64::from(*dx);
            if x > 0.0 { outline.push(Point::new(x, y)); }
        }
        outline.push(Point::new(0.0, y));
        outline.dedup_by(|a, b| a.distance(*b) < 1e-9);
        prop_assert!(straight_skeleton(&outline).is_ok(), "{:?}", outline);
    }
}
