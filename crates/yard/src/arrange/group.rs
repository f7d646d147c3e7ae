//! A clump: a few plants of one kind, set close and irregular, in odd numbers by habit.
//!
//! - In: count, spacing [m], centre, seed, a region or none. Out: positions.
//! - Method: plants are added one by one at about the spacing from one that stands already, near
//!   the middle of the clump but never in line with two others while there are few. So every
//!   plant's nearest neighbour stays within 12 % of the spacing by construction. The clump is then
//!   shifted, and turned if need be, by the least move that brings it inside the region.
//! - Source: common practice, no source: odd numbers set as triangles rather than lines.
//! - Not here: large numbers without a form of their own (`mass`).

use std::f64::consts::TAU;

use groundwright_geometry::{Point, Region, RegionIndex, Vec2};

use super::draws::Draws;
use super::neighbours::nearest_distances;

/// A clump as it came out.
#[derive(Debug, Clone, PartialEq)]
pub struct Clump {
    /// Where the plants stand, the first near the middle. [m]
    pub points: Vec<Point>,
    /// Whether the number is odd, as the habit has it.
    pub odd: bool,
    /// How far the clump was moved from the centre asked for to lie inside the region. [m]
    pub shift: Vec2,
    /// Least and greatest distance of a plant to its nearest neighbour; none for one plant. [m]
    pub nearest: Option<(f64, f64)>,
}

/// Why a clump cannot be set.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ClumpFault {
    /// A spacing that is not a finite number above zero.
    #[error("the spacing of the clump is {value} m, expected a finite length above zero")]
    Spacing {
        /// The value given. [m]
        value: f64,
    },
    /// A centre that is not finite.
    #[error("the centre of the clump is not a place; give x and y as finite lengths")]
    Center,
    /// No plant, or more than a clump can have.
    #[error("{count} plants asked for, a clump has from 1 to {MOST_PLANTS}; set more as a mass")]
    Count {
        /// The number asked for.
        count: usize,
    },
    /// No place in the region is large enough.
    #[error(
        "{count} plants at {spacing} m fit nowhere in the region; \
         set fewer, closer, or enlarge the region"
    )]
    NoRoom {
        /// The number asked for.
        count: usize,
        /// Spacing asked for. [m]
        spacing: f64,
    },
}

/// A clump has no more plants than this.
pub const MOST_PLANTS: usize = 99;

/// Share of the spacing by which a new plant may stand nearer or further than it.
const PLAY: f64 = 0.09;

/// Up to this number no three plants stand on a straight line.
const FEW: usize = 5;

/// Three plants stand in line if one is nearer than this share of the spacing to the line of the
/// others.
const IN_LINE: f64 = 0.22;

/// Sets a clump.
///
/// # Arguments
/// - `count`: number of plants, 1 to [`MOST_PLANTS`]; even numbers are allowed and reported.
/// - `spacing`: distance of nearest neighbours, kept within 12 %. [m] Above zero.
/// - `center`: where the middle of the clump should lie. [m]
/// - `region`: all plants are inside it, half a spacing from its edge if it has room for that,
///   otherwise just inside.
/// - `seed`: which of many like clumps it is.
pub fn clump(
    count: usize,
    spacing: f64,
    center: Point,
    region: Option<&Region>,
    seed: u64,
) -> Result<Clump, ClumpFault> {
    if !(spacing.is_finite() && spacing > 0.0) {
        return Err(ClumpFault::Spacing { value: spacing });
    }
    if !center.is_finite() {
        return Err(ClumpFault::Center);
    }
    if !(1..=MOST_PLANTS).contains(&count) {
        return Err(ClumpFault::Count { count });
    }
    let form = form(count, &mut Draws::new(seed));
    let places: Vec<Vec2> = form.into_iter().map(|place| place * spacing).collect();
    let points = match region {
        None => places.into_iter().map(|place| center + place).collect(),
        Some(region) => {
            bring_inside(&places, center, spacing, region).ok_or(ClumpFault::NoRoom { count, spacing })?
        }
    };
    let middle = points.iter().fold(Vec2::ZERO, |sum, point| sum + point.to_vec2()) / count as f64;
    let distances = || nearest_distances(&points).into_iter().flatten();
    let nearest = distances().reduce(f64::min).zip(distances().reduce(f64::max));
    Ok(Clump { odd: count % 2 == 1, shift: middle - center.to_vec2(), nearest, points })
}

/// Places about the origin for a spacing of 1, their mean at the origin.
fn form(count: usize, draws: &mut Draws) -> Vec<Vec2> {
    // Four plants can stand such that a fifth is in line with two of them everywhere: begin anew.
    // A start that leads on is found within a few; the bend asked for fades so that it ends anyway.
    let mut attempts = (0..).map(|attempt| if attempt < 100 { IN_LINE } else { 0.0 });
    let places = attempts.find_map(|bend| grow(count, bend, draws)).unwrap_or_default();
    let mean = places.iter().fold(Vec2::ZERO, |sum, place| sum + *place) / count as f64;
    places.iter().map(|place| *place - mean).collect()
}

/// Adds plant to plant; none if there is no place for the next.
fn grow(count: usize, bend: f64, draws: &mut Draws) -> Option<Vec<Vec2>> {
    let mut places = vec![Vec2::ZERO];
    while places.len() < count {
        let next = next_place(&places, if count <= FEW { bend } else { 0.0 }, draws)?;
        places.push(next);
    }
    Some(places)
}

/// A place for one more plant: of many tries the one nearest to the middle.
fn next_place(places: &[Vec2], bend: f64, draws: &mut Draws) -> Option<Vec2> {
    let middle = places.iter().fold(Vec2::ZERO, |sum, place| sum + *place) / places.len() as f64;
    let mut best: Option<(f64, Vec2)> = None;
    for tries in 0..400 {
        if tries >= 40 && best.is_some() {
            break;
        }
        let host = places[(draws.unit() * places.len() as f64) as usize];
        let (reach, direction) =
            (draws.between(1.0 - PLAY, 1.0 + PLAY), Vec2::from_angle(draws.between(0.0, TAU)));
        let place = host + direction * reach;
        let crowded = places.iter().any(|other| (place - *other).hypot() < 1.0 - PLAY);
        if crowded || in_line(places, place, bend) {
            continue;
        }
        // As if at the spacing itself, so that near places have no advantage.
        let rank = (host + direction - middle).hypot() + draws.between(0.0, 0.35);
        if best.is_none_or(|(least, _)| rank < least) {
            best = Some((rank, place));
        }
    }
    best.map(|(_, place)| place)
}

/// Whether a place makes a straight line with two others.
fn in_line(places: &[Vec2], place: Vec2, least: f64) -> bool {
    places
        .iter()
        .enumerate()
        .any(|(i, a)| places[..i].iter().any(|b| height_of_triangle(*a, *b, place) < least))
}

/// Distance of the middle one of three places from the line of the outer two.
fn height_of_triangle(a: Vec2, b: Vec2, c: Vec2) -> f64 {
    let longest = (a - b).hypot().max((b - c).hypot()).max((c - a).hypot());
    (b - a).cross(c - a).abs() / longest.max(f64::MIN_POSITIVE)
}

/// Shifts, and turns if need be, a clump into a region by the least move found.
fn bring_inside(places: &[Vec2], center: Point, spacing: f64, region: &Region) -> Option<Vec<Point>> {
    let index = RegionIndex::new(region);
    [0.5, 0.25, 0.05]
        .into_iter()
        .find_map(|share| nearest_fit(places, center, spacing, share * spacing, region, &index))
}

/// The fit nearest to the centre that keeps a distance from the edge.
fn nearest_fit(
    places: &[Vec2],
    center: Point,
    spacing: f64,
    edge: f64,
    region: &Region,
    index: &RegionIndex,
) -> Option<Vec<Point>> {
    let fits = |at: Point, turn: Vec2| {
        places.iter().all(|place| index.signed_distance(at + turned(*place, turn)) >= edge)
    };
    let turns: Vec<Vec2> = (0..12).map(|i| Vec2::from_angle(f64::from(i) * TAU / 12.0)).collect();
    let fitting = |at: Point| turns.iter().copied().find(|turn| fits(at, *turn));
    let set = |at: Point, turn: Vec2| places.iter().map(|p| at + turned(*p, turn)).collect();
    if let Some(turn) = fitting(center) {
        return Some(set(center, turn));
    }
    let (at, turn) = places_by_distance(center, spacing, region)
        .into_iter()
        .find_map(|at| fitting(at).map(|turn| (at, turn)))?;
    // Back towards the centre as far as the clump still fits.
    let (mut inside, mut outside) = (at, center);
    for _ in 0..20 {
        let middle = inside.midpoint(outside);
        if fits(middle, turn) {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    Some(set(inside, turn))
}

fn turned(place: Vec2, turn: Vec2) -> Vec2 {
    Vec2::new(place.x * turn.x - place.y * turn.y, place.x * turn.y + place.y * turn.x)
}

/// Places over the bounds of a region, a quarter of the spacing apart (more in a large region), by
/// their distance from the centre.
fn places_by_distance(center: Point, spacing: f64, region: &Region) -> Vec<Point> {
    let Some(bounds) = region.bounds() else { return Vec::new() };
    let step = (spacing / 4.0).max(bounds.width().max(bounds.height()) / 200.0);
    let count = |length: f64| (length / step).floor() as i32;
    let mut places: Vec<Point> = (0..=count(bounds.height()))
        .flat_map(|row| (0..=count(bounds.width())).map(move |column| (column, row)))
        .map(|(column, row)| bounds.origin() + Vec2::new(f64::from(column), f64::from(row)) * step)
        .collect();
    places.sort_by(|a, b| a.distance_squared(center).total_cmp(&b.distance_squared(center)));
    places
}
