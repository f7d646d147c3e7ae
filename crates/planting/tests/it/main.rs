//! Calculations of planting that can be used alone: light against need, plant lists.

mod choose;
mod light;
