//! What a record says, held against its content: a played job is whole, and each lie in it has its rule.

use std::sync::{Arc, LazyLock};

use crate::any_fact;
use crate::audit_lies::{LIES, OF_LANGUAGE};
use crate::guard_lies;
use crate::live;
use crate::played_job::{self, Run};
use crate::shop::TABLET;
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::Index;
use witnessmark::audit::{self, Against, Finding, MOST_FINDINGS, Report, Standing, verify_job};
use witnessmark::people::Roster;
use witnessmark::player::fact::{Body, Fact};
use witnessmark::player::{Event, Play};
use witnessmark::record::PROGRAM;

fn verify(facts: &[Fact], practice: bool) -> Report {
    verify_job(&played_job::folder(facts, practice), &Against::default()).report
}

/// The meaning alone, without signatures.
fn meaning(facts: &[Fact]) -> Vec<Finding> {
    let roster = Roster::replay(played_job::roster().bytes.as_slice()).expect("a whole roster");
    let play = Play::clone(&played_job::play());
    let facts: Vec<_> = facts.iter().cloned().map(Arc::new).collect();
    audit::meaning::check(play, &facts, &|id, at| audit::actor(&roster, id, at), PROGRAM)
}

fn rules(report: &Report) -> Vec<&'static str> {
    report
        .findings
        .iter()
        .map(|finding| finding.rule.as_str())
        .collect()
}

/// A closed job without its certificate is whole, and that is told.
const ALWAYS: &str = "certificate-missing";

#[test]
fn a_played_job_is_whole() {
    for practice in [false, true] {
        let report = verify(&Run::through(practice).facts, practice);
        assert_eq!(rules(&report), [ALWAYS], "{}", report.to_text());
        let standing = if practice {
            Standing::Practice
        } else {
            Standing::Closed
        };
        assert!(report.whole() && report.standing == standing && report.entries > 30);
    }
}

/// An interruption may come after any line; what is there is whole as far as it goes.
#[test]
fn an_open_job_is_whole_as_far_as_it_goes() {
    let facts = Run::through(false).facts;
    for count in 1..facts.len() {
        assert_eq!(meaning(&facts[..count]), [], "after {count}");
    }
    let report = verify(&facts[..20], false);
    assert_eq!((report.standing, report.entries), (Standing::Open, 20));
    assert_eq!(rules(&report), [""; 0]);
}

/// After an interruption within one event, the tablet makes up for what did not come to stand.
#[test]
fn a_resumed_job_is_whole() {
    let whole = Run::through(false);
    let facts = whole.facts.clone();
    for (count, next) in facts.iter().enumerate().skip(1) {
        let mut run = whole.clone();
        run.cut(count).act(TABLET, Event::Resume { torn: None });
        let made_up = run.facts.len() - count - 1;
        let owed = matches!(next.body, Body::Plan(_) | Body::Resolved { .. })
            || matches!(
                facts[count].body,
                Body::Deviation {
                    concerns: Some(_),
                    ..
                }
            );
        assert_eq!(made_up > 0, owed, "after {count}");
        assert_eq!(meaning(&run.facts), [], "after {count}");
    }
}

#[test]
fn each_lie_has_its_rule() {
    let truth = Run::through(false).facts;
    let lies = LIES.iter().chain(OF_LANGUAGE);
    for (name, lie, rule) in lies.chain(guard_lies::LIES).chain(live::LIES) {
        let mut facts = truth.clone();
        lie(&mut facts);
        assert_ne!(facts, truth, "{name}");
        let report = verify(&facts, false);
        assert!(
            rules(&report).contains(rule),
            "{name}: {rule} expected\n{}",
            report.to_text()
        );
        assert!(!report.whole(), "{name}");
        if OF_LANGUAGE.iter().any(|(of_language, ..)| of_language == name) {
            continue;
        }
        // A fault is told where it is, not again at every entry after it.
        assert!(report.faults().count() <= 12, "{name}:\n{}", report.to_text());
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, failure_persistence: None, ..ProptestConfig::default() })]

    /// Any facts at all, some of them of a job that was played, are judged without a panic.
    #[test]
    fn no_facts_make_the_verifier_panic(
        strange in vec((any::<Index>(), any_fact::fact()), 1..12),
        gone in vec(any::<Index>(), 0..4),
        twice in vec((any::<Index>(), any::<Index>()), 0..4),
    ) {
        let mut facts = WHOLE.clone();
        for (place, fact) in strange {
            let place = place.index(facts.len());
            facts[place] = Fact { at: facts[place].at, by: facts[place].by.clone(), ..fact };
        }
        for (from, to) in twice {
            let fact = facts[from.index(facts.len())].clone();
            facts.insert(to.index(facts.len()), fact);
        }
        for place in gone {
            facts.remove(place.index(facts.len()));
        }
        for (n, fact) in facts.iter_mut().enumerate() {
            fact.n = n as u64;
        }
        prop_assert!(meaning(&facts).len() <= MOST_FINDINGS);
    }
}

/// A whole job, played once.
static WHOLE: LazyLock<Vec<Fact>> = LazyLock::new(|| Run::through(false).facts);
