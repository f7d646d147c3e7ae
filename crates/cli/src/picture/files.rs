//! Files of a picture: PNG for the eye, EXR in linear light.

use std::fs;
use std::io::BufWriter;
use std::path::Path;

use groundwright_job::{Ready, Shot};
use groundwright_picture::{Film, Picture, Tone, display};

use super::with_ending;

/// The picture for the eye, with what was done to it in words.
pub(super) fn as_png(picture: &Picture, tone: &Tone) -> Result<Vec<u8>, String> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(BufWriter::new(&mut bytes), picture.size[0], picture.size[1]);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_source_srgb(png::SrgbRenderingIntent::Perceptual);
    let said = format!("exposure {:.5} m2/cd, white from {:.3} cd/m2", tone.exposure, tone.white);
    let made = encoder
        .add_text_chunk("Comment".to_owned(), said)
        .and_then(|()| encoder.write_header())
        .and_then(|mut writer| writer.write_image_data(&display(picture, tone)));
    made.map_err(|e| format!("the PNG cannot be made: {e}"))?;
    Ok(bytes)
}

/// Linear light: the whole as the design dims it, then each layer at full level.
pub(super) fn as_exr(path: &Path, film: &Film, ready: &Ready, shot: &Shot) -> Result<(), String> {
    use exr::prelude::{
        AnyChannel, AnyChannels, Encoding, FlatSamples, Image, ImageAttributes, IntegerBounds, Layer,
        LayerAttributes, Text, Vec2, WritableImage,
    };
    let [width, height] = shot.size.map(|v| v as usize);
    let layer = |name: &str, picture: &Picture| {
        let channel = |letter: &str, of: fn(&groundwright_picture::Colour) -> f32| {
            AnyChannel::new(letter, FlatSamples::F32(picture.pixels.iter().map(of).collect()))
        };
        let channels = [channel("B", |p| p.z), channel("G", |p| p.y), channel("R", |p| p.x)];
        Layer::new(
            Vec2(width, height),
            LayerAttributes::named(name),
            Encoding::FAST_LOSSLESS,
            AnyChannels::sort(channels.into_iter().collect()),
        )
    };
    let mut layers = vec![layer("picture", &film.picture(&ready.levels))];
    for (i, name) in ready.layers.iter().enumerate() {
        let one = film.layer(i);
        if one.luminance().any(|v| v > 0.0) {
            layers.push(layer(name, &one));
        }
    }
    let bounds = IntegerBounds::new((0, 0), (width, height));
    let mut attributes = ImageAttributes::new(bounds);
    let unit = "linear sRGB primaries scaled so that luminance is in cd/m2; layer `picture` is the sum of the others as dimmed";
    attributes.other.insert(Text::from("unit"), exr::prelude::AttributeValue::Text(Text::from(unit)));
    let image = Image::from_layers(attributes, layers);
    let part = with_ending(path, "part");
    image.write().to_file(&part).map_err(|e| format!("{}: {e}", path.display()))?;
    fs::rename(&part, path).map_err(|e| format!("{}: {e}", path.display()))
}

/// Eight bits for each primary, rows from the top, as a PNG without any word on colour.
pub(super) fn rgb(size: [u32; 2], bytes: &[u8]) -> Result<Vec<u8>, String> {
    let mut out = Vec::new();
    let mut encoder = png::Encoder::new(&mut out, size[0], size[1]);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    let made = encoder.write_header().and_then(|mut writer| writer.write_image_data(bytes));
    made.map_err(|e| format!("the PNG cannot be made: {e}"))?;
    Ok(out)
}
