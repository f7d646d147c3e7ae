//! Critical paths against worked examples, by hand, and against laws.

use groundwright_schedule::{Activity, Link, LinkKind, NetworkError, critical_path};
use proptest::prelude::*;
use serde_json::Value;

/// Two worked examples and one of our own; sources stand in the file.
const EXAMPLES: &str = include_str!("../data/cpm-examples.json");

fn activity(name: &str, duration: i64) -> Activity {
    Activity { name: name.to_owned(), duration }
}

fn network(case: &Value) -> (Vec<Activity>, Vec<Link>) {
    let table = case["activities"].as_object().unwrap();
    let names: Vec<&String> = table.keys().collect();
    let index = |name: &str| names.iter().position(|n| *n == name).unwrap();
    let activities = table.iter().map(|(n, a)| activity(n, a["duration"].as_i64().unwrap())).collect();
    let mut links = Vec::new();
    for (name, row) in table {
        for before in row["predecessors"].as_array().unwrap() {
            links.push(Link::finish_start(index(before.as_str().unwrap()), index(name)));
        }
    }
    (activities, links)
}

#[test]
fn worked_examples_come_out_to_every_figure() {
    let examples: Value = serde_json::from_str(EXAMPLES).unwrap();
    let mut figures = 0;
    for (title, case) in examples.as_object().unwrap() {
        let (activities, links) = network(case);
        let path = critical_path(&activities, &links).unwrap();
        assert_eq!(path.duration, case["project_duration"].as_i64().unwrap(), "{title}");
        let critical: Vec<&str> = path.critical.iter().map(|&i| activities[i].name.as_str()).collect();
        let printed: Vec<&str> =
            case["critical"].as_array().unwrap().iter().filter_map(Value::as_str).collect();
        assert_eq!(critical, printed, "{title}");
        for (activity, dates) in activities.iter().zip(&path.dates) {
            let row = &case["result"][&activity.name];
            for (key, ours) in [
                ("ES", dates.early_start),
                ("EF", dates.early_finish),
                ("LS", dates.late_start),
                ("LF", dates.late_finish),
                ("TF", dates.total_float),
                ("FF", dates.free_float),
            ] {
                assert_eq!(ours, row[key].as_i64().unwrap(), "{title}: {} {key}", activity.name);
                figures += 1;
            }
        }
    }
    assert_eq!(figures, 6 * (7 + 6 + 14));
}

/// By hand: trench 4 days; pipe starts 1 day after the trench starts and ends 2 days after its end;
/// the inspection ends no earlier than 3 days after the pipe starts; backfill may overlap the pipe by
/// a day. Pipe of 3 days: start max(1, 4 + 2 - 3) = 3, end 6. Inspection of 1: max(0, 3 + 3 - 1) = 5.
/// Backfill of 2 after the pipe with lag -1: start 5, end 7.
#[test]
fn all_four_kinds_of_links_and_lags_by_hand() {
    let activities =
        [activity("trench", 4), activity("pipe", 3), activity("inspection", 1), activity("backfill", 2)];
    let link = |before, after, kind, lag| Link { before, after, kind, lag };
    let links = [
        link(0, 1, LinkKind::StartStart, 1),
        link(0, 1, LinkKind::FinishFinish, 2),
        link(1, 2, LinkKind::StartFinish, 3),
        link(1, 3, LinkKind::FinishStart, -1),
    ];
    let path = critical_path(&activities, &links).unwrap();
    let starts: Vec<i64> = path.dates.iter().map(|d| d.early_start).collect();
    assert_eq!((path.duration, starts), (7, vec![0, 3, 5, 5]));
    assert_eq!(path.critical, [0, 1, 3]);
    assert_eq!(path.dates[2].total_float, 1);
}

#[test]
fn what_waits_for_itself_is_named() {
    let activities = [activity("base", 1), activity("wall", 2), activity("cap", 1), activity("mulch", 1)];
    let links = [
        Link::finish_start(0, 1),
        Link::finish_start(1, 2),
        Link::finish_start(2, 1),
        Link::finish_start(2, 3),
    ];
    assert_eq!(
        critical_path(&activities, &links).unwrap_err().to_string(),
        "these wait for one another: `wall` → `cap` → `wall`; take one of the links away"
    );
    let itself = critical_path(&activities, &[Link::finish_start(3, 3)]).unwrap_err();
    assert_eq!(itself, NetworkError::Cycle { names: vec!["mulch".to_owned()] });
}

#[test]
fn numbers_that_cannot_be_are_refused() {
    let error =
        |activities: &[Activity], links: &[Link]| critical_path(activities, links).unwrap_err().to_string();
    assert_eq!(error(&[activity("sod", -1)], &[]), "activity `sod` lasts -1; expected 0 to 1000000 periods");
    assert!(error(&[activity("sod", i64::MAX)], &[]).contains("expected 0 to"));
    assert!(
        error(&[activity("sod", 1), activity("sod", 2)], &[]).contains("two activities are called `sod`")
    );
    assert_eq!(
        error(&[activity("sod", 1)], &[Link::finish_start(0, 4)]),
        "link 1 names activity 4, and there are 1; list the activity first"
    );
    let far = Link { lag: i64::MIN, ..Link::finish_start(0, 1) };
    assert!(error(&[activity("a", 1), activity("b", 1)], &[far]).contains("has a lag of"));
    assert_eq!(critical_path(&[], &[]).unwrap().duration, 0);
}

proptest! {
    /// Every link holds at early and at late dates; floats are never below zero; some activity is
    /// critical; one that slips by its total float delays nothing, by one more delays the whole.
    #[test]
    fn dates_hold_every_link_and_floats_mean_what_they_say(
        durations in prop::collection::vec(0_i64..9, 1..12),
        ties in prop::collection::vec((0_usize..12, 0_usize..12, 0_u8..4, -2_i64..5), 0..20),
        slipping in 0_usize..12,
    ) {
        let n = durations.len();
        let activities: Vec<Activity> =
            durations.iter().enumerate().map(|(i, &d)| activity(&i.to_string(), d)).collect();
        let kinds = [LinkKind::FinishStart, LinkKind::StartStart, LinkKind::FinishFinish, LinkKind::StartFinish];
        let links: Vec<Link> = ties
            .iter()
            .filter(|(a, b, ..)| a % n < b % n)
            .map(|&(a, b, kind, lag)| Link { before: a % n, after: b % n, kind: kinds[usize::from(kind)], lag })
            .collect();
        let path = critical_path(&activities, &links).unwrap();
        for link in &links {
            let (before, after) = (path.dates[link.before], path.dates[link.after]);
            let wait = link.start_to_start(durations[link.before], durations[link.after]);
            prop_assert!(after.early_start >= before.early_start + wait);
            prop_assert!(after.late_start >= before.late_start + wait);
        }
        prop_assert!(path.dates.iter().all(|d| d.total_float >= d.free_float && d.free_float >= 0));
        prop_assert!(!path.critical.is_empty());
        let i = slipping % n;
        for (extra, delayed) in [(0, 0), (1, 1)] {
            let mut longer = activities.clone();
            longer.push(activity("wait", path.dates[i].early_start + path.dates[i].total_float + extra));
            let mut held = links.clone();
            held.push(Link::finish_start(n, i));
            let later = critical_path(&longer, &held).unwrap().duration;
            let wait_alone = path.dates[i].early_start + path.dates[i].total_float + extra;
            prop_assert_eq!(later, (path.duration + delayed).max(wait_alone));
        }
    }
}
