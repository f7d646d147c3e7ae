//! Commands change what they name and nothing else.
//!
//! The texts before and after are compared line by line and byte by byte, and read again: what a
//! person wrote around a value (comments, order, spaces, line ends) is theirs.

use groundwright_plan::{
    Command, EditError, ElementId, ElementRef, Kind, Loaded, Place, ProjectFile, Sources, apply, read_project,
};
use proptest::prelude::*;
use toml_edit::{DocumentMut, TableLike, Value};

use crate::whole;

fn element(kind: Kind, id: &str) -> ElementRef {
    ElementRef::new(kind, &ElementId::from(id))
}

fn set(kind: Kind, id: &str, field: &str, value: &str) -> Command {
    Command::set(kind, &ElementId::from(id), field, value)
}

fn done(sources: &Sources, command: &Command) -> Sources {
    apply(sources, command).unwrap_or_else(|error| panic!("{command:?}: {error}"))
}

/// The lines that differ: what stood there, what stands there now. Lines before and after are
/// equal, so this is everything that a command touched.
fn touched<'t>(before: &'t str, after: &'t str) -> (Vec<&'t str>, Vec<&'t str>) {
    let (old, new): (Vec<&str>, Vec<&str>) =
        (before.split_inclusive('\n').collect(), after.split_inclusive('\n').collect());
    let head = old.iter().zip(&new).take_while(|(a, b)| a == b).count();
    let tail = old[head..].iter().rev().zip(new[head..].iter().rev()).take_while(|(a, b)| a == b).count();
    (old[head..old.len() - tail].to_vec(), new[head..new.len() - tail].to_vec())
}

/// Asserts what a command did to one file, and that it did nothing to the others.
fn assert_touched(command: &Command, old: &[&str], new: &[&str]) -> Sources {
    let before = whole::sources();
    let after = done(&before, command);
    let file = command.file();
    let (gone, come) = touched(before.text(file.name()).unwrap(), after.text(file.name()).unwrap());
    let plain = |lines: Vec<&str>| -> Vec<String> {
        lines.iter().map(|l| l.trim_end_matches('\n').to_owned()).collect()
    };
    assert_eq!(
        (plain(gone), plain(come)),
        (old.iter().map(|l| (*l).to_owned()).collect(), new.iter().map(|l| (*l).to_owned()).collect())
    );
    for other in ["property.toml", "design.toml", "practice.toml", "stock/own.toml"] {
        if other != file.name() {
            assert_eq!(before.text(other), after.text(other), "{other}");
        }
    }
    after
}

#[test]
fn setting_a_field_leaves_its_comment_and_spaces() {
    let after = assert_touched(
        &set(Kind::Tree, "oak", "at", "[13, 20.5]"),
        &["at = [12.5, 20]   # trunk"],
        &["at = [13, 20.5]   # trunk"],
    );
    let oak = &whole::load(&after).project.property.trees[0];
    assert_eq!(oak.at, Place::At(groundwright_geometry::Point::new(13.0 * 0.3048, 20.5 * 0.3048)));
}

#[test]
fn setting_a_new_field_adds_one_line_to_its_element() {
    let after = assert_touched(
        &set(Kind::Building, "house", "floor", "\"2 ft\""),
        &["floor = \"18 in\""],
        &["floor = \"2 ft\""],
    );
    assert!((whole::load(&after).project.property.buildings[0].floor.value - 0.6096).abs() < 1e-12);
    let after = assert_touched(
        &set(Kind::Utility, "meter", "standing", "\"measured\""),
        &[],
        &["standing = \"measured\""],
    );
    assert_eq!(
        whole::load(&after).project.property.utilities[0].clearance.standing,
        groundwright_plan::Standing::Measured
    );
}

#[test]
fn a_dotted_field_reaches_into_tables_of_every_spelling() {
    assert_touched(
        &set(Kind::Bed, "front", "soil.depth", "\"3 in\""),
        &["soil = { amendment = \"compost\", depth = \"2 in\", worked_in = \"6 in\" }"],
        &["soil = { amendment = \"compost\", depth = \"3 in\", worked_in = \"6 in\" }"],
    );
    assert_touched(
        &set(Kind::Bed, "side", "mulch.depth", "\"2 in\""),
        &["mulch.depth = \"3 in\""],
        &["mulch.depth = \"2 in\""],
    );
    let after = assert_touched(
        &set(Kind::Planting, "hedge", "row.inset", "\"3 ft\""),
        &["inset = \"2 ft\""],
        &["inset = \"3 ft\""],
    );
    whole::load(&after);
}

/// `mulch = "x"` is short for a table; setting its depth must not lose which mulch it is.
#[test]
fn the_depth_of_a_mulch_given_by_name_can_be_set() {
    let after = assert_touched(
        &set(Kind::Bed, "front", "mulch.depth", "\"4 in\""),
        &["mulch = \"medium-bark\""],
        &["mulch = { product = \"medium-bark\", depth = \"4 in\" }"],
    );
    let mulch = whole::load(&after).project.design.beds[0].mulch.clone().unwrap();
    assert_eq!(mulch.product, "medium-bark");
    assert!((mulch.depth.value - 0.1016).abs() < 1e-12);
}

#[test]
fn clearing_a_field_takes_one_line_away() {
    let after = assert_touched(
        &Command::Clear { element: element(Kind::Tree, "oak"), field: "height".to_owned() },
        &["height = \"45 ft ±\""],
        &[],
    );
    assert!(whole::load(&after).assumptions.iter().any(|a| a.element == "tree `oak`" && a.field == "height"));
    assert_touched(
        &Command::Clear { element: element(Kind::Planting, "hedge"), field: "row.inset".to_owned() },
        &["inset = \"2 ft\""],
        &[],
    );
    assert_touched(
        &Command::Clear { element: element(Kind::Tree, "oak"), field: "standing".to_owned() },
        &[],
        &[],
    );
}

fn move_by(kind: Kind, id: &str, east: f64, north: f64) -> Command {
    Command::Move { element: element(kind, id), east, north }
}

#[test]
fn moving_shifts_coordinates_in_the_unit_of_the_file() {
    assert_touched(
        &move_by(Kind::Tree, "oak", 0.3048, -3.048),
        &["at = [12.5, 20]   # trunk"],
        &["at = [13.5, 10]   # trunk"],
    );
    assert_touched(
        &move_by(Kind::Bed, "side", -0.03048, 0.0),
        &[
            "    { straight = [[64, 44], [70, 44]] },",
            "    { arc = [[72, 50], [70, 56]] },",
            "    { straight = [[64, 56], [64, 44]] },",
        ],
        &[
            "    { straight = [[63.9, 44], [69.9, 44]] },",
            "    { arc = [[71.9, 50], [69.9, 56]] },",
            "    { straight = [[63.9, 56], [63.9, 44]] },",
        ],
    );
}

/// Where bare decimals are questioned, a moved place must not become questionable.
#[test]
fn moving_never_writes_what_the_reader_would_question() {
    for units in ["ft", "decimal ft", "m"] {
        let property = format!(
            "format = 1\nunits = \"{units}\"\nname = \"x\"\n\n[[tree]]\nid = \"oak\"\nplant = \"Quercus sp.\"\nat = [12, \"3 m\"]\n"
        );
        let sources = Sources { property: Some(property), ..Sources::default() };
        let before = whole::load(&sources);
        let after = whole::load(&done(&sources, &move_by(Kind::Tree, "oak", 0.5, -0.25)));
        let place = |loaded: &Loaded| match loaded.project.property.trees[0].at {
            Place::At(point) => point,
            Place::Survey { .. } => panic!("a place of its own"),
        };
        let shift = place(&after) - place(&before);
        // A thousandth of a foot, to which a moved place is rounded.
        assert!((shift.x - 0.5).abs() < 3e-4 && (shift.y + 0.25).abs() < 3e-4, "{units}: {shift:?}");
    }
}

#[test]
fn adding_appends_an_element_and_changes_nothing_else() {
    let add = Command::Add {
        element: element(Kind::Bed, "back"),
        body: "# along the fence\noutline = [[0, 90], [9, 90], [9, 99]] # rough\nlabel = \"Back\"\n"
            .to_owned(),
    };
    let before = whole::sources();
    let after = done(&before, &add);
    let (gone, come) = touched(before.design.as_ref().unwrap(), after.design.as_ref().unwrap());
    assert_eq!(gone, [""; 0]);
    assert_eq!(
        come.concat().trim(),
        "[[bed]]\nid = \"back\"\n# along the fence\noutline = [[0, 90], [9, 90], [9, 99]] # rough\nlabel = \"Back\""
    );
    assert!(whole::load(&after).project.design.beds.iter().any(|bed| bed.label == "Back"));
}

#[test]
fn adding_takes_tables_inside_the_element_along() {
    let add = Command::Add {
        element: element(Kind::Bed, "back"),
        body: "outline = [[0, 90], [9, 90], [9, 99]]\n\n[soil]\namendment = \"compost\"\n".to_owned(),
    };
    let before = whole::sources();
    let after = done(&before, &add);
    assert_eq!(touched(before.design.as_ref().unwrap(), after.design.as_ref().unwrap()).0, [""; 0]);
    let loaded = whole::load(&after);
    let back = loaded.project.design.beds.iter().find(|bed| bed.id.as_str() == "back").unwrap();
    assert_eq!(back.soil.as_ref().unwrap().amendment, "compost");
    assert_eq!(loaded.project.design.beds[0].soil, whole::load(&before).project.design.beds[0].soil);
}

#[test]
fn adding_begins_a_file_that_does_not_exist() {
    let sources = Sources { property: whole::sources().property, ..Sources::default() };
    let add =
        Command::Add { element: element(Kind::Note, "first"), body: "at = [1, 2]\ntext = \"x\"".to_owned() };
    let after = done(&sources, &add);
    assert_eq!(
        after.design.as_deref(),
        Some("format = 1\n\n[[note]]\nid = \"first\"\nat = [1, 2]\ntext = \"x\"\n")
    );
    whole::load(&after);
}

#[test]
fn what_is_added_can_be_removed_again_without_a_trace() {
    let before = whole::sources();
    for kind in Kind::ALL {
        let added = element(*kind, "brand-new");
        let add = Command::Add { element: added.clone(), body: "note = \"x\"".to_owned() };
        let after = done(&done(&before, &add), &Command::Remove { element: added });
        assert_eq!(before, after, "{}", kind.word());
    }
}

#[test]
fn removing_takes_the_element_with_its_comments() {
    assert_touched(
        &Command::Remove { element: element(Kind::Tree, "oak") },
        &[
            "# The oak stays, whatever else happens.",
            "[[tree]]",
            "id = \"oak\"",
            "plant = \"quercus-garryana\"",
            "at = [12.5, 20]   # trunk",
            "girth = \"7.2 ft\"",
            "crown = \"38 ft ± 4 ft\"",
            "height = \"45 ft ±\"",
            "condition = \"good\"",
            "action = \"keep\"",
            "dry_summer = true",
            "note = \"no digging under it\"",
            "",
        ],
        &[],
    );
}

/// Who refers to what in the whole project, read off the page.
const REFERRED_TO: [(Kind, &str, &str); 14] = [
    (Kind::Reference, "pin-a", "[boundary]"),
    (Kind::Reference, "corner", "building `house`"),
    (Kind::Building, "house", "opening `door`"),
    (Kind::Surface, "walk", "bed `front`"),
    (Kind::Shrub, "old-azaleas", "planting `azaleas`"),
    (Kind::Shrub, "corner", "planting `azaleas`"),
    (Kind::Viewpoint, "from-street", "`street`"),
    (Kind::Bed, "front", "edging `front-edge`"),
    (Kind::Bed, "side", "planting `hedge`"),
    (Kind::PlanterBox, "terrace", "planting `carpet`"),
    (Kind::Lawn, "back", "edging `back-edge`"),
    (Kind::Wall, "bank", "light `trunk`"),
    (Kind::LightZone, "low", "light `trunk`"),
    (Kind::Transformer, "east", "zone of lights `low`"),
];

#[test]
fn what_is_referred_to_cannot_be_removed_and_all_else_can() {
    let before = whole::sources();
    for removed in whole::load(&before).project.elements() {
        let result = apply(&before, &Command::Remove { element: removed.clone() });
        let expected =
            REFERRED_TO.iter().find(|(kind, id, _)| (*kind, *id) == (removed.kind, removed.id.as_str()));
        if let Some((_, _, by)) = expected {
            assert_eq!(result, Err(EditError::InUse { element: removed, by: (*by).to_owned() }));
        } else {
            let left = whole::load(&result.unwrap()).project.elements();
            assert!(!left.contains(&removed), "{removed}");
        }
    }
}

/// An element that follows its own edge is no reason to keep it.
#[test]
fn what_only_refers_to_itself_can_be_removed() {
    let property = "format = 1\nunits = \"m\"\nname = \"x\"\n".to_owned();
    let design =
        "format = 1\n\n[[bed]]\nid = \"front\"\noutline = [{ along = \"bed front\", to = [1, 1] }]\n"
            .to_owned();
    let sources = Sources { property: Some(property), design: Some(design), ..Sources::default() };
    let after = done(&sources, &Command::Remove { element: element(Kind::Bed, "front") });
    assert_eq!(after.design.as_deref(), Some("format = 1\n"));
}

fn rename(renamed: &ElementRef, to: &str) -> Command {
    Command::Rename { element: renamed.clone(), to: to.to_owned() }
}

/// A rename changes the id wherever it is meant, and nothing else: with the new id put back into
/// the printed model, the two models are the same text; and renaming back gives the same bytes.
#[test]
fn renaming_any_element_rewrites_every_reference_to_it_and_only_those() {
    let before = whole::sources();
    let model = |sources: &Sources| format!("{:?}", whole::load(sources).project);
    for old in whole::load(&before).project.elements() {
        let after = done(&before, &rename(&old, "quite-new"));
        let loaded = whole::load(&after);
        assert!(loaded.project.elements().contains(&element(old.kind, "quite-new")));
        assert!(!loaded.project.elements().contains(&old), "{old}");
        let labelled = |text: String| {
            text.replace("quite-new", old.id.as_str())
                .replace("quite new", &old.id.as_str().replace('-', " "))
        };
        assert_eq!(labelled(model(&after)), labelled(model(&before)), "{old}");
        assert_eq!(done(&after, &rename(&element(old.kind, "quite-new"), old.id.as_str())), before, "{old}");
    }
}

/// Ids are unique only within their kind: shrub, shed and reference point are all called `corner`.
#[test]
fn renaming_tells_apart_elements_of_one_id() {
    let before = whole::sources();
    let count = |sources: &Sources, word: &str| -> usize {
        [&sources.property, &sources.design]
            .into_iter()
            .flatten()
            .map(|text| text.matches(word).count())
            .sum()
    };
    for (kind, references) in [(Kind::Shrub, 1), (Kind::Building, 0), (Kind::Reference, 19)] {
        let after = done(&before, &rename(&element(kind, "corner"), "quite-new"));
        assert_eq!(count(&after, "\"quite-new\""), references + 1, "{}", kind.word());
    }
}

#[test]
fn impossible_commands_say_why() {
    let sources = whole::sources();
    let oak = element(Kind::Tree, "oak");
    let nobody = element(Kind::Tree, "ash");
    let cases = [
        (
            set(Kind::Tree, "ash", "height", "3"),
            "there is no tree `ash`; it may have been removed or renamed",
        ),
        (
            Command::Remove { element: nobody.clone() },
            "there is no tree `ash`; it may have been removed or renamed",
        ),
        (rename(&nobody, "elm"), "there is no tree `ash`; it may have been removed or renamed"),
        (
            Command::Add { element: oak.clone(), body: String::new() },
            "there is already a tree `oak`; choose another id",
        ),
        (rename(&element(Kind::Bed, "front"), "side"), "there is already a bed `side`; choose another id"),
        (
            rename(&oak, "Big Oak"),
            "`Big Oak` cannot be an id; use lower-case letters, digits and hyphens, beginning with a letter",
        ),
        (
            Command::Add { element: element(Kind::Tree, "2nd"), body: String::new() },
            "`2nd` cannot be an id; use lower-case letters, digits and hyphens, beginning with a letter",
        ),
        (
            set(Kind::Tree, "oak", "note", "keep it"),
            "`keep it` is not a TOML value: string values must be quoted, expected literal string; texts need quotes",
        ),
        (
            set(Kind::Tree, "oak", "note.colour", "\"red\""),
            "tree `oak`: `note` is a single value and has no field `colour`; set `note` as a whole",
        ),
        (
            set(Kind::Tree, "oak", "id", "\"elm\""),
            "the id of tree `oak` is not set as a field; rename it, so that what refers to it follows",
        ),
        (
            Command::Clear { element: oak.clone(), field: "id".to_owned() },
            "the id of tree `oak` is not set as a field; rename it, so that what refers to it follows",
        ),
        (
            move_by(Kind::Downspout, "south-west", 1.0, 1.0),
            "downspout `south-west` has no coordinates of its own to move",
        ),
        (
            move_by(Kind::Tree, "oak", f64::NAN, 1.0),
            "tree `oak` cannot be moved by what is not a number; give the shift in metres",
        ),
    ];
    for (command, message) in cases {
        assert_eq!(apply(&sources, &command).unwrap_err().to_string(), message);
    }
}

/// Half of an element must not move while the other half stays.
#[test]
fn an_element_with_an_unreadable_coordinate_stays_where_it_is() {
    let property = "format = 1\nunits = \"ft\"\nname = \"x\"\n\n[[shrub]]\nid = \"a\"\nplant = \"Ilex sp.\"\nplaces = [[1, 2], [3.5, 2]]\n";
    let sources = Sources { property: Some(property.to_owned()), ..Sources::default() };
    assert_eq!(
        apply(&sources, &move_by(Kind::Shrub, "a", 1.0, 0.0)).unwrap_err().to_string(),
        "shrub `a` stays where it is: its coordinate `3.5` cannot be read; correct that first"
    );
}

#[test]
fn a_file_that_does_not_parse_is_refused_by_every_command() {
    let mut sources = whole::sources();
    sources.design = Some(sources.design.unwrap().replace("[[bed]]", "[[bed]"));
    let commands = [
        set(Kind::Bed, "front", "slope", "0.1"),
        Command::Clear { element: element(Kind::Bed, "front"), field: "slope".to_owned() },
        move_by(Kind::Bed, "front", 1.0, 1.0),
        Command::Add { element: element(Kind::Bed, "third"), body: String::new() },
        Command::Remove { element: element(Kind::Bed, "front") },
        rename(&element(Kind::Bed, "front"), "third"),
        // These change the other file, but must look into this one for references.
        Command::Remove { element: element(Kind::Surface, "walk") },
        rename(&element(Kind::Surface, "walk"), "path"),
    ];
    for command in commands {
        let message = apply(&sources, &command).unwrap_err().to_string();
        assert!(
            message.starts_with("design.toml does not parse and is left as it is: "),
            "{command:?}: {message}"
        );
    }
    done(&sources, &set(Kind::Tree, "oak", "height", "\"30 ft\""));
}

#[test]
fn elements_written_in_a_list_are_not_edited_blindly() {
    let design = "format = 1\nnote = [{ id = \"a\", at = [1, 2], text = \"x\" }]\n".to_owned();
    let sources = Sources { property: whole::sources().property, design: Some(design), ..Sources::default() };
    assert_eq!(whole::load(&sources).project.design.notes.len(), 1);
    assert_eq!(
        apply(&sources, &set(Kind::Note, "a", "text", "\"y\"")).unwrap_err().to_string(),
        "`note` is not written as tables in design.toml; write each under `[[note]]`, so that it can be edited"
    );
}

/// Files from other systems and other editors keep their line ends, their mark and their end.
#[test]
fn line_ends_stay_as_they_are() {
    let plain = whole::sources().property.unwrap();
    for text in [plain.replace('\n', "\r\n"), format!("\u{feff}{plain}"), plain.trim_end().to_owned()] {
        let sources = Sources { property: Some(text.clone()), ..whole::sources() };
        let there = done(&sources, &set(Kind::Tree, "oak", "condition", "\"poor\""));
        assert_eq!(there.property.as_ref().unwrap(), &text.replace("\"good\"", "\"poor\""));
        assert_eq!(done(&there, &set(Kind::Tree, "oak", "condition", "\"good\"")), sources);
        let renamed = done(&sources, &rename(&element(Kind::Building, "house"), "home"));
        assert_eq!(done(&renamed, &rename(&element(Kind::Building, "home"), "house")), sources);
    }
}

/// Fields of an element as dotted paths with their values as written.
fn fields(table: &dyn TableLike, prefix: &str, found: &mut Vec<(String, String)>) {
    for (key, item) in table.iter().filter(|(key, _)| *key != "id") {
        let path = format!("{prefix}{key}");
        if let Some(value) = item.as_value() {
            let mut value = value.clone();
            value.decor_mut().clear();
            found.push((path.clone(), value.to_string()));
        }
        if let Some(inner) = item.as_table_like() {
            fields(inner, &format!("{path}."), found);
        }
    }
}

/// Every field of every element of the whole project.
fn all_fields() -> Vec<(ElementRef, String, String)> {
    let sources = whole::sources();
    let mut all = Vec::new();
    for file in [ProjectFile::Property, ProjectFile::Design] {
        let document: DocumentMut = sources.text(file.name()).unwrap().parse().unwrap();
        for kind in Kind::ALL.iter().filter(|kind| kind.file() == file) {
            for table in document[kind.key()].as_array_of_tables().unwrap() {
                let mut found = Vec::new();
                fields(table, "", &mut found);
                let named = element(*kind, table["id"].as_str().unwrap());
                all.extend(found.into_iter().map(|(field, value)| (named.clone(), field, value)));
            }
        }
    }
    all
}

proptest! {
    /// Whatever is set, setting the old value again gives the file back to the last byte; and in
    /// between the field has the value that was set.
    #[test]
    fn setting_back_gives_the_original_bytes(
        which in any::<prop::sample::Index>(),
        value in prop_oneof![
            "[1-9][0-9]{0,3}",
            "\"[a-z0-9' ±\u{e9}\u{96fb}-]{0,12}\"",
            Just("true".to_owned()),
            Just("[[1, 2], [3, 4.50]]".to_owned()),
            Just("{ value = 3, standing = \"measured\" }".to_owned()),
            Just("\"\"\"\nline\n# not a comment\n\"\"\"".to_owned()),
        ],
    ) {
        let before = whole::sources();
        let all = all_fields();
        let (named, field, old) = which.get(&all);
        let there = done(&before, &set(named.kind, named.id.as_str(), field, &value));
        let document: DocumentMut = there.text(named.kind.file().name()).unwrap().parse().unwrap();
        let list = document[named.kind.key()].as_array_of_tables().unwrap();
        let table = list.iter().find(|table| table["id"].as_str() == Some(named.id.as_str())).unwrap();
        let mut found = Vec::new();
        fields(table, "", &mut found);
        let expected: Value = value.parse().unwrap();
        let now = found.iter().find(|(path, _)| path == field).map(|(_, value)| value.clone());
        prop_assert_eq!(now, Some(expected.to_string()));
        prop_assert_eq!(done(&there, &set(named.kind, named.id.as_str(), field, old)), before);
    }

    /// Moving there and back leaves every place where it was, to the thousandth that is written.
    #[test]
    fn moving_back_gives_the_original_places(
        which in any::<prop::sample::Index>(), east in -60.0..60.0, north in -60.0..60.0,
    ) {
        let before = whole::sources();
        let elements = whole::load(&before).project.elements();
        let moved = which.get(&elements);
        let there = match apply(&before, &move_by(moved.kind, moved.id.as_str(), east, north)) {
            Ok(there) => there,
            Err(error) => {
                prop_assert_eq!(error, EditError::NothingToMove(moved.clone()));
                return Ok(());
            }
        };
        prop_assert!(read_project(there.clone()).is_ok());
        prop_assert_ne!(&there, &before);
        let back = done(&there, &move_by(moved.kind, moved.id.as_str(), -east, -north));
        let (gone, come) = touched(before.text(moved.kind.file().name()).unwrap(), back.text(moved.kind.file().name()).unwrap());
        let numbers = |lines: Vec<&str>| -> Vec<f64> {
            lines.concat().split(|c: char| !(c.is_ascii_digit() || "-.".contains(c))).filter_map(|t| t.parse().ok()).collect()
        };
        let (gone, come) = (numbers(gone), numbers(come));
        prop_assert_eq!(gone.len(), come.len());
        prop_assert!(gone.iter().zip(&come).all(|(a, b)| (a - b).abs() <= 0.0021), "{:?} {:?}", gone, come);
    }
}

/// Two hands that each write the first field of a table that was not there: both stand.
#[test]
fn a_table_that_two_began_takes_the_fields_of_both() {
    use groundwright_plan::{Sources, merge};

    let texts = |more: &str| Sources {
        property: Some(format!("format = 1\nunits = \"m\"\nname = \"two\"\n{more}")),
        ..Sources::default()
    };
    let base = texts("");
    let one = texts("\n[supply]\nbucket = \"10 l\"\n");
    let other = texts("\n[supply]\nseconds = 30\n");
    let both = merge(&base, &one, &other, None).unwrap().property.unwrap();
    assert!(both.contains("bucket = \"10 l\"") && both.contains("seconds = 30"), "{both}");
    let clash = merge(&base, &one, &texts("\n[supply]\nbucket = \"8 l\"\n"), None).unwrap_err();
    assert!(clash.to_string().contains("supply.bucket"), "{clash}");
}
