//! Paper sizes, and the scales at which the trade draws.
//!
//! - In: how wide and high a thing is in the yard [m], and the window of paper it should fit [mm].
//! - Out: the largest scale of the trade that fits, and the smallest sheet on which it is legible.
//! - Sheets lie on their long side.
//! - Not here: how much of a sheet is left for the drawing (`setting.rs`).

use groundwright_units::System;
use kurbo::Size;

use crate::error::{SheetError, positive};
use crate::setting::window;

/// A size of paper, lying on its long side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Paper {
    /// Name as people ask for it: `letter`, `11x17`, `A3`.
    pub name: &'static str,
    /// Long side. [mm]
    pub width_mm: f64,
    /// Short side. [mm]
    pub height_mm: f64,
}

/// US sheets, small to large. The first two are sizes A and B of ANSI/ASME Y14.1, the others the
/// architectural sizes C and D, which are common practice. Source: from memory.
const US: [Paper; 4] = [
    Paper::inches("letter", 11.0, 8.5),
    Paper::inches("11x17", 17.0, 11.0),
    Paper::inches("18x24", 24.0, 18.0),
    Paper::inches("24x36", 36.0, 24.0),
];

/// Metric sheets, small to large. Source: ISO 216, main series A; read in reprints of its table.
const ISO: [Paper; 4] = [
    Paper { name: "A4", width_mm: 297.0, height_mm: 210.0 },
    Paper { name: "A3", width_mm: 420.0, height_mm: 297.0 },
    Paper { name: "A2", width_mm: 594.0, height_mm: 420.0 },
    Paper { name: "A1", width_mm: 841.0, height_mm: 594.0 },
];

impl Paper {
    /// Letter, 8½ × 11 in.
    pub const LETTER: Self = US[0];
    /// 11 × 17 in.
    pub const US_11X17: Self = US[1];
    /// 18 × 24 in.
    pub const US_18X24: Self = US[2];
    /// 24 × 36 in.
    pub const US_24X36: Self = US[3];
    /// A4.
    pub const A4: Self = ISO[0];
    /// A3.
    pub const A3: Self = ISO[1];
    /// A2.
    pub const A2: Self = ISO[2];
    /// A1.
    pub const A1: Self = ISO[3];

    const fn inches(name: &'static str, width: f64, height: f64) -> Self {
        Self { name, width_mm: width * 25.4, height_mm: height * 25.4 }
    }

    /// The sheets of a system of units, small to large.
    pub fn sizes(system: System) -> &'static [Self] {
        match system {
            System::Us => &US,
            System::Metric => &ISO,
        }
    }

    /// The sheet of this name, whatever the case of its letters.
    pub fn named(name: &str) -> Option<Self> {
        US.iter().chain(&ISO).find(|paper| paper.name.eq_ignore_ascii_case(name.trim())).copied()
    }
}

/// A scale of the trade.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// 100 means 1:100. Above zero.
    pub denominator: f64,
    /// For the reader: `1/8" = 1'-0"`, `1:100`.
    pub text: &'static str,
}

const fn scale(denominator: f64, text: &'static str) -> Scale {
    Scale { denominator, text }
}

/// US scales, the largest drawing first: those of the architect's rule in inches to the foot, and
/// those of the engineer's rule in feet to the inch.
///
/// Source: architect's scales as listed on LibreTexts, "Use scale rulers to determine actual
/// dimensions from drawings", read there; 1/16" and the engineer's scales are common practice.
const US_SCALES: [Scale; 18] = [
    scale(4.0, "3\" = 1'-0\""),
    scale(8.0, "1 1/2\" = 1'-0\""),
    scale(12.0, "1\" = 1'-0\""),
    scale(16.0, "3/4\" = 1'-0\""),
    scale(24.0, "1/2\" = 1'-0\""),
    scale(32.0, "3/8\" = 1'-0\""),
    scale(48.0, "1/4\" = 1'-0\""),
    scale(64.0, "3/16\" = 1'-0\""),
    scale(96.0, "1/8\" = 1'-0\""),
    scale(120.0, "1\" = 10'"),
    scale(128.0, "3/32\" = 1'-0\""),
    scale(192.0, "1/16\" = 1'-0\""),
    scale(240.0, "1\" = 20'"),
    scale(360.0, "1\" = 30'"),
    scale(480.0, "1\" = 40'"),
    scale(600.0, "1\" = 50'"),
    scale(720.0, "1\" = 60'"),
    scale(1200.0, "1\" = 100'"),
];

/// Metric scales, the largest drawing first.
///
/// Source: ISO 5455:1979, clause 5.1, recommended reduction scales 1:2 to 1:1000, read in a
/// reprint; 1:250 is not among them but common practice for site plans.
const METRIC_SCALES: [Scale; 10] = [
    scale(2.0, "1:2"),
    scale(5.0, "1:5"),
    scale(10.0, "1:10"),
    scale(20.0, "1:20"),
    scale(50.0, "1:50"),
    scale(100.0, "1:100"),
    scale(200.0, "1:200"),
    scale(250.0, "1:250"),
    scale(500.0, "1:500"),
    scale(1000.0, "1:1000"),
];

impl Scale {
    /// The scales of a system of units, the largest drawing first.
    pub fn series(system: System) -> &'static [Self] {
        match system {
            System::Us => &US_SCALES,
            System::Metric => &METRIC_SCALES,
        }
    }

    /// Length on paper of a length in the yard [m]. [mm]
    pub fn paper_mm(self, length: f64) -> f64 {
        length * 1000.0 / self.denominator
    }
}

/// The largest scale of the trade at which an extent [m] fits a window [mm].
///
/// # Errors
/// - [`SheetError::NotPositive`]: a side is not a finite number above zero.
/// - [`SheetError::NoScaleFits`]: it is too large even for the smallest scale.
pub fn fit(extent: Size, window_mm: Size, system: System) -> Result<Scale, SheetError> {
    positive("width of the extent [m]", extent.width)?;
    positive("height of the extent [m]", extent.height)?;
    positive("width of the window [mm]", window_mm.width)?;
    positive("height of the window [mm]", window_mm.height)?;
    let series = Scale::series(system);
    let fits = |scale: &&Scale| {
        scale.paper_mm(extent.width) <= window_mm.width && scale.paper_mm(extent.height) <= window_mm.height
    };
    series.iter().find(fits).copied().ok_or(SheetError::NoScaleFits {
        width: extent.width,
        height: extent.height,
        window_width: window_mm.width,
        window_height: window_mm.height,
        smallest: series[series.len() - 1].text,
    })
}

/// The smallest sheet on which an extent [m] fits at a scale of at least 1:`legible`, with that
/// scale; when no sheet is large enough for that, the largest sheet with the scale that fits it.
///
/// # Errors
/// - [`SheetError::NotPositive`]: a side or `legible` is not a finite number above zero.
/// - [`SheetError::NoScaleFits`]: the extent is too large even for the largest sheet.
pub fn choose(
    extent: Size,
    legible: f64,
    system: System,
    has_side_column: bool,
) -> Result<(Paper, Scale), SheetError> {
    positive("denominator of the smallest legible scale", legible)?;
    let sizes = Paper::sizes(system);
    for &paper in sizes {
        match fit(extent, window(paper, has_side_column), system) {
            Ok(scale) if scale.denominator <= legible => return Ok((paper, scale)),
            Ok(_) | Err(SheetError::NoScaleFits { .. }) => {}
            Err(error) => return Err(error),
        }
    }
    let largest = sizes[sizes.len() - 1];
    Ok((largest, fit(extent, window(largest, has_side_column), system)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use groundwright_units::constants::{FOOT, INCH};

    /// Each customary scale says what it is: inches of paper over feet or inches of yard.
    #[test]
    fn the_text_of_a_customary_scale_is_its_denominator() {
        for scale in US_SCALES {
            let (paper, yard) = scale.text.split_once(" = ").unwrap();
            let inches: f64 = paper
                .trim_end_matches('"')
                .split(' ')
                .map(|part| match part.split_once('/') {
                    Some((n, d)) => n.parse::<f64>().unwrap() / d.parse::<f64>().unwrap(),
                    None => part.parse().unwrap(),
                })
                .sum();
            let feet: f64 = yard.trim_end_matches("-0\"").trim_end_matches('\'').parse().unwrap();
            let ratio = feet * FOOT / (inches * INCH);
            assert!((ratio - scale.denominator).abs() < 1e-9, "{}", scale.text);
        }
    }

    #[test]
    fn the_text_of_a_metric_scale_is_its_denominator() {
        for scale in METRIC_SCALES {
            assert_eq!(scale.text, format!("1:{}", scale.denominator));
        }
    }

    #[test]
    fn scales_go_from_the_largest_drawing_to_the_smallest() {
        for system in [System::Us, System::Metric] {
            assert!(Scale::series(system).is_sorted_by(|a, b| a.denominator < b.denominator));
            assert!(Paper::sizes(system).is_sorted_by(|a, b| a.width_mm < b.width_mm));
        }
    }

    /// A lot of 75 by 120 feet: 1/8" = 1'-0" makes it 9.4 by 15 inches, by hand.
    #[test]
    fn a_lot_gets_the_largest_scale_that_fits() {
        let lot = Size::new(120.0 * FOOT, 75.0 * FOOT);
        let window = Size::new(15.1 * 25.4, 9.5 * 25.4);
        assert_eq!(fit(lot, window, System::Us).unwrap().text, "1/8\" = 1'-0\"");
        let smaller = Size::new(14.9 * 25.4, 9.5 * 25.4);
        assert_eq!(fit(lot, smaller, System::Us).unwrap().text, "1\" = 10'");
        assert_eq!(fit(lot, window, System::Metric).unwrap().text, "1:100");
    }

    #[test]
    fn a_field_too_large_for_any_scale_says_so() {
        let error = fit(Size::new(9e3, 9e3), Size::new(200.0, 150.0), System::Us).unwrap_err();
        assert_eq!(
            error.to_string(),
            "9000.0 m by 9000.0 m does not fit a window of 200 mm by 150 mm even at 1\" = 100'; \
             take larger paper or draw it in parts"
        );
        let error = fit(Size::new(f64::NAN, 9.0), Size::new(200.0, 150.0), System::Us).unwrap_err();
        assert_eq!(error.to_string(), "width of the extent [m] is NaN, expected a finite number above zero");
    }

    #[test]
    fn a_larger_yard_takes_larger_paper_at_a_legible_scale() {
        let (small, scale) = choose(Size::new(12.0, 9.0), 100.0, System::Metric, true).unwrap();
        assert_eq!((small.name, scale.text), ("A4", "1:100"));
        let (large, scale) = choose(Size::new(40.0, 30.0), 100.0, System::Metric, true).unwrap();
        assert_eq!((large.name, scale.text), ("A2", "1:100"));
        let (largest, scale) = choose(Size::new(150.0, 90.0), 100.0, System::Metric, true).unwrap();
        assert_eq!((largest.name, scale.text), ("A1", "1:250"));
    }

    #[test]
    fn paper_is_found_by_name() {
        assert_eq!(Paper::named(" Letter "), Some(Paper::LETTER));
        assert_eq!(Paper::named("a3"), Some(Paper::A3));
        assert_eq!(Paper::named("napkin"), None);
    }
}
