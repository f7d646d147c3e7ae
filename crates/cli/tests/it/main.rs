//! The program as a whole: the real binary, temporary folders, other people's readers.

mod check;
mod figure;
mod issue;
mod sun_figures;
mod support;
