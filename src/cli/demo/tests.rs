//! The demonstration's script, event by event.

mod language;

use super::script::{self, Act, ScriptLine};
use super::*;
use crate::page::card::TypedCard;
use crate::player::fact::{InstrumentUsed, ReadingTaken, Verdict};
use crate::player::{self, Actor, Play, Prompt, State, Typed};
use crate::procedure::{Reading, StepRef};
use crate::words::Language;
use std::sync::Arc;

fn at() -> chrono::DateTime<chrono::FixedOffset> {
    chrono::DateTime::parse_from_rfc3339("2026-03-02T09:00:00+01:00").expect("a time")
}

fn actor(id: &str) -> Actor {
    let supervisor = id == "tomasz.okafor";
    Actor {
        id: id.to_owned(),
        supervisor,
        worker: id != "tablet-1",
        tablet: id == "tablet-1",
        at: at(),
    }
}

fn opened() -> State {
    opened_in(&Language::english())
}

fn opened_in(language: &Language) -> State {
    let content = Content::shipped();
    let library = content.library().expect("clean content");
    let job = library
        .jobs
        .iter()
        .find(|job| job.id.as_str() == JOB)
        .expect("the job is there")
        .clone();
    let instruments =
        crate::procedure::register(&instruments(at().date_naive())).expect("the register is clean");
    let play = Play::new(job, library.shared.clone(), library.tables.clone(), instruments);
    let authored = Arc::new(play);
    let play = authored.in_language(language);
    let opening = player::fact::Opening {
        number: "2026-0001".into(),
        job: JOB.into(),
        title: play.job.title.clone(),
        revision: play.job.revision,
        practice: false,
        language: language.to_string(),
        program: "test".into(),
        shop: "Alder Quay Motor Works".into(),
        roster_head: String::new(),
        roster_lines: 3,
        content: Vec::new(),
        caution: play.job.caution.clone(),
        approval: None,
        decision: Some(player::fact::DecisionRule::GuardedAcceptance),
    };
    let state = State::new(authored);
    player::advance(&state, &actor("tablet-1"), Event::Open(opening))
        .expect("it opens")
        .0
}

/// The card event as the session makes it, with commitments of no secret.
fn card(state: &State, answers: &BTreeMap<String, String>) -> Event {
    let typed: TypedCard = answers
        .iter()
        .filter_map(|(path, text)| {
            let (group, field) = path.split_once('.')?;
            Some(((group.to_owned(), field.to_owned()), text.clone()))
        })
        .collect();
    let answer = |((group, field), text): ((String, String), String)| {
        let personal = state
            .play()
            .field(&group, &field)
            .is_some_and(|field| field.personal);
        let typed = if personal {
            Typed::Committed("00".repeat(32))
        } else {
            Typed::Open(text)
        };
        (group, field, typed)
    };
    Event::Card(typed.into_iter().map(answer).collect())
}

fn event(state: &State, line: &ScriptLine) -> Option<(Actor, Event)> {
    let event = match &line.act {
        Act::Card { answers } => card(state, answers),
        Act::PowerCut => return Some((actor("tablet-1"), Event::Resume { torn: None })),
        act => act.event(state)?,
    };
    Some((actor(line.by.as_deref().unwrap_or("ines.varga")), event))
}

/// The state after one more line. The tablet closes by itself.
fn follow(state: &State, line: &ScriptLine) -> Result<State, player::Refusal> {
    let Some((actor_of, event)) = event(state, line) else {
        return Ok(state.clone());
    };
    let (next, _) = player::advance(state, &actor_of, event)?;
    if next.prompt() == Prompt::Close {
        return Ok(player::advance(&next, &actor("tablet-1"), Event::Close)?.0);
    }
    Ok(next)
}

fn lines() -> Vec<ScriptLine> {
    script::read(script::SCRIPT).expect("the script can be read")
}

#[test]
fn the_script_closes_the_job_with_a_rework_a_concession_and_a_resume() {
    let mut state = opened();
    for (at, line) in lines().iter().enumerate() {
        state = follow(&state, line).unwrap_or_else(|refusal| panic!("line {}: {line:?}: {refusal}", at + 1));
    }
    assert!(state.closed(), "{}", state.prompt());
    let has = |wanted: fn(&player::Body) -> bool| state.facts().iter().any(|fact| wanted(&fact.body));
    assert!(has(|body| matches!(body, player::Body::Rework { .. })));
    assert!(has(|body| matches!(body, player::Body::Concession { .. })));
    assert!(has(|body| matches!(body, player::Body::Resume { .. })));
    one_reading_was_taken_again_with_a_finer_gauge(&state);
}

/// The readings name the photograph of the demonstration by what the record keeps of it.
#[test]
fn the_photograph_of_the_demonstration_is_the_one_of_its_readings() {
    let kept = crate::photo::kept(JOINTS).expect("a picture");
    let name = format!("{}.jpg", crate::seal::digest(&kept.jpeg));
    let readings = include_str!("../../../tests/demo/readings.json");
    let readings: BTreeMap<String, String> = serde_json::from_str(readings).expect("readings");
    assert_eq!(readings["fuel-hose.photo.joints_photo"], name);
}

/// One reading lay too near to its limit for the gauge, and was decided by another.
fn one_reading_was_taken_again_with_a_finer_gauge(state: &State) {
    let readings: Vec<_> = state
        .facts()
        .iter()
        .filter_map(|fact| match &fact.body {
            player::Body::Read(taken) => Some(taken),
            _ => None,
        })
        .collect();
    let undecided: Vec<_> = readings
        .iter()
        .filter(|taken| taken.verdict == Verdict::Undecided)
        .collect();
    assert_eq!(undecided.len(), 1, "{undecided:?}");
    let after = readings
        .iter()
        .rev()
        .find(|taken| taken.name == undecided[0].name);
    let after = after.expect("the same reading");
    let used = |taken: &ReadingTaken| taken.instrument.clone().expect("a gauge");
    let width = |used: &InstrumentUsed| used.uncertainty.map(|width| width.si());
    let (first, last) = (used(undecided[0]), used(after));
    assert_eq!(after.verdict, Verdict::In);
    assert!(first.id != last.id && width(&first) > width(&last));
}

/// What a line does, whatever was typed: a line that does the same later takes the place of an earlier one.
fn deed(line: &ScriptLine) -> String {
    match &line.act {
        Act::Read { step, reading, .. } => format!("read {step} {reading}"),
        other => format!("{other:?}"),
    }
}

/// The places of the lines that nothing later in the script does again. A first, failing reading is done
/// again after its deviation, and what a rework opened again is done again; a power cut does nothing.
fn required(lines: &[ScriptLine]) -> Vec<usize> {
    let again = |at: usize| {
        lines[at + 1..]
            .iter()
            .any(|later| deed(later) == deed(&lines[at]))
    };
    (0..lines.len())
        .filter(|at| !matches!(lines[*at].act, Act::PowerCut) && !again(*at))
        .collect()
}

#[test]
fn without_any_one_required_event_the_job_does_not_close() {
    let lines = lines();
    let required = required(&lines);
    assert!(
        required.len() > lines.len() * 9 / 10,
        "{} of {}",
        required.len(),
        lines.len()
    );
    let mut before = opened();
    for (at, line) in lines.iter().enumerate() {
        if required.contains(&at) {
            let mut state = before.clone();
            for later in &lines[at + 1..] {
                state = follow(&state, later).unwrap_or(state);
            }
            assert!(!state.closed(), "it closes without line {}: {line:?}", at + 1);
        }
        before = follow(&before, line).expect("the whole script is legal");
    }
    assert!(before.closed());
}

/// Writes the script anew from the card and the readings of the demonstration car; run by hand after a
/// change of the content: `cargo test --release write_the_script -- --ignored`.
#[test]
#[ignore = "writes into the sources"]
#[allow(clippy::disallowed_methods)]
fn write_the_script() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/demo/");
    let read = |name: &str| std::fs::read_to_string(format!("{folder}{name}")).expect("it is there");
    let card: BTreeMap<String, String> = serde_json::from_str(&read("card.json")).expect("answers");
    let readings: BTreeMap<String, String> = serde_json::from_str(&read("readings.json")).expect("readings");
    let first: BTreeMap<String, Vec<String>> =
        serde_json::from_str(&read("deviations.json")).expect("deviations");
    let lines = Writer {
        readings,
        first,
        tries: BTreeMap::new(),
        lines: Vec::new(),
    }
    .write(card);
    let text: String = lines
        .iter()
        .map(|line| serde_json::to_string(line).expect("JSON") + "\n")
        .collect();
    std::fs::write(
        concat!(env!("CARGO_MANIFEST_DIR"), "/src/cli/demo/script.jsonl"),
        text,
    )
    .expect("written");
}

/// Walks the job from prompt to prompt and writes down what a person does.
struct Writer {
    readings: BTreeMap<String, String>,
    /// By reading: the first, failing value; `rework`, `measure-again` or `concede`; the words; and, where it is
    /// not the one of the first time, the instrument that is taken then.
    first: BTreeMap<String, Vec<String>>,
    tries: BTreeMap<String, usize>,
    lines: Vec<ScriptLine>,
}

impl Writer {
    fn write(mut self, answers: BTreeMap<String, String>) -> Vec<ScriptLine> {
        let mut state = opened();
        let mut next = Some(ScriptLine {
            by: Some("ines.varga".into()),
            act: Act::Card { answers },
        });
        let mut cut = false;
        while let Some(line) = next {
            state = follow(&state, &line).unwrap_or_else(|refusal| panic!("{line:?}: {refusal}"));
            self.lines.push(line);
            assert!(self.lines.len() < 3000, "the walk does not end");
            if !cut && state.facts().len() > 200 {
                cut = true;
                next = Some(ScriptLine {
                    by: None,
                    act: Act::PowerCut,
                });
                continue;
            }
            next = self.next(&state);
        }
        assert!(state.closed(), "{}", state.prompt());
        self.lines
    }

    fn next(&mut self, state: &State) -> Option<ScriptLine> {
        let worker = |act| {
            Some(ScriptLine {
                by: Some("ines.varga".into()),
                act,
            })
        };
        let supervisor = |act| {
            Some(ScriptLine {
                by: Some("tomasz.okafor".into()),
                act,
            })
        };
        match state.prompt() {
            Prompt::Before(procedure) => worker(Act::Begin {
                procedure: procedure.to_string(),
            }),
            Prompt::Hazards { step, .. } => worker(Act::Acknowledge {
                step: step.to_string(),
            }),
            Prompt::Step { step, wants } => match wants.first() {
                Some(name) => worker(self.read(state, &step, name)),
                None => worker(Act::Done {
                    step: step.to_string(),
                }),
            },
            Prompt::Deviation(n) => {
                let (act, by_supervisor) = self.decide(state, n);
                if by_supervisor {
                    supervisor(act)
                } else {
                    worker(act)
                }
            }
            Prompt::Witness(step) => supervisor(Act::Witness {
                step: step.to_string(),
                attended: true,
            }),
            Prompt::Hold(step) => supervisor(Act::Release {
                step: step.to_string(),
            }),
            Prompt::CloseOut(procedure) => worker(Act::CloseOut {
                procedure: procedure.to_string(),
            }),
            Prompt::SignOff => worker(Act::SignOff),
            Prompt::JobRelease => supervisor(Act::ReleaseJob),
            Prompt::Closed => None,
            other => panic!("the walk does not know what to do: {other}"),
        }
    }

    fn read(&mut self, state: &State, step: &StepRef, name: &str) -> Act {
        let path = format!("{step}.{name}");
        let tries = self.tries.entry(path.clone()).or_default();
        *tries += 1;
        let again = *tries > 1;
        let first = self.first.get(&path);
        let failing = first.filter(|_| !again).map(|told| told[0].clone());
        let other = first.filter(|_| again).and_then(|told| told.get(3).cloned());
        let typed = failing.or_else(|| self.readings.get(&path).cloned());
        let typed = typed.unwrap_or_else(|| panic!("there is no reading for {path}"));
        let found = state
            .play()
            .step(step)
            .expect("a step")
            .read
            .iter()
            .find(|reading| reading.name == name);
        let with = found.and_then(|reading| other.or_else(|| fine_enough(state, reading)));
        Act::Read {
            step: step.to_string(),
            reading: name.to_owned(),
            typed,
            with,
        }
    }

    fn decide(&self, state: &State, n: u64) -> (Act, bool) {
        let deviation = state.deviations().get(n).expect("a deviation");
        let player::deviation::Concern::Reading(name) = &deviation.concern else {
            panic!("not in the script: {}: {}", deviation.step, deviation.what)
        };
        let path = format!("{}.{name}", deviation.step);
        let Some([_, way, words, ..]) = self.first.get(&path).map(Vec::as_slice) else {
            panic!("not in the script: {path}: {}", deviation.what)
        };
        match way.as_str() {
            "rework" => (Act::Rework { what: words.clone() }, false),
            "measure-again" => (
                Act::MeasureAgain {
                    reason: words.clone(),
                },
                false,
            ),
            _ => (
                Act::Concede {
                    reason: words.clone(),
                },
                true,
            ),
        }
    }
}

/// The first instrument of the register that is fine enough for a reading; none where it takes none.
fn fine_enough(state: &State, reading: &Reading) -> Option<String> {
    let kind = reading.with.as_ref()?;
    let mut register = state.play().instruments.iter();
    let fit = register.find(|instrument| {
        instrument.kind == *kind && player::instrument::why_too_coarse(state, reading, instrument).is_none()
    });
    Some(
        fit.unwrap_or_else(|| panic!("no {kind} will do for {}", reading.name))
            .id
            .clone(),
    )
}
