//! The demonstration's script: one event a line, as a person could have given it.

use super::super::Stop;
use crate::player::{Event, Prompt, State};
use crate::procedure::{ProcedureId, StepRef};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// One line: who does what.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct ScriptLine {
    /// The person's id; nobody for what happens to the tablet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    #[serde(rename = "do")]
    pub act: Act,
}

/// What is done. Deviations are not numbered: the one on the screen is meant.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(crate) enum Act {
    Card {
        answers: BTreeMap<String, String>,
    },
    Begin {
        procedure: String,
    },
    Acknowledge {
        step: String,
    },
    Read {
        step: String,
        reading: String,
        typed: String,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        with: Option<String>,
    },
    Done {
        step: String,
    },
    MeasureAgain {
        reason: String,
    },
    Rework {
        what: String,
    },
    Concede {
        reason: String,
    },
    Witness {
        step: String,
        attended: bool,
    },
    Release {
        step: String,
    },
    CloseOut {
        procedure: String,
    },
    /// The power goes; the job is opened again.
    PowerCut,
    SignOff,
    ReleaseJob,
}

/// The script of the shipped demonstration.
pub(crate) const SCRIPT: &str = include_str!("script.jsonl");

/// Reads a script.
///
/// # Errors
/// Names the line.
pub(crate) fn read(text: &str) -> Result<Vec<ScriptLine>, Stop> {
    let lines = text
        .lines()
        .enumerate()
        .filter(|(_, line)| !line.trim().is_empty());
    lines
        .map(|(at, line)| {
            serde_json::from_str(line).map_err(|error| {
                Stop::unusable(
                    format!("line {} of the script: {error}", at + 1),
                    "One JSON object a line.",
                )
            })
        })
        .collect()
}

impl Act {
    /// The event for the player; none for what the session does itself.
    pub(crate) fn event(&self, state: &State) -> Option<Event> {
        let deviation = match state.prompt() {
            Prompt::Deviation(n) => n,
            // The player refuses a deviation that does not exist, as it would refuse a person.
            _ => u64::MAX,
        };
        Some(match self {
            Self::Card { .. } | Self::PowerCut => return None,
            Self::Begin { procedure } => Event::Begin {
                procedure: ProcedureId(procedure.clone()),
            },
            Self::Acknowledge { step } => Event::Acknowledge { step: step_ref(step) },
            Self::Read {
                step,
                reading,
                typed,
                with,
            } => Event::Read {
                step: step_ref(step),
                name: reading.clone(),
                typed: typed.clone(),
                instrument: with.clone(),
                live: None,
            },
            Self::Done { step } => Event::Done { step: step_ref(step) },
            Self::MeasureAgain { reason } => Event::MeasureAgain {
                deviation,
                reason: reason.clone(),
            },
            Self::Rework { what } => Event::Rework {
                deviation,
                what: what.clone(),
            },
            Self::Concede { reason } => Event::Concede {
                deviation,
                reason: reason.clone(),
            },
            Self::Witness { step, attended } => Event::Witness {
                step: step_ref(step),
                attended: *attended,
            },
            Self::Release { step } => Event::Release { step: step_ref(step) },
            Self::CloseOut { procedure } => Event::CloseOut {
                procedure: ProcedureId(procedure.clone()),
            },
            Self::SignOff => Event::SignOff,
            Self::ReleaseJob => Event::ReleaseJob,
        })
    }
}

/// `procedure.step` as a step's full name.
pub(crate) fn step_ref(text: &str) -> StepRef {
    let (procedure, step) = text.split_once('.').unwrap_or((text, ""));
    StepRef {
        procedure: procedure.into(),
        step: step.into(),
    }
}
