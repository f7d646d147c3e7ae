//! Critical values of the normal and the chi-squared distribution.
//!
//! - In: probabilities. Out: quantiles.
//! - Method: error and gamma functions of `statrs`; quantiles of chi-squared by Newton's method from
//!   the approximation of Wilson and Hilferty.

use statrs::function::{erf::erf_inv, gamma};

/// Chance of calling a good reading bad: 0.1 %, the usual choice of data snooping (Baarda 1968).
pub const SNOOPING_CHANCE: f64 = 0.001;

/// Chance of finding an error of the smallest size that is told: 80 % (Baarda 1968).
pub const SNOOPING_POWER: f64 = 0.80;

/// Two-sided critical value of the standard normal distribution for a chance `alpha` of passing it.
/// \[dimensionless\]
pub fn normal_critical(alpha: f64) -> f64 {
    std::f64::consts::SQRT_2 * erf_inv(1.0 - alpha)
}

/// Quantile of the standard normal distribution. \[dimensionless\]
pub fn normal_quantile(p: f64) -> f64 {
    std::f64::consts::SQRT_2 * erf_inv(2.0 * p - 1.0)
}

/// Quantile of the chi-squared distribution with `freedom` degrees; 0 for none. \[dimensionless\]
pub fn chi_squared_quantile(p: f64, freedom: usize) -> f64 {
    if freedom == 0 || p <= 0.0 {
        return 0.0;
    }
    let k = freedom as f64;
    let h = 2.0 / (9.0 * k);
    let mut x = (k * (1.0 - h + normal_quantile(p) * h.sqrt()).powi(3)).max(1e-6);
    for _ in 0..50 {
        let density =
            ((k / 2.0 - 1.0) * x.ln() - x / 2.0 - (k / 2.0) * 2.0_f64.ln() - gamma::ln_gamma(k / 2.0)).exp();
        let step = (gamma::gamma_lr(k / 2.0, x / 2.0) - p) / density;
        let next = if x - step > 0.0 { x - step } else { x / 2.0 };
        if (next - x).abs() <= 1e-13 * x {
            return next;
        }
        x = next;
    }
    x
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: table of the chi-squared distribution, NIST/SEMATECH e-Handbook of Statistical
    /// Methods, 1.3.6.7.4 (from memory): upper 5 % points 3.841 (1), 18.307 (10), 124.342 (100).
    #[test]
    fn chi_squared_agrees_with_the_table() {
        for (freedom, printed) in [(1, "3.841"), (10, "18.307"), (100, "124.342")] {
            assert_eq!(format!("{:.3}", chi_squared_quantile(0.95, freedom)), printed);
        }
    }

    /// Source: Baarda's non-centrality 17.075 for 0.1 % and 80 % (from memory), the square of the
    /// sum of both quantiles.
    #[test]
    fn snooping_agrees_with_the_usual_non_centrality() {
        let delta = normal_critical(SNOOPING_CHANCE) + normal_quantile(SNOOPING_POWER);
        assert!((delta * delta - 17.075).abs() < 2e-3, "{}", delta * delta);
    }
}
