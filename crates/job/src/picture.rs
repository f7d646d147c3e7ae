//! A yard made ready for a picture: its bodies, lamps, sun and sky, and where the eye stands.
//!
//! - In: the project and its placed yard, a view, a moment. Out: a scene, a camera, names of the layers.
//! - Layers: what comes from the sky, from the sun, from lit windows, then one for each zone of lights or
//!   for each light.
//! - Clear days by the sun's height; twilight and night as an even sky of little light, to which the
//!   glow of stars and town is added.
//! - Not here: following the light (`groundwright-picture`), how things look (`groundwright-scenery`).

use glam::{DVec3, Vec3A};
use groundwright_geometry::{Point, Vec2};
use groundwright_handoff::{Role, Solid, When};
use groundwright_light::{LampRun, housings, placed};
use groundwright_picture::{
    Camera, CameraFault, Colour, Heaven, Lamp, LampFault, Lens, Scene, SceneFault, Sky, SkyFault, Spread,
    Sun, WHITE, luminance, of_temperature,
};
use groundwright_plan::{Action, ElementRef, Kind, Project};
use groundwright_scenery::{Moment, Stage, StageFault, glb, set};
use groundwright_sun::{observer, time_zone};
use groundwright_yard::Yard;

/// What has a layer of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Apart {
    /// Each zone of lights.
    Zones,
    /// Each light.
    Lights,
}

/// The sky by day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weather {
    /// Clear.
    Clear,
    /// Overcast.
    Overcast,
}

/// Where the eye stands and what it looks at.
#[derive(Debug, Clone, PartialEq)]
pub struct View {
    /// The viewpoint that it belongs to.
    pub element: Option<ElementRef>,
    /// Where. [m]
    pub at: Point,
    /// Height of the eye above grade. [m]
    pub eye: f64,
    /// What it looks at. [m]
    pub looking: Point,
}

/// A picture that is wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct Shot {
    /// From where; from straight above without one.
    pub view: Option<View>,
    /// Month and day.
    pub date: (u8, u8),
    /// Time of the clock. [min after midnight]
    pub clock: u16,
    /// Age since planting. [a]
    pub years: f64,
    /// Angle across the width, straight lines kept. [rad]
    pub angle: f64,
    /// All round in a level strip instead.
    pub round: bool,
    /// Columns and rows of pixels.
    pub size: [u32; 2],
    /// What is kept apart.
    pub apart: Apart,
    /// The sky by day.
    pub weather: Weather,
    /// Luminance of lit windows; 0 for dark ones. [cd/m²]
    pub windows: f64,
    /// Light of stars, moon and town on level ground at night. [lx]
    pub night_glow: f64,
    /// The property as found, without the design.
    pub before: bool,
}

/// A picture ready to be rendered.
pub struct Ready {
    /// The scene.
    pub scene: Scene,
    /// The camera.
    pub camera: Camera,
    /// Names of the layers.
    pub layers: Vec<String>,
    /// Level of each layer as the design dims it, 0 to 1.
    pub levels: Vec<f32>,
    /// Colour that the eye takes for white.
    pub white: Colour,
    /// Height of the sun. [rad]
    pub sun: f64,
    /// Plants that stand in it, and models grown for them.
    pub plants: (usize, usize),
}

/// Why there is no picture.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ShotFault {
    /// The eye is inside something.
    #[error(
        "the eye at {view} stands inside {building}, and no way out of it leads towards what it looks at; move it, \
         or let it look another way"
    )]
    Inside {
        /// The viewpoint.
        view: String,
        /// The building.
        building: String,
    },
    /// There is no light at all.
    #[error(
        "nothing gives light: no lamp is placed, windows are dark and the night has no glow; add lights, or choose a time of day"
    )]
    Dark,
    /// No such date.
    #[error("{0}")]
    Date(String),
    /// A camera that is none.
    #[error("camera: {0}")]
    Camera(#[from] CameraFault),
    /// A lamp that is none.
    #[error("{0}: {1}")]
    Lamp(ElementRef, LampFault),
    /// A scene that is none.
    #[error(transparent)]
    Scene(#[from] SceneFault),
    /// A sky that is none.
    #[error(transparent)]
    Sky(#[from] SkyFault),
    /// A body that is none.
    #[error(transparent)]
    Stage(#[from] StageFault),
    /// A model that cannot be written.
    #[error("{0}")]
    Model(String),
}

const SKY: u16 = 0;
const SUN: u16 = 1;
const WINDOWS: u16 = 2;
const LAMPS: u16 = 3;
/// Turbidity of a clear garden sky.
const TURBIDITY: f64 = 2.6;
/// Level illuminance of an overcast sky over the sine of the sun's height, and at the horizon; from
/// memory, of the Illuminating Engineering Society. [lx]
const OVERCAST: (f64, f64) = (21_000.0, 300.0);

/// All viewpoints as views, the weightiest first.
pub fn views(project: &Project, yard: &Yard) -> Vec<View> {
    let plot = &yard.plot;
    let middle = plot.buildings.first().and_then(|area| area.whole.centroid()).unwrap_or(Point::ZERO);
    let mut all: Vec<(f64, View)> = plot
        .viewpoints
        .iter()
        .zip(&plot.looking)
        .filter_map(|(spot, looking)| {
            let given = project.property.viewpoints.iter().find(|view| view.id == spot.element.id)?;
            let view = View {
                element: Some(spot.element.clone()),
                at: spot.at,
                eye: given.eye.value,
                looking: looking.unwrap_or(middle),
            };
            Some((given.weight.value, view))
        })
        .collect();
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    all.into_iter().map(|(_, view)| view).collect()
}

/// A view where nobody gave one: from the south side of the property, across the front.
pub fn usual_view(yard: &Yard) -> View {
    let plot = &yard.plot;
    let areas = plot.boundary.iter().chain(&plot.buildings).chain(&plot.beds).chain(&plot.lawns);
    let over = areas.filter_map(|area| area.whole.bounds()).reduce(|a, b| a.union(b));
    let (at, looking) = over.map_or((Point::new(0.0, -10.0), Point::ZERO), |over| {
        (Point::new(over.center().x, over.y0 - 4.0), over.center())
    });
    View { element: None, at, eye: 1.6, looking }
}

/// Makes a picture ready.
///
/// # Errors
/// [`ShotFault`].
pub fn ready(project: &Project, yard: &Yard, shot: &Shot) -> Result<Ready, ShotFault> {
    let towards = sun_at(project, shot)?;
    let height = f64::from(towards.z).clamp(-1.0, 1.0).asin();
    let view = shot.view.as_ref().map(|view| outside(yard, view)).transpose()?;
    let camera = camera(yard, view.as_ref(), shot)?;
    let lit = luminance_of_windows(shot);

    let eye = Point::new(f64::from(camera.eye().x), f64::from(camera.eye().y));
    let windows = lit.map(|colour| (colour, WINDOWS));
    let moment = Moment { month: shot.date.0, day: shot.date.1, eye: Some(eye), detail: 1.0, windows };
    let (found, bare);
    let (project, shown) = if shot.before {
        (found, bare) = as_found(project, yard);
        (&found, &bare)
    } else {
        (project, yard)
    };
    let (mut stage, runs) = stage(project, shown, shot, &moment)?;
    stage.parts.heaven = heaven(towards, height, shot)?;
    let mut layers: Vec<String> = ["sky", "sun", "windows"].map(str::to_owned).to_vec();
    let mut levels = vec![1.0; layers.len()];
    if height < LAMPS_BELOW {
        for run in &runs {
            let (layer, name) = layer_of(project, run, shot.apart, &mut layers, &mut levels);
            stage
                .parts
                .lamps
                .push(lamp(run, layer, shot.apart).map_err(|fault| ShotFault::Lamp(element(run), fault))?);
            debug_assert_eq!(layers[usize::from(layer)], name, "a layer keeps its name");
        }
    }
    if height < 0.0 && stage.parts.lamps.is_empty() && lit.is_none() && shot.night_glow <= 0.0 {
        return Err(ShotFault::Dark);
    }
    let plants = (stage.plants, stage.models);
    let scene = Scene::new(stage.parts)?;
    layers.truncate(scene.layers());
    levels.truncate(scene.layers());
    let white = if height < LAMPS_BELOW && !runs.is_empty() { of_temperature(NIGHT_WHITE) } else { WHITE };
    Ok(Ready { scene, camera, layers, levels, white, sun: height, plants })
}

/// The yard at the shot's date and age as a model in glTF 2.0, with a sixth of a picture's leaves.
///
/// # Errors
/// [`ShotFault`].
pub fn model(project: &Project, yard: &Yard, shot: &Shot) -> Result<Vec<u8>, ShotFault> {
    const DETAIL: f32 = 0.16;
    let moment = Moment { month: shot.date.0, day: shot.date.1, eye: None, detail: DETAIL, windows: None };
    let (found, bare);
    let (project, shown) = if shot.before {
        (found, bare) = as_found(project, yard);
        (&found, &bare)
    } else {
        (project, yard)
    };
    let (stage, _) = stage(project, shown, shot, &moment)?;
    glb(&stage, &project.property.name).map_err(ShotFault::Model)
}

/// All that is seen, and the lamps that are to be put in it.
fn stage<'p>(
    project: &'p Project,
    yard: &Yard,
    shot: &Shot,
    moment: &Moment,
) -> Result<(Stage, Vec<LampRun<'p>>), ShotFault> {
    let age = if shot.before { 0.0 } else { shot.years };
    let when = When { month: shot.date.0, day: shot.date.1, ..When::years(age) };
    let runs = placed(project, yard);
    let mut solids = crate::graph::seen_solids(project, yard, when);
    solids.extend(housings(&runs, yard).into_iter().enumerate().map(|(i, (subject, body))| Solid {
        subject,
        ordinal: i as u32,
        role: Role::Stands,
        body,
        material: "fixture".to_owned(),
        transmittance: 0.0,
    }));
    Ok((set(project, yard, &solids, moment)?, runs))
}

/// Project and yard as they were found: all that grows there still does, nothing is designed.
fn as_found(project: &Project, yard: &Yard) -> (Project, Yard) {
    let mut found = Project { design: groundwright_plan::Design::default(), ..project.clone() };
    found.property.trees.iter_mut().for_each(|tree| tree.action = Action::Keep);
    found.property.shrubs.iter_mut().for_each(|shrub| shrub.action = Action::Keep);
    let plot = std::sync::Arc::new(yard.plot.existing());
    let bare = groundwright_yard::assemble(&found, plot, Vec::new(), std::sync::Arc::default());
    (found, bare)
}

/// The lamps are on when the sun stands lower than this. [rad]
const LAMPS_BELOW: f64 = -0.01;
/// The eye takes a colour between that of the lamps and of the sky for white. [K]
const NIGHT_WHITE: f64 = 3600.0;

fn luminance_of_windows(shot: &Shot) -> Option<Colour> {
    (shot.windows > 0.0).then(|| of_temperature(2900.0) * shot.windows as f32)
}

/// Towards the sun at the shot's time.
fn sun_at(project: &Project, shot: &Shot) -> Result<Vec3A, ShotFault> {
    /// The year whose sun is taken: any does, within a minute of arc.
    const YEAR: i16 = 2026;
    let (month, day) = shot.date;
    let date = jiff::civil::Date::new(YEAR, month.cast_signed(), day.cast_signed())
        .map_err(|_| ShotFault::Date(format!("there is no day {day} of month {month}")))?;
    let (hour, minute) = ((shot.clock / 60) as i8, (shot.clock % 60) as i8);
    let fault = |what: String| ShotFault::Date(what);
    let zone = time_zone(&project.property.place.time_zone.value).map_err(|e| fault(e.to_string()))?;
    let at = date
        .at(hour.min(23), minute, 0, 0)
        .to_zoned_datetime(zone)
        .map_err(|e| fault(format!("{hour}:{minute:02} does not exist on that day: {e}")))?;
    let sun = groundwright_sun::events::position_at(&observer(project), at.timestamp());
    let north = project.property.north.value;
    let towards = groundwright_sun::sky::direction(sun.apparent_zenith, sun.azimuth, north);
    Ok(DVec3::from_array(towards).as_vec3a())
}

fn heaven(towards: Vec3A, height: f64, shot: &Shot) -> Result<Heaven, ShotFault> {
    /// A clear sky is known down to this height of the sun. [rad]
    const LOW: f64 = 0.02;
    if height < LOW {
        let lux = Heaven::twilight(height.to_degrees().min(0.0)) + shot.night_glow;
        let colour = of_temperature(if height > -0.2 { 9_000.0 } else { 6_000.0 });
        return Ok(Heaven { sky: Some((Sky::even(lux, colour), SKY)), sun: None });
    }
    if shot.weather == Weather::Overcast {
        let lux = OVERCAST.1 + OVERCAST.0 * height.sin();
        return Ok(Heaven { sky: Some((Sky::overcast(lux), SKY)), sun: None });
    }
    Ok(Heaven {
        sky: Some((Sky::clear(towards, TURBIDITY)?, SKY)),
        sun: Some(Sun::clear(towards, TURBIDITY, SUN)?),
    })
}

fn element(run: &LampRun<'_>) -> ElementRef {
    ElementRef::new(Kind::Light, &run.light.id)
}

/// The layer of a lamp; made when it is asked for first.
fn layer_of(
    project: &Project,
    run: &LampRun<'_>,
    apart: Apart,
    layers: &mut Vec<String>,
    levels: &mut Vec<f32>,
) -> (u16, String) {
    let (name, level) = match apart {
        Apart::Zones => {
            let zone = &project.design.lighting.zones[run.zone];
            (format!("zone {}", zone.id), 1.0)
        }
        Apart::Lights => (format!("light {} {}", run.number, run.light.id), run.light.level as f32),
    };
    if let Some(at) = layers.iter().position(|layer| *layer == name) {
        return (at as u16, name);
    }
    layers.push(name.clone());
    levels.push(level);
    ((layers.len() - 1).max(usize::from(LAMPS)) as u16, name)
}

/// A lamp as the picture follows it: its intensities read off its fixture.
fn lamp(run: &LampRun<'_>, layer: u16, apart: Apart) -> Result<Lamp, LampFault> {
    /// Steps of the table off the axis and around it.
    const ROWS: usize = 361;
    const COLUMNS: usize = 24;
    let axis = run.fixture.axis();
    let (east, north) = axis.any_orthonormal_pair();
    // Layers of single lights are dimmed afterwards, zones hold their lights as they are dimmed.
    let scale = if apart == Apart::Lights { 1.0 } else { run.light.level.max(0.0) };
    let candela = |row: usize, column: usize| {
        let off = std::f64::consts::PI * row as f64 / (ROWS - 1) as f64;
        let about = std::f64::consts::TAU * column as f64 / COLUMNS as f64;
        let across = east * about.cos() + north * about.sin();
        run.fixture.full_candela(axis * off.cos() + across * off.sin())
    };
    let round = (0..ROWS).step_by(10).all(|row| {
        let first = candela(row, 0);
        (1..COLUMNS).all(|column| (candela(row, column) - first).abs() <= 1e-6 * first.abs().max(1.0))
    });
    let columns = if round { 1 } else { COLUMNS };
    let values = (0..ROWS).flat_map(|row| (0..columns).map(move |column| (row, column)));
    let table = values.map(|(row, column)| (candela(row, column) * scale) as f32).collect();
    let spread = Spread::Around { rows: ROWS, columns, candela: table };
    let at = DVec3::new(run.at.x, run.at.y, run.at.z);
    let colour = of_temperature(run.product.kelvin);
    debug_assert!((luminance(colour) - 1.0).abs() < 1e-3, "a lamp's colour has luminance 1");
    Ok(Lamp::new(at, axis, east, spread, colour, layer)?.housed(0.06))
}

/// The view from outside of what its eye stands in: a window or a door is looked out of.
fn outside(yard: &Yard, view: &View) -> Result<View, ShotFault> {
    /// Steps out, and how far at most. [m]
    const STEP: f64 = 0.1;
    const FAR: f64 = 8.0;
    let within = |at: Point| yard.plot.buildings.iter().find(|area| area.whole.contains(at));
    let Some(building) = within(view.at) else { return Ok(view.clone()) };
    let way = view.looking - view.at;
    let direction = if way.hypot() > 1e-6 { way / way.hypot() } else { Vec2::ZERO };
    let mut gone = 0.0;
    while gone < FAR.min(way.hypot()) {
        gone += STEP;
        let at = view.at + direction * gone;
        if within(at).is_none() {
            // A hand's breadth before the wall, so that its own frame is not in the way.
            return Ok(View { at: at + direction * 0.2, ..view.clone() });
        }
    }
    Err(ShotFault::Inside {
        view: view.element.as_ref().map_or("the place given".to_owned(), ToString::to_string),
        building: building.element.to_string(),
    })
}

fn camera(yard: &Yard, view: Option<&View>, shot: &Shot) -> Result<Camera, ShotFault> {
    /// Height that the eye rests on above what it looks at. [m]
    const REST: f64 = 1.1;
    let ground = |at: Point| yard.ground.proposed(at);
    let Some(view) = view else {
        // From above: all of the plot.
        let plot = &yard.plot;
        let areas = plot.boundary.iter().chain(&plot.buildings).chain(&plot.beds).chain(&plot.lawns);
        let over = areas.filter_map(|area| area.whole.bounds()).reduce(|a, b| a.union(b));
        let over =
            over.unwrap_or(groundwright_geometry::Rect::new(-10.0, -10.0, 10.0, 10.0)).inflate(2.0, 2.0);
        let middle = over.center();
        let foot = DVec3::new(middle.x, middle.y, ground(middle));
        let [w, h] = shot.size.map(f64::from);
        let width = over.width().max(over.height() * w / h);
        return Ok(Camera::new(foot + DVec3::Z * 100.0, foot, DVec3::Y, Lens::Plan(width), shot.size)?);
    };
    let at = DVec3::new(view.at.x, view.at.y, ground(view.at) + view.eye);
    let target = DVec3::new(view.looking.x, view.looking.y, ground(view.looking) + REST);
    let lens = if shot.round { Lens::Round(std::f64::consts::TAU) } else { Lens::Flat(shot.angle) };
    // An all-round strip is level.
    let target = if shot.round { DVec3::new(target.x, target.y, at.z) } else { target };
    Ok(Camera::new(at, target, DVec3::Z, lens, shot.size)?)
}
