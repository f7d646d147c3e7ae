//! Money: a decimal amount, its currency, and the day the price was asked.
//!
//! - Amounts are exact decimals, never floats. Sums need one currency; a product or a tax is
//!   rounded to the currency's smallest coin, halves away from zero ("half up" for amounts owed).
//! - A sum is as old as its oldest price, so it carries the earliest date of its parts.
//! - Tax is taken on a total, not line by line; the two differ by cents, and the caller decides
//!   what is summed before [`Money::percent`] is asked.
//! - Not here: exchange rates, and knowing today's date.

use jiff::civil::Date;
use rust_decimal::{Decimal, RoundingStrategy};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error as _};
use std::{fmt, str::FromStr};

/// Why an amount of money has no answer.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MoneyError {
    /// Two currencies in one sum.
    #[error("{left} and {right} cannot be added; convert one of them first")]
    Currencies {
        /// The currency of the amount on the left.
        left: Currency,
        /// The currency of the amount on the right.
        right: Currency,
    },
    /// The result has more digits than an amount can hold.
    #[error("the amount is too large to be money; look for a slip in a quantity or a price")]
    TooLarge,
    /// Not a currency code.
    #[error("`{text}` is not a currency code; write three capital letters of ISO 4217, such as USD")]
    NotACurrency {
        /// The text as written.
        text: String,
    },
    /// Not a date.
    #[error("`{text}` is not a date; write year, month and day, such as 2025-05-19")]
    NotADate {
        /// The text as written.
        text: String,
    },
    /// Not an amount.
    #[error("`{text}` is not an amount of money; write it such as 13.45 or 1,240.00")]
    NotAnAmount {
        /// The text as written.
        text: String,
    },
}

/// An amount of money at the prices of one day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Money {
    /// The amount in the currency's main unit.
    #[serde(with = "amount_as_text")]
    pub amount: Decimal,
    /// The currency.
    pub currency: Currency,
    /// The day on which the price was good; of a sum, the earliest of its parts.
    pub priced: PriceDate,
}

impl Money {
    /// An amount in a currency at the prices of a day.
    pub const fn new(amount: Decimal, currency: Currency, priced: PriceDate) -> Self {
        Self { amount, currency, priced }
    }

    /// No money, to start a sum with.
    pub const fn zero(currency: Currency, priced: PriceDate) -> Self {
        Self::new(Decimal::ZERO, currency, priced)
    }

    /// The sum, as old as the older of the two.
    ///
    /// # Errors
    /// [`MoneyError::Currencies`] when they differ, [`MoneyError::TooLarge`] beyond 28 digits.
    pub fn plus(self, other: Self) -> Result<Self, MoneyError> {
        self.combined(other, self.amount.checked_add(other.amount))
    }

    /// The difference, as old as the older of the two.
    ///
    /// # Errors
    /// As for [`Money::plus`].
    pub fn minus(self, other: Self) -> Result<Self, MoneyError> {
        self.combined(other, self.amount.checked_sub(other.amount))
    }

    /// The sum of several amounts in order, starting from `self`.
    ///
    /// # Errors
    /// As for [`Money::plus`].
    pub fn plus_all(self, others: impl IntoIterator<Item = Self>) -> Result<Self, MoneyError> {
        others.into_iter().try_fold(self, Self::plus)
    }

    /// So many times the amount, rounded to the smallest coin.
    ///
    /// # Errors
    /// [`MoneyError::TooLarge`] beyond 28 digits.
    pub fn times(self, factor: Decimal) -> Result<Self, MoneyError> {
        let amount = self.amount.checked_mul(factor).ok_or(MoneyError::TooLarge)?;
        Ok(Self { amount, ..self }.rounded())
    }

    /// A percentage of the amount, such as a tax of 7.25, rounded to the smallest coin.
    ///
    /// # Errors
    /// As for [`Money::times`].
    pub fn percent(self, rate: Decimal) -> Result<Self, MoneyError> {
        let fraction = rate.checked_mul(Decimal::new(1, 2)).ok_or(MoneyError::TooLarge)?;
        self.times(fraction)
    }

    /// Rounded to the currency's smallest coin, halves away from zero.
    #[must_use]
    pub fn rounded(self) -> Self {
        let digits = self.currency.decimals();
        let mut amount = self.amount.round_dp_with_strategy(digits, RoundingStrategy::MidpointAwayFromZero);
        // Printed and stored with its cents, whatever digits the factors had.
        amount.rescale(digits);
        Self { amount, ..self }
    }

    fn combined(self, other: Self, amount: Option<Decimal>) -> Result<Self, MoneyError> {
        if self.currency != other.currency {
            return Err(MoneyError::Currencies { left: self.currency, right: other.currency });
        }
        let amount = amount.ok_or(MoneyError::TooLarge)?;
        Ok(Self { amount, currency: self.currency, priced: self.priced.min(other.priced) })
    }
}

/// `1,240.50 USD`
impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let amount = crate::format::grouped(&self.rounded().amount.to_string());
        write!(f, "{amount} {}", self.currency)
    }
}

/// An amount as people write it: `13.45`, `1,240.00`, `-5`.
///
/// # Errors
/// [`MoneyError::NotAnAmount`].
pub fn parse_amount(text: &str) -> Result<Decimal, MoneyError> {
    let trimmed = text.trim();
    let unsigned = trimmed.strip_prefix('-').unwrap_or(trimmed);
    let (whole, decimals) = unsigned.split_once('.').unwrap_or((unsigned, "0"));
    let amount = if is_digits(decimals) && is_grouped(whole) {
        Decimal::from_str_exact(&trimmed.replace(',', "")).ok()
    } else {
        None
    };
    amount.ok_or_else(|| MoneyError::NotAnAmount { text: text.to_owned() })
}

fn is_digits(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit())
}

/// Digits alone, or in groups of three behind a first group that does not begin with zero.
fn is_grouped(whole: &str) -> bool {
    match whole.split_once(',') {
        None => is_digits(whole),
        Some((first, others)) => {
            is_digits(first)
                && first.len() <= 3
                && !first.starts_with('0')
                && others.split(',').all(|group| group.len() == 3 && is_digits(group))
        }
    }
}

/// A currency by its three letters.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Currency([u8; 3]);

impl Currency {
    /// The dollar of the United States.
    pub const USD: Self = Self(*b"USD");

    /// The code of ISO 4217.
    pub fn code(&self) -> &str {
        std::str::from_utf8(&self.0).unwrap_or("???")
    }

    /// Decimal places of the smallest coin in accounts.
    ///
    /// Source: ISO 4217, list of currencies with their minor units; from memory. Codes not named
    /// here have two; the list's few accounting units with four places are left out.
    pub fn decimals(self) -> u32 {
        match self.code() {
            "BIF" | "CLP" | "DJF" | "GNF" | "ISK" | "JPY" | "KMF" | "KRW" | "PYG" | "RWF" | "UGX" | "VND"
            | "VUV" | "XAF" | "XOF" | "XPF" => 0,
            "BHD" | "IQD" | "JOD" | "KWD" | "LYD" | "OMR" | "TND" => 3,
            _ => 2,
        }
    }
}

impl FromStr for Currency {
    type Err = MoneyError;

    /// Three capital letters; whether a country uses them is not checked.
    fn from_str(text: &str) -> Result<Self, MoneyError> {
        match text.trim().as_bytes() {
            [a, b, c] if [a, b, c].iter().all(|letter| letter.is_ascii_uppercase()) => Ok(Self([*a, *b, *c])),
            _ => Err(MoneyError::NotACurrency { text: text.to_owned() }),
        }
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

impl fmt::Debug for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

/// The day on which a price was good.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PriceDate(Date);

impl PriceDate {
    /// From a calendar date.
    pub const fn new(date: Date) -> Self {
        Self(date)
    }

    /// The calendar date.
    pub const fn date(self) -> Date {
        self.0
    }
}

impl FromStr for PriceDate {
    type Err = MoneyError;

    /// Year, month and day in the long form of ISO 8601, `2025-05-19`, and nothing else.
    fn from_str(text: &str) -> Result<Self, MoneyError> {
        let refused = || MoneyError::NotADate { text: text.to_owned() };
        let trimmed = text.trim();
        // The calendar reader also takes times and short forms, which a price list has no use for.
        let long_form = trimmed.len() == 10
            && trimmed
                .bytes()
                .enumerate()
                .all(|(i, byte)| if i == 4 || i == 7 { byte == b'-' } else { byte.is_ascii_digit() });
        if !long_form {
            return Err(refused());
        }
        trimmed.parse().map(Self).map_err(|_| refused())
    }
}

impl fmt::Display for PriceDate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

macro_rules! serialised_as_text {
    ($($name:ident),+) => {$(
        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.collect_str(self)
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                String::deserialize(deserializer)?.parse().map_err(D::Error::custom)
            }
        }
    )+};
}
serialised_as_text!(Currency, PriceDate);

/// Keeps every digit: a JSON number would pass through a float.
mod amount_as_text {
    use super::{Decimal, Deserialize, Deserializer, Serializer};
    use serde::de::Error as _;

    pub(super) fn serialize<S: Serializer>(amount: &Decimal, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(amount)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Decimal, D::Error> {
        let text = String::deserialize(deserializer)?;
        super::parse_amount(&text).map_err(D::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dollars(amount: &str) -> Money {
        Money::new(parse_amount(amount).unwrap(), Currency::USD, "2025-05-19".parse().unwrap())
    }

    /// Lines 12 × 13.45, 7 × 4.99, 31 × 2.15, 3 × 86.35 at 7.25 %: tax on the total 37.85, sum
    /// of the taxes line by line 37.84. Computed from the closed formula, decimal arithmetic
    /// half-up.
    #[test]
    fn sales_tax_on_the_total_differs_by_a_cent_from_the_sum_of_lines() {
        let rate = parse_amount("7.25").unwrap();
        let lines: Vec<Money> = [("12", "13.45"), ("7", "4.99"), ("31", "2.15"), ("3", "86.35")]
            .map(|(count, price)| dollars(price).times(parse_amount(count).unwrap()).unwrap())
            .to_vec();
        let subtotal = dollars("0").plus_all(lines.iter().copied()).unwrap();
        assert_eq!(subtotal, dollars("522.03"));
        let tax = subtotal.percent(rate).unwrap();
        assert_eq!(tax, dollars("37.85"));
        assert_eq!(subtotal.plus(tax).unwrap(), dollars("559.88"));
        let taxes = lines.iter().map(|line| line.percent(rate).unwrap());
        assert_eq!(dollars("0").plus_all(taxes).unwrap(), dollars("37.84"));
    }

    #[test]
    fn halves_go_away_from_zero() {
        let half = parse_amount("0.5").unwrap();
        assert_eq!(dollars("0.01").times(half).unwrap(), dollars("0.01"));
        assert_eq!(dollars("0.05").times(half).unwrap(), dollars("0.03"));
        assert_eq!(dollars("-0.05").times(half).unwrap(), dollars("-0.03"));
        let yen = Money { currency: "JPY".parse().unwrap(), ..dollars("5") };
        assert_eq!(yen.times(half).unwrap().amount, parse_amount("3").unwrap());
    }

    #[test]
    fn two_currencies_do_not_add() {
        let euros = Money { currency: "EUR".parse().unwrap(), ..dollars("1") };
        assert_eq!(
            dollars("1").plus(euros).unwrap_err().to_string(),
            "USD and EUR cannot be added; convert one of them first"
        );
        assert!(dollars("1").minus(euros).is_err());
    }

    #[test]
    fn a_sum_is_as_old_as_its_oldest_price() {
        let older = Money { priced: "2024-11-02".parse().unwrap(), ..dollars("2") };
        assert_eq!(dollars("1").plus(older).unwrap().priced.to_string(), "2024-11-02");
        assert_eq!(older.minus(dollars("1")).unwrap().priced.to_string(), "2024-11-02");
    }

    #[test]
    fn too_much_money_is_an_error_and_not_a_panic() {
        let most = Money::new(Decimal::MAX, Currency::USD, "2025-05-19".parse().unwrap());
        assert_eq!(most.plus(most), Err(MoneyError::TooLarge));
        assert_eq!(most.times(Decimal::TEN), Err(MoneyError::TooLarge));
        assert_eq!(most.rounded().amount, Decimal::MAX);
    }

    #[test]
    fn amounts_dates_and_codes_that_are_not_well_written_are_refused() {
        for text in ["", "-", "1,20", "1,2345", "0,123", "12.", ".5", "1.2.3", "1.200,00", "1e3", "$5"] {
            assert!(parse_amount(text).is_err(), "{text}");
        }
        for text in ["2025-02-30", "20250519", "2025-5-19", "2025-05-19T10:00", "19-05-2025", ""] {
            assert!(text.parse::<PriceDate>().is_err(), "{text}");
        }
        for text in ["usd", "US", "USDX", "U$D", ""] {
            assert!(text.parse::<Currency>().is_err(), "{text}");
        }
        assert_eq!(parse_amount("1,240.50").unwrap().to_string(), "1240.50");
    }

    #[test]
    fn money_is_stored_as_text_and_read_back_to_the_last_digit() {
        let price = dollars("1240.50");
        let stored = serde_json::to_string(&price).unwrap();
        assert_eq!(stored, r#"{"amount":"1240.50","currency":"USD","priced":"2025-05-19"}"#);
        assert_eq!(serde_json::from_str::<Money>(&stored).unwrap(), price);
        assert!(serde_json::from_str::<Money>(&stored.replace("\"1240.50\"", "1240.5")).is_err());
        assert_eq!(price.to_string(), "1,240.50 USD");
    }
}
