//! Common slips of taping and booking, and which of them explains an error.
//!
//! - In: a reading as booked, its error, and how well that error is known. Out: slips that explain
//!   it, likeliest first, each with the value that was likely meant.
//! - Method: every slip is undone in turn; it explains the error when what is left is within three
//!   standard deviations. Kinds of slip: common practice, no source.
//! - A slip explains, it does not prove: the reading is to be taken again.

use groundwright_units::constants::{FOOT, INCH};
use groundwright_units::{LengthUnit, parse_length};

use crate::adjust::Adjustment;
use crate::network::{Booked, Network, Observed};
use crate::snooping::Suspect;

/// Slips that are listed at most.
const LISTED: usize = 3;

/// What was likely done.
#[derive(Debug, Clone, PartialEq)]
pub enum SlipKind {
    /// Two neighbouring digits written in the wrong order.
    TransposedDigits,
    /// One digit read for another that looks like it: 6 and 9, 1 and 7, 3 and 8, 5 and 6.
    MisreadDigit,
    /// Tenths of a foot booked as inches, or inches as tenths.
    TenthsForInches,
    /// Feet and inches in the wrong order.
    FeetForInches,
    /// Whole marks of the tape miscounted: by this much too long, negative too short. [m]
    Miscount(f64),
    /// Read to another point.
    OtherPoint(usize),
}

impl SlipKind {
    /// Words for a reader; `name` names points.
    pub fn words(&self, name: impl Fn(usize) -> String) -> String {
        match self {
            Self::TransposedDigits => "two digits transposed".to_owned(),
            Self::MisreadDigit => "one digit misread".to_owned(),
            Self::TenthsForInches => "tenths of a foot taken for inches".to_owned(),
            Self::FeetForInches => "feet and inches the wrong way round".to_owned(),
            Self::Miscount(by) => {
                let sense = if *by > 0.0 { "long" } else { "short" };
                let feet = by.abs() / FOOT;
                let size = if (feet - feet.round()).abs() < 1e-9 {
                    format!("{feet:.0} ft")
                } else {
                    format!("{} m", by.abs())
                };
                format!("tape miscounted, {size} too {sense}")
            }
            Self::OtherPoint(point) => format!("taped to `{}` instead", name(*point)),
        }
    }
}

/// A slip that explains an error.
#[derive(Debug, Clone, PartialEq)]
pub struct Slip {
    /// What was likely done.
    pub kind: SlipKind,
    /// The value that was likely meant; of a tape to another point the length to that. [m]
    pub meant: f64,
    /// The text that was likely meant, where the slip is one of writing.
    pub text: Option<String>,
}

/// Slips that explain the error of a suspect.
pub(crate) fn explain(network: &Network, cleaned: &Adjustment, suspect: &Suspect) -> Vec<Slip> {
    let reading = &network.readings[suspect.reading];
    let (from, to) = match reading.observed {
        Observed::Distance { from, to } => (from, to),
        Observed::Along { .. } | Observed::Across { .. } => (usize::MAX, usize::MAX),
        Observed::Angle { .. } => return Vec::new(),
    };
    let truth = reading.value - suspect.error;
    let mut slips = written(reading.booked.as_ref(), reading.value);
    if matches!(reading.observed, Observed::Distance { .. }) {
        slips.extend(miscounts(reading.value));
    }
    if from != usize::MAX {
        slips.extend(other_points(cleaned, from, to));
    }
    // A tape read to another point is good in itself: it is compared with what was read.
    let misfit = |slip: &Slip| match slip.kind {
        SlipKind::OtherPoint(_) => (slip.meant - reading.value).abs(),
        _ => (slip.meant - truth).abs(),
    };
    likely(slips, misfit, suspect.sigma, suspect.error)
}

/// Slips of the pen and of the rod that explain an error in a reading of heights. [m]
pub(crate) fn explain_height(booked: Option<&Booked>, value: f64, error: f64, sigma: f64) -> Vec<Slip> {
    let mut slips = written(booked, value);
    slips.extend(miscounts(value));
    likely(slips, |slip| (slip.meant - (value - error)).abs(), sigma, error)
}

/// Those that explain the error, the commonest first.
fn likely(mut slips: Vec<Slip>, misfit: impl Fn(&Slip) -> f64, sigma: f64, error: f64) -> Vec<Slip> {
    // What explains must also be a real improvement, not a slip as small as the noise.
    slips.retain(|slip| misfit(slip) <= 3.0 * sigma && misfit(slip) < 0.5 * error.abs());
    slips.sort_by(|a, b| rank(&a.kind).cmp(&rank(&b.kind)).then(misfit(a).total_cmp(&misfit(b))));
    slips.dedup_by(|a, b| a.kind == b.kind);
    slips.truncate(LISTED);
    slips
}

/// The commonest slips first.
fn rank(kind: &SlipKind) -> u8 {
    match kind {
        SlipKind::Miscount(_) => 0,
        SlipKind::TransposedDigits => 1,
        SlipKind::TenthsForInches => 2,
        SlipKind::FeetForInches => 3,
        SlipKind::MisreadDigit => 4,
        SlipKind::OtherPoint(_) => 5,
    }
}

/// Slips of the pen.
fn written(booked: Option<&Booked>, value: f64) -> Vec<Slip> {
    let (text, unit) = match booked {
        Some(booked) => (booked.text.clone(), booked.unit),
        None => (format!("{value:.3}"), Some(LengthUnit::Metre)),
    };
    let mut slips = Vec::new();
    let mut add = |kind: SlipKind, text: String| {
        if let Ok(meant) = parse_length(&text, unit) {
            slips.push(Slip { kind, meant: meant.value.metres(), text: Some(text) });
        }
    };
    let letters: Vec<char> = text.chars().collect();
    let digits: Vec<usize> = (0..letters.len()).filter(|i| letters[*i].is_ascii_digit()).collect();
    for pair in digits.windows(2) {
        let near = pair[1] == pair[0] + 1 || (pair[1] == pair[0] + 2 && letters[pair[0] + 1] == '.');
        if near && letters[pair[0]] != letters[pair[1]] {
            let mut swapped = letters.clone();
            swapped.swap(pair[0], pair[1]);
            add(SlipKind::TransposedDigits, swapped.into_iter().collect());
        }
    }
    for &i in &digits {
        for looks in alike(letters[i]) {
            let mut other = letters.clone();
            other[i] = *looks;
            add(SlipKind::MisreadDigit, other.into_iter().collect());
        }
    }
    slips.extend(feet_and_inches(&text, unit));
    slips
}

/// Digits that are read for one another.
fn alike(digit: char) -> &'static [char] {
    match digit {
        '0' => &['6', '9', '8'],
        '1' => &['7', '4'],
        '3' => &['8', '5'],
        '4' => &['1', '9'],
        '5' => &['6', '3'],
        '6' => &['9', '0', '5'],
        '7' => &['1'],
        '8' => &['3', '0'],
        '9' => &['6', '4', '0'],
        _ => &[],
    }
}

/// Slips between feet, tenths and inches, from the numbers of the text.
fn feet_and_inches(text: &str, unit: Option<LengthUnit>) -> Vec<Slip> {
    let mut slips = Vec::new();
    let numbers: Vec<&str> =
        text.split(|c: char| !c.is_ascii_digit()).filter(|part| !part.is_empty()).collect();
    let [first, second, ..] = numbers.as_slice() else { return slips };
    let (Ok(whole), Ok(part)) = (first.parse::<f64>(), second.parse::<f64>()) else { return slips };
    let metric =
        text.contains('m') || (unit.is_some_and(LengthUnit::is_metric) && !text.contains(['\'', '"', '-']));
    if metric {
        return slips;
    }
    let mut add = |kind, meant, text| slips.push(Slip { kind, meant, text: Some(text) });
    if text.contains('.') {
        if part < 12.0 && second.len() <= 2 {
            add(SlipKind::TenthsForInches, whole * FOOT + part * INCH, format!("{first}' {part}\""));
        }
    } else if numbers.len() == 2 {
        let tenths = part / if part < 10.0 { 10.0 } else { 100.0 };
        add(SlipKind::TenthsForInches, (whole + tenths) * FOOT, format!("{first}.{second}'"));
        if whole < 12.0 {
            add(SlipKind::FeetForInches, part * FOOT + whole * INCH, format!("{second}' {first}\""));
        }
    }
    slips
}

/// Whole marks of the tape: 1 ft, 10 ft, 1 m, 10 m; and a tape held at its first foot or decimetre.
fn miscounts(value: f64) -> Vec<Slip> {
    let steps = [FOOT, 10.0 * FOOT, 1.0, 10.0, 0.1];
    let mut slips = Vec::new();
    for by in steps.iter().flat_map(|step| [*step, -*step]) {
        let meant = value - by;
        if meant > 0.0 {
            slips.push(Slip { kind: SlipKind::Miscount(by), meant, text: None });
        }
    }
    slips
}

fn other_points(cleaned: &Adjustment, from: usize, to: usize) -> Vec<Slip> {
    let mut slips = Vec::new();
    for (held, wrong) in [(from, to), (to, from)] {
        for (i, point) in cleaned.points.iter().enumerate() {
            if i != held && i != wrong && point.determined && cleaned.points[held].determined {
                let meant = (point.at - cleaned.points[held].at).hypot();
                slips.push(Slip { kind: SlipKind::OtherPoint(i), meant, text: None });
            }
        }
    }
    slips
}
