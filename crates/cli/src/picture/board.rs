//! A page on which the zones of a picture are switched and dimmed: one file that opens anywhere.
//!
//! - In: a film, names and levels of its layers, the tone. Out: HTML with every layer in it.
//! - Each layer is the fourth root of its light over its own brightest, in sixteen bits: two opaque PNGs,
//!   the high bytes and the low ones. The page adds the layers in linear light and shows them by the same
//!   curve as the PNG.

use groundwright_job::Ready;
use groundwright_picture::{Film, Picture, Tone};
use serde_json::json;

/// The page without its layers.
const PAGE: &str = include_str!("board.html");
/// Where the layers go into the page.
const MARK: &str = "/*LAYERS*/null";

/// The page.
pub(super) fn page(title: &str, film: &Film, ready: &Ready, tone: &Tone) -> Result<String, String> {
    let mut layers = Vec::new();
    for (i, name) in ready.layers.iter().enumerate() {
        let picture = film.layer(i);
        let most = picture.pixels.iter().map(|p| p.max_element()).fold(0.0, f32::max);
        if most <= 0.0 {
            continue;
        }
        let [high, low] = halves(&picture, most);
        let size = picture.size;
        layers.push(json!({
            "name": name,
            "level": ready.levels.get(i).copied().unwrap_or(1.0),
            "most": most,
            "high": base64(&super::files::rgb(size, &high)?),
            "low": base64(&super::files::rgb(size, &low)?),
        }));
    }
    let white = tone.white_point;
    let data = json!({
        "title": title,
        "size": film.size(),
        "exposure": tone.exposure,
        "white": tone.white,
        "whitePoint": [white.x, white.y, white.z],
        "layers": layers,
    });
    // No text of a project may end the script that it stands in.
    let data = data.to_string().replace('<', "\\u003c");
    Ok(PAGE.replace(MARK, &data))
}

/// High and low bytes of the fourth root over the brightest.
fn halves(picture: &Picture, most: f32) -> [Vec<u8>; 2] {
    let values = picture.pixels.iter().flat_map(groundwright_picture::Colour::to_array);
    values.map(|v| ((v / most).clamp(0.0, 1.0).sqrt().sqrt() * 65_535.0).round() as u16).fold(
        [Vec::new(), Vec::new()],
        |[mut high, mut low], code| {
            high.push((code >> 8) as u8);
            low.push((code & 255) as u8);
            [high, low]
        },
    )
}

/// RFC 4648.
fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for chunk in bytes.chunks(3) {
        let at = |i: usize| u32::from(chunk.get(i).copied().unwrap_or(0));
        let bits = at(0) << 16 | at(1) << 8 | at(2);
        for letter in 0..4 {
            if letter <= chunk.len() {
                text.push(char::from(LETTERS[(bits >> (18 - 6 * letter) & 63) as usize]));
            } else {
                text.push('=');
            }
        }
    }
    text
}
