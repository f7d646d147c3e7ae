//! Sun hours of a whole yard: the map, what it says of each bed, and its lines.
//!
//! - In: the yard, a grid, and the hours of each month's mean day, computed outside (months run side
//!   by side). Out: means over growing season and winter, a table by bed, lines of equal hours.
//! - The growing season is April to September, winter November to February; half a year later south
//!   of the equator.
//! - Hours come from a model: the reader sees half hours.
//! - Not here: what somebody saw on site, which goes before any model.

use groundwright_geometry::{Point, Rect, RegionIndex};
use groundwright_plan::{ElementRef, Project};
use groundwright_units::Reader;
use groundwright_yard::Yard;

use crate::map::{DayHours, Grid, GridFault};
use crate::noon::Noon;
use crate::spa::Observer;

/// Usual number of points of a map.
pub const USUAL_POINTS: f64 = 2000.0;
/// Usual length of a moment of sun. [h]
pub const USUAL_STEP: f64 = 0.5;

/// Months of the growing season, north of the equator.
const SEASON: [u8; 6] = [4, 5, 6, 7, 8, 9];
/// Months of winter, north of the equator.
const WINTER: [u8; 4] = [11, 12, 1, 2];

/// Months of the growing season.
pub fn season(south: bool) -> Vec<u8> {
    SEASON.iter().map(|month| turned(*month, south)).collect()
}

/// Months of winter.
pub fn winter(south: bool) -> Vec<u8> {
    WINTER.iter().map(|month| turned(*month, south)).collect()
}

fn turned(month: u8, south: bool) -> u8 {
    if south { (month + 5) % 12 + 1 } else { month }
}

/// So far above a box's rim its own body casts no shadow. [m]
const RIM: f64 = 0.01;

/// The observer that a property's place makes.
pub fn observer(project: &Project) -> Observer {
    let place = &project.property.place;
    Observer::new(place.latitude.value, place.longitude.value, place.elevation.value)
}

/// A grid over the property, or over all that is drawn where no line is known. In a raised box it
/// lies at the rim, for that is where the sun meets what grows in it; inside the walls it would lie
/// in the dark.
///
/// # Errors
/// A yard without extent.
pub fn usual_grid(project: &Project, yard: &Yard, points: f64) -> Result<Grid, GridFault> {
    let plot = &yard.plot;
    let areas = plot.boundary.iter().chain(&plot.beds).chain(&plot.lawns).chain(&plot.buildings);
    let over = areas.filter_map(|area| area.whole.bounds()).reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO);
    // A map's step is round, so that moving a bed line does not move every point.
    let step = ((over.area() / points).sqrt() * 20.0).ceil().max(1.0) / 20.0;
    let rims: Vec<(RegionIndex, f64)> = plot
        .boxes
        .iter()
        .filter_map(|area| {
            let planter = project.design.boxes.iter().find(|planter| planter.id == area.element.id)?;
            Some((RegionIndex::new(&area.whole.grow(planter.wall.value)), planter.height.value + RIM))
        })
        .collect();
    let above = |at: Point| rims.iter().find(|(inside, _)| inside.contains(at)).map_or(0.0, |(_, rim)| *rim);
    Grid::over(over, step, |at| yard.ground.proposed(at) + above(at))
}

/// Mean hours a day of some months at every point. [h]
#[derive(Debug, Clone, PartialEq)]
pub struct Mean {
    /// All day. [h]
    pub total: Vec<f64>,
    /// After the sun's highest. [h]
    pub afternoon: Vec<f64>,
}

/// Sun hours of a yard at one age.
#[derive(Debug, Clone)]
pub struct SunStudy<'p> {
    /// The project.
    pub project: &'p Project,
    /// The yard.
    pub yard: &'p Yard,
    /// Where.
    pub grid: &'p Grid,
    /// Years since planting. [a]
    pub age: f64,
    /// Growing season.
    pub season: Mean,
    /// Winter.
    pub winter: Mean,
    /// Rows of the table.
    pub beds: Vec<BedSun>,
    /// Shadows at noon, where somebody computed them.
    pub noons: &'p [Noon],
    /// Units for words inside marks.
    pub reader: Reader,
}

/// Sun of one bed, box or lawn.
#[derive(Debug, Clone, PartialEq)]
pub struct BedSun {
    /// Which.
    pub element: ElementRef,
    /// A tenth of it gets less than this in the growing season. [h/day]
    pub least: f64,
    /// Half of it gets less. [h/day]
    pub middle: f64,
    /// A tenth of it gets more. [h/day]
    pub most: f64,
    /// Mean after the sun's highest. [h/day]
    pub afternoon: f64,
    /// Half of it gets less in winter. [h/day]
    pub winter: f64,
    /// Points of the map that lie in it.
    pub points: usize,
}

/// Puts the months of a year together.
///
/// # Arguments
/// - `months`: hours of the mean day of each month, January first, all on `grid`.
/// - `age`: years since planting. [a]
pub fn study<'p>(
    project: &'p Project,
    yard: &'p Yard,
    grid: &'p Grid,
    months: &[DayHours; 12],
    age: f64,
) -> SunStudy<'p> {
    let south = project.property.place.latitude.value < 0.0;
    let (season, winter) = (mean(months, &season(south)), mean(months, &winter(south)));
    let plot = &yard.plot;
    let beds = plot.beds.iter().chain(&plot.boxes).chain(&plot.lawns).filter_map(|area| {
        let index = RegionIndex::new(&area.free);
        let bounds = area.free.bounds()?;
        let inside = |at: Point| bounds.contains(at) && index.contains(at);
        let points: Vec<usize> = (0..grid.len()).filter(|i| inside(grid.at(*i))).collect();
        bed(area.element.clone(), &points, &season, &winter)
    });
    let beds = beds.collect();
    SunStudy {
        project,
        yard,
        grid,
        age,
        season,
        winter,
        beds,
        noons: &[],
        reader: Reader::new(project.property.system),
    }
}

/// Mean of some months' days, each counted alike.
fn mean(months: &[DayHours; 12], which: &[u8]) -> Mean {
    let days: Vec<&DayHours> = which.iter().map(|month| &months[usize::from(*month) - 1]).collect();
    let n = days.len() as f64;
    let points = days.first().map_or(0, |day| day.morning.len());
    let of = |value: &dyn Fn(&DayHours, usize) -> f64| {
        (0..points).map(|i| days.iter().map(|day| value(day, i)).sum::<f64>() / n).collect()
    };
    Mean { total: of(&|day, i| day.total(i)), afternoon: of(&|day, i| day.afternoon[i]) }
}

fn bed(element: ElementRef, points: &[usize], season: &Mean, winter: &Mean) -> Option<BedSun> {
    if points.is_empty() {
        return None;
    }
    let sorted = |values: &[f64]| {
        let mut mine: Vec<f64> = points.iter().map(|i| values[*i]).collect();
        mine.sort_by(f64::total_cmp);
        mine
    };
    let (of_season, of_winter) = (sorted(&season.total), sorted(&winter.total));
    let share = |values: &[f64], share: f64| values[((values.len() - 1) as f64 * share).round() as usize];
    Some(BedSun {
        element,
        least: share(&of_season, 0.1),
        middle: share(&of_season, 0.5),
        most: share(&of_season, 0.9),
        afternoon: points.iter().map(|i| season.afternoon[*i]).sum::<f64>() / points.len() as f64,
        winter: share(&of_winter, 0.5),
        points: points.len(),
    })
}
