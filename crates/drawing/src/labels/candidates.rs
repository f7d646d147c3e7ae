//! Places that a tag might take.
//!
//! - In: a tag's request and how widely to look. Out: priced spots inside the window, cheapest
//!   first.
//! - Method: positions round each anchor in sixteen directions at growing distances, and the
//!   nearest stretches of free paper (`free_paper.rs`). Tags snap to a lattice of [`SNAP_MM`], so
//!   neighbours align. For each position a leader to the tag's side with a level shoulder, and one
//!   to its upper or lower rim.
//! - Kept are the cheapest of every direction and distance before the next cheapest of any, so that
//!   a crowded quarter does not use up all candidates.

use kurbo::{Point, Rect, Size, Vec2};

use super::cells::Seen;
use super::free_paper::FreePaper;
use super::obstacles::Obstacles;
use super::{Request, Spot};

/// How widely to look for a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Breadth {
    /// Most candidates kept for a tag.
    pub most: usize,
    /// Distances from anchor to tag that are tried. [mm]
    pub reaches_mm: &'static [f64],
    /// Most places in each direction and distance for which leaders are tried.
    pub shortlist: usize,
    /// With so many places over nothing near the anchors, free paper is not looked for.
    pub enough: usize,
    /// Most stretches of free paper tried.
    pub stretches: usize,
}

/// Enough for most drawings.
pub const NEAR: Breadth = Breadth {
    most: 56,
    reaches_mm: &[3.0, 5.0, 8.0, 12.0, 17.0, 24.0, 33.0, 45.0],
    shortlist: 6,
    enough: 40,
    stretches: 28,
};

/// For crowded drawings: out to the margins of the sheet.
pub const WIDE: Breadth = Breadth {
    most: 150,
    reaches_mm: &[3.0, 5.0, 8.0, 12.0, 17.0, 24.0, 33.0, 45.0, 60.0, 80.0],
    shortlist: 10,
    enough: usize::MAX,
    stretches: 90,
};

/// Directions that are tried.
const DIRECTIONS: usize = 16;

/// Most anchors of a group that are tried: the outermost ones.
const ANCHORS: usize = 8;

/// Lattice on which tags stand. [mm]
const SNAP_MM: f64 = 2.0;

/// Level piece of a leader at the tag's side. [mm]
const SHOULDER_MM: f64 = 2.5;

/// Paper that stays clear along the window's rim. [mm]
const RIM_MM: f64 = 1.0;

/// Finds candidates among the obstacles of one window.
pub struct Finder<'a> {
    obstacles: &'a Obstacles,
    inner: Rect,
    free: FreePaper,
    breadth: Breadth,
}

impl<'a> Finder<'a> {
    /// Prepares the table of free paper.
    pub fn new(obstacles: &'a Obstacles, window: Rect, breadth: Breadth) -> Self {
        Self {
            obstacles,
            inner: window.inflate(-RIM_MM, -RIM_MM),
            free: FreePaper::of(obstacles.all(), window),
            breadth,
        }
    }

    /// A slate for [`Self::candidates`], which many tags may use one after another.
    pub fn seen(&self) -> Seen {
        self.obstacles.seen()
    }

    /// Spots for a tag, cheapest first; none when it is larger than the window.
    pub fn candidates(&self, request: &Request, seen: &mut Seen) -> Vec<Spot> {
        let anchors = outermost(&request.anchors);
        let mut places = Vec::new();
        for anchor in &anchors {
            self.round(*anchor, &anchors, request.size, &mut places);
        }
        let mut places = self.shortlist(places, seen);
        if places.iter().filter(|place| place.least == 0.0).count() < self.breadth.enough {
            let mut further = Vec::new();
            for corner in self.free.nearest(&anchors, request.size, self.inner, self.breadth.stretches) {
                if let Some(anchor) = nearest(&anchors, corner + (request.size / 2.0).to_vec2()) {
                    further.push(Place {
                        tag: Rect::from_origin_size(corner, request.size),
                        anchor,
                        least: 0.0,
                    });
                }
            }
            places.extend(self.shortlist(further, seen));
        }
        let mut spots = Vec::new();
        for place in places {
            for leader in leaders(place.tag, place.anchor) {
                let price = place.least + self.obstacles.price_of_leader(&leader, seen);
                spots.push(Spot::new(place.tag, leader, price));
            }
        }
        self.keep(spots)
    }

    /// Places round an anchor, away from the rest of its group.
    fn round(&self, anchor: Point, group: &[Point], size: Size, places: &mut Vec<Place>) {
        let outward = anchor - middle(group);
        for direction in 0..DIRECTIONS {
            let unit = Vec2::from_angle(std::f64::consts::TAU * direction as f64 / DIRECTIONS as f64);
            if unit.dot(outward) < -1e-9 {
                continue;
            }
            let toward = |x: f64| (1.5 * x).clamp(-1.0, 1.0);
            for reach in self.breadth.reaches_mm {
                let half = size / 2.0;
                let centre = anchor
                    + unit * *reach
                    + Vec2::new(half.width * toward(unit.x), half.height * toward(unit.y));
                let tag = Rect::from_origin_size(self.snap(centre - half.to_vec2()), size);
                places.push(Place { tag, anchor, least: 0.0 });
            }
        }
    }

    /// The places that could be cheapest, some in every direction and distance, with the price of their tags.
    fn shortlist(&self, mut places: Vec<Place>, seen: &mut Seen) -> Vec<Place> {
        places.retain(|place| self.fits(place));
        // Snapped places of neighbouring anchors coincide: each box is priced once.
        places.sort_by(|a, b| a.tag.x0.total_cmp(&b.tag.x0).then(a.tag.y0.total_cmp(&b.tag.y0)));
        let mut last: Option<(Rect, f64)> = None;
        for place in &mut places {
            place.least = match last {
                Some((tag, price)) if tag == place.tag => price,
                _ => self.obstacles.price_of_tag(place.tag, seen),
            };
            last = Some((place.tag, place.least));
        }
        places.sort_by(|a, b| a.bound().total_cmp(&b.bound()));
        let mut taken = [0_usize; BINS];
        places.retain(|place| {
            let bin = bin(place.tag, place.anchor);
            taken[bin] += 1;
            taken[bin] <= self.breadth.shortlist
        });
        places
    }

    fn fits(&self, place: &Place) -> bool {
        let (tag, inner) = (place.tag, self.inner);
        let inside = tag.x0 >= inner.x0 && tag.y0 >= inner.y0 && tag.x1 <= inner.x1 && tag.y1 <= inner.y1;
        inside && !tag.inflate(0.5, 0.5).contains(place.anchor)
    }

    fn snap(&self, corner: Point) -> Point {
        let origin = self.inner.origin();
        let snapped = (corner - origin) / SNAP_MM;
        origin + Vec2::new(snapped.x.round(), snapped.y.round()) * SNAP_MM
    }

    /// The cheapest spots, spread over directions and distances.
    fn keep(&self, mut spots: Vec<Spot>) -> Vec<Spot> {
        spots.sort_by(|a, b| a.price.total_cmp(&b.price));
        let mut taken = [0_usize; BINS];
        let (mut kept, mut rest) = (Vec::new(), Vec::new());
        for spot in spots {
            let bin = spot.leader.last().map_or(0, |anchor| bin(spot.tag, *anchor));
            if taken[bin] < self.breadth.most / (2 * BINS) + 1 {
                taken[bin] += 1;
                kept.push(spot);
            } else {
                rest.push(spot);
            }
        }
        let missing = self.breadth.most.saturating_sub(kept.len());
        kept.extend(rest.into_iter().take(missing));
        kept.sort_by(|a, b| a.price.total_cmp(&b.price));
        for spot in &mut kept {
            spot.cells = self.obstacles.cells().of_spot(spot.tag, &spot.leader);
        }
        kept
    }
}

/// A box beside an anchor.
struct Place {
    tag: Rect,
    anchor: Point,
    /// Price of what the box covers. [mm of leader]
    least: f64,
}

impl Place {
    /// No leader makes it cheaper than this. [mm of leader]
    fn bound(&self) -> f64 {
        let nearest = Point::new(
            self.anchor.x.clamp(self.tag.x0, self.tag.x1),
            self.anchor.y.clamp(self.tag.y0, self.tag.y1),
        );
        self.least + nearest.distance(self.anchor)
    }
}

/// Number of directions and distances that are told apart.
const BINS: usize = 8 * 4;

/// In which eighth of the compass and how far away a tag lies from its anchor.
fn bin(tag: Rect, anchor: Point) -> usize {
    let to = tag.center() - anchor;
    let octant =
        usize::from(to.x > 0.0) + 2 * usize::from(to.y > 0.0) + 4 * usize::from(to.x.abs() > to.y.abs());
    let band = [15.0, 30.0, 60.0].iter().filter(|reach| to.hypot() > **reach).count();
    8 * band + octant
}

pub fn middle(points: &[Point]) -> Point {
    let sum: Vec2 = points.iter().map(|point| point.to_vec2()).sum();
    (sum / points.len().max(1) as f64).to_point()
}

/// The anchors that lie furthest out in eight directions, each once; leaders to the rim of a group
/// cross fewer of its plants.
fn outermost(anchors: &[Point]) -> Vec<Point> {
    if anchors.len() <= ANCHORS {
        return anchors.to_vec();
    }
    let mut chosen: Vec<Point> = Vec::with_capacity(ANCHORS);
    for i in 0..ANCHORS {
        let unit = Vec2::from_angle(std::f64::consts::TAU * i as f64 / ANCHORS as f64);
        let out = |point: &Point| point.to_vec2().dot(unit);
        if let Some(point) = anchors.iter().max_by(|a, b| out(a).total_cmp(&out(b)))
            && !chosen.contains(point)
        {
            chosen.push(*point);
        }
    }
    chosen
}

pub fn nearest(points: &[Point], to: Point) -> Option<Point> {
    points.iter().min_by(|a, b| a.distance_squared(to).total_cmp(&b.distance_squared(to))).copied()
}

/// Leaders from a tag to its anchor: from the side with a level shoulder, from the upper or lower
/// rim straight.
fn leaders(tag: Rect, anchor: Point) -> Vec<Vec<Point>> {
    let mut leaders = Vec::with_capacity(2);
    let (side, outward) = if anchor.x < tag.x0 { (tag.x0, -1.0) } else { (tag.x1, 1.0) };
    let room = (anchor.x - side) * outward;
    if room > 0.0 {
        let start = Point::new(side, tag.center().y);
        if room > SHOULDER_MM + 0.5 && (anchor.y - start.y).abs() > 0.2 {
            leaders.push(vec![start, start + Vec2::new(outward * SHOULDER_MM, 0.0), anchor]);
        } else {
            leaders.push(vec![start, anchor]);
        }
    }
    let rim = if anchor.y < tag.y0 { tag.y0 } else { tag.y1 };
    if anchor.y < tag.y0 || anchor.y > tag.y1 {
        let inset = (tag.width() / 2.0).min(1.5);
        let start = Point::new(anchor.x.clamp(tag.x0 + inset, tag.x1 - inset), rim);
        leaders.push(vec![start, anchor]);
    }
    leaders
}

#[cfg(test)]
mod tests {
    use super::super::obstacles::Obstacle;
    use super::*;
    use groundwright_plan::{ElementId, ElementRef, Kind};

    const WINDOW: Rect = Rect::new(0.0, 0.0, 200.0, 150.0);

    fn request(anchors: Vec<Point>, size: Size) -> Request {
        let subject = ElementRef::new(Kind::Planting, &ElementId::from("hedge"));
        Request { key: "x".to_owned(), subject, anchors, size }
    }

    fn all(obstacles: Vec<Obstacle>, request: &Request) -> Vec<Spot> {
        let obstacles = Obstacles::new(obstacles, WINDOW);
        let finder = Finder::new(&obstacles, WINDOW, NEAR);
        finder.candidates(request, &mut finder.seen())
    }

    #[test]
    fn spots_lie_inside_the_window_and_lead_to_an_anchor() {
        let anchors = vec![Point::new(5.0, 5.0), Point::new(190.0, 140.0)];
        let spots = all(Vec::new(), &request(anchors.clone(), Size::new(30.0, 6.0)));
        assert!(spots.len() > 20 && spots.len() <= NEAR.most);
        for spot in &spots {
            assert!(spot.tag.union(WINDOW) == WINDOW, "{spot:?}");
            assert!(anchors.contains(spot.leader.last().unwrap()));
            assert!(!super::super::touch::leader_through(&spot.leader, spot.tag), "{spot:?}");
        }
        assert!(spots.is_sorted_by(|a, b| a.price <= b.price));
    }

    #[test]
    fn a_tag_larger_than_the_window_has_no_spot() {
        assert!(all(Vec::new(), &request(vec![Point::new(50.0, 50.0)], Size::new(201.0, 6.0))).is_empty());
    }

    /// Everything within reach is planted; the only free paper lies far to the right.
    #[test]
    fn free_paper_is_found_beyond_the_planting() {
        let pots = (0..19 * 22).map(|i| Obstacle::Disc {
            centre: Point::new(4.0 + 7.0 * f64::from(i % 19), 4.0 + 7.0 * f64::from(i / 19)),
            radius: 3.4,
        });
        let pots: Vec<_> = pots.collect();
        let spots = all(pots.clone(), &request(vec![Point::new(60.0, 74.0)], Size::new(30.0, 6.0)));
        let obstacles = Obstacles::new(pots, WINDOW);
        let mut seen = obstacles.seen();
        assert!(spots.iter().any(|spot| obstacles.covered(spot.tag, &mut seen) == (false, false)));
    }

    #[test]
    fn large_groups_are_reached_at_their_rim() {
        let group: Vec<Point> = (0..100).map(|i| Point::new(f64::from(i % 10), f64::from(i / 10))).collect();
        let chosen = outermost(&group);
        assert!(
            chosen.len() <= ANCHORS
                && chosen.iter().all(|p| p.x < 0.5 || p.x > 8.5 || p.y < 0.5 || p.y > 8.5)
        );
    }
}
