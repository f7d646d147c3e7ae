//! What can be bought: taxa with their sizes, containers, mulch, edging, amendments, turf, wall units,
//! reinforcement, pavers.
//!
//! The stock that ships is embedded as readable files; a project adds to it or overrides it by
//! giving the same id.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use crate::identity::TaxonId;
use crate::words::words;

/// Everything that can be bought, by id.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Stock {
    /// Taxa: species, forms and cultivars as really planted.
    pub taxa: BTreeMap<TaxonId, Taxon>,
    /// Container classes, trays, root balls, bulbs.
    pub containers: BTreeMap<String, Container>,
    /// Mulches and loose rock.
    pub mulches: BTreeMap<String, MulchProduct>,
    /// Edging.
    pub edgings: BTreeMap<String, EdgingProduct>,
    /// Compost, soil, lime.
    pub amendments: BTreeMap<String, Amendment>,
    /// Fertilisers.
    pub fertilisers: BTreeMap<String, Fertiliser>,
    /// Sod and seed.
    pub turf: BTreeMap<String, TurfProduct>,
    /// Units of dry-stacked walls.
    pub wall_units: BTreeMap<String, WallUnits>,
    /// Reinforcement of walls.
    pub grids: BTreeMap<String, GridProduct>,
    /// Pavers.
    pub pavers: BTreeMap<String, Paver>,
    /// Fixtures of garden light.
    pub light_fixtures: BTreeMap<String, LightFixture>,
    /// Transformers of garden light.
    pub transformers: BTreeMap<String, TransformerProduct>,
    /// Cable of garden light.
    pub light_cables: BTreeMap<String, LightCable>,
    /// Sprinkler heads with their nozzles.
    pub heads: BTreeMap<String, HeadProduct>,
    /// Drip line and emitters.
    pub drips: BTreeMap<String, DripProduct>,
    /// Pipe under pressure.
    pub pipes: BTreeMap<String, PipeProduct>,
    /// Valves, preventers, meters, drip kits.
    pub water_parts: BTreeMap<String, WaterPart>,
    /// Controllers.
    pub controllers: BTreeMap<String, ControllerProduct>,
}

impl Stock {
    /// Adds what `more` has; the same id overrides.
    pub fn add(&mut self, more: Stock) {
        self.taxa.extend(more.taxa);
        self.containers.extend(more.containers);
        self.mulches.extend(more.mulches);
        self.edgings.extend(more.edgings);
        self.amendments.extend(more.amendments);
        self.fertilisers.extend(more.fertilisers);
        self.turf.extend(more.turf);
        self.wall_units.extend(more.wall_units);
        self.grids.extend(more.grids);
        self.pavers.extend(more.pavers);
        self.light_fixtures.extend(more.light_fixtures);
        self.transformers.extend(more.transformers);
        self.light_cables.extend(more.light_cables);
        self.heads.extend(more.heads);
        self.drips.extend(more.drips);
        self.pipes.extend(more.pipes);
        self.water_parts.extend(more.water_parts);
        self.controllers.extend(more.controllers);
    }

    /// The taxon whose botanical name is `name`.
    pub fn by_botanical_name(&self, name: &str) -> Option<&Taxon> {
        self.taxa.values().find(|taxon| taxon.botanical.eq_ignore_ascii_case(name.trim()))
    }
}

words! {
    /// What sort of plant.
    PlantKind, "kind of plant" {
        /// Broad-leaved tree.
        Tree = "tree",
        /// Conifer.
        Conifer = "conifer",
        /// Palm.
        Palm = "palm",
        /// Shrub.
        Shrub = "shrub",
        /// Perennial.
        Perennial = "perennial",
        /// Grass or sedge.
        Grass = "grass",
        /// Fern.
        Fern = "fern",
        /// Ground cover.
        Groundcover = "groundcover",
        /// Vine.
        Vine = "vine",
        /// Bulb.
        Bulb = "bulb",
        /// Annual.
        Annual = "annual",
    }
}

impl PlantKind {
    /// Whether it makes wood, so that mulch is kept off its trunk.
    pub fn is_woody(self) -> bool {
        matches!(self, Self::Tree | Self::Conifer | Self::Palm | Self::Shrub | Self::Vine)
    }
}

words! {
    /// Form of the crown.
    Habit, "habit" {
        /// As wide as high.
        Rounded = "rounded",
        /// Higher than wide.
        Upright = "upright",
        /// Wider than high.
        Spreading = "spreading",
        /// Wide at the foot.
        Conical = "conical",
        /// Narrow.
        Columnar = "columnar",
        /// Wide at the top.
        Vase = "vase",
        /// Leaves arching from the base.
        Fountain = "fountain",
        /// Flat on the ground.
        Mat = "mat",
    }
}

words! {
    /// How fast it grows.
    GrowthRate, "growth rate" {
        /// 12 in a year or less.
        Slow = "slow",
        /// 13 to 24 in a year.
        Medium = "medium",
        /// 25 in a year or more.
        Fast = "fast",
    }
}

words! {
    /// Light that a plant bears.
    Light, "light" {
        /// Six hours of direct sun or more.
        Full = "full",
        /// Between full sun and shade.
        Part = "part",
        /// Little direct sun.
        Shade = "shade",
    }
}

words! {
    /// Water that a plant needs.
    WaterUse, "water use" {
        /// Under 10 % of reference evapotranspiration.
        VeryLow = "very-low",
        /// 10 to 30 %.
        Low = "low",
        /// 40 to 60 %.
        Medium = "medium",
        /// 70 to 90 %.
        High = "high",
    }
}

words! {
    /// What its leaves do in winter.
    Foliage, "foliage" {
        /// Keeps them.
        Evergreen = "evergreen",
        /// Keeps some.
        SemiEvergreen = "semi-evergreen",
        /// Loses them.
        Deciduous = "deciduous",
        /// Dies to the ground.
        Herbaceous = "herbaceous",
        /// Lives one season.
        Annual = "annual",
    }
}

words! {
    /// Whether wet feet are borne.
    WetSoil, "wet soil" {
        /// No.
        No = "no",
        /// In winter.
        Winter = "winter",
        /// All year.
        Always = "always",
    }
}

/// A taxon as really planted.
#[derive(Debug, Clone, PartialEq)]
pub struct Taxon {
    /// Identity.
    pub id: TaxonId,
    /// Botanical name.
    pub botanical: String,
    /// Common name.
    pub common: String,
    /// What sort of plant.
    pub kind: PlantKind,
    /// Form of the crown.
    pub habit: Option<Habit>,
    /// Mature height, low and high. [m]
    pub height: (f64, f64),
    /// Mature spread, low and high. [m]
    pub spread: (f64, f64),
    /// How fast it grows.
    pub growth: Option<GrowthRate>,
    /// Hardiness zones, coldest and warmest.
    pub zones: Option<(u8, u8)>,
    /// Light that it bears; empty where not known.
    pub sun: Vec<Light>,
    /// Water that it needs.
    pub water: Option<WaterUse>,
    /// What its leaves do in winter.
    pub foliage: Option<Foliage>,
    /// First and last month of bloom, wrapping over December.
    pub bloom: Option<(u8, u8)>,
    /// Colour of the flowers.
    pub bloom_colour: String,
    /// Colour of the leaves.
    pub leaf_colour: String,
    /// Salt borne: low, medium, high.
    pub salt: String,
    /// Drought borne: low, medium, high.
    pub drought: String,
    /// Whether wet feet are borne.
    pub wet_soil: Option<WetSoil>,
    /// Whom it harms, in words; `none known` is not a statement of safety.
    pub toxicity: String,
    /// Who says so.
    pub toxicity_source: String,
    /// Where it is listed as invasive, in words; empty where not known to be.
    pub invasive: String,
    /// Usual on-centre spacing in a mass. [m]
    pub spacing: Option<f64>,
    /// Regions where it is native.
    pub native: Vec<String>,
    /// Garden climates that suit it.
    pub climates: Vec<String>,
    /// Plants expected from dividing a mature clump.
    pub divides: Option<u32>,
    /// How widely the sizes are agreed.
    pub confidence: String,
    /// Sizes in which it is usually sold, by container id.
    pub sizes: Vec<String>,
    /// Whether it is a weed to be removed.
    pub weed: bool,
}

impl Taxon {
    /// Middle of the mature spread. [m]
    pub fn mature_spread(&self) -> f64 {
        0.5 * (self.spread.0 + self.spread.1)
    }

    /// Middle of the mature height. [m]
    pub fn mature_height(&self) -> f64 {
        0.5 * (self.height.0 + self.height.1)
    }

    /// Whether it is in flower in `month` (1 to 12).
    pub fn blooms_in(&self, month: u8) -> bool {
        self.bloom.is_some_and(|(first, last)| {
            if first <= last { (first..=last).contains(&month) } else { month >= first || month <= last }
        })
    }
}

words! {
    /// How a plant is delivered.
    ContainerForm, "form of container" {
        /// In a pot.
        Container = "container",
        /// With a dug ball of earth.
        Ball = "ball",
        /// In a tray of cells.
        Tray = "tray",
        /// A dry bulb.
        Bulb = "bulb",
    }
}

/// Usual size on delivery of one kind of plant.
#[derive(Debug, Clone, PartialEq)]
pub struct AtPurchase {
    /// What sort of plant.
    pub kind: PlantKind,
    /// Height, low and high. [m]
    pub height: (f64, f64),
    /// Spread, low and high. [m]
    pub spread: (f64, f64),
}

/// A size in which plants are bought.
#[derive(Debug, Clone, PartialEq)]
pub struct Container {
    /// Identity, as a nursery writes it: `#1`, `4in`, `ball-2in`.
    pub id: String,
    /// Words.
    pub name: String,
    /// How it is delivered.
    pub form: ContainerForm,
    /// Volume, low and high. [m³]
    pub volume: Option<(f64, f64)>,
    /// Diameter of pot, cell or ball. [m]
    pub diameter: Option<f64>,
    /// Depth of pot, cell or ball. [m]
    pub depth: Option<f64>,
    /// Trunk calliper of a ball. [m]
    pub calliper: Option<f64>,
    /// Plants to a tray.
    pub tray: Option<u32>,
    /// Usual plant sizes on delivery.
    pub at_purchase: Vec<AtPurchase>,
}

impl Container {
    /// Middle of the volume: of the class, or of the cylinder that pot or ball is. [m³]
    pub fn usual_volume(&self) -> Option<f64> {
        if let Some((low, high)) = self.volume {
            return Some(0.5 * (low + high));
        }
        let (diameter, depth) = (self.diameter?, self.depth?);
        Some(std::f64::consts::PI * diameter * diameter / 4.0 * depth)
    }

    /// Usual spread on delivery of a kind of plant, capped by the taxon's mature spread. [m]
    pub fn spread_at_purchase(&self, taxon: &Taxon) -> Option<f64> {
        let size = self.at_purchase.iter().find(|size| size.kind == taxon.kind)?;
        Some((0.5 * (size.spread.0 + size.spread.1)).min(taxon.mature_spread()))
    }

    /// Usual height on delivery of a kind of plant, capped by the taxon's mature height. [m]
    pub fn height_at_purchase(&self, taxon: &Taxon) -> Option<f64> {
        let size = self.at_purchase.iter().find(|size| size.kind == taxon.kind)?;
        Some((0.5 * (size.height.0 + size.height.1)).min(taxon.mature_height()))
    }
}

/// How loose material is sold and how it behaves.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Loose {
    /// Identity.
    pub id: String,
    /// Words.
    pub name: String,
    /// Whether it is sold loose by volume.
    pub bulk: bool,
    /// Volumes of the bags sold. [m³]
    pub bags: Vec<f64>,
    /// Share by which it settles from loose volume.
    pub settles: Option<f64>,
    /// Bulk density, low and high. [kg/m³]
    pub density: Option<(f64, f64)>,
    /// Usual depth, low and high. [m]
    pub depth: Option<(f64, f64)>,
    /// Where the figures come from.
    pub source: String,
}

/// A mulch.
#[derive(Debug, Clone, PartialEq)]
pub struct MulchProduct {
    /// How it is sold and behaves.
    pub loose: Loose,
    /// Whether it floats away in running water.
    pub floats: bool,
}

/// An amendment or a planting mix.
#[derive(Debug, Clone, PartialEq)]
pub struct Amendment {
    /// How it is sold and behaves.
    pub loose: Loose,
    /// What sort.
    pub sort: String,
    /// Depth to which it is worked in. [m]
    pub worked_in: Option<f64>,
    /// Rate where it is spread by mass, low and high. [kg/m²]
    pub rate: Option<(f64, f64)>,
    /// Masses of the bags sold. [kg]
    pub bag_masses: Vec<f64>,
}

/// A fertiliser.
#[derive(Debug, Clone, PartialEq)]
pub struct Fertiliser {
    /// Identity.
    pub id: String,
    /// Words.
    pub name: String,
    /// Shares of nitrogen, phosphate and potash by mass.
    pub shares: [f64; 3],
    /// Masses of the bags sold. [kg]
    pub bag_masses: Vec<f64>,
    /// Nitrogen given at once. [kg/m²]
    pub nitrogen: f64,
    /// Where the figures come from.
    pub source: String,
}

/// Edging.
#[derive(Debug, Clone, PartialEq)]
pub struct EdgingProduct {
    /// Identity.
    pub id: String,
    /// Words.
    pub name: String,
    /// Length of a piece; `None` for what is cast or cut in place. [m]
    pub piece: Option<f64>,
    /// Lap of neighbouring pieces. [m]
    pub overlap: f64,
    /// Stakes to a piece.
    pub stakes: u32,
    /// Height. [m]
    pub height: f64,
    /// Thickness. [m]
    pub thickness: f64,
    /// Least radius to which it bends. [m]
    pub least_radius: f64,
    /// Where the figures come from.
    pub source: String,
}

/// Sod or seed.
#[derive(Debug, Clone, PartialEq)]
pub struct TurfProduct {
    /// Identity.
    pub id: String,
    /// Words.
    pub name: String,
    /// Width and length of a slab of sod. [m]
    pub slab: Option<(f64, f64)>,
    /// Area of a pallet of sod. [m²]
    pub pallet: Option<f64>,
    /// Seeding rate, low and high. [kg/m²]
    pub rate: Option<(f64, f64)>,
    /// Masses of the bags of seed. [kg]
    pub bag_masses: Vec<f64>,
    /// Where the figures come from.
    pub source: String,
}

/// One kind of unit in a system of wall units.
#[derive(Debug, Clone, PartialEq)]
pub struct WallUnit {
    /// Length of its face. [m]
    pub length: f64,
    /// Its share of the blend by count; the shares add up to 1.
    pub share: f64,
    /// Units to a pallet; 0 when they come loose.
    pub pallet: usize,
}

/// A system of units for dry-stacked walls: one height, one or several lengths.
#[derive(Debug, Clone, PartialEq)]
pub struct WallUnits {
    /// Identity.
    pub id: String,
    /// Words.
    pub name: String,
    /// Height of a course. [m]
    pub height: f64,
    /// Depth of a unit, front to back. [m]
    pub depth: f64,
    /// Setback of each course. [m]
    pub setback: f64,
    /// Kinds of units.
    pub units: Vec<WallUnit>,
    /// Long and short face of a corner unit, where there is one. [m]
    pub corner: Option<(f64, f64)>,
    /// Mass of units with the fill of their cores to a volume. [kg/m³]
    pub density: f64,
    /// Shear between courses without load, as mass carried to a metre. [kg/m]
    pub shear: f64,
    /// Angle by which it grows with the load. [rad]
    pub shear_angle: f64,
    /// Least radius of a face. [m]
    pub least_radius: f64,
    /// Least length of a cut piece. [m]
    pub least_cut: f64,
    /// Least overlap of joints in neighbouring courses. [m]
    pub least_overlap: f64,
    /// Most units of one kind in a row; 0 for no limit.
    pub in_a_row: u8,
    /// Whether a lip at the back makes the setback.
    pub rear_lip: bool,
    /// Colours with their shares.
    pub colours: Vec<(String, f64)>,
    /// Length, height and depth of a cap; `None` where the top course is its own cap. [m]
    pub cap: Option<(f64, f64, f64)>,
    /// Where the figures come from.
    pub source: String,
}

/// A geosynthetic for reinforced walls.
#[derive(Debug, Clone, PartialEq)]
pub struct GridProduct {
    /// Identity.
    pub id: String,
    /// Words.
    pub name: String,
    /// Ultimate strength, as mass carried by a metre of width. [kg/m]
    pub ultimate: f64,
    /// Reductions for creep, durability and damage when laid.
    pub reductions: [f64; 3],
    /// Share of the fill's friction against sliding along it.
    pub sliding: f64,
    /// Share of the fill's friction against pullout.
    pub pullout: f64,
    /// Connection to the units without load, as mass carried by a metre. [kg/m]
    pub connection: f64,
    /// Angle by which it grows with the load. [rad]
    pub connection_angle: f64,
    /// Width and length of a roll; the strong direction runs along the length. [m]
    pub roll: (f64, f64),
    /// Where the figures come from.
    pub source: String,
}

/// Pavers.
#[derive(Debug, Clone, PartialEq)]
pub struct Paver {
    /// Identity.
    pub id: String,
    /// Words.
    pub name: String,
    /// Length and width. [m]
    pub size: (f64, f64),
    /// Thickness. [m]
    pub thickness: f64,
    /// How they are laid: `running bond`, `herringbone`, `stack bond`.
    pub pattern: String,
    /// Area of a pallet. [m²]
    pub pallet: Option<f64>,
    /// Where the figures come from.
    pub source: String,
}

words! {
    /// How a beam falls off from its axis.
    BeamShape, "shape of a beam" {
        /// Even within the beam angle, nothing outside.
        Cone = "cone",
        /// As a bell.
        Gaussian = "gaussian",
        /// As a power of the cosine: a lamp under a hat.
        CosinePower = "cosine power",
    }
}

/// A fixture with its lamp.
#[derive(Debug, Clone, PartialEq)]
pub struct LightFixture {
    /// Identity.
    pub id: String,
    /// Words for the takeoff.
    pub name: String,
    /// Flux that leaves it when new. [lm]
    pub lumens: f64,
    /// Full angle at half intensity. [rad]
    pub beam_angle: f64,
    /// How its beam falls off.
    pub shape: BeamShape,
    /// Power. [W]
    pub watts: f64,
    /// Volt-amperes that it draws. [VA]
    pub volt_amperes: f64,
    /// Whether a driver holds its power; else it is a resistance.
    pub driver: bool,
    /// Rated voltage. [V]
    pub rated: f64,
    /// Lowest and highest voltage at which it works as its label says. [V]
    pub window: (f64, f64),
    /// Colour temperature. [K]
    pub kelvin: f64,
    /// Colour rendering index.
    pub rendering: f64,
    /// Dirt, age and temperature as one factor.
    pub loss: f64,
    /// Angle from the axis beyond which its shield lets nothing out. [rad]
    pub cut_off: Option<f64>,
    /// Where the figures come from.
    pub source: String,
}

/// A transformer on offer.
#[derive(Debug, Clone, PartialEq)]
pub struct TransformerProduct {
    /// Identity.
    pub id: String,
    /// Words for the takeoff.
    pub name: String,
    /// Rating. [VA]
    pub rating: f64,
    /// Voltages of its taps. [V]
    pub taps: Vec<f64>,
    /// Where the figures come from.
    pub source: String,
}

/// A two-conductor cable on offer.
#[derive(Debug, Clone, PartialEq)]
pub struct LightCable {
    /// Identity.
    pub id: String,
    /// Words for the takeoff.
    pub name: String,
    /// American wire gauge.
    pub gauge: u8,
    /// Price, which ranks one gauge against another. [money/m]
    pub price: f64,
    /// Length of a roll. [m]
    pub roll: Option<f64>,
    /// Where the figures come from.
    pub source: String,
}

words! {
    /// What a sprinkler head is.
    HeadKind, "kind of head" {
        /// Fixed spray.
        Spray = "spray",
        /// Turning streams.
        Rotor = "rotor",
        /// A bubbler, which wets the ground about itself.
        Bubbler = "bubbler",
    }
}

words! {
    /// How the depth falls along the radius of a head.
    SprayProfile, "profile of a head" {
        /// Most at the head, nothing at the end of the throw.
        Cone = "cone",
        /// The same everywhere within the throw.
        Even = "even",
    }
}

/// A sprinkler head with its nozzle.
#[derive(Debug, Clone, PartialEq)]
pub struct HeadProduct {
    /// Identity.
    pub id: String,
    /// Words for the takeoff.
    pub name: String,
    /// What it is.
    pub kind: HeadKind,
    /// Pressure to which flow and throw refer. [Pa]
    pub rated_pressure: f64,
    /// Flow at that pressure over the rated sweep. [m³/s]
    pub flow: f64,
    /// Sweep to which the flow refers. [rad]
    pub rated_sweep: f64,
    /// Whether the flow goes with the sweep.
    pub matched: bool,
    /// Whether the head itself holds the rated pressure.
    pub regulated: bool,
    /// Throw at the rated pressure. [m]
    pub throw: f64,
    /// Lowest and highest working pressure. [Pa]
    pub range: (f64, f64),
    /// Smallest and largest sweep. [rad]
    pub sweeps: (f64, f64),
    /// Shortest throw to which it may be turned down, as a share.
    pub shortest: f64,
    /// How the depth falls along the radius.
    pub profile: SprayProfile,
    /// Where the figures come from.
    pub source: String,
}

words! {
    /// What a drip product is.
    DripKind, "kind of drip product" {
        /// Line with emitters in it.
        Line = "line",
        /// A single emitter.
        Emitter = "emitter",
    }
}

/// Drip line or an emitter.
#[derive(Debug, Clone, PartialEq)]
pub struct DripProduct {
    /// Identity.
    pub id: String,
    /// Words for the takeoff.
    pub name: String,
    /// What it is.
    pub kind: DripKind,
    /// Flow of an emitter at the rated pressure. [m³/s]
    pub flow: f64,
    /// Pressure to which the flow refers. [Pa]
    pub rated_pressure: f64,
    /// Whether an emitter holds its flow over its range of pressures.
    pub compensating: bool,
    /// Lowest and highest working pressure. [Pa]
    pub range: (f64, f64),
    /// Coefficient of variation of the flow from making.
    pub variation: f64,
    /// Distance of emitters on the line; 0 for single ones. [m]
    pub spacing: f64,
    /// Inside diameter of the line; 0 for single ones. [m]
    pub inside: f64,
    /// Length of a roll. [m]
    pub roll: Option<f64>,
    /// Where the figures come from.
    pub source: String,
}

/// A pipe.
#[derive(Debug, Clone, PartialEq)]
pub struct PipeProduct {
    /// Identity.
    pub id: String,
    /// Words for the takeoff.
    pub name: String,
    /// Nominal size, as the drawing says it.
    pub size: String,
    /// Inside diameter. [m]
    pub inside: f64,
    /// Hazen and Williams' C.
    pub coefficient: f64,
    /// Price, which ranks one size against another. [money/m]
    pub price: f64,
    /// Whether it may stand under pressure all the time, as a main does.
    pub under_pressure: bool,
    /// Length of a stick or roll. [m]
    pub stick: Option<f64>,
    /// Where the figures come from.
    pub source: String,
}

words! {
    /// What a part of a water line is.
    PartKind, "part of a water line" {
        /// An automatic valve.
        Valve = "valve",
        /// An automatic valve with filter and pressure regulator, for drip.
        DripValve = "drip valve",
        /// A backflow preventer.
        Preventer = "backflow preventer",
        /// A meter.
        Meter = "meter",
    }
}

/// A part of a water line with its loss by flow.
#[derive(Debug, Clone, PartialEq)]
pub struct WaterPart {
    /// Identity.
    pub id: String,
    /// Words for the takeoff.
    pub name: String,
    /// What it is.
    pub kind: PartKind,
    /// Inside diameter of its ends. [m]
    pub inside: f64,
    /// Flow [m³/s] and pressure lost [Pa], both rising; the last flow is the most that is usual.
    pub curve: Vec<(f64, f64)>,
    /// Pressure behind its regulator, if it has one. [Pa]
    pub setting: Option<f64>,
    /// Where the figures come from.
    pub source: String,
}

/// A controller.
#[derive(Debug, Clone, PartialEq)]
pub struct ControllerProduct {
    /// Identity.
    pub id: String,
    /// Words for the takeoff.
    pub name: String,
    /// Zones that it can switch.
    pub stations: usize,
    /// Where the figures come from.
    pub source: String,
}

macro_rules! embedded_files {
    ($($name:literal),* $(,)?) => {
        /// Names and texts of the stock files that ship.
        pub const FILES: &[(&str, &str)] =
            &[$(($name, include_str!(concat!("../../../stock/", $name))),)*];
    };
}

embedded_files![
    "amendments.toml",
    "containers.toml",
    "edging.toml",
    "irrigation.toml",
    "lights.toml",
    "mulches.toml",
    "plants/annuals.toml",
    "plants/bulbs.toml",
    "plants/conifers.toml",
    "plants/ferns.toml",
    "plants/grasses.toml",
    "plants/groundcovers.toml",
    "plants/palms.toml",
    "plants/perennials.toml",
    "plants/shrubs.toml",
    "plants/trees.toml",
    "plants/vines.toml",
    "plants/weeds.toml",
    "sod.toml",
    "walls.toml",
];

/// The stock that ships. Files that do not read are left out; a test asserts that all read.
pub fn embedded() -> &'static Stock {
    static STOCK: OnceLock<Stock> = OnceLock::new();
    STOCK.get_or_init(|| {
        let mut stock = Stock::default();
        for (name, text) in FILES {
            if let Ok(more) = crate::read::stock::read_text(name, text) {
                stock.add(more);
            }
        }
        stock
    })
}
