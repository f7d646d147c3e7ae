//! The display list: what is painted, where on the paper, in which order.
//!
//! Paper, screen and SVG paint the same list. It knows millimetres, widths and colours, and no
//! longer knows yards, pens or tones.
//!
//! - Paper coordinates: millimetres, origin at the top left of the window, x right, **y down**.
//! - Items stand in the order of painting. All items of one mark stand together and carry the
//!   mark's key, so that a change of one mark replaces one run of items.
//! - Paths may reach beyond the window; whoever paints clips to it.
//! - Not here: how a mark becomes items (`paint.rs`), how things look (`look.rs`), where tags go
//!   (`labels/`).

use groundwright_handoff::{Drawing, Frame, Layer, TextAnchor};
use groundwright_plan::ElementRef;
use kurbo::{BezPath, Point, Rect};

/// A colour in sRGB, 8 bits a channel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Rgb(pub u8, pub u8, pub u8);

/// How a line is drawn on paper. Caps are butt, joins are round; no dash has length zero.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    /// Width. [mm] Above zero.
    pub width_mm: f64,
    /// Lengths of dash, gap, dash, gap and so on; empty for a continuous line. [mm]
    pub dash_mm: Vec<f64>,
    /// Colour.
    pub colour: Rgb,
}

/// The cut of the letters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Face {
    /// Upright, ordinary weight.
    Regular,
    /// Upright, heavy.
    Bold,
    /// Slanted.
    Italic,
}

/// One thing to paint.
#[derive(Debug, Clone, PartialEq)]
pub enum Primitive {
    /// A line or an area; the fill is painted before the stroke, by the non-zero rule.
    Path {
        /// The path. [mm of paper, y down]
        path: BezPath,
        /// Its line, if any.
        stroke: Option<Stroke>,
        /// Its fill, if any.
        fill: Option<Rgb>,
    },
    /// One line of letters.
    Text {
        /// Place of the anchor on the base line. [mm of paper, y down]
        at: Point,
        /// The letters, without line breaks.
        text: String,
        /// Height of the capitals. [mm]
        cap_height_mm: f64,
        /// Which point of the base line lies at `at`.
        anchor: TextAnchor,
        /// Rotation about `at`, clockwise on paper. [rad]
        rotation: f64,
        /// Colour.
        colour: Rgb,
        /// Cut of the letters.
        face: Face,
        /// Whether a white rim keeps the letters legible over lines.
        halo: bool,
    },
}

/// A primitive with its owner.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// Key of the mark it belongs to: `layer/kind/id/ordinal`, as `PLANT-NEW/planting/hedge/3`.
    pub key: String,
    /// The layer.
    pub layer: &'static Layer,
    /// What to paint.
    pub primitive: Primitive,
}

/// All that is painted in one window, in order.
#[derive(Debug, Clone, PartialEq)]
pub struct DisplayList {
    /// Width of the window. [mm]
    pub width_mm: f64,
    /// Height of the window. [mm]
    pub height_mm: f64,
    /// Items in the order of painting: by the layers' order, then as the marks came.
    pub items: Vec<Item>,
}

/// A window of paper onto the yard.
#[derive(Debug, Clone, PartialEq)]
pub struct View {
    /// Which drawing: a mark is shown when its layer is on it.
    pub drawing: Drawing,
    /// Which frame: marks of other frames are left out.
    pub frame: Frame,
    /// The scale's denominator: 100 means 1:100. Above zero.
    pub scale: f64,
    /// How far the plan is turned on the sheet, counter-clockwise. [rad]
    pub rotation: f64,
    /// The point of the yard at the middle of the window. [m]
    pub centre: Point,
    /// Width of the window. [mm]
    pub width_mm: f64,
    /// Height of the window. [mm]
    pub height_mm: f64,
}

/// Measures letters; the painter of a document gives the widths of its own font.
pub trait TextWidth {
    /// Advance width of one line of text. [mm]
    fn width_mm(&self, text: &str, cap_height_mm: f64, face: Face) -> f64;
}

/// What [`crate::paint`] hands back.
#[derive(Debug, Clone, PartialEq)]
pub struct Painted {
    /// What to paint.
    pub list: DisplayList,
    /// What the placing of tags achieved and what it could not mend.
    pub labels: LabelReport,
    /// The tags as placed, in the order of the marks; DXF takes them from here.
    pub callouts: Vec<PlacedCallout>,
}

/// A tag with the place that was found for it.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedCallout {
    /// Key of the mark, as in [`Item::key`].
    pub key: String,
    /// The tag's box. [mm of paper, y down]
    pub tag: Rect,
    /// The leader from the tag's rim to the anchor, or to the rim of the pot or sign there, 2 or 3
    /// points. [mm of paper, y down]
    pub leader: Vec<Point>,
    /// How the leader ends.
    pub end: LeaderEnd,
}

/// How a leader ends. ISO 128-2 ends leaders inside an outline with a dot, and on one with an arrow
/// (from memory).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LeaderEnd {
    /// A dot at the anchor.
    Dot,
    /// An arrow at the rim of the pot or sign that it names.
    Arrow,
}

/// What is wrong with a tag.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LabelFaultKind {
    /// Its leader crosses another tag's leader.
    LeadersCross,
    /// It overlaps another tag.
    TagOnTag,
    /// It covers a part of a pot or of a glyph.
    TagOnPot,
    /// It covers other letters.
    TagOnText,
    /// Its leader runs through another tag.
    LeaderThroughTag,
    /// It does not fit into the window; it is not painted. Tags of which nothing lies in the window
    /// are not asked for and not reported.
    NotPlaced,
}

/// One fault of the placing, with the tag that has it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct LabelFault {
    /// What is wrong.
    pub kind: LabelFaultKind,
    /// Whose tag it is.
    pub subject: ElementRef,
    /// The other tag's subject, where two tags are involved.
    pub other: Option<ElementRef>,
}

/// What the placing of tags achieved.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct LabelReport {
    /// Number of tags that have a place, with or without faults.
    pub placed: usize,
    /// What remains, each fault once, sorted.
    pub faults: Vec<LabelFault>,
}

impl LabelReport {
    /// Number of faults of one kind.
    pub fn count(&self, kind: LabelFaultKind) -> usize {
        self.faults.iter().filter(|fault| fault.kind == kind).count()
    }

    /// Whether every tag has a place without fault.
    pub fn is_clean(&self) -> bool {
        self.faults.is_empty()
    }
}
