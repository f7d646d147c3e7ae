//! Which stretches of a course are laid, and how each begins and ends.
//!
//! - In: the courses that stand over each part of the base, a run between corners as one course sees it.
//!   Out: stretches in the course's own coordinate.
//! - A lower course ends in the bank where the base steps up, a unit beyond if need be; a step of the top
//!   ends flush, as it is seen. At an outside corner long and short faces alternate; at an inside corner
//!   the legs run through in turn, the other butting against them.

use super::alignment::{Bend, Run, Track};
use super::error::CoursesError;
use super::fill::Stop;
use super::{End, Layout};
use crate::positive::within;

/// A stretch of a course.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Lay {
    pub course: usize,
    /// Start and end in the course's own coordinate. [m]
    pub from: f64,
    pub to: f64,
    pub stop: Stop,
    /// Faces of corner units at start and end. [m]
    pub corners: (Option<f64>, Option<f64>),
    /// Parts on the pad. [m]
    pub on_pad: Vec<(f64, f64)>,
}

/// A stretch that goes on into the next stand: its start and its parts on the pad.
type Open = (f64, Vec<(f64, f64)>);

/// Whether the stands cover the alignment from end to end.
pub(super) fn check_stands(layout: &Layout, runs: &[Run]) -> Result<(), CoursesError> {
    let end = runs.last().map_or(0.0, |run| run.to);
    let mut at = 0.0;
    for stand in &layout.stands {
        let good = (stand.from - at).abs() < 1e-6 && stand.to > stand.from + 1e-6;
        within(
            "the start of a stand",
            stand.from,
            "m",
            good,
            "the end of the one before, from 0 on, and a length",
        )?;
        let good = (1..=200).contains(&stand.courses) && stand.first <= 200;
        within("the count of courses of a stand", stand.courses as f64, "", good, "a count from 1 to 200")?;
        at = stand.to;
    }
    let good = (at - end).abs() < 1e-6 && !layout.stands.is_empty();
    within("the end of the last stand", at, "m", good, "the length of the alignment's face")?;
    within("the length of the wall", end, "m", end <= 100_000.0, "at most 100 km")?;
    Ok(())
}

/// Stretches of a course within a run.
pub(super) fn stretches(layout: &Layout, run: &Run, track: &Track, course: usize) -> Vec<Lay> {
    let has = |i: usize| {
        layout.stands[i].first <= course && course < layout.stands[i].first + layout.stands[i].courses
    };
    let mut found: Vec<Lay> = Vec::new();
    let mut open: Option<Open> = None;
    let longest = layout.system.kinds.iter().map(|kind| kind.length).fold(0.0, f64::max);
    let faces = layout.system.corner_faces(layout.course);
    for (i, stand) in layout.stands.iter().enumerate() {
        let (from, to) = (stand.from.max(run.from), stand.to.min(run.to));
        if !has(i) || to <= from + 1e-6 {
            continue;
        }
        // An end of the run is the course's own end there, which corners have moved.
        let at_start = from <= run.from + 1e-6;
        let at_end = to >= run.to - 1e-6;
        let own = (
            if at_start { 0.0 } else { track.coordinate(from) },
            if at_end { track.length } else { track.coordinate(to) },
        );
        let (start, mut on_pad) = open.take().unwrap_or((own.0, Vec::new()));
        if stand.first == course {
            on_pad.push(own);
        }
        let next = layout.stands.get(i + 1).filter(|_| !at_end);
        if next.is_some() && has(i + 1) {
            open = Some((start, on_pad));
            continue;
        }
        let (stop, last) = if let Some(next) = next {
            (if next.first > course { Stop::Over(longest) } else { Stop::Flush }, None)
        } else {
            run_end(layout, run.end.map(|e| e.1), End::Bank == layout.ends[1], course, longest, faces)
        };
        let first = if start.abs() < 1e-6 {
            // The other leg of an outside corner has the long face where this one has the short.
            run.start
                .filter(|s| s.1 == Bend::Convex)
                .map(|_| if course.is_multiple_of(2) { faces.1 } else { faces.0 })
        } else {
            None
        };
        let mut from = start;
        if start.abs() < 1e-6 && first.is_none() {
            from -= run_start(layout, run.start.map(|s| s.1), course, longest);
        }
        found.push(Lay { course, from, to: own.1, stop, corners: (first, last), on_pad });
    }
    found
}

fn run_end(
    layout: &Layout,
    corner: Option<Bend>,
    bank: bool,
    course: usize,
    longest: f64,
    faces: (f64, f64),
) -> (Stop, Option<f64>) {
    let even = course.is_multiple_of(2);
    match corner {
        None if bank => (Stop::Over(longest), None),
        Some(Bend::Convex) => (Stop::Flush, Some(if even { faces.0 } else { faces.1 })),
        // The leg that runs through ends behind the other.
        Some(Bend::Concave) if even => (Stop::Over(longest.max(layout.system.least_overlap)), None),
        None | Some(Bend::Concave) => (Stop::Flush, None),
    }
}

/// How far a course begins before its run: into the bank by an amount that shifts the bond, or behind the
/// other leg of an inside corner. [m]
fn run_start(layout: &Layout, corner: Option<Bend>, course: usize, longest: f64) -> f64 {
    match corner {
        None if layout.ends[0] == End::Bank && course % 2 == 1 => longest / 2.0,
        Some(Bend::Concave) if course % 2 == 1 => longest / 2.0,
        _ => 0.0,
    }
}
