//! Improvement: schedules bred from lists, each pushed back and forth.
//!
//! - In: a layout, how many schedules may be made, a makespan below which none can be. Out: starts.
//! - Method: forward-backward improvement (Tormos and Lova 2001) within a genetic search over
//!   activity lists with two-point crossover (Hartmann 1998; Valls, Ballestín and Quintanilla 2008).
//! - Deterministic: random numbers from the content, effort in schedules.

use super::generation::{Profile, list_by_start, parallel, serial};
use super::priority::{RULES, keys, list_by_keys, sampled};
use super::problem::Layout;
use crate::random::Random;

/// A list and what it gives.
#[derive(Debug, Clone)]
struct Member {
    list: Vec<usize>,
    starts: Vec<i32>,
    makespan: i32,
}

/// What was found, and after how many schedules.
#[derive(Debug)]
pub(crate) struct Improved {
    pub starts: Vec<i32>,
    pub makespan: i32,
    pub schedules: u64,
}

struct Search<'a> {
    layout: &'a Layout,
    mirror: Layout,
    profile: Profile,
    keys: Vec<i32>,
    schedules: u64,
}

impl Search<'_> {
    /// Schedules a list, then pushes everything late and early again until that gains nothing.
    fn make(&mut self, list: Vec<usize>, parallel_first: bool) -> Member {
        let (mut list, mut starts) = (list, Vec::new());
        let scheme = if parallel_first { parallel } else { serial };
        scheme(self.layout, &list, &mut self.profile, &mut starts);
        self.schedules += 1;
        let mut makespan = self.layout.makespan(&starts);
        let mut late = Vec::new();
        loop {
            let mirrored: Vec<i32> =
                (0..self.layout.n).map(|i| makespan - starts[i] - self.layout.durations[i]).collect();
            list_by_start(&self.mirror, &mirrored, &mut self.keys, &mut list);
            serial(&self.mirror, &list, &mut self.profile, &mut late);
            let span = self.mirror.makespan(&late);
            let back: Vec<i32> =
                (0..self.layout.n).map(|i| span - late[i] - self.layout.durations[i]).collect();
            list_by_start(self.layout, &back, &mut self.keys, &mut list);
            serial(self.layout, &list, &mut self.profile, &mut starts);
            self.schedules += 2;
            let found = self.layout.makespan(&starts);
            if found >= makespan {
                makespan = found;
                break;
            }
            makespan = found;
        }
        list_by_start(self.layout, &starts, &mut self.keys, &mut list);
        Member { list, starts, makespan }
    }
}

/// Starts of a short schedule.
///
/// # Arguments
/// - `most`: schedules to make, about; at least one to each rule is made.
/// - `bound`: no schedule is shorter; the search ends when one is as short.
pub(crate) fn improve(layout: &Layout, most: u64, bound: i32) -> Improved {
    let mut random = Random::new(layout.seed());
    let mirror = layout.mirrored();
    let mut search = Search { layout, mirror, profile: Profile::default(), keys: Vec::new(), schedules: 0 };
    let mut crowd = first_crowd(&mut search, &mut random, most, bound);
    crowd.sort_by_key(|member| member.makespan);
    let size = crowd.len();
    let mut best = crowd[0].clone();
    let mut since_better = 0;
    while best.makespan > bound && search.schedules < most && layout.n > 1 {
        let (mother, father) = (pick(&crowd, &mut random), pick(&crowd, &mut random));
        let mut child = crossed(layout, &crowd[mother].list, &crowd[father].list, &mut random);
        mutate(layout, &mut child, &mut random);
        let child = search.make(child, false);
        since_better += 1;
        if child.makespan < best.makespan {
            best = child.clone();
            since_better = 0;
        }
        let worst = (0..size).max_by_key(|&k| crowd[k].makespan).unwrap_or(0);
        let twin = crowd.iter().any(|member| member.starts == child.starts);
        if child.makespan <= crowd[worst].makespan && !twin {
            crowd[worst] = child;
        }
        // A crowd of cousins finds nothing new.
        if since_better > 40 * size {
            let rule = keys(layout, RULES[random.below(RULES.len())]);
            for member in crowd.iter_mut().skip(1) {
                *member = search.make(sampled(layout, &rule, &mut random), false);
                if member.makespan < best.makespan {
                    best = member.clone();
                }
                if search.schedules >= most {
                    break;
                }
            }
            since_better = 0;
        }
    }
    Improved { starts: best.starts, makespan: best.makespan, schedules: search.schedules }
}

fn first_crowd(search: &mut Search<'_>, random: &mut Random, most: u64, bound: i32) -> Vec<Member> {
    let mut crowd: Vec<Member> = Vec::new();
    let enough =
        |crowd: &[Member], made: u64| made >= most || crowd.iter().any(|member| member.makespan <= bound);
    for rule in RULES {
        for parallel_first in [false, true] {
            let list = list_by_keys(search.layout, &keys(search.layout, rule));
            let member = search.make(list, parallel_first);
            crowd.push(member);
            if enough(&crowd, search.schedules) {
                return crowd;
            }
        }
    }
    let by_finish = keys(search.layout, RULES[0]);
    while crowd.len() < 40 && !enough(&crowd, search.schedules) {
        let list = sampled(search.layout, &by_finish, random);
        let parallel_first = random.below(2) == 0;
        crowd.push(search.make(list, parallel_first));
    }
    crowd
}

/// The better of two drawn at random.
fn pick(crowd: &[Member], random: &mut Random) -> usize {
    let (a, b) = (random.below(crowd.len()), random.below(crowd.len()));
    if crowd[b].makespan < crowd[a].makespan { b } else { a }
}

/// Head and end of the one list in its order, what lies between in the order of the other. Both keep
/// to the links, and so does the mixture.
fn crossed(layout: &Layout, mother: &[usize], father: &[usize], random: &mut Random) -> Vec<usize> {
    let (a, b) = (random.below(layout.n + 1), random.below(layout.n + 1));
    let (from, to) = (a.min(b), a.max(b));
    let mut outside = vec![true; layout.n];
    for &i in &mother[from..to] {
        outside[i] = false;
    }
    let between = father.iter().copied().filter(|&i| !outside[i]);
    mother[..from].iter().copied().chain(between).chain(mother[to..].iter().copied()).collect()
}

/// Swaps neighbours here and there where no link forbids it.
fn mutate(layout: &Layout, list: &mut [usize], random: &mut Random) {
    for k in 1..list.len() {
        if random.share() < 0.05 && !layout.out[list[k - 1]].iter().any(|&(later, _)| later == list[k]) {
            list.swap(k - 1, k);
        }
    }
}
