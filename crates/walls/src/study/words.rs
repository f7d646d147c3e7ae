//! Forces and pressures for a reader.

use groundwright_units::constants::{FOOT, KILOPASCAL, POUND_FORCE, PSF};
use groundwright_units::{Reader, System};

/// A force to a length of wall [N/m]: `310 lb/ft` or `4.52 kN/m`.
pub(crate) fn force(reader: Reader, value: f64) -> String {
    match reader.system {
        System::Us => format!("{:.0} lb/ft", value / (POUND_FORCE / FOOT)),
        System::Metric => format!("{:.2} kN/m", value / 1000.0),
    }
}

/// A moment to a length of wall [N]: `820 lb ft/ft` or `3.65 kNm/m`.
pub(crate) fn moment(reader: Reader, value: f64) -> String {
    match reader.system {
        System::Us => format!("{:.0} lb ft/ft", value / POUND_FORCE),
        System::Metric => format!("{:.2} kNm/m", value / 1000.0),
    }
}

/// A pressure on the ground [Pa]: `1250 psf` or `60.0 kPa`.
pub(crate) fn pressure(reader: Reader, value: f64) -> String {
    match reader.system {
        System::Us => format!("{:.0} psf", value / PSF),
        System::Metric => format!("{:.1} kPa", value / KILOPASCAL),
    }
}

/// A unit weight [N/m³]: `120 pcf` or `18.9 kN/m³`.
pub(crate) fn unit_weight(reader: Reader, value: f64) -> String {
    match reader.system {
        System::Us => format!("{:.0} pcf", value / (PSF / FOOT)),
        System::Metric => format!("{:.1} kN/m³", value / 1000.0),
    }
}
