//! Counts and lattices of plants against published tables and closed formulas.

use groundwright_geometry::layout::{
    ROW_PITCH, closed_row, plants_for_area, row_from_end_to_end, row_inset, square_density, square_rows,
    staggered_rows, triangular_density, triangular_rows,
};
use groundwright_geometry::{Point, PointIndex, Rect, Region, lattice};
use proptest::prelude::*;

const FOOT: f64 = 0.3048;
const INCH: f64 = 0.0254;

/// Spacing on centre [in] and plants for 100 sq ft on a grid, rounded to the nearest plant.
/// Source: planting guide of a perennial nursery, grid table; read there.
const GRID_TABLE: [(f64, f64); 9] = [
    (4.0, 900.0),
    (6.0, 400.0),
    (8.0, 225.0),
    (10.0, 144.0),
    (12.0, 100.0),
    (15.0, 64.0),
    (18.0, 44.0),
    (24.0, 25.0),
    (36.0, 11.0),
];

/// Spacing on centre [in] and area [sq ft] covered by 48 plants in offset rows, rounded down to
/// about the half square foot.
/// Source: bedding-plant chart of a gardening magazine, repeated in a garden-centre flyer; read.
const DIAMOND_TABLE: [(f64, f64); 8] = [
    (4.0, 4.5),
    (6.0, 10.0),
    (8.0, 18.0),
    (10.0, 28.5),
    (12.0, 41.5),
    (15.0, 64.5),
    (18.0, 92.0),
    (24.0, 165.5),
];

/// Spacings of the diamond table whose printed area is too low by more than half a square foot.
const KNOWN_DIFFERENCES: [f64; 2] = [18.0, 24.0];

#[test]
fn a_grid_agrees_with_the_printed_table() {
    for (spacing, printed) in GRID_TABLE {
        let plants = 100.0 * FOOT * FOOT * square_density(spacing * INCH);
        assert_eq!(plants.round().to_string(), printed.to_string(), "{spacing} in");
    }
}

#[test]
fn a_diamond_agrees_with_the_printed_table_but_for_known_slips() {
    for (spacing, printed) in DIAMOND_TABLE {
        let area = 48.0 / triangular_density(spacing * INCH) / (FOOT * FOOT);
        let rounded_down = area >= printed && area - printed < 0.5;
        assert_eq!(rounded_down, !KNOWN_DIFFERENCES.contains(&spacing), "{spacing} in: {area}");
        assert!((area - printed).abs() < 1.6, "{spacing} in: {area}");
    }
}

/// A page of the trade says that rows of a triangle pattern at 12 in are 10.392 in apart; read.
#[test]
fn rows_of_a_triangle_pattern_are_as_far_apart_as_printed() {
    assert_eq!(format!("{:.3}", 12.0 * ROW_PITCH), "10.392");
    assert!((ROW_PITCH - 0.75_f64.sqrt()).abs() < 1e-16);
}

/// Spacing [in], plants per sq ft on a square and on a triangular grid.
/// Computed from 144/d² and 2·144/(√3 d²), rounded to four decimals.
const DENSITIES: [(f64, f64, f64); 10] = [
    (6.0, 4.0, 4.6188),
    (8.0, 2.25, 2.5981),
    (9.0, 1.7778, 2.0528),
    (10.0, 1.44, 1.6628),
    (12.0, 1.0, 1.1547),
    (15.0, 0.64, 0.7390),
    (18.0, 0.4444, 0.5132),
    (24.0, 0.25, 0.2887),
    (30.0, 0.16, 0.1848),
    (36.0, 0.1111, 0.1283),
];

#[test]
fn densities_agree_with_the_formula_in_feet_and_inches() {
    for (spacing, square, triangular) in DENSITIES {
        let per_square_foot = FOOT * FOOT;
        let ours = square_density(spacing * INCH) * per_square_foot;
        assert_eq!(format!("{ours:.4}"), format!("{square:.4}"), "{spacing} in");
        let ours = triangular_density(spacing * INCH) * per_square_foot;
        assert_eq!(format!("{ours:.4}"), format!("{triangular:.4}"), "{spacing} in");
    }
}

/// Area [sq ft], spacing [in], plants on a square and on a triangular grid, rounded up.
/// Computed from area times density.
const AREA_COUNTS: [(f64, f64, usize, usize); 4] =
    [(240.0, 12.0, 240, 278), (85.0, 9.0, 152, 175), (410.0, 18.0, 183, 211), (66.5, 15.0, 43, 50)];

#[test]
fn an_area_is_filled_with_the_plants_of_the_formula() {
    for (area, spacing, square, triangular) in AREA_COUNTS {
        let (area, spacing) = (area * FOOT * FOOT, spacing * INCH);
        assert_eq!(plants_for_area(area, square_density(spacing)), square);
        assert_eq!(plants_for_area(area, triangular_density(spacing)), triangular);
    }
}

/// Length and width [ft], spacing [in], rows and plants of a square grid, then rows, plants of a
/// long and a short row and all plants of a triangular one; half a spacing from every edge.
/// Computed from the closed formulas in the docstrings of `layout`.
type Rectangle = (f64, f64, f64, [usize; 3], [usize; 4]);
const RECTANGLES: [Rectangle; 4] = [
    (20.0, 6.0, 18.0, [4, 13, 52], [4, 13, 12, 50]),
    (12.0, 8.0, 12.0, [8, 12, 96], [9, 12, 11, 104]),
    (30.0, 4.0, 24.0, [2, 15, 30], [2, 15, 14, 29]),
    (10.0, 10.0, 15.0, [8, 8, 64], [9, 8, 7, 68]),
];

#[test]
fn rectangles_hold_the_plants_of_the_formula() {
    for (length, width, spacing, square, triangular) in RECTANGLES {
        let (length, width, spacing) = (length * FOOT, width * FOOT, spacing * INCH);
        let rows = square_rows(length, width, spacing);
        assert_eq!([rows.len(), rows[0], rows.iter().sum()], square);
        let rows = triangular_rows(length, width, spacing);
        assert_eq!([rows.len(), rows[0], rows[1], rows.iter().sum()], triangular);
    }
}

/// The lattice itself, laid from the inset corner and kept half a spacing from the edges, agrees
/// with the formula.
#[test]
fn the_lattice_fills_a_rectangle_as_the_formula_counts() {
    for (length, width, spacing, square, triangular) in RECTANGLES {
        let (length, width, spacing) = (length * FOOT, width * FOOT, spacing * INCH);
        let half = spacing / 2.0;
        let inner = Rect::new(half, half, length - half, width - half);
        let corner = Point::new(half, half);
        assert_eq!(lattice::square(inner, spacing, corner, 0.0).unwrap().len(), square[2]);
        assert_eq!(lattice::triangular(inner, spacing, corner, 0.0).unwrap().len(), triangular[3]);
    }
}

/// Open rows: length [ft], spacing [in], plants with both ends taken, plants half a spacing in.
/// Computed from floor(L/d)+1 and floor((L-d)/d)+1.
#[test]
fn open_rows_hold_the_plants_of_the_formula() {
    for (length, spacing, ends, inset) in [(40.0, 30.0, 17, 16), (27.5, 18.0, 19, 18), (100.0, 48.0, 26, 25)]
    {
        assert_eq!(row_from_end_to_end(length * FOOT, spacing * INCH), ends);
        assert_eq!(row_inset(length * FOOT, spacing * INCH), inset);
    }
}

/// Closed rows: length [ft], spacing [in], plants, spacing that closes the row [in].
/// Computed from n = round(L/d) and L/n.
#[test]
fn closed_rows_hold_the_plants_of_the_formula() {
    for (length, spacing, plants, fitted) in [(50.0, 30.0, 20, "30.000"), (62.83, 36.0, 21, "35.903")] {
        let (count, spacing) = closed_row(length * FOOT, spacing * INCH).unwrap();
        assert_eq!((count, format!("{:.3}", spacing / INCH).as_str()), (plants, fitted));
    }
}

/// Staggered rows: computed from floor(L/d)+1 and floor((L-d/2)/d)+1.
#[test]
fn staggered_rows_hold_the_plants_of_the_formula() {
    assert_eq!(staggered_rows(40.0 * FOOT, 36.0 * INCH, 2), [14, 13]);
    assert_eq!(staggered_rows(25.0 * FOOT, 18.0 * INCH, 3), [17, 17, 17]);
    assert_eq!(format!("{:.3}", 36.0 * ROW_PITCH), "31.177");
}

#[test]
fn nothing_fits_where_nothing_can() {
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(row_from_end_to_end(3.0, bad), 0);
        assert_eq!(plants_for_area(bad, 2.0), 0);
        assert!(square_density(bad) == 0.0 && triangular_density(bad) == 0.0);
        assert!(closed_row(bad, 1.0).is_none());
        assert!(lattice::square(Rect::new(0., 0., 1., 1.), bad, Point::ORIGIN, 0.0).is_err());
    }
    assert_eq!(row_inset(0.4, 0.5), 0);
    let crowded = lattice::square(Rect::new(0., 0., 900., 900.), 0.01, Point::ORIGIN, 0.0);
    assert!(crowded.unwrap_err().to_string().contains("enlarge the spacing"));
}

proptest! {
    /// Neighbours of a lattice are at the spacing and none is nearer, whatever its direction.
    #[test]
    fn lattice_points_keep_their_spacing(
        spacing in 0.2..2.0, angle in -4.0..4.0, x in -50.0..50.0, y in -50.0..50.0, staggered in any::<bool>(),
    ) {
        let bounds = Rect::new(3.0, -4.0, 12.0, 5.0);
        let make = if staggered { lattice::triangular } else { lattice::square };
        let points = make(bounds, spacing, Point::new(x, y), angle).unwrap();
        let index = PointIndex::new(&points);
        for (i, &point) in points.iter().enumerate() {
            let (_, nearest) = index.nearest_but(point, Some(i)).unwrap();
            prop_assert!((nearest - spacing).abs() < 1e-9);
            prop_assert!(bounds.inflate(1e-8, 1e-8).contains(point));
            let inner = bounds.inflate(-2.0 * spacing, -2.0 * spacing).contains(point);
            if inner && bounds.width() > 5.0 * spacing {
                let neighbours = index.within(point, spacing * (1.0 + 1e-9)).len() - 1;
                prop_assert_eq!(neighbours, if staggered { 6 } else { 4 });
            }
        }
    }

    /// Over a large disc the lattice has the plants of the density, but for the rim.
    #[test]
    fn lattice_density_is_the_closed_form(spacing in 0.3..0.9, angle in -4.0..4.0, staggered in any::<bool>()) {
        let disc = Region::circle(Point::ORIGIN, 20.0).unwrap();
        let make = if staggered { lattice::triangular } else { lattice::square };
        let density = if staggered { triangular_density(spacing) } else { square_density(spacing) };
        let points = make(disc.bounds().unwrap(), spacing, Point::ORIGIN, angle).unwrap();
        let count = points.into_iter().filter(|&p| disc.contains(p)).count() as f64;
        // At most one plant for each spacing of the rim.
        prop_assert!((count - disc.area() * density).abs() < disc.perimeter() / spacing);
    }
}

/// The index of 40,000 points finds what a plain search finds.
#[test]
fn the_index_of_many_points_agrees_with_a_plain_search() {
    let bounds = Rect::new(0.0, 0.0, 99.75, 99.75);
    let mut points = lattice::square(bounds, 0.5, Point::ORIGIN, 0.3).unwrap();
    points.resize(40_000, Point::new(f64::NAN, 0.0));
    let index = PointIndex::new(&points);
    for i in 0..200 {
        let place = Point::new(f64::from(i) * 0.5, f64::from(i * 37 % 100));
        let distances = points.iter().map(|p| p.distance(place)).filter(|d| d.is_finite());
        let nearest = distances.fold(f64::INFINITY, f64::min);
        let (found, distance) = index.nearest(place).unwrap();
        assert!((distance - nearest).abs() < 1e-9);
        assert!((points[found].distance(place) - nearest).abs() < 1e-9);
        let within: Vec<usize> = (0..points.len()).filter(|&j| points[j].distance(place) <= 2.0).collect();
        assert_eq!(index.within(place, 2.0), within);
    }
}
