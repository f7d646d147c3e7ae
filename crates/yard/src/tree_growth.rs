//! Trees by published equations: trunk by age, height and crown by trunk.
//!
//! - In: a species, an age since planting. Out: trunk diameter, height, crown diameter.
//! - Source: McPherson, van Doorn and Peper 2016, Urban tree database (RDS-2016-0005, General
//!   Technical Report PSW-GTR-253), tables TS4 and TS6 with the errata of January 2020; the rows
//!   whose three equations are linear, quadratic, log-log or exponential, in `stock/tree-growth.csv`.
//! - An equation is fitted to street trees of one region. A tree of which several regions tell is
//!   given the span of them; so is one's own region not needed.
//! - A quadratic is held at its peak, so that no tree shrinks. Sizes outside of what the equation
//!   was fitted to are held at that limit and marked.
//! - Not here: shrubs and perennials (`growth.rs`), palms (their equations take other arguments).

use std::sync::OnceLock;

/// One equation with the limits of its answer.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Equation {
    form: Form,
    a: f64,
    b: f64,
    c: f64,
    least: f64,
    most: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Form {
    Linear,
    Quadratic,
    LogLog,
    Exponential,
}

impl Equation {
    /// The answer, and whether it lay outside of its limits.
    fn value(&self, x: f64) -> (f64, bool) {
        let Self { a, b, c, .. } = *self;
        let y = match self.form {
            Form::Linear => a + b * x,
            Form::Quadratic => {
                let peak = if c < 0.0 { -b / (2.0 * c) } else { f64::INFINITY };
                let x = x.min(peak);
                a + b * x + c * x * x
            }
            // c is the mean squared error; half of it stands inside the outer logarithm.
            Form::LogLog => (a + b * ((x + 1.0).ln() + c / 2.0).ln()).exp(),
            Form::Exponential => (a + b * x + c / 2.0).exp(),
        };
        (y.clamp(self.least, self.most), !(self.least..=self.most).contains(&y))
    }
}

/// The equations of one species in one region.
#[derive(Debug, Clone, PartialEq)]
pub struct TreeEquations {
    /// Region of the database, such as `SacVal`.
    pub region: String,
    /// Botanical name.
    pub species: String,
    trunk: Equation,
    height: Equation,
    crown: Equation,
}

/// Size of a tree.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TreeSize {
    /// Diameter of the trunk at breast height. [m]
    pub trunk: f64,
    /// Height. [m]
    pub height: f64,
    /// Diameter of the crown. [m]
    pub crown: f64,
    /// Whether any of them is held at the limit of what its equation was fitted to.
    pub held: bool,
}

/// Why there is no size.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("{0} years since planting; expected a finite number from 0 to 500")]
pub struct AgeFault(pub f64);

impl TreeEquations {
    /// Size at an age since planting. [a]
    ///
    /// # Errors
    /// An age that no tree has.
    pub fn at(&self, age: f64) -> Result<TreeSize, AgeFault> {
        if !(0.0..=500.0).contains(&age) {
            return Err(AgeFault(age));
        }
        let (trunk, a) = self.trunk.value(age);
        let (height, b) = self.height.value(trunk);
        let (crown, c) = self.crown.value(trunk);
        Ok(TreeSize { trunk: trunk / 100.0, height, crown, held: a || b || c })
    }

    /// The age at which the tree is as high as this, between 0 and 100 years. [a]
    pub fn age_at_height(&self, height: f64) -> f64 {
        let reached = |age: f64| self.at(age).is_ok_and(|size| size.height >= height);
        let (mut low, mut high) = (0.0, 100.0);
        if reached(low) {
            return low;
        }
        if !reached(high) {
            return high;
        }
        while high - low > 1e-3 {
            let middle = f64::midpoint(low, high);
            if reached(middle) { high = middle } else { low = middle }
        }
        high
    }
}

/// All equations that the program carries, by region and species as in the file.
pub fn tree_equations() -> &'static [TreeEquations] {
    static ALL: OnceLock<Vec<TreeEquations>> = OnceLock::new();
    ALL.get_or_init(|| {
        let text = include_str!("../../../stock/tree-growth.csv");
        text.lines().skip(1).filter_map(row).collect()
    })
}

/// Equations of one species, of every region that has it.
pub fn equations_of(species: &str) -> impl Iterator<Item = &'static TreeEquations> + use<'_> {
    tree_equations().iter().filter(move |equations| equations.species == species)
}

/// region, species, then form, a, b, c, least, most of trunk, height and crown.
fn row(line: &str) -> Option<TreeEquations> {
    let fields: Vec<&str> = line.trim().split(',').collect();
    let [region, species, rest @ ..] = fields.as_slice() else { return None };
    let equation = |of: &[&str]| {
        let form = match of[0] {
            "lin" => Form::Linear,
            "quad" => Form::Quadratic,
            "loglogw1" => Form::LogLog,
            "expow1" => Form::Exponential,
            _ => return None,
        };
        let number = |i: usize| if of[i].is_empty() { Some(0.0) } else { of[i].parse::<f64>().ok() };
        Some(Equation {
            form,
            a: number(1)?,
            b: number(2)?,
            c: number(3)?,
            least: number(4)?,
            most: number(5)?,
        })
    };
    if rest.len() != 18 {
        return None;
    }
    Some(TreeEquations {
        region: (*region).to_owned(),
        species: (*species).to_owned(),
        trunk: equation(&rest[0..6])?,
        height: equation(&rest[6..12])?,
        crown: equation(&rest[12..18])?,
    })
}

#[cfg(test)]
mod tests {
    use super::{Equation, Form};

    /// The printed worked figure of the errata: sweet gum, Northern California Coast, 42.2 cm at 33
    /// years = 2.80359 + 1.29151 · 33 − 0.00299 · 33². Its limits are not printed beside it.
    #[test]
    fn the_worked_figure_of_the_errata() {
        let trunk =
            Equation { form: Form::Quadratic, a: 2.80359, b: 1.29151, c: -0.00299, least: 0.0, most: 1000.0 };
        assert!((trunk.value(33.0).0 - 42.2).abs() < 0.05);
        // Past its peak at 216 years it stays there.
        assert!((trunk.value(300.0).0 - trunk.value(216.0).0).abs() < 0.01);
        assert!(Equation { most: 40.0, ..trunk }.value(33.0).1, "held at its limit, and said so");
    }
}
