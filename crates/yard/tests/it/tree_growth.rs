//! Trees against the published equations' own values.

use groundwright_plan::stock::embedded;
use groundwright_yard::{expected_size, tree_equations};

/// Sizes at 5, 10, 20 and 30 years. Source: the coefficients of the urban tree database, computed
/// in double precision apart from this code; within 0.1 %. Palms, whose equations take other
/// arguments, are in the table and not in the program.
#[test]
fn sizes_agree_with_the_published_equations() {
    let mut checked = 0;
    for line in include_str!("../data/tree-growth.csv").lines().skip(1) {
        let fields: Vec<&str> = line.split(',').collect();
        let number = |i: usize| fields[i].parse::<f64>();
        let (Ok(age), Ok(trunk), Ok(height), Ok(crown)) = (number(2), number(3), number(4), number(5)) else {
            assert!(fields[1].contains("palm"), "{line}");
            continue;
        };
        let tree = tree_equations().iter().find(|t| t.region == fields[0] && t.species == fields[1]);
        let size = tree.unwrap_or_else(|| panic!("{line}")).at(age).unwrap();
        for (ours, theirs) in [(size.trunk * 100.0, trunk), (size.height, height), (size.crown, crown)] {
            assert!((ours - theirs).abs() < 1e-3 * theirs, "{line}: {ours} {theirs}");
        }
        checked += 1;
    }
    assert_eq!(checked, 28);
}

/// Every equation that the program carries gives finite sizes that never shrink.
#[test]
fn no_tree_shrinks() {
    assert_eq!(tree_equations().len(), 132);
    for tree in tree_equations() {
        let mut before = tree.at(0.0).unwrap();
        for age in 1..80 {
            let size = tree.at(f64::from(age)).unwrap();
            assert!(size.height.is_finite() && size.crown > 0.0 && size.trunk > 0.0, "{tree:?}");
            assert!(size.trunk >= before.trunk && size.height >= before.height - 1e-9, "{tree:?} at {age}");
            before = size;
        }
        assert!(tree.at(f64::NAN).is_err() && tree.at(-1.0).is_err());
    }
}

/// A plant begins at the size in which it is set, grows, and its band holds the likely size.
#[test]
fn every_plant_of_the_stock_grows_from_the_size_it_is_set_in() {
    let stock = embedded();
    let mut by_equations = 0;
    for taxon in stock.taxa.values().filter(|taxon| !taxon.weed) {
        let planted = (0.3 * taxon.mature_height(), 0.3 * taxon.mature_spread());
        let mut before = planted;
        for years in [0.0, 1.0, 5.0, 10.0, 20.0] {
            let size = expected_size(taxon, planted, years).unwrap();
            for ([least, likely, most], before) in [(size.height, before.0), (size.spread, before.1)] {
                assert!(least <= likely && likely <= most, "{} {size:?}", taxon.id);
                assert!(likely >= before - 1e-9, "{} shrinks at {years}: {size:?}", taxon.id);
            }
            before = (size.height[1], size.spread[1]);
            by_equations += usize::from(size.regions > 0);
        }
    }
    assert!(by_equations >= 5 * 20, "{by_equations}");
}
