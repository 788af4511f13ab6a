//! A condition holds on some card; what stands under one that never holds is never seen.

use super::answers::{self, Cards, Holds};
use super::scope::Scope;
use crate::diagnostic::{Diagnostic, Place, Report};
use crate::procedure::draft::{Mark, Site};
use std::collections::BTreeMap;

pub(super) fn check(scopes: &[Scope], report: &mut Report) {
    for (place, (site, holds)) in everywhere(scopes, Cards::Accepted) {
        if holds == [Holds::Never] {
            let found = format!("a condition under which {} never comes", said(site));
            let expected = "a condition that holds on some card that the job accepts";
            let fault = Diagnostic::new(place, "condition-never", found, expected);
            report.push(fault.help(
                "it is held against the condition of its procedure, and against the answers that the card refuses",
            ));
        }
    }
}

/// What is known of each condition, gathered over every job and every place that comes to it.
pub(super) fn everywhere(scopes: &[Scope], cards: Cards) -> BTreeMap<Place, (Site, Vec<Holds>)> {
    let mut found: BTreeMap<Place, (Site, Vec<Holds>)> = BTreeMap::new();
    for scope in scopes {
        for met in scope.marks() {
            let Mark::When(condition) = &met.marked.mark else {
                continue;
            };
            // What cannot be told is as good as both, and a part that one job never meets is another's.
            let holds = answers::of(scope, &met, condition, cards).unwrap_or(Holds::Sometimes);
            let place = met.marked.at.within(met.path);
            let (_, all) = found.entry(place).or_insert((met.marked.site, Vec::new()));
            if !all.contains(&holds) {
                all.push(holds);
            }
        }
    }
    found
}

/// The part that a condition belongs to, in words.
pub(super) fn said(site: Site) -> &'static str {
    match site {
        Site::Step(_) => "the step",
        Site::Order(_) => "the procedure",
        Site::Field(_) => "the card field",
        Site::Figure(_) => "the figure",
        Site::Check(_) => "the check",
        Site::Given(_) => "the given",
        _ => "the part",
    }
}
