//! The meaning of a record: each decision is taken again from the pinned content and held against what stands.
//!
//! An event is rebuilt from what its entries say, the player answers it anew, and the facts are compared one
//! by one. The state goes on from what the record says, so that one fault is told once.

mod body;
mod event;
mod own_words;
mod refusal;
mod value;

use super::{Finding, MOST_FINDINGS, Meaning};
use crate::calc;
use crate::circuit;
use crate::player::fact::{Body, Card, Fact, Opening, WorkedOut};
use crate::player::{Actor, Event, Play, Refusal, State, answer, follow};
use crate::procedure::circuit::SOLVER;
use crate::record::Kind;
use crate::words::Language;
use chrono::{DateTime, FixedOffset};
use event::Candidate;
use std::collections::BTreeSet;
use std::sync::Arc;

/// The most entries of a job whose meaning is checked: the player keeps all of them in each of its states.
pub const MOST_ENTRIES: usize = 20_000;

/// Who somebody was at a moment: their roles and rights.
pub type Who<'a> = dyn Fn(&str, DateTime<FixedOffset>) -> Actor + 'a;

/// Checks what the entries of one job say against the job's content.
///
/// `program` is the version that checks. A record of another version may rest on other revisions of the
/// calculators; its figures are then not worked out again, and that is told.
#[must_use]
pub fn check(play: impl Into<Arc<Play>>, facts: &[Arc<Fact>], who: &Who, program: &str) -> Vec<Finding> {
    let mut walk = Walk {
        facts,
        at: 0,
        state: State::new(play.into()),
        who,
        same_program: true,
        findings: Vec::new(),
        told: BTreeSet::new(),
    };
    walk.opening(program);
    walk.run();
    walk.findings
}

/// The facts of an event, or why there are none.
type Answer = Result<Vec<Fact>, Refusal>;

/// A walk along the facts, event by event.
struct Walk<'a> {
    facts: &'a [Arc<Fact>],
    at: usize,
    state: State,
    who: &'a Who<'a>,
    same_program: bool,
    findings: Vec<Finding>,
    /// What was told already: one thing left out must not be told again at every later entry.
    told: BTreeSet<(Meaning, String)>,
}

impl Walk<'_> {
    /// The opening names the job that is played.
    fn opening(&mut self, program: &str) {
        let Some(Body::Opening(opening)) = self.facts.first().map(|fact| &fact.body) else {
            return self.tell(
                Meaning::BadOpening,
                0,
                "the record does not begin with an opening",
            );
        };
        self.same_program = opening.program == program;
        if opening.decision.is_none() {
            let what = "no rule of decision is named: readings were judged without the uncertainty of their instruments";
            self.tell(Meaning::SimpleAcceptance, 0, what);
        }
        for (what, found, expected) in opened(opening, self.state.play()) {
            self.tell(
                Meaning::BadOpening,
                0,
                format!("{what} is `{found}`, the content has `{expected}`"),
            );
        }
    }

    fn run(&mut self) {
        if self.facts.len() > MOST_ENTRIES {
            let what = format!("more than {MOST_ENTRIES} entries: their meaning was not checked");
            return self.tell(Meaning::TooLong, 0, what);
        }
        while self.at < self.facts.len() && self.findings.len() < MOST_FINDINGS {
            let taken = self.event().max(1);
            let rest = &self.facts[self.at..self.at + taken];
            let mut rest = rest.iter().cloned();
            if let Err(refusal) = rest.try_for_each(|fact| follow(&mut self.state, fact)) {
                let what = format!("{refusal} The meaning was checked no further");
                return self.tell(Meaning::OutOfOrder, self.facts[self.at].n, what);
            }
            self.at += taken;
            self.owed();
        }
    }

    /// Takes one event again. Gives how many facts it explains.
    fn event(&mut self) -> usize {
        let rest = &self.facts[self.at..];
        let candidates = event::candidates(self.state.play(), rest);
        let span = candidates.first().map_or(1, |candidate| candidate.primary + 1);
        if !self.same_program && rest.iter().take(span).any(|fact| revised(&fact.body)) {
            let what =
                "a calculator has another revision in this program: its figures were not worked out again";
            self.tell(Meaning::CalculatorRevised, rest[0].n, what);
            return with_consequences(rest, span);
        }
        match self.likeliest(candidates) {
            Some((primary, Ok(expected))) => self.hold_against(&expected).max(primary + 1),
            Some((primary, Err(refusal))) => {
                let (rule, what) = refusal::named(&refusal, &self.state.prompt());
                self.tell_once(rule, rest[primary].n, what);
                with_consequences(rest, primary + 1)
            }
            None => {
                let kind = Kind::from(&rest[0].body);
                self.tell(
                    Meaning::OutOfOrder,
                    rest[0].n,
                    format!("a {kind} follows from nothing before it"),
                );
                1
            }
        }
    }

    /// The event whose facts agree longest with those that stand; a refused one only where no other is left.
    fn likeliest(&self, candidates: Vec<Candidate>) -> Option<(usize, Answer)> {
        let rest = &self.facts[self.at..];
        let mut best: Option<(usize, (usize, Answer))> = None;
        for Candidate { primary, event } in candidates {
            let answer = self.answer(&rest[primary], event);
            let fit = answer.as_ref().map_or(0, |expected| 1 + fit(expected, rest));
            if best.as_ref().is_none_or(|(most, _)| fit > *most) {
                best = Some((fit, (primary, answer)));
            }
        }
        best.map(|(_, answer)| answer)
    }

    fn answer(&self, primary: &Fact, event: Event) -> Answer {
        let actor = (self.who)(&primary.by, primary.at);
        answer(&self.state, &actor, event)
    }

    /// Compares what should stand with what stands. Gives how many facts were compared.
    fn hold_against(&mut self, expected: &[Fact]) -> usize {
        let rest = &self.facts[self.at..];
        let mut taken = 0;
        for should in expected {
            match rest.get(taken) {
                // Work was interrupted here; the resume entry, or what comes later, makes up for it.
                None => break,
                Some(found)
                    if matches!(found.body, Body::Resume { .. })
                        && !matches!(should.body, Body::Resume { .. }) =>
                {
                    break;
                }
                Some(found) if Kind::from(&found.body) == Kind::from(&should.body) => {
                    self.compare(should, found);
                    taken += 1;
                }
                Some(found) => {
                    let (rule, what) = body::missing(&should.body);
                    self.tell_once(rule, found.n, what);
                }
            }
        }
        taken
    }

    fn compare(&mut self, should: &Fact, found: &Fact) {
        if should.by != found.by {
            let what = format!(
                "`{}` signed what follows from an entry of `{}`",
                found.by, should.by
            );
            self.tell(Meaning::WrongRole, found.n, what);
        }
        let statements = self.same_program;
        // English is the language of the content: a change of what the program says in it is told as before.
        let differences = if statements || self.state.language().is_english() {
            body::differences(&should.body, &found.body, statements)
        } else {
            let [should, found] = [&should.body, &found.body].map(own_words::left_out);
            body::differences(&should, &found, statements)
        };
        for (rule, what) in differences {
            self.tell(rule, found.n, what);
        }
    }

    /// What an interruption left out must stand before anything else is done.
    fn owed(&mut self) {
        let Some(next) = self.facts.get(self.at) else {
            return;
        };
        if !matches!(next.body, Body::Resume { .. }) {
            for owed in crate::player::owed(&self.state) {
                let (rule, what) = body::missing(&owed);
                self.tell_once(rule, next.n, what);
            }
        }
    }

    fn tell(&mut self, rule: Meaning, n: u64, what: impl Into<String>) {
        if self.findings.len() < MOST_FINDINGS {
            self.findings.push(Finding::at_entry(rule, n, what));
        }
    }

    fn tell_once(&mut self, rule: Meaning, n: u64, what: String) {
        if self.told.insert((rule, what.clone())) {
            self.tell(rule, n, what);
        }
    }
}

/// What the opening says of the job, and what the content says.
fn opened(opening: &Opening, play: &Arc<Play>) -> Vec<(&'static str, String, String)> {
    let known = Language::parse(&opening.language).ok();
    let known = known.filter(|language| play.languages().any(|one| one == *language));
    let Some(language) = known else {
        let languages: Vec<String> = play.languages().map(|language| language.to_string()).collect();
        return vec![("`language`", opening.language.clone(), languages.join("` or `"))];
    };
    let play = play.in_language(&language);
    let job = &play.job;
    let all = [
        ("`authored`", opening.job.clone(), job.id.to_string()),
        ("`title`", opening.title.clone(), job.title.clone()),
        (
            "`revision`",
            opening.revision.to_string(),
            job.revision.to_string(),
        ),
        ("`caution`", opening.caution.clone(), job.caution.clone()),
    ];
    all.into_iter()
        .filter(|(_, found, expected)| found != expected)
        .collect()
}

/// How many kinds of fact agree from the start on.
fn fit(expected: &[Fact], rest: &[Arc<Fact>]) -> usize {
    let pairs = expected.iter().zip(rest);
    pairs
        .take_while(|(should, found)| Kind::from(&should.body) == Kind::from(&found.body))
        .count()
}

/// Adds what follows from an event that was not answered, so that it is not told as well.
fn with_consequences(rest: &[Arc<Fact>], taken: usize) -> usize {
    let (by, at) = (&rest[0].by, rest[0].at);
    let more = rest.iter().skip(taken);
    taken
        + more
            .take_while(|fact| event::follows(&fact.body) && fact.by == *by && fact.at == at)
            .count()
}

/// Whether a figure in it was worked out by another revision than this program has.
fn revised(body: &Body) -> bool {
    match body {
        Body::WorkedOut(worked) => of_other_revision(worked),
        Body::Card(Card { figures, .. }) => figures.iter().any(of_other_revision),
        _ => false,
    }
}

/// A circuit is content, pinned beside the record; what may have changed is the solver.
fn of_other_revision(worked: &WorkedOut) -> bool {
    if worked.calculator.starts_with("circuit.") {
        let solver = worked.inputs.iter().find(|(name, _)| name == SOLVER);
        return solver.is_none_or(|(_, solver)| solver.to_string() != circuit::REVISION.to_string());
    }
    calc::find(&worked.calculator).is_none_or(|calculator| calculator.spec.revision != worked.revision)
}
