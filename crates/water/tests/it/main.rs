//! Checks of watering against published figures, other programs, closed forms and laws.

mod networks;
mod pipes;
