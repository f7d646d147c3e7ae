//! Irrigation: which ground is watered and how, where valves, preventer and controller stand.
//!
//! Heads, pipes and run times are computed from these instructions and never stored.

use crate::identity::{ElementId, ElementRef, Kind};
use crate::shape::Place;
use crate::words::words;

/// Waterings, valve boxes, backflow preventers, controllers.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Irrigation {
    /// What is watered.
    pub waterings: Vec<Watering>,
    /// Boxes with valves.
    pub valve_boxes: Vec<ValveBox>,
    /// Backflow preventers; the first one serves.
    pub preventers: Vec<Preventer>,
    /// Controllers; the first one serves.
    pub controllers: Vec<Controller>,
}

impl Irrigation {
    /// Every element of it, in file order by kind.
    pub fn elements(&self) -> Vec<ElementRef> {
        let waterings = self.waterings.iter().map(|e| ElementRef::new(Kind::Watering, &e.id));
        let boxes = self.valve_boxes.iter().map(|e| ElementRef::new(Kind::ValveBox, &e.id));
        let preventers = self.preventers.iter().map(|e| ElementRef::new(Kind::Preventer, &e.id));
        let controllers = self.controllers.iter().map(|e| ElementRef::new(Kind::Controller, &e.id));
        waterings.chain(boxes).chain(preventers).chain(controllers).collect()
    }
}

words! {
    /// How water is given.
    WateringMethod, "method of watering" {
        /// Fixed spray.
        Spray = "spray",
        /// Turning streams.
        Rotor = "rotor",
        /// Rows of line with emitters in it.
        DripLine = "drip line",
        /// Single emitters at plants.
        PointDrip = "point drip",
        /// Bubblers at trees and large plants.
        Bubbler = "bubbler",
    }
}

/// Ground or plants that are watered in one way.
#[derive(Debug, Clone, PartialEq)]
pub struct Watering {
    /// Identity.
    pub id: ElementId,
    /// Name on the drawing.
    pub label: String,
    /// Beds, boxes, lawns, plantings, trees or shrubs.
    pub areas: Vec<ElementRef>,
    /// Whether it also takes every bed, box and lawn that no other names.
    pub rest: bool,
    /// Beds, boxes and lawns that `rest` leaves out.
    pub without: Vec<ElementRef>,
    /// How; the usual way of each without it.
    pub method: Option<WateringMethod>,
    /// Stock id of the nozzle, line or emitter; the usual one without it.
    pub product: String,
    /// Where heads stand, instead of where they would be set.
    pub heads: Option<Vec<Place>>,
    /// Zone of the system that is there and goes on watering it; nothing new is laid.
    pub existing: String,
}

/// A box with valves.
#[derive(Debug, Clone, PartialEq)]
pub struct ValveBox {
    /// Identity.
    pub id: ElementId,
    /// Name on the drawing.
    pub label: String,
    /// Where.
    pub at: Place,
}

/// A backflow preventer.
#[derive(Debug, Clone, PartialEq)]
pub struct Preventer {
    /// Identity.
    pub id: ElementId,
    /// Name on the drawing.
    pub label: String,
    /// Where.
    pub at: Place,
    /// Stock id; the usual one without it.
    pub product: String,
}

/// A controller.
#[derive(Debug, Clone, PartialEq)]
pub struct Controller {
    /// Identity.
    pub id: ElementId,
    /// Name on the drawing.
    pub label: String,
    /// Where.
    pub at: Place,
    /// Stock id; the smallest that has the stations without it.
    pub product: String,
}
