//! Why a wall cannot be laid, and the numbers that mend it.

use crate::positive::NotUsable;

/// Why a wall cannot be laid. Courses count from 1, the lowest of the wall.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CoursesError {
    /// A number that cannot be used.
    #[error(transparent)]
    NotUsable(#[from] NotUsable),
    /// A run without length.
    #[error(
        "at station {station:.3} m a run of the wall has no length left; expected straights or arcs between corners"
    )]
    NoRun {
        /// Station along the base. [m]
        station: f64,
    },
    /// An arc that shrinks to nothing.
    #[error(
        "at station {station:.3} m the face of radius {radius:.3} m shrinks to nothing {offset:.3} m further back; \
         take a radius well over {offset:.3} m"
    )]
    NoRadius {
        /// Station along the base. [m]
        station: f64,
        /// Radius of the base. [m]
        radius: f64,
        /// Setback of the course. [m]
        offset: f64,
    },
    /// A curve too tight for the units.
    #[error(
        "at station {station:.3} m course {course} lies on a radius of {radius:.3} m, but the units turn no tighter than \
         {least:.3} m; give the base a radius of at least {base_needed:.3} m or keep to {courses_possible} courses there"
    )]
    TooTight {
        /// Station along the base. [m]
        station: f64,
        /// Course, from 1.
        course: usize,
        /// Its radius. [m]
        radius: f64,
        /// Least radius of the units. [m]
        least: f64,
        /// Radius of the base that would do. [m]
        base_needed: f64,
        /// Courses that the given radius allows.
        courses_possible: usize,
    },
    /// A system in which joints cannot be kept apart.
    #[error(
        "no unit is longer than {longest:.3} m, less than twice the least overlap of {overlap:.3} m, so that joints must \
         stack; take units of at least {needed:.3} m or an overlap of at most {overlap_possible:.3} m"
    )]
    UnitsTooShort {
        /// Longest unit. [m]
        longest: f64,
        /// Least overlap. [m]
        overlap: f64,
        /// Length that would do. [m]
        needed: f64,
        /// Overlap that the units allow. [m]
        overlap_possible: f64,
    },
    /// No unit has the height of the courses.
    #[error("no unit is {height:.4} m high, as the courses are; the heights are {heights:?} m")]
    NoUnits {
        /// Height of the courses. [m]
        height: f64,
        /// Heights there are. [m]
        heights: Vec<f64>,
    },
    /// Units and cuts that do not fill a stretch.
    #[error(
        "course {course} from station {from:.3} to {to:.3} m cannot be laid with pieces of {shortest:.3} m and longer and an \
         overlap of {overlap:.3} m; {remedy}"
    )]
    NoBond {
        /// Course, from 1.
        course: usize,
        /// First station. [m]
        from: f64,
        /// Last station. [m]
        to: f64,
        /// Least piece. [m]
        shortest: f64,
        /// Least overlap. [m]
        overlap: f64,
        /// Numbers that would do.
        remedy: String,
    },
}
