//! The face of the base course as straights, arcs and corners, and where it lies in the courses above.
//!
//! - Each course steps back by the setback towards the soil: an arc about a centre in the soil shrinks,
//!   one about a centre in front grows; at an outside corner both legs lose, at an inside corner both
//!   gain the setback times the tangent of half the turn.
//! - Corners part the alignment into runs. A place is told by its station along the base course; each
//!   course has a coordinate of its own, the length along its own face from its run's start.
//! - An arc that ends at a corner is trimmed along itself as if it were straight there: right to the
//!   square of setback over radius.

use crate::courses::error::CoursesError;
use crate::positive::within;

/// Which way the face bends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bend {
    /// Centre in the soil; an outside corner. Courses above are shorter.
    Convex,
    /// Centre in front; an inside corner. Courses above are longer.
    Concave,
}

/// A piece of the base course's face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Segment {
    /// A straight.
    Straight {
        /// Length. [m]
        length: f64,
    },
    /// An arc, tangent to its neighbours.
    Arc {
        /// Radius of the face. [m]
        radius: f64,
        /// Angle at the centre. [rad]
        sweep: f64,
        /// Where the centre lies.
        bend: Bend,
    },
    /// A corner; it has no length.
    Corner {
        /// Turn of the direction, above 0 and below 180°. [rad]
        turn: f64,
        /// Outside or inside.
        bend: Bend,
    },
}

/// Arcs and straights between two corners, or between a corner and an end.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Run {
    /// Station of its start and of its end along the base course. [m]
    pub from: f64,
    pub to: f64,
    /// Corner at its start and at its end: what a metre of setback takes off there, and which it is.
    pub start: Option<(f64, Bend)>,
    pub end: Option<(f64, Bend)>,
    spans: Vec<Span>,
}

/// A straight (no curvature) or an arc.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Span {
    from: f64,
    length: f64,
    /// One over the radius, positive for convex. [1/m]
    curvature: f64,
}

/// A run as one course sees it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Track {
    /// (station of the base, coordinate, coordinate to a metre of station), in order.
    knots: Vec<(f64, f64, f64)>,
    /// Length of the run in this course. [m]
    pub length: f64,
}

/// Parts an alignment into runs.
pub(crate) fn runs(segments: &[Segment]) -> Result<Vec<Run>, CoursesError> {
    let mut runs = Vec::new();
    let (mut station, mut start, mut spans): (f64, Option<(f64, Bend)>, Vec<Span>) = (0.0, None, Vec::new());
    for segment in segments {
        match *segment {
            Segment::Straight { length } => {
                crate::positive::above_zero("the length of a straight", length, "m")?;
                spans.push(Span { from: station, length, curvature: 0.0 });
                station += length;
            }
            Segment::Arc { radius, sweep, bend } => {
                crate::positive::above_zero("the radius of an arc", radius, "m")?;
                let good = sweep > 0.0 && sweep <= 2.0 * std::f64::consts::PI;
                within("the sweep of an arc", sweep, "rad", good, "an angle above 0, up to a full turn")?;
                let sign = if bend == Bend::Convex { 1.0 } else { -1.0 };
                spans.push(Span { from: station, length: radius * sweep, curvature: sign / radius });
                station += radius * sweep;
            }
            Segment::Corner { turn, bend } => {
                let good = turn > 0.0 && turn < 170_f64.to_radians();
                within("the turn of a corner", turn, "rad", good, "an angle above 0 and below 170° (2.967)")?;
                let sign = if bend == Bend::Convex { 1.0 } else { -1.0 };
                let corner = Some((sign * (turn / 2.0).tan(), bend));
                finish(&mut runs, &mut spans, station, start, corner)?;
                start = corner;
            }
        }
    }
    finish(&mut runs, &mut spans, station, start, None)?;
    Ok(runs)
}

fn finish(
    runs: &mut Vec<Run>,
    spans: &mut Vec<Span>,
    to: f64,
    start: Option<(f64, Bend)>,
    end: Option<(f64, Bend)>,
) -> Result<(), CoursesError> {
    let Some(first) = spans.first() else { return Err(CoursesError::NoRun { station: to }) };
    runs.push(Run { from: first.from, to, start, end, spans: std::mem::take(spans) });
    Ok(())
}

impl Run {
    /// The run in a course that lies back by `offset`. [m]
    ///
    /// # Errors
    /// An arc or a run that has shrunk to nothing.
    pub fn track(&self, offset: f64) -> Result<Track, CoursesError> {
        let mut knots = Vec::with_capacity(self.spans.len());
        let mut at = -self.start.map_or(0.0, |(share, _)| share * offset);
        for span in &self.spans {
            let scale = 1.0 - span.curvature * offset;
            if scale <= 0.0 {
                return Err(CoursesError::NoRadius {
                    station: span.from,
                    radius: 1.0 / span.curvature,
                    offset,
                });
            }
            knots.push((span.from, at, scale));
            at += span.length * scale;
        }
        let length = at - self.end.map_or(0.0, |(share, _)| share * offset);
        if length <= 0.0 {
            return Err(CoursesError::NoRun { station: self.from });
        }
        Ok(Track { knots, length })
    }

    /// Radii of the arcs: (station of the middle, radius, bend).
    pub fn arcs(&self) -> impl Iterator<Item = (f64, f64, f64, Bend)> + '_ {
        self.spans.iter().filter(|span| span.curvature != 0.0).map(|span| {
            let bend = if span.curvature > 0.0 { Bend::Convex } else { Bend::Concave };
            (span.from, span.from + span.length, 1.0 / span.curvature.abs(), bend)
        })
    }
}

impl Track {
    /// Coordinate of a station of the base.
    pub fn coordinate(&self, station: f64) -> f64 {
        let i = self.knots.partition_point(|k| k.0 <= station).saturating_sub(1);
        self.knots.get(i).map_or(station, |&(from, at, scale)| at + (station - from) * scale)
    }

    /// Station of the base for a coordinate.
    pub fn station(&self, coordinate: f64) -> f64 {
        let i = self.knots.partition_point(|k| k.1 <= coordinate).saturating_sub(1);
        self.knots.get(i).map_or(coordinate, |&(from, at, scale)| from + (coordinate - at) / scale)
    }
}

/// Length of a course's face along an alignment, corners and arcs as that course sees them. [m]
///
/// # Arguments
/// - `offset`: setback of the course against the base, a count of courses times the setback. [m]
pub fn face_length(segments: &[Segment], offset: f64) -> Result<f64, CoursesError> {
    crate::positive::not_below_zero("the setback of the course", offset, "m")?;
    runs(segments)?.iter().map(|run| run.track(offset).map(|track| track.length)).sum()
}
