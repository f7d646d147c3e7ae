//! The straight skeleton of an outline: where roof planes of one slope meet.
//!
//! - In: a simple outline, counter-clockwise. [m] Out: nodes with their distance from the eaves, and
//!   for each side of the outline the face that rises from it.
//! - Method: all sides move inward at one speed; a side that shrinks to nothing and a re-entrant
//!   corner that runs into a side across are the events, taken in the order of time (Aichholzer,
//!   Aurenhammer, Alberts and Gärtner 1995). Every event looks at every side: n sides cost n³, and
//!   houses have few.
//! - What comes out is checked: the faces close, and their areas add up to the outline's.
//! - Not here: slopes, gables, heights (`roof.rs`); outlines with courtyards.

use groundwright_geometry::{OutlineFault, Point, Vec2, check_outline};

/// Events nearer in time or place than this are one. [m]
const EPS: f64 = 1e-7;
/// Nodes nearer than this are one. [m]
const SAME: f64 = 1e-5;

/// A node of the skeleton.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Node {
    /// Where, seen from above. [m]
    pub at: Point,
    /// Distance from the sides whose faces meet here. [m]
    pub offset: f64,
}

/// A straight skeleton.
#[derive(Debug, Clone, PartialEq)]
pub struct Skeleton {
    /// Nodes: first the outline's n points in order, then those inside.
    pub nodes: Vec<Node>,
    /// One face for each side, side i from point i to the next: indices of nodes,
    /// counter-clockwise, beginning with the side's two ends.
    pub faces: Vec<Vec<usize>>,
    /// Lines of the skeleton, each between the faces of two sides.
    pub arcs: Vec<Arc>,
}

/// A line of the skeleton.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Arc {
    /// Its two nodes.
    pub nodes: (usize, usize),
    /// The sides whose faces it parts.
    pub sides: (usize, usize),
}

/// Why an outline has no skeleton.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SkeletonFault {
    /// The outline crosses itself, has no area, or too few points.
    #[error(
        "the outline of the roof is not simple: {0}; expected a closed line that nowhere crosses or touches itself"
    )]
    Outline(String),
    /// Corners so close to one another that the roof planes cannot be told apart.
    #[error(
        "the roof planes over this outline do not close; corners within a few millimetres of each other do that: leave such corners out"
    )]
    Unclosed,
}

struct Side {
    direction: Vec2,
    inward: Vec2,
    constant: f64,
}

#[derive(Clone, Copy)]
struct Corner {
    left: usize,
    right: usize,
    at: Point,
    since: f64,
    speed: Vec2,
    node: usize,
    previous: usize,
    next: usize,
    alive: bool,
}

impl Corner {
    fn place(&self, time: f64) -> Point {
        self.at + (time - self.since) * self.speed
    }
}

enum Happening {
    /// The side between this corner and its next is gone.
    Vanish(usize),
    /// A corner runs into the side that begins at another.
    Split(usize, usize),
}

struct Front {
    sides: Vec<Side>,
    corners: Vec<Corner>,
    nodes: Vec<Node>,
    arcs: Vec<Arc>,
}

/// The straight skeleton of a simple outline, given in either sense. [m]
///
/// # Errors
/// An outline that is not simple, or corners too close to tell apart.
pub fn straight_skeleton(outline: &[Point]) -> Result<Skeleton, SkeletonFault> {
    let outline = counter_clockwise(outline)?;
    let area = signed_area(&outline);
    let mut front = Front::new(&outline);
    let mut time = 0.0;
    // Each event takes a corner away or parts a ring in two; more of them means that it does not end.
    for _ in 0..8 * outline.len() + 8 {
        match front.next_event(time) {
            Some((when, happening)) => {
                time = f64::max(time, when);
                front.happen(time, &happening);
            }
            None => break,
        }
    }
    if front.corners.iter().any(|corner| corner.alive) {
        return Err(SkeletonFault::Unclosed);
    }
    front.finish(outline.len(), area)
}

fn counter_clockwise(outline: &[Point]) -> Result<Vec<Point>, SkeletonFault> {
    if outline.len() < 3 {
        return Err(SkeletonFault::Outline(format!("it has {} points", outline.len())));
    }
    if let Some(at) = outline.iter().find(|at| !at.is_finite()) {
        return Err(SkeletonFault::Outline(format!("the point {at} is not finite")));
    }
    let fault = check_outline(outline).into_iter().find_map(|fault| match fault {
        OutlineFault::Crossing { first, second, .. } => {
            Some(format!("sides {} and {} meet", first + 1, second + 1))
        }
        OutlineFault::ZeroArea => Some("it has no area".to_owned()),
        OutlineFault::Spike { point, .. } => Some(format!("it doubles back at point {}", point + 1)),
        _ => None,
    });
    if let Some(fault) = fault {
        return Err(SkeletonFault::Outline(fault));
    }
    let mut points = outline.to_vec();
    points.dedup_by(|a, b| a.distance(*b) < SAME);
    if signed_area(&points) < 0.0 {
        points.reverse();
    }
    Ok(points)
}

/// Area within an outline, positive if counter-clockwise. [m²]
pub(crate) fn signed_area(outline: &[Point]) -> f64 {
    let next = outline.iter().cycle().skip(1);
    0.5 * outline.iter().zip(next).map(|(a, b)| a.to_vec2().cross(b.to_vec2())).sum::<f64>()
}

impl Front {
    fn new(outline: &[Point]) -> Self {
        let n = outline.len();
        let sides = (0..n)
            .map(|i| {
                let (a, b) = (outline[i], outline[(i + 1) % n]);
                let direction = (b - a) / (b - a).hypot();
                let inward = Vec2::new(-direction.y, direction.x);
                Side { direction, inward, constant: inward.dot(a.to_vec2()) }
            })
            .collect();
        let nodes = outline.iter().map(|at| Node { at: *at, offset: 0.0 }).collect();
        let mut front = Self { sides, corners: Vec::new(), nodes, arcs: Vec::new() };
        for (i, at) in outline.iter().enumerate() {
            let (previous, next) = ((i + n - 1) % n, (i + 1) % n);
            let corner = front.corner(previous, i, *at, 0.0, i);
            front.corners.push(Corner { previous, next, ..corner });
        }
        front
    }

    fn corner(&self, left: usize, right: usize, at: Point, since: f64, node: usize) -> Corner {
        let (l, r) = (self.sides[left].inward, self.sides[right].inward);
        let determinant = l.cross(r);
        let speed = if determinant.abs() > 1e-9 {
            Vec2::new(r.y - l.y, l.x - r.x) / determinant
        } else if l.dot(r) > 0.0 {
            l
        } else {
            // The two sides have met along their length: the ridge between them is laid at once.
            Vec2::ZERO
        };
        Corner { left, right, at, since, speed, node, previous: 0, next: 0, alive: true }
    }

    fn next_event(&self, now: f64) -> Option<(f64, Happening)> {
        let mut best: Option<(f64, Happening)> = None;
        let mut offer = |time: f64, happening: Happening, handicap: f64| {
            let wins = best.as_ref().is_none_or(|(known, _)| time + handicap < *known);
            if time.is_finite() && wins {
                best = Some((time, happening));
            }
        };
        for (i, corner) in self.corners.iter().enumerate().filter(|(_, corner)| corner.alive) {
            let next = &self.corners[corner.next];
            let direction = self.sides[corner.right].direction;
            let length = direction.dot(next.place(now) - corner.place(now));
            let rate = direction.dot(next.speed - corner.speed);
            if length <= EPS {
                offer(now, Happening::Vanish(i), 0.0);
            } else if rate < -1e-12 {
                offer(now - length / rate, Happening::Vanish(i), 0.0);
            }
        }
        for (i, corner) in self.corners.iter().enumerate().filter(|(_, corner)| corner.alive) {
            // A corner on a straight side runs into what is across as a re-entrant one does.
            let (left, right) = (self.sides[corner.left].direction, self.sides[corner.right].direction);
            if left.cross(right) > 1e-9 || left.dot(right) < 0.0 && left.cross(right) > -1e-9 {
                continue;
            }
            let mut across = self.corners[corner.next].next;
            while across != corner.previous && self.corners[across].next != i && across != i {
                if let Some(time) = self.hits(corner, across, now) {
                    // Of two at one time a vanishing side goes first: it leaves fewer cases.
                    offer(time, Happening::Split(i, across), EPS);
                }
                across = self.corners[across].next;
            }
            // The sides next but one are across too.
            for across in [corner.next, self.corners[corner.previous].previous] {
                let begin = &self.corners[across];
                if begin.next == i || across == i || begin.right == corner.left || begin.right == corner.right
                {
                    continue;
                }
                if let Some(time) = self.hits(corner, across, now) {
                    offer(time, Happening::Split(i, across), EPS);
                }
            }
        }
        best
    }

    /// When a re-entrant corner runs into the side that begins at corner `across`.
    fn hits(&self, corner: &Corner, across: usize, now: f64) -> Option<f64> {
        let (begin, end) = (&self.corners[across], &self.corners[self.corners[across].next]);
        let side = &self.sides[begin.right];
        let approach = 1.0 - side.inward.dot(corner.speed);
        if approach <= 1e-9 {
            return None;
        }
        let distance = side.inward.dot(corner.place(now).to_vec2()) - side.constant - now;
        if distance < -EPS {
            return None;
        }
        let time = now + distance.max(0.0) / approach;
        let at = corner.place(time);
        let inside = side.direction.dot(at - begin.place(time)) >= -EPS
            && side.direction.dot(end.place(time) - at) >= -EPS;
        inside.then_some(time)
    }

    fn happen(&mut self, time: f64, happening: &Happening) {
        match *happening {
            Happening::Vanish(first) => {
                let second = self.corners[first].next;
                let (a, b) = (self.corners[first], self.corners[second]);
                let at = a.place(time).midpoint(b.place(time));
                let node = self.node(at, time);
                self.end(first, node);
                self.end(second, node);
                if a.previous == second {
                    return;
                }
                let corner = self.corner(a.left, b.right, at, time, node);
                let new = self.link(corner, a.previous, b.next);
                self.close_if_flat(new, time);
            }
            Happening::Split(i, across) => {
                let corner = self.corners[i];
                let side = self.corners[across].right;
                let beyond = self.corners[across].next;
                let at = corner.place(time);
                let node = self.node(at, time);
                self.end(i, node);
                let left = self.corner(corner.left, side, at, time, node);
                let left = self.link(left, corner.previous, beyond);
                let right = self.corner(side, corner.right, at, time, node);
                let right = self.link(right, across, corner.next);
                self.close_if_flat(left, time);
                self.close_if_flat(right, time);
            }
        }
    }

    fn node(&mut self, at: Point, offset: f64) -> usize {
        self.nodes.push(Node { at, offset });
        self.nodes.len() - 1
    }

    /// Ends a corner at a node, leaving the line that it drew.
    fn end(&mut self, corner: usize, node: usize) {
        let gone = &mut self.corners[corner];
        gone.alive = false;
        let arc = Arc { nodes: (gone.node, node), sides: (gone.left, gone.right) };
        self.arcs.push(arc);
    }

    fn link(&mut self, corner: Corner, previous: usize, next: usize) -> usize {
        let new = self.corners.len();
        self.corners.push(Corner { previous, next, ..corner });
        self.corners[previous].next = new;
        self.corners[next].previous = new;
        new
    }

    /// A ring of two corners has no area left: what is between them is a ridge.
    fn close_if_flat(&mut self, corner: usize, time: f64) {
        let other = self.corners[corner].next;
        if !self.corners[corner].alive || other == corner || self.corners[other].next != corner {
            return;
        }
        let (a, b) = (self.corners[corner], self.corners[other]);
        let (here, there) = (self.node(a.place(time), time), self.node(b.place(time), time));
        self.end(corner, here);
        self.end(other, there);
        self.arcs.push(Arc { nodes: (here, there), sides: (a.right, b.right) });
    }

    fn finish(self, sides: usize, area: f64) -> Result<Skeleton, SkeletonFault> {
        let (nodes, arcs) = merged(self.nodes, &self.arcs, sides);
        let mut faces = Vec::with_capacity(sides);
        let mut covered = 0.0;
        for side in 0..sides {
            let face = face(&arcs, side, sides).ok_or(SkeletonFault::Unclosed)?;
            let outline: Vec<Point> = face.iter().map(|&i| nodes[i].at).collect();
            covered += signed_area(&outline);
            faces.push(face);
        }
        if (covered - area).abs() > 1e-4 * area.max(1.0) {
            return Err(SkeletonFault::Unclosed);
        }
        Ok(Skeleton { nodes, faces, arcs })
    }
}

/// Nodes at one place made one, lines without length left out.
fn merged(nodes: Vec<Node>, arcs: &[Arc], outline: usize) -> (Vec<Node>, Vec<Arc>) {
    let mut kept: Vec<Node> = Vec::new();
    let mut becomes = Vec::with_capacity(nodes.len());
    for (i, node) in nodes.into_iter().enumerate() {
        let same = kept.iter().position(|known| known.at.distance(node.at) < SAME).filter(|_| i >= outline);
        becomes.push(same.unwrap_or(kept.len()));
        if same.is_none() {
            kept.push(node);
        }
    }
    let mut lines: Vec<Arc> = Vec::new();
    for arc in arcs {
        let nodes = (becomes[arc.nodes.0], becomes[arc.nodes.1]);
        let arc = Arc { nodes, ..*arc };
        if nodes.0 != nodes.1 && !lines.contains(&arc) {
            lines.push(arc);
        }
    }
    (kept, lines)
}

/// The nodes round the face of a side, beginning with the side's ends.
fn face(arcs: &[Arc], side: usize, sides: usize) -> Option<Vec<usize>> {
    let (begin, end) = (side, (side + 1) % sides);
    let mine: Vec<(usize, usize)> =
        arcs.iter().filter(|arc| arc.sides.0 == side || arc.sides.1 == side).map(|arc| arc.nodes).collect();
    let mut used = vec![false; mine.len()];
    let mut face = vec![begin, end];
    let mut here = end;
    while here != begin {
        let step = mine.iter().zip(&used).position(|((a, b), used)| !used && (*a == here || *b == here))?;
        used[step] = true;
        here = if mine[step].0 == here { mine[step].1 } else { mine[step].0 };
        if here != begin {
            face.push(here);
        }
    }
    used.iter().all(|used| *used).then_some(face)
}
