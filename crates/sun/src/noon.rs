//! Shadows at noon on the shortest day, at the equinox and on the longest day.
//!
//! - In: a grid, the bodies of each day, where the sun stands at its highest. Out: how high that is,
//!   how long a shadow a man's height throws, and the edges of all shadows on the ground.
//! - Noon is the sun's: within three minutes of its crossing of the meridian, whatever clocks say.
//! - An edge runs where half the direct light comes through; crowns that let more through have none.
//!   Shadows of less than a few metres round are left out.

use groundwright_geometry::Point;
use groundwright_handoff::{Cell, Column, Datum, Table};
use groundwright_scene::Bodies;

use crate::contour::contours;
use crate::map::{Grid, light_at};
use crate::sky::{SunMoment, day_moments};
use crate::spa::Observer;

/// Usual number of points of a map of shadows, finer than one of hours.
pub const NOON_POINTS: f64 = 20_000.0;
/// Length of the moments of which the highest is taken. [h]
const STEP: f64 = 0.1;
/// An edge shorter than this goes round a plant of a step across. [m]
const SPECK: f64 = 5.0;
/// What the table's shadows are thrown by. [m]
const STAFF: f64 = 2.0;

/// A day of the sun's year.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SunYear {
    /// Near the winter solstice.
    Shortest,
    /// Near either equinox.
    Equinox,
    /// Near the summer solstice.
    Longest,
}

impl SunYear {
    /// All three, the shortest first.
    pub const ALL: [Self; 3] = [Self::Shortest, Self::Equinox, Self::Longest];

    /// Month and day north or south of the equator. Within two days in any year.
    pub fn date(self, south: bool) -> (u8, u8) {
        match (self, south) {
            (Self::Shortest, false) | (Self::Longest, true) => (12, 21),
            (Self::Equinox, _) => (3, 20),
            (Self::Longest, false) | (Self::Shortest, true) => (6, 21),
        }
    }

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Shortest => "shortest day",
            Self::Equinox => "equinox",
            Self::Longest => "longest day",
        }
    }
}

/// Shadows at one noon.
#[derive(Debug, Clone, PartialEq)]
pub struct Noon {
    /// On which day.
    pub day: SunYear,
    /// How high the sun stands. [rad] None where it does not rise.
    pub elevation: Option<f64>,
    /// Edges of the shadows; closed ones with the first point repeated. [m]
    pub edges: Vec<Vec<Point>>,
}

/// The moment at which the sun stands highest on a day; none where it does not rise.
pub fn noon_moment(
    observer: &Observer,
    north: f64,
    year: i16,
    day: SunYear,
    south: bool,
) -> Option<SunMoment> {
    let (month, day) = day.date(south);
    let moments = day_moments(observer, north, (year, month, day), STEP);
    moments.into_iter().max_by(|a, b| a.direction[2].total_cmp(&b.direction[2]))
}

/// Shadows of bodies at a noon.
pub fn noon(grid: &Grid, bodies: &Bodies, day: SunYear, moment: Option<SunMoment>) -> Noon {
    let Some(moment) = moment else { return Noon { day, elevation: None, edges: Vec::new() } };
    let light = light_at(grid, bodies, moment.direction);
    let length = |line: &[Point]| line.windows(2).map(|pair| pair[0].distance(pair[1])).sum::<f64>();
    let edges = contours(grid, &light, 0.5).into_iter().filter(|line| length(line) >= SPECK).collect();
    Noon { day, elevation: Some(moment.direction[2].clamp(-1.0, 1.0).asin()), edges }
}

/// The sun's height at noon, and the shadow of a staff of two metres.
pub(crate) fn table(noons: &[Noon]) -> Option<Table> {
    let rows = noons.iter().map(|noon| {
        let day = Cell::Text(noon.day.words().to_owned());
        match noon.elevation {
            Some(elevation) => vec![
                day,
                Cell::Text(format!("{:.0}°", elevation.to_degrees())),
                Cell::Datum(Datum::length(STAFF / elevation.tan())),
            ],
            None => vec![day, Cell::Text("does not rise".to_owned()), Cell::Empty],
        }
    });
    (!noons.is_empty()).then(|| Table {
        key: "noon",
        title: "The sun at noon".to_owned(),
        columns: vec![
            Column::text("Day", 1.2),
            Column::number("Height", 0.8),
            Column::number("Shadow of a fence of 2 m (6 ft 7 in)", 1.4),
        ],
        rows: rows.collect(),
        notes: vec!["Noon of the sun, when it crosses the meridian; level ground.".to_owned()],
    })
}
