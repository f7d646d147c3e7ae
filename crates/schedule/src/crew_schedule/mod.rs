//! Work on crews of limited number: the shortest schedule, and how short it is known to be.
//!
//! - In: a [`CrewProblem`], the effort. Out: starts that keep every link and every capacity, a lower
//!   bound, and whether the schedule is proven shortest.
//! - Method: schedules bred from priority rules (`improvement.rs`), then branch and bound
//!   (`exact.rs`) where the instance is small enough and its links are plain.
//! - The same problem gives the same schedule; effort is counted in steps, not in time.
//! - Not here: dates of a calendar.

mod bounds;
mod exact;
mod generation;
mod improvement;
mod priority;
mod problem;
mod psplib;

pub use problem::{CrewError, CrewProblem, Resource};
pub use psplib::{PsplibError, read_sm};

/// How much is tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effort {
    /// Schedules made by the search, about.
    pub schedules: u64,
    /// Steps of the exact search.
    pub steps: u64,
}

impl Effort {
    /// What a second allows for a given number of activities, about: the making of a schedule grows
    /// with the number of activities and of periods.
    pub const fn usual(activities: usize) -> Self {
        let n = if activities < 32 { 32 } else { activities as u64 };
        let schedules = 40_000_000 / (n * n);
        Self { schedules: if schedules < 40 { 40 } else { schedules }, steps: 400_000 }
    }
}

/// A schedule and how good it is known to be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CrewSchedule {
    /// Start of each activity, in the order of the list. [periods]
    pub starts: Vec<i64>,
    /// When the last has finished. [periods]
    pub makespan: i64,
    /// No schedule is shorter than this. [periods]
    pub lower_bound: i64,
    /// Where the lower bound comes from.
    pub bound_from: &'static str,
    /// Length of the critical path alone, without regard to crews. [periods]
    pub critical_path: i64,
    /// The makespan equals the lower bound.
    pub proven: bool,
    /// Schedules that were made.
    pub schedules: u64,
    /// Steps that the exact search took.
    pub steps: u64,
}

impl CrewSchedule {
    /// By how much the schedule may be too long, as a share of the lower bound.
    pub fn gap(&self) -> f64 {
        if self.lower_bound <= 0 {
            0.0
        } else {
            (self.makespan - self.lower_bound) as f64 / self.lower_bound as f64
        }
    }
}

/// A short schedule for work that shares crews.
///
/// # Returns
/// Starts that keep every link and every capacity; proven shortest where `proven` says so.
///
/// # Errors
/// [`CrewError`] for cycles, demands beyond capacity, and tables that do not fit.
pub fn schedule_crews(problem: &CrewProblem, effort: Effort) -> Result<CrewSchedule, CrewError> {
    let layout = problem.layout()?;
    let bound = bounds::lower_bound(&layout);
    let mut found = improvement::improve(&layout, effort.schedules, bound.periods);
    let (mut lower, mut from, mut steps) = (bound.periods, bound.from, 0);
    if found.makespan > lower
        && let Some(exact) = exact::search(&layout, &found.starts, lower, effort.steps)
    {
        steps = exact.steps;
        if exact.makespan < found.makespan {
            (found.starts, found.makespan) = (exact.starts, exact.makespan);
        }
        if exact.complete && found.makespan > lower {
            (lower, from) = (found.makespan, "every order tried");
        }
    }
    let path = (0..layout.n).map(|i| layout.heads[i] + layout.tails[i]).max().unwrap_or(0);
    Ok(CrewSchedule {
        starts: found.starts.iter().map(|&start| i64::from(start)).collect(),
        makespan: i64::from(found.makespan),
        lower_bound: i64::from(lower),
        bound_from: from,
        critical_path: i64::from(path),
        proven: found.makespan <= lower,
        schedules: found.schedules,
        steps,
    })
}

/// What a schedule breaks, in words; empty when it keeps every link and every capacity.
///
/// An independent count, period by period, for whoever receives or changes a schedule.
pub fn broken(problem: &CrewProblem, starts: &[i64]) -> Vec<String> {
    let n = problem.activities.len();
    if starts.len() != n {
        return vec![format!("{} starts for {n} activities; expected one to each", starts.len())];
    }
    let name = |i: usize| problem.activities[i].name.as_str();
    let length = |i: usize| problem.activities[i].duration;
    let mut faults: Vec<String> =
        (0..n).filter(|&i| starts[i] < 0).map(|i| format!("`{}` starts before time 0", name(i))).collect();
    for link in &problem.links {
        let wait = link.start_to_start(length(link.before), length(link.after));
        if starts[link.after] - starts[link.before] < wait {
            faults.push(format!("`{}` does not wait for `{}`", name(link.after), name(link.before)));
        }
    }
    for (r, resource) in problem.resources.iter().enumerate() {
        // The use of a resource rises only where something starts.
        for &at in starts {
            let busy = (0..n).filter(|&i| starts[i] <= at && at < starts[i] + length(i));
            let used: u64 = busy.map(|i| u64::from(problem.demand[i][r])).sum();
            if used > u64::from(resource.capacity) {
                faults.push(format!(
                    "{used} of `{}` at {at}, and there are {}",
                    resource.name, resource.capacity
                ));
            }
        }
    }
    faults
}
