//! Layers on which the site draws: the base below every drawing, and existing conditions.

use groundwright_handoff::{Drawing, Layer};

const EVERY: &[Drawing] = &[
    Drawing::Existing,
    Drawing::Planting,
    Drawing::Transplants,
    Drawing::Ground,
    Drawing::Levels,
    Drawing::Drainage,
    Drawing::Sun,
    Drawing::Shadows,
    Drawing::Survey,
    Drawing::Walls,
    Drawing::Lighting,
    Drawing::Night,
    Drawing::Irrigation,
    Drawing::Evenness,
];
const EXISTING: &[Drawing] = &[Drawing::Existing];
const PLANTED: &[Drawing] = &[Drawing::Existing, Drawing::Planting];
const DIGGING: &[Drawing] = &[Drawing::Existing, Drawing::Planting, Drawing::Ground];

macro_rules! layers {
    ($($(#[$doc:meta])* $layer:ident = $name:literal, $title:literal, $on:ident, $order:literal;)*) => {
        $($(#[$doc])*
        pub static $layer: Layer = Layer { name: $name, title: $title, on: $on, order: $order };)*
    };
}

layers! {
    /// Streets, sidewalks, kerbs.
    PUBLIC = "BASE-PUBLIC", "Street, sidewalk, curb", EVERY, 100;
    /// Water.
    WATER = "BASE-WATER", "Water", EVERY, 101;
    /// Walks, drives, patios, decks.
    SURFACE = "BASE-SURFACE", "Paving and decks", EVERY, 102;
    /// Buildings.
    BUILDING = "BASE-BUILDING", "Building", EVERY, 110;
    /// Windows.
    WINDOW = "BASE-WINDOW", "Window", EVERY, 115;
    /// Vents.
    VENT = "BASE-VENT", "Vent: keep free", EVERY, 116;
    /// Doors.
    DOOR = "BASE-DOOR", "Door", EVERY, 117;
    /// The property line.
    BOUNDARY = "BASE-BOUNDARY", "Property line", EVERY, 120;
    /// Trunks of kept trees.
    TREE = "BASE-TREE-KEEP", "Tree that stays", EVERY, 130;
    /// Kept shrubs.
    SHRUB = "BASE-SHRUB-KEEP", "Shrub that stays", EVERY, 131;
    /// Names of buildings.
    NAME = "BASE-NAME", "Names of buildings", EVERY, 140;

    /// Overgrown ground.
    OVERGROWN = "EXIST-OVERGROWN", "Overgrown: clear", EXISTING, 200;
    /// Easements.
    EASEMENT = "EXIST-EASEMENT", "Easement", EXISTING, 205;
    /// Setbacks and rights of way.
    PAPER = "EXIST-SETBACK", "Setback, right of way", EXISTING, 206;
    /// Sight triangles.
    SIGHT = "EXIST-SIGHT", "Sight triangle", EXISTING, 207;
    /// Crowns of what stays.
    CROWN_KEEP = "EXIST-CROWN-KEEP", "Crown of what stays", PLANTED, 210;
    /// Crowns of what goes.
    CROWN_REMOVE = "EXIST-CROWN-REMOVE", "Crown of what goes", EXISTING, 211;
    /// Crowns of what is moved.
    CROWN_MOVE = "EXIST-CROWN-MOVE", "Crown of what is moved", EXISTING, 212;
    /// Protection circles.
    PROTECTION = "EXIST-PROTECTION", "Tree protection: no digging, no machine", DIGGING, 215;
    /// Buried services.
    SERVICE = "EXIST-SERVICE", "Buried service: W G E T S", DIGGING, 220;
    /// Letters on buried services.
    SERVICE_LETTER = "EXIST-SERVICE-LETTER", "Letters on buried services", DIGGING, 223;
    /// Buried pipes and cables of the garden.
    PIPE = "EXIST-PIPE", "Buried pipe or cable of the garden", EXISTING, 221;
    /// Single buried things.
    FITTING = "EXIST-FITTING", "Head, valve, buried fitting", EXISTING, 222;
    /// Wires overhead.
    WIRE = "EXIST-WIRE", "Overhead wire", EXISTING, 225;
    /// Plants that go.
    REMOVE = "EXIST-REMOVE", "Remove", EXISTING, 230;
    /// Plants that are dug.
    MOVE = "EXIST-MOVE", "Dig and move", EXISTING, 231;
    /// Downspouts.
    DOWNSPOUT = "EXIST-DOWNSPOUT", "Downspout", EXISTING, 240;
    /// Meters, boxes, machines.
    UTILITY = "EXIST-UTILITY", "Meter, box, machine", EXISTING, 241;
    /// Reference points.
    REFERENCE = "EXIST-REFERENCE", "Reference point", EXISTING, 250;
    /// Viewpoints.
    VIEWPOINT = "EXIST-VIEWPOINT", "Viewpoint", EXISTING, 251;
    /// The drop place.
    DROP = "EXIST-DROP", "Drop place for deliveries", EXISTING, 252;
    /// Where photos were taken.
    PHOTO = "EXIST-PHOTO", "Photo, where it was taken and towards what", EXISTING, 253;
    /// Words: materials, letters on lines.
    WORDS = "EXIST-WORDS", "Materials and letters", EXISTING, 260;
    /// Tags of plants and overgrown ground.
    TAG = "EXIST-TAG", "Tag: plant, keep, move or remove", EXISTING, 900;
    /// Tags of utilities.
    UTILITY_TAG = "EXIST-UTILITY-TAG", "Tag of a utility", EXISTING, 901;
}

/// All layers, in order of painting.
pub static ALL: [&Layer; 35] = [
    &PUBLIC,
    &WATER,
    &SURFACE,
    &BUILDING,
    &WINDOW,
    &VENT,
    &DOOR,
    &BOUNDARY,
    &TREE,
    &SHRUB,
    &NAME,
    &OVERGROWN,
    &EASEMENT,
    &PAPER,
    &SIGHT,
    &CROWN_KEEP,
    &CROWN_REMOVE,
    &CROWN_MOVE,
    &PROTECTION,
    &SERVICE,
    &SERVICE_LETTER,
    &PIPE,
    &FITTING,
    &WIRE,
    &REMOVE,
    &MOVE,
    &DOWNSPOUT,
    &UTILITY,
    &REFERENCE,
    &VIEWPOINT,
    &DROP,
    &PHOTO,
    &WORDS,
    &TAG,
    &UTILITY_TAG,
];
