//! A level base that steps with the ground in whole courses.
//!
//! - In: levels of the ground in front and of the wanted top by stations along the wall; height of a
//!   course, length of a unit. Out: panels of one base and one top each, with courses, levels, areas.
//! - Every course of the wall lies on one set of levels, a whole number of courses apart, so that
//!   courses run on through steps. Steps land on unit joints, and always towards more courses.
//! - Assumes straight lines between the stations given.
//! - Not here: which unit lies where (`courses/`), amounts (`quantities.rs`, `study/takeoff.rs`).

use crate::embedment::embedment;
use crate::positive::{NotUsable, above_zero, not_below_zero, within};

/// Levels at a station along the wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Levels {
    /// Station along the base course. [m]
    pub station: f64,
    /// Level of the finished ground in front. [m]
    pub foot: f64,
    /// Wanted level of the top of the units. [m]
    pub top: f64,
}

/// What the steps go by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stepping {
    /// Height of a course. [m]
    pub course: f64,
    /// Length of a unit of the base. [m]
    pub unit: f64,
    /// Least embedment everywhere, besides the rule of the exposed height. [m]
    pub least_embedment: f64,
    /// Fall of the ground in front, fall over run.
    pub fall: f64,
    /// Thickness of the pad. [m]
    pub pad: f64,
}

/// A stretch of wall with one base and one top.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Panel {
    /// First station. [m]
    pub from: f64,
    /// Last station. [m]
    pub to: f64,
    /// Lowest course, counted from the lowest of the wall, which is 0.
    pub first: usize,
    /// Count of courses.
    pub courses: usize,
    /// Level of the underside of the units. [m]
    pub base: f64,
    /// Level of the underside of the pad. [m]
    pub pad_base: f64,
    /// Level of the top of the units. [m]
    pub top: f64,
    /// Least embedment in it. [m]
    pub embedment: f64,
    /// Greatest exposed height in it. [m]
    pub exposed: f64,
}

/// A wall in panels.
#[derive(Debug, Clone, PartialEq)]
pub struct SteppedBase {
    /// Courses of each column of one unit's length, in order.
    pub columns: Vec<usize>,
    /// Panels in order.
    pub panels: Vec<Panel>,
    /// Length. [m]
    pub length: f64,
    /// Face with its buried part. [m²]
    pub face: f64,
    /// Face above the ground in front, up to the wanted top. [m²]
    pub exposed_face: f64,
    /// Units of the base's length that the face needs, a started one at the end as one.
    pub unit_equivalents: usize,
}

/// Why a base has no answer.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum BaseError {
    /// A number that cannot be used.
    #[error(transparent)]
    NotUsable(#[from] NotUsable),
    /// Stations that do not go on.
    #[error("station {station} m follows {before} m; expected at least two stations that go up")]
    Stations {
        /// The station. [m]
        station: f64,
        /// The one before. [m]
        before: f64,
    },
    /// A top below the ground in front.
    #[error(
        "at station {station:.3} m the top {top:.3} m is not above the ground in front {foot:.3} m; end the wall before it"
    )]
    TopBelowFoot {
        /// The station. [m]
        station: f64,
        /// Wanted top. [m]
        top: f64,
        /// Ground in front. [m]
        foot: f64,
    },
}

/// More courses than any wall of dry units has.
const MOST_COURSES: usize = 200;

/// Steps a base along a wall.
///
/// The set of levels hangs from the highest wanted top. In each column of one unit's length the base lies
/// low enough for the greatest embedment asked for in it, and the top reaches the highest wanted top in it.
///
/// # Errors
/// Fewer than two stations, stations that do not go up, a top not above the ground, sizes not above zero.
pub fn step_base(levels: &[Levels], stepping: &Stepping) -> Result<SteppedBase, BaseError> {
    check(levels, stepping)?;
    let (Some(first), Some(last)) = (levels.first(), levels.last()) else {
        return Err(BaseError::Stations { station: f64::NAN, before: f64::NAN });
    };
    let length = last.station - first.station;
    let datum = levels.iter().map(|l| l.top).fold(f64::NEG_INFINITY, f64::max);
    // A billionth of a course is rounding, not a course.
    let down = |level: f64| ((datum - level) / stepping.course - 1e-9).ceil().max(0.0) as usize;
    let up = |level: f64| ((datum - level) / stepping.course + 1e-9).floor().max(0.0) as usize;
    let mut columns = Vec::new();
    let count = (length / stepping.unit - 1e-9).ceil().max(1.0) as usize;
    for i in 0..count {
        let from = first.station + i as f64 * stepping.unit;
        let to = (from + stepping.unit).min(last.station);
        let (mut bottom, mut top) = (f64::INFINITY, f64::NEG_INFINITY);
        for at in stretch(levels, from, to) {
            let depth = embedment(at.top - at.foot, stepping.fall)?.depth.max(stepping.least_embedment);
            bottom = bottom.min(at.foot - depth);
            top = top.max(at.top);
        }
        let (bottom, top) = (down(bottom), up(top));
        let courses = bottom - top.min(bottom);
        let good = (1..=MOST_COURSES).contains(&courses);
        within("the count of courses", courses as f64, "", good, "a count from 1 to 200")?;
        columns.push((from, to, bottom, top));
    }
    let deepest = columns.iter().map(|c| c.2).max().unwrap_or(0);
    let mut panels: Vec<Panel> = Vec::new();
    for &(from, to, bottom, top) in &columns {
        let (first, courses) = (deepest - bottom, bottom - top);
        match panels.last_mut() {
            Some(last) if last.first == first && last.courses == courses => last.to = to,
            _ => panels.push(Panel {
                from,
                to,
                first,
                courses,
                base: datum - bottom as f64 * stepping.course,
                pad_base: datum - bottom as f64 * stepping.course - stepping.pad,
                top: datum - top as f64 * stepping.course,
                embedment: 0.0,
                exposed: 0.0,
            }),
        }
    }
    for panel in &mut panels {
        let feet = stretch(levels, panel.from, panel.to);
        let lowest = feet.iter().map(|l| l.foot).fold(f64::INFINITY, f64::min);
        panel.embedment = lowest - panel.base;
        panel.exposed = panel.top - lowest;
    }
    let face = panels.iter().map(|p| (p.to - p.from) * p.courses as f64 * stepping.course).sum();
    let exposed_face = levels
        .windows(2)
        .map(|w| (w[1].station - w[0].station) * (w[0].top - w[0].foot + w[1].top - w[1].foot) / 2.0)
        .sum();
    let columns: Vec<usize> = columns.iter().map(|c| c.2 - c.3).collect();
    let unit_equivalents = columns.iter().sum();
    Ok(SteppedBase { columns, panels, length, face, exposed_face, unit_equivalents })
}

/// Levels at both ends of a stretch and at every station within it.
fn stretch(levels: &[Levels], from: f64, to: f64) -> Vec<Levels> {
    let mut found = vec![at(levels, from), at(levels, to)];
    found.extend(levels.iter().filter(|l| l.station > from && l.station < to));
    found
}

fn at(levels: &[Levels], station: f64) -> Levels {
    let next =
        levels.partition_point(|l| l.station < station).clamp(1, levels.len().saturating_sub(1).max(1));
    match (levels.get(next - 1), levels.get(next)) {
        (Some(a), Some(b)) => {
            let t = ((station - a.station) / (b.station - a.station)).clamp(0.0, 1.0);
            Levels { station, foot: a.foot + t * (b.foot - a.foot), top: a.top + t * (b.top - a.top) }
        }
        (Some(only), None) => Levels { station, ..*only },
        _ => Levels { station, foot: 0.0, top: 0.0 },
    }
}

fn check(levels: &[Levels], stepping: &Stepping) -> Result<(), BaseError> {
    above_zero("the height of a course", stepping.course, "m")?;
    above_zero("the length of a unit", stepping.unit, "m")?;
    not_below_zero("the least embedment", stepping.least_embedment, "m")?;
    not_below_zero("the thickness of the pad", stepping.pad, "m")?;
    let mut before = f64::NAN;
    for l in levels {
        let finite = l.station.is_finite() && l.foot.is_finite() && l.top.is_finite();
        within("a level", l.foot + l.top + l.station, "m", finite, "finite stations and levels")?;
        if l.station <= before {
            return Err(BaseError::Stations { station: l.station, before });
        }
        if l.top <= l.foot {
            return Err(BaseError::TopBelowFoot { station: l.station, top: l.top, foot: l.foot });
        }
        before = l.station;
    }
    if levels.len() < 2 {
        return Err(BaseError::Stations { station: before, before });
    }
    let length = (before - levels[0].station) / stepping.unit;
    within("the wall's length in units", length, "", length < 1e6, "fewer than a million")?;
    Ok(())
}
