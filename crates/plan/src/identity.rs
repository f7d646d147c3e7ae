//! Who is meant: the kinds of elements in a project and their readable identifiers.
//!
//! Every element of a project file has an id that is unique among the elements of its kind.
//! An [`ElementRef`] names one of them from anywhere (a finding, a mark, a command).

use std::fmt;

/// Readable identifier of an element, unique among the elements of its kind.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
#[serde(transparent)]
pub struct ElementId(pub String);

impl ElementId {
    /// The identifier as written in the file.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Whether `text` may serve as an identifier: lower-case letters, digits and hyphens,
    /// beginning with a letter, at most 60 characters.
    pub fn is_valid(text: &str) -> bool {
        text.len() <= 60
            && text.starts_with(|c: char| c.is_ascii_lowercase())
            && text.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
    }
}

impl From<&str> for ElementId {
    fn from(text: &str) -> Self {
        Self(text.to_owned())
    }
}

impl fmt::Display for ElementId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// Identifier of a taxon in the stock (a species, a form or a cultivar as it is really planted).
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(transparent)]
pub struct TaxonId(pub String);

impl TaxonId {
    /// The identifier as written in the file.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for TaxonId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

macro_rules! kinds {
    ($($(#[$doc:meta])* $variant:ident = $key:literal, $name:literal, $file:ident;)*) => {
        /// What an element is. The kind decides the table in the file (`[[bed]]`) and the file.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
        #[serde(rename_all = "kebab-case")]
        pub enum Kind { $($(#[$doc])* $variant,)* }

        impl Kind {
            /// All kinds, in the order in which the files present them.
            pub const ALL: &'static [Kind] = &[$(Kind::$variant,)*];

            /// The table's key in the file, as in `[[bed]]`.
            pub fn key(self) -> &'static str {
                match self { $(Kind::$variant => $key,)* }
            }

            /// The word for a reader.
            pub fn word(self) -> &'static str {
                match self { $(Kind::$variant => $name,)* }
            }

            /// The file in which elements of this kind are written.
            pub fn file(self) -> ProjectFile {
                match self { $(Kind::$variant => ProjectFile::$file,)* }
            }
        }
    };
}

/// The files of a project.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ProjectFile {
    /// `property.toml`
    Property,
    /// `design.toml`
    Design,
    /// `practice.toml`
    Practice,
}

impl ProjectFile {
    /// The file's name inside the project folder.
    pub fn name(self) -> &'static str {
        match self {
            Self::Property => "property.toml",
            Self::Design => "design.toml",
            Self::Practice => "practice.toml",
        }
    }
}

kinds! {
    /// A named reference point that places may refer to.
    Reference = "reference", "reference point", Property;
    /// A house, garage, shed.
    Building = "building", "building", Property;
    /// A door, window or vent in a building's wall.
    Opening = "opening", "opening", Property;
    /// A walk, drive, patio, deck, street.
    Surface = "surface", "surface", Property;
    /// A tree found on the property.
    Tree = "tree", "tree", Property;
    /// Shrubs and other plants found, one or a group.
    Shrub = "shrub", "shrub", Property;
    /// Ground overgrown by weeds, to be cleared.
    Overgrown = "overgrown", "overgrown ground", Property;
    /// Something under the ground.
    Buried = "buried", "buried thing", Property;
    /// Where roof water comes down.
    Downspout = "downspout", "downspout", Property;
    /// A meter, box, hydrant, bin, machine.
    Utility = "utility", "utility", Property;
    /// A line that exists on paper: setback, easement, right of way, sight triangle.
    PaperLine = "paper_line", "line on paper", Property;
    /// A wire overhead.
    OverheadWire = "overhead_wire", "overhead wire", Property;
    /// A length taped between two places, which checks the plan's scale.
    Taped = "taped", "taped length", Property;
    /// A place from which the yard is seen.
    Viewpoint = "viewpoint", "viewpoint", Property;
    /// A photo of the yard.
    Photo = "photo", "photo", Property;
    /// A picture from above, or a scanned plan, under the drawing.
    Picture = "picture", "picture", Property;
    /// A level taken on the ground.
    SpotLevel = "level", "level", Property;
    /// A line at which the ground breaks.
    BreakLine = "break_line", "break line", Property;
    /// A design storm.
    Storm = "storm", "storm", Property;
    /// A timed hole.
    SoilTest = "soil_test", "soil test", Property;
    /// A planting bed.
    Bed = "bed", "bed", Design;
    /// A raised box or trough to plant in.
    PlanterBox = "box", "planter box", Design;
    /// Turf, kept or new.
    Lawn = "lawn", "lawn", Design;
    /// A physical edge between lawn and bed.
    Edging = "edging", "edging", Design;
    /// An instruction to plant.
    Planting = "planting", "planting", Design;
    /// A remark placed on the drawing.
    Note = "note", "note", Design;
    /// A finding that somebody accepted with a reason.
    Acceptance = "accepted", "accepted finding", Design;
    /// A part of the ground graded anew.
    Grading = "grading", "grading", Design;
    /// A shallow channel.
    Swale = "swale", "swale", Design;
    /// A pipe laid to a fall.
    Drain = "drain", "drain", Design;
    /// A basin that takes water in.
    Basin = "basin", "basin", Design;
    /// A place to get at a pipe.
    Cleanout = "cleanout", "cleanout", Design;
    /// Where water is let go.
    Outlet = "outlet", "outlet", Design;
    /// A retaining wall.
    Wall = "wall", "wall", Design;
    /// A flight of steps.
    Steps = "steps", "flight of steps", Design;
    /// A patio or walk to be laid.
    Paving = "paving", "paving", Design;
    /// Garden lights of one kind.
    Light = "light", "light", Design;
    /// Lights that are switched together.
    LightZone = "light_zone", "zone of lights", Design;
    /// A transformer of garden lights.
    Transformer = "transformer", "transformer", Design;
    /// Ground or plants that are watered in one way.
    Watering = "watering", "watering", Design;
    /// A box with valves.
    ValveBox = "valve_box", "valve box", Design;
    /// A backflow preventer.
    Preventer = "preventer", "backflow preventer", Design;
    /// A controller.
    Controller = "controller", "irrigation controller", Design;
}

/// One element of the project, named by its kind and id.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
pub struct ElementRef {
    /// What it is.
    pub kind: Kind,
    /// Which one.
    pub id: ElementId,
}

impl ElementRef {
    /// Names the element `id` of `kind`.
    pub fn new(kind: Kind, id: &ElementId) -> Self {
        Self { kind, id: id.clone() }
    }
}

impl fmt::Display for ElementRef {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} `{}`", self.kind.word(), self.id)
    }
}
