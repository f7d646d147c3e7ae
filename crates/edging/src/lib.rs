//! Edging between lawn and bed: length, pieces and stakes.
//!
//! - In: edging instructions, edges of the plot, stock. Out: the six hand-offs.
//! - Method: pieces are laid end to end with the product's lap; length on the edge by arc length.
//! - Not here: the edges themselves (`groundwright-yard`).

mod handoffs;
mod pieces;

pub use pieces::{PieceCount, PieceError, count_pieces};

use groundwright_geometry::{Curve, Rect, Region};
use groundwright_plan::stock::EdgingProduct;
use groundwright_plan::{ElementRef, Kind, Project};
use groundwright_units::Reader;
use groundwright_yard::{PlaceFault, Resolver, Yard, part_of_edge};

/// One run of edging.
#[derive(Debug, Clone)]
pub struct Run<'p> {
    /// The instruction.
    pub element: ElementRef,
    /// Along whose edge.
    pub along: ElementRef,
    /// The product.
    pub product: &'p EdgingProduct,
    /// Its line, cut where paving and buildings take the place of an edge.
    pub pieces: Vec<Curve>,
    /// Tightest radius along it; infinite where it is straight. [m]
    pub least_radius: f64,
}

impl Run<'_> {
    /// Length along the edge. [m]
    pub fn length(&self) -> f64 {
        self.pieces.iter().map(Curve::length).sum()
    }
}

/// Edging, from the placed yard.
#[derive(Debug, Clone)]
pub struct EdgingStudy<'p> {
    /// The project.
    pub project: &'p Project,
    /// The yard.
    pub yard: &'p Yard,
    /// Runs in file order.
    pub runs: Vec<Run<'p>>,
    /// Instructions that cannot be placed.
    pub faults: Vec<PlaceFault>,
    /// Units for words inside marks.
    pub reader: Reader,
}

/// Studies edging.
pub fn study<'p>(project: &'p Project, yard: &'p Yard) -> EdgingStudy<'p> {
    let mut runs = Vec::new();
    let mut faults = Vec::new();
    // Where the edge runs along a wall or paving, that is the edge; a thumb's width aside counts.
    let areas = yard.plot.buildings.iter().chain(yard.plot.paved());
    let built: Vec<(&ElementRef, Region)> =
        areas.map(|area| (&area.element, area.whole.grow(0.02))).collect();
    let resolver = Resolver::new(project);
    for edging in &project.design.edgings {
        let element = ElementRef::new(Kind::Edging, &edging.id);
        match run(project, &resolver, &built, edging, &element) {
            Ok(run) => runs.extend(run),
            Err(problem) => faults.push(problem),
        }
    }
    EdgingStudy { project, yard, runs, faults, reader: Reader::new(project.property.system) }
}

fn run<'p>(
    project: &'p Project,
    resolver: &Resolver<'_>,
    built: &[(&ElementRef, Region)],
    edging: &groundwright_plan::Edging,
    element: &ElementRef,
) -> Result<Option<Run<'p>>, PlaceFault> {
    let Some(product) = project.stock.edgings.get(&edging.product) else { return Ok(None) };
    let edge = resolver.edge(&edging.along)?;
    let part =
        part_of_edge(resolver, &edge, edging.from.as_ref(), edging.to.as_ref()).map_err(|problem| {
            PlaceFault {
                element: element.clone(),
                field: "from",
                problem,
                remedy: "give two places that lie apart on the edge".to_owned(),
            }
        })?;
    let reach = bounds(&part);
    // Whose edge it follows, it does not end at.
    let others = built.iter().filter(|(element, _)| **element != edging.along).map(|(_, region)| region);
    let built = Region::union_near(reach, others);
    let pieces: Vec<Curve> = part
        .intervals_outside(&built)
        .into_iter()
        .filter(|(from, to)| to - from > 0.05)
        .filter_map(|(from, to)| part.sub(from, to).ok())
        .collect();
    let least_radius = pieces.iter().map(Curve::least_radius).fold(f64::INFINITY, f64::min);
    Ok(Some(Run { element: element.clone(), along: edging.along.clone(), product, pieces, least_radius }))
}

fn bounds(curve: &Curve) -> Rect {
    let points = curve.flatten(0.05);
    points.iter().fold(Rect::from_points(curve.start(), curve.end()), |rect, at| rect.union_pt(*at))
}
