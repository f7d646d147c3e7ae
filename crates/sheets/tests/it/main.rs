//! What the documents say, read back by other programs.
//!
//! PDF pages are read and rendered by PDFium, workbooks by openpyxl, CSV by Python's own reader;
//! the scripts lie beside this folder and write JSON.

mod pages;
mod python;
mod sample;
mod tables;
mod true_scale;
