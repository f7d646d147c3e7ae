//! Reading the text: keywords by lines, numbers by tokens.

use groundwright_units::constants::FOOT;

use super::{Edition, IesError, Photometry, Symmetry, Tilt};

/// More angles than any goniometer takes; a count beyond this is a slip.
const MOST_ANGLES: f64 = 3601.0;

pub(super) fn read(text: &str) -> Result<Photometry, IesError> {
    let (edition, keywords, tilt_line) = head(text)?;
    let rest = text.lines().enumerate().skip(tilt_line.0);
    let mut tokens = Tokens::new(rest.map(|(i, line)| (i + 1, line)), tilt_line.0);
    let tilt = match tilt_line.1.to_ascii_uppercase().as_str() {
        "NONE" => None,
        "INCLUDE" => Some(tilt(&mut tokens)?),
        _ => return Err(IesError::TiltFile { line: tilt_line.0, file: tilt_line.1.to_owned() }),
    };
    table(edition, keywords, tilt, tokens)
}

type Head<'t> = (Edition, Vec<(String, String)>, (usize, &'t str));

/// Edition, keywords, and the TILT line with its number.
fn head(text: &str) -> Result<Head<'_>, IesError> {
    let first = text.lines().next().unwrap_or_default().trim().trim_start_matches('\u{feff}');
    let edition = match first.to_ascii_uppercase().as_str() {
        line if line.starts_with("IES:LM-63-2019") => Edition::Of2019,
        line if line.starts_with("IESNA:LM-63-2002") => Edition::Of2002,
        line if line.starts_with("IESNA:LM-63-1995") => Edition::Of1995,
        line if line.starts_with("IESNA91") => Edition::Of1991,
        _ => Edition::Of1986,
    };
    let mut keywords: Vec<(String, String)> = Vec::new();
    for (i, line) in text.lines().enumerate() {
        let line = line.trim();
        if line.get(..5).is_some_and(|start| start.eq_ignore_ascii_case("TILT=")) {
            return Ok((edition, keywords, (i + 1, line[5..].trim())));
        }
        let Some((word, value)) = line.strip_prefix('[').and_then(|line| line.split_once(']')) else {
            continue;
        };
        match keywords.last_mut().filter(|_| word.eq_ignore_ascii_case("MORE")) {
            Some((_, before)) => *before = format!("{before}\n{}", value.trim()),
            None => keywords.push((word.to_owned(), value.trim().to_owned())),
        }
    }
    Err(IesError::NoTilt)
}

fn tilt(tokens: &mut Tokens<'_>) -> Result<Tilt, IesError> {
    let geometry = tokens.count("the lamp-to-luminaire geometry", 3.0)? as u8;
    let pairs = tokens.count("the number of tilt angles", MOST_ANGLES)?;
    let angles = tokens.take(pairs, "tilt angles")?;
    let factors = tokens.take(pairs, "tilt multipliers")?;
    let factors = angles.into_iter().zip(factors).map(|((_, a), (_, f))| (a.to_radians(), f)).collect();
    Ok(Tilt { geometry, factors })
}

fn table(
    edition: Edition,
    keywords: Vec<(String, String)>,
    tilt: Option<Tilt>,
    mut tokens: Tokens<'_>,
) -> Result<Photometry, IesError> {
    let lamps = tokens.above_zero("the number of lamps")?;
    let (line, lumens) = tokens.one("the lumens of a lamp")?;
    if lumens <= 0.0 && (lumens + 1.0).abs() > 1e-9 {
        let expected = "a number above zero, or -1 for absolute photometry";
        return Err(IesError::Value { line, what: "the lumens of a lamp", value: lumens, expected });
    }
    let multiplier = tokens.above_zero("the multiplier of intensities")?;
    let verticals = tokens.count("the number of vertical angles", MOST_ANGLES)?;
    let horizontals = tokens.count("the number of horizontal angles", MOST_ANGLES)?;
    let (line, kind) = tokens.one("the photometric type")?;
    if !is(kind, 1.0) {
        let expected = "1 (type C): types A and B are those of headlamps and floodlights; ask for type C";
        return Err(IesError::Value { line, what: "the photometric type", value: kind, expected });
    }
    let (line, units) = tokens.one("the units of size")?;
    if !is(units, 1.0) && !is(units, 2.0) {
        let expected = "1 for feet or 2 for metres";
        return Err(IesError::Value { line, what: "the units of size", value: units, expected });
    }
    let metre = if is(units, 1.0) { FOOT } else { 1.0 };
    let opening: Vec<(usize, f64)> = tokens.take(3, "sizes of the opening")?;
    let ballast = tokens.above_zero("the ballast factor")?;
    let second = match edition {
        // Kept for future use in 2002, a code of how the file was made in 2019: not a factor.
        Edition::Of2002 | Edition::Of2019 => {
            tokens.one("the second number of the ballast line")?;
            1.0
        }
        _ => tokens.above_zero("the ballast-lamp factor")?,
    };
    let (line, watts) = tokens.one("the input watts")?;
    if watts < 0.0 {
        return Err(IesError::Value {
            line,
            what: "the input watts",
            value: watts,
            expected: "no less than 0",
        });
    }
    let vertical = tokens.take(verticals, "vertical angles")?;
    let horizontal = tokens.take(horizontals, "horizontal angles")?;
    let candela = tokens.take(verticals * horizontals, "intensities")?;
    tokens.end(verticals * horizontals)?;
    check_vertical(&vertical)?;
    let symmetry = symmetry(&horizontal)?;
    if let Some((line, value)) = candela.iter().find(|(_, cd)| *cd < 0.0) {
        let what = "an intensity";
        return Err(IesError::Value { line: *line, what, value: *value, expected: "no less than 0" });
    }
    let factor = multiplier * ballast * second;
    let radians = |angles: Vec<(usize, f64)>| angles.into_iter().map(|(_, a)| a.to_radians()).collect();
    Ok(Photometry {
        edition,
        keywords,
        tilt,
        lamps,
        lamp_lumens: (lumens > 0.0).then_some(lumens),
        in_feet: is(units, 1.0),
        opening: [opening[0].1 * metre, opening[1].1 * metre, opening[2].1 * metre],
        watts,
        symmetry,
        vertical: radians(vertical),
        horizontal: radians(horizontal),
        candela: candela.into_iter().map(|(_, cd)| cd * factor).collect(),
    })
}

/// Whether a number is the one written, past the last digits that its conversion may lose.
fn is(value: f64, number: f64) -> bool {
    (value - number).abs() < 1e-9
}

fn ascending(angles: &[(usize, f64)], what: &'static str) -> Result<(), IesError> {
    match angles.windows(2).find(|pair| pair[1].1 <= pair[0].1) {
        Some(pair) => {
            let (line, value) = pair[1];
            Err(IesError::Value { line, what, value, expected: "more than the angle before it" })
        }
        None => Ok(()),
    }
}

fn check_vertical(angles: &[(usize, f64)]) -> Result<(), IesError> {
    ascending(angles, "a vertical angle")?;
    let (first, last) = (angles[0], angles[angles.len() - 1]);
    if !is(first.1, 0.0) && !is(first.1, 90.0) {
        let expected = "0 or 90 for type C";
        return Err(IesError::Value {
            line: first.0,
            what: "the first vertical angle",
            value: first.1,
            expected,
        });
    }
    if (!is(last.1, 90.0) && !is(last.1, 180.0)) || angles.len() < 2 {
        let expected = "90 or 180 for type C, where the intensity may be 0";
        return Err(IesError::Value {
            line: last.0,
            what: "the last vertical angle",
            value: last.1,
            expected,
        });
    }
    Ok(())
}

fn symmetry(angles: &[(usize, f64)]) -> Result<Symmetry, IesError> {
    ascending(angles, "a horizontal angle")?;
    let (first, last) = (angles[0], angles[angles.len() - 1]);
    // Whole degrees: what is compared is what was written.
    match (first.1 as i64, last.1 as i64) {
        (0, 0) if is(last.1, 0.0) => Ok(Symmetry::Axial),
        (0, 90) if is(first.1, 0.0) && is(last.1, 90.0) => Ok(Symmetry::Quadrant),
        (0, 180) if is(first.1, 0.0) && is(last.1, 180.0) => Ok(Symmetry::Bilateral),
        (90, 270) if is(first.1, 90.0) && is(last.1, 270.0) => Ok(Symmetry::BilateralAcross),
        (0, 360) if is(first.1, 0.0) && is(last.1, 360.0) => Ok(Symmetry::Whole),
        _ => {
            let expected = "0, 90, 180 or 360 after a first angle of 0, or 270 after 90";
            Err(IesError::Value { line: last.0, what: "the last horizontal angle", value: last.1, expected })
        }
    }
}

/// Numbers with their lines.
struct Tokens<'t> {
    tokens: std::vec::IntoIter<(usize, &'t str)>,
    line: usize,
}

impl<'t> Tokens<'t> {
    fn new(lines: impl Iterator<Item = (usize, &'t str)>, line: usize) -> Self {
        // Old files may end with the control character that ended files then.
        let gap = |c: char| c.is_whitespace() || c == ',' || c == '\u{1a}';
        let tokens: Vec<(usize, &str)> = lines
            .flat_map(|(line, text)| text.split(gap).filter(|t| !t.is_empty()).map(move |t| (line, t)))
            .collect();
        Self { tokens: tokens.into_iter(), line }
    }

    fn one(&mut self, what: &'static str) -> Result<(usize, f64), IesError> {
        let Some((line, text)) = self.tokens.next() else {
            return Err(IesError::Short { line: self.line, what, expected: 1, found: 0 });
        };
        self.line = line;
        let number = text.parse::<f64>().ok().filter(|number| number.is_finite());
        number.map(|number| (line, number)).ok_or_else(|| IesError::NotANumber {
            line,
            text: text.to_owned(),
            what,
        })
    }

    fn above_zero(&mut self, what: &'static str) -> Result<f64, IesError> {
        let (line, value) = self.one(what)?;
        if value > 0.0 {
            return Ok(value);
        }
        Err(IesError::Value { line, what, value, expected: "a number above zero" })
    }

    fn count(&mut self, what: &'static str, most: f64) -> Result<usize, IesError> {
        let (line, value) = self.one(what)?;
        if value >= 1.0 && value <= most && value.fract() == 0.0 {
            return Ok(value as usize);
        }
        Err(IesError::Value { line, what, value, expected: "a whole number from 1 on, and not a huge one" })
    }

    fn take(&mut self, expected: usize, what: &'static str) -> Result<Vec<(usize, f64)>, IesError> {
        let left = self.tokens.len();
        if left < expected {
            let line = self.tokens.as_slice().last().map_or(self.line, |token| token.0);
            return Err(IesError::Short { line, what, expected, found: left });
        }
        (0..expected).map(|_| self.one(what)).collect()
    }

    fn end(&self, expected: usize) -> Result<(), IesError> {
        match self.tokens.as_slice() {
            [] => Ok(()),
            [(line, _), ..] => Err(IesError::Extra { line: *line, extra: self.tokens.len(), expected }),
        }
    }
}
