//! The letters of all documents: an open sans-serif family, embedded in the program.
//!
//! - In: one line or one paragraph of text, its cut and the height of its capitals. Out: shaped
//!   glyphs, widths, or the lines of a broken paragraph.
//! - Method: shaping, bidirectional order and line breaking by `parley`, at 1000 units to the em
//!   and without rounding to pixels; the fonts of the machine are never looked at.
//! - The family is Lato (SIL Open Font License 1.1, `fonts/OFL.txt`). Its figures are all of one
//!   width, so that numbers stand in columns.
//! - Letters that the family lacks (scripts other than Latin, Greek and Cyrillic) print as a box.
//! - Not here: where text stands on the page.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};

use groundwright_drawing::{Face, TextWidth};
use krilla::text::{Font, GlyphId, KrillaGlyph};
use parley::fontique::{Blob, Collection, CollectionOptions, FontInfoOverride, SourceCache};
use parley::layout::{Alignment, Layout};
use parley::style::{FontFamily, FontStyle, FontWeight, OverflowWrap, StyleProperty};
use parley::{AlignmentOptions, FontContext, LayoutContext};

const REGULAR: &[u8] = include_bytes!("../fonts/Lato-Regular.ttf");
const BOLD: &[u8] = include_bytes!("../fonts/Lato-Bold.ttf");
const ITALIC: &[u8] = include_bytes!("../fonts/Lato-Italic.ttf");

/// Name under which the family is registered with the shaper.
const FAMILY: &str = "sheet";

/// Height of the capitals in parts of the em: `sCapHeight` of 2000 units in the fonts' OS/2 tables,
/// read with a font library.
const fn cap_of_em(face: Face) -> f64 {
    match face {
        Face::Regular | Face::Italic => 1433.0 / 2000.0,
        Face::Bold => 1446.0 / 2000.0,
    }
}

/// Units to the em while shaping.
const EM: f32 = 1000.0;

/// The embedded family, ready to measure, to break lines and to write into a document.
pub struct Fonts {
    /// The shaper keeps scratch space, so that measuring needs it alone.
    shaper: Mutex<Shaper>,
    regular: Font,
    bold: Font,
    italic: Font,
}

struct Shaper {
    fonts: FontContext,
    layouts: LayoutContext<()>,
    /// Widths already measured, in em: tables say the same words again and again.
    widths: HashMap<(Face, String), f64>,
}

/// One shaped line.
pub(crate) struct Shaped {
    /// Glyphs in visual order, advances in parts of the em.
    pub glyphs: Vec<KrillaGlyph>,
    /// Advance width. [em]
    pub width: f64,
}

impl Default for Fonts {
    fn default() -> Self {
        Self::new()
    }
}

impl std::fmt::Debug for Fonts {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Fonts")
    }
}

impl Fonts {
    /// Reads the embedded fonts.
    ///
    /// # Panics
    /// Never on any input: only if the program was built with broken font files.
    pub fn new() -> Self {
        let font = |bytes: &'static [u8]| {
            Font::new(bytes.into(), 0).expect("the embedded fonts are whole: a test reads them all")
        };
        Self {
            shaper: Mutex::new(Shaper::new()),
            regular: font(REGULAR),
            bold: font(BOLD),
            italic: font(ITALIC),
        }
    }

    /// The bytes of one cut, for a format that embeds fonts of its own.
    pub fn bytes(face: Face) -> &'static [u8] {
        match face {
            Face::Regular => REGULAR,
            Face::Bold => BOLD,
            Face::Italic => ITALIC,
        }
    }

    pub(crate) fn font(&self, face: Face) -> &Font {
        match face {
            Face::Regular => &self.regular,
            Face::Bold => &self.bold,
            Face::Italic => &self.italic,
        }
    }

    /// Shapes one line; breaks and other control characters count as spaces.
    pub(crate) fn shape(&self, text: &str, face: Face) -> Shaped {
        let layout = self.layout(text, face, None);
        let mut glyphs: Vec<KrillaGlyph> = Vec::new();
        for run in layout.lines().flat_map(|line| line.runs()) {
            for cluster in run.visual_clusters() {
                if cluster.is_ligature_continuation() {
                    if let Some(glyph) = glyphs.last_mut() {
                        glyph.text_range.end = glyph.text_range.end.max(cluster.text_range().end);
                    }
                    continue;
                }
                glyphs.extend(cluster.glyphs().map(|glyph| {
                    KrillaGlyph::new(
                        GlyphId::new(glyph.id),
                        glyph.advance / EM,
                        glyph.x / EM,
                        glyph.y / EM,
                        0.0,
                        cluster.text_range(),
                        None,
                    )
                }));
            }
        }
        Shaped { glyphs, width: f64::from(layout.full_width()) / f64::from(EM) }
    }

    /// Breaks a paragraph into lines no wider than `width` [mm]; `\n` always breaks, and a word
    /// wider than the line is broken where it must be. At least one line.
    pub(crate) fn wrap(&self, text: &str, cap: f64, face: Face, width: f64) -> Vec<String> {
        let mut lines = Vec::new();
        for paragraph in text.lines() {
            let layout = self.layout(paragraph, face, Some(width.max(0.0) / em(cap, face)));
            lines.extend(layout.lines().filter_map(|line| {
                paragraph.get(line.text_range()).map(|words| words.trim_end().to_owned())
            }));
        }
        if lines.is_empty() {
            lines.push(String::new());
        }
        lines
    }

    /// Width of the longest unbreakable part of a text. [mm]
    pub(crate) fn widest_word(&self, text: &str, cap: f64, face: Face) -> f64 {
        let words = text.split_whitespace();
        words.map(|word| self.width_mm(word, cap, face)).fold(0.0, f64::max)
    }

    /// Lays a line out; `width` in em breaks it.
    fn layout(&self, text: &str, face: Face, width: Option<f64>) -> Layout<()> {
        let text: String = text.chars().map(plain_space).collect();
        let mut shaper = self.shaper.lock().unwrap_or_else(PoisonError::into_inner);
        let Shaper { fonts, layouts, .. } = &mut *shaper;
        let mut builder = layouts.ranged_builder(fonts, &text, 1.0, false);
        builder.push_default(FontFamily::named(FAMILY));
        builder.push_default(StyleProperty::FontSize(EM));
        builder.push_default(StyleProperty::OverflowWrap(OverflowWrap::BreakWord));
        let weight = if face == Face::Bold { FontWeight::BOLD } else { FontWeight::NORMAL };
        builder.push_default(StyleProperty::FontWeight(weight));
        let style = if face == Face::Italic { FontStyle::Italic } else { FontStyle::Normal };
        builder.push_default(StyleProperty::FontStyle(style));
        let mut layout = builder.build(&text);
        layout.break_all_lines(width.map(|width| width as f32 * EM));
        layout.align(Alignment::Start, AlignmentOptions::default());
        layout
    }
}

impl TextWidth for Fonts {
    fn width_mm(&self, text: &str, cap_height_mm: f64, face: Face) -> f64 {
        if text.is_empty() {
            return 0.0;
        }
        let key = (face, text.to_owned());
        let known = self.shaper.lock().unwrap_or_else(PoisonError::into_inner).widths.get(&key).copied();
        let width = known.unwrap_or_else(|| {
            let width = self.shape(text, face).width;
            self.shaper.lock().unwrap_or_else(PoisonError::into_inner).widths.insert(key, width);
            width
        });
        width * em(cap_height_mm, face)
    }
}

/// Control characters as a space of as many bytes, so that ranges of the text stay true.
fn plain_space(c: char) -> char {
    match (c.is_control(), c.len_utf8()) {
        (true, 1) => ' ',
        (true, _) => '\u{a0}',
        _ => c,
    }
}

/// The em of letters whose capitals are so high. [mm]
pub(crate) fn em(cap_height: f64, face: Face) -> f64 {
    cap_height / cap_of_em(face)
}

impl Shaper {
    fn new() -> Self {
        let options = CollectionOptions { shared: false, system_fonts: false };
        let mut fonts =
            FontContext { collection: Collection::new(options), source_cache: SourceCache::default() };
        for bytes in [REGULAR, BOLD, ITALIC] {
            let name = FontInfoOverride { family_name: Some(FAMILY), ..FontInfoOverride::default() };
            fonts.collection.register_fonts(Blob::new(Arc::new(bytes)), Some(name));
        }
        Self { fonts, layouts: LayoutContext::new(), widths: HashMap::new() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FACES: [Face; 3] = [Face::Regular, Face::Bold, Face::Italic];

    /// Every sign that plans and schedules of this trade need has a glyph of its own.
    #[test]
    fn the_fonts_have_the_signs_of_the_trade() {
        let fonts = Fonts::new();
        let signs = "′″°±×÷½¼¾⅛⅜²³µ–—−≤≥≈·•“”‘’€£§éèêëàâäåçñöøüßœæşčžłőğąŽØ";
        for face in FACES {
            for sign in signs.chars() {
                let shaped = fonts.shape(&sign.to_string(), face);
                assert!(shaped.glyphs.iter().all(|glyph| glyph.glyph_id.to_u32() != 0), "{sign}");
            }
        }
    }

    /// Advance widths in the font's hmtx table, of 2000 units: H 1527 and all figures 1160 in the
    /// regular cut; read with a font library.
    #[test]
    fn widths_are_those_of_the_font() {
        let fonts = Fonts::new();
        for figure in "0123456789".chars() {
            let width = fonts.shape(&figure.to_string(), Face::Regular).width;
            assert!((width - 0.58).abs() < 1e-6, "{figure} is {width} em wide");
        }
        let h = fonts.width_mm("H", 1.433, Face::Regular);
        assert!((h - 1.527).abs() < 1e-5, "capitals 1.433 mm high, and the H {h} mm wide");
    }

    #[test]
    fn cuts_differ_and_nothing_has_no_width() {
        let fonts = Fonts::new();
        let [regular, bold, italic] = FACES.map(|face| fonts.width_mm("Garden wall", 2.5, face));
        assert!(bold > regular && (italic - regular).abs() > 0.01);
        assert!(fonts.width_mm("", 2.5, Face::Bold) == 0.0);
    }

    /// The height of an H in each cut is what the table above says.
    #[test]
    fn capitals_are_as_high_in_every_cut() {
        let fonts = Fonts::new();
        for face in FACES {
            let layout = fonts.layout("H", face, None);
            let run = layout.lines().next().unwrap().runs().next().unwrap();
            let cap = f64::from(run.font_metrics().cap_height.unwrap()) / f64::from(EM);
            assert!((cap - cap_of_em(face)).abs() < 1e-3, "{face:?}: {cap}");
        }
    }

    /// Lines put together again are the paragraph, and none is wider than asked.
    #[test]
    fn a_broken_paragraph_loses_nothing_and_fits() {
        let fonts = Fonts::new();
        let text = "Set root balls 2″ above grade, water in twice and mulch to the drip line.";
        let lines = fonts.wrap(text, 1.8, Face::Regular, 30.0);
        assert!(lines.len() > 2);
        assert_eq!(lines.join(" "), text);
        assert!(lines.iter().all(|line| fonts.width_mm(line, 1.8, Face::Regular) <= 30.001));
        let long = fonts.wrap("Pneumonoultramicroscopicsilicovolcanoconiosis", 1.8, Face::Bold, 20.0);
        assert!(long.len() > 1);
        assert_eq!(long.concat().len(), 45);
        assert_eq!(fonts.wrap("a\nb", 1.8, Face::Regular, 30.0), ["a", "b"]);
    }

    #[test]
    fn fonts_may_be_shared_between_threads() {
        fn shared<T: Send + Sync>() {}
        shared::<Fonts>();
    }
}
