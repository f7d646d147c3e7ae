//! Checks of watering against published figures, other programs, closed forms and laws.

mod evenness;
mod networks;
mod pipes;
mod sizes;
