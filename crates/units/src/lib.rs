//! Lengths, areas, flows, money: parsed as the trade writes them, SI inside.
//!
//! This is the edge between what people write (`12' 6"`, `32-6 1/2`, `1,240 sq ft`, `40 gal`) and
//! what the studies compute with (`f64` in coherent SI, radians, kelvin).
//!
//! - In: text from a person or a file. Out: a quantity with its spread, or an error that says how
//!   to mend the text; and back again, text for the reader.
//! - A text that could be read two ways is questioned, never guessed.
//! - No value that is not finite gets past a parser.
//! - Not here: where in which file a text stood (the project reader adds that), and whether a
//!   value was measured, stated or assumed (the plan keeps that standing).
//!
//! ```
//! use groundwright_units::{LengthUnit, Reader, System, parse_length};
//!
//! let bed = parse_length("12'-6 1/2\"", Some(LengthUnit::Foot)).unwrap().value;
//! assert_eq!(Reader::new(System::Us).length(bed.metres()), "12' 6 1/2\"");
//! assert_eq!(Reader::new(System::Metric).length(bed.metres()), "3.82 m");
//! ```

pub mod constants;

mod format;
mod money;
mod nearest;
mod parse;
mod quantities;
mod unit_names;

pub use format::{InchFraction, Reader, significant, thousands};
pub use money::{Currency, Money, MoneyError, PriceDate, parse_amount};
pub use nearest::nearest_name;
pub use parse::{
    ASSUMED_SPREAD, ParseError, Parsed, parse_angle, parse_area, parse_flow, parse_length, parse_mass,
    parse_mass_per_area, parse_pressure, parse_spacing, parse_speed, parse_temperature, parse_volume,
};
pub use quantities::{Angle, Area, Flow, Length, Mass, MassPerArea, Pressure, Speed, Temperature, Volume};
pub use unit_names::{
    AngleUnit, AreaUnit, FlowUnit, LengthUnit, MassUnit, PressureUnit, SpeedUnit, System, TemperatureUnit,
    VolumeUnit,
};
