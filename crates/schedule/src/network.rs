//! Activities and the links between them, in order.
//!
//! - In: activities with whole durations, links of the four kinds with lags. Out: an order in which
//!   every activity follows those it waits for, or the cycle by name.
//! - Times are whole periods of the caller's choice (days, half days, hours), all in one unit.
//! - Every link is read as "start of the later one not before start of the earlier one plus so much".

/// A piece of work that takes time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Activity {
    /// Name, as the reader knows it.
    pub name: String,
    /// How long it takes. [periods] Zero for a milestone.
    pub duration: i64,
}

/// Which ends of two activities a link ties.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LinkKind {
    /// The later one starts when the earlier one has finished.
    FinishStart,
    /// The later one starts when the earlier one has started.
    StartStart,
    /// The later one finishes when the earlier one has finished.
    FinishFinish,
    /// The later one finishes when the earlier one has started.
    StartFinish,
}

/// That one activity waits for another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Link {
    /// Index of the earlier activity.
    pub before: usize,
    /// Index of the later activity.
    pub after: usize,
    /// Which ends are tied.
    pub kind: LinkKind,
    /// Least time between the tied ends; below zero for an overlap. [periods]
    pub lag: i64,
}

impl Link {
    /// The later one starts when the earlier one has finished, without a wait.
    pub const fn finish_start(before: usize, after: usize) -> Self {
        Self { before, after, kind: LinkKind::FinishStart, lag: 0 }
    }

    /// Least time from the start of the earlier to the start of the later one. [periods]
    pub const fn start_to_start(&self, before: i64, after: i64) -> i64 {
        match self.kind {
            LinkKind::FinishStart => before + self.lag,
            LinkKind::StartStart => self.lag,
            LinkKind::FinishFinish => before + self.lag - after,
            LinkKind::StartFinish => self.lag - after,
        }
    }
}

/// The longest time that is still taken for time and not for a slip. [periods]
pub const LONGEST: i64 = 1_000_000;

/// Why activities have no order.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NetworkError {
    /// A duration below zero or beyond all measure.
    #[error("activity `{name}` lasts {duration}; expected 0 to {LONGEST} periods")]
    Duration {
        /// The activity.
        name: String,
        /// What was given.
        duration: i64,
    },
    /// A lag beyond all measure.
    #[error(
        "the link from `{before}` to `{after}` has a lag of {lag}; expected at most {LONGEST} periods either way"
    )]
    Lag {
        /// The earlier activity.
        before: String,
        /// The later activity.
        after: String,
        /// What was given.
        lag: i64,
    },
    /// A link to an activity that is not there.
    #[error("link {link} names activity {index}, and there are {count}; list the activity first")]
    NoSuchActivity {
        /// The link, counted from 1.
        link: usize,
        /// The index it gives, from 0.
        index: usize,
        /// How many activities there are.
        count: usize,
    },
    /// Two activities of one name.
    #[error("two activities are called `{name}`; give each a name of its own")]
    SameName {
        /// The name.
        name: String,
    },
    /// Activities that wait for one another.
    #[error("these wait for one another: {}; take one of the links away", in_a_ring(.names))]
    Cycle {
        /// The activities of the cycle, in order.
        names: Vec<String>,
    },
}

fn in_a_ring(names: &[String]) -> String {
    names.iter().chain(names.first()).map(|name| format!("`{name}`")).collect::<Vec<_>>().join(" → ")
}

/// Checks activities and links, and puts the activities in order.
///
/// # Returns
/// Indices of all activities, each after those it waits for; ties in the order of the list.
///
/// # Errors
/// Every kind of [`NetworkError`].
pub fn order(activities: &[Activity], links: &[Link]) -> Result<Vec<usize>, NetworkError> {
    check(activities, links)?;
    let mut waits = vec![0_usize; activities.len()];
    let mut after: Vec<Vec<usize>> = vec![Vec::new(); activities.len()];
    for link in links {
        waits[link.after] += 1;
        after[link.before].push(link.after);
    }
    let mut ready: std::collections::BTreeSet<usize> = (0..waits.len()).filter(|&i| waits[i] == 0).collect();
    let mut sorted = Vec::with_capacity(activities.len());
    while let Some(next) = ready.pop_first() {
        sorted.push(next);
        for &later in &after[next] {
            waits[later] -= 1;
            if waits[later] == 0 {
                ready.insert(later);
            }
        }
    }
    if sorted.len() == activities.len() {
        return Ok(sorted);
    }
    Err(NetworkError::Cycle { names: cycle(activities, links, &waits) })
}

fn check(activities: &[Activity], links: &[Link]) -> Result<(), NetworkError> {
    let mut names = std::collections::BTreeSet::new();
    for activity in activities {
        if !(0..=LONGEST).contains(&activity.duration) {
            let name = activity.name.clone();
            return Err(NetworkError::Duration { name, duration: activity.duration });
        }
        if !names.insert(activity.name.as_str()) {
            return Err(NetworkError::SameName { name: activity.name.clone() });
        }
    }
    for (i, link) in links.iter().enumerate() {
        for index in [link.before, link.after] {
            if index >= activities.len() {
                return Err(NetworkError::NoSuchActivity { link: i + 1, index, count: activities.len() });
            }
        }
        if link.lag.checked_abs().is_none_or(|lag| lag > LONGEST) {
            return Err(NetworkError::Lag {
                before: activities[link.before].name.clone(),
                after: activities[link.after].name.clone(),
                lag: link.lag,
            });
        }
    }
    Ok(())
}

/// Walks backwards among the activities that never became ready until one comes up again.
fn cycle(activities: &[Activity], links: &[Link], waits: &[usize]) -> Vec<String> {
    let mut earlier = vec![None; activities.len()];
    for link in links {
        if waits[link.before] > 0 && waits[link.after] > 0 && earlier[link.after].is_none() {
            earlier[link.after] = Some(link.before);
        }
    }
    let mut path: Vec<usize> = Vec::new();
    let mut at = earlier.iter().position(Option::is_some);
    while let Some(here) = at {
        if let Some(first) = path.iter().position(|&seen| seen == here) {
            path.drain(..first);
            break;
        }
        path.push(here);
        at = earlier[here];
    }
    path.reverse();
    // Begins at the activity that stands first in the list, so that the text does not wander.
    if let Some(first) = (0..path.len()).min_by_key(|&k| path[k]) {
        path.rotate_left(first);
    }
    path.into_iter().map(|i| activities[i].name.clone()).collect()
}
