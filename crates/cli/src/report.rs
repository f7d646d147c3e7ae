//! Faults and findings, for people and as JSON.

use std::fmt::Write as _;

use groundwright_handoff::{Finding, Severity};
use groundwright_package::severity_word;
use groundwright_plan::{Fault, Loaded, Sources};
use groundwright_units::Reader;
use groundwright_yard::PlaceFault;
use miette::{Diagnostic, GraphicalReportHandler, NamedSource, SourceSpan};
use serde_json::{Value, json};

/// A fault with the text it stands in, for miette to draw.
#[derive(Debug, thiserror::Error, Diagnostic)]
#[error("{problem}")]
struct Shown {
    problem: String,
    #[help]
    help: Option<String>,
    #[source_code]
    text: NamedSource<String>,
    #[label("{label}")]
    span: SourceSpan,
    label: String,
}

/// Prints faults to standard error: each with its line of text, what was expected and the remedy.
pub(crate) fn faults(faults: &[Fault], sources: &Sources) {
    let handler = GraphicalReportHandler::new();
    for fault in faults {
        let text = sources.text(&fault.file).unwrap_or_default().to_owned();
        let help: Vec<&str> =
            [fault.expected.as_str(), fault.remedy.as_str()].into_iter().filter(|t| !t.is_empty()).collect();
        let shown = Shown {
            problem: format!("{}:{}:{}: {}", fault.file, fault.line, fault.column, fault.problem),
            help: (!help.is_empty())
                .then(|| format!("expected {}", help.join("; ")).replace("expected did", "did")),
            text: NamedSource::new(&fault.file, text),
            span: (fault.start, (fault.end - fault.start).min(200)).into(),
            label: "here".to_owned(),
        };
        let mut out = String::new();
        match handler.render_report(&mut out, &shown) {
            Ok(()) => eprintln!("{out}"),
            Err(_) => eprintln!("{fault}"),
        }
    }
    let files = if faults.len() == 1 { "1 fault" } else { &format!("{} faults", faults.len()) };
    eprintln!("{files}; nothing was changed.");
}

/// What cannot be placed, as faults with the place in the file.
pub(crate) fn placed(faults: &[PlaceFault], loaded: &Loaded) -> Vec<Fault> {
    faults
        .iter()
        .map(|fault| {
            let found = loaded.spans.find(&fault.element, fault.field);
            let (file, span) = found.unwrap_or(("property.toml", 0..0));
            let text = loaded.sources.text(file).unwrap_or_default();
            Fault::at(file, text, span, format!("{}: `{}`: {}", fault.element, fault.field, fault.problem))
                .remedy(&fault.remedy)
        })
        .collect()
}

/// Where a finding's main subject stands: `design.toml:12`.
fn location(finding: &Finding, loaded: &Loaded) -> Option<(String, usize)> {
    let subject = finding.subjects.first()?;
    let (file, span) = loaded.spans.find(subject, "id")?;
    let (line, _) = groundwright_plan::line_and_column(loaded.sources.text(file)?, span.start);
    Some((file.to_owned(), line))
}

/// Findings for people: by weight, those of one cause under one heading, the cheapest remedy first.
pub(crate) fn findings_text(findings: &[Finding], loaded: &Loaded, reader: &Reader) -> String {
    let mut out = String::new();
    let mut heading: Option<(&str, Severity)> = None;
    for finding in findings {
        let group = (finding.rule.title, finding.severity);
        if heading != Some(group) {
            let count = findings.iter().filter(|f| (f.rule.title, f.severity) == group).count();
            let _ = writeln!(
                out,
                "\n{} · {} ({count})",
                severity_word(finding.severity).to_uppercase(),
                finding.rule.title
            );
            let _ = writeln!(out, "    source: {}", finding.rule.source.words());
            heading = Some(group);
        }
        let at = location(finding, loaded).map_or(String::new(), |(file, line)| format!("  [{file}:{line}]"));
        let _ = writeln!(out, "  - {}{at}", finding.sentence(reader));
        for remedy in &finding.remedies {
            let _ = writeln!(out, "      → {}", remedy.action);
        }
    }
    out
}

/// Findings as JSON: numbers as numbers in SI, words as words, remedies as commands.
pub(crate) fn findings_json(findings: &[Finding], loaded: &Loaded, reader: &Reader) -> Value {
    let one = |finding: &Finding| {
        let at = location(finding, loaded);
        json!({
            "rule": finding.rule.id,
            "title": finding.rule.title,
            "severity": finding.severity,
            "sentence": finding.sentence(reader),
            "source": finding.rule.source.words(),
            "subjects": finding.subjects,
            "file": at.as_ref().map(|(file, _)| file),
            "line": at.as_ref().map(|(_, line)| line),
            "place_m": finding.place,
            "year": finding.year,
            "values": finding.values.iter().map(|(name, datum)| (name.to_string(), json!(datum))).collect::<serde_json::Map<_, _>>(),
            "words": finding.words.iter().map(|(name, word)| (name.to_string(), json!(word))).collect::<serde_json::Map<_, _>>(),
            "limit": finding.limit,
            "rests_on": finding.rests_on,
            "remedies": finding.remedies,
        })
    };
    Value::Array(findings.iter().map(one).collect())
}

/// Faults as JSON.
pub(crate) fn faults_json(faults: &[Fault]) -> Value {
    json!(faults)
}
