//! Checks of watering against published figures, other programs, closed forms and laws.

mod evenness;
mod layouts;
mod needs;
mod networks;
mod pipes;
mod sizes;
mod sources;
mod yards;
