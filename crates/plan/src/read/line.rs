//! Lines and outlines made of pieces.

use toml_edit::{InlineTable, Item, Value};

use super::node::{Complaint, Node};
use crate::identity::{ElementId, ElementRef, Kind};
use crate::shape::{Line, Piece, Place, Station};

const PIECES: &str = "a list of places, or of pieces: { straight = [[x, y], …] }, { smooth = […] }, \
                      { arc = […] }, { along = \"building house\", to = [x, y] }";

/// Kinds whose edge another line may follow.
pub(super) const EDGES: [Kind; 6] =
    [Kind::Building, Kind::Surface, Kind::Bed, Kind::PlanterBox, Kind::Lawn, Kind::Paving];

impl<'d> Node<'_, 'd> {
    /// An outline that must be there.
    pub fn outline(&self, key: &str) -> Line {
        if !self.has(key) {
            let mut complaint = self.fault(key, "it is missing").expected(PIECES);
            complaint.span = self.span_of(key);
            complaint.note(self.reading);
            return Line::default();
        }
        self.line(key).unwrap_or_default()
    }

    /// A line, if the file gives it.
    pub fn line(&self, key: &str) -> Option<Line> {
        let item = self.raw(key)?;
        let Some(list) = item.as_array().filter(|list| !list.is_empty()) else {
            self.fault(key, "this is not a line").expected(PIECES).note(self.reading);
            return None;
        };
        let is_piece = |value: &Value| value.as_inline_table().is_some_and(|t| !t.contains_key("shift"));
        if !list.iter().any(is_piece) {
            let places = self.read_places(key, item)?;
            self.question_repeats(key, item, &places);
            return Some(Line { pieces: vec![Piece::Straight(places)] });
        }
        let mut pieces = Vec::with_capacity(list.len());
        let mut whole = true;
        for value in list {
            match value.as_inline_table().map(|table| self.piece(key, table, value)) {
                Some(Some(piece)) => pieces.push(piece),
                Some(None) => whole = false,
                None => {
                    let mut complaint = self.fault(key, "a place stands among the pieces").expected(PIECES);
                    complaint.span = value.span().unwrap_or(complaint.span);
                    complaint.note(self.reading);
                    whole = false;
                }
            }
        }
        whole.then_some(Line { pieces })
    }

    fn piece(&self, key: &str, table: &'d InlineTable, value: &Value) -> Option<Piece> {
        for (name, _) in table {
            if !matches!(name, "straight" | "smooth" | "arc" | "along" | "from" | "to" | "longer") {
                self.complain(key, value, format!("the piece's key `{name}` is not known"));
                return None;
            }
        }
        if let Some(along) = table.get("along") {
            return self.along(key, table, along, value);
        }
        let (name, places) = ["straight", "smooth", "arc"]
            .into_iter()
            .find_map(|name| Some((name, table.get(name)?)))
            .or_else(|| {
                self.complain(key, value, "this piece has no form".to_owned());
                None
            })?;
        let list = places.as_array().or_else(|| {
            self.complain(key, value, format!("`{name}` takes a list of places"));
            None
        })?;
        let places: Option<Vec<Place>> = list.iter().map(|v| self.read_place_value(key, v)).collect();
        let places = places?;
        if name == "arc" && !(2..=3).contains(&places.len()) {
            self.complain(key, value, format!("an arc through {} places", places.len()));
            return None;
        }
        if places.is_empty() {
            self.complain(key, value, format!("`{name}` without places"));
            return None;
        }
        Some(match name {
            "straight" => Piece::Straight(places),
            "smooth" => Piece::Smooth(places),
            _ => Piece::Arc(places),
        })
    }

    fn along(&self, key: &str, table: &'d InlineTable, along: &Value, value: &Value) -> Option<Piece> {
        let element = self.reference_text(key, along, &EDGES)?;
        let from = match table.get("from") {
            Some(from) => Some(self.read_place_value(key, from)?),
            None => None,
        };
        let Some(to) = table.get("to") else {
            self.complain(key, value, "a piece along an edge says where it ends: `to` is missing".to_owned());
            return None;
        };
        let to = self.read_place_value(key, to)?;
        let longer = table.get("longer").and_then(Value::as_bool).unwrap_or(false);
        Some(Piece::Along { element, from, to, longer })
    }

    /// A reference such as `"bed front"`, or `"house"` when only one kind can be meant.
    pub(super) fn reference(&self, key: &str, kinds: &[Kind]) -> Option<ElementRef> {
        let item = self.raw(key)?;
        let value = item.as_value()?;
        self.reference_text(key, value, kinds)
    }

    /// References in a list, each a kind and an id.
    pub(super) fn references(&self, key: &str, kinds: &[Kind]) -> Vec<ElementRef> {
        let Some(item) = self.raw(key) else { return Vec::new() };
        match item.as_array() {
            Some(list) => list.iter().filter_map(|value| self.reference_text(key, value, kinds)).collect(),
            None => self.reference(key, kinds).into_iter().collect(),
        }
    }

    fn reference_text(&self, key: &str, value: &Value, kinds: &[Kind]) -> Option<ElementRef> {
        let words: Vec<String> = kinds.iter().map(|k| format!("`\"{} …\"`", k.key())).collect();
        let expected = format!("a kind and an id: {}", words.join(", "));
        let Some(text) = value.as_str() else {
            self.complain_expecting(key, value, "this is not a reference".to_owned(), expected);
            return None;
        };
        if let Some((kind, id)) = text.split_once(' ') {
            if let Some(kind) = kinds.iter().find(|k| k.key() == kind) {
                return Some(ElementRef::new(*kind, &ElementId(id.trim().to_owned())));
            }
        } else if let [kind] = kinds {
            return Some(ElementRef::new(*kind, &ElementId(text.to_owned())));
        }
        self.complain_expecting(key, value, format!("`{text}` names nothing that can be meant"), expected);
        None
    }

    /// A station: a length along the edge, or a place near it.
    pub(super) fn station(&self, key: &str) -> Option<Station> {
        let item: &Item = self.raw(key)?;
        if item.is_array() || item.is_inline_table() {
            return self.place(key).map(Station::Near);
        }
        let text = item.as_str().unwrap_or_default();
        if item.is_str() && ElementId::is_valid(text) {
            return self.place(key).map(Station::Near);
        }
        self.quantity(key, super::Measure::Length, 0.0, 10_000.0).map(|given| Station::At(given.value))
    }

    /// Two neighbouring places within a millimetre are a slip of the hand.
    fn question_repeats(&self, key: &str, item: &'d Item, places: &[Place]) {
        let Some(list) = item.as_array() else { return };
        for (i, pair) in places.windows(2).enumerate() {
            if let [Place::At(a), Place::At(b)] = pair
                && (*a - *b).hypot() < 1e-3
                && let Some(value) = list.get(i + 1)
            {
                let problem = format!("place {} repeats place {}", i + 2, i + 1);
                self.complain_expecting(key, value, problem, "places that differ".to_owned());
            }
        }
    }

    fn complain(&self, key: &str, value: &Value, problem: String) {
        self.complain_expecting(key, value, problem, PIECES.to_owned());
    }

    fn complain_expecting(&self, key: &str, value: &Value, problem: String, expected: String) {
        let mut complaint: Complaint = self.fault(key, problem).expected(expected);
        complaint.span = value.span().unwrap_or(complaint.span);
        complaint.note(self.reading);
    }
}
