//! Every unit of a wall in its place, course by course.
//!
//! - In: the face of the base course as straights, arcs and corners; which courses stand where; a system
//!   of units. Out: each unit with its course, stations, length, cut, colour and pallet; the cut list.
//! - Each stretch of a course is searched by dynamic programming over the course below (`fill.rs`). The
//!   count of cuts is given beside a bound that holds whatever lies below: their difference is the gap.
//!   Seeds come from the content: the same wall is laid the same way, on any machine. The search over
//!   courses does not go back without end: a wall that could be laid may be refused, with what would do.
//! - `check.rs` looks at what is laid without knowing how it was found.
//! - Source of the rules of bond: public installation notes of two makers of units (no joint runs on
//!   through two courses; an overlap of at least a quarter of the unit); corners in alternate lap,
//!   common practice, no source.

mod alignment;
mod check;
mod colours;
mod error;
mod fill;
mod stretches;
mod system;

pub use alignment::{Bend, Segment, face_length};
pub use check::{Bond, check_bond};
pub use error::CoursesError;
pub use system::{Corner, Kind, UnitSystem, radius_of_taper};

use rayon::prelude::*;

use self::alignment::{Run, Track, runs};
use self::fill::{Desk, KINDS, Piece, Stretch, drawn, fill, whole_units_fit};
use self::stretches::{Lay, stretches};
use self::system::check_system;

/// How an end of the wall is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// Flush: every course ends there, with a cut if need be.
    Flush,
    /// Run into the bank: a course may end up to a unit beyond.
    Bank,
}

/// Which courses stand over a stretch of the base; as [`crate::Panel`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stand {
    /// First station along the base. [m]
    pub from: f64,
    /// Last station. [m]
    pub to: f64,
    /// Lowest course, counted from the lowest of the wall, which is 0.
    pub first: usize,
    /// Count of courses.
    pub courses: usize,
}

/// A wall to lay.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// Face of the base course.
    pub segments: Vec<Segment>,
    /// Which courses stand where, in order, without gaps.
    pub stands: Vec<Stand>,
    /// Height of a course; units of this height are laid. [m]
    pub course: f64,
    /// Ends of the wall, as one faces it: left, right.
    pub ends: [End; 2],
    /// Units.
    pub system: UnitSystem,
}

/// A unit in its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// Course, counted from the lowest of the wall, which is 0.
    pub course: u32,
    /// Run between corners, from 0.
    pub run: u32,
    /// Start and end along the face of its own course, from the run's start. [m]
    pub own: [f64; 2],
    /// Start and end as stations of the base course. [m]
    pub base: [f64; 2],
    /// Length of its face. [m]
    pub length: f64,
    /// Index of the kind of unit; the corner unit's is the count of kinds.
    pub kind: usize,
    /// Whether it is cut to that length.
    pub cut: bool,
    /// Whether it lies on the pad.
    pub on_pad: bool,
    /// Index of the colour.
    pub colour: usize,
    /// Pallet of its kind it comes from, from 0.
    pub pallet: usize,
}

/// A piece to cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cut {
    /// Course.
    pub course: u32,
    /// Station of its start along the base. [m]
    pub station: f64,
    /// The kind it is cut from.
    pub kind: usize,
    /// Length to keep. [m]
    pub length: f64,
}

/// A wall laid.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    /// Units, course by course from below, run by run, left to right.
    pub units: Vec<Unit>,
    /// Cuts in the same order.
    pub cuts: Vec<Cut>,
    /// Cuts that no laying can do without, whatever lies below: the bound of the search.
    pub cuts_bound: usize,
    /// Units of each kind, cut ones with the kind they are cut from; the last is corner units.
    pub counts: Vec<usize>,
    /// Rear lips to take off: a unit on the pad lies level only without.
    pub lips_off: usize,
    /// Length of each course's face. [m]
    pub lengths: Vec<f64>,
}

/// Joints of the course below by run, as stations of the base.
type Joints = Vec<Vec<f64>>;

/// Lays walls side by side on the threads there are.
pub fn lay_all(layouts: &[Layout]) -> Vec<Result<Laid, CoursesError>> {
    layouts.par_iter().map(lay).collect()
}

/// Lays a wall.
///
/// # Errors
/// A system of units that cannot be laid in bond, a curve too tight for it, a stretch that no pieces
/// fill; each with the numbers that would do.
pub fn lay(layout: &Layout) -> Result<Laid, CoursesError> {
    let first = attempt(layout, 0);
    if !matches!(first, Err(CoursesError::NoBond { .. })) {
        return first;
    }
    (1..ATTEMPTS).find_map(|number| attempt(layout, number).ok()).map_or(first, Ok)
}

/// Attempts at a wall before it is said not to go: a course may be laid so that none fits on it, and
/// another laying of that course may do.
const ATTEMPTS: u64 = 8;

/// Lays a wall with other small costs and other room beside its corners at each number.
fn attempt(layout: &Layout, number: u64) -> Result<Laid, CoursesError> {
    let kinds = check_system(&layout.system, layout.course)?;
    let runs = runs(&layout.segments)?;
    stretches::check_stands(layout, &runs)?;
    check_radii(layout, &runs)?;
    let top = layout.stands.iter().map(|s| s.first + s.courses).max().unwrap_or(0);
    let seed = content(layout) ^ number.wrapping_mul(0x9E37_79B9_7F4A_7C15);
    let room = 0.02 + 0.04 * (number % 4) as f64;
    let mut laid = Laid {
        units: Vec::new(),
        cuts: Vec::new(),
        cuts_bound: 0,
        counts: vec![0; layout.system.kinds.len() + 1],
        lips_off: 0,
        lengths: vec![0.0; top],
    };
    let mut counts = [0; KINDS];
    let mut desk = Desk::default();
    let mut below: Joints = vec![Vec::new(); runs.len()];
    for course in 0..top {
        let mut joints: Joints = vec![Vec::new(); runs.len()];
        for (index, run) in runs.iter().enumerate() {
            let track = run.track(course as f64 * layout.system.setback)?;
            let mut bound = below[index].clone();
            bound.extend(corner_joints_ahead(layout, run, course + 1, top)?);
            bound.sort_by(f64::total_cmp);
            for to_lay in stretches(layout, run, &track, course) {
                let mut mason =
                    Mason { layout, kinds: &kinds, desk: &mut desk, counts: &mut counts, seed, room };
                mason.lay(&to_lay, index, &track, &bound, &mut joints[index], &mut laid)?;
            }
            joints[index].sort_by(f64::total_cmp);
        }
        below = joints;
    }
    colours::colour(&mut laid.units, &layout.system, seed);
    for unit in &laid.units {
        laid.counts[unit.kind] += 1;
        laid.lips_off += usize::from(unit.on_pad && layout.system.rear_lip);
        laid.lengths[unit.course as usize] += unit.length;
    }
    laid.cuts = laid
        .units
        .iter()
        .filter(|unit| unit.cut)
        .map(|unit| Cut { course: unit.course, station: unit.base[0], kind: unit.kind, length: unit.length })
        .collect();
    Ok(laid)
}

/// Lays the stretches of a wall, one after the other.
struct Mason<'w> {
    layout: &'w Layout,
    /// Indices of the kinds of the right height.
    kinds: &'w [usize],
    desk: &'w mut Desk,
    counts: &'w mut [usize; KINDS],
    seed: u64,
    /// Room beside a corner unit for joints above, over twice the overlap. [m]
    room: f64,
}

impl Mason<'_> {
    fn lay(
        &mut self,
        to_lay: &Lay,
        run: usize,
        track: &Track,
        below: &[f64],
        joints: &mut Vec<f64>,
        laid: &mut Laid,
    ) -> Result<(), CoursesError> {
        let system = &self.layout.system;
        let (first, last) = to_lay.corners;
        let from = to_lay.from + first.unwrap_or(0.0);
        let length = to_lay.to - from - last.unwrap_or(0.0);
        let below: Vec<f64> = below.iter().map(|station| track.coordinate(*station) - from).collect();
        let on_pad: Vec<(f64, f64)> = to_lay.on_pad.iter().map(|(a, b)| (a - from, b - from)).collect();
        let lengths: Vec<f64> = self.kinds.iter().map(|k| system.kinds[*k].length).collect();
        let shares: Vec<f64> = self.kinds.iter().map(|k| system.kinds[*k].share).collect();
        let in_a_row = if lengths.len() > 1 { system.in_a_row } else { 0 };
        let seed =
            self.seed ^ ((to_lay.course as u64) << 40) ^ ((run as u64) << 20) ^ (to_lay.from * 1000.0) as u64;
        let stretch = Stretch {
            length,
            stop: to_lay.stop,
            joint_at_end: last.is_some(),
            // A joint above needs the overlap to both sides, and a finger's breadth to be found in.
            clear: 2.0 * system.least_overlap + self.room,
            corner_at_start: first.is_some(),
            below: &below,
            on_pad: &on_pad,
            lengths: &lengths,
            shares: &shares,
            base: self.kinds.iter().position(|k| *k == system.base).unwrap_or(0),
            overlap: system.least_overlap,
            least_cut: system.least_cut,
            in_a_row,
            seed,
        };
        let corner_stands = first.is_none() || stands(&below, 0.0, system.least_overlap);
        let filled =
            if corner_stands && length >= 0.0 { fill(self.desk, &stretch, self.counts) } else { None };
        let pieces = filled.ok_or_else(|| self.no_bond(to_lay, track, &stretch))?;
        if pieces.iter().any(|piece| piece.cut) && !whole_units_fit(length, &lengths) {
            laid.cuts_bound += 1;
        }
        let corner = |length: f64| Piece { length, kind: usize::MAX, cut: false, on_pad: false };
        let all = first.map(corner).into_iter().chain(pieces).chain(last.map(corner));
        let mut at = to_lay.from;
        for piece in all {
            let own = [at, at + piece.length];
            let base = own.map(|coordinate| track.station(coordinate));
            let kind = self.kinds.get(piece.kind).copied().unwrap_or(system.kinds.len());
            if let Some(count) = self.counts.get_mut(piece.kind).filter(|_| !piece.on_pad && !piece.cut) {
                *count += 1;
            }
            joints.extend(base);
            let (course, run) = (to_lay.course as u32, run as u32);
            let Piece { length, cut, .. } = piece;
            let on_pad = piece.on_pad || to_lay.on_pad.iter().any(|p| p.0 <= at + 1e-6 && at < p.1 - 1e-6);
            laid.units.push(Unit { course, run, own, base, length, kind, cut, on_pad, colour: 0, pallet: 0 });
            at = own[1];
        }
        Ok(())
    }

    /// What would let the stretch be laid: the greatest overlap and the least cut, each by itself.
    fn no_bond(&mut self, to_lay: &Lay, track: &Track, stretch: &Stretch<'_>) -> CoursesError {
        let mut remedies = Vec::new();
        for share in [0.75, 0.5, 0.25, 0.1] {
            let overlap = stretch.overlap * share;
            if fill(self.desk, &Stretch { overlap, ..*stretch }, self.counts).is_some() {
                remedies.push(format!("an overlap of {overlap:.3} m would do"));
                break;
            }
        }
        for share in [0.75, 0.5, 0.25] {
            let least_cut = stretch.least_cut * share;
            if fill(self.desk, &Stretch { least_cut, ..*stretch }, self.counts).is_some() {
                remedies.push(format!("a least cut of {least_cut:.3} m would do"));
                break;
            }
        }
        if remedies.is_empty() {
            remedies.push(format!(
                "add a piece of about {:.3} m, or move a corner or an end by half a unit",
                (2.0 * stretch.overlap).max(stretch.least_cut)
            ));
        }
        CoursesError::NoBond {
            course: to_lay.course + 1,
            from: track.station(to_lay.from),
            to: track.station(to_lay.to),
            shortest: stretch.least_cut,
            overlap: stretch.overlap,
            remedy: remedies.join("; "),
        }
    }
}

/// Joints beside the corner units of the course above, as stations of the base: they are fixed, so that
/// the course below must leave room for them.
fn corner_joints_ahead(
    layout: &Layout,
    run: &Run,
    course: usize,
    top: usize,
) -> Result<Vec<f64>, CoursesError> {
    if course >= top {
        return Ok(Vec::new());
    }
    let track = run.track(course as f64 * layout.system.setback)?;
    let fixed = stretches(layout, run, &track, course).into_iter().flat_map(|lay| {
        let first = lay.corners.0.map(|face| lay.from + face);
        first.into_iter().chain(lay.corners.1.map(|face| lay.to - face))
    });
    Ok(fixed.map(|coordinate| track.station(coordinate)).collect())
}

/// Whether a joint may lie at a place.
fn stands(below: &[f64], at: f64, overlap: f64) -> bool {
    below.iter().all(|joint| (joint - at).abs() >= overlap - 1e-9)
}

fn check_radii(layout: &Layout, runs: &[Run]) -> Result<(), CoursesError> {
    let least = layout.system.least_radius;
    for (from, to, radius, bend) in runs.iter().flat_map(Run::arcs) {
        let here = layout.stands.iter().filter(|stand| stand.from < to - 1e-9 && stand.to > from + 1e-9);
        let top = here.map(|stand| stand.first + stand.courses).max().unwrap_or(1).max(1);
        let setback = layout.system.setback;
        // Convex courses shrink upwards, concave ones are tightest at the base.
        let (course, tightest) = match bend {
            Bend::Convex => (top, radius - (top - 1) as f64 * setback),
            Bend::Concave => (1, radius),
        };
        if tightest < least - 1e-9 {
            let base_needed = least + (radius - tightest);
            let possible = if radius < least || bend == Bend::Concave {
                0
            } else if setback > 0.0 {
                ((radius - least) / setback + 1e-9) as usize + 1
            } else {
                top
            };
            return Err(CoursesError::TooTight {
                station: from,
                course,
                radius: tightest,
                least,
                base_needed,
                courses_possible: possible,
            });
        }
    }
    Ok(())
}

/// A number that stands for the content of a layout.
fn content(layout: &Layout) -> u64 {
    let mut state = 0x5EED_u64;
    let mut mix = |value: f64| state = (drawn(state, value.to_bits(), 0) * (1_u64 << 53) as f64) as u64;
    for segment in &layout.segments {
        match *segment {
            Segment::Straight { length } => mix(length),
            Segment::Arc { radius, sweep, bend } => {
                mix(radius);
                mix(if bend == Bend::Convex { sweep } else { -sweep });
            }
            Segment::Corner { turn, bend } => {
                mix(if bend == Bend::Convex { 10.0 + turn } else { -10.0 - turn });
            }
        }
    }
    for stand in &layout.stands {
        mix(stand.from);
        mix(stand.to);
        mix((stand.first * 1000 + stand.courses) as f64);
    }
    for kind in &layout.system.kinds {
        mix(kind.length);
        mix(kind.share);
    }
    state
}
