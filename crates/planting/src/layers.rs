//! Layers on which planting draws.

use groundwright_handoff::{Drawing, Layer};

const PLANTED: &[Drawing] = &[Drawing::Planting];
const SET: &[Drawing] = &[Drawing::Planting, Drawing::Transplants];
const GROUND: &[Drawing] = &[Drawing::Ground];
const ALL: &[Drawing] = &[
    Drawing::Planting,
    Drawing::Transplants,
    Drawing::Ground,
    Drawing::Lighting,
    Drawing::Night,
    Drawing::Irrigation,
    Drawing::Evenness,
];

/// Bed lines and boxes.
pub static BED: Layer = Layer { name: "BED-LINE", title: "Bed line", on: ALL, order: 400 };
/// Planter boxes.
pub static PLANTER_BOX: Layer = Layer { name: "PLANTER-BOX", title: "Raised box", on: ALL, order: 401 };
/// Turf.
pub static LAWN: Layer = Layer { name: "LAWN", title: "Lawn", on: ALL, order: 380 };
/// Names of lawns.
pub static LAWN_NAME: Layer = Layer {
    name: "LAWN-NAME",
    title: "Name of a lawn",
    on: &[Drawing::Planting, Drawing::Ground],
    order: 904,
};
/// Mulch and soil.
pub static MULCH: Layer = Layer { name: "MULCH", title: "Mulched ground", on: GROUND, order: 95 };
/// Words about soil and mulch.
pub static GROUND_NOTES: Layer =
    Layer { name: "GROUND-NOTES", title: "Soil and mulch", on: GROUND, order: 905 };
/// Crowns after six years.
pub static CROWN_SIX: Layer =
    Layer { name: "PLANT-CROWN-6Y", title: "Crown after six years", on: PLANTED, order: 420 };
/// Mature crowns, outlines only.
pub static CROWN_MATURE: Layer =
    Layer { name: "PLANT-CROWN-MATURE", title: "Mature crown, outline", on: PLANTED, order: 410 };
/// Pot centres.
pub static POT: Layer =
    Layer { name: "PLANT-POT", title: "Pot centre of a new plant", on: PLANTED, order: 450 };
/// Pot centres of the second plant of a mixture.
pub static POT_SECOND: Layer =
    Layer { name: "PLANT-POT-2", title: "The same, second of a mixture", on: PLANTED, order: 450 };
/// Pot centres of the third plant of a mixture.
pub static POT_THIRD: Layer =
    Layer { name: "PLANT-POT-3", title: "The same, third of a mixture", on: PLANTED, order: 450 };
/// Pot centres of the fourth and any further plant of a mixture.
pub static POT_FOURTH: Layer =
    Layer { name: "PLANT-POT-4", title: "The same, fourth of a mixture", on: PLANTED, order: 450 };
/// New holes of transplants.
pub static TRANSPLANT: Layer =
    Layer { name: "PLANT-TRANSPLANT", title: "Hole of a transplant", on: SET, order: 451 };
/// Ranks beside pots.
pub static RANK: Layer =
    Layer { name: "PLANT-RANK", title: "Best pots first: rank", on: PLANTED, order: 455 };
/// Numbers of the holes of transplants, as the table counts them.
pub static HOLE_NUMBER: Layer = Layer {
    name: "TRANSPLANT-NUMBER",
    title: "Number of a hole in its planting",
    on: &[Drawing::Transplants],
    order: 456,
};
/// The way of transplants.
pub static WAY: Layer = Layer {
    name: "TRANSPLANT-WAY",
    title: "From the old place to the new",
    on: &[Drawing::Transplants],
    order: 430,
};
/// Where transplants are dug.
pub static DUG: Layer =
    Layer { name: "TRANSPLANT-DUG", title: "Dug here", on: &[Drawing::Transplants], order: 431 };
/// Tags of transplants.
pub static WAY_TAG: Layer =
    Layer { name: "TRANSPLANT-TAG", title: "Transplant tag", on: &[Drawing::Transplants], order: 901 };
/// Tags of groups.
pub static TAG: Layer = Layer { name: "PLANT-TAG", title: "Tag: count, plant", on: PLANTED, order: 900 };
/// Remarks.
pub static NOTE: Layer = Layer { name: "NOTES", title: "Note", on: PLANTED, order: 902 };
/// Names of beds.
pub static BED_NAME: Layer = Layer { name: "BED-NAME", title: "Name of a bed", on: GROUND, order: 903 };
/// The planting detail.
pub static DETAIL: Layer =
    Layer { name: "DETAIL", title: "Planting detail", on: &[Drawing::Detail], order: 500 };
/// Words of the detail.
pub static DETAIL_TEXT: Layer =
    Layer { name: "DETAIL-TEXT", title: "Planting detail, words", on: &[Drawing::Detail], order: 910 };
