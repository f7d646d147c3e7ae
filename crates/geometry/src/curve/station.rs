//! Questions by station: place, direction and bend at a length along the curve.
//!
//! - In: a station [m]. On a closed curve stations wrap round; on an open one they stop at the
//!   ends, and a station that is not a number counts as the start.
//! - Out: point, unit tangent, unit normal to the left of travel, signed curvature.
//! - Method: binary search for the segment, then the inverse arc length within it.

use kurbo::{CubicBez, Line, ParamCurve, ParamCurveCurvature, ParamCurveDeriv, PathSeg, Point, Vec2};

use super::arc_length::{length_to, parameter_at};
use super::{Curve, STATION_ACCURACY};

impl Curve {
    /// Length of the curve. [m]
    pub fn length(&self) -> f64 {
        self.stations[self.stations.len() - 1]
    }

    /// The point at a station. [m]
    pub fn point(&self, station: f64) -> Point {
        let (index, t) = self.locate(station);
        self.segments[index].eval(t)
    }

    /// The unit tangent at a station, in the direction of travel; at a corner, of the piece that
    /// starts there.
    pub fn tangent(&self, station: f64) -> Vec2 {
        let (index, t) = self.locate(station);
        direction(&self.segments[index], t)
    }

    /// The unit normal at a station, to the left of travel.
    pub fn normal(&self, station: f64) -> Vec2 {
        let tangent = self.tangent(station);
        Vec2::new(-tangent.y, tangent.x)
    }

    /// Signed curvature at a station, above zero where the curve bends left. [1/m]
    pub fn curvature(&self, station: f64) -> f64 {
        let (index, t) = self.locate(station);
        curvature(&self.segments[index], t)
    }

    /// Least radius of bend over the smooth pieces; infinite if all are straight. Corners between
    /// pieces are not bends, see [`Curve::corners`]. [m]
    ///
    /// The curvature of each cubic is sampled at 32 places and the sharpest of them refined, so a
    /// cusp narrower than that may be missed.
    pub fn least_radius(&self) -> f64 {
        let sharpest = self
            .segments
            .iter()
            .filter(|segment| !matches!(segment, PathSeg::Line(_)))
            .map(sharpest_bend)
            .fold(0.0, f64::max);
        if sharpest > 1e-12 { 1.0 / sharpest } else { f64::INFINITY }
    }

    /// Stations at which the direction turns by more than `angle` at once, rising. [m]
    ///
    /// # Arguments
    /// - `angle`: smallest turn that counts as a corner. [rad]
    pub fn corners(&self, angle: f64) -> Vec<f64> {
        let count = self.segments.len();
        let first = usize::from(!self.closed);
        (first..count)
            .filter(|&i| {
                let before = &self.segments[(i + count - 1) % count];
                let (arrive, leave) = (direction(before, 1.0), direction(&self.segments[i], 0.0));
                arrive.cross(leave).atan2(arrive.dot(leave)).abs() > angle
            })
            .map(|i| self.stations[i])
            .collect()
    }

    /// A station brought onto the curve: wrapped round a closed one, stopped at the ends of an
    /// open one. [m]
    pub fn on_curve(&self, station: f64) -> f64 {
        let length = self.length();
        if !station.is_finite() {
            return if station == f64::INFINITY && !self.closed { length } else { 0.0 };
        }
        if self.closed && !(0.0..=length).contains(&station) {
            let wrapped = station.rem_euclid(length);
            return if wrapped >= length { 0.0 } else { wrapped };
        }
        station.clamp(0.0, length)
    }

    /// Segment and parameter of a station.
    pub(super) fn locate(&self, station: f64) -> (usize, f64) {
        let station = self.on_curve(station);
        let last = self.segments.len() - 1;
        let index = self.stations.partition_point(|&s| s <= station).saturating_sub(1).min(last);
        (index, self.parameter(index, station - self.stations[index]))
    }

    /// Parameter at which a segment has run the given length.
    fn parameter(&self, index: usize, length: f64) -> f64 {
        let whole = self.stations[index + 1] - self.stations[index];
        if length <= 0.0 {
            return 0.0;
        }
        if length >= whole {
            return 1.0;
        }
        let t = match &self.segments[index] {
            PathSeg::Cubic(cubic) => parameter_at(cubic, length, whole, STATION_ACCURACY / 10.0),
            PathSeg::Line(_) | PathSeg::Quad(_) => length / whole,
        };
        if t.is_finite() { t.clamp(0.0, 1.0) } else { length / whole }
    }

    /// Station of a parameter on a segment. [m]
    pub(super) fn station_of(&self, index: usize, t: f64) -> f64 {
        let whole = self.stations[index + 1] - self.stations[index];
        let run = match &self.segments[index] {
            _ if t <= 0.0 => 0.0,
            _ if t >= 1.0 => whole,
            segment => length_to(segment, t, STATION_ACCURACY / 10.0).min(whole),
        };
        self.stations[index] + run
    }
}

/// Unit direction of travel on a segment; where the derivative vanishes, that of its surroundings.
pub(super) fn direction(segment: &PathSeg, t: f64) -> Vec2 {
    let derivative = match segment {
        PathSeg::Line(line) => line.p1 - line.p0,
        PathSeg::Quad(quad) => quad.deriv().eval(t).to_vec2(),
        PathSeg::Cubic(cubic) => cubic.deriv().eval(t).to_vec2(),
    };
    let size = derivative.hypot();
    if size > 1e-9 {
        return derivative / size;
    }
    let step = 1e-3;
    let (from, to) = ((t - step).max(0.0), (t + step).min(1.0));
    let across = segment.eval(to) - segment.eval(from);
    let chord = segment.end() - segment.start();
    [across, chord, Vec2::new(1.0, 0.0)]
        .into_iter()
        .find(|v| v.hypot() > 1e-12)
        .map_or(Vec2::new(1.0, 0.0), Vec2::normalize)
}

/// Signed curvature of a segment, zero where it is not defined. [1/m]
fn curvature(segment: &PathSeg, t: f64) -> f64 {
    let value = match segment {
        PathSeg::Line(line) => Line::curvature(line, t),
        PathSeg::Quad(quad) => quad.curvature(t),
        PathSeg::Cubic(cubic) => CubicBez::curvature(cubic, t),
    };
    // The library counts a bend to the right (y up) as above zero.
    if value.is_finite() { -value } else { 0.0 }
}

/// Largest absolute curvature of a segment: samples, then thirds about the best. [1/m]
fn sharpest_bend(segment: &PathSeg) -> f64 {
    const SAMPLES: usize = 32;
    let bend = |t: f64| curvature(segment, t).abs();
    let best = (0..=SAMPLES)
        .map(|i| i as f64 / SAMPLES as f64)
        .max_by(|a, b| bend(*a).total_cmp(&bend(*b)))
        .unwrap_or(0.0);
    let (mut low, mut high) =
        ((best - 1.0 / SAMPLES as f64).max(0.0), (best + 1.0 / SAMPLES as f64).min(1.0));
    let mut sharpest = bend(best);
    for _ in 0..40 {
        let (a, b) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
        sharpest = sharpest.max(bend(a)).max(bend(b));
        if bend(a) < bend(b) {
            low = a;
        } else {
            high = b;
        }
    }
    sharpest
}
