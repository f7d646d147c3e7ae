//! This firm's rules and rates. Defaults ship; a project's `practice.toml` overrides any of them.

use groundwright_units::System;
use groundwright_units::constants::{FOOT, GALLON_PER_MINUTE, INCH, POUND, PSI};

use crate::read::{Measure, Node};

/// A rule's description, for the help and for the file that `start` writes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PracticeRule {
    /// Key in `practice.toml`.
    pub key: &'static str,
    /// What it means.
    pub meaning: &'static str,
    /// Default in SI.
    pub default: f64,
    /// What it measures.
    pub measure: Measure,
    /// Where the default comes from.
    pub source: &'static str,
}

macro_rules! practice {
    ($($(#[doc = $doc:literal])* $name:ident: $measure:ident = $default:expr, $low:expr, $high:expr, $source:literal;)*) => {
        /// Rules and rates of the firm. Lengths in metres, areas in m², volumes in m³, hours in h.
        #[derive(Debug, Clone, PartialEq)]
        pub struct Practice {
            /// The firm's name as printed on the sheets.
            pub firm: String,
            $($(#[doc = $doc])* pub $name: f64,)*
        }

        impl Default for Practice {
            fn default() -> Self {
                Self { firm: String::new(), $($name: $default,)* }
            }
        }

        impl Practice {
            /// Every rule with its default and source.
            pub const RULES: &'static [PracticeRule] = &[$(PracticeRule {
                key: stringify!($name),
                meaning: concat!($($doc),*),
                default: $default,
                measure: Measure::$measure,
                source: $source,
            },)*];

            /// Reads what the file gives; all else keeps its default.
            pub(crate) fn read(node: &Node<'_, '_>) -> Self {
                let usual = Self::default();
                Self { firm: node.text("firm").unwrap_or_default(), $($name: node
                    .quantity(stringify!($name), Measure::$measure, $low, $high)
                    .map_or(usual.$name, |given| given.value),)* }
            }
        }
    };
}

practice! {
    /// Settled depth of mulch on beds. [m]
    mulch_depth: Length = 0.0762, 0.0, 0.30, "2 to 3 in over backfill and ball: trade-magazine planting guide";
    /// Radius around each woody trunk kept free of mulch. [m]
    mulch_ring: Length = 0.0762, 0.0, 0.50, "kept off the trunk: trade-magazine planting guide; radius common practice, no source";
    /// Share by which loose mulch settles to its depth, where the product does not say.
    mulch_settlement: Ratio = 0.20, 0.0, 0.60, "15 to 30 % in the first year: from memory, confirm";
    /// Share of small plants (pots under 3 l, trays) ordered against losses.
    small_plant_loss: Ratio = 0.05, 0.0, 0.50, "common practice, no source";
    /// Share of larger plants ordered against losses.
    large_plant_loss: Ratio = 0.0, 0.0, 0.50, "common practice, no source";
    /// Share of edging ordered against cuts and laps.
    edging_waste: Ratio = 0.05, 0.0, 0.50, "common practice, no source";
    /// Share of sod ordered against cuts.
    sod_waste: Ratio = 0.05, 0.0, 0.50, "common practice, no source";
    /// Share by which a row's spacing may be adjusted so that both ends look finished.
    row_tolerance: Ratio = 0.10, 0.0, 0.50, "common practice, no source";
    /// Least clear distance of a plant's centre from paving. [m]
    paving_clearance: Length = 0.15, 0.0, 2.0, "common practice, no source";
    /// Least clear distance of a plant's centre from a building. [m]
    building_clearance: Length = 0.45, 0.0, 3.0, "common practice, no source";
    /// Least clear distance of a plant's centre from a kept trunk. [m]
    trunk_clearance: Length = 0.60, 0.0, 5.0, "common practice, no source";
    /// Width that the mower cuts. [m]
    mower_width: Length = 0.5334, 0.2, 3.0, "a 21 in walk-behind mower: common practice, no source";
    /// Least radius of a lawn edge that the mower follows in one pass. [m]
    mowing_radius: Length = 0.9, 0.0, 10.0, "common practice, no source";
    /// Isolated turf below this area is a scrap. [m²]
    turf_scrap: Area = 4.0, 0.0, 100.0, "common practice, no source";
    /// Radius of tree protection over trunk diameter at breast height; 12 is one foot to the inch.
    protection_ratio: Number = 12.0, 6.0, 24.0, "1.0 to 1.5 ft per inch occur in municipal and extension rules";
    /// Least radius of tree protection. [m]
    protection_minimum: Length = 1.8288, 0.0, 10.0, "a 6 ft minimum occurs in municipal rules";
    /// Width of a planting hole over the width of the ball or pot.
    hole_width: Number = 2.0, 1.0, 4.0, "two to three times the ball's widest diameter: trade-magazine planting guide";
    /// Share of amendment in the backfill; 0 puts back the soil taken from the hole.
    backfill_amendment: Ratio = 0.0, 0.0, 0.20, "soil taken from the hole, any amendment at most 20 %: extension guides";
    /// Root ball dug with a shrub, over its spread.
    dug_ball: Ratio = 0.4, 0.1, 1.0, "common practice, no source";
    /// Least hours of direct sun a day in the growing season that count as full sun. [h]
    full_sun: Number = 6.0, 1.0, 16.0, "full sun from 6 h: horticultural extension pages";
    /// Least hours of direct sun a day in the growing season that count as part sun; below is shade. [h]
    part_sun: Number = 3.0, 0.5, 10.0, "pages put full shade below 3 h or below 4 h";
    /// Depth of turf stripped. [m]
    strip_depth: Length = 0.0508, 0.01, 0.3, "common practice, no source";
    /// Share by which dug soil and sod swell when loaded.
    swell: Ratio = 0.25, 0.0, 1.0, "common earth swells 20 to 30 %: published conversion tables";
    /// Share by which soil shrinks from where it lay to where it is compacted.
    shrinkage: Ratio = 0.10, -0.5, 0.9, "common earth shrinks 10 to 20 %: published conversion tables, recalled";
    /// Share of the cut that can serve as fill: not roots, sod and rubble.
    usable_cut: Ratio = 0.80, 0.0, 1.0, "common practice, no source";
    /// Hours to grade a cubic metre cut or filled, by small machine and rake. [h/m³]
    grade_hours: Number = 0.5, 0.001, 40.0, "common practice, no source";
    /// Hours to trench, bed, lay and fill a metre of drain. [h/m]
    drain_hours: Number = 0.7, 0.001, 40.0, "common practice, no source";
    /// Volume of one load hauled. [m³]
    load: Volume = 7.6455, 0.5, 40.0, "a truck of 10 cu yd: common practice, no source";
    /// Loose volume of cut brush over the volume of the growth as it stood.
    brush_bulk: Ratio = 0.25, 0.01, 1.0, "common practice, no source";
    /// Hours to clear one shrub of medium size with its root. [h]
    clear_shrub_hours: Number = 0.8, 0.01, 40.0, "common practice, no source";
    /// Hours to clear a square metre of bramble or brush of one metre height. [h/m²]
    clear_brush_hours: Number = 0.08, 0.001, 10.0, "common practice, no source";
    /// Hours to strip a square metre of turf. [h/m²]
    strip_hours: Number = 0.03, 0.001, 10.0, "common practice, no source";
    /// Hours to plant a pot of one litre; a pot of v litres takes v to the power 0.6 times as long. [h]
    plant_hours: Number = 0.06, 0.001, 10.0, "common practice, no source";
    /// Hours to dig and reset a transplant of one metre spread. [h]
    transplant_hours: Number = 0.9, 0.01, 40.0, "common practice, no source";
    /// Hours to spread a cubic metre of mulch or amendment. [h/m³]
    spread_hours: Number = 1.1, 0.01, 40.0, "common practice, no source";
    /// Hours to set a metre of edging. [h/m]
    edging_hours: Number = 0.12, 0.001, 10.0, "common practice, no source";
    /// Thickness of the compacted pad under a wall. [m]
    wall_pad: Length = 0.1524, 0.05, 0.6, "6 in: public installation notes of makers of units";
    /// How far the pad reaches beyond the units, before and behind. [m]
    wall_pad_beyond: Length = 0.1524, 0.0, 0.6, "6 in: public installation notes of makers of units";
    /// Width of the drainage stone behind a wall. [m]
    wall_drain_stone: Length = 0.3048, 0.1, 1.0, "12 in: public installation notes of makers of units";
    /// Share of wall units and caps ordered against breakage and cuts.
    wall_unit_waste: Ratio = 0.03, 0.0, 0.30, "common practice, no source";
    /// Share by which loose graded stone shrinks when compacted.
    stone_compaction: Ratio = 0.15, 0.0, 0.40, "common practice, no source";
    /// Share of pavers ordered against cuts and breakage.
    paving_waste: Ratio = 0.08, 0.0, 0.40, "5 to 10 %: common practice, no source";
    /// Hours to lay a square metre of wall face, base course and caps included. [h/m²]
    wall_hours: Number = 2.5, 0.05, 40.0, "common practice, no source";
    /// Hours to dig, or to bring and compact, a cubic metre about a wall. [h/m³]
    wall_dig_hours: Number = 1.2, 0.05, 40.0, "common practice, no source";
    /// Hours to set a metre of step with its base. [h/m]
    step_hours: Number = 1.5, 0.05, 40.0, "common practice, no source";
    /// Hours to lay a square metre of paving with base and bedding. [h/m²]
    paving_hours: Number = 1.3, 0.05, 40.0, "common practice, no source";
    /// Cover of the cable of garden lights. [m]
    light_cable_depth: Length = 0.1524, 0.0, 1.0, "6 in: NFPA 70 table 300.5 for such circuits, read at second hand; local codes differ";
    /// Hours to trench, lay and fill a metre of that cable. [h/m]
    light_cable_hours: Number = 0.12, 0.001, 10.0, "common practice, no source";
    /// Hours to set, connect and aim a light. [h]
    light_hours: Number = 0.6, 0.01, 20.0, "common practice, no source";
    /// Mean horizontal illuminance wanted on a walk that is lit. [lx]
    light_walk: Number = 3.0, 0.1, 200.0, "common practice, no source";
    /// Vertical illuminance allowed at the property line. [lx]
    light_trespass: Number = 1.0, 0.0, 50.0, "CIE 150 after curfew, zone E2, from memory; local codes differ";
    /// Intensity of a lamp allowed towards an eye at a viewpoint. [cd]
    light_glare: Number = 250.0, 1.0, 10000.0, "common practice, no source";
    /// Price of energy, for what lights cost in a year. [money/kWh]
    energy_price: Number = 0.16, 0.0, 10.0, "assumed; the bill says";
    /// Pressure of the water main where nobody read a gauge. [Pa]
    water_static: Pressure = 310_264.0, 5e4, 1e6, "45 psi, low for a town main: common practice, no source";
    /// Flow at the hose bib where nobody held a bucket. [m³/s]
    water_flow: Flow = 3.785_411_8e-4, 1e-5, 0.01, "6 gpm, low for a house: common practice, no source";
    /// Pressure that must be left at the point where irrigation joins. [Pa]
    water_residual: Pressure = 206_843.0, 5e4, 1e6, "30 psi for heads behind it: common practice, no source";
    /// Greatest velocity in pipe. [m/s]
    water_velocity: Number = 1.524, 0.3, 5.0, "5 ft/s in plastic pipe: common design rule";
    /// Least low-quarter distribution uniformity of heads.
    water_uniformity: Ratio = 0.60, 0.1, 0.95, "common practice, no source; audits call less than half poor";
    /// Share of what heads throw that may miss its area.
    water_missed: Ratio = 0.10, 0.0, 0.9, "common practice, no source; local ordinances forbid water on walks";
    /// Cover of a main under pressure. [m]
    water_main_depth: Length = 0.4572, 0.1, 2.0, "18 in: common practice, no source; local codes and frost decide";
    /// Cover of laterals. [m]
    water_lateral_depth: Length = 0.3048, 0.05, 2.0, "12 in: common practice, no source; local codes and frost decide";
    /// Distance of rows of drip line. [m]
    water_drip_rows: Length = 0.4572, 0.1, 2.0, "18 in in loam, nearer in sand, wider in clay: common practice, no source";
    /// Hours to trench, lay and fill a metre of pipe. [h/m]
    water_pipe_hours: Number = 0.2, 0.001, 10.0, "common practice, no source";
    /// Hours to set a head and its nozzle. [h]
    water_head_hours: Number = 0.35, 0.01, 10.0, "common practice, no source";
    /// Hours to lay and pin a metre of drip line. [h/m]
    water_drip_hours: Number = 0.03, 0.001, 10.0, "common practice, no source";
    /// Hours to set a valve and wire it. [h]
    water_valve_hours: Number = 1.2, 0.01, 20.0, "common practice, no source";
    /// Price of water. [money/m³]
    water_price: Number = 1.2, 0.0, 100.0, "assumed; the bill says";
    /// Hours to lay a square metre of sod. [h/m²]
    sod_hours: Number = 0.05, 0.001, 10.0, "common practice, no source";
}

impl PracticeRule {
    /// The default as it could be written in the file, in the units of its reader.
    pub fn example(&self, system: System) -> String {
        let value = self.default;
        if system == System::Us {
            let rounded = |value: f64| (value * 100.0).round() / 100.0;
            match self.measure {
                Measure::Length if value < 0.9 => return format!("\"{} in\"", rounded(value / INCH)),
                Measure::Length => return format!("\"{} ft\"", rounded(value / FOOT)),
                Measure::Area => return format!("\"{} sq ft\"", rounded(value / (FOOT * FOOT))),
                Measure::Volume => return format!("\"{} cu yd\"", rounded(value / (3.0 * FOOT).powi(3))),
                Measure::Mass => return format!("\"{} lb\"", rounded(value / POUND)),
                Measure::Pressure => return format!("\"{} psi\"", rounded(value / PSI)),
                Measure::Flow => return format!("\"{} gpm\"", rounded(value / GALLON_PER_MINUTE)),
                Measure::Angle
                | Measure::Ratio
                | Measure::Slope
                | Measure::Pitch
                | Measure::Temperature
                | Measure::Number => {}
            }
        }
        match self.measure {
            Measure::Length => format!("\"{} mm\"", (value * 1000.0).round()),
            Measure::Area => format!("\"{value} m²\""),
            Measure::Volume => format!("\"{value} m³\""),
            Measure::Mass => format!("\"{value} kg\""),
            Measure::Angle => format!("\"{} deg\"", value.to_degrees()),
            Measure::Ratio | Measure::Slope | Measure::Pitch => {
                format!("\"{} %\"", (value * 1000.0).round() / 10.0)
            }
            Measure::Pressure => format!("\"{} kPa\"", (value / 1000.0).round()),
            Measure::Flow => format!("\"{:.1} l/min\"", value * 60_000.0),
            Measure::Temperature => format!("\"{} °C\"", (value - 273.15).round()),
            Measure::Number => format!("{value}"),
        }
    }
}
