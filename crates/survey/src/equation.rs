//! What each kind of reading should be, from the points, and how it changes when they move.
//!
//! - In: a reading and the places of its points. Out: the computed value and its derivatives.
//! - Method: plane geometry, differentiated by hand; a test compares with differences.

use std::f64::consts::PI;

use groundwright_geometry::{Point, Vec2};

use crate::network::Observed;

/// A computed reading: its value, and for each of its points the gradient by x and y.
#[derive(Debug, Clone, PartialEq)]
pub struct Computed {
    /// The value. [m, rad]
    pub value: f64,
    /// Points with gradients. [m/m, rad/m]
    pub gradients: Vec<(usize, Vec2)>,
}

/// Value of a reading at given places. [m, rad] Not a number where points coincide.
pub fn value(observed: Observed, at: &[Point]) -> f64 {
    match observed {
        Observed::Distance { from, to } => (at[to] - at[from]).hypot(),
        Observed::Along { point, from, to } => {
            let line = at[to] - at[from];
            (at[point] - at[from]).dot(line) / line.hypot()
        }
        Observed::Across { point, from, to } => {
            let line = at[to] - at[from];
            line.cross(at[point] - at[from]) / line.hypot()
        }
        Observed::Angle { at: vertex, from, to } => {
            let (a, b) = (at[from] - at[vertex], at[to] - at[vertex]);
            a.cross(b).abs().atan2(a.dot(b))
        }
    }
}

/// Value and gradients; `None` where points coincide.
pub fn linearise(observed: Observed, at: &[Point]) -> Option<Computed> {
    let value = value(observed, at);
    let gradients = match observed {
        Observed::Distance { from, to } => {
            let unit = (at[to] - at[from]) / value;
            vec![(from, -unit), (to, unit)]
        }
        Observed::Along { point, from, to } => {
            let line = at[to] - at[from];
            let (length, unit) = (line.hypot(), line / line.hypot());
            let across = unit.cross(at[point] - at[from]);
            // Turning the line by its end moves the foot by the offset.
            let end = left(unit) * (across / length);
            vec![(point, unit), (to, end), (from, -unit - end)]
        }
        Observed::Across { point, from, to } => {
            let line = at[to] - at[from];
            let (length, unit) = (line.hypot(), line / line.hypot());
            let normal = left(unit);
            let along = (at[point] - at[from]).dot(unit);
            let end = -normal * (along / length);
            vec![(point, normal), (to, end), (from, -normal - end)]
        }
        Observed::Angle { at: vertex, from, to } => {
            let (a, b) = (at[from] - at[vertex], at[to] - at[vertex]);
            let sense = if a.cross(b) < 0.0 { -1.0 } else { 1.0 };
            let to_gradient = left(b) * (sense / b.hypot2());
            let from_gradient = -left(a) * (sense / a.hypot2());
            vec![(to, to_gradient), (from, from_gradient), (vertex, -to_gradient - from_gradient)]
        }
    };
    let finite = value.is_finite() && gradients.iter().all(|(_, gradient)| gradient.is_finite());
    finite.then_some(Computed { value, gradients })
}

/// The vector turned left by a right angle.
pub fn left(vector: Vec2) -> Vec2 {
    Vec2::new(-vector.y, vector.x)
}

/// Difference of two readings of a kind; of angles the shorter way round. [m, rad]
pub fn misfit(observed: Observed, read: f64, computed: f64) -> f64 {
    let difference = read - computed;
    match observed {
        Observed::Angle { .. } => (difference + PI).rem_euclid(2.0 * PI) - PI,
        _ => difference,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gradients_agree_with_differences() {
        let places = [Point::new(0.3, -0.2), Point::new(7.1, 2.4), Point::new(2.9, 5.3)];
        let kinds = [
            Observed::Distance { from: 0, to: 1 },
            Observed::Along { point: 2, from: 0, to: 1 },
            Observed::Across { point: 2, from: 0, to: 1 },
            Observed::Angle { at: 2, from: 0, to: 1 },
            Observed::Angle { at: 2, from: 1, to: 0 },
        ];
        for observed in kinds {
            for (point, gradient) in linearise(observed, &places).unwrap().gradients {
                for (step, slope) in [(Vec2::new(1e-6, 0.0), gradient.x), (Vec2::new(0.0, 1e-6), gradient.y)]
                {
                    let (mut up, mut down) = (places, places);
                    up[point] += step;
                    down[point] -= step;
                    let numeric = (value(observed, &up) - value(observed, &down)) / 2e-6;
                    assert!((numeric - slope).abs() < 1e-8, "{observed:?} {point}: {numeric} {slope}");
                }
            }
        }
    }

    #[test]
    fn points_in_one_place_have_no_direction() {
        let same = [Point::new(1.0, 1.0); 3];
        assert!(linearise(Observed::Distance { from: 0, to: 1 }, &same).is_none());
        assert!(linearise(Observed::Angle { at: 2, from: 0, to: 1 }, &same).is_none());
    }
}
