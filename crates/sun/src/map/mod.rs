//! Maps of sun hours and of open sky.
//!
//! - In: a grid of points, bodies, moments of sun or patches of sky. Out: hours of direct sun at
//!   every point, crowns counted by the share of light that they let through; shares of sky seen.
//! - Work is cut by month: a month's hours depend on that month's moments and bodies alone, so that
//!   whoever keeps results can keep them by year and month, and months run side by side.
//! - Same input, same bits: a month's moments are summed in their order.

mod grid;
mod shadow;

pub use grid::{Grid, GridFault};

use groundwright_scene::{Bodies, Direction};

use crate::sky::{Half, Patch, SunMoment};
use shadow::Canvas;

/// Hours of direct sun of one day at every point of a grid. [h]
#[derive(Debug, Clone, PartialEq)]
pub struct DayHours {
    /// Before the sun crosses the meridian.
    pub morning: Vec<f64>,
    /// After.
    pub afternoon: Vec<f64>,
}

impl DayHours {
    /// Hours of the whole day at a point. [h]
    pub fn total(&self, index: usize) -> f64 {
        self.morning[index] + self.afternoon[index]
    }
}

/// Hours of direct sun over the moments of one day. [h]
///
/// # Arguments
/// - `grid`: n points.
/// - `bodies`: opaque triangles and crowns, as they are on that day.
/// - `moments`: of the day, those with the sun on or below the horizon are passed over.
pub fn day_hours(grid: &Grid, bodies: &Bodies, moments: &[SunMoment]) -> DayHours {
    let canvas = Canvas::new(grid);
    let mut hours = DayHours { morning: vec![0.0; grid.len()], afternoon: vec![0.0; grid.len()] };
    let mut depth = vec![0.0; grid.len()];
    for moment in moments.iter().filter(|moment| moment.direction[2] > 0.0) {
        canvas.shade(bodies, moment.direction, &mut depth);
        let into = match moment.half {
            Half::Morning => &mut hours.morning,
            Half::Afternoon => &mut hours.afternoon,
        };
        for (sum, depth) in into.iter_mut().zip(&depth) {
            *sum += moment.hours * passed(*depth);
        }
    }
    hours
}

/// Share of direct light at every point at one moment, 0 to 1; nothing once the sun is down.
pub fn light_at(grid: &Grid, bodies: &Bodies, direction: Direction) -> Vec<f64> {
    if direction[2].is_nan() || direction[2] <= 0.0 {
        return vec![0.0; grid.len()];
    }
    let mut depth = vec![0.0; grid.len()];
    Canvas::new(grid).shade(bodies, direction, &mut depth);
    depth.into_iter().map(passed).collect()
}

/// How much of the sky's light comes to each point, 0 to 1.
#[derive(Debug, Clone, PartialEq)]
pub struct SkyView {
    /// Under an even sky: the sky-view factor.
    pub even: Vec<f64>,
    /// Under an overcast sky.
    pub overcast: Vec<f64>,
}

/// Share of the sky's light at every point.
pub fn sky_view(grid: &Grid, bodies: &Bodies, patches: &[Patch]) -> SkyView {
    let canvas = Canvas::new(grid);
    let mut view = SkyView { even: vec![0.0; grid.len()], overcast: vec![0.0; grid.len()] };
    let mut depth = vec![0.0; grid.len()];
    for patch in patches.iter().filter(|patch| patch.direction[2] > 0.0) {
        canvas.shade(bodies, patch.direction, &mut depth);
        for (i, depth) in depth.iter().enumerate() {
            let light = passed(*depth);
            view.even[i] += patch.even * light;
            view.overcast[i] += patch.overcast * light;
        }
    }
    view
}

fn passed(depth: f64) -> f64 {
    if depth == 0.0 { 1.0 } else { (-depth).exp() }
}
