//! A second frame of the plan, such as one square to the house, and names of bearings.
//!
//! - In: an origin and a rotation. Out: places from one frame in the other.
//! - A bearing is clockwise from north; an angle is counter-clockwise from east.
//! - Not here: where true north is on the plan (the property says so).

use std::f64::consts::{FRAC_PI_2, FRAC_PI_8, TAU};

use kurbo::{Point, Vec2};

/// A frame within the plan: its origin, and how far its x axis is turned from the plan's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Origin, in plan coordinates. [m]
    pub origin: Point,
    /// Angle from the plan's x axis to the frame's, counter-clockwise. [rad]
    pub rotation: f64,
}

impl Frame {
    /// The frame that is the plan itself.
    pub const PLAN: Self = Self { origin: Point::ORIGIN, rotation: 0.0 };

    /// The frame with its origin at `from` and its x axis towards `toward`, as square to a wall;
    /// none if the two are the same place or not finite.
    pub fn along(from: Point, toward: Point) -> Option<Self> {
        let axis = toward - from;
        (axis.is_finite() && axis.hypot() > 0.0).then(|| Self { origin: from, rotation: axis.atan2() })
    }

    /// A place of the plan in this frame. [m]
    pub fn to_local(&self, place: Point) -> Point {
        self.to_local_vector(place - self.origin).to_point()
    }

    /// A place of this frame in the plan. [m]
    pub fn to_global(&self, place: Point) -> Point {
        self.origin + self.to_global_vector(place.to_vec2())
    }

    /// A direction of the plan in this frame.
    pub fn to_local_vector(&self, vector: Vec2) -> Vec2 {
        turn(vector, -self.rotation)
    }

    /// A direction of this frame in the plan.
    pub fn to_global_vector(&self, vector: Vec2) -> Vec2 {
        turn(vector, self.rotation)
    }
}

fn turn(vector: Vec2, angle: f64) -> Vec2 {
    let (sin, cos) = angle.sin_cos();
    Vec2::new(vector.x * cos - vector.y * sin, vector.x * sin + vector.y * cos)
}

/// Bearing of a direction, clockwise from north, from 0 to below 2π; 0 for no direction. [rad]
pub fn bearing(direction: Vec2) -> f64 {
    if !direction.is_finite() || direction.hypot() == 0.0 {
        return 0.0;
    }
    let bearing = (FRAC_PI_2 - direction.atan2()).rem_euclid(TAU);
    if bearing >= TAU { 0.0 } else { bearing }
}

/// Unit direction of a bearing.
pub fn direction(bearing: f64) -> Vec2 {
    Vec2::from_angle(FRAC_PI_2 - bearing)
}

/// Name of the nearest of the sixteen points of the compass, such as "south-southwest".
///
/// A bearing that is not finite counts as north.
pub fn compass_name(bearing: f64) -> &'static str {
    COMPASS[compass_point(bearing)].0
}

/// Abbreviation of the nearest of the sixteen points of the compass, such as "SSW".
pub fn compass_abbreviation(bearing: f64) -> &'static str {
    COMPASS[compass_point(bearing)].1
}

fn compass_point(bearing: f64) -> usize {
    let turn = if bearing.is_finite() { bearing.rem_euclid(TAU) } else { 0.0 };
    (turn / FRAC_PI_8).round() as usize % COMPASS.len()
}

const COMPASS: [(&str, &str); 16] = [
    ("north", "N"),
    ("north-northeast", "NNE"),
    ("northeast", "NE"),
    ("east-northeast", "ENE"),
    ("east", "E"),
    ("east-southeast", "ESE"),
    ("southeast", "SE"),
    ("south-southeast", "SSE"),
    ("south", "S"),
    ("south-southwest", "SSW"),
    ("southwest", "SW"),
    ("west-southwest", "WSW"),
    ("west", "W"),
    ("west-northwest", "WNW"),
    ("northwest", "NW"),
    ("north-northwest", "NNW"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bearings_run_clockwise_from_north() {
        for (x, y, name) in [(0., 1., "N"), (1., 1., "NE"), (1., 0., "E"), (-1., -2.4, "SSW")] {
            assert_eq!(compass_abbreviation(bearing(Vec2::new(x, y))), name);
        }
        assert_eq!(compass_name(TAU - 0.01), "north");
        assert!(direction(FRAC_PI_2).x > 0.999_999);
    }

    #[test]
    fn a_house_turned_left_sees_its_own_front_straight() {
        let frame = Frame::along(Point::new(3., 1.), Point::new(3., 5.)).unwrap();
        assert!(frame.to_local(Point::new(3., 5.)).distance(Point::new(4., 0.)) < 1e-12);
        assert!(frame.to_global(Point::new(0., 2.)).distance(Point::new(1., 1.)) < 1e-12);
    }
}
