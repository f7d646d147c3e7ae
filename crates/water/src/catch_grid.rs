//! Water caught on a grid: overlapping heads, wind, walls in the way.
//!
//! - In: heads in place, the area that should be wet, obstacles. [m] Out: rate in each cell. [m/s]
//! - Every cell takes the rate at its centre. Behind an obstacle nothing falls; what hits it runs
//!   down there and is counted as lost.
//! - Wind carries water that would land at distance r downwind by a share of r. Rates are divided by
//!   the stretching of the ground's picture, so that nothing is lost by it.
//! - Rows are computed side by side; each sums the heads in their order, so the same input gives the
//!   same bytes.

use std::f64::consts::TAU;

use groundwright_geometry::{Point, Rect, Region, RegionIndex, Vec2};
use rayon::prelude::*;

use crate::nozzle::Profile;
use crate::positive::{NotUsable, above_zero, finite, share, within};
use crate::uniformity::{Quarter, Uniformity, uniformity};

/// A head in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Head {
    /// Where it stands. [m]
    pub at: Point,
    /// Direction in which the sector begins, counter-clockwise from east. [rad]
    pub start: f64,
    /// Angle of the sector from there counter-clockwise, above zero, up to 2π. [rad]
    pub sweep: f64,
    /// Throw. [m]
    pub throw: f64,
    /// Flow. [m³/s]
    pub flow: f64,
    /// How the depth falls along the radius.
    pub profile: Profile,
}

/// Wind while watering.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wind {
    /// Downwind shift for each metre thrown; shorter than 1. [m/m] Some 0.03 for each m/s of a
    /// breeze and spray: an assumption to be set by what is seen, no source.
    pub shift: Vec2,
    /// Share of the water that evaporates or blows off.
    pub lost: f64,
}

impl Wind {
    /// No wind.
    pub const STILL: Self = Self { shift: Vec2::ZERO, lost: 0.0 };
}

/// Water on a grid.
#[derive(Debug, Clone, PartialEq)]
pub struct CatchGrid {
    /// South-west corner. [m]
    pub origin: Point,
    /// Side of a cell. [m]
    pub cell: f64,
    /// Cells to the east.
    pub columns: usize,
    /// Cells to the north.
    pub rows: usize,
    /// Rate in each cell, row by row from the south-west. [m/s]
    pub rates: Vec<f64>,
    /// Whether the centre of the cell lies in the area.
    pub inside: Vec<bool>,
    /// Flow of all heads. [m³/s]
    pub thrown: f64,
    /// What of it falls on the area. [m³/s]
    pub caught: f64,
}

impl CatchGrid {
    /// Rates of the cells in the area, row by row. [m/s]
    pub fn rates_inside(&self) -> Vec<f64> {
        self.rates.iter().zip(&self.inside).filter(|(_, inside)| **inside).map(|(rate, _)| *rate).collect()
    }

    /// How evenly it falls on the area.
    ///
    /// # Errors
    /// No cell in the area, or nothing falls there.
    pub fn uniformity(&self) -> Result<Uniformity, NotUsable> {
        uniformity(&self.rates_inside(), Quarter::Exact)
    }

    /// Share of what is thrown that misses the area, up to what cells on its edge blur.
    pub fn missed(&self) -> f64 {
        if self.thrown > 0.0 { (1.0 - self.caught / self.thrown).max(0.0) } else { 0.0 }
    }

    /// Centre of a cell. [m]
    pub fn centre(&self, column: usize, row: usize) -> Point {
        centre(self.origin, self.cell, column, row)
    }
}

/// Most cells of a grid: 500 m square at 10 cm.
const MOST_CELLS: f64 = 2.5e7;

/// Catches the water of heads over an area.
///
/// # Arguments
/// - `cell`: side of a cell, 0.1 is usual. [m]
/// - `obstacles`: what stops a stream: walls, houses, hedges.
///
/// # Errors
/// A head or wind with impossible numbers, an empty area, a grid of more than 25 million cells.
pub fn catch_grid(
    heads: &[Head],
    area: &Region,
    cell: f64,
    obstacles: &[Region],
    wind: Wind,
) -> Result<CatchGrid, NotUsable> {
    above_zero("the side of a cell", cell, "m")?;
    share("the share that the wind takes", wind.lost)?;
    within("the wind's shift", wind.shift.hypot(), "m/m", wind.shift.hypot() < 1.0, "below 1")?;
    heads.iter().try_for_each(check_head)?;
    let bounds = area.bounds().unwrap_or(Rect::ZERO);
    above_zero("the area", area.area(), "m²")?;
    let columns = (bounds.width() / cell).ceil();
    let rows = (bounds.height() / cell).ceil();
    within("the count of cells", columns * rows, "", columns * rows <= MOST_CELLS, "at most 25 million")?;
    let (columns, rows) = (columns as usize, rows as usize);
    let origin = bounds.origin();
    let index = RegionIndex::new(area);
    let streams: Vec<Stream<'_>> = heads.iter().map(|head| Stream::new(head, obstacles, wind)).collect();
    let (rates, inside): (Vec<Vec<f64>>, Vec<Vec<bool>>) = (0..rows)
        .into_par_iter()
        .map(|row| {
            let y = centre(origin, cell, 0, row).y;
            let mut rates = vec![0.0; columns];
            for stream in streams.iter().filter(|stream| (y - stream.middle.y).abs() <= stream.reach) {
                stream.pour(&mut rates, origin, cell, row);
            }
            let inside = (0..columns).map(|k| index.contains(centre(origin, cell, k, row))).collect();
            (rates, inside)
        })
        .unzip();
    let (rates, inside) = (rates.concat(), inside.concat());
    let caught = rates.iter().zip(&inside).filter(|(_, inside)| **inside).map(|(r, _)| r).sum::<f64>();
    let thrown = heads.iter().map(|head| head.flow).sum();
    Ok(CatchGrid { origin, cell, columns, rows, rates, inside, thrown, caught: caught * cell * cell })
}

fn centre(origin: Point, cell: f64, column: usize, row: usize) -> Point {
    Point::new(origin.x + (column as f64 + 0.5) * cell, origin.y + (row as f64 + 0.5) * cell)
}

fn check_head(head: &Head) -> Result<(), NotUsable> {
    finite("a head's place", head.at.x + head.at.y, "m")?;
    finite("a head's direction", head.start, "rad")?;
    within(
        "a head's sweep",
        head.sweep,
        "rad",
        head.sweep > 0.0 && head.sweep <= TAU + 1e-9,
        "above 0, up to 2π",
    )?;
    above_zero("a head's throw", head.throw, "m")?;
    above_zero("a head's flow", head.flow, "m³/s")
}

/// A head made ready for many cells.
struct Stream<'h> {
    head: &'h Head,
    /// Rate where the relative depth is 1. [m/s]
    scale: f64,
    /// Directions of both ends of the sector.
    ends: [Vec2; 2],
    wind: Wind,
    /// Middle and radius of a disc that holds all that lands. [m]
    middle: Point,
    reach: f64,
    /// Edges of obstacles that may be in the way.
    edges: Vec<[Point; 2]>,
}

impl<'h> Stream<'h> {
    fn new(head: &'h Head, obstacles: &[Region], wind: Wind) -> Self {
        let direction = |angle: f64| Vec2::from_angle(angle);
        let edges = obstacles
            .iter()
            .flat_map(Region::edges)
            .map(|edge| [edge.p0, edge.p1])
            .filter(|edge| near(*edge, head.at) <= head.throw)
            .collect();
        Self {
            head,
            scale: head.profile.scale(head.flow, head.sweep, head.throw) * (1.0 - wind.lost),
            ends: [direction(head.start), direction(head.start + head.sweep)],
            wind,
            middle: head.at,
            reach: head.throw * (1.0 + wind.shift.hypot()),
            edges,
        }
    }

    /// Adds its water to a row of cells.
    fn pour(&self, rates: &mut [f64], origin: Point, cell: f64, row: usize) {
        let up = centre(origin, cell, 0, row).y - self.middle.y;
        let half = (self.reach * self.reach - up * up).max(0.0).sqrt();
        let column = |x: f64| ((x - origin.x) / cell - 0.5).clamp(0.0, rates.len() as f64);
        let first = column(self.middle.x - half).ceil() as usize;
        let last = ((column(self.middle.x + half).floor() + 1.0) as usize).min(rates.len());
        for (k, rate) in rates.iter_mut().enumerate().take(last).skip(first) {
            *rate += self.rate(centre(origin, cell, k, row));
        }
    }

    /// Rate at a place. [m/s]
    fn rate(&self, place: Point) -> f64 {
        let landed = place - self.head.at;
        let (thrown, stretch) = self.before_the_wind(landed);
        let distance = thrown.hypot();
        if distance > self.head.throw || !self.within_sector(thrown) {
            return 0.0;
        }
        let aimed = self.head.at + thrown;
        if self.edges.iter().any(|edge| crosses(*edge, [self.head.at, aimed])) {
            return 0.0;
        }
        self.scale * self.head.profile.relative(distance / self.head.throw) / stretch
    }

    /// Where water that lands here would have landed without wind, and by how much the wind stretches.
    ///
    /// Landed x = y + |y| w; so ρ = |y| solves (1 − w²) ρ² + 2 ρ x·w − x² = 0, and the stretching is
    /// 1 + y·w/|y|.
    fn before_the_wind(&self, landed: Vec2) -> (Vec2, f64) {
        let w = self.wind.shift;
        if w == Vec2::ZERO {
            return (landed, 1.0);
        }
        let (a, b, c) = (1.0 - w.hypot2(), landed.dot(w), landed.hypot2());
        let rho = ((b * b + a * c).sqrt() - b) / a;
        let thrown = landed - rho * w;
        let stretch = if rho > 0.0 { 1.0 + thrown.dot(w) / rho } else { 1.0 };
        (thrown, stretch)
    }

    fn within_sector(&self, thrown: Vec2) -> bool {
        if self.head.sweep >= TAU - 1e-9 {
            return true;
        }
        let after_start = self.ends[0].cross(thrown) >= 0.0;
        let before_end = thrown.cross(self.ends[1]) >= 0.0;
        if self.head.sweep <= TAU / 2.0 { after_start && before_end } else { after_start || before_end }
    }
}

/// Distance of an edge from a place. [m]
fn near(edge: [Point; 2], place: Point) -> f64 {
    let along = edge[1] - edge[0];
    let t = ((place - edge[0]).dot(along) / along.hypot2().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
    (edge[0] + t * along).distance(place)
}

/// Whether two stretches cross.
pub(crate) fn crosses(a: [Point; 2], b: [Point; 2]) -> bool {
    let side = |line: [Point; 2], place: Point| (line[1] - line[0]).cross(place - line[0]);
    side(a, b[0]) * side(a, b[1]) < 0.0 && side(b, a[0]) * side(b, a[1]) < 0.0
}
