//! Where cable may lie in a yard: along beds and buildings, from one to the other by the shortest ways.
//!
//! - Lines: inside the rims of beds and lawns, around buildings, each in pieces of a metre. Between lines
//!   the shortest connections, several where they lie apart.
//! - Costs: a sleeve under paving, dear ground among the roots of kept trees, none through buildings.
//! - A lamp or transformer without a line near it gets a connection to the nearest.

use groundwright_geometry::{BoxIndex, Point, PointIndex, Rect, Region, RegionIndex};
use groundwright_plan::{Action, Project};
use groundwright_yard::Yard;

use crate::{CorridorLine, Route};

/// Farthest that a lamp may lie from a line. [m]
pub(super) const REACH: f64 = 60.0;
/// Cost of a metre of trench, against the stock's prices of cable. [money/m] Common practice, no source.
pub(super) const COST: f64 = 6.0;
/// Cost of a sleeve under paving. [money] Common practice, no source.
const SLEEVE: f64 = 80.0;
/// How much dearer a trench among kept roots is.
const ROOTS: f64 = 8.0;
/// How much dearer a trench across turf is.
const TURF: f64 = 1.4;
/// Distance of the cable from the rim of a bed. [m]
const INSIDE: f64 = 0.15;
/// Distance from a building. [m]
const BESIDE: f64 = 0.3;
/// Length of a piece of a line. [m]
const PIECE: f64 = 1.0;
/// Longest connection between two lines, and how far apart two of one pair are. [m]
const ACROSS: (f64, f64) = (8.0, 4.0);

/// The lines of a yard.
pub(super) struct Ways {
    pub lines: Vec<CorridorLine>,
    paved: Covers,
    roots: Vec<(Point, f64)>,
}

/// Regions of one kind that are asked for many places.
struct Covers {
    regions: Vec<RegionIndex>,
    boxes: BoxIndex,
}

impl Covers {
    fn new<'r>(regions: impl Iterator<Item = &'r Region>) -> Self {
        let regions: Vec<RegionIndex> =
            regions.map(RegionIndex::new).filter(|r| r.bounds().is_some()).collect();
        let boxes: Vec<Rect> = regions.iter().filter_map(RegionIndex::bounds).collect();
        Self { boxes: BoxIndex::new(&boxes), regions }
    }

    fn contains(&self, at: Point) -> bool {
        self.boxes.at(at).any(|i| self.regions.get(i).is_some_and(|region| region.contains(at)))
    }
}

/// A stretch of the trench.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// Its ends. [m]
    pub ends: (Point, Point),
    /// Whether it runs in a sleeve under paving.
    pub sleeve: bool,
}

/// The trench of a transformer.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Trench {
    /// Its stretches.
    pub stretches: Vec<Stretch>,
    /// Length under paving. [m]
    pub under_paving: f64,
    /// Length among the roots of kept trees. [m]
    pub in_roots: f64,
}

impl Ways {
    pub fn new(project: &Project, yard: &Yard, lamps: &[Point], transformers: &[Point]) -> Self {
        let plot = &yard.plot;
        let paved = Covers::new(plot.hard());
        let solid = Covers::new(plot.buildings.iter().map(|building| &building.whole));
        let turf = Covers::new(plot.lawns.iter().map(|lawn| &lawn.free));
        let practice = &project.practice;
        let roots: Vec<(Point, f64)> = plot
            .trees
            .iter()
            .filter_map(|spot| {
                let tree = project.property.trees.iter().find(|tree| tree.id == spot.element.id)?;
                let radius =
                    (tree.diameter.value * practice.protection_ratio).max(practice.protection_minimum);
                (tree.action == Action::Keep).then_some((spot.at, radius))
            })
            .collect();
        let mut ways = Self { lines: Vec::new(), paved, roots };
        if transformers.is_empty() || lamps.is_empty() {
            return ways;
        }
        let mut rings: Vec<Vec<Point>> = Vec::new();
        for region in plot.beds.iter().map(|bed| bed.free.grow(-INSIDE)) {
            rings.extend(region.outlines());
        }
        for region in plot.buildings.iter().map(|building| building.whole.grow(BESIDE)) {
            rings.extend(region.outlines());
        }
        for region in plot.lawns.iter().map(|lawn| lawn.free.grow(-INSIDE)) {
            rings.extend(region.outlines());
        }
        let rings: Vec<Vec<Point>> = rings.iter().map(|ring| pieces(ring)).filter(|r| r.len() > 2).collect();
        let blocked = |a: Point, b: Point| samples(a, b).any(|at| solid.contains(at));
        for ring in &rings {
            for pair in ring.windows(2) {
                if !blocked(pair[0], pair[1]) {
                    ways.add(pair[0], pair[1], 1.0);
                }
            }
        }
        for (a, b) in connections(&rings, &blocked) {
            let share = if turf.contains(a.midpoint(b)) { TURF } else { 1.0 };
            ways.add(a, b, share);
        }
        // A yard without beds or buildings still has its lamps: from each to the next.
        if ways.lines.is_empty() {
            let mut order: Vec<Point> = transformers.iter().chain(lamps).copied().collect();
            order.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
            order.dedup_by(|a, b| a.distance(*b) < 0.06);
            for pair in order.windows(2) {
                ways.add(pair[0], pair[1], 1.0);
            }
            if let (Some(only), true) = (order.first(), ways.lines.is_empty()) {
                ways.add(*only, *only + groundwright_geometry::Vec2::new(1.0, 0.0), 1.0);
            }
        }
        ways
    }

    fn add(&mut self, a: Point, b: Point, share: f64) {
        let length = a.distance(b);
        if length < 1e-3 {
            return;
        }
        let rooted = samples(a, b).any(|at| self.is_rooted(at));
        let cost = COST * share * if rooted { ROOTS } else { 1.0 };
        let crossing = if samples(a, b).any(|at| self.is_paved(at)) { SLEEVE } else { 0.0 };
        self.lines.push(CorridorLine { points: vec![a, b], cost, crossing });
    }

    /// The lines within some metres of places.
    pub fn near(&self, places: impl Iterator<Item = Point>, reach: f64) -> Vec<CorridorLine> {
        let boxes = places.map(|at| Rect::from_points(at, at));
        let Some(whole) = boxes.reduce(|a, b| a.union(b)) else { return Vec::new() };
        let whole = whole.inflate(reach, reach);
        self.lines.iter().filter(|line| line.points.iter().any(|at| whole.contains(*at))).cloned().collect()
    }

    fn is_paved(&self, at: Point) -> bool {
        self.paved.contains(at)
    }

    fn is_rooted(&self, at: Point) -> bool {
        self.roots.iter().any(|(trunk, radius)| trunk.distance(at) < *radius)
    }

    /// The stretches of a route, and what they lie in.
    pub fn trench(&self, route: &Route) -> Trench {
        let mut trench = Trench::default();
        for joint in &route.order {
            let Some(before) = route.before.get(*joint).copied().flatten() else { continue };
            let (a, b) = (route.points[before], route.points[*joint]);
            let length = a.distance(b);
            if length < 1e-6 {
                continue;
            }
            let count = samples(a, b).count();
            let step = length / count as f64;
            let mut begun = 0;
            let paved: Vec<bool> = samples(a, b).map(|at| self.is_paved(at)).collect();
            for i in 1..=count {
                if i < count && paved[i] == paved[begun] {
                    continue;
                }
                let at = |i: usize| a.lerp(b, i as f64 / count as f64);
                trench.stretches.push(Stretch { ends: (at(begun), at(i)), sleeve: paved[begun] });
                trench.under_paving += if paved[begun] { step * (i - begun) as f64 } else { 0.0 };
                begun = i;
            }
            trench.in_roots += step * samples(a, b).filter(|at| self.is_rooted(*at)).count() as f64;
        }
        trench
    }
}

/// Places along a stretch, both ends left out.
fn samples(a: Point, b: Point) -> impl Iterator<Item = Point> {
    let count = (a.distance(b) / 0.2).ceil().max(2.0) as usize;
    (0..count).map(move |i| a.lerp(b, (i as f64 + 0.5) / count as f64))
}

/// A closed ring in pieces of about a metre, the first point repeated at its end.
fn pieces(ring: &[Point]) -> Vec<Point> {
    let mut all = Vec::new();
    let next = ring.iter().skip(1).chain(ring.first());
    for (a, b) in ring.iter().zip(next) {
        let count = (a.distance(*b) / PIECE).ceil().max(1.0) as usize;
        all.extend((0..count).map(|i| a.lerp(*b, i as f64 / count as f64)));
    }
    all.extend(ring.first());
    // Curves come in many short pieces: every place at least a third of a metre from the one before.
    let mut thinned: Vec<Point> = Vec::new();
    for at in all {
        if thinned.last().is_none_or(|last| last.distance(at) > PIECE / 3.0) {
            thinned.push(at);
        }
    }
    if let (Some(first), Some(last)) = (thinned.first().copied(), thinned.last().copied())
        && first.distance(last) > 1e-9
    {
        thinned.push(first);
    }
    thinned
}

/// Connections between rings: the shortest of every pair, more of a pair where they lie apart, and
/// whatever else is needed for all to hang together.
fn connections(rings: &[Vec<Point>], blocked: &impl Fn(Point, Point) -> bool) -> Vec<(Point, Point)> {
    let owner: Vec<usize> = rings.iter().enumerate().flat_map(|(i, ring)| vec![i; ring.len()]).collect();
    let points: Vec<Point> = rings.iter().flatten().copied().collect();
    let index = PointIndex::new(&points);
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for (i, at) in points.iter().enumerate() {
        for j in index.within(*at, ACROSS.0) {
            if owner[j] > owner[i] {
                pairs.push((at.distance(points[j]), i, j));
            }
        }
    }
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut group: Vec<usize> = (0..rings.len()).collect();
    let mut taken: std::collections::BTreeMap<(usize, usize), Vec<Point>> = std::collections::BTreeMap::new();
    let mut all = Vec::new();
    for (_, i, j) in pairs {
        let (a, b) = (points[i], points[j]);
        let known = taken.entry((owner[i], owner[j])).or_default();
        if known.iter().any(|at| at.distance(a) < ACROSS.1) || (a.distance(b) > 0.05 && blocked(a, b)) {
            continue;
        }
        known.push(a);
        join(&mut group, owner[i], owner[j]);
        all.push((a, b));
    }
    // Rings farther apart than that are joined by the shortest way that leads out.
    loop {
        let first = root(&group, 0);
        let (near, far): (Vec<usize>, Vec<usize>) =
            (0..points.len()).partition(|i| root(&group, owner[*i]) == first);
        if far.is_empty() || near.is_empty() {
            return all;
        }
        let inner: Vec<Point> = near.iter().map(|i| points[*i]).collect();
        let inner_index = PointIndex::new(&inner);
        let nearest = far.iter().filter_map(|j| {
            let (i, distance) = inner_index.nearest(points[*j])?;
            Some((distance, near[i], *j))
        });
        let Some((_, i, j)) = nearest.min_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))))
        else {
            return all;
        };
        join(&mut group, owner[i], owner[j]);
        all.push((points[i], points[j]));
    }
}

fn root(group: &[usize], mut i: usize) -> usize {
    while group[i] != i {
        i = group[i];
    }
    i
}

fn join(group: &mut [usize], a: usize, b: usize) {
    let (a, b) = (root(group, a), root(group, b));
    group[a.max(b)] = a.min(b);
}
