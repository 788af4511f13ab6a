//! What stood on the screen: hazards and wording.

use super::form::{form, words};
use crate::player::fact;
use crate::procedure::SignalWord;

form! {
    /// A hazard as it was shown.
    Hazard for fact::HazardShown {
        id: String,
        word: Word,
        sign: String,
        what: String,
        happens: String,
        avoid: Vec<String>,
    }

    /// The wording of a step.
    Wording for fact::Wording {
        command: String,
        why: String,
        right: String,
        wrong: String,
        hazards: Vec<String>,
        tools: Vec<String>,
        #[serde(skip_serializing_if = "Option::is_none")]
        picture: Option<String>,
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        callouts: Vec<String>,
    }
}

words! {
    /// A signal word.
    Word for SignalWord { Danger, Warning, Caution, Notice }
}
