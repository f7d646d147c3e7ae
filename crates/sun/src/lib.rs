//! The sun over a yard: where it stands, when it rises, how many hours it shines where.
//!
//! - In: a place, dates, bodies that cast shadows. Out: positions, events of days, irradiance, maps
//!   of sun hours and of open sky.
//! - Method: the full solar position algorithm; shadows of opaque faces and of crowns that let light
//!   through, projected along the sun.
//! - Angles in radians, azimuths clockwise from true north. Not here: what plants make of the light.

pub mod clear_sky;
pub mod contour;
pub mod evapotranspiration;
pub mod events;
mod handoffs;
pub mod map;
pub mod noon;
pub mod sky;
pub mod spa;
mod study;

pub use events::{DayFault, DayState, Event, SunDay, sun_day, time_zone};
pub use map::{DayHours, Grid, GridFault, SkyView, day_hours, light_at, sky_view};
pub use noon::{NOON_POINTS, Noon, SunYear, noon_moment};
pub use sky::{Half, Patch, SunMoment, month_moments, sky_patches};
pub use spa::{Observer, ObserverFault, SunPosition};
pub use study::{
    BedSun, Mean, SunStudy, USUAL_POINTS, USUAL_STEP, observer, season, study, usual_grid, winter,
};
