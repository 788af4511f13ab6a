//! A fact carried into the next state. Facts are taken as true here; `decide` made them, `audit` proves them.

use super::deviation::{Concern, Course, Deviation};
use super::event::Actor;
use super::fact::{Body, Card, Fact, ReadingTaken, Verdict, WorkedOut};
use super::state::{Mark, State};
use crate::procedure::StepRef;
use crate::words::Language;
use std::collections::BTreeSet;
use std::sync::Arc;

impl State {
    /// Moves on by one fact.
    pub(super) fn take(&mut self, fact: Fact) {
        self.note_work(&fact);
        let n = fact.n;
        match &fact.body {
            Body::Opening(opening) => {
                if let Ok(language) = Language::parse(&opening.language) {
                    self.speak(&language);
                }
                self.opening = Some(Arc::new(opening.clone()));
            }
            Body::Language { language } => self.speak(language),
            Body::Card(card) => self.take_card(n, card),
            Body::Begin {
                procedure, hazards, ..
            } => {
                self.begun.insert(procedure.clone());
                let known = self.acknowledged.entry(procedure.clone()).or_default();
                known.extend(hazards.iter().map(|hazard| hazard.id.clone()));
            }
            Body::Acknowledged { step, hazards } => {
                let known = self.acknowledged.entry(step.procedure.clone()).or_default();
                known.extend(hazards.iter().map(|hazard| hazard.id.clone()));
            }
            Body::Read(reading) => self.take_reading(n, reading),
            Body::WorkedOut(worked) => self.take_work(n, worked),
            Body::Done { step, .. } => self.take_done(n, step),
            Body::Deviation { step, concerns, what } => self.take_deviation(n, step, *concerns, what),
            Body::MeasureAgain { deviation, .. } => self.measure_again(*deviation),
            Body::Rework {
                deviation, reopens, ..
            } => {
                self.set_course(*deviation, Course::Reworking);
                self.reopen(reopens);
            }
            Body::Concession { deviation, .. } => self.set_course(*deviation, Course::Conceded(n)),
            Body::Resolved { deviation, by_entry } => {
                self.set_course(*deviation, Course::Resolved(*by_entry))
            }
            Body::Witness { step, .. } => self.mark_mut(step).witnessed = Some(n),
            Body::Release { step, .. } => self.mark_mut(step).released = Some(n),
            Body::SendBack { reopens, .. } => {
                self.signed_off = None;
                self.reopen(reopens);
            }
            Body::CloseOut { procedure, .. } => {
                self.closed_out.insert(procedure.clone());
            }
            Body::Answered { step, .. } => self.mark_mut(step).answered = Some(n),
            Body::SignOff { .. } => self.signed_off = Some(n),
            Body::JobRelease { .. } => self.job_released = Some(n),
            Body::Closing { .. } => self.closed = true,
            Body::Plan(_) => self.planned = true,
            Body::Note { .. } | Body::Resume { .. } => {}
        }
        self.facts.push(Arc::new(fact));
    }

    fn take_card(&mut self, n: u64, card: &Card) {
        (self.card, self.planned) = (Some(n), false);
        let key = |answer: &super::fact::CardAnswer| (answer.group.clone(), answer.field.clone());
        let answers = card.answers.iter();
        self.answers = Arc::new(answers.map(|answer| (key(answer), answer.clone())).collect());
        let figures = card.figures.iter();
        self.figures = Arc::new(
            figures
                .map(|figure| (figure.name.clone(), figure.clone()))
                .collect(),
        );
        self.reopen(&card.reopens);
    }

    fn take_reading(&mut self, n: u64, reading: &ReadingTaken) {
        let key = (reading.step.procedure.clone(), reading.name.clone());
        Arc::make_mut(&mut self.readings).insert(key, (n, reading.clone()));
        self.fail_again(
            &reading.step,
            &Concern::Reading(reading.name.clone()),
            reading.verdict,
        );
    }

    /// A deviation that was being measured again or reworked is open again when its value fails again.
    fn fail_again(&mut self, step: &StepRef, concern: &Concern, verdict: Verdict) {
        if !verdict.fails() {
            return;
        }
        if let Some(n) = self.unsettled(step, concern).map(|deviation| deviation.n) {
            self.set_course(n, Course::Open);
        }
    }

    fn take_work(&mut self, n: u64, worked: &WorkedOut) {
        let Some(step) = &worked.step else { return };
        let key = (step.procedure.clone(), worked.name.clone());
        Arc::make_mut(&mut self.worked).insert(key, (n, worked.clone()));
        if let Some((_, _, verdict)) = worked.judged {
            self.fail_again(step, &Concern::WorkOut(worked.name.clone()), verdict);
        }
    }

    fn take_done(&mut self, n: u64, step_ref: &StepRef) {
        self.mark_mut(step_ref).done = Some(n);
        let play = self.play.clone();
        let Some(step) = play.step(step_ref) else { return };
        if let Some(name) = &step.temporary {
            self.temporaries.insert(name.clone(), (n, None));
        }
        if let Some((_, restored)) = step
            .restores
            .as_ref()
            .and_then(|name| self.temporaries.get_mut(name))
        {
            *restored = Some(n);
        }
    }

    fn take_deviation(&mut self, n: u64, step: &StepRef, concerns: Option<u64>, what: &str) {
        let body = concerns
            .and_then(|entry| self.facts.get(usize::try_from(entry).ok()?))
            .map(|fact| &fact.body);
        let (concern, limits) = match body {
            Some(Body::Read(reading)) => (Concern::Reading(reading.name.clone()), reading.limits.clone()),
            Some(Body::WorkedOut(worked)) => (
                Concern::WorkOut(worked.name.clone()),
                worked.judged.as_ref().map(|(_, limits, _)| limits.clone()),
            ),
            _ => (Concern::NotAsWritten, None),
        };
        let no_concession = limits.and_then(|limits| limits.no_concession);
        let deviation = Deviation {
            n,
            step: step.clone(),
            concern,
            what: what.to_owned(),
            course: Course::Open,
            no_concession,
        };
        self.deviations.add(deviation);
    }

    fn set_course(&mut self, deviation: u64, course: Course) {
        self.deviations.set_course(deviation, course);
    }

    fn measure_again(&mut self, n: u64) {
        let Some(deviation) = self.deviations.get(n).cloned() else {
            return;
        };
        for name in self.readings_behind(&deviation) {
            Arc::make_mut(&mut self.readings).remove(&(deviation.step.procedure.clone(), name));
        }
        self.forget_work(&deviation.step);
        self.set_course(n, Course::Measuring);
    }

    /// The readings of the deviation's own step that another measurement would replace.
    pub(super) fn readings_behind(&self, deviation: &Deviation) -> Vec<String> {
        match &deviation.concern {
            Concern::Reading(name) => vec![name.clone()],
            Concern::NotAsWritten => Vec::new(),
            Concern::WorkOut(_) => {
                let step = self.play.step(&deviation.step);
                step.map_or_else(Vec::new, |step| {
                    step.read.iter().map(|reading| reading.name.clone()).collect()
                })
            }
        }
    }

    fn forget_work(&mut self, step: &StepRef) {
        Arc::make_mut(&mut self.worked).retain(|_, (_, worked)| worked.step.as_ref() != Some(step));
    }

    /// The steps are to be done again: marks and readings fall, the entries stay.
    fn reopen(&mut self, steps: &[StepRef]) {
        let open: BTreeSet<&StepRef> = steps.iter().collect();
        for step in &open {
            Arc::make_mut(&mut self.marks).remove(*step);
            self.closed_out.remove(&step.procedure);
        }
        Arc::make_mut(&mut self.readings).retain(|_, (_, reading)| !open.contains(&reading.step));
        Arc::make_mut(&mut self.worked)
            .retain(|_, (_, worked)| worked.step.as_ref().is_none_or(|step| !open.contains(step)));
        let reworked = self.deviations.unresolved().filter(|one| open.contains(&one.step));
        let reworked: Vec<u64> = reworked.map(|deviation| deviation.n).collect();
        for n in reworked {
            self.set_course(n, Course::Reworking);
        }
    }

    /// Keeps who worked on what, for the coverage of releases and for four eyes.
    fn note_work(&mut self, fact: &Fact) {
        let step = match &fact.body {
            Body::Acknowledged { step, .. } | Body::Done { step, .. } | Body::Deviation { step, .. } => {
                step.clone()
            }
            Body::Read(reading) => reading.step.clone(),
            Body::WorkedOut(WorkedOut { step: Some(step), .. }) => step.clone(),
            Body::MeasureAgain { deviation, .. } | Body::Rework { deviation, .. } => {
                let Some(deviation) = self.deviations.get(*deviation) else {
                    return;
                };
                deviation.step.clone()
            }
            _ => return,
        };
        let work = Arc::make_mut(&mut self.work).entry(step).or_default();
        work.push((fact.n, fact.by.clone()));
    }

    fn mark_mut(&mut self, step: &StepRef) -> &mut Mark {
        Arc::make_mut(&mut self.marks).entry(step.clone()).or_default()
    }
}

/// A fact of this actor, numbered.
pub(super) fn fact(n: u64, actor: &Actor, body: Body) -> Fact {
    Fact {
        n,
        at: actor.at,
        by: actor.id.clone(),
        body,
    }
}
