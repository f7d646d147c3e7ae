//! Ground: levels, earth moved, and where the rain goes.
//!
//! - In: surfaces of the ground as it is and as it shall be (`groundwright_geometry::Surface`), storms,
//!   soils, drains. Out: volumes, balance, catchments, flows, and what they say about the design.
//! - One file for each method, named by the field's term; every method cites its source.
//! - Limits are stated against cited rules; local codes and licensed practice decide.
//! - Not here: how levels are measured (`groundwright-survey`), walls, watering.

mod balance;
mod cover;
mod curve_number;
mod descent;
mod drain_findings;
mod earthwork;
mod end_areas;
mod erosion;
mod fall;
mod findings;
mod handoffs;
mod intake;
mod manning;
pub mod marks;
mod positive;
mod rational;
mod storage;
mod study;
mod wall_falls;
mod watershed;

pub use balance::{Balance, Soil, balance, loads};
pub use cover::{Cover, Covers, ROOF};
pub use curve_number::{of_parts, retention, runoff_depth, weighted_number};
pub use descent::{Course, End, descend};
pub use earthwork::{Deep, Earthwork, between, deeper, overlay, prism};
pub use end_areas::{average_end_area, prismoidal};
pub use erosion::{Lining, permissible_velocity};
pub use fall::{Fall, Station, fall_away};
pub use intake::{Texture, TimedHole, of_timed_hole};
pub use manning::{LARGEST_FLOW_SHARE, ManningError, Section, Uniform, Wetted, depth_of_flow, flow_at_depth};
pub use positive::NotUsable;
pub use rational::{composite, peak_flow};
pub use storage::{DryWell, RainGarden, Store, dry_well, dry_well_depth, rain_garden};
pub use study::{DrainRun, GroundStudy, Pond, Runoff, Side, SwaleRun, study};
pub use watershed::{Hollow, Watershed};
