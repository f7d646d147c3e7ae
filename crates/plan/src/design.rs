//! What shall be: instructions, never frozen results.

use crate::built::Built;
use crate::ground::GroundWork;
use crate::identity::{ElementId, ElementRef, TaxonId};
use crate::irrigation::Irrigation;
use crate::lights::Lighting;
use crate::shape::{Line, Place, Station};
use crate::standing::Given;
use crate::words::words;

/// The design.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Design {
    /// Day of issue as printed on the sheets, in the form `2026-03-14`; empty where not given.
    pub issued: String,
    /// Which issue of the drawings this is; empty where not given.
    pub revision: String,
    /// Beds.
    pub beds: Vec<Bed>,
    /// Raised boxes and troughs.
    pub boxes: Vec<PlanterBox>,
    /// Turf.
    pub lawns: Vec<Lawn>,
    /// Edges between lawn and bed.
    pub edgings: Vec<Edging>,
    /// Planting instructions.
    pub plantings: Vec<Planting>,
    /// Remarks on the drawing.
    pub notes: Vec<Note>,
    /// Findings that somebody accepted, on record with the reason.
    pub accepted: Vec<Acceptance>,
    /// Gradings, swales, drains.
    pub ground: GroundWork,
    /// Walls, steps, paving.
    pub built: Built,
    /// Lights, their zones and transformers.
    pub lighting: Lighting,
    /// What is watered.
    pub irrigation: Irrigation,
}

/// How soil is prepared: an amendment spread and worked in.
#[derive(Debug, Clone, PartialEq)]
pub struct SoilPreparation {
    /// Stock id of the amendment.
    pub amendment: String,
    /// Depth spread. [m]
    pub depth: Given<f64>,
    /// Depth to which it is worked in; 0 where it lies on top. [m]
    pub worked_in: Given<f64>,
}

/// Mulch on a bed.
#[derive(Debug, Clone, PartialEq)]
pub struct Mulch {
    /// Stock id of the mulch; empty for none.
    pub product: String,
    /// Settled depth. [m]
    pub depth: Given<f64>,
}

words! {
    /// What grew where a bed or a new lawn is made.
    FormerCover, "former cover" {
        /// Turf, which is stripped.
        Turf = "turf",
        /// Nothing.
        Bare = "bare",
        /// A bed, whose plants are marked one by one.
        Bed = "bed",
    }
}

/// A planting bed.
#[derive(Debug, Clone, PartialEq)]
pub struct Bed {
    /// Identity.
    pub id: ElementId,
    /// Name on the drawing.
    pub label: String,
    /// Bed line.
    pub outline: Line,
    /// How the soil is prepared; `None` leaves it as it is.
    pub soil: Option<SoilPreparation>,
    /// Mulch; `None` where the bed has none.
    pub mulch: Option<Mulch>,
    /// Slope of the ground as rise over run; areas of materials grow with it.
    pub slope: Given<f64>,
    /// What grew there; asked where the soil is prepared.
    pub was: Given<FormerCover>,
    /// Depth below grade at which water stands here in winter, where it differs from the place. [m]
    pub winter_water: Option<Given<f64>>,
}

/// A raised box or trough: a planting place of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanterBox {
    /// Identity.
    pub id: ElementId,
    /// Name on the drawing.
    pub label: String,
    /// Inner edge of its walls.
    pub outline: Line,
    /// Height above grade. [m]
    pub height: Given<f64>,
    /// Thickness of its walls. [m]
    pub wall: Given<f64>,
    /// Stock id of the planting mix that fills it.
    pub mix: String,
    /// Depth of mix to fill. [m]
    pub fill: Given<f64>,
    /// Mulch; `None` where the box has none.
    pub mulch: Option<Mulch>,
}

words! {
    /// How turf comes about.
    LawnKind, "kind of lawn" {
        /// Turf that stays.
        Keep = "keep",
        /// New sod.
        Sod = "sod",
        /// New seed.
        Seed = "seed",
    }
}

/// Turf.
#[derive(Debug, Clone, PartialEq)]
pub struct Lawn {
    /// Identity.
    pub id: ElementId,
    /// How it comes about.
    pub kind: LawnKind,
    /// What grew there; asked where it is new.
    pub was: Given<FormerCover>,
    /// Outline; beds, boxes, buildings and surfaces are taken out of it.
    pub outline: Line,
    /// Stock id of the sod or seed.
    pub product: String,
    /// Stock id of the fertiliser given once; empty for none.
    pub fertiliser: String,
}

/// A physical edge along part of an element's edge.
#[derive(Debug, Clone, PartialEq)]
pub struct Edging {
    /// Identity.
    pub id: ElementId,
    /// Stock id of the product.
    pub product: String,
    /// Along whose edge.
    pub along: ElementRef,
    /// Where it begins; the edge's start if not given.
    pub from: Option<Station>,
    /// Where it ends; the whole edge if not given.
    pub to: Option<Station>,
}

words! {
    /// What a planting is for; its crowns' relation to one another follows.
    PlantingRole, "role of a planting" {
        /// One plant to be seen by itself; its crown stays free.
        Specimen = "specimen",
        /// A clump that reads as one.
        Group = "group",
        /// A line whose crowns close and are kept so.
        Hedge = "hedge",
        /// An area whose crowns close.
        Mass = "mass",
        /// A line or area that hides something.
        Screen = "screen",
        /// A low line at the front.
        Edge = "edge",
        /// Colour for a season, set after mulching.
        Seasonal = "seasonal",
    }
}

impl PlantingRole {
    /// Whether the crowns are meant to touch.
    pub fn crowns_touch(self) -> bool {
        matches!(self, Self::Hedge | Self::Mass | Self::Screen | Self::Edge | Self::Seasonal)
    }
}

words! {
    /// Arrangement of several rows.
    RowPattern, "row pattern" {
        /// Plants of the next row stand in the gaps of this one.
        Staggered = "staggered",
        /// Plants of all rows stand side by side.
        Square = "square",
    }
}

words! {
    /// Where plants come from.
    PlantSource, "source of plants" {
        /// Bought.
        Nursery = "nursery",
        /// From the plants marked move.
        Transplants = "transplants",
    }
}

/// One taxon of a planting, with its share.
#[derive(Debug, Clone, PartialEq)]
pub struct Share {
    /// The taxon.
    pub taxon: TaxonId,
    /// Parts of the whole.
    pub parts: f64,
}

/// How the plants stand.
#[derive(Debug, Clone, PartialEq)]
pub enum Layout {
    /// At given places, one each.
    Single {
        /// Places.
        at: Vec<Place>,
    },
    /// A clump about a place.
    Group {
        /// Its middle.
        at: Place,
        /// How many, usually odd.
        count: usize,
    },
    /// One or more rows along an edge or a line of its own.
    Row {
        /// The edge of an element.
        along: Option<ElementRef>,
        /// Or a line of its own.
        line: Option<Line>,
        /// Where it begins on the edge.
        from: Option<Station>,
        /// Where it ends on the edge.
        to: Option<Station>,
        /// Distance from the edge to the first row, into the element. [m]
        inset: Option<f64>,
        /// How many rows.
        rows: usize,
        /// Arrangement of the rows.
        pattern: RowPattern,
        /// Share by which the spacing may be adjusted.
        tolerance: Option<f64>,
    },
    /// Fills an area.
    Mass {
        /// The area; the whole bed if not given.
        outline: Option<Line>,
    },
}

/// An instruction to plant.
#[derive(Debug, Clone, PartialEq)]
pub struct Planting {
    /// Identity.
    pub id: ElementId,
    /// What it is for.
    pub role: PlantingRole,
    /// What is planted, at least one.
    pub shares: Vec<Share>,
    /// Container class or field size bought; the taxon's smallest usual size if not given.
    pub size: Option<String>,
    /// In which bed or box, if it is tied to one.
    pub place: Option<ElementRef>,
    /// How the plants stand.
    pub layout: Layout,
    /// On-centre spacing, if stated. [m]
    pub spacing: Option<Given<f64>>,
    /// Years after which the crowns shall touch, if stated. [a]
    pub filled_in: Option<Given<f64>>,
    /// Nursery or transplants.
    pub source: PlantSource,
    /// Which found shrubs it may draw from; all movable of the taxon if empty.
    pub from_shrubs: Vec<ElementId>,
    /// Whether the planter sets the best pots where they are seen first.
    pub best_first: bool,
    /// Axis of symmetry for left-right balance: two points.
    pub axis: Option<(Place, Place)>,
    /// A remark for the crew.
    pub note: String,
}

/// A remark on the drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Note {
    /// Identity.
    pub id: ElementId,
    /// Where it points.
    pub at: Place,
    /// What it says.
    pub text: String,
}

/// A finding that somebody accepted as it is. It stays a finding; it is shown with its reason.
///
/// Its elements are names, not references: when one of them goes or is renamed, the finding counts
/// again, which is the safe side.
#[derive(Debug, Clone, PartialEq)]
pub struct Acceptance {
    /// Identity.
    pub id: ElementId,
    /// The rule's id, such as `planting.row-short`.
    pub finding: String,
    /// The elements that the finding is about, in its order, as `planting walk-hedge`.
    pub about: Vec<String>,
    /// Why it is accepted. Never empty.
    pub reason: String,
}
