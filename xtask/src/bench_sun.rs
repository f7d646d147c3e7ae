//! `cargo xtask bench-sun`: maps of sun hours on a made-up yard, and on one ten times as large.
//!
//! - In: a house with a hip roof, fences, 60 trees and 400 shrubs on 1250 m², 20,000 points, 600
//!   positions of the sun; ten such yards in a row. Out: a table.
//! - `--against PYTHON`: the same opaque triangles, points and positions are given to a Python that has
//!   trimesh and its embree back end; its ray casting is timed alone and its map compared.
//! - Everything is placed by a fixed sequence of numbers, so that runs can be compared.

use std::fmt::Write as _;
use std::time::Instant;

use groundwright_geometry::{Point, Point3, Rect};
use groundwright_handoff::CrownForm;
use groundwright_plan::{ElementRef, Kind};
use groundwright_scene::{Bodies, Crown, Roof, RoofForm, roof_faces};
use groundwright_sun::{DayHours, Grid, Observer, SunMoment, day_hours, month_moments};
use rayon::prelude::*;

use crate::page;

/// A yard's extent. [m]
const WIDE: f64 = 50.0;
const DEEP: f64 = 25.0;

/// Runs the benchmark.
pub fn run(options: &[&str]) -> Result<(), String> {
    let python = match options {
        [] => None,
        ["--against", python] => Some(*python),
        _ => return Err("usage: cargo xtask bench-sun [--against PYTHON]".to_owned()),
    };
    let moments = positions();
    let mut table = String::from(
        "| yards | points | positions | transmitting crowns | opaque crowns | six year-states |\n",
    );
    table.push_str("| ---: | ---: | ---: | ---: | ---: | ---: |\n");
    let mut first = 0.0;
    for yards in [1_u32, 10] {
        let grid = grid(yards)?;
        let (bodies, opaque) = (bodies(yards, 0.15)?, bodies(yards, 0.0)?);
        let (clear, _) = timed(|| months(&grid, &bodies, &moments));
        let (solid, _) = timed(|| months(&grid, &opaque, &moments));
        let (six, _) = timed(|| (0..6).map(|_| months(&grid, &bodies, &moments).len()).sum::<usize>());
        let positions: usize = moments.iter().map(Vec::len).sum();
        let points = grid.len();
        let _ = writeln!(
            table,
            "| {yards} | {points} | {positions} | {clear:.2} s | {solid:.2} s | {six:.2} s |"
        );
        if yards == 1 {
            first = clear;
        } else {
            let _ = writeln!(table, "\nTen yards take {:.1} times one.", clear / first);
        }
    }
    if let Some(python) = python {
        table.push_str(&against(python, &moments)?);
    }
    println!("{table}");
    page::write("bench-sun", &table)
}

fn timed<T>(work: impl FnOnce() -> T) -> (f64, T) {
    let start = Instant::now();
    let value = work();
    (start.elapsed().as_secs_f64(), value)
}

fn months(grid: &Grid, bodies: &Bodies, moments: &[Vec<SunMoment>]) -> Vec<DayHours> {
    moments.par_iter().map(|of_month| day_hours(grid, bodies, of_month)).collect()
}

/// About 600 positions: the mean days of twelve months, every 14.6 minutes.
fn positions() -> Vec<Vec<SunMoment>> {
    let observer = Observer::new(44.6_f64.to_radians(), (-123.2_f64).to_radians(), 80.0);
    (1..=12).map(|month| month_moments(&observer, 0.0, 2026, month, 24.0 / 98.5)).collect()
}

fn grid(yards: u32) -> Result<Grid, String> {
    let over = Rect::new(0.0, 0.0, WIDE * f64::from(yards), DEEP);
    Grid::over(over, 0.25, |at| 0.01 * at.y).map_err(|e| e.to_string())
}

/// A sequence of numbers from 0 to 1, the same in every run.
struct Sequence(u64);

impl Sequence {
    fn next(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

fn bodies(yards: u32, share: f64) -> Result<Bodies, String> {
    let mut bodies = Bodies::default();
    let mut sequence = Sequence(7);
    for yard in 0..yards {
        let east = WIDE * f64::from(yard);
        built(&mut bodies, east)?;
        for i in 0..460 {
            let tree = i < 60;
            let (x, y) = (east + sequence.next(0.0, WIDE), sequence.next(0.0, DEEP));
            let (radius, height, foot) = if tree {
                (sequence.next(1.5, 3.5), sequence.next(4.0, 8.0), sequence.next(1.0, 2.5))
            } else {
                (sequence.next(0.3, 0.9), sequence.next(0.5, 1.8), 0.0)
            };
            let form = if i % 5 == 0 { CrownForm::Cone } else { CrownForm::Ellipsoid };
            let crown = Crown::new(form, Point3::new(x, y, foot), radius, height, share);
            bodies.crowns.push(crown.map_err(|e| e.to_string())?);
            bodies.owners.push((ElementRef::new(Kind::Tree, &"plant".into()), i));
        }
    }
    Ok(bodies)
}

/// A house of an L and a fence round the yard.
fn built(bodies: &mut Bodies, east: f64) -> Result<(), String> {
    let outline: Vec<Point> =
        [(15.0, 8.0), (30.0, 8.0), (30.0, 14.0), (22.0, 14.0), (22.0, 18.0), (15.0, 18.0)]
            .iter()
            .map(|(x, y)| Point::new(east + x, *y))
            .collect();
    let roof = Roof { form: RoofForm::Hip, eave: 3.0, slope: 0.5, overhang: 0.4 };
    for face in roof_faces(&outline, &roof).map_err(|e| e.to_string())? {
        bodies.face(&face);
    }
    let mut wall = |a: Point, b: Point, height: f64| {
        let up = |p: Point, z: f64| Point3::new(p.x, p.y, z);
        bodies.face(&[up(a, 0.0), up(b, 0.0), up(b, height), up(a, height)]);
    };
    for (a, b) in outline.iter().zip(outline.iter().cycle().skip(1)) {
        wall(*a, *b, 3.0);
    }
    let at = |x: f64, y: f64| Point::new(east + x, y);
    wall(at(0.1, 0.0), at(0.1, DEEP), 1.8);
    wall(at(WIDE - 0.1, 0.0), at(WIDE - 0.1, DEEP), 1.8);
    wall(at(0.1, DEEP - 0.1), at(WIDE - 0.1, DEEP - 0.1), 1.8);
    Ok(())
}

/// Crowns as triangles, so that both sides see the same: 12 sides and 6 rings each.
fn meshed(bodies: &Bodies) -> Bodies {
    let mut all = Bodies { triangles: bodies.triangles.clone(), ..Bodies::default() };
    for crown in &bodies.crowns {
        let [a, b, c] = crown.profile;
        let ring = |k: u32| -> Vec<Point3> {
            let z = crown.height * f64::from(k) / 6.0;
            let r = (a + b * z + c * z * z).max(0.0).sqrt();
            (0..12)
                .map(|i| {
                    let angle = std::f64::consts::TAU * f64::from(i) / 12.0;
                    let (x, y) = (crown.foot.x + r * angle.cos(), crown.foot.y + r * angle.sin());
                    Point3::new(x, y, crown.foot.z + z)
                })
                .collect()
        };
        for k in 0..6 {
            let (low, high) = (ring(k), ring(k + 1));
            for i in 0..12 {
                let j = (i + 1) % 12;
                all.triangles.push([low[i], low[j], high[j]]);
                all.triangles.push([low[i], high[j], high[i]]);
            }
        }
        all.face(&ring(0));
    }
    all
}

/// The same opaque triangles before another ray caster; what came out, in words.
fn against(python: &str, moments: &[Vec<SunMoment>]) -> Result<String, String> {
    let (grid, opaque) = (grid(1)?, bodies(1, 0.0)?);
    let meshed = meshed(&opaque);
    let (analytic, _) = timed(|| months(&grid, &opaque, moments));
    let (triangles, maps) = timed(|| months(&grid, &meshed, moments));
    let folder = std::env::temp_dir().join(format!("groundwright-bench-{}", std::process::id()));
    std::fs::create_dir_all(&folder).map_err(|e| e.to_string())?;
    let write = |name: &str, rows: &mut dyn Iterator<Item = Vec<f64>>| -> Result<(), String> {
        let mut text = String::new();
        for row in rows {
            let row: Vec<String> = row.iter().map(ToString::to_string).collect();
            let _ = writeln!(text, "{}", row.join(" "));
        }
        std::fs::write(folder.join(name), text).map_err(|e| e.to_string())
    };
    let corners = meshed.triangles.iter().map(|t| t.iter().flat_map(|p| [p.x, p.y, p.z]).collect());
    write("triangles.txt", &mut corners.into_iter())?;
    let points = (0..grid.len()).map(|i| grid.place(i)).map(|p| vec![p.x, p.y, p.z]);
    write("points.txt", &mut points.into_iter())?;
    let suns = moments.iter().flatten().map(|m| [m.direction.to_vec(), vec![m.hours]].concat());
    write("positions.txt", &mut suns.into_iter())?;
    let ours = (0..grid.len()).map(|i| vec![maps.iter().map(|map| map.total(i)).sum::<f64>()]);
    write("hours.txt", &mut ours.into_iter())?;
    let script = crate::workspace::root().join("xtask/compare/sun_hours.py");
    let output =
        std::process::Command::new(python).arg(script).arg(&folder).output().map_err(|e| e.to_string())?;
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    if !output.status.success() {
        return Err(format!("{text}{}", String::from_utf8_lossy(&output.stderr)));
    }
    let theirs: f64 = text
        .lines()
        .find_map(|line| line.strip_prefix("seconds "))
        .and_then(|value| value.parse().ok())
        .ok_or("the script printed no time")?;
    std::fs::remove_dir_all(&folder).map_err(|e| e.to_string())?;
    let agree: String = text.lines().filter(|line| !line.starts_with("seconds ")).collect();
    Ok(format!(
        "\nOpaque, {} triangles, against embree through trimesh in the same run: {triangles:.2} s here, {theirs:.2} s there, {:.1} times; with crowns as bodies instead of triangles {analytic:.2} s, {:.1} times. Agreement of the {agree}\n",
        meshed.triangles.len(),
        theirs / triangles,
        theirs / analytic,
    ))
}
