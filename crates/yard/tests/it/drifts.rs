//! Drifts: exact numbers, in one piece.

use groundwright_geometry::Point;
use groundwright_yard::arrange::drifts::{DriftFault, Drifts, drifts, largest_remainder};
use groundwright_yard::arrange::mass;
use proptest::prelude::*;

use crate::shapes::{blob, rectangle};

/// An election of 10 seats by largest remainder with the Hare quota, votes as in an encyclopaedia's
/// worked example; recalled, and easily done by hand.
#[test]
fn largest_remainder_gives_the_printed_seats() {
    let votes = [47_000.0, 16_000.0, 15_900.0, 12_000.0, 6_000.0, 3_100.0];
    assert_eq!(largest_remainder(10, &votes).unwrap(), [5, 2, 1, 1, 1, 0]);
}

/// Whether the plants of a drift hang together, neighbours being up to 1.6 spacings apart.
fn in_one_piece(points: &[Point], drifts: &Drifts, drift: usize, spacing: f64) -> bool {
    let members: Vec<usize> = (0..points.len()).filter(|&i| drifts.drift[i] == drift).collect();
    let mut reached = vec![members[0]];
    let mut at = 0;
    while at < reached.len() {
        let here = points[reached[at]];
        for &member in &members {
            if !reached.contains(&member) && points[member].distance(here) < 1.6 * spacing {
                reached.push(member);
            }
        }
        at += 1;
    }
    reached.len() == members.len()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn numbers_sum_to_the_total_and_keep_within_one_of_their_quota(
        total in 0_usize..3000, shares in prop::collection::vec(0.0_f64..9.0, 1..6),
    ) {
        prop_assume!(shares.iter().sum::<f64>() > 0.01);
        let counts = largest_remainder(total, &shares).unwrap();
        prop_assert_eq!(counts.iter().sum::<usize>(), total);
        let sum: f64 = shares.iter().sum();
        for (count, share) in counts.iter().zip(&shares) {
            prop_assert!((*count as f64 - total as f64 * share / sum).abs() < 1.0 + 1e-6);
        }
    }

    #[test]
    fn drifts_are_in_one_piece_with_exact_numbers(
        radii in prop::collection::vec(1.6_f64..3.2, 7),
        shares in prop::collection::vec(0.5_f64..3.0, 2..4),
        seed: u64,
    ) {
        let spacing = 0.4;
        let points = mass::fill(&blob(Point::ORIGIN, &radii), spacing, 1).unwrap().points;
        let drifts = drifts(&points, &shares, seed).unwrap();
        let counts: Vec<usize> =
            (0..shares.len()).map(|taxon| drifts.label.iter().filter(|&&l| l == taxon).count()).collect();
        prop_assert_eq!(&counts, &drifts.counts);
        prop_assert_eq!(counts, largest_remainder(points.len(), &shares).unwrap());
        let last = drifts.drift.iter().copied().max().unwrap();
        for drift in 0..=last {
            prop_assert!(in_one_piece(&points, &drifts, drift, spacing), "drift {} of {}", drift, last + 1);
        }
    }
}

/// A long bed repeats its taxa; neighbouring drifts are of different ones.
#[test]
fn a_long_mass_repeats_its_taxa() {
    let points = mass::fill(&rectangle(0.0, 0.0, 14.0, 2.0), 0.35, 1).unwrap().points;
    let drifts = drifts(&points, &[1.0, 1.0, 1.0], 2).unwrap();
    let last = drifts.drift.iter().copied().max().unwrap();
    assert!(last >= 8, "{last}");
    let taxon_of = |drift| (0..points.len()).find(|&i| drifts.drift[i] == drift).map(|i| drifts.label[i]);
    assert!((0..last).all(|drift| taxon_of(drift) != taxon_of(drift + 1)));
    assert_eq!(drifts, self::drifts(&points, &[1.0, 1.0, 1.0], 2).unwrap());
}

#[test]
fn small_and_odd_cases_have_answers() {
    assert_eq!(drifts(&[], &[1.0, 2.0], 1).unwrap().counts, [0, 0]);
    let two = [Point::ORIGIN, Point::new(50.0, 0.0)];
    assert_eq!(drifts(&two, &[1.0, 1.0], 1).unwrap().counts, [1, 1]);
    let same = [Point::ORIGIN; 5];
    assert_eq!(drifts(&same, &[3.0, 2.0], 1).unwrap().counts, [3, 2]);
    assert_eq!(drifts(&two, &[0.0, 1.0], 1).unwrap().label, [1, 1]);
    assert_eq!(drifts(&two, &[], 1), Err(DriftFault::NoShares));
    assert_eq!(drifts(&two, &[0.0], 1), Err(DriftFault::ZeroSum));
    let fault = drifts(&two, &[1.0, -1.0], 1).unwrap_err();
    assert_eq!(fault.to_string(), "share 2 of the drifts is -1, expected a finite number not below zero");
}
