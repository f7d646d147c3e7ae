//! Laws: where the property lies, and how it is turned, changes nothing.

use groundwright_handoff::Finding;
use proptest::prelude::*;

use crate::small::{DESIGN, Lie, PROPERTY, amount, findings, quantities, read, sources};

fn causes(findings: &[Finding]) -> Vec<String> {
    let cause =
        |finding: &Finding| format!("{} {:?} {:?}", finding.rule.id, finding.severity, finding.subjects);
    findings.iter().map(cause).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Circles are cut as polygons whose corners do not turn with the yard: a thousandth is allowed.
    #[test]
    fn turning_and_shifting_the_property_changes_no_quantity_and_no_finding(
        turn in -3.1_f64..3.1, east in -500.0_f64..500.0, north in -500.0_f64..500.0,
    ) {
        let here = read(sources(Lie::default(), PROPERTY, DESIGN));
        let there = read(sources(Lie { turn, east, north }, PROPERTY, DESIGN));
        let (a, b) = (quantities(&here), quantities(&there));
        prop_assert_eq!(a.len(), b.len());
        for (a, b) in a.iter().zip(&b) {
            prop_assert_eq!((&a.item, &a.subject), (&b.item, &b.subject));
            prop_assert!(
                (a.amount.value - b.amount.value).abs() <= 1e-3 * a.amount.value,
                "{} {}: {} and {}", a.item, a.subject, a.amount.value, b.amount.value
            );
        }
        prop_assert_eq!(causes(&findings(&here)), causes(&findings(&there)));
    }

    /// Twice the height of growth is twice the brush, whatever the height.
    #[test]
    fn brush_grows_with_its_height(height in 0.1_f64..4.0) {
        let mut project = read(sources(Lie::default(), PROPERTY, DESIGN));
        let hauled = |project: &groundwright_plan::Project| {
            amount(&quantities(project), "clearing/haul", Some("brambles"))
        };
        project.property.overgrown[0].height.value = height;
        let once = hauled(&project);
        project.property.overgrown[0].height.value = 2.0 * height;
        prop_assert!((hauled(&project) - 2.0 * once).abs() < 1e-9);
    }
}
