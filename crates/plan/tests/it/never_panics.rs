//! The reader never panics, and what it answers holds together: on anything, on nearly right
//! projects, and on every text of `tests/corpus` on which it once went wrong or nearly did.

use std::fs;
use std::path::Path;

use groundwright_plan::{Sources, read_project};
use proptest::prelude::*;

use crate::reading::examine;
use crate::sections::Sections;
use crate::whole;

fn texts_of(folder: &str) -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests").join(folder);
    let mut texts: Vec<(String, String)> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "txt"))
        .map(|path| (path.display().to_string(), fs::read_to_string(&path).unwrap()))
        .collect();
    texts.sort();
    texts
}

/// `cargo xtask fuzz` adds what it finds to the corpus.
#[test]
fn the_corpus_is_read_without_a_slip() {
    let corpus = texts_of("corpus");
    assert!(corpus.len() >= 50, "{} texts", corpus.len());
    for (name, text) in corpus.into_iter().chain(texts_of("broken")) {
        let sections = Sections::split(&text);
        if let Err(why) = examine(&sections.sources()) {
            panic!("{name}: {why}");
        }
    }
}

/// A corpus of texts that all fail at the first line would replay nothing.
#[test]
fn the_corpus_reaches_far_into_the_reader() {
    let mut accepted = 0;
    let mut problems = std::collections::BTreeSet::new();
    for (_, text) in texts_of("corpus") {
        match read_project(Sections::split(&text).sources()) {
            Ok(_) => accepted += 1,
            // A fault without its quoted names stands for one branch of the reader.
            Err(faults) => {
                problems.extend(faults.iter().map(|f| f.problem.split('`').step_by(2).collect::<String>()));
            }
        }
    }
    assert!(accepted >= 3, "{accepted} projects are accepted");
    assert!(problems.len() >= 40, "{} sorts of faults: {problems:#?}", problems.len());
}

#[test]
fn sections_come_together_again() {
    for (name, text) in texts_of("broken") {
        assert_eq!(Sections::split(&text).join(), text, "{name}");
    }
    let sources = whole::sources();
    assert_eq!(Sections::split(&Sections::of("a title\n", &sources).join()).sources(), sources);
}

#[test]
fn the_same_texts_give_the_same_project() {
    let sources = whole::sources();
    assert_eq!(whole::load(&sources), whole::load(&sources));
}

/// A line of a real project, or a piece of one.
fn line() -> impl Strategy<Value = String> {
    let lines: Vec<String> = [whole::sources().property, whole::sources().design]
        .into_iter()
        .flatten()
        .flat_map(|text| text.lines().map(str::to_owned).collect::<Vec<_>>())
        .collect();
    (prop::sample::select(lines), 0..80_usize, any::<bool>())
        .prop_map(|(line, cut, whole)| if whole { line } else { line.chars().take(cut).collect() })
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused(
        property in "(?s).{0,200}", design in prop::option::of("(?s).{0,200}"), stock in "(?s).{0,200}",
    ) {
        let sources = Sources {
            property: Some(property),
            design,
            practice: None,
            stock: vec![("stock/own.toml".to_owned(), stock)],
            survey: None,
        };
        prop_assert_eq!(examine(&sources).err(), None);
    }

    /// Values of every sort under keys of every sort.
    #[test]
    fn any_value_is_read_or_refused(
        value in prop_oneof![
            any::<f64>().prop_map(|number| format!("{number:?}")),
            any::<i64>().prop_map(|number| number.to_string()),
            "\"[0-9 ./'°%±,:a-z-]{0,20}\"",
            prop::collection::vec("[0-9]{1,6}(\\.[0-9]{1,9})?", 0..4).prop_map(|list| format!("[{}]", list.join(", "))),
            Just("[[nan, 1], [1e308, -1e308]]".to_owned()),
            Just("{ value = 1e300, spread = inf }".to_owned()),
            Just("1979-05-27".to_owned()),
        ],
        which in any::<prop::sample::Index>(),
    ) {
        let mut sources = whole::sources();
        for text in [&mut sources.property, &mut sources.design, &mut sources.practice].into_iter().flatten() {
            let keys: Vec<usize> = text.match_indices(" = ").map(|(at, _)| at).collect();
            let at = *which.get(&keys);
            let end = text[at..].find('\n').map_or(text.len(), |end| at + end);
            text.replace_range(at..end, &format!(" = {value}"));
        }
        prop_assert_eq!(examine(&sources).err(), None);
    }

    #[test]
    fn shuffled_lines_are_read_or_refused(lines in prop::collection::vec(line(), 0..40)) {
        let text = format!("format = 1\nunits = \"m\"\nname = \"x\"\n{}", lines.join("\n"));
        let sources = Sources { property: Some(text.clone()), design: Some(text), ..Sources::default() };
        prop_assert_eq!(examine(&sources).err(), None);
    }
}
