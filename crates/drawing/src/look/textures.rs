//! Textures of areas: slanting lines and dots, clipped to the area.
//!
//! - In: an area on paper, the window and the yard's origin on paper. Out: one path of many short
//!   lines, or of many small hexagons.
//! - Method: scan lines. The outline is flattened and turned until the texture runs level; along
//!   every row its crossings, summed by the non-zero rule, give the spans inside.
//! - The texture hangs on the yard's origin, so it does not swim when the window moves.
//! - Rows and dots are bounded: where an area would need more, the texture becomes coarser.

use std::f64::consts::FRAC_PI_4;

use kurbo::{Affine, BezPath, PathEl, Point, Rect, Vec2, flatten};

/// Distance of slanting lines. [mm]
pub const HATCH_SPACING_MM: f64 = 1.8;

/// Distance of dots in a row; rows are nearer by √3/2 and staggered. [mm]
pub const DOT_SPACING_MM: f64 = 2.2;

/// Radius of a dot. [mm]
pub const DOT_RADIUS_MM: f64 = 0.17;

/// Distance that the middle of a dot keeps from the rim along a row and across, so that the dot
/// keeps inside along slanting rims too. [mm]
const CLEAR_MM: f64 = 1.45 * DOT_RADIUS_MM;

/// No area gets more rows than this.
const MAX_ROWS: f64 = 1_500.0;

/// No area gets many more dots than this.
const MAX_DOTS: f64 = 8_000.0;

/// Flattening of the outline. [mm]
const ACCURACY: f64 = 0.05;

/// Lines at 45°, rising to the right, inside `area`. [mm of paper]
pub fn slanted(area: &BezPath, window: Rect, origin: Point) -> BezPath {
    let mut lines = BezPath::new();
    let Some(rows) = Rows::of(area, window, origin, -FRAC_PI_4, HATCH_SPACING_MM, f64::INFINITY) else {
        return lines;
    };
    for (row, y) in rows.spans.iter().zip(rows.heights()) {
        for (from, to) in row {
            lines.move_to(rows.back * Point::new(*from, y));
            lines.line_to(rows.back * Point::new(*to, y));
        }
    }
    lines
}

/// Dots in a staggered lattice inside `area`, as small filled hexagons. [mm of paper]
pub fn dotted(area: &BezPath, window: Rect, origin: Point) -> BezPath {
    let mut dots = BezPath::new();
    let row_spacing = DOT_SPACING_MM * 3.0_f64.sqrt() / 2.0;
    // A quarter of a degree off level keeps rows from running along walls and bed lines.
    let Some(rows) = Rows::of(area, window, origin, 0.26, row_spacing, MAX_DOTS) else {
        return dots;
    };
    let step = DOT_SPACING_MM * rows.coarser;
    let (above, below) = (rows.spans_at(CLEAR_MM), rows.spans_at(-CLEAR_MM));
    for (i, (row, y)) in rows.spans.iter().zip(rows.heights()).enumerate() {
        let shift = if (rows.first + signed(i)).rem_euclid(2) == 0 { 0.0 } else { step / 2.0 };
        for (from, to) in common(&common(row, &above[i]), &below[i]) {
            let first = ((from + CLEAR_MM - shift) / step).ceil();
            let last = ((to - CLEAR_MM - shift) / step).floor();
            let count = (last - first).max(-1.0) as i64 + 1;
            for k in 0..count {
                hexagon(&mut dots, rows.back * Point::new((first + k as f64) * step + shift, y));
            }
        }
    }
    dots
}

fn hexagon(path: &mut BezPath, centre: Point) {
    for i in 0..6 {
        let corner = centre + Vec2::from_angle(f64::from(i) * std::f64::consts::FRAC_PI_3) * DOT_RADIUS_MM;
        if i == 0 {
            path.move_to(corner);
        } else {
            path.line_to(corner);
        }
    }
    path.close_path();
}

/// The spans of an area along level rows, in turned coordinates.
struct Rows {
    /// Inside parts of each row, from and to.
    spans: Vec<Vec<(f64, f64)>>,
    /// Number of the first row, counted from the origin.
    first: i64,
    /// Distance of rows. [mm]
    spacing: f64,
    /// How many times coarser than asked.
    coarser: f64,
    /// From turned coordinates back to paper.
    back: Affine,
    edges: Vec<(Point, Point)>,
    reach: Rect,
}

impl Rows {
    /// `None` when nothing of the area lies in the window.
    fn of(
        area: &BezPath,
        window: Rect,
        origin: Point,
        angle: f64,
        spacing: f64,
        most_dots: f64,
    ) -> Option<Self> {
        let bounds = area.control_box().intersect(window.inflate(1.0, 1.0));
        if !area.is_finite() || bounds.is_zero_area() {
            return None;
        }
        let turn = Affine::rotate(-angle) * Affine::translate(-origin.to_vec2());
        let reach = turn.transform_rect_bbox(bounds);
        let mut coarser = 1.0;
        while reach.height() / (spacing * coarser) > MAX_ROWS
            || bounds.area() / (spacing * coarser).powi(2) > most_dots
        {
            coarser *= 2.0;
        }
        let spacing = spacing * coarser;
        let first = (reach.y0 / spacing).ceil() as i64;
        let count = ((reach.y1 / spacing).floor() as i64 - first + 1).max(0) as usize;
        let edges = edges(area, turn);
        let spans = vec![Vec::new(); count];
        let mut rows = Self { spans, first, spacing, coarser, back: turn.inverse(), edges, reach };
        rows.spans = rows.spans_at(0.0);
        Some(rows)
    }

    /// The inside parts of every row, each measured `shift` above it. [mm]
    fn spans_at(&self, shift: f64) -> Vec<Vec<(f64, f64)>> {
        let mut crossings = vec![Vec::new(); self.spans.len()];
        for (a, b) in &self.edges {
            let down = Vec2::new(0.0, shift);
            cross(&mut crossings, *a - down, *b - down, self.first, self.spacing);
        }
        crossings.into_iter().map(|row| inside(row, self.reach.x0, self.reach.x1)).collect()
    }

    fn heights(&self) -> impl Iterator<Item = f64> {
        (0..self.spans.len()).map(|i| (self.first + signed(i)) as f64 * self.spacing)
    }
}

/// A count of rows, which stays far below the largest `i64`.
fn signed(count: usize) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX)
}

/// What two sorted lists of spans share.
fn common(a: &[(f64, f64)], b: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut shared = Vec::new();
    let (mut i, mut j) = (0, 0);
    while let (Some(p), Some(q)) = (a.get(i), b.get(j)) {
        let (from, to) = (p.0.max(q.0), p.1.min(q.1));
        if to > from {
            shared.push((from, to));
        }
        if p.1 < q.1 {
            i += 1;
        } else {
            j += 1;
        }
    }
    shared
}

/// The flattened outline, every subpath closed, turned.
fn edges(area: &BezPath, turn: Affine) -> Vec<(Point, Point)> {
    let mut edges = Vec::new();
    let (mut start, mut at) = (Point::ORIGIN, Point::ORIGIN);
    flatten(area, ACCURACY, |element| match element {
        PathEl::MoveTo(point) => {
            edges.push((at, start));
            start = turn * point;
            at = start;
        }
        PathEl::LineTo(point) => {
            let next = turn * point;
            edges.push((at, next));
            at = next;
        }
        PathEl::ClosePath => {
            edges.push((at, start));
            at = start;
        }
        PathEl::QuadTo(..) | PathEl::CurveTo(..) => {}
    });
    edges.push((at, start));
    edges.retain(|(a, b)| (a.y - b.y).abs() > 0.0);
    edges
}

/// Enters where an edge crosses each row, and whether upwards (+1) or downwards (-1).
fn cross(crossings: &mut [Vec<(f64, i32)>], a: Point, b: Point, first: i64, spacing: f64) {
    let (low, high, direction) = if a.y < b.y { (a, b, 1) } else { (b, a, -1) };
    let from = ((low.y / spacing).ceil() as i64).max(first);
    let to = ((high.y / spacing).ceil() as i64).min(first + signed(crossings.len()));
    for row in from..to {
        let y = row as f64 * spacing;
        let x = low.x + (high.x - low.x) * (y - low.y) / (high.y - low.y);
        crossings[(row - first) as usize].push((x, direction));
    }
}

/// The parts of a row with a winding number other than zero, clipped to `left..right`.
fn inside(mut row: Vec<(f64, i32)>, left: f64, right: f64) -> Vec<(f64, f64)> {
    row.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut spans = Vec::new();
    let (mut winding, mut since) = (0, 0.0);
    for (x, direction) in row {
        if winding == 0 {
            since = x;
        }
        winding += direction;
        let (from, to) = (since.max(left), x.min(right));
        if winding == 0 && to > from {
            spans.push((from, to));
        }
    }
    spans
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Shape as _;

    const WINDOW: Rect = Rect::new(0.0, 0.0, 400.0, 300.0);

    fn area() -> BezPath {
        let mut path = Rect::new(20.0, 20.0, 120.0, 80.0).to_path(0.1);
        // A hole, drawn the other way round.
        for (i, point) in [(50.0, 40.0), (50.0, 60.0), (90.0, 60.0), (90.0, 40.0)].into_iter().enumerate() {
            if i == 0 {
                path.move_to(point);
            } else {
                path.line_to(point);
            }
        }
        path.close_path();
        path
    }

    fn length(path: &BezPath) -> f64 {
        path.segments().map(|segment| kurbo::ParamCurveArclen::arclen(&segment, 1e-6)).sum()
    }

    /// Lines at an even distance cover length = area / distance, the principle of Cavalieri.
    #[test]
    fn lines_fill_the_area_and_leave_the_hole() {
        let lines = slanted(&area(), WINDOW, Point::ORIGIN);
        let expected = (100.0 * 60.0 - 40.0 * 20.0) / HATCH_SPACING_MM;
        assert!((length(&lines) / expected - 1.0).abs() < 0.02);
        for segment in lines.segments() {
            let middle = kurbo::ParamCurve::eval(&segment, 0.5);
            assert!(area().winding(middle) != 0, "{middle:?}");
        }
    }

    #[test]
    fn dots_fill_the_area_and_leave_the_hole() {
        let dots = dotted(&area(), WINDOW, Point::ORIGIN);
        let count = dots.subpaths().count() as f64;
        let expected = (100.0 * 60.0 - 40.0 * 20.0) / (DOT_SPACING_MM.powi(2) * 3.0_f64.sqrt() / 2.0);
        assert!((count / expected - 1.0).abs() < 0.08, "{count} against {expected}");
        for segment in dots.segments() {
            let corner = kurbo::ParamCurve::eval(&segment, 0.0);
            assert!(area().winding(corner) != 0, "{corner:?}");
        }
    }

    /// Nine kilometres of paper is a slip of the scale: it must cost no more than a sheet.
    #[test]
    fn counts_are_bounded() {
        let huge = Rect::new(-9e6, -9e6, 9e6, 9e6);
        let path = huge.to_path(0.1);
        assert!(slanted(&path, huge, Point::ORIGIN).elements().len() < 4_000);
        assert!(dotted(&path, huge, Point::ORIGIN).subpaths().count() < 20_000);
        let clipped = dotted(&path, WINDOW, Point::ORIGIN);
        assert!(WINDOW.inflate(120.0, 120.0).contains(clipped.bounding_box().origin()));
    }

    #[test]
    fn the_texture_hangs_on_the_yard() {
        let shift = Vec2::new(7.3, -2.1);
        let here = dotted(&area(), WINDOW, Point::ORIGIN);
        let there = dotted(&(Affine::translate(shift) * area()), WINDOW, shift.to_point());
        let moved = Affine::translate(shift) * here;
        let pairs = moved.elements().iter().zip(there.elements());
        assert_eq!(moved.elements().len(), there.elements().len());
        for (a, b) in pairs {
            let (Some(a), Some(b)) = (a.end_point(), b.end_point()) else { continue };
            assert!(a.distance(b) < 1e-9);
        }
    }
}
