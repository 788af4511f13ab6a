//! Text in lines: wrapped by measured widths, never wider than its box, nothing cut off.

use super::face::{Faces, Glyph, Weight, Word};
use super::ink::Ink;
use crate::page::together::together;
use std::rc::Rc;

/// How many letters of an endless word are looked at for one line.
const LONGEST_PIECE: usize = 400;

/// How text is set. Lengths are in points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Style {
    pub size: f32,
    /// From one line to the next.
    pub leading: f32,
    pub weight: Weight,
    pub ink: Ink,
    /// The width that every letter takes, in parts of the size; for hashes that are compared by eye.
    pub cell: Option<f32>,
}

impl Style {
    const fn new(size: f32, leading: f32, weight: Weight, ink: Ink) -> Self {
        Self {
            size,
            leading,
            weight,
            ink,
            cell: None,
        }
    }

    pub const TITLE: Style = Style::new(22.0, 27.0, Weight::Strong, Ink::Text);
    pub const SECTION: Style = Style::new(14.0, 19.0, Weight::Strong, Ink::Text);
    pub const PART: Style = Style::new(10.5, 15.0, Weight::Strong, Ink::Text);
    pub const BODY: Style = Style::new(8.5, 12.0, Weight::Plain, Ink::Text);
    pub const STRONG: Style = Style::new(8.5, 12.0, Weight::Strong, Ink::Text);
    pub const SOFT: Style = Style::new(7.5, 10.5, Weight::Plain, Ink::Soft);
    pub const SMALL: Style = Style::new(7.5, 10.5, Weight::Plain, Ink::Text);
    /// For long lists of machines' names.
    pub const FINE: Style = Style::new(6.5, 9.0, Weight::Plain, Ink::Text);
    pub const HASH: Style = Style {
        cell: Some(0.72),
        ..Style::new(8.5, 12.5, Weight::Plain, Ink::Text)
    };

    /// The same in another ink.
    #[must_use]
    pub const fn ink(self, ink: Ink) -> Style {
        Style { ink, ..self }
    }
}

/// One line of text.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    pub text: String,
    /// Their ranges are those of the line's text.
    pub glyphs: Vec<Glyph>,
    /// In points, without the space that ends a wrapped line.
    pub width: f32,
    pub style: Style,
}

impl Line {
    fn new(style: Style) -> Self {
        Self {
            text: String::new(),
            glyphs: Vec::new(),
            width: 0.0,
            style,
        }
    }

    fn append(&mut self, word: &Word) {
        let at = self.text.len();
        self.text.push_str(&word.text);
        for glyph in &word.glyphs {
            let mut glyph = glyph.clone();
            glyph.range = at + glyph.range.start..at + glyph.range.end;
            if let Some(cell) = self.style.cell {
                glyph.right += (cell - glyph.advance) / 2.0;
                glyph.advance = cell;
            }
            self.glyphs.push(glyph);
        }
        self.width += wide(word, self.style);
    }
}

/// The width of a word in points.
fn wide(word: &Word, style: Style) -> f32 {
    let parts = style
        .cell
        .map_or(word.width, |cell| cell * word.glyphs.len() as f32);
    parts * style.size
}

/// The text in lines that are no wider than `width` points, as long as one letter fits.
#[must_use]
pub fn wrap(faces: &Faces, style: Style, text: &str, width: f32) -> Vec<Line> {
    let mut wrapper = Wrapper {
        faces,
        style,
        width,
        line: Line::new(style),
        lines: Vec::new(),
    };
    // Cells hold no running text.
    let text = match style.cell {
        Some(_) => text.to_owned(),
        None => together(text),
    };
    for (place, paragraph) in text.lines().enumerate() {
        if place > 0 {
            wrapper.end();
        }
        for word in paragraph.split(breaks).filter(|word| !word.is_empty()) {
            wrapper.word(word);
        }
    }
    wrapper.end();
    wrapper.lines
}

/// The text in one line, whatever its width.
#[must_use]
pub fn line(faces: &Faces, style: Style, text: &str) -> Line {
    let mut lines = wrap(faces, style, &text.replace('\n', " "), f32::INFINITY);
    lines.pop().unwrap_or_else(|| Line::new(style))
}

/// Whether a line may end here; spaces that join do not.
fn breaks(letter: char) -> bool {
    letter.is_whitespace() && !matches!(letter, '\u{A0}' | '\u{2007}' | '\u{202F}')
}

struct Wrapper<'a> {
    faces: &'a Faces,
    style: Style,
    width: f32,
    line: Line,
    lines: Vec<Line>,
}

impl Wrapper<'_> {
    fn end(&mut self) {
        let line = std::mem::replace(&mut self.line, Line::new(self.style));
        if !line.text.is_empty() {
            self.lines.push(line);
        }
    }

    fn word(&mut self, text: &str) {
        // What joined a figure and its unit is read and copied as the space that it is.
        let word = self.faces.word(self.style.weight, &text.replace('\u{A0}', " "));
        let space = self.faces.word(self.style.weight, " ");
        let wide_word = wide(&word, self.style);
        if !self.line.text.is_empty() {
            let before = self.line.width;
            self.line.append(&space);
            if self.line.width + wide_word > self.width {
                // The space stays at the line's end for those who copy the text, and takes no room.
                self.line.width = before;
                self.end();
            }
        }
        if wide_word <= self.width {
            self.line.append(&word);
        } else {
            self.pieces(&word.text);
        }
    }

    /// A word that no line can hold goes on from line to line.
    fn pieces(&mut self, text: &str) {
        let mut rest = text;
        while !rest.is_empty() {
            let (end, piece) = self.fitting(rest);
            rest = &rest[end..];
            self.line.append(&piece);
            if !rest.is_empty() {
                self.end();
            }
        }
    }

    /// The longest start of the text that fits a line, with its end; one cluster where none does.
    fn fitting(&self, text: &str) -> (usize, Rc<Word>) {
        let reach = text
            .char_indices()
            .nth(LONGEST_PIECE)
            .map_or(text.len(), |(at, _)| at);
        let whole = self.faces.word(self.style.weight, &text[..reach]);
        let mut glyphs: Vec<&Glyph> = whole.glyphs.iter().collect();
        glyphs.sort_by_key(|glyph| glyph.range.start);
        let (mut end, mut sum) = (0, 0.0);
        for cluster in glyphs.chunk_by(|one, next| one.range == next.range) {
            let parts: f32 = cluster.iter().map(|g| self.style.cell.unwrap_or(g.advance)).sum();
            sum += parts * self.style.size;
            if sum > self.width && end > 0 {
                break;
            }
            end = cluster[0].range.end.min(reach);
        }
        self.shrunk(text, if end == 0 { reach } else { end })
    }

    /// A piece shaped on its own may be a little wider than it was inside its word.
    fn shrunk(&self, text: &str, mut end: usize) -> (usize, Rc<Word>) {
        loop {
            let piece = self.faces.word(self.style.weight, &text[..end]);
            let shorter = text[..end].char_indices().next_back().map_or(0, |(at, _)| at);
            if shorter == 0 || wide(&piece, self.style) <= self.width {
                return (end, piece);
            }
            end = shorter;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Everything but spaces, in order: what must be neither lost nor doubled.
    fn letters(text: &str) -> String {
        text.chars().filter(|letter| !letter.is_whitespace()).collect()
    }

    fn check(text: &str, width: f32, style: Style) -> Vec<Line> {
        let faces = Faces::new().expect("the faces are compiled in");
        let lines = wrap(&faces, style, text, width);
        for line in &lines {
            assert!(
                line.width <= width + 1e-3,
                "{} > {width}: {:?}",
                line.width,
                line.text
            );
            let ends = line
                .glyphs
                .iter()
                .all(|glyph| line.text.get(glyph.range.clone()).is_some());
            assert!(
                ends && line.glyphs.iter().all(|glyph| glyph.id != 0),
                "{:?}",
                line.text
            );
        }
        lines
    }

    #[test]
    fn a_figure_and_its_unit_stand_in_one_line() {
        let text = "The coil has 2.1 Ω, 2.1 Ω, 2.1 Ω and 2.1 Ω.";
        for width in 40..140_u8 {
            for line in check(text, f32::from(width), Style::BODY) {
                assert!(!line.text.starts_with('Ω'), "{width}: {:?}", line.text);
                assert!(!line.text.contains('\u{A0}'), "{width}: {:?}", line.text);
            }
        }
    }

    #[test]
    fn lines_are_filled_and_end_between_words() {
        let lines = check(
            "Let the pump pressure fall slowly until it opens.",
            100.0,
            Style::BODY,
        );
        assert!(lines.len() >= 2);
        let texts: Vec<&str> = lines.iter().map(|line| line.text.as_str()).collect();
        assert_eq!(
            texts.concat(),
            "Let the pump pressure fall slowly until it opens."
        );
    }

    #[test]
    fn a_word_of_500_letters_is_carried_on() {
        let word = "abcdefghij".repeat(50);
        let lines = check(&word, 120.0, Style::BODY);
        assert!(lines.len() > 10);
        assert_eq!(
            lines.iter().map(|line| line.text.as_str()).collect::<String>(),
            word
        );
    }

    #[test]
    fn a_joining_space_joins() {
        let lines = check("the pressure is 35\u{A0}psi", 62.0, Style::BODY);
        assert!(lines.iter().any(|line| line.text.contains("35 psi")), "{lines:?}");
    }

    #[test]
    fn hashes_stand_in_equal_cells() {
        let lines = check("0123 fedc", 200.0, Style::HASH);
        assert!((lines[0].width - 9.0 * 0.72 * 8.5).abs() < 1e-3);
    }

    proptest! {
        #[test]
        fn no_line_is_wider_than_its_box_and_no_letter_is_lost(
            text in "(\\PC|[ \n]|[a-z]{1,60}){0,80}",
            width in 60.0f32..300.0,
        ) {
            let lines = check(&text, width, Style::BODY);
            let got: String = lines.iter().map(|line| letters(&line.text)).collect();
            let faces = Faces::new().expect("the faces are compiled in");
            let whole: String = text
                .split_whitespace()
                .map(|word| letters(&faces.word(Weight::Plain, word).text))
                .collect();
            prop_assert_eq!(got, whole);
        }
    }
}
