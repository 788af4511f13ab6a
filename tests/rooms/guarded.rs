//! Instruments at the car: which are refused with which words, and what an undecided reading allows.

use std::sync::Arc;

use witnessmark::audit::{REGISTER, actor};
use witnessmark::people::Roster;
use witnessmark::player::fact::{Body, DecisionRule, Verdict};
use witnessmark::player::{Event, Fact, Play, Prompt, State, advance};
use witnessmark::procedure;

use crate::played_job::{self, card, content, step};
use crate::shop::{self, INES, TABLET, TOMASZ};

/// The job at its first reading, under a rule, with one line of its content changed.
fn at_the_gauge(rule: Option<DecisionRule>, right: &str, wrong: &str) -> State {
    let mut files = content();
    // A text that is changed has no translation any more.
    files.retain(|path, _| !path.starts_with("lang/"));
    let register = files.remove(REGISTER).expect("a register");
    let text = String::from_utf8(register).expect("text");
    let changed = files.get_mut("procedures/cut-out.yaml").expect("a procedure");
    *changed = String::from_utf8_lossy(changed)
        .replacen(right, wrong, 1)
        .into_bytes();
    let (library, report) = procedure::load(files);
    let mut library = library.unwrap_or_else(|| panic!("{}", report.render()));
    let register = procedure::register(&text).expect("a register");
    let play = Play::new(library.jobs.remove(0), library.shared, library.tables, register);
    let mut opening = played_job::opening(true, &roster());
    (opening.practice, opening.decision) = (false, rule);
    let mut state = State::new(Arc::new(play));
    for (who, event) in [
        (TABLET, Event::Open(opening)),
        (INES, card("30 psi", "yes")),
        (
            INES,
            Event::Begin {
                procedure: "cut-out".into(),
            },
        ),
        (
            INES,
            Event::Done {
                step: step("cut-out.fit"),
            },
        ),
        (
            INES,
            Event::Acknowledge {
                step: step("cut-out.trip"),
            },
        ),
    ] {
        state = act(&state, who, event)
            .unwrap_or_else(|refusal| panic!("{refusal}"))
            .0;
    }
    state
}

fn roster() -> Roster {
    Roster::replay(played_job::roster().bytes.as_slice()).expect("a whole roster")
}

fn act(state: &State, who: &str, event: Event) -> Result<(State, Vec<Fact>), String> {
    let actor = actor(&roster(), who, shop::at("09:00:00"));
    advance(state, &actor, event).map_err(|refusal| refusal.to_string())
}

fn read(typed: &str, instrument: &str) -> Event {
    Event::Read {
        step: step("cut-out.trip"),
        name: "trip".into(),
        typed: typed.into(),
        instrument: Some(instrument.into()),
        live: None,
    }
}

fn verdict(facts: &[Fact]) -> Verdict {
    let taken = facts.iter().find_map(|fact| match &fact.body {
        Body::Read(taken) => Some(taken.verdict),
        _ => None,
    });
    taken.expect("a reading")
}

const GUARDED: Option<DecisionRule> = Some(DecisionRule::GuardedAcceptance);

#[test]
fn an_instrument_too_coarse_for_the_band_is_refused_with_what_would_do() {
    let state = at_the_gauge(GUARDED, "", "");
    let refusal = act(&state, INES, read("30 psi", "pg-9")).expect_err("refused");
    assert_eq!(
        refusal,
        "Dash gauge: ±1.5 psi is too coarse for this band, which needs ±1 psi or less. \
         Take Gauge on the pump (pg-3) or Fine gauge (pg-5)."
    );
    let state = at_the_gauge(GUARDED, "within: 2 psi", "within: 0.1 psi");
    let refusal = act(&state, INES, read("30 psi", "pg-5")).expect_err("refused");
    assert!(
        refusal.ends_with("None in the shop's register will do: have a finer one calibrated and entered."),
        "{refusal}"
    );
    // What judges nothing refuses nothing.
    let unjudged = at_the_gauge(
        GUARDED,
        "band: { around: card.fuel.trip, within: 2 psi, because: The margin was worked out for this trip. }",
        "unjudged: Only noted.",
    );
    let (_, facts) = act(&unjudged, INES, read("30 psi", "pg-9")).expect("taken");
    assert_eq!(verdict(&facts), Verdict::Unjudged);
}

#[test]
fn a_job_from_before_the_rule_goes_on_by_simple_acceptance() {
    let state = at_the_gauge(None, "", "");
    let (_, facts) = act(&state, INES, read("31.7 psi", "pg-9")).expect("taken");
    assert_eq!(verdict(&facts), Verdict::In);
    let Body::Read(taken) = &facts[0].body else {
        panic!("a reading")
    };
    let used = taken.instrument.as_ref().expect("a gauge");
    assert_eq!(
        (&used.uncertainty, &used.stated, &taken.guard_band),
        (&None, &None, &None)
    );
}

#[test]
fn an_undecided_reading_waits_for_a_better_one_a_rework_or_a_concession() {
    let (state, facts) = act(&at_the_gauge(GUARDED, "", ""), INES, read("31.7 psi", "pg-3")).expect("taken");
    assert_eq!(verdict(&facts), Verdict::Undecided);
    let Prompt::Deviation(deviation) = state.prompt() else {
        panic!("{}", state.prompt())
    };
    assert_eq!(
        state.deviations().get(deviation).expect("a deviation").what,
        "Trip pressure: 31.7 psi is too near a limit of its band (28 psi to 32 psi) for Gauge on the pump to tell (±0.58 psi)"
    );
    let reason = "As good as any.".to_owned();
    assert!(
        act(
            &state,
            TOMASZ,
            Event::Concede {
                deviation,
                reason: reason.clone()
            }
        )
        .is_ok()
    );
    assert!(
        act(
            &state,
            INES,
            Event::Rework {
                deviation,
                what: reason.clone()
            }
        )
        .is_ok()
    );
    let (again, _) = act(&state, INES, Event::MeasureAgain { deviation, reason }).expect("measured again");
    let (decided, facts) = act(&again, INES, read("31.7 psi", "pg-5")).expect("taken");
    assert_eq!(verdict(&facts), Verdict::In);
    assert!(matches!(decided.prompt(), Prompt::Step { .. }));
}

#[test]
fn no_supervisor_accepts_an_undecided_reading_where_the_content_forbids_it() {
    let forbidden =
        "because: The margin was worked out for this trip., no_concession: A late cut-out melts pistons.";
    let state = at_the_gauge(
        GUARDED,
        "because: The margin was worked out for this trip.",
        forbidden,
    );
    let (state, _) = act(&state, INES, read("31.7 psi", "pg-3")).expect("taken");
    let Prompt::Deviation(deviation) = state.prompt() else {
        panic!("{}", state.prompt())
    };
    let reason = "As good as any.".to_owned();
    let refusal = act(
        &state,
        TOMASZ,
        Event::Concede {
            deviation,
            reason: reason.clone(),
        },
    )
    .expect_err("refused");
    assert!(refusal.contains("A late cut-out melts pistons."), "{refusal}");
    assert!(act(&state, INES, Event::MeasureAgain { deviation, reason }).is_ok());
}

#[test]
fn a_calibration_lapses_by_the_days_of_the_tablet() {
    let state = at_the_gauge(GUARDED, "", "");
    let roster = roster();
    // The gauge is due on 2026-08-31: half past eleven in the evening here is the next day further east.
    for (at, refused) in [
        ("2026-08-31T23:30:00+02:00", false),
        ("2026-09-01T00:30:00+03:00", true),
        ("2026-08-31T21:30:00Z", false),
    ] {
        let at = chrono::DateTime::parse_from_rfc3339(at).expect("a time");
        let found = advance(&state, &actor(&roster, INES, at), read("30 psi", "pg-3"));
        assert_eq!(found.is_err(), refused, "{at}");
    }
}
