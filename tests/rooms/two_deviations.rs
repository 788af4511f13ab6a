//! Two deviations of one step about the same matter: what ends the one ends the other, at once and in every record.

use crate::played_job::{self, Run, card, step};
use crate::shop::{self, INES, TABLET, TOMASZ};
use std::sync::Arc;
use witnessmark::audit::{self, Finding};
use witnessmark::page::{record, sign};
use witnessmark::people::Roster;
use witnessmark::player::deviation::{Concern, Course};
use witnessmark::player::fact::{Body, Fact};
use witnessmark::player::{Event, Play, Prompt, State, advance, owed, replay};
use witnessmark::procedure::ProcedureId;
use witnessmark::record::PROGRAM;

/// The first procedure of the played job, begun.
fn begun() -> Run {
    let mut run = Run::new(false);
    let procedure = ProcedureId::from("cut-out");
    run.act(INES, card("30 psi", "yes"))
        .act(INES, Event::Begin { procedure });
    run
}

fn state(run: &Run) -> State {
    let start = State::new(played_job::play());
    replay(&start, run.facts.iter().cloned()).expect("facts in their order")
}

/// How far each deviation has come.
fn courses(run: &Run) -> Vec<Course> {
    state(run)
        .deviations()
        .iter()
        .map(|deviation| deviation.course)
        .collect()
}

fn roster() -> Roster {
    Roster::replay(played_job::roster().bytes.as_slice()).expect("a whole roster")
}

/// What the verifier finds, which takes each decision again.
fn found(play: Arc<Play>, facts: &[Arc<Fact>]) -> Vec<Finding> {
    let roster = roster();
    audit::meaning::check(play, facts, &|id, at| audit::actor(&roster, id, at), PROGRAM)
}

fn expect_whole(run: &Run) {
    let facts: Vec<Arc<Fact>> = run.facts.iter().cloned().map(Arc::new).collect();
    assert_eq!(found(played_job::play(), &facts), []);
}

/// The number of the last deviation.
fn last(run: &Run) -> u64 {
    let found = run.facts.iter().rev();
    let mut found = found.filter(|fact| matches!(fact.body, Body::Deviation { .. }));
    found.next().expect("a deviation").n
}

fn not_as_written(run: &mut Run, what: &str) -> u64 {
    let (step, what) = (step("cut-out.fit"), what.to_owned());
    last(run.act(INES, Event::NotAsWritten { step, what }))
}

fn rework(run: &mut Run, deviation: u64) {
    let what = "Cut the thread again.".to_owned();
    run.act(INES, Event::Rework { deviation, what });
}

fn done(run: &mut Run, at: &str) {
    run.act(INES, Event::Done { step: step(at) });
}

/// Reworked twice, since the first rework was not as written either.
fn reworked_twice() -> Run {
    let mut run = begun();
    let first = not_as_written(&mut run, "The thread is crossed.");
    rework(&mut run, first);
    let second = not_as_written(&mut run, "The new thread is too short.");
    rework(&mut run, second);
    run
}

#[test]
fn marking_the_step_ends_all_that_was_not_as_written() {
    let mut run = reworked_twice();
    done(&mut run, "cut-out.fit");
    let by_entry = run.facts.iter().rev();
    let by_entry = by_entry.filter(|fact| matches!(fact.body, Body::Done { .. }));
    let by_entry = by_entry.map(|fact| fact.n).next().expect("a marked step");
    assert_eq!(courses(&run), [Course::Resolved(by_entry); 2]);
    assert!(owed(&state(&run)).is_empty());
    // The next step is due, and no restart has to make up for anything.
    let at = step("cut-out.trip");
    run.act(INES, Event::Acknowledge { step: at });
    expect_whole(&run);
}

/// Where the power fails between the two, and so in every record from before both were ended at once.
#[test]
fn a_restart_makes_up_for_the_second() {
    let mut run = reworked_twice();
    done(&mut run, "cut-out.fit");
    let cut = run.facts.len() - 1;
    run.cut(cut).act(TABLET, Event::Resume { torn: None });
    assert!(
        courses(&run)
            .iter()
            .all(|course| matches!(course, Course::Resolved(_)))
    );
    expect_whole(&run);
}

/// The played job with a band for the pressure at idle, whose step also has a figure that fails.
fn banded() -> Arc<Play> {
    let mut content = played_job::content();
    let file = content.get_mut("procedures/cut-out.yaml").expect("the procedure");
    let text = String::from_utf8(file.clone()).expect("text");
    let banded = text.replacen(
        "unjudged: The margin below judges it.",
        "band: { at_least: 2.8 bar, because: The pump is weak below it. }",
        1,
    );
    assert_ne!(text, banded);
    *file = banded.into_bytes();
    Arc::new(played_job::play_of(content))
}

/// The step of that pressure, which was accepted outside its band, measured again for the figure's sake, found outside
/// it again, and reworked.
struct Idle {
    state: State,
    facts: Vec<Arc<Fact>>,
    accepted: u64,
    figure: u64,
    failed: u64,
}

fn is_reading(concern: &Concern) -> bool {
    matches!(concern, Concern::Reading(_))
}

impl Idle {
    fn reworked() -> Idle {
        let begun = begun();
        let state = State::new(banded());
        let state = replay(&state, begun.facts.iter().cloned()).expect("facts in their order");
        let facts = begun.facts.into_iter().map(Arc::new).collect();
        let mut idle = Idle {
            state,
            facts,
            accepted: 0,
            figure: 0,
            failed: 0,
        };
        idle.done("cut-out.fit");
        idle.act(
            INES,
            Event::Acknowledge {
                step: step("cut-out.trip"),
            },
        );
        idle.read("cut-out.trip", "trip", "31.7", Some("pg-5"));
        idle.read("cut-out.trip", "clean", "yes", None);
        idle.done("cut-out.trip");
        idle.failing();
        let figure = |concern: &Concern| matches!(concern, Concern::WorkOut(_));
        (idle.accepted, idle.figure) = (idle.open(is_reading), idle.open(figure));
        idle.concede(idle.accepted);
        idle.again(idle.figure);
        idle.failing();
        idle.failed = idle.open(is_reading);
        assert!(idle.accepted < idle.failed);
        let what = "Cleaned the filter.".to_owned();
        idle.act(
            INES,
            Event::Rework {
                deviation: idle.failed,
                what,
            },
        );
        assert_eq!(idle.courses(), [Course::Reworking; 3]);
        idle
    }

    fn act(&mut self, who: &str, event: Event) {
        let actor = audit::actor(&roster(), who, shop::at("11:00:00"));
        let (state, facts) = advance(&self.state, &actor, event.clone())
            .unwrap_or_else(|refusal| panic!("{event:?}: {refusal}"));
        self.state = state;
        self.facts.extend(facts.into_iter().map(Arc::new));
    }

    fn done(&mut self, at: &str) {
        self.act(INES, Event::Done { step: step(at) });
    }

    fn read(&mut self, at: &str, name: &str, typed: &str, instrument: Option<&str>) {
        let (step, name, typed) = (step(at), name.to_owned(), typed.to_owned());
        let instrument = instrument.map(str::to_owned);
        let live = None;
        self.act(
            INES,
            Event::Read {
                step,
                name,
                typed,
                instrument,
                live,
            },
        );
    }

    /// The pressure outside its band.
    fn failing(&mut self) {
        self.read("cut-out.margin", "idle", "2.4 bar", Some("pg-3"));
    }

    /// The one open deviation about such a concern.
    fn open(&self, about: impl Fn(&Concern) -> bool) -> u64 {
        let all = self.state.deviations().iter();
        let mut open = all.filter(|one| one.course == Course::Open && about(&one.concern));
        let found = open.next().expect("an open deviation").n;
        assert!(open.next().is_none());
        found
    }

    fn again(&mut self, deviation: u64) {
        let reason = "The engine was cold.".to_owned();
        self.act(INES, Event::MeasureAgain { deviation, reason });
    }

    fn concede(&mut self, deviation: u64) {
        let reason = "It is to be a race engine.".to_owned();
        self.act(TOMASZ, Event::Concede { deviation, reason });
    }

    fn courses(&self) -> Vec<Course> {
        self.state.deviations().iter().map(|one| one.course).collect()
    }

    fn of(&self, n: u64) -> Course {
        self.state.deviations().get(n).expect("a deviation").course
    }

    /// All is settled, without a restart, and the verifier decides the same.
    fn ends(mut self) {
        self.done("cut-out.margin");
        assert!(self.state.unsettled_deviations().next().is_none());
        assert!(owed(&self.state).is_empty());
        assert_eq!(found(banded(), &self.facts), []);
    }
}

#[test]
fn a_value_in_its_band_ends_all_that_it_had() {
    let mut idle = Idle::reworked();
    idle.read("cut-out.margin", "idle", "3 bar", Some("pg-3"));
    for n in [idle.accepted, idle.failed] {
        assert!(matches!(idle.of(n), Course::Resolved(_)), "{n}");
    }
    idle.ends();
}

/// A value that fails again is decided on for each deviation, so that none is left that nobody can decide on.
#[test]
fn a_value_that_fails_again_opens_all_that_it_had() {
    let mut idle = Idle::reworked();
    idle.failing();
    let both = [idle.accepted, idle.failed];
    assert_eq!(both.map(|n| idle.of(n)), [Course::Open; 2]);
    idle.concede(both[0]);
    idle.concede(idle.figure);
    assert_eq!(idle.state.prompt(), Prompt::Deviation(both[1]));
    idle.concede(both[1]);
    assert!(both.iter().all(|n| matches!(idle.of(*n), Course::Conceded(_))));
    assert_eq!(found(banded(), &idle.facts), []);
}

#[test]
fn one_measurement_is_for_all_that_the_value_had() {
    let mut idle = Idle::reworked();
    idle.failing();
    let both = [idle.accepted, idle.failed];
    idle.again(both[0]);
    idle.again(idle.figure);
    assert_eq!(both.map(|n| idle.of(n)), [Course::Measuring; 2]);
    idle.read("cut-out.margin", "idle", "3 bar", Some("pg-3"));
    idle.ends();
}

/// The played job up to its hold point, which covers a step without a deviation before those with one.
fn at_the_hold_point() -> State {
    let mut run = Run::new(false);
    run.act(INES, card("30 psi", "yes")).cut_out(false);
    state(&run)
}

#[test]
fn what_deviated_stands_first_where_somebody_signs() {
    let state = at_the_hold_point();
    let point = sign::hold(&state, &step("cut-out.margin"));
    let order: Vec<(String, bool)> = point
        .covered
        .iter()
        .map(|line| (line.step.to_string(), line.deviations.is_empty()))
        .collect();
    let expected = [
        ("cut-out.trip", false),
        ("cut-out.margin", false),
        ("cut-out.fit", true),
    ];
    assert_eq!(order, expected.map(|(step, none)| (step.to_owned(), none)));
    let said = point.covered[0].deviations.last().expect("a deviation");
    let said = said.say(&|id| format!("[{id}]"), state.words());
    assert!(said.contains("accepted by [tomasz.okafor]: One bounce"), "{said}");
}

#[test]
fn the_record_names_steps_by_what_they_order() {
    let state = at_the_hold_point();
    let lines = record::page(&state).lines;
    let named: Vec<_> = lines.iter().filter(|line| !line.id.is_empty()).collect();
    assert!(!named.is_empty());
    for line in named {
        assert!(!line.text.contains(&line.id), "{}: {}", line.id, line.text);
    }
}
