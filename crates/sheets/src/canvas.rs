//! Primitives onto the surface of a PDF page.
//!
//! - In: primitives in millimetres, y down. Out: paths and text runs in points.
//! - Text is written as text with its letters; the white rim behind a text with halo is drawn as
//!   outlines, so that nothing is found twice when the document is searched. The rim of each glyph
//!   is written once into the file and placed as often as needed.

use std::collections::BTreeMap;

use groundwright_drawing::{Face, Primitive, Rgb, Stroke};
use groundwright_handoff::TextAnchor;
use krilla::color::rgb;
use krilla::geom::{Path, PathBuilder, Point as PdfPoint, Transform};
use krilla::graphic::Graphic;
use krilla::num::NormalizedF32;
use krilla::paint::{Fill, FillRule, LineCap, LineJoin, Stroke as PdfStroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::KrillaGlyph;
use kurbo::{BezPath, PathEl, Point, Rect, Vec2};

use crate::fonts::{Fonts, em};
use crate::pieces::rectangle;

/// Width of the white rim on each side of a letter's outline, in heights of capitals.
const HALO: f64 = 0.22;

/// Millimetres as points of 1/72 inch.
pub(crate) fn points(mm: f64) -> f32 {
    (mm * 72.0 / 25.4) as f32
}

/// A page's surface, painted on in millimetres.
pub(crate) struct Canvas<'a, 's> {
    surface: &'a mut Surface<'s>,
    fonts: &'a Fonts,
    rims: &'a mut Rims,
}

/// Cut, glyph and height of capitals as bits.
type RimKey = (Face, u32, u64);

/// White rims of glyphs, written once for each document.
#[derive(Default)]
pub(crate) struct Rims(BTreeMap<RimKey, Graphic>);

impl<'a, 's> Canvas<'a, 's> {
    pub fn new(surface: &'a mut Surface<'s>, fonts: &'a Fonts, rims: &'a mut Rims) -> Self {
        Self { surface, fonts, rims }
    }

    /// Paints within a rectangle only. [mm]
    pub fn clipped(&mut self, window: Rect, paint: impl FnOnce(&mut Self)) {
        let Some(path) = pdf_path(&rectangle(window), Vec2::ZERO) else { return };
        self.surface.push_clip_path(&path, &FillRule::NonZero);
        paint(self);
        self.surface.pop();
    }

    /// Paints primitives in order, moved. [mm]
    pub fn paint<'p>(&mut self, primitives: impl IntoIterator<Item = &'p Primitive>, by: Vec2) {
        for primitive in primitives {
            match primitive {
                Primitive::Path { path, stroke, fill } => self.path(path, stroke.as_ref(), *fill, by),
                Primitive::Text { .. } => self.text(primitive, by),
            }
        }
    }

    fn path(&mut self, path: &BezPath, stroke: Option<&Stroke>, colour: Option<Rgb>, by: Vec2) {
        let stroke = stroke.filter(|stroke| stroke.width_mm > 0.0);
        if stroke.is_none() && colour.is_none() {
            return;
        }
        let Some(path) = pdf_path(path, by) else { return };
        self.surface.set_fill(colour.map(fill));
        self.surface.set_stroke(stroke.map(pdf_stroke));
        self.surface.draw_path(&path);
    }

    fn text(&mut self, primitive: &Primitive, by: Vec2) {
        let Primitive::Text { at, text, cap_height_mm, anchor, rotation, colour, face, halo } = primitive
        else {
            return;
        };
        if text.trim().is_empty() || *cap_height_mm <= 0.0 {
            return;
        }
        let shaped = self.fonts.shape(text, *face);
        let aside = match anchor {
            TextAnchor::Left => 0.0,
            TextAnchor::Middle => -shaped.width * em(*cap_height_mm, *face) / 2.0,
            TextAnchor::Right => -shaped.width * em(*cap_height_mm, *face),
        };
        let origin = *at + by;
        let is_level = *rotation == 0.0;
        let start = if is_level { origin + Vec2::new(aside, 0.0) } else { Point::new(aside, 0.0) };
        if !is_level {
            self.surface.push_transform(&turned(origin, *rotation));
        }
        let start = PdfPoint::from_xy(points(start.x), points(start.y));
        let font = self.fonts.font(*face);
        let size = points(em(*cap_height_mm, *face));
        if *halo {
            self.rim(start, &shaped.glyphs, *face, *cap_height_mm);
        }
        self.surface.set_fill(Some(fill(*colour)));
        self.surface.set_stroke(None);
        self.surface.draw_glyphs(start, &shaped.glyphs, font.clone(), text, size, false);
        if !is_level {
            self.surface.pop();
        }
    }

    /// The white rim behind glyphs that begin at `start`. [points]
    fn rim(&mut self, start: PdfPoint, glyphs: &[KrillaGlyph], face: Face, cap_height: f64) {
        let size = points(em(cap_height, face));
        let mut x = start.x;
        for glyph in glyphs {
            let key = (face, glyph.glyph_id.to_u32(), cap_height.to_bits());
            let rim = match self.rims.0.get(&key) {
                Some(rim) => rim.clone(),
                None => self.rim_of(glyph, key, cap_height),
            };
            let at = Transform::from_translate(x + glyph.x_offset * size, start.y - glyph.y_offset * size);
            self.surface.push_transform(&at);
            self.surface.draw_graphic(rim);
            self.surface.pop();
            x += glyph.x_advance * size;
        }
    }

    /// One glyph at the origin, filled and stroked in white, kept for the whole document.
    fn rim_of(&mut self, glyph: &KrillaGlyph, key: RimKey, cap_height: f64) -> Graphic {
        let white = Rgb(255, 255, 255);
        let stroke = Stroke { width_mm: 2.0 * HALO * cap_height, dash_mm: Vec::new(), colour: white };
        let alone = KrillaGlyph { x_offset: 0.0, y_offset: 0.0, text_range: 0..0, ..glyph.clone() };
        let font = self.fonts.font(key.0).clone();
        let mut builder = self.surface.stream_builder();
        let mut surface = builder.surface();
        surface.set_fill(Some(fill(white)));
        surface.set_stroke(Some(pdf_stroke(&stroke)));
        let size = points(em(cap_height, key.0));
        surface.draw_glyphs(PdfPoint::from_xy(0.0, 0.0), &[alone], font, "", size, true);
        surface.finish();
        let rim = Graphic::new(builder.finish(), false);
        self.rims.0.insert(key, rim.clone());
        rim
    }
}

/// Turned clockwise about a place. [mm, rad]
fn turned(about: Point, rotation: f64) -> Transform {
    let (sin, cos) = (rotation.sin() as f32, rotation.cos() as f32);
    Transform::from_row(cos, sin, -sin, cos, points(about.x), points(about.y))
}

fn fill(colour: Rgb) -> Fill {
    let Rgb(red, green, blue) = colour;
    Fill {
        paint: rgb::Color::new(red, green, blue).into(),
        opacity: NormalizedF32::ONE,
        rule: FillRule::NonZero,
    }
}

fn pdf_stroke(stroke: &Stroke) -> PdfStroke {
    let Rgb(red, green, blue) = stroke.colour;
    // Dots are dashes of no length, which only a round cap makes visible.
    let is_dotted = stroke.dash_mm.first().is_some_and(|dash| *dash == 0.0);
    PdfStroke {
        paint: rgb::Color::new(red, green, blue).into(),
        width: points(stroke.width_mm),
        line_cap: if is_dotted { LineCap::Round } else { LineCap::Butt },
        line_join: LineJoin::Round,
        dash: dash(&stroke.dash_mm),
        ..PdfStroke::default()
    }
}

/// A pattern that PDF accepts: no negative lengths, not all of them zero.
fn dash(lengths: &[f64]) -> Option<StrokeDash> {
    let sum: f64 = lengths.iter().sum();
    if lengths.is_empty() || sum <= 0.0 || lengths.iter().any(|length| *length < 0.0) {
        return None;
    }
    Some(StrokeDash { array: lengths.iter().map(|length| points(*length)).collect(), offset: 0.0 })
}

fn pdf_path(path: &BezPath, by: Vec2) -> Option<Path> {
    let mut builder = PathBuilder::new();
    let place = |p: Point| (points(p.x + by.x), points(p.y + by.y));
    for element in path.elements() {
        match *element {
            PathEl::MoveTo(p) => {
                let (x, y) = place(p);
                builder.move_to(x, y);
            }
            PathEl::LineTo(p) => {
                let (x, y) = place(p);
                builder.line_to(x, y);
            }
            PathEl::QuadTo(a, p) => {
                let ((ax, ay), (x, y)) = (place(a), place(p));
                builder.quad_to(ax, ay, x, y);
            }
            PathEl::CurveTo(a, b, p) => {
                let ((ax, ay), (bx, by), (x, y)) = (place(a), place(b), place(p));
                builder.cubic_to(ax, ay, bx, by, x, y);
            }
            PathEl::ClosePath => builder.close(),
        }
    }
    builder.finish()
}
