//! Values that an instrument itself gave: what the player refuses, what the record keeps, and the lies that a
//! verifier finds.

use crate::audit_lies::Lie;
use crate::played_job::{self, Run, card, live, said, step};
use crate::shop::INES;
use witnessmark::calc::Value;
use witnessmark::page::certificate::{self, Seals};
use witnessmark::page::record::{Called, line};
use witnessmark::player::fact::{Body, Fact, Live, ReadingTaken, Verdict};
use witnessmark::player::{Event, State, replay};
use witnessmark::quantity::Quantity;
use witnessmark::record;
use witnessmark::seal::Digest;
use witnessmark::words::{Language, Words};

/// The job at the step where the fine gauge, which answers for itself, may read the trip pressure.
fn at_the_gauge() -> Run {
    let mut run = Run::new(false);
    run.act(INES, card("30 psi", "yes"));
    let procedure = "cut-out".into();
    run.act(INES, Event::Begin { procedure });
    let done = Event::Done {
        step: step("cut-out.fit"),
    };
    run.act(INES, done);
    let known = Event::Acknowledge {
        step: step("cut-out.trip"),
    };
    run.act(INES, known);
    run
}

fn taken(facts: &[Fact]) -> &ReadingTaken {
    let taken = facts.iter().find_map(|fact| match &fact.body {
        Body::Read(taken) if taken.live.is_some() => Some(taken),
        _ => None,
    });
    taken.expect("a live reading")
}

#[test]
fn what_the_gauge_says_is_taken_and_judged_like_a_typed_value() {
    for (typed, reply, verdict) in [
        ("31.7 psi", "+3.17000000E+01", Verdict::In),
        ("31.9 psi", "31.9", Verdict::Undecided),
        ("36 psi", "36", Verdict::Above),
        ("0 psi", "-0.0E+00", Verdict::Below),
    ] {
        let mut run = at_the_gauge();
        run.act(INES, live(typed, &said(reply)));
        let taken = taken(&run.facts);
        assert_eq!((taken.typed.as_str(), taken.shown.as_str()), (typed, typed));
        assert_eq!(taken.live.as_deref(), Some(&said(reply)));
        assert_eq!(taken.verdict, verdict, "{reply}");
        assert_eq!(taken.guard_band.is_some(), taken.instrument.is_some());
        let deviates = run
            .facts
            .iter()
            .any(|fact| matches!(fact.body, Body::Deviation { .. }));
        assert_eq!(deviates, verdict != Verdict::In, "{reply}");
    }
}

fn changed(change: impl FnOnce(&mut Live)) -> Live {
    let mut said = said("+3.17000000E+01");
    change(&mut said);
    said
}

fn refused(typed: &str, said: &Live) -> String {
    at_the_gauge().refused(INES, live(typed, said)).to_string()
}

#[test]
fn a_value_that_the_gauge_did_not_say_is_refused() {
    let true_reply = said("+3.17000000E+01");
    for typed in ["30 psi", "31.70000001 psi", "218.564 kPa", "2.185638063 bar"] {
        let refusal = refused(typed, &true_reply);
        let expected =
            "Trip pressure: the meter replied “+3.17000000E+01”, which is 31.7 psi, not what is claimed";
        assert_eq!(refusal, expected, "{typed}");
    }
    let long = "1".repeat(257);
    for reply in [
        "9.9E37", "9.91E37", "31.7 psi", "31,7", "", " 31.7", "31.7\n", "nan", &long,
    ] {
        let refusal = refused("31.7 psi", &said(reply));
        assert!(refusal.contains("which is no value"), "{reply:?}: {refusal}");
    }
    // What the gauge cannot show, and what cannot be, is refused as if it was typed.
    let refusal = refused("120 psi", &said("120"));
    assert!(refusal.contains("It reads 0 psi to 100 psi"), "{refusal}");
    let refusal = refused("500 psi", &said("500"));
    assert!(refusal.contains("lies between 0 psi and 150 psi"), "{refusal}");
}

#[test]
fn another_meter_or_another_question_is_refused() {
    for (said, expected) in [
        (
            changed(|said| said.identity = "Sample Works,PM-2,AQ-0331,1.02".into()),
            "the meter on its line has the serial number AQ-0331, the register says AQ-0335",
        ),
        (
            changed(|said| said.identity = "PM-2".into()),
            "did not say who it is, but “PM-2”",
        ),
        (
            changed(|said| said.identity = "Sample Wörks,PM-2,AQ-0335,1".into()),
            "did not say who it is",
        ),
        (
            changed(|said| said.identity = format!("{},PM-2,AQ-0335,1", "x".repeat(300))),
            "did not say who it is",
        ),
        (
            changed(|said| said.asked = "MEAS:TEMP?".into()),
            "the register has no question “MEAS:TEMP?” to it",
        ),
    ] {
        let refusal = refused("31.7 psi", &said);
        assert!(
            refusal.starts_with("Fine gauge: ") && refusal.contains(expected),
            "{refusal}"
        );
    }
}

#[test]
fn an_instrument_without_a_line_sends_nothing() {
    let run = at_the_gauge();
    let with = |name: &str, typed: &str, instrument: Option<&str>| Event::Read {
        step: step("cut-out.trip"),
        name: name.into(),
        typed: typed.into(),
        instrument: instrument.map(Into::into),
        live: Some(Box::new(said("+3.17000000E+01"))),
    };
    let refusal = run
        .refused(INES, with("trip", "31.7 psi", Some("pg-3")))
        .to_string();
    assert!(
        refusal.starts_with("Gauge on the pump: the register has no line to it"),
        "{refusal}"
    );
    let refusal = run.refused(INES, with("clean", "yes", None)).to_string();
    assert!(refusal.contains("it is taken with no instrument"), "{refusal}");
}

#[test]
fn the_record_keeps_the_raw_reply_and_reads_nothing_else() {
    let facts = Run::through(false).facts;
    let fact = facts
        .iter()
        .find(|fact| matches!(&fact.body, Body::Read(taken) if taken.live.is_some()));
    let fact = fact.expect("a live reading");
    let text = record::write(fact, Digest::ZERO, played_job::JOB).expect("an entry");
    let kept = r#""live":{"identity":"Sample Works,PM-2,AQ-0335,1.02","asked":"MEAS:PRES?","reply":"+3.17000000E+01"}"#;
    assert!(text.contains(kept), "{text}");
    assert_eq!(&record::read(&text).expect("a fact").1, fact);
    let long = format!(r#""reply":"{}""#, "1".repeat(257));
    for (change, expected) in [
        (r#""reply":"""#, "1 to 256 characters of printable ASCII"),
        (
            r#""reply":"31.7\u0007""#,
            "1 to 256 characters of printable ASCII",
        ),
        (r#""reply":"31.7 °""#, "1 to 256 characters of printable ASCII"),
        (long.as_str(), "1 to 256 characters of printable ASCII"),
        (r#""reply":31.7"#, "a string"),
        (r#""reply":"31.7","more":"1""#, "unknown field `more`"),
        (r#""replied":"31.7""#, "unknown field `replied`"),
    ] {
        let twin = text.replace(r#""reply":"+3.17000000E+01""#, change);
        assert_ne!(twin, text);
        let error = record::read(&twin).expect_err(change).to_string();
        assert!(error.contains(expected), "{change}: {error}");
    }
}

#[test]
fn the_record_page_says_who_read_it() {
    let facts = Run::through(false).facts;
    let lines = |words: &Words| -> Vec<String> {
        let lines = facts
            .iter()
            .map(|fact| line(fact, &Called::default(), words).text);
        lines.filter(|text| text.contains("Sample Works")).collect()
    };
    assert_eq!(
        lines(&Words::english()),
        ["Trip pressure: 31.7 psi (in band), read by the instrument itself: Sample Works,PM-2,AQ-0335,1.02"]
    );
    let german = Words::program(&Language::parse("de").expect("a language"));
    assert_eq!(
        lines(&german),
        [
            "Trip pressure: 31.7 psi (im Sollbereich), vom Messgerät selbst abgelesen: Sample Works,PM-2,AQ-0335,1.02"
        ]
    );
}

#[test]
fn the_certificate_says_it_under_the_instrument() {
    let facts = Run::through(false).facts;
    let state = replay(&State::new(played_job::play()), facts).expect("the same facts");
    let page = certificate::page(&state, Seals::default());
    let steps = page.procedures.iter().flat_map(|procedure| &procedure.steps);
    let with: Vec<&str> = steps
        .flat_map(|step| &step.line.values)
        .map(|value| value.with.as_str())
        .filter(|with| with.contains("itself"))
        .collect();
    let expected = "Fine gauge, ±0.13 psi\nread by the instrument itself: Sample Works,PM-2,AQ-0335,1.02";
    assert_eq!(with, [expected]);
}

/// The live reading among the facts.
fn reading(facts: &mut [Fact]) -> &mut ReadingTaken {
    let found = facts.iter_mut().find_map(|fact| match &mut fact.body {
        Body::Read(taken) if taken.live.is_some() => Some(taken),
        _ => None,
    });
    found.expect("a live reading")
}

fn words_of(facts: &mut [Fact]) -> &mut Live {
    reading(facts).live.as_mut().expect("a live reading")
}

pub const LIES: &[Lie] = &[
    (
        "another value than the meter's reply",
        |facts| {
            let taken = reading(facts);
            taken.value = Value::Quantity(Quantity::parse("31 psi", None).expect("a quantity"));
            (taken.typed, taken.shown) = ("31 psi".into(), "31 psi".into());
        },
        "reply-differs",
    ),
    (
        "another value beside a reply that is repeated",
        |facts| reading(facts).value = Value::Quantity(Quantity::parse("31 psi", None).expect("a quantity")),
        "value-differs",
    ),
    (
        "another reply than the value",
        |facts| words_of(facts).reply = "+3.10000000E+01".into(),
        "reply-differs",
    ),
    (
        "an overload called a value",
        |facts| words_of(facts).reply = "+9.90000000E+37".into(),
        "reply-differs",
    ),
    (
        "the reply of another meter",
        |facts| words_of(facts).identity = "Sample Works,PM-2,AQ-0331,1.02".into(),
        "instrument",
    ),
    (
        "the reply to another question",
        |facts| words_of(facts).asked = "MEAS:TEMP?".into(),
        "instrument",
    ),
    (
        "a typed reading said to have been sent",
        |facts| {
            let taken = facts.iter_mut().find_map(|fact| match &mut fact.body {
                Body::Read(taken) if taken.live.is_none() => Some(taken),
                _ => None,
            });
            let taken = taken.expect("a typed reading");
            taken.live = Some(Box::new(Live {
                identity: "Sample Works,PM-2,AQ-0331,1.02".into(),
                asked: "MEAS:PRES?".into(),
                reply: "36".into(),
            }));
        },
        "instrument",
    ),
    (
        "a raw reply that no meter can have sent",
        |facts| words_of(facts).reply = "31.7\u{7}".into(),
        "malformed-entry",
    ),
];
