//! Stock files.

use std::collections::BTreeMap;

use groundwright_units::constants::{CUBIC_YARD, FOOT};

use super::{DeclaredUnits, Measure, Node, read_file};
use crate::fault::Fault;
use crate::identity::TaxonId;
use crate::stock::{
    Amendment, AtPurchase, Container, EdgingProduct, Fertiliser, Light, Loose, MulchProduct, Stock, Taxon,
    TurfProduct,
};

/// Square metres in 1000 square feet, the area of the trade's rates.
const THOUSAND_SQUARE_FEET: f64 = 1000.0 * FOOT * FOOT;

/// Reads one stock file.
pub(crate) fn read_text(name: &str, text: &str) -> Result<Stock, Vec<Fault>> {
    let mut faults = Vec::new();
    let stock = read_file(name, text, DeclaredUnits::default(), &mut |more| faults.extend(more.faults), read);
    match stock {
        Some(stock) if faults.is_empty() => Ok(stock),
        _ => Err(faults),
    }
}

/// Reads the tables of a stock file.
pub(crate) fn read(root: &Node<'_, '_>) -> Stock {
    root.raw("provenance");
    let mut stock = Stock::default();
    let mulch =
        |node: &Node<'_, '_>| Some(MulchProduct { loose: loose(node), floats: node.flag("floats", false) });
    stock.taxa = entries(root, &["plant"], taxon, |taxon| taxon.id.clone());
    stock.containers = entries(root, &["container"], container, |container| container.id.clone());
    stock.mulches = entries(root, &["mulch"], mulch, |product| product.loose.id.clone());
    stock.amendments =
        entries(root, &["amendment"], |node| Some(amendment(node)), |product| product.loose.id.clone());
    stock.fertilisers =
        entries(root, &["fertiliser"], |node| Some(fertiliser(node)), |product| product.id.clone());
    stock.edgings = entries(root, &["edging"], |node| Some(edging(node)), |product| product.id.clone());
    stock.turf = entries(root, &["sod", "seed"], |node| Some(turf(node)), |product| product.id.clone());
    stock.wall_units = entries(root, &["wall_units"], super::walls::units, |product| product.id.clone());
    stock.grids = entries(root, &["grid"], super::walls::grid, |product| product.id.clone());
    stock.light_fixtures = entries(root, &["fixture"], super::lights::fixture, |product| product.id.clone());
    stock.transformers =
        entries(root, &["transformer_product"], super::lights::transformer, |product| product.id.clone());
    stock.light_cables = entries(root, &["light_cable"], super::lights::cable, |product| product.id.clone());
    stock.heads = entries(root, &["sprinkler"], super::irrigation::head, |product| product.id.clone());
    stock.drips = entries(root, &["drip"], super::irrigation::drip, |product| product.id.clone());
    stock.pipes = entries(root, &["pipe"], super::irrigation::pipe, |product| product.id.clone());
    stock.water_parts = entries(root, &["water_part"], super::irrigation::part, |product| product.id.clone());
    stock.controllers = entries(
        root,
        &["controller_product"],
        |node| Some(super::irrigation::controller(node)),
        |product| product.id.clone(),
    );
    stock.pavers = entries(root, &["paver"], super::walls::paver, |product| product.id.clone());
    stock
}

/// The entries of one sort in a file, by their ids; an id that stands twice is a fault.
fn entries<K: Ord, T>(
    root: &Node<'_, '_>,
    keys: &[&str],
    read: impl Fn(&Node<'_, '_>) -> Option<T>,
    id_of: impl Fn(&T) -> K,
) -> BTreeMap<K, T> {
    let mut entries = BTreeMap::new();
    for node in keys.iter().flat_map(|key| root.tables(key)) {
        if let Some(entry) = read(&node)
            && entries.insert(id_of(&entry), entry).is_some()
        {
            node.fault("id", "an entry before this one has the same id")
                .expected("an id that is unique among the entries of its sort")
                .remedy("give one of them another id, or leave it out")
                .note(node.reading);
        }
        node.finish();
    }
    entries
}

pub(super) fn id(node: &Node<'_, '_>) -> String {
    let id = node.required_text("id", "a short readable id");
    if id.is_empty() && node.has("id") {
        node.fault("id", "it is empty").expected("a short readable id").note(node.reading);
    }
    id
}

fn taxon(node: &Node<'_, '_>) -> Option<Taxon> {
    let kind = node.required_choice("kind");
    let (height, spread) = (required_range(node, "height", 120.0), required_range(node, "spread", 60.0));
    let taxon = Taxon {
        id: TaxonId(id(node)),
        botanical: node.required_text("botanical", "the botanical name"),
        common: node.required_text("common", "the common name"),
        habit: node.known("habit", super::node::Node::choice),
        growth: node.known("growth", super::node::Node::choice),
        zones: node.known("zones", |n, key| n.small_range(key, 1, 13)),
        sun: node.lights("sun"),
        water: node.known("water", super::node::Node::choice),
        foliage: node.known("foliage", super::node::Node::choice),
        bloom: node.known("bloom", super::node::Node::months),
        bloom_colour: node.text("bloom_colour").unwrap_or_default(),
        leaf_colour: node.text("leaf_colour").unwrap_or_default(),
        salt: node.text("salt").unwrap_or_default(),
        drought: node.text("drought").unwrap_or_default(),
        wet_soil: node.known("wet_soil", super::node::Node::choice),
        toxicity: node.text("toxicity").unwrap_or_else(|| "unknown".to_owned()),
        toxicity_source: node.text("toxicity_source").unwrap_or_default(),
        invasive: node.text("invasive").unwrap_or_default(),
        spacing: node
            .known("spacing", |n, key| n.quantity(key, Measure::Length, 0.02, 30.0))
            .map(|g| g.value),
        native: node.texts("native"),
        climates: node.texts("climates"),
        divides: node.has("divides").then(|| node.count("divides", 1, 1, 100) as u32),
        confidence: node.text("confidence").unwrap_or_default(),
        sizes: node.texts("sizes"),
        weed: node.flag("weed", false),
        kind: kind?,
        height: height?,
        spread: spread?,
    };
    Some(taxon)
}

/// A mature size, which every plant must have. [m]
fn required_range(node: &Node<'_, '_>, key: &str, high: f64) -> Option<(f64, f64)> {
    if !node.has(key) {
        node.fault(key, "it is missing")
            .expected("two lengths: low and high")
            .remedy(format!("add `{key} = [\"… m\", \"… m\"]`"))
            .note(node.reading);
    }
    node.range(key, Measure::Length, 0.01, high)
}

fn container(node: &Node<'_, '_>) -> Option<Container> {
    let volume = match (
        node.quantity("volume_low", Measure::Volume, 0.0, 10.0),
        node.quantity("volume_high", Measure::Volume, 0.0, 10.0),
    ) {
        (Some(low), Some(high)) => Some((low.value, high.value)),
        _ => None,
    };
    node.raw("obtained");
    let at_purchase = node
        .tables("at_purchase")
        .iter()
        .filter_map(|inner| {
            let kind = inner.required_choice("kind");
            let height = inner.range("height", Measure::Length, 0.0, 20.0);
            let spread = inner.range("spread", Measure::Length, 0.0, 20.0);
            for key in ["height", "spread"].into_iter().filter(|key| !inner.has(key)) {
                inner.fault(key, "it is missing").expected("two lengths: low and high").note(inner.reading);
            }
            inner.finish();
            Some(AtPurchase { kind: kind?, height: height?, spread: spread? })
        })
        .collect();
    let form = node.required_choice("form");
    let length = |key| node.quantity(key, Measure::Length, 0.0, 5.0).map(|given| given.value);
    Some(Container {
        id: id(node),
        name: node.required_text("name", "words for the schedule"),
        volume,
        diameter: length("diameter"),
        depth: length("depth"),
        calliper: length("calliper"),
        tray: node.has("tray").then(|| node.count("tray", 1, 1, 1000) as u32),
        at_purchase,
        form: form?,
    })
}

fn loose(node: &Node<'_, '_>) -> Loose {
    let sold = node.texts("sold_by");
    Loose {
        id: id(node),
        name: node.required_text("name", "words for the takeoff"),
        bulk: sold.is_empty() || sold.iter().any(|way| way == "bulk"),
        bags: node.quantities("bags", Measure::Volume, 1.0),
        settles: node.quantity("settles", Measure::Ratio, 0.0, 0.9).map(|given| given.value),
        density: node
            .range("weight_per_cubic_yard", Measure::Mass, 10.0, 5000.0)
            .map(|(low, high)| (low / CUBIC_YARD, high / CUBIC_YARD)),
        depth: node.range("depth", Measure::Length, 0.0, 2.0),
        source: node.text("source").unwrap_or_default(),
    }
}

fn amendment(node: &Node<'_, '_>) -> Amendment {
    Amendment {
        loose: loose(node),
        sort: node.text("kind").unwrap_or_default(),
        worked_in: node.quantity("worked_in", Measure::Length, 0.0, 1.0).map(|given| given.value),
        rate: rate(node, "rate_per_1000_square_feet"),
        bag_masses: node.quantities("bag_mass", Measure::Mass, 100.0),
    }
}

fn rate(node: &Node<'_, '_>, key: &str) -> Option<(f64, f64)> {
    node.range(key, Measure::Mass, 0.0, 1000.0)
        .map(|(low, high)| (low / THOUSAND_SQUARE_FEET, high / THOUSAND_SQUARE_FEET))
}

fn fertiliser(node: &Node<'_, '_>) -> Fertiliser {
    let percent = node.numbers("n_p_k", 3, 0.0, 100.0).unwrap_or_else(|| vec![0.0; 3]);
    Fertiliser {
        id: id(node),
        name: node.required_text("name", "words for the takeoff"),
        shares: [percent[0] / 100.0, percent[1] / 100.0, percent[2] / 100.0],
        bag_masses: node.quantities("bag_mass", Measure::Mass, 100.0),
        nitrogen: node
            .required_quantity("nitrogen_per_1000_square_feet", Measure::Mass, 0.0, 10.0)
            .map_or(0.0, |given| given.value / THOUSAND_SQUARE_FEET),
        source: node.text("source").unwrap_or_default(),
    }
}

fn edging(node: &Node<'_, '_>) -> EdgingProduct {
    for key in ["material", "stake_length", "cuttable"] {
        node.raw(key);
    }
    let length = |key: &str| node.quantity(key, Measure::Length, 0.0, 50.0).map(|given| given.value);
    EdgingProduct {
        id: id(node),
        name: node.required_text("name", "words for the takeoff"),
        piece: length("piece_length"),
        overlap: length("overlap").unwrap_or(0.0),
        stakes: node.count("stakes_per_piece", 0, 0, 100) as u32,
        height: length("height").unwrap_or(0.0),
        thickness: length("thickness").unwrap_or(0.0),
        least_radius: length("least_radius").unwrap_or(0.0),
        source: node.text("source").unwrap_or_default(),
    }
}

fn turf(node: &Node<'_, '_>) -> TurfProduct {
    for key in ["grass", "climates", "pallet_weight", "overseed_per_1000_square_feet", "waste"] {
        node.raw(key);
    }
    TurfProduct {
        id: id(node),
        name: node.required_text("name", "words for the takeoff"),
        slab: node.pair("slab", Measure::Length, 0.05, 3.0),
        pallet: node.quantity("pallet_area", Measure::Area, 1.0, 200.0).map(|given| given.value),
        rate: rate(node, "rate_per_1000_square_feet"),
        bag_masses: node.quantities("bag_mass", Measure::Mass, 100.0),
        source: node.text("source").unwrap_or_default(),
    }
}

impl Node<'_, '_> {
    /// A field that may say `"unknown"`.
    fn known<T>(&self, key: &str, read: impl FnOnce(&Self, &str) -> Option<T>) -> Option<T> {
        if self.raw(key)?.as_str() == Some("unknown") {
            return None;
        }
        read(self, key)
    }

    /// Two quantities, low and high. SI.
    fn range(&self, key: &str, measure: Measure, low: f64, high: f64) -> Option<(f64, f64)> {
        let (low, high) = self.pair(key, measure, low, high)?;
        if low > high {
            self.fault(key, "the range runs from high to low")
                .expected("the low value first")
                .note(self.reading);
            return None;
        }
        Some((low, high))
    }

    /// Two quantities in any order. SI.
    pub(super) fn pair(&self, key: &str, measure: Measure, low: f64, high: f64) -> Option<(f64, f64)> {
        let values = self.quantities_within(key, measure, low, high)?;
        if let [first, second] = values[..] {
            return Some((first, second));
        }
        self.fault(key, format!("this list has {} values", values.len()))
            .expected("two: low and high")
            .note(self.reading);
        None
    }

    /// A list of quantities, each up to `high`. SI.
    pub(super) fn quantities(&self, key: &str, measure: Measure, high: f64) -> Vec<f64> {
        self.quantities_within(key, measure, 0.0, high).unwrap_or_default()
    }

    fn quantities_within(&self, key: &str, measure: Measure, low: f64, high: f64) -> Option<Vec<f64>> {
        let item = self.raw(key)?;
        let Some(list) = item.as_array() else {
            self.fault(key, "this is not a list")
                .expected("a list of quantities with units")
                .note(self.reading);
            return None;
        };
        // Every value is read before the list is given up, so that all its faults are noted.
        let values: Vec<Option<f64>> =
            list.iter().map(|value| self.value_within(key, value, measure, (low, high))).collect();
        values.into_iter().collect()
    }

    /// `n` plain numbers.
    pub(super) fn numbers(&self, key: &str, n: usize, low: f64, high: f64) -> Option<Vec<f64>> {
        let values = self.quantities_within(key, Measure::Number, low, high)?;
        if values.len() == n {
            return Some(values);
        }
        self.fault(key, format!("this list has {} values", values.len()))
            .expected(format!("{n} numbers"))
            .note(self.reading);
        None
    }

    /// Two whole numbers in order.
    fn small_range(&self, key: &str, low: u8, high: u8) -> Option<(u8, u8)> {
        let (first, last) = self.range(key, Measure::Number, f64::from(low), f64::from(high))?;
        self.whole(key, first, last)
    }

    /// First and last month; may wrap over December.
    fn months(&self, key: &str) -> Option<(u8, u8)> {
        let (first, last) = self.pair(key, Measure::Number, 1.0, 12.0)?;
        self.whole(key, first, last)
    }

    fn whole(&self, key: &str, first: f64, last: f64) -> Option<(u8, u8)> {
        if first.fract() != 0.0 || last.fract() != 0.0 {
            self.fault(key, "a number here has a fraction").expected("two whole numbers").note(self.reading);
            return None;
        }
        Some((first as u8, last as u8))
    }

    fn lights(&self, key: &str) -> Vec<Light> {
        use crate::words::Word;
        if self.raw(key).is_some_and(|item| item.as_str() == Some("unknown")) {
            return Vec::new();
        }
        let words = self.texts(key);
        let lights: Vec<Light> = words.iter().filter_map(|word| Light::from_word(word)).collect();
        if lights.len() != words.len() {
            self.fault(key, "a word here is not known").expected("of: full, part, shade").note(self.reading);
        }
        lights
    }
}
