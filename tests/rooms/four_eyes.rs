//! Nobody judges their own work: each way to come by a second pair of eyes that are the first ones.
//!
//! The job of `tests/vectors/content/cut-out` is played to its end, with its content edited and single acts given
//! to other people. The case says which act must then be refused, or that none is.

use std::collections::BTreeMap;
use std::sync::Arc;

use witnessmark::people::Roster;
use witnessmark::player::{Actor, Event, Play, Prompt, Refusal, State, advance};
use witnessmark::procedure::StepRef;

use crate::played_job::{self, RUTH, card};
use crate::shop::{self, INES, TABLET, TOMASZ};

/// A second supervisor, who works as well.
const OLENA: &str = "olena.marsh";

/// What differs from the job as it is usually played.
#[derive(Default)]
struct Case {
    name: &'static str,
    /// File, what stands there, and what stands there instead.
    edits: &'static [(&'static str, &'static str, &'static str)],
    /// Acts by somebody else than Ines, or Tomasz for what takes a supervisor. `#1` is the first such act alone.
    by: &'static [(&'static str, &'static str)],
    /// Readings by name. `#1` is the first one alone.
    typed: &'static [(&'static str, &'static str)],
    /// Deviations are reworked; otherwise they are conceded.
    rework: bool,
    /// The act that is refused because it is by the same person.
    refused: Option<&'static str>,
}

const CASES: &[Case] = &[
    Case {
        name: "each to their own",
        edits: &[],
        by: &[],
        typed: &[],
        rework: false,
        refused: None,
    },
    Case {
        name: "the reading by the releaser, the stripe by another",
        edits: &[],
        by: &[("read cut-out.trip.trip", TOMASZ)],
        typed: &[],
        rework: false,
        refused: Some("release cut-out.margin"),
    },
    Case {
        name: "the stripe by the releaser, the reading by another",
        edits: &[],
        by: &[("done cut-out.trip", TOMASZ)],
        typed: &[],
        rework: false,
        refused: Some("release cut-out.margin"),
    },
    Case {
        name: "hazards acknowledged by the releaser",
        edits: &[],
        by: &[("acknowledge cut-out.trip", TOMASZ)],
        typed: &[],
        rework: false,
        refused: Some("release cut-out.margin"),
    },
    Case {
        name: "a hold point that covers a step of another procedure",
        edits: &[(
            "procedures/box.yaml",
            "witness: { by: supervisor, covers: [close]",
            "hold: { by: supervisor, covers: [cut-out.fit]",
        )],
        by: &[("done cut-out.fit", OLENA), ("release box.close", OLENA)],
        typed: &[],
        rework: false,
        refused: Some("release box.close"),
    },
    Case {
        name: "a hold point that does not name its own step",
        edits: &[(
            "procedures/cut-out.yaml",
            "covers: everything-so-far",
            "covers: [fit]",
        )],
        by: &[("done cut-out.margin", TOMASZ)],
        typed: &[],
        rework: false,
        refused: Some("release cut-out.margin"),
    },
    Case {
        name: "a witness of the own work at another procedure's step",
        edits: &[(
            "procedures/box.yaml",
            "covers: [close]",
            "covers: [cut-out.fit, close]",
        )],
        by: &[("done cut-out.fit", OLENA), ("witness box.close", OLENA)],
        typed: &[],
        rework: false,
        refused: Some("witness box.close"),
    },
    Case {
        name: "a releaser who did the step before it was reworked",
        edits: &[],
        by: &[("done cut-out.fit#1", TOMASZ), ("rework cut-out.trip", RUTH)],
        typed: &[("trip#1", "36 psi")],
        rework: true,
        refused: Some("release cut-out.margin"),
    },
    Case {
        name: "a releaser whose reading was replaced by the rework",
        edits: &[],
        by: &[("read cut-out.trip.trip#1", TOMASZ)],
        typed: &[("trip#1", "36 psi")],
        rework: true,
        refused: Some("release cut-out.margin"),
    },
    Case {
        name: "a releaser who decided on the rework",
        edits: &[],
        by: &[("rework cut-out.trip", TOMASZ)],
        typed: &[("trip#1", "36 psi")],
        rework: true,
        refused: Some("release cut-out.margin"),
    },
    Case {
        name: "a concession on the own reading",
        edits: &[],
        by: &[
            ("read cut-out.trip.clean", OLENA),
            ("concede cut-out.trip", OLENA),
        ],
        typed: &[("clean", "no")],
        rework: false,
        refused: Some("concede cut-out.trip"),
    },
    Case {
        name: "a concession on a figure that rests on the own reading at an earlier step",
        edits: &[],
        by: &[
            ("read cut-out.trip.trip", OLENA),
            ("concede cut-out.margin", OLENA),
        ],
        typed: &[("idle", "2.4 bar")],
        rework: false,
        refused: Some("concede cut-out.margin"),
    },
    Case {
        name: "the same concession by a supervisor who measured nothing",
        edits: &[],
        by: &[("read cut-out.trip.trip", OLENA), ("release job", RUTH)],
        typed: &[("idle", "2.4 bar")],
        rework: false,
        refused: None,
    },
    Case {
        name: "a job's release by one who did a step behind every hold point",
        edits: &[],
        by: &[("done bottle.open", TOMASZ)],
        typed: &[],
        rework: false,
        refused: Some("release job"),
    },
    Case {
        name: "a sign-off by one who did nothing, to release it then",
        edits: &[],
        by: &[("sign off", TOMASZ)],
        typed: &[],
        rework: false,
        refused: Some("sign off"),
    },
    Case {
        name: "a job's release by the one who affirmed what closes a procedure",
        edits: &[],
        by: &[("close out bottle", TOMASZ)],
        typed: &[],
        rework: false,
        refused: Some("release job"),
    },
    Case {
        name: "a job's release by the one who affirmed what stands before a procedure",
        edits: &[],
        by: &[("begin bottle", TOMASZ)],
        typed: &[],
        rework: false,
        refused: Some("release job"),
    },
    Case {
        name: "two supervisors who work for each other",
        edits: &[],
        by: &[
            ("done cut-out.fit", OLENA),
            ("done bottle.open", OLENA),
            ("sign off", OLENA),
        ],
        typed: &[],
        rework: false,
        refused: None,
    },
];

/// A job that is played by a case.
struct Playing<'a> {
    case: &'a Case,
    state: State,
    seen: BTreeMap<String, u32>,
}

impl Playing<'_> {
    fn new(case: &Case) -> Playing<'_> {
        let mut files = played_job::content();
        for (file, from, to) in case.edits {
            let text = String::from_utf8(files[*file].clone()).expect("text");
            assert!(text.contains(from), "{}: {file} has no {from}", case.name);
            files.insert((*file).to_owned(), text.replace(from, to).into_bytes());
        }
        let play: Arc<Play> = Arc::new(played_job::play_of(files));
        let roster = Roster::replay(played_job::roster().bytes.as_slice()).expect("a roster");
        let opening = Event::Open(played_job::opening(false, &roster));
        let (state, _) = advance(&State::new(play), &actor(TABLET), opening).expect("it opens");
        let seen = BTreeMap::new();
        Playing { case, state, seen }
    }

    /// What the case says of this, be it the first time or any.
    fn said(&mut self, key: &str, of: &[(&str, &'static str)]) -> Option<&'static str> {
        let count = self.seen.entry(key.to_owned()).or_default();
        *count += 1;
        let first = format!("{key}#1");
        let fits = |name: &str| name == key || (*count == 1 && name == first);
        of.iter().find(|(name, _)| fits(name)).map(|(_, said)| *said)
    }

    /// Plays to the end, or to the first refusal, whose act and reason it gives.
    fn play(mut self) -> Option<(String, Refusal)> {
        for _ in 0..200 {
            if self.state.closed() {
                return None;
            }
            let (act, usual, event) = self.next();
            let who = self.said(&act, self.case.by).unwrap_or(usual);
            match advance(&self.state, &actor(who), event) {
                Ok((state, _)) => self.state = state,
                Err(refusal) => return Some((act, refusal)),
            }
        }
        panic!("{}: no end, now {}", self.case.name, self.state.prompt());
    }

    fn next(&mut self) -> (String, &'static str, Event) {
        match self.state.prompt() {
            Prompt::Card => ("card".into(), INES, card("30 psi", "yes")),
            Prompt::Before(procedure) => (format!("begin {procedure}"), INES, Event::Begin { procedure }),
            Prompt::Hazards { step, .. } => {
                (format!("acknowledge {step}"), INES, Event::Acknowledge { step })
            }
            Prompt::Step { step, wants } => self.at_step(step, wants.first()),
            Prompt::Deviation(deviation) => self.decide(deviation),
            Prompt::Witness(step) => (
                format!("witness {step}"),
                TOMASZ,
                Event::Witness { step, attended: true },
            ),
            Prompt::Hold(step) => (format!("release {step}"), TOMASZ, Event::Release { step }),
            Prompt::CloseOut(procedure) => (
                format!("close out {procedure}"),
                INES,
                Event::CloseOut { procedure },
            ),
            Prompt::SignOff => ("sign off".into(), INES, Event::SignOff),
            Prompt::JobRelease => ("release job".into(), TOMASZ, Event::ReleaseJob),
            Prompt::Close => ("close".into(), TABLET, Event::Close),
            other => panic!("{}: {other}", self.case.name),
        }
    }

    fn at_step(&mut self, step: StepRef, wanted: Option<&String>) -> (String, &'static str, Event) {
        let Some(name) = wanted else {
            return (format!("done {step}"), INES, Event::Done { step });
        };
        let usual = match name.as_str() {
            "trip" => "30 psi",
            "idle" => "3 bar",
            "clean" => "yes",
            _ => "Nothing.",
        };
        let typed = self.said(name, self.case.typed).unwrap_or(usual).to_owned();
        let instrument = matches!(name.as_str(), "trip" | "idle").then(|| "pg-3".to_owned());
        let act = format!("read {step}.{name}");
        let name = name.clone();
        let event = Event::Read {
            step,
            name,
            typed,
            instrument,
            live: None,
        };
        (act, INES, event)
    }

    fn decide(&self, deviation: u64) -> (String, &'static str, Event) {
        let step = &self.state.deviations().get(deviation).expect("a deviation").step;
        if self.case.rework {
            let what = "Fitted anew.".to_owned();
            return (format!("rework {step}"), INES, Event::Rework { deviation, what });
        }
        let reason = "It is good enough.".to_owned();
        (
            format!("concede {step}"),
            TOMASZ,
            Event::Concede { deviation, reason },
        )
    }
}

fn actor(who: &str) -> Actor {
    Actor {
        id: who.to_owned(),
        // Ruth is a supervisor here, so that there is one more who did nothing.
        supervisor: [TOMASZ, OLENA, RUTH].contains(&who),
        worker: who != TABLET,
        tablet: who == TABLET,
        at: shop::at("09:00:00"),
    }
}

#[test]
fn nobody_judges_their_own_work() {
    let mut wrong = Vec::new();
    for case in CASES {
        match (Playing::new(case).play(), case.refused) {
            (None, None) => {}
            (Some((act, Refusal::SamePerson { .. } | Refusal::NotYours { .. })), Some(expected))
                if act == expected => {}
            (found, expected) => wrong.push(format!("{}: expected {expected:?}, found {found:?}", case.name)),
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
