//! `cargo xtask bench-pictures [--against PYTHON] [--long]`: rays, the reference scene, the demo at night,
//! a yard of 40,000 plants.
//!
//! - Out: a table. Against: Embree 4 (package embreex) on the same triangles and rays, one thread each;
//!   Mitsuba 3 (package mitsuba) on the reference scene of `figure render`, processor seconds of each
//!   and the error of each against the same long picture, in the same run.

use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;
use std::sync::Arc;
use std::time::Instant;

use glam::{DVec3, Vec3A};
use groundwright_handoff::When;
use groundwright_job::{Apart, Job, Ready, Shot, Weather, ready, views};
use groundwright_picture::{
    Bounces, Camera, Film, Instance, Lamp, Lens, Material, Mesh, Pass, Picture, Round, Scene, SceneParts,
    Spread, Tone, WHITE, display, luminance, render, smoothed,
};
use serde_json::Value;

use crate::bench::{demo, tile};
use crate::{page, workspace};

/// Lots of the large yard: more than 40,000 plants.
const LOTS: usize = 90;
/// Rays of each kind.
const RAYS: usize = 1_000_000;

/// Runs the benchmark.
pub fn run(options: &[&str]) -> Result<(), String> {
    let long = options.contains(&"--long");
    let rest: Vec<&str> = options.iter().copied().filter(|option| *option != "--long").collect();
    let python = match rest.as_slice() {
        [] => None,
        ["--against", python] => Some(*python),
        _ => return Err("expected nothing, `--against PYTHON` or `--long`".to_owned()),
    };
    let folder = std::env::temp_dir().join(format!("groundwright-pictures-{}", std::process::id()));
    std::fs::create_dir_all(&folder).map_err(|e| e.to_string())?;
    let mut table = String::new();
    // The large yard first: the most memory ever held is a mark that does not fall.
    for part in [large()?, rays(&folder, python)?, reference(&folder, python)?, night(long)?] {
        table.push_str(&part);
        table.push('\n');
    }
    std::fs::remove_dir_all(&folder).map_err(|e| e.to_string())?;
    println!("{table}");
    page::write("bench-pictures", &table)
}

fn shot(project: &groundwright_plan::Project, yard: &groundwright_yard::Yard, size: [u32; 2]) -> Shot {
    Shot {
        view: views(project, yard).into_iter().next(),
        date: (6, 21),
        clock: 22 * 60 + 30,
        years: 3.0,
        angle: 62f64.to_radians(),
        round: false,
        size,
        apart: Apart::Zones,
        weather: Weather::Clear,
        windows: 8.0,
        night_glow: 0.01,
        before: false,
    }
}

/// Wall and processor seconds.
fn timed<T>(of: impl FnOnce() -> T) -> (T, f64, f64) {
    let (start, before) = (Instant::now(), processor());
    let made = of();
    (made, start.elapsed().as_secs_f64(), processor() - before)
}

/// Processor seconds of this process so far.
fn processor() -> f64 {
    /// Ticks of the kernel's clock to the second: what Linux reports to programs.
    const TICKS: f64 = 100.0;
    let text = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let words: Vec<f64> = text
        .rsplit(") ")
        .next()
        .unwrap_or_default()
        .split(' ')
        .filter_map(|word| word.parse().ok())
        .collect();
    // The state before them is a letter: user and system time come eleventh and twelfth of the numbers.
    (words.get(10).unwrap_or(&0.0) + words.get(11).unwrap_or(&0.0)) / TICKS
}

/// Most memory ever held. [GB]
fn most_memory() -> f64 {
    let text = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:")).unwrap_or_default();
    line.trim().trim_end_matches(" kB").parse::<f64>().unwrap_or_default() / 1e6
}

fn large() -> Result<String, String> {
    let project = tile(&demo()?, LOTS);
    let outcome = Job::live().run(&project, When::years(0.0), &mut ());
    let yard = outcome.yard.as_ref();
    let mut wanted = shot(&project, yard, [480, 270]);
    wanted.clock = 11 * 60;
    let (made, took, _) = timed(|| ready(&project, yard, &wanted));
    let made = made.map_err(|e| e.to_string())?;
    let mut film = Film::new(made.camera.size(), made.scene.layers());
    let ((), four, _) =
        timed(|| render(&made.scene, &made.camera, &mut film, Pass { samples: 4, seed: 1 }, Bounces::All));
    let (held, shown) = made.scene.triangles();
    Ok(format!(
        "| lots | plants | models | triangles held | shown | made ready, s | 4 paths at 480 × 270, s | most memory, GB |\n\
         | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |\n\
         | {LOTS} | {} | {} | {:.2} million | {:.0} million | {took:.1} | {four:.1} | {:.2} |\n",
        made.plants.0,
        made.plants.1,
        held as f64 / 1e6,
        shown as f64 / 1e6,
        most_memory(),
    ))
}

/// A number from 0 to 1 by hashing.
fn chance(seed: u32) -> f32 {
    let mut x = seed.wrapping_mul(0x9e37_79b9) ^ 0x5bd1_e995;
    for shift in [15, 13, 16] {
        x ^= x >> shift;
        x = x.wrapping_mul(0x2c1b_3c6d);
    }
    (x >> 8) as f32 / 16_777_216.0
}

/// Hills, boxes and leaf cards.
fn triangles() -> Vec<[Vec3A; 3]> {
    let mut all = Vec::new();
    let height = |x: f32, y: f32| 0.6 * (x * 0.21).sin() + 0.4 * (y * 0.33).cos();
    let side = 150;
    let at = |i: usize, j: usize| {
        let (x, y) = (i as f32 * 0.3, j as f32 * 0.3);
        Vec3A::new(x, y, height(x, y))
    };
    for i in 0..side {
        for j in 0..side {
            let (a, b, c, d) = (at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1));
            all.extend([[a, b, c], [a, c, d]]);
        }
    }
    for k in 0..200u32 {
        let low = Vec3A::new(45.0 * chance(k * 5), 45.0 * chance(k * 5 + 1), 0.0);
        let high = low + Vec3A::new(0.2, 0.2, 1.2) + Vec3A::splat(chance(k * 5 + 2));
        for axis in 0..3 {
            let (i, j) = ((axis + 1) % 3, (axis + 2) % 3);
            for side in [low, high] {
                let corner = |u: f32, v: f32| {
                    let mut at = side;
                    (at[i], at[j]) = (u, v);
                    at
                };
                let [a, b, c, d] = [
                    corner(low[i], low[j]),
                    corner(high[i], low[j]),
                    corner(high[i], high[j]),
                    corner(low[i], high[j]),
                ];
                all.extend([[a, b, c], [a, c, d]]);
            }
        }
    }
    for k in 0..214_000u32 {
        let n = |i: u32| chance(1_000_000 + k * 9 + i) - 0.5;
        let tree = k % 60;
        let middle = Vec3A::new(45.0 * chance(7000 + tree), 45.0 * chance(8000 + tree), 3.0);
        let at = middle + Vec3A::new(n(0), n(1), n(2)) * 3.4;
        let edge = |i: u32| Vec3A::new(n(i), n(i + 1), n(i + 2)) * 0.14;
        all.push([at, at + edge(3), at + edge(6)]);
    }
    all
}

fn of_triangles(triangles: &[[Vec3A; 3]]) -> Result<Scene, String> {
    let with: Vec<_> = triangles.iter().map(|corners| (*corners, 0)).collect();
    let parts = SceneParts {
        meshes: vec![Arc::new(Mesh::new(&with).map_err(|e| e.to_string())?)],
        instances: vec![Instance::as_is(0)],
        materials: vec![Material::grey(0.3)],
        ..SceneParts::default()
    };
    Scene::new(parts).map_err(|e| e.to_string())
}

fn rays(folder: &Path, python: Option<&str>) -> Result<String, String> {
    let triangles = triangles();
    let scene = of_triangles(&triangles)?;
    // From an eye over the hills, row by row; then on from where those ended, each its own way.
    let eye = Vec3A::new(-6.0, -6.0, 5.0);
    let columns = 1250;
    let seen: Vec<(Vec3A, Vec3A)> = (0..RAYS)
        .map(|i| {
            let (u, v) =
                ((i % columns) as f32 / columns as f32, (i / columns) as f32 / (RAYS / columns) as f32);
            let towards = Vec3A::new(1.0, 1.0, -0.12)
                + Vec3A::new(-1.0, 1.0, 0.0) * (u - 0.5)
                + Vec3A::Z * (0.5 - v) * 0.9;
            (eye, towards.normalize())
        })
        .collect();
    let scattered: Vec<(Vec3A, Vec3A)> = seen
        .iter()
        .enumerate()
        .map(|(i, (origin, direction))| {
            let at = scene
                .hit(*origin, *direction)
                .map_or(Vec3A::new(20.0, 20.0, 4.0), |hit| hit.at + hit.normal * 1e-3);
            let n = |k: usize| chance((50_000_000 + i * 3 + k) as u32) - 0.5;
            (at, Vec3A::new(n(0), n(1), n(2)).normalize_or(Vec3A::Z))
        })
        .collect();
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build().map_err(|e| e.to_string())?;
    let mut table = String::from(
        "| rays, one thread | million a second | Embree 4, million a second | of Embree | rays on which both agree |\n\
         | --- | ---: | ---: | ---: | ---: |\n",
    );
    for (name, rays) in [("from one eye", seen), ("every one its own way", scattered)] {
        let mut best = f64::INFINITY;
        let mut hits = Vec::new();
        for _ in 0..3 {
            let (found, took, _) = timed(|| {
                pool.install(|| {
                    rays.iter()
                        .map(|(o, d)| scene.hit(*o, *d).map_or(-1.0, |hit| hit.distance))
                        .collect::<Vec<f32>>()
                })
            });
            best = best.min(took);
            hits = found;
        }
        let ours = RAYS as f64 / best / 1e6;
        let theirs = match python {
            None => None,
            Some(python) => {
                let floats = |values: &mut dyn Iterator<Item = f32>| {
                    values.flat_map(f32::to_le_bytes).collect::<Vec<u8>>()
                };
                let write = |file: &str, bytes: Vec<u8>| {
                    std::fs::write(folder.join(file), bytes).map_err(|e| e.to_string())
                };
                write("triangles.f32", floats(&mut triangles.iter().flatten().flat_map(Vec3A::to_array)))?;
                write(
                    "rays.f32",
                    floats(&mut rays.iter().flat_map(|(o, d)| [*o, *d]).flat_map(|v| v.to_array())),
                )?;
                write("hits.f32", floats(&mut hits.iter().copied()))?;
                let said = ask(python, &["rays", &folder.display().to_string()])?;
                let words: Vec<f64> = said.split_whitespace().filter_map(|word| word.parse().ok()).collect();
                words.first().zip(words.get(1)).map(|(s, alike)| (RAYS as f64 / s / 1e6, *alike))
            }
        };
        let cell = |value: Option<f64>, digits: usize| {
            value.map_or("not run".to_owned(), |v| format!("{v:.digits$}"))
        };
        let _ = writeln!(
            table,
            "| {name} | {ours:.2} | {} | {} | {} |",
            cell(theirs.map(|t| t.0), 2),
            cell(theirs.map(|t| ours / t.0), 2),
            cell(theirs.map(|t| t.1), 5)
        );
    }
    Ok(table)
}

fn ask(python: &str, words: &[&str]) -> Result<String, String> {
    let script = workspace::root().join("xtask/compare/pictures.py");
    let output = Command::new(python).arg(script).args(words).output().map_err(|e| e.to_string())?;
    if !output.status.success() {
        return Err(String::from_utf8_lossy(&output.stderr).into_owned());
    }
    Ok(String::from_utf8_lossy(&output.stdout).into_owned())
}

fn error(a: &Picture, b: &Picture) -> f64 {
    let square = |(a, b): (f32, f32)| f64::from(a - b).powi(2);
    (a.luminance().zip(b.luminance()).map(square).sum::<f64>() / a.pixels.len() as f64).sqrt()
}

fn reference(folder: &Path, python: Option<&str>) -> Result<String, String> {
    let path = workspace::root().join("crates/cli/tests/data/lighting_scene_a.json");
    let (scene, camera) = scene_a(&path).ok_or("the reference scene cannot be read")?;
    let shoot = |samples, seed| {
        let mut film = Film::new(camera.size(), scene.layers());
        render(&scene, &camera, &mut film, Pass { samples, seed }, Bounces::AtMost(2));
        film
    };
    let long = shoot(400, 99).picture(&[]);
    let mut table = String::from(
        "| renderer | paths to a pixel | wall, s | processor, s | error, cd/m² | error over mean |\n\
         | --- | ---: | ---: | ---: | ---: | ---: |\n",
    );
    let mean = long.luminance().map(f64::from).sum::<f64>() / long.pixels.len() as f64;
    let mut row = |name: &str, samples: &str, wall: f64, processor: f64, error: f64| {
        let _ = writeln!(
            table,
            "| {name} | {samples} | {wall:.2} | {processor:.2} | {error:.4} | {:.3} |",
            error / mean
        );
    };
    for samples in [1, 2, 4, 16] {
        let (film, wall, processor) = timed(|| shoot(samples, 1));
        row("groundwright", &samples.to_string(), wall, processor, error(&film.picture(&[]), &long));
    }
    for samples in [1, 4] {
        let (film, wall, processor) = timed(|| smoothed(&shoot(samples, 1), 4));
        row(
            "groundwright, smoothed",
            &samples.to_string(),
            wall,
            processor,
            error(&film.picture(&[]), &long),
        );
    }
    if let Some(python) = python {
        let file = folder.join("reference.f32");
        let bytes: Vec<u8> = long.luminance().flat_map(f32::to_le_bytes).collect();
        std::fs::write(&file, bytes).map_err(|e| e.to_string())?;
        let said = ask(python, &["scene", &path.display().to_string(), &file.display().to_string()])?;
        // The renderer may leave signs of colour before a line.
        for line in said.lines().filter_map(|line| line.split_once("scene ")).map(|(_, rest)| rest) {
            let words: Vec<f64> = line.split_whitespace().filter_map(|word| word.parse().ok()).collect();
            let [samples, wall, processor, error, _] = words[..] else { continue };
            row("Mitsuba 3", &format!("{samples} × 6"), wall, processor, error);
        }
    }
    Ok(table)
}

/// The scene of `figure render` as it stands in the file.
fn scene_a(path: &Path) -> Option<(Scene, Camera)> {
    let told: Value = serde_json::from_str(&std::fs::read_to_string(path).ok()?).ok()?;
    let vector = |value: &Value| -> Option<DVec3> {
        Some(DVec3::new(value.get(0)?.as_f64()?, value.get(1)?.as_f64()?, value.get(2)?.as_f64()?))
    };
    let mut parts = SceneParts::default();
    let mut triangles = Vec::new();
    for shape in told["shapes"].as_array()? {
        let material = parts.materials.len() as u16;
        parts.materials.push(Material::grey(shape["reflectance"].as_f64()? as f32));
        let number = |key: &str| shape[key].as_f64();
        let mut slab = |low: DVec3, high: DVec3| {
            for axis in 0..3 {
                for side in [low[axis], high[axis]] {
                    let (i, j) = ((axis + 1) % 3, (axis + 2) % 3);
                    let corner = |u: f64, v: f64| {
                        let mut at = DVec3::ZERO;
                        (at[axis], at[i], at[j]) = (side, u, v);
                        at.as_vec3a()
                    };
                    let [a, b, c, d] = [
                        corner(low[i], low[j]),
                        corner(high[i], low[j]),
                        corner(high[i], high[j]),
                        corner(low[i], high[j]),
                    ];
                    triangles.extend([([a, b, c], material), ([a, c, d], material)]);
                }
            }
        };
        match shape["type"].as_str()? {
            "ground" => {
                let (half, z) = (number("half_size")?, number("z")?);
                slab(DVec3::new(-half, -half, z - 1.0), DVec3::new(half, half, z));
            }
            "box" => slab(vector(&shape["min"])?, vector(&shape["max"])?),
            "cylinder" => {
                let (foot, radius, height) = (vector(&shape["base"])?, number("radius")?, number("height")?);
                parts.rounds.push((Round::Tube { foot, radius, height }, material));
            }
            _ => {
                let (centre, radii) = (vector(&shape["center"])?, vector(&shape["radii"])?);
                parts.rounds.push((Round::Ellipsoid { centre, radii }, material));
            }
        }
    }
    parts.meshes.push(Arc::new(Mesh::new(&triangles).ok()?));
    parts.instances.push(Instance::as_is(0));
    for (i, light) in told["lights"].as_array()?.iter().enumerate() {
        let table = light["table"].as_array()?.iter();
        let table: Option<Vec<(f32, f32)>> = table
            .map(|pair| Some((pair.get(0)?.as_f64()?.to_radians() as f32, pair.get(1)?.as_f64()? as f32)))
            .collect();
        let (at, to) = (vector(&light["position"])?, vector(&light["target"])?);
        parts.lamps.push(Lamp::new(at, to - at, DVec3::X, Spread::Axial(table?), WHITE, i as u16).ok()?);
    }
    let eye = &told["camera"];
    let size = [eye["width"].as_u64()? as u32, eye["height"].as_u64()? as u32];
    let lens = Lens::Flat(eye["fov_x_deg"].as_f64()?.to_radians());
    let camera =
        Camera::new(vector(&eye["position"])?, vector(&eye["target"])?, DVec3::Z, lens, size).ok()?;
    Some((Scene::new(parts).ok()?, camera))
}

fn night(long: bool) -> Result<String, String> {
    let project = demo()?;
    let outcome = Job::live().run(&project, When::years(0.0), &mut ());
    let yard = outcome.yard.as_ref();
    let (made, ready_in, _) = timed(|| ready(&project, yard, &shot(&project, yard, [960, 540])));
    let made = made.map_err(|e| e.to_string())?;
    let mut film = Film::new(made.camera.size(), made.scene.layers());
    let started = Instant::now();
    while started.elapsed().as_secs_f64() < 20.0 {
        render(&made.scene, &made.camera, &mut film, Pass { samples: 1, seed: 1 }, Bounces::All);
    }
    let took = started.elapsed().as_secs_f64();
    let (smooth, smoothing, _) = timed(|| smoothed(&film, 4));
    let (first, recombined, _) = timed(|| smooth.picture(&made.levels));
    let mut table = String::from(
        "| demo at night, 960 × 540, lamps | made ready, s | paths to a pixel after 20 s | smoothed in, s | zones recombined in, s | error over mean, raw | smoothed | steps of 255 that the eye's picture is off, mean | worst hundredth |\n\
         | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |\n",
    );
    let errors = if long { after_long(&made, &film, &first) } else { ["not run"; 4].map(str::to_owned) };
    let _ = writeln!(
        table,
        "| {} | {ready_in:.1} | {} ({took:.1} s) | {smoothing:.1} | {recombined:.2} | {} |",
        made.scene.lamps().len(),
        film.samples(),
        errors.join(" | ")
    );
    Ok(table)
}

/// Errors against a long picture of another seed: raw and smoothed over the mean; steps of the display
/// in the mean and in the worst hundredth of the pixels.
fn after_long(made: &Ready, film: &Film, first: &Picture) -> [String; 4] {
    const LONG: u32 = 96;
    let mut long = Film::new(made.camera.size(), made.scene.layers());
    render(&made.scene, &made.camera, &mut long, Pass { samples: LONG, seed: 77 }, Bounces::All);
    let long = long.picture(&made.levels);
    let mean = long.pixels.iter().map(|p| f64::from(luminance(*p))).sum::<f64>() / long.pixels.len() as f64;
    let tone = Tone::adapted(&long, made.white, 1.0);
    let apart = display(first, &tone).into_iter().zip(display(&long, &tone)).map(|(a, b)| a.abs_diff(b));
    let mut steps: Vec<u8> = apart.collect();
    steps.sort_unstable();
    let middle = steps.iter().map(|v| f64::from(*v)).sum::<f64>() / steps.len() as f64;
    [
        format!("{:.3}", error(&film.picture(&made.levels), &long) / mean),
        format!("{:.3}", error(first, &long) / mean),
        format!("{middle:.2}"),
        format!("{}", steps[steps.len() * 99 / 100]),
    ]
}
