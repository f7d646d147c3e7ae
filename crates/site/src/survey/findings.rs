//! Findings of the survey: slips, what nothing checks, what is not determined, what may be mirrored.

use groundwright_handoff::{Datum, Finding, Rule, Severity, Source};
use groundwright_plan::{ElementRef, Kind};
use groundwright_survey::statistics::chi_squared_quantile;
use groundwright_survey::{Booked, Observed, Slip, missing};

use super::SurveyStudy;

const BAARDA: Source = Source::Published("W. Baarda, A testing procedure for use in geodetic networks, 1968");

static SLIP: Rule = Rule {
    id: "survey.slip",
    title: "Reading that is likely wrong",
    sentence: "Line {line}: {reading}, booked {booked}, is off by {error} against the other readings{slip}; it is left out.",
    source: BAARDA,
};
static ALIKE: Rule = Rule {
    id: "survey.slip-unclear",
    title: "One of several readings is wrong",
    sentence: "Line {line}: {reading} does not agree with the others by {error}, and lines {lines} are as likely to be the wrong ones.",
    source: BAARDA,
};
static NO_CHECK: Rule = Rule {
    id: "survey.no-check",
    title: "Survey without a check",
    sentence: "No reading of the survey is checked by another: a slip would show nowhere.",
    source: Source::CommonPractice,
};
static UNCHECKED: Rule = Rule {
    id: "survey.unchecked",
    title: "Points held by readings that nothing checks",
    sentence: "{count} {point hangs|points hang} on readings that no other checks: {points} (lines {lines}).",
    source: BAARDA,
};
static FREE: Rule = Rule {
    id: "survey.undetermined",
    title: "Points that are not determined",
    sentence: "{subject} is not determined by the readings, and nothing can be placed by it.",
    source: Source::CommonPractice,
};
static MIRRORED: Rule = Rule {
    id: "survey.mirrored",
    title: "Points that fit on both sides of a line",
    sentence: "{subject} fits as well on the other side of the line from {from} to {to}, at ({x}, {y}).",
    source: Source::CommonPractice,
};
static SCATTER: Rule = Rule {
    id: "survey.scatter",
    title: "Readings scatter more than the tape should",
    sentence: "The readings scatter {factor} times as much as their accuracy says, more than chance allows.",
    source: Source::Published("global test of the variance factor, chi-squared at 97.5 %"),
};
static LEVEL_SLIP: Rule = Rule {
    id: "survey.level-slip",
    title: "Height that is likely wrong",
    sentence: "Line {line}: the height read at {point}, booked {booked}, is off by {error} against the others{slip}; it is left out.",
    source: BAARDA,
};
static LEVEL_FREE: Rule = Rule {
    id: "survey.level-undetermined",
    title: "Points without a height",
    sentence: "{subject}: no reading ties its height to a known one.",
    source: Source::CommonPractice,
};

pub(super) fn findings(study: &SurveyStudy<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    slips(study, &mut all);
    checks(study, &mut all);
    free(study, &mut all);
    levels(study, &mut all);
    all
}

fn about(study: &SurveyStudy<'_>, reading: usize) -> ElementRef {
    let points = study.readings.book.network.readings[reading].observed.points().next();
    study.element(points.unwrap_or(0))
}

fn list(lines: impl IntoIterator<Item = usize>) -> String {
    let mut lines: Vec<usize> = lines.into_iter().collect();
    lines.sort_unstable();
    lines.dedup();
    lines.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

/// The reading as it stands in the book.
fn booked(study: &SurveyStudy<'_>, booked: Option<&Booked>, value: f64) -> String {
    booked.map_or_else(|| study.reader.length(value), |booked| booked.text.clone())
}

/// The likeliest slip, in brackets.
fn explained(study: &SurveyStudy<'_>, slips: &[Slip]) -> String {
    slips.first().map_or_else(String::new, |slip| {
        format!(" ({})", slip.kind.words(|point| study.booked(point).to_owned()))
    })
}

fn slips(study: &SurveyStudy<'_>, all: &mut Vec<Finding>) {
    let Some(network) = &study.readings.network else { return };
    for suspect in &network.suspects {
        let reading = &study.readings.book.network.readings[suspect.reading];
        let error = match reading.observed {
            Observed::Angle { .. } => {
                Datum { value: suspect.error.abs(), dimension: groundwright_handoff::Dimension::Angle }
            }
            _ => Datum::length(suspect.error.abs()),
        };
        let rule = if suspect.alike.is_empty() { &SLIP } else { &ALIKE };
        let booked = booked(study, reading.booked.as_ref(), reading.value);
        let slip = explained(study, &suspect.slips);
        let mut finding = Finding::new(rule, Severity::Fault, about(study, suspect.reading))
            .word("line", study.line(suspect.reading).to_string())
            .word("reading", study.words(suspect.reading))
            .word("booked", booked)
            .word("slip", slip)
            .word("lines", list(suspect.alike.iter().map(|i| study.line(*i))))
            .value("error", error)
            .value("standardised", Datum::number(suspect.standardised.abs()));
        if let Some(at) = reading.observed.points().next().and_then(|point| study.place(point)) {
            finding = finding.at(at);
        }
        for point in reading.observed.points().skip(1) {
            finding = finding.also(study.element(point));
        }
        all.push(
            finding.remedy("take the reading again, and correct its line in the field book", Vec::new()),
        );
    }
}

fn checks(study: &SurveyStudy<'_>, all: &mut Vec<Finding>) {
    let Some(adjusted) = study.readings.network.as_ref().map(|network| &network.cleaned) else { return };
    let used: Vec<usize> = (0..adjusted.readings.len()).filter(|i| adjusted.readings[*i].used).collect();
    let Some(first) = used.first() else { return };
    if adjusted.freedom == 0 {
        let remedy = "tape one more length across, from a corner to the point that matters most";
        all.push(Finding::new(&NO_CHECK, Severity::Doubt, about(study, *first)).remedy(remedy, Vec::new()));
    } else {
        unchecked(study, &used, all);
    }
    if let Some(factor) = adjusted.variance_factor() {
        let limit = chi_squared_quantile(0.975, adjusted.freedom) / adjusted.freedom as f64;
        if factor > limit {
            all.push(
                Finding::new(&SCATTER, Severity::Doubt, about(study, *first))
                    .value("factor", Datum::number(factor.sqrt()))
                    .limit(Datum::number(limit.sqrt()))
                    .remedy("say how good the tape was with `accuracy`, or look for small slips", Vec::new()),
            );
        }
    }
    for mirrored in &adjusted.mirrored {
        let (x, y) = (study.reader.length(mirrored.other.x), study.reader.length(mirrored.other.y));
        let mut finding = Finding::new(&MIRRORED, Severity::Doubt, study.element(mirrored.point))
            .word("from", study.booked(mirrored.from))
            .word("to", study.booked(mirrored.to))
            .word("x", x)
            .word("y", y)
            .remedy("add a line `side` with left or right to the field book", Vec::new());
        if let Some(at) = study.place(mirrored.point) {
            finding = finding.at(at);
        }
        all.push(finding);
    }
}

/// Points of which every reading is checked by nothing, in one finding.
fn unchecked(study: &SurveyStudy<'_>, used: &[usize], all: &mut Vec<Finding>) {
    let Some(adjusted) = study.readings.network.as_ref().map(|network| &network.cleaned) else { return };
    let mut readings_of = vec![Vec::new(); adjusted.points.len()];
    for &i in used {
        for point in study.readings.book.network.readings[i].observed.points() {
            readings_of[point].push(i);
        }
    }
    let bare = |i: &usize| adjusted.readings[*i].standardised.is_none();
    let hangs = |point: usize| {
        let known = &adjusted.points[point];
        let about = &readings_of[point];
        known.determined && known.qxx > 0.0 && !about.is_empty() && about.iter().all(bare)
    };
    let points: Vec<usize> = (0..adjusted.points.len()).filter(|point| hangs(*point)).collect();
    let Some(first) = points.first() else { return };
    let names: Vec<&str> = points.iter().map(|point| study.booked(*point)).collect();
    let lines = points.iter().flat_map(|point| &readings_of[*point]).map(|i| study.line(*i));
    let mut finding = Finding::new(&UNCHECKED, Severity::Note, study.element(*first))
        .value("count", Datum::count(points.len()))
        .word("points", names.join(", "))
        .word("lines", list(lines))
        .remedy("tape those that matter to one more point", Vec::new());
    if points.len() == 1 {
        finding = finding.at(adjusted.points[*first].at);
    }
    for point in points.iter().skip(1) {
        finding = finding.also(study.element(*point));
    }
    all.push(finding);
}

fn free(study: &SurveyStudy<'_>, all: &mut Vec<Finding>) {
    let Some(network) = &study.readings.network else { return };
    for wanted in missing(&study.readings.book.network, &network.cleaned) {
        let to: Vec<&str> = wanted.to.iter().map(|point| study.booked(*point)).collect();
        let names = study.readings.book.network.points.iter().map(|point| point.name.as_str());
        let own = study.name(wanted.point);
        let near = groundwright_units::nearest_name(own, names.filter(|name| *name != own));
        let mut finding = Finding::new(&FREE, Severity::Fault, study.element(wanted.point));
        if !to.is_empty() {
            finding = finding.remedy(format!("tape it to {}", to.join(" and to ")), Vec::new());
        }
        if let Some(near) = near {
            finding = finding.remedy(format!("or is it `{near}`, written another way?"), Vec::new());
        }
        all.push(finding);
    }
}

fn levels(study: &SurveyStudy<'_>, all: &mut Vec<Finding>) {
    let Some(levelled) = &study.readings.levels else { return };
    let element = |name: &str| ElementRef::new(Kind::Reference, &name.into());
    for suspect in &levelled.suspects {
        use groundwright_survey::levelling::LevelObserved;
        let reading = &study.readings.book.levels.readings[suspect.reading];
        let name = match &reading.observed {
            LevelObserved::Difference { to, .. } => to,
            LevelObserved::Rod { point, .. } => point,
        };
        let line = study.readings.book.level_lines.get(suspect.reading).copied().unwrap_or(0);
        let point = study.readings.book.names.get(name).unwrap_or(name);
        all.push(
            Finding::new(&LEVEL_SLIP, Severity::Fault, element(name))
                .word("line", line.to_string())
                .word("point", point.clone())
                .word("booked", booked(study, reading.booked.as_ref(), reading.value))
                .word("slip", explained(study, &suspect.slips))
                .value("error", Datum::length(suspect.error.abs()))
                .value("standardised", Datum::number(suspect.standardised.abs()))
                .remedy("read it again, and correct its line in the field book", Vec::new()),
        );
    }
    for name in &levelled.undetermined {
        let remedy = "read the rod on it from a set-up that also reads a known point";
        all.push(Finding::new(&LEVEL_FREE, Severity::Doubt, element(name)).remedy(remedy, Vec::new()));
    }
}
