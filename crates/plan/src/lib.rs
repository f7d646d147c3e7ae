//! The project: its types, its files, its validation and its commands.
//!
//! A project is a folder of TOML files that people read and edit. This crate turns the text into
//! a [`Project`] (a measured property, a design made of instructions, the firm's practice, the
//! stock) or into faults with their places, and applies commands to the text without disturbing
//! comments and order.

mod built;
mod command;
mod design;
mod difference;
mod edit;
mod fault;
mod folder;
mod ground;
mod identity;
mod irrigation;
mod lights;
mod merge;
mod points;
mod practice;
mod project;
mod property;
mod read;
mod scale;
mod shape;
mod standing;
pub mod stock;
mod words;

pub use built::*;
pub use command::Command;
pub use design::{
    Acceptance, Bed, Design, Edging, FormerCover, Lawn, LawnKind, Layout, Mulch, Note, PlantSource,
    PlanterBox, Planting, PlantingRole, RowPattern, Share, SoilPreparation,
};
pub use difference::{Difference, NotComparable, Subject, difference};
pub use edit::{EditError, apply};
pub use fault::{Fault, line_and_column};
pub use folder::{load_folder, read_sources};
pub use ground::*;
pub use identity::{ElementId, ElementRef, Kind, ProjectFile, TaxonId};
pub use irrigation::*;
pub use lights::*;
pub use merge::{Clash, MergeError, Side, clashes_in_words, merge};
pub use points::{OwnPoint, place_text, point_added, point_moved, point_removed, points_of, written_fields};
pub use practice::{Practice, PracticeRule};
pub use project::{Loaded, Project, Readings};
pub use property::*;
pub use read::{
    Assumption, Doubt, FORMAT, Measure, Rereader, SURVEY_FILES, Sources, Spans, Try, keys_of, read_project,
};
pub use scale::{Compared, PICKED, Scale, UNTAPED, scale_of};
pub use shape::{Line, Piece, Place, Station};
pub use standing::{Given, Standing};
pub use stock::Stock;
pub use words::Word;
