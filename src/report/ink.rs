//! The inks of the sheet. None of them is a hazard colour; the paint is the screen's.

use krilla::color::rgb;

/// A colour by its purpose.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    /// Text.
    Text,
    /// Text of less weight: labels and notes.
    Soft,
    /// Lines between rows.
    Rule,
    /// Fine lines behind a plot.
    Faint,
    /// Ground of table heads and boxes.
    Ground,
    /// The paint of the witness stripe.
    Paint,
    /// The stripe where text stands on it.
    Wash,
    /// Text on the paint, and paper.
    Paper,
}

impl Ink {
    /// Red, green and blue.
    #[must_use]
    pub fn rgb(self) -> [u8; 3] {
        match self {
            Ink::Text => [0x11, 0x20, 0x1e],
            Ink::Soft => [0x38, 0x46, 0x44],
            Ink::Rule => [0x78, 0x82, 0x7f],
            Ink::Faint => [0xc6, 0xcb, 0xc6],
            Ink::Ground => [0xee, 0xec, 0xe5],
            Ink::Paint => [0x00, 0x56, 0x4c],
            Ink::Wash => [0xd3, 0xe7, 0xe2],
            Ink::Paper => [0xff, 0xff, 0xff],
        }
    }

    pub(super) fn colour(self) -> rgb::Color {
        let [red, green, blue] = self.rgb();
        rgb::Color::new(red, green, blue)
    }
}

#[cfg(test)]
mod tests {
    use super::Ink;

    /// Relative luminance and contrast as WCAG 2.2 defines them (from memory).
    fn contrast(one: Ink, other: Ink) -> f64 {
        let luminance = |ink: Ink| {
            let part = |byte: u8| {
                let c = f64::from(byte) / 255.0;
                if c <= 0.04045 {
                    c / 12.92
                } else {
                    ((c + 0.055) / 1.055).powf(2.4)
                }
            };
            let [r, g, b] = ink.rgb().map(part);
            0.2126 * r + 0.7152 * g + 0.0722 * b
        };
        let (a, b) = (luminance(one), luminance(other));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn every_text_has_a_contrast_of_seven_to_one() {
        for ground in [Ink::Paper, Ink::Ground, Ink::Wash] {
            assert!(contrast(Ink::Text, ground) >= 7.0, "{ground:?}");
        }
        for ground in [Ink::Paper, Ink::Ground] {
            assert!(contrast(Ink::Soft, ground) >= 7.0, "{ground:?}");
        }
        assert!(contrast(Ink::Paper, Ink::Paint) >= 7.0);
        assert!(contrast(Ink::Paint, Ink::Paper) >= 7.0);
    }
}
