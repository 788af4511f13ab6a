//! A condition that holds on every card says something that is not so: that there is another case.

use super::answers::{Cards, Holds};
use super::condition_never::{everywhere, said};
use super::scope::Scope;
use crate::diagnostic::{Diagnostic, Report};

pub(super) fn check(scopes: &[Scope], report: &mut Report) {
    for (place, (site, holds)) in everywhere(scopes, Cards::Any) {
        if holds == [Holds::Always] {
            let found = format!("a condition under which {} always comes", said(site));
            let expected = "no condition, or one that fails on some card";
            let fault = Diagnostic::new(place, "condition-always", found, expected);
            report.push(fault.help(
                "it is held against the condition of its procedure; what the card refuses counts as an answer",
            ));
        }
    }
}
