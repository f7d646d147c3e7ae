//! Narrow parts of a mass: one line along the middle, or a zigzag.
//!
//! - In: the region. Out: plants wherever the region is narrower than 1.8 spacings.
//! - Method: from places along the boundary the largest disc that touches it there and stays
//!   inside is sought; its centre lies on the middle (medial) axis and its radius is half the
//!   width. Runs of centres whose discs touch two opposite sides are strips. A strip up to 1.35
//!   spacings wide gets a single line at the spacing; a wider one a zigzag of which every leg is
//!   a spacing long.
//! - Ends: half a spacing from a blunt end. Parts narrower than a third of the spacing stay empty.
//! - Source: medial axis by maximal discs, plane geometry; limits are common practice, no source.

use groundwright_geometry::{Point, Region, RegionIndex, Vec2};

use super::{Bed, CROWDED};

/// Parts narrower than this share of the spacing stay empty.
pub(super) const LEAST_WIDTH: f64 = 1.0 / 3.0;

/// Up to this share of the spacing a strip has a single line.
const SINGLE_LINE: f64 = 1.35;

/// From this share of the spacing on two first lines fit and the part is no strip.
pub(super) const STRIP_WIDTH: f64 = 1.8;

/// A tip narrower than this share of its strip is left free, for a spacing's length at most.
const TIP: f64 = 0.6;

/// Centre of a disc that touches two opposite sides.
#[derive(Debug, Clone, Copy)]
struct Middle {
    at: Point,
    /// Unit direction across the strip.
    across: Vec2,
    /// Half the width. [m]
    radius: f64,
}

/// What the disc at a place of the boundary shows.
enum Seen {
    Wide,
    Corner,
    Strip(Middle),
}

/// Plants the strips of the region.
pub(super) fn plant(bed: &mut Bed<'_>, region: &Region) {
    for ring in region.rings().into_iter().flatten() {
        for run in runs_of(&ring, bed) {
            plant_run(bed, &run);
        }
    }
}

/// A strip seen from one of its sides.
struct Run {
    middles: Vec<Middle>,
    /// Whether the strip opens into a wide part at its start and end.
    open: [bool; 2],
}

/// The strips seen along a ring.
fn runs_of(ring: &[Point], bed: &Bed<'_>) -> Vec<Run> {
    let seen: Vec<Seen> = places_along(ring, bed.spacing / 8.0)
        .into_iter()
        .map(|(at, inward)| look(bed.index, at, inward, bed.spacing))
        .collect();
    let count = seen.len();
    let middle = |i: usize| match &seen[i % count] {
        Seen::Strip(middle) => Some(*middle),
        _ => None,
    };
    let follows = |i: usize| {
        let (before, here) = (middle(i + count - 1), middle(i));
        let near = |(a, b): (Middle, Middle)| a.at.distance(b.at) < bed.spacing / 2.0;
        before.zip(here).is_some_and(near)
    };
    let wide = |i: usize| matches!(seen[i % count], Seen::Wide);
    // A ring that is a strip all the way round starts anywhere.
    let starts: Vec<usize> = (0..count).filter(|&i| middle(i).is_some() && !follows(i)).collect();
    let all_round = starts.is_empty() && count > 0 && middle(0).is_some();
    let starts = if all_round { vec![0] } else { starts };
    starts
        .into_iter()
        .map(|start| {
            let mut end = start + 1;
            while end < start + count && follows(end) {
                end += 1;
            }
            let middles = (start..end).filter_map(middle).collect();
            Run { middles, open: [wide(start + count - 1), wide(end)] }
        })
        .collect()
}

/// Places along a ring about `step` apart, within edges, with the direction into the region.
fn places_along(ring: &[Point], step: f64) -> Vec<(Point, Vec2)> {
    let mut places = Vec::new();
    for (i, &start) in ring.iter().enumerate() {
        let side = ring[(i + 1) % ring.len()] - start;
        let length = side.hypot();
        if length < 1e-6 {
            continue;
        }
        let inward = Vec2::new(-side.y, side.x) / length;
        let parts = (length / step).ceil().max(1.0);
        let place = |k: f64| (start + side * ((k + 0.5) / parts), inward);
        places.extend((0..parts as usize).map(|k| place(k as f64)));
    }
    places
}

/// The largest disc inside that touches the boundary at a place.
fn look(index: &RegionIndex, at: Point, inward: Vec2, spacing: f64) -> Seen {
    let slack = 1e-6;
    let free = |radius: f64| index.boundary_distance(at + inward * radius) >= radius - slack;
    let most = STRIP_WIDTH / 2.0 * spacing;
    if free(most) {
        return Seen::Wide;
    }
    let (mut low, mut high) = (0.0, most);
    for _ in 0..24 {
        let radius = f64::midpoint(low, high);
        if free(radius) {
            low = radius;
        } else {
            high = radius;
        }
    }
    let radius = low;
    // Just beyond the centre the boundary that stops the disc is nearest; away from it the
    // distance grows. Opposite sides push in opposite directions.
    let beyond = at + inward * (radius + 0.02 * spacing);
    let away = slope(index, beyond, 0.005 * spacing);
    let opposite = away.dot(inward) < -0.5 * away.hypot();
    if !opposite || 2.0 * radius < LEAST_WIDTH * spacing {
        return Seen::Corner;
    }
    Seen::Strip(Middle { at: at + inward * radius, across: inward, radius })
}

/// Direction in which the distance from the boundary grows.
fn slope(index: &RegionIndex, at: Point, step: f64) -> Vec2 {
    let rise = |v: Vec2| index.boundary_distance(at + v) - index.boundary_distance(at - v);
    Vec2::new(rise(Vec2::new(step, 0.0)), rise(Vec2::new(0.0, step)))
}

/// Plants a strip wherever no plant stands near its middle yet.
fn plant_run(bed: &mut Bed<'_>, run: &Run) {
    let middles = fit_ends(bed, run);
    let reach = 0.95 * bed.spacing;
    let free: Vec<bool> =
        middles.iter().map(|middle| bed.grid.nearest(middle.at, reach, None) >= reach).collect();
    let mut start = 0;
    while start < middles.len() {
        let length = free[start..].iter().take_while(|free| **free).count();
        if length > 0 {
            plant_evenly(bed, &middles[start..start + length]);
        }
        start += length.max(1);
    }
}

/// Lets the middle line end half a spacing from a blunt end, by trimming or by going on.
fn fit_ends(bed: &Bed<'_>, run: &Run) -> Vec<Middle> {
    let mut middles = run.middles.clone();
    for end in 0..2 {
        // The start comes last first, then the end.
        middles.reverse();
        if run.open[end] {
            continue;
        }
        fit_last(bed, &mut middles);
    }
    middles
}

fn fit_last(bed: &Bed<'_>, middles: &mut Vec<Middle>) {
    let Some(&last) = middles.last() else { return };
    let more = last.radius - bed.spacing / 2.0;
    let from = middles.iter().rev().find(|m| m.at.distance(last.at) > 0.2 * bed.spacing);
    let Some(&from) = from else { return };
    if more > 0.0 {
        let along = (last.at - from.at).normalize();
        let at = last.at + along * more;
        if bed.index.signed_distance(at) >= bed.spacing / 2.0 - 0.02 * bed.spacing {
            middles.push(Middle { at, ..last });
        }
        return;
    }
    // Half a spacing from a blunt end; a tip that thins out is left a little earlier.
    let widest = middles.iter().map(|m| m.radius).fold(0.0, f64::max).min(bed.spacing / 2.0);
    let beyond = |middle: &Middle| {
        let run = middle.at.distance(last.at);
        run < -more || (run < bed.spacing && middle.radius < TIP * widest)
    };
    while middles.len() > 1 && middles.last().is_some_and(beyond) {
        middles.pop();
    }
}

/// Plants at equal steps from the first to the last of the middles given.
fn plant_evenly(bed: &mut Bed<'_>, middles: &[Middle]) {
    // Length along the middle, counted in steps of the pattern.
    let mut counts = Vec::with_capacity(middles.len());
    let mut count = 0.0;
    for (i, middle) in middles.iter().enumerate() {
        if i > 0 {
            count += middle.at.distance(middles[i - 1].at) / step(middle, bed.spacing);
        }
        counts.push(count);
    }
    let mut steps = count.round();
    if steps > 0.0 && count / steps < 0.85 {
        steps -= 1.0;
    }
    for k in 0..=steps as usize {
        let target = if steps > 0.0 { count * k as f64 / steps } else { count / 2.0 };
        let here = counts.partition_point(|c| *c < target - 1e-9).min(middles.len() - 1);
        let side = if k % 2 == 0 { 0.5 } else { -0.5 };
        let middle = between(middles, &counts, here, target);
        let at = middle.at + middle.across * (side * sway(&middle, bed.spacing));
        let inside = bed.index.signed_distance(at) >= 0.45 * bed.spacing;
        bed.offer(if inside { at } else { middle.at }, CROWDED);
    }
}

/// The middle at a count between two that are known.
fn between(middles: &[Middle], counts: &[f64], here: usize, target: f64) -> Middle {
    let Some(before) = here.checked_sub(1) else { return middles[here] };
    let span = counts[here] - counts[before];
    if span <= 0.0 {
        return middles[here];
    }
    let share = ((target - counts[before]) / span).clamp(0.0, 1.0);
    Middle { at: middles[before].at.lerp(middles[here].at, share), ..middles[here] }
}

/// Width of the zigzag: what the strip has beyond a spacing. [m]
fn sway(middle: &Middle, spacing: f64) -> f64 {
    if 2.0 * middle.radius < SINGLE_LINE * spacing { 0.0 } else { 2.0 * middle.radius - spacing }
}

/// Advance along the middle that makes a leg of the zigzag one spacing long. [m]
fn step(middle: &Middle, spacing: f64) -> f64 {
    let sway = sway(middle, spacing);
    (spacing * spacing - sway * sway).max(0.25 * spacing * spacing).sqrt()
}
