//! The words that stood on the screen, for the record.

use super::fact::{Body, HazardShown, Wording};
use super::state::State;
use crate::procedure::{HazardId, Procedure, Step, Text, ToolId};
use crate::to_say;

/// What the person signs at the end.
pub const SIGN_OFF: &str =
    to_say!("I did, or saw done, the work that these entries describe, and they are true as far as I know.");

/// What the supervisor signs at the end.
pub const JOB_RELEASE: &str = to_say!(
    "I reviewed the work that these entries describe and release it. The makers' instructions and the law stand above this record."
);

pub(super) fn begin(state: &State, procedure: &Procedure) -> Body {
    let before = &procedure.before;
    let lines = |texts: &[Text]| texts.iter().map(|text| state.render(text)).collect();
    Body::Begin {
        procedure: procedure.id.clone(),
        title: procedure.title.clone(),
        conditions: lines(&before.conditions),
        people: lines(&before.people),
        tools: tools(state, &before.tools),
        hazards: hazards(state, &before.hazards),
    }
}

/// The hazards as they are shown, the gravest first.
#[must_use]
pub fn hazards(state: &State, ids: &[HazardId]) -> Vec<HazardShown> {
    let known = &state.play().shared.hazards;
    let mut shown: Vec<HazardShown> = ids
        .iter()
        .filter_map(|id| {
            let hazard = known.get(id)?;
            Some(HazardShown {
                id: id.clone(),
                word: hazard.word,
                sign: hazard.sign.clone(),
                what: hazard.what.clone(),
                happens: hazard.happens.clone(),
                avoid: hazard.avoid.clone(),
            })
        })
        .collect();
    shown.sort_by_key(|hazard| hazard.word);
    shown
}

/// The names of the tools.
#[must_use]
pub fn tools(state: &State, ids: &[ToolId]) -> Vec<String> {
    let known = &state.play().shared.tools;
    ids.iter()
        .filter_map(|id| known.get(id))
        .map(|tool| tool.name.clone())
        .collect()
}

/// The wording of a step as it is shown.
#[must_use]
pub fn of(state: &State, step: &Step) -> Wording {
    let shown = hazards(state, &step.hazards);
    Wording {
        command: state.render(&step.command),
        why: state.render(&step.why),
        right: state.render(&step.right),
        wrong: state.render(&step.wrong),
        hazards: shown.iter().map(|hazard| hazard.id.0.clone()).collect(),
        tools: tools(state, &step.tools),
        picture: step.picture.as_ref().map(ToString::to_string),
        callouts: super::pictured::callouts(state, step),
    }
}
