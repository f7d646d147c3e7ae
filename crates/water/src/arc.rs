//! The sector and throw of a head that fit the shape around it.
//!
//! - In: where a head stands, the area that should be wet, what must stay dry, the nozzle. [m]
//! - Out: a sector, or none where nothing fits.
//! - Method: for each of [`DIRECTIONS`] the water that would fall inside is weighed against the water
//!   that would fall outside; the sector is the run of directions with the greatest sum (Kadane's
//!   method round the circle). What must stay dry weighs so much that no sector takes it.
//! - Throws from full to the shortest the nozzle can be turned down to are tried.

use std::f64::consts::TAU;

use groundwright_geometry::{Point, Rect, Region, RegionIndex, Vec2};

use crate::catch_grid::Head;
use crate::nozzle::{Jet, Nozzle};

/// Directions tried: every 2.5°.
pub(crate) const DIRECTIONS: usize = 144;
/// Throws tried, from full to shortest.
const THROWS: usize = 5;
/// Weight of water that misses the area against water that hits it.
const MISS: f64 = 2.0;
/// Weight of water on what must stay dry.
const FORBIDDEN: f64 = -1e6;

/// The shape that heads are fitted to.
pub(crate) struct Ground<'g> {
    pub(crate) area: &'g Region,
    index: RegionIndex,
    dry: Vec<(RegionIndex, &'g Region)>,
}

impl<'g> Ground<'g> {
    pub(crate) fn new(area: &'g Region, dry: &'g [Region]) -> Self {
        let dry = dry.iter().map(|region| (RegionIndex::new(region), region)).collect();
        Self { area, index: RegionIndex::new(area), dry }
    }

    pub(crate) fn contains(&self, place: Point) -> bool {
        self.index.contains(place)
    }

    pub(crate) fn signed_distance(&self, place: Point) -> f64 {
        self.index.signed_distance(place)
    }

    /// How far a stream in a direction stays inside. [m]
    fn free(&self, at: Point, towards: Vec2, throw: f64) -> f64 {
        first_hit(&self.index, at, towards, throw)
    }

    /// Whether a stream in a direction reaches what must stay dry.
    fn wets_dry(&self, at: Point, towards: Vec2, throw: f64) -> bool {
        self.dry.iter().any(|(index, _)| index.contains(at) || first_hit(index, at, towards, throw) < throw)
    }

    /// Whether the sector of a head lies on what must stay dry, exactly.
    fn sector_wets_dry(&self, head: &Head) -> bool {
        let sector = sector(head);
        self.dry.iter().any(|(_, region)| region.overlaps(&sector, 1e-4))
    }
}

/// Distance to the first edge in a direction, at most `most`. [m]
fn first_hit(index: &RegionIndex, at: Point, towards: Vec2, most: f64) -> f64 {
    let end = at + towards * most;
    let mut least = most;
    for edge in index.edges_near(Rect::from_points(at, end)) {
        let along = edge.p1 - edge.p0;
        let turned = towards.cross(along);
        if turned == 0.0 {
            continue;
        }
        let between = edge.p0 - at;
        let (distance, share) = (between.cross(along) / turned, between.cross(towards) / turned);
        if (0.0..=1.0).contains(&share) && distance >= 0.0 {
            least = least.min(distance);
        }
    }
    least
}

/// The sector of a head as a region. [m]
pub(crate) fn sector(head: &Head) -> Region {
    let steps = (head.sweep / TAU * 96.0).ceil().max(2.0);
    // Chords lie outside the arc, so that the region holds the sector.
    let reach = head.throw / (head.sweep / steps / 2.0).cos();
    let full = head.sweep >= TAU - 1e-9;
    let mut points = if full { Vec::new() } else { vec![head.at] };
    let count = steps as usize + usize::from(!full);
    points.extend(
        (0..count).map(|i| head.at + Vec2::from_angle(head.start + head.sweep * i as f64 / steps) * reach),
    );
    Region::traced(&points)
}

/// The head that fits at a place; none where no sector of the nozzle does.
pub(crate) fn fit(ground: &Ground<'_>, nozzle: &Nozzle, jet_full: Jet, at: Point) -> Option<Head> {
    let mut best: Option<(f64, Head)> = None;
    for k in 0..THROWS {
        let share = 1.0 - (1.0 - nozzle.shortest) * k as f64 / (THROWS - 1) as f64;
        let throw = jet_full.throw * share;
        let gains: Vec<f64> = (0..DIRECTIONS).map(|i| gain(ground, nozzle, at, throw, i)).collect();
        let Some((first, count)) = best_run(&gains) else { continue };
        let Some((first, count)) = within_sweeps(nozzle, &gains, first, count) else { continue };
        let sum: f64 = (0..count).map(|k| gains[(first + k) % DIRECTIONS]).sum();
        let worth = sum * share * share;
        let step = TAU / DIRECTIONS as f64;
        let mut head = Head {
            at,
            start: step * first as f64,
            sweep: step * count as f64,
            throw,
            flow: 0.0,
            profile: nozzle.profile.clone(),
        };
        if worth <= 0.0 || !clear_of_dry(ground, nozzle, &mut head) {
            continue;
        }
        // Turned down, a nozzle passes less; as much less as its sector is smaller (common practice).
        let arc = if nozzle.matched { head.sweep / TAU } else { 1.0 };
        head.flow = jet_full.flow * arc * share * share;
        if best.as_ref().is_none_or(|(known, _)| worth > *known) {
            best = Some((worth, head));
        }
    }
    best.map(|(_, head)| head)
}

/// Water inside less [`MISS`] times water outside, of all that flies in the sector after direction `i`.
fn gain(ground: &Ground<'_>, nozzle: &Nozzle, at: Point, throw: f64, i: usize) -> f64 {
    let step = TAU / DIRECTIONS as f64;
    let edge = Vec2::from_angle(step * i as f64);
    let next = Vec2::from_angle(step * (i + 1) as f64);
    if ground.wets_dry(at, edge, throw) || ground.wets_dry(at, next, throw) {
        return FORBIDDEN;
    }
    let middle = Vec2::from_angle(step * (i as f64 + 0.5));
    let inside = nozzle.profile.share_within(ground.free(at, middle, throw) / throw);
    inside - MISS * (1.0 - inside)
}

/// The run of directions with the greatest sum, as first and count; none where no direction gains.
fn best_run(gains: &[f64]) -> Option<(usize, usize)> {
    let n = gains.len();
    if gains.iter().all(|gain| *gain > 0.0) {
        return Some((0, n));
    }
    let mut best: Option<(f64, usize, usize)> = None;
    let (mut sum, mut start) = (0.0, 0);
    for k in 0..2 * n {
        if sum <= 0.0 || k - start >= n {
            (sum, start) = (0.0, k);
        }
        sum += gains[k % n];
        if sum > best.map_or(0.0, |(known, _, _)| known) {
            best = Some((sum, start % n, k - start + 1));
        }
    }
    best.map(|(_, first, count)| (first, count.min(n)))
}

/// A run brought within the sweeps of the nozzle: widened or narrowed on the side that costs less.
fn within_sweeps(nozzle: &Nozzle, gains: &[f64], first: usize, count: usize) -> Option<(usize, usize)> {
    let n = gains.len();
    let step = TAU / n as f64;
    let least = (nozzle.sweeps.0 / step - 1e-9).ceil().max(1.0) as usize;
    let most = ((nozzle.sweeps.1 / step + 1e-9).floor() as usize).min(n);
    if least > most {
        return None;
    }
    let (mut first, mut count) = (first, count);
    while count < least {
        let (before, after) = ((first + n - 1) % n, (first + count) % n);
        if gains[before] > gains[after] {
            first = before;
        }
        count += 1;
    }
    while count > most {
        if gains[first] < gains[(first + count - 1) % n] {
            first = (first + 1) % n;
        }
        count -= 1;
    }
    Some((first, count))
}

/// Narrows a sector until it lies off what must stay dry; whether that succeeds.
fn clear_of_dry(ground: &Ground<'_>, nozzle: &Nozzle, head: &mut Head) -> bool {
    let step = TAU / DIRECTIONS as f64;
    for _ in 0..DIRECTIONS {
        if !ground.sector_wets_dry(head) {
            return true;
        }
        if head.sweep - 2.0 * step < nozzle.sweeps.0 - 1e-9 {
            return false;
        }
        head.start += step;
        head.sweep -= 2.0 * step;
    }
    false
}
