//! Pages to a PDF file: vectors to true scale, letters as text that can be searched.
//!
//! - In: a plan set. Out: the bytes of a PDF 1.7 file with embedded subsets of the fonts, an
//!   outline of the sheets and a date that comes from the title block, never from a clock.
//! - A point is 1/72 inch; all else is millimetres until the last moment.

use groundwright_drawing::{DisplayList, Primitive};
use groundwright_units::Reader;
use krilla::Document;
use krilla::destination::XyzDestination;
use krilla::geom::Point as PdfPoint;
use krilla::metadata::{DateTime, Metadata};
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use kurbo::{Point, Rect};

use crate::blocks::Setter;
use crate::canvas::{Canvas, Rims, points};
use crate::compose::{Page, Part, compose};
use crate::error::SheetError;
use crate::fonts::Fonts;
use crate::plan_set::PlanSet;
use crate::setting::Setting;

/// The plan set as a PDF file.
///
/// # Errors
/// - [`SheetError::NoSheets`]: there is nothing to print.
/// - [`SheetError::ViewTooLarge`], [`SheetError::TooTall`]: something does not fit its sheet.
/// - [`SheetError::CellsAndColumns`], [`SheetError::ColumnWeight`]: a table is not well formed.
/// - [`SheetError::NotPositive`], [`SheetError::NotFinite`]: a size or a coordinate is no number.
/// - [`SheetError::Write`]: the writer of the format refused.
pub fn pdf(set: &PlanSet, reader: &Reader, fonts: &Fonts) -> Result<Vec<u8>, SheetError> {
    let setter = Setter { fonts, setting: Setting::of(set.paper), reader: *reader };
    let pages = compose(set, &setter)?;
    check(&pages)?;
    let mut document = Document::new();
    let mut rims = Rims::default();
    for page in &pages {
        paint(&mut document, set, page, (fonts, &mut rims))?;
    }
    document.set_metadata(metadata(set));
    document.set_outline(outline(&pages));
    document.finish().map_err(|error| refused(&error.to_string()))
}

fn refused(reason: &str) -> SheetError {
    SheetError::Write { format: "PDF", reason: reason.to_owned() }
}

fn paint(
    document: &mut Document,
    set: &PlanSet,
    page: &Page<'_>,
    (fonts, rims): (&Fonts, &mut Rims),
) -> Result<(), SheetError> {
    let settings = PageSettings::from_wh(points(set.paper.width_mm), points(set.paper.height_mm))
        .ok_or_else(|| refused("the paper has no size"))?;
    let mut sheet = document.start_page_with(settings);
    let mut surface = sheet.surface();
    let mut canvas = Canvas::new(&mut surface, fonts, rims);
    for part in &page.parts {
        match part {
            Part::Pieces { at, primitives } => canvas.paint(primitives, at.to_vec2()),
            Part::View { at, list } => view(&mut canvas, *at, list),
        }
    }
    surface.finish();
    sheet.finish();
    Ok(())
}

fn view(canvas: &mut Canvas<'_, '_>, at: Point, list: &DisplayList) {
    let window = Rect::from_origin_size(at, (list.width_mm, list.height_mm));
    canvas.clipped(window, |canvas| {
        canvas.paint(list.items.iter().map(|item| &item.primitive), at.to_vec2());
    });
}

fn outline(pages: &[Page<'_>]) -> Outline {
    let mut outline = Outline::new();
    for (i, page) in pages.iter().enumerate() {
        let top = XyzDestination::new(i, PdfPoint::from_xy(0.0, 0.0));
        outline.push_child(OutlineNode::new(format!("{}  {}", i + 1, page.title), top));
    }
    outline
}

fn metadata(set: &PlanSet) -> Metadata {
    let words = &set.title_block;
    let metadata = Metadata::new()
        .title(words.project.clone())
        .description(format!("{}: {}", words.drawn_for, words.address))
        .creator("groundwright".to_owned())
        .language("en".to_owned())
        .creation_date(date(&words.date));
    if words.firm.is_empty() { metadata } else { metadata.authors(vec![words.firm.clone()]) }
}

/// `2026-03-14` as a date; any other wording gives the first day of 2000, so that the file never
/// depends on a clock.
fn date(words: &str) -> DateTime {
    let parts: Vec<&str> = words.trim().split('-').collect();
    let read = |i: usize| parts.get(i).and_then(|part| part.parse::<u16>().ok());
    let (year, month, day) = match (parts.len(), read(0), read(1), read(2)) {
        (3, Some(year), Some(month @ 1..=12), Some(day @ 1..=31)) => (year, month as u8, day as u8),
        _ => (2000, 1, 1),
    };
    DateTime::new(year).month(month).day(day).hour(0).minute(0).second(0).utc_offset_hour(0)
}

/// Refuses what is not a finite number, before it can reach the file.
fn check(pages: &[Page<'_>]) -> Result<(), SheetError> {
    for page in pages {
        for part in &page.parts {
            let bad = match part {
                Part::Pieces { primitives, .. } => {
                    primitives.iter().find(|p| !is_finite(p)).map(|_| "a legend's sample".to_owned())
                }
                Part::View { list, .. } => {
                    list.items.iter().find(|item| !is_finite(&item.primitive)).map(|item| item.key.clone())
                }
            };
            if let Some(item) = bad {
                return Err(SheetError::NotFinite { sheet: page.title.clone(), item });
            }
        }
    }
    Ok(())
}

fn is_finite(primitive: &Primitive) -> bool {
    match primitive {
        Primitive::Path { path, stroke, .. } => {
            let line = stroke.as_ref().is_none_or(|stroke| {
                stroke.width_mm.is_finite() && stroke.dash_mm.iter().all(|dash| dash.is_finite())
            });
            line && path.is_finite() && !path.is_nan()
        }
        Primitive::Text { at, cap_height_mm, rotation, .. } => {
            at.is_finite() && cap_height_mm.is_finite() && rotation.is_finite()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_date_is_read_or_fixed_but_never_now() {
        let shown = |words| format!("{:?}", date(words));
        assert!(shown("2026-03-14").contains("year: 2026"));
        assert_eq!(shown("March 14"), shown("2000-01-01"));
        assert_eq!(shown("2026-13-40"), shown(""));
    }
}
