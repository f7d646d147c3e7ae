//! A system of units that are laid together.

use super::error::CoursesError;
use super::fill::KINDS;
use crate::positive::{NotUsable, above_zero, not_below_zero, within};

/// A kind of unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Kind {
    /// Length of its face. [m]
    pub length: f64,
    /// Its height. [m]
    pub height: f64,
    /// Its share of the blend by count; the shares of one height add up to 1.
    pub share: f64,
    /// Units to a pallet; 0 when they come loose.
    pub pallet: usize,
}

/// A unit for outside corners, laid long and short face in turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corner {
    /// Its long face. [m]
    pub long: f64,
    /// Its short face. [m]
    pub short: f64,
}

/// A system of units.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitSystem {
    /// Kinds of units.
    pub kinds: Vec<Kind>,
    /// Index of the kind that lies on the pad.
    pub base: usize,
    /// Unit for outside corners; without one they are made of the longest and the shortest unit.
    pub corner: Option<Corner>,
    /// Setback of each course. [m]
    pub setback: f64,
    /// Least radius of a face; see [`radius_of_taper`]. [m]
    pub least_radius: f64,
    /// Least length of a cut piece. [m]
    pub least_cut: f64,
    /// Least overlap of joints in neighbouring courses. [m]
    pub least_overlap: f64,
    /// Most units of one kind in a row; 0 for no limit. Single-length systems have none.
    pub in_a_row: u8,
    /// Whether a lip at the back makes the setback.
    pub rear_lip: bool,
    /// Shares of the colours.
    pub colours: Vec<f64>,
}

/// Least radius, to the middle of the face, of units that taper to the back: face · depth / (face − back). [m]
///
/// # Errors
/// A back not narrower than the face, which turns no curve.
///
/// # Source
/// Similar triangles.
pub fn radius_of_taper(face: f64, back: f64, depth: f64) -> Result<f64, NotUsable> {
    above_zero("the face", face, "m")?;
    above_zero("the depth", depth, "m")?;
    within("the back", back, "m", back >= 0.0 && back < face, "narrower than the face")?;
    Ok(face * depth / (face - back))
}

impl UnitSystem {
    /// Faces of a corner unit, long and short, among kinds of one height.
    pub(super) fn corner_faces(&self, height: f64) -> (f64, f64) {
        if let Some(corner) = self.corner {
            return (corner.long, corner.short);
        }
        let lengths = self.kinds.iter().filter(|k| (k.height - height).abs() < 1e-6).map(|k| k.length);
        let (mut long, mut short) = (0.0_f64, f64::INFINITY);
        for length in lengths {
            (long, short) = (long.max(length), short.min(length));
        }
        // One length alone turns the corner with its half.
        if long - short < 1e-6 { (long, long / 2.0) } else { (long, short) }
    }
}

/// Indices of the kinds of a height, after looking at every number.
pub(super) fn check_system(system: &UnitSystem, height: f64) -> Result<Vec<usize>, CoursesError> {
    above_zero("the height of a course", height, "m")?;
    not_below_zero("the setback", system.setback, "m")?;
    not_below_zero("the least radius", system.least_radius, "m")?;
    within("the least cut", system.least_cut, "m", system.least_cut >= 0.01, "at least 1 cm")?;
    not_below_zero("the least overlap", system.least_overlap, "m")?;
    for kind in &system.kinds {
        let good = kind.length >= 0.03 && kind.length <= 5.0;
        within("the length of a unit", kind.length, "m", good, "from 3 cm to 5 m")?;
        above_zero("the height of a unit", kind.height, "m")?;
        crate::positive::share("the share of a unit", kind.share)?;
    }
    for &colour in &system.colours {
        above_zero("the share of a colour", colour, "")?;
    }
    if let Some(corner) = system.corner {
        above_zero("the short face of the corner unit", corner.short, "m")?;
        let good = corner.long >= corner.short && corner.long.is_finite();
        within("the long face of the corner unit", corner.long, "m", good, "at least the short face")?;
    }
    let kinds: Vec<usize> =
        (0..system.kinds.len()).filter(|i| (system.kinds[*i].height - height).abs() < 1e-6).collect();
    if kinds.is_empty() {
        return Err(CoursesError::NoUnits {
            height,
            heights: system.kinds.iter().map(|k| k.height).collect(),
        });
    }
    let count = kinds.len();
    within("the count of kinds of one height", count as f64, "", count <= KINDS, "at most 8")?;
    let sum: f64 = kinds.iter().map(|k| system.kinds[*k].share).sum();
    within("the sum of the shares of one height", sum, "", (sum - 1.0).abs() < 1e-6, "1")?;
    let base = kinds.contains(&system.base);
    within("the kind on the pad", system.base as f64, "", base, "a kind of the courses' height")?;
    let longest = kinds.iter().map(|k| system.kinds[*k].length).fold(0.0, f64::max);
    let overlap = system.least_overlap;
    if longest < 2.0 * overlap - 1e-9 {
        let (needed, overlap_possible) = (2.0 * overlap, longest / 2.0);
        return Err(CoursesError::UnitsTooShort { longest, overlap, needed, overlap_possible });
    }
    Ok(kinds)
}
