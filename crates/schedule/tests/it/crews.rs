//! Crew schedules against published optima, against trying every order, and against laws.

use std::fs;
use std::path::PathBuf;
use std::time::Instant;

use groundwright_schedule::crew_schedule::broken;
use groundwright_schedule::{
    Activity, CrewProblem, Effort, Link, LinkKind, Resource, read_sm, schedule_crews,
};
use proptest::prelude::*;

fn instances() -> Option<PathBuf> {
    let named = std::env::var_os("GROUNDWRIGHT_PSPLIB").map(PathBuf::from);
    let beside = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/checks/psplib-j30");
    let found = named.unwrap_or(beside);
    if found.join("optimum.csv").is_file() {
        return Some(found);
    }
    println!("the PSPLIB instances are not here; name their folder in GROUNDWRIGHT_PSPLIB");
    None
}

/// Optimal makespans of the PSPLIB J30 set, Kolisch and Sprecher 1997: `optimum.csv` beside them.
#[test]
fn published_optima_are_found() {
    let Some(folder) = instances() else { return };
    let table = fs::read_to_string(folder.join("optimum.csv")).unwrap();
    let mut compared = 0;
    for row in table.lines().skip(1) {
        let fields: Vec<&str> = row.split(',').collect();
        let text = fs::read_to_string(folder.join(format!("{}.sm", fields[0]))).unwrap();
        let problem = read_sm(&text).unwrap();
        let begun = Instant::now();
        let schedule = schedule_crews(&problem, Effort::usual(problem.activities.len())).unwrap();
        println!("{} {schedule:?} {:?}", fields[0], begun.elapsed());
        assert_eq!(schedule.critical_path.to_string(), fields[1], "{}: critical path", fields[0]);
        assert_eq!(schedule.makespan.to_string(), fields[2], "{}: makespan", fields[0]);
        assert!(schedule.lower_bound <= schedule.makespan);
        assert_eq!(broken(&problem, &schedule.starts), Vec::<String>::new(), "{}", fields[0]);
        compared += 1;
    }
    assert!(compared >= 6);
}

fn problem(
    durations: &[i64],
    pairs: &[(usize, usize)],
    capacity: &[u32],
    demand: &[Vec<u32>],
) -> CrewProblem {
    let n = durations.len();
    CrewProblem {
        activities: durations
            .iter()
            .enumerate()
            .map(|(i, &duration)| Activity { name: i.to_string(), duration })
            .collect(),
        links: pairs
            .iter()
            .filter(|(a, b)| a % n < b % n)
            .map(|&(a, b)| Link::finish_start(a % n, b % n))
            .collect(),
        resources: capacity
            .iter()
            .enumerate()
            .map(|(r, &capacity)| Resource { name: format!("crew {r}"), capacity })
            .collect(),
        demand: demand.to_vec(),
    }
}

/// Tries every order of the activities with the serial scheme, period by period: an independent and
/// slow way to the optimum, since some list gives an optimal schedule (Kolisch 1996).
fn every_order(problem: &CrewProblem, placed: &mut Vec<Option<i64>>, best: &mut i64) {
    let n = problem.activities.len();
    let length = |i: usize| problem.activities[i].duration;
    if placed.iter().all(Option::is_some) {
        let span = (0..n).map(|i| placed[i].unwrap() + length(i)).max().unwrap_or(0);
        *best = span.min(*best);
        return;
    }
    for i in 0..n {
        let waits: Vec<&Link> = problem.links.iter().filter(|link| link.after == i).collect();
        if placed[i].is_some() || waits.iter().any(|link| placed[link.before].is_none()) {
            continue;
        }
        let from = waits.iter().map(|l| placed[l.before].unwrap() + length(l.before)).max().unwrap_or(0);
        let fits = |start: i64| {
            (start..start + length(i)).all(|t| {
                (0..problem.resources.len()).all(|r| {
                    let busy = (0..n).filter(|&j| placed[j].is_some_and(|s| s <= t && t < s + length(j)));
                    let used: u32 = busy.map(|j| problem.demand[j][r]).sum();
                    used + problem.demand[i][r] <= problem.resources[r].capacity
                })
            })
        };
        let start = (from..1000).find(|&start| fits(start)).unwrap();
        placed[i] = Some(start);
        every_order(problem, placed, best);
        placed[i] = None;
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// What is called proven is what trying every order finds, with and without the search before.
    #[test]
    fn small_instances_are_solved_exactly(
        durations in prop::collection::vec(0_i64..5, 1..7),
        pairs in prop::collection::vec((0_usize..7, 0_usize..7), 0..7),
        demand in prop::collection::vec(prop::collection::vec(0_u32..4, 2), 7),
    ) {
        let problem = problem(&durations, &pairs, &[4, 3], &demand[..durations.len()]);
        let mut best = i64::MAX;
        every_order(&problem, &mut vec![None; durations.len()], &mut best);
        for schedules in [0, 400] {
            let found = schedule_crews(&problem, Effort { schedules, steps: 1_000_000 }).unwrap();
            prop_assert!(found.proven);
            prop_assert_eq!(found.makespan, best);
            prop_assert_eq!(broken(&problem, &found.starts), Vec::<String>::new());
        }
    }

    /// Larger ones keep every link and capacity, lie above their bound, and come out the same twice.
    #[test]
    fn schedules_keep_links_and_capacities(
        durations in prop::collection::vec(0_i64..9, 20..40),
        pairs in prop::collection::vec((0_usize..40, 0_usize..40), 0..60),
        demand in prop::collection::vec(prop::collection::vec(0_u32..6, 3), 40),
        kinds in prop::collection::vec((0_usize..4, -3_i64..5), 60),
    ) {
        let mut problem = problem(&durations, &pairs, &[5, 6, 9], &demand[..durations.len()]);
        let named = [LinkKind::FinishStart, LinkKind::StartStart, LinkKind::FinishFinish, LinkKind::StartFinish];
        for (link, (kind, lag)) in problem.links.iter_mut().zip(kinds) {
            (link.kind, link.lag) = (named[kind], lag);
        }
        let effort = Effort { schedules: 200, steps: 2000 };
        let found = schedule_crews(&problem, effort).unwrap();
        prop_assert_eq!(broken(&problem, &found.starts), Vec::<String>::new());
        prop_assert!(found.lower_bound <= found.makespan && found.critical_path <= found.lower_bound);
        prop_assert_eq!(schedule_crews(&problem, effort).unwrap(), found);
    }
}

/// Work of 500 and 2000 tasks in chains over five crews. How the time grows is printed.
#[test]
fn two_thousand_tasks_are_scheduled() {
    for n in [500, 1000, 2000] {
        let durations: Vec<i64> = (0_i64..).take(n).map(|i| 1 + i * 7 % 5).collect();
        let pairs: Vec<(usize, usize)> = (8..n).flat_map(|i| [(i - 8, i), (i - 1 - i * 5 % 7, i)]).collect();
        let demand: Vec<Vec<u32>> = (0..n)
            .map(|i| (0..5).map(|r| u32::from(i * 11 % 5 == r) * (1 + (i % 2) as u32)).collect())
            .collect();
        let problem = problem(&durations, &pairs, &[3; 5], &demand);
        let begun = Instant::now();
        let found = schedule_crews(&problem, Effort::usual(n)).unwrap();
        println!("{n} tasks: {} periods, bound {}, {:?}", found.makespan, found.lower_bound, begun.elapsed());
        assert_eq!(broken(&problem, &found.starts), Vec::<String>::new());
        assert!(found.gap() < 0.10, "{}", found.gap());
    }
}

#[test]
fn what_cannot_be_scheduled_says_why() {
    let mut wall = problem(&[2, 1], &[(0, 1)], &[2], &[vec![3], vec![1]]);
    assert_eq!(
        schedule_crews(&wall, Effort::usual(2)).unwrap_err().to_string(),
        "`0` needs 3 of `crew 0`, and there are 2; add crews or split the activity"
    );
    wall.demand.pop();
    assert!(schedule_crews(&wall, Effort::usual(2)).unwrap_err().to_string().contains("1 rows, expected 2"));
    assert!(read_sm("nothing").unwrap_err().to_string().contains("PRECEDENCE RELATIONS"));
    let crowd = problem(&[1], &[], &[u32::MAX], &[vec![2_000_000]]);
    assert!(schedule_crews(&crowd, Effort::usual(1)).unwrap_err().to_string().contains("at most 1000000"));
    let bad = "PRECEDENCE RELATIONS:\n 1 1 2 2\n****\nREQUESTS/DURATIONS:\n 1 1 0 0\n***\nRESOURCEAVAILABILITIES:\n 4\n***\n";
    assert_eq!(
        read_sm(bad).unwrap_err().to_string(),
        "line 2: `1 1 2 2`; expected job, one mode, number of successors and as many successors"
    );
}
