//! Stone and cloth of a wall on a stepped base, in closed form.
//!
//! - In: a base in panels, sizes in SI. Out: volumes as compacted, areas without laps.
//! - Earth, pieces and packs: `study/takeoff.rs`.

use crate::SteppedBase;

/// Compacted stone of a pad that reaches so far beyond the units before, behind and at both ends. [m³]
///
/// Where the base steps, the pads of both levels end at the step.
pub fn pad_volume(length: f64, unit_depth: f64, beyond: f64, thickness: f64) -> f64 {
    (length + 2.0 * beyond) * (unit_depth + 2.0 * beyond) * thickness
}

/// Drainage stone behind the units, from the base up to `below_top` under the top. [m³]
pub fn drainage_stone(base: &SteppedBase, width: f64, below_top: f64) -> f64 {
    stone_face(base, below_top) * width
}

/// Filter cloth behind, under and over that stone. [m²]
pub fn filter_cloth(base: &SteppedBase, width: f64, below_top: f64) -> f64 {
    stone_face(base, below_top) + 2.0 * width * base.length
}

/// Face of the drainage stone. [m²]
pub fn stone_face(base: &SteppedBase, below_top: f64) -> f64 {
    base.panels
        .iter()
        .map(|panel| (panel.top - panel.base - below_top).max(0.0) * (panel.to - panel.from))
        .sum()
}
