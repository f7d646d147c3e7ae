//! The inner plants of a mass give way to one another until they stand evenly.
//!
//! - In: the bed with its first line (held) and its inner plants. Out: the same, evened out.
//! - Method: every inner plant is pushed away by those within 1.22 spacings, the nearer the more,
//!   in small steps; it may not come nearer than half a spacing to the edge. Then plants that are
//!   still crowded are taken out, open places get one more, and the neighbourhood settles again,
//!   a few times. The number of steps is bounded.
//! - Where lattice and first line agree nothing moves: the pushes of an even lattice cancel.

use groundwright_geometry::{Point, Vec2};

use super::{Bed, CROWDED, samples_inside};
use crate::arrange::draws::Draws;
use crate::arrange::neighbours::Neighbours;

/// Plants further apart than this share of the spacing leave each other alone.
const REACH: f64 = 1.22;

/// A place further than this share of the spacing from every plant is open.
const OPEN: f64 = 0.84;

/// Pushes below this share of the spacing are let be.
const LEAST_PUSH: f64 = 5e-4;

/// Rounds of taking out and filling in.
const ROUNDS: usize = 6;

/// Evens out the inner plants.
pub(super) fn settle(bed: &mut Bed<'_>, seed: u64) {
    let mut draws = Draws::new(seed);
    shake(bed, &mut draws);
    relax(bed, 60);
    for _ in 0..ROUNDS {
        let removed = thin(bed);
        let added = fill_open(bed);
        if removed + added == 0 {
            break;
        }
        relax(bed, 25);
    }
    // Nothing moves any more: what is left open is filled, and nothing is crowded by that.
    thin(bed);
    fill_open(bed);
}

/// Moves the plants near the edge by up to a hundredth of a spacing, so that none balances on a
/// ridge.
fn shake(bed: &mut Bed<'_>, draws: &mut Draws) {
    let most = bed.spacing / 100.0;
    for index in bed.held..bed.points.len() {
        let push = Vec2::new(draws.between(-most, most), draws.between(-most, most));
        if bed.depth[index] < 3.0 * bed.spacing {
            bed.shift(index, bed.points[index] + push, bed.depth[index] - push.hypot());
        }
    }
}

/// Lets the inner plants give way, a number of steps.
fn relax(bed: &mut Bed<'_>, steps: usize) {
    let mut awake = bed.stirred.clone();
    for _ in 0..steps {
        let pushes: Vec<(usize, Vec2)> = (bed.held..bed.points.len())
            .filter(|&i| awake[i])
            .map(|i| (i, push(bed, i)))
            .filter(|(_, push)| push.hypot() >= LEAST_PUSH * bed.spacing)
            .collect();
        awake = vec![false; bed.points.len()];
        for (index, push) in pushes {
            if let Some((at, depth)) = step_inside(bed, index, push) {
                bed.shift(index, at, depth);
                bed.grid.near(at, REACH * bed.spacing, |other, _| awake[other] = true);
            }
        }
    }
}

/// How far the plants about it push a plant, at most a twelfth of a spacing. [m]
fn push(bed: &Bed<'_>, index: usize) -> Vec2 {
    let at = bed.points[index];
    let reach = REACH * bed.spacing;
    let mut sum = Vec2::ZERO;
    bed.grid.near(at, reach, |other, distance| {
        if other != index && distance > 1e-9 {
            sum += (at - bed.points[other]) * ((1.0 - distance / reach) / distance);
        }
    });
    let push = sum * (0.2 * bed.spacing);
    let most = bed.spacing / 12.0;
    if push.hypot() > most { push * (most / push.hypot()) } else { push }
}

/// The place of a plant after a push, or half of it, and a bound on its distance from the edge;
/// none if both are too near the edge.
fn step_inside(bed: &Bed<'_>, index: usize, push: Vec2) -> Option<(Point, f64)> {
    [push, push / 2.0].into_iter().find_map(|push| {
        let at = bed.points[index] + push;
        let mut depth = bed.depth[index] - push.hypot();
        if depth < bed.spacing / 2.0 {
            depth = bed.index.signed_distance(at);
        }
        (depth >= bed.spacing / 2.0).then_some((at, depth))
    })
}

/// Takes out inner plants that stand nearer than 0.8 spacings to another, the most crowded first;
/// tells how many.
fn thin(bed: &mut Bed<'_>) -> usize {
    let least = CROWDED * bed.spacing;
    let mut crowded: Vec<(f64, usize)> = (bed.held..bed.points.len())
        .filter(|&i| bed.stirred[i])
        .map(|i| (bed.grid.nearest(bed.points[i], least, Some(i)), i))
        .filter(|(distance, _)| *distance < least)
        .collect();
    crowded.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut gone = vec![false; bed.points.len()];
    for (_, index) in crowded {
        if bed.grid.nearest(bed.points[index], least, Some(index)) < least {
            bed.grid.remove(index);
            gone[index] = true;
        }
    }
    let removed = gone.iter().filter(|gone| **gone).count();
    if removed > 0 {
        keep(&mut bed.points, &gone);
        keep(&mut bed.depth, &gone);
        keep(&mut bed.stirred, &gone);
        bed.grid = Neighbours::of(&bed.points, bed.spacing);
    }
    removed
}

fn keep<T>(list: &mut Vec<T>, gone: &[bool]) {
    let mut index = 0;
    list.retain(|_| {
        index += 1;
        !gone[index - 1]
    });
}

/// Plants open places, the most open first; tells how many.
///
/// The lattice has no open places, so only the surroundings of stirred plants are searched.
fn fill_open(bed: &mut Bed<'_>) -> usize {
    let least = OPEN * bed.spacing;
    let step = bed.spacing / 4.0;
    // The middle of an open place may lie between samples, which see a little less.
    let hint = least - step * std::f64::consts::FRAC_1_SQRT_2;
    let stirred: Vec<Point> =
        (0..bed.points.len()).filter(|&i| bed.stirred[i]).map(|i| bed.points[i]).collect();
    let about = Neighbours::of(&stirred, bed.spacing);
    let reach = 1.5 * bed.spacing;
    let mut open: Vec<(f64, Point)> = samples_inside(bed.core, step)
        .into_iter()
        .filter(|place| about.has_near(*place, reach) && !bed.grid.has_near(*place, hint))
        .map(|place| most_open(bed, place))
        .filter(|(clear, _)| *clear >= least)
        .collect();
    open.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut added = 0;
    for (_, place) in open {
        if !bed.grid.has_near(place, least - 1e-9) {
            bed.add(place, bed.index.signed_distance(place));
            added += 1;
        }
    }
    for stirred in bed.stirred.iter_mut().rev().take(added) {
        *stirred = true;
    }
    added
}

/// The most open place about another, and its distance from the nearest plant. [m]
fn most_open(bed: &Bed<'_>, place: Point) -> (f64, Point) {
    let clear = |at: Point| bed.grid.nearest(at, 2.0 * bed.spacing, None);
    let mut best = (clear(place), place);
    let mut step = bed.spacing / 8.0;
    for _ in 0..5 {
        for eighth in 0..8 {
            let turn = f64::from(eighth) * std::f64::consts::FRAC_PI_4;
            let at = best.1 + Vec2::from_angle(turn) * step;
            let clear = clear(at);
            if clear > best.0 + 1e-9 && bed.index.signed_distance(at) >= bed.spacing / 2.0 {
                best = (clear, at);
            }
        }
        step /= 2.0;
    }
    best
}
