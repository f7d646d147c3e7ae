//! Laws of prices, for any lines.

use groundwright_estimate::price::{Class, CostLine, Profit, Work, change_order, price};
use proptest::prelude::*;
use rust_decimal::Decimal;

use crate::support::terms;

fn any_line() -> impl Strategy<Value = CostLine> {
    let work = prop::option::of((1_i64..50_000, 10_i64..300, 0_i64..500));
    let class = prop::sample::select(vec![Class::Material, Class::Subcontract, Class::Equipment]);
    let numbers = (0_usize..6, 0_usize..3, 0_i64..100_000, 0_i64..=100, 0_i64..1_000_000);
    (numbers, class, any::<bool>(), work).prop_map(
        |((item, area, quantity, spread, unit_price), class, taxable, work)| {
            let quantity = Decimal::new(quantity, 2);
            CostLine {
                item: format!("item {item}"),
                area: format!("area {area}"),
                quantity,
                spread: quantity * Decimal::new(spread, 2),
                unit_price: Decimal::new(unit_price, 3),
                class,
                taxable,
                work: work.map(|(rate, factor, haul)| Work {
                    rate: Decimal::new(rate, 2),
                    factor: Decimal::new(factor, 2),
                    haul: Decimal::new(haul, 2),
                }),
            }
        },
    )
}

/// A revision: lines of names of their own.
fn revision() -> impl Strategy<Value = Vec<CostLine>> {
    prop::collection::vec(any_line(), 0..12).prop_map(|mut lines| {
        let mut names = std::collections::BTreeSet::new();
        lines.retain(|line| names.insert(line.name()));
        lines
    })
}

proptest! {
    /// The old price and the change order make the new price.
    #[test]
    fn price_and_change_order_make_the_changed_price(
        before in revision(), after in revision(), markup in any::<bool>(),
    ) {
        let mut terms = terms();
        if markup {
            terms.profit = Profit::Markup(Decimal::new(15, 2));
        }
        let (old, new) = (price(&before, &terms).unwrap(), price(&after, &terms).unwrap());
        let change = change_order(&before, &after, &terms).unwrap();
        prop_assert_eq!(old.total + change.amount, new.total);
        prop_assert_eq!(old.crew_days + change.crew_days, new.crew_days);
        let back = change_order(&after, &before, &terms).unwrap();
        prop_assert_eq!(back.amount, -change.amount);
    }

    /// Nothing changed is nothing to pay.
    #[test]
    fn no_change_has_no_rows(lines in revision()) {
        prop_assert!(change_order(&lines, &lines, &terms()).unwrap().rows.is_empty());
    }

    /// Lump sums add up to the total, the steps to the price, and the total lies in its range.
    #[test]
    fn parts_add_up(lines in revision()) {
        let found = price(&lines, &terms()).unwrap();
        let sums: Decimal = found.by_area.iter().map(|(_, sum)| *sum).sum();
        if !lines.is_empty() {
            prop_assert_eq!(sums, found.total);
        }
        let costs: Decimal = found.lines.iter().map(|line| line.bought + line.labour).sum();
        let steps = costs + found.day_rounding + found.crew_equipment + found.mobilisation
            + found.contingency + found.overhead + found.profit + found.least_job + found.tax;
        prop_assert_eq!(steps, found.total);
        prop_assert!(found.range.0 <= found.total && found.total <= found.range.1);
    }

    /// More of a thing never costs less.
    #[test]
    fn more_costs_no_less(lines in revision(), more in 0_i64..10_000) {
        let mut larger = lines.clone();
        for line in &mut larger {
            line.quantity += Decimal::new(more, 2);
        }
        let (old, new) = (price(&lines, &terms()).unwrap(), price(&larger, &terms()).unwrap());
        prop_assert!(new.total >= old.total);
    }
}

/// Every number at the far end of its range: sums and products still have room.
#[test]
fn the_largest_numbers_do_not_overflow() {
    let mut terms = terms();
    terms.crew.wage = Decimal::ZERO;
    terms.crew.people = Decimal::ONE_HUNDRED;
    terms.crew.equipment = Decimal::ONE;
    terms.overhead.own_work = Decimal::ONE;
    terms.profit = Profit::Margin(Decimal::new(95, 2));
    let line = CostLine {
        quantity: Decimal::from(10_000_000),
        spread: Decimal::from(10_000_000),
        unit_price: Decimal::ONE_HUNDRED,
        work: Some(Work {
            rate: Decimal::new(1, 3),
            factor: Decimal::ONE_HUNDRED,
            haul: Decimal::from(1_000_000),
        }),
        ..crate::support::line("stone", "front", "1", "1")
    };
    let named = |i: usize| CostLine { item: format!("stone {i}"), ..line.clone() };
    let lines: Vec<CostLine> = (0..100_000).map(named).collect();
    let found = price(&lines, &terms).unwrap();
    assert!(found.total > Decimal::ZERO && found.range.1 >= found.total);
    terms.crew.equipment = Decimal::from(1_000_000);
    terms.overhead.own_work = Decimal::ONE_HUNDRED;
    let beyond = price(&lines, &terms).unwrap_err();
    assert!(beyond.to_string().starts_with("profit: the cost is "), "{beyond}");
}
