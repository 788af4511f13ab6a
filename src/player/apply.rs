//! A fact carried into the next state. Facts are taken as true here; `decide` made them, `audit` proves them.

use super::deviation::{Concern, Course, Deviation};
use super::event::Actor;
use super::fact::{Body, Card, Fact, HazardShown, ReadingTaken, WorkedOut};
use super::latest::{reading_of, work_of};
use super::state::{Mark, State};
use crate::procedure::{ProcedureId, StepRef};
use crate::words::Language;
use std::collections::BTreeSet;
use std::sync::Arc;

impl State {
    /// Moves on by one fact.
    pub(super) fn take(&mut self, fact: Arc<Fact>) {
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
                Arc::make_mut(&mut self.begun).insert(procedure.clone());
                self.take_hazards(procedure, hazards);
            }
            Body::Acknowledged { step, hazards } => {
                self.take_hazards(&step.procedure, hazards);
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
                Arc::make_mut(&mut self.closed_out).insert(procedure.clone());
            }
            Body::Answered { step, .. } => self.mark_mut(step).answered = Some(n),
            Body::SignOff { .. } => self.signed_off = Some(n),
            Body::JobRelease { .. } => self.job_released = Some(n),
            Body::Closing { .. } => self.closed = true,
            Body::Plan(_) => self.planned = true,
            Body::Note { .. } | Body::Photograph { .. } | Body::Resume { .. } => {}
        }
        self.facts.push(fact);
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

    fn take_hazards(&mut self, procedure: &ProcedureId, hazards: &[HazardShown]) {
        let acknowledged = Arc::make_mut(&mut self.acknowledged);
        let known = acknowledged.entry(procedure.clone()).or_default();
        known.extend(hazards.iter().map(|hazard| hazard.id.clone()));
    }

    fn take_reading(&mut self, n: u64, reading: &ReadingTaken) {
        self.readings.set(&reading.step.procedure, &reading.name, n);
        if reading.verdict.fails() {
            self.fail_again(&reading.step, &Concern::Reading(reading.name.clone()));
        }
    }

    /// Deviations that were being measured again or reworked are open again when their value fails again.
    fn fail_again(&mut self, step: &StepRef, concern: &Concern) {
        self.set_courses(step, concern, Course::Open);
    }

    /// Whatever is not settled about this concern of the step.
    fn set_courses(&mut self, step: &StepRef, concern: &Concern, course: Course) {
        let unsettled: Vec<u64> = self.unsettled(step, concern).map(|one| one.n).collect();
        unsettled.into_iter().for_each(|n| self.set_course(n, course));
    }

    fn take_work(&mut self, n: u64, worked: &WorkedOut) {
        let Some(step) = &worked.step else { return };
        self.worked.set(&step.procedure, &worked.name, n);
        if worked.fails() {
            self.fail_again(step, &Concern::WorkOut(worked.name.clone()));
        }
    }

    fn take_done(&mut self, n: u64, step_ref: &StepRef) {
        self.mark_mut(step_ref).done = Some(n);
        let play = self.play.clone();
        let Some(step) = play.step(step_ref) else { return };
        if let Some(name) = &step.temporary {
            Arc::make_mut(&mut self.temporaries).insert(name.clone(), (n, None));
        }
        if let Some(name) = &step.restores
            && let Some((_, restored)) = Arc::make_mut(&mut self.temporaries).get_mut(name)
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
            self.readings.remove(&deviation.step.procedure, &name);
        }
        self.forget_work(&deviation.step);
        // A record that lies may name one that has ended.
        self.set_course(n, Course::Measuring);
        self.set_courses(&deviation.step, &deviation.concern, Course::Measuring);
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
        let facts = &self.facts;
        self.worked
            .retain(|n| work_of(facts, n).is_none_or(|worked| worked.step.as_ref() != Some(step)));
    }

    /// The steps are to be done again: marks and readings fall, the entries stay.
    fn reopen(&mut self, steps: &[StepRef]) {
        let open: BTreeSet<&StepRef> = steps.iter().collect();
        for step in &open {
            let marks = Arc::make_mut(&mut self.marks).get_mut(&step.procedure);
            marks.and_then(|marks| marks.remove(&step.step));
            Arc::make_mut(&mut self.closed_out).remove(&step.procedure);
        }
        let facts = &self.facts;
        let stands = |step: Option<&StepRef>| step.is_none_or(|step| !open.contains(step));
        self.readings
            .retain(|n| stands(reading_of(facts, n).map(|reading| &reading.step)));
        self.worked
            .retain(|n| stands(work_of(facts, n).and_then(|worked| worked.step.as_ref())));
        let reworked = self
            .deviations
            .unresolved()
            .filter(|one| open.contains(&one.step));
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
        work.push(fact.n);
    }

    fn mark_mut(&mut self, step: &StepRef) -> &mut Mark {
        let marks = Arc::make_mut(&mut self.marks);
        let marks = marks.entry(step.procedure.clone()).or_default();
        marks.entry(step.step.clone()).or_default()
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
