//! The plan set: which drawings go on which sheet, with their tables, legends and cautions.

use groundwright_drawing::{LabelFault, LabelFaultKind, Painted, View, paint};
use groundwright_geometry::{Point, Rect};
use groundwright_handoff::{Drawing, Frame, Mark, Shape, Table};
use groundwright_job::Outcome;
use groundwright_plan::{Loaded, Project};
use groundwright_sheets::{
    Fonts, NoteBlock, Paper, PlacedView, PlanSet, Scale, Sheet, TitleBlock, choose, fit, tables_sheet, window,
};
use kurbo::Size;
use rayon::prelude::*;

use crate::PackageError;
use crate::legend::legend;
use crate::view::{Lie, lie};
use crate::{light_sheets, wall_sheets};

/// What the person who issues the package decides.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Settings {
    /// Size of the sheets; the smallest on which the plan is legible if not given.
    pub paper: Option<Paper>,
    /// Keep true north at the top instead of the street at the foot.
    pub north_up: bool,
}

/// A plan is legible down to this scale: 1" = 10' or 1:125.
const LEGIBLE: f64 = 125.0;

/// One drawing painted for the set.
#[derive(Debug, Clone)]
pub struct Painting {
    /// Short name for files.
    pub name: String,
    /// Title on the sheet.
    pub title: String,
    /// Its view.
    pub view: View,
    /// What was painted.
    pub painted: Painted,
}

/// The set and its drawings.
#[derive(Debug, Clone)]
pub struct Drawn {
    /// The set.
    pub set: PlanSet,
    /// Drawings, in the order of the sheets.
    pub paintings: Vec<Painting>,
    /// What the placing of tags could not avoid, by drawing.
    pub label_faults: Vec<(String, LabelFault)>,
}

/// Drawings of the plan: name of the file, title, which.
const PLANS: [(&str, &str, Drawing); 14] = [
    ("survey", "Survey: readings and residuals", Drawing::Survey),
    ("existing", "Existing conditions: keep, move, remove", Drawing::Existing),
    ("levels", "Levels, contours, cut and fill", Drawing::Levels),
    ("drainage", "The ways of water, swales and drains", Drawing::Drainage),
    ("walls", "Walls, steps and paving", Drawing::Walls),
    ("planting", "Planting plan", Drawing::Planting),
    ("transplants", "Transplants: from the old place to the new", Drawing::Transplants),
    ("ground", "Soil, mulch, edging and turf", Drawing::Ground),
    ("sun", "Hours of direct sun a day, growing season", Drawing::Sun),
    ("shadows", "Shadows at noon through the year", Drawing::Shadows),
    ("irrigation", "Irrigation: zones, heads and pipe", Drawing::Irrigation),
    ("evenness", "How evenly the water falls", Drawing::Evenness),
    ("lights", "Lights, zones and cable", Drawing::Lighting),
    ("night", "Light on the ground after dark", Drawing::Night),
];

/// Draws the set.
///
/// # Errors
/// When no scale of the trade fits the plan on the paper.
pub fn draw(
    loaded: &Loaded,
    outcome: &Outcome,
    settings: &Settings,
    fonts: &Fonts,
) -> Result<Drawn, PackageError> {
    let project = &loaded.project;
    let lie = lie(project, &outcome.yard.plot, settings.north_up);
    let (paper, scale) = paper_and_scale(project, lie, settings)?;
    let moved = !outcome.yard.transplanting.dug.is_empty();
    // Ground without levels has nothing to show.
    let levelled = outcome.yard.ground.proposed_surface().is_some();
    let shown = |drawing: Drawing| outcome.marks.iter().any(|mark| mark.layer.on == [drawing]);
    let built = !project.design.built.elements().is_empty();
    let lit = !project.design.lighting.lights.is_empty();
    let watered = !project.design.irrigation.waterings.is_empty();
    let surveyed = !project.readings.book.network.readings.is_empty();
    let wanted: Vec<_> = PLANS
        .iter()
        .filter(|(_, _, drawing)| match drawing {
            Drawing::Transplants => moved,
            Drawing::Levels | Drawing::Drainage => levelled,
            Drawing::Sun | Drawing::Shadows => shown(*drawing),
            Drawing::Survey => surveyed,
            Drawing::Walls => built,
            Drawing::Lighting | Drawing::Night => lit,
            Drawing::Irrigation => watered,
            // Drip falls nowhere: the map is of heads.
            Drawing::Evenness => watered && shown(*drawing),
            _ => true,
        })
        .collect();
    let room = window(paper, true);
    let close = wall_sheets::close_up(&outcome.marks, lie, room, project)?.filter(|_| built);
    let mut paintings: Vec<Painting> = wanted
        .par_iter()
        .map(|(name, title, drawing)| {
            // Walls are drawn as large as the sheet allows.
            let own = close.filter(|_| *drawing == Drawing::Walls);
            let view = View {
                drawing: *drawing,
                frame: Frame::Plan,
                scale: own.map_or(scale, |own| own.0).denominator,
                rotation: lie.rotation,
                centre: own.map_or(lie.centre, |own| own.1),
                width_mm: room.width,
                height_mm: room.height,
            };
            let painted = paint(&outcome.marks, &view, fonts);
            Painting { name: (*name).to_owned(), title: (*title).to_owned(), painted, view }
        })
        .collect();
    let detail = detail(&outcome.marks, paper, fonts, project)?;
    let at_scale = |painting: &Painting| match close {
        Some((own, _)) if painting.view.drawing == Drawing::Walls => own,
        _ => scale,
    };
    let mut sheets: Vec<Sheet> =
        paintings.iter().map(|painting| sheet(painting, outcome, lie, at_scale(painting), fonts)).collect();
    for mut diagrams in wall_sheets::diagrams(project, outcome, paper, fonts)? {
        sheets.push(diagrams.sheet);
        paintings.append(&mut diagrams.paintings);
    }
    for mut diagrams in light_sheets::circuits(project, outcome, paper, fonts)? {
        sheets.push(diagrams.sheet);
        paintings.append(&mut diagrams.paintings);
    }
    if let Some((painting, detail_scale)) = detail {
        sheets.push(detail_sheet(&painting, detail_scale));
        paintings.push(painting);
    }
    sheets.push(tables_sheet(
        "Plantings and takeoff",
        tables(outcome, &["plantings", "best-first", "takeoff", "takeoff-basis"]),
    ));
    if built {
        sheets.push(tables_sheet(
            "Walls: calculation sheet",
            tables(outcome, &["wall-checks", "wall-calculation"]),
        ));
    }
    if watered {
        sheets.push(tables_sheet(
            "Irrigation: controller and the water of a year",
            tables(outcome, &["controller", "controller-first", "water-budget"]),
        ));
    }
    sheets.push(tables_sheet("What this rests on", vec![crate::lists::assumptions(loaded)]));
    let label_faults = paintings
        .iter()
        .flat_map(|p| p.painted.labels.faults.iter().map(|fault| (p.title.clone(), fault.clone())))
        .filter(|(_, fault)| fault.kind != LabelFaultKind::TagOnPot)
        .collect();
    Ok(Drawn { set: PlanSet { title_block: title_block(project), paper, sheets }, paintings, label_faults })
}

fn paper_and_scale(project: &Project, lie: Lie, settings: &Settings) -> Result<(Paper, Scale), PackageError> {
    let system = project.property.system;
    let extent = Size::new(lie.width, lie.height);
    Ok(match settings.paper {
        Some(paper) => (paper, fit(extent, window(paper, true), system)?),
        None => choose(extent, LEGIBLE, system, true)?,
    })
}

fn title_block(project: &Project) -> TitleBlock {
    let property = &project.property;
    let or = |text: &str, other: &str| if text.is_empty() { other.to_owned() } else { text.to_owned() };
    TitleBlock {
        project: property.name.clone(),
        address: property.address.clone(),
        client: (!property.client.is_empty()).then(|| property.client.clone()),
        firm: project.practice.firm.clone(),
        drawn_for: "planting".to_owned(),
        date: or(&project.design.issued, "not dated"),
        revision: or(&project.design.revision, "first issue"),
        status: "for review".to_owned(),
    }
}

pub(crate) fn tables(outcome: &Outcome, keys: &[&str]) -> Vec<Table> {
    keys.iter().filter_map(|key| outcome.tables.iter().find(|table| table.key == *key)).cloned().collect()
}

fn sheet(painting: &Painting, outcome: &Outcome, lie: Lie, scale: Scale, fonts: &Fonts) -> Sheet {
    let keys: &[&str] = match painting.view.drawing {
        Drawing::Survey => &["survey-points", "survey-readings"],
        Drawing::Existing => &["existing-plants", "buried"],
        Drawing::Levels => &["earthwork", "falls"],
        Drawing::Drainage => &["drains", "swales", "runoff", "storage"],
        Drawing::Planting => &["plant-schedule"],
        Drawing::Transplants => &["transplants"],
        Drawing::Ground => &["edging", "set-out"],
        Drawing::Sun => &["sun"],
        Drawing::Shadows => &["noon"],
        Drawing::Walls => &["walls", "steps", "paving"],
        Drawing::Irrigation => &["water-zones", "water-supply"],
        Drawing::Evenness => &["water-areas", "water-heads"],
        Drawing::Lighting => &["lights"],
        Drawing::Night => &["night", "timer"],
        Drawing::Detail | Drawing::WallDetail | Drawing::Circuits => &[],
    };
    Sheet {
        title: painting.title.clone(),
        views: vec![PlacedView {
            list: painting.painted.list.clone(),
            title: painting.title.clone(),
            scale: Some(scale),
            north: Some(lie.north),
        }],
        legend: legend(&outcome.marks, painting.view.drawing, fonts),
        tables: tables(outcome, keys),
        notes: crate::lists::notes(painting.view.drawing, ranked(outcome)),
    }
}

/// Whether ranks stand beside pots.
fn ranked(outcome: &Outcome) -> bool {
    outcome.marks.iter().any(|mark| mark.layer.name == groundwright_planting::layers::RANK.name)
}

/// The planting detail at the largest scale of the trade that leaves room for its words.
fn detail(
    marks: &[Mark],
    paper: Paper,
    fonts: &Fonts,
    project: &Project,
) -> Result<Option<(Painting, Scale)>, PackageError> {
    let frame = Frame::Diagram(groundwright_planting::DETAIL_FRAME.to_owned());
    let bounds = marks.iter().filter(|mark| mark.frame == frame).filter_map(bounds).reduce(|a, b| a.union(b));
    let Some(bounds) = bounds else { return Ok(None) };
    let room = window(paper, true);
    // Words beside the drawing take as much again to each side.
    let extent = Size::new(bounds.width() * 1.6, bounds.height() * 1.25);
    let scale = fit(extent, room, project.property.system)?;
    let view = View {
        drawing: Drawing::Detail,
        frame,
        scale: scale.denominator,
        rotation: 0.0,
        centre: bounds.center(),
        width_mm: room.width,
        height_mm: room.height,
    };
    let painted = paint(marks, &view, fonts);
    Ok(Some((
        Painting { name: "planting-detail".to_owned(), title: "Planting detail".to_owned(), view, painted },
        scale,
    )))
}

/// Marks of one frame.
pub(crate) fn inside(marks: &[Mark], frame: &Frame) -> Vec<Mark> {
    marks.iter().filter(|mark| &mark.frame == frame).cloned().collect()
}

pub(crate) fn bounds(mark: &Mark) -> Option<Rect> {
    use kurbo::Shape as _;
    let about = |p: Point| Rect::from_points(p, p);
    Some(match &mark.shape {
        Shape::Path { path, .. } => path.bounding_box(),
        Shape::Circle { centre, radius, .. } => about(*centre).inflate(*radius, *radius),
        Shape::Glyph { at, .. } | Shape::Text { at, .. } => about(*at),
        Shape::Callout { anchors, .. } => about(*anchors.first()?),
        Shape::Dimension { from, to, offset, .. } => {
            let along = *to - *from;
            let across = groundwright_geometry::Vec2::new(-along.y, along.x) / along.hypot().max(1e-9);
            // The figure stands beyond the line.
            let shift = across * (offset * 1.15);
            Rect::from_points(*from, *to).union(Rect::from_points(*from + shift, *to + shift))
        }
    })
}

fn detail_sheet(painting: &Painting, scale: Scale) -> Sheet {
    Sheet {
        title: painting.title.clone(),
        views: vec![PlacedView {
            list: painting.painted.list.clone(),
            title: painting.title.clone(),
            scale: Some(scale),
            north: None,
        }],
        notes: crate::lists::notes(Drawing::Detail, false),
        ..Sheet::default()
    }
}

/// Words for a notes block.
pub(crate) fn block(heading: &str, caution: bool, paragraphs: &[&str]) -> NoteBlock {
    NoteBlock {
        heading: heading.to_owned(),
        paragraphs: paragraphs.iter().map(|&p| p.to_owned()).collect(),
        caution,
    }
}
