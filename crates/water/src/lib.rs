//! Water: pipes and networks, heads and drip lines, soil water and run times.
//!
//! - In: plain numbers and shapes, SI. Out: plain results with every number on the way.
//! - One file for each method, named by the field's term; every method cites its source.
//! - A water supply may be harmed by what flows back, and a main under pressure by what is wrongly
//!   joined: local plumbing codes and licensed practice decide.
//! - The irrigation of a whole yard is put together in `study/`.
//! - Not here: hours of sun, climate, prices.

mod arc;
mod balance;
mod budget;
mod catch_grid;
mod controller;
mod cycle_soak;
mod darcy_weisbach;
mod drip_line;
mod drip_rows;
mod elimination;
mod fluid;
mod gradient;
mod hazen_williams;
mod heads;
mod hydrozones;
mod law;
mod minor_losses;
mod network;
mod nozzle;
mod positive;
mod route_grid;
mod routing;
mod run_time;
mod sizing;
mod soil_water;
mod solution;
mod study;
mod supply;
mod uniformity;
mod velocity;

pub use balance::Balance;
pub use budget::{
    Budget, BudgetZone, DRIP_EFFICIENCY, OTHER_2015, RESIDENTIAL_2015, RULE_2009, SPRAY_EFFICIENCY, Tier,
    allowance, budget, water_cost,
};
pub use catch_grid::{CatchGrid, Head, Wind, catch_grid};
pub use controller::{ControlledZone, ESTABLISHING, Month, MonthLine, controller_table, stagger};
pub use cycle_soak::{CycleSoak, cycle_soak, surface_allowance};
pub use darcy_weisbach::{PLASTIC_ROUGHNESS, Turbulent, darcy_weisbach, friction_factor};
pub use drip_line::{DripLine, LineState};
pub use drip_rows::{DripBlock, DripRows, RowRules, emitters_to_plant, ring_rows, straight_rows};
pub use fluid::{Fluid, GRAVITY, WATER};
pub use gradient::solve;
pub use hazen_williams::{FLOW_POWER, hazen_williams, many_outlets};
pub use heads::{HeadLayout, HeadRules, LayoutError, place_heads};
pub use hydrozones::{
    Common, Exposure, Hydrozone, Hydrozones, Method, WaterUse, WateredArea, ZoneFlag, hydrozones,
};
pub use minor_losses::{Fitting, coefficient_of_valve, minor_loss};
pub use network::{Droop, Emitter, Friction, Link, Network, NetworkError, Node, Part, PumpCurve, Supply};
pub use nozzle::{Jet, Nozzle, Profile};
pub use positive::NotUsable;
pub use routing::{Route, RouteError, RouteGround, RouteNode, route};
pub use run_time::{Need, drip_run_time, run_time};
pub use sizing::{PipeSize, Section, Sizing, SizingError, SizingLimits, choose_sizes};
pub use soil_water::{
    Day, DayEnd, Interval, RootZone, SoilBalance, interval, root_depth, soil_water, stress,
};
pub use solution::{Flag, LinkState, NodeState, Solution};
pub use study::{
    AreaRun, BoxRun, Drinker, Even, LAYERS, Layout, Main, Outlet, PipeProblem, Schedule, Source, Stretch,
    SunHours, WaterStudy, Year, ZonePlan, ZoneRun, study,
};
pub use supply::{
    FlowTest, LimitedBy, METER_LOSS_SHARE, METER_SHARE, Meter, ServiceLine, SupplyFacts, UsableFlow,
    bucket_test, flow_at_residual, supply_of_test, tank_run_time, usable_flow,
};
pub use uniformity::{
    Quarter, Uniformity, catch_can_rate, emission_uniformity, precipitation_rate, run_time_multiplier,
    uniformity,
};
pub use velocity::{USUAL_LIMIT, flow_at_velocity, velocity};
