//! The demonstration's job, act by act from its script; where it stands is told by the record alone.

use std::path::Path;

use serde_json::Value;
use witnessmark::player::{Body, Event, Prompt, State};
use witnessmark::procedure::{ProcedureId, StepRef};
use witnessmark::seal::SigningKey;
use witnessmark::session::{Content, Session, SessionError};

use crate::worker::{INES, TOMASZ};

pub const JOB: &str = "wet-nitrous";

/// The content inside the program, and the demonstration's register with calibrations that do not lapse.
pub fn content() -> (Content, String) {
    let register = source("instruments.yaml").replace("CALIBRATED", "2026-01-01");
    (Content::shipped(), register.replace("DUE", "2999-08-31"))
}

fn source(name: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/cli/demo");
    std::fs::read_to_string(folder.join(name)).expect("a file of the demonstration")
}

/// Its lines without those about the tablet's power, which the harness cuts itself.
pub fn script() -> Vec<Value> {
    let script = source("script.jsonl");
    let lines = script.lines().filter(|line| !line.trim().is_empty());
    let lines = lines.map(|line| serde_json::from_str(line).expect("JSON"));
    lines.filter(|line: &Value| line["do"] != "power-cut").collect()
}

/// How many acts the record holds: each left one entry that follows from no other.
fn acts(state: &State) -> usize {
    let of_people = state.facts().iter().filter(|fact| {
        !matches!(
            fact.body,
            Body::Opening(_)
                | Body::Plan(_)
                | Body::WorkedOut(_)
                | Body::Deviation { .. }
                | Body::Resolved { .. }
                | Body::Resume { .. }
                | Body::Closing { .. }
        )
    });
    of_people.count()
}

/// Does what the script has next.
pub fn next(session: &mut Session, script: &[Value], keys: &[SigningKey; 2]) -> Result<(), SessionError> {
    let state = session.job().expect("a job").state();
    let line = &script[acts(state)];
    let Some(act) = line["do"].as_object().and_then(|act| act.iter().next()) else {
        let event = match line["do"].as_str() {
            Some("sign-off") => Event::SignOff,
            _ => Event::ReleaseJob,
        };
        return by(session, line, keys, event);
    };
    if act.0 == "card" {
        for (path, text) in act.1["answers"].as_object().expect("answers") {
            let (group, field) = path.split_once('.').expect("group.field");
            session.type_answer(group, field, text.as_str().expect("text"))?;
        }
        return session.accept_card();
    }
    let event = event(act.0, act.1, state);
    if matches!(&event, Event::Read { typed, .. } if typed.ends_with(".jpg")) {
        session.attach(include_bytes!("../../src/cli/demo/joints.jpg"))?;
    }
    by(session, line, keys, event)
}

fn by(session: &mut Session, line: &Value, keys: &[SigningKey; 2], event: Event) -> Result<(), SessionError> {
    match line["by"].as_str().filter(|by| *by != INES) {
        None => session.act(event),
        Some(_) => session.act_with(TOMASZ, &keys[1], event),
    }
}

fn event(act: &str, with: &Value, state: &State) -> Event {
    let text = |key: &str| with[key].as_str().expect("text").to_owned();
    let (procedure, step) = (|| ProcedureId(text("procedure")), || step(&text("step")));
    let deviation = match state.prompt() {
        Prompt::Deviation(n) => n,
        _ => u64::MAX,
    };
    match act {
        "begin" => Event::Begin {
            procedure: procedure(),
        },
        "close-out" => Event::CloseOut {
            procedure: procedure(),
        },
        "acknowledge" => Event::Acknowledge { step: step() },
        "done" => Event::Done { step: step() },
        "release" => Event::Release { step: step() },
        "witness" => Event::Witness {
            step: step(),
            attended: with["attended"] == true,
        },
        "measure-again" => Event::MeasureAgain {
            deviation,
            reason: text("reason"),
        },
        "rework" => Event::Rework {
            deviation,
            what: text("what"),
        },
        "concede" => Event::Concede {
            deviation,
            reason: text("reason"),
        },
        "read" => Event::Read {
            step: step(),
            name: text("reading"),
            typed: text("typed"),
            instrument: with["with"].as_str().map(str::to_owned),
            live: None,
        },
        other => panic!("{other} is no act of the script"),
    }
}

fn step(text: &str) -> StepRef {
    let (procedure, step) = text.split_once('.').expect("procedure.step");
    StepRef {
        procedure: procedure.into(),
        step: step.into(),
    }
}
