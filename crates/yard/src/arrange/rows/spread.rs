//! How many plants a row gets, and at which lengths along it.
//!
//! - In: the length of a row, its corners, the rule. [m] Out: places along the row.
//! - Method: closed formulas for the counts; with corners each leg between two of them is divided
//!   evenly, a plant in every corner.

use super::{Ends, RowRule};

/// Places along a row.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Spread {
    /// Lengths from the start of the row, rising. [m]
    pub(super) places: Vec<f64>,
    /// Spacing, the mean over the legs of a row with corners. [m]
    pub(super) spacing: f64,
    pub(super) remainder: f64,
    pub(super) finished: bool,
    /// Intervals of a row without corners that comes out even.
    pub(super) intervals: Option<usize>,
}

impl Spread {
    fn even(count: usize, first: f64, spacing: f64) -> Self {
        let places = (0..count).map(|step| first + step as f64 * spacing).collect();
        Self { places, spacing, remainder: 0.0, finished: true, intervals: None }
    }
}

/// Spreads plants over an open row.
///
/// - `corners`: lengths along the row of its sharp corners, rising. [m]
/// - `keep`: intervals of the row before, kept where the tolerance allows it.
pub(super) fn open(
    length: f64,
    corners: &[f64],
    rule: &RowRule,
    shifted: bool,
    keep: Option<usize>,
) -> Spread {
    let spacing = rule.spacing;
    // Halves of a spacing before the first plant, and to be kept free beyond the last.
    let (before, beyond) = match (rule.ends, shifted) {
        (Ends::AtEnds, false) => (0, 0),
        (Ends::AtEnds, true) => (1, 0),
        (Ends::HalfSpace, false) => (1, 1),
        (Ends::HalfSpace, true) => (2, 1),
    };
    let ends = [vec![0.0], corners.to_vec(), vec![length]].concat();
    if !corners.is_empty()
        && let Some(spread) = legs(&ends, before, rule)
    {
        return spread;
    }
    if let Some(intervals) = even_intervals(length, rule, keep) {
        let spacing = length / intervals as f64;
        let count = (intervals + 1).saturating_sub(before);
        let spread = Spread::even(count, spacing * before as f64 / 2.0, spacing);
        return Spread { intervals: Some(intervals), ..spread };
    }
    let free = (before + beyond) as f64 / 2.0;
    let steps = (length / spacing - free + 1e-9).floor();
    let (count, first, used) = if length < spacing && !shifted {
        (1, length / 2.0, 0.0)
    } else if steps < 0.0 {
        (0, 0.0, 0.0)
    } else {
        (steps as usize + 1, spacing * before as f64 / 2.0, spacing * (steps + free))
    };
    let remainder = (length - used).max(0.0);
    Spread { remainder, finished: false, ..Spread::even(count, first, spacing) }
}

/// Spreads plants round a closed row: n = round(L/d), or leg by leg from its first corner on.
///
/// - `start`: where a row without corners starts, and whether half a step further. [m]
///
/// The places may lie beyond the length. [m]
pub(super) fn closed(
    length: f64,
    corners: &[f64],
    start: (f64, bool),
    rule: &RowRule,
    keep: Option<usize>,
) -> Spread {
    if let Some(first) = corners.first()
        && let Some(mut spread) = legs(&[corners, &[first + length]].concat(), 0, rule)
    {
        spread.places.pop();
        return spread;
    }
    let nominal = (length / rule.spacing + 1e-9).round().max(1.0) as usize;
    let count = keep.filter(|n| fits(length, *n as f64, rule)).unwrap_or(nominal);
    let spacing = length / count as f64;
    let shift = if start.1 { spacing / 2.0 } else { 0.0 };
    let spread = Spread::even(count, start.0 + shift, spacing);
    Spread { intervals: Some(count), ..spread }
}

/// Divides every leg between two corners evenly, a plant in each corner; none if a leg does not come
/// out within the tolerance.
///
/// - `ends`: where the legs begin and end, rising. [m]
/// - `outer`: halves of a spacing free before the first and after the last plant.
fn legs(ends: &[f64], outer: usize, rule: &RowRule) -> Option<Spread> {
    let last = ends.len().checked_sub(2)?;
    let mut places: Vec<f64> = Vec::new();
    let mut intervals = 0.0;
    for leg in 0..=last {
        let length = ends[leg + 1] - ends[leg];
        let half = |at_end: bool| if at_end { outer as f64 / 2.0 } else { 0.0 };
        let (before, after) = (half(leg == 0), half(leg == last));
        let least = if before + after > 0.0 { 0.0 } else { 1.0 };
        let steps = (length / rule.spacing - before - after).round().max(least);
        let parts = steps + before + after;
        if !fits(length, parts, rule) {
            return None;
        }
        let spacing = length / parts;
        // The first plant of a later leg is the last of the leg before.
        let first = usize::from(leg > 0);
        places.extend((first..=steps as usize).map(|step| ends[leg] + (before + step as f64) * spacing));
        intervals += parts;
    }
    let spacing = (ends[last + 1] - ends[0]) / intervals;
    Some(Spread { places, spacing, remainder: 0.0, finished: true, intervals: None })
}

/// The number of intervals that fills a length with a spacing nearest to the one asked for.
fn even_intervals(length: f64, rule: &RowRule, keep: Option<usize>) -> Option<usize> {
    let fitting = |n: &usize| fits(length, *n as f64, rule);
    if let Some(kept) = keep.filter(fitting) {
        return Some(kept);
    }
    let misfit = |n: usize| (length / n as f64 - rule.spacing).abs();
    let low = (length / rule.spacing).floor() as usize;
    let fitting = [low, low + 1].into_iter().filter(fitting);
    fitting.min_by(|a, b| misfit(*a).total_cmp(&misfit(*b)))
}

/// Whether a length in so many parts keeps within the tolerance of the spacing.
fn fits(length: f64, parts: f64, rule: &RowRule) -> bool {
    // Two micrometres for the accuracy of the length itself.
    parts > 0.0 && (length - parts * rule.spacing).abs() <= parts * rule.spacing * rule.tolerance + 2e-6
}
