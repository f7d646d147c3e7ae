//! Drifts: two or more taxa in one mass, in long patches that interlock.
//!
//! - In: positions [m], the share of each taxon, a seed. Out: a label for each position.
//! - Method: the plants are neighbours of those about them. Lengths over these neighbours from both
//!   ends of the mass give its middle line, round bends; by that line each plant has a place along
//!   and across. A slant and a slow wave are added, so that the borders lie oblique and wind.
//!   Drifts grow one after the other from the near end, always taking the neighbour with the lowest
//!   value, until each has its number; one that would cut plants off from the rest is grown anew
//!   and takes these first. So drifts are in one piece wherever the mass is.
//! - Numbers: largest remainder over the shares, exactly; then over the drifts of each taxon.
//! - Source: numbers, largest remainder (Hare quota); the form is common practice, no source:
//!   repeat few kinds in larger drifts rather than one of each.
//! - Not here: where the plants stand (`mass`).

use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;
use std::f64::consts::{FRAC_PI_2, TAU};

use groundwright_geometry::layout::ROW_PITCH;
use groundwright_geometry::{Point, Vec2};

use super::draws::Draws;
use super::neighbours::{Neighbours, long_axis, nearest_distances};

/// Which plant is of which taxon.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Drifts {
    /// The taxon of each position, as an index into the shares.
    pub label: Vec<usize>,
    /// The drift of each position, counted from the near end.
    pub drift: Vec<usize>,
    /// Plants of each taxon; they sum to the positions.
    pub counts: Vec<usize>,
}

/// Why taxa cannot be spread over a mass.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DriftFault {
    /// No share given.
    #[error("no taxon given for the drifts, expected at least one with its share")]
    NoShares,
    /// A share that is not a finite number, or below zero.
    #[error("share {} of the drifts is {value}, expected a finite number not below zero", index + 1)]
    Share {
        /// Index of the share, from 0.
        index: usize,
        /// The value given.
        value: f64,
    },
    /// Shares that sum to nothing.
    #[error("the shares of the drifts sum to zero; give at least one above zero")]
    ZeroSum,
    /// A position that is not finite.
    #[error("position {} of the drifts is not a place", index + 1)]
    NotFinite {
        /// Index of the position, from 0.
        index: usize,
    },
}

/// Plants stand next to each other up to this multiple of the usual distance of neighbours.
const BESIDE: f64 = 1.6;

/// Fewest plants that a taxon is split for, for each drift: fewer look like strays.
const LEAST_DRIFT: usize = 5;

/// Plants that a drift is thick in the mean, at least, if a taxon is to be split.
const LEAST_THICKNESS: f64 = 3.0;

/// Divides a number by shares, exactly: each gets the whole part of its quota, what is left goes to
/// the largest remainders, the first of equals. [1]
///
/// # Errors
/// No share, a share below zero or not finite, shares that sum to nothing.
pub fn largest_remainder(total: usize, shares: &[f64]) -> Result<Vec<usize>, DriftFault> {
    check_shares(shares)?;
    let sum: f64 = shares.iter().sum();
    // Shares are ratios, so that sums near the largest numbers do no harm.
    let quotas: Vec<f64> = shares.iter().map(|share| total as f64 * (share / sum)).collect();
    let mut counts: Vec<usize> = quotas.iter().map(|q| (q + 1e-9).floor() as usize).collect();
    let mut order: Vec<usize> = (0..shares.len()).filter(|&i| shares[i] > 0.0).collect();
    let rest = |i: usize| quotas[i] - (quotas[i] + 1e-9).floor();
    order.sort_by(|&a, &b| rest(b).total_cmp(&rest(a)).then(a.cmp(&b)));
    let left = total - counts.iter().sum::<usize>().min(total);
    for &index in order.iter().cycle().take(left) {
        counts[index] += 1;
    }
    Ok(counts)
}

fn check_shares(shares: &[f64]) -> Result<(), DriftFault> {
    if shares.is_empty() {
        return Err(DriftFault::NoShares);
    }
    let wrong = shares.iter().position(|share| !(share.is_finite() && *share >= 0.0));
    if let Some(index) = wrong {
        return Err(DriftFault::Share { index, value: shares[index] });
    }
    let sum: f64 = shares.iter().sum();
    if !(sum > 0.0 && sum.is_finite()) {
        return Err(DriftFault::ZeroSum);
    }
    Ok(())
}

/// Spreads taxa over a mass in drifts.
///
/// # Arguments
/// - `points`: the positions. [m]
/// - `shares`: the share of each taxon, in any measure, such as 3, 2, 1 or 0.5, 0.5.
/// - `seed`: which of many like patterns it is.
///
/// # Returns
/// Labels with exactly the numbers of [`largest_remainder`].
pub fn drifts(points: &[Point], shares: &[f64], seed: u64) -> Result<Drifts, DriftFault> {
    if let Some(index) = points.iter().position(|point| !point.is_finite()) {
        return Err(DriftFault::NotFinite { index });
    }
    let counts = largest_remainder(points.len(), shares)?;
    let beside = Beside::new(points);
    let along = along_the_mass(points, &beside);
    let extent = Extent::new(&along, beside.spacing);
    let plan = plan(points.len(), &counts, &extent, seed);
    let order = waves(points, &along, &extent, &plan, seed);
    let drift = grow(&beside, &order, &plan);
    let label = drift.iter().map(|&drift| plan[drift].taxon).collect();
    Ok(Drifts { label, drift, counts })
}

/// A drift to be grown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Planned {
    taxon: usize,
    count: usize,
}

/// The drifts in order: the taxa take turns, the first of them with the larger share.
fn plan(total: usize, counts: &[usize], extent: &Extent, seed: u64) -> Vec<Planned> {
    let taxa = counts.iter().filter(|count| **count > 0).count();
    if total == 0 || taxa <= 1 {
        let taxon = counts.iter().position(|count| *count > 0).unwrap_or(0);
        return vec![Planned { taxon, count: total }];
    }
    // A drift about as long as the mass is wide, but enough of the rarest for it to reach across.
    let rarest = counts.iter().copied().filter(|count| *count > 0).min().unwrap_or(1);
    let wanted = (1.6 * extent.length / extent.width / taxa as f64).round().max(2.0) as usize;
    let across = (extent.width / extent.spacing * LEAST_THICKNESS).ceil() as usize;
    let turns = wanted.min(rarest / across.max(LEAST_DRIFT)).max(1);
    let mut draws = Draws::new(seed ^ 0x6472_6966_7473);
    let mut parts: Vec<Vec<usize>> = Vec::new();
    for &count in counts {
        // Uneven parts look less like a fence.
        let weights: Vec<f64> = (0..turns).map(|_| draws.between(0.7, 1.3)).collect();
        parts.push(largest_remainder(count, &weights).unwrap_or_default());
    }
    (0..turns)
        .flat_map(|turn| (0..counts.len()).map(move |taxon| (taxon, turn)))
        .map(|(taxon, turn)| Planned { taxon, count: parts[taxon].get(turn).copied().unwrap_or(0) })
        .filter(|planned| planned.count > 0)
        .collect()
}

/// Who stands next to whom.
struct Beside {
    /// Indices of the neighbours of each plant, rising.
    of: Vec<Vec<usize>>,
    /// Usual distance of neighbours. [m]
    spacing: f64,
}

impl Beside {
    fn new(points: &[Point]) -> Self {
        let mut distances: Vec<f64> = nearest_distances(points).into_iter().flatten().collect();
        distances.sort_by(f64::total_cmp);
        let spacing = distances.get(distances.len() / 2).copied().unwrap_or(1.0).max(1e-6);
        let grid = Neighbours::of(points, BESIDE * spacing);
        let of = points.iter().enumerate().map(|(i, point)| {
            let mut near = Vec::new();
            grid.near(*point, BESIDE * spacing, |j, _| near.push(j));
            near.retain(|&j| j != i);
            near.sort_unstable();
            near
        });
        Self { of: of.collect(), spacing }
    }
}

/// Length along the mass of each plant, over neighbours, from its near end; parts that hang
/// together nowhere follow one another. [m]
fn along_the_mass(points: &[Point], beside: &Beside) -> Vec<f64> {
    let axis = long_axis(points);
    let place = |i: usize| points[i].to_vec2().dot(axis);
    let mut by_place: Vec<usize> = (0..points.len()).collect();
    by_place.sort_by(|&a, &b| place(a).total_cmp(&place(b)).then(a.cmp(&b)));
    let mut along = vec![f64::INFINITY; points.len()];
    let mut base = 0.0;
    for start in by_place {
        if along[start].is_finite() {
            continue;
        }
        // The plant furthest from any one is an end of the mass, the one furthest from that the other.
        // Lengths from both, halved, favour neither end.
        let end = furthest(&lengths(points, beside, start));
        let from_end = lengths(points, beside, end);
        let other = furthest(&from_end);
        let from_other = lengths(points, beside, other);
        let longest = from_end[other];
        for (along, (near, far)) in along.iter_mut().zip(from_end.into_iter().zip(from_other)) {
            if near.is_finite() {
                *along = base + (longest + near - far) / 2.0;
            }
        }
        base += longest + beside.spacing;
    }
    along
}

fn furthest(lengths: &[f64]) -> usize {
    let finite = lengths.iter().enumerate().filter(|(_, length)| length.is_finite());
    finite.max_by(|a, b| a.1.total_cmp(b.1).then(b.0.cmp(&a.0))).map_or(0, |(index, _)| index)
}

/// Least lengths over neighbours from a plant (Dijkstra); infinite where none lead. [m]
fn lengths(points: &[Point], beside: &Beside, start: usize) -> Vec<f64> {
    let mut lengths = vec![f64::INFINITY; points.len()];
    lengths[start] = 0.0;
    let mut queue = BinaryHeap::from([Reverse(Ranked { value: 0.0, index: start })]);
    while let Some(Reverse(Ranked { value, index })) = queue.pop() {
        if value > lengths[index] {
            continue;
        }
        for &next in &beside.of[index] {
            let length = value + points[index].distance(points[next]);
            if length < lengths[next] {
                lengths[next] = length;
                queue.push(Reverse(Ranked { value: length, index: next }));
            }
        }
    }
    lengths
}

/// How far the mass reaches. [m]
struct Extent {
    length: f64,
    /// Mean width. [m]
    width: f64,
    spacing: f64,
}

impl Extent {
    fn new(along: &[f64], spacing: f64) -> Self {
        let length = along.iter().copied().fold(0.0, f64::max) + spacing;
        let area = along.len().max(1) as f64 * spacing * spacing * ROW_PITCH;
        Self { length, width: (area / length).max(spacing * ROW_PITCH), spacing }
    }
}

/// The value by which drifts grow: length along the mass, slanted and with a slow wave. [m]
fn waves(points: &[Point], along: &[f64], extent: &Extent, plan: &[Planned], seed: u64) -> Vec<f64> {
    let band = extent.length / plan.len().max(1) as f64;
    let mut draws = Draws::new(seed);
    let slant = if draws.unit() < 0.5 { 0.7 } else { -0.7 };
    let wave_length = (1.1 * extent.width).max(5.0 * extent.spacing);
    // Four waves of this height turn a border by some 25 degrees: enough to wind, too little for
    // drifts to thin out into threads.
    let reach = (0.05 * wave_length).min(0.15 * band);
    // Wave numbers along and across the mass, and phases.
    let waves: Vec<(Vec2, f64)> = (0..4)
        .map(|_| {
            let direction = Vec2::from_angle(FRAC_PI_2 + draws.between(-0.9, 0.9));
            (direction * (TAU / (wave_length * draws.between(0.7, 1.4))), draws.between(0.0, TAU))
        })
        .collect();
    let value = |place: Vec2| {
        let wave: f64 = waves.iter().map(|(number, phase)| (place.dot(*number) + phase).sin()).sum();
        place.x + slant * place.y + reach * wave
    };
    straightened(points, along, extent).into_iter().map(value).collect()
}

/// Each plant by the middle line of the mass: along it, and to its left. [m]
///
/// Lengths over neighbours only follow a few directions; the middle line sets them right.
fn straightened(points: &[Point], along: &[f64], extent: &Extent) -> Vec<Vec2> {
    let step = 2.0 * extent.spacing;
    let bin = |along: f64| (along / step) as usize;
    let mut sums = vec![(Vec2::ZERO, 0.0); bin(extent.length) + 1];
    for (point, along) in points.iter().zip(along) {
        let (sum, count) = &mut sums[bin(*along)];
        *sum += point.to_vec2();
        *count += 1.0;
    }
    // Means over about the width of the mass, so that the middle line runs smoothly.
    let half = (extent.width / step / 2.0).ceil() as usize;
    let last = sums.len() - 1;
    let middle = |at: usize| {
        let near = &sums[at.saturating_sub(half)..=(at + half).min(last)];
        let (sum, count) = near.iter().fold((Vec2::ZERO, 0.0), |all, bin| (all.0 + bin.0, all.1 + bin.1));
        sum / f64::max(count, 1.0)
    };
    let middles: Vec<Vec2> = (0..=last).map(middle).collect();
    let mut stations = vec![0.0; last + 1];
    for at in 1..=last {
        stations[at] = stations[at - 1] + (middles[at] - middles[at - 1]).hypot();
    }
    let place = |(point, along): (&Point, &f64)| {
        let at = bin(*along);
        let travel = middles[(at + half).min(last)] - middles[at.saturating_sub(half)];
        let off = point.to_vec2() - middles[at];
        let length = travel.hypot();
        if length < 1e-9 {
            return Vec2::new(*along, 0.0);
        }
        Vec2::new(stations[at] + travel.dot(off) / length, travel.cross(off) / length)
    };
    points.iter().zip(along).map(place).collect()
}

/// Grows the drifts one after the other; tells the drift of each plant.
fn grow(beside: &Beside, order: &[f64], plan: &[Planned]) -> Vec<usize> {
    let mut drift_of: Vec<Option<usize>> = vec![None; order.len()];
    for (drift, planned) in plan.iter().enumerate() {
        let mut value = order.to_vec();
        let mut grown = grow_one(beside, &value, &drift_of, planned.count);
        for _ in 0..REGROWN {
            let remnants = remnants(beside, &drift_of, &grown);
            if remnants.is_empty() {
                break;
            }
            for index in remnants {
                value[index] = f64::MIN;
            }
            grown = grow_one(beside, &value, &drift_of, planned.count);
        }
        for index in grown {
            drift_of[index] = Some(drift);
        }
    }
    drift_of.into_iter().map(|drift| drift.unwrap_or(plan.len() - 1)).collect()
}

/// How often a drift is grown anew to take in what it would cut off.
const REGROWN: usize = 12;

/// Plants of one drift: from the lowest value on, always the lowest neighbour.
fn grow_one(beside: &Beside, value: &[f64], drift_of: &[Option<usize>], count: usize) -> Vec<usize> {
    let mut by_value: Vec<usize> = (0..value.len()).filter(|&i| drift_of[i].is_none()).collect();
    by_value.sort_by(|&a, &b| value[a].total_cmp(&value[b]).then(a.cmp(&b)));
    let mut taken = vec![false; value.len()];
    let mut grown = Vec::with_capacity(count);
    // Where a piece of the mass is used up, the drift goes on in the next.
    for start in by_value {
        let mut queue = BinaryHeap::from([Reverse(Ranked { value: value[start], index: start })]);
        while grown.len() < count
            && let Some(Reverse(Ranked { index, .. })) = queue.pop()
        {
            if taken[index] {
                continue;
            }
            taken[index] = true;
            grown.push(index);
            let free = |next: &&usize| drift_of[**next].is_none() && !taken[**next];
            let next = beside.of[index].iter().filter(free);
            queue.extend(next.map(|&index| Reverse(Ranked { value: value[index], index })));
        }
        if grown.len() == count {
            break;
        }
    }
    grown
}

/// Plants that a drift would cut off from the largest piece beside it.
fn remnants(beside: &Beside, drift_of: &[Option<usize>], grown: &[usize]) -> Vec<usize> {
    let mut seen: Vec<bool> = drift_of.iter().map(Option::is_some).collect();
    for &index in grown {
        seen[index] = true;
    }
    let mut pieces: Vec<Vec<usize>> = Vec::new();
    for &start in grown.iter().flat_map(|&index| &beside.of[index]) {
        if !seen[start] {
            pieces.push(flood(beside, &mut seen, start));
        }
    }
    // The largest stays, the first of equals.
    let largest = (0..pieces.len()).rev().max_by_key(|&i| pieces[i].len());
    let cut_off = pieces.into_iter().enumerate().filter(|(i, _)| Some(*i) != largest);
    cut_off.flat_map(|(_, piece)| piece).collect()
}

/// The plants not seen yet that hang together with one.
fn flood(beside: &Beside, seen: &mut [bool], start: usize) -> Vec<usize> {
    let mut piece = vec![start];
    seen[start] = true;
    let mut at = 0;
    while let Some(&index) = piece.get(at) {
        for &next in &beside.of[index] {
            if !seen[next] {
                seen[next] = true;
                piece.push(next);
            }
        }
        at += 1;
    }
    piece
}

/// An index by a value; equal values by index.
#[derive(Debug, Clone, Copy)]
struct Ranked {
    value: f64,
    index: usize,
}

impl PartialEq for Ranked {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}
impl Eq for Ranked {}
impl PartialOrd for Ranked {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Ranked {
    fn cmp(&self, other: &Self) -> Ordering {
        self.value.total_cmp(&other.value).then(self.index.cmp(&other.index))
    }
}
