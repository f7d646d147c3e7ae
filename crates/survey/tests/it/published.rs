//! Published worked examples: traverses, taping on a slope, areas by coordinates.

use groundwright_geometry::{Point, Vec2};
use groundwright_survey::circular::{Chord, radius_from};
use groundwright_survey::traverse::{Leg, area_by_coordinates, balance};
use groundwright_survey::{Slope, level_run};

/// Legs: length, latitude, departure; then balanced latitude, departure, length where printed.
type Row = (f64, f64, f64, f64, f64, Option<f64>);

/// Source: Mahun, open-access surveying text, Traverse Computations, chapters F, G and I; read there.
/// Feet; start N 500, E 2000.
const FOUR_LEGS: [Row; 4] = [
    (472.68, -176.357, -438.548, -176.386, -438.574, None),
    (216.13, 203.395, -73.093, 203.382, -73.105, None),
    (276.52, 192.357, 198.651, 192.340, 198.635, None),
    (382.24, -219.312, 313.065, -219.336, 313.044, None),
];

/// Source: a second published loop of six legs; read there. Feet.
const SIX_LEGS: [Row; 6] = [
    (495.85, 493.5672, 47.5251, 491.8995, 45.7328, Some(494.0208)),
    (850.62, 590.5342, 612.2285, 587.6733, 609.1538, Some(846.4208)),
    (855.45, -325.5265, 791.0924, -328.4036, 788.0003, Some(853.6940)),
    (1020.87, -996.9916, 219.5069, -1000.4252, 215.8168, Some(1023.4390)),
    (1117.26, -121.9557, -1110.5840, -125.7134, -1114.6225, Some(1121.6894)),
    (660.08, 377.1895, -541.6952, 374.9694, -544.0812, Some(660.7771)),
];

fn legs(rows: &[Row]) -> Vec<Leg> {
    rows.iter().map(|row| Leg { length: row.0, run: Vec2::new(row.2, row.1) }).collect()
}

#[test]
fn a_good_loop_agrees_with_the_printed_one() {
    let traverse = balance(Point::new(2000.0, 500.0), None, &legs(&FOUR_LEGS)).unwrap();
    assert!((traverse.misclosure - Vec2::new(0.075, 0.083)).hypot() < 1e-9);
    assert_eq!(format!("{:.0}", traverse.one_in()), "12046");
    assert!(!traverse.poor());
    for (leg, row) in traverse.legs.iter().zip(&FOUR_LEGS) {
        // The printed shares of the misclosure are rounded before they are added.
        assert!((leg.run.y - row.3).abs() < 1e-3 && (leg.run.x - row.4).abs() < 1e-3, "{leg:?}");
    }
    for (leg, (n, e)) in
        traverse.legs.iter().zip([(323.614, 1561.426), (526.996, 1488.321), (719.336, 1686.956)])
    {
        assert!((leg.to - Point::new(e, n)).hypot() < 8e-4, "{leg:?}");
    }
    // AC: 512.39 ft at N 86°58'48" W, which is 273.02° from north.
    let ac = traverse.legs[1].to - Point::new(2000.0, 500.0);
    assert!((ac.hypot() - 512.39).abs() < 5e-3);
    let bearing = groundwright_geometry::frame::bearing(ac).to_degrees();
    assert!((bearing - (360.0 - (86.0 + 58.0 / 60.0 + 48.0 / 3600.0))).abs() < 1.0 / 3600.0);
    // Computed, and the printed 102,93x agrees as far as it goes.
    assert!((traverse.area.unwrap() - 102_935.7).abs() < 0.1);
}

#[test]
fn a_poor_loop_agrees_and_is_called_poor() {
    let traverse = balance(Point::ORIGIN, None, &legs(&SIX_LEGS)).unwrap();
    assert!((traverse.misclosure - Vec2::new(18.0737, 16.8171)).hypot() < 2e-4);
    assert!((traverse.gap() - 24.6876).abs() < 2e-4);
    assert!(traverse.poor());
    for (leg, row) in traverse.legs.iter().zip(&SIX_LEGS) {
        assert!((leg.run.y - row.3).abs() < 2e-4 && (leg.run.x - row.4).abs() < 2e-4, "{leg:?}");
        assert!((leg.length - row.5.unwrap()).abs() < 2e-4, "{leg:?}");
    }
    assert!((traverse.area.unwrap() - 1_715_250.05).abs() < 0.1);
}

#[test]
fn a_traverse_between_known_points_ends_there() {
    let (start, end) = (Point::new(3.0, 4.0), Point::new(40.0, -7.0));
    let legs = [Leg::from_bearing(25.0, 1.2), Leg::from_bearing(21.0, 2.4)];
    let traverse = balance(start, Some(end), &legs).unwrap();
    assert!((traverse.legs[1].to - end).hypot() < 1e-12);
    assert!(traverse.area.is_none());
}

/// Source: Mahun, open-access surveying text, COGO chapter H; read there: sums of cross products
/// 2,190,612 and 1,909,624 ft², area 140,494 ft² (exactly 140,493.1; a step is printed wrong there).
#[test]
fn area_by_coordinates_agrees_with_the_printed_one() {
    let corners =
        [(406.31, 1259.97), (235.12, 1489.47), (65.81, 1126.40), (317.89, 942.04), (675.32, 1282.54)];
    let corners = corners.map(|(n, e)| Point::new(e, n));
    assert!((area_by_coordinates(&corners).abs() - 140_494.0).abs() < 1.5);
    // The curved parcel of the same chapter, chords only: (4,622,300 − 4,491,046) / 2.
    let parcel = [
        (500.0, 1200.0),
        (614.70, 1249.70),
        (674.76, 1347.43),
        (662.46, 1552.76),
        (467.41, 1516.87),
        (417.36, 1317.39),
    ];
    let parcel = parcel.map(|(n, e)| Point::new(e, n));
    assert!((area_by_coordinates(&parcel).abs() - 65_628.5).abs() < 1.5);
}

/// Sources: a textbook example on a notes page (30 m, ends 0.70 m apart: correction 0.00817); the
/// others computed. The one-term shortcut would give 99.28000 in the second.
#[test]
fn a_tape_along_a_slope_is_brought_level_exactly() {
    assert!((level_run(30.0, Slope::Rise(0.70)).unwrap() - 29.991_832_2).abs() < 1e-7);
    assert!((30.0 - level_run(30.0, Slope::Rise(0.70)).unwrap() - 0.00817).abs() < 5e-6);
    assert!((level_run(100.0, Slope::Rise(12.0)).unwrap() - 99.27739).abs() < 5e-6);
    assert!((level_run(25.0, Slope::Angle(8_f64.to_radians())).unwrap() - 24.756_702).abs() < 5e-7);
    assert!(level_run(1.0, Slope::Rise(1.0)).is_err());
    assert!(level_run(1.0, Slope::Angle(2.0)).is_err());
    assert!(level_run(f64::NAN, Slope::Rise(0.0)).is_err());
}

/// A chord's table begins and ends on the arc and is deepest in the middle.
#[test]
fn a_chord_table_runs_from_end_to_end() {
    let chord = Chord::new(6.0, 4.0).unwrap();
    let table = chord.table(0.75);
    assert_eq!(table.len(), 7);
    assert!(table[0].1.abs() < 1e-12 && table[6] == (4.0, 0.0));
    assert!(table.iter().all(|(_, offset)| *offset <= chord.mid_ordinate + 1e-12));
    assert!((radius_from(4.0, chord.mid_ordinate).unwrap() - 6.0).abs() < 1e-12);
    assert!(Chord::new(1.0, 2.1).is_err() && radius_from(4.0, 0.0).is_err());
}
