//! One newtype for each quantity that people write and read.
//!
//! A quantity holds one `f64` in SI and leaves by its accessor (`.metres()`); formulas work on
//! the plain number from there on. Serialised, a quantity is its SI number.
//!
//! - Constructors take any `f64`, so that they can be `const`; the parsers and the deserialiser
//!   are the doors for outside data and refuse what is not finite.
//! - Not here: reading text (`parse`) and writing it (`format`).

use crate::constants::{
    ACRE, CUBIC_FOOT, CUBIC_YARD, DEGREE, FAHRENHEIT_DEGREE, FOOT, GALLON, GALLON_PER_MINUTE, INCH,
    KILOPASCAL, LITRE, LITRE_PER_MINUTE, POUND, PSI, SQUARE_FOOT, YARD, ZERO_CELSIUS, ZERO_FAHRENHEIT,
};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error as _};

/// The newtype, its SI door and its serialised form; further units as `from_x / x = size`.
macro_rules! quantity {
    (
        $(#[$about:meta])* $name:ident, $from:ident, $get:ident, $unit:literal
        $(, $from_other:ident, $get_other:ident = $size:expr)* $(,)?
    ) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl $name {
            #[doc = concat!("From SI. [", $unit, "]")]
            pub const fn $from(value: f64) -> Self {
                Self(value)
            }

            #[doc = concat!("In SI. [", $unit, "]")]
            pub const fn $get(self) -> f64 {
                self.0
            }

            $(
                #[doc = concat!("From a count of the unit `", stringify!($size), "`.")]
                pub const fn $from_other(count: f64) -> Self {
                    Self(count * $size)
                }

                #[doc = concat!("As a count of the unit `", stringify!($size), "`.")]
                pub const fn $get_other(self) -> f64 {
                    self.0 / $size
                }
            )*
        }

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_f64(self.0)
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let value = f64::deserialize(deserializer)?;
                if value.is_finite() {
                    Ok(Self(value))
                } else {
                    Err(D::Error::custom(concat!("expected a finite number of ", $unit)))
                }
            }
        }
    };
}

/// Sums, differences and multiples, for the quantities where they mean something.
macro_rules! additive {
    ($($name:ident),+) => {$(
        impl $name {
            /// Nothing of it.
            pub const ZERO: Self = Self(0.0);
        }

        impl std::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl std::ops::Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl std::ops::Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl std::ops::Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
                items.fold(Self::ZERO, |total, item| total + item)
            }
        }
    )+};
}

quantity! {
    /// A length, distance, depth or level. [m]
    Length, from_metres, metres, "m",
    from_feet, feet = FOOT,
    from_inches, inches = INCH,
    from_yards, yards = YARD,
}
quantity! {
    /// An area. [m²]
    Area, from_square_metres, square_metres, "m²",
    from_square_feet, square_feet = SQUARE_FOOT,
    from_acres, acres = ACRE,
}
quantity! {
    /// A volume, of material or of water. [m³]
    Volume, from_cubic_metres, cubic_metres, "m³",
    from_cubic_yards, cubic_yards = CUBIC_YARD,
    from_cubic_feet, cubic_feet = CUBIC_FOOT,
    from_gallons, gallons = GALLON,
    from_litres, litres = LITRE,
}
quantity! {
    /// A mass. [kg]
    Mass, from_kilograms, kilograms, "kg",
    from_pounds, pounds = POUND,
}
quantity! {
    /// A plane angle or the inclination of a slope. [rad]
    Angle, from_radians, radians, "rad",
    from_degrees, degrees = DEGREE,
}
quantity! {
    /// A volume flow. [m³/s]
    Flow, from_cubic_metres_per_second, cubic_metres_per_second, "m³/s",
    from_gallons_per_minute, gallons_per_minute = GALLON_PER_MINUTE,
    from_litres_per_minute, litres_per_minute = LITRE_PER_MINUTE,
}
quantity! {
    /// A pressure, above that of the air unless the field says otherwise. [Pa]
    Pressure, from_pascals, pascals, "Pa",
    from_psi, psi = PSI,
    from_kilopascals, kilopascals = KILOPASCAL,
}
quantity! {
    /// A speed: of water, wind or infiltration. [m/s]
    Speed, from_metres_per_second, metres_per_second, "m/s",
}
quantity! {
    /// A mass spread over an area, such as seed or fertiliser. [kg/m²]
    MassPerArea, from_kilograms_per_square_metre, kilograms_per_square_metre, "kg/m²",
    from_pounds_per_thousand_square_feet, pounds_per_thousand_square_feet
        = (POUND / (1000.0 * SQUARE_FOOT)),
}
quantity! {
    /// An absolute temperature. [K]
    Temperature, from_kelvin, kelvin, "K",
}

additive!(Length, Area, Volume, Mass, Angle, Flow, Pressure, Speed, MassPerArea);

impl Angle {
    /// Inclination of a slope that rises by `rise` for each unit of run. \[dimensionless\]
    pub fn from_slope(rise: f64) -> Self {
        Self(rise.atan())
    }

    /// Rise for each unit of run; grows without limit towards the vertical. \[dimensionless\]
    pub fn slope(self) -> f64 {
        self.0.tan()
    }
}

impl Temperature {
    /// From degrees Celsius. [°C]
    pub const fn from_celsius(degrees: f64) -> Self {
        Self(degrees + ZERO_CELSIUS)
    }

    /// In degrees Celsius. [°C]
    pub const fn celsius(self) -> f64 {
        self.0 - ZERO_CELSIUS
    }

    /// From degrees Fahrenheit. [°F]
    pub const fn from_fahrenheit(degrees: f64) -> Self {
        Self(degrees * FAHRENHEIT_DEGREE + ZERO_FAHRENHEIT)
    }

    /// In degrees Fahrenheit. [°F]
    pub const fn fahrenheit(self) -> f64 {
        (self.0 - ZERO_FAHRENHEIT) / FAHRENHEIT_DEGREE
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quantity_serialises_as_its_si_number() {
        assert_eq!(serde_json::to_string(&Length::from_metres(3.8)).unwrap(), "3.8");
        assert_eq!(serde_json::from_str::<Length>("3.8").unwrap(), Length::from_metres(3.8));
    }

    /// Fixed points of the scales: ice point 0 °C = 32 °F, and -40 is the same on both.
    /// Source: definitions of the scales.
    #[test]
    fn the_temperature_scales_meet_at_their_fixed_points() {
        assert!((Temperature::from_celsius(0.0).fahrenheit() - 32.0).abs() < 1e-9);
        assert!((Temperature::from_fahrenheit(-40.0).celsius() + 40.0).abs() < 1e-9);
        assert!((Temperature::from_fahrenheit(212.0).kelvin() - 373.15).abs() < 1e-9);
    }

    #[test]
    fn a_slope_of_one_is_half_a_right_angle() {
        assert!((Angle::from_slope(1.0).degrees() - 45.0).abs() < 1e-12);
        assert!((Angle::from_degrees(45.0).slope() - 1.0).abs() < 1e-12);
    }
}
