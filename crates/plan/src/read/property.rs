//! `property.toml`.

use groundwright_units::{LengthUnit, System};

use super::measure::Measure;
use super::{DeclaredUnits, Node};
use crate::identity::{ElementId, Kind, TaxonId};
use crate::property::{
    Access, Action, Boundary, Building, Buried, Condition, Downspout, HardinessZone, Opening, Overgrown,
    OverheadWire, PaperLine, Photo, Picture, Property, Reference, Roof, Shrub, Situation, SoilTexture,
    Surface, Taped, Tree, Utility, Viewpoint, ViewpointRole, Wishes,
};
use crate::shape::{Line, Place};
use crate::standing::Given;

/// The reader's system and the unit of bare numbers; noted as a fault where they are not declared.
pub(super) fn read_units(root: &Node<'_, '_>) -> Option<(System, DeclaredUnits)> {
    const EXPECTED: &str = "`units = \"decimal ft\"` (bare numbers are feet and tenths), \
                            `\"ft\"` (a bare decimal is questioned), or `\"m\"`";
    let Some(text) = root.text("units") else {
        if !root.has("units") {
            root.fault("units", "the project declares no units").expected(EXPECTED).note(root.reading);
        }
        return None;
    };
    let declared = DeclaredUnits::from_word(&text);
    if declared.is_none() {
        root.fault("units", format!("`{text}` is not known")).expected(EXPECTED).note(root.reading);
    }
    declared
}

/// Reads the property.
pub(super) fn read(root: &Node<'_, '_>, system: System, length_unit: LengthUnit) -> Property {
    root.text("units");
    let name = root.required_text("name", "the name of the job in quotes");
    Property {
        name,
        address: root.text("address").unwrap_or_default(),
        client: root.text("client").unwrap_or_default(),
        system,
        length_unit,
        north: root.quantity_or(
            "north",
            Measure::Angle,
            (-std::f64::consts::PI, 2.0 * std::f64::consts::PI),
            (0.0, 0.26),
            "plan north is taken for true north; turn it by a compass or a map",
        ),
        street: root.text("street").map(ElementId),
        place: situation(root),
        boundary: boundary(root),
        references: each(root, Kind::Reference, |node, id| {
            let place = node.required_place("at")?;
            let Place::At(at) = place else {
                node.fault("at", "a reference point refers to another")
                    .expected("coordinates [x, y]")
                    .note(node.reading);
                return None;
            };
            Some(Reference { id, at: Given::stated(at) })
        }),
        buildings: each(root, Kind::Building, |node, id| {
            Some(Building {
                label: label(node, &id),
                id,
                outline: node.outline("outline"),
                floor: length_or(
                    node,
                    "floor",
                    (-5.0, 10.0),
                    (0.45, 0.3),
                    "a floor about a step and a half above grade",
                ),
                eave: length_or(node, "eave", (1.5, 40.0), (2.9, 0.6), "eaves of one storey"),
                roof: node.given_choice("roof", Roof::Gable, "the commonest roof"),
                pitch: node.quantity_or(
                    "pitch",
                    Measure::Pitch,
                    (0.0, 4.0),
                    (0.417, 0.17),
                    "an ordinary roof of 5 in 12",
                ),
                overhang: length_or(node, "overhang", (0.0, 3.0), (0.4, 0.2), "an ordinary overhang"),
                siding: node.given_text("siding", "not stated", "the siding was not noted"),
                siding_foot: node.quantity("siding_foot", Measure::Length, -1.0, 5.0),
            })
        }),
        openings: each(root, Kind::Opening, |node, id| {
            let (kind, at) = (node.required_choice("kind"), node.required_place("at"));
            Some(Opening {
                id,
                building: ElementId(node.required_text("building", "the id of its building")),
                width: length_or(node, "width", (0.05, 12.0), (0.9, 0.3), "an ordinary opening"),
                sill: length_or(node, "sill", (-3.0, 20.0), (0.9, 0.6), "an ordinary sill"),
                kind: kind?,
                at: at?,
            })
        }),
        surfaces: each(root, Kind::Surface, |node, id| {
            let kind = node.required_choice("kind");
            Some(Surface {
                id,
                material: node.given_text("material", "not stated", "the material was not noted"),
                accessible: node.flag("accessible", false),
                outline: node.outline("outline"),
                kind: kind?,
            })
        }),
        trees: each(root, Kind::Tree, tree),
        shrubs: each(root, Kind::Shrub, shrub),
        overgrown: each(root, Kind::Overgrown, |node, id| {
            let (taxon, name) = plant(node);
            Some(Overgrown {
                id,
                taxon,
                name,
                outline: node.outline("outline"),
                height: length_or(node, "height", (0.05, 10.0), (1.2, 0.5), "growth up to the chest"),
            })
        }),
        buried: each(root, Kind::Buried, buried),
        downspouts: each(root, Kind::Downspout, |node, id| {
            let at = node.required_place("at");
            Some(Downspout {
                id,
                roof_area: node.quantity_or(
                    "roof_area",
                    Measure::Area,
                    (0.0, 2000.0),
                    (40.0, 20.0),
                    "an ordinary roof on four downspouts",
                ),
                outlet: node.given_text("outlet", "not stated", "where the water goes was not noted"),
                at: at?,
            })
        }),
        utilities: each(root, Kind::Utility, |node, id| {
            let at = node.required_place("at");
            Some(Utility {
                name: node.text("name").unwrap_or_else(|| id.to_string()),
                id,
                clearance: length_or(node, "clearance", (0.0, 10.0), (0.9, 0.3), "room to kneel and work"),
                screen: node.flag("screen", false),
                at: at?,
            })
        }),
        paper_lines: each(root, Kind::PaperLine, |node, id| {
            let closed = node.has("outline");
            let line = if closed { node.outline("outline") } else { node.line("line").unwrap_or_default() };
            require_line(node, &line, "outline` or `line");
            let height_limit = node.quantity("height_limit", Measure::Length, 0.0, 20.0);
            Some(PaperLine { id, kind: node.required_choice("kind")?, line, closed, height_limit })
        }),
        overhead_wires: each(root, Kind::OverheadWire, |node, id| {
            let line = node.line("line").unwrap_or_default();
            require_line(node, &line, "line");
            Some(OverheadWire {
                id,
                line,
                height: length_or(node, "height", (2.0, 60.0), (5.5, 1.5), "a service drop"),
            })
        }),
        access: access(root),
        viewpoints: each(root, Kind::Viewpoint, |node, id| {
            let at = node.required_place("at");
            Some(Viewpoint {
                id,
                role: node.given_choice("role", ViewpointRole::Walk, "any place on a walk").value,
                looking: node.place("looking"),
                eye: length_or(node, "eye", (0.3, 20.0), (1.6, 0.15), "the eye of a standing adult"),
                weight: node.quantity_or(
                    "weight",
                    Measure::Number,
                    (0.0, 100.0),
                    (1.0, 0.5),
                    "all viewpoints count alike",
                ),
                at: at?,
            })
        }),
        ground: super::ground::found(root),
        taped: each(root, Kind::Taped, |node, id| {
            let (from, to) = (node.required_place("from"), node.required_place("to"));
            let length = node.required_quantity("length", Measure::Length, 0.05, 1000.0);
            Some(Taped { id, from: from?, to: to?, length: length? })
        }),
        photos: each(root, Kind::Photo, |node, id| {
            Some(Photo {
                id,
                file: file_within(node)?,
                at: node.place("at"),
                looking: node.place("looking"),
                taken: node.text("taken").unwrap_or_default(),
                note: node.text("note").unwrap_or_default(),
            })
        }),
        pictures: each(root, Kind::Picture, |node, id| {
            let (file, from, to) =
                (file_within(node), node.required_place("from"), node.required_place("to"));
            Some(Picture { id, file: file?, from: from?, to: to? })
        }),
        supply: super::irrigation::supply(root),
        climate: super::irrigation::climate(root),
        wishes: wishes(root),
    }
}

/// The file of a photo or picture. It lies below the project folder, so that the folder is whole
/// wherever it is taken.
fn file_within(node: &Node<'_, '_>) -> Option<String> {
    let file = node.required_text("file", "a file of the project folder, such as `photos/front.jpg`");
    let parts: Vec<&str> = file.split('/').collect();
    let is_name =
        |part: &&str| !part.is_empty() && !part.starts_with('.') && !part.contains(['\\', ':', '\0']);
    if parts.iter().all(is_name) {
        return Some(file);
    }
    if !file.is_empty() {
        node.fault("file", format!("`{file}` does not lie in the project folder"))
            .expected("names of folders and a file, with `/` between them and no `..`")
            .remedy("copy the file into the folder `photos` and write `photos/NAME`")
            .note(node.reading);
    }
    None
}

fn wishes(root: &Node<'_, '_>) -> Wishes {
    let Some(node) = root.table("wishes") else { return Wishes::default() };
    let wishes = Wishes {
        wants: node.texts("wants"),
        must_not: node.texts("must_not"),
        budget: node.text("budget").unwrap_or_default(),
    };
    node.finish();
    wishes
}

/// Reads every table of a kind; elements that cannot be read are left out, their faults noted.
pub(super) fn each<'r, 'd, T>(
    root: &Node<'r, 'd>,
    kind: Kind,
    read: impl Fn(&Node<'r, 'd>, ElementId) -> Option<T>,
) -> Vec<T> {
    root.tables(kind.key())
        .into_iter()
        .filter_map(|mut node| {
            if !node.has("id") {
                node.required_text("id", "a short readable id, unique in its kind");
            }
            let id = node.identify(kind).unwrap_or_else(|| ElementId("?".to_owned()));
            node.expect_keys(keys_of(kind));
            let value = read(&node, id);
            node.finish();
            value
        })
        .collect()
}

/// Keys that an element of a kind may have; a table that stops reading early still knows them.
pub fn keys_of(kind: Kind) -> &'static [&'static str] {
    match kind {
        Kind::Reference => &["at"],
        Kind::Building => {
            &["label", "outline", "floor", "eave", "roof", "pitch", "overhang", "siding", "siding_foot"]
        }
        Kind::Opening => &["building", "kind", "at", "width", "sill"],
        Kind::Surface => &["kind", "material", "outline", "accessible"],
        Kind::Tree => &[
            "plant",
            "at",
            "diameter",
            "girth",
            "crown",
            "height",
            "condition",
            "action",
            "dry_summer",
            "note",
        ],
        Kind::Shrub => &[
            "plant",
            "at",
            "places",
            "count",
            "height",
            "spread",
            "condition",
            "action",
            "yields",
            "flowering",
            "holding",
            "note",
        ],
        Kind::Overgrown => &["plant", "outline", "height"],
        Kind::Buried => &["kind", "route", "at", "depth", "fate", "zone"],
        Kind::Downspout => &["at", "roof_area", "outlet"],
        Kind::Utility => &["name", "at", "clearance", "screen"],
        Kind::PaperLine => &["kind", "line", "outline", "height_limit"],
        Kind::OverheadWire => &["line", "height"],
        Kind::Taped => &["from", "to", "length"],
        Kind::Viewpoint => &["role", "at", "looking", "eye", "weight"],
        Kind::Photo => &["file", "at", "looking", "taken", "note"],
        Kind::Picture => &["file", "from", "to"],
        Kind::Bed => &["label", "outline", "soil", "mulch", "slope", "was", "winter_water"],
        Kind::PlanterBox => &["label", "outline", "height", "wall", "mix", "fill", "mulch"],
        Kind::Lawn => &["kind", "was", "outline", "product", "fertiliser"],
        Kind::Edging => &["product", "along", "from", "to"],
        Kind::Planting => &[
            "role",
            "plant",
            "plants",
            "size",
            "in",
            "at",
            "group",
            "row",
            "mass",
            "spacing",
            "filled_in",
            "source",
            "from",
            "best_first",
            "axis",
            "note",
        ],
        Kind::Note => &["at", "text"],
        Kind::Acceptance => &["finding", "about", "reason"],
        Kind::SpotLevel => &["at", "level"],
        Kind::BreakLine => &["places", "levels"],
        Kind::Storm => &["depth", "minutes", "return_period"],
        Kind::SoilTest => &["at", "diameter", "start", "end", "minutes"],
        Kind::Grading => {
            &["label", "area", "outline", "level", "fall", "from", "toward", "raise", "spots", "margin"]
        }
        Kind::Swale => &["line", "start", "end", "bottom", "side", "lining"],
        Kind::Drain => &["kind", "route", "start", "end", "diameter", "takes", "leads_to"],
        Kind::Basin => &["at", "width", "sump"],
        Kind::Cleanout => &["at", "cap"],
        Kind::Outlet => &["kind", "at", "allowed", "width", "depth", "voids"],
        Kind::Wall => &[
            "label",
            "units",
            "line",
            "soil",
            "top",
            "tops",
            "foot",
            "feet",
            "ends",
            "retained",
            "retained_friction",
            "foundation",
            "foundation_friction",
            "fill",
            "grid",
            "load",
            "slope",
            "water",
            "quake",
            "fence",
        ],
        Kind::Steps => {
            &["label", "from", "toward", "width", "foot", "top", "riser", "tread", "material", "cheeks"]
        }
        Kind::Paving => &["label", "outline", "product", "base", "bedding", "restraint", "driven"],
        Kind::Light => &[
            "label",
            "role",
            "fixture",
            "at",
            "places",
            "aim",
            "aim_place",
            "aim_height",
            "height",
            "zone",
            "level",
            "wanted_lux",
        ],
        Kind::LightZone => &["label", "transformer", "on", "off", "dim_from", "dim_to"],
        Kind::Transformer | Kind::Preventer | Kind::Controller => &["label", "at", "product"],
        Kind::Watering => &["label", "areas", "rest", "without", "method", "product", "heads", "existing"],
        Kind::ValveBox => &["label", "at"],
    }
}

pub(super) fn label(node: &Node<'_, '_>, id: &ElementId) -> String {
    node.text("label").unwrap_or_else(|| id.to_string().replace('-', " "))
}

pub(super) fn length_or(
    node: &Node<'_, '_>,
    key: &str,
    range: (f64, f64),
    default: (f64, f64),
    why: &str,
) -> Given<f64> {
    node.quantity_or(key, Measure::Length, range, default, why)
}

fn require_line(node: &Node<'_, '_>, line: &Line, keys: &str) {
    if line.pieces.is_empty() && !node.has("line") && !node.has("outline") {
        node.fault("line", format!("`{keys}` is missing")).expected("at least two places").note(node.reading);
    }
}

/// A plant by stock id or by botanical name; the name is kept as written.
fn plant(node: &Node<'_, '_>) -> (Option<TaxonId>, String) {
    let name = node.required_text("plant", "a plant's id in the stock, or its botanical name");
    let id = crate::identity::ElementId::is_valid(&name).then(|| TaxonId(name.clone()));
    (id, name)
}

fn tree(node: &Node<'_, '_>, id: ElementId) -> Option<Tree> {
    let (taxon, name) = plant(node);
    let girth = node.quantity("girth", Measure::Length, 0.03, 10.0);
    let diameter = node.quantity("diameter", Measure::Length, 0.01, 3.5);
    let diameter = match (diameter, girth) {
        (Some(diameter), None) => diameter,
        (None, Some(girth)) => girth.map(|girth| girth / std::f64::consts::PI),
        (Some(diameter), Some(_)) => {
            node.fault("girth", "girth and diameter are both given")
                .expected("one of them")
                .note(node.reading);
            diameter
        }
        (None, None) => length_or(node, "diameter", (0.01, 6.0), (0.3, 0.15), "a tree of middle size"),
    };
    let crown = 20.0 * diameter.value;
    let at = node.required_place("at");
    Some(Tree {
        id,
        taxon,
        name,
        diameter,
        crown: length_or(node, "crown", (0.3, 60.0), (crown, 0.4 * crown), "twenty trunk diameters"),
        height: length_or(
            node,
            "height",
            (0.5, 120.0),
            (1.3 * crown, 0.6 * crown),
            "somewhat more than its crown is wide",
        ),
        condition: node.given_choice("condition", Condition::Fair, "nobody judged it"),
        action: node
            .given_choice("action", Action::Keep, "a tree stays unless somebody decides otherwise")
            .value,
        dry_summer: node.flag("dry_summer", false),
        note: node.text("note").unwrap_or_default(),
        at: at?,
    })
}

fn shrub(node: &Node<'_, '_>, id: ElementId) -> Option<Shrub> {
    let (taxon, name) = plant(node);
    let places = stands(node);
    let known = places.as_ref().map_or(1, Vec::len);
    let count = node.count("count", known, 1, 10_000);
    if let Some(places) = places.as_ref().filter(|places| places.len() > 1 && count != places.len()) {
        node.fault("count", format!("{count} plants, but {} places", places.len()))
            .expected("as many as there are places, or one place for the whole group")
            .note(node.reading);
    }
    Some(Shrub {
        id,
        taxon,
        name,
        count,
        height: length_or(node, "height", (0.05, 15.0), (1.0, 0.5), "waist-high"),
        spread: length_or(node, "spread", (0.05, 15.0), (1.0, 0.5), "as wide as high"),
        condition: node.given_choice("condition", Condition::Fair, "nobody judged it"),
        action: node
            .given_choice("action", Action::Keep, "a plant stays unless somebody decides otherwise")
            .value,
        yields: node.quantity_or("yields", Measure::Number, (0.0, 50.0), (1.0, 0.2), "one plant for one dug"),
        flowering: node.flag("flowering", false),
        holding: node.text("holding").unwrap_or_default(),
        note: node.text("note").unwrap_or_default(),
        places: places?,
    })
}

/// Where found plants stand: one place, or one for each.
fn stands(node: &Node<'_, '_>) -> Option<Vec<Place>> {
    let fault = |key, problem: &str, expected: &str| {
        node.fault(key, problem.to_owned()).expected(expected).note(node.reading);
        None
    };
    match (node.has("at"), node.has("places")) {
        (false, false) => fault(
            "at",
            "nothing says where it stands",
            "`at = [x, y]`, or `places = [[x, y], …]` for several",
        ),
        (true, true) => fault("places", "`at` and `places` are both given", "one of them"),
        (true, false) => Some(vec![node.place("at")?]),
        (false, true) => match node.places("places")? {
            places if places.is_empty() => fault("places", "this is an empty list", "at least one place"),
            places => Some(places),
        },
    }
}

fn buried(node: &Node<'_, '_>, id: ElementId) -> Option<Buried> {
    let route = node.line("route");
    let at = node.place("at");
    if route.is_none() && at.is_none() && !node.has("route") && !node.has("at") {
        node.fault("route", "nothing says where it lies")
            .expected("`route = [[x, y], …]` or `at = [x, y]`")
            .note(node.reading);
    }
    let kind = node.required_choice("kind");
    Some(Buried {
        id,
        route,
        at,
        depth: length_or(node, "depth", (0.0, 10.0), (0.3, 0.3), "unknown until it is located"),
        fate: node.given_choice("fate", crate::property::Fate::Keep, "it stays until somebody decides").value,
        zone: node.text("zone").unwrap_or_default(),
        kind: kind?,
    })
}

fn boundary(root: &Node<'_, '_>) -> Option<Boundary> {
    let node = root.table("boundary")?;
    let boundary = Boundary {
        outline: node.outline("outline"),
        known: node.given_text("known", "not stated", "nobody said how well the property line is known"),
    };
    node.finish();
    Some(boundary)
}

fn access(root: &Node<'_, '_>) -> Access {
    match root.table("access") {
        Some(node) => {
            let access = read_access(&node);
            node.finish();
            access
        }
        None => root.with_empty_table("[access]", &toml_edit::Table::new(), read_access),
    }
}

fn read_access(node: &Node<'_, '_>) -> Access {
    Access {
        narrowest: length_or(node, "narrowest", (0.3, 20.0), (0.9, 0.2), "an ordinary garden gate"),
        drop_place: node.place("drop_place"),
    }
}

fn situation(root: &Node<'_, '_>) -> Situation {
    match root.table("place") {
        Some(node) => {
            let situation = read_situation(&node);
            node.finish();
            situation
        }
        None => root.with_empty_table("[place]", &toml_edit::Table::new(), read_situation),
    }
}

fn read_situation(node: &Node<'_, '_>) -> Situation {
    let angle = |key, range: f64, default: f64, spread: f64, why| {
        let range = range.to_radians();
        node.quantity_or(
            key,
            Measure::Angle,
            (-range, range),
            (default.to_radians(), spread.to_radians()),
            why,
        )
    };
    let winter_water = node
        .quantity("winter_water", Measure::Length, 0.0, 30.0)
        .map_or(Given::assumed(None, 0.0), |given| given.map(Some));
    Situation {
        latitude: angle("latitude", 90.0, 45.0, 10.0, "nobody said where in the world"),
        longitude: angle("longitude", 180.0, 0.0, 180.0, "nobody said where in the world"),
        elevation: length_or(node, "elevation", (-430.0, 6000.0), (100.0, 100.0), "low land"),
        time_zone: node.given_text("time_zone", "Etc/UTC", "no time zone was given"),
        hardiness: hardiness(node),
        soil: node.given_choice("soil", SoilTexture::Loam, "nobody felt the soil"),
        winter_water,
        children_or_pets: node.given_flag("children_or_pets", true, "the cautious assumption"),
    }
}

fn hardiness(node: &Node<'_, '_>) -> Given<HardinessZone> {
    let usual = HardinessZone { number: 7, warmer_half: false };
    let given = node.given_text("hardiness", "7a", "a middling winter; look it up on the hardiness map");
    if let Some(zone) = HardinessZone::parse(&given.value) {
        Given { value: zone, standing: given.standing }
    } else {
        node.fault("hardiness", format!("`{}` is not a hardiness zone", given.value))
            .expected("1a to 13b, such as \"8b\"")
            .note(node.reading);
        Given::assumed(usual, 1.0)
    }
}
