//! Stock files.

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
    let stock = read_file(name, text, &DeclaredUnits::default(), &mut |(f, _, _)| faults.extend(f), read);
    match stock {
        Some(stock) if faults.is_empty() => Ok(stock),
        _ => Err(faults),
    }
}

/// Reads the tables of a stock file.
pub(crate) fn read(root: &Node<'_, '_>) -> Stock {
    root.raw("provenance");
    let mut stock = Stock::default();
    for node in root.tables("plant") {
        if let Some(taxon) = taxon(&node) {
            stock.taxa.insert(taxon.id.clone(), taxon);
        }
        node.finish();
    }
    for node in root.tables("container") {
        if let Some(container) = container(&node) {
            stock.containers.insert(container.id.clone(), container);
        }
        node.finish();
    }
    for node in root.tables("mulch") {
        let product = MulchProduct { loose: loose(&node), floats: node.flag("floats", false) };
        stock.mulches.insert(product.loose.id.clone(), product);
        node.finish();
    }
    for node in root.tables("amendment") {
        let product = amendment(&node);
        stock.amendments.insert(product.loose.id.clone(), product);
        node.finish();
    }
    for node in root.tables("fertiliser") {
        let product = fertiliser(&node);
        stock.fertilisers.insert(product.id.clone(), product);
        node.finish();
    }
    for node in root.tables("edging") {
        let product = edging(&node);
        stock.edgings.insert(product.id.clone(), product);
        node.finish();
    }
    for key in ["sod", "seed"] {
        for node in root.tables(key) {
            let product = turf(&node);
            stock.turf.insert(product.id.clone(), product);
            node.finish();
        }
    }
    stock
}

fn id(node: &Node<'_, '_>) -> String {
    node.required_text("id", "a short readable id")
}

fn taxon(node: &Node<'_, '_>) -> Option<Taxon> {
    let taxon = Taxon {
        id: TaxonId(id(node)),
        botanical: node.required_text("botanical", "the botanical name"),
        common: node.required_text("common", "the common name"),
        kind: node.required_choice("kind")?,
        habit: node.known("habit", |n, key| n.choice(key)),
        height: node.range("height", Measure::Length, 0.01, 120.0)?,
        spread: node.range("spread", Measure::Length, 0.01, 60.0)?,
        growth: node.known("growth", |n, key| n.choice(key)),
        zones: node.known("zones", |n, key| n.small_range(key, 1, 13)),
        sun: node.lights("sun"),
        water: node.known("water", |n, key| n.choice(key)),
        foliage: node.known("foliage", |n, key| n.choice(key)),
        bloom: node.known("bloom", |n, key| n.months(key)),
        bloom_colour: node.text("bloom_colour").unwrap_or_default(),
        leaf_colour: node.text("leaf_colour").unwrap_or_default(),
        salt: node.text("salt").unwrap_or_default(),
        drought: node.text("drought").unwrap_or_default(),
        wet_soil: node.known("wet_soil", |n, key| n.choice(key)),
        toxicity: node.text("toxicity").unwrap_or_else(|| "unknown".to_owned()),
        toxicity_source: node.text("toxicity_source").unwrap_or_default(),
        invasive: node.text("invasive").unwrap_or_default(),
        spacing: node.known("spacing", |n, key| n.quantity(key, Measure::Length, 0.02, 30.0)).map(|g| g.value),
        native: node.texts("native"),
        climates: node.texts("climates"),
        divides: node.has("divides").then(|| node.count("divides", 1, 1, 100) as u32),
        confidence: node.text("confidence").unwrap_or_default(),
        sizes: node.texts("sizes"),
        weed: node.flag("weed", false),
    };
    if !(taxon.height.0 <= taxon.height.1 && taxon.spread.0 <= taxon.spread.1) {
        node.fault("height", "a range runs from high to low".to_owned())
            .expected("the low value first, in `height` and in `spread`")
            .note(node.reading);
    }
    Some(taxon)
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
            let size = AtPurchase {
                kind: inner.required_choice("kind")?,
                height: inner.range("height", Measure::Length, 0.0, 20.0)?,
                spread: inner.range("spread", Measure::Length, 0.0, 20.0)?,
            };
            inner.finish();
            Some(size)
        })
        .collect();
    let length = |key| node.quantity(key, Measure::Length, 0.0, 5.0).map(|given| given.value);
    Some(Container {
        id: id(node),
        name: node.required_text("name", "words for the schedule"),
        form: node.required_choice("form")?,
        volume,
        diameter: length("diameter"),
        depth: length("depth"),
        calliper: length("calliper"),
        tray: node.has("tray").then(|| node.count("tray", 1, 1, 1000) as u32),
        at_purchase,
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
        slab: node.range("slab", Measure::Length, 0.05, 3.0),
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
        let values = self.quantities_within(key, measure, low, high)?;
        if values.len() == 2 {
            return Some((values[0], values[1]));
        }
        if self.has(key) {
            self.fault(key, format!("this has {} values", values.len()))
                .expected("two: low and high")
                .note(self.reading);
        }
        None
    }

    /// A list of quantities, each up to `high`. SI.
    fn quantities(&self, key: &str, measure: Measure, high: f64) -> Vec<f64> {
        self.quantities_within(key, measure, 0.0, high).unwrap_or_default()
    }

    fn quantities_within(&self, key: &str, measure: Measure, low: f64, high: f64) -> Option<Vec<f64>> {
        let item = self.raw(key)?;
        let Some(list) = item.as_array() else {
            self.fault(key, "this is not a list".to_owned())
                .expected("a list of quantities with units")
                .note(self.reading);
            return None;
        };
        let mut values = Vec::new();
        for value in list {
            match self.value_quantity(key, value, measure) {
                Some(number) if (low..=high).contains(&number) => values.push(number),
                Some(_) => {
                    self.fault(key, format!("{value} is outside what can be")).note(self.reading);
                }
                None => {}
            }
        }
        Some(values)
    }

    /// `n` plain numbers.
    fn numbers(&self, key: &str, n: usize, low: f64, high: f64) -> Option<Vec<f64>> {
        let values = self.quantities_within(key, Measure::Number, low, high)?;
        if values.len() == n {
            return Some(values);
        }
        self.fault(key, format!("this has {} numbers", values.len()))
            .expected(format!("{n} numbers"))
            .note(self.reading);
        None
    }

    /// Two whole numbers in order.
    fn small_range(&self, key: &str, low: u8, high: u8) -> Option<(u8, u8)> {
        let values = self.numbers(key, 2, f64::from(low), f64::from(high))?;
        if values[0] > values[1] {
            self.fault(key, "the range runs from high to low".to_owned())
                .expected("the low value first")
                .note(self.reading);
            return None;
        }
        Some((values[0] as u8, values[1] as u8))
    }

    /// First and last month; may wrap over December.
    fn months(&self, key: &str) -> Option<(u8, u8)> {
        let values = self.numbers(key, 2, 1.0, 12.0)?;
        Some((values[0] as u8, values[1] as u8))
    }

    fn lights(&self, key: &str) -> Vec<Light> {
        use crate::words::Word;
        if self.raw(key).is_some_and(|item| item.as_str() == Some("unknown")) {
            return Vec::new();
        }
        let words = self.texts(key);
        let lights: Vec<Light> = words.iter().filter_map(|word| Light::from_word(word)).collect();
        if lights.len() != words.len() {
            self.fault(key, "a word here is not known".to_owned())
                .expected("of: full, part, shade")
                .note(self.reading);
        }
        lights
    }
}
