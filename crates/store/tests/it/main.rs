//! The journal from outside: edits, undo, conflicts, the folder, sudden ends.

mod attachments;
mod edits;
mod folder;
mod history;
mod killed;
mod versions;
mod yard;
