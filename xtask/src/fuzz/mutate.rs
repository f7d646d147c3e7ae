//! Mutations that know how a project file is made: lines, `key = value`, tables under `[[…]]`.
//!
//! - In: a pool of projects and a source of chance. Out: one project with one to six changes.
//! - Blind changes (bytes, cuts) find what the parser of TOML stumbles over; changes of values,
//!   keys and tables get past it to the reader.

use groundwright_plan::Sources;

use super::random::Random;

/// A file of a project: property, design, practice, or a stock file by its position.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileOf {
    /// `property.toml`
    Property,
    /// `design.toml`
    Design,
    /// `practice.toml`
    Practice,
    /// A file of `stock/`.
    Stock(usize),
}

/// The files that a project has.
pub fn files(sources: &Sources) -> Vec<FileOf> {
    let stock = (0..sources.stock.len()).map(FileOf::Stock);
    let named = [FileOf::Property, FileOf::Design, FileOf::Practice].into_iter();
    named.filter(|which| text(sources, *which).is_some()).chain(stock).collect()
}

/// The text of a file.
pub fn text(sources: &Sources, which: FileOf) -> Option<&str> {
    match which {
        FileOf::Property => sources.property.as_deref(),
        FileOf::Design => sources.design.as_deref(),
        FileOf::Practice => sources.practice.as_deref(),
        FileOf::Stock(i) => sources.stock.get(i).map(|(_, text)| text.as_str()),
    }
}

/// Replaces the text of a file.
pub fn put(sources: &mut Sources, which: FileOf, text: String) {
    match which {
        FileOf::Property => sources.property = Some(text),
        FileOf::Design => sources.design = Some(text),
        FileOf::Practice => sources.practice = Some(text),
        FileOf::Stock(i) => {
            if let Some((_, old)) = sources.stock.get_mut(i) {
                *old = text;
            }
        }
    }
}

/// A project of the pool with a few changes.
pub fn mutate(pool: &[Sources], random: &mut Random) -> Sources {
    let mut input = random.pick(pool).cloned().unwrap_or_default();
    for _ in 0..=random.below(6) {
        let which = *random.pick(&files(&input)).unwrap_or(&FileOf::Property);
        let mut old = text(&input, which).unwrap_or_default().to_owned();
        // Inputs that grow without end only slow the search down.
        let end = (0..=old.len().min(40_000)).rev().find(|at| old.is_char_boundary(*at)).unwrap_or(0);
        old.truncate(end);
        let other = random.pick(pool).and_then(|other| text(other, which)).unwrap_or_default().to_owned();
        let new = change(&old, &other, random);
        put(&mut input, which, new);
    }
    input
}

fn change(old: &str, other: &str, random: &mut Random) -> String {
    match random.below(16) {
        0 => flip(old, random),
        1 => cut(old, random),
        2 => insert(old, random),
        3 => change_lines(old, random, |lines, random| {
            let at = random.below(lines.len());
            let count = 1 + random.below(3);
            lines.drain(at..(at + count).min(lines.len()));
        }),
        4 => change_lines(old, random, |lines, random| {
            if let Some(line) = random.pick(lines).cloned() {
                lines.insert(random.below(lines.len() + 1), line);
            }
        }),
        5 => change_lines(old, random, |lines, random| {
            let (a, b) = (random.below(lines.len()), random.below(lines.len()));
            if a < lines.len() && b < lines.len() {
                lines.swap(a, b);
            }
        }),
        6 => table(old, other, random),
        7 => rename_key(old, random),
        8 => nest(old, random),
        9 | 10 => value_from(old, other, random),
        _ => odd_value(old, random),
    }
}

/// Bits of some bytes turned over; what is no UTF-8 then is replaced as an editor would.
fn flip(old: &str, random: &mut Random) -> String {
    let mut bytes = old.as_bytes().to_vec();
    for _ in 0..=random.below(4) {
        let at = random.below(bytes.len());
        if let Some(byte) = bytes.get_mut(at) {
            *byte ^= 1 << random.below(8);
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

/// A character's boundary somewhere in a text.
fn somewhere(text: &str, random: &mut Random) -> usize {
    let mut at = random.below(text.len() + 1);
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

fn cut(old: &str, random: &mut Random) -> String {
    let from = somewhere(old, random);
    let length = random.below(40);
    let to = (from + length..=old.len()).find(|at| old.is_char_boundary(*at)).unwrap_or(old.len());
    format!("{}{}", &old[..from], &old[to..])
}

fn insert(old: &str, random: &mut Random) -> String {
    let at = somewhere(old, random);
    let piece = random.pick(&PIECES).copied().unwrap_or_default();
    format!("{}{piece}{}", &old[..at], &old[at..])
}

/// Characters that readers stumble over.
const PIECES: [&str; 26] = [
    "\u{0}",
    "\u{feff}",
    "\r",
    "\r\n",
    "\t",
    "\u{a0}",
    "\u{2028}",
    "\u{202e}",
    "e\u{301}",
    "ß",
    "電",
    "🌳",
    "\u{1f469}\u{200d}\u{1f33e}",
    "′",
    "″",
    "½",
    "−",
    "±",
    "\"",
    "'",
    "\\",
    "#",
    "[",
    "]",
    "{",
    "=",
];

fn change_lines(
    old: &str,
    random: &mut Random,
    change: impl FnOnce(&mut Vec<String>, &mut Random),
) -> String {
    let mut lines: Vec<String> = old.split_inclusive('\n').map(str::to_owned).collect();
    if !lines.is_empty() {
        change(&mut lines, random);
    }
    lines.concat()
}

/// A table of another project added, or one of this project twice.
fn table(old: &str, other: &str, random: &mut Random) -> String {
    let from = if random.below(2) == 0 { old } else { other };
    let starts: Vec<usize> = from.match_indices("\n[").map(|(at, _)| at + 1).collect();
    let Some(&start) = random.pick(&starts) else { return format!("{old}\n{other}") };
    let end = from[start + 1..].find("\n[").map_or(from.len(), |at| start + 1 + at);
    format!("{old}\n{}", &from[start..end])
}

/// Places of `key = value` with a value on the same line: start of the line, of the value, its end.
fn assignments(text: &str) -> Vec<(usize, usize, usize)> {
    let mut start = 0;
    let mut found = Vec::new();
    for line in text.split_inclusive('\n') {
        if let Some(at) = line.find(" = ") {
            found.push((start, start + at + 3, start + line.trim_end().len()));
        }
        start += line.len();
    }
    found.retain(|(_, value, end)| value <= end);
    found
}

fn rename_key(old: &str, random: &mut Random) -> String {
    let places = assignments(old);
    let (Some(&(start, value, _)), Some(&(other, other_value, _))) =
        (random.pick(&places), random.pick(&places))
    else {
        return old.to_owned();
    };
    let key = if random.below(3) == 0 {
        random.pick(&KEYS).copied().unwrap_or_default().to_owned()
    } else {
        old[other..other_value - 3].to_owned()
    };
    format!("{}{key} = {}", &old[..start], &old[value..])
}

/// Keys with a meaning somewhere.
const KEYS: [&str; 14] = [
    "id",
    "standing",
    "value",
    "units",
    "format",
    "at",
    "places",
    "outline",
    "row",
    "mass.outline",
    "mulch.depth",
    "from",
    "street",
    "\"\"",
];

/// A value wrapped in brackets, up to a depth that a careless reader would pay for.
fn nest(old: &str, random: &mut Random) -> String {
    replace_value(old, random, |value, random| {
        let deepest = if random.below(10) == 0 { 120 } else { 4 };
        let depth = 1 + random.below(deepest);
        if random.below(2) == 0 {
            format!("{}{value}{}", "[".repeat(depth), "]".repeat(depth))
        } else {
            format!("{}{value}{}", "{ value = ".repeat(depth), " }".repeat(depth))
        }
    })
}

fn value_from(old: &str, other: &str, random: &mut Random) -> String {
    let places = assignments(other);
    let Some(&(_, start, end)) = random.pick(&places) else { return old.to_owned() };
    replace_value(old, random, |_, _| other[start..end].to_owned())
}

fn replace_value(old: &str, random: &mut Random, new: impl FnOnce(&str, &mut Random) -> String) -> String {
    let places = assignments(old);
    let Some(&(_, start, end)) = random.pick(&places) else { return old.to_owned() };
    let value = new(&old[start..end], random);
    format!("{}{value}{}", &old[..start], &old[end..])
}

/// A value, or one number or text inside it, replaced by one from the edges of what can be.
fn odd_value(old: &str, random: &mut Random) -> String {
    let odd = match random.below(3) {
        0 => random.pick(&NUMBERS).copied().unwrap_or_default().to_owned(),
        1 => format!("\"{}\"", random.pick(&TEXTS).copied().unwrap_or_default()),
        _ => random.pick(&VALUES).copied().unwrap_or_default().to_owned(),
    };
    replace_value(old, random, |value, random| {
        let inner: Vec<(usize, &str)> = value
            .match_indices(|c: char| c.is_ascii_digit() || c == '"')
            .filter(|(at, _)| !value[..*at].ends_with(|c: char| c.is_alphanumeric() || c == '.'))
            .collect();
        match random.pick(&inner) {
            Some(&(start, first)) if random.below(2) == 0 => {
                let rest = &value[start + 1..];
                let length = if first == "\"" {
                    rest.find('"').map_or(rest.len(), |at| at + 1)
                } else {
                    rest.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(rest.len())
                };
                format!("{}{odd}{}", &value[..start], &rest[length..])
            }
            _ => odd,
        }
    })
}

const NUMBERS: [&str; 28] = [
    "0",
    "-0",
    "0.0",
    "-0.0",
    "1",
    "-1",
    "2",
    "3",
    "12.6",
    "12.10",
    "0.1",
    "100000",
    "1e9",
    "1e300",
    "-1e308",
    "5e-324",
    "nan",
    "-nan",
    "inf",
    "-inf",
    "9223372036854775807",
    "-9223372036854775808",
    "0xffff",
    "0b1",
    "1_000",
    "1979-05-27",
    "1979-05-27T07:32:00Z",
    "07:32:00",
];

const TEXTS: [&str; 44] = [
    "",
    " ",
    "12' 6\\\"",
    "32-6 1/2",
    "12.6",
    "12' 14\\\"",
    "3,5 m",
    "1,200 sq ft",
    "5 %",
    "3:1",
    "0:0",
    "1:0",
    "12 deg",
    "400°",
    "-3 m",
    "8 m ±",
    "8 m ± 2 m",
    "8 m ± -1 m",
    "± 3",
    "m",
    "1e400 m",
    "nan m",
    "inf ft",
    "½ in",
    "1 ½ in",
    "5/0 in",
    "3 cu yd",
    "40 lb",
    "10 gal",
    "8b",
    "14a",
    "bed front",
    "bed",
    "building house",
    "surface walk",
    "lawn back",
    "box terrace",
    "front",
    "corner",
    "measured",
    "unknown",
    "電気",
    "\\u0000",
    "a very long text a very long text a very long text a very long text a very long text",
];

const VALUES: [&str; 26] = [
    "true",
    "false",
    "[]",
    "{}",
    "[[]]",
    "[{}]",
    "[1]",
    "[1, 2]",
    "[1, 2, 3]",
    "[[1, 2], [1, 2]]",
    "[[0, 0], [9, 0], [9, 9]]",
    "[\"corner\", \"pin-a\"]",
    "[nan, inf]",
    "[1e300, 1]",
    "{ value = 3 }",
    "{ value = \"3 m\", spread = \"-1 m\" }",
    "{ value = 1, standing = \"assumed\" }",
    "{ from = \"corner\", shift = [1, 2] }",
    "{ from = \"corner\", shift = [1] }",
    "{ at = [1, 2], count = 3 }",
    "{ along = \"bed front\", rows = 2 }",
    "[{ along = \"bed front\", to = [1, 1] }]",
    "[{ smooth = [[0, 0], [4, 1], [9, 9]] }]",
    "[{ arc = [[1, 1], [2, 2]] }]",
    "{ outline = [[0, 0], [9, 0], [9, 9]] }",
    "[{ plant = \"acer-palmatum\", parts = 2 }]",
];

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "format = 1\nname = \"x\"\n\n[[tree]]\nid = \"oak\"\nat = [3, 4]\n";

    #[test]
    fn values_are_found_with_their_ends() {
        let found: Vec<&str> = assignments(TEXT).iter().map(|(_, value, end)| &TEXT[*value..*end]).collect();
        assert_eq!(found, ["1", "\"x\"", "\"oak\"", "[3, 4]"]);
    }

    /// Every sort of change does change something, in most of its draws.
    #[test]
    fn changes_change() {
        let mut random = Random::new(9);
        let changed = (0..2000).filter(|_| change(TEXT, TEXT, &mut random) != TEXT).count();
        assert!(changed > 1600, "{changed} of 2000");
    }

    #[test]
    fn changes_never_fail_on_texts_of_any_kind() {
        let mut random = Random::new(11);
        for text in ["", "\n", "電", " = ", "a = \n b = ", "\"\"\"", "[[x]]\nid = \"é\"", "x = 1 = 2"] {
            for _ in 0..500 {
                change(text, TEXT, &mut random);
                change(TEXT, text, &mut random);
            }
        }
    }
}
