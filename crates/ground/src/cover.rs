//! What covers the ground: runoff coefficients and mulch at a place.
//!
//! - In: the project and its plot. Out: answers for a place in plan.
//! - Source of the coefficients: a common engineering-society table for the Rational method, recalled:
//!   roofs 0.75 to 0.95, asphalt and concrete 0.70 to 0.95, brick 0.70 to 0.85, lawn on sandy soil 0.05 to
//!   0.20 and on heavy soil 0.13 to 0.35 by slope. Gravel 0.5 and beds as lawn: common practice, no source.

use groundwright_geometry::{BoxIndex, Point, Rect, RegionIndex};
use groundwright_plan::{Bed, ElementRef, Project, SoilTexture, SurfaceKind};
use groundwright_yard::{Area, Yard};

/// Runoff coefficient of a roof.
pub const ROOF: f64 = 0.9;

/// What lies at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cover<'p> {
    /// A building.
    Building,
    /// Paving of a material in words.
    Paving(SurfaceKind, &'p str),
    /// A bed.
    Bed(&'p Bed),
    /// Turf, or ground that nobody designs.
    Open,
}

struct Patch<'p> {
    index: RegionIndex,
    cover: Cover<'p>,
    element: &'p ElementRef,
}

/// Covers of a yard, made for many questions.
pub struct Covers<'p> {
    /// Of two at one place the earlier lies above.
    patches: Vec<Patch<'p>>,
    boxes: BoxIndex,
    heavy: bool,
}

impl<'p> Covers<'p> {
    /// Covers of a yard.
    pub fn new(project: &'p Project, yard: &'p Yard) -> Self {
        let plot = &yard.plot;
        let mut patches = Vec::new();
        let mut boxes: Vec<Rect> = Vec::new();
        let mut put = |area: &'p Area, cover: Cover<'p>| {
            if let Some(bounds) = area.free.bounds() {
                let index = RegionIndex::new(&area.free);
                boxes.push(bounds);
                patches.push(Patch { index, cover, element: &area.element });
            }
        };
        for area in &plot.buildings {
            put(area, Cover::Building);
        }
        for area in &plot.surfaces {
            let surface = project.property.surfaces.iter().find(|s| s.id == area.element.id);
            // A deck is above the ground, which stays open below it.
            if let Some(surface) = surface.filter(|surface| surface.kind != SurfaceKind::Deck) {
                put(area, Cover::Paving(surface.kind, &surface.material.value));
            }
        }
        for area in &plot.pavings {
            let paving = project.design.built.pavings.iter().find(|p| p.id == area.element.id);
            if let Some(product) = paving.and_then(|p| project.stock.pavers.get(&p.product)) {
                put(area, Cover::Paving(SurfaceKind::Patio, &product.name));
            }
        }
        for area in &plot.beds {
            if let Some(bed) = project.design.beds.iter().find(|b| b.id == area.element.id) {
                put(area, Cover::Bed(bed));
            }
        }
        let heavy = matches!(
            project.property.place.soil.value,
            SoilTexture::SandyClayLoam
                | SoilTexture::ClayLoam
                | SoilTexture::SiltyClayLoam
                | SoilTexture::SandyClay
                | SoilTexture::SiltyClay
                | SoilTexture::Clay
        );
        Self { patches, boxes: BoxIndex::new(&boxes), heavy }
    }

    /// What lies at a place; a deck is above the ground, which stays open below it.
    pub fn at(&self, place: Point) -> Cover<'p> {
        self.find(place).map_or(Cover::Open, |patch| patch.cover)
    }

    /// The element that covers a place.
    pub fn element_at(&self, place: Point) -> Option<&'p ElementRef> {
        self.find(place).map(|patch| patch.element)
    }

    fn find(&self, place: Point) -> Option<&Patch<'p>> {
        let mut above: Vec<usize> = self.boxes.at(place).collect();
        above.sort_unstable();
        above.into_iter().map(|i| &self.patches[i]).find(|patch| patch.index.contains(place))
    }

    /// Runoff coefficient at a place, where the ground falls by a share.
    pub fn coefficient(&self, place: Point, slope: f64) -> f64 {
        match self.at(place) {
            // Rain on the house comes down its downspouts.
            Cover::Building => 0.0,
            Cover::Paving(SurfaceKind::Water, _) => 1.0,
            Cover::Paving(_, material) => {
                let has = |word: &str| material.contains(word);
                if has("gravel") || has("chip") || has("bark") {
                    0.5
                } else if has("brick") || has("paver") || has("flag") || has("stone") {
                    0.8
                } else {
                    0.9
                }
            }
            Cover::Bed(_) | Cover::Open => match (self.heavy, slope) {
                (false, s) if s < 0.02 => 0.075,
                (false, s) if s <= 0.07 => 0.125,
                (false, _) => 0.175,
                (true, s) if s < 0.02 => 0.15,
                (true, s) if s <= 0.07 => 0.20,
                (true, _) => 0.30,
            },
        }
    }

    /// Depth of mulch at a place. [m]
    pub fn mulch(&self, place: Point) -> f64 {
        match self.at(place) {
            Cover::Bed(bed) => bed.mulch.as_ref().map_or(0.0, |mulch| mulch.depth.value),
            _ => 0.0,
        }
    }

    /// Whether a place is paved.
    pub fn paved(&self, place: Point) -> bool {
        matches!(self.at(place), Cover::Paving(..))
    }
}
