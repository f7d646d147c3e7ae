//! The field book: a page as booked, in both forms, and every fault with its place.

use groundwright_survey::field_book::{BookUnits, point_id, read_csv, read_toml};
use groundwright_survey::{Observed, adjust};
use groundwright_units::LengthUnit;
use groundwright_units::constants::{FOOT, INCH};
use proptest::prelude::*;

const FEET: BookUnits = BookUnits { length: LengthUnit::Foot, decimal: false };

/// Invented.
const PAGE: &str = "\
what,point,from,to,reading,second,note
# Front yard. House corners clockwise from the south-west.
wall,,SW,SE,32-6 1/2,,face of siding
tape,,SW,Maple,18' 3\",,
tape,,SE,Maple,\"21' 10 1/2\"\"\",,
square,SE,SW,NE,,,
wall,,SE,NE,26-0,,
offset,Hydrant,SW,SE,8.25',11' 6\" right,
on line,Meter,SW,SE,,,
tape,,SW,Meter,12-0,,
tape,,NE,Gate,30',rise 4' 2\",down the bank
tape,,SE,Gate,15' ±,,
side,Maple,SW,SE,right,,
near,Gate,,,45',30',
height,SW,,,100',,
level,,SW,Gate,-3' 2\",,
rod,SW,1,,4.25',,
rod,Maple,1,,5.50',,
";

#[test]
fn a_page_is_understood() {
    let book = read_csv(PAGE, FEET).unwrap();
    assert_eq!(book.network.readings.len(), 11);
    assert_eq!(book.lines, [3, 4, 5, 6, 7, 8, 8, 9, 10, 11, 12]);
    assert_eq!(book.levels.readings.len(), 3);
    assert!((book.levels.held["sw"] - 100.0 * FOOT).abs() < 1e-12);
    assert_eq!(book.names["maple"], "Maple");
    assert_eq!(book.notes[&3], "face of siding");
    let values: Vec<f64> = book.network.readings.iter().map(|r| r.value).collect();
    assert!((values[0] - (32.0 * FOOT + 6.5 * INCH)).abs() < 1e-12);
    assert!((values[2] - (21.0 * FOOT + 10.5 * INCH)).abs() < 1e-12);
    assert!((values[6] + 11.5 * FOOT).abs() < 1e-12, "right is negative");
    let level = (30.0_f64.powi(2) - (4.0 + 2.0 / 12.0_f64).powi(2)).sqrt() * FOOT;
    assert!((values[9] - level).abs() < 1e-12, "brought level");
    assert!(book.network.readings[10].sigma > 0.7 * FOOT, "± widens: {}", book.network.readings[10].sigma);
    assert_eq!(book.network.readings[0].booked.as_ref().unwrap().text, "32-6 1/2");
    let adjusted = adjust(&book.network).unwrap();
    assert!(adjusted.undetermined.is_empty(), "{:?}", adjusted.undetermined);
    let maple = book.network.index_of("maple").unwrap();
    assert!(adjusted.points[maple].at.y < 0.0, "right of the front wall");
}

/// The same page in TOML gives the same book, but for the lines.
#[test]
fn both_forms_say_the_same() {
    let toml = r#"
format = 1
units = "ft"
[[reading]]
what = "wall"
from = "SW"
to = "SE"
reading = "32-6 1/2"
[[reading]]
what = "offset"
point = "Hydrant"
from = "SW"
to = "SE"
reading = "8.25'"
second = "11' 6\" right"
[[reading]]
what = "tape"
from = "SW"
to = "SE"
reading = 33
"#;
    let csv = "what;point;from;to;reading;second\nwall;;SW;SE;32-6 1/2\noffset;Hydrant;SW;SE;8.25';11' 6\" right\ntape;;SW;SE;33\n";
    let (a, b) = (read_toml(toml, FEET).unwrap(), read_csv(csv, FEET).unwrap());
    assert_eq!((&a.network, &a.names), (&b.network, &b.names));
    assert_eq!(a.lines, [4, 9, 9, 16]);
    assert_eq!(a.network.readings[0].observed, Observed::Distance { from: 0, to: 1 });
}

/// Line of the page, then a faulty text, then place and words of the fault.
const BROKEN: [(&str, usize, usize, &str); 19] = [
    ("tape,,SW,Maple,18' 14\",,", 2, 16, "14 inches beside its feet"),
    ("tape,,SW,Maple,12.6,,", 2, 16, "12.6"),
    ("tape,,SW,SW,12',,", 2, 13, "`sw` stands twice"),
    ("tape,,SW,,12',,", 2, 1, "`tape` needs `to`"),
    ("taep,,SW,SE,12',,", 2, 1, "did you mean `tape`?"),
    ("tape,,SW,SE,-12',,", 2, 13, "a length above zero"),
    ("tape,,SW,SE,12',rise 13',", 2, 17, "no longer than the height"),
    ("tape,,SW,SE,12',steep,", 2, 17, "is no slope"),
    ("offset,Tree,SW,SE,8',6',", 2, 22, "does not say on which side"),
    ("tape,,S&W,SE,8',,", 2, 7, "is no name of a point"),
    ("side,Mapel,SW,SE,left,,", 2, 6, "no reading names the point `Mapel`"),
    ("tape,,SW,SE,1,200 ft,,", 2, 15, "is no slope"),
    ("tape,,SW,SE,12',,,x", 2, 19, "stands under no heading"),
    ("tape,,SW,SE,\"12' 6,,", 2, 13, "the quotation mark is not closed"),
    ("height,SW,,,100',,\nheight,SW,,,101',,", 3, 8, "`height` of `sw` is given twice"),
    ("tape,,SW,SE,12',,\nunits,,,,m,,", 3, 10, "the units change"),
    ("accuracy,laser,,,3 mm,,", 2, 10, "accuracy of `laser`"),
    ("level,,SW,SE,2 furlongs,,", 2, 14, "is not a unit"),
    (",,SW,SE,12',,", 2, 1, "does not say what was read"),
];

#[test]
fn every_fault_has_its_place_and_a_remedy() {
    for (lines, line, column, words) in BROKEN {
        let text = format!("what,point,from,to,reading,second,note\n{lines}\n");
        let faults = read_csv(&text, FEET).unwrap_err();
        let told: Vec<String> = faults.iter().map(ToString::to_string).collect();
        assert!(told.iter().any(|t| t.contains(words)), "{lines}: {told:?}");
        let found = faults.iter().find(|fault| fault.to_string().contains(words)).unwrap();
        assert_eq!((found.line, found.column), (line, column), "{lines}: {told:?}");
    }
}

#[test]
fn all_faults_come_at_once_and_headings_are_looked_at_first() {
    let faults = read_csv("what,from,to,reading\ntape,a,b,x\ntape,a,b,3 q\n", FEET).unwrap_err();
    assert_eq!(faults.iter().map(|f| f.line).collect::<Vec<_>>(), [2, 3]);
    let none = read_csv("tape,a,b,3'\n", FEET).unwrap_err();
    assert!(none.len() == 1 && none[0].to_string().contains("not a heading line"), "{none:?}");
    let odd = read_csv("what,form,to,reading\n", FEET).unwrap_err();
    assert!(odd[0].to_string().contains("did you mean `from`?"), "{odd:?}");
    assert!(read_csv("", FEET).unwrap().is_empty());
    let toml =
        read_toml("[[reading]]\nwhat = 'tape'\nfrom = 'a'\nto = 'b'\nreading = [1]\n", FEET).unwrap_err();
    assert!(toml[0].line == 5 && toml[0].to_string().contains("neither a text nor a number"), "{toml:?}");
    assert!(read_toml("[[reading", FEET).unwrap_err()[0].to_string().contains("not TOML"));
}

#[test]
fn names_become_ids() {
    assert_eq!(point_id("SW corner").as_deref(), Some("sw-corner"));
    assert_eq!(point_id("101").as_deref(), Some("p101"));
    assert_eq!(point_id("tree_3.b").as_deref(), Some("tree-3-b"));
    assert_eq!(point_id("a&b"), None);
    assert_eq!(point_id(""), None);
}

proptest! {
    /// No text brings the reader down.
    #[test]
    fn any_text_is_read_or_refused(text in "(what,point,from,to,reading,second,note\n)?([a-z \"',;0-9±.-]|\n|tape|offset|é){0,120}") {
        let _ = read_csv(&text, FEET).map_err(|faults| assert!(!faults.is_empty()));
        let _ = read_toml(&text, FEET).map_err(|faults| assert!(!faults.is_empty()));
    }
}
