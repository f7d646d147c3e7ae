//! Light against closed forms, and what a picture promises.

mod cavities;
mod heaven;
mod pictures;
mod resections;
mod scenes;
