//! Text to quantities, each with the spread the writer gave it.
//!
//! - In: what a person wrote, and the unit that a bare number takes (none: a unit must be written).
//! - Out: [`Parsed`], or a [`ParseError`] that names the text and how to mend it.
//! - `scan` reads numbers, `length` the feet-and-inches notation, `measure` "number unit",
//!   `angle`, `rate` and `temperature` what is written in their own ways.
//! - The plan-drafting sign for approximate, `±` or `+/-`, may end any of them but temperature.

mod angle;
mod error;
mod length;
mod measure;
mod rate;
mod scan;
mod temperature;

pub use angle::parse_angle;
pub use error::ParseError;
pub use length::{parse_length, parse_spacing};
pub use measure::{parse_area, parse_flow, parse_mass, parse_pressure, parse_speed, parse_volume};
pub use rate::parse_mass_per_area;
pub use temperature::parse_temperature;

use scan::normalise;

/// Spread of a value marked `±` without a figure, as a fraction of the value: a tenth.
/// Common practice, no source. \[dimensionless\]
pub const ASSUMED_SPREAD: f64 = 0.1;

/// A value as written, with its spread when the writer marked it approximate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parsed<T> {
    /// The value.
    pub value: T,
    /// Half the width of the range in which the writer expects the value; none when the text
    /// bears no sign for approximate. Never negative.
    pub approximate: Option<T>,
}

impl<T> Parsed<T> {
    /// The same in another type.
    pub fn map<U>(self, convert: impl Fn(T) -> U) -> Parsed<U> {
        Parsed { value: convert(self.value), approximate: self.approximate.map(convert) }
    }
}

/// One text on its way through a parser: the writer's own for messages, the tidied one to read.
#[derive(Clone, Copy)]
struct Source<'a> {
    /// As written, whole.
    written: &'a str,
    /// The part being read, in the parsers' alphabet.
    text: &'a str,
    /// The quantity with its article, for messages.
    what: &'static str,
    /// A text that parses, for messages.
    example: &'static str,
}

/// Reads `value`, `value ±` or `value ± spread`.
///
/// `read` gives the value in SI with whatever the spread needs to know about how it was written;
/// `read_spread` gets that and reads the part behind the sign.
fn with_spread<W>(
    written: &str,
    what: &'static str,
    example: &'static str,
    read: impl Fn(Source<'_>) -> Result<(f64, W), ParseError>,
    read_spread: impl Fn(Source<'_>, f64, &W) -> Result<f64, ParseError>,
) -> Result<Parsed<f64>, ParseError> {
    let written = written.trim();
    let tidy = normalise(written);
    let source = |text| Source { written, text, what, example };
    let (body, tail) = match tidy.split_once('±') {
        Some((body, tail)) => (body.trim(), Some(tail.trim())),
        None => (tidy.trim(), None),
    };
    if body.is_empty() {
        return Err(ParseError::Empty { what, example });
    }
    let (value, how) = read(source(body))?;
    finite(value, written)?;
    let approximate = match tail {
        None => None,
        Some("") => Some(value.abs() * ASSUMED_SPREAD),
        Some(tail) => {
            let spread = read_spread(source(tail), value, &how)?;
            finite(spread, written)?;
            if spread < 0.0 {
                return Err(ParseError::NegativeSpread { text: written.to_owned() });
            }
            Some(spread)
        }
    };
    Ok(Parsed { value, approximate })
}

/// A spread written as a percentage of the value, such as `10 %`; none if it is not one. [SI]
fn percentage_of(value: f64, source: Source<'_>) -> Option<Result<f64, ParseError>> {
    let number = source.text.strip_suffix('%')?;
    let source = Source { text: number.trim(), ..source };
    Some(scan::lone_number(source).map(|percent| value.abs() * percent / 100.0))
}

fn finite(value: f64, written: &str) -> Result<f64, ParseError> {
    if value.is_finite() { Ok(value) } else { Err(ParseError::NotFinite { text: written.to_owned() }) }
}
