//! Through the year: what every zone runs by month, and the water of a year against its budget.
//!
//! - Run times follow the soil water balance of `controller.rs` for the thirstiest plant of a zone; heads
//!   are run longer by their unevenness, drip by its emission uniformity.
//! - Shown twice: for plants that have grown in, and for their first season, with roots as deep as their
//!   balls.
//! - Rain counts by the dependable-rain rule of FAO: 0.6 P − 10 mm up to 75 mm a month, 0.8 P − 25 mm beyond
//!   (from memory).

use groundwright_plan::{Kind, Project};

use super::soil::Soil;
use super::{AreaRun, Even, ZoneRun};
use crate::budget::{Budget, BudgetZone, DRIP_EFFICIENCY, RESIDENTIAL_2015, SPRAY_EFFICIENCY, budget};
use crate::controller::{ControlledZone, Month, MonthLine, controller_table, stagger};
use crate::cycle_soak::surface_allowance;
use crate::hydrozones::Method;
use crate::soil_water::RootZone;
use crate::uniformity::run_time_multiplier;

/// Days of the months.
const DAYS: [u32; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
/// Depth of roots that have grown in: turf, boxes, beds, trees. [m] Common practice, no source.
const ROOTS: [f64; 4] = [0.15, 0.25, 0.4, 0.6];
/// Depth of the balls of new plants, and of new turf. [m] Common practice, no source.
const BALL: (f64, f64) = (0.15, 0.08);
/// Share p of the available water without stress.
///
/// # Source
/// FAO Irrigation and Drainage Paper 56, table 22: cool-season turf 0.40; shrubs stand in for 0.50, from memory.
const EASY: (f64, f64) = (0.40, 0.50);

/// Climate of the place as irrigation needs it, January first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Year {
    /// Reference evapotranspiration of the month. [m]
    pub reference: [f64; 12],
    /// Rain of the month. [m]
    pub rain: [f64; 12],
    /// Whether the property's climate gives them; else they are assumed from the latitude.
    pub known: (bool, bool),
}

impl Year {
    /// Months with the rain that counts.
    pub fn months(&self) -> Vec<Month> {
        (0..12)
            .map(|i| Month { days: DAYS[i], reference: self.reference[i], rain: dependable(self.rain[i]) })
            .collect()
    }

    /// Index of the month in which plants need most.
    pub fn peak(&self) -> usize {
        let need = |i: &usize| self.reference[*i] - dependable(self.rain[*i]);
        (0..12).max_by(|a, b| need(a).total_cmp(&need(b))).unwrap_or(6)
    }
}

/// Rain of a month that can be relied on. [m]
fn dependable(rain: f64) -> f64 {
    let millimetres = rain * 1000.0;
    let counts = if millimetres <= 75.0 { 0.6 * millimetres - 10.0 } else { 0.8 * millimetres - 25.0 };
    counts.max(0.0) / 1000.0
}

/// The year of a zone.
#[derive(Debug, Clone)]
pub struct Schedule {
    /// Months when grown in.
    pub grown: Vec<MonthLine>,
    /// Months of the first season.
    pub first: Vec<MonthLine>,
    /// Rate over its area. [m/s]
    pub rate: f64,
    /// Share of the water that plants can use.
    pub efficiency: f64,
    /// Intake of its soil on its slope. [m/s]
    pub intake: f64,
}

/// Runs of a zone through the year; none where it has no flow or a number cannot be.
pub(super) fn schedule(
    project: &Project,
    zone: &ZoneRun<'_>,
    areas: &[AreaRun<'_>],
    evens: &[Option<Even>],
    year: &Year,
) -> Option<Schedule> {
    let flow = zone.plan().map_or(zone.flow, |plan| plan.flow);
    let area: f64 = zone.outlet_shares(areas).iter().sum();
    let rate = flow / area;
    let soil = Soil::of(project.property.place.soil.value);
    let own: Vec<&AreaRun<'_>> = zone.areas.iter().map(|i| &areas[*i]).collect();
    let turf = own.iter().any(|run| run.turf);
    let depth = match own.first()?.element.kind {
        _ if turf => ROOTS[0],
        Kind::PlanterBox => ROOTS[1],
        Kind::Tree => ROOTS[3],
        _ => ROOTS[2],
    };
    let evenness = zone.areas.iter().filter_map(|i| evens[*i].as_ref());
    let efficiency = evenness.filter_map(|even| even.efficiency(zone.common.method)).fold(1.0, f64::min);
    let slope = own.iter().map(|run| run.slope).fold(0.0, f64::max);
    let (intake, drips) = (soil.intake_on(slope), zone.common.method == Method::Drip);
    let factor = own.iter().map(|run| run.factor()).fold(0.0, f64::max);
    let controlled = |depth: f64, establishing: bool| ControlledZone {
        roots: RootZone {
            field_capacity: soil.field_capacity,
            wilting_point: soil.wilting_point,
            depth,
            easy_share: if turf { EASY.0 } else { EASY.1 },
        },
        plant_factor: factor,
        efficiency,
        rate,
        area,
        // Drip and bubblers wet what they wet at their own rate; run-off is not theirs.
        intake: if drips { intake.max(rate) } else { intake },
        allowance: surface_allowance(slope).unwrap_or(0.003),
        establishing,
    };
    let allowed = project.property.supply.days.unwrap_or([true; 7]);
    let months = year.months();
    let ball = if turf { BALL.1 } else { BALL.0 };
    Some(Schedule {
        grown: controller_table(controlled(depth, false), &months, allowed).ok()?,
        first: controller_table(controlled(ball, true), &months, allowed).ok()?,
        rate,
        efficiency,
        intake,
    })
}

/// Spreads the zones over the days that are allowed, month by month.
pub(super) fn stagger_all(project: &Project, zones: &mut [ZoneRun<'_>]) {
    let allowed = project.property.supply.days.unwrap_or([true; 7]);
    for month in 0..12 {
        let tables: [fn(&mut Schedule) -> &mut Vec<MonthLine>; 2] = [|s| &mut s.grown, |s| &mut s.first];
        for of in tables {
            let schedules = zones.iter_mut().filter_map(|zone| zone.schedule.as_mut());
            let mut lines: Vec<&mut MonthLine> = schedules.filter_map(|s| of(s).get_mut(month)).collect();
            stagger(&mut lines, allowed);
        }
    }
}

impl Even {
    /// Share of the water that plants can use.
    fn efficiency(&self, method: Method) -> Option<f64> {
        let sprayed = matches!(method, Method::Spray | Method::Rotor);
        let heads = || self.low_quarter.and_then(|quarter| Some(1.0 / run_time_multiplier(quarter).ok()?));
        if sprayed { heads() } else { self.emission }
    }
}

/// The budget of a year over all that is watered.
pub(super) fn yearly(areas: &[AreaRun<'_>], year: &Year) -> Option<Budget> {
    let zones: Vec<BudgetZone> = areas
        .iter()
        .map(|run| {
            let sprayed = run.is_sprayed();
            BudgetZone {
                name: run.label.clone(),
                plant_factor: run.factor(),
                efficiency: if sprayed { SPRAY_EFFICIENCY } else { DRIP_EFFICIENCY },
                area: run.area(),
                special: false,
            }
        })
        .collect();
    budget(year.reference.iter().sum(), RESIDENTIAL_2015, &zones).ok()
}
