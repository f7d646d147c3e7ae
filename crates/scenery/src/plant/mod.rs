//! Plants as bodies: branches, leaves, blades, fronds and flowers, grown from a seed.
//!
//! - In: what sort of plant, its size, the month. Out: a [`Shape`] whose foot stands at the origin.
//! - Woody plants grow towards clumps of leaves spread through their crown; what has no wood is a tuft
//!   of blades, a mound of leaves or a crown of fronds.
//! - The area of leaves follows a leaf area index over the ground covered; where that would be more
//!   leaves than wanted, fewer and larger ones carry the same area.

mod blades;
mod cover;
mod fronds;
mod needles;
mod woody;

use glam::Vec3A;
use groundwright_handoff::CrownForm;
use groundwright_picture::{Colour, Material};
use groundwright_plan::stock::{Foliage, Habit, PlantKind, Taxon};
use groundwright_scene::{LeafSeason, form_of};

use crate::dice::Dice;
use crate::palette::{Palette, flower_colour, leaf_colour};
use crate::shape::Shape;

/// What is grown.
#[derive(Debug, Clone, PartialEq)]
pub struct Grown {
    /// How it is built.
    pub build: Build,
    /// Form of the crown.
    pub form: CrownForm,
    /// Form as the trade calls it.
    pub habit: Habit,
    /// Height. [m]
    pub height: f32,
    /// Radius. [m]
    pub radius: f32,
    /// Height of the lowest leaves. [m]
    pub clear: f32,
    /// Radius of the trunk, where it was measured. [m]
    pub trunk: Option<f32>,
    /// Share of leaves that are out, 0 to 1.
    pub in_leaf: f32,
    /// Whether it is in flower.
    pub in_flower: bool,
    /// Numbers of materials.
    pub paint: Paint,
}

/// How a plant is built.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Build {
    /// Trunk, branches, clumps of leaves.
    Woody,
    /// A leader with whorls of branches and needles.
    Needles,
    /// A tuft of narrow blades.
    Blades,
    /// A tuft of broad strap leaves.
    Straps,
    /// A crown of fronds on the ground.
    Fern,
    /// A crown of fronds on a trunk.
    Palm,
    /// A mound or mat of leaves with stems of flowers.
    Mound,
}

/// Numbers of a plant's materials.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Paint {
    /// Wood.
    pub bark: u16,
    /// Leaves.
    pub leaf: u16,
    /// Leaves of a second shade.
    pub second: u16,
    /// Flowers.
    pub flower: u16,
}

/// Genera with strap leaves: common practice, no source.
const STRAPS: [&str; 24] = [
    "Agapanthus",
    "Agave",
    "Aloe",
    "Aspidistra",
    "Clivia",
    "Crinum",
    "Crocosmia",
    "Dianella",
    "Dietes",
    "Hemerocallis",
    "Hesperaloe",
    "Iris",
    "Kniphofia",
    "Liriope",
    "Ophiopogon",
    "Phormium",
    "Sisyrinchium",
    "Tulbaghia",
    "Yucca",
    "Cordyline",
    "Narcissus",
    "Tulipa",
    "Allium",
    "Lilium",
];

/// A plant of a taxon at a size and a day.
///
/// # Arguments
/// - `clear`: height of the lowest leaves; the usual of its kind where none is known. [m]
/// - `day`: of the year; `south`: of the equator.
pub fn of_taxon(
    taxon: &Taxon,
    palette: &mut Palette,
    [height, radius]: [f64; 2],
    clear: Option<f64>,
    trunk: Option<f64>,
    (month, day, south): (u8, f64, bool),
) -> Grown {
    let season = LeafSeason::TEMPERATE;
    let falls = matches!(taxon.foliage, Some(Foliage::Deciduous));
    let in_leaf = match taxon.foliage {
        Some(Foliage::Deciduous | Foliage::Herbaceous | Foliage::Annual) => season.in_leaf(day, south),
        Some(Foliage::SemiEvergreen) => 0.5 + 0.5 * season.in_leaf(day, south),
        _ => 1.0,
    };
    let build = build_of(taxon);
    let usual_clear = match build {
        Build::Woody if taxon.kind == PlantKind::Tree => 0.25 * height,
        Build::Woody => 0.08 * height,
        Build::Palm => 0.6 * height,
        _ => 0.0,
    };
    let turned = if falls { autumn(&taxon.id.to_string(), &season, day, south) } else { None };
    let form = if taxon.kind == PlantKind::Palm { CrownForm::Ellipsoid } else { form_of(taxon.habit) };
    Grown {
        build,
        form,
        habit: taxon.habit.unwrap_or(Habit::Rounded),
        height: height as f32,
        radius: radius as f32,
        clear: clear.unwrap_or(usual_clear) as f32,
        trunk: trunk.map(|v| v as f32),
        in_leaf: in_leaf as f32,
        in_flower: taxon.blooms_in(month),
        paint: paint(taxon, palette, turned),
    }
}

/// A plant that the stock does not know: rounded and green.
pub fn unknown(palette: &mut Palette, [height, radius]: [f64; 2], clear: f64, trunk: Option<f64>) -> Grown {
    Grown {
        build: Build::Woody,
        form: CrownForm::Ellipsoid,
        habit: Habit::Rounded,
        height: height as f32,
        radius: radius as f32,
        clear: clear as f32,
        trunk: trunk.map(|v| v as f32),
        in_leaf: 1.0,
        in_flower: false,
        paint: Paint {
            bark: bark(palette),
            leaf: leaf(palette, "green", leaf_colour("green"), 1.0),
            second: leaf(palette, "green light", leaf_colour("green"), 1.25),
            flower: bark(palette),
        },
    }
}

fn build_of(taxon: &Taxon) -> Build {
    let genus = taxon.botanical.split_whitespace().next().unwrap_or_default();
    let straps = STRAPS.contains(&genus);
    match taxon.kind {
        PlantKind::Conifer => Build::Needles,
        PlantKind::Palm => Build::Palm,
        PlantKind::Grass => Build::Blades,
        PlantKind::Fern => Build::Fern,
        PlantKind::Bulb => Build::Straps,
        PlantKind::Perennial | PlantKind::Shrub | PlantKind::Groundcover if straps => Build::Straps,
        PlantKind::Perennial | PlantKind::Groundcover | PlantKind::Annual => Build::Mound,
        PlantKind::Tree | PlantKind::Shrub | PlantKind::Vine => Build::Woody,
    }
}

/// Colour of leaves about to fall, with how far they have turned.
fn autumn(id: &str, season: &LeafSeason, day: f64, south: bool) -> Option<(Colour, f32)> {
    let day = if south { (day + 182.5) % 365.0 } else { day };
    let turned = ((day - (season.fall - 38.0)) / 30.0).clamp(0.0, 1.0) as f32;
    let colours = [[0.34, 0.26, 0.03], [0.36, 0.14, 0.02], [0.26, 0.04, 0.02], [0.24, 0.15, 0.05]];
    let pick = (Dice::of(id, 77).share() * colours.len() as f32) as usize;
    (turned > 0.0).then(|| (Vec3A::from_array(colours[pick.min(3)]), turned))
}

fn paint(taxon: &Taxon, palette: &mut Palette, turned: Option<(Colour, f32)>) -> Paint {
    // Needles are darker than leaves of the same word.
    let darker = if taxon.kind == PlantKind::Conifer { 0.7 } else { 1.0 };
    let base = leaf_colour(&taxon.leaf_colour) * darker;
    // Kinds differ a little even in one word of colour.
    let mut dice = Dice::of(&taxon.id.to_string(), 5);
    let shade = Vec3A::new(dice.between(0.85, 1.2), dice.between(0.88, 1.12), dice.between(0.8, 1.25));
    let colour = match turned {
        Some((autumn, share)) => (base * shade).lerp(autumn, share),
        None => base * shade,
    };
    let key = format!("{} {turned:?}", taxon.id);
    Paint {
        bark: bark(palette),
        leaf: leaf(palette, &key, colour, 1.0),
        second: leaf(palette, &format!("{key} light"), colour, 1.3),
        flower: palette.number(&format!("flower {}", taxon.bloom_colour), || {
            let colour = flower_colour(&taxon.bloom_colour);
            Material::leaf(colour * 0.8, colour * 0.15)
        }),
    }
}

fn bark(palette: &mut Palette) -> u16 {
    palette.number("bark", || {
        Material::plain(Vec3A::new(0.115, 0.095, 0.075))
            .with(groundwright_picture::Pattern::Patches { size: 0.06, contrast: 0.5 })
    })
}

fn leaf(palette: &mut Palette, key: &str, colour: Colour, lighter: f32) -> u16 {
    palette.number(&format!("leaf {key}"), || {
        let back = (colour * lighter).min(Vec3A::splat(0.5));
        // Passed light has lost more of its blue and red.
        Material::leaf(back, (back * Vec3A::new(0.8, 0.95, 0.5)).min(Vec3A::splat(0.45)))
    })
}

/// Grows a plant.
///
/// # Arguments
/// - `seed`: words and a number from which all chance comes.
/// - `most`: most leaves of it.
pub fn grow(grown: &Grown, seed: (&str, u64), most: usize) -> Shape {
    let mut dice = Dice::of(seed.0, seed.1);
    let mut shape = Shape::default();
    match grown.build {
        Build::Woody => woody::grow(grown, &mut dice, most, &mut shape),
        Build::Needles => needles::grow(grown, &mut dice, most, &mut shape),
        Build::Blades => blades::tuft(grown, &mut dice, &blades::NARROW, &mut shape),
        Build::Straps => blades::tuft(grown, &mut dice, &blades::STRAP, &mut shape),
        Build::Fern => fronds::crown(grown, &mut dice, Vec3A::ZERO, &mut shape),
        Build::Palm => fronds::palm(grown, &mut dice, &mut shape),
        Build::Mound => cover::mound(grown, &mut dice, most, &mut shape),
    }
    shape
}

/// Greatest radius of the crown at a share of its height, over the whole radius.
pub(crate) fn outline(form: CrownForm, share: f32) -> f32 {
    let z = share.clamp(0.0, 1.0);
    match form {
        CrownForm::Ellipsoid => (1.0 - (2.0 * z - 1.0).powi(2)).max(0.0).sqrt(),
        CrownForm::Dome => (1.0 - z * z).max(0.0).sqrt(),
        CrownForm::Cone => 1.0 - z,
        CrownForm::Cylinder => (1.0 - z.powi(8)).max(0.0).sqrt(),
        CrownForm::Vase => z.sqrt(),
    }
}

/// How many leaves of which length carry a leaf area index over the ground covered.
///
/// # Returns
/// Count and length [m]; lengthened where the count would pass `most`.
pub(crate) fn leaves(index: f32, radius: f32, length: f32, width_share: f32, most: usize) -> (usize, f32) {
    let area = index * std::f32::consts::PI * radius * radius;
    // A kite has half of length times width.
    let of_one = |length: f32| 0.5 * length * length * width_share;
    let wanted = (area / of_one(length)).ceil();
    if wanted <= most as f32 {
        return (wanted as usize, length);
    }
    (most, (2.0 * area / (most as f32 * width_share)).sqrt())
}
