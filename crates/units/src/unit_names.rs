//! The units that people write, with every spelling the parsers know.
//!
//! One table per quantity gives each unit's size in SI, the symbol we print and the names we
//! read. Names are compared after [`tidy_name`]: lower case, no full stops, `²` as `2`.
//!
//! - Left out on purpose: the bare `ton`, which is 2000 lb here and 1000 kg elsewhere; the
//!   parser asks for `short ton` or `t` instead.

use crate::constants::{
    ACRE, BAR, CENTIMETRE, CUBIC_FOOT, CUBIC_INCH, CUBIC_YARD, DEGREE, FAHRENHEIT_DEGREE, FLUID_OUNCE, FOOT,
    GALLON, GRAM, HECTARE, HOUR, INCH, KILOMETRE, KILOPASCAL, LITRE, MILE, MILLIMETRE, MINUTE, OUNCE, POUND,
    PSF, PSI, QUART, SHORT_TON, SQUARE_FOOT, SQUARE_INCH, SQUARE_YARD, TONNE, YARD,
};
use serde::{Deserialize, Serialize};

/// The system of units in which a project is written and read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum System {
    /// US customary: feet and inches, square feet, cubic yards, gallons, pounds.
    Us,
    /// Metric: metres, square and cubic metres, litres, kilograms.
    Metric,
}

impl System {
    /// The unit a bare length takes in this system unless the project declares another.
    pub const fn length_unit(self) -> LengthUnit {
        match self {
            Self::Us => LengthUnit::Foot,
            Self::Metric => LengthUnit::Metre,
        }
    }
}

/// What the parsers need of a unit.
pub(crate) trait Unit: Copy + 'static {
    /// The quantity's name with its article, for messages.
    const WHAT: &'static str;
    /// A text that parses, for messages.
    const EXAMPLE: &'static str;
    const ALL: &'static [Self];
    fn size(self) -> f64;
    fn symbol(self) -> &'static str;
    fn names(self) -> &'static [&'static str];

    fn find(name: &str) -> Option<Self> {
        let name = tidy_name(name);
        Self::ALL.iter().copied().find(|unit| unit.names().contains(&name.as_str()))
    }
}

/// Brings a written unit to the spelling of the tables.
pub(crate) fn tidy_name(name: &str) -> String {
    let mut tidy = String::with_capacity(name.len());
    for c in name.chars().flat_map(char::to_lowercase) {
        match c {
            '²' => tidy.push('2'),
            '³' => tidy.push('3'),
            '.' | '^' => {}
            c => tidy.push(c),
        }
    }
    let words: Vec<&str> = tidy.split_whitespace().collect();
    words.join(" ").replace(" /", "/").replace("/ ", "/")
}

macro_rules! units {
    (
        $(#[$about:meta])* $unit:ident, $what:literal, $example:literal;
        $($(#[$doc:meta])* $variant:ident = $size:expr, $symbol:literal, [$($name:literal),+];)+
    ) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $unit {
            $($(#[$doc])* $variant,)+
        }

        impl Unit for $unit {
            const WHAT: &'static str = $what;
            const EXAMPLE: &'static str = $example;
            const ALL: &'static [Self] = &[$(Self::$variant),+];

            fn size(self) -> f64 {
                match self { $(Self::$variant => $size,)+ }
            }

            fn symbol(self) -> &'static str {
                match self { $(Self::$variant => $symbol,)+ }
            }

            fn names(self) -> &'static [&'static str] {
                match self { $(Self::$variant => &[$($name),+],)+ }
            }
        }

        impl $unit {
            /// The unit of this name, in any of the spellings the parsers read.
            pub fn named(name: &str) -> Option<Self> {
                <Self as Unit>::find(name.trim())
            }

            /// Size of the unit in SI.
            pub fn in_si(self) -> f64 {
                Unit::size(self)
            }

            /// The symbol printed for the reader.
            pub fn printed(self) -> &'static str {
                Unit::symbol(self)
            }
        }
    };
}

units! {
    /// Units of length.
    LengthUnit, "a length", "12' 6\" or 3.8 m";
    /// 1 m.
    Metre = 1.0, "m", ["m", "metre", "metres", "meter", "meters"];
    /// 0.01 m.
    Centimetre = CENTIMETRE, "cm",
        ["cm", "centimetre", "centimetres", "centimeter", "centimeters"];
    /// 0.001 m.
    Millimetre = MILLIMETRE, "mm",
        ["mm", "millimetre", "millimetres", "millimeter", "millimeters"];
    /// 0.3048 m.
    Foot = FOOT, "ft", ["'", "ft", "foot", "feet"];
    /// 0.0254 m.
    Inch = INCH, "in", ["\"", "''", "in", "inch", "inches"];
    /// 0.9144 m.
    Yard = YARD, "yd", ["yd", "yds", "yard", "yards"];
    /// 1000 m.
    Kilometre = KILOMETRE, "km", ["km", "kilometre", "kilometres", "kilometer", "kilometers"];
    /// 1609.344 m.
    Mile = MILE, "mi", ["mi", "mile", "miles"];
}

impl LengthUnit {
    /// Whether the unit belongs to the metric system.
    pub const fn is_metric(self) -> bool {
        matches!(self, Self::Metre | Self::Centimetre | Self::Millimetre | Self::Kilometre)
    }
}

units! {
    /// Units of area.
    AreaUnit, "an area", "1,200 sq ft or 45 m²";
    /// 1 m².
    SquareMetre = 1.0, "m²",
        ["m2", "sq m", "sqm", "square metre", "square metres", "square meter", "square meters"];
    /// 0.3048² m².
    SquareFoot = SQUARE_FOOT, "sq ft",
        ["sq ft", "sqft", "sf", "ft2", "square foot", "square feet"];
    /// 0.9144² m².
    SquareYard = SQUARE_YARD, "sq yd",
        ["sq yd", "sqyd", "sy", "yd2", "square yard", "square yards"];
    /// 0.0254² m².
    SquareInch = SQUARE_INCH, "sq in", ["sq in", "sqin", "in2", "square inch", "square inches"];
    /// 43,560 sq ft.
    Acre = ACRE, "acre", ["acre", "acres", "ac"];
    /// 10,000 m².
    Hectare = HECTARE, "ha", ["ha", "hectare", "hectares"];
    /// 10⁻⁴ m².
    SquareCentimetre = CENTIMETRE * CENTIMETRE, "cm²", ["cm2", "sq cm"];
    /// 10⁻⁶ m².
    SquareMillimetre = MILLIMETRE * MILLIMETRE, "mm²", ["mm2", "sq mm"];
}

units! {
    /// Units of volume.
    VolumeUnit, "a volume", "5 cu yd, 40 gal or 3 m³";
    /// 1 m³.
    CubicMetre = 1.0, "m³",
        ["m3", "cu m", "cubic metre", "cubic metres", "cubic meter", "cubic meters"];
    /// 0.001 m³.
    Litre = LITRE, "l", ["l", "litre", "litres", "liter", "liters"];
    /// 10⁻⁶ m³.
    Millilitre = 1e-6, "ml", ["ml", "millilitre", "millilitres", "milliliter", "milliliters"];
    /// 27 cu ft.
    CubicYard = CUBIC_YARD, "cu yd", ["cu yd", "cuyd", "cy", "yd3", "cubic yard", "cubic yards"];
    /// 0.3048³ m³.
    CubicFoot = CUBIC_FOOT, "cu ft", ["cu ft", "cuft", "cf", "ft3", "cubic foot", "cubic feet"];
    /// 0.0254³ m³.
    CubicInch = CUBIC_INCH, "cu in", ["cu in", "cuin", "in3", "cubic inch", "cubic inches"];
    /// 231 cu in.
    Gallon = GALLON, "gal", ["gal", "gals", "gallon", "gallons"];
    /// A quarter of a gallon.
    Quart = QUART, "qt", ["qt", "qts", "quart", "quarts"];
    /// A 128th of a gallon.
    FluidOunce = FLUID_OUNCE, "fl oz", ["fl oz", "fluid ounce", "fluid ounces"];
}

units! {
    /// Units of mass.
    MassUnit, "a mass", "50 lb or 20 kg";
    /// 1 kg.
    Kilogram = 1.0, "kg", ["kg", "kilogram", "kilograms"];
    /// 0.001 kg.
    Gram = GRAM, "g", ["g", "gram", "grams"];
    /// 1000 kg.
    Tonne = TONNE, "t", ["t", "tonne", "tonnes", "metric ton", "metric tons"];
    /// 0.45359237 kg.
    Pound = POUND, "lb", ["lb", "lbs", "pound", "pounds"];
    /// A sixteenth of a pound.
    Ounce = OUNCE, "oz", ["oz", "ounce", "ounces"];
    /// 2000 lb.
    ShortTon = SHORT_TON, "short ton", ["short ton", "short tons", "us ton", "us tons"];
}

units! {
    /// Units of plane angle; slopes (`3:1`, `5 %`) are read beside them.
    AngleUnit, "an angle or slope", "12°, 5 % or 3:1 (run:rise)";
    /// π/180 rad.
    Degree = DEGREE, "°", ["°", "deg", "degs", "degree", "degrees"];
    /// 1 rad.
    Radian = 1.0, "rad", ["rad", "radian", "radians"];
}

units! {
    /// Units of volume flow.
    FlowUnit, "a flow", "8 gpm or 30 l/min";
    /// 1 m³/s.
    CubicMetrePerSecond = 1.0, "m³/s", ["m3/s"];
    /// One cubic metre in an hour.
    CubicMetrePerHour = 1.0 / HOUR, "m³/h", ["m3/h", "m3/hr"];
    /// One litre in a second.
    LitrePerSecond = LITRE, "l/s", ["l/s", "l/sec"];
    /// One litre in a minute.
    LitrePerMinute = LITRE / MINUTE, "l/min", ["l/min", "lpm"];
    /// One litre in an hour.
    LitrePerHour = LITRE / HOUR, "l/h", ["l/h", "l/hr", "lph"];
    /// One gallon in a minute.
    GallonPerMinute = GALLON / MINUTE, "gpm", ["gpm", "gal/min"];
    /// One gallon in an hour.
    GallonPerHour = GALLON / HOUR, "gph", ["gph", "gal/h", "gal/hr"];
    /// One cubic foot in a second.
    CubicFootPerSecond = CUBIC_FOOT, "cfs", ["cfs", "cu ft/s", "ft3/s"];
}

units! {
    /// Units of pressure.
    PressureUnit, "a pressure", "45 psi or 310 kPa";
    /// 1 Pa.
    Pascal = 1.0, "Pa", ["pa", "pascal", "pascals"];
    /// 1000 Pa.
    Kilopascal = KILOPASCAL, "kPa", ["kpa", "kilopascal", "kilopascals"];
    /// 100,000 Pa.
    Bar = BAR, "bar", ["bar", "bars"];
    /// One pound-force on a square inch.
    Psi = PSI, "psi", ["psi", "lb/sq in", "lb/in2"];
    /// One pound-force on a square foot.
    Psf = PSF, "psf", ["psf", "lb/sq ft", "lb/ft2"];
}

units! {
    /// Units of speed, also of precipitation and infiltration.
    SpeedUnit, "a speed", "0.5 in/h or 1.5 m/s";
    /// 1 m/s.
    MetrePerSecond = 1.0, "m/s", ["m/s", "m/sec"];
    /// One kilometre in an hour.
    KilometrePerHour = KILOMETRE / HOUR, "km/h", ["km/h", "km/hr", "kph"];
    /// One millimetre in an hour.
    MillimetrePerHour = MILLIMETRE / HOUR, "mm/h", ["mm/h", "mm/hr"];
    /// One foot in a second.
    FootPerSecond = FOOT, "ft/s", ["ft/s", "ft/sec", "fps"];
    /// One inch in an hour.
    InchPerHour = INCH / HOUR, "in/h", ["in/h", "in/hr", "iph"];
    /// One mile in an hour.
    MilePerHour = MILE / HOUR, "mph", ["mph", "mi/h", "mi/hr"];
}

units! {
    /// Scales of temperature. The size is that of one degree; the zero is added by the parser.
    TemperatureUnit, "a temperature", "17 F or -8 C";
    /// Kelvin, from absolute zero.
    Kelvin = 1.0, "K", ["k", "kelvin"];
    /// Celsius, from 273.15 K.
    Celsius = 1.0, "°C", ["c", "°c", "deg c", "celsius"];
    /// Fahrenheit, 459.67 of its degrees above absolute zero.
    Fahrenheit = FAHRENHEIT_DEGREE, "°F", ["f", "°f", "deg f", "fahrenheit"];
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spellings<U: Unit>() -> Vec<&'static str> {
        U::ALL.iter().flat_map(|unit| unit.names()).copied().collect()
    }

    /// Two units that share a spelling, or a spelling that `tidy_name` would alter, could never
    /// be read as the table says.
    #[test]
    fn every_spelling_finds_its_own_unit_and_so_does_the_symbol() {
        fn check<U: Unit + PartialEq + std::fmt::Debug>() {
            for unit in U::ALL.iter().copied() {
                for name in unit.names() {
                    assert_eq!(U::find(name), Some(unit), "{name}");
                }
                assert_eq!(U::find(unit.symbol()), Some(unit), "{}", unit.symbol());
            }
            let mut names = spellings::<U>();
            let count = names.len();
            names.sort_unstable();
            names.dedup();
            assert_eq!(names.len(), count);
        }
        check::<LengthUnit>();
        check::<AreaUnit>();
        check::<VolumeUnit>();
        check::<MassUnit>();
        check::<AngleUnit>();
        check::<FlowUnit>();
        check::<PressureUnit>();
        check::<SpeedUnit>();
        check::<TemperatureUnit>();
    }
}
