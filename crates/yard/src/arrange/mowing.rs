//! The edge of a lawn as a mower meets it.
//!
//! - In: a lawn and what the mower can do [m]. Out: bends too tight to follow, parts narrower than
//!   the deck, scraps too small to be worth mowing.
//! - Method: the outline's turning is spread over half of each neighbouring edge, which gives an
//!   arc drawn as a polygon its own radius back. A bend is too tight where the outline turns,
//!   within half the least radius, by more than an arc of that radius would (half a radian, 29°).
//!   A turn below that leaves less than the width of a string trimmer.
//! - Narrow parts: [`Region::narrow_parts`].
//! - Source: common practice, no source; arcs by plane geometry.

use groundwright_geometry::{Point, Region};

/// What a mower can do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mower {
    /// Least radius that it follows in one go. [m]
    pub least_radius: f64,
    /// Width of its deck. [m]
    pub deck: f64,
    /// A piece of lawn smaller than this is a scrap. [m²]
    pub least_area: f64,
}

/// Which way an edge bends, seen from the lawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bend {
    /// The lawn runs into a corner: the mower cannot get into it.
    IntoCorner,
    /// Something juts into the lawn: the mower has to go round it.
    RoundPoint,
}

/// A stretch of edge that bends too tightly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TightBend {
    /// Ring of the lawn's edge, counted over all parts, outer ring of each part first.
    pub ring: usize,
    /// Station at which it begins, along the ring from its first point. [m]
    pub from: f64,
    /// Station at which it ends; beyond the ring's length if it runs through its start. [m]
    pub to: f64,
    /// The tightest place. [m]
    pub at: Point,
    /// Mean radius about that place over half the least radius of edge. [m]
    pub radius: f64,
    /// Which way it bends.
    pub bend: Bend,
}

/// What is wrong with a lawn's edge for a mower.
#[derive(Debug, Clone, PartialEq)]
pub struct LawnEdge {
    /// Bends that are too tight, ring by ring, by station.
    pub tight: Vec<TightBend>,
    /// Parts narrower than the deck.
    pub narrow: Region,
    /// Separate pieces smaller than the least area, with their areas. [m²]
    pub scraps: Vec<(Region, f64)>,
}

/// Why a lawn's edge cannot be checked.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MowingFault {
    /// A measure of the mower that is not usable.
    #[error("the mower's {what} is {value}, expected a finite number above zero")]
    NotPositive {
        /// Which measure.
        what: &'static str,
        /// The value given.
        value: f64,
    },
    /// A lawn without area.
    #[error("the lawn has no area; draw it again or check what is taken off it")]
    EmptyLawn,
}

/// Places per window at which the turning is read.
const READINGS: f64 = 8.0;

/// Checks the edge of a lawn.
pub fn check_lawn(lawn: &Region, mower: &Mower) -> Result<LawnEdge, MowingFault> {
    for (what, value) in
        [("least radius", mower.least_radius), ("deck width", mower.deck), ("least area", mower.least_area)]
    {
        if !(value.is_finite() && value > 0.0) {
            return Err(MowingFault::NotPositive { what, value });
        }
    }
    if lawn.is_empty() {
        return Err(MowingFault::EmptyLawn);
    }
    let rings = lawn.rings().into_iter().flatten().enumerate();
    let tight = rings.flat_map(|(i, ring)| tight_bends(i, &ring, mower.least_radius)).collect();
    let scraps = lawn
        .parts()
        .into_iter()
        .map(|part| (part.area(), part))
        .filter(|(area, _)| *area < mower.least_area)
        .map(|(area, part)| (part, area))
        .collect();
    Ok(LawnEdge { tight, narrow: lawn.narrow_parts(mower.deck), scraps })
}

/// Stretches of a ring, lawn on its left, that bend more tightly than a radius.
fn tight_bends(ring_index: usize, ring: &[Point], least_radius: f64) -> Vec<TightBend> {
    let edge = Turning::new(ring, least_radius / 4.0);
    let window = (least_radius / 2.0).min(edge.length / 4.0);
    let count = (edge.length / window * READINGS).ceil() as usize;
    let step = edge.length / count as f64;
    let limit = window / least_radius;
    let turn = |i: usize| edge.within((i % count) as f64 * step, window);
    let sign = |i: usize| {
        let turn = turn(i);
        if turn.abs() > limit * (1.0 + 1e-9) { turn.signum() as i32 } else { 0 }
    };
    let signs: Vec<i32> = (0..count).map(sign).collect();
    let starts = (0..count).filter(|&i| signs[i] != 0 && signs[(i + count - 1) % count] != signs[i]);
    let mut starts: Vec<usize> = starts.collect();
    if starts.is_empty() && signs.first().is_some_and(|sign| *sign != 0) {
        starts.push(0);
    }
    starts
        .into_iter()
        .map(|start| {
            let along = (start..start + count).take_while(|i| signs[i % count] == signs[start]);
            let (last, tightest) = along.fold((start, start), |(_, best), i| {
                (i, if turn(i).abs() > turn(best).abs() + 1e-12 { i } else { best })
            });
            TightBend {
                ring: ring_index,
                from: start as f64 * step,
                to: last as f64 * step,
                at: edge.point(middle_of_peak(&turn, start, last, tightest) * step),
                radius: window / turn(tightest).abs(),
                bend: if signs[start] > 0 { Bend::IntoCorner } else { Bend::RoundPoint },
            }
        })
        .collect()
}

/// Middle of the readings that are as tight as the tightest.
fn middle_of_peak(turn: &impl Fn(usize) -> f64, start: usize, last: usize, best: usize) -> f64 {
    let most = turn(best).abs();
    let peak = (start..=last).filter(|&i| turn(i).abs() > most - 1e-9);
    let (sum, count) = peak.fold((0.0, 0.0), |(sum, count), i| (sum + i as f64, count + 1.0));
    if count > 0.0 { sum / count } else { best as f64 }
}

/// The turning of a closed ring by station.
struct Turning<'a> {
    ring: &'a [Point],
    /// Station of each point. [m]
    stations: Vec<f64>,
    length: f64,
    /// Stretches over which a corner is spread: from, to and the turn. [m, m, rad]
    turns: Vec<(f64, f64, f64)>,
}

impl<'a> Turning<'a> {
    /// `most`: a corner is spread over no more than this on either side. [m]
    fn new(ring: &'a [Point], most: f64) -> Self {
        let count = ring.len();
        let side = |i: usize| ring[(i + 1) % count] - ring[i % count];
        let mut length = 0.0;
        let mut stations = Vec::with_capacity(count);
        for i in 0..count {
            stations.push(length);
            length += side(i).hypot();
        }
        let turns = (0..count)
            .map(|i| {
                let (arrive, leave) = (side(i + count - 1), side(i));
                let turn = arrive.cross(leave).atan2(arrive.dot(leave));
                let (before, after) = ((arrive.hypot() / 2.0).min(most), (leave.hypot() / 2.0).min(most));
                (stations[i] - before, stations[i] + after, turn)
            })
            .collect();
        Self { ring, stations, length, turns }
    }

    /// Turn within a window about a station, above zero to the left. [rad]
    fn within(&self, station: f64, window: f64) -> f64 {
        let (low, high) = (station - window / 2.0, station + window / 2.0);
        // Only corners near the window count; it may run through the start of the ring.
        [0.0, self.length, -self.length].into_iter().map(|shift| self.sum(low + shift, high + shift)).sum()
    }

    fn sum(&self, low: f64, high: f64) -> f64 {
        let first = self.turns.partition_point(|(_, to, _)| *to <= low);
        self.turns[first..]
            .iter()
            .take_while(|(from, _, _)| *from < high)
            .map(|(from, to, turn)| {
                let shared = (to.min(high) - from.max(low)).max(0.0);
                turn * shared / (to - from).max(f64::MIN_POSITIVE)
            })
            .sum()
    }

    fn point(&self, station: f64) -> Point {
        let station = station.rem_euclid(self.length);
        let from = self.stations.partition_point(|s| *s <= station).saturating_sub(1);
        let (start, end) = (self.ring[from], self.ring[(from + 1) % self.ring.len()]);
        let side = end - start;
        start + side * ((station - self.stations[from]) / side.hypot().max(f64::MIN_POSITIVE)).min(1.0)
    }
}
