//! What one page shows of the drawing, and what must be told so that it shows the new one.
//!
//! - In: the marks of all studies, the drawing and scale that are looked at. Out: the marks that are
//!   new or changed, painted by `drawing`, and the keys of those that are gone.
//! - Only changed marks are painted. Tags need all others to find their place: they are placed
//!   behind (`tags.rs`) and told when they are.
//! - Paths are told once: the page keeps a dictionary of shapes, so that a thousand equal pots are a
//!   thousand places and one shape.

use std::collections::HashMap;
use std::fmt::Write as _;
use std::hash::{BuildHasherDefault, DefaultHasher, Hash, Hasher};

use groundwright_drawing::{AverageWidths, Face, Item, Primitive, Rgb, View, mark_key, paint};
use groundwright_geometry::{BezPath, Point};
use groundwright_handoff::{Drawing, Fill, Frame, Mark, Shape, TextAnchor};
use kurbo::PathEl;
use serde_json::{Value, json};

use crate::element_name::name_of;
use crate::messages::{LayerNews, MarkNews, PenNews, Tell};
use crate::palette;

/// Paths with more pieces than this are told as they are; they are hardly ever repeated.
const LONG_PATH: usize = 40;
/// Shapes after which a page's dictionary begins anew.
const FULL_DICTIONARY: u32 = 30_000;
/// Above this scale's denominator textures are painted; below it they would be more dots than a
/// screen has, and areas are washed instead.
const TEXTURED_FROM: f64 = 100.0;

/// Which drawing at which scale.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    /// Which drawing.
    pub drawing: Drawing,
    /// Its name in messages.
    pub name: String,
    /// The scale's denominator.
    pub scale: f64,
    /// The plan's turn. [rad]
    pub rotation: f64,
    /// The point of the yard at the paper's origin. [m]
    pub centre: Point,
    /// Greatest extent that is painted, from the origin to every side. [m]
    pub reach: f64,
}

impl Look {
    /// The view that `drawing` paints.
    pub fn view(&self) -> View {
        let size = 2.0 * self.reach * 1000.0 / self.scale;
        View {
            drawing: self.drawing,
            frame: Frame::Plan,
            scale: self.scale,
            rotation: self.rotation,
            centre: self.centre,
            width_mm: size,
            height_mm: size,
        }
    }

    /// The mark as the screen shows it.
    fn shown(&self, mark: &Mark) -> Mark {
        let mut mark = mark.clone();
        if let Shape::Path { fill: Some(fill), .. } | Shape::Circle { fill: Some(fill), .. } = &mut mark.shape
            && self.scale < TEXTURED_FROM
            && let Fill::Slanted(tone) | Fill::Dotted(tone) = *fill
        {
            *fill = Fill::Wash(tone);
        }
        mark
    }
}

/// Values by numbers that are hashes already.
type Numbered<T> = HashMap<u64, T, BuildHasherDefault<AsItIs>>;

/// Takes a number for its own hash.
#[derive(Debug, Default)]
struct AsItIs(u64);

impl Hasher for AsItIs {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = self.0.rotate_left(8) ^ u64::from(*byte);
        }
    }

    fn write_u64(&mut self, number: u64) {
        self.0 = number;
    }
}

/// A mark that the page shows.
#[derive(Debug)]
struct Entry {
    mark: Mark,
    key: String,
    place: f64,
    /// The turn at which it was shown last.
    turn: u64,
}

/// What one page shows.
#[derive(Debug, Default)]
pub struct Screen {
    look: Option<Look>,
    entries: Numbered<Entry>,
    turn: u64,
    shapes: HashMap<String, u32>,
    pens: Vec<(u64, Rgb, Vec<u64>)>,
    layers: Vec<&'static str>,
}

/// What is told: collected while marks are painted.
#[derive(Debug, Default)]
struct Patch {
    shapes: Vec<(u32, String)>,
    pens: Vec<PenNews>,
    layers: Vec<LayerNews>,
    marks: Vec<MarkNews>,
    gone: Vec<String>,
}

impl Screen {
    /// Looks at something else: the next telling is a whole drawing.
    pub fn look_at(&mut self, look: Look) {
        if self.look.as_ref() != Some(&look) {
            *self = Self { look: Some(look), ..Self::default() };
        }
    }

    /// Shows these marks; gives what must be told, if anything.
    pub fn advance(&mut self, marks: &[Mark], trial: Option<u32>) -> Option<Tell> {
        let look = self.look.clone()?;
        if self.shapes.len() as u32 > FULL_DICTIONARY {
            *self = Self { look: Some(look.clone()), ..Self::default() };
        }
        let whole = self.entries.is_empty();
        let view = look.view();
        let mut shown: Vec<&Mark> = marks.iter().filter(|mark| view.shows(mark)).collect();
        shown.sort_by_key(|mark| (mark.layer.order, mark.layer.name));
        let ids = identities(&shown);

        let mut patch = Patch::default();
        let mut changed: Vec<(u64, &Mark)> = Vec::new();
        let places = places(&shown, &ids, &self.entries);
        self.turn += 1;
        let turn = self.turn;
        for ((mark, id), place) in shown.iter().zip(&ids).zip(places) {
            match self.entries.get_mut(id) {
                Some(entry) if entry.mark == **mark && entry.place.total_cmp(&place).is_eq() => {
                    entry.turn = turn;
                }
                _ => {
                    let key = mark_key(mark);
                    self.entries.insert(*id, Entry { mark: (*mark).clone(), key, place, turn });
                    changed.push((*id, mark));
                }
            }
        }
        let gone = self.entries.extract_if(|_, entry| entry.turn != turn);
        patch.gone.extend(gone.map(|(_, entry)| entry.key));
        patch.gone.sort_unstable();
        self.paint(&look, &view, &changed, &mut patch);
        if !whole && patch.marks.is_empty() && patch.gone.is_empty() {
            return None;
        }
        Some(Self::tell(&look, whole, trial, patch))
    }

    /// Shows tags where they were placed, as far as they are still the same tags.
    pub fn tagged(&mut self, look: &Look, tags: &[(Mark, Vec<Item>)], trial: Option<u32>) -> Option<Tell> {
        if self.look.as_ref() != Some(look) {
            return None;
        }
        let mut patch = Patch::default();
        for (mark, items) in tags {
            let id = identity(mark);
            let Some(entry) = self.entries.get(&id).filter(|entry| entry.mark == *mark) else { continue };
            let (key, place) = (entry.key.clone(), entry.place);
            let items = items.iter().map(|item| self.item(item, look, &mut patch)).collect();
            let news = self.mark_news(mark, key, place, items, &mut patch);
            patch.marks.push(news);
        }
        (!patch.marks.is_empty()).then(|| Self::tell(look, false, trial, patch))
    }

    fn tell(look: &Look, whole: bool, trial: Option<u32>, patch: Patch) -> Tell {
        Tell::Scene {
            drawing: look.name.clone(),
            scale: look.scale,
            whole,
            trial,
            shapes: patch.shapes,
            pens: patch.pens,
            layers: patch.layers,
            marks: patch.marks,
            gone: patch.gone,
        }
    }

    fn paint(&mut self, look: &Look, view: &View, changed: &[(u64, &Mark)], patch: &mut Patch) {
        let plain: Vec<Mark> = changed
            .iter()
            .filter(|(_, mark)| !matches!(mark.shape, Shape::Callout { .. }))
            .map(|(_, mark)| look.shown(mark))
            .collect();
        let painted = paint(&plain, view, &AverageWidths);
        let mut items = painted.list.items.iter().peekable();
        for (id, mark) in changed {
            let Some(entry) = self.entries.get(id) else { continue };
            let (key, place) = (entry.key.clone(), entry.place);
            let mut mine = Vec::new();
            if !matches!(mark.shape, Shape::Callout { .. }) {
                while let Some(item) = items.next_if(|item| item.key == key) {
                    mine.push(self.item(item, look, patch));
                }
            }
            let news = self.mark_news(mark, key, place, mine, patch);
            patch.marks.push(news);
        }
    }

    fn mark_news(
        &mut self,
        mark: &Mark,
        key: String,
        place: f64,
        items: Vec<Value>,
        patch: &mut Patch,
    ) -> MarkNews {
        let layer = mark.layer;
        if !self.layers.contains(&layer.name) {
            self.layers.push(layer.name);
            patch.layers.push(LayerNews {
                name: layer.name.to_owned(),
                title: layer.title.to_owned(),
                order: layer.order,
            });
        }
        MarkNews {
            key,
            layer: layer.name.to_owned(),
            element: name_of(&mark.subject),
            ordinal: mark.ordinal,
            place,
            items,
        }
    }

    fn item(&mut self, item: &Item, look: &Look, patch: &mut Patch) -> Value {
        let colours = palette::day();
        let half = look.reach * 1000.0 / look.scale;
        let number = |colour: Rgb| palette::number(&colours, colour);
        match &item.primitive {
            Primitive::Path { path, stroke, fill } => {
                let pen = stroke.as_ref().map_or(json!(-1), |stroke| {
                    let key = (
                        stroke.width_mm.to_bits(),
                        stroke.colour,
                        stroke.dash_mm.iter().map(|d| d.to_bits()).collect::<Vec<_>>(),
                    );
                    let known = self.pens.iter().position(|pen| *pen == key).unwrap_or_else(|| {
                        self.pens.push(key);
                        patch.pens.push(PenNews {
                            width: stroke.width_mm,
                            dash: stroke.dash_mm.clone(),
                            colour: number(stroke.colour),
                        });
                        self.pens.len() - 1
                    });
                    json!(known)
                });
                let fill = fill.map_or(json!(-1), |fill| json!(number(fill)));
                let origin = first_point(path);
                let text = path_text(path, origin);
                let shape = if path.elements().len() > LONG_PATH {
                    json!(text)
                } else {
                    let next = self.shapes.len() as u32;
                    let id = *self.shapes.entry(text).or_insert_with_key(|text| {
                        patch.shapes.push((next, text.clone()));
                        next
                    });
                    json!(id)
                };
                json!(["p", shape, fine(origin.x - half), fine(origin.y - half), pen, fill])
            }
            Primitive::Text { at, text, cap_height_mm, anchor, rotation, colour, face, halo } => {
                let anchor = match anchor {
                    TextAnchor::Left => 0,
                    TextAnchor::Middle => 1,
                    TextAnchor::Right => 2,
                };
                let face = match face {
                    Face::Regular => 0,
                    Face::Bold => 1,
                    Face::Italic => 2,
                };
                json!([
                    "t",
                    fine(at.x - half),
                    fine(at.y - half),
                    text,
                    cap_height_mm,
                    anchor,
                    (rotation * 1e5).round() / 1e5,
                    number(*colour),
                    face,
                    i32::from(*halo)
                ])
            }
        }
    }
}

/// Hundredths of a millimetre of paper are finer than any screen.
fn fine(mm: f64) -> f64 {
    (mm * 100.0).round() / 100.0 + 0.0
}

fn first_point(path: &BezPath) -> Point {
    match path.elements().first() {
        Some(PathEl::MoveTo(p) | PathEl::LineTo(p)) => *p,
        _ => Point::ORIGIN,
    }
}

/// A path as the page's canvas reads it, relative to its first point.
fn path_text(path: &BezPath, origin: Point) -> String {
    let mut text = String::with_capacity(path.elements().len() * 16);
    let mut points = |letter: char, points: &[Point]| {
        text.push(letter);
        for (i, point) in points.iter().enumerate() {
            let separator = if i == 0 { "" } else { " " };
            let _ = write!(text, "{separator}{} {}", fine(point.x - origin.x), fine(point.y - origin.y));
        }
    };
    for element in path.elements() {
        match *element {
            PathEl::MoveTo(p) => points('M', &[p]),
            PathEl::LineTo(p) => points('L', &[p]),
            PathEl::QuadTo(p, q) => points('Q', &[p, q]),
            PathEl::CurveTo(p, q, r) => points('C', &[p, q, r]),
            PathEl::ClosePath => points('Z', &[]),
        }
    }
    text
}

/// A number for a mark's key; two keys with one number are as likely as a fault of the memory.
fn identity(mark: &Mark) -> u64 {
    let mut hasher = DefaultHasher::new();
    (mark.layer.name, &mark.subject, mark.ordinal).hash(&mut hasher);
    hasher.finish()
}

/// Numbers of all marks; where a key comes twice the second gets a number of its own.
fn identities(marks: &[&Mark]) -> Vec<u64> {
    let mut seen: Numbered<u32> =
        Numbered::with_capacity_and_hasher(marks.len(), BuildHasherDefault::default());
    marks
        .iter()
        .map(|mark| {
            let id = identity(mark);
            let times = seen.entry(id).or_insert(0);
            *times += 1;
            id.wrapping_add(u64::from(*times - 1))
        })
        .collect()
}

/// Places of marks in their layer, rising; those known keep theirs as far as the order allows.
fn places(shown: &[&Mark], ids: &[u64], old: &Numbered<Entry>) -> Vec<f64> {
    let mut places = Vec::with_capacity(shown.len());
    let mut last = 0.0;
    let mut layer = "";
    let mut waiting = 0_usize;
    let fill = |places: &mut Vec<f64>, waiting: &mut usize, from: f64, to: f64| {
        for i in 0..*waiting {
            places.push(from + (to - from) * (i + 1) as f64 / (*waiting + 1) as f64);
        }
        *waiting = 0;
    };
    for (mark, id) in shown.iter().zip(ids) {
        if mark.layer.name != layer {
            let end = last + (waiting + 1) as f64;
            fill(&mut places, &mut waiting, last, end);
            (layer, last) = (mark.layer.name, 0.0);
        }
        match old.get(id).map(|entry| entry.place).filter(|place| *place > last) {
            Some(place) => {
                fill(&mut places, &mut waiting, last, place);
                places.push(place);
                last = place;
            }
            None => waiting += 1,
        }
    }
    let end = last + (waiting + 1) as f64;
    fill(&mut places, &mut waiting, last, end);
    places
}
