//! Customary units in SI, exact where the definition is exact.
//!
//! Multiply a count of the unit by its constant to get SI; divide SI by it to get the count.
//!
//! - Source: NIST Special Publication 811 (2008), appendix B, for the international yard and
//!   pound, the US liquid gallon and standard gravity; from memory. Everything else is derived
//!   below from those definitions, so that no rounded factor is written twice.
//! - The foot is the international foot of 0.3048 m, not the US survey foot of 1200/3937 m,
//!   which was retired at the end of 2022 and differs by two parts in a million.

/// Centimetre. [m]
pub const CENTIMETRE: f64 = 0.01;
/// Millimetre. [m]
pub const MILLIMETRE: f64 = 0.001;
/// Kilometre. [m]
pub const KILOMETRE: f64 = 1000.0;
/// International foot, exact. [m]
pub const FOOT: f64 = 0.3048;
/// Inch, a twelfth of a foot, exact. [m]
pub const INCH: f64 = 0.0254;
/// International yard of three feet, exact. [m]
pub const YARD: f64 = 0.9144;
/// Statute mile of 5280 feet, exact. [m]
pub const MILE: f64 = 1609.344;

/// Square inch. [m²]
pub const SQUARE_INCH: f64 = INCH * INCH;
/// Square foot. [m²]
pub const SQUARE_FOOT: f64 = FOOT * FOOT;
/// Square yard. [m²]
pub const SQUARE_YARD: f64 = YARD * YARD;
/// Acre of 43,560 square (international) feet. [m²]
pub const ACRE: f64 = 43_560.0 * SQUARE_FOOT;
/// Hectare. [m²]
pub const HECTARE: f64 = 10_000.0;

/// Cubic inch. [m³]
pub const CUBIC_INCH: f64 = INCH * INCH * INCH;
/// Cubic foot. [m³]
pub const CUBIC_FOOT: f64 = FOOT * FOOT * FOOT;
/// Cubic yard of 27 cubic feet. [m³]
pub const CUBIC_YARD: f64 = YARD * YARD * YARD;
/// Litre. [m³]
pub const LITRE: f64 = 0.001;
/// US liquid gallon of 231 cubic inches. [m³]
pub const GALLON: f64 = 231.0 * CUBIC_INCH;
/// US liquid quart, a quarter of a gallon. [m³]
pub const QUART: f64 = GALLON / 4.0;
/// US fluid ounce, a 128th of a gallon. [m³]
pub const FLUID_OUNCE: f64 = GALLON / 128.0;

/// Gram. [kg]
pub const GRAM: f64 = 0.001;
/// Tonne (metric ton). [kg]
pub const TONNE: f64 = 1000.0;
/// Avoirdupois pound, exact. [kg]
pub const POUND: f64 = 0.453_592_37;
/// Avoirdupois ounce, a sixteenth of a pound. [kg]
pub const OUNCE: f64 = POUND / 16.0;
/// Short ton of 2000 pounds. [kg]
pub const SHORT_TON: f64 = 2000.0 * POUND;

/// Minute of time. [s]
pub const MINUTE: f64 = 60.0;
/// Hour. [s]
pub const HOUR: f64 = 3600.0;
/// Day of 24 hours. [s]
pub const DAY: f64 = 86_400.0;

/// Standard acceleration of free fall, exact by convention. [m/s²]
pub const STANDARD_GRAVITY: f64 = 9.806_65;
/// Pound-force: the weight of one pound under standard gravity. [N]
pub const POUND_FORCE: f64 = POUND * STANDARD_GRAVITY;
/// Pound-force per square inch. [Pa]
pub const PSI: f64 = POUND_FORCE / SQUARE_INCH;
/// Pound-force per square foot, as soil pressures are given. [Pa]
pub const PSF: f64 = POUND_FORCE / SQUARE_FOOT;
/// Bar. [Pa]
pub const BAR: f64 = 100_000.0;
/// Kilopascal. [Pa]
pub const KILOPASCAL: f64 = 1000.0;

/// US gallon per minute. [m³/s]
pub const GALLON_PER_MINUTE: f64 = GALLON / MINUTE;
/// Litre per minute. [m³/s]
pub const LITRE_PER_MINUTE: f64 = LITRE / MINUTE;

/// Degree of arc. [rad]
pub const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// Zero of the Celsius scale, exact. [K]
pub const ZERO_CELSIUS: f64 = 273.15;
/// Size of a Fahrenheit degree. [K]
pub const FAHRENHEIT_DEGREE: f64 = 5.0 / 9.0;
/// Zero of the Fahrenheit scale: 459.67 Fahrenheit degrees above absolute zero. [K]
pub const ZERO_FAHRENHEIT: f64 = 459.67 * FAHRENHEIT_DEGREE;
