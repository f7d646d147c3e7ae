//! Lengths in the notations of tape, plan and order form.
//!
//! - In: `12' 6"`, `12'-6 1/2"`, `32-6 1/2` (feet and inches, as booked from a tape), `12.50'`,
//!   `3.8 m`, `1,200 ft`, levels with a minus. Out: metres.
//! - A bare number takes the declared unit. Where that is the foot, `12.6` is refused: it may
//!   mean six tenths or six inches. So is `6-1/2` without a mark.
//! - `32-6` is feet and inches unless the declared unit is metric; there it may be a range.
//! - Inches beside feet stay below 12, and their fractions are those of a tape.

use super::scan::{Number, Scanner};
use super::{ParseError, Parsed, Source, measure, percentage_of, with_spread};
use crate::constants::{FOOT, INCH};
use crate::quantities::Length;
use crate::unit_names::{LengthUnit, Unit};

/// A length as the trade writes it. [m]
///
/// # Arguments
/// - `text`: one of the notations in the header of this file, approximate or not.
/// - `default_unit`: the unit a bare number takes; none where a unit must be written.
///
/// # Returns
/// A finite length with its spread. A spread without figure is [`super::ASSUMED_SPREAD`] of the
/// value; one with a figure is a length in any notation, or a percentage of the value. A bare
/// figure takes the unit of the value unless feet or inches are written there.
///
/// # Errors
/// [`ParseError`], which names the text and a spelling that works.
pub fn parse_length(text: &str, default_unit: Option<LengthUnit>) -> Result<Parsed<Length>, ParseError> {
    let parsed = with_spread(
        text,
        LengthUnit::WHAT,
        LengthUnit::EXAMPLE,
        |source| read(source, default_unit),
        |source, value, spelling| match percentage_of(value, source) {
            Some(spread) => spread,
            None => read(source, spelling.unit_of_bare_spread()).map(|(spread, _)| spread),
        },
    )?;
    Ok(parsed.map(Length::from_metres))
}

/// A spacing, which may end in `o.c.` or `on centre`: `18" o.c.`, `450 mm`. [m]
///
/// Arguments, spread and errors as for [`parse_length`]. A spread stands before `o.c.`
pub fn parse_spacing(text: &str, default_unit: Option<LengthUnit>) -> Result<Parsed<Length>, ParseError> {
    let text = text.trim();
    let lower = text.to_ascii_lowercase();
    let suffix =
        ["o.c.", "o.c", "oc", "on centre", "on center"].into_iter().find(|suffix| lower.ends_with(suffix));
    parse_length(&text[..text.len() - suffix.map_or(0, str::len)], default_unit)
}

/// How a length was written, which decides what a bare spread behind it means.
#[derive(Clone, Copy)]
enum Spelling {
    /// A bare number, in the declared unit.
    Bare(LengthUnit),
    /// One unit, written out.
    Unit(LengthUnit),
    /// Feet and inches.
    FeetAndInches,
}

impl Spelling {
    /// `12' ± 6` most likely means inches and says feet, so behind customary marks a spread
    /// needs its own; `3.8 m ± 0.1` has one reading.
    fn unit_of_bare_spread(self) -> Option<LengthUnit> {
        match self {
            Self::Bare(unit) => Some(unit),
            Self::Unit(unit) if unit.is_metric() => Some(unit),
            Self::Unit(_) | Self::FeetAndInches => None,
        }
    }
}

fn read(source: Source<'_>, default_unit: Option<LengthUnit>) -> Result<(f64, Spelling), ParseError> {
    let mut scanner = Scanner::new(source);
    let sign = scanner.sign();
    let first = scanner.number()?;
    scanner.skip_spaces();
    let (metres, spelling) = if scanner.at_end() {
        bare(source, sign, &first, default_unit)?
    } else if scanner.rest().starts_with('-') {
        hyphenated(source, &mut scanner, &first, default_unit)?
    } else {
        marked(source, &mut scanner, &first)?
    };
    Ok((sign * metres, spelling))
}

fn bare(
    source: Source<'_>,
    sign: f64,
    number: &Number<'_>,
    default_unit: Option<LengthUnit>,
) -> Result<(f64, Spelling), ParseError> {
    let Some(unit) = default_unit else {
        return Err(measure::missing_unit(source));
    };
    if unit == LengthUnit::Foot {
        refuse_feet_tenths_or_inches(source, sign, number)?;
    }
    Ok((in_unit(source, number, unit)?, Spelling::Bare(unit)))
}

/// `12.6` and `12.11` may be feet and inches written with a point; `12.50`, `12.125` and `12.0`
/// may not.
fn refuse_feet_tenths_or_inches(
    source: Source<'_>,
    sign: f64,
    number: &Number<'_>,
) -> Result<(), ParseError> {
    let Some(decimals) = number.decimals.filter(|digits| digits.len() <= 2) else {
        return Ok(());
    };
    let inches: u32 = decimals.parse().unwrap_or(0);
    if inches == 0 || inches > 11 {
        return Ok(());
    }
    let feet_and_inches = number.whole * FOOT + f64::from(inches) * INCH;
    Err(ParseError::Ambiguous {
        text: source.text.trim().to_owned(),
        readings: [sign * number.value * FOOT, sign * feet_and_inches].map(Length::from_metres),
    })
}

/// `12'`, `12' 6"`, `12'-6 1/2"`, `12 ft 6 in`, `3.8 m`: a unit stands behind the first number.
fn marked(
    source: Source<'_>,
    scanner: &mut Scanner<'_>,
    first: &Number<'_>,
) -> Result<(f64, Spelling), ParseError> {
    let unit = length_unit(source, scanner)?;
    scanner.skip_spaces();
    if scanner.at_end() || unit != LengthUnit::Foot {
        scanner.finish()?;
        return Ok((in_unit(source, first, unit)?, Spelling::Unit(unit)));
    }
    scanner.take('-');
    scanner.skip_spaces();
    let inches = inches_behind_feet(source, scanner)?;
    feet_and_inches(source, first, inches)
}

/// `32-6 1/2` and `32-6"` from a tape, `6-1/2"` with a hyphen before the fraction.
fn hyphenated(
    source: Source<'_>,
    scanner: &mut Scanner<'_>,
    first: &Number<'_>,
    default_unit: Option<LengthUnit>,
) -> Result<(f64, Spelling), ParseError> {
    let unclear = |mend| Err(ParseError::UnclearNotation { text: source.written.to_owned(), mend });
    if !first.is_plain() {
        return Err(scanner.trailing());
    }
    scanner.take('-');
    scanner.skip_spaces();
    if let Some(fraction) = scanner.fraction()? {
        scanner.skip_spaces();
        if scanner.at_end() {
            return unclear("write 6 1/2\" for six and a half inches, 6-0 1/2 for 6 feet and half an inch");
        }
        let value = first.value + fraction.numerator / fraction.denominator;
        let mixed = Number { value, fraction: Some(fraction), ..*first };
        let unit = length_unit(source, scanner)?;
        scanner.finish()?;
        return Ok((in_unit(source, &mixed, unit)?, Spelling::Unit(unit)));
    }
    if default_unit.is_some_and(LengthUnit::is_metric) {
        return unclear("write 3' 4\" for 3 feet 4 inches, or one length with its unit");
    }
    let inches = inches_behind_feet(source, scanner)?;
    feet_and_inches(source, first, inches)
}

/// The inches up to the end of the text, with or without their mark; a hyphen may stand before
/// the fraction. [in]
fn inches_behind_feet(source: Source<'_>, scanner: &mut Scanner<'_>) -> Result<f64, ParseError> {
    let mut number = scanner.number()?;
    if number.is_plain() && scanner.take('-') {
        let Some(fraction) = scanner.fraction()? else {
            return Err(scanner.trailing());
        };
        number.value += fraction.numerator / fraction.denominator;
        number.fraction = Some(fraction);
    }
    scanner.skip_spaces();
    if !scanner.at_end() {
        let left_over = scanner.trailing();
        if length_unit(source, scanner)? != LengthUnit::Inch {
            return Err(left_over);
        }
        scanner.finish()?;
    }
    // Not by way of metres: twelve inches would come back a hair below 12.
    refuse_fraction_off_the_tape(source, &number)?;
    Ok(number.value)
}

fn feet_and_inches(
    source: Source<'_>,
    feet: &Number<'_>,
    inches: f64,
) -> Result<(f64, Spelling), ParseError> {
    if !feet.is_plain() {
        return Err(ParseError::FeetNotWhole { text: source.written.to_owned() });
    }
    if inches >= 12.0 {
        return Err(ParseError::InchesBesideFeet { text: source.written.to_owned(), inches });
    }
    Ok((feet.value * FOOT + inches * INCH, Spelling::FeetAndInches))
}

/// The number in the unit, its fraction checked against a tape where the unit is the inch. [m]
fn in_unit(source: Source<'_>, number: &Number<'_>, unit: LengthUnit) -> Result<f64, ParseError> {
    if unit == LengthUnit::Inch {
        refuse_fraction_off_the_tape(source, number)?;
    }
    Ok(number.value * unit.size())
}

/// A tape shows halves down to 64ths of an inch and nothing between.
fn refuse_fraction_off_the_tape(source: Source<'_>, inches: &Number<'_>) -> Result<(), ParseError> {
    match inches.fraction {
        Some(fraction) if ![2.0, 4.0, 8.0, 16.0, 32.0, 64.0].contains(&fraction.denominator) => {
            Err(ParseError::Denominator {
                text: source.written.to_owned(),
                denominator: fraction.denominator,
            })
        }
        _ => Ok(()),
    }
}

fn length_unit(source: Source<'_>, scanner: &mut Scanner<'_>) -> Result<LengthUnit, ParseError> {
    let rest = scanner.rest();
    let mark = scanner.length_mark();
    // A sign that is no unit at all is shown with everything behind it.
    let written = if mark.is_empty() { rest } else { mark };
    measure::unit_named(source, written)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn feet(text: &str) -> f64 {
        let parsed = parse_length(text, Some(LengthUnit::Foot));
        parsed.unwrap_or_else(|error| panic!("{error}")).value.feet()
    }

    fn message(text: &str, unit: Option<LengthUnit>) -> String {
        parse_length(text, unit).unwrap_err().to_string()
    }

    #[test]
    fn every_notation_of_twelve_and_a_half_feet_agrees() {
        for text in [
            "12' 6\"",
            "12'6\"",
            "12'-6\"",
            "12' - 6\"",
            "12 ft 6 in",
            "12ft6in",
            "12 ft. 6 in.",
            "12 feet 6 inches",
            "12′ 6″",
            "12’ 6”",
            "12' 6''",
            "12' 6",
            "12-6",
            "12-6\"",
            "12.50'",
            "12.50",
            "12 1/2'",
            "12½ ft",
            "12.5 ft",
            "150\"",
            "150 in",
            "+12' 6\"",
            " 12' 6\" ",
        ] {
            assert!((feet(text) - 12.5).abs() < 1e-12, "{text}: {}", feet(text));
        }
    }

    #[test]
    fn fractions_of_an_inch_are_read_with_and_without_feet() {
        for (text, inches) in [
            ("6 1/2\"", 6.5),
            ("6½\"", 6.5),
            ("½\"", 0.5),
            ("1/2\"", 0.5),
            ("6-1/2\"", 6.5),
            ("12'-6 1/2\"", 150.5),
            ("12'-6-1/2\"", 150.5),
            ("32-6 1/2", 390.5),
            ("32-6½", 390.5),
            ("32-0 1/2", 384.5),
            ("12' 1/2\"", 144.5),
            ("1⅜ in", 1.375),
            ("63/64\"", 63.0 / 64.0),
            ("12' 6.5\"", 150.5),
        ] {
            assert!((feet(text) * 12.0 - inches).abs() < 1e-12, "{text}: {}", feet(text));
        }
    }

    #[test]
    fn metric_and_other_units_are_read() {
        for (text, metres) in [
            ("3.8 m", 3.8),
            ("3.8m", 3.8),
            ("380 cm", 3.8),
            ("3,800 mm", 3.8),
            ("-0.15 m", -0.15),
            ("−0.15 m", -0.15),
            (".5 m", 0.5),
            ("1,200 ft", 365.76),
            ("2 yd", 1.8288),
            ("3 metres", 3.0),
            ("1 mi", 1609.344),
        ] {
            let length = parse_length(text, None).unwrap().value.metres();
            assert!((length - metres).abs() < 1e-12, "{text}: {length}");
        }
    }

    #[test]
    fn a_minus_covers_feet_and_inches_together() {
        assert!((feet("-2' 6\"") + 2.5).abs() < 1e-12);
        assert!((feet("-2-6") + 2.5).abs() < 1e-12);
    }

    #[test]
    fn a_bare_number_takes_the_declared_unit_or_is_refused() {
        let metres = |unit| parse_length("12", Some(unit)).unwrap().value.metres();
        assert!((metres(LengthUnit::Foot) - 3.6576).abs() < 1e-12);
        assert!((metres(LengthUnit::Metre) - 12.0).abs() < 1e-12);
        assert!((metres(LengthUnit::Millimetre) - 0.012).abs() < 1e-15);
        assert_eq!(message("12", None), "`12` has no unit; write a length such as 12' 6\" or 3.8 m");
    }

    #[test]
    fn a_decimal_that_may_be_feet_and_inches_is_questioned_with_both_readings() {
        assert_eq!(
            message("12.6", Some(LengthUnit::Foot)),
            "`12.6` can be read two ways: \
             write 12.6' for 12.6 feet, 12' 6\" for 12 feet 6 inches"
        );
        assert_eq!(
            message("-12.10", Some(LengthUnit::Foot)),
            "`-12.10` can be read two ways: \
             write -12.10' for -12.10 feet, -12' 10\" for -12 feet 10 inches"
        );
        for text in ["12.10", "12.11", "12.06", "12.1", "0.6", ".6", "1,200.6", "12 ± 0.5"] {
            let error = parse_length(text, Some(LengthUnit::Foot)).unwrap_err();
            assert!(matches!(error, ParseError::Ambiguous { .. }), "{text}: {error}");
        }
        let Err(ParseError::Ambiguous { readings: [decimal, inches], .. }) =
            parse_length("12.6", Some(LengthUnit::Foot))
        else {
            panic!("12.6 must be ambiguous")
        };
        assert!((decimal.feet() - 12.6).abs() < 1e-12);
        assert!((inches.feet() - 12.5).abs() < 1e-12);
    }

    #[test]
    fn a_decimal_with_one_reading_is_not_questioned() {
        for (text, value) in
            [("12.12", 12.12), ("12.50", 12.5), ("12.125", 12.125), ("12.0", 12.0), ("12.6'", 12.6)]
        {
            assert!((feet(text) - value).abs() < 1e-12, "{text}");
        }
        let metres = parse_length("12.6", Some(LengthUnit::Metre)).unwrap().value.metres();
        assert!((metres - 12.6).abs() < 1e-12);
    }

    #[test]
    fn slips_are_refused_with_a_way_to_mend_them() {
        let foot = Some(LengthUnit::Foot);
        for (text, expected) in [
            ("", "nothing is written here; expected a length such as 12' 6\" or 3.8 m"),
            ("±", "nothing is written here; expected a length such as 12' 6\" or 3.8 m"),
            ("3,8 m", "`3,8 m` has a decimal comma; write it with a point, 3.8"),
            ("1.200,5 m", "`1.200,5 m` has a decimal comma; write it with a point, 1200.5"),
            (
                "12' 14\"",
                "`12' 14\"` has 14 inches beside its feet, expected less than 12; \
                carry them into the feet or correct the inches",
            ),
            (
                "12.5' 6\"",
                "`12.5' 6\"` has a fraction of a foot and inches too; \
                write the whole in one of the two",
            ),
            (
                "6 1/3\"",
                "`6 1/3\"` has a fraction of an inch over 3; \
                a tape has halves, 4ths, 8ths, 16ths, 32nds and 64ths",
            ),
            (
                "6 5/4\"",
                "`6 5/4\"` has the fraction 5/4, expected one below 1; \
                write it as a whole and a fraction, such as 1 1/2",
            ),
            (
                "6 1/0\"",
                "`6 1/0\"` has the fraction 1/0, expected one below 1; \
                write it as a whole and a fraction, such as 1 1/2",
            ),
            (
                "12 fet",
                "`12 fet`: `fet` is not a unit of a length; did you mean `ft`? \
                Known are m, cm, mm, ft, in, yd, km, mi",
            ),
            (
                "12 furlongs",
                "`12 furlongs`: `furlongs` is not a unit of a length; \
                known are m, cm, mm, ft, in, yd, km, mi",
            ),
            ("12 6", "`12 6`: `6` is not a unit of a length; known are m, cm, mm, ft, in, yd, km, mi"),
            (
                "3 m 20 cm",
                "`3 m 20 cm`: `20 cm` is left over behind a length; \
                write it such as 12' 6\" or 3.8 m",
            ),
            (
                "about 12'",
                "`about 12'` has no number where one is expected; \
                write a length such as 12' 6\" or 3.8 m",
            ),
            (
                "6-1/2",
                "`6-1/2` can be read more than one way: write 6 1/2\" for six and a half \
                inches, 6-0 1/2 for 6 feet and half an inch",
            ),
            ("1,20 0 ft", "`1,20 0 ft` has a decimal comma; write it with a point, 1.20"),
            (
                "1,20,000 ft",
                "`1,20,000 ft` has commas that do not part groups of three digits; \
                write 1,200 or 1200, and a decimal with a point",
            ),
            ("12' ± -6\"", "`12' ± -6\"` has a negative spread; the sign ± already goes both ways"),
        ] {
            assert_eq!(message(text, foot), expected);
        }
        assert_eq!(
            message("3-4", Some(LengthUnit::Metre)),
            "`3-4` can be read more than one way: \
             write 3' 4\" for 3 feet 4 inches, or one length with its unit"
        );
    }

    #[test]
    fn a_spacing_may_say_on_centre_and_a_length_may_not() {
        for text in ["18\" o.c.", "18\" OC", "18 in on center", "18\"", "1' 6\" o.c", "1-6 o.c."] {
            let spacing = parse_spacing(text, None).unwrap().value;
            assert!((spacing.inches() - 18.0).abs() < 1e-12, "{text}");
        }
        assert!(parse_length("18\" o.c.", None).is_err());
        assert!(matches!(parse_spacing("o.c.", None), Err(ParseError::Empty { .. })));
    }

    #[test]
    fn twelve_inches_beside_feet_are_already_too_many() {
        for text in ["12' 12\"", "12-12", "12' 11 64/64\""] {
            assert!(parse_length(text, None).is_err(), "{text}");
        }
        assert!((feet("12' 11 63/64\"") * 12.0 - (155.0 + 63.0 / 64.0)).abs() < 1e-12);
    }

    #[test]
    fn no_group_of_thousands_begins_with_zero() {
        let error = parse_length("0,500 m", None).unwrap_err();
        assert!(matches!(&error, ParseError::DecimalComma { with_point, .. } if with_point == "0.500"));
    }

    #[test]
    fn hundreds_of_digits_are_refused_and_not_infinite() {
        let digits = "9".repeat(400);
        for text in [format!("{digits} m"), format!("{digits}' 6\""), format!("1 m ± {digits} m")] {
            let error = parse_length(&text, None).unwrap_err();
            assert!(matches!(error, ParseError::NotFinite { .. }), "{error}");
        }
    }

    #[test]
    fn the_sign_for_approximate_gives_a_spread() {
        for (text, spread) in [
            ("12' ±", Some(0.36576)),
            ("12'±", Some(0.36576)),
            ("12' +/-", Some(0.36576)),
            ("12' ± 6\"", Some(0.1524)),
            ("12' +/- 6\"", Some(0.1524)),
            ("12' ± 10 %", Some(0.36576)),
            ("-12' ±", Some(0.36576)),
            ("3.8 m ± 0.1", Some(0.1)),
            ("3.8 m ± 20 cm", Some(0.2)),
            ("12' 6\"", None),
        ] {
            let approximate = parse_length(text, None).unwrap().approximate.map(Length::metres);
            match (approximate, spread) {
                (Some(ours), Some(spread)) => assert!((ours - spread).abs() < 1e-12, "{text}"),
                (ours, spread) => assert_eq!(ours, spread, "{text}"),
            }
        }
        assert!(matches!(
            parse_length("12' ± 6", Some(LengthUnit::Foot)),
            Err(ParseError::MissingUnit { .. })
        ));
    }
}
