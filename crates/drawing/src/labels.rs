//! Where tags go.
//!
//! - In: tags with their sizes and the points that each may touch, and what already stands on the
//!   paper. Out: for each tag a box and a leader, and a report of what could not be mended.
//! - Objective: the least sum of the prices in [`price`], counted in millimetres of leader. The
//!   faults a reader minds most (tag on tag, leaders crossing) cost more than any detour.
//! - Method: candidates round the anchors and in free paper (`candidates.rs`), each priced against
//!   what stands (`obstacles.rs`); a greedy start, the most confined tag first, and descent
//!   (`search.rs`). Where faults remain, once more with candidates out to the margins for the tags
//!   concerned, and simulated annealing of these with a fixed seed and a bounded number of moves.
//!   Every question goes through a grid of cells (`cells.rs`).
//! - Same marks, same places: no clock, no thread, no hashing.
//! - Not here: the look of a tag (`tag.rs` has its measures, `paint.rs` its strokes).

pub mod candidates;
pub mod cells;
pub mod free_paper;
pub mod gather;
pub mod obstacles;
pub mod report;
pub mod search;
pub mod tag;
pub mod touch;

use groundwright_plan::ElementRef;
use kurbo::{Point, Rect, Size};
use rayon::prelude::*;

use crate::display::{LabelReport, LeaderEnd};
use candidates::Finder;
use cells::Seen;
use obstacles::Obstacles;

/// A tag that wants a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Request {
    /// Key of the mark.
    pub key: String,
    /// Whose tag it is.
    pub subject: ElementRef,
    /// Points inside the window that the leader may touch, at least one. [mm of paper]
    pub anchors: Vec<Point>,
    /// Size of the tag. [mm]
    pub size: Size,
}

/// A place for a tag.
#[derive(Debug, Clone, PartialEq)]
pub struct Spot {
    /// The tag's box. [mm of paper]
    pub tag: Rect,
    /// From the tag's rim to the anchor, 2 or 3 points. [mm of paper]
    pub leader: Vec<Point>,
    /// Price against everything but other tags. [mm of leader]
    pub price: f64,
    /// Smallest box about the tag with its clearance and the leader. [mm of paper]
    pub bounds: Rect,
    /// Cells that tag and leader touch, sorted.
    pub cells: Vec<u32>,
    /// How the leader ends.
    pub end: LeaderEnd,
}

impl Spot {
    /// A spot that is not yet entered in cells.
    pub fn new(tag: Rect, leader: Vec<Point>, price: f64) -> Self {
        let clear = tag.inflate(price::CLEARANCE_MM, price::CLEARANCE_MM);
        let bounds = leader.iter().fold(clear, |bounds, point| bounds.union_pt(*point));
        Self { tag, leader, price, bounds, cells: Vec::new(), end: LeaderEnd::Dot }
    }
}

/// What a place costs, in millimetres of leader. Chosen by looking at drawings; no source.
pub mod price {
    /// A tag over another tag, and per mm² of it.
    pub const TAG_ON_TAG: f64 = 300.0;
    /// Per mm² of a tag over another tag.
    pub const TAG_ON_TAG_AREA: f64 = 3.0;
    /// Two tags nearer than [`CLEARANCE_MM`].
    pub const TAGS_CLOSE: f64 = 15.0;
    /// Two leaders that cross.
    pub const LEADERS_CROSS: f64 = 150.0;
    /// A leader through another tag.
    pub const LEADER_THROUGH_TAG: f64 = 250.0;
    /// A tag over other letters.
    pub const TAG_ON_TEXT: f64 = 120.0;
    /// A tag over one pot or sign.
    pub const TAG_ON_POT: f64 = 110.0;
    /// A pot or sign nearer to a tag than [`CLEARANCE_MM`].
    pub const POT_CLOSE: f64 = 6.0;
    /// Covering a millimetre of an ordinary line.
    pub const ON_MEDIUM_LINE: f64 = 1.2;
    /// Covering a millimetre of a heavy line.
    pub const ON_HEAVY_LINE: f64 = 2.5;
    /// Covering a millimetre of a bold line.
    pub const ON_BOLD_LINE: f64 = 3.0;
    /// A leader through other letters.
    pub const LEADER_ON_TEXT: f64 = 20.0;
    /// A leader over a pot that it does not name.
    pub const LEADER_ON_POT: f64 = 4.0;
    /// Each millimetre that a leader shows less than [`STUB_MM`].
    pub const STUB: f64 = 3.0;
    /// A leader that shows less than this is hard to see. [mm]
    pub const STUB_MM: f64 = 3.0;
    /// An elbow in the leader.
    pub const ELBOW: f64 = 0.5;
    /// Clear paper wanted round a tag. [mm]
    pub const CLEARANCE_MM: f64 = 1.0;
}

/// Finds a place for every tag that fits into the window.
///
/// # Returns
/// One entry for each request, in order: `None` when the tag is larger than the window or has no
/// candidate inside it; and the report of what remains.
pub fn place(requests: &[Request], obstacles: &Obstacles, window: Rect) -> (Vec<Option<Spot>>, LabelReport) {
    let mut spots = search(requests, obstacles, window);
    for spot in spots.iter_mut().flatten() {
        end_at_rim(spot, obstacles);
    }
    let report = report::report(requests, &spots, obstacles);
    (spots, report)
}

/// A place near its anchors for every tag; where that leaves faults, once more with the tags concerned
/// free to go further.
fn search(requests: &[Request], obstacles: &Obstacles, window: Rect) -> Vec<Option<Spot>> {
    let all: Vec<usize> = (0..requests.len()).collect();
    let mut candidates = find(requests, &all, &Finder::new(obstacles, window, candidates::NEAR));
    let mut choice = search::choose(&candidates, obstacles.cells(), &[]);
    let troubled = report::troubled(&chosen(&candidates, &choice), obstacles);
    if !troubled.is_empty() {
        let further = find(requests, &troubled, &Finder::new(obstacles, window, candidates::WIDE));
        for (&tag, spots) in troubled.iter().zip(further) {
            candidates[tag] = spots;
        }
        choice = search::choose(&candidates, obstacles.cells(), &troubled);
    }
    chosen(&candidates, &choice)
}

/// Candidates of some of the tags, found side by side.
fn find(requests: &[Request], tags: &[usize], finder: &Finder<'_>) -> Vec<Vec<Spot>> {
    let find = |seen: &mut Seen, &tag: &usize| finder.candidates(&requests[tag], seen);
    tags.par_iter().map_init(|| finder.seen(), find).collect()
}

fn chosen(candidates: &[Vec<Spot>], choice: &[Option<usize>]) -> Vec<Option<Spot>> {
    choice.iter().zip(candidates).map(|(choice, of)| choice.map(|i| of[i].clone())).collect()
}

/// Shortens a leader so that it ends at the rim of the pot or sign that it names, and does not
/// cover the sign.
fn end_at_rim(spot: &mut Spot, obstacles: &Obstacles) {
    let Some(anchor) = spot.leader.last().copied() else { return };
    let Some(radius) = obstacles.radius_at(anchor) else { return };
    for i in 1..spot.leader.len() {
        if let Some(entry) = touch::enters_disc(spot.leader[i - 1], spot.leader[i], anchor, radius) {
            // The first piece must stay long enough to be seen.
            if i > 1 || spot.leader[0].distance(entry) > SHORTEST_MM {
                spot.leader.truncate(i);
                spot.leader.push(entry);
                spot.end = LeaderEnd::Arrow;
            }
            return;
        }
    }
}

/// No leader is shortened below this. [mm]
const SHORTEST_MM: f64 = 0.5;
