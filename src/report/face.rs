//! The typefaces, and words as shaped glyphs. A letter that no face has is written by its number.

use super::ReportError;
use krilla::text::Font;
use std::cell::RefCell;
use std::collections::HashMap;
use std::ops::Range;
use std::rc::Rc;

/// How heavy the strokes are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Weight {
    Plain,
    Strong,
}

/// A glyph of a word. Lengths are in parts of the type size.
#[derive(Clone, Debug, PartialEq)]
pub struct Glyph {
    /// Which of the four faces.
    pub face: usize,
    pub id: u32,
    pub advance: f32,
    pub right: f32,
    pub up: f32,
    /// The bytes of the text that it stands for.
    pub range: Range<usize>,
}

/// A word as it is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Word {
    /// The text with every undrawable letter replaced by its number.
    pub text: String,
    pub glyphs: Vec<Glyph>,
    /// In parts of the type size.
    pub width: f32,
}

/// Each weight: the face to read, then the face that stands in for letters that it lacks.
const FILES: [(&str, &[u8]); 4] = [
    ("B612", include_bytes!("../../ui/fonts/B612-Regular.otf")),
    ("DejaVu Sans", include_bytes!("../../ui/fonts/DejaVuSans.ttf")),
    ("B612 Bold", include_bytes!("../../ui/fonts/B612-Bold.otf")),
    (
        "DejaVu Sans Bold",
        include_bytes!("../../ui/fonts/DejaVuSans-Bold.ttf"),
    ),
];

/// The faces, with every word that was shaped before.
pub struct Faces {
    fonts: Vec<Font>,
    shapers: Vec<rustybuzz::Face<'static>>,
    known: RefCell<HashMap<(Weight, String), Rc<Word>>>,
}

impl Faces {
    /// Reads the faces that are compiled in.
    ///
    /// # Errors
    /// A face cannot be read; only a damaged program does that.
    pub fn new() -> Result<Self, ReportError> {
        let (mut fonts, mut shapers) = (Vec::new(), Vec::new());
        for (name, bytes) in FILES {
            let fault = || ReportError::Face { name };
            fonts.push(Font::new(bytes.into(), 0).ok_or_else(fault)?);
            shapers.push(rustybuzz::Face::from_slice(bytes, 0).ok_or_else(fault)?);
        }
        Ok(Self {
            fonts,
            shapers,
            known: RefCell::default(),
        })
    }

    /// The face with this number.
    pub fn font(&self, face: usize) -> &Font {
        &self.fonts[face]
    }

    /// The word, shaped once for the whole document.
    pub fn word(&self, weight: Weight, text: &str) -> Rc<Word> {
        let key = (weight, text.to_owned());
        if let Some(word) = self.known.borrow().get(&key) {
            return word.clone();
        }
        let word = Rc::new(self.shape(weight, text));
        self.known.borrow_mut().insert(key, word.clone());
        word
    }

    fn shape(&self, weight: Weight, text: &str) -> Word {
        let text: String = clusters(text)
            .map(|cluster| match self.face_for(weight, cluster) {
                Some(_) => cluster.to_owned(),
                None => cluster
                    .chars()
                    .map(|letter| self.drawable(weight, letter))
                    .collect(),
            })
            .collect();
        let word = self.shape_drawable(weight, text);
        if word.glyphs.iter().all(|glyph| glyph.id != 0) {
            return word;
        }
        // A shaper may still find no glyph for letters that stand together: they are numbered.
        let numbered = |letter: char| {
            if letter.is_ascii() {
                letter.to_string()
            } else {
                number(letter)
            }
        };
        let text = word.text.chars().map(numbered).collect();
        self.shape_drawable(weight, text)
    }

    fn drawable(&self, weight: Weight, letter: char) -> String {
        match self.face_for(weight, letter.encode_utf8(&mut [0; 4])) {
            Some(_) => letter.to_string(),
            None => number(letter),
        }
    }

    /// The first face of the weight that has every letter of the cluster.
    fn face_for(&self, weight: Weight, cluster: &str) -> Option<usize> {
        let first = match weight {
            Weight::Plain => 0,
            Weight::Strong => 2,
        };
        (first..first + 2).find(|&face| {
            let has = |letter| {
                !hidden(letter) && self.shapers[face].glyph_index(letter).is_some_and(|id| id.0 != 0)
            };
            cluster.chars().all(has)
        })
    }

    fn shape_drawable(&self, weight: Weight, text: String) -> Word {
        let mut glyphs = Vec::new();
        let mut run: Option<(usize, Range<usize>)> = None;
        let mut at = 0;
        for cluster in clusters(&text) {
            let face = self.face_for(weight, cluster).unwrap_or(0);
            let end = at + cluster.len();
            match &mut run {
                Some((open, range)) if *open == face => range.end = end,
                _ => {
                    if let Some((open, range)) = run.replace((face, at..end)) {
                        self.shape_run(open, &text, range, &mut glyphs);
                    }
                }
            }
            at = end;
        }
        if let Some((face, range)) = run {
            self.shape_run(face, &text, range, &mut glyphs);
        }
        let width = glyphs.iter().map(|glyph| glyph.advance).sum();
        Word { text, glyphs, width }
    }

    fn shape_run(&self, face: usize, text: &str, range: Range<usize>, glyphs: &mut Vec<Glyph>) {
        let shaper = &self.shapers[face];
        let em = shaper.units_per_em() as f32;
        let mut buffer = rustybuzz::UnicodeBuffer::new();
        buffer.push_str(&text[range.clone()]);
        buffer.guess_segment_properties();
        let shaped = rustybuzz::shape(shaper, &[], buffer);
        let mut starts: Vec<usize> = shaped
            .glyph_infos()
            .iter()
            .map(|info| info.cluster as usize)
            .collect();
        starts.sort_unstable();
        starts.dedup();
        for (info, position) in shaped.glyph_infos().iter().zip(shaped.glyph_positions()) {
            let start = info.cluster as usize;
            let next = starts.iter().find(|&&other| other > start);
            let end = next.map_or(range.end, |next| range.start + next);
            glyphs.push(Glyph {
                face,
                id: info.glyph_id,
                advance: position.x_advance as f32 / em,
                right: position.x_offset as f32 / em,
                up: position.y_offset as f32 / em,
                range: range.start + start..end,
            });
        }
    }
}

/// A visible stand-in for a letter, from which a reader can still tell which one it was.
fn number(letter: char) -> String {
    format!("[U+{:04X}]", u32::from(letter))
}

/// Letters that would be drawn as nothing, or would turn the order of others around.
fn hidden(letter: char) -> bool {
    letter.is_control()
        || matches!(u32::from(letter),
            0xAD | 0x34F | 0x61C | 0x115F | 0x1160 | 0x17B4 | 0x17B5 | 0x180B..=0x180F | 0x200B..=0x200F
            | 0x2028..=0x202E | 0x2060..=0x206F | 0x3164 | 0xD800..=0xF8FF | 0xFE00..=0xFE0F | 0xFEFF
            | 0xFFA0 | 0xFFF0..=0xFFFB | 0xFFFE | 0xFFFF | 0xE0000..=0x10FFFF)
}

/// A letter with the marks that stand on it.
fn clusters(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = text;
    std::iter::from_fn(move || {
        let mut letters = rest.char_indices();
        letters.next()?;
        let end = letters
            .find(|(_, letter)| !is_mark(*letter))
            .map_or(rest.len(), |(at, _)| at);
        let (cluster, left) = rest.split_at(end);
        rest = left;
        Some(cluster)
    })
}

fn is_mark(letter: char) -> bool {
    matches!(u32::from(letter), 0x300..=0x36F | 0x1AB0..=0x1AFF | 0x1DC0..=0x1DFF | 0x20D0..=0x20FF | 0xFE20..=0xFE2F)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawn(text: &str) -> (String, Vec<usize>) {
        let faces = Faces::new().expect("the faces are compiled in");
        let word = faces.word(Weight::Plain, text);
        assert!(word.glyphs.iter().all(|glyph| glyph.id != 0), "{text}");
        let mut used: Vec<usize> = word.glyphs.iter().map(|glyph| glyph.face).collect();
        used.dedup();
        (word.text.clone(), used)
    }

    #[test]
    fn the_second_face_stands_in_for_letters_that_the_first_lacks() {
        assert_eq!(drawn("Pell"), ("Pell".to_owned(), vec![0]));
        assert_eq!(drawn("Čapek"), ("Čapek".to_owned(), vec![1, 0]));
        assert_eq!(drawn("Жук").1, vec![1]);
    }

    #[test]
    fn a_mark_stays_with_its_letter() {
        let (text, used) = drawn("e\u{301}a");
        assert_eq!(
            (text.as_str(), used.len()),
            ("e\u{301}a", if used[0] == 0 { 1 } else { 2 })
        );
    }

    #[test]
    fn what_no_face_can_draw_is_written_by_its_number() {
        assert_eq!(drawn("a\u{8F66}b").0, "a[U+8F66]b");
        assert_eq!(drawn("\u{202E}cba").0, "[U+202E]cba");
        assert_eq!(
            drawn("\u{0}\u{AD}\u{FEFF}\u{E000}").0,
            "[U+0000][U+00AD][U+FEFF][U+E000]"
        );
    }

    #[test]
    fn every_part_of_a_word_is_covered_by_a_glyph() {
        let faces = Faces::new().expect("the faces are compiled in");
        for text in ["office", "Ő1l", "naïve", "a\u{8F66}b", "שלום", "12.5"] {
            let word = faces.word(Weight::Strong, text);
            let mut seen = vec![false; word.text.len()];
            word.glyphs
                .iter()
                .for_each(|glyph| seen[glyph.range.clone()].fill(true));
            assert!(seen.iter().all(|byte| *byte), "{text}");
            assert!((word.width - word.glyphs.iter().map(|g| g.advance).sum::<f32>()).abs() < 1e-6);
        }
    }
}
