//! Parts and copies of a curve: a piece by station, the reverse, the flattened line.
//!
//! - In: stations or a tolerance [m]. Out: curves or points.
//! - Method: segments are cut at the parameter of a station.

use kurbo::{ParamCurve, PathSeg, Point};

use super::foot::chord_count;
use super::{Curve, STATION_ACCURACY};
use crate::fault::{GeometryFault, SAME_POINT, check_positive};

impl Curve {
    /// The piece between two stations, an open curve.
    ///
    /// On a closed curve the piece runs forward from `from` and wraps round when `to` is below
    /// it; `to` may lie beyond the length, as [`Curve::intervals_outside`] gives it. A whole turn
    /// gives the curve opened at `from`. On an open curve the stations stop at the ends.
    ///
    /// # Errors
    /// [`GeometryFault::NotPositive`] if less than 1 mm is left.
    pub fn sub(&self, from: f64, to: f64) -> Result<Self, GeometryFault> {
        let length = self.length();
        let (from, span) = if self.closed {
            let start = self.on_curve(from);
            let span = if to < from { (to - from).rem_euclid(length) } else { to - from };
            (start, span.min(length))
        } else {
            let start = self.on_curve(from);
            (start, self.on_curve(to) - start)
        };
        if !(span.is_finite() && span >= SAME_POINT) {
            let value = if span.is_finite() { span } else { 0.0 };
            return Err(GeometryFault::NotPositive { what: "the piece of the curve", value });
        }
        let mut segments = self.cut(from, (from + span).min(length));
        // An open curve only gets here by rounding.
        if self.closed && from + span > length + STATION_ACCURACY {
            segments.extend(self.cut(0.0, from + span - length));
        }
        Self::from_segments(segments, false)
    }

    /// Segments between two rising stations on the curve.
    fn cut(&self, from: f64, to: f64) -> Vec<PathSeg> {
        let ((first, start), (last, end)) = (self.locate(from), self.locate(to));
        let piece = |i: usize| {
            let low = if i == first { start } else { 0.0 };
            let high = if i == last { end } else { 1.0 };
            (high > low).then(|| self.segments[i].subsegment(low..high))
        };
        (first..=last).filter_map(piece).collect()
    }

    /// The same curve run the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let segments = self.segments.iter().rev().map(PathSeg::reverse).collect::<Vec<_>>();
        let length = self.length();
        let stations = self.stations.iter().rev().map(|station| length - station).collect();
        Self {
            path: super::path_of(&segments, self.closed),
            closed: self.closed,
            segments,
            stations,
            feet: std::sync::OnceLock::new(),
        }
    }

    /// Points on the curve, ends and joints among them, whose straight line keeps within
    /// `tolerance` of it. A closed curve does not repeat its first point. [m]
    ///
    /// A tolerance that is not above zero counts as 1 mm, a smaller one than 1 µm as 1 µm.
    pub fn flatten(&self, tolerance: f64) -> Vec<Point> {
        let tolerance =
            check_positive("the tolerance", tolerance).map_or(SAME_POINT, |()| tolerance.max(1e-6));
        let mut points = vec![self.start()];
        for segment in &self.segments {
            let pieces = chord_count(segment, tolerance);
            points.extend((1..pieces).map(|i| segment.eval(i as f64 / pieces as f64)));
            points.push(segment.end());
        }
        if self.closed {
            points.pop();
        }
        points
    }
}
