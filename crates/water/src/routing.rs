//! Routes of mains and laterals: a short tree from the source to all it must reach.
//!
//! - In: source and targets [m], ground that may be dug, stretches that cost more (paving), ground that
//!   must not be crossed. Out: a tree of pipes, its length and cost, and a bound below any tree's cost.
//! - Method: on a grid of eight neighbours, the target nearest to the tree is joined by the cheapest
//!   path, again and again (Takahashi and Matsuyama 1980); then each target is taken off and joined
//!   anew while that is cheaper, and places between three neighbouring ends are tried as branches.
//! - Quality: on the grid at most 2 (1 − 1/t) times the cheapest tree for t ends; the bound
//!   MST / (2 (1 − 1/t)) over cheapest paths says what is certain of this very tree. Bends of 45°
//!   cost up to 8.3 % against straight lines.
//! - Where pipes may lie, utilities are located first: call the one-call service before digging.

use std::collections::{BTreeMap, BTreeSet};

use groundwright_geometry::{Point, Rect, Region};
use rayon::prelude::*;

use crate::positive::{NotUsable, above_zero};
use crate::route_grid::Grid;

/// Where pipes may lie.
#[derive(Debug, Clone, Copy)]
pub struct RouteGround<'g> {
    /// Box of the ground. [m]
    pub bounds: Rect,
    /// Side of a cell; 0.5 is usual. [m]
    pub cell: f64,
    /// Ground on which a metre costs more, with the factor, above zero.
    pub dear: &'g [(Region, f64)],
    /// Ground that no pipe may cross.
    pub barred: &'g [Region],
}

/// A node of the tree.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RouteNode {
    /// Where it lies. [m]
    pub at: Point,
    /// The node that feeds it; none for the source.
    pub after: Option<usize>,
    /// Length from there. [m]
    pub length: f64,
    /// Cost from there: length times the factors of the ground.
    pub cost: f64,
    /// The target that it is, if any.
    pub target: Option<usize>,
}

/// A tree of pipes.
#[derive(Debug, Clone, PartialEq)]
pub struct Route {
    /// Nodes: source first, each after the one that feeds it; targets, branches and bends.
    pub nodes: Vec<RouteNode>,
    /// Length of all. [m]
    pub length: f64,
    /// Cost of all, in metres of easy ground.
    pub cost: f64,
    /// No tree on the grid costs less. [as cost]
    pub bound: f64,
}

/// Why there is no route.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RouteError {
    /// A number that cannot be.
    #[error(transparent)]
    NotUsable(#[from] NotUsable),
    /// An end out of the ground.
    #[error(
        "{end} at ({x:.2} m, {y:.2} m) lies outside the ground or where no pipe may lie; move it or free a way"
    )]
    Outside {
        /// Source or target, counted from 1.
        end: String,
        /// East. [m]
        x: f64,
        /// North. [m]
        y: f64,
    },
    /// No way.
    #[error("no way leads to target {target}; it is shut in by ground that must not be crossed")]
    ShutIn {
        /// Counted from 1.
        target: usize,
    },
}

/// Most branches tried.
const MOST_BRANCHES: usize = 24;

/// Finds a tree from a source to targets.
///
/// # Arguments
/// - `targets`: at least one; those in one cell share it.
///
/// # Errors
/// Impossible numbers, an end outside, a target that cannot be reached.
///
/// # Source
/// Takahashi and Matsuyama 1980; shortest paths after Dijkstra 1959.
pub fn route(ground: RouteGround<'_>, source: Point, targets: &[Point]) -> Result<Route, RouteError> {
    above_zero("the count of targets", targets.len() as f64, "")?;
    let grid = Grid::new(ground)?;
    let start = grid.cell_of(source, || "the source".to_owned())?;
    let mut ends = Vec::new();
    for (i, target) in targets.iter().enumerate() {
        ends.push(grid.cell_of(*target, || format!("target {}", i + 1))?);
    }
    let mut tree = grid.grow(start, &ends)?;
    grid.join_anew(&mut tree, start, &ends);
    grid.branch(&mut tree, start, &ends);
    let bound = grid.bound(start, &ends);
    Ok(grid.collapse(&tree, (start, source), &ends, targets, bound))
}

/// Cells of a tree with the cell that feeds each.
type Tree = BTreeMap<usize, usize>;

impl Grid {
    /// Joins the nearest target that is not joined, again and again.
    fn grow(&self, start: usize, ends: &[usize]) -> Result<Tree, RouteError> {
        let mut tree = Tree::from([(start, start)]);
        let mut left: BTreeSet<usize> = ends.iter().copied().filter(|end| *end != start).collect();
        while !left.is_empty() {
            let (_, before, found) = self.spread(tree.keys().copied(), |k| left.contains(&k));
            let Some(found) = found else {
                let target = ends.iter().position(|end| left.contains(end)).map_or(0, |i| i + 1);
                return Err(RouteError::ShutIn { target });
            };
            add_way(&mut tree, &before, found);
            left.retain(|end| !tree.contains_key(end));
        }
        Ok(tree)
    }

    /// Takes each end that is a leaf off and joins it anew while the tree gets cheaper.
    fn join_anew(&self, tree: &mut Tree, start: usize, ends: &[usize]) {
        let kept: BTreeSet<usize> = ends.iter().copied().chain([start]).collect();
        for _ in 0..3 {
            let mut better = false;
            for &end in ends {
                let mut without = tree.clone();
                let Some(saved) = self.take_off(&mut without, end, &kept) else { continue };
                let (costs, before, found) = self.spread(without.keys().copied(), |k| k == end);
                if found.is_some() && costs[end] < saved - 1e-9 {
                    add_way(&mut without, &before, end);
                    *tree = without;
                    better = true;
                }
            }
            if !better {
                break;
            }
        }
    }

    /// Tries branches between each end and its two nearest, and keeps those that make the tree cheaper.
    fn branch(&self, tree: &mut Tree, start: usize, ends: &[usize]) {
        let mut through = ends.to_vec();
        let mut best = self.cost(tree);
        for candidate in self.branches(start, ends) {
            through.push(candidate);
            let tried = self.grow(start, &through).map(|mut tried| {
                self.join_anew(&mut tried, start, &through);
                let kept: BTreeSet<usize> = ends.iter().copied().chain([start]).collect();
                for &extra in &through[ends.len()..] {
                    let mut without = tried.clone();
                    if !kept.contains(&extra) && self.take_off(&mut without, extra, &kept).is_some() {
                        tried = without;
                    }
                }
                tried
            });
            match tried {
                Ok(tried) if self.cost(&tried) < best - 1e-9 => {
                    best = self.cost(&tried);
                    *tree = tried;
                }
                _ => {
                    through.pop();
                }
            }
        }
    }

    /// Cells at the middle easting and northing of each end and its two nearest: where three ways of a
    /// right-angled net would meet.
    fn branches(&self, start: usize, ends: &[usize]) -> BTreeSet<usize> {
        let all: BTreeSet<usize> = ends.iter().copied().chain([start]).collect();
        let mut found = BTreeSet::new();
        for &end in &all {
            let here = self.centre(end);
            let mut others: Vec<Point> = all.iter().filter(|k| **k != end).map(|k| self.centre(*k)).collect();
            others.sort_by(|a, b| a.distance(here).total_cmp(&b.distance(here)));
            let [first, second, ..] = others.as_slice() else { continue };
            let middle = |a: f64, b: f64, c: f64| a.max(b).min(c.max(a.min(b)));
            let place = Point::new(middle(here.x, first.x, second.x), middle(here.y, first.y, second.y));
            if let Ok(cell) = self.cell_of(place, String::new)
                && !all.contains(&cell)
            {
                found.insert(cell);
            }
        }
        found.into_iter().take(MOST_BRANCHES).collect()
    }

    /// Cost of a tree.
    fn cost(&self, tree: &Tree) -> f64 {
        tree.iter().filter(|(k, after)| k != after).map(|(k, after)| self.way(*after, *k)).sum()
    }

    /// Takes a leaf and its own way off a tree; the cost saved, none if it is no leaf.
    fn take_off(&self, tree: &mut Tree, end: usize, kept: &BTreeSet<usize>) -> Option<f64> {
        let mut feeds: BTreeMap<usize, usize> = BTreeMap::new();
        for (_, after) in tree.iter().filter(|(k, after)| k != after) {
            *feeds.entry(*after).or_default() += 1;
        }
        if feeds.contains_key(&end) {
            return None;
        }
        let (mut at, mut saved) = (end, 0.0);
        loop {
            let after = *tree.get(&at)?;
            if after == at {
                return None;
            }
            saved += self.way(after, at);
            tree.remove(&at);
            if feeds.get(&after) != Some(&1) || kept.contains(&after) {
                return Some(saved);
            }
            at = after;
        }
    }

    /// Least cost of any tree: that of the spanning tree of cheapest ways, over 2 (1 − 1/t).
    fn bound(&self, start: usize, ends: &[usize]) -> f64 {
        let all: Vec<usize> =
            ends.iter().copied().chain([start]).collect::<BTreeSet<_>>().into_iter().collect();
        if all.len() < 2 {
            return 0.0;
        }
        let costs: Vec<Vec<f64>> = all
            .par_iter()
            .map(|&k| {
                let (costs, _, _) = self.spread(std::iter::once(k), |_| false);
                all.iter().map(|&end| costs[end]).collect()
            })
            .collect();
        let mut nearest = costs[0].clone();
        let mut joined = vec![false; all.len()];
        joined[0] = true;
        let mut sum = 0.0;
        for _ in 1..all.len() {
            let next =
                (0..all.len()).filter(|&i| !joined[i]).min_by(|&a, &b| nearest[a].total_cmp(&nearest[b]));
            let Some(next) = next else { break };
            joined[next] = true;
            sum += nearest[next];
            for (known, cost) in nearest.iter_mut().zip(&costs[next]) {
                *known = known.min(*cost);
            }
        }
        sum / (2.0 * (1.0 - 1.0 / all.len() as f64))
    }

    /// Nodes at targets, branches and bends, with straight pipes between.
    fn collapse(
        &self,
        tree: &Tree,
        (start, source): (usize, Point),
        ends: &[usize],
        targets: &[Point],
        bound: f64,
    ) -> Route {
        let mut fed: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (k, after) in tree.iter().filter(|(k, after)| k != after) {
            fed.entry(*after).or_default().push(*k);
        }
        let root = RouteNode { at: source, after: None, length: 0.0, cost: 0.0, target: None };
        let mut nodes = vec![root];
        let mut open = vec![(start, 0)];
        while let Some((cell, node)) = open.pop() {
            let mut base = node;
            for (i, _) in ends.iter().enumerate().filter(|(_, end)| **end == cell) {
                let length = nodes[base].at.distance(targets[i]);
                let target = Some(i);
                nodes.push(RouteNode { at: targets[i], after: Some(base), length, cost: length, target });
                base = nodes.len() - 1;
            }
            for &first in fed.get(&cell).into_iter().flatten() {
                let (mut before, mut at, mut cost) = (cell, first, self.way(cell, first));
                // On, as long as nothing branches, ends or bends.
                while let Some([next]) = fed.get(&at).map(Vec::as_slice) {
                    // Equal steps: next − at = at − before.
                    let straight = *next + before == 2 * at;
                    if !straight || ends.contains(&at) {
                        break;
                    }
                    cost += self.way(at, *next);
                    (before, at) = (at, *next);
                }
                let place = self.centre(at);
                let length = nodes[base].at.distance(place);
                nodes.push(RouteNode { at: place, after: Some(base), length, cost, target: None });
                open.push((at, nodes.len() - 1));
            }
        }
        let (length, cost) = nodes.iter().fold((0.0, 0.0), |(l, c), node| (l + node.length, c + node.cost));
        Route { nodes, length, cost, bound }
    }
}

/// Adds the way to a cell to a tree.
fn add_way(tree: &mut Tree, before: &[usize], end: usize) {
    let mut at = end;
    while let std::collections::btree_map::Entry::Vacant(place) = tree.entry(at) {
        let after = before[at];
        if after == usize::MAX {
            break;
        }
        place.insert(after);
        at = after;
    }
}
