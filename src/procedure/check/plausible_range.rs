//! The plausible range of a number: a range of its own dimension, not turned round, that holds every
//! fixed limit of its band.

use super::File;
use super::empty_band::fixed_part;
use crate::content::Spot;
use crate::diagnostic::Report;
use crate::procedure::band::{self, compare};
use crate::procedure::draft::Mark;
use crate::quantity::{Dimension, Quantity};
use std::cmp::Ordering;

pub(super) fn check(file: &File, report: &mut Report) {
    for marked in file.marks {
        match &marked.mark {
            Mark::Plausible { from, to, unit } => range(file, marked.at, (*from, *to), *unit, report),
            Mark::Band {
                band,
                plausible: Some(plausible),
                limits,
            } => {
                let Ok(limit) = band::resolve(&fixed_part(band), &|_| None) else {
                    continue;
                };
                let at = limits.first().map_or(marked.at, |(_, at)| *at);
                for limit in limit.low.iter().chain(&limit.high) {
                    inside(file, at, *limit, *plausible, report);
                }
            }
            _ => {}
        }
    }
}

fn range(file: &File, at: Spot, (from, to): (Quantity, Quantity), unit: Dimension, report: &mut Report) {
    let wrong: Vec<Quantity> = [from, to]
        .into_iter()
        .filter(|end| end.dimension() != unit)
        .collect();
    for end in &wrong {
        let found = format!("{end}, {}", end.dimension().name());
        report.push(
            file.found(at, "unit-mismatch", found, unit.name())
                .help(unit.with_units()),
        );
    }
    if wrong.is_empty() && compare(from, to) != Ordering::Less {
        let found = format!("a range from {from} to {to}");
        report.push(file.found(
            at,
            "plausible-range",
            found,
            "a range from a lower to a higher value",
        ));
    }
}

fn inside(file: &File, at: Spot, limit: Quantity, (from, to): (Quantity, Quantity), report: &mut Report) {
    let comparable = limit.dimension() == from.dimension() && limit.dimension() == to.dimension();
    let outside =
        comparable && (compare(limit, from) == Ordering::Less || compare(limit, to) == Ordering::Greater);
    if outside {
        let found = format!("the limit {limit}");
        let expected = format!("a limit within the plausible range from {from} to {to}");
        report.push(file.found(at, "plausible-range", found, &expected));
    }
}
