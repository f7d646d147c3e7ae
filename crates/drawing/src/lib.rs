//! Marks to a display list, SVG and DXF.
