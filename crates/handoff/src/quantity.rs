//! Quantities: what must be bought or done, with a basis that can be checked by hand.

use groundwright_plan::ElementRef;

use crate::Datum;

/// When in the job a quantity is needed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Phase {
    /// Removing what does not stay.
    Clearing,
    /// Soil preparation and planting mix.
    Soil,
    /// Edging, walls, paving.
    Hardscape,
    /// Plants into the ground.
    Planting,
    /// Sod and seed.
    Turf,
    /// Mulch over everything planted.
    Mulching,
    /// Seasonal colour, set after mulching.
    Seasonal,
}

impl Phase {
    /// Heading for a reader.
    pub fn title(self) -> &'static str {
        match self {
            Self::Clearing => "Clearing",
            Self::Soil => "Soil preparation",
            Self::Hardscape => "Edging and hard work",
            Self::Planting => "Planting",
            Self::Turf => "Turf",
            Self::Mulching => "Mulch",
            Self::Seasonal => "Seasonal colour",
        }
    }
}

/// One step of a basis: a symbol or phrase, its value, and where it comes from.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Step {
    /// What the number is, as a phrase: `area of bed`, `depth`.
    pub what: String,
    /// The number.
    pub datum: Datum,
    /// How it enters: `measured on plan`, `× depth`, `÷ (1 − settlement)`.
    pub how: String,
}

impl Step {
    /// A step of a basis.
    pub fn new(what: impl Into<String>, datum: Datum, how: impl Into<String>) -> Self {
        Self { what: what.into(), datum, how: how.into() }
    }
}

/// A pack in which a thing is sold: a tray, a bag, a pallet, a slab.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Pack {
    /// What it is called: `tray of 18`, `bag of 2 cu ft`.
    pub name: String,
    /// Contents of one pack, in the quantity's dimension.
    pub contents: f64,
    /// Whether it may fill up what larger packs leave: slabs beside whole pallets, but no bags
    /// beside a truck of bark.
    pub tops_up: bool,
}

/// Something that must be bought or done.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Quantity {
    /// Key of the thing: what is summed together. `plant/polystichum-munitum/#1`, `mulch/fine-bark`.
    pub item: String,
    /// Description for a reader.
    pub description: String,
    /// Net amount before allowance. SI, or a count.
    pub amount: Datum,
    /// Share added for losses, waste or settling; 0.05 is five per cent. Never below zero.
    pub allowance: f64,
    /// Half width of the amount's range, from assumed values; same unit as the amount.
    pub spread: f64,
    /// How the amount came about, step by step.
    pub basis: Vec<Step>,
    /// Packs in which it is sold, any order; none where any amount can be had. Which of them is
    /// ordered is decided on the sum of all parts.
    pub packs: Vec<Pack>,
    /// For which element.
    pub subject: ElementRef,
    /// When in the job.
    pub phase: Phase,
    /// Name of the option that it belongs to; `None` is the base job.
    pub option: Option<String>,
}
