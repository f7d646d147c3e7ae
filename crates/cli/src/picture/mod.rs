//! `groundwright picture`: the yard as it will look.

mod board;
mod files;

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use clap::ValueEnum;
use groundwright_geometry::Point;
use groundwright_job::{Apart, Digest, Ready, Shot, View, Weather, model, ready, usual_view, views};
use groundwright_picture::{Bounces, Film, Pass, Picture, Tone, luminance, render, smoothed};
use groundwright_plan::Loaded;
use groundwright_units::{LengthUnit, parse_length};
use indicatif::{ProgressBar, ProgressStyle};
use serde_json::{Value, json};

use crate::check::study;
use crate::{Format, ProjectArguments};

/// The yard as it will look: by day, by night, in ten years.
///
/// Follows the light of sun, sky and every fixture through the model of the yard. Writes a PNG for
/// the eye and an EXR in linear light (cd/m²) with a layer for the sky, the sun, lit windows and each
/// zone of lights: the layers of a picture add up, so zones can be switched and dimmed afterwards.
/// Lists of years, dates or times make a series. A picture that is stopped goes on where it was when
/// it is asked for again. Forms of plants and materials are to be recognised, not measured; what a
/// plant will be in years is a usual size, give or take a quarter.
#[derive(clap::Args)]
#[command(
    verbatim_doc_comment,
    after_help = "Examples:\n  groundwright picture demo/corner-lot\n  \
                  groundwright picture demo/corner-lot --from vp-patio --time 21:45 --windows 20\n  \
                  groundwright picture demo/corner-lot --years 0,3,10 --to pictures\n  \
                  groundwright picture demo/corner-lot --above --time 22:00 --per lights"
)]
#[expect(clippy::struct_excessive_bools, reason = "each is a switch of the command line")]
pub(crate) struct Arguments {
    #[command(flatten)]
    project: ProjectArguments,
    /// Viewpoint of the property; the weightiest if not given.
    #[arg(long, value_name = "ID", conflicts_with = "above")]
    from: Option<String>,
    /// From a place of the plan instead: x and y, in the property's unit or with units.
    #[arg(long, value_name = "X,Y", conflicts_with_all = ["above", "from"], requires = "towards")]
    at: Option<String>,
    /// Towards another place.
    #[arg(long, value_name = "X,Y", requires = "at")]
    towards: Option<String>,
    /// From straight above, without perspective.
    #[arg(long)]
    above: bool,
    /// All round in a level strip.
    #[arg(long, conflicts_with = "above")]
    round: bool,
    /// Dates as month-day.
    #[arg(long, value_name = "MM-DD", value_delimiter = ',', default_value = "06-21")]
    date: Vec<String>,
    /// Times of the clock.
    #[arg(long, value_name = "HH:MM", value_delimiter = ',', default_value = "10:30")]
    time: Vec<String>,
    /// Years since planting.
    #[arg(long, value_delimiter = ',', default_value = "3")]
    years: Vec<f64>,
    /// The property as found, without the design.
    #[arg(long)]
    before: bool,
    /// Columns and rows of pixels.
    #[arg(long, value_name = "WxH", default_value = "960x540")]
    size: String,
    /// Angle across the width, in degrees.
    #[arg(long, default_value_t = USUAL_ANGLE)]
    angle: f64,
    /// Paths to a pixel.
    #[arg(long, default_value_t = 64)]
    samples: u32,
    /// End after so many seconds, even with fewer paths.
    #[arg(long)]
    seconds: Option<f64>,
    /// What has a layer of its own.
    #[arg(long, value_enum, default_value = "zones")]
    per: Per,
    /// Luminance of lit windows, in cd/m²; about 20 for a room with curtains open.
    #[arg(long, default_value_t = 0.0)]
    windows: f64,
    /// Light of stars, moon and town on level ground at night, in lux; 0.2 under a full moon.
    #[arg(long, default_value_t = USUAL_GLOW)]
    glow: f64,
    /// An overcast sky by day.
    #[arg(long)]
    overcast: bool,
    /// Show it lighter or darker than the eye would adapt, as a factor.
    #[arg(long, default_value_t = 1.0)]
    lighter: f32,
    /// Write the yard as a model in glTF 2.0 (.glb) instead of pictures.
    #[arg(long)]
    model: bool,
    /// Write also a page on which the layers are switched and dimmed, in one file that opens anywhere.
    #[arg(long)]
    board: bool,
    /// Leave the noise as it is.
    #[arg(long)]
    raw: bool,
    /// Folder to write to; `out/` and the project's name if not given.
    #[arg(long, value_name = "FOLDER")]
    to: Option<PathBuf>,
}

/// What has a layer of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Per {
    /// Each zone of lights.
    Zones,
    /// Each light.
    Lights,
}

/// Angle across the width, in degrees.
const USUAL_ANGLE: f64 = 62.0;
/// Stars and a distant town. [lx]
const USUAL_GLOW: f64 = 0.01;
/// Eye of somebody who stands. [m]
const STANDING: f64 = 1.6;
/// Paths to a pixel between two looks at the clock.
const STEP: u32 = 4;
/// A picture is put away so often while it is made.
const KEEP_EVERY: Duration = Duration::from_secs(20);
/// Levels of smoothing.
const SMOOTHING: u32 = 4;
/// Seed of all pictures: the same project gives the same picture.
const SEED: u32 = 1;

/// Runs the command.
pub(crate) fn run(arguments: &Arguments) -> Result<u8, String> {
    let size = size(&arguments.size)?;
    let dates = arguments.date.iter().map(|text| date(text)).collect::<Result<Vec<_>, _>>()?;
    let times = arguments.time.iter().map(|text| time(text)).collect::<Result<Vec<_>, _>>()?;
    if let Some(bad) = arguments.years.iter().find(|years| !(0.0..=100.0).contains(*years)) {
        return Err(format!("--years {bad}: expected 0 to 100"));
    }
    for (name, value) in [("--windows", arguments.windows), ("--glow", arguments.glow)] {
        if !(value.is_finite() && value >= 0.0) {
            return Err(format!("{name} {value}: expected a finite number, none below 0"));
        }
    }
    if !(arguments.lighter.is_finite() && arguments.lighter > 0.0) {
        return Err(format!("--lighter {}: expected a factor above 0", arguments.lighter));
    }
    let Some((loaded, outcome, stages)) = study(&arguments.project)? else { return Ok(1) };
    stages.finish();
    let view = view(arguments, &loaded, &outcome.yard)?;
    let folder =
        arguments.to.clone().unwrap_or_else(|| crate::issue::usual_folder(&arguments.project.folder));
    fs::create_dir_all(&folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    let years = if arguments.before { vec![0.0] } else { arguments.years.clone() };
    let how = How {
        samples: arguments.samples,
        seconds: arguments.seconds,
        raw: arguments.raw,
        lighter: arguments.lighter,
        board: arguments.board,
    };
    let mut said = Vec::new();
    for date in &dates {
        for clock in &times {
            for years in &years {
                let shot = Shot {
                    view: view.clone(),
                    date: *date,
                    clock: *clock,
                    years: *years,
                    angle: arguments.angle.to_radians(),
                    round: arguments.round,
                    size,
                    apart: if arguments.per == Per::Lights { Apart::Lights } else { Apart::Zones },
                    weather: if arguments.overcast { Weather::Overcast } else { Weather::Clear },
                    windows: arguments.windows,
                    night_glow: arguments.glow,
                    before: arguments.before,
                };
                let name = name(&shot);
                if arguments.model {
                    let made =
                        model(&loaded.project, &outcome.yard, &shot).map_err(|e| format!("{name}: {e}"))?;
                    let path = with_ending(&folder.join(&name), "glb");
                    put(&path, &made)?;
                    said.push(json!({ "model": path.display().to_string(), "bytes": made.len() }));
                    continue;
                }
                let ready =
                    ready(&loaded.project, &outcome.yard, &shot).map_err(|e| format!("{name}: {e}"))?;
                said.push(one(&how, &loaded, &shot, &ready, &folder.join(&name))?);
            }
        }
    }
    match arguments.project.format {
        Format::Json => say!("{:#}", json!({ "pictures": said })),
        Format::Text => said.iter().for_each(tell),
    }
    Ok(0)
}

fn size(text: &str) -> Result<[u32; 2], String> {
    let wrong = || format!("--size {text}: expected columns and rows such as 960x540, 16 to 8192 each");
    let (width, height) = text.split_once('x').ok_or_else(wrong)?;
    let pair = [width, height].map(|side| side.parse::<u32>().ok().filter(|side| (16..=8192).contains(side)));
    match pair {
        [Some(width), Some(height)] => Ok([width, height]),
        _ => Err(wrong()),
    }
}

fn date(text: &str) -> Result<(u8, u8), String> {
    let parts = text.split_once('-').and_then(|(month, day)| Some((month.parse().ok()?, day.parse().ok()?)));
    parts
        .filter(|(month, day)| (1..=12).contains(month) && (1..=31).contains(day))
        .ok_or_else(|| format!("--date {text}: expected month and day such as 06-21"))
}

fn time(text: &str) -> Result<u16, String> {
    let parts =
        text.split_once(':').and_then(|(h, m)| Some((h.parse::<u16>().ok()?, m.parse::<u16>().ok()?)));
    parts
        .filter(|(hour, minute)| *hour < 24 && *minute < 60)
        .map(|(hour, minute)| hour * 60 + minute)
        .ok_or_else(|| format!("--time {text}: expected hours and minutes such as 21:30"))
}

fn view(
    arguments: &Arguments,
    loaded: &Loaded,
    yard: &groundwright_yard::Yard,
) -> Result<Option<View>, String> {
    if arguments.above {
        return Ok(None);
    }
    if let (Some(at), Some(towards)) = (&arguments.at, &arguments.towards) {
        let place = |name, text| place(name, text, loaded.project.property.length_unit);
        let (at, looking) = (place("--at", at)?, place("--towards", towards)?);
        return Ok(Some(View { element: None, at, eye: STANDING, looking }));
    }
    let all = views(&loaded.project, yard);
    let Some(wanted) = &arguments.from else {
        return Ok(Some(all.into_iter().next().unwrap_or_else(|| usual_view(yard))));
    };
    let id = |view: &View| view.element.as_ref().map(|element| element.id.to_string()).unwrap_or_default();
    let names: Vec<String> = all.iter().map(id).collect();
    all.into_iter().find(|view| id(view) == *wanted).map(Some).ok_or_else(|| {
        let known = if names.is_empty() { "none; add a [[viewpoint]]".to_owned() } else { names.join(", ") };
        format!("--from {wanted}: there is no such viewpoint; the property has {known}")
    })
}

/// A place of the plan. [m]
fn place(name: &str, text: &str, unit: LengthUnit) -> Result<Point, String> {
    let wrong =
        |why: &str| format!("{name} {text}: {why}; expected x and y such as 42.5,18 or \"42 ft, 18 ft\"");
    let (x, y) = text.split_once(',').ok_or_else(|| wrong("there is no comma"))?;
    let length = |text: &str| {
        parse_length(text.trim(), Some(unit)).map(|p| p.value.metres()).map_err(|e| wrong(&e.to_string()))
    };
    Ok(Point::new(length(x)?, length(y)?))
}

/// Name of a picture's files, without ending.
fn name(shot: &Shot) -> String {
    let from = match &shot.view {
        None => "above".to_owned(),
        Some(view) => view.element.as_ref().map_or_else(
            || format!("at-{:.1}-{:.1}", view.at.x, view.at.y).replace('.', "_"),
            |element| element.id.to_string(),
        ),
    };
    let age = if shot.before { "found".to_owned() } else { format!("year-{}", shot.years) };
    let (month, day) = shot.date;
    let round = if shot.round { "-round" } else { "" };
    format!("{from}{round}-{age}-{month:02}-{day:02}-{:02}{:02}", shot.clock / 60, shot.clock % 60)
}

/// A shot in words.
fn said_of(shot: &Shot) -> String {
    let (month, day) = shot.date;
    let age = if shot.before { "as found".to_owned() } else { format!("year {}", shot.years) };
    format!("{age}, {month:02}-{day:02} at {:02}:{:02}", shot.clock / 60, shot.clock % 60)
}

/// What a film belongs to: the project as read and all that the picture was asked for.
fn key(loaded: &Loaded, shot: &Shot) -> u128 {
    Digest::of(&(&loaded.project, shot, SEED)).0
}

/// How a picture is made.
struct How {
    samples: u32,
    seconds: Option<f64>,
    raw: bool,
    lighter: f32,
    board: bool,
}

/// Pictures for the client, into the folder `pictures` of a package: as found, in the first year and in
/// the tenth by day, and a summer night with its board where there are lights. From the weightiest
/// viewpoint.
pub(crate) fn for_package(
    loaded: &Loaded,
    yard: &groundwright_yard::Yard,
    folder: &Path,
) -> Result<Vec<Value>, String> {
    /// Enough for a client's eye once it is smoothed.
    const SAMPLES: u32 = 24;
    const MORNING: u16 = 10 * 60 + 30;
    const NIGHT: u16 = 22 * 60 + 45;
    let folder = folder.join("pictures");
    fs::create_dir_all(&folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    let view = views(&loaded.project, yard).into_iter().next().unwrap_or_else(|| usual_view(yard));
    let south = loaded.project.property.place.latitude.value < 0.0;
    let day = Shot {
        view: Some(view),
        date: if south { (12, 21) } else { (6, 21) },
        clock: MORNING,
        years: 1.0,
        angle: USUAL_ANGLE.to_radians(),
        round: false,
        size: [960, 540],
        apart: Apart::Zones,
        weather: Weather::Clear,
        windows: 0.0,
        night_glow: USUAL_GLOW,
        before: false,
    };
    let mut shots = vec![
        Shot { before: true, years: 0.0, ..day.clone() },
        day.clone(),
        Shot { years: 10.0, ..day.clone() },
    ];
    if !loaded.project.design.lighting.lights.is_empty() {
        shots.push(Shot { clock: NIGHT, windows: 8.0, years: 3.0, ..day });
    }
    let mut said = Vec::new();
    for shot in &shots {
        let name = name(shot);
        let ready = ready(&loaded.project, yard, shot).map_err(|e| format!("{name}: {e}"))?;
        let how =
            How { samples: SAMPLES, seconds: None, raw: false, lighter: 1.0, board: shot.windows > 0.0 };
        said.push(one(&how, loaded, shot, &ready, &folder.join(&name))?);
    }
    Ok(said)
}

fn one(how: &How, loaded: &Loaded, shot: &Shot, ready: &Ready, stem: &Path) -> Result<Value, String> {
    let key = key(loaded, shot);
    let kept = with_ending(stem, "film");
    let begun = fs::read(&kept).ok().and_then(|bytes| Film::from_bytes(&bytes, key));
    let taken_up = begun.as_ref().map_or(0, Film::samples);
    let mut film = begun
        .filter(|film| film.size() == shot.size && film.layers() == ready.scene.layers())
        .unwrap_or_else(|| Film::new(shot.size, ready.scene.layers()));
    let started = Instant::now();
    let bar = ProgressBar::new(u64::from(how.samples));
    if let Ok(style) =
        ProgressStyle::with_template("{msg} {wide_bar} {pos}/{len} paths to a pixel, {eta} left")
    {
        bar.set_style(style);
    }
    bar.set_message(stem.file_name().unwrap_or_default().to_string_lossy().into_owned());
    let mut kept_at = Instant::now();
    while film.samples() < how.samples {
        if how.seconds.is_some_and(|most| film.samples() > taken_up && started.elapsed().as_secs_f64() > most)
        {
            break;
        }
        let samples = STEP.min(how.samples - film.samples());
        render(&ready.scene, &ready.camera, &mut film, Pass { samples, seed: SEED }, Bounces::All);
        bar.set_position(u64::from(film.samples()));
        if kept_at.elapsed() > KEEP_EVERY && film.samples() < how.samples {
            put(&kept, &film.to_bytes(key))?;
            kept_at = Instant::now();
        }
    }
    bar.finish_and_clear();
    let whole = film.samples() >= how.samples;
    if whole {
        let _ = fs::remove_file(&kept);
    } else {
        put(&kept, &film.to_bytes(key))?;
    }
    let seconds = started.elapsed().as_secs_f64();
    let smooth = if how.raw { film } else { smoothed(&film, SMOOTHING) };
    let picture = smooth.picture(&ready.levels);
    let tone = Tone::adapted(&picture, ready.white, how.lighter);
    let png = with_ending(stem, "png");
    put(&png, &files::as_png(&picture, &tone)?)?;
    let exr = with_ending(stem, "exr");
    files::as_exr(&exr, &smooth, ready, shot)?;
    let board = how.board.then(|| with_ending(stem, "html"));
    if let Some(path) = &board {
        let title = format!("{}, {}", loaded.project.property.name, said_of(shot));
        put(path, board::page(&title, &smooth, ready, &tone)?.as_bytes())?;
    }
    Ok(report(ready, &smooth, &picture, &tone, (&png, &exr, board.as_deref()), (seconds, whole)))
}

fn with_ending(stem: &Path, ending: &str) -> PathBuf {
    let mut name = stem.as_os_str().to_owned();
    name.push(".");
    name.push(ending);
    PathBuf::from(name)
}

fn put(path: &Path, bytes: &[u8]) -> Result<(), String> {
    crate::issue::replace(path, bytes).map_err(|e| format!("{}: {e}", path.display()))
}

/// What there is to say of a picture.
fn report(
    ready: &Ready,
    film: &Film,
    picture: &Picture,
    tone: &Tone,
    (png, exr, board): (&Path, &Path, Option<&Path>),
    (seconds, whole): (f64, bool),
) -> Value {
    let values: Vec<f32> = picture.luminance().collect();
    let (hottest, most) =
        values.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1)).map_or((0, 0.0), |(i, v)| (i, *v));
    let mut sorted: Vec<f32> = values.iter().copied().filter(|v| *v > 0.0).collect();
    sorted.sort_by(f32::total_cmp);
    let middle = sorted.get(sorted.len() / 2).copied().unwrap_or(0.0);
    let white = values.iter().filter(|v| **v >= tone.white).count() as f64 / values.len().max(1) as f64;
    let bearer = (0..film.layers())
        .map(|i| (i, luminance(film.layer(i).pixels[hottest]) * ready.levels.get(i).copied().unwrap_or(1.0)))
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .and_then(|(i, _)| ready.layers.get(i));
    json!({
        "png": png.display().to_string(),
        "exr": exr.display().to_string(),
        "board": board.map(|path| path.display().to_string()),
        "whole": whole,
        "samples": film.samples(),
        "seconds": (seconds * 10.0).round() / 10.0,
        "plants": ready.plants.0,
        "models": ready.plants.1,
        "sun_deg": (ready.sun.to_degrees() * 10.0).round() / 10.0,
        "layers": ready.layers,
        "brightest_cd_m2": most,
        "brightest_from": bearer,
        "middle_cd_m2": middle,
        "shown_white_share": white,
        "white_from_cd_m2": tone.white,
    })
}

/// From this many times the middle on a place is said to be hot: design practice, no source.
const HOT: f64 = 100.0;

/// Says a picture in two lines.
pub(crate) fn tell(said: &Value) {
    if let Some(model) = said["model"].as_str() {
        say!("{model}");
        return;
    }
    let number = |key: &str| said[key].as_f64().unwrap_or_default();
    say!("{}", said["png"].as_str().unwrap_or_default());
    if let Some(board) = said["board"].as_str() {
        say!("{board}");
    }
    say!(
        "    {} paths to a pixel in {} s{}; {} plants, {} models; sun at {}°",
        said["samples"],
        said["seconds"],
        if said["whole"] == true { "" } else { ", not all: ask again to go on" },
        said["plants"],
        said["models"],
        said["sun_deg"],
    );
    let (most, middle) = (number("brightest_cd_m2"), number("middle_cd_m2"));
    let from = said["brightest_from"].as_str().unwrap_or("nothing");
    let hot = if number("sun_deg") < 0.0 && most > HOT * middle { ": hot, dim or move it" } else { "" };
    say!(
        "    brightest {most:.3} cd/m² ({from}), middle {middle:.4} cd/m²{hot}; {:.2} % shown white",
        100.0 * number("shown_white_share"),
    );
}
