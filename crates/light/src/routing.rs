//! The trench: a cheap tree along allowed ways that ties all lamps to the transformer.
//!
//! - In: a graph of ways with costs, the places among its joints. Out: a tree rooted at the
//!   transformer, its cost, and a bound below which no tree can cost.
//! - Method: Mehlhorn (1988), "A faster approximation algorithm for the Steiner problem in graphs":
//!   one Dijkstra from all places at once, a least spanning tree of the regions, the paths between.
//! - Quality: never more than 2 (1 − 1/k) times the least cost for k places; the bound reported with
//!   each answer is usually much nearer. Time grows as m log n.
//! - Not here: how cables share the trench (`runs.rs`).

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use groundwright_geometry::Point;

use crate::{Corridors, NotUsable, Way};

/// Why there is no route. Places and lines count from 1.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RouteError {
    /// A line of the corridors that is not usable.
    #[error("line {line}: {what}")]
    Line {
        /// Which.
        line: usize,
        /// What is wrong.
        what: String,
    },
    /// A place that is nowhere.
    #[error("place {place} is not finite; expected two finite coordinates")]
    Place {
        /// Which.
        place: usize,
    },
    /// A number of the tie that is not usable.
    #[error(transparent)]
    Tie(NotUsable),
    /// A place too far from every line.
    #[error(
        "place {place} at ({x:.2}, {y:.2}) m has no line for cable within {reach} m; add a line, or allow more reach"
    )]
    OutOfReach {
        /// Which.
        place: usize,
        /// Where.
        x: f64,
        /// Where.
        y: f64,
        /// How far was looked. [m]
        reach: f64,
    },
    /// A place that no way leads to.
    #[error("no way leads from the transformer to place {place}; add a line that joins them")]
    Unconnected {
        /// Which.
        place: usize,
    },
    /// Nothing to connect.
    #[error("there is nothing to connect; expected a transformer and at least one lamp")]
    Empty,
}

/// The trench as a tree from the transformer.
#[derive(Debug, Clone, PartialEq)]
pub struct Route {
    /// Where the joints lie, those of the corridors. [m]
    pub points: Vec<Point>,
    /// The joint before each, towards the transformer; none off the tree and for the transformer.
    pub before: Vec<Option<usize>>,
    /// Distance of each joint from the transformer along the tree; 0 off the tree. [m]
    pub distance: Vec<f64>,
    /// Joints of the tree, each after the one before it.
    pub order: Vec<usize>,
    /// Indices of the ways used, in the corridors.
    pub ways: Vec<usize>,
    /// Length of the trench. [m]
    pub length: f64,
    /// Cost of the trench. [money]
    pub cost: f64,
    /// No tree costs less than this. [money]
    pub bound: f64,
}

/// What stands in Dijkstra's queue; the nearest comes out first.
#[derive(PartialEq)]
struct Waiting {
    cost: f64,
    joint: usize,
}

impl Eq for Waiting {}

impl PartialOrd for Waiting {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Waiting {
    fn cmp(&self, other: &Self) -> Ordering {
        other.cost.total_cmp(&self.cost).then(other.joint.cmp(&self.joint))
    }
}

/// Regions of a graph: what lies nearest to which place.
struct Regions {
    cost: Vec<f64>,
    place: Vec<usize>,
    by: Vec<Option<usize>>,
}

/// Ties all places of the corridors together.
///
/// # Arguments
/// - `transformer`: which of the places it is, counted from 0.
///
/// # Errors
/// - [`RouteError::Empty`]: fewer than two places, or no such transformer.
/// - [`RouteError::Unconnected`]: a place that no way leads to.
pub fn route(corridors: &Corridors, transformer: usize) -> Result<Route, RouteError> {
    let k = corridors.places;
    if k < 2 || transformer >= k {
        return Err(RouteError::Empty);
    }
    let mut around: Vec<Vec<(usize, usize)>> = vec![Vec::new(); corridors.points.len()];
    for (i, way) in corridors.ways.iter().enumerate() {
        around[way.from].push((way.to, i));
        around[way.to].push((way.from, i));
    }
    let regions = regions(corridors, &around);
    let (bridges, spanning) = span(corridors, &regions);
    let used = expand(&corridors.ways, &regions, &bridges);
    let mut route = root(corridors, transformer, &used);
    for place in 0..k {
        if place != transformer && route.before[place].is_none() {
            return Err(RouteError::Unconnected { place: place + 1 });
        }
    }
    // The spanning tree of the places costs at most 2 (1 - 1/k) times the best Steiner tree.
    route.bound = spanning / (2.0 * (1.0 - 1.0 / k as f64));
    Ok(route)
}

/// One Dijkstra from all places at once.
fn regions(corridors: &Corridors, around: &[Vec<(usize, usize)>]) -> Regions {
    let n = corridors.points.len();
    let mut regions = Regions { cost: vec![f64::INFINITY; n], place: vec![usize::MAX; n], by: vec![None; n] };
    let mut queue = BinaryHeap::new();
    for place in 0..corridors.places {
        regions.cost[place] = 0.0;
        regions.place[place] = place;
        queue.push(Waiting { cost: 0.0, joint: place });
    }
    while let Some(Waiting { cost, joint }) = queue.pop() {
        if cost > regions.cost[joint] {
            continue;
        }
        for &(to, way) in &around[joint] {
            let through = cost + corridors.ways[way].cost;
            if through < regions.cost[to] {
                regions.cost[to] = through;
                regions.place[to] = regions.place[joint];
                regions.by[to] = Some(way);
                queue.push(Waiting { cost: through, joint: to });
            }
        }
    }
    regions
}

/// Kruskal over ways between regions: the bridges of the least spanning tree of the places, and its
/// cost.
fn span(corridors: &Corridors, regions: &Regions) -> (Vec<usize>, f64) {
    let across = |way: &Way| regions.cost[way.from] + way.cost + regions.cost[way.to];
    let mut bridges: Vec<(f64, usize)> = corridors
        .ways
        .iter()
        .enumerate()
        .filter(|(_, way)| regions.place[way.from] != regions.place[way.to])
        .map(|(i, way)| (across(way), i))
        .filter(|(cost, _)| cost.is_finite())
        .collect();
    bridges.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut group: Vec<usize> = (0..corridors.places).collect();
    let mut taken = Vec::new();
    let mut spanning = 0.0;
    for (cost, i) in bridges {
        let way = &corridors.ways[i];
        let (a, b) = (find(&mut group, regions.place[way.from]), find(&mut group, regions.place[way.to]));
        if a != b {
            group[a] = b;
            taken.push(i);
            spanning += cost;
        }
    }
    (taken, spanning)
}

fn find(group: &mut [usize], of: usize) -> usize {
    let mut at = of;
    while group[at] != at {
        group[at] = group[group[at]];
        at = group[at];
    }
    at
}

/// Ways of the bridges and of the paths from their ends back to the places.
fn expand(ways: &[Way], regions: &Regions, bridges: &[usize]) -> Vec<usize> {
    let mut used = vec![false; ways.len()];
    for &bridge in bridges {
        used[bridge] = true;
        for end in [ways[bridge].from, ways[bridge].to] {
            let mut at = end;
            while let Some(way) = regions.by[at].filter(|way| !used[*way]) {
                used[way] = true;
                at = if ways[way].from == at { ways[way].to } else { ways[way].from };
            }
        }
    }
    (0..ways.len()).filter(|way| used[*way]).collect()
}

/// The tree of the ways used, from the transformer outwards.
fn root(corridors: &Corridors, transformer: usize, used: &[usize]) -> Route {
    let n = corridors.points.len();
    let mut around: Vec<Vec<(usize, usize)>> = vec![Vec::new(); n];
    for &way in used {
        let Way { from, to, .. } = corridors.ways[way];
        around[from].push((to, way));
        around[to].push((from, way));
    }
    let mut route = Route {
        points: corridors.points.clone(),
        before: vec![None; n],
        distance: vec![0.0; n],
        order: vec![transformer],
        ways: used.to_vec(),
        length: used.iter().map(|way| corridors.ways[*way].length).sum(),
        cost: used.iter().map(|way| corridors.ways[*way].cost).sum(),
        bound: 0.0,
    };
    let mut next = 0;
    while let Some(&at) = route.order.get(next) {
        next += 1;
        for &(to, way) in &around[at] {
            if to != transformer && route.before[to].is_none() {
                route.before[to] = Some(at);
                route.distance[to] = route.distance[at] + corridors.ways[way].length;
                route.order.push(to);
            }
        }
    }
    route
}
