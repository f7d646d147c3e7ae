//! Layers on which the site draws.

use groundwright_handoff::{Drawing, Layer};

const ALL: &[Drawing] = &[Drawing::Existing, Drawing::Planting, Drawing::Transplants, Drawing::Ground];
const EXISTING: &[Drawing] = &[Drawing::Existing];

macro_rules! layers {
    ($($(#[$doc:meta])* $id:ident = $name:literal, $title:literal, $on:expr, $order:literal;)*) => {
        $($(#[$doc])* pub static $id: Layer = Layer { name: $name, title: $title, on: $on, order: $order };)*
    };
}

layers! {
    /// Washes of surfaces.
    SURFACE = "BASE-PAVING", "Paving", ALL, 100;
    /// Water.
    WATER = "BASE-WATER", "Water", ALL, 101;
    /// Property line.
    BOUNDARY = "BASE-BOUNDARY", "Property line", ALL, 110;
    /// Buildings.
    BUILDING = "BASE-BUILDING", "Building", ALL, 120;
    /// Doors, windows, vents.
    OPENING = "BASE-OPENING", "Window or vent", ALL, 121;
    /// Doors.
    DOOR = "BASE-DOOR", "Door", ALL, 122;
    /// Names of base things.
    BASE_NAME = "BASE-NAME", "Names", ALL, 890;
    /// Setbacks and rights of way.
    PAPER = "BASE-PAPER-LINE", "Setback, easement or sight line", EXISTING, 205;
    /// Overgrown ground.
    OVERGROWN = "EXIST-OVERGROWN", "Overgrown: clear", EXISTING, 210;
    /// Buried lines.
    BURIED = "EXIST-BURIED", "Buried line, by letter", EXISTING, 220;
    /// Buried single things.
    BURIED_SPOT = "EXIST-BURIED-SPOT", "Head, valve or buried fitting", EXISTING, 221;
    /// Letters along buried lines.
    BURIED_LETTER = "EXIST-BURIED-LETTER", "Letters of buried lines", EXISTING, 891;
    /// Overhead wires.
    WIRE = "EXIST-WIRE", "Wire overhead", EXISTING, 225;
    /// Downspouts.
    DOWNSPOUT = "EXIST-DOWNSPOUT", "Downspout", EXISTING, 226;
    /// Utilities.
    UTILITY = "EXIST-UTILITY", "Meter, box or machine", EXISTING, 227;
    /// Trunks of kept trees.
    TRUNK = "EXIST-TREE-KEEP", "Tree that stays", ALL, 240;
    /// Crowns of kept trees.
    CROWN = "EXIST-CROWN-KEEP", "Crown of a tree that stays", ALL, 239;
    /// Protection rings.
    PROTECTION = "EXIST-PROTECTION", "Tree protection ring", EXISTING, 241;
    /// Kept shrubs.
    SHRUB = "EXIST-SHRUB-KEEP", "Shrub that stays", ALL, 245;
    /// What goes.
    REMOVE = "EXIST-REMOVE", "Remove", EXISTING, 250;
    /// What is moved.
    MOVE = "EXIST-MOVE", "Dig and move", EXISTING, 251;
    /// Viewpoints.
    EYE = "EXIST-VIEWPOINT", "Viewpoint", EXISTING, 260;
    /// Reference points.
    REFERENCE = "EXIST-REFERENCE", "Reference point", EXISTING, 261;
    /// Drop place.
    DROP = "EXIST-DROP-PLACE", "Drop place for deliveries", EXISTING, 262;
    /// Tags.
    TAG = "EXIST-TAG", "Tag", EXISTING, 900;
}
