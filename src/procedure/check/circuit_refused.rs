//! What is fixed in a circuit makes one that can be worked out.

use crate::circuit::Finding;
use crate::diagnostic::{Diagnostic, Report};
use crate::procedure::circuit::{Circuit, Part, is_fixed, trial};
use crate::procedure::draft::Draft;

const RULE: &str = "circuit-refused";

pub(super) fn check(draft: &Draft, report: &mut Report) {
    for circuit in draft.circuits.values().map(|draft| &draft.model) {
        for given in &circuit.given {
            if given.is.reference().is_none()
                && let Err(why) = crate::procedure::circuit::ends_of(given, &|_| None)
            {
                let expected = "a value within its limits";
                report.push(Diagnostic::new(
                    given.place.clone(),
                    RULE,
                    why.to_string(),
                    expected,
                ));
            }
        }
        if let Some(Err(findings)) = trial(circuit) {
            findings
                .iter()
                .for_each(|finding| refused(circuit, finding, report));
        }
    }
}

fn refused(circuit: &Circuit, finding: &Finding, report: &mut Report) {
    let part = match finding {
        // Names that stand twice or are empty have their own rules.
        Finding::SameName { .. } | Finding::EmptyName { .. } => return,
        Finding::OutOfRange { part, .. }
        | Finding::ReleaseAbovePullIn { part, .. }
        | Finding::Wire { part, .. } => {
            let part = circuit.part(part);
            // What a car will say is not known yet, and is looked at then.
            if !part.is_some_and(|part| is_fixed(circuit, part)) {
                return;
            }
            part
        }
        Finding::SameEnds { part, .. } => circuit.part(part),
        _ => None,
    };
    let place = part.map_or(&circuit.place, |part: &Part| &part.place);
    let expected = "a circuit that can be worked out";
    report.push(Diagnostic::new(
        place.clone(),
        RULE,
        finding.to_string(),
        expected,
    ));
}
