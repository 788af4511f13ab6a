//! Which event the next facts come from.

use crate::player::fact::{Answer, Body, Card, Fact, ReadingTaken};
use crate::player::{Event, Play, Typed};
use crate::procedure::StepRef;

/// An event that the next facts may come from, and which of them says so.
pub(super) struct Candidate {
    pub primary: usize,
    pub event: Event,
}

/// Whether a fact follows from another one of the same event.
pub(super) fn follows(body: &Body) -> bool {
    match body {
        Body::WorkedOut(_) | Body::Resolved { .. } | Body::Plan(_) => true,
        Body::Deviation { concerns, .. } => concerns.is_some(),
        _ => false,
    }
}

/// The events that may have led to the next facts, the likeliest first; none for facts that only follow.
///
/// Figures of a step stand before the reading or the marking that had them worked out. Where one of them
/// failed when the step was to be marked, the marking itself does not stand.
pub(super) fn candidates(play: &Play, rest: &[Fact]) -> Vec<Candidate> {
    let first = &rest[0];
    if !follows(&first.body) {
        return candidate(play, rest, 0).into_iter().collect();
    }
    let mut found = Vec::new();
    let same = |fact: &&Fact| follows(&fact.body) && fact.by == first.by && fact.at == first.at;
    let ahead = rest.iter().take_while(same).count();
    if let Some(Body::Read(_) | Body::Done { .. }) = rest.get(ahead).map(|fact| &fact.body) {
        found.extend(candidate(play, rest, ahead));
    }
    if let Body::WorkedOut(worked) = &first.body {
        let step = worked.step.clone();
        found.extend(step.map(|step| Candidate {
            primary: 0,
            event: Event::Done { step },
        }));
    }
    found
}

fn candidate(play: &Play, rest: &[Fact], primary: usize) -> Option<Candidate> {
    event(play, &rest[primary]).map(|event| Candidate { primary, event })
}

/// The event that a fact says happened.
fn event(play: &Play, fact: &Fact) -> Option<Event> {
    Some(match fact.body.clone() {
        Body::Opening(opening) => Event::Open(opening),
        Body::Card(card) => Event::Card(typed(card)),
        Body::Begin { procedure, .. } => Event::Begin { procedure },
        Body::Acknowledged { step, .. } => Event::Acknowledge { step },
        Body::Read(taken) => read(taken),
        Body::Done { step, .. } => Event::Done { step },
        Body::Deviation {
            step,
            concerns: None,
            what,
        } => Event::NotAsWritten { step, what },
        Body::MeasureAgain { deviation, reason } => Event::MeasureAgain { deviation, reason },
        Body::Rework { deviation, what, .. } => Event::Rework { deviation, what },
        Body::Concession { deviation, reason } => Event::Concede { deviation, reason },
        Body::Witness { step, attended, .. } => Event::Witness { step, attended },
        Body::Release { step, .. } => Event::Release { step },
        Body::SendBack {
            step,
            reason,
            reopens,
        } => Event::SendBack {
            step,
            reason,
            reopen: reopens,
        },
        Body::CloseOut { procedure, .. } => Event::CloseOut { procedure },
        Body::Answered { step, chosen, .. } => answer(play, step, &chosen),
        Body::Note { step, text } => Event::Note { step, text },
        Body::Language { language } => Event::Language(language),
        Body::Resume { torn } => Event::Resume { torn },
        Body::SignOff { .. } => Event::SignOff,
        Body::JobRelease { .. } => Event::ReleaseJob,
        Body::Closing { .. } => Event::Close,
        Body::Plan(_) | Body::WorkedOut(_) | Body::Deviation { .. } | Body::Resolved { .. } => return None,
    })
}

fn typed(card: Card) -> Vec<(String, String, Typed)> {
    let answers = card.answers.into_iter().map(|answer| {
        let typed = match answer.answer {
            Answer::Open { typed, .. } => Typed::Open(typed),
            Answer::Committed { commitment } => Typed::Committed(commitment),
        };
        (answer.group, answer.field, typed)
    });
    answers.collect()
}

fn read(taken: ReadingTaken) -> Event {
    let instrument = taken.instrument.map(|used| used.id);
    Event::Read {
        step: taken.step,
        name: taken.name,
        typed: taken.typed,
        instrument,
        live: taken.live,
    }
}

/// An answer that the question does not offer is refused by its place.
fn answer(play: &Play, step: StepRef, chosen: &str) -> Event {
    let question = play.step(&step).and_then(|found| found.question.as_ref());
    let place =
        question.and_then(|question| question.answers.iter().position(|answer| answer.says == chosen));
    Event::Answer {
        step,
        choice: place.unwrap_or(usize::MAX),
    }
}
