//! Plants by formula: densities, counts in an area, in rows and in a rectangle.
//!
//! - In: spacing on centre, lengths and areas. [m, m²] Out: counts and densities.
//! - Method: closed formulas. Divisions are forgiven a billionth, so that 20 ft hold exactly
//!   thirteen spacings of 18 in and a third, whatever the rounding of metres.
//! - A length or spacing that is not finite or not above zero holds no plant: the count is 0.
//! - Not here: where each plant stands (`lattice.rs`), beds of any shape.
//! - Source of the formulas: plane geometry of the square and the equilateral triangle.

/// Distance of the rows of a triangular lattice over its spacing: √3 / 2.
pub const ROW_PITCH: f64 = 0.866_025_403_784_438_6;

/// Share of a step that rounding may take from a division.
const FORGIVEN: f64 = 1e-9;

/// Plants per area on a square grid, 1/d². [1/m²] Zero if the spacing is not above zero.
pub fn square_density(spacing: f64) -> f64 {
    if usable(spacing) { finite_or_zero(1.0 / (spacing * spacing)) } else { 0.0 }
}

/// Plants per area on a triangular grid, 2/(√3 d²). [1/m²] Zero if the spacing is not above zero.
pub fn triangular_density(spacing: f64) -> f64 {
    if usable(spacing) { finite_or_zero(1.0 / (ROW_PITCH * spacing * spacing)) } else { 0.0 }
}

/// Plants for an area at a density, rounded up. [1]
pub fn plants_for_area(area: f64, density: f64) -> usize {
    if !(usable(area) && usable(density)) {
        return 0;
    }
    let exact = area * density;
    (exact - FORGIVEN * exact.max(1.0)).ceil().max(0.0) as usize
}

/// Plants in an open row with one at each end: floor(L/d) + 1. [1]
pub fn row_from_end_to_end(length: f64, spacing: f64) -> usize {
    if !(usable(spacing) && length.is_finite() && length >= 0.0) {
        return 0;
    }
    whole_steps(length, spacing).map_or(0, |steps| steps + 1)
}

/// Plants in an open row that keeps half a spacing from both ends: floor((L-d)/d) + 1. [1]
pub fn row_inset(length: f64, spacing: f64) -> usize {
    row_from(length, spacing, spacing)
}

/// Plants round a closed line and the spacing that fits them exactly: n = round(L/d), L/n. [1, m]
///
/// None if a length is not above zero or the line is shorter than half a spacing.
pub fn closed_row(length: f64, spacing: f64) -> Option<(usize, f64)> {
    if !(usable(length) && usable(spacing)) {
        return None;
    }
    let count = (length / spacing + FORGIVEN).round();
    (1.0..1e15).contains(&count).then(|| (count as usize, length / count))
}

/// Plants of each of several staggered rows, the first starting at the end of the line and every
/// other one half a spacing further: floor(L/d) + 1 and floor((L-d/2)/d) + 1. [1]
///
/// The rows are [`ROW_PITCH`] spacings apart for equal distances. At most 10,000 rows.
pub fn staggered_rows(length: f64, spacing: f64, rows: usize) -> Vec<usize> {
    (0..rows.min(10_000))
        .map(|row| {
            if row % 2 == 0 {
                row_from_end_to_end(length, spacing)
            } else {
                row_from(length, spacing, spacing / 2.0)
            }
        })
        .collect()
}

/// Plants of each row of a square grid in a rectangle, half a spacing from its edges. [1]
///
/// # Arguments
/// - `length`: side along the rows. [m]
/// - `width`: side across the rows. [m]
pub fn square_rows(length: f64, width: f64, spacing: f64) -> Vec<usize> {
    vec![row_inset(length, spacing); row_inset(width, spacing).min(MOST_ROWS)]
}

/// Plants of each row of a triangular grid in a rectangle, half a spacing from its edges, a long
/// row first: floor((L-d)/d) + 1 and floor((L-1.5d)/d) + 1 in floor((W-d)/(0.866 d)) + 1 rows. [1]
///
/// Arguments as [`square_rows`].
pub fn triangular_rows(length: f64, width: f64, spacing: f64) -> Vec<usize> {
    let rows = if usable(width) && usable(spacing) {
        whole_steps(width - spacing, spacing * ROW_PITCH).map_or(0, |steps| steps + 1)
    } else {
        0
    };
    (0..rows.min(MOST_ROWS))
        .map(|row| {
            let inset = if row % 2 == 0 { spacing } else { 1.5 * spacing };
            row_from(length, spacing, inset)
        })
        .collect()
}

/// No rectangle is given more rows than this.
const MOST_ROWS: usize = 1_000_000;

/// Plants in what a row keeps after `inset` is taken off its length.
fn row_from(length: f64, spacing: f64, inset: f64) -> usize {
    if !(usable(length) && usable(spacing)) {
        return 0;
    }
    whole_steps(length - inset, spacing).map_or(0, |steps| steps + 1)
}

/// Whole steps in a length; none if even nothing does not fit.
fn whole_steps(length: f64, step: f64) -> Option<usize> {
    let steps = (length / step + FORGIVEN).floor();
    (0.0..1e15).contains(&steps).then_some(steps as usize)
}

fn usable(value: f64) -> bool {
    value.is_finite() && value > 0.0
}

fn finite_or_zero(value: f64) -> f64 {
    if value.is_finite() { value } else { 0.0 }
}
