//! A reading in the middle of its band.

use crate::calc::Value;
use crate::player::fact::{LimitsShown, ReadingTaken, Verdict};
use crate::player::judge;
use crate::player::state::{State, show_in};
use crate::procedure::{Judged, Reading, ReadingKind, StepRef};
use crate::quantity::{Quantity, Unit};

/// A quantity halfway between two, in this unit, in as few digits as keep it between them.
pub(super) fn of(from: Quantity, to: Quantity, unit: Unit) -> Quantity {
    let end = |quantity: Quantity| quantity.to(unit).unwrap_or(quantity);
    let (from, to) = (end(from), end(to));
    let half = from.value() / 2.0 + to.value() / 2.0;
    let Ok(exact) = Quantity::new(half, unit) else {
        return from;
    };
    let short = (1..=6).filter_map(|digits| Quantity::parse(&exact.shown(digits), Some(unit)).ok());
    // A tenth of the way on either side still counts as the middle.
    let room = (to.si() - from.si()).abs() / 10.0;
    let mut near = short.filter(|short| (short.si() - exact.si()).abs() <= room);
    near.next().unwrap_or(exact)
}

/// The reading as it is taken: a number in the middle of its band as far as it is plausible, or else of what is
/// plausible; the first word that its band allows.
pub(super) fn reading(state: &State, at: &StepRef, reading: &Reading) -> ReadingTaken {
    let limits = match &reading.judged {
        Judged::Band(band) => state.limits(band).ok(),
        Judged::Unjudged(_) => None,
    };
    let value = value(&reading.kind, limits.as_ref());
    let shown = match (&reading.kind, &value) {
        (ReadingKind::Choice(options), Value::Text(key)) => judge::option_label(options, key),
        _ => show_in(&value, state.words()),
    };
    ReadingTaken {
        step: at.clone(),
        name: reading.name.clone(),
        label: state.render(&reading.label),
        typed: shown.clone(),
        shown,
        value,
        instrument: None,
        live: None,
        verdict: limits.as_ref().map_or(Verdict::Unjudged, |_| Verdict::In),
        confirmed: false,
        limits: limits.map(|limits| limits.for_kind(&reading.kind)),
        guard_band: None,
        unjudged: None,
    }
}

fn value(kind: &ReadingKind, limits: Option<&LimitsShown>) -> Value {
    let words = limits
        .and_then(|limits| limits.one_of.as_deref())
        .unwrap_or_default();
    let word = words.first().cloned();
    match kind {
        ReadingKind::Number { unit, from, to } => Value::Quantity(number(*unit, *from, *to, limits)),
        ReadingKind::YesNo => Value::Flag(word.is_none_or(|word| word == "yes")),
        ReadingKind::Choice(options) => {
            let first = || options.first().map(|(key, _)| key.clone());
            Value::Text(word.or_else(first).unwrap_or_default())
        }
        // The hash of no file: an example has no photograph.
        ReadingKind::Photo => Value::Text(format!("{}.jpg", "0".repeat(64))),
        ReadingKind::Text { most } => Value::Text("Example".chars().take(*most).collect()),
    }
}

fn number(unit: Unit, from: Quantity, to: Quantity, limits: Option<&LimitsShown>) -> Quantity {
    let low = limits
        .and_then(|limits| limits.low)
        .filter(|low| low.si() > from.si());
    let high = limits
        .and_then(|limits| limits.high)
        .filter(|high| high.si() < to.si());
    of(low.unwrap_or(from), high.unwrap_or(to), unit)
}
