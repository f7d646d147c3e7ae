//! Numbers as people write them: grouped, decimal, fractional, mixed.
//!
//! - In: text tidied by [`normalise`]. Out: a [`Number`] that remembers how it was written,
//!   because `12.6` and `12 6/10` deserve different questions.
//! - A fraction must be below 1 and have a denominator; whether the denominator suits a tape is
//!   the business of `length`.

use super::{ParseError, Source, finite};

/// Brings the writer's signs to one alphabet: primes and curly quotes to `'` and `"`, the minus
/// and dashes to `-`, the vulgar fractions to `1/2` and the like, `+/-` to `±`.
pub(super) fn normalise(written: &str) -> String {
    let mut tidy = String::with_capacity(written.len() + 8);
    for c in written.chars() {
        match c {
            '′' | 'ʹ' | '’' | '‘' => tidy.push('\''),
            '″' | 'ʺ' | '”' | '“' => tidy.push('"'),
            '−' | '‐' | '‑' | '–' => tidy.push('-'),
            '⁄' | '∕' => tidy.push('/'),
            '∶' => tidy.push(':'),
            'º' => tidy.push('°'),
            c if c.is_whitespace() => tidy.push(' '),
            c => match vulgar_fraction(c) {
                Some(fraction) => {
                    tidy.push(' ');
                    tidy.push_str(fraction);
                    tidy.push(' ');
                }
                None => tidy.push(c),
            },
        }
    }
    tidy.replace("+/-", "±")
}

fn vulgar_fraction(c: char) -> Option<&'static str> {
    Some(match c {
        '½' => "1/2",
        '¼' => "1/4",
        '¾' => "3/4",
        '⅛' => "1/8",
        '⅜' => "3/8",
        '⅝' => "5/8",
        '⅞' => "7/8",
        '⅓' => "1/3",
        '⅔' => "2/3",
        _ => return None,
    })
}

/// A number and how it was written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Number<'a> {
    /// Without sign, may be infinite when there are hundreds of digits.
    pub value: f64,
    /// The digits before the point or fraction, as a number.
    pub whole: f64,
    /// The digits behind the point, when there is one.
    pub decimals: Option<&'a str>,
    /// The fraction behind the whole, when there is one.
    pub fraction: Option<Fraction>,
    /// Whether the number is a fraction and nothing else.
    pub bare_fraction: bool,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Fraction {
    pub numerator: f64,
    pub denominator: f64,
}

impl Number<'_> {
    /// Written with digits alone, neither point nor fraction.
    pub fn is_plain(&self) -> bool {
        self.decimals.is_none() && self.fraction.is_none()
    }
}

/// Walks over a tidied text from left to right.
pub(super) struct Scanner<'a> {
    source: Source<'a>,
    rest: &'a str,
}

impl<'a> Scanner<'a> {
    pub fn new(source: Source<'a>) -> Self {
        Self { source, rest: source.text.trim() }
    }

    pub fn rest(&self) -> &'a str {
        self.rest
    }

    pub fn at_end(&self) -> bool {
        self.rest.is_empty()
    }

    pub fn skip_spaces(&mut self) {
        self.rest = self.rest.trim_start();
    }

    /// Takes `mark` if it stands next.
    pub fn take(&mut self, mark: char) -> bool {
        match self.rest.strip_prefix(mark) {
            Some(rest) => {
                self.rest = rest;
                true
            }
            None => false,
        }
    }

    /// Takes a sign in front of everything: -1 or 1.
    pub fn sign(&mut self) -> f64 {
        let sign = if self.take('-') {
            -1.0
        } else {
            self.take('+');
            1.0
        };
        self.skip_spaces();
        sign
    }

    /// Takes a unit of length: an inch or foot mark, or a run of letters with its full stop.
    pub fn length_mark(&mut self) -> &'a str {
        let length = if self.rest.starts_with("''") {
            2
        } else if self.rest.starts_with(['\'', '"']) {
            1
        } else {
            span(self.rest, char::is_alphabetic)
        };
        let mark = self.advance(length);
        if mark.starts_with(char::is_alphabetic) {
            self.take('.');
        }
        mark
    }

    /// Takes a number without sign.
    pub fn number(&mut self) -> Result<Number<'a>, ParseError> {
        if let Some(fraction) = self.fraction()? {
            let value = fraction.numerator / fraction.denominator;
            let fraction = Some(fraction);
            return Ok(Number { value, whole: 0.0, decimals: None, fraction, bare_fraction: true });
        }
        let whole_digits = self.digits();
        if whole_digits.is_empty() && !self.decimals_follow() {
            return Err(ParseError::NotANumber {
                text: self.written(),
                what: self.source.what,
                example: self.source.example,
            });
        }
        let whole = to_number(&self.grouped(whole_digits)?);
        if self.decimals_follow() {
            self.take('.');
            let decimals = self.digits();
            self.refuse_decimal_comma(whole_digits, decimals)?;
            let value = whole + to_number(&format!("0.{decimals}"));
            let decimals = Some(decimals);
            return Ok(Number { value, whole, decimals, fraction: None, bare_fraction: false });
        }
        let fraction = self.fraction_behind_whole()?;
        let value = whole + fraction.map_or(0.0, |f| f.numerator / f.denominator);
        Ok(Number { value, whole, decimals: None, fraction, bare_fraction: false })
    }

    /// Everything must have been read.
    pub fn finish(&self) -> Result<(), ParseError> {
        if self.rest.trim().is_empty() { Ok(()) } else { Err(self.trailing()) }
    }

    pub fn trailing(&self) -> ParseError {
        ParseError::Trailing {
            text: self.written(),
            rest: self.rest.trim().to_owned(),
            what: self.source.what,
            example: self.source.example,
        }
    }

    fn written(&self) -> String {
        self.source.written.to_owned()
    }

    fn advance(&mut self, length: usize) -> &'a str {
        let (taken, rest) = self.rest.split_at(length);
        self.rest = rest;
        taken
    }

    fn digits(&mut self) -> &'a str {
        self.advance(digits_at(self.rest))
    }

    fn decimals_follow(&self) -> bool {
        self.rest.strip_prefix('.').is_some_and(|behind| digits_at(behind) > 0)
    }

    /// A fraction behind a whole: after spaces, `12 1/2`.
    fn fraction_behind_whole(&mut self) -> Result<Option<Fraction>, ParseError> {
        let before = self.rest;
        self.skip_spaces();
        let fraction = self.fraction()?;
        if fraction.is_none() {
            self.rest = before;
        }
        Ok(fraction)
    }

    /// Takes `3/8` if it stands next.
    pub fn fraction(&mut self) -> Result<Option<Fraction>, ParseError> {
        let above = digits_at(self.rest);
        let Some(behind) = self.rest[above..].strip_prefix('/') else {
            return Ok(None);
        };
        let below = digits_at(behind);
        if above == 0 || below == 0 {
            return Ok(None);
        }
        let numerator = to_number(&self.rest[..above]);
        let denominator = to_number(&behind[..below]);
        // Written so that an infinite numerator or denominator is refused too.
        let proper = numerator < denominator && denominator.is_finite();
        if !proper {
            let text = self.written();
            return Err(ParseError::ImproperFraction { text, numerator, denominator });
        }
        self.rest = &behind[below..];
        Ok(Some(Fraction { numerator, denominator }))
    }

    /// The digits of a whole number, its groups of thousands joined.
    fn grouped(&mut self, first: &str) -> Result<String, ParseError> {
        let more = span(self.rest, |c| c == ',' || c.is_ascii_digit());
        // A comma with no digit behind it is not part of the number.
        let groups = self.rest[..more].trim_end_matches(',');
        if !groups.starts_with(',') {
            return Ok(first.to_owned());
        }
        let groups: Vec<&str> = self.advance(groups.len())[1..].split(',').collect();
        let proper = (1..=3).contains(&first.len())
            && !first.starts_with('0')
            && groups.iter().all(|group| group.len() == 3);
        if proper {
            return Ok(format!("{first}{}", groups.concat()));
        }
        match groups.as_slice() {
            [decimals] => Err(ParseError::DecimalComma {
                text: self.written(),
                with_point: format!("{first}.{decimals}"),
            }),
            _ => Err(ParseError::Thousands { text: self.written() }),
        }
    }

    /// `1.200,5`: points for thousands and a decimal comma.
    fn refuse_decimal_comma(&self, whole: &str, decimals: &str) -> Result<(), ParseError> {
        let Some(behind) = self.rest.strip_prefix(',') else {
            return Ok(());
        };
        let length = digits_at(behind);
        if length == 0 {
            return Ok(());
        }
        let with_point = format!("{whole}{decimals}.{}", &behind[..length]);
        Err(ParseError::DecimalComma { text: self.written(), with_point })
    }
}

/// The number, signed, when the text is nothing else.
pub(super) fn lone_number(source: Source<'_>) -> Result<f64, ParseError> {
    let mut scanner = Scanner::new(source);
    let sign = scanner.sign();
    let number = scanner.number()?;
    scanner.finish()?;
    finite(sign * number.value, source.written)
}

/// Bytes of the longest beginning of `text` whose characters all belong.
fn span(text: &str, belongs: impl Fn(char) -> bool) -> usize {
    text.find(|c| !belongs(c)).unwrap_or(text.len())
}

fn digits_at(text: &str) -> usize {
    span(text, |c| c.is_ascii_digit())
}

/// Digits to a float; only digits and one point reach here, so none but an empty text fails.
fn to_number(digits: &str) -> f64 {
    digits.parse().unwrap_or(0.0)
}
