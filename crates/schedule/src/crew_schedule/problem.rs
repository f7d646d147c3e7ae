//! Work that shares crews: what is given, checked and laid out for the solvers.
//!
//! - In: activities, links, what each needs of each resource, how much of each there is.
//! - Out: a [`Layout`]: waits from start to start both ways, an order, tails; and its mirror image,
//!   in which time runs backwards.
//! - A resource is a crew of one trade, a machine, or anything that is given back after use.

use crate::network::{Activity, Link, LinkKind, NetworkError, order};

/// A resource that is given back after use.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Resource {
    /// Name, as the reader knows it.
    pub name: String,
    /// How many units there are in every period.
    pub capacity: u32,
}

/// Work that shares crews.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CrewProblem {
    /// What is to be done, n activities.
    pub activities: Vec<Activity>,
    /// What waits for what.
    pub links: Vec<Link>,
    /// What is shared, m resources.
    pub resources: Vec<Resource>,
    /// n rows of m: units that an activity holds while it lasts.
    pub demand: Vec<Vec<u32>>,
}

/// Why crews cannot be scheduled.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CrewError {
    /// Activities or links that have no order.
    #[error(transparent)]
    Network(#[from] NetworkError),
    /// Demand that does not fit the lists.
    #[error("the demand has {found} {what}, expected {expected}, one to each")]
    Shape {
        /// Rows or columns.
        what: &'static str,
        /// How many were given.
        found: usize,
        /// How many were expected.
        expected: usize,
    },
    /// More needed at once than there is.
    #[error(
        "`{activity}` needs {demand} of `{resource}`, and there are {capacity}; add crews or split the activity"
    )]
    TooFew {
        /// The activity.
        activity: String,
        /// The resource.
        resource: String,
        /// What is needed.
        demand: u32,
        /// What there is.
        capacity: u32,
    },
    /// More than anybody has, so that it must be a slip.
    #[error("`{activity}` needs {demand} units, expected at most {MOST_UNITS}; count in larger units")]
    TooMany {
        /// The activity.
        activity: String,
        /// What is needed.
        demand: u32,
    },
    /// Longer than the solvers lay out.
    #[error(
        "done one after another the work takes {periods} periods, expected at most {most}; count in longer periods"
    )]
    TooLong {
        /// All durations and lags together. [periods]
        periods: i64,
        /// The most that is laid out. [periods]
        most: i64,
    },
}

/// The most units that one activity may hold: sums of them stay within what is counted with.
const MOST_UNITS: u32 = 1_000_000;

/// The longest stretch of time that is laid out. [periods]
const LONGEST_LAYOUT: i64 = 2_000_000;

/// A checked problem as the solvers want it. Starts are from 0.
#[derive(Debug, Clone)]
pub(crate) struct Layout {
    /// Number of activities.
    pub n: usize,
    /// Number of resources.
    pub m: usize,
    pub durations: Vec<i32>,
    /// Row of m per activity.
    pub demand: Vec<i32>,
    pub capacity: Vec<i32>,
    /// Earlier activities with the least time from start to start.
    pub into: Vec<Vec<(usize, i32)>>,
    /// Later activities with the least time from start to start.
    pub out: Vec<Vec<(usize, i32)>>,
    /// Every activity after those it waits for.
    pub order: Vec<usize>,
    /// Place of each activity in the order.
    pub rank: Vec<usize>,
    /// Earliest starts by the links alone.
    pub heads: Vec<i32>,
    /// Longest time from the start of each to the end of the whole, by the links alone.
    pub tails: Vec<i32>,
    /// All waits are plain: finish to start without lag.
    pub plain: bool,
}

impl CrewProblem {
    /// Checks and lays out.
    pub(crate) fn layout(&self) -> Result<Layout, CrewError> {
        let sorted = order(&self.activities, &self.links)?;
        self.check_demand()?;
        let waits: i64 = self.links.iter().map(|link| link.lag.abs()).sum();
        let periods = self.activities.iter().map(|a| a.duration).sum::<i64>() + waits;
        if periods > LONGEST_LAYOUT {
            return Err(CrewError::TooLong { periods, most: LONGEST_LAYOUT });
        }
        let n = self.activities.len();
        let (mut into, mut out) = (vec![Vec::new(); n], vec![Vec::new(); n]);
        for link in &self.links {
            let of = |i: usize| self.activities[i].duration;
            let wait = link.start_to_start(of(link.before), of(link.after)) as i32;
            into[link.after].push((link.before, wait));
            out[link.before].push((link.after, wait));
        }
        let mut layout = Layout {
            n,
            m: self.resources.len(),
            durations: self.activities.iter().map(|a| a.duration as i32).collect(),
            demand: self.demand.iter().flatten().map(|&units| units.cast_signed()).collect(),
            capacity: self
                .resources
                .iter()
                .map(|r| r.capacity.min(MOST_UNITS * 1000).cast_signed())
                .collect(),
            into,
            out,
            order: sorted,
            rank: vec![0; n],
            heads: Vec::new(),
            tails: Vec::new(),
            plain: self.links.iter().all(|link| link.kind == LinkKind::FinishStart && link.lag == 0),
        };
        layout.work_out();
        Ok(layout)
    }

    fn check_demand(&self) -> Result<(), CrewError> {
        let shape = |what, found, expected| {
            if found == expected { Ok(()) } else { Err(CrewError::Shape { what, found, expected }) }
        };
        shape("rows", self.demand.len(), self.activities.len())?;
        for (activity, row) in self.activities.iter().zip(&self.demand) {
            shape("columns", row.len(), self.resources.len())?;
            for (&demand, resource) in row.iter().zip(&self.resources) {
                if demand > MOST_UNITS {
                    return Err(CrewError::TooMany { activity: activity.name.clone(), demand });
                }
                if demand > resource.capacity {
                    return Err(CrewError::TooFew {
                        activity: activity.name.clone(),
                        resource: resource.name.clone(),
                        demand,
                        capacity: resource.capacity,
                    });
                }
            }
        }
        Ok(())
    }
}

impl Layout {
    /// Ranks, heads and tails.
    fn work_out(&mut self) {
        for (rank, &i) in self.order.iter().enumerate() {
            self.rank[i] = rank;
        }
        // Units beyond what is ever asked for change nothing, and sums stay small.
        for r in 0..self.m {
            let all: i64 = (0..self.n).map(|i| i64::from(self.demand[i * self.m + r])).sum();
            self.capacity[r] = i64::from(self.capacity[r]).min(all) as i32;
        }
        self.heads = vec![0; self.n];
        self.tails = self.durations.clone();
        for &i in &self.order {
            for &(later, wait) in &self.out[i] {
                self.heads[later] = self.heads[later].max(self.heads[i] + wait);
            }
        }
        for &i in self.order.iter().rev() {
            for &(later, wait) in &self.out[i] {
                self.tails[i] = self.tails[i].max(self.tails[later] + wait);
            }
        }
    }

    /// The same work with time running backwards.
    pub fn mirrored(&self) -> Self {
        let (mut into, mut out) = (vec![Vec::new(); self.n], vec![Vec::new(); self.n]);
        for (i, back_to) in into.iter_mut().enumerate() {
            for &(later, wait) in &self.out[i] {
                let back = wait - self.durations[i] + self.durations[later];
                back_to.push((later, back));
                out[later].push((i, back));
            }
        }
        let mut mirror =
            Self { into, out, order: self.order.iter().rev().copied().collect(), ..self.clone() };
        mirror.work_out();
        mirror
    }

    /// Units of each resource that an activity holds.
    pub fn needs(&self, i: usize) -> &[i32] {
        &self.demand[i * self.m..(i + 1) * self.m]
    }

    /// A finish for which every list of activities has room. [periods]
    pub fn horizon(&self) -> usize {
        let waits: i64 = self.into.iter().flatten().map(|&(_, wait)| i64::from(wait.max(0))).sum();
        (self.durations.iter().map(|&d| i64::from(d)).sum::<i64>() + waits) as usize
    }

    /// When the last activity has finished.
    pub fn makespan(&self, starts: &[i32]) -> i32 {
        starts.iter().zip(&self.durations).map(|(s, d)| s + d).max().unwrap_or(0)
    }

    /// A seed made of the content, so that equal work is scheduled equally.
    pub fn seed(&self) -> u64 {
        let numbers = self.durations.iter().chain(&self.demand).chain(&self.capacity).map(|&v| v as u64);
        let waits = self.out.iter().enumerate().flat_map(|(i, out)| {
            out.iter().flat_map(move |&(later, wait)| [i as u64, later as u64, wait as u64])
        });
        // FNV-1a over the numbers.
        numbers.chain(waits).fold(0xcbf2_9ce4_8422_2325, |hash, v| (hash ^ v).wrapping_mul(0x0100_0000_01b3))
    }
}
