//! Units laid in walls: worked curves, laws of the bond over a thousand walls, speed.

use std::f64::consts::FRAC_PI_2;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Instant;

use groundwright_units::constants::{FOOT, INCH};
use groundwright_walls::courses::{
    Bend, Corner, CoursesError, End, Kind, Laid, Layout, Segment, Stand, UnitSystem, check_bond, face_length,
    lay, lay_all, radius_of_taper,
};
use proptest::prelude::*;
use serde_json::Value;

fn kind(length: f64, share: f64) -> Kind {
    Kind { length: length * INCH, height: 6.0 * INCH, share, pallet: 60 }
}

fn system(kinds: Vec<Kind>) -> UnitSystem {
    let base = (0..kinds.len()).max_by(|a, b| kinds[*a].length.total_cmp(&kinds[*b].length)).unwrap();
    UnitSystem {
        kinds,
        base,
        corner: Some(Corner { long: 16.0 * INCH, short: 8.0 * INCH }),
        setback: 0.75 * INCH,
        least_radius: 32.0 * INCH,
        least_cut: 4.0 * INCH,
        least_overlap: 2.5 * INCH,
        in_a_row: 3,
        rear_lip: true,
        colours: vec![0.6, 0.4],
    }
}

fn three() -> UnitSystem {
    system(vec![kind(8.0, 0.25), kind(12.0, 0.35), kind(16.0, 0.4)])
}

fn layout(segments: Vec<Segment>, courses: usize, system: UnitSystem) -> Layout {
    let to = face_length(&segments, 0.0).unwrap();
    Layout {
        segments,
        stands: vec![Stand { from: 0.0, to, first: 0, courses }],
        course: 6.0 * INCH,
        ends: [End::Flush; 2],
        system,
    }
}

#[test]
fn curves_shrink_and_grow_as_worked() {
    let cases: Value = serde_json::from_str(include_str!("../data/walls-quantities.json")).unwrap();
    for (name, bend) in [("convex_curve", Bend::Convex), ("concave_curve", Bend::Concave)] {
        let arc = [Segment::Arc { radius: 10.0 * FOOT, sweep: FRAC_PI_2, bend }];
        let first = face_length(&arc, 0.0).unwrap() / FOOT;
        for (i, course) in cases[name]["courses"].as_array().unwrap().iter().enumerate() {
            let length = face_length(&arc, i as f64 * 0.75 * INCH).unwrap() / FOOT;
            for (key, ours) in [
                ("face_length", length),
                ("face_radius", length / FRAC_PI_2),
                ("units", length * 12.0 / 16.0),
                ("joint_drift_from_course_1", length - first),
            ] {
                let printed = course[key].as_f64().unwrap();
                assert!((ours - printed).abs() < 1e-7 * printed.abs().max(1.0), "{name} {i} {key}: {ours}");
            }
        }
    }
}

#[test]
fn tapered_units_turn_as_worked() {
    assert!((radius_of_taper(16.0, 10.0, 12.0).unwrap() - 32.0).abs() < 1e-12);
    assert!(radius_of_taper(16.0, 16.0, 12.0).is_err());
    // Six convex courses at 3/4 in need 35.75 in at the base: as worked in the check values.
    let arc = |radius: f64| vec![Segment::Arc { radius: radius * INCH, sweep: 1.5, bend: Bend::Convex }];
    let refused = lay(&layout(arc(35.0), 6, three())).unwrap_err();
    let CoursesError::TooTight { base_needed, courses_possible, .. } = refused else { panic!("{refused}") };
    assert!((base_needed / INCH - 35.75).abs() < 1e-9);
    assert_eq!(courses_possible, 5);
    assert!(refused.to_string().contains("keep to 5 courses"), "{refused}");
    lay(&layout(arc(40.0), 6, three())).unwrap();
}

fn whole(layout: &Layout) -> Laid {
    let laid = lay(layout).unwrap_or_else(|e| panic!("{e}: {layout:?}"));
    let bond = check_bond(layout, &laid).unwrap();
    assert!(bond.stacked.is_empty(), "stacked {:?} in {layout:?}", bond.stacked);
    assert!(bond.gaps.is_empty() && bond.short.is_empty(), "{bond:?}");
    assert_eq!(laid.counts.iter().sum::<usize>(), laid.units.len());
    assert_eq!(laid.cuts.len(), laid.units.iter().filter(|u| u.cut).count());
    assert!(laid.cuts_bound <= laid.cuts.len());
    laid
}

/// Of lengths that are multiples of one measure on a straight of such a length nothing need be cut.
#[test]
fn a_straight_of_whole_measures_needs_no_cut() {
    let layout = layout(vec![Segment::Straight { length: 40.0 * FOOT }], 8, three());
    let laid = whole(&layout);
    assert_eq!((laid.cuts.len(), laid.cuts_bound), (0, 0));
    let bond = check_bond(&layout, &laid).unwrap();
    assert!(bond.blend_off < 0.03, "{bond:?}");
    assert!(bond.in_a_row <= 3, "{bond:?}");
    // The pad takes whole units of the longest kind, and their lips are off.
    let base: Vec<_> = laid.units.iter().filter(|u| u.course == 0).collect();
    assert!(base.iter().all(|u| u.on_pad && u.kind == 2 && !u.cut));
    assert_eq!(laid.lips_off, base.len());
}

/// One length in running bond: a half at each end of every second course, no other cut.
#[test]
fn one_length_is_laid_in_running_bond() {
    let one = UnitSystem { least_overlap: 4.0 * INCH, corner: None, ..system(vec![kind(16.0, 1.0)]) };
    let layout = layout(vec![Segment::Straight { length: 15.0 * 16.0 * INCH }], 6, one);
    let laid = whole(&layout);
    assert_eq!(laid.cuts.len(), 6, "{:?}", laid.cuts);
}

#[test]
fn systems_that_cannot_be_laid_say_what_would_do() {
    let short = UnitSystem { least_overlap: 9.0 * INCH, ..three() };
    let refused = lay(&layout(vec![Segment::Straight { length: 5.0 }], 3, short)).unwrap_err();
    assert!(matches!(refused, CoursesError::UnitsTooShort { .. }), "{refused}");
    let no_short =
        UnitSystem { least_cut: 15.0 * INCH, least_overlap: 4.0 * INCH, ..system(vec![kind(16.0, 1.0)]) };
    let refused = lay(&layout(vec![Segment::Straight { length: 5.0 }], 3, no_short)).unwrap_err();
    let CoursesError::NoBond { course, remedy, .. } = &refused else { panic!("{refused}") };
    assert!(*course <= 2 && remedy.contains("least cut"), "{refused}");
    assert!(
        lay(&layout(vec![Segment::Straight { length: 5.0 }], 3, UnitSystem { kinds: vec![], ..three() }))
            .is_err()
    );
    let mut gaps = layout(vec![Segment::Straight { length: 5.0 }], 3, three());
    gaps.stands[0].to = 4.0;
    assert!(lay(&gaps).is_err());
}

fn segments() -> impl Strategy<Value = Vec<Segment>> {
    let bend = prop_oneof![Just(Bend::Convex), Just(Bend::Concave)];
    let piece = prop_oneof![
        (2.5..12.0_f64).prop_map(|length| vec![Segment::Straight { length }]),
        (2.0..9.0_f64, 0.4..2.0_f64, bend.clone()).prop_map(|(radius, sweep, bend)| vec![
            Segment::Straight { length: 2.5 },
            Segment::Arc { radius, sweep, bend },
            Segment::Straight { length: 2.5 },
        ]),
        (2.5..8.0_f64, 0.3..1.8_f64, bend).prop_map(|(length, turn, bend)| vec![
            Segment::Straight { length },
            Segment::Corner { turn, bend },
            Segment::Straight { length: length + 1.0 },
        ]),
    ];
    prop::collection::vec(piece, 1..5).prop_map(|pieces| pieces.concat())
}

/// Steps of base and top, none within 1.2 m of an end, a corner or another step: nearer ones are refused
/// with numbers, which a test of its own looks at.
fn stands(segments: &[Segment], steps: &[(f64, usize, usize)]) -> Vec<Stand> {
    let mut keep_off = vec![0.0];
    for (i, segment) in segments.iter().enumerate() {
        if matches!(segment, Segment::Corner { .. }) {
            keep_off.push(face_length(&segments[..i], 0.0).unwrap());
        }
    }
    let length = face_length(segments, 0.0).unwrap();
    keep_off.push(length);
    let sum: f64 = steps.iter().map(|s| s.0).sum();
    let (mut stands, mut from, mut at) = (Vec::new(), 0.0, 0.0);
    for (i, &(share, first, courses)) in steps.iter().enumerate() {
        at += share / sum * length;
        let near = keep_off.iter().any(|corner| f64::abs(at - corner) < 1.2);
        if i + 1 == steps.len() || !near {
            let to = if i + 1 == steps.len() { length } else { at };
            stands.push(Stand { from, to, first, courses });
            from = to;
            keep_off.push(to);
        }
    }
    stands
}

fn systems() -> impl Strategy<Value = UnitSystem> {
    prop_oneof![
        Just(three()),
        Just(system(vec![kind(6.0, 0.3), kind(10.0, 0.3), kind(14.0, 0.4)])),
        Just(system(vec![kind(11.8, 0.5), kind(17.7, 0.5)])),
        Just(UnitSystem { least_overlap: 3.5 * INCH, ..system(vec![kind(16.0, 1.0)]) }),
    ]
}

/// Walls laid, and walls of one length refused, so far.
static LAID: AtomicUsize = AtomicUsize::new(0);
static REFUSED: AtomicUsize = AtomicUsize::new(0);
/// Walls of several lengths refused.
static REFUSED_MIXED: AtomicUsize = AtomicUsize::new(0);

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, failure_persistence: None, ..ProptestConfig::default() })]

    /// In a thousand walls of straights, curves, corners and steps no joint stands over another within the
    /// least overlap, nothing is too short, nothing gapes; the same wall is laid the same way.
    #[test]
    fn no_joint_stacks_in_a_thousand_walls(
        segments in segments(),
        system in systems(),
        steps in prop::collection::vec((0.2..1.0_f64, 0_usize..3, 2_usize..7), 1..5),
        bank in any::<bool>(),
    ) {
        let stands = stands(&segments, &steps);
        let ends = [if bank { End::Bank } else { End::Flush }; 2];
        let layout = Layout { segments, stands, course: 6.0 * INCH, ends, system };
        // One length alone leaves few ways round a corner, and of several the search may find none in its
        // tries: then numbers say what would do.
        if let Err(refused @ CoursesError::NoBond { .. }) = lay(&layout) {
            let words = refused.to_string();
            prop_assert!(words.contains("would do") || words.contains("add a piece"), "{}", words);
            let count = if layout.system.kinds.len() == 1 { &REFUSED } else { &REFUSED_MIXED };
            count.fetch_add(1, Ordering::Relaxed);
        } else {
            let laid = whole(&layout);
            prop_assert_eq!(&laid, &lay(&layout).unwrap());
            LAID.fetch_add(1, Ordering::Relaxed);
        }
        let (laid, refused) = (LAID.load(Ordering::Relaxed), REFUSED.load(Ordering::Relaxed));
        prop_assert!(refused < 20 + laid / 20, "{} refused, {} laid", refused, laid);
        let mixed = REFUSED_MIXED.load(Ordering::Relaxed);
        prop_assert!(mixed < 4 + laid / 200, "{} of several lengths refused, {} laid", mixed, laid);
    }
}

fn winding(length: f64, courses: usize) -> Layout {
    let mut segments = Vec::new();
    let mut bend = Bend::Convex;
    while face_length(&segments_or(&segments), 0.0).unwrap_or(0.0) < length {
        segments.push(Segment::Straight { length: 4.3 });
        segments.push(Segment::Arc { radius: 6.2, sweep: 0.9, bend });
        bend = if bend == Bend::Convex { Bend::Concave } else { Bend::Convex };
    }
    layout(segments, courses, system(vec![kind(7.9, 0.25), kind(11.8, 0.35), kind(15.7, 0.4)]))
}

fn segments_or(segments: &[Segment]) -> Vec<Segment> {
    if segments.is_empty() { vec![Segment::Straight { length: 1e-3 }] } else { segments.to_vec() }
}

/// Three tiers of 500 m, some 30,000 units, laid and looked at; four times the length takes no more than
/// some five times the time. Limits are generous: machines differ, and others work on them.
#[test]
fn thirty_thousand_units_are_laid_fast() {
    let run = |length: f64| {
        let tiers = [winding(length, 7), winding(length, 6), winding(length, 6), winding(length, 6)];
        let start = Instant::now();
        let laid = lay_all(&tiers);
        let units: usize = laid
            .iter()
            .zip(&tiers)
            .map(|(laid, tier)| {
                let laid = laid.as_ref().unwrap();
                let bond = check_bond(tier, laid).unwrap();
                println!("{} {:?} cuts {} of {}", laid.units.len(), bond, laid.cuts.len(), laid.cuts_bound);
                assert!(bond.stacked.is_empty() && bond.gaps.is_empty() && bond.short.is_empty());
                assert!(bond.blend_off < 0.02, "{} {:?}", bond.blend_off, bond.shares);
                assert!(bond.in_a_row <= 3 && bond.repeats < 20, "{} {}", bond.in_a_row, bond.repeats);
                laid.units.len()
            })
            .sum();
        (units, start.elapsed().as_secs_f64())
    };
    let (few, short) = run(125.0);
    let (many, long) = run(500.0);
    println!("{few} units in {short:.3} s, {many} units in {long:.3} s");
    assert!(many > 30_000, "{many}");
    assert!(long < 3.0, "{long}");
    assert!(long < 10.0 * short.max(0.02), "{short} {long}");
}
