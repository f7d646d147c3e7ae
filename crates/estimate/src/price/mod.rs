//! Price: lines with their costs to a price, every step shown.
//!
//! - In: [`CostLine`]s of one revision and the firm's [`Terms`]. Out: a [`Price`] with direct cost by
//!   class, whole crew-days, contingency, overhead, profit, tax, retainage, a range, and lump sums by area.
//! - Method: cost of each line in cents; the crew is paid for whole days; contingency on direct cost;
//!   overhead on direct cost at its two rates; profit as markup or margin on all of it; a job below the
//!   least one is raised to it; tax on the cost of taxable lines, rounded once. Common practice, no source.
//! - Money is decimal and in one currency, the caller's. Sums of the parts shown equal the whole to the cent.
//! - Changes of an agreed price are in `change.rs`, alternates in `alternate.rs`.
//! - Not here: which unit price a thing has, and the words of a proposal. What is taxed, and how much an
//!   owner may hold back, is for local law to say.

mod alternate;
mod amount;
mod area;
mod change;
mod production;
mod terms;

use rust_decimal::Decimal;

use amount::{share, square_root, up_to, within};
use production::{check_work, crew_hours, whole_days};

pub use alternate::{Alternate, Priced, alternates};
pub use amount::{PriceError, cents};
pub use change::{ChangeOrder, ChangeRow, change_order};
pub use production::{Barrow, Haul, Production, Work, haul, production};
pub use terms::{Costs, OverheadRates, Profit, Recovery, Risk, overhead_rates, risks, tax};

/// Greatest cost of a line: squares of so much still have room in a decimal. [money]
const MOST_COST: i64 = 1_000_000_000;

/// Whose cost a line's unit price is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Class {
    /// Material.
    Material,
    /// Work quoted by others.
    Subcontract,
    /// Machines.
    Equipment,
}

/// Something to price. Item and area together name it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CostLine {
    /// Key of the item.
    pub item: String,
    /// Area of the yard, as the client knows it.
    pub area: String,
    /// How much, as bought. From 0 to 10 million.
    pub quantity: Decimal,
    /// Half width of the quantity's range, in its unit.
    pub spread: Decimal,
    /// What a unit costs. [money]
    pub unit_price: Decimal,
    /// Whose cost that is.
    pub class: Class,
    /// Whether it is taxed.
    pub taxable: bool,
    /// The crew's work with it, if it has any.
    pub work: Option<Work>,
}

impl CostLine {
    /// Item and area, the name of the line.
    pub fn name(&self) -> String {
        format!("{} in {}", self.item, self.area)
    }
}

/// The crew that does the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Crew {
    /// People.
    pub people: Decimal,
    /// Hours of a working day. [h]
    pub day: Decimal,
    /// What an hour of one person costs, with all that rests on wages. [money/h]
    pub wage: Decimal,
    /// Vehicles and tools of a crew-day. [money/d]
    pub equipment: Decimal,
}

/// How the firm prices.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Terms {
    /// The crew.
    pub crew: Crew,
    /// Times the crew comes to the job and goes for good.
    pub mobilisations: u32,
    /// Cost of one, counted as equipment. [money]
    pub mobilisation: Decimal,
    /// The owner's contingency, as a share of direct cost.
    pub contingency: Decimal,
    /// Rates of overhead.
    pub overhead: OverheadRates,
    /// Profit.
    pub profit: Profit,
    /// Least price of a job before tax. [money]
    pub least_job: Decimal,
    /// Tax on taxable lines, as a share of their cost.
    pub tax: Decimal,
    /// Share of the price held back until completion.
    pub retainage: Decimal,
}

/// A line with its cost.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CostedLine {
    /// Index of the line.
    pub line: usize,
    /// Quantity at unit price. [money]
    pub bought: Decimal,
    /// Hours of the crew. [h]
    pub crew_hours: Decimal,
    /// Wages of those hours. [money]
    pub labour: Decimal,
    /// Half width of its cost, from the spread of its quantity. [money]
    pub half_width: Decimal,
}

impl CostedLine {
    /// All of its cost. [money]
    pub fn cost(&self) -> Decimal {
        self.bought + self.labour
    }
}

/// A price with every step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Price {
    /// Lines with their costs, in their order.
    pub lines: Vec<CostedLine>,
    /// Hours of the crew. [h]
    pub crew_hours: Decimal,
    /// Days of the crew, whole. [d]
    pub crew_days: Decimal,
    /// Wages of what is left of the last day. [money]
    pub day_rounding: Decimal,
    /// Vehicles and tools of the crew. [money]
    pub crew_equipment: Decimal,
    /// Coming and going. [money]
    pub mobilisation: Decimal,
    /// Direct cost by class. [money]
    pub direct: Costs,
    /// The owner's contingency. [money]
    pub contingency: Decimal,
    /// Beside it: half width of direct cost where quantities spread apart from one another. [money]
    pub computed_contingency: Decimal,
    /// Overhead recovered. [money]
    pub overhead: Decimal,
    /// Direct cost, contingency and overhead. [money]
    pub break_even: Decimal,
    /// Profit. [money]
    pub profit: Decimal,
    /// What raises the price to that of the least job. [money]
    pub least_job: Decimal,
    /// Price before tax. [money]
    pub before_tax: Decimal,
    /// Tax. [money]
    pub tax: Decimal,
    /// What the client pays. [money]
    pub total: Decimal,
    /// Held back until completion. [money]
    pub retainage: Decimal,
    /// Lowest and highest total over the spread of quantities; the crew-days stay. [money]
    pub range: (Decimal, Decimal),
    /// Lump sums by area, in the order of their first lines; they add up to the total. [money]
    pub by_area: Vec<(String, Decimal)>,
}

/// Price of lines on terms.
///
/// # Errors
/// A [`PriceError`] that names the line or the term.
///
/// # Source
/// Common practice, no source.
pub fn price(lines: &[CostLine], terms: &Terms) -> Result<Price, PriceError> {
    check_terms(terms)?;
    check_lines(lines, &terms.crew)?;
    let costed: Vec<CostedLine> = lines.iter().enumerate().map(|(i, l)| cost(i, l, &terms.crew)).collect();
    let crew = &terms.crew;
    let hours: Decimal = costed.iter().map(|l| l.crew_hours).sum();
    let days = whole_days(hours, crew.day);
    let line_labour: Decimal = costed.iter().map(|l| l.labour).sum();
    let labour = cents(days * crew.day * crew.people * crew.wage);
    let crew_equipment = cents(days * crew.equipment);
    let mobilisation = cents(Decimal::from(terms.mobilisations) * terms.mobilisation);
    let bought = |class| costed.iter().filter(|l| lines[l.line].class == class).map(|l| l.bought).sum();
    let machines: Decimal = bought(Class::Equipment);
    let direct = Costs {
        labour,
        material: bought(Class::Material),
        subcontract: bought(Class::Subcontract),
        equipment: machines + crew_equipment + mobilisation,
    };
    let contingency = cents(direct.total() * terms.contingency);
    let overhead = cents(
        (direct.labour + direct.equipment) * terms.overhead.own_work
            + (direct.material + direct.subcontract) * terms.overhead.bought,
    );
    let break_even = direct.total() + contingency + overhead;
    let earned = cents(terms.profit.price(break_even)?);
    let before_tax = earned.max(cents(terms.least_job));
    let taxable = costed.iter().filter(|l| lines[l.line].taxable).map(|l| l.bought).sum();
    let tax = tax(taxable, terms.tax)?;
    let total = before_tax + tax;
    let half = square_root(costed.iter().map(|l| l.half_width * l.half_width).sum());
    // What a unit of direct cost brings in the price: the range is carried through the same steps.
    let carried = if direct.total().is_zero() { Decimal::ONE } else { earned / direct.total() };
    let reach = half * carried;
    let low = cents((earned - reach).max(cents(terms.least_job)) + tax);
    Ok(Price {
        by_area: area::lump_sums(lines, &costed, total),
        crew_hours: hours,
        crew_days: days,
        day_rounding: labour - line_labour,
        crew_equipment,
        mobilisation,
        direct,
        contingency,
        computed_contingency: cents(half),
        overhead,
        break_even,
        profit: earned - break_even,
        least_job: before_tax - earned,
        before_tax,
        tax,
        total,
        retainage: cents(total * terms.retainage),
        range: (low, cents((earned + reach).max(before_tax) + tax)),
        lines: costed,
    })
}

fn cost(line: usize, l: &CostLine, crew: &Crew) -> CostedLine {
    let crew_hours = l.work.as_ref().map_or(Decimal::ZERO, |work| crew_hours(l.quantity, work));
    let hour = crew.people * crew.wage;
    // Hauling grows with the quantity as all else, so the whole time is spread with it.
    let unit_work = if l.quantity.is_zero() { Decimal::ZERO } else { crew_hours / l.quantity * hour };
    CostedLine {
        line,
        bought: cents(l.quantity * l.unit_price),
        crew_hours,
        labour: cents(crew_hours * hour),
        half_width: l.spread * (l.unit_price + unit_work),
    }
}

fn check_lines(lines: &[CostLine], crew: &Crew) -> Result<(), PriceError> {
    if lines.len() > 100_000 {
        return Err(PriceError::TooMany { count: lines.len() });
    }
    let mut names = std::collections::BTreeSet::new();
    for (i, line) in lines.iter().enumerate() {
        let name = line.name();
        let fault = |fault| PriceError::Name { line: i + 1, name: name.clone(), fault };
        if line.item.trim().is_empty() || line.area.trim().is_empty() {
            return Err(fault("has an empty part"));
        }
        if !names.insert((&line.item, &line.area)) {
            return Err(fault("another line has too"));
        }
        // Nothing below a millionth: dividing by it would leave the digits of a decimal.
        if line.quantity.is_zero() {
            within(&name, "the spread of no quantity", line.spread, (Decimal::ZERO, Decimal::ZERO))?;
        } else {
            let quantities = (Decimal::new(1, 6), Decimal::from(10_000_000));
            within(&name, "the quantity", line.quantity, quantities)?;
            within(&name, "the spread of the quantity", line.spread, (Decimal::ZERO, line.quantity))?;
        }
        within(&name, "the unit price", line.unit_price, up_to(10_000_000))?;
        if let Some(work) = &line.work {
            check_work(&name, work)?;
            let labour = crew_hours(line.quantity, work) * crew.people * crew.wage;
            within(&name, "the cost of the work", labour, up_to(MOST_COST))?;
        }
        within(&name, "the cost", line.quantity * line.unit_price, up_to(MOST_COST))?;
    }
    Ok(())
}

fn check_terms(terms: &Terms) -> Result<(), PriceError> {
    let crew = &terms.crew;
    within("crew", "the number of people", crew.people, (Decimal::ONE, Decimal::ONE_HUNDRED))?;
    within("crew", "the working day in hours", crew.day, (Decimal::ONE, Decimal::from(24)))?;
    within("crew", "the wage of an hour", crew.wage, up_to(10_000))?;
    within("crew", "the equipment of a day", crew.equipment, up_to(1_000_000))?;
    within("terms", "the cost of a mobilisation", terms.mobilisation, up_to(10_000_000))?;
    within("terms", "the number of mobilisations", terms.mobilisations.into(), up_to(1_000))?;
    within("terms", "the contingency", terms.contingency, share(100))?;
    within("terms", "the overhead on labour and equipment", terms.overhead.own_work, share(10_000))?;
    within("terms", "the overhead on material and subcontracts", terms.overhead.bought, share(10_000))?;
    within("terms", "the price of the least job", terms.least_job, up_to(10_000_000))?;
    within("terms", "the retainage", terms.retainage, share(100))
}
