//! Points by lines: number, northing, easting, elevation, code, as data collectors write them.
//!
//! - In: text parted by commas, semicolons or tabs. Out: points.
//! - The order is stated by whoever imports, not guessed: northing first is the surveyors' habit, x
//!   first the drafters'. A first line of words is a heading and is listed as left.

use groundwright_geometry::Point;

use super::{FileUnit, Imported, ImportedPoint, Layers, Outcome};
use crate::field_book::{lines, parting_mark, split};

/// The order of the coordinates.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PointOrder {
    /// Point, northing, easting, elevation, code.
    NorthingFirst,
    /// Point, easting, northing, elevation, code.
    EastingFirst,
}

/// Reads points. A line that is none is listed as left with the reason; elevation and code may be absent.
pub fn read_points(text: &str, order: PointOrder, unit: FileUnit, layers: &Layers) -> Imported {
    let mut imported = Imported::default();
    let mark = lines(text).next().map_or(',', |(_, line)| parting_mark(line));
    for (start, line) in lines(text) {
        let number = text[..start].matches('\n').count() + 1;
        let left = |why: &str| Outcome::Left(why.to_owned());
        let Ok(cells) = split(line, start, mark) else {
            imported.note(format!("line {number}"), "", left("a quotation mark is not closed"));
            continue;
        };
        let cells: Vec<String> = cells.into_iter().map(|(cell, _)| cell).collect();
        let value =
            |i: usize| cells.get(i).and_then(|cell| cell.parse::<f64>().ok()).filter(|v| v.is_finite());
        let name = cells.first().cloned().unwrap_or_default();
        let what = format!("line {number}: point {name}");
        let layer =
            cells.get(4..).map(|rest| rest.join(",")).unwrap_or_default().trim_end_matches(',').to_owned();
        let (Some(first), Some(second)) = (value(1), value(2)) else {
            imported.note(what, &layer, left("its second and third cells are not two numbers"));
            continue;
        };
        let height = match cells.get(3).map(String::as_str) {
            None | Some("") => None,
            Some(_) => {
                let Some(height) = value(3) else {
                    imported.note(what, &layer, left("its elevation is no number"));
                    continue;
                };
                Some(height * unit.metres())
            }
        };
        let (x, y) = match order {
            PointOrder::NorthingFirst => (second, first),
            PointOrder::EastingFirst => (first, second),
        };
        let at = Point::new(x * unit.metres(), y * unit.metres());
        imported.take_point(what, ImportedPoint { name, at, height, layer, kind: None }, layers);
    }
    imported
}
