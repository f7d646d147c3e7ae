//! What the placing of tags could not mend, counted afresh from the places.
//!
//! - In: requests, their places, the obstacles. Out: each fault with the tags concerned. A pair of
//!   tags counts once for each kind; a tag over several pots counts once; a leader through
//!   several tags counts for each.
//! - Pairs are found through cells; nothing here depends on how the places were chosen.

use super::cells::Seen;
use super::obstacles::Obstacles;
use super::{Request, Spot, touch};
use crate::display::{LabelFault, LabelFaultKind, LabelReport};

/// Counts what remains.
pub fn report(requests: &[Request], spots: &[Option<Spot>], obstacles: &Obstacles) -> LabelReport {
    let faults = faults(spots, obstacles).into_iter().map(|(kind, subject, other)| LabelFault {
        kind,
        subject: requests[subject].subject.clone(),
        other: other.map(|other| requests[other].subject.clone()),
    });
    let mut report = LabelReport { faults: faults.collect(), placed: spots.iter().flatten().count() };
    report.faults.sort();
    report
}

/// Tags that a fault concerns and that could stand elsewhere, and those beside them, which may have to
/// make room; rising.
pub fn troubled(spots: &[Option<Spot>], obstacles: &Obstacles) -> Vec<usize> {
    let mut concerned = vec![false; spots.len()];
    for (kind, subject, other) in faults(spots, obstacles) {
        if kind != LabelFaultKind::NotPlaced {
            concerned[subject] = true;
            if let Some(other) = other {
                concerned[other] = true;
            }
        }
    }
    let mut all = concerned.clone();
    for (i, j) in neighbours(spots, obstacles.cells().count()) {
        all[i] |= concerned[j];
        all[j] |= concerned[i];
    }
    (0..all.len()).filter(|&tag| all[tag]).collect()
}

/// Each fault with the tags concerned, by index.
fn faults(spots: &[Option<Spot>], obstacles: &Obstacles) -> Vec<(LabelFaultKind, usize, Option<usize>)> {
    let mut all = Vec::new();
    let mut fault = |kind, subject, other| all.push((kind, subject, other));
    let mut seen = obstacles.seen();
    for (i, spot) in spots.iter().enumerate() {
        let Some(spot) = spot else {
            fault(LabelFaultKind::NotPlaced, i, None);
            continue;
        };
        let (pot, letters) = obstacles.covered(spot.tag, &mut seen);
        if pot {
            fault(LabelFaultKind::TagOnPot, i, None);
        }
        if letters {
            fault(LabelFaultKind::TagOnText, i, None);
        }
    }
    for (i, j) in neighbours(spots, obstacles.cells().count()) {
        let (Some(a), Some(b)) = (&spots[i], &spots[j]) else { continue };
        if touch::shared_area(a.tag, b.tag) > 0.0 {
            fault(LabelFaultKind::TagOnTag, i, Some(j));
        }
        if touch::leaders_cross(&a.leader, &b.leader) {
            fault(LabelFaultKind::LeadersCross, i, Some(j));
        }
        if touch::leader_through(&a.leader, b.tag) {
            fault(LabelFaultKind::LeaderThroughTag, i, Some(j));
        }
        if touch::leader_through(&b.leader, a.tag) {
            fault(LabelFaultKind::LeaderThroughTag, j, Some(i));
        }
    }
    all
}

/// Pairs of tags that share a cell, each once, the earlier first.
fn neighbours(spots: &[Option<Spot>], cells: usize) -> Vec<(usize, usize)> {
    let mut by_cell: Vec<Vec<u32>> = vec![Vec::new(); cells];
    let mut seen = Seen::of(spots.len());
    let mut pairs = Vec::new();
    for (j, spot) in spots.iter().enumerate() {
        let Some(spot) = spot else { continue };
        seen.forget();
        for cell in &spot.cells {
            let list = &mut by_cell[*cell as usize];
            pairs.extend(list.iter().filter(|i| seen.first_time(**i)).map(|i| (*i as usize, j)));
            list.push(j as u32);
        }
    }
    pairs
}
