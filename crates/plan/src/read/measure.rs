//! What a number in a file measures: how it is read, shown, and explained when it cannot be.
//!
//! - In: the text of a value and how bare numbers are read. Out: SI and radians, or what is wrong.
//! - Not here: the notations of the trade themselves (`groundwright-units`).

use groundwright_units as units;
use groundwright_units::Parsed;

use super::BareUnit;

/// What a number measures, for reading it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// [m]
    Length,
    /// [m²]
    Area,
    /// [m³]
    Volume,
    /// [kg]
    Mass,
    /// [rad]
    Angle,
    /// A share of one: `5 %` or `0.05`.
    Ratio,
    /// A slope, rise over run: `3:1` (run to rise), `5 %`, `0.05`.
    Slope,
    /// A roof's pitch, rise over run: `6 in 12`, `6/12`, `26.6 deg`, `50 %`.
    Pitch,
    /// [Pa]
    Pressure,
    /// [m³/s]
    Flow,
    /// [K]
    Temperature,
    /// A pure number.
    Number,
}

impl Measure {
    pub(super) fn parse(self, text: &str, unit: BareUnit) -> Result<Parsed<f64>, String> {
        let plain = |value: f64| Parsed { value, approximate: None };
        match self {
            Self::Length => unit
                .parse_length(text)
                .map(|p| Parsed {
                    value: p.value.metres(),
                    approximate: p.approximate.map(groundwright_units::Length::metres),
                })
                .map_err(|e| e.to_string()),
            Self::Area => units::parse_area(text, None)
                .map(|p| Parsed {
                    value: p.value.square_metres(),
                    approximate: p.approximate.map(groundwright_units::Area::square_metres),
                })
                .map_err(|e| e.to_string()),
            Self::Volume => units::parse_volume(text, None)
                .map(|p| Parsed {
                    value: p.value.cubic_metres(),
                    approximate: p.approximate.map(groundwright_units::Volume::cubic_metres),
                })
                .map_err(|e| e.to_string()),
            Self::Mass => units::parse_mass(text, None)
                .map(|p| Parsed {
                    value: p.value.kilograms(),
                    approximate: p.approximate.map(groundwright_units::Mass::kilograms),
                })
                .map_err(|e| e.to_string()),
            Self::Angle => match text.parse::<f64>() {
                Ok(degrees) if degrees.is_finite() => Ok(plain(degrees.to_radians())),
                _ => units::parse_angle(text, None)
                    .map(|p| Parsed {
                        value: p.value.radians(),
                        approximate: p.approximate.map(groundwright_units::Angle::radians),
                    })
                    .map_err(|e| e.to_string()),
            },
            Self::Pressure => units::parse_pressure(text, None)
                .map(|p| Parsed {
                    value: p.value.pascals(),
                    approximate: p.approximate.map(groundwright_units::Pressure::pascals),
                })
                .map_err(|e| e.to_string()),
            Self::Flow => units::parse_flow(text, None)
                .map(|p| Parsed {
                    value: p.value.cubic_metres_per_second(),
                    approximate: p.approximate.map(groundwright_units::Flow::cubic_metres_per_second),
                })
                .map_err(|e| e.to_string()),
            Self::Temperature => {
                units::parse_temperature(text, None).map(|t| plain(t.kelvin())).map_err(|e| e.to_string())
            }
            Self::Ratio | Self::Number => parse_ratio(text).map(plain),
            Self::Slope => parse_slope(text).map(plain),
            Self::Pitch => parse_pitch(text).map(plain),
        }
    }

    pub(super) fn example(self) -> &'static str {
        match self {
            Self::Length => "a length such as \"12' 6\\\"\", \"3.8 m\" or \"18 in\"",
            Self::Area => "an area such as \"120 sq ft\" or \"11 m²\"",
            Self::Volume => "a volume such as \"3 cu yd\" or \"2 m³\"",
            Self::Mass => "a mass such as \"40 lb\" or \"20 kg\"",
            Self::Angle => "an angle such as \"12 deg\"",
            Self::Ratio => "a share such as \"5 %\" or 0.05",
            Self::Slope => "a slope such as \"3:1\" (run to rise) or \"5 %\"",
            Self::Pitch => "a roof pitch such as \"6 in 12\" (rise in run), \"27 deg\" or \"50 %\"",
            Self::Pressure => "a pressure such as \"60 psi\" or \"4 bar\"",
            Self::Flow => "a flow such as \"8 gpm\" or \"30 l/min\"",
            Self::Temperature => "a temperature such as \"46 °F\" or \"8 °C\"",
            Self::Number => "a number",
        }
    }

    /// What to look at when a value of this measure cannot be.
    pub(super) fn slip(self) -> &'static str {
        match self {
            Self::Length
            | Self::Area
            | Self::Volume
            | Self::Mass
            | Self::Pressure
            | Self::Flow
            | Self::Temperature => "check the unit and the decimal point",
            Self::Angle => "an angle is in degrees",
            Self::Ratio | Self::Slope => "5 % is 0.05",
            Self::Pitch => "rise in run: 6 in 12 is 27 degrees",
            Self::Number => "",
        }
    }

    /// A value as TOML, in SI and degrees, so that it is read without a question.
    pub(super) fn write(self, value: f64) -> String {
        match self {
            Self::Length => format!("\"{value:.4} m\""),
            Self::Area => format!("\"{value:.4} m²\""),
            Self::Volume => format!("\"{value:.6} m³\""),
            Self::Mass => format!("\"{value:.4} kg\""),
            Self::Angle => format!("\"{:.6} deg\"", value.to_degrees()),
            Self::Pitch => format!("\"{:.6} in 12\"", value * 12.0),
            Self::Pressure => format!("\"{:.3} kPa\"", value / 1000.0),
            Self::Flow => format!("\"{:.6} l/min\"", value * 60_000.0),
            Self::Temperature => format!("\"{:.2} °C\"", value - 273.15),
            Self::Ratio | Self::Slope | Self::Number => format!("{value:.6}"),
        }
    }

    pub(super) fn show(self, value: f64, unit: Option<units::LengthUnit>) -> String {
        match self {
            Self::Length if unit == Some(units::LengthUnit::Foot) => customary(value),
            Self::Length => format!("{value:.2} m"),
            Self::Area => format!("{value:.1} m²"),
            Self::Volume => format!("{value:.2} m³"),
            Self::Mass => format!("{value:.1} kg"),
            Self::Angle => format!("{:.1}°", value.to_degrees()),
            Self::Ratio | Self::Slope => format!("{:.1} %", value * 100.0),
            Self::Pitch => format!("{:.1} in 12", value * 12.0),
            Self::Pressure if unit == Some(units::LengthUnit::Foot) => {
                format!("{:.0} psi", value / units::constants::PSI)
            }
            Self::Pressure => format!("{:.0} kPa", value / 1000.0),
            Self::Flow if unit == Some(units::LengthUnit::Foot) => {
                format!("{:.2} gpm", value / units::constants::GALLON_PER_MINUTE)
            }
            Self::Flow => format!("{:.2} l/min", value * 60_000.0),
            Self::Temperature => format!("{:.0} °C", value - 273.15),
            Self::Number => format!("{value}"),
        }
    }
}

/// A length as a tape shows it: inches below a yard, else feet. Three digits are enough to see
/// which side of a limit one is on.
fn customary(metres: f64) -> String {
    let feet = metres / units::constants::FOOT;
    if feet.abs() < 3.0 {
        format!("{} in", units::significant(feet * 12.0, 3))
    } else {
        format!("{} ft", units::significant(feet, 3))
    }
}

fn parse_ratio(text: &str) -> Result<f64, String> {
    let trimmed = text.trim();
    let (number, scale) = match trimmed.strip_suffix('%') {
        Some(number) => (number.trim(), 0.01),
        None => (trimmed, 1.0),
    };
    match number.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value * scale),
        _ => Err(format!("`{text}` is not a number")),
    }
}

/// `6 in 12` or `6/12`, an angle with its unit, or a share. A colon is refused: of slopes it means
/// run to rise, and roofers write it the other way round.
fn parse_pitch(text: &str) -> Result<f64, String> {
    let wrong = || format!("`{text}` is not a pitch");
    if text.contains(':') {
        return Err(format!("`{text}` can be read two ways"));
    }
    if let Some((rise, run)) = text.split_once(" in ").or_else(|| text.split_once('/')) {
        let (rise, run) = (rise.trim().parse::<f64>(), run.trim().parse::<f64>());
        return match (rise, run) {
            (Ok(rise), Ok(run)) if run > 0.0 && rise >= 0.0 && (rise / run).is_finite() => Ok(rise / run),
            _ => Err(wrong()),
        };
    }
    parse_ratio(text)
        .or_else(|_| units::parse_angle(text, None).map(|p| p.value.radians().tan()).map_err(|_| wrong()))
}

fn parse_slope(text: &str) -> Result<f64, String> {
    let Some((run, rise)) = text.split_once(':') else { return parse_ratio(text) };
    match (run.trim().parse::<f64>(), rise.trim().parse::<f64>()) {
        (Ok(run), Ok(rise)) if run > 0.0 && rise >= 0.0 && (rise / run).is_finite() => Ok(rise / run),
        _ => Err(format!("`{text}` is not a slope")),
    }
}
