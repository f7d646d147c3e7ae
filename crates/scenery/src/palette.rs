//! Materials by words.
//!
//! - Reflectances are shares of linear light for each primary: usual values, common practice, no source.

use std::collections::BTreeMap;

use glam::Vec3A;
use groundwright_picture::{Colour, Material, Pattern};

/// Materials with the words under which they were asked for.
#[derive(Debug, Default)]
pub struct Palette {
    /// Materials by number.
    pub materials: Vec<Material>,
    numbers: BTreeMap<String, u16>,
}

impl Palette {
    /// The number of a material; made when it is asked for first.
    pub fn number(&mut self, words: &str, make: impl FnOnce() -> Material) -> u16 {
        if let Some(number) = self.numbers.get(words) {
            return *number;
        }
        let number = self.materials.len() as u16;
        self.materials.push(make());
        self.numbers.insert(words.to_owned(), number);
        number
    }

    /// What ground or paving of some words looks like.
    pub fn ground(&mut self, words: &str) -> u16 {
        let lower = words.to_lowercase();
        let has = |word: &str| lower.contains(word);
        let patches = |colour: [f32; 3], size, contrast| {
            Material::plain(Vec3A::from_array(colour)).with(Pattern::Patches { size, contrast })
        };
        let pavers = |colour: [f32; 3], length, width, joint| {
            Material::plain(Vec3A::from_array(colour)).with(Pattern::Pavers { length, width, joint })
        };
        self.number(&format!("ground {lower}"), || {
            if has("asphalt") {
                patches([0.075, 0.075, 0.078], 0.04, 0.45)
            } else if has("flagstone") || has("flags") || has("slab") {
                pavers([0.36, 0.33, 0.28], 0.62, 0.45, 0.012)
            } else if has("paver") {
                pavers([0.34, 0.31, 0.28], 0.2, 0.1, 0.004)
            } else if has("brick") {
                pavers([0.26, 0.125, 0.085], 0.21, 0.105, 0.008)
            } else if has("gravel") || has("stone") {
                patches([0.38, 0.35, 0.31], 0.018, 0.8)
            } else if has("board") || has("deck") || has("timber") || has("cedar") {
                pavers([0.30, 0.20, 0.13], 3.6, 0.14, 0.006)
            } else if has("water") {
                Material { smooth: true, ..Material::plain(Vec3A::new(0.012, 0.025, 0.028)) }
            } else if has("mulch") || has("bark") || has("chips") {
                patches([0.075, 0.053, 0.038], 0.05, 0.9)
            } else if has("turf") || has("lawn") {
                patches([0.055, 0.10, 0.025], 0.35, 0.25)
            } else if has("rough") || has("weed") || has("overgrown") {
                patches([0.085, 0.10, 0.04], 0.12, 0.6)
            } else if has("soil") {
                patches([0.12, 0.09, 0.065], 0.05, 0.5)
            } else {
                patches([0.40, 0.39, 0.37], 0.3, 0.12)
            }
        })
    }

    /// What an upright face of some words looks like.
    pub fn wall(&mut self, words: &str) -> u16 {
        let lower = words.to_lowercase();
        let has = |word: &str| lower.contains(word);
        self.number(&format!("wall {lower}"), || {
            if has("brick") {
                Material::plain(Vec3A::new(0.28, 0.13, 0.09)).with(Pattern::Courses {
                    length: 0.225,
                    height: 0.075,
                    joint: 0.011,
                    joint_share: 1.6,
                    contrast: 0.22,
                })
            } else if has("siding") || has("board") || has("clapboard") {
                Material::plain(Vec3A::new(0.56, 0.57, 0.53)).with(Pattern::Boards { height: 0.15 })
            } else if has("stone") {
                Material::plain(Vec3A::new(0.38, 0.35, 0.30)).with(Pattern::Courses {
                    length: 0.4,
                    height: 0.2,
                    joint: 0.015,
                    joint_share: 0.7,
                    contrast: 0.3,
                })
            } else if has("roof") || has("shingle") || has("tile") {
                Material::plain(Vec3A::new(0.12, 0.115, 0.11))
                    .with(Pattern::Patches { size: 0.25, contrast: 0.3 })
            } else if has("fixture") || has("bronze") {
                Material::plain(Vec3A::new(0.035, 0.03, 0.025))
            } else if has("steel") || has("edging") {
                Material::plain(Vec3A::new(0.09, 0.075, 0.065))
            } else if has("planter") || has("cedar") || has("timber") {
                Material::plain(Vec3A::new(0.30, 0.19, 0.12)).with(Pattern::Boards { height: 0.14 })
            } else {
                Material::plain(Vec3A::new(0.60, 0.58, 0.53))
                    .with(Pattern::Patches { size: 0.5, contrast: 0.05 })
            }
        })
    }
}

/// Light that leaves of a colour word throw back; a leaf passes about as much, greener still.
pub fn leaf_colour(word: &str) -> Colour {
    let rgb = match word {
        "grey-green" => [0.11, 0.15, 0.09],
        "blue-green" => [0.05, 0.105, 0.065],
        "silver" => [0.24, 0.27, 0.22],
        "blue-grey" => [0.13, 0.18, 0.17],
        "red" => [0.16, 0.035, 0.025],
        "yellow-green" => [0.14, 0.19, 0.03],
        "variegated" => [0.16, 0.21, 0.10],
        "bronze" => [0.12, 0.085, 0.035],
        "purple" => [0.075, 0.025, 0.05],
        "gold" => [0.28, 0.24, 0.03],
        "black" => [0.025, 0.022, 0.022],
        _ => [0.052, 0.105, 0.024],
    };
    Vec3A::from_array(rgb)
}

/// Light that flowers of a colour word throw back.
pub fn flower_colour(word: &str) -> Colour {
    let rgb = match word {
        "pink" => [0.62, 0.24, 0.38],
        "yellow" => [0.72, 0.56, 0.04],
        "purple" => [0.25, 0.09, 0.42],
        "red" => [0.52, 0.03, 0.04],
        "green" => [0.16, 0.24, 0.06],
        "blue" => [0.11, 0.15, 0.52],
        "cream" => [0.70, 0.64, 0.44],
        "tan" => [0.48, 0.38, 0.24],
        "brown" => [0.22, 0.12, 0.06],
        "yellow-green" => [0.46, 0.54, 0.12],
        "orange" => [0.68, 0.24, 0.03],
        "lilac" => [0.46, 0.30, 0.58],
        "maroon" => [0.22, 0.02, 0.04],
        "bronze" => [0.32, 0.19, 0.08],
        _ => [0.72, 0.71, 0.67],
    };
    Vec3A::from_array(rgb)
}
