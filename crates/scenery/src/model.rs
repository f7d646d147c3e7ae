//! The yard as a glTF 2.0 binary: meshes once, a node for each place where one stands.
//!
//! - In: a stage. Out: bytes of a `.glb` in metres, y up, as the standard asks.
//! - Materials are their reflectances, rough and not metallic, seen from both sides; the ground carries
//!   a picture of what lies on it. Patterns of walls, light passed by leaves and lamps are left out.
//! - Source: Khronos glTF 2.0 (ISO/IEC 12113).

use std::collections::BTreeMap;

use glam::{Affine3A, Vec3A};
use gltf_json as json;
use groundwright_picture::{MaterialMap, Mesh, to_srgb};
use json::validation::Checked::Valid;
use json::validation::USize64;

use crate::stage::Stage;

/// Most pixels along a side of the ground's picture.
const MOST_PIXELS: usize = 2048;

/// The stage as bytes.
///
/// # Errors
/// In words, where the picture of the ground cannot be encoded.
pub fn glb(stage: &Stage, title: &str) -> Result<Vec<u8>, String> {
    let mut model = Model::default();
    model.root.asset.generator = Some("groundwright".to_owned());
    model.root.buffers.push(json::Buffer {
        byte_length: USize64(0),
        name: None,
        uri: None,
        extensions: None,
        extras: json::Extras::default(),
    });
    let ground = stage.parts.maps.first().map(|map| model.ground(stage, map)).transpose()?;
    let mut meshes = BTreeMap::new();
    let mut children = Vec::new();
    for instance in &stage.parts.instances {
        let mesh = if let Some(made) = meshes.get(&instance.mesh) {
            *made
        } else {
            let made = model.mesh(stage, &stage.parts.meshes[instance.mesh], ground.as_ref());
            meshes.insert(instance.mesh, made);
            made
        };
        let node = json::Node { mesh: Some(mesh), matrix: matrix(&instance.pose), ..json::Node::default() };
        children.push(model.root.push(node));
    }
    // Our z is up, theirs is y.
    let turned = json::scene::UnitQuaternion([
        -std::f32::consts::FRAC_1_SQRT_2,
        0.0,
        0.0,
        std::f32::consts::FRAC_1_SQRT_2,
    ]);
    let top = model.root.push(json::Node {
        name: Some(title.to_owned()),
        rotation: Some(turned),
        children: Some(children),
        ..json::Node::default()
    });
    let scene = json::Scene {
        name: Some(title.to_owned()),
        nodes: vec![top],
        extensions: None,
        extras: json::Extras::default(),
    };
    model.root.scene = Some(model.root.push(scene));
    model.bytes()
}

/// A pose as a column-major matrix; nothing for one that changes nothing.
fn matrix(pose: &Affine3A) -> Option<[f32; 16]> {
    (*pose != Affine3A::IDENTITY).then(|| glam::Mat4::from(*pose).to_cols_array())
}

#[derive(Default)]
struct Model {
    root: json::Root,
    binary: Vec<u8>,
    materials: BTreeMap<u16, json::Index<json::Material>>,
}

/// The ground's material and where its picture lies.
struct Ground {
    material: json::Index<json::Material>,
    number: u16,
    corner: [f32; 2],
    size: [f32; 2],
}

impl Model {
    fn view(
        &mut self,
        bytes: &[u8],
        target: Option<json::buffer::Target>,
    ) -> json::Index<json::buffer::View> {
        // Every view begins at a multiple of four.
        while !self.binary.len().is_multiple_of(4) {
            self.binary.push(0);
        }
        let offset = self.binary.len();
        self.binary.extend_from_slice(bytes);
        self.root.push(json::buffer::View {
            buffer: json::Index::new(0),
            byte_length: USize64::from(bytes.len()),
            byte_offset: Some(USize64::from(offset)),
            byte_stride: None,
            name: None,
            target: target.map(Valid),
            extensions: None,
            extras: json::Extras::default(),
        })
    }

    fn accessor(&mut self, values: &[f32], wide: usize, bounds: bool) -> json::Index<json::Accessor> {
        let bytes: Vec<u8> = values.iter().flat_map(|value| value.to_le_bytes()).collect();
        let view = self.view(&bytes, Some(json::buffer::Target::ArrayBuffer));
        let fold = |start: f32, pick: fn(f32, f32) -> f32| -> json::Value {
            let axis = |i: usize| values.iter().skip(i).step_by(wide).copied().fold(start, pick);
            json::Value::from((0..wide).map(axis).collect::<Vec<f32>>())
        };
        let kind = if wide == 3 { json::accessor::Type::Vec3 } else { json::accessor::Type::Vec2 };
        self.root.push(json::Accessor {
            buffer_view: Some(view),
            byte_offset: Some(USize64(0)),
            count: USize64::from(values.len() / wide),
            component_type: Valid(json::accessor::GenericComponentType(json::accessor::ComponentType::F32)),
            type_: Valid(kind),
            min: bounds.then(|| fold(f32::INFINITY, f32::min)),
            max: bounds.then(|| fold(f32::NEG_INFINITY, f32::max)),
            name: None,
            normalized: false,
            sparse: None,
            extensions: None,
            extras: json::Extras::default(),
        })
    }

    fn material(&mut self, stage: &Stage, number: u16) -> json::Index<json::Material> {
        if let Some(made) = self.materials.get(&number) {
            return *made;
        }
        let back = stage.parts.materials[usize::from(number)].reflectance;
        let made = self.root.push(plain([back.x, back.y, back.z], None));
        self.materials.insert(number, made);
        made
    }

    /// The ground's material with a picture of what lies on it.
    fn ground(&mut self, stage: &Stage, map: &MaterialMap) -> Result<Ground, String> {
        let step = map.size[0].max(map.size[1]).div_ceil(MOST_PIXELS).max(1);
        let [width, height] = map.size.map(|side| side.div_ceil(step));
        let mut pixels = Vec::with_capacity(width * height * 3);
        for row in (0..height).rev() {
            for column in 0..width {
                let number = map.materials[row * step * map.size[0] + column * step];
                let back = stage.parts.materials[usize::from(number)].reflectance;
                pixels.extend([back.x, back.y, back.z].map(to_srgb));
            }
        }
        let mut png = Vec::new();
        let mut encoder = png::Encoder::new(&mut png, width as u32, height as u32);
        encoder.set_color(png::ColorType::Rgb);
        encoder.set_depth(png::BitDepth::Eight);
        let made = encoder.write_header().and_then(|mut writer| writer.write_image_data(&pixels));
        made.map_err(|e| format!("the picture of the ground cannot be made: {e}"))?;
        let view = self.view(&png, None);
        let image = self.root.push(json::Image {
            buffer_view: Some(view),
            mime_type: Some(json::image::MimeType("image/png".to_owned())),
            name: Some("ground".to_owned()),
            uri: None,
            extensions: None,
            extras: json::Extras::default(),
        });
        let sampler = self.root.push(json::texture::Sampler::default());
        let texture = self.root.push(json::Texture {
            name: None,
            sampler: Some(sampler),
            source: image,
            extensions: None,
            extras: json::Extras::default(),
        });
        let info = json::texture::Info {
            index: texture,
            tex_coord: 0,
            extensions: None,
            extras: json::Extras::default(),
        };
        let material = self.root.push(plain([1.0; 3], Some(info)));
        let number = stage.parts.materials.iter().position(|m| m.map == Some(0)).unwrap_or(0) as u16;
        let size = [width, height].map(|side| (side * step) as f32 * map.cell);
        Ok(Ground { material, number, corner: map.corner, size })
    }

    fn mesh(&mut self, stage: &Stage, mesh: &Mesh, ground: Option<&Ground>) -> json::Index<json::Mesh> {
        let mut parts: BTreeMap<u16, Vec<[Vec3A; 3]>> = BTreeMap::new();
        for (corners, material) in mesh.triangles() {
            parts.entry(material).or_default().push(corners);
        }
        let mut primitives = Vec::new();
        for (number, triangles) in parts {
            let places: Vec<f32> = triangles.iter().flatten().flat_map(Vec3A::to_array).collect();
            let mut attributes = BTreeMap::new();
            attributes.insert(Valid(json::mesh::Semantic::Positions), self.accessor(&places, 3, true));
            let carried = ground.filter(|ground| ground.number == number);
            let material = match carried {
                Some(ground) => {
                    let on = |at: &Vec3A| {
                        let share = |i: usize| (at[i] - ground.corner[i]) / ground.size[i];
                        [share(0).clamp(0.0, 1.0), 1.0 - share(1).clamp(0.0, 1.0)]
                    };
                    let places: Vec<f32> = triangles.iter().flatten().flat_map(on).collect();
                    attributes
                        .insert(Valid(json::mesh::Semantic::TexCoords(0)), self.accessor(&places, 2, false));
                    ground.material
                }
                None => self.material(stage, number),
            };
            primitives.push(json::mesh::Primitive {
                attributes,
                indices: None,
                material: Some(material),
                mode: Valid(json::mesh::Mode::Triangles),
                targets: None,
                extensions: None,
                extras: json::Extras::default(),
            });
        }
        self.root.push(json::Mesh {
            name: None,
            primitives,
            weights: None,
            extensions: None,
            extras: json::Extras::default(),
        })
    }

    /// Header, the JSON padded with spaces, the binary padded with zeros.
    fn bytes(mut self) -> Result<Vec<u8>, String> {
        while !self.binary.len().is_multiple_of(4) {
            self.binary.push(0);
        }
        self.root.buffers[0].byte_length = USize64::from(self.binary.len());
        let mut text = json::serialize::to_string(&self.root)
            .map_err(|e| format!("the model cannot be written: {e}"))?;
        while !text.len().is_multiple_of(4) {
            text.push(' ');
        }
        let whole = 12 + 8 + text.len() + 8 + self.binary.len();
        let mut out = Vec::with_capacity(whole);
        let number = |value: usize| -> Result<[u8; 4], String> {
            u32::try_from(value)
                .map(u32::to_le_bytes)
                .map_err(|_| "the model passes four gigabytes".to_owned())
        };
        out.extend_from_slice(b"glTF");
        out.extend_from_slice(&2u32.to_le_bytes());
        out.extend_from_slice(&number(whole)?);
        for (kind, chunk) in [(b"JSON", text.as_bytes()), (b"BIN\0", self.binary.as_slice())] {
            out.extend_from_slice(&number(chunk.len())?);
            out.extend_from_slice(kind);
            out.extend_from_slice(chunk);
        }
        Ok(out)
    }
}

fn plain([r, g, b]: [f32; 3], texture: Option<json::texture::Info>) -> json::Material {
    json::Material {
        double_sided: true,
        pbr_metallic_roughness: json::material::PbrMetallicRoughness {
            base_color_factor: json::material::PbrBaseColorFactor([r, g, b, 1.0]),
            base_color_texture: texture,
            metallic_factor: json::material::StrengthFactor(0.0),
            roughness_factor: json::material::StrengthFactor(1.0),
            ..json::material::PbrMetallicRoughness::default()
        },
        ..json::Material::default()
    }
}
