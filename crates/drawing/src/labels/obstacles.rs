//! What already stands on the paper, and what it costs to cover it.
//!
//! - In: discs (pots and signs), letters, heavy lines. Out: the price of a tag's box and of a
//!   leader, and whether a box covers a pot or letters.
//! - Method: lists by cell, packed one after another; a thing in several cells counts once.

use kurbo::{Point, Rect};

use super::cells::{Cells, Seen};
use super::{price, touch};

/// One thing that a tag should not cover.
#[derive(Debug, Clone, PartialEq)]
pub enum Obstacle {
    /// A pot or a sign.
    Disc {
        /// Centre. [mm]
        centre: Point,
        /// Radius. [mm]
        radius: f64,
    },
    /// One line of letters.
    Letters {
        /// Corners in order round the box. [mm]
        corners: [Point; 4],
    },
    /// A piece of a line.
    Line {
        /// From. [mm]
        from: Point,
        /// To. [mm]
        to: Point,
        /// Price of covering a millimetre of it. [mm of leader]
        price: f64,
    },
}

impl Obstacle {
    /// The smallest box about it. [mm]
    pub fn bounds(&self) -> Rect {
        match self {
            Self::Disc { centre, radius } => Rect::from_points(*centre, *centre).inflate(*radius, *radius),
            Self::Letters { corners } => {
                let first = Rect::from_points(corners[0], corners[1]);
                first.union_pt(corners[2]).union_pt(corners[3])
            }
            Self::Line { from, to, .. } => Rect::from_points(*from, *to),
        }
    }
}

/// All obstacles of a window.
#[derive(Debug, Clone)]
pub struct Obstacles {
    all: Vec<Obstacle>,
    cells: Cells,
    /// Where the list of each cell begins in `lists`; one more entry than cells.
    starts: Vec<u32>,
    lists: Vec<u32>,
}

impl Obstacles {
    /// Sorts the obstacles that reach into the window into cells.
    pub fn new(mut all: Vec<Obstacle>, window: Rect) -> Self {
        all.retain(|obstacle| {
            let bounds = obstacle.bounds();
            bounds.is_finite()
                && bounds.x1 >= window.x0
                && bounds.x0 <= window.x1
                && bounds.y1 >= window.y0
                && bounds.y0 <= window.y1
        });
        let cells = Cells::over(window);
        let mut entries: Vec<(u32, u32)> = Vec::new();
        for (i, obstacle) in all.iter().enumerate() {
            let enter = |cell| entries.push((cell, i as u32));
            match obstacle {
                Obstacle::Line { from, to, .. } => cells.on_line(*from, *to, enter),
                Obstacle::Disc { .. } | Obstacle::Letters { .. } => cells.in_box(obstacle.bounds(), enter),
            }
        }
        entries.sort_unstable();
        let starts = (0..=cells.count() as u32)
            .map(|cell| entries.partition_point(|(of, _)| *of < cell) as u32)
            .collect();
        Self { all, cells, starts, lists: entries.into_iter().map(|(_, i)| i).collect() }
    }

    /// The cells of the window.
    pub fn cells(&self) -> &Cells {
        &self.cells
    }

    /// All obstacles that reach into the window.
    pub fn all(&self) -> &[Obstacle] {
        &self.all
    }

    /// A memory for the questions below.
    pub fn seen(&self) -> Seen {
        Seen::of(self.all.len())
    }

    fn in_cell(&self, cell: u32) -> &[u32] {
        let cell = cell as usize;
        &self.lists[self.starts[cell] as usize..self.starts[cell + 1] as usize]
    }

    /// Visits each obstacle near a box once.
    fn near_box(&self, of: Rect, seen: &mut Seen, mut visit: impl FnMut(&Obstacle)) {
        seen.forget();
        self.cells.in_box(of, |cell| {
            for i in self.in_cell(cell) {
                if seen.first_time(*i) {
                    visit(&self.all[*i as usize]);
                }
            }
        });
    }

    /// Price of covering what lies under a tag. [mm of leader]
    pub fn price_of_tag(&self, tag: Rect, seen: &mut Seen) -> f64 {
        let mut sum = 0.0;
        let wide = tag.inflate(price::CLEARANCE_MM, price::CLEARANCE_MM);
        self.near_box(wide, seen, |obstacle| match obstacle {
            Obstacle::Disc { centre, radius } => {
                if touch::box_meets_disc(tag, *centre, *radius) {
                    sum += price::TAG_ON_POT;
                } else if touch::box_meets_disc(wide, *centre, *radius) {
                    sum += price::POT_CLOSE;
                }
            }
            Obstacle::Letters { corners } => {
                if touch::box_meets_quad(tag, corners) {
                    sum += price::TAG_ON_TEXT;
                }
            }
            Obstacle::Line { from, to, price } => sum += price * touch::length_inside(*from, *to, tag),
        });
        sum
    }

    /// Price of a leader: its length, its elbow, the pots and letters under it. [mm of leader]
    ///
    /// Pots that hold the leader's end are its own and cost nothing, but a leader of which they
    /// leave hardly anything to see costs more.
    pub fn price_of_leader(&self, leader: &[Point], seen: &mut Seen) -> f64 {
        let Some(end) = leader.last() else { return 0.0 };
        let mut sum = if leader.len() > 2 { price::ELBOW } else { 0.0 };
        let (mut length, mut hidden) = (0.0, 0.0_f64);
        seen.forget();
        for pair in leader.windows(2) {
            length += pair[0].distance(pair[1]);
            self.cells.on_line(pair[0], pair[1], |cell| {
                for i in self.in_cell(cell) {
                    if seen.first_time(*i) {
                        let obstacle = &self.all[*i as usize];
                        match own_radius(obstacle, *end) {
                            Some(radius) => hidden = hidden.max(radius),
                            None => sum += under_leader(obstacle, leader),
                        }
                    }
                }
            });
        }
        let visible = length - hidden;
        sum + length + price::STUB * (price::STUB_MM - visible).max(0.0)
    }

    /// Radius of the largest pot or sign that holds a point near its middle. [mm]
    pub fn radius_at(&self, point: Point) -> Option<f64> {
        let mut largest: Option<f64> = None;
        self.cells.in_box(Rect::from_points(point, point), |cell| {
            for i in self.in_cell(cell) {
                if let Some(radius) = own_radius(&self.all[*i as usize], point) {
                    largest = Some(largest.map_or(radius, |so_far| so_far.max(radius)));
                }
            }
        });
        largest
    }

    /// Whether a tag covers a part of a pot or sign, and whether it covers letters.
    pub fn covered(&self, tag: Rect, seen: &mut Seen) -> (bool, bool) {
        let (mut pot, mut letters) = (false, false);
        self.near_box(tag, seen, |obstacle| match obstacle {
            Obstacle::Disc { centre, radius } => pot |= touch::box_meets_disc(tag, *centre, *radius),
            Obstacle::Letters { corners } => letters |= touch::box_meets_quad(tag, corners),
            Obstacle::Line { .. } => {}
        });
        (pot, letters)
    }
}

/// Radius of a pot or sign whose middle is the leader's end; other pots are strangers.
fn own_radius(obstacle: &Obstacle, end: Point) -> Option<f64> {
    match obstacle {
        Obstacle::Disc { centre, radius } if centre.distance(end) < 0.2 * radius => Some(*radius),
        _ => None,
    }
}

/// Price of one obstacle under a leader. [mm of leader]
fn under_leader(obstacle: &Obstacle, leader: &[Point]) -> f64 {
    let mut pieces = leader.windows(2);
    match obstacle {
        Obstacle::Disc { centre, radius } => {
            let over = pieces.any(|piece| touch::distance_to_line(*centre, piece[0], piece[1]) < *radius);
            if over { price::LEADER_ON_POT } else { 0.0 }
        }
        Obstacle::Letters { .. } => {
            // Letters are mostly level: their bounding box is near enough for a soft price.
            let bounds = obstacle.bounds();
            if touch::leader_through(leader, bounds) { price::LEADER_ON_TEXT } else { 0.0 }
        }
        Obstacle::Line { .. } => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const WINDOW: Rect = Rect::new(0.0, 0.0, 200.0, 100.0);

    #[test]
    fn each_obstacle_is_paid_once_however_many_cells_it_touches() {
        let disc = Obstacle::Disc { centre: Point::new(50.0, 50.0), radius: 20.0 };
        let line = Obstacle::Line { from: Point::new(0.0, 50.0), to: Point::new(200.0, 50.0), price: 2.0 };
        let obstacles = Obstacles::new(vec![disc, line], WINDOW);
        let mut seen = obstacles.seen();
        let tag = Rect::new(40.0, 45.0, 60.0, 55.0);
        let expected = price::TAG_ON_POT + 2.0 * 20.0;
        assert!((obstacles.price_of_tag(tag, &mut seen) - expected).abs() < 1e-9);
        assert_eq!(obstacles.covered(tag, &mut seen), (true, false));
    }

    #[test]
    fn a_leader_pays_for_strange_pots_only() {
        let pot = |x: f64| Obstacle::Disc { centre: Point::new(x, 50.0), radius: 2.0 };
        let obstacles = Obstacles::new(vec![pot(50.0), pot(60.0), pot(70.0)], WINDOW);
        let mut seen = obstacles.seen();
        let leader = [Point::new(40.0, 50.0), Point::new(70.0, 50.0)];
        let paid = obstacles.price_of_leader(&leader, &mut seen);
        assert!((paid - (30.0 + 2.0 * price::LEADER_ON_POT)).abs() < 1e-9, "{paid}");
    }
}
