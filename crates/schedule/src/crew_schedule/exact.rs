//! Exact search: branch and bound over what starts at each finish.
//!
//! - In: a layout of at most 128 activities with plain links, a schedule to beat, steps to take.
//! - Out: the best schedule found and whether the search was complete.
//! - Method: extension alternatives (Stinson, Davis and Khumawala 1978) in depth-first order, the
//!   cutset dominance rule of Demeulemeester and Herroelen 1992, critical path and energy bounds.
//! - In some shortest schedule every activity starts at 0 or when another finishes, so that only
//!   those instants are tried. Activities that hold nothing start as soon as they may.
//! - A stored state dominates another with the same activities started, when it is no later and
//!   nothing that still runs in it ends later. Only states whose turn came before are stored, and of
//!   two that dominate one another the first is searched, so that one shortest schedule survives.

use std::collections::HashMap;

use super::problem::Layout;

/// The most activities that the sets of the search hold.
pub(crate) const MOST_ACTIVITIES: usize = 128;
/// States kept for the dominance rule.
const MOST_STORED: usize = 2_000_000;

/// What the search found.
#[derive(Debug)]
pub(crate) struct Exact {
    pub starts: Vec<i32>,
    pub makespan: i32,
    pub complete: bool,
    pub steps: u64,
}

/// A state met before: its time, and what runs in it with its finish.
#[derive(Debug)]
struct Stored {
    now: i32,
    running: Box<[(u8, i32)]>,
}

struct Search<'a> {
    layout: &'a Layout,
    /// Per resource, its users by the time that must follow them, longest first.
    by_tail: Vec<Vec<usize>>,
    before: Vec<u128>,
    met: HashMap<u128, Vec<Stored>>,
    stored: usize,
    best: Vec<i32>,
    makespan: i32,
    bound: i32,
    steps: u64,
    most: u64,
    starts: Vec<i32>,
}

/// A node: an instant at which something may start.
#[derive(Clone)]
struct Node {
    now: i32,
    started: u128,
    finished: u128,
    running: Vec<(u8, i32)>,
    free: Vec<i32>,
}

/// Looks for schedules shorter than the one given.
pub(crate) fn search(layout: &Layout, starts: &[i32], bound: i32, most: u64) -> Option<Exact> {
    if !layout.plain || layout.n > MOST_ACTIVITIES || layout.n == 0 {
        return None;
    }
    let by_tail = (0..layout.m)
        .map(|r| {
            let mut users: Vec<usize> =
                (0..layout.n).filter(|&i| layout.demand[i * layout.m + r] > 0).collect();
            users.sort_by_key(|&i| layout.durations[i] - layout.tails[i]);
            users
        })
        .collect();
    let before =
        layout.into.iter().map(|into| into.iter().fold(0, |set, &(i, _)| set | 1_u128 << i)).collect();
    let mut search = Search {
        layout,
        by_tail,
        before,
        met: HashMap::new(),
        stored: 0,
        best: starts.to_vec(),
        makespan: layout.makespan(starts),
        bound,
        steps: 0,
        most,
        starts: vec![0; layout.n],
    };
    let root = Node { now: 0, started: 0, finished: 0, running: Vec::new(), free: layout.capacity.clone() };
    search.visit(root, true);
    let complete = search.steps < most || search.makespan <= bound;
    Some(Exact { starts: search.best, makespan: search.makespan, complete, steps: search.steps })
}

impl Search<'_> {
    fn over(&self) -> bool {
        self.steps >= self.most || self.makespan <= self.bound
    }

    /// `fresh`: something has started since the last instant, so that the state is a new one.
    fn visit(&mut self, mut node: Node, fresh: bool) {
        if self.over() {
            return;
        }
        self.steps += 1;
        let open = self.open(&mut node);
        if node.started.count_ones() as usize == self.layout.n {
            let finish =
                node.running.iter().map(|&(_, finish)| finish).max().unwrap_or(node.now).max(node.now);
            if finish < self.makespan {
                self.makespan = finish;
                self.best.clone_from(&self.starts);
            }
            return;
        }
        if self.bound_of(&node, &open) >= self.makespan || (fresh && self.dominated(&node)) {
            return;
        }
        self.choose(&node, &open, 0, &mut Vec::new());
    }

    /// Starts what holds nothing, and lists what may start now, longest way to the end first.
    fn open(&mut self, node: &mut Node) -> Vec<usize> {
        let layout = self.layout;
        let mut open = Vec::new();
        // In order, so that a milestone after a milestone starts in the same pass.
        for &i in &layout.order {
            let bit = 1_u128 << i;
            if node.started & bit != 0 || self.before[i] & !node.finished != 0 {
                continue;
            }
            if layout.durations[i] == 0 {
                node.started |= bit;
                node.finished |= bit;
                self.starts[i] = node.now;
            } else if layout.needs(i).iter().all(|&need| need == 0) {
                node.started |= bit;
                node.running.push((i as u8, node.now + layout.durations[i]));
                self.starts[i] = node.now;
            } else {
                open.push(i);
            }
        }
        open.sort_by_key(|&i| (-layout.tails[i], i));
        open
    }

    /// No schedule from here is shorter.
    fn bound_of(&self, node: &Node, open: &[usize]) -> i32 {
        let layout = self.layout;
        let after = |i: usize| layout.tails[i] - layout.durations[i];
        let running = node.running.iter().map(|&(i, finish)| finish + after(usize::from(i)));
        let path = running.chain(open.iter().map(|&i| node.now + layout.tails[i])).max().unwrap_or(node.now);
        let mut bound = path;
        for (r, users) in self.by_tail.iter().enumerate() {
            let capacity = i64::from(layout.capacity[r].max(1));
            let mut work = 0_i64;
            for &i in users {
                let bit = 1_u128 << i;
                if node.finished & bit != 0 {
                    continue;
                }
                let length = if node.started & bit == 0 {
                    layout.durations[i]
                } else {
                    self.starts[i] + layout.durations[i] - node.now
                };
                work += i64::from(layout.demand[i * layout.m + r]) * i64::from(length);
                let through = (work + capacity - 1) / capacity;
                bound = bound.max(node.now + through as i32 + after(i));
            }
        }
        bound
    }

    /// Whether a state met before is as good; if not, this one is stored.
    fn dominated(&mut self, node: &Node) -> bool {
        let met = self.met.entry(node.started).or_default();
        for stored in met.iter() {
            let no_later = stored.now <= node.now
                && stored.running.iter().all(|&(i, finish)| {
                    finish <= node.now || node.running.iter().any(|&(j, other)| j == i && finish <= other)
                });
            if no_later {
                return true;
            }
        }
        if self.stored < MOST_STORED {
            met.push(Stored { now: node.now, running: node.running.as_slice().into() });
            self.stored += 1;
        }
        false
    }

    /// Tries every set of open activities that fits, those with more of the urgent ones first.
    fn choose(&mut self, node: &Node, open: &[usize], k: usize, chosen: &mut Vec<usize>) {
        if self.over() {
            return;
        }
        let Some(&i) = open.get(k) else {
            self.advance(node, chosen);
            return;
        };
        let layout = self.layout;
        let fits = (0..layout.m).all(|r| {
            let taken: i32 = chosen.iter().map(|&c| layout.demand[c * layout.m + r]).sum();
            taken + layout.demand[i * layout.m + r] <= node.free[r]
        });
        if fits {
            chosen.push(i);
            self.choose(node, open, k + 1, chosen);
            chosen.pop();
        }
        self.choose(node, open, k + 1, chosen);
    }

    /// Starts the chosen and goes on to the next finish.
    fn advance(&mut self, node: &Node, chosen: &[usize]) {
        let layout = self.layout;
        let mut next = node.clone();
        for &i in chosen {
            next.started |= 1_u128 << i;
            next.running.push((i as u8, node.now + layout.durations[i]));
            self.starts[i] = node.now;
            for (free, need) in next.free.iter_mut().zip(layout.needs(i)) {
                *free -= need;
            }
        }
        let Some(now) = next.running.iter().map(|&(_, finish)| finish).min() else { return };
        next.now = now;
        let (free, finished) = (&mut next.free, &mut next.finished);
        next.running.retain(|&(i, finish)| {
            if finish > now {
                return true;
            }
            *finished |= 1_u128 << i;
            for (free, need) in free.iter_mut().zip(layout.needs(usize::from(i))) {
                *free += need;
            }
            false
        });
        self.visit(next, !chosen.is_empty());
    }
}
