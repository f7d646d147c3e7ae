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

/// Rounds of taking out and filling in.
const ROUNDS: usize = 6;

/// Evens out the inner plants.
pub(super) fn settle(bed: &mut Bed, seed: u64) {
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
    thin(bed);
}

/// Moves the inner plants by up to a hundredth of a spacing, so that none balances on a ridge.
fn shake(bed: &mut Bed, draws: &mut Draws) {
    let most = bed.spacing / 100.0;
    for at in &mut bed.points[bed.held..] {
        let near = bed.index.boundary_distance(*at) < 3.0 * bed.spacing;
        let push = Vec2::new(draws.between(-most, most), draws.between(-most, most));
        if near {
            *at += push;
        }
    }
}

/// Lets the inner plants give way, a number of steps.
fn relax(bed: &mut Bed, steps: usize) {
    let held = bed.held;
    // A bound from below on the distance from the edge, asked again when it runs low.
    let mut depth: Vec<f64> = bed.points[held..].iter().map(|at| bed.index.signed_distance(*at)).collect();
    let mut awake = vec![true; bed.points.len() - held];
    for _ in 0..steps {
        bed.grid = Neighbours::of(&bed.points, REACH * bed.spacing);
        let pushes: Vec<Vec2> = (held..bed.points.len())
            .map(|i| if awake[i - held] { push(bed, i) } else { Vec2::ZERO })
            .collect();
        let mut rouse = vec![false; awake.len()];
        for (inner, push) in pushes.into_iter().enumerate() {
            if push.hypot() < 2e-4 * bed.spacing {
                continue;
            }
            let from = bed.points[held + inner];
            let Some(at) = step_inside(bed, from, push, &mut depth[inner]) else { continue };
            bed.points[held + inner] = at;
            bed.grid.near(from, REACH * bed.spacing, |other, _| {
                if other >= held {
                    rouse[other - held] = true;
                }
            });
        }
        awake = rouse;
    }
    bed.grid = Neighbours::of(&bed.points, bed.spacing);
}

/// How far the plants about it push a plant, at most a twelfth of a spacing. [m]
fn push(bed: &Bed, index: usize) -> Vec2 {
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

/// The place after a push, or half of it; none if both are too near the edge.
fn step_inside(bed: &Bed, from: Point, push: Vec2, depth: &mut f64) -> Option<Point> {
    let least = bed.spacing / 2.0;
    for push in [push, push / 2.0] {
        let bound = *depth - push.hypot();
        if bound >= least {
            *depth = bound;
            return Some(from + push);
        }
        let actual = bed.index.signed_distance(from + push);
        if actual >= least {
            *depth = actual;
            return Some(from + push);
        }
    }
    None
}

/// Takes out inner plants that stand nearer than 0.8 spacings to another, the most crowded first;
/// tells how many.
fn thin(bed: &mut Bed) -> usize {
    let least = CROWDED * bed.spacing;
    let mut crowded: Vec<(f64, usize)> = (bed.held..bed.points.len())
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
        let mut index = 0;
        bed.points.retain(|_| {
            index += 1;
            !gone[index - 1]
        });
        bed.grid = Neighbours::of(&bed.points, bed.spacing);
    }
    removed
}

/// Plants open places, the most open first; tells how many.
fn fill_open(bed: &mut Bed) -> usize {
    let reach = 2.0 * bed.spacing;
    let least = OPEN * bed.spacing;
    let mut open: Vec<(f64, Point)> = samples_inside(&bed.core, bed.spacing / 4.0)
        .into_iter()
        .filter(|place| bed.grid.nearest(*place, least, None) >= least)
        .map(|place| (bed.grid.nearest(place, reach, None), place))
        .collect();
    open.sort_by(|a, b| b.0.total_cmp(&a.0));
    let before = bed.points.len();
    for (_, place) in open {
        bed.offer(place, OPEN);
    }
    bed.points.len() - before
}
