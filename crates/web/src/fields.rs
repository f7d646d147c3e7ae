//! What can be changed about an element: its fields as the file writes them, and its points.
//!
//! - In: an element. Out: every single value that its file gives, and the usual ones that it does
//!   not give yet, with what stands in for them.
//! - Not here: writing a field (`hand.rs`).

use groundwright_plan::{ElementRef, Kind, Loaded, points_of, written_fields};
use groundwright_units::Reader;

use crate::element_name::name_of;
use crate::messages::{FieldNews, HandleNews, SheetNews};

/// Fields that are offered although the file does not give them: path and what to write there.
fn usual(kind: Kind) -> &'static [(&'static str, &'static str)] {
    match kind {
        Kind::Planting => &[
            ("plant", "a plant of the stock"),
            ("size", "the size it is usually sold in"),
            ("spacing", "from the plant's usual spacing"),
            ("filled_in", "years until the crowns touch"),
            ("note", "a remark for the crew"),
        ],
        Kind::Bed => &[
            ("label", "name on the drawing"),
            ("mulch.product", "none"),
            ("mulch.depth", "the firm's usual depth"),
            ("soil.amendment", "none"),
            ("soil.depth", "none"),
            ("slope", "level until levels are taken"),
        ],
        Kind::Tree | Kind::Shrub => &[
            ("action", "keep, move or remove"),
            ("height", "from the plant's mature size"),
            ("note", "a remark"),
        ],
        Kind::Building => &[("eave", "assumed"), ("floor", "assumed")],
        Kind::Buried => &[("depth", "assumed; have it located"), ("fate", "stays")],
        Kind::Lawn => &[("product", "the usual"), ("fertiliser", "none")],
        _ => &[],
    }
}

/// Words that a field may hold.
fn choices(kind: Kind, path: &str, loaded: &Loaded) -> Vec<String> {
    fn words<W: groundwright_plan::Word>() -> Vec<String> {
        W::all().iter().map(|word| word.word().to_owned()).collect()
    }
    use groundwright_plan as plan;
    let stock = &loaded.project.stock;
    match (kind, path) {
        (Kind::Planting, "role") => words::<plan::PlantingRole>(),
        (Kind::Planting, "row.pattern") => words::<plan::RowPattern>(),
        (Kind::Planting, "source") => words::<plan::PlantSource>(),
        (Kind::Planting, "size") => stock.containers.keys().cloned().collect(),
        (Kind::Tree | Kind::Shrub, "action") => words::<plan::Action>(),
        (Kind::Lawn, "kind") => words::<plan::LawnKind>(),
        (Kind::Surface, "kind") => words::<plan::SurfaceKind>(),
        (Kind::Bed | Kind::PlanterBox, "mulch" | "mulch.product") => stock.mulches.keys().cloned().collect(),
        (Kind::Bed, "soil.amendment") => stock.amendments.keys().cloned().collect(),
        (Kind::Edging, "product") => stock.edgings.keys().cloned().collect(),
        (_, "best_first" | "screen" | "flowering") => vec!["true".to_owned(), "false".to_owned()],
        _ => Vec::new(),
    }
}

/// Fields and points of an element; `None` where it does not exist.
pub fn sheet(loaded: &Loaded, element: &ElementRef, reader: &Reader) -> Option<SheetNews> {
    let written = written_fields(&loaded.sources, element).ok()?;
    let points = points_of(&loaded.sources, element).ok()?;
    // `mulch = "bark"` is short for a table, so its parts are offered in its place.
    let (mulch_word, written): (Vec<_>, Vec<_>) =
        written.into_iter().partition(|(path, text)| path == "mulch" && text != "false");
    let mut fields: Vec<FieldNews> = written
        .into_iter()
        .chain(mulch_word.into_iter().map(|(_, text)| ("mulch.product".to_owned(), text)))
        .map(|(path, text)| field(loaded, element.kind, path, text, ""))
        .collect();
    for (path, hint) in usual(element.kind) {
        let mixed = *path == "plant" && fields.iter().any(|f| f.path.starts_with("plants"));
        if !mixed && !fields.iter().any(|field| field.path == *path) {
            fields.push(field(loaded, element.kind, (*path).to_owned(), String::new(), hint));
        }
    }
    let handles = points
        .into_iter()
        .map(|point| HandleNews {
            path: point.path,
            at: [point.at.x, point.at.y],
            east: reader.length(point.at.x),
            north: reader.length(point.at.y),
            free: true,
        })
        .collect();
    Some(SheetNews { element: name_of(element), fields, handles })
}

fn field(loaded: &Loaded, kind: Kind, path: String, text: String, hint: &str) -> FieldNews {
    let choices = choices(kind, &path, loaded);
    FieldNews { label: label(&path), path, text, hint: hint.to_owned(), choices }
}

/// `mulch.depth` is read as "Mulch depth".
fn label(path: &str) -> String {
    let words = path.replace(['.', '_'], " ");
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
