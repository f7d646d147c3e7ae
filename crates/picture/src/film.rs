//! What a picture has gathered so far.

use crate::colour::Colour;

/// A picture in the making: sums over samples, for each pixel and layer.
#[derive(Debug, Clone, PartialEq)]
pub struct Film {
    size: [u32; 2],
    layers: usize,
    /// Samples of every pixel so far.
    pub(crate) samples: u32,
    /// Light that came without chance: pixels row by row, layers, three primaries.
    pub(crate) sharp: Vec<f32>,
    /// Light that came by chance.
    pub(crate) soft: Vec<f32>,
    /// Of what is seen first: reflectance, normal, logarithm of the distance.
    pub(crate) features: Vec<[f32; 7]>,
}

/// How far a pass goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pass {
    /// Samples of every pixel to add.
    pub samples: u32,
    /// Seed; the same gives the same picture.
    pub seed: u32,
}

/// A picture in linear light.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// Columns and rows.
    pub size: [u32; 2],
    /// Luminance as colour, rows from the top. [cd/m²]
    pub pixels: Vec<Colour>,
}

impl Film {
    /// A blank film.
    pub fn new(size: [u32; 2], layers: usize) -> Self {
        let pixels = size[0] as usize * size[1] as usize;
        let values = pixels * layers * 3;
        Self {
            size,
            layers,
            samples: 0,
            sharp: vec![0.0; values],
            soft: vec![0.0; values],
            features: vec![[0.0; 7]; pixels],
        }
    }

    /// Takes up a film that was put away.
    ///
    /// # Returns
    /// Nothing where the lengths do not fit.
    pub fn from_sums(
        size: [u32; 2],
        layers: usize,
        samples: u32,
        [sharp, soft]: [Vec<f32>; 2],
        features: Vec<[f32; 7]>,
    ) -> Option<Self> {
        let pixels = size[0] as usize * size[1] as usize;
        let fits =
            sharp.len() == pixels * layers * 3 && soft.len() == sharp.len() && features.len() == pixels;
        fits.then_some(Self { size, layers, samples, sharp, soft, features })
    }

    /// Sums of light without and by chance: pixels row by row, layers, three primaries.
    pub fn sums(&self) -> [&[f32]; 2] {
        [&self.sharp, &self.soft]
    }

    /// Sums of what is seen first: reflectance, normal, logarithm of the distance.
    pub fn features(&self) -> &[[f32; 7]] {
        &self.features
    }

    /// Columns and rows.
    pub fn size(&self) -> [u32; 2] {
        self.size
    }

    /// How many layers it keeps.
    pub fn layers(&self) -> usize {
        self.layers
    }

    /// Samples of every pixel so far.
    pub fn samples(&self) -> u32 {
        self.samples
    }

    /// The mean so far with every layer at a level; all at 1 where none is given.
    pub fn picture(&self, levels: &[f32]) -> Picture {
        let scale = 1.0 / self.samples.max(1) as f32;
        let mut pixels = vec![Colour::ZERO; self.features.len()];
        for (i, pixel) in pixels.iter_mut().enumerate() {
            for layer in 0..self.layers {
                let level = levels.get(layer).copied().unwrap_or(1.0);
                let at = (i * self.layers + layer) * 3;
                let one = |values: &[f32]| Colour::new(values[at], values[at + 1], values[at + 2]);
                *pixel += (one(&self.sharp) + one(&self.soft)) * (level * scale);
            }
        }
        Picture { size: self.size, pixels }
    }

    /// The mean so far of one layer.
    pub fn layer(&self, layer: usize) -> Picture {
        let levels: Vec<f32> = (0..self.layers).map(|i| f32::from(i == layer)).collect();
        self.picture(&levels)
    }
}

impl Picture {
    /// Luminance of every pixel, rows from the top. [cd/m²]
    pub fn luminance(&self) -> impl Iterator<Item = f32> + '_ {
        self.pixels.iter().map(|pixel| crate::colour::luminance(*pixel))
    }
}

/// First bytes of a film that was put away.
const MARK: &[u8; 8] = b"GWFILM01";

impl Film {
    /// The film as bytes, to be put away and taken up later.
    ///
    /// # Arguments
    /// - `key`: what it belongs to; it is only taken up under the same.
    pub fn to_bytes(&self, key: u128) -> Vec<u8> {
        let floats = self.sharp.len() + self.soft.len() + 7 * self.features.len();
        let mut bytes = Vec::with_capacity(40 + 4 * floats);
        bytes.extend_from_slice(MARK);
        bytes.extend_from_slice(&key.to_le_bytes());
        for number in [self.size[0], self.size[1], self.layers as u32, self.samples] {
            bytes.extend_from_slice(&number.to_le_bytes());
        }
        let features = self.features.iter().flatten();
        for value in self.sharp.iter().chain(&self.soft).chain(features) {
            bytes.extend_from_slice(&value.to_le_bytes());
        }
        bytes
    }

    /// Takes up a film from bytes; nothing where they are another's, or broken.
    pub fn from_bytes(bytes: &[u8], key: u128) -> Option<Self> {
        let rest = bytes.strip_prefix(MARK)?.strip_prefix(key.to_le_bytes().as_slice())?;
        let (head, body) = rest.split_at_checked(16)?;
        let number = |i: usize| u32::from_le_bytes([head[i], head[i + 1], head[i + 2], head[i + 3]]);
        let (size, layers, samples) = ([number(0), number(4)], number(8) as usize, number(12));
        let pixels = (size[0] as usize).checked_mul(size[1] as usize)?;
        let each = pixels.checked_mul(layers)?.checked_mul(3)?;
        if body.len() != (2 * each + 7 * pixels).checked_mul(4)? {
            return None;
        }
        let floats: Vec<f32> =
            body.chunks_exact(4).map(|c| f32::from_le_bytes([c[0], c[1], c[2], c[3]])).collect();
        let (sharp, rest) = floats.split_at(each);
        let (soft, features) = rest.split_at(each);
        let features = features.chunks_exact(7).map(|c| std::array::from_fn(|i| c[i])).collect();
        Self::from_sums(size, layers, samples, [sharp.to_vec(), soft.to_vec()], features)
    }
}
