//! What page and server say to one another over the WebSocket, as JSON.
//!
//! - The page *asks* ([`Ask`]), the server *tells* ([`Tell`]). Coordinates are metres of the yard,
//!   x east, y north, unless a field says otherwise.
//! - Elements are named as in the files: `"bed wet-foot"`.
//! - `assets/messages.d.ts` is generated from these types; a test keeps both equal.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

/// A point of the yard, x east and y north. [m]
pub type Spot = [f64; 2];

/// What a stroke of the hand shall become.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(rename_all = "kebab-case")]
pub enum Purpose {
    /// A new bed, closed.
    Bed,
    /// A row of plants along the stroke.
    Row,
    /// A mass of plants inside the stroke, closed.
    Mass,
}

/// What is found on a first visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(rename_all = "kebab-case")]
pub enum Found {
    /// A house, by its corners.
    House,
    /// The property line, by its corners.
    Boundary,
    /// The street side: one place from which the house is seen.
    Street,
    /// A walk, drive or patio, by its corners.
    Paving,
    /// A tree, by its trunk.
    Tree,
    /// Shrubs alike, by their middle.
    Shrub,
    /// A taped length, by its ends.
    Taped,
    /// A level, by rod readings on the door sill and at one place.
    Level,
    /// A photo: where the camera stood, and towards what it looked.
    Photo,
    /// A picture under the drawing, by its two lower corners.
    Picture,
}

/// One change as a hand makes it; the server turns it into commands on the files.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(rename_all = "kebab-case", rename_all_fields = "camelCase", tag = "edit")]
pub enum Edit {
    /// A field written as a person writes it: trade notation, a word, a number. Empty text takes
    /// the field away.
    Write {
        /// The element.
        element: String,
        /// The field's dotted path.
        field: String,
        /// What was typed.
        text: String,
    },
    /// Shifts elements. [m]
    Move {
        /// The elements.
        elements: Vec<String>,
        /// Shift to the east. [m]
        east: f64,
        /// Shift to the north. [m]
        north: f64,
    },
    /// Shifts elements by lengths in trade notation.
    MoveText {
        /// The elements.
        elements: Vec<String>,
        /// To the east, as typed; empty for nothing.
        east: String,
        /// To the north, as typed; empty for nothing.
        north: String,
    },
    /// Puts one point of an element elsewhere.
    Point {
        /// The element.
        element: String,
        /// The point's path in the file: `outline/1/smooth/2`.
        path: String,
        /// Where to. [m]
        to: Spot,
        /// Reach within which edges, right angles and whole steps draw the point; none to leave it. [m]
        reach: Option<f64>,
    },
    /// One point of an element, typed in trade notation.
    PointText {
        /// The element.
        element: String,
        /// The point's path in the file.
        path: String,
        /// East, as typed; empty to keep it.
        east: String,
        /// North, as typed; empty to keep it.
        north: String,
    },
    /// Puts a new point behind another one of the same piece.
    AddPoint {
        /// The element.
        element: String,
        /// Path of the point before.
        path: String,
        /// Where. [m]
        at: Spot,
    },
    /// Takes a point out of a piece.
    RemovePoint {
        /// The element.
        element: String,
        /// The point's path.
        path: String,
    },
    /// A stroke of the hand, to be smoothed.
    Stroke {
        /// What it becomes.
        purpose: Purpose,
        /// Points of the stroke in order. [m]
        points: Vec<Spot>,
        /// The taxon that a row or mass is made of.
        plant: Option<String>,
        /// The bed or box of a row or mass.
        bed: Option<String>,
    },
    /// Fills a bed, or sets single plants, with a chosen plant.
    Plant {
        /// The bed or box.
        bed: String,
        /// The taxon.
        plant: String,
        /// Places of single plants; empty fills the whole bed. [m]
        at: Vec<Spot>,
    },
    /// Copies elements and shifts the copies. [m]
    Copy {
        /// The elements.
        elements: Vec<String>,
        /// Shift to the east. [m]
        east: f64,
        /// Shift to the north. [m]
        north: f64,
    },
    /// Removes elements.
    Remove {
        /// The elements.
        elements: Vec<String>,
    },
    /// Gives an element another id.
    Rename {
        /// The element.
        element: String,
        /// The new id.
        to: String,
    },
    /// A remedy that a finding offers.
    Remedy {
        /// Key of the finding.
        finding: String,
        /// Which of its remedies, from 0.
        remedy: usize,
    },
    /// A finding is accepted as it is.
    Accept {
        /// Key of the finding.
        finding: String,
        /// Why.
        reason: String,
    },
    /// Something found on a first visit.
    Found {
        /// What.
        what: Found,
        /// Its places, in order. [m]
        points: Vec<Spot>,
        /// What was typed beside it, by field.
        #[cfg_attr(test, ts(type = "Record<string, string>"))]
        fields: BTreeMap<String, String>,
        /// Of a taped length: whether the whole plan takes its scale from it.
        sets_scale: bool,
    },
    /// What the property's file says outside its elements; empty text takes it away.
    Declare {
        /// The key's dotted path: `place.latitude`.
        field: String,
        /// What was typed.
        text: String,
    },
    /// The plan is scaled so that it agrees with what was taped.
    Fit,
    /// A finding that was accepted counts again.
    Withdraw {
        /// Id of the acceptance.
        acceptance: String,
    },
}

/// What the page asks of the server.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(rename_all = "kebab-case", rename_all_fields = "camelCase", tag = "ask")]
pub enum Ask {
    /// Paint a drawing at a scale.
    Look {
        /// One of the drawings that the welcome lists.
        drawing: String,
        /// The scale's denominator, between 5 and 5,000.
        scale: f64,
    },
    /// Speak in these units.
    Units {
        /// `us` or `metric`.
        system: String,
    },
    /// Show what these edits would do, without keeping them.
    Trial {
        /// Counts up; the answer carries it.
        seq: u32,
        /// The edits.
        edits: Vec<Edit>,
    },
    /// Forget the trial.
    Drop,
    /// Keep these edits.
    Commit {
        /// Made by the page, never used twice: what is sent again after a gap is kept once.
        id: String,
        /// The revision that the hand worked on.
        base: u64,
        /// The edits.
        edits: Vec<Edit>,
    },
    /// Take back the last change.
    Undo {
        /// As of a commit.
        id: String,
    },
    /// Bring back what was taken back.
    Redo {
        /// As of a commit.
        id: String,
    },
    /// Which elements the person works on: their fields and points are told.
    Select {
        /// The elements.
        elements: Vec<String>,
    },
    /// Decides a conflict between the files and the app.
    Settle {
        /// Whose changes stand where both made some: `files` or `app`.
        keep: String,
    },
    /// Tell what the first visit knows, and what is worth measuring.
    Visit {
        /// Whether to begin or to end.
        on: bool,
    },
    /// Distances between points.
    Measure {
        /// Counts up; the answer carries it.
        seq: u32,
        /// Points in order. [m]
        points: Vec<Spot>,
        /// Reach within which edges draw the points; none to leave them. [m]
        reach: Option<f64>,
    },
    /// Plants for a bed.
    Plants {
        /// Counts up; the answer carries it.
        seq: u32,
        /// The bed or box.
        bed: String,
        /// Words that the plant's names must contain.
        words: String,
    },
}

/// A picture under the drawing.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(rename_all = "camelCase")]
pub struct PictureNews {
    /// The element.
    pub element: String,
    /// Its file below the project folder.
    pub file: String,
    /// Its lower left corner. [m]
    pub from: Spot,
    /// Its lower right corner. [m]
    pub to: Spot,
}

/// A photo of the yard.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(rename_all = "camelCase")]
pub struct PhotoNews {
    /// The element.
    pub element: String,
    /// Its file below the project folder.
    pub file: String,
    /// What it shows, when it was taken, and where it looks; in words.
    pub words: String,
}

/// A layer of the drawing.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(rename_all = "camelCase")]
pub struct LayerNews {
    /// Name, as in the drawing's files.
    pub name: String,
    /// Words for it.
    pub title: String,
    /// Order of painting.
    pub order: u16,
}

/// One mark of the drawing. Numbers are millimetres of paper, y down.
///
/// Items are lists: `["p", shape, x, y, pen, fill]` for a path (shape by number in the dictionary,
/// or its text; pen and fill by number, -1 for none) and
/// `["t", x, y, text, height, anchor, rotation, colour, face, halo]` for letters.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(rename_all = "camelCase")]
pub struct MarkNews {
    /// Key: `layer/kind/id/ordinal`.
    pub key: String,
    /// Name of its layer.
    pub layer: String,
    /// The element it belongs to.
    pub element: String,
    /// Which of the element's marks on this layer.
    pub ordinal: u32,
    /// Number among the layer's marks, not always whole: the order of painting.
    pub place: f64,
    /// What to paint.
    #[cfg_attr(test, ts(type = "Array<Array<string | number>>"))]
    pub items: Vec<serde_json::Value>,
}

/// A pen: width, dashes and colour. [mm]
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(rename_all = "camelCase")]
pub struct PenNews {
    /// Width. [mm]
    pub width: f64,
    /// Dash, gap and so on. [mm]
    pub dash: Vec<f64>,
    /// Number of its colour.
    pub colour: usize,
}

/// A colour by day and by night: `#rrggbb`.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub struct ColourNews {
    /// On light paper.
    pub light: String,
    /// On dark paper.
    pub dark: String,
}

/// How the plan lies: from metres of the yard to millimetres of paper, y down.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(rename_all = "camelCase")]
pub struct LieNews {
    /// Turn of the plan, counter-clockwise. [rad]
    pub rotation: f64,
    /// True north on the sheet, clockwise from its top. [rad]
    pub north: f64,
    /// The point of the yard at the paper's origin. [m]
    pub centre: Spot,
    /// Width of what is shown. [m]
    pub width: f64,
    /// Height of what is shown. [m]
    pub height: f64,
}

/// What an element is, in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub struct ElementNews {
    /// What it is called.
    pub title: String,
    /// What there is to say about it.
    pub detail: String,
}

/// A number with its name, for the line that moves with the hand.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub struct FigureNews {
    /// Stable key.
    pub key: String,
    /// Its name.
    pub name: String,
    /// The number with its unit.
    pub value: String,
}

/// A way to mend a finding.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub struct RemedyNews {
    /// What to do.
    pub action: String,
    /// Whether the tool can do it.
    pub can: bool,
}

/// One finding.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub struct FindingNews {
    /// Stable key: rule, subjects.
    pub key: String,
    /// The sentence.
    pub sentence: String,
    /// Elements it concerns, the main one first.
    pub elements: Vec<String>,
    /// Where. [m]
    pub place: Option<Spot>,
    /// What it rests on that is only assumed.
    pub assumed: Vec<String>,
    /// Ways to mend it, cheapest first.
    pub remedies: Vec<RemedyNews>,
    /// Where it was accepted: the acceptance's id and reason.
    pub accepted: Option<AcceptedNews>,
}

/// Why a finding was accepted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub struct AcceptedNews {
    /// Id of the record.
    pub id: String,
    /// The reason.
    pub reason: String,
}

/// Findings of one cause and one weight.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub struct CauseNews {
    /// The rule's id.
    pub rule: String,
    /// `danger`, `fault`, `doubt` or `note`.
    pub severity: String,
    /// Heading.
    pub title: String,
    /// Where the limit comes from.
    pub source: String,
    /// The findings.
    pub findings: Vec<FindingNews>,
}

/// A table for a reader.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub struct TableNews {
    /// Stable key.
    pub key: String,
    /// Heading.
    pub title: String,
    /// Headings of the columns.
    pub columns: Vec<ColumnNews>,
    /// Rows of cells.
    pub rows: Vec<Vec<String>>,
    /// Sentences below it.
    pub notes: Vec<String>,
}

/// A column.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub struct ColumnNews {
    /// Heading.
    pub title: String,
    /// Whether it holds numbers.
    pub number: bool,
}

/// A field that can be written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub struct FieldNews {
    /// Dotted path in the file.
    pub path: String,
    /// Its name.
    pub label: String,
    /// What the file says; empty where it says nothing.
    pub text: String,
    /// What is used where the file says nothing, or how to write it.
    pub hint: String,
    /// Words to choose from; empty where any text may stand.
    pub choices: Vec<String>,
}

/// A point that can be moved.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub struct HandleNews {
    /// Path in the file: `outline/1/smooth/2`.
    pub path: String,
    /// Where. [m]
    pub at: Spot,
    /// East in the reader's units.
    pub east: String,
    /// North in the reader's units.
    pub north: String,
    /// Whether it has coordinates of its own; otherwise it hangs on a reference point.
    pub free: bool,
}

/// What can be changed about a selected element.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub struct SheetNews {
    /// The element.
    pub element: String,
    /// Its fields.
    pub fields: Vec<FieldNews>,
    /// Its points.
    pub handles: Vec<HandleNews>,
}

/// One plant for a bed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub struct PlantNews {
    /// The taxon's id.
    pub id: String,
    /// Botanical name.
    pub botanical: String,
    /// Common name.
    pub common: String,
    /// Sizes, spacing and how many fill the bed.
    pub detail: String,
    /// Cautions; empty if there are none.
    pub caution: String,
}

/// A fault of a file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub struct FaultNews {
    /// File and line: `design.toml:12`.
    pub at: String,
    /// What is wrong, what was expected, how to mend it.
    pub text: String,
}

/// Something asked on a first visit that stands outside the elements.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub struct HeadNews {
    /// The key's dotted path.
    pub path: String,
    /// Heading that it stands under.
    pub group: String,
    /// Its name.
    pub label: String,
    /// What the file says; empty where it says nothing.
    pub text: String,
    /// How to write it.
    pub hint: String,
    /// What is assumed, where it is; empty otherwise.
    pub assumed: String,
    /// Words to choose from; empty where any text may stand.
    pub choices: Vec<String>,
    /// Whether it holds several lines.
    pub lines: bool,
}

/// Where something lies, simplified.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub struct ShapeNews {
    /// The element.
    pub element: String,
    /// Points in order. [m]
    pub points: Vec<Spot>,
    /// Whether the line closes.
    pub closed: bool,
}

/// An amount with the range that the plan's scale leaves.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub struct AnswerNews {
    /// What it is.
    pub name: String,
    /// The amount.
    pub value: String,
    /// Its range; empty where both ends read alike.
    pub range: String,
}

/// A reading that would narrow the answers.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub struct WorthNews {
    /// What to read.
    pub title: String,
    /// What is assumed until then.
    pub assumed: String,
    /// Why.
    pub why: String,
    /// What hangs on it, the most first.
    pub changes: Vec<String>,
    /// The element; empty for what stands outside elements.
    pub element: String,
    /// The field's dotted path; `scale` for the plan's scale.
    pub field: String,
}

/// Something to ask about before work begins.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub struct FlagNews {
    /// What it is about.
    pub what: String,
    /// Whom to ask, and what.
    pub ask: String,
    /// The elements.
    pub elements: Vec<String>,
}

/// What the server tells the page.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(rename_all = "kebab-case", rename_all_fields = "camelCase", tag = "tell")]
pub enum Tell {
    /// First words on a connection, and again when the units change.
    Welcome {
        /// Name of the job.
        name: String,
        /// Units that are spoken: `us` or `metric`.
        system: String,
        /// How the plan lies.
        lie: LieNews,
        /// Drawings that can be looked at: name and title.
        drawings: Vec<[String; 2]>,
        /// Colours by number.
        colours: Vec<ColourNews>,
        /// Bounds of the house's longest walls: direction that "square" means. [rad]
        square: f64,
    },
    /// The project's files do not read; nothing can be shown until they are mended.
    Faults {
        /// All faults.
        faults: Vec<FaultNews>,
    },
    /// A drawing, or what changed in it.
    Scene {
        /// Which drawing.
        drawing: String,
        /// The scale's denominator.
        scale: f64,
        /// Whether this is the whole drawing, replacing what was known.
        whole: bool,
        /// The trial that it shows, if it is one.
        trial: Option<u32>,
        /// New shapes by number, as path texts.
        shapes: Vec<(u32, String)>,
        /// New pens, following those known.
        pens: Vec<PenNews>,
        /// New layers.
        layers: Vec<LayerNews>,
        /// Marks that are new or changed.
        marks: Vec<MarkNews>,
        /// Keys of marks that are gone.
        gone: Vec<String>,
    },
    /// What is known beside the drawing. Parts that did not change are left out.
    News {
        /// The project's revision.
        revision: u64,
        /// The trial that it belongs to, if it is one.
        trial: Option<u32>,
        /// Whether something can be undone and redone.
        undo: (bool, bool),
        /// Numbers that move with the hand.
        figures: Option<Vec<FigureNews>>,
        /// Elements in words; `null` for those that are gone.
        elements: BTreeMap<String, Option<ElementNews>>,
        /// Findings by cause, worst first.
        causes: Option<Vec<CauseNews>>,
        /// The takeoff and its basis.
        tables: Option<Vec<TableNews>>,
        /// Whether levels, water and sun are of an older state, and being studied anew.
        stale: bool,
        /// Pictures under the drawing.
        pictures: Option<Vec<PictureNews>>,
    },
    /// Fields and points of the selection.
    Sheets {
        /// One for each selected element that exists.
        sheets: Vec<SheetNews>,
        /// What drew the point that is being moved, in words; empty if nothing.
        drawn: String,
    },
    /// A commit, undo or redo is kept.
    Kept {
        /// As asked.
        id: String,
        /// The revision since then.
        revision: u64,
        /// Elements that came into being.
        added: Vec<String>,
    },
    /// What keeps the files and the app apart.
    Notice {
        /// In words; empty when all is well.
        text: String,
        /// Whether it can be decided here.
        settle: bool,
    },
    /// Something cannot be done.
    Refused {
        /// The commit's id, or empty for a trial.
        id: String,
        /// The trial's number, if it was one.
        trial: Option<u32>,
        /// Why, in words that say how to mend it.
        why: String,
    },
    /// What the first visit knows.
    Visit {
        /// What stands outside elements.
        heads: Vec<HeadNews>,
        /// Where things lie.
        shapes: Vec<ShapeNews>,
        /// How well the scale is known, in words.
        scale: String,
        /// Whether the plan agrees with the tape.
        fits: bool,
        /// Water at the hose bib; empty where nobody read it.
        flow: String,
        /// The main amounts.
        answers: Vec<AnswerNews>,
        /// Photos of the yard.
        photos: Vec<PhotoNews>,
        /// Light on the ground, bed by bed; empty while nobody has studied it.
        light: Vec<AnswerNews>,
        /// Fall from the house, wall by wall; empty without levels.
        falls: Vec<AnswerNews>,
        /// Whether light and falls are of an older state, and being studied anew.
        stale: bool,
        /// What is worth measuring, the most first.
        worth: Vec<WorthNews>,
        /// Whether that list is still being weighed.
        weighing: bool,
        /// What to ask before work begins.
        flags: Vec<FlagNews>,
    },
    /// An answer to a measuring.
    Measured {
        /// As asked.
        seq: u32,
        /// The points, drawn to edges where within reach. [m]
        points: Vec<Spot>,
        /// In words.
        words: String,
    },
    /// An answer to the question for plants.
    Plants {
        /// As asked.
        seq: u32,
        /// How many there are in all.
        total: usize,
        /// The first of them.
        plants: Vec<PlantNews>,
    },
}

#[cfg(test)]
mod tests {
    use std::fmt::Write as _;

    use ts_rs::{Config, TS};

    use super::*;

    fn one<T: TS>(text: &mut String, config: &Config) {
        let docs = T::docs().unwrap_or_default();
        let _ = writeln!(text, "{docs}export {}\n", T::decl(config));
    }

    fn generated() -> String {
        let mut text = "// Written from crates/web/src/messages.rs: `GROUNDWRIGHT_UPDATE=1 cargo test -p groundwright-web`.\n\n"
            .to_owned();
        text.push_str(
            "/** A point of the yard, x east and y north. [m] */\nexport type Spot = [number, number];\n\n",
        );
        let config = Config::default().with_large_int("number");
        let (out, with) = (&mut text, &config);
        one::<Purpose>(out, with);
        one::<Found>(out, with);
        one::<Edit>(out, with);
        one::<Ask>(out, with);
        one::<PictureNews>(out, with);
        one::<PhotoNews>(out, with);
        one::<LayerNews>(out, with);
        one::<MarkNews>(out, with);
        one::<PenNews>(out, with);
        one::<ColourNews>(out, with);
        one::<LieNews>(out, with);
        one::<ElementNews>(out, with);
        one::<FigureNews>(out, with);
        one::<RemedyNews>(out, with);
        one::<FindingNews>(out, with);
        one::<AcceptedNews>(out, with);
        one::<CauseNews>(out, with);
        one::<TableNews>(out, with);
        one::<ColumnNews>(out, with);
        one::<FieldNews>(out, with);
        one::<HandleNews>(out, with);
        one::<SheetNews>(out, with);
        one::<PlantNews>(out, with);
        one::<FaultNews>(out, with);
        one::<HeadNews>(out, with);
        one::<ShapeNews>(out, with);
        one::<AnswerNews>(out, with);
        one::<WorthNews>(out, with);
        one::<FlagNews>(out, with);
        one::<Tell>(out, with);
        text
    }

    #[test]
    fn the_pages_types_are_these() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/assets/messages.d.ts");
        if std::env::var_os("GROUNDWRIGHT_UPDATE").is_some() {
            std::fs::write(path, generated()).unwrap();
        }
        let page = std::fs::read_to_string(path).unwrap_or_default();
        assert_eq!(page, generated(), "run the test with GROUNDWRIGHT_UPDATE=1");
    }

    #[test]
    fn what_pages_ask_is_read() {
        let text = r#"{"ask":"commit","id":"a","base":3,"edits":[
            {"edit":"point","element":"bed front","path":"outline/0","to":[1,2],"reach":null},
            {"edit":"remove-point","element":"bed front","path":"outline/0"}]}"#;
        let Ask::Commit { base: 3, edits, .. } = serde_json::from_str(text).unwrap() else {
            panic!("{text}")
        };
        assert_eq!(edits.len(), 2);
        for wrong in ["", "{}", r#"{"ask":"fly"}"#, r#"{"ask":"trial","seq":-1,"edits":[]}"#] {
            assert!(serde_json::from_str::<Ask>(wrong).is_err(), "{wrong}");
        }
    }
}
