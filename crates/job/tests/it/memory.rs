//! What is remembered from run to run, and what an edit costs.

use groundwright_handoff::When;
use groundwright_job::{Digest, Job, Outcome};

use crate::support::{demo, run};

#[test]
fn a_second_run_computes_nothing() {
    let project = demo("corner-lot").project;
    let mut job = Job::new();
    let first = job.run(&project, When::years(0.0), &mut ());
    assert!(job.counts().0 > 50);
    let second = job.run(&project, When::years(0.0), &mut ());
    assert_eq!(job.counts().0, 0, "nothing changed, nothing is computed");
    assert_eq!(Digest::of(&first.marks), Digest::of(&second.marks));
}

type Edit = fn(&mut groundwright_plan::Project);

/// After any edit, what is remembered gives the same as a fresh start.
#[test]
fn an_edit_gives_what_a_fresh_start_gives() {
    let mut project = demo("corner-lot").project;
    let mut job = Job::new();
    job.run(&project, When::years(0.0), &mut ());
    let edits: [(&str, Edit); 8] = [
        ("spacing", |p| p.design.plantings[0].spacing = Some(groundwright_plan::Given::stated(0.5))),
        ("mulch depth of the practice", |p| p.practice.mulch_depth *= 1.5),
        ("trunk clearance", |p| p.practice.trunk_clearance += 0.5),
        ("a tree falls", |p| p.property.trees[0].action = groundwright_plan::Action::Remove),
        ("a shrub stays", |p| p.property.shrubs[0].action = groundwright_plan::Action::Keep),
        ("yields", |p| p.property.shrubs.iter_mut().for_each(|s| s.yields.value = 2.0)),
        ("a bed goes without mulch", |p| p.design.beds[0].mulch = None),
        ("a viewpoint weighs more", |p| p.property.viewpoints[0].weight.value = 9.0),
    ];
    for (name, edit) in edits {
        edit(&mut project);
        let remembered = job.run(&project, When::years(0.0), &mut ());
        let fresh = Job::new().run(&project, When::years(0.0), &mut ());
        assert_eq!(Digest::of(&remembered.yard.plants), Digest::of(&fresh.yard.plants), "{name}: plants");
        assert_eq!(Digest::of(&remembered.marks), Digest::of(&fresh.marks), "{name}: marks");
        assert_eq!(Digest::of(&remembered.takeoff), Digest::of(&fresh.takeoff), "{name}: takeoff");
        assert_eq!(Digest::of(&remembered.findings), Digest::of(&fresh.findings), "{name}: findings");
        assert_eq!(Digest::of(&remembered.tables), Digest::of(&fresh.tables), "{name}: tables");
    }
}

/// A change of one planting leaves the others' arrangements as they are.
#[test]
fn an_edit_computes_little() {
    let mut project = demo("corner-lot").project;
    let mut job = Job::new();
    job.run(&project, When::years(0.0), &mut ());
    let all = job.counts().0;
    let planting = project.design.plantings.iter_mut().find(|p| p.id.as_str() == "drive-strawberries");
    planting.expect("the demo has this planting").spacing = Some(groundwright_plan::Given::stated(0.6));
    job.run(&project, When::years(0.0), &mut ());
    let (computed, reused) = job.counts();
    assert!(computed < all / 4 && reused > all / 2, "{computed} computed, {reused} reused, of {all}");
}

/// One thread or many: the same to the last bit.
#[test]
fn threads_change_nothing() {
    let project = demo("corner-lot").project;
    let one = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap().install(|| run(&project));
    let four = rayon::ThreadPoolBuilder::new().num_threads(4).build().unwrap().install(|| run(&project));
    assert_eq!(Digest::of(&one.marks), Digest::of(&four.marks));
    assert_eq!(Digest::of(&one.tables), Digest::of(&four.tables));
}

/// What a live job leaves out and what was studied behind together say what one whole run says; once
/// the project has moved on it is stale, and still nothing is told twice.
#[test]
fn what_is_live_and_what_is_behind_make_the_whole() {
    let mut project = demo("corner-lot").project;
    let when = When::years(0.0);
    let whole = Job::with_sun().run(&project, when, &mut ());
    let behind = Job::with_sun().study_behind(&project, when, &mut ()).unwrap();
    let mut live = Job::live();
    let fresh = live.run_beside(&project, when, Some(&behind), &mut ());
    let texts = |outcome: &Outcome| {
        let mut all: Vec<String> = outcome.findings.iter().map(|finding| format!("{finding:?}")).collect();
        all.extend(outcome.quantities.iter().map(|quantity| format!("{quantity:?}")));
        all.extend(outcome.tables.iter().map(|table| format!("{table:?}")));
        all.extend(outcome.marks.iter().map(|mark| format!("{mark:?}")));
        all.sort();
        all
    };
    assert!(!fresh.stale);
    assert_eq!(texts(&fresh), texts(&whole));
    let bed = project.design.beds.iter_mut().find(|bed| bed.mulch.is_some()).unwrap();
    bed.mulch.as_mut().unwrap().depth.value += 0.01;
    let stale = live.run_beside(&project, when, Some(&behind), &mut ());
    assert!(stale.stale);
    let mut told: Vec<String> = stale.findings.iter().map(|finding| format!("{finding:?}")).collect();
    let count = told.len();
    told.sort();
    told.dedup();
    assert_eq!(told.len(), count, "nothing is told twice");
    let none = live.run_beside(&project, when, None, &mut ());
    assert!(none.stale && none.findings.len() < stale.findings.len());
}
