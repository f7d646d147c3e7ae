//! `figure price`: check values through the binary. Sources: `tests/data/README.md` of the crate `estimate`.

use serde_json::{Value, json};

use crate::support::{run, run_with, stdout};

fn figure(case: &Value) -> (bool, Value) {
    let output = run_with(&["figure", "price"], &case.to_string());
    (output.status.success(), serde_json::from_str(&stdout(&output)).unwrap())
}

#[test]
fn cases_in_words_come_back_as_printed() {
    for (topic, inputs, expected) in [
        (
            "markup-margin",
            "cost 80000, rate 20 %",
            "as markup: price 96000.00, margin 16.6667 %; as margin: price 100000.00, equivalent markup 25.0000 %",
        ),
        (
            "contingency",
            "independent risks (cost, chance) (4000,0.3), (1500,0.5), (9000,0.1)",
            "expected 2850.00; standard deviation 3348.51",
        ),
        (
            "production",
            "quantity 96, rate 6.5 units per crew-hour, crew of 2, 8 h day, difficulty factor 1.25",
            "18.4615 crew-h; 36.9231 labour-h; 2.3077 crew-days (3 whole days)",
        ),
        (
            "sales-tax",
            "lines (qty x price) 12 x 13.45, 7 x 4.99, 31 x 2.15, 3 x 86.35; tax 7.25 % on material only",
            "subtotal 522.03; tax on the total 37.85; sum of line-by-line taxes 37.84; total 559.88 or 559.87",
        ),
    ] {
        let (good, answer) = figure(&json!({ "topic": topic, "inputs": inputs, "expected": "unread" }));
        assert!(good, "{answer}");
        assert_eq!(answer["expected"], expected);
    }
}

#[test]
fn overhead_has_one_rate_or_two() {
    let year = json!({ "labour": 300_000, "material": 450_000, "subcontract": 100_000, "equipment": 80_000 });
    let (_, one) = figure(&json!({ "year": year, "yearly_overhead": 190_000 }));
    let (_, two) = figure(&json!({ "year": year, "yearly_overhead": 190_000, "bought_rate": "10 %" }));
    for (found, printed) in [(&one, 0.204_301), (&two, 0.355_263)] {
        assert!((found["result"]["on_own_work"].as_f64().unwrap() - printed).abs() < 5e-7, "{found}");
    }
}

#[test]
fn the_example_prices_and_its_change_adds_up() {
    let output = run(&["figure", "price", "--example"]);
    let case: Value = serde_json::from_str(&stdout(&output)).unwrap();
    let (good, answer) = figure(&case);
    assert!(good, "{answer}");
    let result = &answer["result"];
    // 84 × 13.40, and 84 / 14 + 6 / 2 × 1.25 + 1.5 h.
    assert_eq!((&result["lines"][0]["bought"], &result["crew_hours"]), (&json!(1125.6), &json!(11.25)));
    let change = &result["change_order"];
    let sum = result["total"].as_f64().unwrap() + change["amount"].as_f64().unwrap();
    assert!((sum - change["changed_total"].as_f64().unwrap()).abs() < 0.001, "{change}");
}

#[test]
fn a_fault_names_its_line() {
    let terms = json!({ "crew": { "people": 2, "day": 8, "wage": 40 }, "margin": 0.1, "markup": 0.1 });
    let (good, answer) = figure(&json!({ "terms": terms, "lines": [] }));
    assert!(!good);
    assert_eq!(
        answer["error"],
        "`terms`: expected either `margin` (share of the price) or `markup` (of cost)"
    );
    let terms = json!({ "crew": { "people": 2, "day": 8, "wage": 40 }, "margin": 0.1 });
    let lines = json!([{ "item": "bark", "area": "front", "quantity": "many", "unit_price": 3 }]);
    let (good, answer) = figure(&json!({ "terms": terms, "lines": lines }));
    assert!(!good);
    assert_eq!(answer["error"], "`lines`, line 1: `quantity` is \"many\"; expected a number");
}
