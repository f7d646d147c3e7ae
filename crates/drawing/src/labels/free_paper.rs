//! Stretches of paper on which nothing stands.
//!
//! - In: the obstacles of a window. Out: the free places nearest to some anchors for a box of a size.
//! - Method: a summed-area table of occupied squares answers in four look-ups whether a box is free.
//! - Lines count from [`HEAVY_LINE`] on; pots, signs and letters count by their bounding boxes.

use kurbo::{Point, Rect, Size, Vec2};

use super::candidates::{middle, nearest};
use super::gather::HEAVY_LINE;
use super::obstacles::Obstacle;

/// Side of the squares that are free or occupied. [mm]
const SQUARE_MM: f64 = 2.0;

/// Step of the search, in squares.
const STEP: i64 = 2;

/// How far free paper is looked for. [mm]
const REACH_MM: f64 = 140.0;

/// Stretches are picked from so many times more positions, the nearest ones.
const POOL: usize = 18;

/// Which squares of the window are free, as a summed-area table.
pub struct FreePaper {
    origin: Point,
    columns: i64,
    rows: i64,
    /// Occupied squares above and left of each corner; (columns + 1) × (rows + 1).
    sums: Vec<u32>,
}

impl FreePaper {
    /// Marks what the obstacles occupy.
    pub fn of(obstacles: &[Obstacle], window: Rect) -> Self {
        let columns = (window.width() / SQUARE_MM).ceil().clamp(1.0, 4_000.0) as i64;
        let rows = (window.height() / SQUARE_MM).ceil().clamp(1.0, 4_000.0) as i64;
        let mut paper = Self { origin: window.origin(), columns, rows, sums: Vec::new() };
        let mut occupied = vec![false; (columns * rows) as usize];
        for obstacle in obstacles {
            paper.occupy(obstacle, &mut occupied);
        }
        paper.sums = paper.summed(&occupied);
        paper
    }

    fn occupy(&self, obstacle: &Obstacle, occupied: &mut [bool]) {
        let mut mark = |bounds: Rect| {
            let (c0, r0) = self.square(bounds.origin());
            let (c1, r1) = self.square(Point::new(bounds.x1, bounds.y1));
            for row in r0.max(0)..=r1.min(self.rows - 1) {
                for column in c0.max(0)..=c1.min(self.columns - 1) {
                    occupied[(row * self.columns + column) as usize] = true;
                }
            }
        };
        if let Obstacle::Line { from, to, price } = obstacle {
            if *price >= HEAVY_LINE {
                let pieces = (from.distance(*to) / SQUARE_MM).ceil().clamp(1.0, 2_000.0);
                for i in 0..=pieces as u32 {
                    let point = from.lerp(*to, f64::from(i) / pieces);
                    mark(Rect::from_points(point, point));
                }
            }
        } else {
            mark(obstacle.bounds());
        }
    }

    fn square(&self, point: Point) -> (i64, i64) {
        let at = (point - self.origin) / SQUARE_MM;
        (at.x.floor() as i64, at.y.floor() as i64)
    }

    fn summed(&self, occupied: &[bool]) -> Vec<u32> {
        let width = (self.columns + 1) as usize;
        let mut sums = vec![0; width * (self.rows + 1) as usize];
        for row in 0..self.rows as usize {
            let mut along = 0;
            for column in 0..self.columns as usize {
                along += u32::from(occupied[row * self.columns as usize + column]);
                sums[(row + 1) * width + column + 1] = sums[row * width + column + 1] + along;
            }
        }
        sums
    }

    /// Occupied squares in columns `c..c + w` and rows `r..r + h`, which lie inside the window.
    fn occupied(&self, c: i64, r: i64, w: i64, h: i64) -> u32 {
        let at = |column: i64, row: i64| self.sums[(row * (self.columns + 1) + column) as usize];
        at(c + w, r + h) + at(c, r) - at(c + w, r) - at(c, r + h)
    }

    /// Upper left corners of free boxes of this size, nearest to the anchors, not too near to one
    /// another; at most `most`.
    pub fn nearest(&self, anchors: &[Point], size: Size, inner: Rect, most: usize) -> Vec<Point> {
        let (w, h) =
            ((size.width / SQUARE_MM).ceil() as i64 + 1, (size.height / SQUARE_MM).ceil() as i64 + 1);
        let (c, r) = self.square(middle(anchors) - (size / 2.0).to_vec2());
        let reach = (REACH_MM / SQUARE_MM) as i64;
        let mut found: Vec<(f64, Point)> = Vec::new();
        for row in ((r - reach).max(0)..(r + reach).min(self.rows - h + 1)).step_by(STEP as usize) {
            for column in ((c - reach).max(0)..(c + reach).min(self.columns - w + 1)).step_by(STEP as usize) {
                if self.occupied(column, row, w, h) == 0 {
                    let corner = self.origin
                        + Vec2::new(column as f64, row as f64) * SQUARE_MM
                        + Vec2::splat(SQUARE_MM / 2.0);
                    let centre = corner + (size / 2.0).to_vec2();
                    let away = nearest(anchors, centre)
                        .map_or(f64::INFINITY, |anchor| anchor.distance_squared(centre));
                    found.push((away, corner));
                }
            }
        }
        let order = |a: &(f64, Point), b: &(f64, Point)| {
            a.0.total_cmp(&b.0).then(a.1.x.total_cmp(&b.1.x)).then(a.1.y.total_cmp(&b.1.y))
        };
        if found.len() > POOL * most {
            found.select_nth_unstable_by(POOL * most, order);
            found.truncate(POOL * most);
        }
        found.sort_by(order);
        apart(found, size, inner, most)
    }
}

/// The first corners of a sorted list that are at least most of a tag apart.
fn apart(found: Vec<(f64, Point)>, size: Size, inner: Rect, most: usize) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::with_capacity(most);
    let close =
        |a: Point, b: Point| (a.x - b.x).abs() < 0.6 * size.width && (a.y - b.y).abs() < 0.9 * size.height;
    for (_, corner) in found {
        if kept.len() == most {
            break;
        }
        let corner = Point::new(corner.x.max(inner.x0), corner.y.max(inner.y0));
        if kept.iter().all(|other| !close(*other, corner)) {
            kept.push(corner);
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    const WINDOW: Rect = Rect::new(0.0, 0.0, 200.0, 100.0);

    #[test]
    fn free_boxes_meet_no_obstacle_and_lie_apart() {
        let disc = |x: f64| Obstacle::Disc { centre: Point::new(x, 50.0), radius: 12.0 };
        let discs = [disc(60.0), disc(90.0), disc(120.0)];
        let paper = FreePaper::of(&discs, WINDOW);
        let size = Size::new(20.0, 6.0);
        let corners = paper.nearest(&[Point::new(90.0, 50.0)], size, WINDOW, 20);
        assert_eq!(corners.len(), 20);
        for (i, corner) in corners.iter().enumerate() {
            let tag = Rect::from_origin_size(*corner, size);
            assert!(tag.union(WINDOW) == WINDOW);
            for disc in &discs {
                assert!(disc.bounds().intersect(tag).is_zero_area(), "{tag:?}");
            }
            for other in &corners[..i] {
                let other = Rect::from_origin_size(*other, size);
                assert!(super::super::touch::shared_area(tag, other) < 0.5 * size.area());
            }
        }
    }

    #[test]
    fn a_full_window_has_no_free_paper() {
        let disc = Obstacle::Disc { centre: Point::new(100.0, 50.0), radius: 150.0 };
        let paper = FreePaper::of(&[disc], WINDOW);
        assert!(paper.nearest(&[Point::new(90.0, 50.0)], Size::new(20.0, 6.0), WINDOW, 20).is_empty());
        let empty = FreePaper::of(&[], WINDOW);
        assert!(empty.nearest(&[Point::new(90.0, 50.0)], Size::new(201.0, 6.0), WINDOW, 20).is_empty());
    }
}
