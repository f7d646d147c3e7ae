//! A number with its dimension, so that whoever shows it can choose the reader's unit.

use groundwright_units::Reader;

/// What a number measures. Values are SI: m, m², m³, kg, rad, s.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Dimension {
    /// Whole things.
    Count,
    /// A length or a height. [m]
    Length,
    /// A spacing on centre, read in inches or millimetres. [m]
    Spacing,
    /// A depth, thickness or other small size, read in inches or millimetres. [m]
    Depth,
    /// The rough size of something that grows. [m]
    Size,
    /// An area. [m²]
    Area,
    /// A volume. [m³]
    Volume,
    /// A mass. [kg]
    Mass,
    /// A flow. [m³/s]
    Flow,
    /// A speed of water. [m/s]
    Speed,
    /// An angle. [rad]
    Angle,
    /// A share of one, read as per cent.
    Ratio,
    /// A pure number.
    Number,
    /// Years.
    Years,
    /// Hours of work.
    Hours,
}

/// A number with its dimension.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Datum {
    /// The value in SI.
    pub value: f64,
    /// What it measures.
    pub dimension: Dimension,
}

impl Datum {
    /// A count of whole things.
    pub fn count(n: usize) -> Self {
        Self { value: n as f64, dimension: Dimension::Count }
    }
    /// A length. [m]
    pub fn length(value: f64) -> Self {
        Self { value, dimension: Dimension::Length }
    }
    /// A spacing on centre. [m]
    pub fn spacing(value: f64) -> Self {
        Self { value, dimension: Dimension::Spacing }
    }
    /// A depth or other small size. [m]
    pub fn depth(value: f64) -> Self {
        Self { value, dimension: Dimension::Depth }
    }
    /// The rough size of something that grows. [m]
    pub fn size(value: f64) -> Self {
        Self { value, dimension: Dimension::Size }
    }
    /// An area. [m²]
    pub fn area(value: f64) -> Self {
        Self { value, dimension: Dimension::Area }
    }
    /// A volume. [m³]
    pub fn volume(value: f64) -> Self {
        Self { value, dimension: Dimension::Volume }
    }
    /// A mass. [kg]
    pub fn mass(value: f64) -> Self {
        Self { value, dimension: Dimension::Mass }
    }
    /// A flow. [m³/s]
    pub fn flow(value: f64) -> Self {
        Self { value, dimension: Dimension::Flow }
    }
    /// A speed of water. [m/s]
    pub fn speed(value: f64) -> Self {
        Self { value, dimension: Dimension::Speed }
    }
    /// A share of one.
    pub fn ratio(value: f64) -> Self {
        Self { value, dimension: Dimension::Ratio }
    }
    /// A pure number.
    pub fn number(value: f64) -> Self {
        Self { value, dimension: Dimension::Number }
    }
    /// Years. [a]
    pub fn years(value: f64) -> Self {
        Self { value, dimension: Dimension::Years }
    }
    /// Hours of work. [h]
    pub fn hours(value: f64) -> Self {
        Self { value, dimension: Dimension::Hours }
    }

    /// The number in the reader's units, with its unit.
    pub fn show(self, reader: &Reader) -> String {
        let value = self.value;
        match self.dimension {
            Dimension::Count => reader.count(value.max(0.0).round() as u64),
            Dimension::Length => reader.length(value),
            Dimension::Spacing => reader.spacing(value),
            Dimension::Depth => reader.depth(value),
            Dimension::Size => reader.size(value),
            Dimension::Area => reader.area(value),
            Dimension::Volume => reader.volume(value),
            Dimension::Mass => reader.mass(value),
            Dimension::Flow => reader.flow(value),
            Dimension::Speed => reader.speed(value),
            Dimension::Angle => format!("{:.0}°", value.to_degrees()),
            Dimension::Ratio => format!("{} %", trimmed(value * 100.0)),
            Dimension::Number => trimmed(value),
            Dimension::Years => format!("{} years", trimmed(value)),
            Dimension::Hours => format!("{} h", trimmed(value)),
        }
    }
}

/// At most two decimals, without trailing zeros.
fn trimmed(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}
