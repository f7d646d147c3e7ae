//! Starting places: from the datum outwards, each point where its readings cross.
//!
//! - In: a network. Out: a place for every point that can be reached, the points that cannot, and
//!   the points whose mirror image fits as well.
//! - Method: always the point with the most readings to placed ones; its place is where two of them
//!   cross that contradicts the others least. While two places fit alike, both are followed; a few
//!   such alternatives are kept, the worst are dropped.
//! - A gross error counts at most [`CAP`], so that it cannot push a point to its mirror image.
//! - Not here: the adjustment (`adjust.rs`).

use std::collections::{BTreeMap, BTreeSet, BinaryHeap};

use groundwright_geometry::{Point, Vec2};

use crate::equation;
use crate::network::{Network, Observed};
use crate::trilateration::Locus;

/// Most that one reading may count against a place, in squared standard deviations.
const CAP: f64 = 400.0;

/// Two places whose costs differ by less fit alike; `CAP` apart, a single reading decides.
const ALIKE: f64 = 60.0;

/// Alternatives that are followed side by side.
const ALTERNATIVES: usize = 16;

/// Readings of a point that are crossed with one another; the rest only judge.
const CROSSED: usize = 6;

/// The frame in which the network lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Datum {
    /// Two or more places are held.
    Held,
    /// One point is held or at the origin, another lies east of it.
    Frame {
        /// The first.
        origin: usize,
        /// The second.
        east: usize,
    },
}

/// A point whose mirror image fits its readings as well.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mirrored {
    /// The point.
    pub point: usize,
    /// First point of the line about which it may be reflected.
    pub from: usize,
    /// Second point of that line.
    pub to: usize,
    /// The place that was not taken. [m]
    pub other: Point,
}

/// Starting places.
#[derive(Debug, Clone, PartialEq)]
pub struct Placing {
    /// Places of all points; those of [`Placing::lost`] are arbitrary. [m]
    pub at: Vec<Point>,
    /// Points that no readings reach.
    pub lost: Vec<usize>,
    /// Points whose mirror image fits as well.
    pub mirrored: Vec<Mirrored>,
    /// The frame.
    pub datum: Datum,
}

#[derive(Debug, Clone)]
struct Alternative {
    at: Vec<Option<Point>>,
    cost: f64,
    mirrored: Vec<Mirrored>,
}

struct Placer<'n> {
    network: &'n Network,
    /// Readings of each point.
    readings: Vec<Vec<usize>>,
    placed: Vec<bool>,
    /// Points from which each point was placed.
    rests_on: Vec<Vec<usize>>,
    alternatives: Vec<Alternative>,
}

/// Starting places of a network that has been checked.
pub fn place(network: &Network) -> Placing {
    let mut readings = vec![Vec::new(); network.points.len()];
    for (i, reading) in network.readings.iter().enumerate() {
        for point in reading.observed.points() {
            readings[point].push(i);
        }
    }
    let held: Vec<usize> = (0..network.points.len()).filter(|i| network.points[*i].held.is_some()).collect();
    let start: Vec<Option<Point>> = network.points.iter().map(|point| point.held).collect();
    let placed = start.iter().map(Option::is_some).collect();
    let first = Alternative { at: start, cost: 0.0, mirrored: Vec::new() };
    let rests_on = vec![Vec::new(); network.points.len()];
    let mut placer = Placer { network, readings, placed, rests_on, alternatives: vec![first] };
    let datum = if held.len() >= 2 { Datum::Held } else { placer.begin(held.first().copied()) };
    placer.spread();
    placer.finish(datum)
}

impl Placer<'_> {
    /// Lays down a first base where fewer than two places are held.
    fn begin(&mut self, held: Option<usize>) -> Datum {
        let chosen = self.base(held);
        let (from, to, length) = chosen.unwrap_or((0, 0, 0.0));
        let alternative = &mut self.alternatives[0];
        let origin = alternative.at.get(from).copied().flatten().unwrap_or(Point::ORIGIN);
        if from != to {
            alternative.at[from] = Some(origin);
            alternative.at[to] = Some(origin + Vec2::new(length, 0.0));
            self.placed[from] = true;
            self.placed[to] = true;
        }
        match (held, self.network.frame) {
            (None, Some((origin, east))) => Datum::Frame { origin, east },
            (Some(held), Some((a, b))) if a == held || b == held => {
                Datum::Frame { origin: held, east: if a == held { b } else { a } }
            }
            _ => Datum::Frame { origin: from, east: to },
        }
    }

    /// The taped pair to begin with: the frame's own if it was taped, else the one that shares the
    /// most neighbours, so that many points can be placed from it.
    fn base(&self, held: Option<usize>) -> Option<(usize, usize, f64)> {
        let mut neighbours: Vec<BTreeSet<usize>> = vec![BTreeSet::new(); self.network.points.len()];
        let mut taped: BTreeMap<(usize, usize), f64> = BTreeMap::new();
        for reading in &self.network.readings {
            if let Observed::Distance { from, to } = reading.observed {
                neighbours[from].insert(to);
                neighbours[to].insert(from);
                taped.entry((from.min(to), from.max(to))).or_insert(reading.value);
            }
        }
        if let Some((a, b)) =
            self.network.frame.filter(|(a, b)| held.is_none_or(|held| held == *a || held == *b))
            && let Some(length) = taped.get(&(a.min(b), a.max(b)))
        {
            return Some(if held == Some(b) { (b, a, *length) } else { (a, b, *length) });
        }
        let eligible = taped.iter().filter(|((a, b), _)| held.is_none_or(|held| held == *a || held == *b));
        let best = eligible.max_by_key(|((a, b), _)| {
            let shared = neighbours[*a].intersection(&neighbours[*b]).count();
            (shared, std::cmp::Reverse((*a, *b)))
        })?;
        let ((a, b), length) = (*best.0, *best.1);
        Some(if held == Some(b) { (b, a, length) } else { (a, b, length) })
    }

    /// Places points, the best held first, until none has two readings to placed ones.
    fn spread(&mut self) {
        let mut queue: BinaryHeap<(usize, std::cmp::Reverse<usize>)> = BinaryHeap::new();
        for point in 0..self.network.points.len() {
            queue.push((self.holds(point), std::cmp::Reverse(point)));
        }
        while let Some((holds, std::cmp::Reverse(point))) = queue.pop() {
            // Entries are never taken out of the queue; one that is out of date is passed over.
            if self.placed[point] || holds != self.holds(point) {
                continue;
            }
            if holds < 2 && !(holds >= 1 && self.network.points[point].near.is_some()) {
                continue;
            }
            if !self.put(point) {
                continue;
            }
            let touched: BTreeSet<usize> = self.readings[point]
                .iter()
                .flat_map(|i| self.network.readings[*i].observed.points())
                .filter(|other| !self.placed[*other])
                .collect();
            for other in touched {
                queue.push((self.holds(other), std::cmp::Reverse(other)));
            }
        }
    }

    /// Readings of a point whose other points are placed.
    fn holds(&self, point: usize) -> usize {
        let known = |i: &&usize| {
            self.network.readings[**i].observed.points().all(|other| other == point || self.placed[other])
        };
        self.readings[point].iter().filter(known).count()
    }

    fn known(&self, point: usize) -> Vec<usize> {
        let known = |i: &usize| {
            self.network.readings[*i].observed.points().all(|other| other == point || self.placed[other])
        };
        self.readings[point].iter().copied().filter(known).collect()
    }

    /// Places one point in every alternative; false where its readings do not cross.
    fn put(&mut self, point: usize) -> bool {
        let known = self.known(point);
        let more_to_come = self.readings[point].len() > known.len();
        let mut next: Vec<Alternative> = Vec::new();
        for alternative in &self.alternatives {
            let choices = self.choices(alternative, point, &known);
            let Some(best) = choices.first().copied() else { continue };
            let rival = choices.get(1).copied().filter(|rival| rival.1 - best.1 < ALIKE);
            let (chosen, other) = match rival {
                Some(rival) => self.settle(alternative, point, &known, best, rival),
                None => (best, None),
            };
            let step = |choice: (Point, f64), unchosen: Option<Point>| {
                let mut next = alternative.clone();
                next.at[point] = Some(choice.0);
                next.cost += choice.1;
                if let (Some(other), Some((from, to))) = (unchosen, self.line_of(point, &known)) {
                    next.mirrored.push(Mirrored { point, from, to, other });
                }
                next
            };
            next.push(step(chosen, other.map(|other| other.0)));
            if let Some(other) = other.filter(|_| more_to_come && !first_off_base(alternative)) {
                next.push(step(other, Some(chosen.0)));
            }
        }
        if next.is_empty() {
            return false;
        }
        next.sort_by(|a, b| a.cost.total_cmp(&b.cost));
        let limit = next[0].cost + CAP;
        next.retain(|alternative| alternative.cost <= limit);
        next.truncate(ALTERNATIVES);
        self.alternatives = next;
        self.placed[point] = true;
        let others = known.iter().flat_map(|i| self.network.readings[*i].observed.points());
        self.rests_on[point] = others.filter(|other| *other != point).collect();
        true
    }

    /// Places where two readings cross, the one that fits all readings best first. [m]
    fn choices(&self, alternative: &Alternative, point: usize, known: &[usize]) -> Vec<(Point, f64)> {
        let loci: Vec<Locus> =
            known.iter().filter_map(|i| self.locus(alternative, point, *i)).take(CROSSED).collect();
        let mut places: Vec<Point> = Vec::new();
        for (i, a) in loci.iter().enumerate() {
            for b in &loci[..i] {
                places.extend(a.meet(b).into_iter().filter(|place| place.is_finite()));
            }
        }
        if let Some(near) = self.network.points[point].near
            && places.is_empty()
        {
            places.push(near);
        }
        let mut costed: Vec<(Point, f64)> =
            places.into_iter().map(|place| (place, self.cost(alternative, point, place, known))).collect();
        costed
            .sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.x.total_cmp(&b.0.x)).then(a.0.y.total_cmp(&b.0.y)));
        // A second place counts as another only if it is not a neighbour of the first.
        let apart = costed.first().map_or(0.0, |best| {
            let reach = loci.iter().map(|locus| match locus {
                Locus::Circle { centre, .. } => (best.0 - *centre).hypot(),
                Locus::Line { through, .. } => (best.0 - *through).hypot(),
            });
            0.1 * reach.fold(0.5, f64::max)
        });
        let mut distinct: Vec<(Point, f64)> = Vec::new();
        for choice in costed {
            if distinct.len() < 2 && distinct.iter().all(|other| (other.0 - choice.0).hypot() > apart) {
                distinct.push(choice);
            }
        }
        distinct
    }

    fn locus(&self, alternative: &Alternative, point: usize, reading: usize) -> Option<Locus> {
        let reading = &self.network.readings[reading];
        let at = |i: usize| alternative.at[i];
        match reading.observed {
            Observed::Distance { from, to } => {
                let centre = at(if from == point { to } else { from })?;
                Some(Locus::Circle { centre, radius: reading.value })
            }
            Observed::Along { point: p, from, to } if p == point => {
                let unit = direction(at(from)?, at(to)?)?;
                Some(Locus::Line { through: at(from)? + unit * reading.value, unit: equation::left(unit) })
            }
            Observed::Across { point: p, from, to } if p == point => {
                let unit = direction(at(from)?, at(to)?)?;
                Some(Locus::Line { through: at(from)? + equation::left(unit) * reading.value, unit })
            }
            Observed::Across { point: p, from, to } if reading.value == 0.0 => {
                // On one line: the end lies on the line through the other end and the point.
                let other = at(if from == point { to } else { from })?;
                Some(Locus::Line { through: other, unit: direction(other, at(p)?)? })
            }
            Observed::Angle { at: vertex, from, to }
                if (reading.value - std::f64::consts::FRAC_PI_2).abs() < 1e-9 =>
            {
                if vertex == point {
                    let (a, b) = (at(from)?, at(to)?);
                    return Some(Locus::Circle { centre: a.midpoint(b), radius: (b - a).hypot() / 2.0 });
                }
                let corner = at(vertex)?;
                let side = direction(corner, at(if from == point { to } else { from })?)?;
                Some(Locus::Line { through: corner, unit: equation::left(side) })
            }
            _ => None,
        }
    }

    /// How badly a place fits the readings of a point, in squared standard deviations, capped.
    fn cost(&self, alternative: &Alternative, point: usize, place: Point, known: &[usize]) -> f64 {
        let mut cost = 0.0;
        for i in known {
            let reading = &self.network.readings[*i];
            let at = |other: usize| {
                if other == point { Some(place) } else { alternative.at[other] }
            };
            let points: Option<Vec<Point>> = reading.observed.points().map(at).collect();
            let Some(points) = points else { continue };
            let misfit = equation::misfit(
                reading.observed,
                reading.value,
                equation::value(in_order(reading.observed), &points),
            );
            // Starting places of the neighbours are themselves a few standard deviations off.
            let share = misfit / (4.0 * reading.sigma);
            cost += if share.is_finite() { (share * share).min(CAP) } else { CAP };
        }
        for side in self.network.sides.iter().filter(|side| side.point == point) {
            if let (Some(from), Some(to)) = (alternative.at[side.from], alternative.at[side.to]) {
                let left = (to - from).cross(place - from) > 0.0;
                cost += if left == side.left { 0.0 } else { 4.0 * CAP };
            }
        }
        if let Some(near) = self.network.points[point].near {
            // A rough place decides between mirror images and otherwise counts next to nothing.
            let far = (near - place).hypot();
            cost += ALIKE * far / (1.0 + far);
        }
        cost
    }

    /// Two places fit alike and nothing tells them apart: takes the one that the trade would mean.
    fn settle(
        &self,
        alternative: &Alternative,
        point: usize,
        known: &[usize],
        best: (Point, f64),
        rival: (Point, f64),
    ) -> ((Point, f64), Option<(Point, f64)>) {
        let told = self.network.points[point].near.is_some()
            || self.network.sides.iter().any(|side| side.point == point && known_side(alternative, side));
        if told {
            return (best, None);
        }
        let Some((from, to)) = self.line_of(point, known) else { return (best, Some(rival)) };
        let (Some(a), Some(b)) = (alternative.at[from], alternative.at[to]) else {
            return (best, Some(rival));
        };
        let side = |place: Point| (b - a).cross(place - a);
        // Tapes from one base line go to one side of it; from a line that bounds what is known they
        // go to the other side of that; and a first point lies left of the base as it is booked.
        let same_base = alternative
            .mirrored
            .iter()
            .find(|m| (m.from == from && m.to == to) || (m.from == to && m.to == from));
        let width = (b - a).hypot();
        let known_sides: f64 = alternative
            .at
            .iter()
            .enumerate()
            .filter(|(i, at)| at.is_some() && ![from, to, point].contains(i))
            .filter_map(|(_, at)| at.map(side))
            .filter(|s| s.abs() > 0.05 * width * width)
            .map(f64::signum)
            .sum();
        let wanted = match same_base.and_then(|m| alternative.at[m.point]) {
            Some(earlier) => side(earlier),
            None if known_sides.abs() > 0.5 => -known_sides,
            None => 1.0,
        };
        if side(best.0) * wanted >= 0.0 { (best, Some(rival)) } else { (rival, Some(best)) }
    }

    /// The line about which a point may be reflected: through the two placed points that hold it.
    fn line_of(&self, point: usize, known: &[usize]) -> Option<(usize, usize)> {
        let mut others: Vec<usize> = Vec::new();
        for i in known {
            for other in self.network.readings[*i].observed.points() {
                if other != point && !others.contains(&other) {
                    others.push(other);
                }
            }
        }
        // By the order of the points, so that the order of the readings does not matter.
        others.sort_unstable();
        (others.len() >= 2).then(|| (others[0], others[1]))
    }

    /// Whether a point fits its mirror image as well, now that all points are placed: by itself,
    /// together with the points that were placed from it, or in another alternative.
    fn still_fits(&self, mirrored: &Mirrored, placed_from: &[Vec<usize>]) -> bool {
        let best = &self.alternatives[0];
        let followed = self.alternatives[1..].iter().any(|other| {
            let place = other.at[mirrored.point];
            other.cost - best.cost < ALIKE
                && place.is_some_and(|place| {
                    (place - mirrored.other).hypot()
                        < best.at[mirrored.point].map_or(f64::INFINITY, |own| (place - own).hypot())
                })
        });
        followed
            || self.flips(mirrored, &[mirrored.point])
            || self.flips(mirrored, &Self::hanging_on(mirrored.point, placed_from))
    }

    /// A point, and those that were placed from it.
    fn hanging_on(point: usize, placed_from: &[Vec<usize>]) -> Vec<usize> {
        let mut seen = vec![false; placed_from.len()];
        seen[point] = true;
        let mut hanging = vec![point];
        let mut i = 0;
        while i < hanging.len() {
            for other in &placed_from[hanging[i]] {
                if !std::mem::replace(&mut seen[*other], true) {
                    hanging.push(*other);
                }
            }
            i += 1;
        }
        hanging
    }

    /// Whether points reflected about a line fit the readings that tie them to the others as well.
    fn flips(&self, mirrored: &Mirrored, points: &[usize]) -> bool {
        let mut flipped = self.alternatives[0].clone();
        let (Some(from), Some(to)) = (flipped.at[mirrored.from], flipped.at[mirrored.to]) else {
            return true;
        };
        let Some(unit) = direction(from, to) else { return true };
        for point in points {
            if let Some(place) = &mut flipped.at[*point] {
                let arm = *place - from;
                *place = from + unit * (2.0 * arm.dot(unit)) - arm;
            }
        }
        let cost = |alternative: &Alternative| -> f64 {
            let of = |point: &usize| match alternative.at[*point] {
                Some(place) => self.cost(alternative, *point, place, &self.readings[*point]),
                None => 0.0,
            };
            points.iter().map(of).sum()
        };
        cost(&flipped) - cost(&self.alternatives[0]) < ALIKE
    }

    fn finish(mut self, datum: Datum) -> Placing {
        let mut mirrored = std::mem::take(&mut self.alternatives[0].mirrored);
        let mut placed_from = vec![Vec::new(); self.rests_on.len()];
        for (point, others) in self.rests_on.iter().enumerate() {
            for other in others {
                placed_from[*other].push(point);
            }
        }
        mirrored.retain(|one| self.still_fits(one, &placed_from));
        let best = self.alternatives.into_iter().next().expect("there is always one alternative");
        let hint = |i: usize| self.network.points[i].near.unwrap_or_default();
        let lost: Vec<usize> = (0..best.at.len()).filter(|i| best.at[*i].is_none()).collect();
        let mut at: Vec<Point> =
            best.at.iter().enumerate().map(|(i, place)| place.unwrap_or_else(|| hint(i))).collect();
        if let Datum::Frame { origin, east } = datum {
            turn_into_frame(&mut at, origin, east, self.network.points.get(origin).and_then(|p| p.held));
        }
        Placing { at, lost, mirrored, datum }
    }
}

/// Turns and shifts all places so that `origin` lies at its place and `east` to the east of it.
fn turn_into_frame(at: &mut [Point], origin: usize, east: usize, held: Option<Point>) {
    let (Some(&from), Some(&to)) = (at.get(origin), at.get(east)) else { return };
    let Some(unit) = direction(from, to) else { return };
    let target = held.unwrap_or(Point::ORIGIN);
    for place in at {
        let arm = *place - from;
        *place = target + Vec2::new(arm.dot(unit), unit.cross(arm));
    }
}

/// Whether all that is placed lies on one line: then its mirror image is a matter of convention.
fn first_off_base(alternative: &Alternative) -> bool {
    let placed: Vec<Point> = alternative.at.iter().copied().flatten().collect();
    let [a, b, rest @ ..] = placed.as_slice() else { return true };
    rest.iter().all(|place| (*b - *a).cross(*place - *a).abs() < 1e-6 * (*b - *a).hypot2())
}

fn known_side(alternative: &Alternative, side: &crate::network::SideOf) -> bool {
    alternative.at[side.from].is_some() && alternative.at[side.to].is_some()
}

fn direction(from: Point, to: Point) -> Option<Vec2> {
    let arm = to - from;
    (arm.hypot() > 1e-9).then(|| arm / arm.hypot())
}

/// The same kind of reading between the points 0, 1, 2.
fn in_order(observed: Observed) -> Observed {
    match observed {
        Observed::Distance { .. } => Observed::Distance { from: 0, to: 1 },
        Observed::Along { .. } => Observed::Along { point: 0, from: 1, to: 2 },
        Observed::Across { .. } => Observed::Across { point: 0, from: 1, to: 2 },
        Observed::Angle { .. } => Observed::Angle { at: 0, from: 1, to: 2 },
    }
}
