//! Roofs over any simple footprint: gable, hip, shed, flat.
//!
//! - In: a footprint, the form, the eave's height, the slope, the overhang. Out: faces in space.
//! - Hip: every side of the footprint carries a plane of the one slope; they meet along the straight
//!   skeleton. Gable: the hip roof with every triangular end stood upright, so that the ridge runs
//!   out to the wall; an end whose tip is not the end of a single ridge stays a hip. A rectangle's
//!   ridge runs along its longer sides, of a square along its first and third.
//!   Shed: one plane rising from the longest side. Flat: level at the eave.
//! - Eaves hang over by one distance all round; the planes keep their slope, so the edge lies lower
//!   than the wall's top. An overhang that would make the outline cross itself is refused.
//! - Which side is the low one and which ends are gables is common practice, no source; a house may
//!   be built otherwise.

use groundwright_geometry::{Point, Point3, Region, Vec2};

use crate::skeleton::{Skeleton, SkeletonFault, signed_area, straight_skeleton};

/// Form of a roof.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RoofForm {
    /// Two slopes and upright ends.
    Gable,
    /// Slopes on all sides.
    Hip,
    /// One slope.
    Shed,
    /// Level.
    Flat,
}

/// A roof to be built.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Roof {
    /// Its form.
    pub form: RoofForm,
    /// Height of the top of the wall. [m]
    pub eave: f64,
    /// Rise over run; not used by a flat roof.
    pub slope: f64,
    /// How far the eaves hang over the wall. [m]
    pub overhang: f64,
}

/// Why there is no roof.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RoofFault {
    /// A measure that no roof has.
    #[error("the roof's {what} is {value}; expected {expected}")]
    Measure {
        /// Which measure.
        what: &'static str,
        /// Its value in SI.
        value: f64,
        /// What was expected.
        expected: &'static str,
    },
    /// The footprint has no skeleton.
    #[error(transparent)]
    Skeleton(#[from] SkeletonFault),
    /// Eaves that run into one another.
    #[error("an overhang of {0} m makes the eaves run into one another; expected less")]
    Overhang(f64),
}

/// Faces of a roof, each a flat outline in space; those of a shed's and a gable's upright walls are
/// among them. [m]
///
/// # Errors
/// A measure out of range, a footprint that is not simple, an overhang too wide.
pub fn roof_faces(footprint: &[Point], roof: &Roof) -> Result<Vec<Vec<Point3>>, RoofFault> {
    check(roof)?;
    let outline = eaves(footprint, roof.overhang)?;
    let edge = roof.eave - if roof.form == RoofForm::Flat { 0.0 } else { roof.slope * roof.overhang };
    let faces = match roof.form {
        RoofForm::Flat => vec![outline.iter().map(|at| Point3::new(at.x, at.y, roof.eave)).collect()],
        RoofForm::Shed => shed(&outline, edge, roof.slope),
        RoofForm::Hip => raised(&straight_skeleton(&outline)?, edge, roof.slope),
        RoofForm::Gable => match rectangle_gable(&outline, edge, roof.slope) {
            Some(faces) => faces,
            None => raised(&with_gables(straight_skeleton(&outline)?), edge, roof.slope),
        },
    };
    Ok(faces)
}

fn check(roof: &Roof) -> Result<(), RoofFault> {
    let fault = |what, value, expected| Err(RoofFault::Measure { what, value, expected });
    if !roof.eave.is_finite() {
        return fault("eave", roof.eave, "a finite height");
    }
    if !(0.0..=10.0).contains(&roof.slope) {
        return fault("slope", roof.slope, "a rise over run from 0 to 10");
    }
    if !(0.0..=5.0).contains(&roof.overhang) {
        return fault("overhang", roof.overhang, "0 to 5 m");
    }
    Ok(())
}

/// The outline of the eaves: the footprint with every side moved out, corners kept.
fn eaves(footprint: &[Point], overhang: f64) -> Result<Vec<Point>, RoofFault> {
    // Also checks the footprint, whatever the form of the roof.
    let mut outline = footprint.to_vec();
    outline.dedup_by(|a, b| a.distance(*b) < 1e-5);
    Region::polygon(&outline).map_err(|e| SkeletonFault::Outline(e.to_string()))?;
    if signed_area(&outline) < 0.0 {
        outline.reverse();
    }
    if overhang == 0.0 {
        return Ok(outline);
    }
    let n = outline.len();
    let outward = |i: usize| {
        let side = outline[(i + 1) % n] - outline[i % n];
        Vec2::new(side.y, -side.x) / side.hypot()
    };
    let moved: Vec<Point> = (0..n)
        .map(|i| {
            let (l, r) = (outward(i + n - 1), outward(i));
            let determinant = l.cross(r);
            let step =
                if determinant.abs() > 1e-9 { Vec2::new(r.y - l.y, l.x - r.x) / determinant } else { l };
            outline[i] + overhang * step
        })
        .collect();
    let crossed = (0..n).any(|i| {
        let (old, new) = (outline[(i + 1) % n] - outline[i], moved[(i + 1) % n] - moved[i]);
        old.dot(new) <= 0.0
    });
    if crossed || Region::polygon(&moved).is_err() {
        return Err(RoofFault::Overhang(overhang));
    }
    Ok(moved)
}

fn shed(outline: &[Point], edge: f64, slope: f64) -> Vec<Vec<Point3>> {
    let n = outline.len();
    let length = |i: usize| outline[i].distance(outline[(i + 1) % n]);
    let longest = (0..n).fold(0, |best, i| if length(i) > length(best) + 1e-6 { i } else { best });
    let along = (outline[(longest + 1) % n] - outline[longest]) / length(longest);
    let up = Vec2::new(-along.y, along.x);
    let reach = |at: Point| up.dot(at.to_vec2());
    let low = outline.iter().map(|at| reach(*at)).fold(f64::INFINITY, f64::min);
    let top = |at: Point| Point3::new(at.x, at.y, edge + slope * (reach(at) - low));
    let foot = |at: Point| Point3::new(at.x, at.y, edge);
    let mut faces = vec![outline.iter().map(|at| top(*at)).collect::<Vec<_>>()];
    for i in 0..n {
        let (a, b) = (outline[i], outline[(i + 1) % n]);
        let corners = [foot(a), foot(b), top(b), top(a)];
        let mut wall: Vec<Point3> = corners.into_iter().collect();
        wall.dedup_by(|p, q| p == q);
        if wall.first() == wall.last() {
            wall.pop();
        }
        if wall.len() > 2 {
            faces.push(wall);
        }
    }
    faces
}

fn raised(skeleton: &Skeleton, edge: f64, slope: f64) -> Vec<Vec<Point3>> {
    let place = |i: &usize| {
        let node = &skeleton.nodes[*i];
        Point3::new(node.at.x, node.at.y, edge + slope * node.offset)
    };
    skeleton.faces.iter().map(|face| face.iter().map(place).collect()).collect()
}

/// The gable roof of a rectangle, whose skeleton may have no ridge to run out (a square's has none).
fn rectangle_gable(outline: &[Point], edge: f64, slope: f64) -> Option<Vec<Vec<Point3>>> {
    let [a, b, c, d] = *outline else { return None };
    let square = |u: Vec2, v: Vec2| u.dot(v).abs() < 1e-4 * u.hypot() * v.hypot();
    if !(square(b - a, c - b) && square(c - b, d - c) && square(d - c, a - d)) {
        return None;
    }
    // Eaves along the longer sides.
    let [a, b, c, d] = if a.distance(b) + 1e-6 >= b.distance(c) { [a, b, c, d] } else { [b, c, d, a] };
    let top = edge + slope * 0.5 * b.distance(c);
    let low = |at: Point| Point3::new(at.x, at.y, edge);
    let ridge = |p: Point, q: Point| {
        let middle = p.midpoint(q);
        Point3::new(middle.x, middle.y, top)
    };
    let (east, west) = (ridge(b, c), ridge(d, a));
    Some(vec![
        vec![low(a), low(b), east, west],
        vec![low(b), low(c), east],
        vec![low(c), low(d), west, east],
        vec![low(d), low(a), west],
    ])
}

/// The skeleton with the tips of its triangular ends run out to the walls.
fn with_gables(mut skeleton: Skeleton) -> Skeleton {
    let n = skeleton.faces.len();
    for side in 0..n {
        let [begin, end, tip] = *skeleton.faces[side].as_slice() else { continue };
        let at_tip: Vec<_> =
            skeleton.arcs.iter().filter(|arc| arc.nodes.0 == tip || arc.nodes.1 == tip).collect();
        let ridge: Vec<_> = at_tip.iter().filter(|arc| arc.sides.0 != side && arc.sides.1 != side).collect();
        let ([ridge], 3) = (ridge.as_slice(), at_tip.len()) else { continue };
        let other = if ridge.nodes.0 == tip { ridge.nodes.1 } else { ridge.nodes.0 };
        let (from, to) = (skeleton.nodes[other], skeleton.nodes[tip]);
        let along = to.at - from.at;
        let wall = skeleton.nodes[end].at - skeleton.nodes[begin].at;
        let inward = Vec2::new(-wall.y, wall.x) / wall.hypot();
        let approach = -inward.dot(along);
        // A ridge that runs nearly along the wall would come out far to the side.
        if approach < 0.5 * along.hypot() {
            continue;
        }
        let share = inward.dot(to.at - skeleton.nodes[begin].at) / approach;
        let moved = crate::skeleton::Node {
            at: to.at + share * along,
            offset: to.offset + share * (to.offset - from.offset),
        };
        let on_wall = wall.dot(moved.at - skeleton.nodes[begin].at) / wall.hypot2();
        if (0.0..=1.0).contains(&on_wall) {
            skeleton.nodes[tip] = moved;
        }
    }
    skeleton
}
