//! Drawings on a sheet, each with its caption: title, scale, scale bar, north arrow.
//!
//! - In: the views of a sheet and the room for them [mm, y down]. Out: on each page, where each
//!   view stands, and its caption.
//! - Views stand in rows in the order given, each row as high as its highest view; what is left of
//!   the room is spread evenly. A view painted to the whole window fills it exactly.

use groundwright_drawing::{Primitive, TextWidth};
use groundwright_handoff::TextAnchor;
use kurbo::{Point, Rect, Vec2};

use crate::blocks::Setter;
use crate::error::{SheetError, positive};
use crate::north_arrow::north_arrow;
use crate::pieces::{Strip, text};
use crate::plan_set::{PlacedView, Sheet};
use crate::scale_bar::{ScaleBar, scale_bar};
use crate::setting::{HAIRLINE, INK};
use crate::translate::moved;

/// Views may be larger than the room by so much: rounding, not size. [mm]
const SLACK: f64 = 0.05;

/// A view at its place.
pub(crate) struct StandingView<'a> {
    pub view: &'a PlacedView,
    /// Top left of the drawing.
    pub at: Point,
    /// Top left of the caption.
    pub caption_at: Point,
    pub caption: Vec<Primitive>,
}

/// A view with the width that it and its caption take.
struct Cell<'a> {
    view: &'a PlacedView,
    width: f64,
    height: f64,
}

/// The views of a sheet on one or more pages.
///
/// # Errors
/// - [`SheetError::NotPositive`]: a view has no size.
/// - [`SheetError::ViewTooLarge`]: a view does not fit the room.
pub(crate) fn stand<'a>(
    setter: &Setter<'_>,
    sheet: &'a Sheet,
    room: Rect,
) -> Result<Vec<Vec<StandingView<'a>>>, SheetError> {
    let gap = setter.setting.cap * 4.0;
    let mut pages: Vec<Vec<Vec<Cell<'a>>>> = Vec::new();
    let mut row: Vec<Cell<'a>> = Vec::new();
    for view in &sheet.views {
        let cell = cell(setter, sheet, view, room)?;
        if !row.is_empty() && row_width(&row, gap) + gap + cell.width > room.width() + SLACK {
            add_row(&mut pages, std::mem::take(&mut row), room, gap);
        }
        row.push(cell);
    }
    if !row.is_empty() {
        add_row(&mut pages, row, room, gap);
    }
    Ok(pages.into_iter().map(|rows| spread(setter, rows, room)).collect())
}

fn cell<'a>(
    setter: &Setter<'_>,
    sheet: &Sheet,
    view: &'a PlacedView,
    room: Rect,
) -> Result<Cell<'a>, SheetError> {
    let (width, height) = (view.list.width_mm, view.list.height_mm);
    positive("width of a view [mm]", width)?;
    positive("height of a view [mm]", height)?;
    let room_height = room.height() - setter.setting.caption();
    if width > room.width() + SLACK || height > room_height + SLACK {
        return Err(SheetError::ViewTooLarge {
            sheet: sheet.title.clone(),
            view: view.title.clone(),
            width,
            height,
            room_width: room.width(),
            room_height,
        });
    }
    let wide = width.max(caption_width(setter, view)).min(room.width());
    Ok(Cell { view, width: wide, height: height + setter.setting.caption() })
}

fn row_width(row: &[Cell<'_>], gap: f64) -> f64 {
    row.iter().map(|cell| cell.width).sum::<f64>() + gap * row.len().saturating_sub(1) as f64
}

fn row_height(row: &[Cell<'_>]) -> f64 {
    row.iter().map(|cell| cell.height).fold(0.0, f64::max)
}

/// Below the rows of the last page if it has room, else on a new page.
fn add_row<'a>(pages: &mut Vec<Vec<Vec<Cell<'a>>>>, row: Vec<Cell<'a>>, room: Rect, gap: f64) {
    if let Some(page) = pages.last_mut() {
        let height: f64 = page.iter().map(|row| row_height(row) + gap).sum();
        if height + row_height(&row) <= room.height() + SLACK {
            page.push(row);
            return;
        }
    }
    pages.push(vec![row]);
}

/// Spreads what is left of the room before, between and after rows and views.
fn spread<'a>(setter: &Setter<'_>, rows: Vec<Vec<Cell<'a>>>, room: Rect) -> Vec<StandingView<'a>> {
    let used: f64 = rows.iter().map(|row| row_height(row)).sum();
    let air = (room.height() - used).max(0.0) / (rows.len() + 1) as f64;
    let mut standing = Vec::new();
    let mut y = room.y0;
    for row in rows {
        y += air;
        let height = row_height(&row);
        let aside = (room.width() - row_width(&row, 0.0)).max(0.0) / (row.len() + 1) as f64;
        let mut x = room.x0;
        for cell in row {
            x += aside;
            // Drawings of one row stand on one line, their captions below it.
            let drawing = y + height - cell.height;
            let list = &cell.view.list;
            standing.push(StandingView {
                view: cell.view,
                at: Point::new(x + (cell.width - list.width_mm) / 2.0, drawing),
                caption_at: Point::new(x, drawing + list.height_mm),
                caption: caption(setter, cell.view, cell.width),
            });
            x += cell.width;
        }
        y += height;
    }
    standing
}

/// Radius of the circle that holds the north arrow. [mm]
fn arrow_radius(setter: &Setter<'_>) -> f64 {
    setter.setting.caption() * 0.42
}

fn bar(setter: &Setter<'_>, view: &PlacedView) -> Option<ScaleBar> {
    let cap = setter.setting.cap;
    let room = (view.list.width_mm * 0.4).clamp(cap * 22.0, cap * 38.0);
    let letters = setter.setting.body();
    scale_bar(view.scale?, setter.reader.system, room, letters, setter.fonts)
}

/// What the parts of a caption take beside one another. [mm]
fn caption_width(setter: &Setter<'_>, view: &PlacedView) -> f64 {
    let heading = setter.setting.heading();
    let gap = setter.setting.cap * 3.0;
    let title = setter.fonts.width_mm(&view.title, heading.cap, heading.face);
    let bar = bar(setter, view).map_or(0.0, |bar| bar.right + gap);
    let arrow = view.north.map_or(0.0, |_| 2.0 * arrow_radius(setter) + gap);
    title + bar + arrow
}

/// Title and scale at the left; scale bar and north arrow at the right.
fn caption(setter: &Setter<'_>, view: &PlacedView, width: f64) -> Vec<Primitive> {
    let setting = setter.setting;
    let (cap, height) = (setting.cap, setting.caption());
    let mut strip = Strip::default();
    strip.rule(0.0, width, HAIRLINE, INK);
    let mut right = width;
    if let Some(north) = view.north.filter(|north| north.is_finite()) {
        let radius = arrow_radius(setter);
        let middle = Vec2::new(right - radius, height / 2.0 + cap * 0.3);
        let arrow = north_arrow(radius, north, setting.body());
        strip.primitives.extend(arrow.iter().map(|part| moved(part, middle.x, middle.y)));
        right -= 2.0 * radius + cap * 3.0;
    }
    if let Some(bar) = bar(setter, view) {
        let left = right - bar.right;
        let top = (height - bar.label_base) / 2.0 + cap * 0.3;
        strip.primitives.extend(bar.primitives.iter().map(|part| moved(part, left, top)));
        right = left - cap * 3.0;
    }
    strip.space(cap * 1.3);
    strip.paragraph(setter.fonts, &view.title, setting.heading(), 0.0, right);
    let scale = view.scale.map_or("Not to scale".to_owned(), |scale| format!("Scale {}", scale.text));
    let base = Point::new(0.0, strip.height + cap * 1.5);
    strip.primitives.push(text(base, scale, setting.body(), TextAnchor::Left));
    strip.primitives
}
