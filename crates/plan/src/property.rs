//! What is there: the property as found and as told.

use groundwright_units::{LengthUnit, System};

use crate::ground::FoundGround;
use crate::identity::{ElementId, ElementRef, TaxonId};
use crate::shape::{Line, Place};
use crate::standing::Given;
use crate::words::words;

/// The property: everything that exists before the design.
#[derive(Debug, Clone, PartialEq)]
pub struct Property {
    /// Name of the job.
    pub name: String,
    /// Address as printed on the sheets.
    pub address: String,
    /// Client as printed on the sheets.
    pub client: String,
    /// Units of the reader.
    pub system: System,
    /// Unit that a bare number has.
    pub length_unit: LengthUnit,
    /// Direction of true north, clockwise from the plan's y axis. [rad]
    pub north: Given<f64>,
    /// The viewpoint that stands on the street; the plan is turned so that it lies at the foot.
    pub street: Option<ElementId>,
    /// Where in the world.
    pub place: Situation,
    /// The property line, if it is known.
    pub boundary: Option<Boundary>,
    /// Named points that places refer to.
    pub references: Vec<Reference>,
    /// Houses, garages, sheds.
    pub buildings: Vec<Building>,
    /// Doors, windows and vents.
    pub openings: Vec<Opening>,
    /// Walks, drives, patios, streets.
    pub surfaces: Vec<Surface>,
    /// Trees found.
    pub trees: Vec<Tree>,
    /// Shrubs and smaller plants found.
    pub shrubs: Vec<Shrub>,
    /// Ground overgrown by weeds.
    pub overgrown: Vec<Overgrown>,
    /// What lies under the ground.
    pub buried: Vec<Buried>,
    /// Where roof water comes down.
    pub downspouts: Vec<Downspout>,
    /// Meters, boxes, hydrants and things to screen.
    pub utilities: Vec<Utility>,
    /// Setbacks, easements, rights of way, sight triangles.
    pub paper_lines: Vec<PaperLine>,
    /// Wires overhead.
    pub overhead_wires: Vec<OverheadWire>,
    /// How one gets in.
    pub access: Access,
    /// From where the yard is seen.
    pub viewpoints: Vec<Viewpoint>,
    /// Levels, storms, soil tests.
    pub ground: FoundGround,
    /// Lengths taped between places of the plan.
    pub taped: Vec<Taped>,
    /// Photos of the yard.
    pub photos: Vec<Photo>,
    /// Pictures under the drawing.
    pub pictures: Vec<Picture>,
    /// Water at the hose bib.
    pub supply: Supply,
    /// Monthly normals, if they are given.
    pub climate: Option<Climate>,
    /// What the client wants.
    pub wishes: Wishes,
}

/// Where in the world, and what the place is like.
#[derive(Debug, Clone, PartialEq)]
pub struct Situation {
    /// Latitude, north positive. [rad]
    pub latitude: Given<f64>,
    /// Longitude, east positive. [rad]
    pub longitude: Given<f64>,
    /// Height above the sea. [m]
    pub elevation: Given<f64>,
    /// Time zone by its name in the open time zone database.
    pub time_zone: Given<String>,
    /// Winter hardiness zone.
    pub hardiness: Given<HardinessZone>,
    /// Soil texture of the top spade.
    pub soil: Given<SoilTexture>,
    /// Depth below grade at which water stands in winter; `None` where it never comes near. [m]
    pub winter_water: Given<Option<f64>>,
    /// Whether children or pets use the yard.
    pub children_or_pets: Given<bool>,
}

/// A winter hardiness zone: 1a is the coldest, 13b the warmest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
pub struct HardinessZone {
    /// 1 to 13.
    pub number: u8,
    /// Whether it is the warmer half, written `b`.
    pub warmer_half: bool,
}

impl std::fmt::Display for HardinessZone {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}{}", self.number, if self.warmer_half { "b" } else { "a" })
    }
}

impl HardinessZone {
    /// Reads `8b`, `8a` or `8` (taken as the colder half).
    pub fn parse(text: &str) -> Option<Self> {
        let text = text.trim();
        let (digits, warmer_half) = match text.strip_suffix(['b', 'B']) {
            Some(digits) => (digits, true),
            None => (text.strip_suffix(['a', 'A']).unwrap_or(text), false),
        };
        let number: u8 = digits.bytes().all(|byte| byte.is_ascii_digit()).then(|| digits.parse().ok())??;
        (1..=13).contains(&number).then_some(Self { number, warmer_half })
    }
}

words! {
    /// Soil texture classes of the soil survey's triangle.
    SoilTexture, "soil texture" {
        /// Sand.
        Sand = "sand",
        /// Loamy sand.
        LoamySand = "loamy sand",
        /// Sandy loam.
        SandyLoam = "sandy loam",
        /// Loam.
        Loam = "loam",
        /// Silt loam.
        SiltLoam = "silt loam",
        /// Silt.
        Silt = "silt",
        /// Sandy clay loam.
        SandyClayLoam = "sandy clay loam",
        /// Clay loam.
        ClayLoam = "clay loam",
        /// Silty clay loam.
        SiltyClayLoam = "silty clay loam",
        /// Sandy clay.
        SandyClay = "sandy clay",
        /// Silty clay.
        SiltyClay = "silty clay",
        /// Clay.
        Clay = "clay",
    }
}

/// The property line.
#[derive(Debug, Clone, PartialEq)]
pub struct Boundary {
    /// Its outline.
    pub outline: Line,
    /// How well it is known, in words: `pins found`, `from the plat`, `fence line`.
    pub known: Given<String>,
}

/// A named point that places refer to.
#[derive(Debug, Clone, PartialEq)]
pub struct Reference {
    /// Identity.
    pub id: ElementId,
    /// Plan coordinates. [m]
    pub at: Given<groundwright_geometry::Point>,
}

words! {
    /// Form of a roof.
    Roof, "roof" {
        /// Two slopes.
        Gable = "gable",
        /// Slopes on all sides.
        Hip = "hip",
        /// One slope.
        Shed = "shed",
        /// Level.
        Flat = "flat",
    }
}

/// A building.
#[derive(Debug, Clone, PartialEq)]
pub struct Building {
    /// Identity.
    pub id: ElementId,
    /// Words for the drawing.
    pub label: String,
    /// Footprint.
    pub outline: Line,
    /// Height of the floor above grade at the door. [m]
    pub floor: Given<f64>,
    /// Height of the eave above grade. [m]
    pub eave: Given<f64>,
    /// Form of the roof.
    pub roof: Given<Roof>,
    /// Pitch of the roof, rise over run.
    pub pitch: Given<f64>,
    /// How far the roof hangs over the wall. [m]
    pub overhang: Given<f64>,
    /// Siding material in words.
    pub siding: Given<String>,
    /// Height of the siding's lower edge above the ground as found, where it was taken. [m]
    pub siding_foot: Option<Given<f64>>,
}

words! {
    /// What an opening is.
    OpeningKind, "kind of opening" {
        /// A door for people.
        Door = "door",
        /// A garage door.
        GarageDoor = "garage door",
        /// A window.
        Window = "window",
        /// A vent of the crawl space or of a machine.
        Vent = "vent",
    }
}

/// A door, window or vent.
#[derive(Debug, Clone, PartialEq)]
pub struct Opening {
    /// Identity.
    pub id: ElementId,
    /// In which building.
    pub building: ElementId,
    /// What it is.
    pub kind: OpeningKind,
    /// Its middle on the wall line.
    pub at: Place,
    /// Width. [m]
    pub width: Given<f64>,
    /// Height of the sill above grade. [m]
    pub sill: Given<f64>,
}

words! {
    /// What a surface is for.
    SurfaceKind, "kind of surface" {
        /// A footpath on the property.
        Walk = "walk",
        /// A drive.
        Drive = "drive",
        /// A patio or terrace.
        Patio = "patio",
        /// A deck above ground.
        Deck = "deck",
        /// Steps.
        Steps = "steps",
        /// A public pavement for people.
        Sidewalk = "sidewalk",
        /// A road.
        Street = "street",
        /// A kerb or gutter.
        Curb = "curb",
        /// Water: pond or basin.
        Water = "water",
    }
}

/// A surface on which nothing is planted.
#[derive(Debug, Clone, PartialEq)]
pub struct Surface {
    /// Identity.
    pub id: ElementId,
    /// What it is for.
    pub kind: SurfaceKind,
    /// Material in words: `concrete`, `brick`, `gravel`.
    pub material: Given<String>,
    /// Whether it shall be a way for wheels.
    pub accessible: bool,
    /// Outline.
    pub outline: Line,
}

words! {
    /// What becomes of a plant that was found.
    Action, "action" {
        /// It stays where it is.
        Keep = "keep",
        /// It is dug and planted again.
        Move = "move",
        /// It goes.
        Remove = "remove",
    }
}

words! {
    /// How well a plant does.
    Condition, "condition" {
        /// Vigorous and well shaped.
        Good = "good",
        /// Sound, with faults.
        Fair = "fair",
        /// Weak, damaged or misshapen.
        Poor = "poor",
    }
}

/// A tree that was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Tree {
    /// Identity.
    pub id: ElementId,
    /// The taxon, if the stock knows it.
    pub taxon: Option<TaxonId>,
    /// Name as written.
    pub name: String,
    /// Where the trunk stands.
    pub at: Place,
    /// Trunk diameter at breast height. [m]
    pub diameter: Given<f64>,
    /// Crown diameter. [m]
    pub crown: Given<f64>,
    /// Height. [m]
    pub height: Given<f64>,
    /// How well it does.
    pub condition: Given<Condition>,
    /// What becomes of it.
    pub action: Action,
    /// Whether it bears no watering in summer under its crown.
    pub dry_summer: bool,
    /// A remark for the crew.
    pub note: String,
}

/// Shrubs or smaller plants that were found: one, or a group alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Shrub {
    /// Identity.
    pub id: ElementId,
    /// The taxon, if the stock knows it.
    pub taxon: Option<TaxonId>,
    /// Name as written.
    pub name: String,
    /// Where each stands; one place for a group stands for its middle.
    pub places: Vec<Place>,
    /// How many.
    pub count: usize,
    /// Height of one. [m]
    pub height: Given<f64>,
    /// Spread of one. [m]
    pub spread: Given<f64>,
    /// How well they do.
    pub condition: Given<Condition>,
    /// What becomes of them.
    pub action: Action,
    /// Plants expected from each when dug; more than 1 when divided.
    pub yields: Given<f64>,
    /// Whether it flowers at a time when people look.
    pub flowering: bool,
    /// Where they are heeled in until planting.
    pub holding: String,
    /// A remark for the crew.
    pub note: String,
}

/// Ground run over by weeds, to be cleared.
#[derive(Debug, Clone, PartialEq)]
pub struct Overgrown {
    /// Identity.
    pub id: ElementId,
    /// The weed's taxon, if the stock knows it.
    pub taxon: Option<TaxonId>,
    /// Name as written.
    pub name: String,
    /// Where.
    pub outline: Line,
    /// Height of the growth. [m]
    pub height: Given<f64>,
}

words! {
    /// What lies in the ground.
    BuriedKind, "kind of buried thing" {
        /// An irrigation pipe.
        IrrigationPipe = "irrigation pipe",
        /// An irrigation head.
        IrrigationHead = "irrigation head",
        /// An irrigation valve.
        IrrigationValve = "irrigation valve",
        /// A low-voltage garden cable.
        GardenCable = "garden cable",
        /// A pipe from a downspout.
        DownspoutPipe = "downspout pipe",
        /// A drain.
        Drain = "drain",
        /// A septic tank or its field.
        Septic = "septic",
        /// A sewer.
        Sewer = "sewer",
        /// A gas line.
        Gas = "gas",
        /// A water line.
        Water = "water",
        /// A power cable.
        Power = "power",
        /// A telephone or data cable.
        Telecom = "telecom",
    }
}

impl BuriedKind {
    /// Whether hitting it can hurt somebody or cut a service.
    pub fn is_service(self) -> bool {
        matches!(self, Self::Gas | Self::Water | Self::Power | Self::Telecom | Self::Sewer | Self::Septic)
    }
}

words! {
    /// What becomes of something buried.
    Fate, "fate" {
        /// It stays in use.
        Keep = "keep",
        /// It is closed off and left.
        Cap = "cap",
        /// It is dug and laid elsewhere.
        Move = "move",
        /// It serves the new work.
        Reuse = "reuse",
    }
}

/// Something under the ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Buried {
    /// Identity.
    pub id: ElementId,
    /// What it is.
    pub kind: BuriedKind,
    /// Its line, or `None` for a single thing.
    pub route: Option<Line>,
    /// Its place, when it is a single thing.
    pub at: Option<Place>,
    /// Depth of cover. [m]
    pub depth: Given<f64>,
    /// What becomes of it.
    pub fate: Fate,
    /// Irrigation zone or circuit that it belongs to.
    pub zone: String,
}

/// Where roof water comes down.
#[derive(Debug, Clone, PartialEq)]
pub struct Downspout {
    /// Identity.
    pub id: ElementId,
    /// Where.
    pub at: Place,
    /// Roof area that it drains. [m²]
    pub roof_area: Given<f64>,
    /// Where the water goes: `splash block`, `pipe to street`.
    pub outlet: Given<String>,
}

/// A meter, box, hydrant, machine; something to reach and perhaps to screen.
#[derive(Debug, Clone, PartialEq)]
pub struct Utility {
    /// Identity.
    pub id: ElementId,
    /// What it is, in words.
    pub name: String,
    /// Where.
    pub at: Place,
    /// Room to keep free around it. [m]
    pub clearance: Given<f64>,
    /// Whether the client wants it hidden.
    pub screen: bool,
}

words! {
    /// What a line on paper means.
    PaperLineKind, "kind of line on paper" {
        /// No building nearer.
        Setback = "setback",
        /// Somebody else's right of use.
        Easement = "easement",
        /// Public land.
        RightOfWay = "right of way",
        /// Where nothing may hide a driver's view.
        SightTriangle = "sight triangle",
    }
}

/// A line that exists on paper.
#[derive(Debug, Clone, PartialEq)]
pub struct PaperLine {
    /// Identity.
    pub id: ElementId,
    /// What it means.
    pub kind: PaperLineKind,
    /// The line, or the outline when `closed`.
    pub line: Line,
    /// Whether the line closes to an area.
    pub closed: bool,
    /// Greatest height allowed inside, if there is one. [m]
    pub height_limit: Option<Given<f64>>,
}

impl PaperLine {
    /// The word for its kind.
    pub fn kind_word(&self) -> &'static str {
        crate::words::Word::word(self.kind)
    }
}

/// A wire overhead.
#[derive(Debug, Clone, PartialEq)]
pub struct OverheadWire {
    /// Identity.
    pub id: ElementId,
    /// Its line.
    pub line: Line,
    /// Height above ground at the lowest. [m]
    pub height: Given<f64>,
}

/// A length taped on the ground between two places of the plan. Where the plan was traced from a
/// picture, it gives the scale; any further one checks it.
#[derive(Debug, Clone, PartialEq)]
pub struct Taped {
    /// Identity.
    pub id: ElementId,
    /// From here.
    pub from: Place,
    /// To here.
    pub to: Place,
    /// As the tape says. [m] Above zero.
    pub length: Given<f64>,
}

/// A photo of the yard, with where it was taken from.
#[derive(Debug, Clone, PartialEq)]
pub struct Photo {
    /// Identity.
    pub id: ElementId,
    /// Its file, below the project folder.
    pub file: String,
    /// Where the camera stood.
    pub at: Option<Place>,
    /// Towards what it looked.
    pub looking: Option<Place>,
    /// When it was taken, as somebody wrote it.
    pub taken: String,
    /// What it shows.
    pub note: String,
}

/// A picture from above, or a scanned plan, that lies under the drawing and is traced. Its two lower
/// corners give its place, its scale and its turn; nothing is computed from what it shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// Identity.
    pub id: ElementId,
    /// Its file, below the project folder.
    pub file: String,
    /// Its lower left corner.
    pub from: Place,
    /// Its lower right corner.
    pub to: Place,
}

/// Water where the irrigation joins: a bucket and a watch at the hose bib, a gauge, the meter.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Supply {
    /// What the bucket holds. [m³]
    pub bucket: Option<Given<f64>>,
    /// How long it takes to fill. [s] Above zero.
    pub seconds: Option<Given<f64>>,
    /// Where the irrigation joins the pipe behind the meter.
    pub at: Option<Place>,
    /// Pressure with nothing flowing. [Pa]
    pub static_pressure: Option<Given<f64>>,
    /// Pressure on the same gauge while the bucket fills. [Pa] Below the static one.
    pub flowing_pressure: Option<Given<f64>>,
    /// Nominal size of the meter. [m]
    pub meter: Option<Given<f64>>,
    /// Inside diameter of the service line. [m]
    pub service_diameter: Option<Given<f64>>,
    /// Length of the service line. [m]
    pub service_length: Option<Given<f64>>,
    /// Days of the week on which watering is allowed, Monday first; any without them.
    pub days: Option<[bool; 7]>,
}

/// Days of the week by their words.
pub struct Weekday;

impl Weekday {
    /// Their words, Monday first.
    pub const WORDS: [&'static str; 7] =
        ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"];

    /// The index of a day written out or by its first three letters, Monday 0.
    pub fn of(word: &str) -> Option<usize> {
        let word = word.trim();
        Self::WORDS.iter().position(|day| {
            day.eq_ignore_ascii_case(word) || (word.len() == 3 && day[..3].eq_ignore_ascii_case(word))
        })
    }
}

/// Monthly normals of the place, January first.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Climate {
    /// Mean of the days' highest temperatures. [K]
    pub high: Option<[f64; 12]>,
    /// Mean of the days' lowest temperatures. [K]
    pub low: Option<[f64; 12]>,
    /// Rain of the month. [m]
    pub rain: Option<[f64; 12]>,
    /// Reference evapotranspiration of the month. [m]
    pub reference: Option<[f64; 12]>,
    /// Where they come from.
    pub source: String,
}

impl Supply {
    /// The flow, if both were read. [m³/s]
    pub fn flow(&self) -> Option<f64> {
        Some(self.bucket?.value / self.seconds?.value)
    }
}

/// What the client wants, in the client's words.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Wishes {
    /// What shall be.
    pub wants: Vec<String>,
    /// What must not be.
    pub must_not: Vec<String>,
    /// What may be spent, in words: `20 to 30 thousand`. Nothing is computed from it.
    pub budget: String,
}

/// How one gets in.
#[derive(Debug, Clone, PartialEq)]
pub struct Access {
    /// Width of the narrowest gate or passage. [m]
    pub narrowest: Given<f64>,
    /// Where a truck may drop a load.
    pub drop_place: Option<Place>,
}

words! {
    /// Where somebody stands and looks.
    ViewpointRole, "role of a viewpoint" {
        /// On the street.
        Street = "street",
        /// At the front door.
        FrontDoor = "front door",
        /// At a window.
        Window = "window",
        /// On a seat.
        Seat = "seat",
        /// On a walk.
        Walk = "walk",
    }
}

/// A place from which the yard is seen.
#[derive(Debug, Clone, PartialEq)]
pub struct Viewpoint {
    /// Identity.
    pub id: ElementId,
    /// What it is.
    pub role: ViewpointRole,
    /// Where the eye is.
    pub at: Place,
    /// Towards what it looks.
    pub looking: Option<Place>,
    /// Height of the eye above grade. [m]
    pub eye: Given<f64>,
    /// How much it counts among the viewpoints; 1 is ordinary.
    pub weight: Given<f64>,
}

impl Property {
    /// The kind and id of every element of the property, in file order by kind.
    pub fn elements(&self) -> Vec<ElementRef> {
        use crate::identity::Kind;
        let mut all = Vec::new();
        let mut add = |kind: Kind, id: &ElementId| all.push(ElementRef::new(kind, id));
        self.references.iter().for_each(|e| add(Kind::Reference, &e.id));
        self.buildings.iter().for_each(|e| add(Kind::Building, &e.id));
        self.openings.iter().for_each(|e| add(Kind::Opening, &e.id));
        self.surfaces.iter().for_each(|e| add(Kind::Surface, &e.id));
        self.trees.iter().for_each(|e| add(Kind::Tree, &e.id));
        self.shrubs.iter().for_each(|e| add(Kind::Shrub, &e.id));
        self.overgrown.iter().for_each(|e| add(Kind::Overgrown, &e.id));
        self.buried.iter().for_each(|e| add(Kind::Buried, &e.id));
        self.downspouts.iter().for_each(|e| add(Kind::Downspout, &e.id));
        self.utilities.iter().for_each(|e| add(Kind::Utility, &e.id));
        self.paper_lines.iter().for_each(|e| add(Kind::PaperLine, &e.id));
        self.overhead_wires.iter().for_each(|e| add(Kind::OverheadWire, &e.id));
        self.taped.iter().for_each(|e| add(Kind::Taped, &e.id));
        self.viewpoints.iter().for_each(|e| add(Kind::Viewpoint, &e.id));
        self.photos.iter().for_each(|e| add(Kind::Photo, &e.id));
        self.pictures.iter().for_each(|e| add(Kind::Picture, &e.id));
        self.ground.levels.iter().for_each(|e| add(Kind::SpotLevel, &e.id));
        self.ground.break_lines.iter().for_each(|e| add(Kind::BreakLine, &e.id));
        self.ground.storms.iter().for_each(|e| add(Kind::Storm, &e.id));
        self.ground.soil_tests.iter().for_each(|e| add(Kind::SoilTest, &e.id));
        all
    }
}
