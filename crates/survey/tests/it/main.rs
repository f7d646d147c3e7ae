//! Checks of the survey against published figures, closed forms and laws.

mod field_book;
mod imports;
mod levels;
mod networks;
mod published;
mod random_yards;
mod slips;
