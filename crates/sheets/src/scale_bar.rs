//! A scale bar, drawn to true scale with even divisions.
//!
//! - In: the scale and the room for the bar. Out: primitives, origin at the zero of the bar on the
//!   upper edge of the bar [mm, y down], and how far its labels reach.
//! - Four divisions of 1, 2 or 5 units (or 1, 3, 6 inches below a foot), filled in turn: a copy of
//!   any size can still be measured.

use groundwright_drawing::{Primitive, TextWidth};
use groundwright_handoff::TextAnchor;
use groundwright_units::System;
use groundwright_units::constants::{FOOT, INCH, MILLIMETRE};
use kurbo::{Point, Rect};

use crate::fonts::Fonts;
use crate::paper::Scale;
use crate::pieces::{filled, line, outline, rectangle, text};
use crate::setting::{HAIRLINE, INK, Letters};

const DIVISIONS: u32 = 4;

/// Divisions of a bar in counts of a unit: unit [m], its symbol, counts.
const US: [(f64, &str, &[f64]); 2] =
    [(INCH, "in", &[1.0, 3.0, 6.0]), (FOOT, "ft", &[1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0])];
const METRIC: [(f64, &str, &[f64]); 2] = [
    (MILLIMETRE, "mm", &[5.0, 10.0, 20.0, 50.0, 100.0, 200.0]),
    (1.0, "m", &[0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0]),
];

/// A scale bar and how long it is.
pub(crate) struct ScaleBar {
    pub primitives: Vec<Primitive>,
    /// From zero to the right end of the last label. [mm]
    pub right: f64,
    /// From the upper edge of the bar to the base line of its labels. [mm]
    pub label_base: f64,
}

/// The longest bar of four even divisions that is no longer than `room` [mm]; `None` when even the
/// smallest division is too long.
pub(crate) fn scale_bar(
    scale: Scale,
    system: System,
    room: f64,
    letters: Letters,
    fonts: &Fonts,
) -> Option<ScaleBar> {
    let (unit, symbol, count) = division(scale, system, room)?;
    let step = scale.paper_mm(unit * count);
    let height = letters.cap * 0.7;
    let label_base = height + letters.cap * 2.0;
    let mut primitives = Vec::new();
    for i in 0..DIVISIONS {
        let x = step * f64::from(i);
        let cell = rectangle(Rect::new(x, 0.0, x + step, height));
        if i % 2 == 0 {
            primitives.push(filled(cell, INK));
        }
    }
    let length = step * f64::from(DIVISIONS);
    primitives.push(outline(rectangle(Rect::new(0.0, 0.0, length, height)), HAIRLINE, INK));
    for i in 0..=DIVISIONS {
        let x = step * f64::from(i);
        let tick = letters.cap * 0.5;
        primitives.push(line(Point::new(x, height), Point::new(x, height + tick), HAIRLINE, INK));
        if i < DIVISIONS {
            let figure = figures(count * f64::from(i));
            primitives.push(text(Point::new(x, label_base), figure, letters, TextAnchor::Middle));
        }
    }
    // The last label carries the unit; its figure alone stands about the tick.
    let figure = figures(count * f64::from(DIVISIONS));
    let left = length - fonts.width_mm(&figure, letters.cap, letters.face) / 2.0;
    let last = format!("{figure} {symbol}");
    let right = left + fonts.width_mm(&last, letters.cap, letters.face);
    primitives.push(text(Point::new(left, label_base), last, letters, TextAnchor::Left));
    Some(ScaleBar { primitives, right, label_base })
}

/// The largest division of which four fit. Unit [m], symbol, count.
fn division(scale: Scale, system: System, room: f64) -> Option<(f64, &'static str, f64)> {
    let units = match system {
        System::Us => &US,
        System::Metric => &METRIC,
    };
    let mut all = units
        .iter()
        .flat_map(|&(unit, symbol, counts)| counts.iter().map(move |&count| (unit, symbol, count)));
    all.rfind(|&(unit, _, count)| scale.paper_mm(unit * count) * f64::from(DIVISIONS) <= room)
}

/// A count without needless decimals: counts are whole or halves.
fn figures(count: f64) -> String {
    if count.fract() == 0.0 { format!("{count:.0}") } else { format!("{count:.1}") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paper::Paper;
    use crate::setting::Setting;

    /// At every trade scale a bar exists, is true and not wastefully short.
    #[test]
    fn every_scale_of_the_trade_has_a_bar() {
        let fonts = Fonts::new();
        let letters = Setting::of(Paper::LETTER).label();
        for system in [System::Us, System::Metric] {
            for &scale in Scale::series(system) {
                let bar = scale_bar(scale, system, 60.0, letters, &fonts).unwrap();
                let (unit, _, count) = division(scale, system, 60.0).unwrap();
                let length = 4.0 * scale.paper_mm(unit * count);
                assert!((16.0..=60.0).contains(&length), "{}: {length}", scale.text);
                assert!(bar.right > length && bar.right < length + 12.0);
            }
        }
    }

    /// By hand: at 1/8" = 1'-0" twenty feet are two and a half inches; at 1:100 four metres are
    /// 40 mm.
    #[test]
    fn bars_are_as_long_as_computed_by_hand() {
        let eighth = Scale { denominator: 96.0, text: "1/8\" = 1'-0\"" };
        let (unit, symbol, count) = division(eighth, System::Us, 70.0).unwrap();
        assert_eq!((symbol, count), ("ft", 5.0));
        assert!((eighth.paper_mm(unit * count) * 4.0 - 2.5 * 25.4).abs() < 1e-9);
        let hundredth = Scale { denominator: 100.0, text: "1:100" };
        let (unit, symbol, count) = division(hundredth, System::Metric, 60.0).unwrap();
        assert_eq!((unit, symbol, count), (1.0, "m", 1.0));
        assert!((hundredth.paper_mm(4.0) - 40.0).abs() < 1e-12);
    }
}
