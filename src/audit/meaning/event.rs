//! Which event the next facts come from.

use crate::player::fact::{Answer, Body, Card, Fact, ReadingTaken};
use crate::player::{Event, Play, Typed};
use crate::procedure::StepRef;
use std::sync::Arc;

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
pub(super) fn candidates(play: &Play, rest: &[Arc<Fact>]) -> Vec<Candidate> {
    let first = &rest[0];
    if !follows(&first.body) {
        return candidate(play, rest, 0).into_iter().collect();
    }
    let mut found = Vec::new();
    let same = |fact: &&Arc<Fact>| follows(&fact.body) && fact.by == first.by && fact.at == first.at;
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

fn candidate(play: &Play, rest: &[Arc<Fact>], primary: usize) -> Option<Candidate> {
    event(play, &rest[primary]).map(|event| Candidate { primary, event })
}

/// The event that a fact says happened.
fn event(play: &Play, fact: &Fact) -> Option<Event> {
    Some(match &fact.body {
        Body::Opening(opening) => Event::Open(opening.clone()),
        Body::Card(card) => Event::Card(typed(card)),
        Body::Begin { procedure, .. } => Event::Begin {
            procedure: procedure.clone(),
        },
        Body::CloseOut { procedure, .. } => Event::CloseOut {
            procedure: procedure.clone(),
        },
        Body::Read(taken) => read(taken),
        Body::Note { step, text } => Event::Note {
            step: step.clone(),
            text: text.clone(),
        },
        Body::Language { language } => Event::Language(language.clone()),
        Body::Resume { torn } => Event::Resume { torn: torn.clone() },
        Body::SignOff { .. } => Event::SignOff,
        Body::JobRelease { .. } => Event::ReleaseJob,
        Body::Closing { .. } => Event::Close,
        Body::Plan(_) | Body::WorkedOut(_) | Body::Resolved { .. } => return None,
        Body::MeasureAgain { .. }
        | Body::Rework { .. }
        | Body::Concession { .. }
        | Body::Deviation { .. } => {
            return on_deviation(&fact.body);
        }
        at_a_step => return on_step(play, at_a_step),
    })
}

/// What somebody did about a deviation, or a step that was not done as written.
fn on_deviation(body: &Body) -> Option<Event> {
    Some(match body.clone() {
        Body::Deviation {
            step,
            concerns: None,
            what,
        } => Event::NotAsWritten { step, what },
        Body::MeasureAgain { deviation, reason } => Event::MeasureAgain { deviation, reason },
        Body::Rework { deviation, what, .. } => Event::Rework { deviation, what },
        Body::Concession { deviation, reason } => Event::Concede { deviation, reason },
        _ => return None,
    })
}

/// What was done at a step besides measuring.
fn on_step(play: &Play, body: &Body) -> Option<Event> {
    Some(match body {
        Body::Acknowledged { step, .. } => Event::Acknowledge { step: step.clone() },
        Body::Done { step, .. } => Event::Done { step: step.clone() },
        Body::Witness { step, attended, .. } => Event::Witness {
            step: step.clone(),
            attended: *attended,
        },
        Body::Release { step, .. } => Event::Release { step: step.clone() },
        Body::SendBack {
            step,
            reason,
            reopens,
        } => Event::SendBack {
            step: step.clone(),
            reason: reason.clone(),
            reopen: reopens.clone(),
        },
        Body::Answered { step, chosen, .. } => answer(play, step.clone(), chosen),
        Body::Photograph {
            step,
            deviation,
            photo,
        } => Event::Photograph {
            step: step.clone(),
            deviation: *deviation,
            photo: photo.clone(),
        },
        _ => return None,
    })
}

fn typed(card: &Card) -> Vec<(String, String, Typed)> {
    let answers = card.answers.iter().map(|answer| {
        let typed = match &answer.answer {
            Answer::Open { typed, .. } => Typed::Open(typed.clone()),
            Answer::Committed { commitment } => Typed::Committed(commitment.clone()),
        };
        (answer.group.clone(), answer.field.clone(), typed)
    });
    answers.collect()
}

fn read(taken: &ReadingTaken) -> Event {
    let instrument = taken.instrument.as_ref().map(|used| used.id.clone());
    let read = Event::Read {
        step: taken.step.clone(),
        name: taken.name.clone(),
        typed: taken.typed.clone(),
        instrument,
        live: taken.live.clone(),
    };
    if taken.confirmed {
        Event::Sure(Box::new(read))
    } else {
        read
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
