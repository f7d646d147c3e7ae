//! Why a text is not a quantity, said so that its writer can mend it.
//!
//! Each message names the text, what was expected, and a spelling that works. Where the text
//! stood is added by whoever read it from a file.

use crate::quantities::Length;

/// Why a text is not the quantity that was asked for.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ParseError {
    /// Nothing was written before the end or the sign for approximate.
    #[error("nothing is written here; expected {what} such as {example}")]
    Empty {
        /// The quantity, with its article.
        what: &'static str,
        /// A text that parses.
        example: &'static str,
    },
    /// A number was expected and something else stands there.
    #[error("`{text}` has no number where one is expected; write {what} such as {example}")]
    NotANumber {
        /// The text as written.
        text: String,
        /// The quantity, with its article.
        what: &'static str,
        /// A text that parses.
        example: &'static str,
    },
    /// The number is too large to compute with.
    #[error("`{text}` is too large to be a quantity of anything in a yard; look for a slip")]
    NotFinite {
        /// The text as written.
        text: String,
    },
    /// A comma where the decimal point belongs.
    #[error("`{text}` has a decimal comma; write it with a point, {with_point}")]
    DecimalComma {
        /// The text as written.
        text: String,
        /// The number with a point.
        with_point: String,
    },
    /// Commas that do not part groups of three digits.
    #[error(
        "`{text}` has commas that do not part groups of three digits; \
         write 1,200 or 1200, and a decimal with a point"
    )]
    Thousands {
        /// The text as written.
        text: String,
    },
    /// A number without a unit, and no declared unit to take.
    #[error("`{text}` has no unit; write {what} such as {example}")]
    MissingUnit {
        /// The text as written.
        text: String,
        /// The quantity, with its article.
        what: &'static str,
        /// A text that parses.
        example: &'static str,
    },
    /// A unit that this quantity does not have.
    #[error("`{text}`: `{unit}` is not a unit of {what}; {}", known_or_nearest(known, nearest.as_deref()))]
    UnknownUnit {
        /// The text as written.
        text: String,
        /// The unit as written.
        unit: String,
        /// The quantity, with its article.
        what: &'static str,
        /// The symbols of all units of the quantity, in a row.
        known: String,
        /// The known spelling nearest to the one written, if any is near.
        nearest: Option<String>,
    },
    /// A word that means different units in different places.
    #[error("`{text}`: `{unit}` can mean {readings}; {mend}")]
    UnclearUnit {
        /// The text as written.
        text: String,
        /// The unit as written.
        unit: String,
        /// What it can mean.
        readings: &'static str,
        /// How to write each.
        mend: &'static str,
    },
    /// Twelve inches or more beside feet.
    #[error(
        "`{text}` has {inches} inches beside its feet, expected less than 12; \
         carry them into the feet or correct the inches"
    )]
    InchesBesideFeet {
        /// The text as written.
        text: String,
        /// The inches as written.
        inches: f64,
    },
    /// Feet that are not whole, with inches behind them.
    #[error("`{text}` has a fraction of a foot and inches too; write the whole in one of the two")]
    FeetNotWhole {
        /// The text as written.
        text: String,
    },
    /// A fraction of an inch that no tape shows.
    #[error(
        "`{text}` has a fraction of an inch over {denominator}; \
         a tape has halves, 4ths, 8ths, 16ths, 32nds and 64ths"
    )]
    Denominator {
        /// The text as written.
        text: String,
        /// The denominator as written.
        denominator: f64,
    },
    /// A fraction of one or more, or over zero.
    #[error(
        "`{text}` has the fraction {numerator}/{denominator}, expected one below 1; \
         write it as a whole and a fraction, such as 1 1/2"
    )]
    ImproperFraction {
        /// The text as written.
        text: String,
        /// The numerator as written.
        numerator: f64,
        /// The denominator as written.
        denominator: f64,
    },
    /// Something is left over behind a complete quantity.
    #[error("`{text}`: `{rest}` is left over behind {what}; write it such as {example}")]
    Trailing {
        /// The text as written.
        text: String,
        /// What is left over.
        rest: String,
        /// The quantity, with its article.
        what: &'static str,
        /// A text that parses.
        example: &'static str,
    },
    /// A decimal that could be feet and tenths or feet and inches.
    #[error("`{text}` can be read two ways: write {}", both_ways(text))]
    Ambiguous {
        /// The number in question, as written.
        text: String,
        /// The length as decimal feet, and as feet and inches.
        readings: [Length; 2],
    },
    /// A notation that could be read in several ways, other than a decimal of feet.
    #[error("`{text}` can be read more than one way: {mend}")]
    UnclearNotation {
        /// The text as written.
        text: String,
        /// How to write each reading.
        mend: &'static str,
    },
    /// A spread below zero.
    #[error("`{text}` has a negative spread; the sign ± already goes both ways")]
    NegativeSpread {
        /// The text as written.
        text: String,
    },
    /// The quantity does not go with a sign for approximate.
    #[error("`{text}`: {what} takes no ± here; write the value alone, such as {example}")]
    NoSpread {
        /// The text as written.
        text: String,
        /// The quantity, with its article.
        what: &'static str,
        /// A text that parses.
        example: &'static str,
    },
    /// A slope without run.
    #[error("`{text}` has no run; a slope is run:rise, such as 3:1, with a run above zero")]
    NoRun {
        /// The text as written.
        text: String,
    },
    /// An area of zero or less below the `per`.
    #[error("`{text}` is spread over no area; write it such as 1 lb per 1000 sq ft")]
    NoArea {
        /// The text as written.
        text: String,
    },
    /// Colder than anything can be.
    #[error("`{text}` is below absolute zero (-273.15 °C, -459.67 °F)")]
    BelowAbsoluteZero {
        /// The text as written.
        text: String,
    },
}

fn known_or_nearest(known: &str, nearest: Option<&str>) -> String {
    match nearest {
        Some(nearest) => format!("did you mean `{nearest}`? Known are {known}"),
        None => format!("known are {known}"),
    }
}

/// `12.6' for 12.6 feet, 12' 6" for 12 feet 6 inches`
fn both_ways(text: &str) -> String {
    let (feet, inches) = text.split_once('.').unwrap_or((text, "0"));
    let feet = match feet {
        "" | "+" => "0",
        "-" => "-0",
        feet => feet,
    };
    let inches = inches.trim_start_matches('0');
    format!("{text}' for {text} feet, {feet}' {inches}\" for {feet} feet {inches} inches")
}
