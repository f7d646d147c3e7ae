//! References between elements: every id that is named must exist.

use std::collections::BTreeSet;

use groundwright_units::nearest_name;

use super::{Sources, Spans};
use crate::fault::Fault;
use crate::identity::{ElementId, ElementRef, Kind};
use crate::project::Project;
use crate::shape::{Line, Piece, Place, Station};

/// Faults for every reference that leads nowhere.
pub(super) fn check(project: &Project, sources: &Sources, spans: &Spans) -> Vec<Fault> {
    let known: BTreeSet<&ElementRef> = spans.elements().collect();
    let mut checker = Checker { project, sources, spans, known, faults: Vec::new() };
    checker.property();
    checker.design();
    checker.faults
}

struct Checker<'a> {
    project: &'a Project,
    sources: &'a Sources,
    spans: &'a Spans,
    /// Elements that the files name, also where something else is wrong with them.
    known: BTreeSet<&'a ElementRef>,
    faults: Vec<Fault>,
}

/// Where a reference stands.
#[derive(Clone, Copy)]
enum At<'a> {
    /// In a field of an element.
    Field(&'a ElementRef, &'a str),
    /// Under a key of `property.toml` outside its elements.
    Head(&'a str),
}

impl std::fmt::Display for At<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Field(element, field) => write!(f, "{element}: `{field}`"),
            Self::Head(key) => write!(f, "`{key}`"),
        }
    }
}

impl Checker<'_> {
    fn fault(&mut self, at: At<'_>, problem: String, what: &str, near: Option<&str>) {
        let found = match at {
            At::Field(element, field) => self.spans.find(element, field),
            At::Head(key) => self.spans.head(key).map(|span| ("property.toml", span)),
        };
        let (file, span) = found.unwrap_or(("property.toml", 0..0));
        let text = self.sources.text(file).unwrap_or_default();
        let mut fault = Fault::at(file, text, span, problem).expected(what);
        if let Some(near) = near {
            fault = fault.remedy(format!("did you mean `{near}`?"));
        }
        self.faults.push(fault);
    }

    fn element(&mut self, at: At<'_>, kind: Kind, id: &ElementId) {
        let target = ElementRef::new(kind, id);
        if id.as_str().is_empty() || self.known.contains(&target) {
            return;
        }
        let ids = self.known.iter().filter(|e| e.kind == kind).map(|e| e.id.as_str());
        let near = nearest_name(id.as_str(), ids).map(str::to_owned);
        let problem = format!("{at}: there is no {target}");
        let article = if kind.word().starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
        self.fault(at, problem, &format!("the id of {article} {}", kind.word()), near.as_deref());
    }

    fn taxon(&mut self, from: &ElementRef, field: &str, id: &str) {
        let taxa = &self.project.stock.taxa;
        if id.is_empty() || taxa.keys().any(|taxon| taxon.as_str() == id) {
            return;
        }
        let near =
            nearest_name(id, taxa.keys().map(super::super::identity::TaxonId::as_str)).map(str::to_owned);
        let problem = format!("{from}: `{field}`: no stock file has the plant `{id}`");
        self.fault(At::Field(from, field), problem, "the id of a plant in the stock", near.as_deref());
    }

    fn product<'k>(
        &mut self,
        from: &ElementRef,
        field: &str,
        id: &str,
        what: &str,
        known: impl Iterator<Item = &'k String>,
    ) {
        let names: Vec<&str> = known.map(String::as_str).collect();
        if id.is_empty() || names.contains(&id) {
            return;
        }
        let near = nearest_name(id, names.iter().copied()).map(str::to_owned);
        let problem = format!("{from}: `{field}`: no stock file has `{id}`");
        self.fault(At::Field(from, field), problem, what, near.as_deref());
    }

    fn place(&mut self, from: &ElementRef, field: &str, place: &Place) {
        self.place_at(At::Field(from, field), place);
    }

    fn place_at(&mut self, at: At<'_>, place: &Place) {
        if let Place::Survey { point, .. } = place {
            self.element(at, Kind::Reference, point);
        }
    }

    fn line(&mut self, from: &ElementRef, field: &str, line: &Line) {
        self.line_at(At::Field(from, field), line);
    }

    fn line_at(&mut self, at: At<'_>, line: &Line) {
        for piece in &line.pieces {
            match piece {
                Piece::Straight(places) | Piece::Smooth(places) | Piece::Arc(places) => {
                    for place in places {
                        self.place_at(at, place);
                    }
                }
                Piece::Along { element, from: start, to, .. } => {
                    self.element(at, element.kind, &element.id);
                    if let Some(place) = start {
                        self.place_at(at, place);
                    }
                    self.place_at(at, to);
                }
            }
        }
    }

    /// The first of two fields that the file gives.
    fn written<'f>(&self, from: &ElementRef, fields: [&'f str; 2]) -> &'f str {
        if self.spans.has(from, fields[0]) { fields[0] } else { fields[1] }
    }

    fn station(&mut self, from: &ElementRef, field: &str, station: Option<&Station>) {
        if let Some(Station::Near(place)) = station {
            self.place(from, field, place);
        }
    }

    fn property(&mut self) {
        let property = &self.project.property;
        if let Some(street) = &property.street {
            self.element(At::Head("street"), Kind::Viewpoint, street);
        }
        if let Some(boundary) = &property.boundary {
            self.line_at(At::Head("boundary.outline"), &boundary.outline);
        }
        if let Some(place) = &property.access.drop_place {
            self.place_at(At::Head("access.drop_place"), place);
        }
        if let Some(place) = &property.supply.at {
            self.place_at(At::Head("supply.at"), place);
        }
        for b in &property.buildings {
            self.line(&ElementRef::new(Kind::Building, &b.id), "outline", &b.outline);
        }
        for o in &property.openings {
            let from = ElementRef::new(Kind::Opening, &o.id);
            self.element(At::Field(&from, "building"), Kind::Building, &o.building);
            self.place(&from, "at", &o.at);
        }
        for s in &property.surfaces {
            self.line(&ElementRef::new(Kind::Surface, &s.id), "outline", &s.outline);
        }
        for t in &property.trees {
            let from = ElementRef::new(Kind::Tree, &t.id);
            if let Some(taxon) = &t.taxon {
                self.taxon(&from, "plant", taxon.as_str());
            }
            self.place(&from, "at", &t.at);
        }
        for s in &property.shrubs {
            let from = ElementRef::new(Kind::Shrub, &s.id);
            if let Some(taxon) = &s.taxon {
                self.taxon(&from, "plant", taxon.as_str());
            }
            let field = self.written(&from, ["places", "at"]);
            for place in &s.places {
                self.place(&from, field, place);
            }
        }
        for o in &property.overgrown {
            let from = ElementRef::new(Kind::Overgrown, &o.id);
            if let Some(taxon) = &o.taxon {
                self.taxon(&from, "plant", taxon.as_str());
            }
            self.line(&from, "outline", &o.outline);
        }
        for b in &property.buried {
            let from = ElementRef::new(Kind::Buried, &b.id);
            if let Some(line) = &b.route {
                self.line(&from, "route", line);
            }
            if let Some(place) = &b.at {
                self.place(&from, "at", place);
            }
        }
        for v in &property.viewpoints {
            let from = ElementRef::new(Kind::Viewpoint, &v.id);
            self.place(&from, "at", &v.at);
            if let Some(place) = &v.looking {
                self.place(&from, "looking", place);
            }
        }
        for p in &property.photos {
            let from = ElementRef::new(Kind::Photo, &p.id);
            for (key, place) in [("at", &p.at), ("looking", &p.looking)] {
                if let Some(place) = place {
                    self.place(&from, key, place);
                }
            }
        }
        for p in &property.pictures {
            let from = ElementRef::new(Kind::Picture, &p.id);
            self.place(&from, "from", &p.from);
            self.place(&from, "to", &p.to);
        }
        for t in &property.taped {
            let from = ElementRef::new(Kind::Taped, &t.id);
            self.place(&from, "from", &t.from);
            self.place(&from, "to", &t.to);
        }
        for d in &property.downspouts {
            self.place(&ElementRef::new(Kind::Downspout, &d.id), "at", &d.at);
        }
        for u in &property.utilities {
            self.place(&ElementRef::new(Kind::Utility, &u.id), "at", &u.at);
        }
        for p in &property.paper_lines {
            self.line(
                &ElementRef::new(Kind::PaperLine, &p.id),
                if p.closed { "outline" } else { "line" },
                &p.line,
            );
        }
        for w in &property.overhead_wires {
            self.line(&ElementRef::new(Kind::OverheadWire, &w.id), "line", &w.line);
        }
        for l in &property.ground.levels {
            self.place(&ElementRef::new(Kind::SpotLevel, &l.id), "at", &l.at);
        }
        for b in &property.ground.break_lines {
            let from = ElementRef::new(Kind::BreakLine, &b.id);
            b.course.iter().for_each(|(place, _)| self.place(&from, "places", place));
        }
        for t in &property.ground.soil_tests {
            self.place(&ElementRef::new(Kind::SoilTest, &t.id), "at", &t.at);
        }
    }

    fn design(&mut self) {
        let design = &self.project.design;
        let stock = &self.project.stock;
        for bed in &design.beds {
            let from = ElementRef::new(Kind::Bed, &bed.id);
            self.line(&from, "outline", &bed.outline);
            if let Some(soil) = &bed.soil {
                self.product(
                    &from,
                    "soil",
                    &soil.amendment,
                    "an amendment in the stock",
                    stock.amendments.keys(),
                );
            }
            if let Some(mulch) = &bed.mulch {
                self.product(&from, "mulch", &mulch.product, "a mulch in the stock", stock.mulches.keys());
            }
        }
        for planter in &design.boxes {
            let from = ElementRef::new(Kind::PlanterBox, &planter.id);
            self.line(&from, "outline", &planter.outline);
            self.product(&from, "mix", &planter.mix, "an amendment in the stock", stock.amendments.keys());
            if let Some(mulch) = &planter.mulch {
                self.product(&from, "mulch", &mulch.product, "a mulch in the stock", stock.mulches.keys());
            }
        }
        for lawn in &design.lawns {
            let from = ElementRef::new(Kind::Lawn, &lawn.id);
            self.line(&from, "outline", &lawn.outline);
            self.product(&from, "product", &lawn.product, "sod or seed in the stock", stock.turf.keys());
            self.product(
                &from,
                "fertiliser",
                &lawn.fertiliser,
                "a fertiliser in the stock",
                stock.fertilisers.keys(),
            );
        }
        for edging in &design.edgings {
            let from = ElementRef::new(Kind::Edging, &edging.id);
            self.element(At::Field(&from, "along"), edging.along.kind, &edging.along.id);
            self.product(&from, "product", &edging.product, "an edging in the stock", stock.edgings.keys());
            self.station(&from, "from", edging.from.as_ref());
            self.station(&from, "to", edging.to.as_ref());
        }
        self.ground_work();
        self.built();
        self.lighting();
        self.irrigation();
        for note in &design.notes {
            self.place(&ElementRef::new(Kind::Note, &note.id), "at", &note.at);
        }
        for planting in &design.plantings {
            self.planting(planting);
        }
    }

    fn ground_work(&mut self) {
        use crate::ground::{GradedArea, GradingForm};
        let work = &self.project.design.ground;
        for g in &work.gradings {
            let from = ElementRef::new(Kind::Grading, &g.id);
            match &g.area {
                GradedArea::Of(area) => self.element(At::Field(&from, "area"), area.kind, &area.id),
                GradedArea::Outline(line) => self.line(&from, "outline", line),
            }
            match &g.form {
                GradingForm::Pad { fall: Some((_, start, toward)), .. } => {
                    self.place(&from, "from", start);
                    self.place(&from, "toward", toward);
                }
                GradingForm::Levels(spots) => {
                    for (place, _) in spots {
                        self.place(&from, "spots", place);
                    }
                }
                _ => {}
            }
        }
        for s in &work.swales {
            self.line(&ElementRef::new(Kind::Swale, &s.id), "line", &s.line);
        }
        for d in &work.drains {
            let from = ElementRef::new(Kind::Drain, &d.id);
            self.line(&from, "route", &d.route);
            d.takes.iter().for_each(|taken| self.element(At::Field(&from, "takes"), taken.kind, &taken.id));
            if let Some(to) = &d.leads_to {
                self.element(At::Field(&from, "leads_to"), to.kind, &to.id);
            }
        }
        for b in &work.basins {
            self.place(&ElementRef::new(Kind::Basin, &b.id), "at", &b.at);
        }
        for c in &work.cleanouts {
            self.place(&ElementRef::new(Kind::Cleanout, &c.id), "at", &c.at);
        }
        for o in &work.outlets {
            self.place(&ElementRef::new(Kind::Outlet, &o.id), "at", &o.at);
        }
    }

    fn irrigation(&mut self) {
        let irrigation = &self.project.design.irrigation;
        let stock = &self.project.stock;
        for watering in &irrigation.waterings {
            let from = ElementRef::new(Kind::Watering, &watering.id);
            for area in watering.areas.iter().chain(&watering.without) {
                self.element(At::Field(&from, "areas"), area.kind, &area.id);
            }
            watering.heads.iter().flatten().for_each(|place| self.place(&from, "heads", place));
            let products = stock.heads.keys().chain(stock.drips.keys());
            self.product(
                &from,
                "product",
                &watering.product,
                "a head or drip product in the stock",
                products,
            );
        }
        for e in &irrigation.valve_boxes {
            self.place(&ElementRef::new(Kind::ValveBox, &e.id), "at", &e.at);
        }
        for e in &irrigation.preventers {
            let from = ElementRef::new(Kind::Preventer, &e.id);
            self.place(&from, "at", &e.at);
            let parts = stock.water_parts.values();
            let names =
                parts.filter(|part| part.kind == crate::stock::PartKind::Preventer).map(|part| &part.id);
            self.product(&from, "product", &e.product, "a backflow preventer in the stock", names);
        }
        for e in &irrigation.controllers {
            let from = ElementRef::new(Kind::Controller, &e.id);
            self.place(&from, "at", &e.at);
            let names = stock.controllers.keys();
            self.product(&from, "product", &e.product, "a controller in the stock", names);
        }
    }

    fn lighting(&mut self) {
        let lighting = &self.project.design.lighting;
        let stock = &self.project.stock;
        for light in &lighting.lights {
            let from = ElementRef::new(Kind::Light, &light.id);
            let fixtures = stock.light_fixtures.keys();
            self.product(&from, "fixture", &light.fixture, "a fixture in the stock", fixtures);
            light.places.iter().for_each(|place| self.place(&from, "places", place));
            match &light.aim {
                Some(crate::lights::Aim::Element(to)) => {
                    self.element(At::Field(&from, "aim"), to.kind, &to.id);
                }
                Some(crate::lights::Aim::Place(place)) => self.place(&from, "aim_place", place),
                None => {}
            }
            self.element(At::Field(&from, "zone"), Kind::LightZone, &light.zone);
        }
        for zone in &lighting.zones {
            let from = ElementRef::new(Kind::LightZone, &zone.id);
            if let Some(to) = &zone.transformer {
                self.element(At::Field(&from, "transformer"), Kind::Transformer, to);
            }
        }
        for transformer in &lighting.transformers {
            let from = ElementRef::new(Kind::Transformer, &transformer.id);
            self.place(&from, "at", &transformer.at);
            let products = stock.transformers.keys();
            self.product(&from, "product", &transformer.product, "a transformer in the stock", products);
        }
    }

    fn built(&mut self) {
        let built = &self.project.design.built;
        let stock = &self.project.stock;
        for w in &built.walls {
            let from = ElementRef::new(Kind::Wall, &w.id);
            self.line(&from, "line", &w.line);
            self.product(&from, "units", &w.units, "wall units in the stock", stock.wall_units.keys());
            self.product(&from, "grid", &w.grid, "a reinforcement in the stock", stock.grids.keys());
            for (field, levels) in [("tops", &w.top), ("feet", &w.foot)] {
                if let crate::built::WallLevels::Spots(spots) = levels {
                    for (place, _) in spots {
                        self.place(&from, field, place);
                    }
                }
            }
        }
        for s in &built.steps {
            let from = ElementRef::new(Kind::Steps, &s.id);
            self.place(&from, "from", &s.from);
            self.place(&from, "toward", &s.toward);
            self.product(&from, "cheeks", &s.cheeks, "wall units in the stock", stock.wall_units.keys());
        }
        for p in &built.pavings {
            let from = ElementRef::new(Kind::Paving, &p.id);
            self.line(&from, "outline", &p.outline);
            self.product(&from, "product", &p.product, "pavers in the stock", stock.pavers.keys());
        }
    }

    fn planting(&mut self, planting: &crate::design::Planting) {
        use crate::design::Layout;
        let from = ElementRef::new(Kind::Planting, &planting.id);
        let field = self.written(&from, ["plants", "plant"]);
        for share in &planting.shares {
            self.taxon(&from, field, share.taxon.as_str());
        }
        if let Some(size) = &planting.size {
            let containers = self.project.stock.containers.keys();
            self.product(&from, "size", size, "a container class or field size in the stock", containers);
        }
        if let Some(place) = &planting.place {
            self.element(At::Field(&from, "in"), place.kind, &place.id);
        }
        for shrub in &planting.from_shrubs {
            self.element(At::Field(&from, "from"), Kind::Shrub, shrub);
        }
        if let Some((first, second)) = &planting.axis {
            self.place(&from, "axis", first);
            self.place(&from, "axis", second);
        }
        match &planting.layout {
            Layout::Single { at } => at.iter().for_each(|place| self.place(&from, "at", place)),
            Layout::Group { at, .. } => self.place(&from, "group", at),
            Layout::Row { along, line, from: start, to, .. } => {
                if let Some(along) = along {
                    self.element(At::Field(&from, "row"), along.kind, &along.id);
                }
                if let Some(line) = line {
                    self.line(&from, "row", line);
                }
                self.station(&from, "row", start.as_ref());
                self.station(&from, "row", to.as_ref());
            }
            Layout::Mass { outline } => {
                if let Some(line) = outline {
                    self.line(&from, "mass", line);
                }
                if outline.is_none() && planting.place.is_none() {
                    let problem = format!("{from}: `mass`: nothing says which area it fills");
                    self.fault(
                        At::Field(&from, "mass"),
                        problem,
                        "`in = \"bed …\"` or `mass = { outline = … }`",
                        None,
                    );
                }
            }
        }
    }
}
