//! What can be wrong with levels and break lines, said so that the survey can be mended.
//!
//! - Levels, lines and points of lines are counted from 0 in the fields and from 1 in the
//!   sentences, as people count.

use kurbo::Point;

use crate::Point3;

/// Why a surface could not be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SurfaceFault {
    /// A coordinate or height is NaN or infinite.
    #[error("point {}: a coordinate is not a finite number; give x, y and height as lengths", index + 1)]
    NotFinite {
        /// Index of the point, from 0.
        index: usize,
    },
    /// A coordinate or height is further out than any yard.
    #[error(
        "point {}: ({:.3} m, {:.3} m, {:.3} m) lies more than 10 km from the origin; check the unit and \
         the decimal point", index + 1, at.x, at.y, at.z
    )]
    TooFar {
        /// Index of the point, from 0.
        index: usize,
        /// Where it would lie. [m]
        at: Point3,
    },
    /// A triangle names a point that is not there.
    #[error("triangle {} names a point beyond the {points} given; count points from 0", triangle + 1)]
    NoSuchPoint {
        /// Index of the triangle, from 0.
        triangle: usize,
        /// Points given.
        points: usize,
    },
    /// Fewer than three levels, or all on one line.
    #[error("no three levels make a triangle; give at least three levels that are not on one line")]
    NoArea,
    /// More than one triangle on one side of an edge.
    #[error(
        "triangles overlap along the edge from ({:.3} m, {:.3} m) to ({:.3} m, {:.3} m); give each part of \
         the ground once", from.x, from.y, to.x, to.y
    )]
    Overlap {
        /// One end of the edge. [m]
        from: Point,
        /// The other end. [m]
        to: Point,
    },
    /// Two levels at one place that differ.
    #[error(
        "two levels at ({:.3} m, {:.3} m): {first:.3} m and {second:.3} m; keep one, or set them apart as \
         foot and top of a face", at.x, at.y
    )]
    TwoLevels {
        /// Where. [m]
        at: Point,
        /// The level kept first. [m]
        first: f64,
        /// The one that contradicts it. [m]
        second: f64,
    },
    /// Two break lines cross at different heights.
    #[error(
        "break lines {} and {} cross at ({:.3} m, {:.3} m), one at {first_level:.3} m and one at \
         {second_level:.3} m; end one at the other, or give both the same level there",
        first + 1, second + 1, at.x, at.y
    )]
    Crossing {
        /// Index of the first line, from 0.
        first: usize,
        /// Index of the second line, from 0.
        second: usize,
        /// Where they cross. [m]
        at: Point,
        /// Level of the first line there. [m]
        first_level: f64,
        /// Level of the second line there. [m]
        second_level: f64,
    },
    /// A piece of a break line could not be kept as an edge.
    #[error(
        "the break line from ({:.3} m, {:.3} m) to ({:.3} m, {:.3} m) runs so close to another that both \
         cannot be edges; move one of them", from.x, from.y, to.x, to.y
    )]
    TooClose {
        /// One end of the piece. [m]
        from: Point,
        /// The other end. [m]
        to: Point,
    },
    /// The outline of a part to be graded is no area, or crosses itself.
    #[error("the outline of the grading: {0}")]
    Rim(#[from] crate::GeometryFault),
    /// A part to be graded reaches beyond the ground.
    #[error(
        "the grading reaches beyond the ground at ({:.3} m, {:.3} m); take levels further out, or draw its \
         outline in", at.x, at.y
    )]
    BeyondGround {
        /// Where. [m]
        at: Point,
    },
    /// A design level lies outside the outline of its part.
    #[error(
        "the design level at ({:.3} m, {:.3} m) lies outside its grading's outline; move it in or widen the \
         outline", at.x, at.y
    )]
    OutsideRim {
        /// Where. [m]
        at: Point,
    },
}
