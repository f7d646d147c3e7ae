//! The controller's table: for each month, on which days and how long.
//!
//! - In: a zone's root zone, rate, intake, and each month's daily evapotranspiration and rain. [m]
//! - Out: for each month the interval, days of the week, cycles and whole minutes, and the volume. [m³]
//! - Days that a rule forbids are left out; where too few days are left, the runs get longer, and a
//!   flag says when the root zone runs dry between them.
//! - While plants establish, roots are as deep as their balls and stress is kept lower.

use crate::cycle_soak::{CycleSoak, cycle_soak};
use crate::positive::{NotUsable, above_zero, not_below_zero, share_above_zero};
use crate::run_time::{Need, run_time};
use crate::soil_water::{RootZone, interval};

/// Share of the readily available water that plants may take while they establish: common practice,
/// no source.
pub const ESTABLISHING: f64 = 0.5;

/// A zone as its controller sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ControlledZone {
    /// Roots and soil.
    pub roots: RootZone,
    /// Plant factor.
    pub plant_factor: f64,
    /// Share of the water applied that plants can use.
    pub efficiency: f64,
    /// Rate over the area. [m/s]
    pub rate: f64,
    /// Area. [m²]
    pub area: f64,
    /// Intake of the soil. [m/s]
    pub intake: f64,
    /// What the surface holds before water moves. [m]
    pub allowance: f64,
    /// Whether its plants are still establishing.
    pub establishing: bool,
}

/// A month.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Month {
    /// Days in it, 28 to 31.
    pub days: u32,
    /// Reference evapotranspiration of the whole month. [m]
    pub reference: f64,
    /// Rain of the whole month that counts. [m]
    pub rain: f64,
}

/// A line of the table.
#[derive(Debug, Clone, PartialEq)]
pub struct MonthLine {
    /// Net need of a day. [m]
    pub daily: f64,
    /// Longest interval without stress. [days]
    pub interval: u32,
    /// Waterings in the month.
    pub waterings: u32,
    /// Days of the week on which it runs, Monday first; all false where nothing is needed.
    pub weekdays: [bool; 7],
    /// Net depth of a watering. [m]
    pub net: f64,
    /// Its run in cycles.
    pub run: CycleSoak,
    /// Each cycle in whole minutes, as the controller takes it. [s]
    pub cycle_set: f64,
    /// Water of the month, by the whole minutes. [m³]
    pub volume: f64,
    /// Whether the longest gap between waterings takes more than the soil gives without stress.
    pub dry_between: bool,
}

/// The table of a zone.
///
/// # Arguments
/// - `months`: in order, usually twelve. `allowed`: days of the week on which watering is allowed,
///   Monday first; at least one.
///
/// # Errors
/// Numbers that are none, no day allowed, a soil without intake under a rate above it.
pub fn controller_table(
    zone: ControlledZone,
    months: &[Month],
    allowed: [bool; 7],
) -> Result<Vec<MonthLine>, NotUsable> {
    zone.roots.check()?;
    above_zero("the area", zone.area, "m²")?;
    share_above_zero("the efficiency", zone.efficiency)?;
    above_zero("the days of the week on which watering is allowed", count(allowed), "")?;
    months.iter().map(|month| line(zone, month, allowed)).collect()
}

fn count(days: [bool; 7]) -> f64 {
    days.iter().filter(|day| **day).count() as f64
}

fn line(zone: ControlledZone, month: &Month, allowed: [bool; 7]) -> Result<MonthLine, NotUsable> {
    above_zero("the days of the month", f64::from(month.days), "")?;
    let days = f64::from(month.days);
    not_below_zero("the rain of the month", month.rain, "m")?;
    let need = Need {
        reference: month.reference / days,
        plant_factor: zone.plant_factor,
        rain: month.rain / days,
        efficiency: zone.efficiency,
    };
    let daily = need.net()?;
    let care = if zone.establishing { ESTABLISHING } else { 1.0 };
    let used = month.reference / days * zone.plant_factor;
    let readily = zone.roots.available() * zone.roots.easy_share_on(used) * care;
    let gap = interval(readily, daily, 7)?;
    let wanted = (7.0 / f64::from(gap.days)).ceil().min(count(allowed));
    let weekdays = if daily > 0.0 { spread(allowed, wanted as usize) } else { [false; 7] };
    let runs = count(weekdays);
    // The month has days/7 weeks; what a week needs is shared by its runs.
    let net = if runs > 0.0 { daily * 7.0 / runs } else { 0.0 };
    let run =
        cycle_soak(run_time(net / zone.efficiency, zone.rate)?, zone.rate, zone.intake, zone.allowance)?;
    let cycle_set = run.whole_minutes(true);
    let waterings = (runs * days / 7.0).round();
    let volume = waterings * f64::from(run.cycles) * cycle_set * zone.rate * zone.area;
    let dry_between = daily * longest_gap(weekdays) > readily * (1.0 + 1e-9);
    Ok(MonthLine {
        daily,
        interval: gap.days,
        waterings: waterings as u32,
        weekdays,
        net,
        run,
        cycle_set,
        volume,
        dry_between,
    })
}

/// Moves runs of one month to other allowed days, so that the fullest day of all zones is short.
///
/// # Arguments
/// - `lines`: the same month of every zone. `allowed`: days of the week, Monday first.
///
/// # Returns
/// Nothing; each line keeps its count of days and its longest gap. Zones are placed longest first, each
/// where it makes the fullest day least: a good spread, not the best there is.
pub fn stagger(lines: &mut [&mut MonthLine], allowed: [bool; 7]) {
    let mut order: Vec<usize> = (0..lines.len()).collect();
    let length = |line: &MonthLine| f64::from(line.run.cycles) * line.cycle_set;
    order.sort_by(|a, b| length(lines[*b]).total_cmp(&length(lines[*a])).then(a.cmp(b)));
    let mut load = [0.0; 7];
    for i in order {
        let (own, gap) = (length(lines[i]), longest_gap(lines[i].weekdays));
        let set = |days: &[bool; 7]| days.iter().filter(|day| **day).count();
        let runs = set(&lines[i].weekdays);
        let fits = |pick: &[bool; 7]| {
            let inside = (0..7).all(|day| allowed[day] || !pick[day]);
            inside && set(pick) == runs && longest_gap(*pick) <= gap + 1e-9
        };
        let fullest = |pick: &[bool; 7]| {
            let days = pick.iter().zip(&load).filter(|(runs, _)| **runs);
            days.map(|(_, load)| load + own).fold(0.0, f64::max)
        };
        let picks = (0_u32..128).map(|code| std::array::from_fn(|day| code >> day & 1 == 1));
        let best = picks.filter(fits).min_by(|a, b| fullest(a).total_cmp(&fullest(b)));
        if let Some(best) = best {
            lines[i].weekdays = best;
        }
        for (day, runs) in lines[i].weekdays.iter().enumerate() {
            load[day] += if *runs { own } else { 0.0 };
        }
    }
}

/// Picks `wanted` of the allowed days so that the longest gap is shortest; the earliest such choice.
fn spread(allowed: [bool; 7], wanted: usize) -> [bool; 7] {
    let mut best = (f64::INFINITY, allowed);
    for code in 0_u32..128 {
        let pick: [bool; 7] = std::array::from_fn(|day| code >> day & 1 == 1);
        let good = pick.iter().zip(allowed).all(|(pick, allowed)| allowed || !pick);
        let gap = longest_gap(pick);
        if good && count(pick) as usize == wanted && gap < best.0 {
            best = (gap, pick);
        }
    }
    best.1
}

/// Longest time from one chosen day to the next, round the week. [days] 0 without any.
fn longest_gap(days: [bool; 7]) -> f64 {
    let chosen: Vec<usize> = (0..7).filter(|&day| days[day]).collect();
    let gap = |k: usize| {
        let next = chosen[(k + 1) % chosen.len()];
        let gap = (next + 7 - chosen[k]) % 7;
        if gap == 0 { 7 } else { gap }
    };
    (0..chosen.len()).map(gap).max().unwrap_or(0) as f64
}
