//! Setting out of the demo's bed lines: found again with two tapes.

use std::path::Path;

use groundwright_geometry::Point;
use groundwright_handoff::{Study, When};
use groundwright_plan::load_folder;
use groundwright_site::set_out::{REACH, set_out, study};
use groundwright_yard::place;

/// Where two tapes meet, by the law of cosines.
fn meet(a: Point, b: Point, [ra, rb]: [f64; 2], left: bool) -> Point {
    let base = b - a;
    let length = base.hypot();
    let along = (ra * ra - rb * rb + length * length) / (2.0 * length);
    let across = (ra * ra - along * along).max(0.0).sqrt() * if left { 1.0 } else { -1.0 };
    let unit = base / length;
    a + unit * along + groundwright_geometry::Vec2::new(-unit.y, unit.x) * across
}

#[test]
fn two_tapes_find_every_flag_of_the_demo() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/corner-lot");
    let loaded = load_folder(&folder).unwrap();
    let (plot, faults) = place(&loaded.project);
    assert!(faults.is_empty());
    let found = set_out(&loaded.project, &plot);
    assert!(found.flags.len() > 20, "{}", found.flags.len());
    for (i, flag) in found.flags.iter().enumerate() {
        assert_eq!(flag.number, i + 1);
        let ties = flag.ties.as_ref().unwrap_or_else(|| panic!("flag {} of {}", flag.number, flag.label));
        let [a, b] = [ties.first, ties.second].map(|i| found.references[i].at);
        let again = meet(a, b, ties.lengths, ties.left);
        assert!((again - flag.at).hypot() < 1e-6, "flag {}: {again:?} and {:?}", flag.number, flag.at);
        assert!(ties.lengths.iter().all(|length| *length <= REACH));
        // The tape alone gives 4 mm and more; a stake is set to no better than an inch.
        assert!(
            (0.004..0.03).contains(&ties.accuracy.major),
            "flag {}: {}",
            flag.number,
            ties.accuracy.major
        );
        let bed = plot.beds.iter().find(|bed| bed.element == flag.element).unwrap();
        assert!((bed.edge.point(flag.station) - flag.at).hypot() < 1e-9);
        for area in plot.buildings.iter().chain(&plot.surfaces) {
            assert!(
                area.edge.nearest(flag.at).distance >= 0.05,
                "flag {} is on an edge that is there",
                flag.number
            );
        }
    }
    // The survey's own names stand for corners that it measured.
    assert!(found.references.iter().any(|mark| mark.name == "hc1" && mark.cofactors[0] > 0.0));
    let study = study(&loaded.project, &plot);
    let tables = study.tables();
    assert_eq!((tables[0].key, tables[0].rows.len()), ("set-out", found.flags.len()));
    assert!(tables[0].rows.iter().all(|row| row.len() == tables[0].columns.len()));
    assert_eq!(study.marks(When::years(0.0)).len(), 2 * found.flags.len());
}
