//! A band that nothing can lie in. Only what is fixed is compared; the rest is known at the car.

use super::File;
use crate::diagnostic::Report;
use crate::procedure::band::{self, compare};
use crate::procedure::draft::Mark;
use crate::procedure::model::{Band, Operand};
use std::cmp::Ordering;

pub(super) fn check(file: &File, report: &mut Report) {
    for marked in file.marks {
        let Mark::Band { band, limits, .. } = &marked.mark else {
            continue;
        };
        // Limits of different dimensions have their own rule.
        let Ok(resolved) = band::resolve(&fixed_part(band), &|_| None) else {
            continue;
        };
        let at = limits.first().map_or(marked.at, |(_, at)| *at);
        if let (Some(low), Some(high)) = (resolved.low, resolved.high)
            && low.dimension() == high.dimension()
            && compare(low, high) == Ordering::Greater
        {
            let found = format!("at least {low} and at most {high}");
            let fault = file.found(at, "empty-band", found, "a lower limit below the upper one");
            report.push(fault);
        }
        if resolved.one_of.is_some_and(|words| words.is_empty()) {
            let fault = file.found(
                at,
                "empty-band",
                "`equals` outside `one_of`",
                "a word that both allow",
            );
            report.push(fault);
        }
    }
}

/// The band without what refers to the card or to readings.
pub(super) fn fixed_part(band: &Band) -> Band {
    let fixed = |operands: &[Operand]| {
        operands
            .iter()
            .filter(|o| o.reference().is_none())
            .cloned()
            .collect()
    };
    Band {
        at_least: fixed(&band.at_least),
        at_most: fixed(&band.at_most),
        around: band
            .around
            .clone()
            .filter(|(middle, _)| middle.reference().is_none()),
        equals: band.equals.clone().filter(|word| word.reference().is_none()),
        ..band.clone()
    }
}
