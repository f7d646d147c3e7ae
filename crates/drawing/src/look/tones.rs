//! Tones to colours.
//!
//! The ten colours were found by a search that keeps every two apart for ordinary sight, for
//! protanopes and for deuteranopes, and apart in lightness for grey print; the tests hold the
//! distances. The colour is never the only cue: patterns, glyphs and letters say the same.

use groundwright_handoff::Tone;

use crate::display::Rgb;

/// All tones.
pub const TONES: [Tone; 10] = [
    Tone::Ink,
    Tone::Faint,
    Tone::New,
    Tone::Keep,
    Tone::Move,
    Tone::Remove,
    Tone::Earth,
    Tone::Turf,
    Tone::Water,
    Tone::Hazard,
];

/// Paper.
pub const WHITE: Rgb = Rgb(255, 255, 255);

/// Colour of lines and full areas of a tone.
pub const fn colour(tone: Tone) -> Rgb {
    match tone {
        Tone::Ink => Rgb(22, 25, 34),
        Tone::Faint => Rgb(167, 160, 170),
        Tone::New => Rgb(20, 135, 110),
        Tone::Keep => Rgb(63, 80, 108),
        Tone::Move => Rgb(212, 120, 11),
        Tone::Remove => Rgb(125, 2, 13),
        Tone::Earth => Rgb(145, 95, 27),
        Tone::Turf => Rgb(0, 107, 57),
        Tone::Water => Rgb(79, 130, 215),
        Tone::Hazard => Rgb(87, 5, 110),
    }
}

/// The pale wash of a tone: one part of colour to six of paper, so that ink stays legible on it.
pub fn wash(tone: Tone) -> Rgb {
    let Rgb(r, g, b) = colour(tone);
    let pale = |channel: u8| 255 - (255 - channel) / 7;
    Rgb(pale(r), pale(g), pale(b))
}

/// Colour of letters: four fifths of the tone's light, because thin strokes look paler than areas.
pub fn letters(tone: Tone) -> Rgb {
    let Rgb(r, g, b) = colour(tone);
    let darker = |channel: u8| (u16::from(channel) * 4 / 5) as u8;
    Rgb(darker(r), darker(g), darker(b))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Severity 1.0 matrices on linear RGB of Machado, Oliveira and Fernandes, "A
    /// Physiologically-based Model for Simulation of Color Vision Deficiency", IEEE TVCG 15(6),
    /// 2009; values as transcribed in several public shader sources, not read in the paper.
    const PROTANOPIA: [[f64; 3]; 3] = [
        [0.152_286, 1.052_583, -0.204_868],
        [0.114_503, 0.786_281, 0.099_216],
        [-0.003_882, -0.048_116, 1.051_998],
    ];
    const DEUTERANOPIA: [[f64; 3]; 3] = [
        [0.367_322, 0.860_646, -0.227_968],
        [0.280_085, 0.672_501, 0.047_413],
        [-0.011_820, 0.042_940, 0.968_881],
    ];

    /// sRGB to linear light, IEC 61966-2-1 (from memory).
    fn linear(Rgb(r, g, b): Rgb) -> [f64; 3] {
        [r, g, b].map(|channel| {
            let c = f64::from(channel) / 255.0;
            if c <= 0.040_45 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        })
    }

    fn times(matrix: &[[f64; 3]; 3], v: [f64; 3]) -> [f64; 3] {
        [0, 1, 2].map(|i| matrix[i].iter().zip(v).map(|(m, x)| m * x).sum())
    }

    /// Relative luminance of linear sRGB, IEC 61966-2-1 (from memory).
    fn luminance([r, g, b]: [f64; 3]) -> f64 {
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }

    /// CIE 1976 L*a*b* under D65 (from memory).
    fn lab(linear: [f64; 3]) -> [f64; 3] {
        let [r, g, b] = linear.map(|x| x.clamp(0.0, 1.0));
        let x = (0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.9505;
        let z = (0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.0888;
        let f = |t: f64| if t > 0.008_856 { t.cbrt() } else { 7.787 * t + 16.0 / 116.0 };
        let (x, y, z) = (f(x), f(luminance([r, g, b])), f(z));
        [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
    }

    fn distance(a: [f64; 3], b: [f64; 3]) -> f64 {
        a.iter().zip(b).map(|(p, q)| (p - q).powi(2)).sum::<f64>().sqrt()
    }

    /// Contrast ratio of WCAG 2.2: (L1 + 0.05) / (L2 + 0.05), lighter over darker (from memory).
    fn contrast(a: Rgb, b: Rgb) -> f64 {
        let (a, b) = (luminance(linear(a)) + 0.05, luminance(linear(b)) + 0.05);
        a.max(b) / a.min(b)
    }

    fn pairs(of: &[Tone]) -> Vec<(Tone, Tone)> {
        let one = |(i, a): (usize, &Tone)| of[i + 1..].iter().map(|b| (*a, *b)).collect::<Vec<_>>();
        of.iter().enumerate().flat_map(one).collect()
    }

    /// What a plan must never confuse: what is new, kept, moved, removed, and what is plain ink.
    const STATUS: [Tone; 5] = [Tone::New, Tone::Keep, Tone::Move, Tone::Remove, Tone::Ink];

    /// Smallest distance over the three kinds of sight.
    fn apart(a: Tone, b: Tone) -> f64 {
        let (a, b) = (linear(colour(a)), linear(colour(b)));
        let seen = |m: &[[f64; 3]; 3]| distance(lab(times(m, a)), lab(times(m, b)));
        distance(lab(a), lab(b)).min(seen(&PROTANOPIA)).min(seen(&DEUTERANOPIA))
    }

    /// A distance of 2.3 in L*a*b* is just noticeable side by side (common figure, no source);
    /// lines apart on a sheet need several times that.
    #[test]
    fn tones_stay_apart_for_red_green_blind_readers() {
        for (a, b) in pairs(&TONES) {
            assert!(apart(a, b) > 18.0, "{a:?} and {b:?}: {:.1}", apart(a, b));
        }
        for (a, b) in pairs(&STATUS) {
            assert!(apart(a, b) > 26.0, "{a:?} and {b:?}: {:.1}", apart(a, b));
        }
    }

    #[test]
    fn tones_stay_apart_in_grey_print() {
        let lightness = |tone| lab(linear(colour(tone)))[0];
        for (a, b) in pairs(&TONES) {
            let apart = (lightness(a) - lightness(b)).abs();
            assert!(apart > 3.5, "{a:?} and {b:?}: {apart:.1}");
        }
        for (a, b) in pairs(&STATUS) {
            let apart = (lightness(a) - lightness(b)).abs();
            assert!(apart > 8.0, "{a:?} and {b:?}: {apart:.1}");
        }
    }

    /// WCAG 2.2, success criterion 1.4.11: graphics need 3 : 1 (from memory). Faint recedes.
    #[test]
    fn lines_stand_out_from_the_paper_and_ink_from_every_wash() {
        for tone in TONES {
            assert!(tone == Tone::Faint || contrast(colour(tone), WHITE) >= 3.0, "{tone:?}");
            assert!(contrast(colour(Tone::Ink), wash(tone)) >= 7.0, "{tone:?}");
        }
    }

    /// WCAG 2.2, success criterion 1.4.3: text needs 4.5 : 1 (from memory). Faint recedes.
    #[test]
    fn letters_are_legible() {
        for tone in TONES {
            let needed = if tone == Tone::Faint { 3.0 } else { 4.5 };
            assert!(contrast(letters(tone), WHITE) >= needed, "{tone:?}: {}", contrast(letters(tone), WHITE));
        }
    }

    /// The simulation itself: red and green of equal lightness come close for a deuteranope.
    #[test]
    fn the_simulation_confuses_red_with_green() {
        let (red, green) = (linear(Rgb(200, 80, 60)), linear(Rgb(90, 130, 50)));
        let seen = distance(lab(times(&DEUTERANOPIA, red)), lab(times(&DEUTERANOPIA, green)));
        assert!(seen < 0.4 * distance(lab(red), lab(green)));
        let grey = times(&PROTANOPIA, [0.5; 3]);
        assert!(grey.iter().all(|channel| (channel - 0.5).abs() < 1e-3), "{grey:?}");
    }
}
