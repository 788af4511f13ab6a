//! A figure's plot on the sheet: small, in fine lines, with the faces and the inks of the sheet.

use super::brush::Brush;
use super::face::{Faces, Weight};
use super::ink::Ink;
use super::text::{Line, Style, line};
use crate::page::Plot;
use crate::page::plot::{Drawing, Ink as Purpose, Setting, Stroke};

/// The words of a plot.
const WORDS: Style = Style {
    size: 6.5,
    leading: 8.4,
    ..Style::FINE
};

/// A plot set into its box, its words shaped.
#[derive(Clone, Debug)]
pub struct Sketch {
    /// In points.
    pub width: f32,
    pub height: f32,
    strokes: Vec<Stroke>,
    words: Vec<Placed>,
}

#[derive(Clone, Debug)]
struct Placed {
    line: Line,
    x: f32,
    y: f32,
    plate: bool,
}

impl Sketch {
    /// The plot in a box of this size in points.
    #[must_use]
    pub fn new(faces: &Faces, plot: &Plot, width: f32, height: f32) -> Self {
        let shaped = |text: &str, strong: bool| line(faces, style(strong), text);
        let drawing = Drawing::new(
            plot,
            &Setting {
                width: f64::from(width),
                height: f64::from(height),
                em: f64::from(WORDS.size),
                leading: f64::from(WORDS.leading),
                measure: &|text, strong| f64::from(shaped(text, strong).width),
            },
        );
        let words = drawing.words.iter().map(|word| Placed {
            line: shaped(&word.text, word.strong),
            x: word.x as f32,
            y: word.y as f32,
            plate: word.plate,
        });
        Self {
            width,
            height,
            words: words.collect(),
            strokes: drawing.strokes,
        }
    }

    /// Draws with the upper left corner here.
    pub(super) fn draw(&self, brush: &mut Brush<'_, '_>, x: f32, y: f32) {
        for stroke in &self.strokes {
            let moved = |(right, down): &(f64, f64)| (rounded(x + *right as f32), rounded(y + *down as f32));
            let runs: Vec<Vec<(f32, f32)>> = stroke
                .runs
                .iter()
                .map(|run| run.iter().map(moved).collect())
                .collect();
            match stroke.width {
                Some(width) => brush.lines(ink(stroke.ink), (width as f32).max(0.25), &runs),
                None => brush.polygons(ink(stroke.ink), &runs),
            }
        }
        for word in self.words.iter().filter(|word| word.plate) {
            brush.rect(
                Ink::Paper,
                x + word.x - 1.0,
                y + word.y + 0.6,
                word.line.width + 2.0,
                WORDS.leading - 1.2,
            );
        }
        for word in &self.words {
            brush.line(&word.line, x + word.x, y + word.y);
        }
    }
}

fn style(strong: bool) -> Style {
    Style {
        weight: if strong { Weight::Strong } else { Weight::Plain },
        ..WORDS
    }
}

fn ink(purpose: Purpose) -> Ink {
    match purpose {
        Purpose::Grid => Ink::Faint,
        Purpose::Line => Ink::Text,
        Purpose::Data | Purpose::Hatch => Ink::Paint,
        Purpose::Wash => Ink::Wash,
        Purpose::Ground => Ink::Paper,
    }
}

/// To a hundredth of a point: what lies below that is not seen, and need not differ between machines.
fn rounded(length: f32) -> f32 {
    (length * 100.0).round() / 100.0
}
