//! A curve against a region: where it enters and leaves, and what lies outside.
//!
//! - In: a curve and a region. Out: crossings and intervals of stations.
//! - Method: each edge of the region is met with each piece whose box it touches; between two
//!   meetings the curve is inside or outside as its middle is.
//! - A curve that runs along the boundary may count as either; grow or shrink the region first.

use kurbo::{Line, PathSeg, Point, Rect, Shape};

use super::Curve;
use crate::region::{Region, RegionIndex};

/// A place at which a curve enters or leaves a region.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// Station of the crossing. [m]
    pub station: f64,
    /// The crossing itself. [m]
    pub point: Point,
    /// Whether the curve enters the region there; otherwise it leaves.
    pub enters: bool,
}

impl Curve {
    /// Where the curve enters or leaves a region, by rising station.
    pub fn crossings(&self, region: &Region) -> Vec<Crossing> {
        let runs = self.runs(&self.within_reach(region));
        let count = runs.len();
        let first = usize::from(!self.closed || count < 2);
        (first..count)
            .filter(|&i| runs[i].inside != runs[(i + count - 1) % count].inside)
            .map(|i| Crossing {
                station: runs[i].from,
                point: self.point(runs[i].from),
                enters: runs[i].inside,
            })
            .collect()
    }

    /// Intervals of stations outside a region, by rising station.
    ///
    /// On a closed curve an interval that runs through the start is given once, at the end of the
    /// list, with an end beyond the length; [`Curve::sub`] takes it as it is. [m]
    pub fn intervals_outside(&self, region: &Region) -> Vec<(f64, f64)> {
        self.intervals(&self.within_reach(region), false)
    }

    /// Intervals of stations inside a region, like [`Curve::intervals_outside`]. [m]
    pub fn intervals_inside(&self, region: &Region) -> Vec<(f64, f64)> {
        self.stretches_inside(&self.within_reach(region))
    }

    /// As [`Curve::intervals_inside`], of a region that is asked about many curves. [m]
    pub fn stretches_inside(&self, region: &RegionIndex) -> Vec<(f64, f64)> {
        self.intervals(region, true)
    }

    /// The edges of a region in order, or of none where the curve cannot meet it.
    fn within_reach(&self, region: &Region) -> RegionIndex {
        let around = self.path().bounding_box().inflate(SLACK, SLACK);
        let meets = region.bounds().is_some_and(|bounds| bounds.overlaps(around));
        if meets { RegionIndex::new(region) } else { RegionIndex::new(&Region::empty()) }
    }

    fn intervals(&self, region: &RegionIndex, inside: bool) -> Vec<(f64, f64)> {
        let mut intervals: Vec<(f64, f64)> = Vec::new();
        for run in self.runs(region).iter().filter(|run| run.inside == inside) {
            match intervals.last_mut() {
                Some(last) if last.1 >= run.from => last.1 = run.to,
                _ => intervals.push((run.from, run.to)),
            }
        }
        let length = self.length();
        let through_start = self.closed
            && intervals.len() > 1
            && intervals[0].0 <= 0.0
            && intervals[intervals.len() - 1].1 >= length;
        if through_start {
            let (_, first_end) = intervals.remove(0);
            if let Some(last) = intervals.last_mut() {
                last.1 = length + first_end;
            }
        }
        intervals
    }

    /// The curve cut where it meets the region's edges, each run inside or outside.
    fn runs(&self, region: &RegionIndex) -> Vec<Run> {
        let length = self.length();
        let reach = region.bounds().map(|bounds| bounds.inflate(SLACK, SLACK));
        let apart = |bounds: Rect| reach.is_none_or(|reach| !reach.overlaps(bounds));
        if apart(self.path().bounding_box()) {
            return vec![Run { from: 0.0, to: length, inside: false }];
        }
        // A meeting at a joint may be missed by both pieces, so every joint is a cut as well.
        let mut cuts = self.stations.clone();
        for (index, segment) in self.segments.iter().enumerate() {
            let reach = segment.bounding_box().inflate(SLACK, SLACK);
            if apart(reach) {
                continue;
            }
            for edge in region.edges_near(reach) {
                cuts.extend(meetings(segment, edge).map(|t| self.station_of(index, t)));
            }
        }
        cuts.sort_by(f64::total_cmp);
        let mut runs: Vec<Run> = Vec::new();
        let mut from = 0.0;
        for &to in &cuts[1..] {
            // Shorter than the accuracy of a station: the same meeting found twice.
            if to - from < 2e-6 && to < length {
                continue;
            }
            let inside = region.contains(self.point(f64::midpoint(from, to)));
            match runs.last_mut() {
                Some(run) if run.inside == inside => run.to = to,
                _ => runs.push(Run { from, to, inside }),
            }
            from = to;
        }
        runs
    }
}

/// A stretch of a curve on one side of a region's boundary.
struct Run {
    from: f64,
    to: f64,
    inside: bool,
}

/// Edges are made longer by this at both ends, so that no meeting falls between two of them. [m]
const SLACK: f64 = 1e-6;

/// Parameters at which a segment meets an edge.
fn meetings(segment: &PathSeg, edge: Line) -> impl Iterator<Item = f64> {
    let along = edge.p1 - edge.p0;
    let more = along * (SLACK / along.hypot());
    segment
        .intersect_line(Line::new(edge.p0 - more, edge.p1 + more))
        .into_iter()
        .map(|meeting| meeting.segment_t)
        .filter(|t| t.is_finite())
}
