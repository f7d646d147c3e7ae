//! Checks of the survey against published figures, closed forms and laws.

mod field_book;
mod levels;
mod networks;
mod published;
mod slips;
