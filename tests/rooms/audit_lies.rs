//! Lies that a signer could tell in a record, and the rule that finds each.

use crate::played_job::{RUTH, step};
use crate::shop::{INES, TOMASZ};
use witnessmark::player::fact::{Answer, Body, Fact, Verdict};
use witnessmark::quantity::Quantity;
use witnessmark::words::Language;

/// A lie: what to change in the facts, and the rule that finds it.
pub type Lie = (&'static str, fn(&mut Vec<Fact>), &'static str);

fn quantity(text: &str) -> witnessmark::calc::Value {
    witnessmark::calc::Value::Quantity(Quantity::parse(text, None).expect("a quantity"))
}

/// The first fact whose body is of the pattern, changed.
macro_rules! change {
    ($pattern:pat => $change:expr) => {
        |facts| {
            let found = facts.iter_mut().find_map(|fact| match &mut fact.body {
                $pattern => Some($change),
                _ => None,
            });
            found.expect("such a fact");
        }
    };
}

/// Leaves out the facts of the pattern, and counts the others anew.
macro_rules! leave_out {
    ($pattern:pat $(if $guard:expr)?) => {
        |facts| {
            let before = facts.len();
            facts.retain(|fact| !matches!(&fact.body, $pattern $(if $guard)?));
            assert!(facts.len() < before);
            count_anew(facts);
        }
    };
}

/// A skilled liar counts anew, and mends every number that names an entry.
pub fn count_anew(facts: &mut [Fact]) {
    let old: Vec<u64> = facts.iter().map(|fact| fact.n).collect();
    let new = |n: u64| old.iter().position(|old| *old == n).map(|n| n as u64);
    let count = facts.len() as u64;
    for (n, fact) in facts.iter_mut().enumerate() {
        fact.n = n as u64;
        match &mut fact.body {
            Body::MeasureAgain { deviation: named, .. }
            | Body::Rework { deviation: named, .. }
            | Body::Concession { deviation: named, .. } => *named = new(*named).unwrap_or(*named),
            Body::Deviation {
                concerns: Some(named),
                ..
            } => *named = new(*named).unwrap_or(*named),
            Body::Resolved { deviation, by_entry } => {
                *deviation = new(*deviation).unwrap_or(*deviation);
                *by_entry = new(*by_entry).unwrap_or(*by_entry);
            }
            Body::Release { covers, .. } | Body::SignOff { covers, .. } | Body::JobRelease { covers, .. } => {
                *covers = covers.iter().filter_map(|n| new(*n)).collect();
            }
            Body::Closing { entries } => *entries = count,
            _ => {}
        }
    }
}

fn by(facts: &mut [Fact], who: &str, is: fn(&Body) -> bool) {
    let fact = facts.iter_mut().find(|fact| is(&fact.body)).expect("such a fact");
    fact.by = who.to_owned();
}

/// The fact said to have come before another one.
fn insert(facts: &mut Vec<Fact>, before: fn(&Body) -> bool, body: Body) {
    let at = facts
        .iter()
        .position(|fact| before(&fact.body))
        .expect("such a fact");
    let (when, by) = (facts[at].at, INES.to_owned());
    let fact = Fact {
        n: 0,
        at: when,
        by,
        body,
    };
    facts.insert(at, fact);
    // What was covered stands one further now.
    for fact in &mut *facts {
        let further = |n: &mut u64| *n += u64::from(*n >= at as u64);
        match &mut fact.body {
            Body::MeasureAgain { deviation: named, .. }
            | Body::Rework { deviation: named, .. }
            | Body::Concession { deviation: named, .. }
            | Body::Deviation {
                concerns: Some(named),
                ..
            } => further(named),
            Body::Resolved { deviation, by_entry } => [deviation, by_entry].into_iter().for_each(further),
            Body::Release { covers, .. } | Body::SignOff { covers, .. } | Body::JobRelease { covers, .. } => {
                covers.iter_mut().for_each(further);
            }
            Body::Closing { entries } => *entries += 1,
            _ => {}
        }
    }
    (0..).zip(facts).for_each(|(n, fact)| fact.n = n);
}

fn german() -> Language {
    Language::parse("de").expect("a language")
}

/// Lies about the language, which show at every entry with words.
pub const OF_LANGUAGE: &[Lie] = &[
    (
        "a job in English said to have been in German",
        change!(Body::Opening(opening) => opening.language = "de".into()),
        "wording-differs",
    ),
    (
        "a job in a language that nobody knows",
        change!(Body::Opening(opening) => opening.language = "fr".into()),
        "bad-opening",
    ),
    (
        "a switch to German, after which English was shown",
        |facts| {
            let before =
                |body: &Body| matches!(body, Body::Begin { procedure, .. } if procedure.as_str() == "box");
            insert(facts, before, Body::Language { language: german() });
        },
        "wording-differs",
    ),
];

pub const LIES: &[Lie] = &[
    (
        "a step worded in a language that was not shown",
        change!(Body::Done { wording, .. } => {
            wording.command = "Den Druckwächter in den freien Anschluss schrauben.".into();
        }),
        "wording-differs",
    ),
    (
        "a reading made better",
        change!(Body::Read(taken) => taken.value = quantity("31 psi")),
        "value-differs",
    ),
    (
        "what was typed made better",
        change!(Body::Read(taken) => taken.typed = "31".into()),
        "value-differs",
    ),
    (
        "a failing reading called in",
        change!(Body::Read(taken) => taken.verdict = Verdict::In),
        "verdict-differs",
    ),
    (
        "a wider band",
        change!(Body::Read(taken) => {
            let limits = taken.limits.as_mut().expect("a band");
            limits.high = Some(Quantity::parse("40 psi", None).expect("a quantity"));
        }),
        "band-differs",
    ),
    (
        "no band at all",
        change!(Body::Read(taken) => taken.limits = None),
        "band-differs",
    ),
    (
        "another label",
        change!(Body::Read(taken) => taken.label = "Idle pressure".into()),
        "wording-differs",
    ),
    (
        "an instrument that the shop has not",
        change!(Body::Read(taken) => taken.instrument.as_mut().expect("a gauge").id = "pg-4".into()),
        "instrument",
    ),
    (
        "another serial number",
        change!(Body::Read(taken) => taken.instrument.as_mut().expect("a gauge").serial = "AQ-1".into()),
        "instrument",
    ),
    (
        "a reading beyond the gauge",
        change!(Body::Read(taken) => (taken.typed, taken.value) = ("120".into(), quantity("120 psi"))),
        "instrument",
    ),
    (
        "a lapsed calibration",
        change!(Body::Read(taken) => {
            taken.instrument.as_mut().expect("a gauge").due = "2026-03-01".parse().expect("a date");
        }),
        "instrument",
    ),
    (
        "no instrument",
        change!(Body::Read(taken) => taken.instrument = None),
        "instrument",
    ),
    (
        "a figure made better",
        change!(Body::WorkedOut(worked) => worked.outputs[0].1 = quantity("90 kPa")),
        "output-differs",
    ),
    (
        "an input made better",
        change!(Body::WorkedOut(worked) => worked.inputs[0].1 = quantity("5 bar")),
        "output-differs",
    ),
    (
        "another calculator",
        change!(Body::WorkedOut(worked) => worked.calculator = "convert".into()),
        "output-differs",
    ),
    (
        "an unknown revision",
        change!(Body::WorkedOut(worked) => worked.revision = 99),
        "output-differs",
    ),
    (
        "a failing figure called in",
        change!(Body::WorkedOut(worked) => worked.judged.as_mut().expect("a band").2 = Verdict::In),
        "verdict-differs",
    ),
    (
        "a note left out of a figure",
        change!(Body::WorkedOut(worked) => worked.notes.push("Fine.".into())),
        "wording-differs",
    ),
    (
        "a hazard softened",
        change!(Body::Begin { hazards, .. } => hazards[0].happens = "It smells.".into()),
        "wording-differs",
    ),
    (
        "a command changed",
        change!(Body::Done { wording, .. } => wording.command = "Look at it.".into()),
        "wording-differs",
    ),
    (
        "a step out of the plan",
        change!(Body::Plan(plan) => {
            plan[0].steps.remove(0);
        }),
        "plan-differs",
    ),
    (
        "a card answer changed",
        change!(Body::Card(card) => {
            let Answer::Open { value, .. } = &mut card.answers[3].answer else { panic!("an open answer") };
            *value = quantity("25 psi");
        }),
        "value-differs",
    ),
    (
        "a forbidden card",
        change!(Body::Card(card) => {
            let trip = card.answers.iter_mut().find(|answer| answer.field == "trip").expect("a trip");
            let Answer::Open { typed, .. } = &mut trip.answer else { panic!("an open answer") };
            *typed = "80 psi".into();
        }),
        "card-differs",
    ),
    (
        "a figure of the card",
        change!(Body::Card(card) => card.figures[0].outputs[0].1 = quantity("1 bar")),
        "output-differs",
    ),
    (
        "a check of the card",
        change!(Body::Card(card) => card.checks[0].verdict = Verdict::Below),
        "verdict-differs",
    ),
    (
        "a release that covers less",
        change!(Body::Release { covers, .. } => {
            covers.pop();
        }),
        "coverage-differs",
    ),
    (
        "another count at the end",
        change!(Body::Closing { entries } => *entries += 1),
        "coverage-differs",
    ),
    (
        "another statement",
        change!(Body::SignOff { statement, .. } => statement.push('!')),
        "wording-differs",
    ),
    (
        "another title",
        change!(Body::Opening(opening) => opening.title = "Service".into()),
        "bad-opening",
    ),
    (
        "another caution",
        change!(Body::Opening(opening) => opening.caution.clear()),
        "bad-opening",
    ),
    (
        "another roster",
        change!(Body::Opening(opening) => opening.roster_lines = 2),
        "roster-mismatch",
    ),
    (
        "a release by an apprentice",
        |facts| by(facts, RUTH, |body| matches!(body, Body::Release { .. })),
        "wrong-role",
    ),
    (
        "a concession by an apprentice",
        |facts| by(facts, RUTH, |body| matches!(body, Body::Concession { .. })),
        "wrong-role",
    ),
    (
        "a closing by a person",
        |facts| by(facts, TOMASZ, |body| matches!(body, Body::Closing { .. })),
        "wrong-role",
    ),
    (
        "a release by the one who did the work",
        |facts| {
            by(
                facts,
                TOMASZ,
                |body| matches!(body, Body::Done { step, .. } if step.step.as_str() == "fit"),
            )
        },
        "same-person",
    ),
    (
        "a reading by the one who releases it, under another's stripe",
        |facts| {
            by(
                facts,
                TOMASZ,
                |body| matches!(body, Body::Read(taken) if taken.name == "idle"),
            )
        },
        "same-person",
    ),
    (
        "a concession on one's own reading",
        |facts| {
            by(
                facts,
                TOMASZ,
                |body| matches!(body, Body::Read(taken) if taken.name == "clean"),
            )
        },
        "same-person",
    ),
    (
        "a sign-off by the one who releases the job",
        |facts| by(facts, TOMASZ, |body| matches!(body, Body::SignOff { .. })),
        "same-person",
    ),
    (
        "a close-out by the one who releases the job",
        |facts| by(facts, TOMASZ, |body| matches!(body, Body::CloseOut { .. })),
        "same-person",
    ),
    (
        "a deviation in another's name",
        |facts| by(facts, RUTH, |body| matches!(body, Body::Deviation { .. })),
        "wrong-role",
    ),
    (
        "no deviation",
        leave_out!(Body::Deviation { .. }),
        "reading-without-deviation",
    ),
    ("no plan", leave_out!(Body::Plan(_)), "plan-differs"),
    ("no figure", leave_out!(Body::WorkedOut(_)), "output-differs"),
    ("no release", leave_out!(Body::Release { .. }), "unreleased-hold"),
    ("no witness", leave_out!(Body::Witness { .. }), "missing-step"),
    (
        "a step left out",
        leave_out!(Body::Done { step, .. } if step.step.as_str() == "fit"),
        "missing-step",
    ),
    (
        "a reading left out",
        leave_out!(Body::Read(taken) if taken.name == "clean"),
        "missing-step",
    ),
    (
        "a procedure not begun",
        leave_out!(Body::Begin { procedure, .. } if procedure.as_str() == "box"),
        "missing-step",
    ),
    (
        "hazards not acknowledged",
        leave_out!(Body::Acknowledged { .. }),
        "missing-step",
    ),
    ("no close-out", leave_out!(Body::CloseOut { .. }), "missing-step"),
    ("no sign-off", leave_out!(Body::SignOff { .. }), "out-of-order"),
    (
        "no job release",
        leave_out!(Body::JobRelease { .. }),
        "out-of-order",
    ),
    ("no opening", leave_out!(Body::Opening(_)), "bad-opening"),
    (
        "entries behind the closing",
        |facts| {
            let mut more = facts.last().expect("a closing").clone();
            (more.n, more.by) = (more.n + 1, INES.into());
            more.body = Body::Note {
                step: None,
                text: "One more thing.".into(),
            };
            facts.push(more);
        },
        "lines-after-closing",
    ),
    (
        "two steps in the other order",
        |facts| {
            let is = |at: &'static str| move |fact: &Fact| matches!(&fact.body, Body::Done { step: found, .. } if *found == step(at));
            let (a, b) = (
                facts.iter().position(is("cut-out.fit")),
                facts.iter().position(is("bottle.open")),
            );
            facts.swap(a.expect("a step"), b.expect("a step"));
            count_anew(facts);
        },
        "missing-step",
    ),
];
