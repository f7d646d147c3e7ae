//! Whether a wall is laid in bond, looked at without knowing how it was laid.
//!
//! - In: a layout and its units. Out: the least overlap found, the units that break a rule, how far the
//!   blend is off, what repeats.
//! - Every joint is compared with every joint of the course below that lies near it, along the face of
//!   the upper course.

use super::alignment::runs;
use super::error::CoursesError;
use super::{Laid, Layout};

/// What a look at the bond finds.
#[derive(Debug, Clone, PartialEq)]
pub struct Bond {
    /// Least distance of joints in neighbouring courses; without end when no two courses meet. [m]
    pub least_overlap: f64,
    /// Units whose end lies too near a joint below, by index.
    pub stacked: Vec<usize>,
    /// Gaps and overlaps between neighbours in a course, by the index of the second.
    pub gaps: Vec<usize>,
    /// Pieces shorter than the least cut.
    pub short: Vec<usize>,
    /// Whole units of each kind above the pad, as shares of them all.
    pub shares: Vec<f64>,
    /// Greatest difference of a share from the one wanted.
    pub blend_off: f64,
    /// Most units of one kind in a row above the pad.
    pub in_a_row: usize,
    /// Longest stretch, in units, over which kinds repeat with a period of two to four.
    pub repeats: usize,
}

/// Looks at the bond of a wall.
///
/// # Errors
/// As [`super::lay`], for an alignment that makes no runs.
pub fn check_bond(layout: &Layout, laid: &Laid) -> Result<Bond, CoursesError> {
    let runs = runs(&layout.segments)?;
    let units = &laid.units;
    let system = &layout.system;
    let mut bond = Bond {
        least_overlap: f64::INFINITY,
        stacked: Vec::new(),
        gaps: Vec::new(),
        short: Vec::new(),
        shares: vec![0.0; system.kinds.len()],
        blend_off: 0.0,
        in_a_row: 0,
        repeats: 0,
    };
    let rows: Vec<std::ops::Range<usize>> = rows(laid);
    for row in &rows {
        let head = &units[row.start];
        let track = runs[head.run as usize].track(f64::from(head.course) * system.setback)?;
        let under =
            rows.iter().find(|r| units[r.start].run == head.run && units[r.start].course + 1 == head.course);
        let mut below: Vec<f64> = under.map_or_else(Vec::new, |r| {
            units[r.clone()]
                .iter()
                .flat_map(|unit| unit.base)
                .map(|station| track.coordinate(station))
                .collect()
        });
        below.sort_by(f64::total_cmp);
        for i in row.clone() {
            let unit = &units[i];
            let follows = i > row.start && (units[i - 1].own[1] - unit.own[0]).abs() < 0.3;
            if follows && (units[i - 1].own[1] - unit.own[0]).abs() > 1e-6 {
                bond.gaps.push(i);
            }
            if unit.length < system.least_cut - 1e-6 {
                bond.short.push(i);
            }
            // Joints between units count; the flush end of a wall is none.
            let is_joint = units
                .get(i + 1)
                .is_some_and(|next| i + 1 < row.end && (next.own[0] - unit.own[1]).abs() < 1e-6);
            if is_joint {
                let near = below.partition_point(|joint| *joint < unit.own[1]);
                let around = [near.checked_sub(1).and_then(|n| below.get(n)), below.get(near)];
                for joint in around.into_iter().flatten() {
                    let distance = (joint - unit.own[1]).abs();
                    bond.least_overlap = bond.least_overlap.min(distance);
                    if distance < system.least_overlap - 1e-6 {
                        bond.stacked.push(i);
                    }
                }
            }
        }
        // A cut piece is like no other: it breaks a row.
        let seen = units[row.clone()].iter().enumerate().filter(|(_, unit)| !unit.on_pad);
        patterns(&mut bond, seen.map(|(i, unit)| if unit.cut { usize::MAX - i } else { unit.kind }));
    }
    blend(&mut bond, layout, laid);
    Ok(bond)
}

/// Ranges of units of one course and run.
fn rows(laid: &Laid) -> Vec<std::ops::Range<usize>> {
    let mut rows: Vec<std::ops::Range<usize>> = Vec::new();
    for (i, unit) in laid.units.iter().enumerate() {
        match rows.last_mut() {
            Some(row)
                if laid.units[row.start].course == unit.course && laid.units[row.start].run == unit.run =>
            {
                row.end = i + 1;
            }
            _ => rows.push(i..i + 1),
        }
    }
    rows
}

fn patterns(bond: &mut Bond, kinds: impl Iterator<Item = usize>) {
    let kinds: Vec<usize> = kinds.collect();
    for period in 1..=4 {
        let mut alike = 0;
        for i in period..kinds.len() {
            alike = if kinds[i] == kinds[i - period] { alike + 1 } else { 0 };
            if period == 1 {
                bond.in_a_row = bond.in_a_row.max(alike + 1);
            } else if alike > 0 {
                bond.repeats = bond.repeats.max(alike + period);
            }
        }
    }
    bond.in_a_row = bond.in_a_row.max(usize::from(!kinds.is_empty()));
}

fn blend(bond: &mut Bond, layout: &Layout, laid: &Laid) {
    let kinds = &layout.system.kinds;
    let mut counts = vec![0.0; kinds.len()];
    for unit in laid.units.iter().filter(|unit| !unit.on_pad && !unit.cut) {
        if let Some(count) = counts.get_mut(unit.kind) {
            *count += 1.0;
        }
    }
    let all: f64 = counts.iter().sum();
    if all > 0.0 {
        bond.shares = counts.iter().map(|count| count / all).collect();
        let wanted =
            kinds.iter().map(|k| if (k.height - layout.course).abs() < 1e-6 { k.share } else { 0.0 });
        bond.blend_off = bond.shares.iter().zip(wanted).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    }
}
