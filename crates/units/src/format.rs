//! Quantities to text for the reader, in the project's system of units.
//!
//! - In: SI numbers. Out: text that the parsers read back to within half of the printed step.
//! - Rounding policy: to the nearest, halves away from zero, and never "minus zero".
//!   - Feet and inches: the reader's fraction of an inch (half an inch unless set), carried into
//!     the next inch and foot. Levels: a hundredth of a foot or a centimetre. Metric lengths: a
//!     centimetre. Depths and spacings: the reader's fraction of an inch, or a millimetre.
//!   - Areas, volumes, masses, flows and pressures: a step of 0.01 below 1, of 0.1 below 100,
//!     of 1 from there on. The step is chosen for the value after rounding.
//!   - Slopes, angles, rain rates and temperatures have their steps named at their functions.
//! - A value that is not finite, or far beyond any yard, prints as `unknown`; that word does not
//!   parse.
//! - Not here: which system a project uses, and columns or alignment.

use crate::constants::{
    ACRE, CUBIC_YARD, DEGREE, FOOT, GALLON, GALLON_PER_MINUTE, HECTARE, HOUR, INCH, KILOPASCAL, LITRE,
    LITRE_PER_MINUTE, MILLIMETRE, POUND, PSI, SQUARE_FOOT,
};
use crate::money::Money;
use crate::quantities::{MassPerArea, Temperature};
use crate::unit_names::System;
use serde::{Deserialize, Serialize};

/// The finest part of an inch that is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum InchFraction {
    /// Whole inches.
    Whole,
    /// Halves.
    #[default]
    Half,
    /// Quarters.
    Quarter,
    /// Eighths.
    Eighth,
    /// Sixteenths.
    Sixteenth,
}

impl InchFraction {
    /// How many of it make an inch.
    pub const fn per_inch(self) -> u32 {
        match self {
            Self::Whole => 1,
            Self::Half => 2,
            Self::Quarter => 4,
            Self::Eighth => 8,
            Self::Sixteenth => 16,
        }
    }
}

/// For whom the text is: the system of units and the fineness of inches.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Reader {
    /// The system of units.
    pub system: System,
    /// The finest part of an inch; without effect in the metric system.
    #[serde(default)]
    pub inches: InchFraction,
}

const UNKNOWN: &str = "unknown";

impl Reader {
    /// A reader of this system, with inches to the half.
    pub const fn new(system: System) -> Self {
        Self { system, inches: InchFraction::Half }
    }

    /// The same reader with inches to another fraction.
    #[must_use]
    pub const fn with_inches(self, inches: InchFraction) -> Self {
        Self { inches, ..self }
    }

    /// A length [m]: `12' 6 1/2"` or `3.82 m`.
    pub fn length(self, metres: f64) -> String {
        match self.system {
            System::Us => self.feet_and_inches(metres, "' "),
            System::Metric => with_unit(grouped_fixed(metres, 2), " m"),
        }
    }

    /// A dimension on a plan [m], feet and inches hyphenated: `12'-6 1/2"` or `3.82 m`.
    pub fn dimension(self, metres: f64) -> String {
        match self.system {
            System::Us => self.feet_and_inches(metres, "'-"),
            System::Metric => self.length(metres),
        }
    }

    /// A length with its spread [m, m]: `12' 6" ± 6"`.
    pub fn length_with_spread(self, metres: f64, spread: f64) -> String {
        format!("{} ± {}", self.length(metres), self.length(spread.abs()))
    }

    /// A level or a length for surveying [m]: `12.50'` or `3.81 m`.
    pub fn level(self, metres: f64) -> String {
        match self.system {
            System::Us => with_unit(grouped_fixed(metres / FOOT, 2), "'"),
            System::Metric => self.length(metres),
        }
    }

    /// A depth, thickness or other small length [m], never in feet: `2 1/2"` or `64 mm`.
    pub fn depth(self, metres: f64) -> String {
        match self.system {
            System::Us => self.inches_alone(metres),
            System::Metric => with_unit(grouped_fixed(metres / MILLIMETRE, 0), " mm"),
        }
    }

    /// The rough size of something that grows or is paced [m]: `18 in`, `4.5 ft`, `20 ft`, `0.45 m`,
    /// `2.5 m`. To an inch below a yard, half a foot below ten feet, a foot beyond; to 50 mm below a
    /// metre, 0.1 m beyond: such a size is not known any closer.
    pub fn size(self, metres: f64) -> String {
        let (number, unit) = self.rough(metres);
        with_unit(number, unit)
    }

    /// A range of rough sizes [m, m], its unit once where both have the same: `10 to 20 ft`.
    pub fn size_range(self, low: f64, high: f64) -> String {
        let ((from, from_unit), (to, to_unit)) = (self.rough(low), self.rough(high));
        if from == to && from_unit == to_unit {
            return with_unit(to, to_unit);
        }
        let from = with_unit(from, if from_unit == to_unit { "" } else { from_unit });
        format!("{from} to {}", with_unit(to, to_unit))
    }

    fn rough(self, metres: f64) -> (Option<String>, &'static str) {
        let step = |unit: f64, step: f64| (metres / unit / step).round() * step;
        match self.system {
            System::Us if step(INCH, 1.0).abs() < 36.0 => (fixed(step(INCH, 1.0), 0), " in"),
            System::Us => {
                let feet = if metres / FOOT < 10.0 { step(FOOT, 0.5) } else { step(FOOT, 1.0) };
                (grouped_fixed(feet, u8::from(feet.fract().abs() > 0.1)), " ft")
            }
            System::Metric if step(1.0, 0.05).abs() < 1.0 => (fixed(step(1.0, 0.05), 2), " m"),
            System::Metric => (grouped_fixed(metres, 1), " m"),
        }
    }

    /// A spacing of plants or lights [m], on centre: `18" o.c.` or `450 mm o.c.`
    pub fn spacing(self, metres: f64) -> String {
        format!("{} o.c.", self.depth(metres))
    }

    /// An area [m²]: `1,240 sq ft` or `115 m²`.
    pub fn area(self, square_metres: f64) -> String {
        match self.system {
            System::Us => stepped(square_metres / SQUARE_FOOT, " sq ft"),
            System::Metric => stepped(square_metres, " m²"),
        }
    }

    /// The area of a property [m²], to a hundredth: `0.31 acre` or `0.13 ha`.
    pub fn land(self, square_metres: f64) -> String {
        match self.system {
            System::Us => with_unit(grouped_fixed(square_metres / ACRE, 2), " acre"),
            System::Metric => with_unit(grouped_fixed(square_metres / HECTARE, 2), " ha"),
        }
    }

    /// A volume of soil, bark or stone [m³]: `5.2 cu yd` or `4.0 m³`.
    pub fn volume(self, cubic_metres: f64) -> String {
        match self.system {
            System::Us => stepped(cubic_metres / CUBIC_YARD, " cu yd"),
            System::Metric => stepped(cubic_metres, " m³"),
        }
    }

    /// A volume of water [m³]: `40.0 gal` or `151 l`.
    pub fn water(self, cubic_metres: f64) -> String {
        match self.system {
            System::Us => stepped(cubic_metres / GALLON, " gal"),
            System::Metric => stepped(cubic_metres / LITRE, " l"),
        }
    }

    /// A mass [kg]: `110 lb` or `50.0 kg`.
    pub fn mass(self, kilograms: f64) -> String {
        match self.system {
            System::Us => stepped(kilograms / POUND, " lb"),
            System::Metric => stepped(kilograms, " kg"),
        }
    }

    /// A mass per area [kg/m²]: `1.0 lb per 1000 sq ft` or `4.9 g/m²`.
    pub fn mass_per_area(self, kilograms_per_square_metre: f64) -> String {
        match self.system {
            System::Us => {
                let rate = MassPerArea::from_kilograms_per_square_metre(kilograms_per_square_metre);
                stepped(rate.pounds_per_thousand_square_feet(), " lb per 1000 sq ft")
            }
            System::Metric => stepped(kilograms_per_square_metre * 1000.0, " g/m²"),
        }
    }

    /// A flow [m³/s]: `8.0 gpm` or `30.3 l/min`.
    pub fn flow(self, cubic_metres_per_second: f64) -> String {
        match self.system {
            System::Us => stepped(cubic_metres_per_second / GALLON_PER_MINUTE, " gpm"),
            System::Metric => stepped(cubic_metres_per_second / LITRE_PER_MINUTE, " l/min"),
        }
    }

    /// A pressure [Pa]: `45.0 psi` or `310 kPa`.
    pub fn pressure(self, pascals: f64) -> String {
        match self.system {
            System::Us => stepped(pascals / PSI, " psi"),
            System::Metric => stepped(pascals / KILOPASCAL, " kPa"),
        }
    }

    /// A rate of rain, watering or infiltration [m/s], to 0.01 in/h or 0.1 mm/h.
    pub fn rain_rate(self, metres_per_second: f64) -> String {
        let per_hour = metres_per_second * HOUR;
        match self.system {
            System::Us => with_unit(grouped_fixed(per_hour / INCH, 2), " in/h"),
            System::Metric => with_unit(grouped_fixed(per_hour / MILLIMETRE, 1), " mm/h"),
        }
    }

    /// A speed of water or wind [m/s], to a tenth: `4.9 ft/s` or `1.5 m/s`.
    pub fn speed(self, metres_per_second: f64) -> String {
        match self.system {
            System::Us => with_unit(grouped_fixed(metres_per_second / FOOT, 1), " ft/s"),
            System::Metric => with_unit(grouped_fixed(metres_per_second, 1), " m/s"),
        }
    }

    /// A temperature [K], to a degree: `17 °F` or `-8 °C`.
    pub fn temperature(self, kelvin: f64) -> String {
        let temperature = Temperature::from_kelvin(kelvin);
        match self.system {
            System::Us => with_unit(fixed(temperature.fahrenheit(), 0), " °F"),
            System::Metric => with_unit(fixed(temperature.celsius(), 0), " °C"),
        }
    }

    /// An angle [rad], to a tenth of a degree: `12.0°`.
    pub fn angle(self, radians: f64) -> String {
        with_unit(fixed(radians / DEGREE, 1), "°")
    }

    /// A fall or grade as rise on run \[dimensionless\], to a tenth of a percent: `2.0 %`.
    pub fn grade(self, rise_on_run: f64) -> String {
        with_unit(grouped_fixed(rise_on_run * 100.0, 1), " %")
    }

    /// A bank as run:rise from its rise on run \[dimensionless\], to a tenth: `3:1`, `2.5:1`.
    ///
    /// Up and down print alike. What has no such ratio, or one that rounds to nothing, prints as
    /// `level` or `vertical`; these words do not parse.
    pub fn bank(self, rise_on_run: f64) -> String {
        if rise_on_run == 0.0 {
            return "level".to_owned();
        }
        match grouped_fixed(1.0 / rise_on_run.abs(), 1).as_deref() {
            Some("0.0") => "vertical".to_owned(),
            Some(run) => format!("{}:1", run.trim_end_matches(".0")),
            None => UNKNOWN.to_owned(),
        }
    }

    /// A number of pieces: `1,240`.
    pub fn count(self, pieces: u64) -> String {
        thousands(pieces)
    }

    /// Money: `$1,240.50` in dollars of the United States, `1,240.50 EUR` otherwise.
    pub fn money(self, money: &Money) -> String {
        let text = money.to_string();
        match text.strip_suffix(" USD") {
            Some(amount) => match amount.strip_prefix('-') {
                Some(owed) => format!("-${owed}"),
                None => format!("${amount}"),
            },
            None => text,
        }
    }

    /// Feet and inches to the reader's fraction, inches alone below a foot.
    fn feet_and_inches(self, metres: f64, between: &str) -> String {
        let Some((sign, parts)) = self.inch_parts(metres) else {
            return UNKNOWN.to_owned();
        };
        let per_foot = u128::from(12 * self.inches.per_inch());
        let (feet, parts) = (parts / per_foot, parts % per_foot);
        let inches = self.mixed_inches(parts);
        if feet == 0 {
            format!("{sign}{inches}\"")
        } else {
            format!("{sign}{}{between}{inches}\"", grouped(&feet.to_string()))
        }
    }

    fn inches_alone(self, metres: f64) -> String {
        match self.inch_parts(metres) {
            Some((sign, parts)) => format!("{sign}{}\"", self.mixed_inches(parts)),
            None => UNKNOWN.to_owned(),
        }
    }

    /// The sign and the length as a whole number of the reader's fraction: rounding first and
    /// splitting afterwards is what carries 11 7/8 into the next foot.
    fn inch_parts(self, metres: f64) -> Option<(&'static str, u128)> {
        let parts = (metres / INCH * f64::from(self.inches.per_inch())).round();
        // Beyond this a whole number of parts would no longer be exact in the text.
        if !parts.is_finite() || parts.abs() >= 1e30 {
            return None;
        }
        Some((if parts < 0.0 { "-" } else { "" }, parts.abs() as u128))
    }

    /// `6`, `6 1/2` or `1/2` from a number of parts of an inch.
    fn mixed_inches(self, parts: u128) -> String {
        let per_inch = u128::from(self.inches.per_inch());
        let (whole, over) = (parts / per_inch, parts % per_inch);
        let shared = 1_u128 << over.trailing_zeros().min(per_inch.trailing_zeros());
        let (numerator, denominator) = (over / shared, per_inch / shared);
        match (whole, over) {
            (whole, 0) => grouped(&whole.to_string()),
            (0, _) => format!("{numerator}/{denominator}"),
            (whole, _) => format!("{} {numerator}/{denominator}", grouped(&whole.to_string())),
        }
    }
}

/// A whole number with its thousands parted: `1,240`.
pub fn thousands(number: u64) -> String {
    grouped(&number.to_string())
}

/// `value` rounded to so many significant digits (1 to 15), halves away from zero.
///
/// Zero and values that are not finite come back as they are.
pub fn significant(value: f64, digits: u8) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let exponent = value.abs().log10().floor() as i32;
    let decimals = i32::from(digits.clamp(1, 15)) - 1 - exponent;
    // Two branches, because only powers of ten with a positive exponent are exact.
    let scale = 10_f64.powi(decimals.abs());
    let result =
        if decimals >= 0 { (value * scale).round() / scale } else { (value / scale).round() * scale };
    // Near the ends of the range of floats the scaling leaves it; the value itself is nearer.
    if result.is_finite() { result } else { value }
}

/// With 2, 1 or 0 decimals by size, after the policy in the header.
fn stepped(value: f64, unit: &str) -> String {
    let text = if rounded(value, 2).abs() < 1.0 {
        grouped_fixed(value, 2)
    } else if rounded(value, 1).abs() < 100.0 {
        grouped_fixed(value, 1)
    } else {
        grouped_fixed(value, 0)
    };
    with_unit(text, unit)
}

fn with_unit(number: Option<String>, unit: &str) -> String {
    number.map_or_else(|| UNKNOWN.to_owned(), |number| format!("{number}{unit}"))
}

fn grouped_fixed(value: f64, decimals: u8) -> Option<String> {
    fixed(value, decimals).map(|text| grouped(&text))
}

/// With so many decimals, halves away from zero, without a minus before zero; none if not finite.
fn fixed(value: f64, decimals: u8) -> Option<String> {
    if !value.is_finite() {
        return None;
    }
    let places = usize::from(decimals);
    // Adding zero turns a negative zero into a positive one.
    Some(format!("{:.places$}", rounded(value, decimals) + 0.0))
}

fn rounded(value: f64, decimals: u8) -> f64 {
    let scale = 10_f64.powi(i32::from(decimals));
    let scaled = value * scale;
    // Past 2^53 a float has no decimals to round, and scaling could overflow.
    if scaled.abs() < 9.0e15 { scaled.round() / scale } else { value }
}

/// Parts the thousands of a decimal text with commas.
pub(crate) fn grouped(number: &str) -> String {
    let (sign, unsigned) = match number.strip_prefix('-') {
        Some(unsigned) => ("-", unsigned),
        None => ("", number),
    };
    let (whole, decimals) = unsigned.split_at(unsigned.find('.').unwrap_or(unsigned.len()));
    let mut text = String::from(sign);
    for (i, digit) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i) % 3 == 0 {
            text.push(',');
        }
        text.push(digit);
    }
    text + decimals
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::money::Currency;
    use rust_decimal::Decimal;

    const US: Reader = Reader::new(System::Us);
    const METRIC: Reader = Reader::new(System::Metric);

    #[test]
    fn feet_and_inches_carry_into_the_next_foot() {
        for (inches, text) in [
            (150.0, "12' 6\""),
            (150.5, "12' 6 1/2\""),
            (143.875, "12' 0\""),
            (11.875, "1' 0\""),
            (11.7, "11 1/2\""),
            (0.5, "1/2\""),
            (0.2, "0\""),
            (-0.2, "0\""),
            (-30.0, "-2' 6\""),
            (144.0, "12' 0\""),
            (14_400.0, "1,200' 0\""),
        ] {
            assert_eq!(US.length(inches * INCH), text);
        }
        let fine = US.with_inches(InchFraction::Sixteenth);
        assert_eq!(fine.length(11.875 * INCH), "11 7/8\"");
        assert_eq!(fine.length(11.98 * INCH), "1' 0\"");
        assert_eq!(fine.length(6.25 * INCH), "6 1/4\"");
        assert_eq!(US.with_inches(InchFraction::Whole).length(11.5 * INCH), "1' 0\"");
    }

    #[test]
    fn each_quantity_prints_as_the_header_says() {
        assert_eq!(US.dimension(150.5 * INCH), "12'-6 1/2\"");
        assert_eq!(US.level(12.5 * FOOT), "12.50'");
        assert_eq!(METRIC.length(3.8), "3.80 m");
        assert_eq!(METRIC.level(-0.15), "-0.15 m");
        assert_eq!(METRIC.level(-0.004), "0.00 m", "no minus before zero");
        assert_eq!(METRIC.length(1200.0), "1,200.00 m");
        assert_eq!(US.area(1240.0 * SQUARE_FOOT), "1,240 sq ft");
        assert_eq!(METRIC.area(115.2), "115 m²");
        assert_eq!(US.volume(5.2 * CUBIC_YARD), "5.2 cu yd");
        assert_eq!(METRIC.volume(4.0), "4.0 m³");
        assert_eq!(METRIC.volume(0.04), "0.04 m³");
        assert_eq!(METRIC.volume(99.96), "100 m³");
        assert_eq!(METRIC.volume(0.996), "1.0 m³");
        assert_eq!(US.spacing(18.0 * INCH), "18\" o.c.");
        assert_eq!(METRIC.spacing(0.45), "450 mm o.c.");
        assert_eq!(US.depth(2.5 * INCH), "2 1/2\"");
        assert_eq!(US.count(1240), "1,240");
        assert_eq!(US.bank(1.0 / 3.0), "3:1");
        assert_eq!(US.bank(0.4), "2.5:1");
        assert_eq!(US.bank(-0.5), "2:1");
        assert_eq!(US.bank(0.05), "20:1");
        assert_eq!(US.bank(0.0), "level");
        assert_eq!(US.bank(50.0), "vertical");
        assert_eq!(US.grade(0.02), "2.0 %");
        assert_eq!(US.temperature(273.15), "32 °F");
        assert_eq!(METRIC.temperature(265.15), "-8 °C");
        assert_eq!(US.length_with_spread(150.0 * INCH, 6.0 * INCH), "12' 6\" ± 6\"");
    }

    #[test]
    fn money_prints_with_sign_cents_and_thousands() {
        let priced = "2025-05-19".parse().unwrap();
        let dollars = |cents| Money::new(Decimal::new(cents, 2), Currency::USD, priced);
        assert_eq!(US.money(&dollars(124_050)), "$1,240.50");
        assert_eq!(US.money(&dollars(-500)), "-$5.00");
        let euros = Money::new(Decimal::new(5, 0), "EUR".parse().unwrap(), priced);
        assert_eq!(US.money(&euros), "5.00 EUR");
    }

    #[test]
    fn what_is_not_finite_prints_as_unknown() {
        for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            for reader in [US, METRIC] {
                let texts = [
                    reader.length(value),
                    reader.level(value),
                    reader.area(value),
                    reader.depth(value),
                    reader.angle(value),
                    reader.temperature(value),
                ];
                assert!(texts.iter().all(|text| text == UNKNOWN), "{texts:?}");
            }
        }
        assert_eq!(US.bank(f64::NAN), UNKNOWN);
    }

    #[test]
    fn significant_digits_round_at_any_size() {
        for (value, digits, expected) in [
            (1234.0, 2, 1200.0),
            (0.012_34, 2, 0.012),
            (-1250.0, 1, -1000.0),
            (9.99, 2, 10.0),
            (1250.0, 2, 1300.0),
            (-2.5, 1, -3.0),
            (1e-310, 3, 1e-310),
            (0.0, 3, 0.0),
            (5.0, 0, 5.0),
        ] {
            assert!((significant(value, digits) - expected).abs() < 1e-12, "{value}");
        }
    }

    #[test]
    fn thousands_are_parted_from_the_right() {
        for (number, text) in
            [(0, "0"), (999, "999"), (1000, "1,000"), (12_345, "12,345"), (1_234_567, "1,234,567")]
        {
            assert_eq!(thousands(number), text);
        }
        assert_eq!(grouped("-1234.5678"), "-1,234.5678");
    }
}
