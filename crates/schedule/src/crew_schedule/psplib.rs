//! Reader of `.sm` files, the open format of single-mode scheduling instances.
//!
//! Source of the format: Kolisch and Sprecher, "PSPLIB, a project scheduling problem library", 1997.
//! Read are the precedence relations, the requests and durations, and the availabilities of renewable
//! resources; other sections are passed over.

use super::problem::{CrewProblem, Resource};
use crate::network::{Activity, Link};

/// Why a text is no instance.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PsplibError {
    /// A section is not there.
    #[error("there is no section `{section}`; expected a single-mode instance (.sm)")]
    NoSection {
        /// Its heading.
        section: &'static str,
    },
    /// A line that does not say what it should.
    #[error("line {line}: `{text}`; expected {expected}")]
    Line {
        /// Counted from 1.
        line: usize,
        /// The line.
        text: String,
        /// What should stand there.
        expected: &'static str,
    },
}

type Row<'t> = (usize, &'t str, Vec<i64>);

/// Reads an instance.
///
/// # Returns
/// Activities named by their job numbers, supersource and supersink among them.
///
/// # Errors
/// Missing sections, and lines that are not as the format has them, by number.
pub fn read_sm(text: &str) -> Result<CrewProblem, PsplibError> {
    let successors = section(text, "PRECEDENCE RELATIONS")?;
    let requests = section(text, "REQUESTS/DURATIONS")?;
    let capacities = section(text, "RESOURCEAVAILABILITIES")?;
    let refused =
        |row: &Row<'_>, expected| PsplibError::Line { line: row.0, text: row.1.trim().to_owned(), expected };
    let capacity_row =
        capacities.first().ok_or(PsplibError::NoSection { section: "RESOURCEAVAILABILITIES" })?;
    let units =
        |v: i64, row: &Row<'_>| u32::try_from(v).map_err(|_| refused(row, "whole units, none below zero"));
    let mut resources = Vec::new();
    for (k, &capacity) in capacity_row.2.iter().enumerate() {
        resources.push(Resource { name: format!("R {}", k + 1), capacity: units(capacity, capacity_row)? });
    }
    let (mut activities, mut demand) = (Vec::new(), Vec::new());
    for row in &requests {
        let expected = "job, mode 1, duration and one request to each resource";
        if row.2.len() != 3 + resources.len() || row.2[1] != 1 {
            return Err(refused(row, expected));
        }
        activities.push(Activity { name: row.2[0].to_string(), duration: row.2[2] });
        demand.push(row.2[3..].iter().map(|&v| units(v, row)).collect::<Result<Vec<u32>, _>>()?);
    }
    let index = |job: i64, row: &Row<'_>| {
        let name = job.to_string();
        activities
            .iter()
            .position(|a| a.name == name)
            .ok_or_else(|| refused(row, "jobs that have a duration"))
    };
    let mut links = Vec::new();
    for row in &successors {
        let counted = row.2.len() >= 3 && row.2[1] == 1 && usize::try_from(row.2[2]) == Ok(row.2.len() - 3);
        if !counted {
            return Err(refused(row, "job, one mode, number of successors and as many successors"));
        }
        for &later in &row.2[3..] {
            links.push(Link::finish_start(index(row.2[0], row)?, index(later, row)?));
        }
    }
    Ok(CrewProblem { activities, links, resources, demand })
}

/// Rows of numbers below a heading, up to the next line of stars.
fn section<'t>(text: &'t str, heading: &'static str) -> Result<Vec<Row<'t>>, PsplibError> {
    let lines = || text.lines().enumerate();
    let at = lines().find(|(_, line)| line.trim_start().starts_with(heading));
    let (at, _) = at.ok_or(PsplibError::NoSection { section: heading })?;
    let mut rows = Vec::new();
    for (k, line) in lines().skip(at + 1).take_while(|(_, line)| !line.starts_with('*')) {
        if line.trim().is_empty()
            || line.starts_with('-')
            || !line.trim_start().starts_with(|c: char| c.is_ascii_digit())
        {
            continue;
        }
        let numbers = line.split_whitespace().map(str::parse::<i64>).collect::<Result<Vec<_>, _>>();
        let numbers = numbers.map_err(|_| PsplibError::Line {
            line: k + 1,
            text: line.trim().to_owned(),
            expected: "whole numbers",
        })?;
        rows.push((k + 1, line, numbers));
    }
    if rows.is_empty() { Err(PsplibError::NoSection { section: heading }) } else { Ok(rows) }
}
