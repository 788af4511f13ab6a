//! A hazard panel by the signal-word standard: word, sign, what it is, what happens, how to avoid it.

use crate::player::fact::HazardShown;
use crate::player::{State, wording};
use crate::procedure::{HazardId, SignalWord};
use crate::to_say;
use crate::words::Words;

/// A hazard as a screen or sheet shows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HazardPanel {
    pub word: SignalWord,
    /// `DANGER`, `WARNING`, `CAUTION` or `NOTICE`.
    pub word_text: String,
    /// Which symbol to draw.
    pub sign: String,
    pub what: String,
    pub happens: String,
    pub avoid: Vec<String>,
}

/// The signal word as it is printed.
#[must_use]
pub fn word_text(word: SignalWord) -> &'static str {
    match word {
        SignalWord::Danger => to_say!("DANGER"),
        SignalWord::Warning => to_say!("WARNING"),
        SignalWord::Caution => to_say!("CAUTION"),
        SignalWord::Notice => to_say!("NOTICE"),
    }
}

/// The panels for these hazards, the gravest first.
#[must_use]
pub fn panels(state: &State, ids: &[HazardId]) -> Vec<HazardPanel> {
    let words = state.words();
    let hazards = wording::hazards(state, ids).into_iter();
    hazards.map(|hazard| panel(hazard, words)).collect()
}

fn panel(hazard: HazardShown, words: &Words) -> HazardPanel {
    HazardPanel {
        word: hazard.word,
        word_text: words.say(word_text(hazard.word)).to_owned(),
        sign: hazard.sign,
        what: hazard.what,
        happens: hazard.happens,
        avoid: hazard.avoid,
    }
}
