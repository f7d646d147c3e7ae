//! Cases whose inputs are one sentence, as tables of check values print them.
//!
//! The numbers are taken in order, after the words that fix their meaning have been found; a
//! sentence with other words is refused rather than guessed.

use serde_json::{Map, Value};

/// The topic and the sentence of a case in words, if it is one.
pub(crate) fn sentence(case: &Map<String, Value>) -> Option<(&str, &str)> {
    Some((case.get("topic")?.as_str()?, case.get("inputs")?.as_str()?))
}

/// The numbers of a sentence in order, if it has all the words.
///
/// # Errors
/// Which word or how many numbers are missing.
pub(crate) fn numbers(text: &str, words: &[&str], count: usize) -> Result<Vec<f64>, String> {
    if let Some(word) = words.iter().find(|word| !text.contains(**word)) {
        return Err(format!(
            "`inputs` says nothing of `{word}`; expected a sentence with: {}",
            words.join(", ")
        ));
    }
    let mut found = Vec::new();
    let mut token = String::new();
    let letters: Vec<char> = text.chars().chain([' ']).collect();
    for (i, &c) in letters.iter().enumerate() {
        let digits = letters[i + 1..].iter().take_while(|next| next.is_ascii_digit()).count();
        if c == ',' && !token.is_empty() && digits == 3 {
            // A comma before three digits groups thousands.
            continue;
        }
        if c.is_ascii_digit() || (c == '.' && !token.is_empty()) {
            token.push(c);
        } else if !token.is_empty() {
            found.extend(token.trim_end_matches('.').parse::<f64>().ok());
            token.clear();
        }
    }
    if found.len() < count {
        return Err(format!("`inputs` has {} numbers; expected {count}", found.len()));
    }
    Ok(found)
}

/// A topic that this figure does not know.
pub(crate) fn unknown(topic: &str, known: &[&str]) -> String {
    format!("topic `{topic}` is not one of this figure's: {}", known.join(", "))
}
