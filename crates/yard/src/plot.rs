//! The plot: property and design as geometry, before anything is planted.
//!
//! - In: a project. Out: a [`Plot`] of areas, routes and spots, and the faults of what cannot be
//!   placed.
//! - Method: beds lose buildings, paving and boxes; lawns lose beds as well. Where two elements
//!   share an edge by inheritance, the curve is kept beside the cut region, which is only good to
//!   the flattening tolerance.

use groundwright_geometry::{Curve, Point, Region, Vec2};
use groundwright_plan::{Aim, ElementId, ElementRef, Kind, Project};
use rayon::prelude::*;

use crate::outline::{PlaceFault, Resolver, fault};
use crate::walls::{self, Stair, WallLine};

/// An area with its exact edge.
#[derive(Debug, Clone, PartialEq)]
pub struct Area {
    /// Whose.
    pub element: ElementRef,
    /// Name on the drawing.
    pub label: String,
    /// Its edge as drawn, closed.
    pub edge: Curve,
    /// What is inside the edge. [m]
    pub whole: Region,
    /// What is left after buildings, paving, boxes (and for lawns, beds) are taken out. [m]
    pub free: Region,
}

/// A line on or under the ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Route {
    /// Whose.
    pub element: ElementRef,
    /// The line.
    pub line: Curve,
}

/// A single place.
#[derive(Debug, Clone, PartialEq)]
pub struct Spot {
    /// Whose.
    pub element: ElementRef,
    /// Which of its places, from 0.
    pub ordinal: u32,
    /// Where. [m]
    pub at: Point,
}

/// The property and the design as geometry, before anything is planted.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Plot {
    /// The property line.
    pub boundary: Option<Area>,
    /// Buildings, in file order.
    pub buildings: Vec<Area>,
    /// Walks, drives, streets, in file order.
    pub surfaces: Vec<Area>,
    /// Ground overgrown by weeds.
    pub overgrown: Vec<Area>,
    /// Beds.
    pub beds: Vec<Area>,
    /// Planter boxes, inside their walls.
    pub boxes: Vec<Area>,
    /// Turf.
    pub lawns: Vec<Area>,
    /// Closed lines on paper: easements, sight triangles.
    pub paper_areas: Vec<Area>,
    /// Open lines on paper: setbacks.
    pub paper_lines: Vec<Route>,
    /// Buried lines.
    pub buried_lines: Vec<Route>,
    /// Buried single things.
    pub buried_spots: Vec<Spot>,
    /// Overhead wires.
    pub wires: Vec<Route>,
    /// Trunks of trees found.
    pub trees: Vec<Spot>,
    /// Shrubs found, one spot for each; the members of a group given by one place stand about it.
    pub shrubs: Vec<Spot>,
    /// Openings on the walls.
    pub openings: Vec<Spot>,
    /// Downspouts.
    pub downspouts: Vec<Spot>,
    /// Meters, boxes, machines.
    pub utilities: Vec<Spot>,
    /// Viewpoints.
    pub viewpoints: Vec<Spot>,
    /// Towards what each viewpoint looks, in the order of `viewpoints`. [m]
    pub looking: Vec<Option<Point>>,
    /// Patios and walks to be laid.
    pub pavings: Vec<Area>,
    /// Flights of steps to be built.
    pub stairs: Vec<Stair>,
    /// Walls to be built.
    pub walls: Vec<WallLine>,
    /// Garden lights, one spot for each place.
    pub lights: Vec<Spot>,
    /// Places at which lights are aimed, by the light. [m]
    pub light_aims: Vec<(ElementId, Point)>,
    /// Transformers of garden lights.
    pub transformers: Vec<Spot>,
    /// Heads of irrigation that are told where to stand, by their watering.
    pub heads: Vec<Spot>,
    /// Valve boxes.
    pub valve_boxes: Vec<Spot>,
    /// Backflow preventers.
    pub preventers: Vec<Spot>,
    /// Irrigation controllers.
    pub controllers: Vec<Spot>,
    /// Where the irrigation joins the water supply.
    pub water: Option<Point>,
    /// Remarks on the drawing.
    pub notes: Vec<Spot>,
    /// Where a truck may drop a load.
    pub drop_place: Option<Point>,
}

impl Plot {
    /// The property alone, without anything of the design.
    #[must_use]
    pub fn existing(&self) -> Self {
        Self {
            beds: Vec::new(),
            boxes: Vec::new(),
            lawns: Vec::new(),
            notes: Vec::new(),
            pavings: Vec::new(),
            stairs: Vec::new(),
            walls: Vec::new(),
            lights: Vec::new(),
            light_aims: Vec::new(),
            transformers: Vec::new(),
            heads: Vec::new(),
            valve_boxes: Vec::new(),
            preventers: Vec::new(),
            controllers: Vec::new(),
            ..self.clone()
        }
    }

    /// The same without lights and irrigation, which nothing else of the plot gives way to.
    #[must_use]
    pub fn without_lines(&self) -> Self {
        Self {
            lights: Vec::new(),
            light_aims: Vec::new(),
            transformers: Vec::new(),
            heads: Vec::new(),
            valve_boxes: Vec::new(),
            preventers: Vec::new(),
            controllers: Vec::new(),
            water: None,
            ..self.clone()
        }
    }

    /// All that is paved: what is there and what will be laid.
    pub fn paved(&self) -> impl Iterator<Item = &Area> + Clone {
        self.surfaces.iter().chain(&self.pavings)
    }

    /// Ground under all that is built besides buildings: paving, steps, walls.
    pub fn hard(&self) -> impl Iterator<Item = &Region> {
        let paved = self.paved().map(|area| &area.whole);
        let stairs = self.stairs.iter().map(|stair| &stair.region);
        paved.chain(stairs).chain(self.walls.iter().map(|wall| &wall.footprint))
    }

    /// The placed area of an element.
    pub fn area(&self, element: &ElementRef) -> Option<&Area> {
        let list = match element.kind {
            Kind::Building => &self.buildings,
            Kind::Surface => &self.surfaces,
            Kind::Overgrown => &self.overgrown,
            Kind::Bed => &self.beds,
            Kind::PlanterBox => &self.boxes,
            Kind::Lawn => &self.lawns,
            Kind::Paving => &self.pavings,
            _ => return None,
        };
        list.iter().find(|area| &area.element == element)
    }

    /// Where an element stands or has its visual centre. [m]
    pub fn place_of(&self, element: &ElementRef) -> Option<Point> {
        if let Some(area) = self.area(element) {
            return area.free.pole(0.05).or_else(|| area.whole.pole(0.05)).map(|(at, _)| at);
        }
        if let Some(wall) = self.walls.iter().find(|wall| &wall.element == element) {
            return Some(wall.face.point(wall.face.length() / 2.0));
        }
        if let Some(stair) = self.stairs.iter().find(|stair| &stair.element == element) {
            return Some(stair.from + stair.up * (stair.run / 2.0));
        }
        let spots = [
            &self.trees,
            &self.shrubs,
            &self.openings,
            &self.downspouts,
            &self.utilities,
            &self.viewpoints,
            &self.notes,
            &self.lights,
            &self.transformers,
            &self.heads,
            &self.valve_boxes,
            &self.preventers,
            &self.controllers,
            &self.buried_spots,
        ];
        spots.into_iter().flatten().find(|spot| &spot.element == element).map(|spot| spot.at)
    }
}

/// Places a project.
///
/// # Returns
/// The plot with everything that can be placed, and a fault for everything that cannot.
pub fn place(project: &Project) -> (Plot, Vec<PlaceFault>) {
    let resolver = Resolver::new(project);
    let mut placer = Placer { resolver: &resolver, faults: Vec::new() };
    let property = &project.property;
    let design = &project.design;

    let buildings = placer.areas(Kind::Building, &property.buildings, |e| (&e.id, e.label.clone()));
    let mut plot = Plot { buildings, ..Plot::default() };
    let spaced = |id: &ElementId| id.to_string().replace('-', " ");
    plot.surfaces = placer.areas(Kind::Surface, &property.surfaces, |e| (&e.id, spaced(&e.id)));
    plot.overgrown = placer.areas(Kind::Overgrown, &property.overgrown, |e| (&e.id, e.name.clone()));
    plot.boxes = placer.areas(Kind::PlanterBox, &design.boxes, |e| (&e.id, e.label.clone()));
    plot.pavings = placer.areas(Kind::Paving, &design.built.pavings, |e| (&e.id, e.label.clone()));
    let buildings: Vec<Region> = plot.buildings.iter().map(|area| area.whole.clone()).collect();
    plot.pavings = placer.cut(std::mem::take(&mut plot.pavings), &buildings);
    for steps in &design.built.steps {
        plot.stairs.extend(placer.keep(walls::stair(placer.resolver, steps)));
    }
    for wall in &design.built.walls {
        plot.walls.extend(placer.keep(walls::wall(project, placer.resolver, &plot.stairs, wall)));
    }
    let mut built: Vec<Region> = buildings;
    built.extend(plot.hard().cloned());
    built.extend(design.boxes.iter().filter_map(|b| {
        let area = plot.boxes.iter().find(|area| area.element.id == b.id)?;
        Some(area.whole.grow(b.wall.value))
    }));
    let beds = placer.areas(Kind::Bed, &design.beds, |e| (&e.id, e.label.clone()));
    plot.beds = placer.cut(beds, &built);
    let mut planted = built;
    planted.extend(plot.beds.iter().map(|bed| bed.free.clone()));
    let lawns = placer.areas(Kind::Lawn, &design.lawns, |e| (&e.id, "lawn".to_owned()));
    plot.lawns = placer.cut(lawns, &planted);
    if let Some(boundary) = &property.boundary {
        // The property line is no element of a list; it answers for the whole property.
        let element = ElementRef::new(Kind::PaperLine, &"boundary".into());
        plot.boundary = placer.region_of(element, "boundary", &boundary.outline);
    }
    placer.lines(project, &mut plot);
    placer.spots(project, &mut plot);
    (plot, placer.faults)
}

fn close(element: ElementRef, label: String, edge: Curve) -> Result<Area, PlaceFault> {
    let whole = Region::from_curve(&edge, groundwright_geometry::FLATTEN).map_err(|e| {
        fault(&element, "outline", &e.to_string(), "draw the outline once round, without crossing")
    })?;
    Ok(Area { element, label, edge, free: whole.clone(), whole })
}

struct Placer<'r, 'p> {
    resolver: &'r Resolver<'p>,
    faults: Vec<PlaceFault>,
}

impl Placer<'_, '_> {
    fn keep<T>(&mut self, result: Result<T, PlaceFault>) -> Option<T> {
        result
            .map_err(|fault| {
                if !self.faults.contains(&fault) {
                    self.faults.push(fault);
                }
            })
            .ok()
    }

    /// The areas of a list of elements, worked out side by side; faults in the order of the list.
    fn areas<'e, E>(
        &mut self,
        kind: Kind,
        elements: &'e [E],
        named: impl Fn(&'e E) -> (&'e ElementId, String),
    ) -> Vec<Area> {
        // Edges hang on one another and are made in turn; what they enclose is not.
        let edges: Vec<(ElementRef, String, Result<Curve, PlaceFault>)> = elements
            .iter()
            .map(|e| {
                let (id, label) = named(e);
                let element = ElementRef::new(kind, id);
                let edge = self.resolver.edge(&element);
                (element, label, edge)
            })
            .collect();
        let placed: Vec<Result<Area, PlaceFault>> =
            edges.into_par_iter().map(|(element, label, edge)| close(element, label, edge?)).collect();
        placed.into_iter().filter_map(|area| self.keep(area)).collect()
    }

    fn region_of(
        &mut self,
        element: ElementRef,
        label: &str,
        line: &groundwright_plan::Line,
    ) -> Option<Area> {
        let edge = self.resolver.outline(&element, "outline", line);
        let edge = self.keep(edge)?;
        let area = close(element, label.to_owned(), edge);
        self.keep(area)
    }

    /// Takes `taken` out of areas; an area of which nothing is left is a fault.
    fn cut(&mut self, mut areas: Vec<Area>, taken: &[Region]) -> Vec<Area> {
        areas.par_iter_mut().for_each(|area| area.free = area.whole.difference(&near(&area.whole, taken)));
        for area in areas.iter().filter(|area| area.free.area() < 0.01) {
            self.faults.push(fault(
                &area.element,
                "outline",
                "buildings, paving and beds leave nothing of it",
                "draw it beside them",
            ));
        }
        areas
    }

    fn lines(&mut self, project: &Project, plot: &mut Plot) {
        let property = &project.property;
        for e in &property.paper_lines {
            let element = ElementRef::new(Kind::PaperLine, &e.id);
            if e.closed {
                plot.paper_areas.extend(self.region_of(element, e.kind_word(), &e.line));
            } else {
                plot.paper_lines.extend(self.route(element, "line", &e.line));
            }
        }
        for e in &property.buried {
            let element = ElementRef::new(Kind::Buried, &e.id);
            if let Some(route) = &e.route {
                plot.buried_lines.extend(self.route(element.clone(), "route", route));
            }
            if let Some(at) = e.at.as_ref().and_then(|place| self.resolver.point(place)) {
                plot.buried_spots.push(Spot { element, ordinal: 0, at });
            }
        }
        for e in &property.overhead_wires {
            plot.wires.extend(self.route(ElementRef::new(Kind::OverheadWire, &e.id), "line", &e.line));
        }
    }

    fn route(
        &mut self,
        element: ElementRef,
        field: &'static str,
        line: &groundwright_plan::Line,
    ) -> Option<Route> {
        let curve = self.resolver.line(&element, field, line);
        self.keep(curve).map(|line| Route { element, line })
    }

    fn spots(&mut self, project: &Project, plot: &mut Plot) {
        let property = &project.property;
        let resolver = self.resolver;
        let spot = |kind, id, place: &groundwright_plan::Place| {
            let at = resolver.point(place)?;
            Some(Spot { element: ElementRef::new(kind, id), ordinal: 0, at })
        };
        plot.trees.extend(property.trees.iter().filter_map(|e| spot(Kind::Tree, &e.id, &e.at)));
        plot.openings.extend(property.openings.iter().filter_map(|e| spot(Kind::Opening, &e.id, &e.at)));
        plot.downspouts
            .extend(property.downspouts.iter().filter_map(|e| spot(Kind::Downspout, &e.id, &e.at)));
        plot.utilities.extend(property.utilities.iter().filter_map(|e| spot(Kind::Utility, &e.id, &e.at)));
        plot.notes.extend(project.design.notes.iter().filter_map(|e| spot(Kind::Note, &e.id, &e.at)));
        let lighting = &project.design.lighting;
        let (lights, transformers) = (&lighting.lights, &lighting.transformers);
        plot.transformers.extend(transformers.iter().filter_map(|e| spot(Kind::Transformer, &e.id, &e.at)));
        for e in lights {
            let element = ElementRef::new(Kind::Light, &e.id);
            let places = e.places.iter().enumerate();
            plot.lights.extend(places.filter_map(|(i, place)| {
                Some(Spot { element: element.clone(), ordinal: i as u32, at: resolver.point(place)? })
            }));
            if let Some(Aim::Place(place)) = &e.aim {
                plot.light_aims.extend(resolver.point(place).map(|at| (e.id.clone(), at)));
            }
        }
        let irrigation = &project.design.irrigation;
        let (boxes, preventers) = (&irrigation.valve_boxes, &irrigation.preventers);
        plot.valve_boxes.extend(boxes.iter().filter_map(|e| spot(Kind::ValveBox, &e.id, &e.at)));
        plot.preventers.extend(preventers.iter().filter_map(|e| spot(Kind::Preventer, &e.id, &e.at)));
        plot.controllers
            .extend(irrigation.controllers.iter().filter_map(|e| spot(Kind::Controller, &e.id, &e.at)));
        for e in &irrigation.waterings {
            let element = ElementRef::new(Kind::Watering, &e.id);
            let places = e.heads.iter().flatten().enumerate();
            plot.heads.extend(places.filter_map(|(i, place)| {
                Some(Spot { element: element.clone(), ordinal: i as u32, at: resolver.point(place)? })
            }));
        }
        plot.water = property.supply.at.as_ref().and_then(|place| resolver.point(place));
        for e in &property.viewpoints {
            if let Some(spot) = spot(Kind::Viewpoint, &e.id, &e.at) {
                plot.viewpoints.push(spot);
                plot.looking.push(e.looking.as_ref().and_then(|place| resolver.point(place)));
            }
        }
        for e in &property.shrubs {
            let element = ElementRef::new(Kind::Shrub, &e.id);
            let points: Vec<Point> = e.places.iter().filter_map(|place| resolver.point(place)).collect();
            for (ordinal, at) in members(&points, e.count, e.spread.value).into_iter().enumerate() {
                plot.shrubs.push(Spot { element: element.clone(), ordinal: ordinal as u32, at });
            }
        }
        plot.drop_place = property.access.drop_place.as_ref().and_then(|place| resolver.point(place));
    }
}

/// The union of those regions that may touch a region.
fn near(region: &Region, others: &[Region]) -> Region {
    let Some(bounds) = region.bounds() else { return Region::empty() };
    Region::union_near(bounds, others)
}

/// Places of a group's members: as given, or about the one place given, on a sunflower's spiral
/// whose neighbours stand about one spread apart (it only shows a group, nobody measured them).
fn members(points: &[Point], count: usize, spread: f64) -> Vec<Point> {
    const GOLDEN_ANGLE: f64 = 2.399_963_229_728_653;
    match points {
        [middle] if count > 1 => (0..count)
            .map(|i| {
                let i = i as f64;
                let radius = 0.55 * spread * i.sqrt();
                *middle + Vec2::from_angle(i * GOLDEN_ANGLE) * radius
            })
            .collect(),
        points => points.to_vec(),
    }
}
