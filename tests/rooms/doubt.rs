//! A reading outside what the author holds possible: asked about, and taken where the person says that it is so.

use crate::played_job::{self, card, opening, step};
use crate::shop::{INES, TABLET};
use std::sync::Arc;
use witnessmark::audit;
use witnessmark::people::Roster;
use witnessmark::player::fact::{Body, Fact, Verdict};
use witnessmark::player::{Event, Play, Refusal, State, advance};
use witnessmark::procedure::ProcedureId;
use witnessmark::record::PROGRAM;

/// The played job, in which more than 40 psi cannot be; its gauge reads to 100 psi.
fn play() -> Arc<Play> {
    let mut content = played_job::content();
    let file = content.get_mut("procedures/cut-out.yaml").expect("the procedure");
    let text = String::from_utf8(file.clone()).expect("text");
    let narrow = text.replacen("{ from: 0 psi, to: 150 psi }", "{ from: 0 psi, to: 40 psi }", 1);
    assert_ne!(text, narrow);
    *file = narrow.into_bytes();
    Arc::new(played_job::play_of(content))
}

struct Bench {
    play: Arc<Play>,
    roster: Roster,
    state: State,
    facts: Vec<Fact>,
}

impl Bench {
    /// At the step of the trip pressure.
    fn new() -> Bench {
        let roster = Roster::replay(played_job::roster().bytes.as_slice()).expect("a whole roster");
        let (play, facts) = (play(), Vec::new());
        let state = State::new(play.clone());
        let mut bench = Bench {
            play,
            roster,
            state,
            facts,
        };
        let opening = opening(false, &bench.roster);
        bench.act(TABLET, Event::Open(opening)).expect("it opens");
        bench.act(INES, card("30 psi", "yes")).expect("a card");
        let procedure = ProcedureId::from("cut-out");
        bench.act(INES, Event::Begin { procedure }).expect("it begins");
        bench
            .act(
                INES,
                Event::Done {
                    step: step("cut-out.fit"),
                },
            )
            .expect("done");
        bench
            .act(
                INES,
                Event::Acknowledge {
                    step: step("cut-out.trip"),
                },
            )
            .expect("read");
        bench
    }

    fn act(&mut self, who: &str, event: Event) -> Result<(), Refusal> {
        let at = chrono::DateTime::parse_from_rfc3339("2026-03-02T09:30:00+01:00").expect("a time");
        let actor = audit::actor(&self.roster, who, at);
        let (next, facts) = advance(&self.state, &actor, event)?;
        self.state = next;
        self.facts.extend(facts);
        Ok(())
    }

    fn findings(&self, facts: &[Fact]) -> Vec<&'static str> {
        let facts: Vec<_> = facts.iter().cloned().map(Arc::new).collect();
        let play = self.play.clone();
        let found = audit::meaning::check(
            play,
            &facts,
            &|id, at| audit::actor(&self.roster, id, at),
            PROGRAM,
        );
        found.iter().map(|finding| finding.rule.as_str()).collect()
    }

    fn taken(&mut self) -> &mut witnessmark::player::fact::ReadingTaken {
        let taken = self.facts.iter_mut().rev().find_map(|fact| match &mut fact.body {
            Body::Read(taken) => Some(taken),
            _ => None,
        });
        taken.expect("a reading")
    }
}

fn read(typed: &str) -> Event {
    Event::Read {
        step: step("cut-out.trip"),
        name: "trip".into(),
        typed: typed.into(),
        instrument: Some("pg-3".into()),
        live: None,
    }
}

#[test]
fn what_can_hardly_be_is_asked_about_and_then_judged() {
    let mut bench = Bench::new();
    let before = bench.facts.len();
    let asked = bench.act(INES, read("55")).expect_err("a question");
    assert!(matches!(asked, Refusal::Implausible { .. }));
    let said = asked.to_string();
    assert!(
        said.starts_with("Really 55 psi?") && said.contains("0 psi and 40 psi"),
        "{said}"
    );
    assert_eq!(bench.facts.len(), before, "nothing is written before the answer");
    bench
        .act(INES, Event::Sure(Box::new(read("55"))))
        .expect("it is so");
    let taken = bench.taken();
    assert!(taken.confirmed && taken.verdict == Verdict::Above && taken.shown == "55 psi");
    assert!(matches!(
        bench.facts.last().expect("a fact").body,
        Body::Deviation { .. }
    ));
    assert_eq!(bench.findings(&bench.facts), [""; 0], "the record stands");
    bench.taken().confirmed = false;
    assert!(
        bench.findings(&bench.facts).contains(&"value-differs"),
        "nobody can hide the question"
    );
}

#[test]
fn what_the_instrument_cannot_show_is_taken_by_no_answer() {
    let mut bench = Bench::new();
    for event in [
        Event::Sure(Box::new(read("120"))),
        Event::Sure(Box::new(read("-3"))),
    ] {
        let refused = bench.act(INES, event).expect_err("the gauge ends before");
        let said = refused.to_string();
        assert!(
            said.contains("eally") && said.contains("cannot have shown"),
            "{said}"
        );
    }
    bench
        .act(INES, Event::Sure(Box::new(read("30"))))
        .expect("it can be");
    assert!(!bench.taken().confirmed, "nothing was to be asked");
    assert_eq!(bench.findings(&bench.facts), [""; 0]);
    bench.taken().confirmed = true;
    assert!(bench.findings(&bench.facts).contains(&"value-differs"));
}

#[test]
fn only_a_reading_is_sure() {
    let mut bench = Bench::new();
    let done = Event::Done {
        step: step("cut-out.trip"),
    };
    assert!(bench.act(INES, Event::Sure(Box::new(done))).is_err());
    let twice = Event::Sure(Box::new(Event::Sure(Box::new(read("30")))));
    assert!(bench.act(INES, twice).is_err());
}
