//! The first visit: what is found and told there, as commands; what is known so far, as news.
//!
//! - In: places tapped on a picture or on squared paper, and what was typed beside them. Out:
//!   commands that add what was found, or that say what the property's file says outside elements.
//! - Everything may be left out: what is missing is assumed by the reader of the files, and listed
//!   here by what its reading would change.
//! - Not here: weighing the doubts (`weighing.rs`), beds as strokes (`hand.rs`).

use std::collections::BTreeMap;
use std::fmt::Write as _;

use groundwright_geometry::Point;
use groundwright_geometry::frame::compass_name;
use groundwright_handoff::{Cell, Datum, Dimension, Phase, Shape};
use groundwright_job::{Outcome, Swing, Worth, light_class, permit_flags};
use groundwright_plan::stock::Light;
use groundwright_plan::{
    Command, ElementRef, Kind, Loaded, ProjectFile, Scale, SoilTexture, Word, place_text, scale_of,
};
use groundwright_units::Reader;
use groundwright_yard::{Area, Spot};
use kurbo::ParamCurve as _;

use crate::element_name::name_of;
use crate::hand::{Bench, HandError, Made, quoted, spot};
use crate::messages::{
    AnswerNews, FlagNews, Found, HeadNews, PhotoNews, PictureNews, ShapeNews, Spot as At, Tell, WorthNews,
};

/// Steps of a curve as the page draws it. [m]
const FINE: f64 = 0.05;
/// A picture is not taken for more than a hundred times as large or small as it is.
const MOST_STRETCHED: f64 = 100.0;
/// Entries of the list of readings that are told; the rest changes less.
const LISTED: usize = 12;

/// A key outside the elements that is asked on a first visit.
struct Head {
    path: &'static str,
    group: &'static str,
    label: &'static str,
    hint: &'static str,
    form: Form,
}

#[derive(Clone, Copy, PartialEq)]
enum Form {
    /// Words, always in quotes.
    Words,
    /// A number or a quantity in the notations of the trade.
    Quantity,
    /// Yes or no.
    YesNo,
    /// Several lines of words.
    Lines,
}

const fn head(
    path: &'static str,
    group: &'static str,
    label: &'static str,
    hint: &'static str,
    form: Form,
) -> Head {
    Head { path, group, label, hint, form }
}

const HEADS: [Head; 19] = [
    head("name", "Place", "Name of the job", "", Form::Words),
    head("address", "Place", "Address", "", Form::Words),
    head("client", "Place", "Client", "", Form::Words),
    head("place.latitude", "Place", "Latitude", "degrees, north positive", Form::Quantity),
    head("place.longitude", "Place", "Longitude", "degrees, east positive", Form::Quantity),
    head("place.hardiness", "Place", "Hardiness zone", "such as 8b", Form::Words),
    head("north", "Place", "True north", "degrees clockwise from the top of the plan", Form::Quantity),
    head(
        "boundary.known",
        "Place",
        "How the property line is known",
        "pins found, from the plat, fence",
        Form::Words,
    ),
    head("place.soil", "Ground and water", "Soil of the top spade", "", Form::Words),
    head(
        "place.winter_water",
        "Ground and water",
        "Depth of standing water in winter",
        "only where it comes near",
        Form::Quantity,
    ),
    head("supply.bucket", "Ground and water", "Bucket at the hose bib", "5 gal, 10 l", Form::Quantity),
    head("supply.seconds", "Ground and water", "Seconds to fill it", "", Form::Quantity),
    head("access.narrowest", "Ground and water", "Narrowest gate", "36 in, 0.9 m", Form::Quantity),
    head(
        "place.children_or_pets",
        "Wishes",
        "Children or pets use the yard",
        "taken for granted unless you say no",
        Form::YesNo,
    ),
    head("wishes.wants", "Wishes", "Wishes", "one a line", Form::Lines),
    head("wishes.must_not", "Wishes", "Must not", "one a line", Form::Lines),
    head("wishes.budget", "Wishes", "Budget", "a range, in the client's words", Form::Words),
    head("place.elevation", "Place", "Height above the sea", "", Form::Quantity),
    head("place.time_zone", "Place", "Time zone", "such as America/Denver", Form::Words),
];

/// The command that gives a key outside the elements what was typed; empty text takes it away.
///
/// # Errors
/// A key that is not asked on a first visit.
pub fn declare(field: &str, text: &str) -> Result<Command, HandError> {
    let head = HEADS.iter().find(|head| head.path == field);
    let head = head.ok_or_else(|| HandError::Visit(format!("`{field}` is not asked on a first visit")))?;
    let (file, field, text) = (ProjectFile::Property, field.to_owned(), text.trim());
    if text.is_empty() && field != "name" {
        return Ok(Command::Retract { file, field });
    }
    let value = match head.form {
        Form::YesNo if matches!(text, "true" | "false") => text.to_owned(),
        Form::Lines => {
            let lines = text.lines().map(str::trim).filter(|line| !line.is_empty()).map(quoted);
            format!("[{}]", lines.collect::<Vec<_>>().join(", "))
        }
        // A quantity as text carries its unit, or is questioned by the reader of the files.
        Form::Words | Form::Quantity | Form::YesNo => quoted(text),
    };
    Ok(Command::Declare { file, field, value })
}

/// Fields that may be given with what was found; others are refused.
fn fields_of(what: Found) -> &'static [&'static str] {
    match what {
        Found::House => &["label", "storeys", "eave", "floor", "roof", "siding"],
        Found::Tree => &["plant", "girth", "diameter", "crown", "height", "action", "condition", "note"],
        Found::Shrub => &["plant", "count", "spread", "height", "action", "condition", "note"],
        Found::Taped => &["length"],
        Found::Paving => &["kind", "material"],
        Found::Level => &["sill", "reading"],
        Found::Photo => &["file", "taken", "note"],
        Found::Picture => &["file"],
        Found::Boundary | Found::Street => &[],
    }
}

/// Adds what was found at places of the plan. With `sets_scale` the plan is scaled so that it agrees
/// with the length that was taped.
///
/// # Errors
/// Too few places, a field that does not belong, or words that cannot be.
pub fn found(
    bench: Bench<'_>,
    what: Found,
    points: &[At],
    fields: &BTreeMap<String, String>,
    sets_scale: bool,
    made: &mut Made,
) -> Result<(), HandError> {
    let points: Vec<Point> = points.iter().map(|p| spot(*p)).collect::<Result<_, _>>()?;
    let (least, most, needs) = match what {
        Found::House | Found::Boundary | Found::Paving => (3, 500, "its corners, three or more"),
        Found::Taped => (2, 2, "both ends of the tape"),
        Found::Photo => (0, 2, "where you stood, then what you looked at"),
        Found::Picture => (2, 2, "both lower corners of the picture"),
        Found::Tree | Found::Shrub | Found::Street | Found::Level => (1, 1, "one place"),
    };
    if !(least..=most).contains(&points.len()) {
        return Err(HandError::Visit(format!("tap {needs}; there are {}", points.len())));
    }
    if let Some(odd) = fields.keys().find(|key| !fields_of(what).contains(&key.as_str())) {
        return Err(HandError::Visit(format!("`{odd}` does not belong to what was found")));
    }
    let outline = || format!("outline = [{}]\n", bench.places(&points));
    let at = points.first().map_or_else(String::new, |at| place_text(&bench.loaded.sources, *at));
    let mut body = fields
        .iter()
        .filter(|(key, text)| {
            !matches!(key.as_str(), "storeys" | "sill" | "reading") && !text.trim().is_empty()
        })
        .fold(String::new(), |body, (key, text)| body + key + " = " + &bench.value(key, text) + "\n");
    let default = |body: &mut String, key: &str, text: &str| {
        if fields.get(key).is_none_or(|given| given.trim().is_empty()) {
            let _ = writeln!(body, "{key} = {}", quoted(text));
        }
    };
    match what {
        Found::House => {
            body.push_str(&outline());
            if let Some(eave) = eave_of(fields.get("storeys"))? {
                let _ = writeln!(body, "eave = {}", quoted(eave));
            }
            bench.add(Kind::Building, "house", body, made);
        }
        Found::Boundary => {
            let (file, field) = (ProjectFile::Property, "boundary.outline".to_owned());
            let value = format!("[{}]", bench.places(&points));
            made.commands.push(Command::Declare { file, field, value });
        }
        Found::Paving => {
            default(&mut body, "kind", "walk");
            body.push_str(&outline());
            let wish = fields.get("kind").map_or("walk", |kind| kind.trim());
            bench.add(Kind::Surface, if wish.is_empty() { "walk" } else { wish }, body, made);
        }
        Found::Tree | Found::Shrub => {
            default(&mut body, "plant", "Unknown sp.");
            let _ = writeln!(body, "at = {at}");
            let (kind, wish) =
                if what == Found::Tree { (Kind::Tree, "tree") } else { (Kind::Shrub, "shrub") };
            bench.add(kind, wish, body, made);
        }
        Found::Taped => {
            let length = fields.get("length").map_or("", |length| length.trim());
            if length.is_empty() {
                return Err(HandError::Visit(
                    "say how long the tape reads, such as 12' 6\" or 3.8 m".to_owned(),
                ));
            }
            let factor = bench.length(length)? / points[0].distance(points[1]);
            let to = place_text(&bench.loaded.sources, points[1]);
            let _ = writeln!(body, "from = {at}\nto = {to}");
            bench.add(Kind::Taped, "taped", body, made);
            if sets_scale {
                if !(MOST_STRETCHED.recip()..=MOST_STRETCHED).contains(&factor) {
                    return Err(HandError::Visit(format!(
                        "the plan would become {factor:.3} times as large; tap both ends again, or check the unit"
                    )));
                }
                made.commands.push(Command::Scale { factor });
            }
        }
        Found::Photo => {
            needs_file(fields)?;
            for (key, place) in ["at", "looking"].iter().zip(&points) {
                let _ = writeln!(body, "{key} = {}", place_text(&bench.loaded.sources, *place));
            }
            bench.add(Kind::Photo, "photo", body, made);
        }
        Found::Picture => {
            needs_file(fields)?;
            let to = place_text(&bench.loaded.sources, points[1]);
            let _ = writeln!(body, "from = {at}\nto = {to}");
            bench.add(Kind::Picture, "picture", body, made);
        }
        Found::Level => level(bench, &at, fields, made)?,
        Found::Street => street(bench, &at, made),
    }
    Ok(())
}

fn needs_file(fields: &BTreeMap<String, String>) -> Result<(), HandError> {
    if fields.get("file").is_none_or(|file| file.trim().is_empty()) {
        return Err(HandError::Visit("choose a photo or picture first: JPEG, PNG or WebP".to_owned()));
    }
    Ok(())
}

/// Pictures that lie under the drawing.
pub fn pictures(loaded: &Loaded) -> Vec<PictureNews> {
    let property = &loaded.project.property;
    let one = |picture: &groundwright_plan::Picture| {
        let [from, to] = [property.place(&picture.from)?, property.place(&picture.to)?].map(|p| [p.x, p.y]);
        let element = name_of(&ElementRef::new(Kind::Picture, &picture.id));
        Some(PictureNews { element, file: picture.file.clone(), from, to })
    };
    property.pictures.iter().filter_map(one).collect()
}

/// Photos with what is known of them.
fn photos(loaded: &Loaded) -> Vec<PhotoNews> {
    let property = &loaded.project.property;
    let place = |place: &Option<_>| place.as_ref().and_then(|place| property.place(place));
    property
        .photos
        .iter()
        .map(|photo| {
            let way = place(&photo.at).zip(place(&photo.looking)).map(|(at, to)| to - at);
            let looks =
                way.map(|way| format!("looks {}", compass_name(way.x.atan2(way.y) - property.north.value)));
            let words = [photo.note.clone(), photo.taken.clone(), looks.unwrap_or_default()];
            PhotoNews {
                element: name_of(&ElementRef::new(Kind::Photo, &photo.id)),
                file: photo.file.clone(),
                words: words.into_iter().filter(|word| !word.is_empty()).collect::<Vec<_>>().join(", "),
            }
        })
        .collect()
}

/// What the levels of a first visit count from.
const SILL: &str = "the door sill";

/// A level by two readings of a rod: what is lower reads more.
fn level(
    bench: Bench<'_>,
    at: &str,
    fields: &BTreeMap<String, String>,
    made: &mut Made,
) -> Result<(), HandError> {
    let read = |key: &str, words: &str| match fields.get(key).map(|text| text.trim()) {
        Some(text) if !text.is_empty() => bench.length(text),
        _ => Err(HandError::Visit(format!("say what the rod reads {words}"))),
    };
    let above = read("sill", "on the door sill")? - read("reading", "here")?;
    let ground = &bench.loaded.project.property.ground;
    if ground.datum.is_empty() && ground.levels.is_empty() && ground.break_lines.is_empty() {
        let (file, field) = (ProjectFile::Property, "datum".to_owned());
        made.commands.push(Command::Declare { file, field, value: quoted(SILL) });
    } else if ground.datum != SILL {
        return Err(HandError::Visit(format!(
            "the levels of this project count from `{}`, not from {SILL}; add this one to property.toml",
            ground.datum
        )));
    }
    // A tenth of a millimetre is finer than any rod; adding zero makes -0 plain.
    let above = (above * 1e4).round() / 1e4 + 0.0;
    bench.add(Kind::SpotLevel, "level", format!("at = {at}\nlevel = \"{above} m\"\n"), made);
    Ok(())
}

/// The street side: from where the house is seen, and what lies at the foot of the plan.
fn street(bench: Bench<'_>, at: &str, made: &mut Made) {
    let property = &bench.loaded.project.property;
    let known = property.street.clone().filter(|id| property.viewpoints.iter().any(|v| v.id == *id));
    if let Some(id) = known {
        let element = ElementRef::new(Kind::Viewpoint, &id);
        made.commands.push(Command::Set { element, field: "at".to_owned(), value: at.to_owned() });
        return;
    }
    bench.add(Kind::Viewpoint, "street", format!("role = \"street\"\nat = {at}\n"), made);
    if let Some(added) = made.added.last() {
        let (file, field) = (ProjectFile::Property, "street".to_owned());
        made.commands.push(Command::Declare { file, field, value: quoted(added.id.as_str()) });
    }
}

/// Height of the eaves by storeys: 2.7 m and 2.8 m for each further one, give or take.
/// Common practice, no source.
fn eave_of(storeys: Option<&String>) -> Result<Option<&'static str>, HandError> {
    match storeys.map_or("", |text| text.trim()) {
        "" => Ok(None),
        "1" => Ok(Some("2.7 m ± 0.4 m")),
        "1.5" => Ok(Some("4 m ± 0.7 m")),
        "2" => Ok(Some("5.5 m ± 0.7 m")),
        "3" => Ok(Some("8.3 m ± 0.9 m")),
        other => Err(HandError::Visit(format!("`{other}` storeys; expected 1, 1.5, 2 or 3"))),
    }
}

/// The command that makes the plan agree with what was taped.
///
/// # Errors
/// Nothing was taped.
pub fn fit(loaded: &Loaded) -> Result<Command, HandError> {
    let scale = scale_of(&loaded.project.property);
    if scale.lengths.is_empty() {
        return Err(HandError::Visit("tape a length first".to_owned()));
    }
    Ok(Command::Scale { factor: scale.factor })
}

/// What is known of the yard so far, for the page.
///
/// # Arguments
/// - `worth`: what is worth measuring, where it was weighed; with whether it is of an older revision.
pub fn news(loaded: &Loaded, outcome: &Outcome, reader: &Reader, worth: Option<(&[Worth], bool)>) -> Tell {
    let property = &loaded.project.property;
    let scale = scale_of(property);
    let (list, stale) = worth.map_or((&[][..], true), |(list, stale)| (list, stale));
    Tell::Visit {
        heads: heads(loaded),
        shapes: shapes(loaded, outcome),
        scale: scale_words(&scale),
        fits: scale.lengths.is_empty() || (scale.factor - 1.0).abs() < 5e-4,
        flow: property.supply.flow().map_or(String::new(), |flow| reader.flow(flow)),
        answers: answers(outcome, &scale, list, reader),
        photos: photos(loaded),
        light: light(loaded, outcome, reader),
        falls: falls(outcome, reader),
        stale: outcome.stale,
        worth: list
            .iter()
            .filter(|one| one.weight > 0.0)
            .take(LISTED)
            .map(|one| worth_news(one, reader))
            .collect(),
        weighing: stale,
        flags: permit_flags(&loaded.project, &outcome.yard.plot)
            .into_iter()
            .map(|flag| FlagNews {
                what: flag.what,
                ask: flag.ask.to_owned(),
                elements: flag.elements.iter().map(name_of).collect(),
            })
            .collect(),
    }
}

fn heads(loaded: &Loaded) -> Vec<HeadNews> {
    let text = loaded.sources.property.as_deref().unwrap_or_default();
    let document: toml_edit::DocumentMut = text.parse().unwrap_or_default();
    HEADS
        .iter()
        .map(|head| {
            let mut item = Some(document.as_item());
            for key in head.path.split('.') {
                item = item.and_then(|item| item.get(key));
            }
            let assumed = loaded.doubts.iter().find(|d| d.element.is_none() && d.field == head.path);
            let choices = match (head.path, head.form) {
                ("place.soil", _) => SoilTexture::all().iter().map(|soil| soil.word().to_owned()).collect(),
                (_, Form::YesNo) => vec!["true".to_owned(), "false".to_owned()],
                _ => Vec::new(),
            };
            HeadNews {
                path: head.path.to_owned(),
                group: head.group.to_owned(),
                label: head.label.to_owned(),
                text: item.map_or(String::new(), shown),
                hint: head.hint.to_owned(),
                assumed: assumed.map_or(String::new(), |doubt| doubt.shown.clone()),
                choices,
                lines: head.form == Form::Lines,
            }
        })
        .collect()
}

/// A value as a person would type it.
fn shown(item: &toml_edit::Item) -> String {
    let plain = |value: &toml_edit::Value| match value.as_str() {
        Some(text) => text.to_owned(),
        None => value.to_string().trim().to_owned(),
    };
    match item.as_value() {
        Some(toml_edit::Value::Array(list)) => list.iter().map(plain).collect::<Vec<_>>().join("\n"),
        Some(toml_edit::Value::InlineTable(table)) => table.get("value").map_or_else(String::new, plain),
        Some(value) => plain(value),
        None => String::new(),
    }
}

/// Layer of the shadows that the pad shows.
const NOON: &str = "SUN-NOON-EQUINOX";

fn shapes(loaded: &Loaded, outcome: &Outcome) -> Vec<ShapeNews> {
    let plot = &outcome.yard.plot;
    let area = |area: &Area| ShapeNews {
        element: name_of(&area.element),
        points: area.edge.flatten(FINE).iter().map(|p| [p.x, p.y]).collect(),
        closed: true,
    };
    let one = |spot: &Spot| ShapeNews {
        element: name_of(&spot.element),
        points: vec![[spot.at.x, spot.at.y]],
        closed: false,
    };
    let areas = plot.boundary.iter().chain(plot.paved()).chain(&plot.lawns).chain(&plot.beds);
    let spots = plot.trees.iter().chain(&plot.shrubs).chain(&plot.viewpoints);
    let property = &loaded.project.property;
    let taped = property.taped.iter().filter_map(|taped| {
        let ends = [property.place(&taped.from)?, property.place(&taped.to)?];
        let element = name_of(&ElementRef::new(Kind::Taped, &taped.id));
        Some(ShapeNews { element, points: ends.map(|p| [p.x, p.y]).to_vec(), closed: false })
    });
    let levels = property.ground.levels.iter().filter_map(|level| {
        let at = property.place(&level.at)?;
        let element = name_of(&ElementRef::new(Kind::SpotLevel, &level.id));
        Some(ShapeNews { element, points: vec![[at.x, at.y]], closed: false })
    });
    let cameras = property.photos.iter().filter_map(|photo| {
        let at = property.place(photo.at.as_ref()?)?;
        let to = photo.looking.as_ref().and_then(|to| property.place(to));
        let points = std::iter::once(at).chain(to).map(|p| [p.x, p.y]).collect();
        Some(ShapeNews { element: name_of(&ElementRef::new(Kind::Photo, &photo.id)), points, closed: false })
    });
    let shadows = outcome.marks.iter().filter(|mark| mark.layer.name == NOON).filter_map(|mark| {
        let Shape::Path { path, .. } = &mark.shape else { return None };
        let points =
            path.segments().map(|piece| piece.start()).chain(path.segments().last().map(|p| p.end()));
        let points: Vec<At> = points.map(|p| [p.x, p.y]).collect();
        Some(ShapeNews { element: "shadow noon".to_owned(), closed: false, points })
    });
    shadows
        .chain(areas.chain(&plot.buildings).map(area))
        .chain(taped)
        .chain(cameras)
        .chain(levels)
        .chain(spots.map(one))
        .collect()
}

fn scale_words(scale: &Scale) -> String {
    let per_cent = |share: f64| format!("{:.1} %", share * 100.0);
    let spread = per_cent(scale.spread);
    let off = if (scale.factor - 1.0).abs() < 5e-4 {
        "The plan agrees with the tape".to_owned()
    } else {
        let word = if scale.factor > 1.0 { "longer" } else { "shorter" };
        format!("On the ground all is {} {word} than drawn", per_cent((scale.factor - 1.0).abs()))
    };
    match scale.lengths.len() {
        0 => format!(
            "Nothing was taped: lengths may be off by {spread}, areas by {}.",
            per_cent(scale.area_spread())
        ),
        1 => format!("{off}, give or take {spread}. One length only: nothing checks it."),
        n => format!("{off}, give or take {spread}: {n} taped lengths check one another."),
    }
}

/// The main amounts with the range that the plan's scale leaves.
fn answers(outcome: &Outcome, scale: &Scale, worth: &[Worth], reader: &Reader) -> Vec<AnswerNews> {
    let weighed = worth.iter().find(|one| one.doubt.name == "[[taped]]");
    let mut answers: Vec<AnswerNews> = Vec::new();
    let beds: f64 = outcome.yard.plot.beds.iter().map(|bed| bed.free.area()).sum();
    if beds > 0.0 {
        let range = [beds * (1.0 - scale.spread).max(0.0).powi(2), beds * (1.0 + scale.spread).powi(2)];
        answers.push(answer("Beds", Datum::area(beds), range, reader));
    }
    let wanted = |phase| matches!(phase, Phase::Planting | Phase::Mulching | Phase::Seasonal | Phase::Turf);
    for line in outcome.takeoff.lines.iter().filter(|line| wanted(line.phase)).take(40) {
        let of_line = |swing: &&Swing| swing.phase == line.phase && swing.item == line.item;
        let swing = weighed.and_then(|one| one.swings.iter().find(of_line));
        let range = swing.map_or([line.net, line.net], |swing| [swing.least, swing.most]);
        let now = Datum { value: line.net, dimension: line.dimension };
        answers.push(answer(&line.description, now, range, reader));
    }
    answers
}

/// Light on the ground by bed: its class in the middle, and the hours from the dark to the bright end.
fn light(loaded: &Loaded, outcome: &Outcome, reader: &Reader) -> Vec<AnswerNews> {
    let practice = &loaded.project.practice;
    rows(outcome, "sun")
        .filter_map(|row| match row {
            [Cell::Text(name), Cell::Datum(dark), Cell::Datum(middle), Cell::Datum(bright), ..] => {
                let class = light_class(middle.value, practice.full_sun, practice.part_sun);
                let [dark, bright] = [dark, bright].map(|hours| hours.show(reader));
                let range = if dark == bright { dark } else { format!("{dark} to {bright} of sun a day") };
                let value = match class {
                    Light::Full => "full sun",
                    Light::Part => "part sun",
                    Light::Shade => "shade",
                };
                Some(AnswerNews { name: name.clone(), value: value.to_owned(), range })
            }
            _ => None,
        })
        .collect()
}

/// Fall from the house, wall by wall.
fn falls(outcome: &Outcome, reader: &Reader) -> Vec<AnswerNews> {
    rows(outcome, "falls")
        .filter_map(|row| match row {
            [Cell::Text(name), Cell::Datum(over), Cell::Datum(fall), Cell::Datum(needed)] => {
                let depth = Datum { value: fall.value.abs(), dimension: fall.dimension }.show(reader);
                let word = if fall.value < 0.0 { "rises" } else { "falls" };
                Some(AnswerNews {
                    name: name.clone(),
                    value: format!("{word} {depth} in {}", over.show(reader)),
                    range: format!("{} asked for", needed.show(reader)),
                })
            }
            _ => None,
        })
        .collect()
}

/// Rows of a table that a study hands out.
fn rows<'o>(outcome: &'o Outcome, key: &str) -> impl Iterator<Item = &'o [Cell]> {
    let table = outcome.tables.iter().find(|table| table.key == key);
    table.into_iter().flat_map(|table| table.rows.iter().map(Vec::as_slice))
}

fn answer(name: &str, now: Datum, [least, most]: [f64; 2], reader: &Reader) -> AnswerNews {
    AnswerNews {
        name: name.to_owned(),
        value: now.show(reader),
        range: range(now.dimension, least, most, reader),
    }
}

/// `12 to 15`, or nothing where both ends read alike.
fn range(dimension: Dimension, least: f64, most: f64, reader: &Reader) -> String {
    let [least, most] = [least, most].map(|value| Datum { value, dimension }.show(reader));
    if least == most { String::new() } else { format!("{least} to {most}") }
}

fn worth_news(worth: &Worth, reader: &Reader) -> WorthNews {
    let doubt = &worth.doubt;
    let title = if doubt.name == "[[taped]]" {
        "The scale of the plan".to_owned()
    } else {
        let field = doubt.field.rsplit('.').next().unwrap_or_default().replace('_', " ");
        format!("{field} of {}", doubt.name.trim_matches(['[', ']']))
    };
    let mut changes: Vec<String> = worth
        .swings
        .iter()
        .take(3)
        .map(|swing| {
            let range = range(swing.dimension, swing.least, swing.most, reader);
            if range.is_empty() {
                swing.description.clone()
            } else {
                format!("{}: {range}", swing.description)
            }
        })
        .collect();
    if worth.swings.len() > 3 {
        changes.push(format!("{} more amounts", worth.swings.len() - 3));
    }
    changes.extend(worth.findings.iter().map(|(_, title)| format!("whether it stands: {title}")));
    WorthNews {
        title,
        assumed: doubt.shown.clone(),
        why: doubt.why.clone(),
        changes,
        element: doubt.element.as_ref().map_or(String::new(), name_of),
        field: doubt.field.clone(),
    }
}
