//! Blocks of a column: legend, notes, cautions. Tables have a file of their own.
//!
//! - In: what the caller described, and the width of the column [mm]. Out: a block: strips in
//!   order, of which the head is repeated where the block continues.
//! - Not here: where blocks stand (`column.rs`, `flow.rs`).

use groundwright_drawing::{Primitive, Rgb, TextWidth};
use groundwright_handoff::{Table, TextAnchor};
use groundwright_units::Reader;
use kurbo::{BezPath, Point, Rect};

use crate::error::SheetError;
use crate::fonts::Fonts;
use crate::pieces::{Strip, bold, filled, lines_at, outline, rectangle, text};
use crate::plan_set::{LegendEntry, NoteBlock, SAMPLE_HEIGHT_MM, SAMPLE_WIDTH_MM};
use crate::setting::{CAUTION, RULE, Setting};
use crate::table_block::{table_block, table_fits};
use crate::translate::moved;

/// Something that stands in a column.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Content<'a> {
    Caution(&'a NoteBlock),
    Legend(&'a [LegendEntry]),
    Note(&'a NoteBlock),
    Table(&'a Table),
}

/// What a block needs to be set.
#[derive(Clone, Copy)]
pub(crate) struct Setter<'a> {
    pub fonts: &'a Fonts,
    pub setting: Setting,
    pub reader: Reader,
}

/// Strips in order.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Block {
    pub title: String,
    /// Begins the block.
    pub head: Strip,
    /// Begins every further part.
    pub continued: Strip,
    pub rows: Vec<Strip>,
}

impl Block {
    /// Height in one piece. [mm]
    pub fn height(&self) -> f64 {
        self.head.height + self.rows.iter().map(|row| row.height).sum::<f64>()
    }
}

impl Content<'_> {
    /// Whether both are the same thing, not only alike.
    pub fn is(&self, other: &Content<'_>) -> bool {
        match (self, other) {
            (Self::Legend(a), Content::Legend(b)) => std::ptr::eq(*a, *b),
            (Self::Table(a), Content::Table(b)) => std::ptr::eq(*a, *b),
            (Self::Caution(a), Content::Caution(b)) | (Self::Note(a), Content::Note(b)) => {
                std::ptr::eq(*a, *b)
            }
            _ => false,
        }
    }

    pub fn title(&self) -> String {
        match self {
            Self::Legend(_) => "Legend".to_owned(),
            Self::Caution(note) => caution_heading(&note.heading),
            Self::Note(note) => note.heading.clone(),
            Self::Table(table) => table.title.clone(),
        }
    }

    /// Whether it can be set in this width without breaking words. [mm]
    pub fn fits_width(&self, setter: &Setter<'_>, width: f64) -> bool {
        match self {
            Self::Table(table) => table_fits(setter, table, width),
            _ => true,
        }
    }

    pub fn block(&self, setter: &Setter<'_>, width: f64) -> Result<Block, SheetError> {
        match self {
            Self::Caution(note) => Ok(caution_block(setter, note, width)),
            Self::Legend(entries) => Ok(legend_block(setter, entries, width)),
            Self::Note(note) => Ok(note_block(setter, note, width)),
            Self::Table(table) => table_block(setter, table, width),
        }
    }
}

/// A heading over a rule, as every block begins.
pub(crate) fn heading(setter: &Setter<'_>, title: &str, suffix: &str, width: f64) -> Strip {
    let letters = setter.setting.heading();
    let mut strip = Strip::default();
    let words = if suffix.is_empty() { title.to_owned() } else { format!("{title} {suffix}") };
    strip.paragraph(setter.fonts, &words, letters, 0.0, width);
    strip.space(letters.cap * 0.15);
    strip.rule(0.0, width, RULE, letters.colour);
    strip.stays_with_previous = false;
    strip
}

const CONTINUED: &str = "(continued)";

/// Room for a sign and its words where several stand side by side, in heights of capitals.
const LEGEND_COLUMN: f64 = 45.0;

fn legend_block(setter: &Setter<'_>, entries: &[LegendEntry], width: f64) -> Block {
    let cap = setter.setting.cap;
    let mut head = heading(setter, "Legend", "", width);
    let mut continued = heading(setter, "Legend", CONTINUED, width);
    head.space(cap);
    continued.space(cap);
    // Signs stand side by side where the column is wide.
    let abreast = (width / (cap * LEGEND_COLUMN)).floor().max(1.0);
    let share = width / abreast;
    let row = |entries: &[LegendEntry]| {
        let mut row = Strip::default();
        for (i, entry) in entries.iter().enumerate() {
            let part = legend_row(setter, entry, share - cap * 2.0 * f64::from(u8::from(abreast > 1.0)));
            let x = share * i as f64;
            row.primitives.extend(part.primitives.iter().map(|piece| moved(piece, x, 0.0)));
            row.height = row.height.max(part.height);
        }
        row
    };
    let rows = entries.chunks(abreast as usize).map(row).collect();
    Block { title: "Legend".to_owned(), head, continued, rows }
}

/// The sample at the left, the words beside it, both about the same middle.
fn legend_row(setter: &Setter<'_>, entry: &LegendEntry, width: f64) -> Strip {
    let letters = setter.setting.body();
    let x = SAMPLE_WIDTH_MM + letters.cap * 1.6;
    let lines = setter.fonts.wrap(&entry.text, letters.cap, letters.face, width - x);
    let words = letters.leading() * lines.len() as f64;
    let height = words.max(SAMPLE_HEIGHT_MM);
    let mut primitives: Vec<Primitive> = Vec::new();
    let sample_top = (height - SAMPLE_HEIGHT_MM) / 2.0;
    primitives.extend(entry.sample.iter().map(|part| moved(part, 0.0, sample_top)));
    let top = Point::new(x, (height - words) / 2.0);
    lines_at(&mut primitives, &lines, letters, top, TextAnchor::Left);
    Strip { height: height + letters.cap * 0.7, primitives, stays_with_previous: false }
}

fn note_block(setter: &Setter<'_>, note: &NoteBlock, width: f64) -> Block {
    let letters = setter.setting.body();
    let width = width.min(letters.cap * 62.0);
    let mut head = heading(setter, &note.heading, "", width);
    let mut continued = heading(setter, &note.heading, CONTINUED, width);
    head.space(letters.cap * 0.6);
    continued.space(letters.cap * 0.6);
    let rows = note.paragraphs.iter().map(|words| {
        let mut row = Strip::default();
        row.paragraph(setter.fonts, words, letters, 0.0, width);
        row.space(letters.cap * 0.9);
        row
    });
    Block { title: note.heading.clone(), head, continued, rows: rows.collect() }
}

/// A caution stands in a frame with a heavy edge and a triangle, in one piece.
fn caution_block(setter: &Setter<'_>, note: &NoteBlock, width: f64) -> Block {
    let letters = setter.setting.body();
    let cap = letters.cap;
    let width = width.min(cap * 66.0);
    let edge = cap * 0.8;
    let (x0, x1) = (edge + cap * 1.3, width - cap * 1.3);
    let mut strip = Strip::default();
    strip.space(cap * 0.9);
    let sign = cap * 2.6;
    let heading = setter.setting.heading().in_colour(CAUTION);
    let sign_top = strip.height;
    strip.paragraph(setter.fonts, &caution_heading(&note.heading), heading, x0 + sign + cap * 0.8, x1);
    let sign_middle = sign_top + heading.leading() / 2.0;
    strip.primitives.extend(caution_sign(Point::new(x0, sign_middle - sign / 2.0), sign, setter));
    strip.space(cap * 0.5);
    for words in &note.paragraphs {
        strip.paragraph(setter.fonts, words, letters, x0, x1);
        strip.space(cap * 0.7);
    }
    strip.space(cap * 0.4);
    let frame = Rect::new(0.0, 0.0, width, strip.height);
    strip.primitives.push(outline(rectangle(frame.inset(-RULE / 2.0)), RULE, CAUTION));
    strip.primitives.push(filled(rectangle(Rect { x1: edge, ..frame }), CAUTION));
    Block { title: note.heading.clone(), head: strip, continued: Strip::default(), rows: Vec::new() }
}

/// The word comes first, whatever the heading says.
fn caution_heading(heading: &str) -> String {
    let begins = heading.to_lowercase();
    if begins.starts_with("caution") || begins.starts_with("danger") || begins.starts_with("warning") {
        heading.to_owned()
    } else if heading.is_empty() {
        "Caution".to_owned()
    } else {
        format!("Caution: {heading}")
    }
}

/// A filled triangle with an exclamation mark, as tall as `size`. [mm]
fn caution_sign(at: Point, size: f64, setter: &Setter<'_>) -> Vec<Primitive> {
    let mut path = BezPath::new();
    path.move_to(at + (size / 2.0, 0.0));
    path.line_to(at + (size, size * 0.9));
    path.line_to(at + (0.0, size * 0.9));
    path.close_path();
    let letters = bold(setter.setting.body()).in_colour(Rgb(255, 255, 255));
    let mark = letters.cap;
    let base = at + (size / 2.0, size * 0.82);
    let mut stem = BezPath::new();
    let (half, top, foot) = (mark * 0.13, base.y - mark * 1.15, base.y - mark * 0.38);
    stem.move_to((base.x - half * 1.3, top));
    stem.line_to((base.x + half * 1.3, top));
    stem.line_to((base.x + half * 0.8, foot));
    stem.line_to((base.x - half * 0.8, foot));
    stem.close_path();
    let dot = rectangle(Rect::new(base.x - half, base.y - mark * 0.24, base.x + half, base.y));
    vec![filled(path, CAUTION), filled(stem, letters.colour), filled(dot, letters.colour)]
}

/// A line that says on which sheet something stands.
pub(crate) fn pointer(setter: &Setter<'_>, title: &str, page: usize, width: f64) -> Strip {
    let letters = setter.setting.body();
    let mut strip = Strip::default();
    let page = format!("sheet {page}");
    let right = setter.fonts.width_mm(&page, letters.cap, letters.face);
    strip.paragraph(setter.fonts, title, letters, 0.0, width - right - letters.cap * 2.0);
    let base = crate::pieces::first_base_line(letters);
    strip.primitives.push(text(Point::new(width, base), page, letters, TextAnchor::Right));
    strip.space(letters.cap * 0.3);
    strip
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_caution_says_so_once() {
        assert_eq!(caution_heading("Buried gas"), "Caution: Buried gas");
        assert_eq!(caution_heading("Caution, toxic plants"), "Caution, toxic plants");
        assert_eq!(caution_heading(""), "Caution");
    }
}
