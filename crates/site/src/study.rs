//! The site study: what is there and what becomes of it, found once and used by all hand-offs.

use groundwright_handoff::Finding;
use groundwright_plan::{ElementRef, Kind, Project, Surface, SurfaceKind};
use groundwright_units::Reader;
use groundwright_yard::Yard;

use crate::clearing::{ClearedGround, StrippedGround, cleared, stripped};
use crate::found::{Found, found};
use crate::protection::{Protection, protections};

/// The site, from the placed yard.
#[derive(Debug, Clone)]
pub struct SiteStudy<'p> {
    /// The project.
    pub project: &'p Project,
    /// The placed yard.
    pub yard: &'p Yard,
    /// Trees and shrubs found, with their tags.
    pub found: Vec<Found<'p>>,
    /// Circles about kept trees.
    pub protections: Vec<Protection>,
    /// Overgrown ground to be cleared.
    pub cleared: Vec<ClearedGround>,
    /// Ground whose turf is stripped.
    pub stripped: Vec<StrippedGround>,
    /// Units for words inside marks.
    pub reader: Reader,
}

/// Studies the site.
///
/// # Arguments
/// - `project`: for the property, the design and the practice.
/// - `yard`: where everything stands.
pub fn study<'p>(project: &'p Project, yard: &'p Yard) -> SiteStudy<'p> {
    let protections = protections(project, &yard.plot);
    let cleared = cleared(project, &yard.plot);
    SiteStudy {
        project,
        yard,
        found: found(project, &yard.plot),
        stripped: stripped(project, &yard.plot, &cleared, &protections),
        protections,
        cleared,
        reader: Reader::new(project.property.system),
    }
}

/// What the site has to say of what is planted: all of [`study`]'s findings that read plants of the
/// design, without the rest of the study.
pub fn of_new_plants(project: &Project, yard: &Yard) -> Vec<Finding> {
    let study = SiteStudy {
        project,
        yard,
        found: Vec::new(),
        protections: protections(project, &yard.plot),
        cleared: Vec::new(),
        stripped: Vec::new(),
        reader: Reader::new(project.property.system),
    };
    crate::findings::of_new_plants(&study)
}

/// The element that answers for the property as a whole.
pub(crate) fn whole_property() -> ElementRef {
    ElementRef::new(Kind::PaperLine, &"boundary".into())
}

/// Whether a surface is public ground.
pub(crate) fn is_public(surface: &Surface) -> bool {
    matches!(surface.kind, SurfaceKind::Street | SurfaceKind::Sidewalk | SurfaceKind::Curb)
}
