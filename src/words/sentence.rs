//! Sentences with named places.

use std::fmt::{Display, Write};

/// A sentence with its named places filled; a place without a value stays as it is written.
#[must_use]
pub fn fill(sentence: &str, values: &[(&str, &dyn Display)]) -> String {
    let mut filled = String::with_capacity(sentence.len() + 16);
    let mut rest = sentence;
    while let Some(open) = rest.find('{') {
        filled.push_str(&rest[..open]);
        let after = &rest[open + 1..];
        let value = after.find('}').and_then(|close| {
            let named = values.iter().find(|(name, _)| *name == &after[..close])?;
            Some((close, named.1))
        });
        match value {
            Some((close, value)) => {
                let _ = write!(filled, "{value}");
                rest = &after[close + 1..];
            }
            None => {
                filled.push('{');
                rest = after;
            }
        }
    }
    filled.push_str(rest);
    filled
}

/// The places of a sentence, each with its braces (`{width}`, `{}`), sorted.
#[must_use]
pub fn places(sentence: &str) -> Vec<&str> {
    let mut found: Vec<&str> = sentence
        .match_indices('{')
        .filter_map(|(open, _)| {
            let close = sentence[open..].find('}')?;
            Some(&sentence[open..=open + close])
        })
        .collect();
    found.sort_unstable();
    found
}
