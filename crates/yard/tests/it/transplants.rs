//! Transplants: against every assignment there is.

use std::time::Instant;

use groundwright_geometry::Point;
use groundwright_yard::arrange::transplants::{
    Criteria, Dug, Hole, SIZE_STEP, TransplantFault, assign_transplants,
};
use proptest::prelude::*;

fn dug(height: f64, spread: f64, condition: f64) -> Dug {
    Dug { key: 0, height, spread, condition, flowering: false, interest: [false; 12], at: Point::ORIGIN }
}

fn hole(wanted_height: Option<f64>, prominence: f64) -> Hole {
    Hole {
        at: Point::ORIGIN,
        wanted_height,
        wanted_spread: None,
        prominence,
        wanted_interest: [false; 12],
        pair: None,
    }
}

/// A pair of holes, the first at index `first`.
fn pair(first: usize, wanted_height: Option<f64>, prominence: f64) -> [Hole; 2] {
    [first + 1, first].map(|partner| Hole { pair: Some(partner), ..hole(wanted_height, prominence) })
}

/// The criteria as whole numbers in falling rank, less is better. Written anew here, from the
/// words of the module.
fn value(dug: &[Dug], holes: &[Hole], plant_of: &[Option<usize>]) -> [i64; 8] {
    let steps = |length: f64| (length / SIZE_STEP).round() as i64;
    let most = holes.iter().map(|h| h.prominence).fold(0.0, f64::max);
    let mut value = [0; 8];
    for (index, goal) in holes.iter().enumerate() {
        let Some(plant) = plant_of[index].map(|p| &dug[p]) else { continue };
        let rank = if most > 0.0 { (goal.prominence / most * 1000.0).round() as i64 } else { 0 };
        value[0] -= 1;
        let partner = goal.pair.map(|p| &holes[p]);
        let wanted = |of: fn(&Hole) -> Option<f64>| match (of(goal), partner.and_then(of)) {
            (Some(a), Some(b)) => Some(steps(f64::midpoint(a, b))),
            (a, b) => a.or(b).map(steps),
        };
        let other = goal.pair.and_then(|p| plant_of[p]).map(|p| &dug[p]);
        let balance = |wanted: Option<i64>, of: fn(&Dug) -> f64| match (wanted, other) {
            (Some(wanted), _) => 2 * (steps(of(plant)) - wanted).abs(),
            // Counted from both holes of the pair.
            (None, Some(other)) => (steps(of(plant)) - steps(of(other))).abs(),
            (None, None) => 0,
        };
        if goal.pair.is_some() && wanted(|h| h.wanted_height).is_none() && other.is_none() {
            value[1] += 1;
        }
        value[2] += balance(wanted(|h| h.wanted_height), |d| d.height);
        value[3] += balance(wanted(|h| h.wanted_spread), |d| d.spread);
        value[4] -= (plant.condition * 100.0).round() as i64 * rank;
        value[5] -= if plant.flowering { 2 } else { 1 } * rank;
        value[6] += (0..12).map(|m| i64::from(goal.wanted_interest[m] && !plant.interest[m])).sum::<i64>();
        value[7] += (plant.at.distance(goal.at) * 10.0).round() as i64;
    }
    value
}

/// The least of a measure over every assignment of plants to holes, holes left open among them.
fn best<T: Ord>(plants: usize, holes: usize, measure: &impl Fn(&[Option<usize>]) -> T) -> T {
    fn go<T: Ord>(
        plants: usize,
        open: usize,
        chosen: &mut Vec<Option<usize>>,
        measure: &impl Fn(&[Option<usize>]) -> T,
    ) -> T {
        if open == 0 {
            return measure(chosen);
        }
        let choices = (0..plants).map(Some).chain([None]);
        let mut best = None;
        for choice in choices {
            if choice.is_some() && chosen.contains(&choice) {
                continue;
            }
            chosen.push(choice);
            let found = go(plants, open - 1, chosen, measure);
            chosen.pop();
            best = Some(match best {
                Some(known) if known <= found => known,
                _ => found,
            });
        }
        best.unwrap()
    }
    go(plants, holes, &mut Vec::new(), measure)
}

fn any_dug() -> impl Strategy<Value = Dug> {
    (0.3_f64..1.6, 0.3_f64..1.2, 0_u8..4, any::<bool>(), any::<[bool; 2]>(), -5.0_f64..5.0).prop_map(
        |(height, spread, condition, flowering, months, x)| {
            let mut interest = [false; 12];
            interest[4..6].copy_from_slice(&months);
            Dug {
                flowering,
                interest,
                at: Point::new(x, 0.0),
                ..dug(height, spread, f64::from(condition) / 3.0)
            }
        },
    )
}

fn any_hole() -> impl Strategy<Value = Hole> {
    (
        prop::option::of(0.3_f64..1.6),
        prop::option::of(0.3_f64..1.2),
        0_u8..4,
        any::<[bool; 2]>(),
        -5.0_f64..5.0,
    )
        .prop_map(|(height, wanted_spread, prominence, months, x)| {
            let mut wanted_interest = [false; 12];
            wanted_interest[4..6].copy_from_slice(&months);
            let at = Point::new(x, 3.0);
            Hole { at, wanted_spread, wanted_interest, ..hole(height, f64::from(prominence)) }
        })
}

/// Sizes rounded so coarsely that ties are common.
fn coarse(mut plants: Vec<Dug>) -> Vec<Dug> {
    for plant in &mut plants {
        plant.height = (plant.height * 4.0).round() / 4.0 + 0.25;
        plant.spread = (plant.spread * 2.0).round() / 2.0 + 0.5;
    }
    plants
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    /// Without mirrored pairs all criteria are optimal at once, leftovers and shortages included.
    #[test]
    fn single_holes_have_the_optimum_of_all_criteria(
        plants in prop::collection::vec(any_dug(), 0..6), holes in prop::collection::vec(any_hole(), 0..6),
    ) {
        let plants = coarse(plants);
        let found = assign_transplants(&plants, &holes).unwrap();
        let least = best(plants.len(), holes.len(), &|plant_of| value(&plants, &holes, plant_of));
        prop_assert_eq!(value(&plants, &holes, &found.plant_of), least);
    }

    /// Pairs of which a hole wants a height count as single holes that want the same.
    #[test]
    fn pairs_with_a_wanted_height_have_the_optimum_of_all_criteria(
        plants in prop::collection::vec(any_dug(), 4..7), mut holes in prop::collection::vec(any_hole(), 4), height in 0.3_f64..1.6,
    ) {
        let plants = coarse(plants);
        (holes[0].pair, holes[1].pair) = (Some(1), Some(0));
        holes[0].wanted_height = Some(height);
        (holes[0].wanted_spread, holes[1].wanted_spread) = (Some(0.5), Some(0.8));
        let found = assign_transplants(&plants, &holes).unwrap();
        let least = best(plants.len(), holes.len(), &|plant_of| value(&plants, &holes, plant_of));
        prop_assert_eq!(value(&plants, &holes, &found.plant_of), least);
    }

    /// With free pairs the first criteria, height and left-right balance among them, are optimal
    /// over all assignments.
    #[test]
    fn free_pairs_have_the_optimum_of_height_and_balance(
        plants in prop::collection::vec(any_dug(), 5..7), mut holes in prop::collection::vec(any_hole(), 5), two: bool,
    ) {
        for first in if two { vec![0, 2] } else { vec![0] } {
            (holes[first].pair, holes[first + 1].pair) = (Some(first + 1), Some(first));
            (holes[first].wanted_height, holes[first + 1].wanted_height) = (None, None);
        }
        let found = assign_transplants(&plants, &holes).unwrap();
        let first_three = |plant_of: &[Option<usize>]| value(&plants, &holes, plant_of)[..3].to_vec();
        let least = best(plants.len(), holes.len(), &first_three);
        prop_assert_eq!(first_three(&found.plant_of), least);
    }

    /// With free pairs the lesser criteria are optimal among all assignments that put the same
    /// couples into free pairs.
    #[test]
    fn the_lesser_criteria_are_optimal_for_the_couples_chosen(
        plants in prop::collection::vec(any_dug(), 5..7), mut holes in prop::collection::vec(any_hole(), 5),
    ) {
        let plants = coarse(plants);
        for first in [0, 2] {
            (holes[first].pair, holes[first + 1].pair) = (Some(first + 1), Some(first));
            (holes[first].wanted_height, holes[first + 1].wanted_height) = (None, None);
        }
        let found = assign_transplants(&plants, &holes).unwrap();
        let couples = |plant_of: &[Option<usize>]| {
            let mut couples = [[plant_of[0], plant_of[1]], [plant_of[2], plant_of[3]]];
            for couple in &mut couples {
                couple.sort_unstable();
            }
            couples.sort_unstable();
            couples
        };
        let same = couples(&found.plant_of);
        let least = best(plants.len(), holes.len(), &|plant_of| {
            (couples(plant_of) != same, value(&plants, &holes, plant_of))
        });
        prop_assert_eq!((false, value(&plants, &holes, &found.plant_of)), least);
    }

    /// When plants are short, free pairs are served first, whole, at the least imbalance.
    #[test]
    fn short_plants_serve_pairs_whole(plants in prop::collection::vec(any_dug(), 0..5)) {
        let mut holes: Vec<Hole> = pair(0, None, 1.0).into_iter().chain(pair(2, None, 1.0)).collect();
        holes.push(hole(Some(1.0), 5.0));
        let found = assign_transplants(&plants, &holes).unwrap();
        prop_assert_eq!(found.criteria.filled, plants.len());
        prop_assert_eq!(found.criteria.half_filled_pairs, 0);
        let in_couples = if plants.len() < 2 { 0 } else if plants.len() < 4 { 2 } else { 4 };
        let balance = best(plants.len(), 4, &|plant_of: &[Option<usize>]| {
            let value = value(&plants, &holes[..4], plant_of);
            (value[0].max(-in_couples), value[1], value[2])
        });
        let pairs = value(&plants, &holes[..4], &found.plant_of[..4]);
        prop_assert_eq!((pairs[0], pairs[1], pairs[2]), balance);
    }
}

/// Two equal plants flank the door, though an unequal one is in better condition.
#[test]
fn a_pair_is_balanced_before_it_is_beautiful() {
    let plants = [dug(1.2, 0.8, 1.0), dug(0.8, 0.6, 0.6), dug(0.8, 0.6, 0.7)];
    let holes: Vec<Hole> = pair(0, None, 9.0).into_iter().collect();
    let found = assign_transplants(&plants, &holes).unwrap();
    assert_eq!(found.leftovers, [0]);
    assert_eq!((found.criteria.height, found.criteria.imbalance), (0.0, 0.0));
}

/// Of six like plants the best two go to the prominent pair: ties among couples are broken so.
#[test]
fn among_equal_couples_the_best_go_where_they_show() {
    let plants: Vec<Dug> = [0.3, 0.9, 0.5, 1.0, 0.2, 0.6].map(|c| dug(1.0, 0.8, c)).into();
    let mut holes: Vec<Hole> = pair(0, None, 9.0).into_iter().collect();
    holes.extend([hole(None, 2.0), hole(None, 1.0)]);
    let found = assign_transplants(&plants, &holes).unwrap();
    let mut flanking = [found.plant_of[0], found.plant_of[1]];
    flanking.sort_unstable();
    assert_eq!(flanking, [Some(1), Some(3)]);
    assert_eq!((found.plant_of[2], found.plant_of[3]), (Some(5), Some(2)));
    assert_eq!(found.leftovers, [0, 4]);
}

#[test]
fn the_criteria_are_told_in_metres_and_months() {
    let mut plant = dug(1.1, 0.7, 0.5);
    plant.flowering = true;
    let mut goal = hole(Some(0.9), 4.0);
    goal.wanted_spread = Some(0.8);
    goal.at = Point::new(3.0, 4.0);
    goal.wanted_interest[5] = true;
    let found = assign_transplants(&[plant], &[goal]).unwrap();
    let told = found.criteria;
    assert!((told.height - 0.2).abs() < 1e-9 && (told.spread - 0.1).abs() < 1e-9, "{told:?}");
    let rest = Criteria { height: 0.0, spread: 0.0, ..told };
    assert_eq!(
        rest,
        Criteria {
            filled: 1,
            half_filled_pairs: 0,
            height: 0.0,
            spread: 0.0,
            imbalance: 0.0,
            condition: 0.5,
            prominence: 2.0,
            season: 1,
            carrying: 5.0,
        }
    );
}

/// 200 plants for 200 holes, 40 pairs among them, keep a live edit live. The limit is ten times
/// what it takes, so that a busy machine does not fail the test.
#[test]
fn two_hundred_are_assigned_at_once() {
    let plants: Vec<Dug> = (0..200_u32)
        .map(|i| {
            let share = |k: u32| f64::from(i * k % 101) / 101.0;
            Dug { at: Point::new(share(37) * 40.0, 0.0), ..dug(0.4 + share(53), 0.3 + share(29), share(71)) }
        })
        .collect();
    let mut holes: Vec<Hole> = (0..40).flat_map(|i| pair(2 * i, None, i as f64)).collect();
    holes.extend((0..120_u32).map(|i| hole(Some(0.4 + f64::from(i * 31 % 97) / 97.0), f64::from(i % 7))));
    let start = Instant::now();
    let found = assign_transplants(&plants, &holes).unwrap();
    assert!(start.elapsed().as_secs_f64() < 1.0, "{:?}", start.elapsed());
    assert_eq!(found.criteria.filled, 200);
    assert!(found.leftovers.is_empty() && found.shortages.is_empty());
}

#[test]
fn faults_say_what_to_mend() {
    let mut lonely = hole(None, 1.0);
    lonely.pair = Some(1);
    let fault = assign_transplants(&[], &[lonely, hole(None, 1.0)]).unwrap_err();
    assert_eq!(
        fault.to_string(),
        "hole 1 names hole 2 as its mirror partner, which does not name it in turn; let both name each other"
    );
    let fault = assign_transplants(&[dug(1.0, 1.0, 1.5)], &[]).unwrap_err();
    assert_eq!(fault.to_string(), "dug plant 1: its condition is 1.5, expected a number from 0 to 1");
    let fault = assign_transplants(&[dug(f64::NAN, 1.0, 1.0)], &[]).unwrap_err();
    assert!(matches!(fault, TransplantFault::Dug { what: "height", .. }));
}
