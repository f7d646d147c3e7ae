//! Curves with stations and offsets, regions, lattices, frames, indexes, triangulated surfaces and exact
//! assignment.
//!
//! - In: points in plan coordinates, right-handed, x east and y north. [m]
//! - Out: shapes that answer questions by station (length along a curve) and by place.
//! - Method: Bézier curves of `kurbo`, Boolean operations and offsets of `geo`, R-trees of `rstar`,
//!   triangulations of `spade`.
//! - Assumes a yard: no coordinate beyond 10 km, details of a millimetre and more.
//! - Lengths are metres, angles radians counter-clockwise from east unless called a bearing.
//! - Not here: what the ground is and does, units of the reader, anything that has a name on a plan.

pub mod assignment;
pub mod curve;
pub mod fault;
pub mod frame;
pub mod index;
pub mod lattice;
pub mod layout;
pub mod region;
pub mod surface;
pub mod validate;

pub use curve::{Crossing, Curve, Foot};
pub use fault::GeometryFault;
pub use frame::Frame;
pub use index::{BoxIndex, PointIndex};
pub use kurbo::{BezPath, Point, Rect, Vec2};
pub use region::{FLATTEN, Region, RegionIndex};
pub use surface::{Contour, Patch, SectionPoint, Surface, SurfaceFault};
pub use validate::{OutlineFault, check_outline};

/// A place in space: x east, y north, z up. [m]
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Point3 {
    /// East. [m]
    pub x: f64,
    /// North. [m]
    pub y: f64,
    /// Up. [m]
    pub z: f64,
}

impl Point3 {
    /// A place in space. [m]
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x, y, z }
    }

    /// The place seen from above. [m]
    pub const fn plan(self) -> Point {
        Point::new(self.x, self.y)
    }
}
