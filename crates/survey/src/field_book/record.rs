//! One line of the book after another, understood.
//!
//! - In: records of named cells. Out: the book, or all faults.
//! - A reading whose accuracy nobody gave takes the usual one of its kind; `±` on a reading widens it.

use std::collections::BTreeMap;

use groundwright_geometry::Point;
use groundwright_units::{AngleUnit, LengthUnit, Parsed, nearest_name, parse_angle, parse_length};

use super::{BookFault, BookUnits, Cell, FieldBook, Record, fault, point_id};
use crate::levelling::{LevelObserved, LevelReading, accuracy};
use crate::network::{Booked, Observed, Reading, SideOf, Slope, TapeAccuracy, level_run};

/// What a line may be.
const KINDS: [&str; 17] = [
    "units",
    "accuracy",
    "held",
    "near",
    "frame",
    "tape",
    "wall",
    "diagonal",
    "offset",
    "on line",
    "square",
    "side",
    "level",
    "rod",
    "height",
    "off ground",
    "note",
];

/// Standard deviation of a right angle laid out with a 3-4-5 triangle or a square. 0.3°: common
/// practice, no source. [rad]
const SQUARE: f64 = 0.005;

/// Standard deviation of a point said to be on a line by eye or string. Common practice, no source. [m]
const ON_LINE: f64 = 0.010;

/// An approximate reading is taken to lie within its spread in 19 cases of 20.
const SPREAD_TO_SIGMA: f64 = 0.5;

/// Reads all records.
pub(super) fn read(
    text: &str,
    records: &[Record],
    faults: Vec<BookFault>,
    units: BookUnits,
) -> Result<FieldBook, Vec<BookFault>> {
    let mut reader = Reader {
        text,
        units,
        tape: TapeAccuracy::USUAL,
        by_hand: accuracy::BY_HAND,
        rod: accuracy::ROD,
        book: FieldBook::default(),
        faults,
        waiting: Vec::new(),
        placed: BTreeMap::new(),
        off_ground: Vec::new(),
    };
    for record in records {
        if let Err(found) = reader.record(record) {
            reader.faults.push(found);
        }
    }
    reader.settle();
    if reader.faults.is_empty() {
        return Ok(reader.book);
    }
    reader.faults.sort_by_key(|fault| fault.span.start);
    Err(reader.faults)
}

type Read<T> = Result<T, BookFault>;

struct Reader<'t> {
    text: &'t str,
    units: BookUnits,
    tape: TapeAccuracy,
    by_hand: f64,
    rod: f64,
    book: FieldBook,
    faults: Vec<BookFault>,
    /// Names in lines that read nothing; they must occur in a reading as well.
    waiting: Vec<(String, Cell)>,
    /// Points whose place or height was given, with the line.
    placed: BTreeMap<(&'static str, String), usize>,
    /// Points said to be off the ground; they must have a height.
    off_ground: Vec<(String, Cell)>,
}

impl Reader<'_> {
    fn record(&mut self, record: &Record) -> Read<()> {
        let line = self.text[..record.span.start.min(self.text.len())].matches('\n').count() + 1;
        if let Some(note) = record.cells.get("note") {
            self.book.notes.insert(line, note.text.clone());
        }
        let what = record.cells.get("what").ok_or_else(|| {
            let problem = "the line does not say what was read".to_owned();
            fault(self.text, record.span.clone(), problem).expected(KINDS.join(", "))
        })?;
        match what.text.to_lowercase().as_str() {
            "note" => Ok(()),
            "units" => self.declare_units(record),
            "accuracy" => self.declare_accuracy(record),
            "held" | "near" => self.place(record, what, line),
            "frame" => {
                let (from, to) = (self.named(record, "from")?, self.named(record, "to")?);
                self.book.network.frame = Some((from, to));
                Ok(())
            }
            "tape" | "wall" | "diagonal" => self.taped(record, line),
            "offset" => self.offset(record, line),
            "on line" => {
                let observed = self.three(record, |point, from, to| Observed::Across { point, from, to })?;
                self.add(observed, 0.0, ON_LINE, None, line);
                Ok(())
            }
            "square" => {
                let observed = self.three(record, |at, from, to| Observed::Angle { at, from, to })?;
                self.add(observed, std::f64::consts::FRAC_PI_2, SQUARE, None, line);
                Ok(())
            }
            "side" => self.side(record),
            "level" | "rod" => self.heights(record, what, line),
            "height" => self.known_height(record, line),
            "off ground" => {
                let cell = self.needed(record, "point")?.clone();
                let id = self.id(&cell)?;
                self.off_ground.push((id.clone(), cell));
                self.book.off_ground.insert(id);
                Ok(())
            }
            other => {
                let near = nearest_name(other, &KINDS).map(|near| format!("did you mean `{near}`?"));
                let problem = format!("`{}` is nothing that can be read", what.text);
                Err(self.wrong(what, problem, KINDS.join(", "), near.unwrap_or_default()))
            }
        }
    }

    fn wrong(
        &self,
        cell: &Cell,
        problem: String,
        expected: impl Into<String>,
        remedy: impl Into<String>,
    ) -> BookFault {
        fault(self.text, cell.span.clone(), problem).expected(expected).remedy(remedy)
    }

    fn needed<'r>(&self, record: &'r Record, column: &'static str) -> Read<&'r Cell> {
        record.cells.get(column).ok_or_else(|| {
            let kind = record.cells.get("what").map_or("", |what| what.text.as_str());
            let problem = format!("`{kind}` needs `{column}`, and the cell is empty");
            fault(self.text, record.span.clone(), problem).expected(needs(kind))
        })
    }

    /// A length in the book's unit.
    fn length(&self, cell: &Cell) -> Read<Parsed<f64>> {
        let bare = cell.text.parse::<f64>().is_ok();
        let parsed = if self.units.decimal && bare && self.units.length == LengthUnit::Foot {
            parse_length(&format!("{} ft", cell.text), None)
        } else {
            parse_length(&cell.text, Some(self.units.length))
        };
        parsed
            .map(|parsed| parsed.map(groundwright_units::Length::metres))
            .map_err(|why| fault(self.text, cell.span.clone(), why.to_string()))
    }

    fn declare_units(&mut self, record: &Record) -> Read<()> {
        let cell = self.needed(record, "reading")?;
        let (length, decimal) = match cell.text.as_str() {
            "ft" => (LengthUnit::Foot, false),
            "decimal ft" => (LengthUnit::Foot, true),
            "m" => (LengthUnit::Metre, true),
            other => {
                let problem = format!("`{other}` is no unit of a field book");
                return Err(self.wrong(cell, problem, "ft, decimal ft or m", ""));
            }
        };
        if !self.book.is_empty() {
            let problem = "the units change in the middle of the book".to_owned();
            return Err(self.wrong(
                cell,
                problem,
                "`units` above all readings",
                "give other readings their own unit",
            ));
        }
        self.units = BookUnits { length, decimal };
        Ok(())
    }

    fn declare_accuracy(&mut self, record: &Record) -> Read<()> {
        let of = self.needed(record, "point")?.clone();
        let cell = self.needed(record, "reading")?;
        let ends = self.length(cell)?.value;
        if ends <= 0.0 {
            let problem = format!("an accuracy of `{}`", cell.text);
            return Err(self.wrong(cell, problem, "a length above zero, such as 1/4\"", ""));
        }
        match of.text.as_str() {
            "tape" => {
                let per_length = match record.cells.get("second") {
                    None => TapeAccuracy::USUAL.per_length,
                    Some(share) => {
                        let number = share.text.strip_suffix('%').and_then(|n| n.trim().parse::<f64>().ok());
                        number.filter(|n| (0.0..10.0).contains(n)).map(|n| n / 100.0).ok_or_else(|| {
                            let problem = format!("`{}` is no share of the length", share.text);
                            self.wrong(share, problem, "per cent of the length, such as 0.04 %", "")
                        })?
                    }
                };
                self.tape = TapeAccuracy { ends, per_length };
            }
            "level" => self.by_hand = ends,
            "rod" => self.rod = ends,
            other => {
                let problem = format!("accuracy of `{other}`");
                return Err(self.wrong(&of, problem, "tape, level or rod in the column `point`", ""));
            }
        }
        Ok(())
    }

    /// The id of the point in a cell.
    fn id(&mut self, cell: &Cell) -> Read<String> {
        let id = point_id(&cell.text).ok_or_else(|| {
            let problem = format!("`{}` is no name of a point", cell.text);
            self.wrong(cell, problem, "letters, digits, spaces and hyphens, such as `SW corner`", "")
        })?;
        self.book.names.entry(id.clone()).or_insert_with(|| cell.text.trim().to_owned());
        Ok(id)
    }

    /// The index of the point in a column.
    fn point(&mut self, record: &Record, column: &'static str) -> Read<usize> {
        let cell = self.needed(record, column)?.clone();
        let id = self.id(&cell)?;
        let network = &mut self.book.network;
        Ok(network.index_of(&id).unwrap_or_else(|| network.point(&id, None, None)))
    }

    /// The same in a line that reads nothing: the name must occur elsewhere.
    fn named(&mut self, record: &Record, column: &'static str) -> Read<usize> {
        let index = self.point(record, column)?;
        if let Some(cell) = record.cells.get(column) {
            self.waiting.push((self.book.network.points[index].name.clone(), cell.clone()));
        }
        Ok(index)
    }

    fn three(&mut self, record: &Record, observed: fn(usize, usize, usize) -> Observed) -> Read<Observed> {
        let cell = self.needed(record, "point")?.clone();
        let points = [self.point(record, "point")?, self.point(record, "from")?, self.point(record, "to")?];
        self.different(&points, &cell)?;
        Ok(observed(points[0], points[1], points[2]))
    }

    fn different(&self, points: &[usize], cell: &Cell) -> Read<()> {
        let twice = points.iter().enumerate().find(|(i, point)| points[..*i].contains(point));
        match twice {
            None => Ok(()),
            Some((_, point)) => {
                let problem =
                    format!("`{}` stands twice in one reading", self.book.network.points[*point].name);
                Err(self.wrong(cell, problem, "different points", "correct the name that is wrong"))
            }
        }
    }

    fn add(&mut self, observed: Observed, value: f64, sigma: f64, booked: Option<Booked>, line: usize) {
        self.book.network.readings.push(Reading { observed, value, sigma, booked });
        self.book.lines.push(line);
    }

    fn booked(&self, cell: &Cell) -> Booked {
        Booked { text: cell.text.clone(), unit: Some(self.units.length) }
    }

    fn place(&mut self, record: &Record, what: &Cell, line: usize) -> Read<()> {
        let point = self.point(record, "point")?;
        let x = self.length(self.needed(record, "reading")?)?.value;
        let y = self.length(self.needed(record, "second")?)?.value;
        let at = Point::new(x, y);
        let held = what.text.eq_ignore_ascii_case("held");
        let name = self.book.network.points[point].name.clone();
        self.once(if held { "held" } else { "near" }, &name, what, line)?;
        let target = &mut self.book.network.points[point];
        if held {
            target.held = Some(at);
        } else {
            target.near = Some(at);
        }
        Ok(())
    }

    /// A place or height is given once.
    fn once(&mut self, kind: &'static str, name: &str, cell: &Cell, line: usize) -> Read<()> {
        match self.placed.insert((kind, name.to_owned()), line) {
            None => Ok(()),
            Some(first) => {
                let problem = format!("`{kind}` of `{name}` is given twice");
                let remedy = format!("the first is on line {first}; keep the one that is right");
                Err(self.wrong(cell, problem, "one", remedy))
            }
        }
    }

    fn taped(&mut self, record: &Record, line: usize) -> Read<()> {
        let cell = self.needed(record, "reading")?.clone();
        let ends = [self.point(record, "from")?, self.point(record, "to")?];
        self.different(&ends, &cell)?;
        let parsed = self.length(&cell)?;
        if parsed.value <= 0.0 {
            let problem = format!("a tape of `{}`", cell.text);
            return Err(self.wrong(&cell, problem, "a length above zero", ""));
        }
        let mut sigma =
            self.tape.sigma(parsed.value).max(parsed.approximate.unwrap_or(0.0) * SPREAD_TO_SIGMA);
        let mut value = parsed.value;
        if let Some(second) = record.cells.get("second") {
            let slope = self.slope(second)?;
            value = level_run(value, slope)
                .map_err(|why| fault(self.text, second.span.clone(), why.to_string()))?;
            // The tape's error is shortened with the tape.
            sigma *= value / parsed.value;
        }
        let booked = (value.to_bits() == parsed.value.to_bits()).then(|| self.booked(&cell));
        self.add(Observed::Distance { from: ends[0], to: ends[1] }, value, sigma, booked, line);
        Ok(())
    }

    /// `rise 2' 3"` or `8°`.
    fn slope(&self, cell: &Cell) -> Read<Slope> {
        if let Some(rise) = cell.text.strip_prefix("rise") {
            let rise = Cell { text: rise.trim().to_owned(), span: cell.span.clone() };
            return Ok(Slope::Rise(self.length(&rise)?.value));
        }
        let degrees = cell.text.strip_prefix("slope").unwrap_or(&cell.text).trim();
        parse_angle(degrees, Some(AngleUnit::Degree))
            .map(|angle| Slope::Angle(angle.value.radians()))
            .map_err(|_| {
                let problem = format!("`{}` is no slope", cell.text);
                self.wrong(
                    cell,
                    problem,
                    "`rise 2' 3\"` or an angle from the level such as `8°`",
                    "leave it empty for a level tape",
                )
            })
    }

    fn offset(&mut self, record: &Record, line: usize) -> Read<()> {
        let along = self.three(record, |point, from, to| Observed::Along { point, from, to })?;
        let station = self.needed(record, "reading")?.clone();
        let second = self.needed(record, "second")?.clone();
        let value = self.length(&station)?.value;
        let (text, sign) = side_of(&second.text).ok_or_else(|| {
            let problem = format!("`{}` does not say on which side", second.text);
            self.wrong(
                &second,
                problem,
                "`left` or `right` of the line's direction, such as `6' 3\" left`",
                "",
            )
        })?;
        let offset = self.length(&Cell { text, span: second.span.clone() })?.value * sign;
        let booked = self.booked(&station);
        self.add(along, value, self.tape.sigma(value), Some(booked), line);
        if let Observed::Along { point, from, to } = along {
            let across = Observed::Across { point, from, to };
            self.add(across, offset, self.tape.sigma(offset), None, line);
        }
        Ok(())
    }

    fn side(&mut self, record: &Record) -> Read<()> {
        let cell = self.needed(record, "reading")?.clone();
        let left = match cell.text.to_lowercase().as_str() {
            "left" => true,
            "right" => false,
            other => return Err(self.wrong(&cell, format!("`{other}` is no side"), "left or right", "")),
        };
        let points = [self.named(record, "point")?, self.named(record, "from")?, self.named(record, "to")?];
        self.different(&points, &cell)?;
        let [point, from, to] = points;
        self.book.network.sides.push(SideOf { point, from, to, left });
        Ok(())
    }

    fn heights(&mut self, record: &Record, what: &Cell, line: usize) -> Read<()> {
        let cell = self.needed(record, "reading")?.clone();
        let parsed = self.length(&cell)?;
        let spread = parsed.approximate.unwrap_or(0.0) * SPREAD_TO_SIGMA;
        let mut id = |column| {
            let cell = self.needed(record, column)?.clone();
            self.id(&cell)
        };
        let (observed, usual) = if what.text.eq_ignore_ascii_case("rod") {
            let point = id("point")?;
            let setup = self.needed(record, "from")?.text.clone();
            (LevelObserved::Rod { setup, point }, self.rod)
        } else {
            let (from, to) = (id("from")?, id("to")?);
            if from == to {
                return Err(self.wrong(
                    &cell,
                    format!("`{from}` stands twice in one reading"),
                    "different points",
                    "",
                ));
            }
            (LevelObserved::Difference { from, to }, self.by_hand)
        };
        let sigma = usual.max(spread);
        self.book.levels.readings.push(LevelReading {
            observed,
            value: parsed.value,
            sigma,
            booked: Some(Booked { text: cell.text.clone(), unit: Some(self.units.length) }),
        });
        self.book.level_lines.push(line);
        Ok(())
    }

    fn known_height(&mut self, record: &Record, line: usize) -> Read<()> {
        let point = self.needed(record, "point")?.clone();
        let id = self.id(&point)?;
        let height = self.length(self.needed(record, "reading")?)?.value;
        self.once("height", &id, &point, line)?;
        self.book.levels.held.insert(id, height);
        Ok(())
    }

    /// Names in lines that read nothing must occur in a reading, a place or a height.
    fn settle(&mut self) {
        let mut read: Vec<String> = Vec::new();
        for reading in &self.book.network.readings {
            read.extend(reading.observed.points().map(|i| self.book.network.points[i].name.clone()));
        }
        read.extend(self.book.network.points.iter().filter(|p| p.held.is_some()).map(|p| p.name.clone()));
        read.sort();
        read.dedup();
        for (name, cell) in std::mem::take(&mut self.waiting) {
            if read.binary_search(&name).is_err() {
                let near = nearest_name(&name, &read).map(|near| format!("did you mean `{near}`?"));
                let remedy = near.unwrap_or_else(|| "tape it to two other points at least".to_owned());
                let problem = format!("no reading names the point `{}`", cell.text);
                let found = self.wrong(&cell, problem, "a point of the book", remedy);
                self.faults.push(found);
            }
        }
        let read: Vec<String> = self.book.levels.points().map(str::to_owned).collect();
        for (name, cell) in std::mem::take(&mut self.off_ground) {
            if !read.contains(&name) {
                let near = nearest_name(&name, &read).map(|near| format!("did you mean `{near}`?"));
                let problem = format!("no height was read at `{}`", cell.text);
                let found = self.wrong(&cell, problem, "a point with a height", near.unwrap_or_default());
                self.faults.push(found);
            }
        }
    }
}

/// An offset without its side, and the sign: left is positive.
fn side_of(text: &str) -> Option<(String, f64)> {
    let lower = text.to_lowercase();
    for (word, sign) in [("left", 1.0), ("right", -1.0)] {
        if let Some(rest) = lower.strip_suffix(word).or_else(|| lower.strip_prefix(word)) {
            return Some((rest.trim().to_owned(), sign));
        }
    }
    None
}

/// What each kind of line needs.
fn needs(kind: &str) -> &'static str {
    match kind.to_lowercase().as_str() {
        "units" => "ft, decimal ft or m under `reading`",
        "accuracy" => "tape, level or rod under `point`, a length under `reading`",
        "held" | "near" => "`point`, x under `reading`, y under `second`",
        "frame" => "`from` (origin) and `to` (lies east of it)",
        "tape" | "wall" | "diagonal" => "`from`, `to` and the length under `reading`",
        "offset" => {
            "`point`, the base line's `from` and `to`, the station under `reading`, the offset with its side under `second`"
        }
        "on line" => "`point`, and the line's `from` and `to`",
        "square" => "the corner under `point`, the ends of its sides under `from` and `to`",
        "side" => "`point`, the line's `from` and `to`, left or right under `reading`",
        "level" => "`from`, `to`, and how much higher the second is under `reading`",
        "rod" => "`point`, the set-up under `from`, what the rod showed under `reading`",
        "height" => "`point`, and its height under `reading`",
        "off ground" => "`point`",
        _ => "the cells that this kind of line needs",
    }
}
