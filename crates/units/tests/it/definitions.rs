//! The constants against published values.
//!
//! Exact values after NIST Special Publication 811 (2008), appendix B.8, and the international
//! yard and pound agreement of 1959; recalled, then recomputed from the definitions.

use groundwright_units::constants::{
    ACRE, CUBIC_FOOT, CUBIC_INCH, CUBIC_YARD, DEGREE, FOOT, GALLON, GALLON_PER_MINUTE, INCH, MILE, OUNCE,
    POUND, PSF, PSI, SHORT_TON, SQUARE_FOOT, YARD, ZERO_FAHRENHEIT,
};

fn agrees(ours: f64, published: f64, relative: f64) {
    assert!((ours / published - 1.0).abs() <= relative, "{ours} against {published}");
}

/// Exact definitions: equal to the last bit that a float can hold of the decimal.
#[test]
fn exact_definitions_hold() {
    for (ours, published) in [
        (FOOT, 0.3048),
        (INCH, 0.0254),
        (YARD, 0.9144),
        (MILE, 1609.344),
        (POUND, 0.453_592_37),
        (SQUARE_FOOT, 0.092_903_04),
        (CUBIC_FOOT, 0.028_316_846_592),
        (CUBIC_YARD, 0.764_554_857_984),
        (GALLON, 0.003_785_411_784),
        (ACRE, 4_046.856_422_4),
        (SHORT_TON, 907.184_74),
        (OUNCE, 0.028_349_523_125),
    ] {
        agrees(ours, published, 4.0 * f64::EPSILON);
    }
}

/// SP 811 prints seven significant digits of these: 1 psi = 6.894 757 E+03 Pa, 1 lbf/ft² =
/// 4.788 026 E+01 Pa, 1 gpm = 6.309 020 E-05 m³/s, 1° = 1.745 329 E-02 rad.
#[test]
fn rounded_factors_agree_to_every_printed_digit() {
    for (ours, printed) in [
        (PSI, "6.894757e3"),
        (PSF, "4.788026e1"),
        (GALLON_PER_MINUTE, "6.309020e-5"),
        (DEGREE, "1.745329e-2"),
    ] {
        assert_eq!(format!("{ours:.6e}"), printed);
    }
}

/// A US gallon is 231 cubic inches; a yard of bark is 27 cubic feet and covers 324 square feet
/// an inch deep; a foot of 12 inches, a mile of 5280 feet. Definitions and arithmetic on them.
#[test]
fn customary_units_fit_into_one_another() {
    agrees(GALLON / CUBIC_INCH, 231.0, 1e-15);
    agrees(CUBIC_YARD / CUBIC_FOOT, 27.0, 1e-14);
    agrees(CUBIC_YARD / INCH / SQUARE_FOOT, 324.0, 1e-14);
    agrees(FOOT / INCH, 12.0, 1e-15);
    agrees(MILE / FOOT, 5280.0, 1e-15);
    agrees(ZERO_FAHRENHEIT, 255.372_222_222_222_2, 1e-15);
}
