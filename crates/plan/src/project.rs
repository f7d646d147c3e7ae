//! The project as a whole.

use groundwright_survey::Snooped;
use groundwright_survey::field_book::FieldBook;
use groundwright_survey::levelling::Levelled;

use crate::design::Design;
use crate::identity::{ElementId, ElementRef, Kind};
use crate::practice::Practice;
use crate::property::Property;
use crate::read::{Assumption, Doubt, Sources, Spans};
use crate::stock::Stock;

/// Readings of a survey with what they give, adjusted when they are read; empty without a survey.
///
/// Points that are determined are reference points of the property as well, so that any place may
/// name them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Readings {
    /// The readings as booked.
    pub book: FieldBook,
    /// Points adjusted, with the readings that are likely wrong.
    pub network: Option<Snooped>,
    /// Heights adjusted.
    pub levels: Option<Levelled>,
}

/// A measured property, a design made of instructions, the firm's practice, the stock.
#[derive(Debug, Clone, PartialEq)]
pub struct Project {
    /// What is there.
    pub property: Property,
    /// What shall be.
    pub design: Design,
    /// The firm's rules.
    pub practice: Practice,
    /// What can be bought.
    pub stock: Stock,
    /// Readings on site.
    pub readings: Readings,
}

impl Project {
    /// Every element of the project.
    pub fn elements(&self) -> Vec<ElementRef> {
        let mut all = self.property.elements();
        let mut add = |kind: Kind, id: &ElementId| all.push(ElementRef::new(kind, id));
        self.design.beds.iter().for_each(|e| add(Kind::Bed, &e.id));
        self.design.boxes.iter().for_each(|e| add(Kind::PlanterBox, &e.id));
        self.design.lawns.iter().for_each(|e| add(Kind::Lawn, &e.id));
        self.design.edgings.iter().for_each(|e| add(Kind::Edging, &e.id));
        self.design.plantings.iter().for_each(|e| add(Kind::Planting, &e.id));
        self.design.notes.iter().for_each(|e| add(Kind::Note, &e.id));
        self.design.accepted.iter().for_each(|e| add(Kind::Acceptance, &e.id));
        all.extend(self.design.built.elements());
        all.extend(self.design.lighting.elements());
        all.extend(self.design.irrigation.elements());
        all
    }
}

/// A project with what belongs to its files and not to the model.
#[derive(Debug, Clone, PartialEq)]
pub struct Loaded {
    /// The project.
    pub project: Project,
    /// The texts it was read from.
    pub sources: Sources,
    /// Where elements stand in the texts.
    pub spans: Spans,
    /// Defaults that stand in for what nobody gave.
    pub assumptions: Vec<Assumption>,
    /// What is not certain, with what it might be instead.
    pub doubts: Vec<Doubt>,
}
