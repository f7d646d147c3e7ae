//! Mass spread over an area: seed, fertiliser, lime.
//!
//! - In: `1 lb per 1000 sq ft`, `5 g/m²`, `40 lb/acre`. Out: kg/m².
//! - Behind `±` stands a rate or a percentage of the value.

use super::{ParseError, Parsed, Source, measure, percentage_of, with_spread};
use crate::quantities::MassPerArea;
use crate::unit_names::{AreaUnit, MassUnit, Unit};

const WHAT: &str = "a mass per area";
const EXAMPLE: &str = "1 lb per 1000 sq ft or 5 g/m²";

/// A mass per area such as `1 lb per 1000 sq ft` or `5 g/m²`. [kg/m²]
///
/// # Errors
/// [`ParseError`], as for lengths; [`ParseError::NoArea`] when the area is not above zero.
pub fn parse_mass_per_area(text: &str) -> Result<Parsed<MassPerArea>, ParseError> {
    let parsed = with_spread(
        text,
        WHAT,
        EXAMPLE,
        |source| read(source).map(|rate| (rate, ())),
        |source, value, ()| percentage_of(value, source).unwrap_or_else(|| read(source)),
    )?;
    Ok(parsed.map(MassPerArea::from_kilograms_per_square_metre))
}

fn read(source: Source<'_>) -> Result<f64, ParseError> {
    // The last stroke divides, so that the mass may be a fraction: `1/2 lb/acre`.
    let (mass, area) = source
        .text
        .split_once(" per ")
        .or_else(|| source.text.rsplit_once('/'))
        .ok_or_else(|| measure::missing_unit(source))?;
    let mass_source = Source { text: mass.trim(), what: MassUnit::WHAT, ..source };
    let area_source = Source { text: area.trim(), what: AreaUnit::WHAT, ..source };
    let (mass, _) = measure::read::<MassUnit>(mass_source, None)?;
    let area = if area_source.text.starts_with(|c: char| c.is_ascii_digit()) {
        measure::read::<AreaUnit>(area_source, None)?.0
    } else {
        measure::unit_named::<AreaUnit>(area_source, area_source.text)?.size()
    };
    if area > 0.0 { Ok(mass / area) } else { Err(ParseError::NoArea { text: source.written.to_owned() }) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::constants::{ACRE, POUND, SQUARE_FOOT};

    #[test]
    fn rates_are_read_in_every_notation() {
        for (text, expected) in [
            ("1 lb per 1000 sq ft", POUND / (1000.0 * SQUARE_FOOT)),
            ("1 lb / 1,000 sq ft", POUND / (1000.0 * SQUARE_FOOT)),
            ("1 lb/1000 ft²", POUND / (1000.0 * SQUARE_FOOT)),
            ("5 g/m²", 0.005),
            ("5 g per m2", 0.005),
            ("1/2 lb/acre", 0.5 * POUND / ACRE),
        ] {
            let rate = parse_mass_per_area(text).unwrap().value.kilograms_per_square_metre();
            assert!((rate - expected).abs() <= expected * 1e-12, "{text}: {rate}");
        }
    }

    #[test]
    fn a_rate_over_nothing_is_refused() {
        assert!(matches!(parse_mass_per_area("1 lb per 0 sq ft"), Err(ParseError::NoArea { .. })));
        assert!(matches!(parse_mass_per_area("1 lb"), Err(ParseError::MissingUnit { .. })));
    }
}
