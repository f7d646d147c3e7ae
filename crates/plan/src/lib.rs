//! The project: its types, its files, its validation and its commands.
//!
//! A project is a folder of TOML files that people read and edit. This crate turns the text into
//! a [`Project`] (a measured property, a design made of instructions, the firm's practice, the
//! stock) or into faults with their places, and applies commands to the text without disturbing
//! comments and order.

mod command;
mod identity;
mod standing;

pub use command::Command;
pub use identity::{ElementId, ElementRef, Kind, ProjectFile, TaxonId};
pub use standing::{Given, Standing};
