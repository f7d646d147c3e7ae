//! Points that the readings leave free, and the fewest tapes that would fix each.
//!
//! - In: a network and its adjustment. Out: for each free point the points to tape to.
//! - Method: a point on one tape lies on a circle; of the known points within reach the one is taken
//!   whose tape would cross that circle's radius best, on the mean over the circle. A point on no
//!   tape needs two, to known points that lie far apart.
//! - Points are listed so that each may count on those before it.

use std::f64::consts::TAU;

use groundwright_geometry::{Point, Vec2};

use crate::adjust::Adjustment;
use crate::network::{Network, Observed};

/// Reach of a usual tape. [m]
const REACH: f64 = 30.0;

/// What a free point wants.
#[derive(Debug, Clone, PartialEq)]
pub struct Missing {
    /// The point.
    pub point: usize,
    /// How many more readings it needs at least.
    pub readings: usize,
    /// To which points to tape, the best first; fewer than `readings` where the network has no more.
    pub to: Vec<usize>,
}

/// What the free points of an adjusted network want.
pub fn missing(network: &Network, adjustment: &Adjustment) -> Vec<Missing> {
    let mut known: Vec<bool> = adjustment.points.iter().map(|point| point.determined).collect();
    let mut free = adjustment.undetermined.clone();
    let mut wanted = Vec::new();
    while !free.is_empty() {
        let ties = |point: &usize| ties_to_known(network, &known, *point);
        // The one that needs least comes first; of two alike the one listed first.
        let best =
            free.iter().enumerate().max_by_key(|(i, point)| (ties(point).len(), std::cmp::Reverse(*i)));
        let Some((index, point)) = best.map(|(index, point)| (index, *point)) else { break };
        let held = ties(&point);
        let readings = 2_usize.saturating_sub(held.len()).max(1);
        let to = suggest(network, adjustment, point, &held, readings);
        wanted.push(Missing { point, readings, to });
        known[point] = true;
        free.remove(index);
    }
    wanted
}

/// Points that are known and tied to a free one, with the length where it is a tape.
fn ties_to_known(network: &Network, known: &[bool], point: usize) -> Vec<(usize, Option<f64>)> {
    let mut ties = Vec::new();
    for reading in &network.readings {
        let others: Vec<usize> = reading.observed.points().filter(|other| *other != point).collect();
        let about = reading.observed.points().any(|other| other == point);
        if about && others.iter().all(|other| known[*other]) {
            let length = matches!(reading.observed, Observed::Distance { .. }).then_some(reading.value);
            ties.push((others[0], length));
        }
    }
    ties
}

fn suggest(
    network: &Network,
    adjustment: &Adjustment,
    point: usize,
    held: &[(usize, Option<f64>)],
    readings: usize,
) -> Vec<usize> {
    let placed = |i: &usize| adjustment.points[*i].determined && !held.iter().any(|(tied, _)| tied == i);
    let candidates: Vec<usize> = (0..network.points.len()).filter(placed).collect();
    let near = network.points[point].near;
    let first = held.first().filter(|(tied, _)| adjustment.points[*tied].determined);
    let mut chosen: Vec<usize> = Vec::new();
    let mut centre = first.map(|(tied, _)| adjustment.points[*tied].at);
    for _ in 0..readings {
        let places: Vec<Point> = match (near, centre, first.and_then(|(_, length)| *length)) {
            (Some(near), _, _) => vec![near],
            (None, Some(centre), Some(length)) => {
                (0..24).map(|k| centre + Vec2::from_angle(TAU * f64::from(k) / 24.0) * length).collect()
            }
            _ => Vec::new(),
        };
        let score = |i: usize| {
            let at = adjustment.points[i].at;
            match centre {
                // Nothing is known of the place: far from what it is tied to already.
                Some(centre) if places.is_empty() => (at - centre).hypot().min(REACH),
                Some(centre) => places.iter().map(|place| crossing(*place, centre, at)).sum::<f64>(),
                None => near.map_or(0.0, |near| -(at - near).hypot()),
            }
        };
        let left = candidates.iter().filter(|i| !chosen.contains(i));
        let Some(best) = left.copied().max_by(|a, b| score(*a).total_cmp(&score(*b)).then(b.cmp(a))) else {
            break;
        };
        centre = centre.or(Some(adjustment.points[best].at));
        chosen.push(best);
    }
    chosen
}

/// Sine of the angle between two tapes, 0 where the second does not reach.
fn crossing(place: Point, a: Point, b: Point) -> f64 {
    let (u, v) = (place - a, place - b);
    let sine = u.cross(v).abs() / (u.hypot() * v.hypot());
    if v.hypot() <= REACH && sine.is_finite() { sine } else { 0.0 }
}
