//! A hazard panel by the signal-word standard: word, sign, what it is, what happens, how to avoid it.

use crate::player::fact::HazardShown;
use crate::player::{State, wording};
use crate::procedure::{HazardId, SignalWord};

/// A hazard as a screen or sheet shows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HazardPanel {
    pub word: SignalWord,
    /// `DANGER`, `WARNING`, `CAUTION` or `NOTICE`.
    pub word_text: &'static str,
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
        SignalWord::Danger => "DANGER",
        SignalWord::Warning => "WARNING",
        SignalWord::Caution => "CAUTION",
        SignalWord::Notice => "NOTICE",
    }
}

/// The panels for these hazards, the gravest first.
#[must_use]
pub fn panels(state: &State, ids: &[HazardId]) -> Vec<HazardPanel> {
    wording::hazards(state, ids).into_iter().map(panel).collect()
}

fn panel(hazard: HazardShown) -> HazardPanel {
    HazardPanel {
        word: hazard.word,
        word_text: word_text(hazard.word),
        sign: hazard.sign,
        what: hazard.what,
        happens: hazard.happens,
        avoid: hazard.avoid,
    }
}
