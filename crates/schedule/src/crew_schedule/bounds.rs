//! Lower bounds: no schedule is shorter, whatever the order.
//!
//! - Links alone: the critical path.
//! - Energy: for a pair of a head and a tail, all activities of a resource with at least that head and
//!   that tail have to pass through its capacity between them. Source: the relaxation of Jackson's
//!   preemptive schedule for cumulative resources, Carlier and Pinson 2004, in its simplest form.

use super::problem::Layout;

/// A bound and how it was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Bound {
    pub periods: i32,
    pub from: &'static str,
}

pub(crate) fn lower_bound(layout: &Layout) -> Bound {
    let path = (0..layout.n).map(|i| layout.heads[i] + layout.tails[i]).max().unwrap_or(0);
    let energy = (0..layout.m).map(|r| energy(layout, r)).max().unwrap_or(0);
    if energy > path {
        Bound { periods: energy, from: "work of a crew over its number" }
    } else {
        Bound { periods: path, from: "critical path" }
    }
}

/// Best bound of one resource over all pairs of head and tail.
fn energy(layout: &Layout, r: usize) -> i32 {
    let need = |i: usize| i64::from(layout.demand[i * layout.m + r]) * i64::from(layout.durations[i]);
    let after = |i: usize| layout.tails[i] - layout.durations[i];
    let mut users: Vec<usize> = (0..layout.n).filter(|&i| need(i) > 0).collect();
    users.sort_by_key(|&i| -after(i));
    let mut heads: Vec<i32> = users.iter().map(|&i| layout.heads[i]).collect();
    heads.sort_unstable();
    heads.dedup();
    // The full square of pairs is for sizes at which it is quick; else the earliest head alone.
    if users.len() > 400 {
        heads.truncate(1);
    }
    let capacity = i64::from(layout.capacity[r]).max(1);
    let mut best = 0;
    for head in heads {
        let mut work = 0;
        for &i in users.iter().filter(|&&i| layout.heads[i] >= head) {
            work += need(i);
            let through = (work + capacity - 1) / capacity;
            best = best.max(i64::from(head) + through + i64::from(after(i)));
        }
    }
    best as i32
}
