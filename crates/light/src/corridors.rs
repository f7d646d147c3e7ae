//! Where cable may lie: a network of bed lines and edges, with the places of lamps tied to it.
//!
//! - In: lines along which a trench may run, with its cost, and what a crossing costs; places of lamps
//!   and transformer. Out: a graph whose first joints are the places.
//! - Method: vertices nearer than `snap` are one; each place goes to the nearest line within reach,
//!   which is cut there. Lines that cross without a common vertex do not meet.
//! - Not here: which of the ways are used (`routing.rs`).

use std::collections::HashMap;

use groundwright_geometry::{BoxIndex, Point, PointIndex, Rect};

use crate::RouteError;

/// A line along which cable may lie.
#[derive(Debug, Clone, PartialEq)]
pub struct CorridorLine {
    /// Its vertices, two or more. [m]
    pub points: Vec<Point>,
    /// Cost of a trench along it. [money/m] Above zero.
    pub cost: f64,
    /// Cost of using it at all, such as a sleeve under paving, spread over its length. [money]
    pub crossing: f64,
}

/// A way between two joints of the graph.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Way {
    /// Index of a joint.
    pub from: usize,
    /// Index of the other.
    pub to: usize,
    /// Length. [m]
    pub length: f64,
    /// Cost of the trench, sleeves included. [money]
    pub cost: f64,
}

/// How places are tied to the lines.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tie {
    /// Vertices nearer to each other are one. [m]
    pub snap: f64,
    /// Farthest that a place may lie from its line. [m]
    pub reach: f64,
    /// Cost of the trench from a line to a place. [money/m]
    pub cost: f64,
}

/// The graph: joints 0 to n − 1 are the places, the others lie on the lines.
#[derive(Debug, Clone, PartialEq)]
pub struct Corridors {
    /// Where the joints lie. [m]
    pub points: Vec<Point>,
    /// The ways between them.
    pub ways: Vec<Way>,
    /// How many of the joints are places.
    pub places: usize,
}

/// A straight piece of a line between two vertices.
struct Segment {
    from: usize,
    to: usize,
    cost: f64,
}

impl Corridors {
    /// Ties places to lines.
    ///
    /// # Arguments
    /// - `places`: n places in order, the transformer among them. [m]
    ///
    /// # Errors
    /// - [`RouteError::Line`], [`RouteError::Place`], [`RouteError::Tie`]: what is given is not usable.
    /// - [`RouteError::OutOfReach`]: a place has no line within reach.
    pub fn tie(places: &[Point], lines: &[CorridorLine], tie: &Tie) -> Result<Self, RouteError> {
        check(places, lines, tie)?;
        let (vertices, segments) = segments(lines, tie.snap);
        let boxes: Vec<Rect> = segments
            .iter()
            .map(|s| Rect::from_points(vertices[s.from], vertices[s.to]).inflate(tie.reach, tie.reach))
            .collect();
        let index = BoxIndex::new(&boxes);
        let mut points = places.to_vec();
        points.extend(&vertices);
        let shift = places.len();
        let mut ways = Vec::new();
        let mut cuts: Vec<Vec<(f64, usize)>> = vec![Vec::new(); segments.len()];
        for (place, at) in places.iter().enumerate() {
            let feet =
                index.at(*at).map(|s| (s, foot(*at, vertices[segments[s].from], vertices[segments[s].to])));
            let near = feet.min_by(|(a, (_, da)), (b, (_, db))| da.total_cmp(db).then(a.cmp(b)));
            let Some((segment, (along, distance))) = near.filter(|(_, (_, d))| *d <= tie.reach) else {
                return Err(RouteError::OutOfReach { place: place + 1, x: at.x, y: at.y, reach: tie.reach });
            };
            let Segment { from, to, .. } = segments[segment];
            let joint = if along <= 0.0 {
                shift + from
            } else if along >= 1.0 {
                shift + to
            } else {
                points.push(vertices[from].lerp(vertices[to], along));
                cuts[segment].push((along, points.len() - 1));
                points.len() - 1
            };
            ways.push(Way { from: place, to: joint, length: distance, cost: distance * tie.cost });
        }
        for (segment, mut cuts) in segments.iter().zip(cuts) {
            cuts.sort_by(|a, b| a.0.total_cmp(&b.0));
            let mut from = shift + segment.from;
            for to in cuts.into_iter().map(|(_, joint)| joint).chain([shift + segment.to]) {
                let length = points[from].distance(points[to]);
                ways.push(Way { from, to, length, cost: length * segment.cost });
                from = to;
            }
        }
        Ok(Self { points, ways, places: places.len() })
    }
}

/// Vertices of all lines, each once, and the pieces between them.
fn segments(lines: &[CorridorLine], snap: f64) -> (Vec<Point>, Vec<Segment>) {
    let all: Vec<Point> = lines.iter().flat_map(|line| line.points.iter().copied()).collect();
    let index = PointIndex::new(&all);
    let mut vertices = Vec::new();
    let mut of: HashMap<usize, usize> = HashMap::new();
    for (i, at) in all.iter().enumerate() {
        // The first of the points nearby stands for them all.
        let first = index.within(*at, snap).into_iter().min().unwrap_or(i).min(i);
        let vertex = of.get(&first).copied().unwrap_or_else(|| {
            vertices.push(all[first]);
            vertices.len() - 1
        });
        of.insert(i, vertex);
    }
    let mut segments = Vec::new();
    let mut start = 0;
    for line in lines {
        let length: f64 = line.points.windows(2).map(|p| p[0].distance(p[1])).sum();
        let cost = line.cost + line.crossing / length;
        for i in start..start + line.points.len() - 1 {
            let (from, to) = (of[&i], of[&(i + 1)]);
            if from != to {
                segments.push(Segment { from, to, cost });
            }
        }
        start += line.points.len();
    }
    (vertices, segments)
}

/// Where on a segment a place comes nearest: share along it, and how far that is. [-, m]
fn foot(at: Point, a: Point, b: Point) -> (f64, f64) {
    let along = b - a;
    let share = ((at - a).dot(along) / along.hypot2()).clamp(0.0, 1.0);
    (share, at.distance(a + along * share))
}

fn check(places: &[Point], lines: &[CorridorLine], tie: &Tie) -> Result<(), RouteError> {
    use crate::positive::{above_zero, not_below_zero};
    not_below_zero("snap", tie.snap, "m").map_err(RouteError::Tie)?;
    above_zero("reach", tie.reach, "m").map_err(RouteError::Tie)?;
    not_below_zero("cost of a trench to a lamp", tie.cost, "per m").map_err(RouteError::Tie)?;
    if let Some(place) = places.iter().position(|p| !p.is_finite()) {
        return Err(RouteError::Place { place: place + 1 });
    }
    for (i, line) in lines.iter().enumerate() {
        let wrong = |what: String| RouteError::Line { line: i + 1, what };
        let length: f64 = line.points.windows(2).map(|p| p[0].distance(p[1])).sum();
        if !(length.is_finite() && length > 0.0) {
            return Err(wrong("it has no length; expected two or more different points".to_owned()));
        }
        above_zero("cost of a trench", line.cost, "per m").map_err(|e| wrong(e.to_string()))?;
        not_below_zero("cost of a crossing", line.crossing, "each").map_err(|e| wrong(e.to_string()))?;
    }
    Ok(())
}
