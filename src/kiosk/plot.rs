//! A plot of the page model as the screen draws it: paths in a box of layout units, and words at their places.

use super::{PlotInk, PlotPicture, PlotStroke, PlotWord};
use crate::page::Plot;
use crate::page::plot::{Drawing, Ink, Setting, Stroke, Word};
use std::fmt::Write;

/// The size of the words in layout units: `text-note` of the tokens, the least that is read at 0.7 m.
const EM: f64 = 21.0;
const LEADING: f64 = 28.0;

/// The picture of a plot in a box of this size in layout units; an empty one where there is none.
pub(super) fn picture(plot: Option<&Plot>, width: f32, height: f32) -> PlotPicture {
    let Some(plot) = plot else {
        return PlotPicture::default();
    };
    let drawing = Drawing::new(
        plot,
        &Setting {
            width: f64::from(width),
            height: f64::from(height),
            em: EM,
            leading: LEADING,
            measure: &|text, _| EM * ems(text),
        },
    );
    PlotPicture {
        shown: true,
        width,
        height,
        title: super::said(&plot.title),
        says: plot.says.as_str().into(),
        note: super::said(&plot.notes.join(" ")),
        strokes: super::list(drawing.strokes.iter().map(stroke)),
        words: super::list(drawing.words.iter().map(word)),
    }
}

fn stroke(stroke: &Stroke) -> PlotStroke {
    PlotStroke {
        ink: match stroke.ink {
            Ink::Grid => PlotInk::Grid,
            Ink::Line => PlotInk::Line,
            Ink::Data => PlotInk::Data,
            Ink::Wash => PlotInk::Wash,
            Ink::Hatch => PlotInk::Hatch,
            Ink::Ground => PlotInk::Ground,
        },
        filled: stroke.width.is_none(),
        width: stroke.width.unwrap_or_default() as f32,
        commands: commands(stroke).into(),
    }
}

/// The runs as the commands of an SVG path.
fn commands(stroke: &Stroke) -> String {
    let mut commands = String::new();
    for run in &stroke.runs {
        for (place, (x, y)) in run.iter().enumerate() {
            let letter = if place == 0 { 'M' } else { 'L' };
            // Writing to a text cannot fail.
            let _ = write!(commands, "{letter}{x:.2} {y:.2} ");
        }
        if stroke.width.is_none() {
            commands.push_str("Z ");
        }
    }
    commands
}

fn word(word: &Word) -> PlotWord {
    PlotWord {
        text: word.text.as_str().into(),
        x: word.x as f32,
        y: word.y as f32,
        width: word.width as f32,
        height: LEADING as f32,
        strong: word.strong,
        plate: word.plate,
    }
}

/// The width of a text in parts of its size, by the advances of B612, whose strong letters are as wide.
fn ems(text: &str) -> f64 {
    text.chars().map(advance).sum()
}

fn advance(letter: char) -> f64 {
    match letter {
        ',' | ';' | '·' => 0.25,
        'i' | 'j' | 'I' | '.' | ':' | '°' | '³' | '²' => 0.3,
        'l' | ' ' => 0.35,
        'f' | 'r' | 't' => 0.4,
        's' | '-' | '(' | ')' | 'J' => 0.45,
        'c' | 'z' => 0.5,
        'a' | 'e' | 'k' | 'v' | 'x' | 'y' | 'F' | 'L' | 'S' | '/' => 0.55,
        'w' | 'N' => 0.75,
        'O' | 'Q' | 'Ω' => 0.8,
        'm' | 'M' | '%' => 0.9,
        'W' => 0.95,
        _ => 0.65,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_become_paths_and_outlines_are_closed() {
        let runs = vec![
            vec![(0.0, 1.0), (2.0, 3.5)],
            vec![(4.0, 4.0), (5.0, 4.0), (5.0, 6.0)],
        ];
        let open = Stroke {
            ink: Ink::Line,
            width: Some(2.0),
            runs,
        };
        assert_eq!(
            commands(&open),
            "M0.00 1.00 L2.00 3.50 M4.00 4.00 L5.00 4.00 L5.00 6.00 "
        );
        let filled = Stroke { width: None, ..open };
        assert_eq!(commands(&filled).matches('Z').count(), 2);
    }

    #[test]
    fn no_plot_is_an_empty_picture() {
        assert!(!picture(None, 700.0, 400.0).shown);
    }
}
