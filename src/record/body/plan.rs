//! What the record pins at its start, and the plan that it keeps.

use super::form::{Form, Unfit, form, pair, words};
use crate::player::fact::{self, DecisionRule};
use serde::{Deserialize, Serialize};

form! {
    /// The body of `opening`.
    Opening for fact::Opening {
        number: String,
        #[serde(rename = "authored")]
        job: String,
        title: String,
        revision: u32,
        practice: bool,
        language: String,
        program: String,
        shop: String,
        roster_head: String,
        roster_lines: u64,
        content: Vec<File>,
        caution: String,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        approval: Option<Approval>,
        #[serde(skip_serializing_if = "Option::is_none")]
        decision: Option<Rule>,
    }

    /// The approval that the content has.
    Approval for fact::ApprovalPinned {
        n: u64,
        line: String,
        content: String,
        head: String,
        lines: u64,
    }

    /// One procedure of the plan.
    Procedure for fact::PlannedProcedure {
        procedure: String,
        title: String,
        revision: u32,
        steps: Vec<Step>,
    }

    /// One step of the plan.
    Step for fact::PlannedStep {
        step: String,
        command: String,
        readings: Vec<Wanted>,
        hold: bool,
        witness: bool,
    }
}

words! {
    /// How measured values are judged.
    Rule for DecisionRule { GuardedAcceptance }
}

pair! {
    /// One authored file.
    File { path: String as String, sha256: String as String }
    /// A reading or a figure that a step wants.
    Wanted { name: String as String, label: String as String }
}

/// The body of `plan`.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Plan {
    procedures: Vec<Procedure>,
}

impl Form<Vec<fact::PlannedProcedure>> for Plan {
    fn form(part: &Vec<fact::PlannedProcedure>) -> Self {
        Self {
            procedures: Form::form(part),
        }
    }

    fn part(self) -> Result<Vec<fact::PlannedProcedure>, Unfit> {
        self.procedures.part()
    }
}
