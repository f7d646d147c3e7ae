//! Checks of the geometry against published figures, closed forms, laws and other methods.

mod assignment;
mod curves;
mod given;
mod grids;
mod offsets;
mod regions;
mod robust;
mod surfaces;
