//! Lights of the garden: lamps by role and place, the zones in which they are switched, transformers.
//!
//! Which cable feeds which lamp, and what it brings, is computed from these instructions and never
//! stored.

use crate::identity::{ElementId, ElementRef, Kind};
use crate::shape::Place;
use crate::standing::Given;
use crate::words::words;

/// Lights, zones, transformers.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Lighting {
    /// Lights.
    pub lights: Vec<Light>,
    /// Zones.
    pub zones: Vec<LightZone>,
    /// Transformers.
    pub transformers: Vec<Transformer>,
}

impl Lighting {
    /// Every element of it, in file order by kind.
    pub fn elements(&self) -> Vec<ElementRef> {
        let lights = self.lights.iter().map(|e| ElementRef::new(Kind::Light, &e.id));
        let zones = self.zones.iter().map(|e| ElementRef::new(Kind::LightZone, &e.id));
        let transformers = self.transformers.iter().map(|e| ElementRef::new(Kind::Transformer, &e.id));
        lights.chain(zones).chain(transformers).collect()
    }
}

words! {
    /// What a light is for.
    LightRole, "role of a light" {
        /// Up along a trunk into the crown.
        UpTrunk = "up a trunk",
        /// Close along a wall, so that its relief shows.
        Graze = "graze",
        /// From a distance over a wall or planting.
        Wash = "wash",
        /// Low along a path.
        Path = "path",
        /// Down from a tree or an eave.
        Down = "down",
        /// On steps.
        Step = "step",
        /// In or at water.
        Water = "water",
    }
}

/// What a light is aimed at.
#[derive(Debug, Clone, PartialEq)]
pub enum Aim {
    /// A tree, building, wall or another element.
    Element(ElementRef),
    /// A place.
    Place(Place),
}

/// One or more lights of one kind.
#[derive(Debug, Clone, PartialEq)]
pub struct Light {
    /// Identity.
    pub id: ElementId,
    /// Name on the drawing.
    pub label: String,
    /// What it is for.
    pub role: LightRole,
    /// Stock id of the fixture.
    pub fixture: String,
    /// Where they stand.
    pub places: Vec<Place>,
    /// What they are aimed at; straight down without it.
    pub aim: Option<Aim>,
    /// Height of the aimed point above the ground. [m]
    pub aim_height: Option<Given<f64>>,
    /// Height of the source above the ground. [m]
    pub height: Given<f64>,
    /// The zone that it is switched with.
    pub zone: ElementId,
    /// Level to which it is dimmed, 0 to 1.
    pub level: f64,
    /// Illuminance that is wanted at the aimed point. [lx]
    pub wanted: Option<f64>,
}

/// When lamps go on or off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Switch {
    /// At civil dusk.
    Dusk,
    /// At civil dawn.
    Dawn,
    /// At a time of the clock. [min after midnight]
    Clock(u16),
}

/// Lights that are switched and dimmed together.
#[derive(Debug, Clone, PartialEq)]
pub struct LightZone {
    /// Identity.
    pub id: ElementId,
    /// Name on the drawing.
    pub label: String,
    /// The transformer that feeds it; the nearest without it.
    pub transformer: Option<ElementId>,
    /// When it goes on.
    pub on: Switch,
    /// When it goes off.
    pub off: Switch,
    /// From when on it is dimmed, and to what level, 0 to 1. [min after midnight]
    pub dimmed: Option<(u16, f64)>,
}

/// A transformer.
#[derive(Debug, Clone, PartialEq)]
pub struct Transformer {
    /// Identity.
    pub id: ElementId,
    /// Name on the drawing.
    pub label: String,
    /// Where it hangs.
    pub at: Place,
    /// Stock id; empty for the smallest that carries its lamps.
    pub product: String,
}
