//! The app: a server on loopback, live updates over a WebSocket, and the page.
//!
//! - In: a project folder. Out: pages in the browser that show the plan, its findings and its takeoff,
//!   and that change the project by commands.
//! - `server.rs` listens, `guard.rs` says who may ask, `assets.rs` embeds the page; `desk.rs` is the
//!   one thread that holds the project; `messages.rs` is all that page and server say.
//! - What a page shows of the drawing is in `screen.rs`, what a hand does in `hand.rs`, what is
//!   said beside the drawing in `explain.rs`, `checks.rs`, `fields.rs` and `plants.rs`; the first visit
//!   is in `site.rs`, what is worth measuring is weighed in `weighing.rs`.
//! - Levels, water and sun are studied behind the hand in `studying.rs`; photos come in and go out by
//!   `pictures.rs`.
//! - A trial, while the hand moves, touches only the project in memory; a commit is kept.
//! - Not here: computing (`groundwright-job`), painting (`groundwright-drawing`).
//!
//! Read `messages.rs` first, then `desk.rs`.

mod assets;
mod background;
mod book;
mod checks;
mod desk;
#[cfg(test)]
mod desk_fuzz;
mod element_name;
mod explain;
mod fields;
mod guard;
mod hand;
mod measure;
mod messages;
mod page;
mod palette;
mod pictures;
mod plants;
mod screen;
mod server;
mod site;
mod snapping;
mod strokes;
mod studying;
mod tags;
mod weighing;

pub use server::{Options, ServeError, serve};
