//! A plan set as pages: everything at its place, nothing painted yet.
//!
//! - In: the plan set, the reader and the fonts. Out: pages in order, all in millimetres of their
//!   sheet, y down.
//! - A sheet is one page with its drawings and a side column; what the columns of the drawings
//!   cannot hold follows together on pages of text after the last of them, so that no page holds a
//!   lone table, and each column says where. A sheet without drawings is pages of text from the start.
//! - Not here: bytes (`pdf.rs`).

use std::ops::Range;

use groundwright_drawing::{DisplayList, Primitive};
use kurbo::{Point, Rect};

use crate::blocks::{Block, Content, Setter};
use crate::column::{Column, fill};
use crate::error::SheetError;
use crate::flow::{Standing, flow};
use crate::pieces::{line, outline, rectangle};
use crate::plan_set::{PlanSet, Sheet};
use crate::setting::{BORDER, HAIRLINE, INK, PageFrame, RULE, Setting};
use crate::title_block::{SheetNumber, title_block, title_strip};
use crate::views::{StandingView, stand};

/// One page, ready to be painted.
pub(crate) struct Page<'a> {
    pub title: String,
    pub frame: PageFrame,
    pub parts: Vec<Part<'a>>,
}

/// Something on a page.
pub(crate) enum Part<'a> {
    /// Primitives about an origin.
    Pieces { at: Point, primitives: Vec<Primitive> },
    /// A drawing with its top left corner at a place, clipped to its window.
    View { at: Point, list: &'a DisplayList },
}

/// Widest column of text, in heights of capitals: a schedule is still read along its rows.
const TEXT_COLUMN: f64 = 90.0;

/// All pages of a set.
pub(crate) fn compose<'a>(set: &'a PlanSet, setter: &Setter<'_>) -> Result<Vec<Page<'a>>, SheetError> {
    if set.sheets.is_empty() {
        return Err(SheetError::NoSheets);
    }
    let mut pages = Vec::new();
    for sheets in set.sheets.chunk_by(|a, b| !a.views.is_empty() && !b.views.is_empty()) {
        if sheets[0].views.is_empty() {
            text_sheet(set, &sheets[0], setter, &mut pages)?;
        } else {
            drawn_sheets(set, sheets, setter, &mut pages)?;
        }
    }
    let of = pages.len();
    for (i, page) in pages.iter_mut().enumerate() {
        finish(set, setter, page, i + 1, of);
    }
    Ok(pages)
}

/// What stands beside the drawings or on pages of its own, cautions first.
fn contents(sheet: &Sheet) -> Vec<Content<'_>> {
    let mut contents: Vec<Content<'_>> =
        sheet.notes.iter().filter(|note| note.caution).map(Content::Caution).collect();
    if !sheet.legend.is_empty() {
        contents.push(Content::Legend(&sheet.legend));
    }
    contents.extend(sheet.tables.iter().map(Content::Table));
    contents.extend(sheet.notes.iter().filter(|note| !note.caution).map(Content::Note));
    contents
}

/// A sheet without drawings.
fn text_sheet<'a>(
    set: &'a PlanSet,
    sheet: &'a Sheet,
    setter: &Setter<'_>,
    pages: &mut Vec<Page<'a>>,
) -> Result<(), SheetError> {
    let first = pages.len();
    text_pages(set, (&sheet.title, &continued(sheet)), setter, &contents(sheet), pages)?;
    if pages.len() == first {
        pages.push(text_page(set, sheet.title.clone(), Vec::new()));
    }
    pages[first].title.clone_from(&sheet.title);
    Ok(())
}

/// A drawn sheet's pages, and what its columns turned away.
struct Drawn<'a> {
    sheet: &'a Sheet,
    /// The first of its pages.
    first: usize,
    columns: Vec<Column<'a>>,
    /// What no column took, as a part of what all sheets turned away.
    waiting: Range<usize>,
}

/// Sheets with drawings, and the pages of text that follow them.
fn drawn_sheets<'a>(
    set: &'a PlanSet,
    sheets: &'a [Sheet],
    setter: &Setter<'_>,
    pages: &mut Vec<Page<'a>>,
) -> Result<(), SheetError> {
    let mut drawn: Vec<Drawn<'a>> = Vec::new();
    let mut turned_away: Vec<Content<'a>> = Vec::new();
    for sheet in sheets {
        let first = pages.len();
        let (columns, waiting) = draw(set, sheet, setter, pages)?;
        let from = turned_away.len();
        turned_away.extend(waiting);
        drawn.push(Drawn { sheet, first, columns, waiting: from..turned_away.len() });
    }
    let mut owners = drawn.iter().filter(|drawn| !drawn.waiting.is_empty());
    let title = match (owners.next(), owners.next()) {
        (Some(only), None) => continued(only.sheet),
        _ => "Schedules to the drawings".to_owned(),
    };
    let begins = text_pages(set, (&title, &title), setter, &turned_away, pages)?;
    for Drawn { first, columns, waiting, .. } in &drawn {
        let (waiting, begins) = (&turned_away[waiting.clone()], &begins[waiting.clone()]);
        for (page, column) in pages[*first..].iter_mut().zip(columns) {
            let numbers = numbers(column, waiting, begins, *first, columns);
            page.parts.extend(pieces(column.strips(setter, &numbers)));
        }
    }
    Ok(())
}

/// The drawings of a sheet on as many pages as they need; the columns beside them, still without
/// their pointers, and what no column took.
fn draw<'a>(
    set: &'a PlanSet,
    sheet: &'a Sheet,
    setter: &Setter<'_>,
    pages: &mut Vec<Page<'a>>,
) -> Result<(Vec<Column<'a>>, Vec<Content<'a>>), SheetError> {
    let frame = PageFrame::new(set.paper, sheet.has_side_column());
    let mut columns: Vec<Column<'a>> = Vec::new();
    let mut waiting = contents(sheet);
    for (i, views) in stand(setter, sheet, frame.area)?.into_iter().enumerate() {
        let title = if i == 0 { sheet.title.clone() } else { continued(sheet) };
        let room = column_room(set, &title, setter, frame);
        pages.push(Page { title, frame, parts: view_parts(views) });
        if frame.has_side_column {
            let column = fill(setter, &waiting, room)?;
            waiting.clone_from(&column.elsewhere);
            columns.push(column);
        }
    }
    Ok((columns, waiting))
}

/// On which sheet each content that a column turned away begins: on a later page with drawings,
/// whose column took it, or on a page of text.
fn numbers(
    column: &Column<'_>,
    waiting: &[Content<'_>],
    begins: &[usize],
    first: usize,
    columns: &[Column<'_>],
) -> Vec<usize> {
    let number = |content: &Content<'_>| {
        let is_same = |other: &Content<'_>| other.is(content);
        let on_text_page = waiting.iter().position(is_same).and_then(|i| begins.get(i));
        // Otherwise a later column took it: it stands on the page after all that turned it away.
        let turned_away = columns.iter().filter(|column| column.elsewhere.iter().any(is_same)).count();
        on_text_page.map_or(first + turned_away, |page| *page) + 1
    };
    column.elsewhere.iter().map(number).collect()
}

fn continued(sheet: &Sheet) -> String {
    format!("{}, continued", sheet.title)
}

fn view_parts(views: Vec<StandingView<'_>>) -> Vec<Part<'_>> {
    let parts = views.into_iter().flat_map(|standing| {
        [
            Part::View { at: standing.at, list: &standing.view.list },
            Part::Pieces { at: standing.caption_at, primitives: standing.caption },
        ]
    });
    parts.collect()
}

fn pieces<'a>(strips: Vec<Standing>) -> impl Iterator<Item = Part<'a>> {
    strips.into_iter().map(|(at, primitives)| Part::Pieces { at, primitives })
}

/// The side column above the title block.
fn column_room(set: &PlanSet, title: &str, setter: &Setter<'_>, frame: PageFrame) -> Rect {
    let number = SheetNumber { title, number: 1, of: 1 };
    let block = title_block(setter, &set.title_block, number, frame.title.width());
    Rect { y1: frame.title.y1 - block.height, ..frame.title }
}

/// Contents on pages of text, under a title; a fault names the sheet.
///
/// # Returns
/// On which page each begins, from 0 in the whole set.
fn text_pages<'a>(
    set: &'a PlanSet,
    (sheet, title): (&str, &str),
    setter: &Setter<'_>,
    contents: &[Content<'_>],
    pages: &mut Vec<Page<'a>>,
) -> Result<Vec<usize>, SheetError> {
    let columns = text_columns(setter, contents, PageFrame::new(set.paper, false).area);
    let width = columns[0].width();
    let blocks =
        contents.iter().map(|content| content.block(setter, width)).collect::<Result<Vec<Block>, _>>()?;
    let first = pages.len();
    let flow = flow(&blocks, &columns, setter.setting.block_gap(), sheet)?;
    for strips in flow.pages {
        let dividers = dividers(setter, &columns, &strips);
        let mut page = text_page(set, title.to_owned(), strips);
        page.parts.push(dividers);
        pages.push(page);
    }
    Ok(flow.begins.into_iter().map(|page| first + page).collect())
}

fn text_page<'a>(set: &PlanSet, title: String, strips: Vec<Standing>) -> Page<'a> {
    Page { title, frame: PageFrame::new(set.paper, false), parts: pieces(strips).collect() }
}

/// Columns of even width, none wider than reading along a row allows, unless a table needs it.
fn text_columns(setter: &Setter<'_>, contents: &[Content<'_>], area: Rect) -> Vec<Rect> {
    let gap = setter.setting.gutter * 2.0;
    let width = |count: usize| (area.width() - gap * (count - 1) as f64) / count as f64;
    let most = ((area.width() + gap) / (setter.setting.cap * TEXT_COLUMN + gap)).floor().max(1.0);
    let fits = |count: &usize| contents.iter().all(|content| content.fits_width(setter, width(*count)));
    let count = (1..=most as usize).rev().find(fits).unwrap_or(1);
    let column = |i: usize| {
        let x0 = area.x0 + (width(count) + gap) * i as f64;
        Rect { x0, x1: x0 + width(count), ..area }
    };
    (0..count).map(column).collect()
}

/// Hairlines between columns of text, as far as they are used.
fn dividers<'a>(setter: &Setter<'_>, columns: &[Rect], strips: &[Standing]) -> Part<'a> {
    let is_used = |column: &&Rect| strips.iter().any(|(at, _)| at.x >= column.x0 - 1e-6);
    let lines = columns[1..].iter().filter(is_used).map(|column| {
        let x = column.x0 - setter.setting.gutter;
        line(Point::new(x, column.y0), Point::new(x, column.y1), HAIRLINE, INK)
    });
    Part::Pieces { at: Point::ORIGIN, primitives: lines.collect() }
}

/// Border, divider and title block.
fn finish(set: &PlanSet, setter: &Setter<'_>, page: &mut Page<'_>, number: usize, of: usize) {
    let PageFrame { border, title, has_side_column, .. } = page.frame;
    let gutter = Setting::of(set.paper).gutter;
    let sheet = SheetNumber { title: &page.title, number, of };
    let mut primitives = vec![outline(rectangle(border), BORDER, INK)];
    let (at, strip) = if has_side_column {
        let x = title.x0 - gutter;
        primitives.push(line(Point::new(x, border.y0), Point::new(x, border.y1), RULE, INK));
        let strip = title_block(setter, &set.title_block, sheet, title.width());
        (Point::new(title.x0, title.y1 - strip.height), strip)
    } else {
        primitives.push(line(Point::new(border.x0, title.y0), Point::new(border.x1, title.y0), RULE, INK));
        let size = (title.width(), title.height());
        (title.origin(), title_strip(setter, &set.title_block, sheet, size))
    };
    page.parts.push(Part::Pieces { at: Point::ORIGIN, primitives });
    page.parts.push(Part::Pieces { at, primitives: strip.primitives });
}
