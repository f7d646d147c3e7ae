//! Walls and steps as geometry: faces with the soil to their left, and the ground that they shape.
//!
//! - In: instructions of the design. Out: where a wall's face runs, which parts of it stand between
//!   flights of steps, which ground it covers; patches that a wall which is told its levels lays into
//!   the ground.
//! - A wall that is told neither top nor foot stands in the ground as it is and changes nothing.
//! - Not here: stones, stability (`groundwright-walls`).

use groundwright_geometry::{Curve, Patch, Point, Point3, Region, Surface, Vec2};
use groundwright_plan::{ElementRef, Kind, Project, SideOfLine, Steps, Wall, WallLevels};

use crate::outline::{PlaceFault, Resolver, fault};

/// Longest distance of stations at which a wall is looked at. [m]
const STEP: f64 = 0.5;
/// Width over which the ground runs out before and behind a wall that is told its levels. [m] Common
/// practice, no source.
const RUN_OUT: f64 = 0.6;
/// How far the foot lies before the face, so that foot and top are lines of their own. [m]
const HAIR: f64 = 0.01;
/// Depth of a wall whose units are not known. [m]
const USUAL_DEPTH: f64 = 0.3;

/// A wall's face in plan, the soil to its left.
#[derive(Debug, Clone, PartialEq)]
pub struct WallLine {
    /// The wall.
    pub element: ElementRef,
    /// Name on the drawing.
    pub label: String,
    /// Face of the lowest course; its stations run from left to right as one faces the wall.
    pub face: Curve,
    /// Depth of its units. [m]
    pub depth: f64,
    /// Stretches that stand, between flights of steps, as stations. [m]
    pub parts: Vec<(f64, f64)>,
    /// Ground that the units cover. [m]
    pub footprint: Region,
    /// Told levels of the top by stations; empty where the ground says them. [m]
    pub top: Vec<(f64, f64)>,
    /// Told levels of the foot by stations; empty where the ground says them. [m]
    pub foot: Vec<(f64, f64)>,
}

/// A flight of steps in plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Stair {
    /// The flight.
    pub element: ElementRef,
    /// Name on the drawing.
    pub label: String,
    /// Middle of the lowest riser. [m]
    pub from: Point,
    /// Direction in which it rises, of length 1.
    pub up: Vec2,
    /// Width. [m]
    pub width: f64,
    /// Length in plan. [m]
    pub run: f64,
    /// Ground that it covers. [m]
    pub region: Region,
}

impl WallLine {
    /// A point behind the face, or before it if below zero. [m]
    pub fn behind(&self, station: f64, distance: f64) -> Point {
        self.face.point(station) + self.face.normal(station) * distance
    }

    /// Stations of a part, close enough to follow it; its ends are among them.
    pub fn stations(&self, (from, to): (f64, f64)) -> Vec<f64> {
        let count = ((to - from) / STEP).ceil().clamp(1.0, 20_000.0) as usize;
        (0..=count).map(|i| from + (to - from) * i as f64 / count as f64).collect()
    }

    /// Level of the top at a station, told or of a ground a foot behind the units. [m]
    pub fn top_at(&self, station: f64, ground: impl Fn(Point) -> f64) -> f64 {
        at(&self.top, station).unwrap_or_else(|| ground(self.behind(station, self.depth + 0.3)))
    }

    /// Level of the foot at a station, told or of a ground a foot before the face. [m]
    pub fn foot_at(&self, station: f64, ground: impl Fn(Point) -> f64) -> f64 {
        at(&self.foot, station).unwrap_or_else(|| ground(self.behind(station, -0.3)))
    }
}

/// Between stations straight, beyond them level; none without any.
fn at(levels: &[(f64, f64)], station: f64) -> Option<f64> {
    let next = levels.partition_point(|(known, _)| *known < station);
    match (next.checked_sub(1).and_then(|i| levels.get(i)), levels.get(next)) {
        (Some((a, low)), Some((b, high))) => Some(low + (high - low) * (station - a) / (b - a)),
        (Some((_, only)), None) | (None, Some((_, only))) => Some(*only),
        (None, None) => None,
    }
}

/// Places a flight of steps.
pub(crate) fn stair(resolver: &Resolver<'_>, steps: &Steps) -> Result<Stair, PlaceFault> {
    let element = ElementRef::new(Kind::Steps, &steps.id);
    let (Some(from), Some(toward)) = (resolver.point(&steps.from), resolver.point(&steps.toward)) else {
        return Err(fault(&element, "from", "a place hangs on no point", "name a reference point"));
    };
    let along = toward - from;
    if along.hypot() < 0.01 {
        return Err(fault(&element, "toward", "it is where the steps begin", "name a place further up"));
    }
    let (up, width) = (along / along.hypot(), steps.width.value);
    let run = steps.run().max(steps.tread.value);
    let region = strip(from, up, width, 0.0, run)
        .map_err(|e| fault(&element, "width", &e, "give a width and a place that lies apart"))?;
    Ok(Stair { element, label: steps.label.clone(), from, up, width, run, region })
}

fn strip(from: Point, up: Vec2, width: f64, before: f64, beyond: f64) -> Result<Region, String> {
    let across = Vec2::new(-up.y, up.x) * (width / 2.0);
    let (low, high) = (from - up * before, from + up * beyond);
    let corners = [low - across, high - across, high + across, low + across];
    Region::polygon(&corners).map_err(|problem| problem.to_string())
}

/// Places a wall.
pub(crate) fn wall(
    project: &Project,
    resolver: &Resolver<'_>,
    stairs: &[Stair],
    wall: &Wall,
) -> Result<WallLine, PlaceFault> {
    let element = ElementRef::new(Kind::Wall, &wall.id);
    let drawn = resolver.line(&element, "line", &wall.line)?;
    let face = if wall.soil == SideOfLine::Left { drawn } else { drawn.reversed() };
    let points = face.flatten(0.01);
    if crosses_itself(&points) {
        return Err(fault(&element, "line", "the wall crosses itself", "draw its line without a loop"));
    }
    let units = project.stock.wall_units.get(&wall.units);
    let depth = units.map_or(USUAL_DEPTH, |units| units.depth);
    let told = |levels: &WallLevels| match levels {
        WallLevels::Ground => Vec::new(),
        WallLevels::Level(level) => vec![(0.0, *level)],
        WallLevels::Spots(spots) => {
            let mut known: Vec<(f64, f64)> = spots
                .iter()
                .filter_map(|(place, z)| Some((face.nearest(resolver.point(place)?).station, *z)))
                .collect();
            known.sort_by(|a, b| a.0.total_cmp(&b.0));
            known.dedup_by(|b, a| b.0 - a.0 < 1e-6);
            known
        }
    };
    let (top, foot) = (told(&wall.top), told(&wall.foot));
    let mut parts = vec![(0.0, face.length())];
    for stair in stairs {
        // Passing through means that the wall's line meets the flight or its last tread.
        let way = strip(stair.from, stair.up, stair.width, 0.3, stair.run + 0.3)
            .map_err(|e| fault(&element, "line", &e, "move the steps"))?;
        let outside = face.intervals_outside(&way);
        let clip = |(a, b): &(f64, f64)| {
            let cut = outside.iter().map(|(from, to)| (a.max(*from), b.min(*to))).collect::<Vec<_>>();
            cut.into_iter().filter(|(from, to)| to - from > 0.05)
        };
        parts = parts.iter().flat_map(clip).collect();
    }
    let mut line = WallLine {
        element,
        label: wall.label.clone(),
        face,
        depth,
        parts,
        footprint: Region::empty(),
        top,
        foot,
    };
    line.footprint = footprint(&line);
    Ok(line)
}

fn crosses_itself(points: &[Point]) -> bool {
    let pairs: Vec<(Point, Point)> = points.windows(2).map(|w| (w[0], w[1])).collect();
    let side = |a: Point, b: Point, c: Point| (b - a).cross(c - a);
    pairs.iter().enumerate().any(|(i, (a, b))| {
        pairs.iter().skip(i + 2).any(|(c, d)| {
            side(*a, *b, *c) * side(*a, *b, *d) < 0.0 && side(*c, *d, *a) * side(*c, *d, *b) < 0.0
        })
    })
}

fn footprint(line: &WallLine) -> Region {
    let mut regions = Vec::new();
    for part in &line.parts {
        let stations = line.stations(*part);
        let back = stations.iter().rev().map(|s| line.behind(*s, line.depth));
        let outline: Vec<Point> = stations.iter().map(|s| line.face.point(*s)).chain(back).collect();
        let ring = Region::polygon(&outline).unwrap_or_else(|_| Region::traced(&outline));
        regions.push(ring);
    }
    Region::union_all(&regions)
}

/// What the walls that are told their levels make of the ground; in order, with the wall of each.
///
/// # Arguments
/// - `ground`: as it is graded.
pub(crate) fn wall_patches(line: &WallLine, ground: &Surface) -> Vec<Result<Patch, PlaceFault>> {
    if line.top.is_empty() && line.foot.is_empty() {
        return Vec::new();
    }
    let level = |at: Point| ground.level_carried_out(at).unwrap_or(0.0);
    line.parts
        .iter()
        .map(|&(from, to)| {
            let stations = line.stations((from, to));
            let along = |station: f64| {
                let tangent = line.face.tangent(station);
                tangent / tangent.hypot()
            };
            let inner: Vec<f64> = line.stations((from + HAIR, to - HAIR));
            let edge = |side: f64| -> Vec<Point> {
                stations
                    .iter()
                    .enumerate()
                    .map(|(i, s)| {
                        let beyond = match i {
                            0 => -0.05,
                            _ if i + 1 == stations.len() => 0.05,
                            _ => 0.0,
                        };
                        line.behind(*s, side) + along(*s) * beyond
                    })
                    .collect()
            };
            let front = edge(-RUN_OUT);
            let mut back = edge(line.depth + RUN_OUT);
            back.reverse();
            let rim: Vec<Point> = front.into_iter().chain(back).collect();
            if !groundwright_geometry::check_outline(&rim).is_empty() {
                let what = "before or behind the wall the ground has no room to run out in its bends";
                return Err(fault(&line.element, "line", what, "ease the bends of the wall"));
            }
            let lift = |at: Point, z: f64| Point3::new(at.x, at.y, z);
            let foot = |s: &f64| lift(line.behind(*s, -HAIR), line.foot_at(*s, level));
            let top = |s: &f64| lift(line.behind(*s, line.depth), line.top_at(*s, level));
            let lines = vec![inner.iter().map(foot).collect(), inner.iter().map(top).collect()];
            Ok(Patch { rim, levels: Vec::new(), lines })
        })
        .collect()
}

/// What a flight of steps makes of the ground: a ramp through its nosings.
pub(crate) fn stair_patch(stair: &Stair, steps: &Steps) -> Patch {
    let across = Vec2::new(-stair.up.y, stair.up.x) * (stair.width / 2.0);
    let (low, high) = (stair.from, stair.from + stair.up * stair.run);
    let grown = across * (1.0 + 2.0 * HAIR / stair.width);
    let (below, above) = (low - stair.up * 0.3, high + stair.up * 0.3);
    let rim = vec![below - grown, above - grown, above + grown, below + grown];
    let lift = |at: Point, z: f64| Point3::new(at.x, at.y, z);
    let lines = vec![
        vec![lift(low - across, steps.foot), lift(low + across, steps.foot)],
        vec![lift(high - across, steps.top), lift(high + across, steps.top)],
    ];
    Patch { rim, levels: Vec::new(), lines }
}
