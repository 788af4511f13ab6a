//! Hazard panels as the screen draws them.

use super::{HazardPanel, SignalWord};
use crate::page::hazard;
use crate::procedure;
use slint::ModelRc;

/// The panels, in the order of the page.
pub(super) fn panels(hazards: &[hazard::HazardPanel]) -> ModelRc<HazardPanel> {
    super::list(hazards.iter().map(panel))
}

fn panel(hazard: &hazard::HazardPanel) -> HazardPanel {
    HazardPanel {
        word: match hazard.word {
            procedure::SignalWord::Danger => SignalWord::Danger,
            procedure::SignalWord::Warning => SignalWord::Warning,
            procedure::SignalWord::Caution => SignalWord::Caution,
            procedure::SignalWord::Notice => SignalWord::Notice,
        },
        sign: hazard.sign.as_str().into(),
        what: super::said(&hazard.what),
        happens: super::said(&hazard.happens),
        avoid: super::lines(&hazard.avoid),
    }
}
