//! Whether a dry-stacked wall stands by its own weight.
//!
//! - In: a section. Out: every number between it and the factors of safety, and the verdicts.
//! - Method: weight and lever arm of the stack, thrust by Coulomb, sliding on the weaker of pad and
//!   foundation, bearing on the effective width (Meyerhof 1953), shear and tipping at every joint.
//! - Cautious habits, stated: the downward part of the thrust is left out (the other convention is
//!   given beside it), nothing is counted of the soil in front, eccentricity counts by size.
//! - In an earthquake the added thrust acts at 0.6 of the height and the wall's own mass pushes along.
//! - Not here: slip circles (`global.rs`), layers of reinforcement (`reinforced.rs`).

use crate::bearing::{Factors, factors, ultimate};
use crate::mononobe_okabe;
use crate::pressure::PressureError;
use crate::section::{Section, Thrust, thrust};
use crate::verdict::{Check, Required, Verdict};

/// Share of the height at which the thrust that an earthquake adds acts.
///
/// # Source
/// Seed and Whitman 1970, from memory.
const QUAKE_ARM: f64 = 0.6;

/// Factors with the downward part of the thrust counted, acting on the back of the stack.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WithVertical {
    /// Sliding.
    pub sliding: f64,
    /// Arm of the soil's downward part. [m]
    pub soil_arm: f64,
    /// Arm of the load's downward part. [m]
    pub load_arm: f64,
    /// Overturning.
    pub overturning: f64,
}

/// Pressure on the ground and what it bears.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bearing {
    /// Distance of the resultant from the front. [m]
    pub resultant: f64,
    /// Eccentricity; below zero behind the middle. [m]
    pub eccentricity: f64,
    /// A sixth of the width: beyond it the back lifts, were the ground to take tension. [m]
    pub kern: f64,
    /// Effective width, B − 2|e|. [m]
    pub width: f64,
    /// Pressure applied. [Pa]
    pub applied: f64,
    /// Pressure of the ground beside. [Pa]
    pub overburden: f64,
    /// Factors of bearing capacity.
    pub factors: Factors,
    /// Ultimate pressure. [Pa]
    pub ultimate: f64,
    /// Factor of safety.
    pub factor: f64,
}

/// Pressure under the pad, the load spread 2 down to 1 out through it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnderPad {
    /// Effective width. [m]
    pub width: f64,
    /// Weight of the pad. [N/m]
    pub pad_weight: f64,
    /// Pressure applied. [Pa]
    pub applied: f64,
    /// Pressure of the ground beside. [Pa]
    pub overburden: f64,
    /// Ultimate pressure. [Pa]
    pub ultimate: f64,
    /// Factor of safety.
    pub factor: f64,
}

/// A joint between courses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joint {
    /// Courses above it.
    pub courses_above: usize,
    /// Depth under the top. [m]
    pub depth: f64,
    /// Weight above. [N/m]
    pub weight: f64,
    /// Thrust above, across. [N/m]
    pub driving: f64,
    /// Shear capacity. [N/m]
    pub capacity: f64,
    /// Factor against shear.
    pub shear: f64,
    /// Factor against tipping.
    pub tipping: f64,
}

/// The wall in an earthquake.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InQuake {
    /// Seismic angle. [rad]
    pub angle: f64,
    /// Coefficient, static part included.
    pub coefficient: f64,
    /// Thrust added to the static one, across. [N/m]
    pub added: f64,
    /// Push of the wall's own mass. [N/m]
    pub inertia: f64,
    /// Factor against sliding.
    pub sliding: f64,
    /// Factor against overturning.
    pub overturning: f64,
}

/// A gravity wall with everything between the section and the verdicts.
#[derive(Debug, Clone, PartialEq)]
pub struct Gravity {
    /// Whole height. [m]
    pub height: f64,
    /// Batter. [rad]
    pub batter: f64,
    /// Thrust on the back.
    pub thrust: Thrust,
    /// Weight of a course. [N/m]
    pub course_weight: f64,
    /// Weight of the stack. [N/m]
    pub weight: f64,
    /// Its lever arm from the front of the lowest course, the mean of the courses. [m]
    pub arm: f64,
    /// The shortcut of a sheared column, half a setback more; for comparison only. [m]
    pub arm_continuous: f64,
    /// Resisting moment. [N]
    pub resisting_moment: f64,
    /// Overturning moment. [N]
    pub overturning_moment: f64,
    /// Tangent of the weaker of the frictions of pad and foundation.
    pub base_friction: f64,
    /// Resistance to sliding. [N/m]
    pub sliding_resistance: f64,
    /// Factor against sliding.
    pub sliding: f64,
    /// Factor against overturning.
    pub overturning: f64,
    /// The same with the downward part of the thrust.
    pub with_vertical: WithVertical,
    /// Bearing under the units; `None` when the resultant leaves the base: the wall overturns.
    pub bearing: Option<Bearing>,
    /// Bearing under the pad; `None` likewise.
    pub under_pad: Option<UnderPad>,
    /// Joints, the lowest first.
    pub joints: Vec<Joint>,
    /// The earthquake, when the section has one.
    pub quake: Option<InQuake>,
    /// Factors found against those required.
    pub verdicts: Vec<Verdict>,
}

/// Works out a gravity wall.
///
/// # Errors
/// A number that cannot be used, or a slope that does not stand by itself.
pub fn gravity(section: &Section, required: &Required) -> Result<Gravity, PressureError> {
    section.check()?;
    let facing = &section.facing;
    let wedge = section.wedge()?;
    let height = facing.total();
    let thrust = thrust(&wedge, section.retained.unit_weight, section.load.whole(), height)?;
    let weight = facing.course_weight() * facing.courses as f64;
    let arm = facing.arm(facing.courses);
    let (resisting_moment, overturning_moment) = (weight * arm, thrust.moment);
    let base_friction = section.pad.friction.min(section.foundation.friction).tan();
    let sliding_resistance = weight * base_friction;
    let bearing = bearing(section, weight, resisting_moment - overturning_moment)?;
    let under_pad = match &bearing {
        Some(bearing) => Some(under_pad(section, weight, bearing)?),
        None => None,
    };
    let mut wall = Gravity {
        height,
        batter: wedge.batter,
        thrust,
        course_weight: facing.course_weight(),
        weight,
        arm,
        arm_continuous: facing.depth / 2.0 + height * wedge.batter.tan() / 2.0,
        resisting_moment,
        overturning_moment,
        base_friction,
        sliding_resistance,
        sliding: sliding_resistance / thrust.horizontal,
        overturning: resisting_moment / overturning_moment,
        with_vertical: with_vertical(section, &thrust, weight, resisting_moment, base_friction),
        bearing,
        under_pad,
        joints: joints(section, &thrust),
        quake: None,
        verdicts: Vec::new(),
    };
    wall.quake = in_quake(section, &wall)?;
    wall.verdicts = verdicts(&wall, required);
    Ok(wall)
}

fn with_vertical(
    section: &Section,
    thrust: &Thrust,
    weight: f64,
    moment: f64,
    friction: f64,
) -> WithVertical {
    let lean = section.facing.setback / section.facing.height;
    let soil_arm = section.facing.depth + thrust.height / 3.0 * lean;
    let load_arm = section.facing.depth + thrust.height / 2.0 * lean;
    let down = thrust.soil_vertical + thrust.load_vertical;
    let held = moment + thrust.soil_vertical * soil_arm + thrust.load_vertical * load_arm;
    WithVertical {
        sliding: (weight + down) * friction / thrust.horizontal,
        soil_arm,
        load_arm,
        overturning: held / thrust.moment,
    }
}

fn bearing(section: &Section, weight: f64, moment: f64) -> Result<Option<Bearing>, PressureError> {
    let overburden = section.embedment * section.foundation.unit_weight;
    Ok(on_ground(section, section.facing.depth, weight, moment, overburden)?)
}

/// Bearing of a base of some width under a weight and its moment about the front.
pub(crate) fn on_ground(
    section: &Section,
    base: f64,
    weight: f64,
    moment: f64,
    overburden: f64,
) -> Result<Option<Bearing>, crate::positive::NotUsable> {
    let resultant = moment / weight;
    let eccentricity = base / 2.0 - resultant;
    let width = base - 2.0 * eccentricity.abs();
    if width <= 0.0 {
        return Ok(None);
    }
    let factors = factors(section.foundation.friction)?;
    let soil = &section.foundation;
    let ultimate = ultimate(&factors, soil.cohesion, soil.unit_weight, overburden, width)?;
    let applied = weight / width;
    let kern = base / 6.0;
    let factor = ultimate / applied;
    Ok(Some(Bearing { resultant, eccentricity, kern, width, applied, overburden, factors, ultimate, factor }))
}

fn under_pad(section: &Section, weight: f64, bearing: &Bearing) -> Result<UnderPad, PressureError> {
    let pad = &section.pad;
    let soil = &section.foundation;
    let width = bearing.width + pad.thickness;
    let applied = weight / width + pad.thickness * pad.unit_weight;
    let overburden = (section.embedment + pad.thickness) * soil.unit_weight;
    let ultimate = ultimate(&bearing.factors, soil.cohesion, soil.unit_weight, overburden, width)?;
    let pad_weight = pad.thickness * pad.unit_weight * (section.facing.depth + 2.0 * pad.beyond);
    Ok(UnderPad { width, pad_weight, applied, overburden, ultimate, factor: ultimate / applied })
}

fn joints(section: &Section, thrust: &Thrust) -> Vec<Joint> {
    let facing = &section.facing;
    (1..facing.courses)
        .rev()
        .map(|courses_above| {
            let depth = courses_above as f64 * facing.height;
            let share = depth / thrust.height;
            let soil = thrust.soil_horizontal * share * share;
            let load = thrust.load_horizontal * share;
            let weight = facing.course_weight() * courses_above as f64;
            let capacity = facing.shear.under(weight);
            Joint {
                courses_above,
                depth,
                weight,
                driving: soil + load,
                capacity,
                shear: capacity / (soil + load),
                tipping: weight * facing.arm(courses_above) / (soil * depth / 3.0 + load * depth / 2.0),
            }
        })
        .collect()
}

fn in_quake(section: &Section, wall: &Gravity) -> Result<Option<InQuake>, PressureError> {
    let Some(quake) = section.quake else { return Ok(None) };
    let shaken = mononobe_okabe::active(&section.wedge()?, &quake)?;
    let lifted = 1.0 - quake.vertical;
    let whole =
        0.5 * section.retained.unit_weight * wall.height.powi(2) * shaken.pressure.horizontal * lifted;
    let added = (whole - wall.thrust.soil_horizontal).max(0.0);
    let inertia = quake.horizontal * wall.weight;
    let moment = wall.overturning_moment + added * QUAKE_ARM * wall.height + inertia * wall.height / 2.0;
    Ok(Some(InQuake {
        angle: shaken.angle,
        coefficient: shaken.pressure.coefficient,
        added,
        inertia,
        sliding: wall.sliding_resistance * lifted / (wall.thrust.horizontal + added + inertia),
        overturning: wall.resisting_moment * lifted / moment,
    }))
}

fn verdicts(wall: &Gravity, required: &Required) -> Vec<Verdict> {
    let whole = |check, found, required| Verdict { check, place: None, found, required };
    let mut list = vec![
        whole(Check::Sliding, wall.sliding, required.sliding),
        whole(Check::Overturning, wall.overturning, required.overturning),
        whole(Check::Bearing, wall.bearing.map_or(0.0, |b| b.factor), required.bearing),
        whole(Check::BearingUnderPad, wall.under_pad.map_or(0.0, |b| b.factor), required.bearing),
    ];
    for joint in &wall.joints {
        let at = |check, found| Verdict {
            check,
            place: Some(joint.courses_above),
            found,
            required: required.facing,
        };
        list.push(at(Check::Shear, joint.shear));
        list.push(at(Check::Tipping, joint.tipping));
    }
    if let Some(quake) = &wall.quake {
        let share = required.quake_share;
        list.push(whole(Check::QuakeSliding, quake.sliding, required.sliding * share));
        list.push(whole(Check::QuakeOverturning, quake.overturning, required.overturning * share));
    }
    list
}
