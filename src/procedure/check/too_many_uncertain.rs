//! The corners of what is uncertain double with each figure, so there may be only so many.

use super::File;
use crate::circuit::MOST_CORNER_FIGURES;
use crate::diagnostic::{Diagnostic, Report};
use crate::procedure::circuit::{corner_figures, trial};
use crate::procedure::draft::{Draft, Mark};

const RULE: &str = "too-many-uncertain";
const MOST_GIVEN: usize = 10;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    for circuit in draft.circuits.values() {
        let uncertain = circuit.model.given.iter().filter(|given| given.limits.is_some());
        if let Some(given) = uncertain.clone().nth(MOST_GIVEN) {
            let found = format!("{} uncertain givens", uncertain.count());
            let expected = format!("at most {MOST_GIVEN} with limits in one circuit");
            let fault = Diagnostic::new(given.place.clone(), RULE, found, &expected);
            report.push(fault.help("leave the limits of those out that change least"));
        }
    }
}

/// The same for one question: a given that several parts use may differ between them.
pub(super) fn asked(file: &File, report: &mut Report) {
    for marked in file.marks {
        let Mark::Calls(call) = &marked.mark else {
            continue;
        };
        let Some(circuit) = file.draft.circuits.get(&call.circuit).map(|draft| &draft.model) else {
            continue;
        };
        let Some(Ok(spread)) = trial(circuit) else {
            continue;
        };
        let count = corner_figures(circuit, &spread, call);
        if count > MOST_CORNER_FIGURES {
            let found = format!("{count} uncertain figures in this setting");
            let expected = format!("at most {MOST_CORNER_FIGURES}, what lies in series counted as one");
            let fault = file.found(marked.at, RULE, found, &expected);
            report.push(fault.help("a given that several parts use counts for each of them"));
        }
    }
}
