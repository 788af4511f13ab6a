//! The answer of the example car is one that its field takes.

use crate::diagnostic::{Diagnostic, Report, quoted};
use crate::procedure::draft::Draft;
use crate::procedure::model::{Field, FieldKind};
use crate::quantity::Quantity;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    let groups = draft.jobs.iter().flat_map(|job| &job.model.card);
    for field in groups.flat_map(|group| &group.ask) {
        let Some((answer, place)) = &field.example else {
            continue;
        };
        if let Some(expected) = unfit(field, answer) {
            let fault = Diagnostic::new(place.clone(), "example-unfit", quoted(answer), expected);
            report.push(match &field.kind {
                FieldKind::Choice(options) => {
                    let refused = |key: &String| field.refuse.contains_key(key);
                    let keys = options.iter().map(|(key, _)| key.clone());
                    fault.choose(answer, keys.filter(|key| !refused(key)))
                }
                _ => fault,
            });
        }
    }
}

/// What the field takes, where it does not take the answer.
fn unfit(field: &Field, answer: &str) -> Option<String> {
    if field.personal {
        return Some("no example of what is personal, since no step shows it".to_owned());
    }
    if field.refuse.contains_key(answer) {
        return Some("an answer that the job does not refuse".to_owned());
    }
    match &field.kind {
        FieldKind::Text { most } if answer.chars().count() > *most => {
            Some(format!("a text of at most {most} characters"))
        }
        FieldKind::Text { .. } => None,
        FieldKind::Choice(options) => {
            let known = options.iter().any(|(key, _)| key == answer);
            (!known).then(|| "one of the field's choices, by its key".to_owned())
        }
        FieldKind::YesNo => (!["yes", "no"].contains(&answer)).then(|| "yes or no".to_owned()),
        FieldKind::Quantity { unit, from, to } => {
            let found = Quantity::parse(answer, Some(*unit)).ok();
            let inside = found.is_some_and(|found| {
                let same = found.dimension() == unit.dimension();
                same && (from.si()..=to.si()).contains(&found.si())
            });
            (!inside).then(|| format!("a quantity from {from} to {to}"))
        }
    }
}
