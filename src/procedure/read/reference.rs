//! References: `card.power.fuse`, `read.trip`, `work.margin.margin`, `figure.load.cold`.

use super::Reader;
use crate::content::{Node, Spot};
use crate::diagnostic::{Diagnostic, nearest, quoted};
use crate::procedure::draft::Mark;
use crate::procedure::model::{ProcedureId, Reference, StepId, StepRef};

const SHAPES: [&str; 6] = [
    "card.<group>.<field>",
    "read.<name>",
    "read.<procedure>.<name>",
    "work.<name>.<output>",
    "work.<procedure>.<name>.<output>",
    "figure.<name>.<output>",
];

/// Whether a text begins as a reference does, and so was meant as one.
pub(super) fn is_reference(text: &str) -> bool {
    let known = ["card.", "read.", "work.", "figure."];
    known.iter().any(|start| text.starts_with(start)) && !text.contains(char::is_whitespace)
}

/// Names the first word that was probably meant.
fn begins_nearly(fault: Diagnostic, text: &str) -> Diagnostic {
    let first = text.split('.').next().unwrap_or_default();
    let starts = ["card", "read", "work", "figure"];
    match nearest(first, starts).filter(|near| *near != first) {
        Some(near) => fault.help(format!("did you mean `{near}`?")),
        None => fault,
    }
}

/// The reference that a text spells; a short one means the procedure `here`.
fn spelled(text: &str, here: Option<&ProcedureId>) -> Option<Reference> {
    let parts: Vec<&str> = text.split('.').collect();
    let word = |part: &&str| {
        !part.is_empty()
            && part
                .chars()
                .all(|c| c.is_ascii_alphanumeric() || matches!(c, '_' | '-'))
    };
    if !parts.iter().all(word) {
        return None;
    }
    let own = |part: &str| part.to_owned();
    let in_procedure = |part: &str| ProcedureId(part.to_owned());
    match parts.as_slice() {
        ["card", group, field] => Some(Reference::Card {
            group: own(group),
            field: own(field),
        }),
        ["read", name] => Some(Reference::Read {
            procedure: here?.clone(),
            name: own(name),
        }),
        ["read", procedure, name] => Some(Reference::Read {
            procedure: in_procedure(procedure),
            name: own(name),
        }),
        ["work", name, output] => Some(Reference::Work {
            procedure: here?.clone(),
            name: own(name),
            output: own(output),
        }),
        ["work", procedure, name, output] => Some(Reference::Work {
            procedure: in_procedure(procedure),
            name: own(name),
            output: own(output),
        }),
        ["figure", name, output] => Some(Reference::Figure {
            name: own(name),
            output: own(output),
        }),
        _ => None,
    }
}

impl Reader<'_> {
    /// A reference that stands as a value; its use is marked.
    pub(super) fn reference(&mut self, node: &Node) -> Option<Reference> {
        let text = self.scalar(node, "a reference")?;
        self.reference_text(text, node.spot)
    }

    pub(super) fn reference_text(&mut self, text: &str, at: Spot) -> Option<Reference> {
        match spelled(text, self.here.as_ref()) {
            Some(reference) => {
                self.mark(at, Mark::Refers(reference.clone()));
                Some(reference)
            }
            None => {
                let fault = self.found(
                    at,
                    "bad-reference",
                    quoted(text),
                    "a reference in one of its forms",
                );
                self.fault(begins_nearly(fault, text).choose("", SHAPES))
            }
        }
    }

    /// A step: `step` in this procedure, or `procedure.step`.
    pub(super) fn step_ref(&mut self, node: &Node) -> Option<StepRef> {
        let text = self.scalar(node, "a step")?;
        let (procedure, step) = match (text.split_once('.'), &self.here) {
            (Some((procedure, step)), _) => (ProcedureId(procedure.to_owned()), step),
            (None, Some(here)) => (here.clone(), text),
            (None, None) => {
                let fault = self.found(node.spot, "bad-reference", quoted(text), "`procedure.step`");
                return self.fault(fault);
            }
        };
        Some(StepRef {
            procedure,
            step: StepId(step.to_owned()),
        })
    }
}
