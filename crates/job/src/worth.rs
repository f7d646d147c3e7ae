//! What is worth measuring next: how much each reading would narrow the answers.
//!
//! - In: a project with its doubts. Out: the doubts, those first whose true value would change the
//!   most.
//! - Method: one at a time. The project is read and studied anew with the doubt at each of its ends
//!   (or with each other word), and the takeoff and the findings are compared with today's. Effects
//!   of two doubts together are not looked for.
//! - A weight adds up, over the lines of the takeoff, the range of the line as a share of its greatest
//!   amount (so between 0 and 1), and 1 for each danger or fault that hangs on the doubt. That a
//!   line of mulch weighs as much as one of plants is a convention until prices exist: common
//!   practice, no source.

use std::collections::{BTreeMap, BTreeSet};

use groundwright_handoff::{Dimension, Finding, Phase, Severity, When};
use groundwright_plan::{Command, Doubt, ElementRef, Loaded, Sources, Try, apply, read_project, scale_of};

use crate::graph::{Job, Outcome};

/// What one doubt does to one line of the takeoff.
#[derive(Debug, Clone, PartialEq)]
pub struct Swing {
    /// When in the job.
    pub phase: Phase,
    /// Key of the item.
    pub item: String,
    /// Description for a reader.
    pub description: String,
    /// What the amounts measure.
    pub dimension: Dimension,
    /// The net amount today. SI, or a count.
    pub now: f64,
    /// The least that it may be.
    pub least: f64,
    /// The most that it may be.
    pub most: f64,
}

impl Swing {
    /// The range as a share of the greatest amount, 0 to 1.
    pub fn share(&self) -> f64 {
        if self.most > 0.0 { (self.most - self.least) / self.most } else { 0.0 }
    }
}

/// A doubt with what hangs on it.
#[derive(Debug, Clone, PartialEq)]
pub struct Worth {
    /// What is in doubt; the plan's scale has `[[taped]]` for its name and no element.
    pub doubt: Doubt,
    /// Lines of the takeoff that change, the greatest share first.
    pub swings: Vec<Swing>,
    /// Rules of dangers and faults that come or go: id and heading.
    pub findings: Vec<(&'static str, &'static str)>,
    /// Values with which the project could not be read or placed, for a reader.
    pub impossible: Vec<String>,
    /// How much it would narrow the answers; 0 where nothing hangs on it yet.
    pub weight: f64,
}

/// The doubts of a project by what their reading would change, the most first.
///
/// # Arguments
/// - `go_on`: asked before each doubt; when it says no, what is done so far comes back.
///
/// # Returns
/// At most one entry for each doubt of the property and the design, and one for the plan's scale.
pub fn worth_measuring(loaded: &Loaded, when: When, go_on: &mut dyn FnMut() -> bool) -> Vec<Worth> {
    let mut job = Job::new();
    let now = job.run(&loaded.project, when, &mut ());
    let mut list = Vec::new();
    // The firm's rules and the stock are no readings of this yard.
    let readings = loaded
        .doubts
        .iter()
        .filter(|doubt| doubt.file.ends_with("property.toml") || doubt.file.ends_with("design.toml"));
    for doubt in std::iter::once(scale_doubt(loaded)).chain(readings.cloned()) {
        if !go_on() {
            break;
        }
        list.push(worth_of(loaded, &now, doubt, when, &mut job));
    }
    list.sort_by(|a, b| {
        let names = |w: &Worth| (w.doubt.file.clone(), w.doubt.name.clone(), w.doubt.field.clone());
        b.weight.total_cmp(&a.weight).then_with(|| names(a).cmp(&names(b)))
    });
    list
}

/// The plan's scale as a doubt: it may be as much larger or smaller as the taped lengths leave open.
fn scale_doubt(loaded: &Loaded) -> Doubt {
    let scale = scale_of(&loaded.project.property);
    let why = match scale.lengths.len() {
        0 => "nothing was taped: tape one long length, and a second to check it",
        1 => "one taped length: nothing checks it; tape a second one across the first",
        _ => "how far the taped lengths agree with one another",
    };
    let ends = [1.0 - scale.spread.min(0.9), 1.0 + scale.spread];
    Doubt {
        file: "property.toml".to_owned(),
        element: None,
        name: "[[taped]]".to_owned(),
        field: "scale".to_owned(),
        shown: format!("± {:.1} %", scale.spread * 100.0),
        tries: ends
            .iter()
            .map(|end| Try { value: end.to_string(), shown: format!("{:+.1} %", (end - 1.0) * 100.0) })
            .collect(),
        why: why.to_owned(),
    }
}

fn tried(loaded: &Loaded, doubt: &Doubt, value: &str) -> Option<Sources> {
    let command = if doubt.name == "[[taped]]" && doubt.element.is_none() {
        Command::Scale { factor: value.parse().ok()? }
    } else {
        doubt.command(value)?
    };
    apply(&loaded.sources, &command).ok()
}

fn worth_of(loaded: &Loaded, now: &Outcome, doubt: Doubt, when: When, job: &mut Job) -> Worth {
    let mut amounts = Amounts::of(now);
    let grave = grave(&now.findings);
    let mut findings = BTreeMap::new();
    let mut impossible = Vec::new();
    for one in &doubt.tries {
        let project = tried(loaded, &doubt, &one.value).and_then(|sources| read_project(sources).ok());
        let Some(project) = project else {
            impossible.push(one.shown.clone());
            continue;
        };
        let then = job.run(&project.project, when, &mut ());
        if !then.faults.is_empty() && now.faults.is_empty() {
            impossible.push(one.shown.clone());
            continue;
        }
        amounts.widen(&then);
        let graver = self::grave(&then.findings);
        let turns = |a: &Graves, b: &Graves| -> Graves {
            a.iter()
                .filter(|(key, _)| !b.contains_key(*key))
                .map(|(key, rule)| (key.clone(), *rule))
                .collect()
        };
        findings.extend(turns(&grave, &graver));
        findings.extend(turns(&graver, &grave));
    }
    let swings = amounts.swings();
    let weight = swings.iter().map(Swing::share).sum::<f64>() + findings.len() as f64;
    let findings: BTreeSet<(&str, &str)> = findings.into_values().collect();
    Worth { doubt, swings, findings: findings.into_iter().collect(), impossible, weight }
}

/// Dangers and faults, told apart by rule and subjects, with the rule's id and heading.
type Graves = BTreeMap<(&'static str, Vec<ElementRef>), (&'static str, &'static str)>;

fn grave(findings: &[Finding]) -> Graves {
    findings
        .iter()
        .filter(|finding| finding.severity <= Severity::Fault)
        .map(|finding| {
            let rule = finding.rule;
            ((rule.id, finding.subjects.clone()), (rule.id, rule.title))
        })
        .collect()
}

/// Ranges of the takeoff's lines.
struct Amounts(BTreeMap<(Phase, String), Swing>);

impl Amounts {
    fn of(outcome: &Outcome) -> Self {
        Self(
            outcome.takeoff.lines.iter().map(|line| ((line.phase, line.item.clone()), swing(line))).collect(),
        )
    }

    fn widen(&mut self, then: &Outcome) {
        let lines: BTreeMap<(Phase, &str), f64> =
            then.takeoff.lines.iter().map(|line| ((line.phase, line.item.as_str()), line.net)).collect();
        for line in &then.takeoff.lines {
            self.0.entry((line.phase, line.item.clone())).or_insert_with(|| Swing {
                now: 0.0,
                least: 0.0,
                most: 0.0,
                ..swing(line)
            });
        }
        for ((phase, item), swing) in &mut self.0 {
            let amount = lines.get(&(*phase, item.as_str())).copied().unwrap_or(0.0);
            swing.least = swing.least.min(amount);
            swing.most = swing.most.max(amount);
        }
    }

    /// The lines that change, the greatest share first.
    fn swings(self) -> Vec<Swing> {
        // Sums of areas differ in their last digits; a millionth is no change.
        let mut swings: Vec<Swing> = self.0.into_values().filter(|swing| swing.share() > 1e-6).collect();
        swings.sort_by(|a, b| b.share().total_cmp(&a.share()).then_with(|| a.item.cmp(&b.item)));
        swings
    }
}

fn swing(line: &groundwright_estimate::Line) -> Swing {
    Swing {
        phase: line.phase,
        item: line.item.clone(),
        description: line.description.clone(),
        dimension: line.dimension,
        now: line.net,
        least: line.net,
        most: line.net,
    }
}
