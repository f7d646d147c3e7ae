//! Findings: what is wrong or worth knowing, as data.
//!
//! A finding names a [`Rule`], and carries the numbers that the rule's sentence speaks of. The
//! sentence is made for the reader, in the reader's units, from the rule's template; so findings
//! can be grouped, ranked, translated and compared without reading prose.

use groundwright_geometry::Point;
use groundwright_plan::{Command, ElementRef, Standing};
use groundwright_units::Reader;

use crate::Datum;

/// How much a finding matters, most serious first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// Somebody could be hurt, or a service cut.
    Danger,
    /// It will fail, die, not fit or cost much.
    Fault,
    /// It may disappoint; a person should decide.
    Doubt,
    /// Good to know.
    Note,
}

/// Where a limit or a method comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Source {
    /// A standard, handbook or paper, with table or equation where it has one.
    Published(&'static str),
    /// Common practice of the trade, no source.
    CommonPractice,
    /// A rule of the project or of the firm's practice file.
    Practice,
}

impl Source {
    /// The words for a reader.
    pub fn words(self) -> &'static str {
        match self {
            Self::Published(words) => words,
            Self::CommonPractice => "common practice, no source",
            Self::Practice => "this firm's practice file",
        }
    }
}

/// A rule that a finding reports on. Rules are static: one per thing that can be wrong.
#[derive(Debug, PartialEq, Eq, serde::Serialize)]
pub struct Rule {
    /// Stable name, `discipline.subject` in kebab case, such as `planting.row-short`.
    pub id: &'static str,
    /// Heading under which findings of this cause are grouped.
    pub title: &'static str,
    /// Sentence with `{name}` for each value; `{subject}` is the first subject, and `{one|many}` is
    /// `one` where the value `count` is 1.
    pub sentence: &'static str,
    /// Where the limit comes from.
    pub source: Source,
}

/// What a finding rests on: a value of the project and how well it is known.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Reliance {
    /// The element.
    pub element: ElementRef,
    /// The field.
    pub field: &'static str,
    /// How it is known.
    pub standing: Standing,
}

/// A way to mend it, cheapest first in a finding's list.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Remedy {
    /// What to do, as a short imperative.
    pub action: String,
    /// The commands that do it, if the tool can.
    pub commands: Vec<Command>,
}

/// One finding.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Finding {
    /// The rule.
    pub rule: &'static Rule,
    /// How much it matters here.
    pub severity: Severity,
    /// Whom it concerns, the main one first.
    pub subjects: Vec<ElementRef>,
    /// Where. [m]
    pub place: Option<(f64, f64)>,
    /// Years after planting at which it begins. [a]
    pub year: Option<f64>,
    /// The numbers, by the names that the rule's sentence uses.
    pub values: Vec<(&'static str, Datum)>,
    /// The words, by the names that the rule's sentence uses.
    pub words: Vec<(&'static str, String)>,
    /// The limit that was passed, if there is one.
    pub limit: Option<Datum>,
    /// Values of the project that the answer rests on.
    pub rests_on: Vec<Reliance>,
    /// Ways to mend it, cheapest first.
    pub remedies: Vec<Remedy>,
}

impl Finding {
    /// A finding about `subject`; add numbers, words and remedies to it.
    pub fn new(rule: &'static Rule, severity: Severity, subject: ElementRef) -> Self {
        Self {
            rule,
            severity,
            subjects: vec![subject],
            place: None,
            year: None,
            values: Vec::new(),
            words: Vec::new(),
            limit: None,
            rests_on: Vec::new(),
            remedies: Vec::new(),
        }
    }

    /// Adds a number under the name that the sentence uses.
    #[must_use]
    pub fn value(mut self, name: &'static str, datum: Datum) -> Self {
        self.values.push((name, datum));
        self
    }

    /// Adds a word under the name that the sentence uses.
    #[must_use]
    pub fn word(mut self, name: &'static str, text: impl Into<String>) -> Self {
        self.words.push((name, text.into()));
        self
    }

    /// Sets the limit; the sentence may use it as `{limit}`.
    #[must_use]
    pub fn limit(mut self, datum: Datum) -> Self {
        self.limit = Some(datum);
        self
    }

    /// Sets the place. [m]
    #[must_use]
    pub fn at(mut self, place: Point) -> Self {
        self.place = Some((place.x, place.y));
        self
    }

    /// Adds another subject.
    #[must_use]
    pub fn also(mut self, subject: ElementRef) -> Self {
        self.subjects.push(subject);
        self
    }

    /// Sets the year in which it begins. [a]
    #[must_use]
    pub fn from_year(mut self, year: f64) -> Self {
        self.year = Some(year);
        self
    }

    /// Adds a value of the project that the answer rests on.
    #[must_use]
    pub fn rests_on(mut self, element: ElementRef, field: &'static str, standing: Standing) -> Self {
        self.rests_on.push(Reliance { element, field, standing });
        self
    }

    /// Adds a way to mend it.
    #[must_use]
    pub fn remedy(mut self, action: impl Into<String>, commands: Vec<Command>) -> Self {
        self.remedies.push(Remedy { action: action.into(), commands });
        self
    }

    /// The rule's sentence with this finding's numbers in the reader's units.
    pub fn sentence(&self, reader: &Reader) -> String {
        let count = self.values.iter().find(|(name, _)| *name == "count").map(|(_, datum)| datum.value);
        let mut text = numbered(self.rule.sentence, count == Some(1.0));
        if let Some(subject) = self.subjects.first() {
            text = text.replace("{subject}", &subject.to_string());
        }
        for (name, datum) in &self.values {
            text = text.replace(&format!("{{{name}}}"), &datum.show(reader));
        }
        if let Some(limit) = self.limit {
            text = text.replace("{limit}", &limit.show(reader));
        }
        for (name, word) in &self.words {
            text = text.replace(&format!("{{{name}}}"), word);
        }
        text
    }
}

/// A template with each `{one|many}` in its singular or plural.
fn numbered(template: &str, one: bool) -> String {
    let mut text = String::with_capacity(template.len());
    let mut rest = template;
    while let Some((before, from)) = rest.split_once('{') {
        let Some((name, after)) = from.split_once('}') else { break };
        text.push_str(before);
        match name.split_once('|') {
            Some((singular, plural)) => text.push_str(if one { singular } else { plural }),
            None => text.extend(["{", name, "}"]),
        }
        rest = after;
    }
    text + rest
}

#[cfg(test)]
mod tests {
    use groundwright_plan::Kind;

    use super::*;

    static RULE: Rule = Rule {
        id: "test.count",
        title: "Count",
        sentence: "{subject}: {count} {hole is|holes are} near {other}.",
        source: Source::CommonPractice,
    };

    /// One is one; many and none are many; what a word brings along is no template.
    #[test]
    fn a_sentence_agrees_with_its_count() {
        let reader = Reader::new(groundwright_units::System::Metric);
        let said = |count: usize| {
            Finding::new(&RULE, Severity::Note, ElementRef::new(Kind::Planting, &"row".into()))
                .value("count", Datum::count(count))
                .word("other", "{a|b}")
                .sentence(&reader)
        };
        assert_eq!(said(1), "planting `row`: 1 hole is near {a|b}.");
        assert_eq!(said(3), "planting `row`: 3 holes are near {a|b}.");
        assert_eq!(said(0), "planting `row`: 0 holes are near {a|b}.");
    }
}
