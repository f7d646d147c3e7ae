//! Root zone, run times, cycles and budgets against worked examples.

use groundwright_units::constants::{FOOT, GALLON, HOUR, INCH, MINUTE, SQUARE_FOOT};
use groundwright_water::{
    BudgetZone, ControlledZone, DRIP_EFFICIENCY, Day, Month, Need, OTHER_2015, RESIDENTIAL_2015, RULE_2009,
    RootZone, SPRAY_EFFICIENCY, Tier, allowance, budget, controller_table, cycle_soak, drip_run_time,
    interval, root_depth, run_time, soil_water, surface_allowance, water_cost,
};
use proptest::prelude::*;

const MM: f64 = 0.001;

fn tomato() -> RootZone {
    RootZone { field_capacity: 0.32, wilting_point: 0.12, depth: 0.8, easy_share: 0.40 }
}

/// FAO-56, example 37, from memory: full-grown tomatoes, Kc 1.2, ET₀ 5 mm, 55 mm depleted, no water for
/// ten days. TAW 160 mm, RAW 64 mm. Beyond RAW, TAW − depletion shrinks by 1 − 6/96 a day: the
/// closed form confirms what is remembered.
#[test]
fn a_drying_root_zone_follows_the_worked_example() {
    let day = Day { reference: 5.0 * MM, plant_factor: 1.2, ..Day::default() };
    let ours = soil_water(tomato(), 55.0 * MM, &[day; 10], false).unwrap();
    assert!((ours.available - 160.0 * MM).abs() < 1e-12);
    let stress = [1.00, 1.00, 0.97, 0.91, 0.85, 0.80, 0.75, 0.70, 0.66, 0.62];
    for (end, printed) in ours.days.iter().zip(stress) {
        assert!((end.readily_available - 64.0 * MM).abs() < 1e-12);
        assert!((end.stress - printed).abs() <= 0.0051, "{end:?} against {printed}");
    }
    let closed = 160.0 - (160.0 - 67.0) * (1.0 - 6.0 / 96.0_f64).powi(8);
    assert!((ours.days[9].depletion - closed * MM).abs() < 1e-12);
    assert!(ours.open.abs() < 1e-12);
}

/// Rain beyond the depletion drains; p follows the day as the note of table 22 says.
#[test]
fn rain_fills_and_then_drains() {
    let day =
        Day { reference: 4.0 * MM, plant_factor: 1.0, rain: 40.0 * MM, runoff: 5.0 * MM, irrigation: 0.0 };
    let ours = soil_water(tomato(), 20.0 * MM, &[day], true).unwrap();
    assert!((ours.days[0].easy_share - 0.44).abs() < 1e-12);
    // 20 − 35 + 4 = −11.
    assert!((ours.percolation - 11.0 * MM).abs() < 1e-12 && ours.days[0].depletion.abs() < 1e-15);
    assert!((tomato().easy_share_on(30.0 * MM) - 0.1).abs() < 1e-12);
    let said = soil_water(tomato(), 0.2, &[], true).unwrap_err().to_string();
    assert!(said.contains("0 to the total available water"), "{said}");
    let bad = RootZone { wilting_point: 0.4, ..tomato() };
    assert!(soil_water(bad, 0.0, &[], true).unwrap_err().to_string().contains("field capacity less wilting"));
    assert!((root_depth(0.2, 0.8, 1.0, 3.0).unwrap() - 0.4).abs() < 1e-12);
    let gap = interval(20.0 * MM, 6.0 * MM, 7).unwrap();
    assert_eq!((gap.days, gap.too_long), (3, false));
    assert!(interval(4.0 * MM, 6.0 * MM, 7).unwrap().too_long);
}

/// Rows y1 to y6: net in, PR in/h, intake in/h, allowance in, efficiency; gross in, total min, longest
/// min, cycles, cycle min, soak min. Closed formulas.
#[test]
fn cycles_and_soaks_agree() {
    let rows = [
        ([0.3, 1.6, 0.3, 0.2, 0.75], [0.4, 15.0, 9.231, 2.0, 7.5, 32.5]),
        ([0.5, 1.6, 0.25, 0.1, 0.7], [0.7143, 26.786, 4.444, 7.0, 3.827, 20.663]),
        ([0.25, 0.45, 0.5, 0.2, 0.75], [0.3333, 44.444, 0.0, 1.0, 44.444, 0.0]),
        ([0.4, 0.45, 0.2, 0.15, 0.8], [0.5, 66.667, 36.0, 2.0, 33.333, 41.667]),
        ([0.6, 2.0, 0.15, 0.08, 0.65], [0.9231, 27.692, 2.595, 11.0, 2.517, 31.049]),
        ([0.0, 1.5, 0.3, 0.2, 0.75], [0.0, 0.0, 10.0, 1.0, 0.0, 0.0]),
    ];
    for ([net, rate, intake, holds, efficiency], [gross, total, longest, cycles, cycle, soak]) in rows {
        let need = Need { reference: net * INCH, plant_factor: 1.0, rain: 0.0, efficiency };
        let depth = need.gross().unwrap();
        assert!((depth / INCH - gross).abs() < 0.00006);
        let time = run_time(depth, rate * INCH / HOUR).unwrap();
        let ours = cycle_soak(time, rate * INCH / HOUR, intake * INCH / HOUR, holds * INCH).unwrap();
        for (got, printed) in [
            (ours.total, total),
            (ours.longest.unwrap_or(0.0), longest),
            (ours.cycle, cycle),
            (ours.soak, soak),
        ] {
            assert!((got / MINUTE - printed).abs() < 0.0006, "{ours:?} against {printed}");
        }
        assert_eq!(ours.cycles, cycles as u32);
        if cycles > 6.5 && cycles < 7.5 {
            assert!((7.0 * ours.whole_minutes(true) / MINUTE - 28.0).abs() < 1e-9);
            assert!((7.0 * ours.whole_minutes(false) / MINUTE - 21.0).abs() < 1e-9);
        }
    }
    let said = cycle_soak(600.0, 1e-5, 0.0, 1e-3).unwrap_err().to_string();
    assert!(said.contains("the intake of a soil that must soak"), "{said}");
    assert!((surface_allowance(0.06).unwrap() / INCH - 0.2).abs() < 1e-12);
}

/// ET₀ 1.80 in a week, PF 0.8, efficiency 0.75, 1.60 in/h: 72 min. Drip: PF 0.3, 9 ft², two 0.6 gal/h
/// emitters, 0.81: 187.01 min and 3.740 gal. Closed.
#[test]
fn weekly_run_times_agree() {
    let need = Need { reference: 1.8 * INCH, plant_factor: 0.8, rain: 0.0, efficiency: 0.75 };
    let time = run_time(need.gross().unwrap(), 1.6 * INCH / HOUR).unwrap();
    assert!((time / MINUTE - 72.0).abs() < 1e-9);
    let drip = Need { plant_factor: 0.3, efficiency: 0.81, ..need };
    let flow = 1.2 * GALLON / HOUR;
    let time = drip_run_time(drip.gross().unwrap(), 9.0 * SQUARE_FOOT, flow).unwrap();
    assert!((time / MINUTE - 187.01).abs() < 0.006);
    assert!((time * flow / GALLON - 3.740).abs() < 0.0006);
    let wet = Need { rain: 5.0 * INCH, ..need };
    assert!(wet.gross().unwrap().abs() < f64::EPSILON);
    assert!(Need { efficiency: 0.0, ..need }.gross().is_err() && run_time(1.0, 0.0).is_err());
}

fn zone(plant_factor: f64, efficiency: f64, feet: f64) -> BudgetZone {
    BudgetZone { name: String::new(), plant_factor, efficiency, area: feet * SQUARE_FOOT, special: false }
}

/// Rows w1 to w13: the first is an example of the rule of 2009 quoted on a public page (1,108,870 gal),
/// the others closed, with the ordinance's 0.62.
#[test]
fn budgets_agree_to_the_gallon() {
    let gallons = |inches: f64, factor, area: f64, special: f64| {
        allowance(inches * INCH, factor, area * SQUARE_FOOT, special * SQUARE_FOOT).unwrap() / GALLON
    };
    for (ours, printed) in [
        (gallons(51.1, RULE_2009, 50_000.0, 0.0), 1_108_870.0),
        (gallons(51.1, RULE_2009, 50_000.0, 2_000.0), 1_127_879.0),
        (gallons(52.3, RESIDENTIAL_2015, 3_200.0, 0.0), 57_069.8),
        (gallons(52.3, RESIDENTIAL_2015, 3_500.0, 300.0), 66_797.6),
        (gallons(52.3, OTHER_2015, 3_200.0, 0.0), 46_693.4),
    ] {
        assert!((ours - printed).abs() < 0.6, "{ours} against {printed}");
    }
    let mut zones = vec![
        zone(0.8, SPRAY_EFFICIENCY, 600.0),
        zone(0.5, DRIP_EFFICIENCY, 1_100.0),
        zone(0.2, DRIP_EFFICIENCY, 1_500.0),
    ];
    let ours = budget(52.3 * INCH, RESIDENTIAL_2015, &zones).unwrap();
    assert!((ours.use_total / GALLON - 54_779.9).abs() < 0.06);
    assert!((ours.use_total / GALLON / 748.0 - 73.235).abs() < 0.0006);
    for (factor, printed) in ours.factors.iter().zip([1.0667, 0.6173, 0.2469]) {
        assert!((factor - printed).abs() < 0.00006);
    }
    assert!((ours.average_factor - 0.5279).abs() < 0.00006 && ours.passes);
    let july = budget(8.2 * INCH, RESIDENTIAL_2015, &zones).unwrap();
    assert!((july.use_total / GALLON - 8_588.8).abs() < 0.06);
    zones.push(BudgetZone { special: true, ..zone(0.9, 0.75, 300.0) });
    let special = budget(52.3 * INCH, RESIDENTIAL_2015, &zones).unwrap();
    assert!((special.use_total / GALLON - 64_507.7).abs() < 0.06);
    assert!((special.average_factor - 0.5279).abs() < 0.00006);
    let thirsty = [zone(0.8, SPRAY_EFFICIENCY, 1_600.0), zone(0.5, DRIP_EFFICIENCY, 1_600.0)];
    let thirsty = budget(52.3 * INCH, RESIDENTIAL_2015, &thirsty).unwrap();
    assert!((thirsty.average_factor - 0.8420).abs() < 0.00006 && !thirsty.passes);
    assert!((thirsty.use_total / GALLON - 87_366.1).abs() < 0.06);
    let pond = budget(52.3 * INCH, RESIDENTIAL_2015, &[zone(1.0, 1.0, 150.0)]).unwrap();
    assert!((pond.use_total / GALLON - 4_863.9).abs() < 0.06);
    assert!(budget(1.0, 0.55, &[]).is_err() && budget(1.0, 0.55, &[zone(1.2, 0.75, 5.0)]).is_err());
    assert!(allowance(1.0, 0.55, 10.0, 20.0).is_err());
}

/// Tiers by hand: 8 m³ at 1 and 4 at 3, of which 5 are used anyway: 3 · 1 + 4 · 3.
#[test]
fn the_tariff_climbs() {
    let tiers = [Tier { up_to: 8.0, price: 1.0 }, Tier { up_to: f64::INFINITY, price: 3.0 }];
    assert!((water_cost(5.0, 7.0, &tiers).unwrap() - 15.0).abs() < 1e-12);
    assert!((water_cost(0.0, 4.0, &tiers).unwrap() - 4.0).abs() < 1e-12);
    assert!(water_cost(5.0, 7.0, &tiers[..1]).unwrap_err().to_string().contains("the end of the tariff"));
}

/// Monthly evapotranspiration of a town's code (its twelve add up to 52.3 in), a lawn on loam.
const MONTHS: [f64; 12] = [0.7, 1.4, 3.2, 5.2, 6.3, 7.6, 8.2, 7.2, 5.5, 4.3, 1.6, 1.1];
const DAYS: [u32; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

fn lawn() -> ControlledZone {
    ControlledZone {
        roots: RootZone { field_capacity: 0.28, wilting_point: 0.13, depth: 0.2, easy_share: 0.4 },
        plant_factor: 0.8,
        efficiency: 0.75,
        rate: 1.6 * INCH / HOUR,
        area: 100.0 * FOOT * FOOT,
        intake: 0.4 * INCH / HOUR,
        allowance: 0.2 * INCH,
        establishing: false,
    }
}

fn months() -> Vec<Month> {
    MONTHS.iter().zip(DAYS).map(|(et, days)| Month { days, reference: et * INCH, rain: 0.0 }).collect()
}

/// The year's table gives at least what the plants need, at most a minute a cycle more, on allowed days.
#[test]
fn the_controller_gives_what_is_needed() {
    let every = [true; 7];
    let table = controller_table(lawn(), &months(), every).unwrap();
    let need = 52.3 * INCH * 0.8 / 0.75 * lawn().area;
    let given: f64 = table.iter().map(|line| line.volume).sum();
    assert!(given > 0.97 * need && given < 1.35 * need, "{given} {need}");
    assert!(table[6].waterings > table[0].waterings && !table[6].dry_between);
    // Readily available: 0.15 · 0.2 m · p = 12 mm and more; July's lawn takes 5.4 mm a day: 2 days.
    assert_eq!(table[6].interval, 2);
    let two = [true, false, false, true, false, false, false];
    let held = controller_table(lawn(), &months(), two).unwrap();
    assert!(held[6].dry_between);
    for line in &held {
        assert!(line.weekdays.iter().zip(two).all(|(on, allowed)| allowed || !on));
    }
    let young = controller_table(ControlledZone { establishing: true, ..lawn() }, &months(), every).unwrap();
    assert!(young[6].interval < table[6].interval);
    let rain: Vec<Month> = months().into_iter().map(|m| Month { rain: m.reference, ..m }).collect();
    let wet = controller_table(lawn(), &rain, every).unwrap();
    assert!(wet.iter().all(|line| line.waterings == 0 && line.volume.abs() < f64::EPSILON));
    let said = controller_table(lawn(), &months(), [false; 7]).unwrap_err().to_string();
    assert!(said.contains("days of the week"), "{said}");
}

proptest! {
    /// No water is made or lost in the root zone, and depletion stays within what the soil holds.
    #[test]
    fn the_root_zone_closes(
        start in 0.0..0.15, days in prop::collection::vec((0.0..0.012, 0.0..1.3, 0.0..0.05, 0.0..0.03), 1..60),
    ) {
        let days: Vec<Day> = days
            .into_iter()
            .map(|(reference, plant_factor, rain, irrigation)| Day {
                reference, plant_factor, rain, runoff: rain / 10.0, irrigation,
            })
            .collect();
        let ours = soil_water(tomato(), start, &days, true).unwrap();
        prop_assert!(ours.open.abs() < 1e-12);
        for end in &ours.days {
            prop_assert!(end.depletion >= 0.0 && end.depletion <= ours.available + 1e-12);
            prop_assert!((0.0..=1.0).contains(&end.stress));
        }
    }
}
