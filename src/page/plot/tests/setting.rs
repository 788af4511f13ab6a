//! Plots set into a box.

use super::super::*;
use super::{drawn, worked};
use crate::calc;
use crate::table::Tables;

/// Half of the size of the text for each letter.
fn half(text: &str, _: bool) -> f64 {
    10.0 * text.chars().count() as f64
}

pub(super) fn set(plot: &Plot, width: f64, height: f64) -> Drawing {
    Drawing::new(
        plot,
        &Setting {
            width,
            height,
            em: 20.0,
            leading: 26.0,
            measure: &half,
        },
    )
}

#[test]
fn words_stand_in_the_box_and_none_upon_another() {
    for calculator in calc::all() {
        let Some(outcome) = worked(calculator.spec.id, calculator.spec.example, &Tables::default()) else {
            continue;
        };
        let Some(plot) = drawn(&outcome, &Beside::default(), &Tables::default()) else {
            continue;
        };
        let drawing = set(&plot, 760.0, 440.0);
        assert!(drawing.words.len() > 3, "{}", calculator.spec.id);
        for (place, word) in drawing.words.iter().enumerate() {
            let inside = word.x >= -1e-9
                && word.x + word.width <= 760.0
                && word.y >= -1e-9
                && word.y + 26.0 <= 440.0 + 1e-9;
            assert!(inside, "{}: {word:?}", calculator.spec.id);
            for other in &drawing.words[..place] {
                let wide = (word.x + word.width).min(other.x + other.width) - word.x.max(other.x);
                let high = (word.y + 26.0).min(other.y + 26.0) - word.y.max(other.y);
                assert!(
                    wide <= 2.0 || high <= 8.0,
                    "{}: {word:?} {other:?}",
                    calculator.spec.id
                );
            }
        }
    }
}
