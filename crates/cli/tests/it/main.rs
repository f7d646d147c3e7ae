//! The program as a whole: the real binary, temporary folders, other people's readers.

mod browser;
mod check;
mod figure;
mod figure_ground;
mod figure_pictures;
mod figure_price;
mod figure_trades;
mod figure_walls;
mod figure_water;
mod import;
mod issue;
mod picture;
mod sun_figures;
mod support;
