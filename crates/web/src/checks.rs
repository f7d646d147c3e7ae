//! Findings for the page: grouped by cause, ranked by danger and money, with what can be done.
//!
//! - In: findings of an outcome and the acceptances on record. Out: causes for the page, commands of
//!   remedies, and the record of an acceptance.
//! - Rank: by weight; of one weight, causes with more findings that somebody has to decide first.
//!   Accepted ones stay in the list, with their reason, behind the others.

use groundwright_handoff::{Finding, Severity};
use groundwright_job::Outcome;
use groundwright_plan::{Acceptance, Command, Kind, Project, Standing};
use groundwright_units::Reader;

use crate::element_name::name_of;
use crate::hand::{Bench, HandError, Made, quoted};
use crate::messages::{AcceptedNews, CauseNews, FindingNews, RemedyNews};

/// The key of a finding: its rule and its subjects.
pub fn key_of(finding: &Finding) -> String {
    let subjects: Vec<String> = finding.subjects.iter().map(name_of).collect();
    format!("{} · {}", finding.rule.id, subjects.join(", "))
}

/// The word for a weight in messages.
pub fn severity_key(severity: Severity) -> &'static str {
    match severity {
        Severity::Danger => "danger",
        Severity::Fault => "fault",
        Severity::Doubt => "doubt",
        Severity::Note => "note",
    }
}

/// The acceptance on record of a finding.
pub fn accepted<'p>(project: &'p Project, finding: &Finding) -> Option<&'p Acceptance> {
    project.design.accepted.iter().find(|record| {
        record.finding == finding.rule.id
            && record.about.len() == finding.subjects.len()
            && record.about.iter().zip(&finding.subjects).all(|(about, subject)| *about == name_of(subject))
    })
}

/// Findings by cause for the page. `findings` are sorted by weight and rule, as a job gives them.
pub fn causes(project: &Project, findings: &[Finding], reader: &Reader) -> Vec<CauseNews> {
    let mut causes: Vec<(Severity, CauseNews)> = Vec::new();
    for finding in findings {
        let news = news(project, finding, reader);
        match causes.last_mut() {
            Some((severity, cause)) if *severity == finding.severity && cause.rule == finding.rule.id => {
                cause.findings.push(news);
            }
            _ => causes.push((
                finding.severity,
                CauseNews {
                    rule: finding.rule.id.to_owned(),
                    severity: severity_key(finding.severity).to_owned(),
                    title: finding.rule.title.to_owned(),
                    source: finding.rule.source.words().to_owned(),
                    findings: vec![news],
                },
            )),
        }
    }
    for (_, cause) in &mut causes {
        cause.findings.sort_by_key(|finding| finding.accepted.is_some());
    }
    let open = |cause: &CauseNews| cause.findings.iter().filter(|f| f.accepted.is_none()).count();
    causes.sort_by(|a, b| {
        let settled = |cause: &CauseNews| open(cause) == 0;
        (settled(&a.1), a.0).cmp(&(settled(&b.1), b.0)).then(open(&b.1).cmp(&open(&a.1)))
    });
    causes.into_iter().map(|(_, cause)| cause).collect()
}

fn news(project: &Project, finding: &Finding, reader: &Reader) -> FindingNews {
    let assumed = finding
        .rests_on
        .iter()
        .filter(|reliance| matches!(reliance.standing, Standing::Assumed { .. }))
        .map(|reliance| format!("{} of {}", reliance.field.replace('_', " "), reliance.element));
    FindingNews {
        key: key_of(finding),
        sentence: finding.sentence(reader),
        elements: finding.subjects.iter().map(name_of).collect(),
        place: finding.place.map(|(x, y)| [x, y]),
        assumed: assumed.collect(),
        remedies: finding
            .remedies
            .iter()
            .map(|remedy| RemedyNews { action: remedy.action.clone(), can: !remedy.commands.is_empty() })
            .collect(),
        accepted: accepted(project, finding)
            .map(|record| AcceptedNews { id: record.id.to_string(), reason: record.reason.clone() }),
    }
}

fn found<'o>(outcome: &'o Outcome, key: &str) -> Result<&'o Finding, HandError> {
    outcome.findings.iter().find(|finding| key_of(finding) == key).ok_or(HandError::NoFinding)
}

/// The commands of a remedy.
///
/// # Errors
/// When the finding or its remedy is gone, or only a person can do it.
pub fn remedy(outcome: &Outcome, key: &str, index: usize) -> Result<Vec<Command>, HandError> {
    let remedy = found(outcome, key)?.remedies.get(index).ok_or(HandError::NoFinding)?;
    if remedy.commands.is_empty() {
        return Err(HandError::ByHand(remedy.action.clone()));
    }
    Ok(remedy.commands.clone())
}

/// The record of an acceptance.
///
/// # Errors
/// When the finding is gone or no reason is given.
pub fn acceptance(bench: Bench<'_>, key: &str, reason: &str) -> Result<Command, HandError> {
    let finding = found(bench.outcome, key)?;
    let reason = reason.trim();
    if reason.is_empty() {
        return Err(HandError::NoReason);
    }
    let wish = finding.rule.id.rsplit('.').next().unwrap_or("finding");
    let element = bench.free_id(Kind::Acceptance, wish, &Made::default());
    let about: Vec<String> = finding.subjects.iter().map(|subject| quoted(&name_of(subject))).collect();
    let body = format!(
        "finding = {}\nabout = [{}]\nreason = {}",
        quoted(finding.rule.id),
        about.join(", "),
        quoted(reason)
    );
    Ok(Command::Add { element, body })
}
