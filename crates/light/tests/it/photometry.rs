//! Photometric files and beams: check files, broken files, laws.

use groundwright_light::ies::{Edition, IesError, Photometry, Symmetry, read};
use groundwright_light::{Beam, Shape};
use proptest::prelude::*;
use serde_json::Value;

/// Sources of all figures: `tests/data/README.md`.
const EXPECTED: &str = include_str!("../data/lighting_ies.json");
const BEAMS: &str = include_str!("../data/lighting_photometry.json");
pub(crate) const FILES: [(&str, &str); 7] = [
    ("01_axial_spot.ies", include_str!("../data/ies/01_axial_spot.ies")),
    ("02_quadrant.ies", include_str!("../data/ies/02_quadrant.ies")),
    ("03_bilateral.ies", include_str!("../data/ies/03_bilateral.ies")),
    ("04_full360_up_down.ies", include_str!("../data/ies/04_full360_up_down.ies")),
    ("05_tilt_include.ies", include_str!("../data/ies/05_tilt_include.ies")),
    ("06_odd_wrapping.ies", include_str!("../data/ies/06_odd_wrapping.ies")),
    ("07_malformed_short.ies", include_str!("../data/ies/07_malformed_short.ies")),
];

fn file(name: &str) -> &'static str {
    FILES.iter().find(|(n, _)| *n == name).unwrap().1
}

/// A number as printed: `ours` agrees to half of the last digit.
fn printed(ours: f64, value: &Value) -> bool {
    let text = value.to_string();
    let decimals = text.split_once('.').map_or(0, |(_, d)| d.len());
    (ours - value.as_f64().unwrap()).abs() <= 0.5001 * 0.1f64.powf(decimals as f64)
}

#[test]
fn check_files_to_every_printed_digit() {
    let expected: Value = serde_json::from_str(EXPECTED).unwrap();
    let mut checked = 0;
    for case in expected["files"].as_array().unwrap().iter().filter(|case| case.get("error").is_none()) {
        let name = case["file"].as_str().unwrap();
        let found = read(file(name)).unwrap_or_else(|e| panic!("{name}: {e}"));
        let (peak, v, h) = found.peak();
        for (ours, key) in [
            (found.flux(), "total_lumens"),
            (found.flux_zonal(), "total_lumens_zonal_mean"),
            (found.uplight(), "uplight_lumens"),
            (peak, "peak_cd"),
            (found.watts, "input_watts"),
        ] {
            assert!(printed(ours, &case[key]), "{name} {key}: {ours} and {}", case[key]);
        }
        assert!(printed(v.to_degrees(), &case["peak_at_vert_horiz_deg"][0]), "{name}");
        assert!(printed(h.to_degrees(), &case["peak_at_vert_horiz_deg"][1]), "{name}");
        assert_eq!(found.vertical.len() as u64, case["n_vertical"].as_u64().unwrap());
        assert_eq!(found.horizontal.len() as u64, case["n_horizontal"].as_u64().unwrap());
        assert_eq!(found.lamp_lumens, case["rated_lamp_lumens"].as_f64());
        assert_eq!(found.in_feet, case["units"] == "feet");
        for row in case["interpolated_cd"].as_array().unwrap() {
            let at = |i: usize| row[i].as_f64().unwrap().to_radians();
            assert!(printed(found.candela(at(0), at(1)), &row[2]), "{name} {row}");
        }
        for (share, key) in [(0.5, "beam_deg_50pct"), (0.1, "field_deg_10pct")] {
            if let Some(value) = case.get(key) {
                assert!(printed(found.full_angle(share).unwrap().to_degrees(), value), "{name} {key}");
            }
        }
        checked += 1;
    }
    assert_eq!(checked, 6);
}

#[test]
fn a_short_file_is_refused_with_its_shortage() {
    let error = read(file("07_malformed_short.ies")).unwrap_err().to_string();
    assert_eq!(error, "line 15: the file ends after 7 of 8 intensities; 1 are missing");
}

#[test]
fn keywords_editions_and_tilt_are_kept() {
    let odd = read(file("06_odd_wrapping.ies")).unwrap();
    assert_eq!(odd.edition, Edition::Of1991);
    assert!(odd.keywords.iter().any(|(word, text)| word == "_NOTE" && text.ends_with("TILT\nsecond line")));
    let tilted = read(file("05_tilt_include.ies")).unwrap();
    assert_eq!(tilted.edition, Edition::Of1995);
    let tilt = tilted.tilt.unwrap();
    assert_eq!((tilt.geometry, tilt.factors.len(), tilt.factors[3].1), (1, 4, 0.9));
    let old =
        read("A LAMP OF LONG AGO\r\nTILT=NONE\r\n1 100 1 2 1 1 2 0 0 0 1 0.5 8 0 90 0 10 2\u{1a}").unwrap();
    assert_eq!(
        (old.edition, old.candela(0.0, 1.0)),
        (Edition::Of1986, 5.0),
        "ballast-lamp factor of old files"
    );
    let new = read("IES:LM-63-2019\nTILT=NONE\n1 -1 1 2 1 1 2 0 0 0 1 1.1 8 0 90 0 10 2").unwrap();
    assert_eq!(
        (new.edition, new.candela(0.0, 1.0)),
        (Edition::Of2019, 10.0),
        "the code of 2019 is no factor"
    );
}

const SMALL: &str = "IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 3 2 1 2 0 0 0\n1 1 8\n0 45 90\n0 90\n9 5 1\n8 4 0\n";

#[test]
fn broken_files_are_refused_with_their_line() {
    assert!(read(SMALL).is_ok());
    let cases = [
        ("TILT=NONE", "TILT=lamp.tlt", "line 2: tilt data are in the file `lamp.tlt`; copy them in"),
        ("TILT=NONE\n", "", "no line that starts with TILT="),
        ("1 -1 1 3 2 1", "1 -1 1 2 2 1", "line 8: 3 values follow after the 4 announced"),
        ("1 -1 1 3 2 1", "1 -1 1 4 2 1", "line 8: the file ends after 5 of 8 intensities; 3 are missing"),
        ("1 -1 1 3 2 1", "1 -1 1 3.5 2 1", "line 3: the number of vertical angles is 3.5"),
        ("1 -1 1 3 2 1", "1 -1 1 1e30 2 1", "line 3: the number of vertical angles is 1000"),
        ("1 -1 1 3 2 1", "1 0 1 3 2 1", "line 3: the lumens of a lamp is 0"),
        ("1 -1 1 3 2 1 2", "1 -1 1 3 2 2 2", "line 3: the photometric type is 2; expected 1 (type C)"),
        ("1 -1 1 3 2 1 2", "1 -1 1 3 2 1 3", "line 3: the units of size is 3"),
        ("0 45 90\n", "0 95 90\n", "line 5: a vertical angle is 90; expected more than the angle before"),
        ("0 45 90\n", "5 45 90\n", "line 5: the first vertical angle is 5"),
        ("0 45 90\n", "0 45 80\n", "line 5: the last vertical angle is 80"),
        ("0 90\n9", "0 100\n9", "line 6: the last horizontal angle is 100"),
        ("9 5 1", "9 five 1", "line 7: `five` is no number; expected intensities"),
        ("9 5 1", "9 NaN 1", "line 7: `NaN` is no number"),
        ("8 4 0", "8 -4 0", "line 8: an intensity is -4"),
        ("1 1 8", "0 1 8", "line 4: the ballast factor is 0"),
    ];
    for (good, bad, message) in cases {
        let error = read(&SMALL.replacen(good, bad, 1)).unwrap_err().to_string();
        assert!(error.contains(message), "{error}\n{message}");
    }
    assert_eq!(read("").unwrap_err(), IesError::NoTilt);
}

fn with_planes(horizontal: &str, planes: &[[f64; 3]]) -> Photometry {
    let values: Vec<String> = planes.iter().flatten().map(f64::to_string).collect();
    read(&format!(
        "IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 3 {} 1 2 0 0 0 1 1 8\n0 60 90\n{horizontal}\n{}",
        planes.len(),
        values.join(" ")
    ))
    .unwrap()
}

proptest! {
    /// Symmetry: a file that stores a part, and one that writes the mirrored planes out, are one light.
    #[test]
    fn mirrored_planes_written_out_change_nothing(
        a in prop::array::uniform3(0.0..900.0f64), b in prop::array::uniform3(0.0..900.0f64),
        c in prop::array::uniform3(0.0..900.0f64), v in 0.0..1.6f64, h in -7.0..7.0f64,
    ) {
        let pairs = [
            (with_planes("0 45 90", &[a, b, c]),
             with_planes("0 45 90 135 180 225 270 315 360", &[a, b, c, b, a, b, c, b, a]), Symmetry::Quadrant),
            (with_planes("0 90 180", &[a, b, c]),
             with_planes("0 90 180 270 360", &[a, b, c, b, a]), Symmetry::Bilateral),
            (with_planes("90 180 270", &[a, b, c]),
             with_planes("0 90 180 270 360", &[b, a, b, c, b]), Symmetry::BilateralAcross),
            (with_planes("0", &[a]), with_planes("0 180 360", &[a, a, a]), Symmetry::Axial),
        ];
        for (part, whole, symmetry) in pairs {
            prop_assert_eq!(part.symmetry, symmetry);
            prop_assert_eq!(whole.symmetry, Symmetry::Whole);
            let (one, other) = (part.candela(v, h), whole.candela(v, h));
            prop_assert!((one - other).abs() < 1e-6 * (1.0 + one), "{symmetry:?} {one} {other}");
            prop_assert!((part.flux() - whole.flux()).abs() < 1e-9 * (1.0 + part.flux()));
        }
    }

    /// No text makes the reader panic.
    #[test]
    fn any_text_is_read_or_refused(text in "(IESNA:LM-63-2002\n)?(TILT=(NONE|INCLUDE)\n)?[0-9 .,\n-]{0,200}") {
        let _ = read(&text);
    }

    /// No cut of a good file makes the reader panic, and none is taken for a whole one.
    #[test]
    fn a_cut_file_is_refused(which in 0..6usize, share in 0.0..0.98f64) {
        let text = FILES[which].1;
        let cut = (text.len() as f64 * share) as usize;
        // The last number of file 06 ends the file, so that a cut may leave a shorter number.
        let found = read(&text[..cut]);
        prop_assert!(which == 5 || found.is_err());
    }
}

/// Closed formulas, confirmed by quadrature: lumens to the candela, exponents, field angles.
#[test]
fn beams_agree_with_their_closed_forms() {
    let all: Value = serde_json::from_str(BEAMS).unwrap();
    for row in all["beams"].as_array().unwrap() {
        let angle = row["beam_deg_50pct"].as_f64().unwrap().to_radians();
        let beam = |shape| Beam::of_peak(shape, angle, 1.0).unwrap();
        let (cone, gauss, cos) = (beam(Shape::Cone), beam(Shape::Gaussian), beam(Shape::CosinePower));
        for (ours, key) in [
            (cone.flux(), "uniform_cone_lm_per_cd"),
            (gauss.flux(), "gaussian_lm_per_cd"),
            (gauss.field_angle().to_degrees(), "gaussian_field_deg_10pct"),
            (cos.exponent(), "cospower_exponent"),
            (cos.flux(), "cospower_lm_per_cd"),
            (cos.field_angle().to_degrees(), "cospower_field_deg_10pct"),
        ] {
            assert!(printed(ours, &row[key]), "{angle} {key}: {ours} and {}", row[key]);
        }
        // A field angle as the Gaussian has it gives the Gaussian.
        if gauss.field_angle() < std::f64::consts::PI {
            let same = beam(Shape::Field(gauss.field_angle()));
            assert!((same.exponent() - 2.0).abs() < 1e-9);
            assert!((same.flux() - gauss.flux()).abs() < 1e-9);
        }
    }
}

/// Closed form: 300 lm in a beam of 36° are 975.5, 686.7 or 707.3 cd by shape.
#[test]
fn lumens_give_the_centre_intensity() {
    for (shape, cd) in [(Shape::Cone, "975.5"), (Shape::Gaussian, "686.7"), (Shape::CosinePower, "707.3")] {
        let beam = Beam::of_lumens(shape, 36f64.to_radians(), 300.0).unwrap();
        assert_eq!(format!("{:.1}", beam.peak()), cd);
        assert!((beam.flux() - 300.0).abs() < 1e-6);
        assert!(
            (beam.candela(18f64.to_radians() - 1e-12) / beam.peak()
                - if shape == Shape::Cone { 1.0 } else { 0.5 })
            .abs()
                < 1e-9
        );
    }
    for angle in [0.0, -1.0, 4.0, f64::NAN] {
        assert!(Beam::of_peak(Shape::Gaussian, angle, 10.0).is_err(), "{angle}");
    }
    assert!(Beam::of_peak(Shape::Field(0.3), 0.4, 10.0).unwrap_err().to_string().contains("field angle"));
}
