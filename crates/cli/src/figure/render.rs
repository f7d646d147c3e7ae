//! Figure `render`: a scene's image in linear light.

use groundwright_picture::{Bounces, Film, Pass, luminance, render};
use serde_json::{Map, Value, json};

use super::{Answer, lit_scene};

pub(super) const EXAMPLE: &str = r#"{ "shapes": [
    { "name": "ground", "type": "ground", "z": 0, "center": [0, 0], "half_size": 30, "reflectance": 0.2 },
    { "name": "wall", "type": "box", "min": [-4, 2, 0], "max": [4, 2.3, 2.4], "reflectance": 0.5 }],
  "lights": [{ "name": "graze", "position": [0, 1.7, 0.1], "target": [0, 1.95, 2.4],
    "table": [[0, 800], [10, 700], [25, 60], [40, 0]] }],
  "camera": { "position": [0, -5, 1.6], "target": [0, 2, 1.2], "up": [0, 0, 1], "fov_x_deg": 60,
    "width": 64, "height": 36 },
  "samples": 64, "block": 4 }"#;
pub(super) const HELP: &str =
    "A case has the scene of `figure probe` and a `camera` (position, target, up, fov_x_deg across the width,
width, height in pixels); and may have `samples` (to a pixel, usually 64), `bounces` (usually 2; direct
light is not counted), `block` (side of the blocks that are averaged, usually 20 pixels) and `seed`.
Result: luminance in cd/m2, rows from the top; image_mean, image_max_pixel,
percentiles_1_10_50_90_99, means of blocks, and the mean that each light brings (layers).
Example:
  groundwright figure render --example | groundwright figure render";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let (scene, lights) = lit_scene::scene(case)?;
    let camera = lit_scene::camera(case)?;
    let samples = lit_scene::count(case, "samples", 64, 1_000_000)?.max(1);
    let bounces = lit_scene::count(case, "bounces", 2, 1000)?;
    let seed = lit_scene::count(case, "seed", 1, u32::MAX)?;
    let block = lit_scene::count(case, "block", 20, 4096)?.max(1) as usize;
    let mut film = Film::new(camera.size(), scene.layers());
    render(&scene, &camera, &mut film, Pass { samples, seed }, Bounces::AtMost(bounces));

    let values: Vec<f64> = film.picture(&[]).luminance().map(f64::from).collect();
    let [width, height] = camera.size().map(|v| v as usize);
    let mean = |values: &mut dyn Iterator<Item = f64>| {
        let (sum, count) = values.fold((0.0, 0usize), |(sum, count), v| (sum + v, count + 1));
        sum / count.max(1) as f64
    };
    let rows: Vec<&[f64]> = values.chunks(width).collect();
    let blocks: Vec<Vec<f64>> = (0..height / block)
        .map(|j| {
            (0..width / block)
                .map(|i| {
                    let rows = &rows[j * block..(j + 1) * block];
                    mean(&mut rows.iter().flat_map(|row| row[i * block..(i + 1) * block].iter().copied()))
                })
                .collect()
        })
        .collect();
    let mut sorted = values.clone();
    sorted.sort_by(f64::total_cmp);
    let percentile = |share: f64| sorted[((sorted.len() - 1) as f64 * share / 100.0).round() as usize];
    let percentiles = [1.0, 10.0, 50.0, 90.0, 99.0].map(percentile);
    let layers: Map<String, Value> = lights
        .iter()
        .enumerate()
        .map(|(i, name)| {
            let layer = film.layer(i);
            (name.clone(), json!(mean(&mut layer.pixels.iter().map(|p| f64::from(luminance(*p))))))
        })
        .collect();
    Ok(Answer::new(json!({
        "units": "cd/m2",
        "samples": samples,
        "image_mean": mean(&mut values.iter().copied()),
        "image_max_pixel": sorted[sorted.len() - 1],
        "percentiles_1_10_50_90_99": percentiles,
        "layers": layers,
        "blocks": blocks,
        "luminance": rows,
    })))
}
