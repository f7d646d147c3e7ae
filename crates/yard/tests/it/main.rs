//! Checks of the arrangements against printed counts, closed forms and laws that must hold.

mod drifts;
mod fill_spacing;
mod group;
mod mass;
mod mowing;
mod prominence;
mod rows;
mod shapes;
mod transplants;
mod tree_growth;
