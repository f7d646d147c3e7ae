//! Early and late dates, floats and the critical path of a network of activities.
//!
//! - In: activities and links. Out: for each activity its dates and floats, and which are critical.
//! - Method: critical path method, activity on node (Kelley and Walker 1959); links of four kinds
//!   with lags as in precedence diagramming (Fondahl 1961). Forward pass, then backward pass.
//! - Time 0 is the start of the first period; early finish = early start + duration.
//! - Not here: who does the work and on which day (`crew_schedule`).

use crate::network::{Activity, Link, NetworkError, order};

/// Dates and floats of one activity. [periods]
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Dates {
    /// Earliest start.
    pub early_start: i64,
    /// Earliest finish.
    pub early_finish: i64,
    /// Latest start that does not delay the whole.
    pub late_start: i64,
    /// Latest finish that does not delay the whole.
    pub late_finish: i64,
    /// How far it may slip without delaying the whole.
    pub total_float: i64,
    /// How far it may slip without delaying the earliest date of any other activity.
    pub free_float: i64,
}

/// The whole network worked out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CriticalPath {
    /// How long the whole takes. [periods]
    pub duration: i64,
    /// Dates of each activity, in the order of the list.
    pub dates: Vec<Dates>,
    /// Activities without total float, by early start, then in the order of the list.
    pub critical: Vec<usize>,
}

/// Dates, floats and critical path of a network.
///
/// # Arguments
/// - `activities`: n activities with names of their own.
/// - `links`: between them, by index; several links may join one pair.
///
/// # Returns
/// Dates of all n activities; n = 0 gives a duration of 0.
///
/// # Errors
/// [`NetworkError`] for durations, lags or indices that cannot be, and for cycles, by name.
///
/// # Source
/// Kelley and Walker, "Critical-Path Planning and Scheduling", 1959.
pub fn critical_path(activities: &[Activity], links: &[Link]) -> Result<CriticalPath, NetworkError> {
    let sorted = order(activities, links)?;
    let duration = |i: usize| activities[i].duration;
    let wait = |link: &Link| link.start_to_start(duration(link.before), duration(link.after));
    let (mut into, mut out) = (vec![Vec::new(); activities.len()], vec![Vec::new(); activities.len()]);
    for link in links {
        into[link.after].push(link);
        out[link.before].push(link);
    }
    let mut early = vec![0_i64; activities.len()];
    for &i in &sorted {
        early[i] = into[i].iter().map(|link| early[link.before] + wait(link)).max().unwrap_or(0).max(0);
    }
    let finish = (0..activities.len()).map(|i| early[i] + duration(i)).max().unwrap_or(0);
    let mut late: Vec<i64> = (0..activities.len()).map(|i| finish - duration(i)).collect();
    for &i in sorted.iter().rev() {
        late[i] = out[i].iter().map(|link| late[link.after] - wait(link)).fold(late[i], i64::min);
    }
    let dates: Vec<Dates> = (0..activities.len())
        .map(|i| {
            let to_the_end = finish - early[i] - duration(i);
            let free = out[i].iter().map(|link| early[link.after] - wait(link) - early[i]);
            Dates {
                early_start: early[i],
                early_finish: early[i] + duration(i),
                late_start: late[i],
                late_finish: late[i] + duration(i),
                total_float: late[i] - early[i],
                free_float: free.fold(to_the_end, i64::min),
            }
        })
        .collect();
    let mut critical: Vec<usize> = (0..dates.len()).filter(|&i| dates[i].total_float == 0).collect();
    critical.sort_by_key(|&i| (dates[i].early_start, i));
    Ok(CriticalPath { duration: finish, dates, critical })
}
