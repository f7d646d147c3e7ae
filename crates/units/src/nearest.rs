//! "Did you mean …": the candidate nearest to a misspelt name.
//!
//! - In: a word that is not known, and the names that are. Out: the name few slips away, if any.
//! - Method: Damerau-Levenshtein distance in its optimal string alignment form (insert, delete,
//!   replace, or swap two neighbours, each costs one), ignoring case.
//! - Not here: deciding that a word is unknown.

/// The candidate nearest to `word`, when it is near enough to be a slip of the pen.
///
/// Near enough means a distance of at most a third of the word's letters, and at least one.
/// Of two candidates equally near, the one listed first wins, so the answer does not depend on
/// anything but the order given.
pub fn nearest_name<'a, N>(word: &str, candidates: impl IntoIterator<Item = &'a N>) -> Option<&'a str>
where
    N: AsRef<str> + ?Sized + 'a,
{
    let word = letters(word);
    let limit = (word.len() / 3).max(1);
    let mut best: Option<(usize, &'a str)> = None;
    for candidate in candidates {
        let candidate = candidate.as_ref();
        let other = letters(candidate);
        if word.len().abs_diff(other.len()) > limit {
            continue;
        }
        let slips = distance(&word, &other);
        if slips <= limit && best.is_none_or(|(fewest, _)| slips < fewest) {
            best = Some((slips, candidate));
        }
    }
    best.map(|(_, name)| name)
}

fn letters(word: &str) -> Vec<char> {
    word.trim().chars().flat_map(char::to_lowercase).collect()
}

/// Fewest single slips that turn `a` into `b`, row by row over the alignment table.
fn distance(a: &[char], b: &[char]) -> usize {
    let mut before_last = vec![0; b.len() + 1];
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i; b.len() + 1];
        for j in 1..=b.len() {
            let replaced = last[j - 1] + usize::from(a[i - 1] != b[j - 1]);
            row[j] = replaced.min(last[j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                row[j] = row[j].min(before_last[j - 2] + 1);
            }
        }
        before_last = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn between(a: &str, b: &str) -> usize {
        distance(&letters(a), &letters(b))
    }

    /// Textbook pairs: kitten/sitting 3 by Levenshtein; a swap of neighbours counts once by
    /// Damerau; "ca"/"abc" is 3 in the optimal string alignment form. From memory.
    #[test]
    fn distance_agrees_with_the_textbook_pairs() {
        assert_eq!(between("kitten", "sitting"), 3);
        assert_eq!(between("bed", "bde"), 1);
        assert_eq!(between("ca", "abc"), 3);
        assert_eq!(between("", "bed"), 3);
    }

    #[test]
    fn a_slip_is_recognised_and_a_different_word_is_not() {
        let keys = ["spacing", "setback", "depth"];
        assert_eq!(nearest_name("spcaing", &keys), Some("spacing"));
        assert_eq!(nearest_name("Depth", &keys), Some("depth"));
        assert_eq!(nearest_name("colour", &keys), None);
        assert_eq!(nearest_name("", &keys), None);
    }

    #[test]
    fn owned_and_borrowed_names_both_serve() {
        let owned = vec!["walk".to_owned(), "wall".to_owned()];
        assert_eq!(nearest_name("wal", &owned), Some("walk"), "the first of two as near");
        assert_eq!(nearest_name("wsll", owned.iter().map(String::as_str)), Some("wall"));
    }
}
