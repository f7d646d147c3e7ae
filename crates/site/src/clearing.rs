//! Clearing: brush to cut, roots to grub out, turf to strip, and how much of it is hauled.
//!
//! - In: sizes of what is removed and the practice's shares; for a project the overgrown ground and
//!   the ground that is stripped. Out: volumes, and areas that add up.
//! - Method: growth is taken as a prism over its ground, a shrub's crown as a cylinder; cut and piled,
//!   it makes a share (*brush bulk*) of that volume. A grubbed root is a cylinder half as deep as wide.
//!   These forms are common practice, no source.
//! - Assumption, also printed with the takeoff: turf is stripped where new sod or seed goes and in beds
//!   whose soil is prepared. Overgrown ground has no turf, and inside tree protection nobody strips.
//! - The wood of trees leaves with the arborist and is not counted here.

use std::f64::consts::PI;

use groundwright_geometry::Region;
use groundwright_plan::{ElementRef, FormerCover, Given, Kind, LawnKind, Project};
use groundwright_yard::Plot;

use crate::protection::Protection;
use crate::range::{OutOfRange, check};

/// Size class of a shrub to be removed, by its spread. Common practice, no source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ShrubSize {
    /// Below 0.6 m.
    Small,
    /// From 0.6 m to 1.5 m.
    Medium,
    /// Above 1.5 m.
    Large,
}

/// Spread at which small ends and medium begins. [m]
pub const SMALL_BELOW: f64 = 0.6;
/// Spread at which medium ends and large begins. [m]
pub const LARGE_ABOVE: f64 = 1.5;

impl ShrubSize {
    /// The class of a shrub of this spread. [m]
    pub fn of(spread: f64) -> Self {
        if spread < SMALL_BELOW {
            Self::Small
        } else if spread > LARGE_ABOVE {
            Self::Large
        } else {
            Self::Medium
        }
    }

    /// The word, also in keys of items.
    pub fn word(self) -> &'static str {
        match self {
            Self::Small => "small",
            Self::Medium => "medium",
            Self::Large => "large",
        }
    }

    /// Hours over those of a shrub of medium size. Common practice, no source.
    pub fn effort(self) -> f64 {
        match self {
            Self::Small => 0.4,
            Self::Medium => 1.0,
            Self::Large => 2.5,
        }
    }
}

/// Loose volume of growth cut from an area. [m³]
///
/// # Arguments
/// - `area`: ground that it covers. [m²]
/// - `height`: of the growth. [m]
/// - `bulk`: loose volume over volume as it stood.
///
/// # Errors
/// A value that is not finite or below zero, a bulk above 1.
///
/// # Source
/// Common practice, no source.
pub fn brush(area: f64, height: f64, bulk: f64) -> Result<f64, OutOfRange> {
    check("the area", area, (0.0, 1e9), "a finite area, not below zero")?;
    check("the height", height, (0.0, 150.0), "a height from 0 to 150 m")?;
    check("the brush bulk", bulk, (0.0, 1.0), "a share from 0 to 1")?;
    Ok(area * height * bulk)
}

/// Ground under a crown of this spread. [m²]
pub fn crown_area(spread: f64) -> f64 {
    PI / 4.0 * spread * spread
}

/// Depth of a grubbed root over its width. Common practice, no source.
pub const ROOT_DEPTH: f64 = 0.5;

/// Volume of the root that is grubbed out with a shrub, as it lay. [m³]
///
/// # Arguments
/// - `spread`: of the shrub. [m]
/// - `ball`: width of the root over the shrub's spread.
///
/// # Errors
/// A value that is not finite or below zero, a ball wider than the shrub.
///
/// # Source
/// Common practice, no source: a cylinder half as deep as wide.
pub fn root(spread: f64, ball: f64) -> Result<f64, OutOfRange> {
    check("the spread", spread, (0.0, 100.0), "a spread from 0 to 100 m")?;
    check("the root's share of the spread", ball, (0.0, 1.0), "a share from 0 to 1")?;
    let width = spread * ball;
    Ok(crown_area(width) * ROOT_DEPTH * width)
}

/// Overgrown ground as it is cleared.
#[derive(Debug, Clone, PartialEq)]
pub struct ClearedGround {
    /// The overgrown ground.
    pub element: ElementRef,
    /// Tag on drawing and table.
    pub tag: String,
    /// Without buildings, paving and overgrown ground listed before. [m]
    pub region: Region,
    /// Its area. [m²]
    pub area: f64,
    /// Height of the growth. [m]
    pub height: Given<f64>,
}

/// All overgrown ground, in file order; where two lie over one another, the first counts.
pub(crate) fn cleared(project: &Project, plot: &Plot) -> Vec<ClearedGround> {
    let mut taken = Region::union_all(plot.buildings.iter().chain(&plot.surfaces).map(|area| &area.whole));
    let mut all = Vec::new();
    for (i, overgrown) in project.property.overgrown.iter().enumerate() {
        let element = ElementRef::new(Kind::Overgrown, &overgrown.id);
        let Some(area) = plot.area(&element) else { continue };
        let region = area.whole.difference(&taken);
        taken = taken.union(&region);
        let tag = format!("OG{}", i + 1);
        all.push(ClearedGround { element, tag, area: region.area(), region, height: overgrown.height });
    }
    all
}

/// Ground whose turf is stripped.
#[derive(Debug, Clone, PartialEq)]
pub struct StrippedGround {
    /// The lawn or bed.
    pub element: ElementRef,
    /// Its area on plan, less what an earlier bed or lawn counted. [m²]
    pub whole: f64,
    /// Part of it that is overgrown and has no turf. [m²]
    pub overgrown: f64,
    /// Part of the rest that lies inside tree protection. [m²]
    pub protected: f64,
    /// What is stripped. [m]
    pub region: Region,
    /// Its area. [m²]
    pub area: f64,
}

/// New lawns, then beds with prepared soil, where turf grew, in file order; no ground is stripped twice.
pub(crate) fn stripped(
    project: &Project,
    plot: &Plot,
    cleared: &[ClearedGround],
    protections: &[Protection],
) -> Vec<StrippedGround> {
    let design = &project.design;
    let turf = |was: FormerCover| was == FormerCover::Turf;
    let lawns = design.lawns.iter().filter(|lawn| lawn.kind != LawnKind::Keep && turf(lawn.was.value));
    let lawns = lawns.map(|lawn| ElementRef::new(Kind::Lawn, &lawn.id));
    let beds = design.beds.iter().filter(|bed| bed.soil.is_some() && turf(bed.was.value));
    let beds = beds.map(|bed| ElementRef::new(Kind::Bed, &bed.id));
    let mut taken: Vec<Region> = Vec::new();
    let mut all = Vec::new();
    for element in lawns.chain(beds) {
        let Some(area) = plot.area(&element) else { continue };
        let Some(bounds) = area.free.bounds() else { continue };
        let whole = area.free.difference(&Region::union_near(bounds, &taken));
        taken.push(whole.clone());
        let overgrown = Region::union_near(bounds, cleared.iter().map(|ground| &ground.region));
        let protected = Region::union_near(bounds, protections.iter().map(|protection| &protection.zone));
        let turf = whole.difference(&overgrown);
        let region = turf.difference(&protected);
        all.push(StrippedGround {
            element,
            whole: whole.area(),
            overgrown: whole.area() - turf.area(),
            protected: turf.area() - region.area(),
            area: region.area(),
            region,
        });
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn classes_meet_at_their_limits() {
        let classes = [0.59, 0.6, 1.5, 1.51].map(ShrubSize::of);
        assert_eq!(classes, [ShrubSize::Small, ShrubSize::Medium, ShrubSize::Medium, ShrubSize::Large]);
    }

    /// By hand: a bank of 10 m by 4 m, 1.5 m high, cut to a quarter: 15 m³.
    #[test]
    fn brush_is_a_share_of_what_stood() {
        assert_eq!(brush(40.0, 1.5, 0.25), Ok(15.0));
        assert!(brush(40.0, f64::NAN, 0.25).is_err());
    }

    /// By hand: spread 1 m, root 0.4 m wide and 0.2 m deep: π/4 × 0.16 × 0.2 = 0.025 13 m³.
    #[test]
    fn a_root_is_a_flat_cylinder() {
        assert!((root(1.0, 0.4).unwrap() - 0.008 * PI).abs() < 1e-12);
    }
}
