//! The law of the player: no sequence of events reaches `closed` with a step unaccounted for, a hold point
//! unreleased, a deviation open, or a release by somebody who did the work. The law is read off the facts alone,
//! without asking the state.

use proptest::prelude::*;
use witnessmark::audit::actor;
use witnessmark::calc::Value;
use witnessmark::people::Roster;
use witnessmark::player::fact::{ReadingTaken, Verdict};
use witnessmark::player::{Body, Event, Fact, Prompt, State, advance, replay};
use witnessmark::procedure::{ProcedureId, StepRef};

use crate::law_account::Account;
use crate::played_job::{self, RUTH, card, step};
use crate::shop::{self, INES, TABLET, TOMASZ};

const PEOPLE: [&str; 4] = [INES, RUTH, TOMASZ, TABLET];
const TYPED: [&str; 11] = [
    "30 psi", "36", "2,1 bar", "3 bar", "2.4 bar", "yes", "no", "quiet", "1e9", "31.7 psi", "28.2 psi",
];
/// A gauge whose uncertainty is its resolution's alone, a fine one, and one too coarse for the trip.
const GAUGES: [&str; 4] = ["pg-3", "pg-3", "pg-5", "pg-9"];
const PROCEDURES: [&str; 3] = ["cut-out", "box", "bottle"];

/// One random choice: who, what, and the numbers that pick its details.
type Roll = (usize, u8, u8, u8);

fn steps(state: &State) -> Vec<StepRef> {
    state.play().steps().map(|(at, ..)| at).collect()
}

/// Mostly what the screen asks for, by mostly the right person; else anything by anybody.
fn event(state: &State, (who, kind, a, b): Roll) -> (&'static str, Event) {
    let steps = steps(state);
    let any_step = steps[usize::from(a) % steps.len()].clone();
    if kind.is_multiple_of(4) {
        return (PEOPLE[who % 4], anything(any_step, a, b));
    }
    let sensible = |right: &'static str| if kind % 16 == 1 { PEOPLE[who % 4] } else { right };
    match state.prompt() {
        Prompt::Open | Prompt::Card => (
            sensible(INES),
            card(["30 psi", "25 psi", "50 psi"][usize::from(a) % 3], yes_or_no(b)),
        ),
        Prompt::Before(procedure) => (sensible(INES), Event::Begin { procedure }),
        Prompt::Hazards { step, .. } => (sensible(INES), Event::Acknowledge { step }),
        Prompt::Step { step, wants } => (sensible(INES), at_step(step, &wants, a, b)),
        Prompt::Deviation(deviation) => decide(deviation, a, b),
        Prompt::Question(step) => (
            sensible(INES),
            Event::Answer {
                step,
                choice: usize::from(a % 3),
            },
        ),
        Prompt::Witness(step) => (
            sensible(TOMASZ),
            Event::Witness {
                step,
                attended: b.is_multiple_of(2),
            },
        ),
        Prompt::Hold(step) if a.is_multiple_of(8) => (
            sensible(TOMASZ),
            Event::SendBack {
                step,
                reason: "Once more, please.".into(),
                reopen: vec![any_step],
            },
        ),
        Prompt::Hold(step) => (sensible(TOMASZ), Event::Release { step }),
        Prompt::CloseOut(procedure) => (sensible(INES), Event::CloseOut { procedure }),
        Prompt::SignOff => (sensible(INES), Event::SignOff),
        Prompt::JobRelease => (sensible(TOMASZ), Event::ReleaseJob),
        Prompt::Close | Prompt::Closed => (sensible(TABLET), Event::Close),
    }
}

fn yes_or_no(b: u8) -> &'static str {
    if b.is_multiple_of(2) { "yes" } else { "no" }
}

fn at_step(step: StepRef, wants: &[String], a: u8, b: u8) -> Event {
    match wants.get(usize::from(a) % wants.len().max(1)) {
        None if a.is_multiple_of(16) => Event::NotAsWritten {
            step,
            what: "It would not go so.".into(),
        },
        None => Event::Done { step },
        Some(name) => {
            let good = match name.as_str() {
                "trip" if b % 5 == 1 => "31.7 psi",
                "trip" => "30 psi",
                "clean" => "yes",
                _ => "3 bar",
            };
            let typed = if b.is_multiple_of(3) {
                TYPED[usize::from(b) % TYPED.len()]
            } else {
                good
            };
            Event::Read {
                step,
                name: name.clone(),
                typed: typed.to_owned(),
                instrument: Some(GAUGES[usize::from(a) % GAUGES.len()].into()),
                live: None,
            }
        }
    }
}

fn decide(deviation: u64, a: u8, b: u8) -> (&'static str, Event) {
    match a % 3 {
        0 => (
            INES,
            Event::MeasureAgain {
                deviation,
                reason: "The hose was loose.".into(),
            },
        ),
        1 => (
            INES,
            Event::Rework {
                deviation,
                what: "Fitted anew.".into(),
            },
        ),
        _ => (
            PEOPLE[usize::from(b) % 3],
            Event::Concede {
                deviation,
                reason: "It is good enough.".into(),
            },
        ),
    }
}

fn anything(step: StepRef, a: u8, b: u8) -> Event {
    let deviation = u64::from(b);
    let procedure = ProcedureId(PROCEDURES[usize::from(b) % 3].into());
    match a % 16 {
        0 => Event::Done { step },
        1 => Event::Release { step },
        2 => Event::Begin { procedure },
        3 => Event::CloseOut { procedure },
        4 => Event::SignOff,
        5 => Event::ReleaseJob,
        6 => Event::Close,
        7 => Event::Concede {
            deviation,
            reason: "It is good enough.".into(),
        },
        8 => Event::Rework {
            deviation,
            what: "Fitted anew.".into(),
        },
        9 => Event::MeasureAgain {
            deviation,
            reason: "Once more.".into(),
        },
        10 => Event::Witness {
            step,
            attended: b.is_multiple_of(2),
        },
        11 => Event::Resume { torn: None },
        12 => card(["30 psi", "31 psi"][usize::from(b) % 2], yes_or_no(b)),
        13 => Event::SendBack {
            step,
            reason: "Once more, please.".into(),
            reopen: Vec::new(),
        },
        14 => Event::Read {
            step,
            name: "trip".into(),
            typed: TYPED[usize::from(b) % TYPED.len()].into(),
            instrument: None,
            live: None,
        },
        _ => Event::Note {
            step: None,
            text: "Tea at ten.".into(),
        },
    }
}

/// Whether a reading in its band keeps its gauge's uncertainty from each limit, and no gauge too coarse judged it.
fn guarded(taken: &ReadingTaken) -> bool {
    let (Some(used), Some(limits), Value::Quantity(value)) = (&taken.instrument, &taken.limits, &taken.value)
    else {
        return true;
    };
    let width = used.uncertainty.expect("an uncertainty").si();
    let room = limits.low.map_or(f64::INFINITY, |low| value.si() - low.si());
    let room = room.min(limits.high.map_or(f64::INFINITY, |high| high.si() - value.si()));
    let expected = match room {
        room if room >= width => Verdict::In,
        room if room >= 0.0 => Verdict::Undecided,
        _ => return matches!(taken.verdict, Verdict::Below | Verdict::Above) && used.id != "pg-9",
    };
    taken.verdict == expected && used.id != "pg-9"
}

fn roster() -> Roster {
    Roster::replay(played_job::roster().bytes.as_slice()).expect("a whole roster")
}

fn play(rolls: &[Roll]) -> State {
    let roster = roster();
    let opened = Event::Open(played_job::opening(false, &roster));
    let at = shop::at("09:00:00");
    let (mut state, _) = advance(
        &State::new(played_job::play()),
        &actor(&roster, TABLET, at),
        opened,
    )
    .expect("it opens");
    for roll in rolls {
        let (who, event) = event(&state, *roll);
        if let Ok((next, facts)) = advance(&state, &actor(&roster, who, at), event) {
            assert_eq!(next.facts().len(), state.facts().len() + facts.len());
            state = next;
        }
    }
    state
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 384, max_shrink_iters: 400, ..ProptestConfig::default() })]

    #[test]
    fn no_events_close_a_job_that_is_not_done(rolls in prop::collection::vec(any::<Roll>(), 40..220)) {
        let state = play(&rolls);
        if state.closed() {
            let faults = Account::of(state.facts().iter()).faults();
            prop_assert!(faults.is_empty(), "{faults:#?}");
        }
        // A guarded act never stands before its hold point was released.
        let mut released = false;
        for fact in state.facts().iter() {
            match &fact.body {
                Body::Release { step: at, .. } if *at == step("cut-out.margin") => released = true,
                Body::Rework { reopens, .. } | Body::SendBack { reopens, .. } if reopens.contains(&step("cut-out.margin")) => {
                    released = false;
                }
                Body::Card(card) if card.reopens.contains(&step("cut-out.margin")) => released = false,
                Body::Done { step: at, .. } if *at == step("bottle.open") => prop_assert!(released),
                _ => {}
            }
        }
        for fact in state.facts().iter() {
            if let Body::Read(taken) = &fact.body {
                prop_assert!(guarded(taken), "{taken:?}");
            }
        }
        // What was said once can be said again from the facts alone.
        let facts = state.facts().iter().map(|fact| fact.as_ref().clone());
        let again = replay(&State::new(played_job::play()), facts).expect("the same facts");
        prop_assert_eq!(again.prompt(), state.prompt());
        prop_assert!(again.deviations().iter().eq(state.deviations().iter()));
    }
}

#[test]
fn random_play_does_close_jobs_and_does_open_deviations() {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let rolls = prop::collection::vec(any::<Roll>(), 220..=220);
    let (mut closed, mut deviations, mut reworks, mut undecided) = (0, 0, 0, 0);
    for _ in 0..64 {
        let rolls = proptest::strategy::ValueTree::current(&rolls.new_tree(&mut runner).expect("rolls"));
        let state = play(&rolls);
        closed += usize::from(state.closed());
        deviations += state.deviations().len();
        let is_undecided = |fact: &&std::sync::Arc<Fact>| matches!(&fact.body, Body::Read(taken) if taken.verdict == Verdict::Undecided);
        undecided += state.facts().iter().filter(is_undecided).count();
        reworks += state
            .facts()
            .iter()
            .filter(|fact| matches!(fact.body, Body::Rework { .. }))
            .count();
    }
    assert!(closed >= 8, "{closed} of 64 closed");
    assert!(
        deviations >= 64 && reworks >= 16 && undecided >= 8,
        "{deviations} deviations, {reworks} reworks, {undecided} undecided readings"
    );
}

#[test]
fn the_account_sees_what_is_missing() {
    let state = played_job::Run::through(false);
    let facts: Vec<_> = state.facts.iter().cloned().map(std::sync::Arc::new).collect();
    assert!(
        Account::of(facts.iter()).faults().is_empty(),
        "{:#?}",
        Account::of(facts.iter()).faults()
    );
    let without = |wanted: fn(&Body) -> bool| {
        let kept: Vec<_> = facts.iter().filter(|fact| !wanted(&fact.body)).cloned().collect();
        Account::of(kept.iter()).faults()
    };
    assert!(!without(|body| matches!(body, Body::Done { .. })).is_empty());
    assert!(!without(|body| matches!(body, Body::Release { .. })).is_empty());
    assert!(!without(|body| matches!(body, Body::Concession { .. })).is_empty());
    assert!(!without(|body| matches!(body, Body::SignOff { .. })).is_empty());
    let again = |body: &Body| matches!(body, Body::Read(taken) if taken.instrument.as_ref().is_some_and(|used| used.id == "pg-5"));
    assert!(without(again).iter().any(|fault| fault.contains("undecided")));
    assert!(!without(|body| matches!(body, Body::JobRelease { .. })).is_empty());
}
