//! Checks of the project's reader, its commands and the stock that ships.

mod broken;
mod commands;
mod file_reference;
mod first_visit;
mod folder;
mod never_panics;
mod points;
mod reading;
mod sections;
mod stock;
mod survey;
mod whole;
mod zones;
