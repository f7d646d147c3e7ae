//! Sun over the yard: bodies of the studies, sun hours on the ground and at every plant.
//!
//! - In: the project and its placed yard. Out: hours of each month's mean day on a grid, and the mean
//!   of the growing season at every plant's top, as planted and in later years.
//! - On the ground the whole yard is mapped as planted; plants are asked again when crowns have
//!   grown. A plant is asked at its top, where its own crown takes nothing.
//! - Not here: what the hours mean (`groundwright-sun`, `groundwright-planting`).

use std::collections::BTreeMap;

use groundwright_geometry::Point3;
use groundwright_handoff::{Body, Role, Solid, Study, When};
use groundwright_light::Night;
use groundwright_plan::{ElementRef, Project};
use groundwright_planting::{PlantLight, PlantingStudy, SunAt};
use groundwright_scene::{Bodies, Scene};
use groundwright_site::SiteStudy;
use groundwright_sun::sky::MEAN_DAYS;
use groundwright_sun::{
    DayHours, Event, Grid, Half, NOON_POINTS, Noon, SunMoment, SunYear, USUAL_STEP, day_hours, month_moments,
    noon_moment, observer, season, sun_day, time_zone, usual_grid,
};
use groundwright_yard::Yard;
use rayon::prelude::*;

/// Years after planting at which plants are asked for their light. [a]
pub const LIGHT_YEARS: [f64; 2] = [0.0, 10.0];

/// The year whose sun is taken: any does, within a minute of arc.
const YEAR: i16 = 2026;
/// Above its top a plant does not shade itself. [m]
const ABOVE: f64 = 0.01;

/// The studies that have bodies above the ground.
pub struct Casting<'p> {
    site: SiteStudy<'p>,
    planting: PlantingStudy<'p>,
    yard: &'p Yard,
    project: &'p Project,
}

impl<'p> Casting<'p> {
    /// Studies a placed yard.
    pub fn new(project: &'p Project, yard: &'p Yard) -> Self {
        let site = groundwright_site::study(project, yard);
        let planting = groundwright_planting::study(project, yard);
        Self { site, planting, yard, project }
    }

    /// Solids on the mean day of a month.
    fn solids(&self, month: u8, age: f64) -> Vec<Solid> {
        let day = MEAN_DAYS[usize::from(month) - 1];
        let when = When { month, day, ..When::years(age) };
        let mut all = self.site.solids(when);
        all.extend(self.planting.solids(when));
        all
    }

    /// Opaque faces and crowns on the mean day of a month. Bodies that cannot be placed are none.
    pub fn bodies(&self, month: u8, age: f64) -> Bodies {
        Bodies::of(&self.solids(month, age)).0
    }

    /// Moments of sun of the mean day of a month.
    pub fn moments(&self, month: u8) -> Vec<SunMoment> {
        let north = self.project.property.north.value;
        month_moments(&observer(self.project), north, YEAR, month, USUAL_STEP)
    }

    /// Hours of direct sun on the ground on the mean day of a month.
    pub fn ground(&self, grid: &Grid, month: u8, age: f64) -> DayHours {
        day_hours(grid, &self.bodies(month, age), &self.moments(month))
    }

    /// Shadows at noon as planted. Where the ground has no extent there are none.
    pub fn noons(&self) -> Vec<Noon> {
        let Ok(grid) = usual_grid(self.project, self.yard, NOON_POINTS) else { return Vec::new() };
        let south = self.project.property.place.latitude.value < 0.0;
        let north = self.project.property.north.value;
        SunYear::ALL
            .into_par_iter()
            .map(|day| {
                let moment = noon_moment(&observer(self.project), north, YEAR, day, south);
                groundwright_sun::noon::noon(&grid, &self.bodies(day.date(south).0, 0.0), day, moment)
            })
            .collect()
    }

    /// Light at every plant at some ages.
    pub fn plants(&self, years: &[f64]) -> PlantLight {
        PlantLight { years: years.iter().map(|age| (*age, self.plants_at(*age))).collect() }
    }

    fn plants_at(&self, age: f64) -> Vec<Option<SunAt>> {
        let months = season(self.project.property.place.latitude.value < 0.0);
        let scenes: Vec<(Scene, Vec<SunMoment>)> = months
            .par_iter()
            .map(|month| (Scene::new(self.bodies(*month, age)), self.moments(*month)))
            .collect();
        // In the middle of the season all that grows is out.
        let tops = tops(&self.solids(months[months.len() / 2], age));
        self.yard
            .plants
            .par_iter()
            .map(|plant| {
                let top = tops.get(&key(&plant.key.instruction, plant.at.x, plant.at.y))?;
                let at = Point3::new(plant.at.x, plant.at.y, top + ABOVE);
                Some(sun_at(&scenes, at))
            })
            .collect()
    }
}

/// Mean of the months' days.
fn sun_at(scenes: &[(Scene, Vec<SunMoment>)], at: Point3) -> SunAt {
    let mut sun = SunAt::default();
    for (scene, moments) in scenes {
        for moment in moments {
            let hours = moment.hours * scene.light(at, moment.direction);
            sun.total += hours;
            if moment.half == Half::Afternoon {
                sun.afternoon += hours;
            }
        }
    }
    let days = scenes.len().max(1) as f64;
    SunAt { total: sun.total / days, afternoon: sun.afternoon / days }
}

type Spot = (ElementRef, i64, i64);

/// Plants are found again by whose they are and where they stand, to the millimetre.
fn key(element: &ElementRef, x: f64, y: f64) -> Spot {
    let millimetres = |v: f64| (v * 1000.0).round() as i64;
    (element.clone(), millimetres(x), millimetres(y))
}

/// The top of the crown that stands at each place. [m]
fn tops(solids: &[Solid]) -> BTreeMap<Spot, f64> {
    let mut tops = BTreeMap::new();
    for solid in solids.iter().filter(|solid| solid.role == Role::Grows) {
        if let Body::Crown { centre, half_height, .. } = &solid.body {
            tops.insert(key(&solid.subject, centre.x, centre.y), centre.z + half_height);
        }
    }
    tops
}

/// Days of each month whose evening stands for ten.
const EVENINGS: [u8; 3] = [1, 11, 21];

/// Evenings of a year at the place, by its clock.
pub fn nights(project: &Project) -> Vec<Night> {
    let place = &project.property.place;
    let Ok(zone) = time_zone(&place.time_zone.value) else { return Vec::new() };
    let observer = observer(project);
    let days: Vec<(i8, u8)> = (1..=12).flat_map(|month| EVENINGS.map(|day| (month, day))).collect();
    days.into_par_iter()
        .filter_map(|(month, day)| {
            let date = jiff::civil::Date::new(YEAR, month, day.cast_signed()).ok()?;
            let clock = |date, event| {
                let day = sun_day(&observer, date, &zone).ok()?;
                let time = day.first(event)?.time();
                let (hours, minutes) = (f64::from(time.hour()), f64::from(time.minute()));
                Some(hours * 3600.0 + minutes * 60.0 + f64::from(time.second()))
            };
            let last = f64::from(date.days_in_month());
            Some(Night {
                month: month.cast_unsigned(),
                day,
                dusk: clock(date, Event::CivilDusk),
                dawn: clock(date.tomorrow().ok()?, Event::CivilDawn),
                stands_for: if day == EVENINGS[2] { last - 20.0 } else { 10.0 },
            })
        })
        .collect()
}
