//! Lies about instruments and the guards inside a band, and the rule that finds each.

use crate::audit_lies::{Lie, count_anew};
use witnessmark::player::fact::{Body, Fact, ReadingTaken, Verdict};
use witnessmark::quantity::Quantity;

fn is_undecided(fact: &Fact) -> bool {
    matches!(&fact.body, Body::Read(taken) if taken.verdict == Verdict::Undecided)
}

fn undecided(facts: &mut [Fact]) -> &mut ReadingTaken {
    let found = facts.iter_mut().find(|fact| is_undecided(fact));
    match &mut found.expect("such a reading").body {
        Body::Read(taken) => taken,
        _ => panic!("a reading"),
    }
}

pub const LIES: &[Lie] = &[
    (
        "an undecided reading called in",
        |facts| undecided(facts).verdict = Verdict::In,
        "verdict-differs",
    ),
    (
        "an undecided reading called in, with its deviation left out",
        |facts| {
            let at = facts.iter().position(is_undecided).expect("such a reading");
            let Body::Read(taken) = &mut facts[at].body else {
                panic!("a reading")
            };
            taken.verdict = Verdict::In;
            let deviation = facts.iter().rev().find_map(|fact| match &fact.body {
                Body::MeasureAgain { deviation, .. } if fact.n > at as u64 => Some(*deviation),
                _ => None,
            });
            let gone = deviation.expect("measured again");
            facts.retain(|fact| !matches!(&fact.body, Body::MeasureAgain { deviation, .. } if *deviation == gone && fact.n > at as u64));
            count_anew(facts);
        },
        "verdict-differs",
    ),
    (
        "an undecided reading without its guard band",
        |facts| undecided(facts).guard_band = None,
        "band-differs",
    ),
    (
        "a narrower guard band",
        |facts| {
            let guard_band = undecided(facts).guard_band.as_mut().expect("a guard band");
            guard_band.high = guard_band
                .high
                .map(|_| Quantity::parse("31.8 psi", None).expect("a quantity"));
        },
        "band-differs",
    ),
    (
        "a finer gauge than the register has",
        |facts| {
            let used = undecided(facts).instrument.as_mut().expect("a gauge");
            used.uncertainty = Quantity::parse("0.1 psi", None).ok();
        },
        "instrument",
    ),
    (
        "a finer gauge, the guard band and the verdict with it",
        |facts| {
            let taken = undecided(facts);
            let width = Quantity::parse("0.1 psi", None).expect("a quantity");
            taken.instrument.as_mut().expect("a gauge").uncertainty = Some(width);
            taken.guard_band.as_mut().expect("a guard band").width = width;
            taken.verdict = Verdict::In;
        },
        "instrument",
    ),
    (
        "another statement of the register",
        |facts| undecided(facts).instrument.as_mut().expect("a gauge").stated = Some("0.1 psi, k = 2".into()),
        "instrument",
    ),
    (
        "a certificate that was not pinned",
        |facts| undecided(facts).instrument.as_mut().expect("a gauge").certificate = Some("0".repeat(64)),
        "instrument",
    ),
    (
        "no guarded acceptance",
        |facts| match &mut facts[0].body {
            Body::Opening(opening) => opening.decision = None,
            _ => panic!("an opening"),
        },
        "instrument",
    ),
];
