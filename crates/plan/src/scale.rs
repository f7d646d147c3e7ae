//! How well the plan's scale is known, from lengths taped on the ground.
//!
//! - In: the property. Out: the factor between tape and plan, with its spread.
//! - Method: the factor is the sum of the taped lengths over the sum of the same lengths on the plan
//!   (the ratio estimator: long lengths count more, as they are read better for their size). Its
//!   spread is half the range of the single factors, and never less than what picking two ends on a
//!   picture leaves.
//! - Not here: tape networks with their adjustment.

use groundwright_geometry::Point;

use crate::identity::{ElementRef, Kind};
use crate::property::Property;
use crate::shape::Place;

/// How far off one end of a length may be picked on a picture, or held on the ground. [m]
/// A hand's width: common practice, no source.
pub const PICKED: f64 = 0.10;

/// Half width of the scale's range where no length was taped, as a share: paced or guessed.
/// Common practice, no source.
pub const UNTAPED: f64 = 0.15;

/// One taped length beside the same length on the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Compared {
    /// The taped length.
    pub element: ElementRef,
    /// As the tape says. [m]
    pub taped: f64,
    /// Between the two places on the plan. [m]
    pub drawn: f64,
}

/// How well the plan's scale is known.
#[derive(Debug, Clone, PartialEq)]
pub struct Scale {
    /// Ground over plan: 1.02 says that everything is two per cent longer than drawn. 1 where
    /// nothing was taped.
    pub factor: f64,
    /// Half width of the factor's range.
    pub spread: f64,
    /// The taped lengths, in the order of the file. Those drawn with no length are left out.
    pub lengths: Vec<Compared>,
}

impl Scale {
    /// Whether a second length checks the first.
    pub fn is_checked(&self) -> bool {
        self.lengths.len() > 1
    }

    /// Half width of the range of every area, as a share of it: an area goes with the square of the
    /// scale.
    pub fn area_spread(&self) -> f64 {
        (1.0 + self.spread).powi(2) - 1.0
    }
}

/// Compares the taped lengths with the plan.
pub fn scale_of(property: &Property) -> Scale {
    let lengths: Vec<Compared> = property
        .taped
        .iter()
        .filter_map(|taped| {
            let drawn = property.place(&taped.from)?.distance(property.place(&taped.to)?);
            let element = ElementRef::new(Kind::Taped, &taped.id);
            (drawn > PICKED).then_some(Compared { element, taped: taped.length.value, drawn })
        })
        .collect();
    if lengths.is_empty() {
        return Scale { factor: 1.0, spread: UNTAPED, lengths };
    }
    let taped: f64 = lengths.iter().map(|one| one.taped).sum();
    let drawn: f64 = lengths.iter().map(|one| one.drawn).sum();
    let single = || lengths.iter().map(|one| one.taped / one.drawn);
    let half_range = (single().fold(f64::MIN, f64::max) - single().fold(f64::MAX, f64::min)) / 2.0;
    // Two ends, each off in its own way, over what was taped in all.
    let picking = PICKED * f64::sqrt(2.0 * lengths.len() as f64) / drawn;
    Scale { factor: taped / drawn, spread: half_range.max(picking), lengths }
}

impl Property {
    /// Where a place lies. [m] `None` where it names a reference point that there is not.
    pub fn place(&self, place: &Place) -> Option<Point> {
        match place {
            Place::At(point) => Some(*point),
            Place::Survey { point, offset } => {
                Some(self.references.iter().find(|one| one.id == *point)?.at.value + *offset)
            }
        }
    }
}
