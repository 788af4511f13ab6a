//! A job in its midst on an example car: a step as whoever plays the job finds it, for authors and their readers.
//!
//! Facts are taken as true here, as in a replay: content that is still being written shows its steps all the same.

mod car;
mod middle;

pub use car::{Answers, answers, assumed, comes, on_which_comes, with};

pub use super::card::Evaluation as Came;
use super::card::{self, Sheet};
use super::event::Typed;
use super::fact::{Body, DecisionRule, Fact, Opening, Wording};
use super::play::{Play, step_ref};
use super::state::State;
use super::{reading, wording};
use crate::procedure::{Field, Procedure, Step, StepRef};
use crate::words::Language;
use car::key;
use std::ops::ControlFlow;
use std::sync::Arc;

/// What is done with the state as it stands when a step comes, and whether that is enough.
pub type Seen<'a> = dyn FnMut(&StepRef, &State) -> ControlFlow<()> + 'a;

/// Goes through the job on this car, each reading in the middle of its band, and shows the state as it stands when
/// each step comes. Gives what the card came to.
pub fn through(play: &Arc<Play>, language: &Language, answers: &Answers, seen: &mut Seen) -> Came {
    let mut midst = Midst(State::new(Arc::clone(play)));
    midst.take(Body::Opening(opening(play, language)));
    let play = Arc::clone(midst.0.play());
    let evaluation = card::evaluate(&play, &sheet(&play, answers));
    midst.take(Body::Card(evaluation.to_card(&play)));
    let mut procedures = play.job.procedures.iter();
    // Whoever has seen enough ends it.
    let _ = procedures.try_for_each(|(procedure, condition)| match midst.0.holds(condition) {
        true => midst.play(procedure, seen),
        false => ControlFlow::Continue(()),
    });
    evaluation
}

/// The card as the player takes it.
fn sheet(play: &Play, answers: &Answers) -> Sheet {
    let typed = |field: &Field| match answers.get(&key(field)) {
        _ if field.personal => Some(Typed::Committed("0".repeat(64))),
        answer => answer.cloned().map(Typed::Open),
    };
    let fields = play.fields();
    fields
        .filter_map(|field| Some((key(field), typed(field)?)))
        .collect()
}

fn opening(play: &Play, language: &Language) -> Opening {
    Opening {
        number: String::new(),
        job: play.job.id.to_string(),
        title: play.job.title.clone(),
        revision: play.job.revision,
        practice: false,
        language: language.tag().to_owned(),
        program: String::new(),
        shop: String::new(),
        roster_head: String::new(),
        roster_lines: 0,
        content: Vec::new(),
        caution: play.job.caution.clone(),
        approval: None,
        decision: Some(DecisionRule::GuardedAcceptance),
    }
}

/// The state that is led through the job.
struct Midst(State);

impl Midst {
    fn take(&mut self, body: Body) {
        let fact = Fact {
            n: self.0.next_number(),
            at: chrono::DateTime::default(),
            by: String::new(),
            body,
        };
        self.0.take(fact.into());
    }

    fn play(&mut self, procedure: &Procedure, seen: &mut Seen) -> ControlFlow<()> {
        self.take(wording::begin(&self.0, procedure));
        for step in &procedure.steps {
            if self.0.holds(&step.when) {
                let at = step_ref(procedure, step);
                let hazards = wording::hazards(&self.0, &step.hazards);
                self.take(Body::Acknowledged {
                    step: at.clone(),
                    hazards,
                });
                seen(&at, &self.0)?;
                self.work(&at, step);
            }
        }
        self.take(Body::CloseOut {
            procedure: procedure.id.clone(),
            lines: Vec::new(),
        });
        ControlFlow::Continue(())
    }

    /// The step done: its readings, its figures, its mark, and whatever a supervisor gives to it.
    fn work(&mut self, at: &StepRef, step: &Step) {
        for reading in &step.read {
            self.work_out(at, step);
            self.take(Body::Read(middle::reading(&self.0, at, reading)));
        }
        self.work_out(at, step);
        self.take(Body::Done {
            step: at.clone(),
            wording: Wording::default(),
        });
        if step.witness.is_some() {
            self.take(Body::Witness {
                step: at.clone(),
                says: String::new(),
                attended: true,
            });
        }
        if step.hold.is_some() {
            self.take(Body::Release {
                step: at.clone(),
                says: String::new(),
                covers: Vec::new(),
            });
        }
    }

    /// The figures that can be worked out by now; one that is refused is left out.
    fn work_out(&mut self, at: &StepRef, step: &Step) {
        for work in &step.work_out {
            let there = self.0.worked(&at.procedure, &work.name).is_some();
            if let (false, Ok(worked)) = (there, reading::worked(&self.0, work, at)) {
                self.take(Body::WorkedOut(worked));
            }
        }
    }
}
