//! Pipe sizes against trying every combination, and against the limits.

use groundwright_units::constants::INCH;
use groundwright_water::{
    Friction, PipeSize, Section, SizingError, SizingLimits, WATER, choose_sizes, hazen_williams, minor_loss,
};
use proptest::prelude::*;

fn sizes() -> Vec<PipeSize> {
    [("1/2", 0.622, 1.1), ("3/4", 0.824, 1.6), ("1", 1.049, 2.5), ("1-1/4", 1.38, 3.9)]
        .into_iter()
        .map(|(name, bore, cost)| PipeSize {
            name: name.into(),
            diameter: bore * INCH,
            cost,
            friction: Friction::HazenWilliams(150.0),
        })
        .collect()
}

fn section(i: usize, after: Option<usize>, length: f64, flow: f64, needed: Option<f64>) -> Section {
    Section { name: format!("s{i}"), after, length, minor: 1.2, flow, elevation: 0.3 * i as f64, needed }
}

/// Cheapest cost over every combination that keeps the limits; none if no one does.
fn by_trying(sections: &[Section], sizes: &[PipeSize], limits: SizingLimits) -> Option<f64> {
    let mut best: Option<f64> = None;
    for code in 0..sizes.len().pow(sections.len() as u32) {
        let pick: Vec<&PipeSize> =
            (0..sections.len()).map(|i| &sizes[code / sizes.len().pow(i as u32) % sizes.len()]).collect();
        let mut heads = vec![0.0; sections.len()];
        let mut good = true;
        for (i, x) in sections.iter().enumerate() {
            let size = pick[i];
            let speed = x.flow / (std::f64::consts::PI / 4.0 * size.diameter.powi(2));
            let friction = hazen_williams(x.flow, size.diameter, x.length, 150.0).unwrap();
            let before = x.after.map_or(limits.head, |after| heads[after]);
            heads[i] = before - friction - minor_loss(x.minor, x.flow, size.diameter).unwrap();
            good &= speed <= limits.velocity && x.needed.is_none_or(|n| heads[i] - x.elevation >= n - 1e-9);
            good &= !limits.tapering || x.after.is_none_or(|after| size.diameter <= pick[after].diameter);
        }
        let cost: f64 = sections.iter().zip(&pick).map(|(x, size)| x.length * size.cost).sum();
        if good && best.is_none_or(|best| cost < best) {
            best = Some(cost);
        }
    }
    best
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]
    /// Nothing cheaper keeps the limits, and where nothing keeps them we say so.
    #[test]
    fn no_combination_is_cheaper(
        parents in prop::collection::vec(0_usize..100, 5), lengths in prop::collection::vec(1.0..40.0, 5),
        flows in prop::collection::vec(0.5e-4..3e-4, 5), head in 18.0..40.0, tapering: bool,
    ) {
        let mut sections: Vec<Section> = Vec::new();
        for i in 0..5 {
            let after = (i > 0).then(|| parents[i] % i);
            let needed = (i % 2 == 0 || i == 4).then_some(15.0);
            sections.push(section(i, after, lengths[i], flows[i], needed));
        }
        // What flows beyond a section flows through it.
        for i in (1..5).rev() {
            let flow = sections[i].flow;
            let after = sections[i].after.unwrap();
            sections[after].flow += flow;
        }
        let limits = SizingLimits { head, velocity: 1.524, tapering };
        let ours = choose_sizes(&sections, &sizes(), limits, &WATER);
        match (by_trying(&sections, &sizes(), limits), ours) {
            (Some(best), Ok(ours)) => {
                prop_assert!((ours.cost - best).abs() < 1e-9, "{} {best}", ours.cost);
                prop_assert!(ours.exact && ours.spare > -1e-6);
                prop_assert!(ours.velocities.iter().all(|v| *v <= 1.524 + 1e-9));
            }
            (None, Err(SizingError::TooLittle { .. } | SizingError::TooFast { .. })) => {}
            (best, ours) => prop_assert!(false, "{best:?} {ours:?}"),
        }
    }
}

/// A lateral of 200 heads is sized in a moment and keeps its limits.
#[test]
fn a_long_lateral_is_sized() {
    let mut sections: Vec<Section> = (0..200)
        .map(|i| {
            let after = (i > 0).then(|| if i % 10 == 0 { i - 10 } else { i - 1 });
            Section { elevation: 0.0, ..section(i, after, 1.5 + (i % 7) as f64 * 0.13, 5e-6, Some(15.0)) }
        })
        .collect();
    for i in (1..200).rev() {
        let flow = sections[i].flow;
        let after = sections[i].after.unwrap();
        sections[after].flow += flow;
    }
    let limits = SizingLimits { head: 27.0, velocity: 1.524, tapering: true };
    let begin = std::time::Instant::now();
    let ours = choose_sizes(&sections, &sizes(), limits, &WATER).unwrap();
    println!("200 sections: {:?}, exact {}, cost {:.1}", begin.elapsed(), ours.exact, ours.cost);
    assert!(ours.spare >= -1e-6 && ours.velocities.iter().all(|v| *v <= 1.524 + 1e-9));
    assert!(ours.sizes[0] >= ours.sizes[199]);
}

#[test]
fn limits_that_no_size_keeps_are_named() {
    let limits = SizingLimits { head: 20.0, velocity: 1.5, tapering: false };
    let said = |sections: &[Section], limits| {
        choose_sizes(sections, &sizes(), limits, &WATER).unwrap_err().to_string()
    };
    let fast = said(&[section(0, None, 5.0, 3e-3, None)], limits);
    assert!(fast.contains("section `s0` runs at 3.11 m/s even in `1-1/4`"), "{fast}");
    let weak = said(&[section(0, None, 500.0, 5e-4, Some(19.0))], limits);
    assert!(weak.contains("m of head are needed at the source"), "{weak}");
    let ring = said(&[section(0, Some(1), 5.0, 1e-4, None), section(1, Some(0), 5.0, 1e-4, None)], limits);
    assert!(ring.contains("section `s0` is not fed"), "{ring}");
    let none = said(&[section(0, None, f64::NAN, 1e-4, None)], limits);
    assert!(none.contains("s0: the length is NaN m"), "{none}");
    assert!(said(&[], limits).contains("at least one section"));
}
