//! "Number unit": areas, volumes, masses, flows, pressures and speeds.
//!
//! - In: `1,200 sq ft`, `0.3 acre`, `5 cu yd`, `40 gal`, `50 lb`, `8 gpm`, `45 psi`, `0.5 in/h`.
//!   Out: SI. Everything behind the number is the unit, looked up in the tables of `unit_names`.
//! - Behind `±` a bare figure takes the value's unit, and `10 %` is a tenth of the value.

use super::scan::Scanner;
use super::{ParseError, Parsed, Source, percentage_of, with_spread};
use crate::nearest::nearest_name;
use crate::quantities::{Area, Flow, Mass, Pressure, Speed, Volume};
use crate::unit_names::{AreaUnit, FlowUnit, MassUnit, PressureUnit, SpeedUnit, Unit, VolumeUnit, tidy_name};

/// An area such as `1,200 sq ft`, `45 m²` or `0.3 acre`. [m²]
///
/// Arguments, spread and errors as for [`super::parse_length`].
pub fn parse_area(text: &str, default_unit: Option<AreaUnit>) -> Result<Parsed<Area>, ParseError> {
    Ok(parse(text, default_unit)?.map(Area::from_square_metres))
}

/// A volume such as `5 cu yd`, `40 gal` or `3 m3`. [m³]
///
/// Arguments, spread and errors as for [`super::parse_length`].
pub fn parse_volume(text: &str, default_unit: Option<VolumeUnit>) -> Result<Parsed<Volume>, ParseError> {
    Ok(parse(text, default_unit)?.map(Volume::from_cubic_metres))
}

/// A mass such as `50 lb`, `1.2 short ton` or `2 t`. [kg]
///
/// Arguments, spread and errors as for [`super::parse_length`].
pub fn parse_mass(text: &str, default_unit: Option<MassUnit>) -> Result<Parsed<Mass>, ParseError> {
    Ok(parse(text, default_unit)?.map(Mass::from_kilograms))
}

/// A flow such as `8 gpm` or `30 l/min`. [m³/s]
///
/// Arguments, spread and errors as for [`super::parse_length`].
pub fn parse_flow(text: &str, default_unit: Option<FlowUnit>) -> Result<Parsed<Flow>, ParseError> {
    Ok(parse(text, default_unit)?.map(Flow::from_cubic_metres_per_second))
}

/// A pressure such as `45 psi`, `310 kPa` or `3 bar`. [Pa]
///
/// Arguments, spread and errors as for [`super::parse_length`].
pub fn parse_pressure(
    text: &str,
    default_unit: Option<PressureUnit>,
) -> Result<Parsed<Pressure>, ParseError> {
    Ok(parse(text, default_unit)?.map(Pressure::from_pascals))
}

/// A speed such as `0.5 in/h` of rain or `1.5 m/s` of water. [m/s]
///
/// Arguments, spread and errors as for [`super::parse_length`].
pub fn parse_speed(text: &str, default_unit: Option<SpeedUnit>) -> Result<Parsed<Speed>, ParseError> {
    Ok(parse(text, default_unit)?.map(Speed::from_metres_per_second))
}

fn parse<U: Unit>(text: &str, default_unit: Option<U>) -> Result<Parsed<f64>, ParseError> {
    with_spread(
        text,
        U::WHAT,
        U::EXAMPLE,
        |source| read(source, default_unit),
        |source, value, unit| match percentage_of(value, source) {
            Some(spread) => spread,
            None => read(source, Some(*unit)).map(|(spread, _)| spread),
        },
    )
}

/// One number with its unit. [SI]
pub(super) fn read<U: Unit>(source: Source<'_>, default_unit: Option<U>) -> Result<(f64, U), ParseError> {
    let (number, unit) = number_and_unit(source, default_unit)?;
    Ok((number * unit.size(), unit))
}

/// One number, signed, as a count of its unit.
pub(super) fn number_and_unit<U: Unit>(
    source: Source<'_>,
    default_unit: Option<U>,
) -> Result<(f64, U), ParseError> {
    let mut scanner = Scanner::new(source);
    let sign = scanner.sign();
    let number = scanner.number()?;
    scanner.skip_spaces();
    let unit = if scanner.at_end() {
        default_unit.ok_or_else(|| missing_unit(source))?
    } else {
        unit_named(source, scanner.rest())?
    };
    Ok((sign * number.value, unit))
}

pub(super) fn missing_unit(source: Source<'_>) -> ParseError {
    ParseError::MissingUnit { text: source.written.to_owned(), what: source.what, example: source.example }
}

/// The unit of this name, or an error that lists the known ones.
pub(super) fn unit_named<U: Unit>(source: Source<'_>, name: &str) -> Result<U, ParseError> {
    U::find(name).ok_or_else(|| {
        let (text, unit) = (source.written.to_owned(), name.trim().to_owned());
        let tidy = tidy_name(name);
        if U::WHAT == MassUnit::WHAT && matches!(tidy.as_str(), "ton" | "tons") {
            return ParseError::UnclearUnit {
                text,
                unit,
                readings: "2000 lb or 1000 kg",
                mend: "write `short ton` for 2000 lb, `t` for 1000 kg",
            };
        }
        let names = U::ALL.iter().flat_map(|unit| unit.names());
        // Marks and single letters are a slip away from one another: no guess among those.
        let nearest = nearest_name(&tidy, names.copied().filter(|name| name.len() > 1))
            .filter(|_| tidy.len() > 1)
            .map(str::to_owned);
        let known = U::ALL.iter().map(|unit| unit.symbol()).collect::<Vec<_>>().join(", ");
        ParseError::UnknownUnit { text, unit, what: source.what, known, nearest }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::constants::{CUBIC_YARD, GALLON, POUND, SQUARE_FOOT};

    fn close(ours: f64, expected: f64, text: &str) {
        assert!((ours - expected).abs() <= expected.abs() * 1e-12, "{text}: {ours}");
    }

    #[test]
    fn areas_are_read_in_every_spelling() {
        for (text, expected) in [
            ("1200 sq ft", 1200.0 * SQUARE_FOOT),
            ("1,200 sq. ft.", 1200.0 * SQUARE_FOOT),
            ("1200 SF", 1200.0 * SQUARE_FOOT),
            ("1200 ft²", 1200.0 * SQUARE_FOOT),
            ("45 m²", 45.0),
            ("45 m2", 45.0),
            ("45m^2", 45.0),
            ("45 square metres", 45.0),
            ("0.3 acre", 0.3 * 43_560.0 * SQUARE_FOOT),
            ("1 ha", 10_000.0),
        ] {
            close(parse_area(text, None).unwrap().value.square_metres(), expected, text);
        }
    }

    #[test]
    fn volumes_are_read_in_every_spelling() {
        for (text, expected) in [
            ("5 cu yd", 5.0 * CUBIC_YARD),
            ("5 CY", 5.0 * CUBIC_YARD),
            ("5 cu. yd.", 5.0 * CUBIC_YARD),
            ("2 cu ft", 2.0 * CUBIC_YARD / 27.0),
            ("3 m3", 3.0),
            ("3 m³", 3.0),
            ("40 gal", 40.0 * GALLON),
            ("60 l", 0.06),
            ("60 L", 0.06),
            ("2 1/2 cu yd", 2.5 * CUBIC_YARD),
        ] {
            close(parse_volume(text, None).unwrap().value.cubic_metres(), expected, text);
        }
    }

    #[test]
    fn masses_flows_pressures_and_speeds_are_read() {
        let mass = |text| parse_mass(text, None).unwrap().value.kilograms();
        close(mass("50 lb"), 50.0 * POUND, "50 lb");
        close(mass("1.2 short ton"), 2400.0 * POUND, "1.2 short ton");
        close(mass("20 kg"), 20.0, "20 kg");
        close(mass("2 t"), 2000.0, "2 t");
        let flow = |text| parse_flow(text, None).unwrap().value.cubic_metres_per_second();
        close(flow("8 gpm"), 8.0 * GALLON / 60.0, "8 gpm");
        close(flow("30 l/min"), 0.0005, "30 l/min");
        close(flow("30 L / min"), 0.0005, "30 L / min");
        let pressure = |text| parse_pressure(text, None).unwrap().value.pascals();
        close(pressure("310 kPa"), 310_000.0, "310 kPa");
        close(pressure("3 bar"), 300_000.0, "3 bar");
        let speed = |text| parse_speed(text, None).unwrap().value.metres_per_second();
        close(speed("0.5 in/h"), 0.0127 / 3600.0, "0.5 in/h");
        close(speed("10 m/s"), 10.0, "10 m/s");
    }

    #[test]
    fn spreads_take_the_unit_of_the_value() {
        let parsed = parse_area("1200 sq ft ± 50", None).unwrap();
        close(parsed.approximate.unwrap().square_feet(), 50.0, "± 50");
        let parsed = parse_volume("5 cu yd ±", None).unwrap();
        close(parsed.approximate.unwrap().cubic_yards(), 0.5, "±");
    }

    #[test]
    fn the_bare_ton_is_questioned_and_slips_are_named() {
        assert_eq!(
            parse_mass("3 tons", None).unwrap_err().to_string(),
            "`3 tons`: `tons` can mean 2000 lb or 1000 kg; \
             write `short ton` for 2000 lb, `t` for 1000 kg"
        );
        assert_eq!(
            parse_volume("3 galons", None).unwrap_err().to_string(),
            "`3 galons`: `galons` is not a unit of a volume; did you mean `gallons`? \
             Known are m³, l, ml, cu yd, cu ft, cu in, gal, qt, fl oz"
        );
        assert_eq!(
            parse_area("1200", None).unwrap_err().to_string(),
            "`1200` has no unit; write an area such as 1,200 sq ft or 45 m²"
        );
        let area = parse_area("1200", Some(AreaUnit::SquareFoot)).unwrap().value;
        close(area.square_feet(), 1200.0, "1200");
    }
}
