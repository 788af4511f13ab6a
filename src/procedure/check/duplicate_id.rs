//! An id names one thing among its kind: steps and readings of a procedure, fields, checks and
//! procedures of a job.

use super::File;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;
use std::collections::HashMap;

pub(super) fn check(file: &File, report: &mut Report) {
    let mut seen = HashMap::new();
    for marked in file.marks {
        let Mark::Named { kind, name } = &marked.mark else {
            continue;
        };
        if let Some(first) = seen.get(&(kind, name)) {
            let found = format!("{kind} {} for the second time", quoted(name));
            let fault = file.found(marked.at, "duplicate-id", found, "each id once");
            report.push(fault.help(format!("the first one stands in line {first}")));
        } else {
            seen.insert((kind, name), marked.at.line);
        }
    }
}
