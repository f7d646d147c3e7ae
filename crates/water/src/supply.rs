//! What comes out of the ground: static pressure, flow test, meter, service line, backflow preventer.
//!
//! - In: measurements at a tap and data of the parts. Out: the flow that may be used, the supply of a
//!   network, and which part sets the limit.
//! - A backflow preventer is what stands between a garden and the neighbours' drinking water; which
//!   kind is allowed, and who may fit and test it, the local plumbing code says.

use crate::fluid::Fluid;
use crate::hazen_williams::{FLOW_POWER, hazen_williams};
use crate::network::{Droop, Supply};
use crate::positive::{NotUsable, above_zero, not_below_zero, share_above_zero};
use crate::velocity::flow_at_velocity;

/// Share of a meter's safe flow that may be used for long: common practice, no source.
pub const METER_SHARE: f64 = 0.75;
/// Share of the static pressure that the meter may take: common practice, no source.
pub const METER_LOSS_SHARE: f64 = 0.10;

/// Flow out of a bucket and a watch. [m³/s]
///
/// # Errors
/// A volume [m³] or time [s] not above zero.
pub fn bucket_test(volume: f64, time: f64) -> Result<f64, NotUsable> {
    above_zero("the volume of the bucket", volume, "m³")?;
    above_zero("the time", time, "s")?;
    Ok(volume / time)
}

/// A pressure read while a flow runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlowTest {
    /// Flow. [m³/s]
    pub flow: f64,
    /// Pressure at the same place. [Pa]
    pub pressure: f64,
}

/// The supply of a network out of a static pressure and, if there is one, a flow test.
///
/// Without a test the head stands whatever flows: then keep flows well within the meter's.
///
/// # Arguments
/// - `static_pressure`: nothing flowing. [Pa] `elevation`: of the gauge over the datum. [m]
///
/// # Errors
/// Pressures not above zero, a test whose pressure is not below the static one.
///
/// # Source
/// The fall of pressure grows with Q^1.852, as in hydrant flow tests (Hazen and Williams).
pub fn supply_of_test(
    static_pressure: f64,
    elevation: f64,
    test: Option<FlowTest>,
    fluid: &Fluid,
) -> Result<Supply, NotUsable> {
    above_zero("the static pressure", static_pressure, "Pa")?;
    crate::positive::finite("the elevation of the gauge", elevation, "m")?;
    let head = elevation + fluid.head(static_pressure);
    let droop = match test {
        None => None,
        Some(test) => {
            above_zero("the flow of the test", test.flow, "m³/s")?;
            not_below_zero("the pressure of the test", test.pressure, "Pa")?;
            above_zero("static pressure less that of the test", static_pressure - test.pressure, "Pa")?;
            let fall = fluid.head(static_pressure - test.pressure);
            Some(Droop { coefficient: fall / test.flow.powf(FLOW_POWER), exponent: FLOW_POWER })
        }
    };
    Ok(Supply { head, droop })
}

/// Flow at which the pressure of a tested supply falls to a residual. [m³/s]
///
/// # Errors
/// Pressures out of order, a flow not above zero.
///
/// # Source
/// Q = Q_test ((p_static − p_residual)/(p_static − p_test))^0.54.
pub fn flow_at_residual(static_pressure: f64, test: FlowTest, residual: f64) -> Result<f64, NotUsable> {
    above_zero("the flow of the test", test.flow, "m³/s")?;
    above_zero("static pressure less that of the test", static_pressure - test.pressure, "Pa")?;
    not_below_zero("static pressure less the residual", static_pressure - residual, "Pa")?;
    not_below_zero("the residual pressure", residual, "Pa")?;
    let share = (static_pressure - residual) / (static_pressure - test.pressure);
    Ok(test.flow * share.powf(1.0 / FLOW_POWER))
}

/// A water meter.
#[derive(Debug, Clone, PartialEq)]
pub struct Meter {
    /// Greatest flow it measures safely. [m³/s]
    pub safe_flow: f64,
    /// Flow [m³/s] and head lost [m], rising; for the network a device with this curve.
    pub curve: Vec<(f64, f64)>,
}

/// The pipe from main to meter or house.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ServiceLine {
    /// Inside diameter. [m]
    pub diameter: f64,
    /// Length. [m]
    pub length: f64,
    /// Hazen and Williams' C.
    pub coefficient: f64,
    /// Greatest velocity. [m/s]
    pub velocity: f64,
}

/// What sets the limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LimitedBy {
    /// Three quarters of the meter's safe flow.
    Meter,
    /// The meter takes a tenth of the static pressure.
    MeterLoss,
    /// Velocity in the service line.
    ServiceLine,
    /// What the flow test shows at the residual pressure.
    FlowTest,
    /// Pump or tank.
    Source,
}

/// Flow that may be used.
#[derive(Debug, Clone, PartialEq)]
pub struct UsableFlow {
    /// The flow. [m³/s]
    pub flow: f64,
    /// What sets it.
    pub limited_by: LimitedBy,
    /// Every limit that was known. [m³/s]
    pub limits: Vec<(LimitedBy, f64)>,
    /// Loss of the service line at that flow. [m]
    pub service_loss: f64,
}

/// Known facts of a supply; what is not known does not limit.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SupplyFacts {
    /// Static pressure. [Pa]
    pub static_pressure: f64,
    /// Pressure that must be left. [Pa]
    pub residual: f64,
    /// The meter.
    pub meter: Option<Meter>,
    /// The service line.
    pub service: Option<ServiceLine>,
    /// A flow test.
    pub test: Option<FlowTest>,
    /// What a pump gives, or a tank may lose. [m³/s]
    pub source: Option<f64>,
}

/// The flow that may be used: the least of all limits that are known.
///
/// # Errors
/// Numbers that are none; nothing known at all.
///
/// # Source
/// The three rules of meter and service line are common practice, no source.
pub fn usable_flow(facts: &SupplyFacts, fluid: &Fluid) -> Result<UsableFlow, NotUsable> {
    above_zero("the static pressure", facts.static_pressure, "Pa")?;
    let mut limits = Vec::new();
    if let Some(meter) = &facts.meter {
        above_zero("the meter's safe flow", meter.safe_flow, "m³/s")?;
        limits.push((LimitedBy::Meter, meter.safe_flow * METER_SHARE));
        let most = fluid.head(facts.static_pressure) * METER_LOSS_SHARE;
        if let Some(flow) = flow_at_loss(&meter.curve, most)? {
            limits.push((LimitedBy::MeterLoss, flow));
        }
    }
    if let Some(line) = &facts.service {
        limits.push((LimitedBy::ServiceLine, flow_at_velocity(line.velocity, line.diameter)?));
    }
    if let Some(test) = facts.test {
        limits.push((LimitedBy::FlowTest, flow_at_residual(facts.static_pressure, test, facts.residual)?));
    }
    if let Some(flow) = facts.source {
        above_zero("what pump or tank gives", flow, "m³/s")?;
        limits.push((LimitedBy::Source, flow));
    }
    above_zero(
        "the count of known limits (meter, service line, flow test, source)",
        limits.len() as f64,
        "",
    )?;
    let (limited_by, flow) =
        limits.iter().copied().fold((LimitedBy::Source, f64::INFINITY), |a, b| if b.1 < a.1 { b } else { a });
    let service_loss = match &facts.service {
        Some(line) => hazen_williams(flow, line.diameter, line.length, line.coefficient)?,
        None => 0.0,
    };
    Ok(UsableFlow { flow, limited_by, limits, service_loss })
}

/// Flow at which a curve reaches a loss; none where it ends below.
fn flow_at_loss(curve: &[(f64, f64)], most: f64) -> Result<Option<f64>, NotUsable> {
    let mut before = (0.0, 0.0);
    for &(flow, loss) in curve {
        above_zero("the step to the next flow of the meter's curve", flow - before.0, "m³/s")?;
        not_below_zero("the step to the next loss of the meter's curve", loss - before.1, "m")?;
        if loss >= most && loss > before.1 {
            return Ok(Some(before.0 + (flow - before.0) * (most - before.1) / (loss - before.1)));
        }
        before = (flow, loss);
    }
    Ok(None)
}

/// Hours of the day that a tank of a volume can water without being filled. [s]
///
/// # Errors
/// Numbers not above zero, a share that is none.
pub fn tank_run_time(volume: f64, usable_share: f64, flow: f64) -> Result<f64, NotUsable> {
    above_zero("the volume of the tank", volume, "m³")?;
    share_above_zero("the usable share of the tank", usable_share)?;
    above_zero("the flow", flow, "m³/s")?;
    Ok(volume * usable_share / flow)
}
