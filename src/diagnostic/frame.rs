//! The source line of a fault with a caret.

use super::{Place, one_cell};
use std::collections::BTreeMap;

/// So many characters of a source line are printed around the caret.
const SHOWN: usize = 100;
/// So many of them before it, at most.
const BEFORE: usize = 66;

/// Cuts frames out of files. Faults come in the order of their places, so each file and each line, however
/// long, is walked once.
#[derive(Default)]
pub(super) struct Lines {
    path: String,
    text: String,
    /// The current line, and the byte at which it begins.
    line: u32,
    begins: usize,
    /// A character of the current line, and its byte in the line.
    reached: (usize, usize),
}

impl Lines {
    /// Two lines: the source around the place, under its line number, and a caret.
    pub fn frame(&mut self, files: &BTreeMap<String, Vec<u8>>, place: &Place) -> Option<String> {
        self.go_to(files, place)?;
        let at = place.column.saturating_sub(1) as usize;
        let start = at.saturating_sub(BEFORE);
        let byte = self.begins + self.byte_of(start)?;
        let mut chars = self
            .text
            .get(byte..)?
            .chars()
            .take_while(|c| !matches!(c, '\n' | '\r'))
            .peekable();
        let mut shown: String = chars.by_ref().take(SHOWN).map(one_cell).collect();
        if chars.peek().is_some() {
            shown.push('…');
        }
        let before = if start > 0 { "…" } else { "" };
        let indent = " ".repeat(at - start + before.chars().count());
        let number = place.line.to_string();
        let margin = " ".repeat(number.len());
        Some(format!(
            "  {number} | {before}{}\n  {margin} | {indent}^\n",
            shown.trim_end()
        ))
    }

    /// Moves to the place's line.
    fn go_to(&mut self, files: &BTreeMap<String, Vec<u8>>, place: &Place) -> Option<()> {
        if place.line == 0 {
            return None;
        }
        if self.path != place.path || self.line == 0 || self.line > place.line {
            self.text = String::from_utf8_lossy(files.get(&place.path)?).into_owned();
            self.path.clone_from(&place.path);
            (self.line, self.begins, self.reached) = (1, 0, (0, 0));
        }
        while self.line < place.line {
            let rest = &self.text[self.begins..];
            self.begins += rest.find('\n').map_or(rest.len(), |end| end + 1);
            (self.line, self.reached) = (self.line + 1, (0, 0));
        }
        Some(())
    }

    /// The byte of a character of the current line, found from the one reached before.
    fn byte_of(&mut self, character: usize) -> Option<usize> {
        let (reached, byte) = if self.reached.0 <= character {
            self.reached
        } else {
            (0, 0)
        };
        let rest = self.text.get(self.begins + byte..)?;
        let further = rest
            .char_indices()
            .nth(character - reached)
            .map_or(rest.len(), |(further, _)| further);
        self.reached = (character, byte + further);
        Some(byte + further)
    }
}
