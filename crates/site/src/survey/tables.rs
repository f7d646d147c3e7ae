//! Tables of the survey: points with their accuracy, readings with their residuals.

use groundwright_handoff::{Cell, Column, Datum, Dimension, Table};
use groundwright_survey::Observed;
use groundwright_units::System;

use super::SurveyStudy;

pub(super) fn tables(study: &SurveyStudy<'_>) -> Vec<Table> {
    let readings = study.readings;
    if readings.book.is_empty() {
        return Vec::new();
    }
    vec![points(study), lines(study)]
}

fn length(value: f64) -> Cell {
    Cell::Datum(Datum::length(value))
}

/// A residual or an accuracy, finer than any tape is read: a hundredth of an inch, a tenth of a
/// millimetre. What is longer than a foot or a decimetre is a slip, and is shown like any length.
pub(super) fn fine(study: &SurveyStudy<'_>, value: f64) -> String {
    let (unit, least, words, places) = match study.reader.system {
        System::Us => (0.0254, 0.3048, "\"", 2),
        System::Metric => (0.001, 0.1, " mm", 1),
    };
    if value.abs() >= least {
        return study.reader.length(value);
    }
    // Adding zero makes -0 plain.
    let grain = 10_f64.powi(places);
    let shown = (value / unit * grain).round() / grain + 0.0;
    format!("{shown:.precision$}{words}", precision = places as usize)
}

fn points(study: &SurveyStudy<'_>) -> Table {
    let adjusted = study.readings.network.as_ref().map(|network| &network.cleaned);
    let scale = adjusted
        .and_then(groundwright_survey::Adjustment::variance_factor)
        .map_or(1.0, |factor| factor.max(1.0).sqrt());
    let heights = study.readings.levels.as_ref().map(|levels| &levels.heights);
    let small = |value: f64| Cell::Text(fine(study, value));
    let rows = study.readings.book.network.points.iter().enumerate().map(|(i, point)| {
        let known = adjusted.map(|a| &a.points[i]).filter(|point| point.determined);
        let place = |axis: fn(&groundwright_survey::AdjustedPoint) -> f64| {
            known.map_or(Cell::Empty, |p| length(axis(p)))
        };
        let height = heights.and_then(|heights| heights.get(&point.name));
        vec![
            Cell::Text(study.booked(i).to_owned()),
            Cell::Text(point.name.clone()),
            place(|p| p.at.x),
            place(|p| p.at.y),
            known.map_or(Cell::Empty, |p| small(scale * p.ellipse().major)),
            known.map_or(Cell::Empty, |p| small(scale * p.ellipse().minor)),
            height.map_or(Cell::Empty, |level| length(level.height)),
            height.map_or(Cell::Empty, |level| small(level.sigma)),
        ]
    });
    Table {
        key: "survey-points",
        title: "Survey points".to_owned(),
        columns: vec![
            Column::text("Point", 1.4),
            Column::text("Id", 1.2),
            Column::number("x", 1.0),
            Column::number("y", 1.0),
            Column::number("± most", 0.8),
            Column::number("± least", 0.8),
            Column::number("Height", 1.0),
            Column::number("±", 0.8),
        ],
        rows: rows.collect(),
        notes: vec![
            "± is one standard deviation: the half axes of the error ellipse, and of the height.".to_owned(),
            "Where the readings scatter more than their stated accuracy, ± is widened by as much.".to_owned(),
        ],
    }
}

fn lines(study: &SurveyStudy<'_>) -> Table {
    let network = study.readings.network.as_ref();
    let small = |value: f64| Cell::Text(fine(study, value));
    let rows = study.readings.book.network.readings.iter().enumerate().map(|(i, reading)| {
        let adjusted = network.map(|network| &network.cleaned.readings[i]);
        let value = |value: f64| match reading.observed {
            Observed::Angle { .. } => Cell::Datum(Datum { value, dimension: Dimension::Angle }),
            _ => length(value),
        };
        let booked =
            reading.booked.as_ref().map_or_else(|| value(reading.value), |b| Cell::Text(b.text.clone()));
        let residual = adjusted.map_or(Cell::Empty, |a| match reading.observed {
            Observed::Angle { .. } => Cell::Datum(Datum { value: a.residual, dimension: Dimension::Angle }),
            _ => small(a.residual),
        });
        let suspected = network.is_some_and(|network| network.suspects.iter().any(|s| s.reading == i));
        let checked = match adjusted {
            _ if suspected => Cell::Text("left out".to_owned()),
            Some(a) if !a.used => Cell::Text("not used".to_owned()),
            Some(a) if a.standardised.is_none() => Cell::Text("unchecked".to_owned()),
            Some(a) => Cell::Datum(Datum::ratio((a.redundancy * 100.0).round() / 100.0)),
            None => Cell::Empty,
        };
        vec![
            Cell::Text(study.line(i).to_string()),
            Cell::Text(study.words(i)),
            booked,
            adjusted.map_or(Cell::Empty, |a| value(a.adjusted)),
            residual,
            checked,
        ]
    });
    Table {
        key: "survey-readings",
        title: "Survey readings".to_owned(),
        columns: vec![
            Column::text("Line", 0.5),
            Column::text("Reading", 2.2),
            Column::number("Booked", 1.0),
            Column::number("Adjusted", 1.0),
            Column::number("Residual", 0.8),
            Column::number("Checked", 0.8),
        ],
        rows: rows.collect(),
        notes: vec![
            "Residual: adjusted minus booked. Checked: share of the reading that the others check."
                .to_owned(),
        ],
    }
}
