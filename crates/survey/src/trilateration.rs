//! Two tapes to one point, and the loci on which a single reading leaves a point.
//!
//! - In: two circles or lines. Out: where they meet, and at what angle.
//! - Method: u = (dA² − dB² + L²) / 2L along the base, v = ±√(dA² − u²) square to it; plane geometry.

use groundwright_geometry::{Point, Vec2};

use crate::SurveyError;
use crate::equation::left;

/// Where two tapes meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TwoTapes {
    /// Distance along the base from its first end. [m]
    pub along: f64,
    /// Distance square to the base; `None` where the tapes do not meet. [m]
    pub across: Option<f64>,
    /// The place on the left of the base. [m]
    pub left: Option<Point>,
    /// The place on the right of the base. [m]
    pub right: Option<Point>,
    /// Angle between the tapes at the point; best near a right angle. [rad]
    pub crossing: Option<f64>,
    /// By how much the tapes are too short to meet. [m]
    pub gap_outside: f64,
    /// By how much the longer tape passes the shorter one's reach. [m]
    pub gap_inside: f64,
}

/// Two taped distances from the ends of a base.
///
/// # Arguments
/// - `a`, `b`: ends of the base. [m]
/// - `from_a`, `from_b`: the tapes. [m] Above zero.
///
/// # Errors
/// [`SurveyError::Geometry`] where the base or a tape has no length.
pub fn two_tapes(a: Point, b: Point, from_a: f64, from_b: f64) -> Result<TwoTapes, SurveyError> {
    let base = (b - a).hypot();
    let good = [base, from_a, from_b].iter().all(|length| length.is_finite() && *length > 0.0);
    if !good {
        return Err(SurveyError::Geometry {
            what: format!("the base is {base} m long, the tapes {from_a} m and {from_b} m"),
            mend: "expected three finite lengths above zero",
        });
    }
    let unit = (b - a) / base;
    let along = (from_a * from_a - from_b * from_b + base * base) / (2.0 * base);
    let square = from_a * from_a - along * along;
    // Where the tapes meet on the base itself, rounding must not part them.
    let across = (square >= -1e-12 * base * base).then(|| square.max(0.0).sqrt());
    let place = |v: f64| a + unit * along + left(unit) * v;
    let cosine = (from_a * from_a + from_b * from_b - base * base) / (2.0 * from_a * from_b);
    Ok(TwoTapes {
        along,
        across,
        left: across.map(place),
        right: across.map(|v| place(-v)),
        crossing: across.map(|_| cosine.clamp(-1.0, 1.0).acos()),
        gap_outside: (base - from_a - from_b).max(0.0),
        gap_inside: ((from_a - from_b).abs() - base).max(0.0),
    })
}

/// Where a point can be, by one reading from known points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Locus {
    /// On a circle.
    Circle {
        /// Centre. [m]
        centre: Point,
        /// Radius. [m]
        radius: f64,
    },
    /// On a line.
    Line {
        /// A point of it. [m]
        through: Point,
        /// Its unit direction.
        unit: Vec2,
    },
}

impl Locus {
    /// Whether another locus says the same, so that the two do not fix a point.
    fn repeats(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Circle { centre: a, .. }, Self::Circle { centre: b, .. }) => (*a - *b).hypot() < 1e-6,
            (Self::Line { unit: a, .. }, Self::Line { unit: b, .. }) => a.cross(*b).abs() < 1e-6,
            _ => false,
        }
    }

    /// Where two loci meet, or come closest; one or two places, none where they say the same. [m]
    pub fn meet(&self, other: &Self) -> Vec<Point> {
        if self.repeats(other) {
            return Vec::new();
        }
        match (*self, *other) {
            (Self::Line { through: a, unit: u }, Self::Line { through: b, unit: v }) => {
                vec![a + u * ((b - a).cross(v) / u.cross(v))]
            }
            (Self::Line { through, unit }, Self::Circle { centre, radius })
            | (Self::Circle { centre, radius }, Self::Line { through, unit }) => {
                let foot = through + unit * (centre - through).dot(unit);
                let half = (radius * radius - (foot - centre).hypot2()).max(0.0).sqrt();
                pair(foot, unit * half)
            }
            (Self::Circle { centre: a, radius: ra }, Self::Circle { centre: b, radius: rb }) => {
                let base = (b - a).hypot();
                let unit = (b - a) / base;
                let along = ((ra * ra - rb * rb + base * base) / (2.0 * base)).clamp(-ra, ra);
                pair(a + unit * along, left(unit) * (ra * ra - along * along).max(0.0).sqrt())
            }
        }
    }
}

fn pair(middle: Point, half: Vec2) -> Vec<Point> {
    if half.hypot() < 1e-9 { vec![middle] } else { vec![middle + half, middle - half] }
}
