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
