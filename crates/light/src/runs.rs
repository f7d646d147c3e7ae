//! Lamps along a trench grouped into runs, and a run laid as tee, daisy chain or hub with spokes.
//!
//! - In: the trench as a tree, lamps at its joints, the most a run may carry. Out: groups of lamps
//!   whose load stays below that; for a group the pieces of cable with their real lengths.
//! - Method: bundles are carried from the leaves towards the transformer; where they become too
//!   much for one cable, the fullest closes and gets a cable of its own home. Cables share the trench.
//! - Real length: way × (1 + slack) + down into the trench and up again, with a tail, at both ends.
//! - Not here: gauges and taps (`sizing.rs`).

use std::collections::{BTreeMap, HashMap, HashSet};

use crate::Route;

/// How cable is laid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Laying {
    /// Slack as a share of the way.
    pub slack: f64,
    /// Depth of the cable. [m]
    pub depth: f64,
    /// What is left at each end for the connection. [m]
    pub tail: f64,
}

impl Laying {
    /// A twentieth of slack, six inches deep, a foot at each end. Common practice, no source; codes
    /// commonly want six inches of cover, and more under drives.
    pub const USUAL: Self = Self { slack: 0.05, depth: 0.1524, tail: 0.3048 };

    fn length(&self, way: f64) -> f64 {
        // A lamp right on the line, without depth or tail, still takes a centimetre.
        (way * (1.0 + self.slack) + 2.0 * (self.depth + self.tail)).max(0.01)
    }
}

/// How the cables of a run branch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Topology {
    /// Along the tree of the trench, spliced where it branches.
    Tee,
    /// From lamp to lamp, spliced only at lamps.
    Daisy,
    /// One cable to a hub, one from there to each lamp: nearly equal voltages.
    Hub,
}

impl Topology {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Tee, Self::Daisy, Self::Hub];
}

/// A piece of cable of a run. Joint 0 is the transformer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Piece {
    /// Joint of the run nearer to the transformer.
    pub from: usize,
    /// The other.
    pub to: usize,
    /// Real length, one way. [m]
    pub length: f64,
    /// Whether it is the first, from the transformer.
    pub home: bool,
}

/// A run laid out.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// How it branches.
    pub topology: Topology,
    /// Joints of the run as joints of the route; the first is the transformer.
    pub joints: Vec<usize>,
    /// Pieces of cable.
    pub pieces: Vec<Piece>,
    /// Joint of the run at each lamp, in the order of the group.
    pub lamps: Vec<usize>,
}

impl Layout {
    /// How many splices: at each joint one less than the cables that meet there.
    pub fn splices(&self) -> usize {
        let mut meeting = vec![0usize; self.joints.len()];
        for piece in &self.pieces {
            meeting[piece.from] += 1;
            meeting[piece.to] += 1;
        }
        meeting.iter().skip(1).map(|cables| cables.saturating_sub(1)).sum()
    }

    /// Length of all cable. [m]
    pub fn cable(&self) -> f64 {
        self.pieces.iter().map(|piece| piece.length).sum()
    }
}

/// Groups lamps so that no group carries more than `most`, unless one lamp alone does.
///
/// # Arguments
/// - `lamps`: joint of the route and load [VA] of each lamp to be grouped, under its own number.
/// - `most`: what a run may carry. [VA]
///
/// # Returns
/// Numbers of the lamps of each group, every lamp in exactly one.
pub fn group(route: &Route, lamps: &[(usize, usize, f64)], most: f64) -> Vec<Vec<usize>> {
    let mut open: HashMap<usize, Vec<(f64, Vec<usize>)>> = HashMap::new();
    for &(number, joint, load) in lamps {
        open.entry(joint).or_default().push((load, vec![number]));
    }
    let mut closed = Vec::new();
    for joint in spanned(route, lamps.iter().map(|lamp| lamp.1)).into_iter().rev() {
        let Some(mut bundles) = open.remove(&joint) else { continue };
        bundles.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
        let mut packed: Vec<(f64, Vec<usize>)> = Vec::new();
        for (load, mut numbers) in bundles {
            match packed.iter_mut().find(|(full, _)| full + load <= most) {
                Some((full, members)) => {
                    *full += load;
                    members.append(&mut numbers);
                }
                None => packed.push((load, numbers)),
            }
        }
        packed.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
        let Some(before) = route.before[joint] else {
            closed.extend(packed.into_iter().map(|(_, members)| members));
            continue;
        };
        let mut packed = packed.into_iter();
        if let Some(least) = packed.next() {
            open.entry(before).or_default().push(least);
        }
        closed.extend(packed.map(|(_, members)| members));
    }
    for members in &mut closed {
        members.sort_unstable();
    }
    closed.sort();
    closed
}

/// Joints of the tree between the transformer and some joints, each after the one before it.
fn spanned(route: &Route, joints: impl Iterator<Item = usize>) -> Vec<usize> {
    let mut depth: HashMap<usize, usize> = HashMap::new();
    for joint in joints {
        let mut path = Vec::new();
        let mut at = Some(joint);
        while let Some(joint) = at.filter(|joint| !depth.contains_key(joint)) {
            path.push(joint);
            at = route.before[joint];
        }
        let first = at.map_or(0, |known| depth[&known] + 1);
        depth.extend(path.into_iter().rev().zip(first..));
    }
    let mut joints: Vec<(usize, usize)> = depth.into_iter().map(|(joint, level)| (level, joint)).collect();
    joints.sort_unstable();
    joints.into_iter().map(|(_, joint)| joint).collect()
}

/// Lays a group out.
///
/// # Arguments
/// - `lamps`: joint of the route and load [VA] of each lamp of the group; one or more.
pub fn lay(route: &Route, lamps: &[(usize, f64)], topology: Topology, laying: &Laying) -> Layout {
    let joints = spanned(route, lamps.iter().map(|lamp| lamp.0));
    let pairs = match topology {
        Topology::Tee => tee(route, &joints, lamps),
        Topology::Daisy => daisy(route, &joints, lamps),
        Topology::Hub => hub(route, &joints, lamps),
    };
    let root = joints.first().copied().unwrap_or(0);
    let mut layout = Layout { topology, joints: vec![root], pieces: Vec::new(), lamps: Vec::new() };
    let mut own: HashMap<usize, usize> = HashMap::from([(root, 0)]);
    for (from, to, way) in pairs {
        let mut index = |joint: usize| {
            *own.entry(joint).or_insert_with(|| {
                layout.joints.push(joint);
                layout.joints.len() - 1
            })
        };
        let (from, to) = (index(from), index(to));
        layout.pieces.push(Piece { from, to, length: laying.length(way), home: from == 0 });
    }
    layout.lamps = lamps.iter().map(|(joint, _)| own.get(joint).copied().unwrap_or(0)).collect();
    layout
}

/// Pieces along the tree, between joints that branch or hold a lamp.
fn tee(route: &Route, joints: &[usize], lamps: &[(usize, f64)]) -> Vec<(usize, usize, f64)> {
    let mut children: HashMap<usize, usize> = HashMap::new();
    for joint in joints {
        if let Some(before) = route.before[*joint] {
            *children.entry(before).or_default() += 1;
        }
    }
    let lit: HashSet<usize> = lamps.iter().map(|lamp| lamp.0).collect();
    let mut kept: HashMap<usize, usize> = HashMap::new();
    let mut pieces = Vec::new();
    for &joint in joints {
        let Some(before) = route.before[joint] else {
            kept.insert(joint, joint);
            continue;
        };
        let from = kept.get(&before).copied().unwrap_or(before);
        if lit.contains(&joint) || children.get(&joint).copied().unwrap_or(0) > 1 {
            pieces.push((from, joint, route.distance[joint] - route.distance[from]));
            kept.insert(joint, joint);
        } else {
            kept.insert(joint, from);
        }
    }
    pieces
}

/// Pieces from lamp to lamp, as a walk along the tree meets them.
fn daisy(route: &Route, joints: &[usize], lamps: &[(usize, f64)]) -> Vec<(usize, usize, f64)> {
    let mut children: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for &joint in joints {
        if let Some(before) = route.before[joint] {
            children.entry(before).or_default().push(joint);
        }
    }
    // The branch that reaches farthest comes last, so that the chain need not come back from it.
    let mut farthest: HashMap<usize, f64> = HashMap::new();
    for &joint in joints.iter().rev() {
        let own = farthest.get(&joint).copied().unwrap_or(0.0).max(route.distance[joint]);
        farthest.insert(joint, own);
        if let Some(before) = route.before[joint] {
            let far = farthest.entry(before).or_insert(own);
            *far = far.max(own);
        }
    }
    let lit: HashSet<usize> = lamps.iter().map(|lamp| lamp.0).collect();
    let Some(&root) = joints.first() else { return Vec::new() };
    let mut pieces = Vec::new();
    // `last` is the lamp left behind, `low` the nearest to the transformer that the walk has been since.
    let (mut last, mut low) = (root, route.distance[root]);
    let mut stack = vec![root];
    while let Some(joint) = stack.pop() {
        if let Some(before) = route.before[joint].filter(|_| joint != root) {
            low = low.min(route.distance[before]);
        }
        if lit.contains(&joint) && joint != root {
            let way = route.distance[last] + route.distance[joint] - 2.0 * low;
            pieces.push((last, joint, way));
            (last, low) = (joint, route.distance[joint]);
        }
        if let Some(next) = children.get_mut(&joint) {
            next.sort_by(|a, b| farthest[b].total_cmp(&farthest[a]).then(a.cmp(b)));
            stack.extend(next.iter());
        }
    }
    pieces
}

/// One piece to the middle of the load, one from there to each lamp.
fn hub(route: &Route, joints: &[usize], lamps: &[(usize, f64)]) -> Vec<(usize, usize, f64)> {
    let Some(&root) = joints.first() else { return Vec::new() };
    let mut beyond: HashMap<usize, f64> = HashMap::new();
    for (joint, load) in lamps {
        *beyond.entry(*joint).or_default() += load;
    }
    let total: f64 = lamps.iter().map(|lamp| lamp.1).sum();
    // The middle is the farthest joint with more than half of the load at it and beyond.
    let mut middle = root;
    for &joint in joints.iter().rev() {
        let load = beyond.get(&joint).copied().unwrap_or(0.0);
        if 2.0 * load > total && route.distance[joint] > route.distance[middle] {
            middle = joint;
        }
        if let Some(before) = route.before[joint] {
            *beyond.entry(before).or_default() += load;
        }
    }
    let mut pieces = Vec::new();
    if middle != root {
        pieces.push((root, middle, route.distance[middle]));
    }
    let trunk: HashSet<usize> = ancestors(route, middle).collect();
    let mut spoken: HashSet<usize> = HashSet::from([middle, root]);
    for (joint, _) in lamps {
        if spoken.insert(*joint) {
            let meet = ancestors(route, *joint).find(|joint| trunk.contains(joint)).unwrap_or(root);
            let way = route.distance[*joint] + route.distance[middle] - 2.0 * route.distance[meet];
            pieces.push((middle, *joint, way));
        }
    }
    pieces
}

/// A joint and all before it, up to the transformer.
fn ancestors(route: &Route, joint: usize) -> impl Iterator<Item = usize> + '_ {
    std::iter::successors(Some(joint), |joint| route.before[*joint])
}
