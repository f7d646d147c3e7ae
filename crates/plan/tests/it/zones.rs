//! Hardiness zones against the definition of the hardiness map.

use groundwright_plan::HardinessZone;

/// Average annual extreme minimum in °F and its zone: zone n spans -60 + 10 (n - 1) to
/// -50 + 10 (n - 1) °F, halves of 5 °F, `a` the colder, lower limit inclusive (a convention).
/// Source: the definition of the USDA Plant Hardiness Zone Map, read; zones computed from it.
const ZONES: [(f64, &str); 7] =
    [(17.0, "8b"), (-7.0, "6a"), (32.0, "10a"), (-12.5, "5b"), (60.0, "13a"), (-60.0, "1a"), (20.0, "9a")];

/// Lowest average annual extreme minimum of a half-zone by that definition. [°F]
fn lowest(zone: HardinessZone) -> f64 {
    -60.0 + 10.0 * (f64::from(zone.number) - 1.0) + if zone.warmer_half { 5.0 } else { 0.0 }
}

#[test]
fn zones_are_read_as_the_map_defines_them() {
    for (minimum, name) in ZONES {
        let zone = HardinessZone::parse(name).unwrap();
        assert!((lowest(zone)..lowest(zone) + 5.0).contains(&minimum), "{name} holds {minimum} °F");
        assert_eq!(zone.to_string(), name);
    }
}

#[test]
fn a_warmer_winter_is_a_higher_zone() {
    let mut by_winter = ZONES;
    by_winter.sort_by(|a, b| a.0.total_cmp(&b.0));
    let zones: Vec<_> = by_winter.iter().map(|(_, name)| HardinessZone::parse(name).unwrap()).collect();
    assert!(zones.is_sorted(), "{zones:?}");
}

/// Without a half the colder one is taken, so that no plant is promised too much.
#[test]
fn half_zones_and_whole_ones() {
    assert_eq!(HardinessZone::parse("8"), HardinessZone::parse("8a"));
    assert_eq!(HardinessZone::parse(" 8B "), HardinessZone::parse("8b"));
    for wrong in ["", "b", "0a", "14a", "8c", "8ab", "+8", "-1", "8.5", "zone 8", "999b"] {
        assert_eq!(HardinessZone::parse(wrong), None, "{wrong}");
    }
}
