//! Hydrozones: areas that want the same water, put on valves of their own.
//!
//! - In: areas with plants' water class, sun, slope, soil, method, and flow. Out: groups, and zones
//!   that the supply can run at once.
//! - Areas of one group have everything in common that sets a run time; groups whose plants differ in
//!   water class within one area are reported, never averaged away.
//! - A group is split over valves first fit, largest first: at most 11/9 of the least count of valves
//!   and one more (Johnson 1973).

use std::collections::BTreeMap;

use crate::positive::{NotUsable, above_zero, not_below_zero};

/// How much water plants use, by class.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum WaterUse {
    /// Below a tenth of reference evapotranspiration.
    VeryLow,
    /// A tenth to three tenths.
    Low,
    /// Four to six tenths.
    Moderate,
    /// Seven tenths and more.
    High,
}

impl WaterUse {
    /// The class of a plant factor; borders go to the class below which the gap lies.
    ///
    /// # Errors
    /// A factor below zero or not finite.
    ///
    /// # Source
    /// Classes of the plant-water classification that California's ordinance refers to: < 0.1, 0.1 to
    /// 0.3, 0.4 to 0.6, 0.7 and more; factors between the classes go to the wetter one.
    pub fn of_plant_factor(factor: f64) -> Result<Self, NotUsable> {
        not_below_zero("the plant factor", factor, "")?;
        Ok(match factor {
            f if f < 0.1 => Self::VeryLow,
            f if f <= 0.3 => Self::Low,
            f if f <= 0.6 => Self::Moderate,
            _ => Self::High,
        })
    }
}

/// How much sun an area has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[expect(missing_docs, reason = "the names are the classes of the trade")]
pub enum Exposure {
    Shade,
    PartSun,
    Sun,
}

/// How water is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Method {
    /// Fixed spray.
    Spray,
    /// Turning streams.
    Rotor,
    /// Drip lines and emitters.
    Drip,
    /// Bubblers.
    Bubbler,
}

/// An area to water.
#[derive(Debug, Clone, PartialEq)]
pub struct WateredArea {
    /// As the drawing calls it.
    pub name: String,
    /// Plant factors of its plants; at least one.
    pub plant_factors: Vec<f64>,
    /// Sun.
    pub exposure: Exposure,
    /// Slope, rise over run.
    pub slope: f64,
    /// Soil, by any name that sets its intake.
    pub soil: String,
    /// Method.
    pub method: Method,
    /// Area. [m²]
    pub area: f64,
    /// Flow at full work. [m³/s]
    pub flow: f64,
}

/// What areas of a group have in common.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Common {
    /// Method.
    pub method: Method,
    /// Class of the thirstiest plants.
    pub water_use: WaterUse,
    /// Sun.
    pub exposure: Exposure,
    /// 0 up to 5 %, 1 up to 8 %, 2 up to 12 %, 3 beyond: the steps of published intake tables.
    pub slope_class: u8,
    /// Soil.
    pub soil: String,
}

/// A valve's zone.
#[derive(Debug, Clone, PartialEq)]
pub struct Hydrozone {
    /// What its areas have in common.
    pub common: Common,
    /// Indices of the areas.
    pub areas: Vec<usize>,
    /// Flow of them together. [m³/s]
    pub flow: f64,
    /// Area of them together. [m²]
    pub area: f64,
}

/// Something to look at.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ZoneFlag {
    /// Plants of different classes in one area.
    #[error(
        "`{area}` mixes plants of {least:?} and {most:?} water use; it is watered for the thirstiest, move the others or give them a valve"
    )]
    Mixed {
        /// Name of the area.
        area: String,
        /// Class of the plants that want least.
        least: WaterUse,
        /// Class of the plants that want most.
        most: WaterUse,
    },
    /// One area alone is more than the supply gives.
    #[error(
        "`{area}` alone takes {flow:.6} m³/s, more than the {available:.6} m³/s there are; divide its heads over {parts} valves"
    )]
    TooMuch {
        /// Name of the area.
        area: String,
        /// Its flow. [m³/s]
        flow: f64,
        /// What there is. [m³/s]
        available: f64,
        /// Valves it needs at least.
        parts: usize,
    },
}

/// The zones.
#[derive(Debug, Clone, PartialEq)]
pub struct Hydrozones {
    /// In order of what their areas have in common; every area is in exactly one.
    pub zones: Vec<Hydrozone>,
    /// What to look at.
    pub flags: Vec<ZoneFlag>,
}

/// Groups areas and splits the groups by the flow there is.
///
/// # Errors
/// Numbers that are none, an area without plants, no flow.
pub fn hydrozones(areas: &[WateredArea], available: f64) -> Result<Hydrozones, NotUsable> {
    above_zero("the flow there is", available, "m³/s")?;
    let mut groups: BTreeMap<Common, Vec<usize>> = BTreeMap::new();
    let mut flags = Vec::new();
    for (i, area) in areas.iter().enumerate() {
        above_zero("an area's size", area.area, "m²")?;
        not_below_zero("an area's flow", area.flow, "m³/s")?;
        not_below_zero("an area's slope", area.slope, "")?;
        let (least, most) = classes(area)?;
        if least != most {
            flags.push(ZoneFlag::Mixed { area: area.name.clone(), least, most });
        }
        if area.flow > available {
            let parts = (area.flow / available).ceil() as usize;
            flags.push(ZoneFlag::TooMuch { area: area.name.clone(), flow: area.flow, available, parts });
        }
        groups.entry(common(area, most)).or_default().push(i);
    }
    let mut zones = Vec::new();
    for (common, group) in groups {
        zones.extend(split(&common, group, areas, available));
    }
    Ok(Hydrozones { zones, flags })
}

fn classes(area: &WateredArea) -> Result<(WaterUse, WaterUse), NotUsable> {
    above_zero("the count of plants of an area", area.plant_factors.len() as f64, "")?;
    let mut range = (WaterUse::High, WaterUse::VeryLow);
    for factor in &area.plant_factors {
        let class = WaterUse::of_plant_factor(*factor)?;
        range = (range.0.min(class), range.1.max(class));
    }
    Ok(range)
}

fn common(area: &WateredArea, water_use: WaterUse) -> Common {
    let slope_class = [0.05, 0.08, 0.12].iter().filter(|limit| area.slope > **limit).count() as u8;
    Common { method: area.method, water_use, exposure: area.exposure, slope_class, soil: area.soil.clone() }
}

/// First fit, largest first; areas of equal flow in their order.
fn split(common: &Common, mut group: Vec<usize>, areas: &[WateredArea], available: f64) -> Vec<Hydrozone> {
    group.sort_by(|&a, &b| areas[b].flow.total_cmp(&areas[a].flow).then(a.cmp(&b)));
    let mut zones: Vec<Hydrozone> = Vec::new();
    for i in group {
        let (flow, area) = (areas[i].flow, areas[i].area);
        match zones.iter_mut().find(|zone| zone.flow + flow <= available * (1.0 + 1e-12)) {
            Some(zone) => {
                zone.areas.push(i);
                zone.flow += flow;
                zone.area += area;
            }
            None => zones.push(Hydrozone { common: common.clone(), areas: vec![i], flow, area }),
        }
    }
    for zone in &mut zones {
        zone.areas.sort_unstable();
    }
    zones
}
