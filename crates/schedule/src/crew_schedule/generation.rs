//! Schedule generation: a list of activities becomes starts.
//!
//! - Serial scheme: each activity of the list, one after another, as early as links and crews allow.
//! - Parallel scheme: period by period, of all that could start the one that stands first in the list.
//! - Source: Kelley 1963 (serial), Bedworth and Bailey 1982 (parallel), as described by Kolisch,
//!   "Serial and parallel resource-constrained project scheduling methods revisited", 1996.

use super::problem::Layout;

/// Use of resources by period, kept between schedules so that nothing is allocated anew.
#[derive(Debug, Default)]
pub(crate) struct Profile {
    used: Vec<i32>,
    /// Periods that may hold something.
    dirty: usize,
}

impl Profile {
    fn clear(&mut self, layout: &Layout) {
        let all = layout.m * (layout.horizon() + 1);
        self.used.truncate(all);
        let dirty = (self.dirty * layout.m).min(self.used.len());
        self.used[..dirty].fill(0);
        self.used.resize(all, 0);
        self.dirty = 0;
    }

    /// First period from which the activity fits over its whole length, not before `from`.
    fn first_fit(&self, layout: &Layout, i: usize, from: usize) -> usize {
        let (m, length, needs) = (layout.m, layout.durations[i] as usize, layout.needs(i));
        let mut start = from;
        let mut at = from;
        while at < start + length {
            if at >= self.dirty {
                return start;
            }
            let row = &self.used[at * m..(at + 1) * m];
            if row.iter().zip(needs).zip(&layout.capacity).any(|((used, need), most)| used + need > *most) {
                start = at + 1;
            }
            at += 1;
        }
        start
    }

    fn take(&mut self, layout: &Layout, i: usize, start: usize) {
        let end = start + layout.durations[i] as usize;
        for row in self.used[start * layout.m..end * layout.m].chunks_exact_mut(layout.m.max(1)) {
            for (used, need) in row.iter_mut().zip(layout.needs(i)) {
                *used += need;
            }
        }
        self.dirty = self.dirty.max(end);
    }
}

/// Starts by the serial scheme.
///
/// `list`: all activities, each after those it waits for.
pub(crate) fn serial(layout: &Layout, list: &[usize], profile: &mut Profile, starts: &mut Vec<i32>) {
    profile.clear(layout);
    starts.clear();
    starts.resize(layout.n, 0);
    for &i in list {
        let from = layout.into[i].iter().map(|&(before, wait)| starts[before] + wait).max().unwrap_or(0);
        let start = profile.first_fit(layout, i, from.max(0) as usize);
        profile.take(layout, i, start);
        // Layouts are far shorter than the largest start that is held.
        starts[i] = i32::try_from(start).unwrap_or(i32::MAX);
    }
}

/// Starts by the parallel scheme.
///
/// `list`: all activities; those further ahead go first where several could start.
pub(crate) fn parallel(layout: &Layout, list: &[usize], profile: &mut Profile, starts: &mut Vec<i32>) {
    profile.clear(layout);
    starts.clear();
    starts.resize(layout.n, 0);
    let mut waits: Vec<usize> = layout.into.iter().map(Vec::len).collect();
    let mut place = vec![0; layout.n];
    for (k, &i) in list.iter().enumerate() {
        place[i] = k;
    }
    // Activities whose predecessors all have a start, by place in the list.
    let mut open: Vec<usize> = (0..layout.n).filter(|&i| waits[i] == 0).collect();
    let mut now = 0;
    while !open.is_empty() {
        open.sort_unstable_by_key(|&i| place[i]);
        let earliest = |i: usize, starts: &[i32]| {
            layout.into[i].iter().map(|&(before, wait)| starts[before] + wait).max().unwrap_or(0).max(0)
        };
        let next = open.iter().position(|&i| {
            earliest(i, starts) <= now && profile.first_fit(layout, i, now as usize) == now as usize
        });
        let Some(k) = next else {
            now += 1;
            continue;
        };
        let i = open.remove(k);
        profile.take(layout, i, now as usize);
        starts[i] = now;
        for &(later, _) in &layout.out[i] {
            waits[later] -= 1;
            if waits[later] == 0 {
                open.push(later);
            }
        }
    }
}

/// Activities by start, each after those it waits for also where links allow an overlap.
pub(crate) fn list_by_start(layout: &Layout, starts: &[i32], keys: &mut Vec<i32>, list: &mut Vec<usize>) {
    keys.clear();
    keys.extend_from_slice(starts);
    for &i in &layout.order {
        for &(later, _) in &layout.out[i] {
            keys[later] = keys[later].max(keys[i]);
        }
    }
    list.clear();
    list.extend_from_slice(&layout.order);
    list.sort_by_key(|&i| keys[i]);
}
