//! Against published rules and conversion tables.

use std::f64::consts::PI;

use groundwright_site::{protection, swell};
use groundwright_units::constants::{CUBIC_YARD, FOOT, INCH, SQUARE_FOOT};

/// Trunk [in], radius at 1.0, 1.25 and 1.5 ft to the inch [ft], area at 1.0 [sq ft].
/// Source: multipliers read in municipal and extension tree protection rules; products computed.
const TREES: [(f64, [f64; 3], f64); 2] =
    [(10.0, [10.0, 12.50, 15.0], 314.16), (22.0, [22.0, 27.50, 33.0], 1520.53)];

#[test]
fn protection_radius_follows_the_published_multipliers() {
    for (trunk, radii, area) in TREES {
        for (feet_to_the_inch, expected) in [1.0, 1.25, 1.5].into_iter().zip(radii) {
            let ratio = feet_to_the_inch * FOOT / INCH;
            let radius = protection::radius(trunk * INCH, ratio, 0.0).unwrap();
            assert!((radius / FOOT - expected).abs() < 1e-9, "{trunk} in at {feet_to_the_inch} ft/in");
        }
        let radius = protection::radius(trunk * INCH, 12.0, 0.0).unwrap();
        assert!((protection::area(radius) / SQUARE_FOOT - area).abs() < 0.01, "{trunk} in");
    }
    assert!((protection::area(1.0) - PI).abs() < 1e-12);
}

/// Bank [cu yd], swell, shrinkage; loose, compacted, bank for as much compacted, loose to import.
/// Source: the first line is a printed example of an earthwork conversion table (125 loose and 88
/// compacted; about 114 bank); its third decimals, and the second line, computed from the table's rule.
const EARTH: [[f64; 7]; 2] = [
    [100.0, 0.25, 0.12, 125.000, 88.000, 113.636, 142.045],
    [200.0, 0.40, 0.10, 280.000, 180.000, 222.222, 311.111],
];

#[test]
fn earth_swells_and_shrinks_as_the_conversion_tables_have_it() {
    for [bank, share, shrinkage, loose, compacted, needed, imported] in EARTH {
        let close =
            |ours: f64, printed: f64| assert!((ours / CUBIC_YARD - printed).abs() < 1e-3, "{printed}");
        let volume = bank * CUBIC_YARD;
        close(swell::loose_from_bank(volume, share).unwrap(), loose);
        close(swell::compacted_from_bank(volume, shrinkage).unwrap(), compacted);
        let ours = swell::bank_for_compacted(volume, shrinkage).unwrap();
        close(ours, needed);
        close(swell::loose_from_bank(ours, share).unwrap(), imported);
    }
}

#[test]
fn bad_earth_is_refused_in_words() {
    let told = swell::loose_from_bank(-1.0, 0.25).unwrap_err().to_string();
    assert_eq!(told, "the volume is -1; expected a finite volume, not below zero");
    assert!(swell::loose_from_bank(1.0, f64::NAN).is_err());
    assert!(swell::bank_for_compacted(1.0, 1.0).is_err());
}
