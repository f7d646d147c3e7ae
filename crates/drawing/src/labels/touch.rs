//! Whether boxes, discs, leaders and letters touch, and by how much.
//!
//! Pure geometry on paper, in millimetres. Touching at a rim or an end is not an overlap.

use kurbo::{Point, Rect};

/// Whether two boxes touch or overlap.
pub fn boxes_meet(a: Rect, b: Rect) -> bool {
    a.x1 >= b.x0 && a.x0 <= b.x1 && a.y1 >= b.y0 && a.y0 <= b.y1
}

/// Area that two boxes share. [mm²]
pub fn shared_area(a: Rect, b: Rect) -> f64 {
    let width = a.x1.min(b.x1) - a.x0.max(b.x0);
    let height = a.y1.min(b.y1) - a.y0.max(b.y0);
    if width > 0.0 && height > 0.0 { width * height } else { 0.0 }
}

/// Whether a box covers a part of a disc.
pub fn box_meets_disc(a: Rect, centre: Point, radius: f64) -> bool {
    let nearest = Point::new(centre.x.clamp(a.x0, a.x1), centre.y.clamp(a.y0, a.y1));
    (nearest - centre).hypot2() < radius * radius
}

/// Whether a box covers a part of a convex quadrilateral: no side of either separates them.
pub fn box_meets_quad(a: Rect, quad: &[Point; 4]) -> bool {
    let span = |of: &dyn Fn(&Point) -> f64| {
        quad.iter()
            .map(of)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)))
    };
    let (x0, x1) = span(&|p| p.x);
    let (y0, y1) = span(&|p| p.y);
    if x1 <= a.x0 || x0 >= a.x1 || y1 <= a.y0 || y0 >= a.y1 {
        return false;
    }
    let corners = [(a.x0, a.y0), (a.x1, a.y0), (a.x1, a.y1), (a.x0, a.y1)].map(Point::from);
    let middle = quad[0].midpoint(quad[2]);
    (0..4).all(|i| {
        let (from, to) = (quad[i], quad[(i + 1) % 4]);
        let inner = (to - from).cross(middle - from).signum();
        corners.iter().any(|corner| inner * (to - from).cross(*corner - from) > 0.0)
    })
}

/// Length of a straight line inside a box (after Liang and Barsky). [mm]
pub fn length_inside(a: Point, b: Point, inside: Rect) -> f64 {
    let d = b - a;
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    for (step, from, low, high) in [(d.x, a.x, inside.x0, inside.x1), (d.y, a.y, inside.y0, inside.y1)] {
        if step.abs() < 1e-12 {
            if from <= low || from >= high {
                return 0.0;
            }
            continue;
        }
        let (s, t) = ((low - from) / step, (high - from) / step);
        enter = enter.max(s.min(t));
        leave = leave.min(s.max(t));
    }
    (leave - enter).max(0.0) * d.hypot()
}

/// Distance of a point from a straight line between two points. [mm]
pub fn distance_to_line(point: Point, a: Point, b: Point) -> f64 {
    let d = b - a;
    let along = if d.hypot2() > 0.0 { ((point - a).dot(d) / d.hypot2()).clamp(0.0, 1.0) } else { 0.0 };
    (a + d * along).distance(point)
}

/// Where a straight line from outside a disc first meets its rim.
pub fn enters_disc(a: Point, b: Point, centre: Point, radius: f64) -> Option<Point> {
    let (d, from) = (b - a, a - centre);
    // |from + t d|² = radius², the smaller root.
    let (aa, bb, cc) = (d.hypot2(), from.dot(d), from.hypot2() - radius * radius);
    let root = bb * bb - aa * cc;
    if cc <= 0.0 || root <= 0.0 || aa <= 0.0 {
        return None;
    }
    let t = (-bb - root.sqrt()) / aa;
    (0.0..=1.0).contains(&t).then(|| a + d * t)
}

/// Whether two lines cross between their ends.
pub fn lines_cross(a: Point, b: Point, c: Point, d: Point) -> bool {
    let side = |from: Point, to: Point, point: Point| (to - from).cross(point - from);
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

/// Whether two leaders cross.
pub fn leaders_cross(a: &[Point], b: &[Point]) -> bool {
    a.windows(2).any(|p| b.windows(2).any(|q| lines_cross(p[0], p[1], q[0], q[1])))
}

/// Whether a leader runs through a box.
pub fn leader_through(leader: &[Point], of: Rect) -> bool {
    leader.windows(2).any(|p| length_inside(p[0], p[1], of) > 1e-9)
}

#[cfg(test)]
mod tests {
    use super::*;

    const BOX: Rect = Rect::new(10.0, 10.0, 30.0, 20.0);

    #[test]
    fn a_line_through_a_box_is_measured_inside_only() {
        let length = length_inside(Point::new(0.0, 15.0), Point::new(50.0, 15.0), BOX);
        assert!((length - 20.0).abs() < 1e-12);
        assert!(length_inside(Point::new(0.0, 25.0), Point::new(50.0, 25.0), BOX) < 1e-12);
        assert!(length_inside(Point::new(0.0, 10.0), Point::new(50.0, 10.0), BOX) < 1e-12);
        let diagonal = length_inside(Point::new(5.0, 5.0), Point::new(25.0, 25.0), BOX);
        assert!((diagonal - 10.0 * 2.0_f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn a_line_enters_a_disc_where_it_first_meets_the_rim() {
        let centre = Point::new(50.0, 20.0);
        let entry = enters_disc(Point::new(10.0, 20.0), Point::new(60.0, 20.0), centre, 5.0).unwrap();
        assert!(entry.distance(Point::new(45.0, 20.0)) < 1e-12);
        assert!(enters_disc(Point::new(10.0, 20.0), Point::new(40.0, 20.0), centre, 5.0).is_none());
        assert!(enters_disc(Point::new(48.0, 20.0), centre, centre, 5.0).is_none(), "it begins inside");
    }

    #[test]
    fn ends_that_touch_do_not_cross() {
        let p = |x: f64, y: f64| Point::new(x, y);
        assert!(lines_cross(p(0.0, 0.0), p(2.0, 2.0), p(0.0, 2.0), p(2.0, 0.0)));
        assert!(!lines_cross(p(0.0, 0.0), p(2.0, 2.0), p(2.0, 2.0), p(4.0, 0.0)));
        assert!(!lines_cross(p(0.0, 0.0), p(2.0, 2.0), p(1.0, 1.0), p(2.0, 0.0)));
    }

    #[test]
    fn a_slanting_text_beside_a_corner_is_not_covered() {
        let slanting = |x: f64, y: f64| {
            let at = Point::new(x, y);
            [(0.0, 0.0), (10.0, 10.0), (9.0, 11.0), (-1.0, 1.0)]
                .map(|(dx, dy)| Point::new(at.x + dx, at.y + dy))
        };
        assert!(box_meets_quad(BOX, &slanting(12.0, 12.0)));
        // Its bounding box overlaps the corner of the box; the letters pass beside it.
        assert!(!box_meets_quad(BOX, &slanting(2.0, 13.0)));
        assert!(!box_meets_quad(BOX, &slanting(40.0, 40.0)));
    }

    #[test]
    fn a_disc_at_a_corner_is_met_by_its_round_rim() {
        assert!(box_meets_disc(BOX, Point::new(32.0, 15.0), 2.1));
        assert!(!box_meets_disc(BOX, Point::new(32.0, 22.0), 2.1));
    }
}
