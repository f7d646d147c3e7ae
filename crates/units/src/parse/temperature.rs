//! Temperatures in Fahrenheit, Celsius and kelvin.
//!
//! - In: `17 F`, `-8 °C`, `290 K`. Out: an absolute temperature in kelvin.
//! - A temperature takes no `±`: its spread would be a difference, which is not a temperature.

use super::scan::normalise;
use super::{ParseError, Source, finite, measure};
use crate::quantities::Temperature;
use crate::unit_names::{TemperatureUnit, Unit};

/// A temperature such as `17 F` or `-8 C`. [K]
///
/// # Arguments
/// - `text`: a number with its scale.
/// - `default_unit`: the scale a bare number takes; none where a scale must be written.
///
/// # Errors
/// [`ParseError`], as for lengths; [`ParseError::BelowAbsoluteZero`]; [`ParseError::NoSpread`].
pub fn parse_temperature(
    text: &str,
    default_unit: Option<TemperatureUnit>,
) -> Result<Temperature, ParseError> {
    let written = text.trim();
    let tidy = normalise(written);
    let (what, example) = (TemperatureUnit::WHAT, TemperatureUnit::EXAMPLE);
    let source = Source { written, text: tidy.trim(), what, example };
    if source.text.is_empty() {
        return Err(ParseError::Empty { what, example });
    }
    if tidy.contains('±') {
        return Err(ParseError::NoSpread { text: written.to_owned(), what, example });
    }
    let (degrees, unit) = measure::number_and_unit(source, default_unit)?;
    let temperature = match unit {
        TemperatureUnit::Kelvin => Temperature::from_kelvin(degrees),
        TemperatureUnit::Celsius => Temperature::from_celsius(degrees),
        TemperatureUnit::Fahrenheit => Temperature::from_fahrenheit(degrees),
    };
    finite(temperature.kelvin(), written)?;
    if temperature.kelvin() < 0.0 {
        return Err(ParseError::BelowAbsoluteZero { text: written.to_owned() });
    }
    Ok(temperature)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn temperatures_are_read_on_every_scale() {
        for (text, kelvin) in
            [("32 F", 273.15), ("32°F", 273.15), ("-8 C", 265.15), ("−8 °C", 265.15), ("290 K", 290.0)]
        {
            let ours = parse_temperature(text, None).unwrap().kelvin();
            assert!((ours - kelvin).abs() < 1e-9, "{text}: {ours}");
        }
    }

    #[test]
    fn the_impossible_is_refused() {
        assert!(matches!(parse_temperature("-300 C", None), Err(ParseError::BelowAbsoluteZero { .. })));
        assert!(matches!(parse_temperature("17", None), Err(ParseError::MissingUnit { .. })));
        assert!(matches!(parse_temperature("17 F ± 2", None), Err(ParseError::NoSpread { .. })));
    }
}
