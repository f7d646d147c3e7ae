//! Strokes of the hand made into lines that a crew can lay out.
//!
//! - In: points as the hand made them. Out: few points through which a smooth line runs.
//! - Method: the shortest list of points whose straight line stays within a tolerance (Douglas and
//!   Peucker 1973, "Algorithms for the reduction of the number of points required to represent a
//!   digitized line", from memory); a smooth curve through them then lies closer still.
//! - Not here: the curve itself (`groundwright-geometry`).

use groundwright_geometry::Point;

/// Deviation that a hand does not mean. [m] Half of it lies within the spread of a flagged line
/// on the ground: common practice, no source.
pub const SHAKE: f64 = 0.12;

/// Points of a stroke, thinned; a closed stroke loses the end that meets its beginning.
///
/// # Arguments
/// - `points`: in order. [m] What is not finite is left out.
/// - `tolerance`: how far the line may lie off. [m] Above zero.
pub fn thinned(points: &[Point], tolerance: f64, closed: bool) -> Vec<Point> {
    let mut clean: Vec<Point> = Vec::with_capacity(points.len());
    for point in points.iter().filter(|point| point.is_finite()) {
        if clean.last().is_none_or(|last| last.distance(*point) > tolerance / 4.0) {
            clean.push(*point);
        }
    }
    if closed && clean.len() > 3 && clean[0].distance(clean[clean.len() - 1]) < tolerance * 2.0 {
        clean.pop();
    }
    if clean.len() < 3 {
        return clean;
    }
    if !closed {
        return chain(&clean, tolerance);
    }
    // A ring is cut where it is widest, so that both halves have ends that must stay.
    let far =
        (1..clean.len()).max_by(|&i, &j| clean[0].distance(clean[i]).total_cmp(&clean[0].distance(clean[j])));
    let far = far.unwrap_or(clean.len() / 2);
    let mut ring = chain(&clean[..=far], tolerance);
    let mut back = clean[far..].to_vec();
    back.push(clean[0]);
    let back = chain(&back, tolerance);
    ring.extend(&back[1..back.len() - 1]);
    ring
}

fn chain(points: &[Point], tolerance: f64) -> Vec<Point> {
    let mut keep = vec![false; points.len()];
    let mut open = vec![(0, points.len() - 1)];
    keep[0] = true;
    keep[points.len() - 1] = true;
    while let Some((from, to)) = open.pop() {
        let farthest = (from + 1..to)
            .map(|i| (i, off(points[i], points[from], points[to])))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((at, distance)) = farthest.filter(|(_, distance)| *distance > tolerance) {
            debug_assert!(distance.is_finite());
            keep[at] = true;
            open.extend([(from, at), (at, to)]);
        }
    }
    points.iter().zip(keep).filter(|(_, keep)| *keep).map(|(point, _)| *point).collect()
}

/// Distance of a point from a straight piece. [m]
fn off(point: Point, from: Point, to: Point) -> f64 {
    let along = to - from;
    let length = along.hypot2();
    if length < 1e-18 {
        return point.distance(from);
    }
    let part = ((point - from).dot(along) / length).clamp(0.0, 1.0);
    point.distance(from + along * part)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn circle(points: u32, radius: f64) -> Vec<Point> {
        (0..points)
            .map(|i| {
                let turn = f64::from(i) / f64::from(points) * std::f64::consts::TAU;
                Point::new(radius * turn.cos(), radius * turn.sin())
            })
            .collect()
    }

    #[test]
    fn a_straight_stroke_is_two_points() {
        let stroke: Vec<Point> = (0..50).map(|i| Point::new(f64::from(i) * 0.1, 0.02)).collect();
        assert_eq!(thinned(&stroke, SHAKE, false).len(), 2);
    }

    /// The law of the method: no point of the stroke lies further off than the tolerance.
    #[test]
    fn every_point_of_the_stroke_stays_within_the_tolerance() {
        let stroke = circle(300, 3.0);
        let thin = thinned(&stroke, SHAKE, true);
        assert!((6..40).contains(&thin.len()), "{}", thin.len());
        for point in &stroke {
            let nearest = (0..thin.len())
                .map(|i| off(*point, thin[i], thin[(i + 1) % thin.len()]))
                .fold(f64::INFINITY, f64::min);
            assert!(nearest <= SHAKE + 1e-9, "{nearest}");
        }
    }

    #[test]
    fn a_stroke_that_meets_itself_loses_its_end() {
        let mut stroke = circle(100, 2.0);
        stroke.push(Point::new(2.0, 0.05));
        let thin = thinned(&stroke, SHAKE, true);
        assert!(thin[0].distance(thin[thin.len() - 1]) > SHAKE);
    }

    #[test]
    fn what_is_no_number_is_left_out() {
        let stroke = [Point::new(f64::NAN, 0.0), Point::new(0.0, 0.0), Point::new(1.0, f64::INFINITY)];
        assert_eq!(thinned(&stroke, SHAKE, true), [Point::new(0.0, 0.0)]);
        assert_eq!(thinned(&[], SHAKE, false), []);
    }
}
