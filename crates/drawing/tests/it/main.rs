//! Checks of the drawing crate from outside: marks in, sheets, SVG and DXF out.

mod dxf;
mod labels;
mod paint;
mod reader;
mod sample;
mod svg;
