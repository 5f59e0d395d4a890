//! The nearest known word to one that is not known.

use remise_core::text;

/// Similarity (Jaro-Winkler, 0 to 1) from which a word is worth suggesting. Tried on slips of our own keys.
const NEAR: f64 = 0.83;
/// Longest word that is compared, in bytes; our own words are shorter by far.
const WORD_MAX: usize = 64;

/// The known word that is most like `word`, when one is like it at all.
pub fn nearest<'k>(word: &str, known: impl IntoIterator<Item = &'k str>) -> Option<&'k str> {
    if word.is_empty() || word.len() > WORD_MAX {
        return None;
    }
    text::nearest(word, known, NEAR)
}

/// ``did you mean `walk_min`?``, or else what is known.
pub fn hint(word: &str, known: &[&str]) -> String {
    match nearest(word, known.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("known here: {}", known.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_find_their_word_and_strangers_do_not() {
        let known = ["number", "name", "walk_min"];
        assert_eq!(nearest("walk_mins", known), Some("walk_min"));
        assert_eq!(nearest("Nmae", known), Some("name"));
        assert_eq!(nearest("colour", known), None);
        assert_eq!(nearest(&"walk".repeat(1_000_000), known), None);
        assert_eq!(hint("colour", &["a", "b"]), "known here: a, b");
    }
}
