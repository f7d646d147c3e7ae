//! Manning flow against published solutions and closed forms.

use groundwright_ground::{
    LARGEST_FLOW_SHARE, Lining, ManningError, Section, depth_of_flow, flow_at_depth, permissible_velocity,
};
use groundwright_units::constants::{FOOT, INCH};

const CUBIC_FOOT: f64 = FOOT * FOOT * FOOT;

fn vee(side: f64) -> Section {
    Section::Trapezoid { bottom: 0.0, side }
}

/// Rectangles 5 m and 6 m wide, 0.8 m and 1.6 m deep, S 0.0025, n 0.015: R 0.606 and 1.043, V 2.387
/// and 3.428, Q 9.548 and 32.91. Source: university exam solutions, which round R first, so that the
/// second Q is printed as 32.91 for 32.92. Digits beyond: Manning's equation in double precision; the
/// first confirmed with the library fluids 1.3.1.
#[test]
fn rectangles_agree_with_the_published_solutions() {
    let one = flow_at_depth(Section::Rectangle { bottom: 5.0 }, 0.8, 0.015, 0.0025).unwrap();
    let other = flow_at_depth(Section::Rectangle { bottom: 6.0 }, 1.6, 0.015, 0.0025).unwrap();
    assert_eq!(format!("{:.3} {:.4} {:.4}", one.radius, one.velocity, one.flow), "0.606 2.3872 9.5488");
    assert_eq!(
        format!("{:.4} {:.4} {:.4}", other.radius, other.velocity, other.flow),
        "1.0435 3.4293 32.9209"
    );
}

/// Swales and pipes in customary units, factor 1.486: area, wetted perimeter, radius, velocity, flow.
/// Source: Manning's equation in double precision. The exact factor is 1.4859, so 0.1 %.
#[test]
#[allow(clippy::approx_constant, reason = "the printed figures have four decimals")]
fn swales_and_pipes_agree_in_customary_units() {
    let inch = |d: f64| Section::Circle { diameter: d * INCH };
    let trapezoid = Section::Trapezoid { bottom: 2.0 * FOOT, side: 4.0 };
    let rows = [
        (vee(3.0), 0.5, 0.03, 0.02, [0.75, 3.1623, 0.2372, 2.6840, 2.0130]),
        (trapezoid, 0.4, 0.035, 0.01, [1.44, 5.2985, 0.2718, 1.7814, 2.5652]),
        (inch(4.0), 4.0 / 12.0, 0.010, 0.01, [0.0873, 1.0472, 0.0833, 2.8351, 0.2474]),
        (inch(4.0), 2.0 / 12.0, 0.010, 0.01, [0.0436, 0.5236, 0.0833, 2.8351, 0.1237]),
        (inch(4.0), 0.938 * 4.0 / 12.0, 0.010, 0.01, [0.0850, 0.8794, 0.0967, 3.1302, 0.2661]),
        (inch(6.0), 0.5, 0.018, 0.005, [0.1963, 1.5708, 0.1250, 1.4594, 0.2866]),
    ];
    for (section, depth, n, slope, expected) in rows {
        let flow = flow_at_depth(section, depth * FOOT, n, slope).unwrap();
        let ours = [
            flow.area / (FOOT * FOOT),
            flow.perimeter / FOOT,
            flow.radius / FOOT,
            flow.velocity / FOOT,
            flow.flow / CUBIC_FOOT,
        ];
        for (ours, printed) in ours.iter().zip(expected) {
            assert!((ours - printed).abs() <= 0.001 * printed, "{section:?}: {ours} against {printed}");
        }
    }
    let metric = flow_at_depth(Section::Circle { diameter: 0.1 }, 0.1, 0.011, 0.01).unwrap();
    assert_eq!(format!("{:.4} {:.4}", metric.velocity, metric.flow), "0.7773 0.0061");
}

/// Depth carrying 0.5 cfs in the trapezoid is 0.1688 ft, 1.2 cfs in the V 0.4118 ft. Source: inverse of
/// Manning's equation in double precision.
#[test]
fn depths_agree_with_the_inverse() {
    let trapezoid = Section::Trapezoid { bottom: 2.0 * FOOT, side: 4.0 };
    let one = depth_of_flow(trapezoid, 0.5 * CUBIC_FOOT, 0.035, 0.01, FOOT).unwrap();
    let other = depth_of_flow(vee(3.0), 1.2 * CUBIC_FOOT, 0.03, 0.02, FOOT).unwrap();
    assert_eq!(format!("{:.4} {:.4}", one.depth / FOOT, other.depth / FOOT), "0.1688 0.4118");
}

/// Half full runs at the velocity of full; the most flows at 0.938 of the depth and is 1.076 of full.
#[test]
fn a_pipe_carries_most_when_not_quite_full() {
    let pipe = Section::Circle { diameter: 0.1 };
    let at = |share: f64| flow_at_depth(pipe, 0.1 * share, 0.01, 0.01).unwrap();
    assert!((at(0.5).velocity - at(1.0).velocity).abs() < 1e-12);
    assert!((at(LARGEST_FLOW_SHARE).flow / at(1.0).flow - 1.0757).abs() < 1e-4);
    for aside in [0.93, 0.937, 0.9394, 0.95] {
        assert!(at(aside).flow < at(LARGEST_FLOW_SHARE).flow);
    }
}

#[test]
fn a_flow_too_large_says_what_the_section_carries() {
    let pipe = Section::Circle { diameter: 0.1 };
    let most = flow_at_depth(pipe, 0.1 * LARGEST_FLOW_SHARE, 0.01, 0.01).unwrap().flow;
    assert_eq!(
        depth_of_flow(pipe, 2.0 * most, 0.01, 0.01, 0.1),
        Err(ManningError::TooMuch { flow: 2.0 * most, most })
    );
    assert!(depth_of_flow(pipe, 0.999 * most, 0.01, 0.01, 0.1).is_ok());
    for (depth, n, slope) in
        [(0.0, 0.01, 0.01), (0.2, 0.01, 0.01), (0.05, 0.0, 0.01), (0.05, 0.01, -0.01), (f64::NAN, 0.01, 0.01)]
    {
        assert!(flow_at_depth(pipe, depth, n, slope).is_err());
    }
}

/// Source: SCS-TP-61, permissible velocities for vegetated channels, in ft/s.
#[test]
fn permissible_velocities_agree_with_the_table() {
    let rows = [
        (Lining::Bermudagrass, 0.03, 8.0, 6.0),
        (Lining::Bermudagrass, 0.07, 7.0, 5.0),
        (Lining::Bermudagrass, 0.12, 6.0, 4.0),
        (Lining::Turf, 0.05, 7.0, 5.0),
        (Lining::Turf, 0.10, 6.0, 4.0),
        (Lining::Turf, 0.11, 5.0, 3.0),
        (Lining::GrassMixture, 0.05, 5.0, 4.0),
        (Lining::GrassMixture, 0.06, 4.0, 3.0),
        (Lining::ThinGrass, 0.05, 3.5, 2.5),
    ];
    for (lining, slope, resistant, easily) in rows {
        let ours = [false, true].map(|e| permissible_velocity(lining, slope, e).unwrap() / FOOT);
        assert!(
            (ours[0] - resistant).abs() < 1e-12 && (ours[1] - easily).abs() < 1e-12,
            "{lining:?} {slope}"
        );
    }
    assert_eq!(permissible_velocity(Lining::ThinGrass, 0.06, false), None);
    assert_eq!(permissible_velocity(Lining::GrassMixture, 0.11, false), None);
}
