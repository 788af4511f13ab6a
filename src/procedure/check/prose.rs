//! Sentences, words and syllables, and how hard a text is to read.
//!
//! The grade is that of Flesch and Kincaid: 0.39 · words per sentence + 11.8 · syllables per word − 15.59
//! (Kincaid and others, Research Branch Report 8-75, 1975; from memory). It stands for years of school, and is a
//! rule of thumb: its syllables are counted by runs of vowels.

/// The sentences of a text: each ends with a full stop, a question or an exclamation mark before a space.
pub(super) fn sentences(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = Some(text);
    std::iter::from_fn(move || {
        let whole = rest?;
        let ends = whole.match_indices(['.', '!', '?']).map(|(at, _)| at + 1);
        let end = ends
            .into_iter()
            .find(|end| whole[*end..].starts_with([' ', '"', ')']));
        let (one, left) = whole.split_at(end.unwrap_or(whole.len()));
        rest = (!left.is_empty()).then_some(left);
        Some(one.trim())
    })
    .filter(|sentence| !sentence.is_empty())
}

/// The words of a text; a number counts, a dash by itself does not.
pub(super) fn words(text: &str) -> impl Iterator<Item = &str> {
    text.split_whitespace()
        .filter(|word| word.contains(char::is_alphanumeric))
}

/// The years of school that a text asks for; 0 for a text without words.
pub(super) fn grade(text: &str) -> f64 {
    let (mut sentence_count, mut word_count, mut syllable_count) = (0_usize, 0_usize, 0_usize);
    for sentence in sentences(text) {
        // Behind a colon or a semicolon begins a thought of its own.
        sentence_count += sentence
            .split([':', ';'])
            .filter(|part| words(part).next().is_some())
            .count();
        for word in words(sentence) {
            word_count += 1;
            syllable_count += syllables(word);
        }
    }
    if word_count == 0 {
        return 0.0;
    }
    let (sentences, words) = (sentence_count.max(1) as f64, word_count as f64);
    0.39 * words / sentences + 11.8 * syllable_count as f64 / words - 15.59
}

/// Runs of vowels, without a silent ending; a value in braces and a number count as one.
fn syllables(word: &str) -> usize {
    let word: String = word
        .chars()
        .filter(char::is_ascii_alphabetic)
        .map(|c| c.to_ascii_lowercase())
        .collect();
    let is_vowel = |c: char| "aeiouy".contains(c);
    let silent = word.len() > 3
        && ((word.ends_with('e') && !word.ends_with("le"))
            || (word.ends_with("ed") && !word.ends_with("ted") && !word.ends_with("ded"))
            || (word.ends_with("es")
                && !["ses", "zes", "xes", "ches", "shes", "ges", "ces", "les"]
                    .iter()
                    .any(|end| word.ends_with(end))));
    let mut runs = 0;
    let mut before = false;
    for c in word.chars() {
        runs += usize::from(is_vowel(c) && !before);
        before = is_vowel(c);
    }
    runs.saturating_sub(usize::from(silent && runs > 1)).max(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sentences_end_where_they_end() {
        let text = "It shows 12.4 V or more. \"Why?\" asks nobody (yet). End";
        let found: Vec<&str> = sentences(text).collect();
        assert_eq!(found.len(), 4, "{found:?}");
        assert_eq!(found[0], "It shows 12.4 V or more.");
        assert_eq!(sentences("").count(), 0);
    }

    /// Counted by hand, by ear.
    #[test]
    fn syllables_are_heard() {
        let rows = [
            ("car", 1),
            ("pump", 1),
            ("bottle", 2),
            ("measure", 2),
            ("opened", 2),
            ("fitted", 2),
            ("solenoid", 3),
            ("hoses", 2),
            ("the", 1),
            ("12", 1),
        ];
        for (word, expected) in rows {
            assert_eq!(syllables(word), expected, "{word}");
        }
    }

    #[test]
    fn short_plain_words_are_easier() {
        let plain = grade("Pull the fuse. Keep it in its bag.");
        let hard =
            grade("Subsequently ascertain the continuity characteristics of the interlocking installation.");
        assert!(plain < 3.0 && hard > 12.0, "{plain} {hard}");
        // Six words of one syllable in one sentence: 0.39 · 6 + 11.8 − 15.59.
        assert!((grade("Put the cap on the port.") - -1.45).abs() < 1e-9);
        assert_eq!(grade(""), 0.0);
    }
}
