//! Angles and slopes.
//!
//! - In: `12°`, `12 deg`, `0.2 rad`; `3:1` (run:rise, as slopes of soil are called), `5 %` and
//!   `1/4" per ft` (rise on run, as falls of paving are). Out: radians.
//! - The spread behind `±` is read by itself, as an angle or slope of its own.

use super::scan::lone_number;
use super::{ParseError, Parsed, Source, measure, with_spread};
use crate::parse::length::parse_length;
use crate::quantities::Angle;
use crate::unit_names::{AngleUnit, Unit};

/// An angle, or the inclination of a slope. [rad]
///
/// # Arguments
/// - `text`: one of the notations in the header of this file, approximate or not.
/// - `default_unit`: the unit a bare number takes; none where a unit must be written.
///
/// # Errors
/// [`ParseError`], as for lengths; [`ParseError::NoRun`] for a slope whose run is not above zero.
pub fn parse_angle(text: &str, default_unit: Option<AngleUnit>) -> Result<Parsed<Angle>, ParseError> {
    let parsed = with_spread(
        text,
        AngleUnit::WHAT,
        AngleUnit::EXAMPLE,
        |source| read(source, default_unit).map(|angle| (angle, ())),
        |source, _, ()| read(source, default_unit),
    )?;
    Ok(parsed.map(Angle::from_radians))
}

fn read(source: Source<'_>, default_unit: Option<AngleUnit>) -> Result<f64, ParseError> {
    let part = |text| Source { text, ..source };
    if let Some(percent) = source.text.strip_suffix('%') {
        return Ok((lone_number(part(percent.trim()))? / 100.0).atan());
    }
    if let Some((run, rise)) = source.text.split_once(':') {
        return slope(source, lone_number(part(rise.trim()))?, lone_number(part(run.trim()))?);
    }
    if let Some((rise, run)) = source.text.split_once(" per ") {
        return slope(source, length(rise)?, run_length(run)?);
    }
    measure::read(source, default_unit).map(|(angle, _)| angle)
}

fn slope(source: Source<'_>, rise: f64, run: f64) -> Result<f64, ParseError> {
    if run > 0.0 {
        Ok((rise / run).atan())
    } else {
        Err(ParseError::NoRun { text: source.written.to_owned() })
    }
}

/// The run of `1/4" per ft`: a length, or a unit alone for one of it. [m]
fn run_length(text: &str) -> Result<f64, ParseError> {
    if text.trim_start().starts_with(|c: char| c.is_ascii_digit()) {
        length(text)
    } else {
        length(&format!("1 {text}"))
    }
}

fn length(text: &str) -> Result<f64, ParseError> {
    parse_length(text, None).map(|parsed| parsed.value.metres())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn angles_and_slopes_are_read_in_every_notation() {
        for (text, degrees) in [
            ("12 deg", 12.0),
            ("12°", 12.0),
            ("-12.5°", -12.5),
            ("0.2 rad", 0.2_f64.to_degrees()),
            ("1:1", 45.0),
            ("100 %", 45.0),
            ("3:1", (1.0_f64 / 3.0).atan().to_degrees()),
            ("5 %", 0.05_f64.atan().to_degrees()),
            ("5%", 0.05_f64.atan().to_degrees()),
            ("1/4\" per ft", (0.25_f64 / 12.0).atan().to_degrees()),
            ("1/4 in per foot", (0.25_f64 / 12.0).atan().to_degrees()),
            ("1 ft per 10 ft", 0.1_f64.atan().to_degrees()),
            ("3:0", 0.0),
        ] {
            let ours = parse_angle(text, None).unwrap().value.degrees();
            assert!((ours - degrees).abs() < 1e-12, "{text}: {ours}");
        }
    }

    #[test]
    fn a_slope_without_run_is_refused() {
        for text in ["0:1", "-3:1", "0:0", "1\" per 0 ft"] {
            let error = parse_angle(text, None).unwrap_err();
            assert!(matches!(error, ParseError::NoRun { .. }), "{text}: {error}");
        }
    }

    #[test]
    fn a_spread_is_an_angle_of_its_own() {
        let parsed = parse_angle("12° ± 2°", None).unwrap();
        assert!((parsed.approximate.unwrap().degrees() - 2.0).abs() < 1e-12);
        let parsed = parse_angle("12 ±", Some(AngleUnit::Degree)).unwrap();
        assert!((parsed.approximate.unwrap().degrees() - 1.2).abs() < 1e-12);
    }
}
