//! What is to be bought, and who offers it on which terms.

use super::OrderLine;

/// Hundredths of a cent in one unit of the currency: amounts of money are whole numbers of them.
pub const UNIT: i64 = 10_000;

/// Most suppliers: sets of them are kept as bits.
const MOST_SUPPLIERS: usize = 60;
/// Most pieces of an item: larger needs are bought in packs, loads or pallets.
const MOST_PIECES: u64 = 1_000_000;
/// Greatest amount of money. [hundredths of a cent]
const MOST_MONEY: i64 = 1_000_000_000 * UNIT;

/// A lower price from a quantity on, for the whole quantity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Break {
    /// From so many pieces on.
    pub from: u64,
    /// Price of a piece. [hundredths of a cent]
    pub price: i64,
}

/// What a supplier offers of an item.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    /// Index of the supplier.
    pub supplier: usize,
    /// What comes, where it is not the item itself: another size that the design allows.
    pub substitute: Option<String>,
    /// Price of a piece. [hundredths of a cent]
    pub price: i64,
    /// Pieces that can be had.
    pub available: u64,
    /// Pieces in a pack; only whole packs are sold.
    pub pack: u64,
    /// Price breaks, the smallest quantity first.
    pub breaks: Vec<Break>,
    /// Days until it comes.
    pub lead_days: u32,
}

/// What is needed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item {
    /// Name, as the reader knows it.
    pub name: String,
    /// Pieces needed.
    pub needed: u64,
    /// In how many days it must be there; any time if not given.
    pub within_days: Option<u32>,
    /// Who offers it.
    pub offers: Vec<Offer>,
}

/// A supplier's terms.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Supplier {
    /// Name, as the reader knows it.
    pub name: String,
    /// Fee of a delivery. [hundredths of a cent]
    pub fee: i64,
    /// Least worth of an order before the fee. [hundredths of a cent]
    pub least_order: i64,
    /// Worth of an order from which the fee is waived. [hundredths of a cent]
    pub free_over: Option<i64>,
}

/// A purchase to be made.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PurchaseProblem {
    /// Suppliers.
    pub suppliers: Vec<Supplier>,
    /// Items with their offers.
    pub items: Vec<Item>,
    /// Most deliveries, where the site bears no more.
    pub most_drops: Option<usize>,
}

/// Why there is no purchase.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PurchaseError {
    /// A number that cannot be used.
    #[error("{what} is {value}; expected {expected}")]
    NotUsable {
        /// Which number.
        what: String,
        /// What was given.
        value: String,
        /// What was expected.
        expected: &'static str,
    },
    /// All suppliers together cannot cover an item.
    #[error(
        "`{item}`: {needed} are needed and {available} can be had in time; find another supplier, allow \
         another size, or order less"
    )]
    Short {
        /// The item.
        item: String,
        /// Pieces needed.
        needed: u64,
        /// Pieces that can be had, in whole packs.
        available: u64,
    },
    /// No set of suppliers covers all with its terms met.
    #[error(
        "no set of {} suppliers covers every item with every least order met; allow more deliveries, or leave \
         the least order of a supplier to a purchase of its own",
        most_drops.map_or_else(|| "the".to_owned(), |most| format!("at most {most}"))
    )]
    NoSet {
        /// Most deliveries, where they were limited.
        most_drops: Option<usize>,
    },
}

impl Offer {
    /// What a quantity costs. [hundredths of a cent]
    pub fn cost(&self, quantity: u64) -> i64 {
        let price = self.breaks.iter().rev().find(|b| quantity >= b.from).map_or(self.price, |b| b.price);
        price.saturating_mul(i64::try_from(quantity).unwrap_or(i64::MAX))
    }

    /// Whether it comes in time for an item.
    pub(crate) fn in_time(&self, item: &Item) -> bool {
        item.within_days.is_none_or(|days| self.lead_days <= days)
    }

    /// Whole packs that can be had.
    pub(crate) fn packs(&self) -> u64 {
        self.available / self.pack
    }

    /// Most packs that are worth a thought: to cover the need, or to reach a price break.
    pub(crate) fn useful_packs(&self, needed: u64) -> u64 {
        let last = self.breaks.last().map_or(0, |b| b.from);
        self.packs().min(needed.max(last).div_ceil(self.pack))
    }
}

impl PurchaseProblem {
    /// The offer of an order's line.
    pub fn offer(&self, line: &OrderLine) -> &Offer {
        &self.items[line.item].offers[line.offer]
    }

    pub(crate) fn check(&self) -> Result<(), PurchaseError> {
        let count = self.suppliers.len();
        usable(
            "the count of suppliers",
            &count,
            (1..=MOST_SUPPLIERS).contains(&count),
            "a count from 1 to 60",
        )?;
        let money = |what: &str, value: i64| {
            usable(what, &value, (0..=MOST_MONEY).contains(&value), "an amount from 0 to a thousand millions")
        };
        for supplier in &self.suppliers {
            money(&format!("the delivery fee of `{}`", supplier.name), supplier.fee)?;
            money(&format!("the least order of `{}`", supplier.name), supplier.least_order)?;
            money(&format!("the free delivery of `{}`", supplier.name), supplier.free_over.unwrap_or(0))?;
        }
        for item in &self.items {
            let what = format!("the need of `{}`", item.name);
            usable(&what, &item.needed, item.needed <= MOST_PIECES, "at most a million pieces")?;
            for offer in &item.offers {
                self.check_offer(item, offer)?;
            }
            let in_time = item.offers.iter().filter(|offer| offer.in_time(item));
            let available = in_time.map(|offer| offer.packs() * offer.pack).sum();
            if available < item.needed {
                return Err(PurchaseError::Short { item: item.name.clone(), needed: item.needed, available });
            }
        }
        Ok(())
    }

    fn check_offer(&self, item: &Item, offer: &Offer) -> Result<(), PurchaseError> {
        let what = |what: &str| format!("the {what} of `{}`", item.name);
        let known = offer.supplier < self.suppliers.len();
        usable(&what("supplier"), &offer.supplier, known, "the index of a supplier")?;
        usable(
            &what("pack"),
            &offer.pack,
            (1..=MOST_PIECES).contains(&offer.pack),
            "a count from 1 to a million",
        )?;
        let good = offer.available <= 1_000 * MOST_PIECES;
        usable(&what("stock"), &offer.available, good, "at most a thousand millions")?;
        let prices = offer.breaks.iter().map(|b| b.price).chain([offer.price]);
        for price in prices {
            let good = (0..=MOST_MONEY / 1_000).contains(&price);
            usable(&what("price"), &price, good, "an amount from 0 to a million")?;
        }
        for pair in offer.breaks.windows(2) {
            usable(&what("price break"), &pair[1].from, pair[1].from > pair[0].from, "ascending quantities")?;
        }
        let last = offer.breaks.last().map_or(0, |b| b.from);
        usable(&what("price break"), &last, last <= MOST_PIECES, "at most a million pieces")
    }

    /// Why no set of suppliers was found.
    pub(crate) fn why_none(&self) -> PurchaseError {
        PurchaseError::NoSet { most_drops: self.most_drops }
    }
}

fn usable(
    what: &str,
    value: &impl ToString,
    good: bool,
    expected: &'static str,
) -> Result<(), PurchaseError> {
    let error = || PurchaseError::NotUsable { what: what.to_owned(), value: value.to_string(), expected };
    if good { Ok(()) } else { Err(error()) }
}
