//! Circular arcs on the ground: chord and middle ordinate, three points, stations, areas.
//!
//! - In: radius and chord, or points. Out: what is taped to lay the curve, and back again.
//! - Method: plane geometry. Offsets are positive to the left of travel.

use std::f64::consts::{PI, TAU};

use groundwright_geometry::{Point, Vec2};

use crate::SurveyError;

/// What lays a chord's arc on the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chord {
    /// Radius. [m]
    pub radius: f64,
    /// Length of the chord. [m]
    pub chord: f64,
    /// Length along the arc. [m]
    pub arc: f64,
    /// Offset at the middle of the chord. [m]
    pub mid_ordinate: f64,
    /// The usual shortcut c² / 8R for it, too small on tight curves. [m]
    pub mid_ordinate_shortcut: f64,
    /// Area between chord and arc. [m²]
    pub segment_area: f64,
    /// From the chord's end along the tangent to where both tangents meet; infinite for a half
    /// circle. [m]
    pub tangent: f64,
}

impl Chord {
    /// A chord of a circle.
    ///
    /// # Errors
    /// [`SurveyError::Geometry`] where the chord is longer than the diameter or one is not above 0.
    pub fn new(radius: f64, chord: f64) -> Result<Self, SurveyError> {
        if !(radius.is_finite() && radius > 0.0 && chord > 0.0 && chord <= 2.0 * radius) {
            return Err(SurveyError::Geometry {
                what: format!("a chord of {chord} m on a radius of {radius} m"),
                mend: "expected a radius above zero and a chord no longer than the diameter",
            });
        }
        let half_angle = (chord / (2.0 * radius)).asin();
        let apothem = (radius * radius - chord * chord / 4.0).sqrt();
        Ok(Self {
            radius,
            chord,
            arc: 2.0 * radius * half_angle,
            mid_ordinate: radius - apothem,
            mid_ordinate_shortcut: chord * chord / (8.0 * radius),
            segment_area: radius * radius * (half_angle - half_angle.sin() * half_angle.cos()),
            tangent: radius * half_angle.tan(),
        })
    }

    /// Offset from the chord to the arc at a share of the chord's length. [m]
    pub fn offset_at(&self, share: f64) -> f64 {
        let from_middle = (share - 0.5) * self.chord;
        let apothem = self.radius - self.mid_ordinate;
        (self.radius * self.radius - from_middle * from_middle).max(0.0).sqrt() - apothem
    }

    /// Rows of a table for laying the arc: distance along the chord and offset, at even distances
    /// with the chord's end last. [m]
    pub fn table(&self, step: f64) -> Vec<(f64, f64)> {
        if !(step.is_finite() && step > 0.0) {
            return Vec::new();
        }
        let steps = (self.chord / step).floor().min(10_000.0) as usize;
        let mut rows: Vec<(f64, f64)> =
            (0..=steps).map(|k| k as f64 * step).map(|at| (at, self.offset_at(at / self.chord))).collect();
        if self.chord - steps as f64 * step > 1e-9 {
            rows.push((self.chord, 0.0));
        }
        rows
    }
}

/// Radius from a chord and its middle ordinate, c² / 8M + M / 2. [m]
///
/// # Errors
/// [`SurveyError::Geometry`] where one is not above zero.
pub fn radius_from(chord: f64, mid_ordinate: f64) -> Result<f64, SurveyError> {
    let radius = chord * chord / (8.0 * mid_ordinate) + mid_ordinate / 2.0;
    if radius.is_finite() && chord > 0.0 && mid_ordinate > 0.0 {
        return Ok(radius);
    }
    Err(SurveyError::Geometry {
        what: format!("a chord of {chord} m with a middle ordinate of {mid_ordinate} m"),
        mend: "expected two lengths above zero",
    })
}

/// An arc of a circle, with the sense in which it is travelled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arc {
    /// Centre. [m]
    pub centre: Point,
    /// Radius. [m]
    pub radius: f64,
    /// Direction from the centre to the start, counter-clockwise from east. [rad]
    pub start: f64,
    /// Angle travelled, counter-clockwise positive; a full turn where the end is not given. [rad]
    pub sweep: f64,
}

impl Arc {
    /// The arc through three points in order.
    ///
    /// # Errors
    /// [`SurveyError::Geometry`] where they lie on one line.
    pub fn through(points: [Point; 3]) -> Result<Self, SurveyError> {
        let [a, b, c] = points;
        let (u, v) = (b - a, c - a);
        let twice = 2.0 * u.cross(v);
        let size = u.hypot().max(v.hypot());
        if twice.is_nan() || twice.abs() <= 1e-9 * size * size {
            return Err(SurveyError::Geometry {
                what: "the three points lie on one line".to_owned(),
                mend: "lay a straight line, or move the middle point off it",
            });
        }
        let (uu, vv) = (u.hypot2(), v.hypot2());
        let centre = a + Vec2::new(v.y * uu - u.y * vv, u.x * vv - v.x * uu) / twice;
        let start = (a - centre).atan2();
        let left = twice > 0.0;
        let turn = |to: f64| if left { (to - start).rem_euclid(TAU) } else { -(start - to).rem_euclid(TAU) };
        Ok(Self { centre, radius: (a - centre).hypot(), start, sweep: turn((c - centre).atan2()) })
    }

    /// Whether it turns left.
    pub fn turns_left(&self) -> bool {
        self.sweep > 0.0
    }

    /// Its length. [m]
    pub fn length(&self) -> f64 {
        self.radius * self.sweep.abs()
    }

    /// The place at a station along the arc and an offset to the left of travel. [m]
    pub fn place(&self, station: f64, offset: f64) -> Point {
        let sense = self.sweep.signum();
        let angle = self.start + sense * station / self.radius;
        self.centre + Vec2::from_angle(angle) * (self.radius - sense * offset)
    }
}

/// Area and perimeter of a ring of straight and circular sides. [m², m]
///
/// # Arguments
/// - `corners`: each with the bulge of the side that leaves it: the tangent of a quarter of its
///   angle, positive where it turns left; 0 for a straight side.
pub fn bulged_ring(corners: &[(Point, f64)]) -> (f64, f64) {
    let straight: Vec<Point> = corners.iter().map(|(at, _)| *at).collect();
    let mut area = crate::traverse::area_by_coordinates(&straight);
    let mut perimeter = 0.0;
    for (i, (from, bulge)) in corners.iter().enumerate() {
        let chord = (corners[(i + 1) % corners.len()].0 - *from).hypot();
        let angle = 4.0 * bulge.atan();
        if angle.abs() < 1e-12 || chord == 0.0 {
            perimeter += chord;
            continue;
        }
        let radius = chord / (2.0 * (angle / 2.0).sin().abs());
        perimeter += radius * angle.abs();
        area += radius * radius * (angle - angle.sin()) / 2.0;
    }
    (area, perimeter)
}

/// Angle of an arc from its bulge, and back: a bulge of 1 is a half circle. [rad]
pub fn angle_of_bulge(bulge: f64) -> f64 {
    (4.0 * bulge.atan()).clamp(-2.0 * PI, 2.0 * PI)
}
