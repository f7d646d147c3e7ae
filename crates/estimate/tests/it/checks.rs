//! Check values. Sources: `tests/data/README.md`.

use groundwright_estimate::price::{
    Alternate, Barrow, Costs, PriceError, Profit, Recovery, Risk, Work, alternates, cents, haul,
    overhead_rates, price, production, risks, tax,
};
use rust_decimal::Decimal;

use crate::support::{d, line, terms, worked};

#[test]
fn markup_is_on_cost_and_margin_on_price() {
    for (cost, rate, by_markup, margin, by_margin, markup) in [
        ("80000", "0.20", "96000.00", "16.6667", "100000.00", "25.0000"),
        ("1000", "0.35", "1350.00", "25.9259", "1538.46", "53.8462"),
    ] {
        let (as_markup, as_margin) = (Profit::Markup(d(rate)), Profit::Margin(d(rate)));
        assert_eq!(cents(as_markup.price(d(cost)).unwrap()), d(by_markup));
        assert_eq!(cents(as_margin.price(d(cost)).unwrap()), d(by_margin));
        let percent = |share: Decimal| (share * d("100")).round_dp(4);
        assert_eq!(percent(as_markup.as_margin().unwrap()), d(margin));
        assert_eq!(percent(as_margin.as_markup().unwrap()), d(markup));
    }
    assert_eq!(Profit::Markup(d("0.25")).price(d("200000")).unwrap(), d("250000"));
    assert_eq!(Profit::Markup(d("0.25")).as_margin().unwrap(), d("0.2"));
}

#[test]
fn overhead_is_recovered_by_one_rate_or_two() {
    let costs = |labour, material, subcontract, equipment| Costs {
        labour: d(labour),
        material: d(material),
        subcontract: d(subcontract),
        equipment: d(equipment),
    };
    let year = costs("300000", "450000", "100000", "80000");
    let job = costs("4200", "6300", "1500", "900");
    for (recovery, rate, break_even, asked) in [
        (Recovery::Single, "20.4301", "15535.48", "17261.65"),
        (Recovery::Dual(d("0.10")), "35.5263", "15491.84", "17213.16"),
    ] {
        let rates = overhead_rates(&year, d("190000"), recovery).unwrap();
        assert_eq!((rates.own_work * d("100")).round_dp(4), d(rate));
        let whole = job.total()
            + (job.labour + job.equipment) * rates.own_work
            + (job.material + job.subcontract) * rates.bought;
        assert_eq!(cents(whole), d(break_even));
        assert_eq!(cents(Profit::Margin(d("0.10")).price(whole).unwrap()), d(asked));
    }
    let too_much = overhead_rates(&year, d("1000"), Recovery::Dual(d("0.1"))).unwrap_err();
    assert!(too_much.to_string().contains("lower that rate"), "{too_much}");
    let nothing = overhead_rates(&Costs::default(), d("1000"), Recovery::Single).unwrap_err();
    assert!(nothing.to_string().contains("enter the year's direct costs"), "{nothing}");
}

#[test]
fn independent_risks_add_up() {
    let risk = |cost, chance| Risk { cost: d(cost), chance: d(chance) };
    let (expected, deviation) =
        risks(&[risk("4000", "0.3"), risk("1500", "0.5"), risk("9000", "0.1")]).unwrap();
    assert_eq!((cents(expected), cents(deviation)), (d("2850.00"), d("3348.51")));
    assert_eq!(risks(&[risk("1", "0.01")]).unwrap().1.round_dp(6), d("0.099499"));
    assert_eq!(risks(&[]).unwrap(), (Decimal::ZERO, Decimal::ZERO));
}

#[test]
fn production_rates_give_hours_and_whole_days() {
    for (quantity, rate, crew, hours, labour, days, whole) in [
        ("1400", "175", "3", "10.0000", "30.0000", "1.2500", "2"),
        ("96", "6.5", "2", "18.4615", "36.9231", "2.3077", "3"),
    ] {
        let work = Work { rate: d(rate), factor: d("1.25"), haul: Decimal::ZERO };
        let found = production(d(quantity), &work, d(crew), d("8")).unwrap();
        assert_eq!(found.crew_hours.round_dp(4), d(hours));
        assert_eq!(found.labour_hours.round_dp(4), d(labour));
        assert_eq!(found.crew_days.round_dp(4), d(days));
        assert_eq!(found.whole_days, d(whole));
    }
}

#[test]
fn tax_is_taken_on_the_total_not_line_by_line() {
    let lines = [("12", "13.45"), ("7", "4.99"), ("31", "2.15"), ("3", "86.35")];
    let costs: Vec<Decimal> = lines.iter().map(|(n, price)| cents(d(n) * d(price))).collect();
    let subtotal: Decimal = costs.iter().sum();
    assert_eq!(subtotal, d("522.03"));
    assert_eq!(tax(subtotal, d("0.0725")).unwrap(), d("37.85"));
    let by_line: Decimal = costs.iter().map(|cost| tax(*cost, d("0.0725")).unwrap()).sum();
    assert_eq!(by_line, d("37.84"));
}

/// 2 m³ in loads of 0.08 m³ are 25 trips; 60 m at 3,000 m/h is 0.02 h back and 0.03 h out with a factor of
/// 1.5; with 0.07 h to load and tip a trip is 0.12 h, and two barrows need 1.5 h.
#[test]
fn a_haul_is_whole_trips_through_the_gate() {
    let barrow = Barrow { load: d("0.08"), width: d("0.7"), speed: d("3000"), handling: d("0.07") };
    let way = (d("60"), d("1.5"));
    let found = haul(d("2"), &barrow, way, d("0.9"), d("2")).unwrap();
    assert_eq!((found.trips, found.trip, found.hours), (d("25"), d("0.12"), d("1.5")));
    let stuck = haul(d("2"), &barrow, way, d("0.6"), d("2")).unwrap_err();
    assert_eq!(
        stuck.to_string(),
        "the barrow is 0.7 m wide and the narrowest gate 0.6 m; take a narrower one or another way"
    );
}

/// By hand. Plants 84 × 13.40 = 1,125.60 at 12 an hour: 7 h; bark 14 × 36.50 = 511.00 at 2 an hour with a
/// factor of 1.25: 8.75 h. 15.75 h are 2 days: labour 2 × 8 × 3 × 40 = 1,920, of which the rest of the day
/// 0.25 × 120 = 30. Equipment 2 × 150 + 250 = 550. Direct 4,106.60; contingency 205.33; overhead
/// 0.3 × 2,470 + 0.1 × 1,636.60 = 904.66; break-even 5,216.59; over 0.9 = 5,796.21; tax
/// 0.0725 × 1,636.60 = 118.65; total 5,914.86; held back 591.49.
#[test]
fn a_job_priced_by_hand() {
    let lines = [
        worked(line("shrubs", "front", "84", "13.40"), "12", "1"),
        worked(line("bark", "back", "14", "36.50"), "2", "1.25"),
    ];
    let found = price(&lines, &terms()).unwrap();
    assert_eq!((found.crew_hours, found.crew_days), (d("15.75"), d("2")));
    assert_eq!((found.direct.labour, found.day_rounding), (d("1920"), d("30")));
    assert_eq!((found.direct.equipment, found.direct.total()), (d("550"), d("4106.60")));
    assert_eq!((found.contingency, found.overhead), (d("205.33"), d("904.66")));
    assert_eq!((found.break_even, found.before_tax), (d("5216.59"), d("5796.21")));
    assert_eq!((found.tax, found.total, found.retainage), (d("118.65"), d("5914.86"), d("591.49")));
    assert_eq!(found.range, (found.total, found.total), "nothing spreads");
    // Cost by area 1,125.60 + 840 and 511 + 1,050: 5,914.86 × 1,965.60 / 3,526.60 = 3,296.7302…
    let areas = [("front".to_owned(), d("3296.73")), ("back".to_owned(), d("2618.13"))];
    assert_eq!(found.by_area, areas);
}

#[test]
fn a_small_job_costs_the_least() {
    let found = price(&[line("mulch", "front", "1", "40")], &terms()).unwrap();
    assert_eq!((found.before_tax, found.total), (d("1500.00"), d("1502.90")));
    assert!(found.least_job > Decimal::ZERO);
}

/// Half widths 30 and 40 of independent quantities make 50 together; nothing else is in the way of the range.
#[test]
fn spreads_apart_from_one_another_add_as_squares() {
    let spread = |item, spread| groundwright_estimate::price::CostLine {
        spread: d(spread),
        ..line(item, "front", "100", "10")
    };
    let bare = groundwright_estimate::price::Terms {
        mobilisation: Decimal::ZERO,
        contingency: Decimal::ZERO,
        overhead: groundwright_estimate::price::OverheadRates::default(),
        profit: Profit::Markup(d("0.5")),
        least_job: Decimal::ZERO,
        tax: Decimal::ZERO,
        ..terms()
    };
    let found = price(&[spread("stone", "3"), spread("soil", "4")], &bare).unwrap();
    assert_eq!(found.computed_contingency, d("50.00"));
    assert_eq!((found.total, found.range), (d("3000.00"), (d("2925.00"), d("3075.00"))));
}

#[test]
fn alternates_stand_side_by_side() {
    let base = [line("brick", "terrace", "100", "10"), line("sand", "terrace", "10", "20")];
    let stone = Alternate {
        name: "flagstone".to_owned(),
        without: vec![("brick".to_owned(), "terrace".to_owned())],
        with: vec![line("flagstone", "terrace", "100", "18")],
    };
    let found = alternates(&base, std::slice::from_ref(&stone), &terms()).unwrap();
    let (old, new) = (price(&base, &terms()).unwrap(), &found[0].price);
    assert_eq!((found[0].name.as_str(), found[0].difference), ("flagstone", new.total - old.total));
    assert_eq!(new.direct.material - old.direct.material, d("800"));
    let wrong = Alternate { without: vec![("slate".to_owned(), "terrace".to_owned())], ..stone };
    assert_eq!(
        alternates(&base, &[wrong], &terms()).unwrap_err().to_string(),
        "alternate `flagstone` removes `slate in terrace`, which the base has not; name lines of the base"
    );
}

#[test]
fn faults_name_the_line() {
    let twice = [line("bark", "front", "1", "1"), line("bark", "front", "2", "1")];
    assert_eq!(
        price(&twice, &terms()).unwrap_err().to_string(),
        "line 2: its item and area are `bark in front`, which another line has too; give every line a \
         name of its own"
    );
    let below = price(&[line("bark", "front", "-1", "1")], &terms()).unwrap_err();
    assert_eq!(
        below.to_string(),
        "bark in front: the quantity is -1; expected a number from 0.000001 to 10000000"
    );
    let slow = price(&[worked(line("bark", "front", "1", "1"), "0", "1")], &terms()).unwrap_err();
    assert!(matches!(slow, PriceError::Range { what: "the rate in units per crew-hour", .. }), "{slow}");
    assert!(Profit::Margin(d("1")).price(d("10")).is_err());
}
