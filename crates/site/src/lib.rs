//! Site: what is there, what stays, what is moved, what is cleared.
//!
//! - In: the project and its placed yard. Out: the six hand-offs, and calculations that can be used
//!   alone (tree protection, swell of earth, brush and root balls to haul).
//! - The survey's own findings, tables and diagram stand apart (`survey/`): they read nothing placed.
//! - Safety: where services lie and whether a tree may be felled is never declared here; findings
//!   and tasks say who decides.
//! - Not here: where dug plants go (`groundwright-yard`), what is planted (`groundwright-planting`),
//!   adding up of lines (`groundwright-estimate`).

pub mod clearing;
mod findings;
mod found;
pub mod import;
pub mod layers;
mod marks;
mod permits;
pub mod protection;
mod range;
pub mod set_out;
mod solids;
mod study;
pub mod survey;
pub mod swell;
mod tables;
mod takeoff;
mod tasks;

pub use found::Found;
pub use permits::{DISTURBED, PermitFlag, TRUNK, permit_flags};
pub use range::OutOfRange;
pub use study::{SiteStudy, of_new_plants, study};

use groundwright_handoff::{Finding, Mark, Quantity, Solid, Study, Table, Task, When};

impl Study for SiteStudy<'_> {
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
    fn marks(&self, _when: When) -> Vec<Mark> {
        marks::marks(self)
    }
    fn solids(&self, when: When) -> Vec<Solid> {
        solids::solids(self, when)
    }
}
