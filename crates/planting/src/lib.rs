//! Planting: spacing, takeoff, findings and drawings of everything that is planted.
//!
//! - In: the project and its placed yard. Out: the six hand-offs, and calculations that can be used
//!   alone (bulk materials, root balls, planting holes).
//! - Not here: where plants stand (`groundwright-yard`), what is there already
//!   (`groundwright-site`), adding up of lines (`groundwright-estimate`).

mod beds;
pub mod bulk;
pub mod choose;
mod crown_outline;
mod detail;
mod findings;
pub mod layers;
pub mod light;
mod marks;
mod nearness;
mod outgrowing;
pub mod root_ball;
mod solids;
mod study;
pub mod suited;
mod suits;
mod tables;
mod takeoff;
mod tasks;

pub use beds::{BedStudy, beds};
pub use detail::FRAME as DETAIL_FRAME;
pub use light::{PlantLight, SunAt, light_class, light_fit};
pub use study::{PlantingStudy, study, study_in_light};
pub use takeoff::BedSurface;

use groundwright_handoff::{Finding, Mark, Quantity, Solid, Study, Table, Task, When};

impl Study for PlantingStudy<'_> {
    fn findings(&self) -> Vec<Finding> {
        findings::findings(self)
    }
    fn quantities(&self) -> Vec<Quantity> {
        takeoff::quantities(self)
    }
    fn tasks(&self) -> Vec<Task> {
        tasks::tasks(self)
    }
    fn tables(&self) -> Vec<Table> {
        tables::tables(self)
    }
    fn marks(&self, when: When) -> Vec<Mark> {
        marks::marks(self, when)
    }
    fn solids(&self, when: When) -> Vec<Solid> {
        solids::solids(self, when)
    }
}
