//! Sheets of walls and steps: each wall from the front and in section, flights together.
//! What draws a diagram on a sheet serves other diagrams too.

use groundwright_drawing::{View, paint};
use groundwright_geometry::{Point, Rect};
use groundwright_handoff::{Cell, Drawing, Frame, Mark, Table};
use groundwright_job::Outcome;
use groundwright_plan::Project;
use groundwright_sheets::{Fonts, Paper, PlacedView, Scale, Sheet, fit, window};
use kurbo::{Affine, Size};

use crate::PackageError;
use crate::plan_set::{Painting, bounds, inside};
use crate::view::Lie;

/// Room about a diagram for its words. [mm]
const MARGIN_MM: f64 = 12.0;
/// Share of the sheet's height that an elevation and a section may take.
const SHARES: (f64, f64) = (0.5, 0.46);

/// A sheet with the paintings that stand on it.
pub(crate) struct Diagrams {
    pub sheet: Sheet,
    pub paintings: Vec<Painting>,
}

/// Sheets of all walls in file order, then one of all flights of steps.
pub(crate) fn diagrams(
    project: &Project,
    outcome: &Outcome,
    paper: Paper,
    fonts: &Fonts,
) -> Result<Vec<Diagrams>, PackageError> {
    let marks = &outcome.marks;
    let detail: Vec<&Mark> =
        marks.iter().filter(|mark| mark.layer.on.contains(&Drawing::WallDetail)).collect();
    let room = window(paper, true);
    let draw = |frame: Frame, title: String, name: String, share: f64| {
        let room = Size::new(room.width, room.height * share);
        draw(marks, &detail, (frame, title, name), room, Drawing::WallDetail, project, fonts)
    };
    let mut all = Vec::new();
    for wall in &project.design.built.walls {
        let views = [
            draw(
                groundwright_walls::elevation_frame(&wall.id),
                format!("{} from the front", wall.label),
                format!("wall-{}-front", wall.id),
                SHARES.0,
            )?,
            draw(
                groundwright_walls::section_frame(&wall.id),
                format!("{}, section", wall.label),
                format!("wall-{}-section", wall.id),
                SHARES.1,
            )?,
        ];
        let tables =
            ["wall-laying", "wall-cuts"].into_iter().filter_map(|key| own_rows(outcome, key, &wall.label));
        let views = views.into_iter().flatten().collect();
        let title = format!("Wall: {}", wall.label);
        all.extend(sheet(title, views, tables.collect(), Drawing::WallDetail));
    }
    let mut flights = Vec::new();
    for steps in &project.design.built.steps {
        flights.extend(draw(
            groundwright_walls::section_frame(&steps.id),
            format!("{}, section", steps.label),
            format!("steps-{}", steps.id),
            SHARES.1,
        )?);
    }
    all.extend(sheet("Steps".to_owned(), flights, Vec::new(), Drawing::WallDetail));
    Ok(all)
}

/// The scale and the middle of a plan of what is built alone; none where nothing is.
pub(crate) fn close_up(
    marks: &[Mark],
    lie: Lie,
    room: Size,
    project: &Project,
) -> Result<Option<(Scale, Point)>, PackageError> {
    let built =
        marks.iter().filter(|mark| mark.frame == Frame::Plan && mark.layer.name.starts_with("BUILT-"));
    let turned = Affine::rotate(lie.rotation);
    let boxes = built.filter_map(bounds).map(|area| turned.transform_rect_bbox(area));
    let Some(area) = boxes.reduce(|a, b| a.union(b)) else { return Ok(None) };
    // Tags stand beside, and some of what lies around shows where it is.
    let extent = Size::new(area.width() * 1.3 + 3.0, area.height() * 1.2 + 2.0);
    let scale = fit(extent, room, project.property.system)?;
    Ok(Some((scale, turned.inverse() * area.center())))
}

/// The rows of a table that belong to a wall, without the column that says so.
fn own_rows(outcome: &Outcome, key: &str, label: &str) -> Option<Table> {
    let whole = outcome.tables.iter().find(|table| table.key == key)?;
    let own = |row: &&Vec<Cell>| matches!(row.first(), Some(Cell::Text(text)) if text == label);
    let mut table = whole.clone();
    table.rows = whole.rows.iter().filter(own).map(|row| row[1..].to_vec()).collect();
    table.columns.remove(0);
    (!table.rows.is_empty()).then_some(table)
}

/// A sheet of diagrams; none without any.
pub(crate) fn sheet(
    title: String,
    drawn: Vec<(Painting, Scale)>,
    tables: Vec<Table>,
    drawing: Drawing,
) -> Option<Diagrams> {
    if drawn.is_empty() {
        return None;
    }
    let views = drawn.iter().map(|(painting, scale)| PlacedView {
        list: painting.painted.list.clone(),
        title: painting.title.clone(),
        scale: Some(*scale),
        north: None,
    });
    let sheet = Sheet {
        title,
        views: views.collect(),
        tables,
        notes: crate::lists::notes(drawing, false),
        ..Sheet::default()
    };
    Some(Diagrams { sheet, paintings: drawn.into_iter().map(|(painting, _)| painting).collect() })
}

/// A diagram at the largest scale of the trade at which it fits the room, no larger than it needs.
pub(crate) fn draw(
    marks: &[Mark],
    detail: &[&Mark],
    (frame, title, name): (Frame, String, String),
    room: Size,
    drawing: Drawing,
    project: &Project,
    fonts: &Fonts,
) -> Result<Option<(Painting, Scale)>, PackageError> {
    let extent = detail
        .iter()
        .filter(|mark| mark.frame == frame)
        .filter_map(|mark| bounds(mark))
        .reduce(|a: Rect, b| a.union(b));
    let Some(extent) = extent else { return Ok(None) };
    let free = Size::new((room.width - 2.0 * MARGIN_MM).max(20.0), (room.height - 2.0 * MARGIN_MM).max(20.0));
    // Words reach beyond the points that they hang on.
    let size = Size::new(extent.width().max(0.1), extent.height().max(0.1));
    let words = words_beyond(detail, &frame, extent.x1, fonts);
    let room_for = |scale: &Scale| scale.paper_mm(size.width) + words <= free.width;
    let mut scale = fit(size, free, project.property.system)?;
    if !room_for(&scale) {
        let narrow = Size::new((free.width - words).max(20.0), free.height);
        scale = fit(size, narrow, project.property.system)?;
    }
    let mm = 1000.0 / scale.denominator;
    let shift = words / 2.0 / mm;
    let centre = Point::new(extent.center().x + shift, extent.center().y);
    let view = View {
        drawing,
        frame,
        scale: scale.denominator,
        rotation: 0.0,
        centre,
        width_mm: size.width * mm + words + 2.0 * MARGIN_MM,
        height_mm: size.height * mm + 2.0 * MARGIN_MM,
    };
    let painted = paint(&inside(marks, &view.frame), &view, fonts);
    Ok(Some((Painting { name, title, view, painted }, scale)))
}

/// How far left-anchored words reach beyond the right edge of all points. [mm]
fn words_beyond(detail: &[&Mark], frame: &Frame, right: f64, fonts: &Fonts) -> f64 {
    use groundwright_drawing::TextWidth as _;
    use groundwright_handoff::{Shape, TextAnchor};
    let reach = detail.iter().filter(|mark| &mark.frame == frame).filter_map(|mark| match &mark.shape {
        Shape::Text { at, text, height_mm, anchor: TextAnchor::Left, .. } => {
            let widest = text
                .lines()
                .map(|line| fonts.width_mm(line, *height_mm, groundwright_drawing::Face::Regular));
            // A metre is at least ten millimetres on any such sheet.
            Some(widest.fold(0.0, f64::max) - (right - at.x) * 10.0)
        }
        _ => None,
    });
    reach.fold(0.0, f64::max)
}
