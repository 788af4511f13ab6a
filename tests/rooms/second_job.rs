//! A job of another trade, a second battery in a van, played from its card to its closing: content alone, through
//! the same player and with the demonstration's instruments.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Arc, LazyLock};

use witnessmark::player::deviation::Concern;
use witnessmark::player::fact::{DecisionRule, Opening};
use witnessmark::player::instrument::why_too_coarse;
use witnessmark::player::{Actor, Body, Event, Play, Prompt, Refusal, State, Typed, advance};
use witnessmark::procedure::{self, Judged, Reading, StepRef};

use crate::own_circuit::{job, library};
use crate::shop::{INES, TABLET, TOMASZ};

const JOB: &str = "second-battery";
const REGISTER: &str = include_str!("../../src/cli/demo/instruments.yaml");
/// The relay's ground under paint; it is scraped bare and measured again.
const FAULTY: (&str, &str) = ("charge-relay.ground.relay_ground", "0.6");

type Texts = BTreeMap<String, String>;

fn texts(name: &str) -> Texts {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/second")
        .join(name);
    serde_json::from_slice(&std::fs::read(path).expect("a file of this test")).expect("JSON")
}

fn play() -> Arc<Play> {
    static PLAY: LazyLock<Arc<Play>> = LazyLock::new(|| {
        let mut library = library();
        let register = REGISTER
            .replace("CALIBRATED", "2026-01-02")
            .replace("DUE", "2027-01-02");
        let register = procedure::register(&register).expect("a register");
        let job = job(&mut library, JOB);
        Arc::new(Play::new(job, library.shared, library.tables, register))
    });
    PLAY.clone()
}

fn actor(id: &str) -> Actor {
    Actor {
        id: id.to_owned(),
        supervisor: id == TOMASZ,
        worker: id != TABLET,
        tablet: id == TABLET,
        at: chrono::DateTime::parse_from_rfc3339("2026-03-02T09:00:00+01:00").expect("a time"),
    }
}

fn opened() -> State {
    let play = play();
    let opening = Opening {
        number: "2026-0002".into(),
        job: JOB.into(),
        title: play.job.title.clone(),
        revision: play.job.revision,
        practice: false,
        language: "en".into(),
        program: "test".into(),
        shop: "Alder Quay Motor Works".into(),
        roster_head: String::new(),
        roster_lines: 3,
        content: Vec::new(),
        caution: play.job.caution.clone(),
        approval: None,
        decision: Some(DecisionRule::GuardedAcceptance),
    };
    let state = State::new(play);
    advance(&state, &actor(TABLET), Event::Open(opening))
        .expect("it opens")
        .0
}

/// The card with some answers changed, the owner's own data as commitments.
fn card(state: &State, changes: &[(&str, &str)]) -> Event {
    let mut answers = texts("card.json");
    for (path, text) in changes {
        answers.insert((*path).to_owned(), (*text).to_owned());
    }
    if answers["place.where"] == "outside" {
        answers.remove("place.vent");
    }
    let answers = answers.into_iter().map(|(path, text)| {
        let (group, field) = path.split_once('.').expect("group.field");
        let known = state.play().field(group, field);
        let typed = if known.is_some_and(|field| field.personal) {
            Typed::Committed("00".repeat(32))
        } else {
            Typed::Open(text)
        };
        (group.to_owned(), field.to_owned(), typed)
    });
    Event::Card(answers.collect())
}

fn reading(state: &State, step: &StepRef, name: &str) -> Reading {
    let found = state.play().step(step).expect("a step").read.iter();
    let mut found = found.filter(|reading| reading.name == name);
    found.next().expect("a reading").clone()
}

/// The first instrument that the player takes for a reading; none where it takes none.
fn instrument(state: &State, reading: &Reading) -> Option<String> {
    let kind = reading.with.as_ref()?;
    let mut register = state.play().instruments.iter();
    let fit = register
        .find(|found| found.kind == *kind && why_too_coarse(state, reading, found).is_none())
        .unwrap_or_else(|| panic!("no {kind} will do for {}", reading.name));
    Some(fit.id.clone())
}

/// What is done next, and by whom.
fn next(state: &State, readings: &Texts, failed: &mut bool) -> Option<(&'static str, Event)> {
    Some(match state.prompt() {
        Prompt::Before(procedure) => (INES, Event::Begin { procedure }),
        Prompt::Hazards { step, .. } => (INES, Event::Acknowledge { step }),
        Prompt::Step { step, wants } => match wants.first() {
            Some(name) => (INES, read(state, &step, name, readings, failed)),
            None => (INES, Event::Done { step }),
        },
        Prompt::Deviation(deviation) => (
            INES,
            Event::Rework {
                deviation,
                what: "Paint scraped off under the ring, toothed washer fitted.".into(),
            },
        ),
        Prompt::Hold(step) => (TOMASZ, Event::Release { step }),
        Prompt::CloseOut(procedure) => (INES, Event::CloseOut { procedure }),
        Prompt::SignOff => (INES, Event::SignOff),
        Prompt::JobRelease => (TOMASZ, Event::ReleaseJob),
        Prompt::Close => (TABLET, Event::Close),
        Prompt::Closed => return None,
        other => panic!("nobody is told what to do: {other}"),
    })
}

fn read(state: &State, step: &StepRef, name: &str, readings: &Texts, failed: &mut bool) -> Event {
    let path = format!("{step}.{name}");
    let first = path == FAULTY.0 && !std::mem::replace(failed, *failed || path == FAULTY.0);
    let typed = if first {
        FAULTY.1.to_owned()
    } else {
        let typed = readings.get(&path).cloned();
        typed.unwrap_or_else(|| panic!("there is no reading for {path}"))
    };
    Event::Read {
        step: step.clone(),
        name: name.to_owned(),
        typed,
        instrument: instrument(state, &reading(state, step, name)),
        live: None,
    }
}

fn played(changes: &[(&str, &str)], readings: &Texts) -> State {
    let mut state = opened();
    state = advance(&state, &actor(INES), card(&state, changes))
        .unwrap_or_else(|refusal| panic!("{refusal}"))
        .0;
    let mut failed = false;
    for _ in 0..1000 {
        let Some((who, event)) = next(&state, readings, &mut failed) else {
            return state;
        };
        state = advance(&state, &actor(who), event.clone())
            .unwrap_or_else(|refusal| panic!("{event:?}: {refusal}"))
            .0;
    }
    panic!("the job does not end: {}", state.prompt())
}

fn refused(changes: &[(&str, &str)]) -> Refusal {
    let state = opened();
    advance(&state, &actor(INES), card(&state, changes)).expect_err("this card is refused")
}

/// The holds that were released, by whom, in their order.
fn released(state: &State) -> Vec<(String, String)> {
    let facts = state.facts().iter();
    let releases = facts.filter_map(|fact| match &fact.body {
        Body::Release { step, .. } => Some((step.to_string(), fact.by.clone())),
        _ => None,
    });
    releases.collect()
}

#[test]
fn the_second_battery_is_played_from_its_card_to_its_closing() {
    let state = played(&[], &texts("readings.json"));
    assert!(state.closed());
    let holds = ["van-safe", "charge-relay", "charge-proof", "van-release"];
    let steps = ["ready", "ready", "dead-ready", "ready"];
    let wanted: Vec<_> = std::iter::zip(holds, steps)
        .map(|(procedure, step)| (format!("{procedure}.{step}"), TOMASZ.to_owned()))
        .collect();
    assert_eq!(released(&state), wanted);
    let deviations: Vec<_> = state.deviations().iter().collect();
    assert_eq!(deviations.len(), 1, "{deviations:?}");
    let Concern::Reading(name) = &deviations[0].concern else {
        panic!("{:?}", deviations[0])
    };
    assert_eq!(format!("{}.{name}", deviations[0].step), FAULTY.0);
    assert!(
        deviations[0].what.contains("0.6 Ω is not"),
        "{}",
        deviations[0].what
    );
}

#[test]
fn the_return_through_a_second_cable_under_the_floor_is_played_too() {
    let mut readings = texts("readings.json");
    readings.insert("battery-tray.vent-open.tray_open".into(), "yes".into());
    // Twice the copper and no body: worked out by the circuit's own wires, 5 m of 25 mm² at 20 °C.
    readings.insert("charge-proof.drop-ground.drop_ground".into(), "0.08".into());
    let state = played(&[("cable.return", "wire"), ("place.where", "outside")], &readings);
    assert!(state.closed());
}

#[test]
fn what_this_work_forbids_is_refused_with_its_reason() {
    for (field, answer, reason) in [
        ("aux.kind", "lithium", "needs its own charger"),
        ("van.starter_kind", "lithium", "feed the other"),
        ("van.alternator", "smart", "battery-to-battery charger"),
        ("fuse.ends", "starter", "Each battery needs its own fuse"),
        ("place.vent", "none", "hydrogen"),
        ("place.base", "sheet", "tear through"),
        // Figures and checks, not answers.
        ("aux.kind", "flooded", "Inside the van take glass mat or gel"),
        ("cable.gauge", "6 mm²", "let it overheat"),
        ("relay.engage", "12.9 V", "A full battery rests near"),
        ("relay.rating", "60 A", "the relay is the fuse"),
        ("aux.most_volts", "14.1 V", "It would gas and dry out"),
    ] {
        let said = refused(&[(field, answer)]).to_string();
        assert!(said.contains(reason), "{field}: {answer}: {said}");
    }
}

#[test]
fn every_number_that_is_measured_is_judged() {
    for (at, _, step) in play().steps() {
        for reading in step.read.iter().filter(|reading| reading.with.is_some()) {
            let judged = matches!(reading.judged, Judged::Band(_));
            assert!(judged, "{at}.{}", reading.name);
        }
    }
}
