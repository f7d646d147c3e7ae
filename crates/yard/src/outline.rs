//! Lines of the files made into curves: places found, pieces joined, edges inherited.
//!
//! - In: a project. Out: curves and points, or a [`PlaceFault`] that names element and field.
//! - Method: each piece begins where the one before it ended; a piece along another element's edge
//!   is cut out of that element's own curve, so the edge is the same to the last bit.
//! - Not here: subtracting buildings and paving (`plot.rs`).

use std::cell::RefCell;
use std::collections::BTreeMap;

use groundwright_geometry::{Curve, Point};
use groundwright_plan::{ElementRef, Kind, Line, Piece, Place, Project, Station};

/// Why an element cannot be placed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{element}: `{field}`: {problem}; {remedy}")]
pub struct PlaceFault {
    /// The element.
    pub element: ElementRef,
    /// The field that is wrong.
    pub field: &'static str,
    /// What is wrong.
    pub problem: String,
    /// How to mend it.
    pub remedy: String,
}

/// Finds places and edges of a project; each edge is made once.
pub struct Resolver<'p> {
    project: &'p Project,
    edges: RefCell<BTreeMap<ElementRef, Result<Curve, PlaceFault>>>,
    open: RefCell<Vec<ElementRef>>,
}

impl<'p> Resolver<'p> {
    /// A resolver for a project.
    pub fn new(project: &'p Project) -> Self {
        Self { project, edges: RefCell::default(), open: RefCell::default() }
    }

    /// Coordinates of a place; `None` where its reference point does not exist, which the reader
    /// of the files has refused already. [m]
    pub fn point(&self, place: &Place) -> Option<Point> {
        match place {
            Place::At(point) => Some(*point),
            Place::Survey { point, offset } => {
                let reference = self.project.property.references.iter().find(|r| &r.id == point)?;
                Some(reference.at.value + *offset)
            }
        }
    }

    /// The closed edge of a building, surface, bed, box or lawn.
    ///
    /// # Errors
    /// What is wrong with its outline, or a circle of elements that inherit from one another.
    pub fn edge(&self, element: &ElementRef) -> Result<Curve, PlaceFault> {
        if let Some(known) = self.edges.borrow().get(element) {
            return known.clone();
        }
        if self.open.borrow().contains(element) {
            return Err(PlaceFault {
                element: element.clone(),
                field: "outline",
                problem: "its edge follows an edge that follows this one".to_owned(),
                remedy: "let one of them have points of its own".to_owned(),
            });
        }
        self.open.borrow_mut().push(element.clone());
        let result = match self.outline_of(element) {
            Some(line) => self.outline(element, "outline", line),
            None => Err(fault(element, "outline", "it has no edge to follow", "name another element")),
        };
        self.open.borrow_mut().pop();
        self.edges.borrow_mut().insert(element.clone(), result.clone());
        result
    }

    fn outline_of(&self, element: &ElementRef) -> Option<&'p Line> {
        let (property, design) = (&self.project.property, &self.project.design);
        let id = &element.id;
        match element.kind {
            Kind::Building => property.buildings.iter().find(|e| &e.id == id).map(|e| &e.outline),
            Kind::Surface => property.surfaces.iter().find(|e| &e.id == id).map(|e| &e.outline),
            Kind::Overgrown => property.overgrown.iter().find(|e| &e.id == id).map(|e| &e.outline),
            Kind::Bed => design.beds.iter().find(|e| &e.id == id).map(|e| &e.outline),
            Kind::PlanterBox => design.boxes.iter().find(|e| &e.id == id).map(|e| &e.outline),
            Kind::Lawn => design.lawns.iter().find(|e| &e.id == id).map(|e| &e.outline),
            Kind::Paving => design.built.pavings.iter().find(|e| &e.id == id).map(|e| &e.outline),
            _ => None,
        }
    }

    /// A closed curve from a line of the files; its stations run the way the pieces do.
    ///
    /// # Errors
    /// What is wrong with the line.
    pub fn outline(&self, owner: &ElementRef, field: &'static str, line: &Line) -> Result<Curve, PlaceFault> {
        let closed = match line.pieces.as_slice() {
            [Piece::Smooth(places)] => {
                let points = self.points(owner, field, places)?;
                Curve::smooth(&points, true)
            }
            [Piece::Straight(places)] => {
                let points = self.points(owner, field, places)?;
                let faults = groundwright_geometry::check_outline(&points);
                if let Some(first) = faults.first() {
                    return Err(fault(
                        owner,
                        field,
                        &first.to_string(),
                        "draw the outline once round, without crossing",
                    ));
                }
                Curve::polyline(&points, true)
            }
            pieces => self.pieces(owner, field, pieces, true)?.closed(),
        };
        closed
            .map_err(|e| fault(owner, field, &e.to_string(), "draw the outline once round, without crossing"))
    }

    /// An open curve from a line of the files.
    ///
    /// # Errors
    /// What is wrong with the line.
    pub fn line(&self, owner: &ElementRef, field: &'static str, line: &Line) -> Result<Curve, PlaceFault> {
        self.pieces(owner, field, &line.pieces, false)
    }

    /// Pieces one after the other. Where a place stands by the edge that the line goes along next, or
    /// went along before, the edge is met exactly: a measured edge moves by what its readings say,
    /// and would otherwise leave a jog that crosses it.
    fn pieces(
        &self,
        owner: &ElementRef,
        field: &'static str,
        pieces: &[Piece],
        is_closed: bool,
    ) -> Result<Curve, PlaceFault> {
        let last = if is_closed { pieces.last() } else { None };
        let first = if is_closed { pieces.first() } else { None };
        let mut curves: Vec<Curve> = Vec::with_capacity(pieces.len());
        let mut pen: Option<Point> = None;
        for (i, piece) in pieces.iter().enumerate() {
            let before = if i == 0 { last.and_then(|last| self.leaves_edge(last)) } else { None };
            let after = pieces.get(i + 1).or(first).and_then(|next| self.joins_edge(next, piece));
            let curve = self.piece(owner, field, piece, (pen, before, after)).map_err(|mut e| {
                if pieces.len() > 1 && e.element == *owner {
                    e.problem = format!("piece {}: {}", i + 1, e.problem);
                }
                e
            })?;
            pen = Some(curve.end());
            curves.push(curve);
        }
        Curve::join(curves).map_err(|e| fault(owner, field, &e.to_string(), "check the pieces' ends"))
    }

    /// Where a piece leaves the edge that it goes along. [m]
    fn leaves_edge(&self, piece: &Piece) -> Option<Point> {
        let Piece::Along { element, to, .. } = piece else { return None };
        Some(self.edge(element).ok()?.nearest(self.point(to)?).point)
    }

    /// Where a piece joins the edge that it goes along, coming from the piece before. [m]
    fn joins_edge(&self, piece: &Piece, before: &Piece) -> Option<Point> {
        let Piece::Along { element, from, .. } = piece else { return None };
        let (Piece::Straight(places) | Piece::Smooth(places) | Piece::Arc(places)) = before else {
            return None;
        };
        let place = from.as_ref().or(places.last())?;
        Some(self.edge(element).ok()?.nearest(self.point(place)?).point)
    }

    fn points(
        &self,
        owner: &ElementRef,
        field: &'static str,
        places: &[Place],
    ) -> Result<Vec<Point>, PlaceFault> {
        let points = places.iter().map(|place| {
            self.point(place)
                .ok_or_else(|| fault(owner, field, "a reference point is missing", "name one that exists"))
        });
        points.collect()
    }

    fn piece(
        &self,
        owner: &ElementRef,
        field: &'static str,
        piece: &Piece,
        (pen, before, after): (Option<Point>, Option<Point>, Option<Point>),
    ) -> Result<Curve, PlaceFault> {
        let with_pen = |places: &[Place]| -> Result<Vec<Point>, PlaceFault> {
            let mut points = self.points(owner, field, places)?;
            if let (Some(first), Some(edge)) = (points.first_mut(), before) {
                meet(first, edge);
            }
            if let (Some(last), Some(edge)) = (points.last_mut(), after) {
                meet(last, edge);
            }
            if let Some(pen) = pen {
                if let Some(first) = points.first_mut() {
                    meet(first, pen);
                }
                if points.first() != Some(&pen) {
                    points.insert(0, pen);
                }
            }
            Ok(points)
        };
        let made = match piece {
            Piece::Straight(places) => Curve::polyline(&with_pen(places)?, false),
            Piece::Smooth(places) => Curve::smooth(&with_pen(places)?, false),
            Piece::Arc(places) => match with_pen(places)?.as_slice() {
                [a, b, c] => Curve::arc(*a, *b, *c),
                points => {
                    let problem = format!("an arc through {} points", points.len());
                    return Err(fault(
                        owner,
                        field,
                        &problem,
                        "give three, or two that go on from the piece before",
                    ));
                }
            },
            Piece::Along { element, from, to, longer } => {
                return self.along(owner, field, (element, from.as_ref(), to, *longer), pen);
            }
        };
        made.map_err(|e| fault(owner, field, &e.to_string(), "check the points of the piece"))
    }

    /// A piece of another element's edge, from the foot of `from` (or of the pen) to the foot of `to`.
    fn along(
        &self,
        owner: &ElementRef,
        field: &'static str,
        (element, from, to, longer): (&ElementRef, Option<&Place>, &Place, bool),
        pen: Option<Point>,
    ) -> Result<Curve, PlaceFault> {
        let edge = self.edge(element)?;
        let start = match (from, pen) {
            (Some(place), _) => self.points(owner, field, std::slice::from_ref(place))?[0],
            (None, Some(pen)) => pen,
            (None, None) => {
                return Err(fault(
                    owner,
                    field,
                    "a line cannot begin along an edge without saying where",
                    "add `from = [x, y]` to its first piece",
                ));
            }
        };
        let end = self.points(owner, field, std::slice::from_ref(to))?[0];
        let (s, e) = (edge.nearest(start).station, edge.nearest(end).station);
        let total = edge.length();
        let forward = (e - s).rem_euclid(total);
        let runs_forward = (forward <= total / 2.0) != longer;
        let piece = if runs_forward { edge.sub(s, e) } else { edge.sub(e, s).map(|c| c.reversed()) };
        piece.map_err(|_| {
            fault(
                owner,
                field,
                &format!("nothing of {element} lies between the two places"),
                "move them apart along it",
            )
        })
    }

    /// Station of an edge. [m]
    pub fn station(&self, edge: &Curve, station: &Station) -> Option<f64> {
        match station {
            Station::At(length) => Some(*length),
            Station::Near(place) => Some(edge.nearest(self.point(place)?).station),
        }
    }
}

/// A fault of an element's field.
/// Places this near an edge are meant to be on it: finer than anything in a yard is drawn. [m]
const MET: f64 = 0.03;

/// Moves a place onto an edge that it stands by.
fn meet(place: &mut Point, edge: Point) {
    if place.distance(edge) < MET {
        *place = edge;
    }
}

pub(crate) fn fault(element: &ElementRef, field: &'static str, problem: &str, remedy: &str) -> PlaceFault {
    PlaceFault { element: element.clone(), field, problem: problem.to_owned(), remedy: remedy.to_owned() }
}
