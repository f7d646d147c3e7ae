//! Whether a wall with layers of geosynthetic reinforcement stands, outside and inside.
//!
//! - In: a section, its reinforced fill and its layers. Out: every number between them and the factors.
//! - Outside: units and the soil tied to them as one parallelogram at the batter; thrust of the held
//!   soil behind it at the smaller friction of both soils; sliding, overturning, bearing.
//! - Inside: each layer carries the pressure midway to its neighbours; the plane of failure begins at
//!   the back of the lowest unit; pullout beyond it, connection, tension, sliding along the layer,
//!   bulging between layers, tipping of what stands above the top layer.
//! - Live load drives and counts in bearing, but never holds. Where layers differ in length the
//!   shortest bounds the block.
//! - Not here: the inside in an earthquake, which is licensed practice; slip circles (`global.rs`).
//! - Method: tieback wedge, as of FHWA-NHI-10-024, from memory; check against the local manual.

use groundwright_units::constants::FOOT;

use crate::gravity::{Bearing, InQuake, on_ground};
use crate::mononobe_okabe;
use crate::positive::{NotUsable, above_zero, share, within};
use crate::pressure::{PressureError, Wedge};
use crate::section::{Section, Soil, Strength, Thrust, thrust};
use crate::verdict::{Check, Required, Verdict};

/// Least share of the whole height that a layer is long: 0.6, custom, from memory (0.7 in highway work,
/// Highway Engineering Handbook, chapter 8).
pub const LEAST_LENGTH_SHARE: f64 = 0.6;
/// Least length of a layer: 4 ft, custom, from memory. [m]
pub const LEAST_LENGTH: f64 = 4.0 * FOOT;
/// Least anchorage beyond the internal plane: 1 ft, custom, from memory. [m]
pub const LEAST_ANCHORAGE: f64 = FOOT;
/// Greatest spacing of layers: 24 in, and never over twice the depth of a unit; custom, from memory. [m]
pub const GREATEST_SPACING: f64 = 2.0 * FOOT;

/// A layer of reinforcement.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layer {
    /// Height above the base of the lowest course. [m]
    pub height: f64,
    /// Length from the face of the wall. [m]
    pub length: f64,
}

/// A geosynthetic and how it holds in this fill and between these units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grid {
    /// Ultimate tensile strength. [N/m]
    pub ultimate: f64,
    /// Reduction for creep, at least 1.
    pub creep: f64,
    /// Reduction for durability, at least 1.
    pub durability: f64,
    /// Reduction for damage when laid, at least 1.
    pub damage: f64,
    /// Factor on the long-term strength, at least 1.
    pub uncertainty: f64,
    /// Share of the fill's friction that a layer gives against sliding along it.
    pub sliding: f64,
    /// Share of the fill's friction that a layer gives against pullout.
    pub pullout: f64,
    /// Connection to the units.
    pub connection: Strength,
}

/// A reinforced wall.
#[derive(Debug, Clone, PartialEq)]
pub struct ReinforcedSection {
    /// Units, soils, loads. Its wall friction is not used.
    pub section: Section,
    /// The fill among the layers.
    pub fill: Soil,
    /// Friction of the fill on the units. [rad] Two thirds of the fill's, as a rule.
    pub on_units: f64,
    /// Friction between the reinforced block and the soil behind it. [rad] The smaller of both soils', as a rule.
    pub on_soil: f64,
    /// The geosynthetic.
    pub grid: Grid,
    /// Layers, the lowest first.
    pub layers: Vec<Layer>,
    /// Least anchorage beyond the internal plane. [m]
    pub least_anchorage: f64,
    /// Least length of a layer whatever the height. [m]
    pub least_length: f64,
    /// Greatest spacing of layers. [m]
    pub greatest_spacing: f64,
}

/// What a layer carries and holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LayerResult {
    /// Height above the base. [m]
    pub height: f64,
    /// Length from the face. [m]
    pub length: f64,
    /// Share of the height it carries, from here. [m]
    pub from: f64,
    /// To here. [m]
    pub to: f64,
    /// Depth of that share's middle under the top. [m]
    pub mid_depth: f64,
    /// Force. [N/m]
    pub force: f64,
    /// Factor on the allowable strength.
    pub tension: f64,
    /// Factor on the long-term strength.
    pub tension_long_term: f64,
    /// Where the internal plane crosses it, from the front of the base. [m]
    pub plane_at: f64,
    /// Where it ends, from the front of the base. [m]
    pub end_at: f64,
    /// Anchorage beyond the plane; below zero when it does not reach it. [m]
    pub anchorage: f64,
    /// Cover over the anchorage. [m]
    pub cover: f64,
    /// Pullout resistance. [N/m]
    pub pullout_resistance: f64,
    /// Factor against pullout.
    pub pullout: f64,
    /// Anchorage that just passes for pullout. [m]
    pub anchorage_needed: f64,
    /// Length from the face that passes for pullout and for the least anchorage. [m]
    pub length_needed: f64,
    /// Strength of the connection. [N/m]
    pub connection_strength: f64,
    /// Factor of the connection.
    pub connection: f64,
    /// Thrust that drives sliding along it. [N/m]
    pub sliding_driving: f64,
    /// What resists it. [N/m]
    pub sliding_resisting: f64,
    /// Factor against sliding along it.
    pub sliding: f64,
    /// Factor against shear between the units here.
    pub bulging: f64,
}

/// The units above the top layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crest {
    /// Height above the top layer. [m]
    pub height: f64,
    /// Weight. [N/m]
    pub weight: f64,
    /// Resisting moment. [N]
    pub resisting_moment: f64,
    /// Overturning moment. [N]
    pub overturning_moment: f64,
    /// Factor against tipping.
    pub tipping: f64,
    /// Factor against shear.
    pub shear: f64,
}

/// A reinforced wall with everything between the section and the verdicts.
#[derive(Debug, Clone, PartialEq)]
pub struct Reinforced {
    /// Whole height. [m]
    pub height: f64,
    /// Batter. [rad]
    pub batter: f64,
    /// Length of the block from the face. [m]
    pub length: f64,
    /// Of it, soil behind the units. [m]
    pub soil_length: f64,
    /// How much the slope adds to the height at the back of the block. [m]
    pub added_height: f64,
    /// Thrust behind the block.
    pub thrust: Thrust,
    /// Weight of the units, of the fill, of the slope on it. [N/m]
    pub weights: [f64; 3],
    /// Their arms. [m]
    pub arms: [f64; 3],
    /// Weight of block and slope. [N/m]
    pub weight: f64,
    /// Load that stays on the block. [N/m]
    pub dead: f64,
    /// All load on the block. [N/m]
    pub load_on_block: f64,
    /// Its arm. [m]
    pub load_arm: f64,
    /// Resisting moment. [N]
    pub resisting_moment: f64,
    /// Overturning moment. [N]
    pub overturning_moment: f64,
    /// Tangent of the weaker friction of fill and foundation.
    pub base_friction: f64,
    /// Resistance to sliding. [N/m]
    pub sliding_resistance: f64,
    /// Factor against sliding.
    pub sliding: f64,
    /// Factor against overturning.
    pub overturning: f64,
    /// Bearing with all load; `None` when the resultant leaves the base.
    pub bearing: Option<Bearing>,
    /// Bearing with the whole base when the resultant lies behind the middle: the less cautious reading.
    pub bearing_whole_base: Option<Bearing>,
    /// Coefficient within the fill.
    pub internal_coefficient: f64,
    /// Internal plane from the horizontal. [rad]
    pub plane: f64,
    /// Allowable strength of the geosynthetic. [N/m]
    pub allowable: f64,
    /// Layers, the lowest first.
    pub layers: Vec<LayerResult>,
    /// Greatest spacing, below the lowest and above the top layer included. [m]
    pub spacing: f64,
    /// What stands above the top layer.
    pub crest: Crest,
    /// The outside in an earthquake, the whole block's mass pushing along.
    pub quake: Option<InQuake>,
    /// Factors found against those required.
    pub verdicts: Vec<Verdict>,
}

impl Grid {
    /// Long-term strength. [N/m]
    pub fn long_term(&self) -> f64 {
        self.ultimate / (self.creep * self.durability * self.damage)
    }

    /// Allowable strength. [N/m]
    pub fn allowable(&self) -> f64 {
        self.long_term() / self.uncertainty
    }

    fn check(&self) -> Result<(), NotUsable> {
        above_zero("the strength of the geosynthetic", self.ultimate, "N/m")?;
        let factors = [
            ("the reduction for creep", self.creep),
            ("the reduction for durability", self.durability),
            ("the reduction for damage", self.damage),
            ("the factor on the long-term strength", self.uncertainty),
        ];
        for (what, value) in factors {
            within(what, value, "", value >= 1.0 && value.is_finite(), "a finite number, at least 1")?;
        }
        share("the coefficient of sliding along a layer", self.sliding)?;
        share("the coefficient of pullout", self.pullout)?;
        above_zero("the coefficient of pullout", self.pullout, "")?;
        self.connection.check("the connection")
    }
}

impl ReinforcedSection {
    /// Whether every number can be used.
    pub fn check(&self) -> Result<(), NotUsable> {
        self.section.check()?;
        self.fill.check_fill()?;
        self.grid.check()?;
        let count = self.layers.len();
        within("the count of layers", count as f64, "", (1..=60).contains(&count), "a count from 1 to 60")?;
        let (depth, total) = (self.section.facing.depth, self.section.facing.total());
        let mut below = -1.0;
        for layer in &self.layers {
            let good = layer.height >= 0.0 && layer.height < total && layer.height > below;
            within(
                "the height of a layer",
                layer.height,
                "m",
                good,
                "above the layer below and below the top",
            )?;
            let good = layer.length > depth && layer.length.is_finite();
            within(
                "the length of a layer",
                layer.length,
                "m",
                good,
                "a length beyond the back of the units",
            )?;
            below = layer.height;
        }
        crate::positive::not_below_zero("the least anchorage", self.least_anchorage, "m")?;
        crate::positive::not_below_zero("the least length", self.least_length, "m")?;
        above_zero("the greatest spacing", self.greatest_spacing, "m")
    }

    fn inner(&self, batter: f64) -> Wedge {
        let slope = self.section.slope;
        Wedge { friction: self.fill.friction, wall_friction: self.on_units, batter, slope }
    }

    fn outer(&self, batter: f64) -> Wedge {
        let Section { retained, slope, .. } = self.section;
        Wedge { friction: retained.friction, wall_friction: self.on_soil, batter, slope }
    }
}

/// Height that a slope adds at the back of a block. [m]
fn added_height(soil_length: f64, slope: f64, batter: f64) -> f64 {
    (soil_length * slope.tan() / (1.0 - batter.tan() * slope.tan())).max(0.0)
}

/// Works out a reinforced wall.
///
/// # Errors
/// A number that cannot be used, or a slope that does not stand by itself.
pub fn reinforced(wall: &ReinforcedSection, required: &Required) -> Result<Reinforced, PressureError> {
    wall.check()?;
    let section = &wall.section;
    let facing = &section.facing;
    let (height, batter) = (facing.total(), section.batter()?);
    let lean = batter.tan();
    let length = wall.layers.iter().map(|layer| layer.length).fold(f64::INFINITY, f64::min);
    let soil_length = length - facing.depth;
    let added = added_height(soil_length, section.slope, batter);
    let thrust =
        thrust(&wall.outer(batter), section.retained.unit_weight, section.load.whole(), height + added)?;
    let slope_width = soil_length + added * lean;
    let behind = facing.depth + height * lean;
    let weights = [
        facing.course_weight() * facing.courses as f64,
        soil_length * height * wall.fill.unit_weight,
        0.5 * soil_length * added * section.retained.unit_weight,
    ];
    let half = height * lean / 2.0;
    let on_slope = if added > 0.0 { behind + (2.0 * soil_length + added * lean) / 3.0 } else { 0.0 };
    let arms = [facing.depth / 2.0 + half, facing.depth + soil_length / 2.0 + half, on_slope];
    let weight: f64 = weights.iter().sum();
    let load_arm = behind + slope_width / 2.0;
    let dead = section.load.dead * slope_width;
    let load_on_block = section.load.whole() * slope_width;
    let own_moment: f64 = weights.iter().zip(arms).map(|(w, arm)| w * arm).sum();
    let resisting_moment = own_moment + dead * load_arm;
    let base_friction = wall.fill.friction.min(section.foundation.friction).tan();
    let sliding_resistance = (weight + dead) * base_friction;
    let down = weight + load_on_block;
    let net = own_moment + load_on_block * load_arm - thrust.moment;
    let overburden = section.embedment * section.foundation.unit_weight;
    let bearing = on_ground(section, length, down, net, overburden)?;
    let bearing_whole_base = match bearing {
        Some(b) if b.eccentricity < 0.0 => on_ground(section, length, down, down * length / 2.0, overburden)?,
        other => other,
    };
    let inner = wall.inner(batter);
    let inside = crate::coulomb::active(&inner)?;
    let plane = crate::coulomb::critical_plane(&inner)?;
    let mut result = Reinforced {
        height,
        batter,
        length,
        soil_length,
        added_height: added,
        thrust,
        weights,
        arms,
        weight,
        dead,
        load_on_block,
        load_arm,
        resisting_moment,
        overturning_moment: thrust.moment,
        base_friction,
        sliding_resistance,
        sliding: sliding_resistance / thrust.horizontal,
        overturning: resisting_moment / thrust.moment,
        bearing,
        bearing_whole_base,
        internal_coefficient: inside.coefficient,
        plane,
        allowable: wall.grid.allowable(),
        layers: Vec::new(),
        spacing: spacing(wall),
        crest: crest(wall, &inner, inside.horizontal),
        quake: None,
        verdicts: Vec::new(),
    };
    for index in 0..wall.layers.len() {
        result.layers.push(layer(wall, index, inside.horizontal, plane, required)?);
    }
    result.quake = in_quake(wall, &result)?;
    result.verdicts = verdicts(wall, &result, required);
    Ok(result)
}

fn spacing(wall: &ReinforcedSection) -> f64 {
    let total = wall.section.facing.total();
    let mut heights: Vec<f64> = vec![0.0];
    heights.extend(wall.layers.iter().map(|layer| layer.height));
    heights.push(total);
    heights.windows(2).map(|pair| pair[1] - pair[0]).fold(0.0, f64::max)
}

fn crest(wall: &ReinforcedSection, inner: &Wedge, horizontal: f64) -> Crest {
    let facing = &wall.section.facing;
    let top = wall.layers.last().map_or(0.0, |layer| layer.height);
    let height = facing.total() - top;
    let count = height / facing.height;
    let weight = count * facing.course_weight();
    let resisting_moment = weight * (facing.depth / 2.0 + facing.setback * (count - 1.0).max(0.0) / 2.0);
    let load = wall.section.load.whole() * inner.load_share();
    let soil = 0.5 * wall.fill.unit_weight * height * height * horizontal;
    let pushed = load * height * horizontal;
    let overturning_moment = soil * height / 3.0 + pushed * height / 2.0;
    Crest {
        height,
        weight,
        resisting_moment,
        overturning_moment,
        tipping: resisting_moment / overturning_moment,
        shear: facing.shear.under(weight) / (soil + pushed),
    }
}

fn layer(
    wall: &ReinforcedSection,
    index: usize,
    horizontal: f64,
    plane: f64,
    required: &Required,
) -> Result<LayerResult, PressureError> {
    let section = &wall.section;
    let facing = &section.facing;
    let (total, batter) = (facing.total(), section.batter()?);
    let lean = batter.tan();
    let Layer { height, length } = wall.layers[index];
    let middle = |other: Option<&Layer>, end: f64| other.map_or(end, |l| f64::midpoint(height, l.height));
    let from = middle(index.checked_sub(1).and_then(|i| wall.layers.get(i)), 0.0);
    let above = wall.layers.get(index + 1);
    let to = middle(above, total);
    let mid_depth = total - f64::midpoint(from, to);
    let load = section.load.whole() * wall.inner(batter).load_share();
    let gamma = wall.fill.unit_weight;
    let force = (gamma * mid_depth + load) * horizontal * (to - from);
    let (plane_at, end_at) = (facing.depth + height / plane.tan(), length + height * lean);
    let anchorage = end_at - plane_at;
    // Cover over the middle of the anchorage, on the slope above when it lies behind the crest.
    let behind = f64::midpoint(plane_at, end_at) - (facing.depth + total * lean);
    let cover = total - height + behind.max(0.0) * section.slope.tan().max(0.0);
    let per_length = 2.0 * wall.grid.pullout * wall.fill.friction.tan() * (gamma * cover + section.load.dead);
    let pullout_resistance = anchorage.max(0.0) * per_length;
    let anchorage_needed = force * required.layer / per_length;
    let on_top = (total - height) / facing.height * facing.course_weight();
    let connection_strength = wall.grid.connection.under(on_top);
    let soil_length = length - facing.depth;
    let depth = total - height;
    let back = thrust(
        &wall.outer(batter),
        section.retained.unit_weight,
        section.load.whole(),
        depth + added_height(soil_length, section.slope, batter),
    )?;
    let soil_on_top = soil_length * (depth * gamma + section.load.dead)
        + 0.5 * soil_length * added_height(soil_length, section.slope, batter) * section.retained.unit_weight;
    let shear = facing.shear.under(on_top);
    let sliding_resisting = soil_on_top * wall.fill.friction.tan() * wall.grid.sliding + shear;
    let bulge_depth = total - f64::midpoint(height, to);
    let bulge = (gamma * bulge_depth + load) * horizontal * (to - height);
    Ok(LayerResult {
        height,
        length,
        from,
        to,
        mid_depth,
        force,
        tension: wall.grid.allowable() / force,
        tension_long_term: wall.grid.long_term() / force,
        plane_at,
        end_at,
        anchorage,
        cover,
        pullout_resistance,
        pullout: pullout_resistance / force,
        anchorage_needed,
        length_needed: plane_at - height * lean + anchorage_needed.max(wall.least_anchorage),
        connection_strength,
        connection: connection_strength / force,
        sliding_driving: back.horizontal,
        sliding_resisting,
        sliding: sliding_resisting / back.horizontal,
        bulging: shear / bulge,
    })
}

fn in_quake(wall: &ReinforcedSection, result: &Reinforced) -> Result<Option<InQuake>, PressureError> {
    let Some(quake) = wall.section.quake else { return Ok(None) };
    let shaken = mononobe_okabe::active(&wall.outer(result.batter), &quake)?;
    let lifted = 1.0 - quake.vertical;
    let height = result.thrust.height;
    let whole =
        0.5 * wall.section.retained.unit_weight * height * height * shaken.pressure.horizontal * lifted;
    let added = (whole - result.thrust.soil_horizontal).max(0.0);
    let inertia = quake.horizontal * result.weight;
    let moment = result.overturning_moment + 0.6 * height * added + inertia * height / 2.0;
    Ok(Some(InQuake {
        angle: shaken.angle,
        coefficient: shaken.pressure.coefficient,
        added,
        inertia,
        sliding: result.sliding_resistance * lifted / (result.thrust.horizontal + added + inertia),
        overturning: result.resisting_moment * lifted / moment,
    }))
}

fn verdicts(wall: &ReinforcedSection, result: &Reinforced, required: &Required) -> Vec<Verdict> {
    let whole = |check, found, required| Verdict { check, place: None, found, required };
    let mut list = vec![
        whole(Check::Sliding, result.sliding, required.sliding),
        whole(Check::Overturning, result.overturning, required.overturning),
        whole(Check::Bearing, result.bearing.map_or(0.0, |b| b.factor), required.bearing),
    ];
    let least = wall.least_length.max(LEAST_LENGTH_SHARE * result.height);
    for (i, layer) in result.layers.iter().enumerate() {
        let mut at = |check, found, required| {
            list.push(Verdict { check, place: Some(i + 1), found, required });
        };
        // The allowable strength has the factor on the long-term strength in it already.
        at(Check::Tension, layer.tension_long_term, required.layer.max(wall.grid.uncertainty));
        at(Check::Pullout, layer.pullout, required.layer);
        at(Check::Anchorage, layer.anchorage, wall.least_anchorage);
        at(Check::Length, layer.length, least);
        at(Check::Connection, layer.connection, required.layer);
        at(Check::SlidingAlongLayer, layer.sliding, required.sliding);
        at(Check::Bulging, layer.bulging, required.facing);
    }
    list.push(whole(Check::Tipping, result.crest.tipping, required.facing));
    list.push(whole(Check::Shear, result.crest.shear, required.facing));
    let allowed = wall.greatest_spacing.min(2.0 * wall.section.facing.depth);
    list.push(whole(Check::Spacing, allowed / result.spacing, 1.0));
    if let Some(quake) = &result.quake {
        let share = required.quake_share;
        list.push(whole(Check::QuakeSliding, quake.sliding, required.sliding * share));
        list.push(whole(Check::QuakeOverturning, quake.overturning, required.overturning * share));
    }
    list
}
