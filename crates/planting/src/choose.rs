//! Proposals of plant lists for a bed.
//!
//! - In: what the place is like, wishes. Out: several lists that differ, each taxon with its reasons.
//! - Method: a small mixed-integer model. One yes-or-no for every taxon that can live there; a list
//!   has a stated number of taxa, no two of one genus, and pays for every month wished without a
//!   flower and for every layer left empty; among those the best sum of merits. Every further list
//!   must differ from those before in two taxa or more. Solved to the optimum (crate `microlp`).
//! - Weights are common practice, no source. Prices, where given, are in one currency for one plant.
//! - Not here: how many of each (spacing), where they go.

use std::collections::BTreeMap;

use groundwright_plan::stock::{Foliage, Taxon};
use groundwright_plan::{Stock, TaxonId};
use microlp::{ComparisonOp, OptimizationDirection, Problem, Variable};

use crate::suited::Site;

/// What is wished of a bed.
#[derive(Debug, Clone, PartialEq)]
pub struct Wishes {
    /// How many taxa, 1 to 12.
    pub taxa: usize,
    /// Months in which something should flower, 1 to 12.
    pub months: Vec<u8>,
    /// The highest that a plant may get. [m]
    pub height: f64,
    /// The widest that a plant may get. [m]
    pub spread: f64,
    /// Colours of flowers wished; none means any.
    pub colours: Vec<String>,
    /// Least number of evergreen taxa.
    pub evergreen: usize,
    /// Region whose natives are preferred, as the stock writes it.
    pub native: Option<String>,
    /// Garden climate, as the stock writes it; taxa that are not said to suit it are left out.
    pub climate: Option<String>,
    /// What the nursery has; none means anything.
    pub on_offer: Vec<TaxonId>,
    /// Price of one plant, where it is known.
    pub prices: BTreeMap<TaxonId, f64>,
    /// How many different lists, 1 to 5.
    pub answers: usize,
}

/// A taxon of a list.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// Which.
    pub taxon: TaxonId,
    /// Why.
    pub reasons: Vec<String>,
}

/// A list of plants.
#[derive(Debug, Clone, PartialEq)]
pub struct PlantList {
    /// The taxa, highest first.
    pub choices: Vec<Choice>,
    /// Months wished in which nothing of it flowers.
    pub months_without: Vec<u8>,
    /// Sum of merits less what is paid.
    pub merit: f64,
}

/// Why there is no list.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ChooseFault {
    /// Wishes that no list could have.
    #[error("{what} is {value}; expected {expected}")]
    Wish {
        /// Which wish.
        what: &'static str,
        /// What was given.
        value: String,
        /// What was expected.
        expected: &'static str,
    },
    /// Too few taxa pass.
    #[error(
        "{found} taxa of the stock can live here and meet the wishes, of {wanted} wanted ({against}); ask for fewer, or loosen a wish"
    )]
    TooFew {
        /// Genera and taxa that pass.
        found: usize,
        /// Taxa wanted.
        wanted: usize,
        /// What rules out the most, in words.
        against: String,
    },
    /// The solver gave up.
    #[error("no list could be found: {0}")]
    Solver(String),
}

/// What a month wished without a flower costs, in merits.
const MONTH: f64 = 3.0;
/// What a layer left empty costs.
const LAYER: f64 = 2.0;

/// Proposes lists, the best first.
///
/// # Errors
/// Wishes out of range, or too few taxa that can live there.
pub fn plant_lists(stock: &Stock, site: &Site, wishes: &Wishes) -> Result<Vec<PlantList>, ChooseFault> {
    check(wishes)?;
    let mut against: BTreeMap<&'static str, usize> = BTreeMap::new();
    let candidates: Vec<&Taxon> = stock
        .taxa
        .values()
        .filter(|taxon| match refused(taxon, site, wishes) {
            Some(why) => {
                *against.entry(why).or_default() += 1;
                false
            }
            None => true,
        })
        .collect();
    let mut lists: Vec<PlantList> = Vec::new();
    let mut earlier: Vec<Vec<usize>> = Vec::new();
    for _ in 0..wishes.answers {
        match solve(&candidates, wishes, &earlier) {
            Ok(Some(chosen)) => {
                lists.push(list(&candidates, wishes, &chosen));
                earlier.push(chosen);
            }
            Ok(None) => break,
            Err(problem) => return Err(ChooseFault::Solver(problem)),
        }
    }
    if lists.is_empty() {
        let most = against.iter().max_by_key(|(_, count)| **count);
        let against =
            most.map_or("nothing else is there".to_owned(), |(why, n)| format!("{n} because each {why}"));
        return Err(ChooseFault::TooFew { found: candidates.len(), wanted: wishes.taxa, against });
    }
    Ok(lists)
}

fn check(wishes: &Wishes) -> Result<(), ChooseFault> {
    let fault = |what, value: String, expected| Err(ChooseFault::Wish { what, value, expected });
    if !(1..=12).contains(&wishes.taxa) {
        return fault("the number of taxa", wishes.taxa.to_string(), "1 to 12");
    }
    if !(1..=5).contains(&wishes.answers) {
        return fault("the number of lists", wishes.answers.to_string(), "1 to 5");
    }
    if let Some(month) = wishes.months.iter().find(|month| !(1..=12).contains(*month)) {
        return fault("a month", month.to_string(), "1 to 12");
    }
    for (what, value) in [("the greatest height", wishes.height), ("the greatest spread", wishes.spread)] {
        if value.is_nan() || value <= 0.0 {
            return fault(what, value.to_string(), "a length above 0 m");
        }
    }
    if wishes.evergreen > wishes.taxa {
        return fault("the number of evergreens", wishes.evergreen.to_string(), "at most the number of taxa");
    }
    if let Some(price) = wishes.prices.values().find(|price| !(price.is_finite() && **price >= 0.0)) {
        return fault("a price", price.to_string(), "a finite amount, not below zero");
    }
    Ok(())
}

fn refused(taxon: &Taxon, site: &Site, wishes: &Wishes) -> Option<&'static str> {
    if let Some(why) = site.against(taxon) {
        return Some(why);
    }
    let colour = wishes.colours.is_empty()
        || taxon.bloom_colour.is_empty()
        || wishes.colours.contains(&taxon.bloom_colour);
    if taxon.mature_height() > wishes.height || taxon.mature_spread() > wishes.spread {
        Some("grows too large")
    } else if !colour {
        Some("flowers in another colour")
    } else if !wishes.on_offer.is_empty() && !wishes.on_offer.contains(&taxon.id) {
        Some("is not on offer")
    } else if wishes.climate.as_ref().is_some_and(|climate| !taxon.climates.contains(climate)) {
        Some("is not said to suit the climate")
    } else {
        None
    }
}

/// Low, middle or high among what the bed has room for.
fn layer(taxon: &Taxon, wishes: &Wishes) -> usize {
    let most = wishes.height.min(3.0);
    let share = taxon.mature_height() / most;
    if share > 0.6 { 2 } else { usize::from(share > 0.25) }
}

fn is_evergreen(taxon: &Taxon) -> bool {
    matches!(taxon.foliage, Some(Foliage::Evergreen))
}

fn merit(taxon: &Taxon, wishes: &Wishes, dearest: f64) -> f64 {
    let months = wishes.months.iter().filter(|month| taxon.blooms_in(**month)).count() as f64;
    let native = wishes.native.as_ref().is_some_and(|region| taxon.native.contains(region));
    let sure = match taxon.confidence.as_str() {
        "high" => 0.5,
        "medium" => 0.25,
        _ => 0.0,
    };
    let price = wishes.prices.get(&taxon.id).map_or(0.5, |price| price / dearest);
    1.0 + 0.3 * months + if native { 1.0 } else { 0.0 } + sure
        - if wishes.prices.is_empty() { 0.0 } else { 2.0 * price }
}

fn dearest(wishes: &Wishes) -> f64 {
    wishes.prices.values().copied().fold(f64::MIN_POSITIVE, f64::max)
}

fn solve(
    candidates: &[&Taxon],
    wishes: &Wishes,
    earlier: &[Vec<usize>],
) -> Result<Option<Vec<usize>>, String> {
    let dearest = dearest(wishes);
    let mut problem = Problem::new(OptimizationDirection::Maximize);
    // A last digit by place breaks ties the same way everywhere.
    let yes: Vec<Variable> = candidates
        .iter()
        .enumerate()
        .map(|(i, taxon)| problem.add_binary_var(merit(taxon, wishes, dearest) - 1e-6 * i as f64))
        .collect();
    let all = |keep: &dyn Fn(usize, &Taxon) -> bool| -> Vec<(Variable, f64)> {
        candidates.iter().enumerate().filter(|(i, t)| keep(*i, t)).map(|(i, _)| (yes[i], 1.0)).collect()
    };
    problem.add_constraint(all(&|_, _| true), ComparisonOp::Eq, wishes.taxa as f64);
    problem.add_constraint(all(&|_, t| is_evergreen(t)), ComparisonOp::Ge, wishes.evergreen as f64);
    let mut genera: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (i, taxon) in candidates.iter().enumerate() {
        genera.entry(genus(taxon)).or_default().push(i);
    }
    for of_one in genera.values().filter(|of_one| of_one.len() > 1) {
        problem.add_constraint(all(&|i, _| of_one.contains(&i)), ComparisonOp::Le, 1.0);
    }
    for month in &wishes.months {
        let without = problem.add_var(-MONTH, (0.0, 1.0));
        let mut terms = all(&|_, t| t.blooms_in(*month));
        terms.push((without, 1.0));
        problem.add_constraint(terms, ComparisonOp::Ge, 1.0);
    }
    for wanted in 0..wishes.taxa.min(3) {
        let empty = problem.add_var(-LAYER, (0.0, 1.0));
        let mut terms = all(&|_, t| layer(t, wishes) == wanted);
        terms.push((empty, 1.0));
        problem.add_constraint(terms, ComparisonOp::Ge, 1.0);
    }
    for before in earlier {
        let most = wishes.taxa.saturating_sub(if wishes.taxa > 2 { 2 } else { 1 }) as f64;
        problem.add_constraint(all(&|i, _| before.contains(&i)), ComparisonOp::Le, most);
    }
    match problem.solve() {
        Ok(outcome) => {
            let solution = outcome.into_solution().map_err(|_| "the solver stopped early".to_owned())?;
            Ok(Some((0..candidates.len()).filter(|i| solution.var_value(yes[*i]) > 0.5).collect()))
        }
        Err(microlp::Error::Infeasible) => Ok(None),
        Err(problem) => Err(problem.to_string()),
    }
}

fn genus(taxon: &Taxon) -> &str {
    taxon.botanical.split_whitespace().next().unwrap_or(&taxon.botanical)
}

fn list(candidates: &[&Taxon], wishes: &Wishes, chosen: &[usize]) -> PlantList {
    let mut taxa: Vec<&Taxon> = chosen.iter().map(|i| candidates[*i]).collect();
    taxa.sort_by(|a, b| b.mature_height().total_cmp(&a.mature_height()).then_with(|| a.id.cmp(&b.id)));
    let months_without: Vec<u8> =
        wishes.months.iter().copied().filter(|month| !taxa.iter().any(|t| t.blooms_in(*month))).collect();
    let layers = (0..wishes.taxa.min(3)).filter(|l| !taxa.iter().any(|t| layer(t, wishes) == *l)).count();
    let dearest = dearest(wishes);
    let merit = taxa.iter().map(|t| merit(t, wishes, dearest)).sum::<f64>()
        - MONTH * months_without.len() as f64
        - LAYER * layers as f64;
    let choices =
        taxa.iter().map(|taxon| Choice { taxon: taxon.id.clone(), reasons: reasons(taxon, wishes) });
    PlantList { choices: choices.collect(), months_without, merit }
}

fn reasons(taxon: &Taxon, wishes: &Wishes) -> Vec<String> {
    let mut all = vec![["ground layer", "middle layer", "high layer"][layer(taxon, wishes)].to_owned()];
    let months: Vec<String> =
        wishes.months.iter().filter(|m| taxon.blooms_in(**m)).map(ToString::to_string).collect();
    if !months.is_empty() {
        all.push(format!("flowers in month {}", months.join(", ")));
    }
    if is_evergreen(taxon) {
        all.push("evergreen".to_owned());
    }
    if let Some(region) = wishes.native.as_ref().filter(|region| taxon.native.contains(region)) {
        all.push(format!("native to {region}"));
    }
    if let Some(price) = wishes.prices.get(&taxon.id) {
        all.push(format!("{price:.2} a plant"));
    }
    all
}
