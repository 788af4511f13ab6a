//! What the facts of a job add up to, counted without the player: the law is read off this.

use std::collections::{BTreeMap, BTreeSet};

use witnessmark::player::fact::Verdict;
use witnessmark::player::{Body, Fact};
use witnessmark::procedure::StepRef;

use crate::shop::TOMASZ;

/// What the facts say, without the state's own bookkeeping.
#[derive(Default)]
pub struct Account {
    done: BTreeMap<StepRef, u64>,
    released: BTreeMap<StepRef, (u64, String, Vec<u64>)>,
    witnessed: BTreeSet<StepRef>,
    open: BTreeSet<u64>,
    /// Readings too near to a limit for their gauge, and not yet taken again, done again or conceded.
    undecided: BTreeMap<(StepRef, String), u64>,
    /// What each deviation concerns.
    concerns: BTreeMap<u64, (StepRef, String)>,
    read: BTreeMap<u64, String>,
    planned: Vec<(StepRef, bool, bool)>,
    by: BTreeMap<u64, String>,
    work: BTreeSet<u64>,
    signed: Option<u64>,
    job_released: Option<(u64, String)>,
}

impl Account {
    pub fn of<'a>(facts: impl Iterator<Item = &'a std::sync::Arc<Fact>>) -> Account {
        let mut account = Account::default();
        for fact in facts {
            account.by.insert(fact.n, fact.by.clone());
            account.take(fact);
        }
        account
    }

    fn fall(&mut self, steps: &[StepRef]) {
        for step in steps {
            self.done.remove(step);
            self.released.remove(step);
            self.witnessed.remove(step);
            self.undecided.retain(|(at, _), _| at != step);
        }
    }

    fn take(&mut self, fact: &Fact) {
        match &fact.body {
            Body::Card(card) => self.fall(&card.reopens),
            Body::Plan(plan) => {
                let steps = plan.iter().flat_map(|procedure| &procedure.steps);
                self.planned = steps
                    .map(|step| (step.step.clone(), step.hold, step.witness))
                    .collect();
            }
            Body::Done { step, .. } => {
                self.done.insert(step.clone(), fact.n);
                self.work.insert(fact.n);
            }
            Body::Read(taken) => {
                self.work.insert(fact.n);
                self.read.insert(fact.n, taken.name.clone());
                let key = (taken.step.clone(), taken.name.clone());
                match taken.verdict {
                    Verdict::Undecided => self.undecided.insert(key, fact.n),
                    _ => self.undecided.remove(&key),
                };
            }
            Body::WorkedOut(_) | Body::Acknowledged { .. } => {
                self.work.insert(fact.n);
            }
            Body::Deviation { step, concerns, .. } => {
                self.open.insert(fact.n);
                self.work.insert(fact.n);
                if let Some(name) = concerns.and_then(|entry| self.read.get(&entry)) {
                    self.concerns.insert(fact.n, (step.clone(), name.clone()));
                }
            }
            Body::Resolved { deviation, .. } => {
                self.open.remove(deviation);
            }
            Body::Concession { deviation, .. } => {
                self.open.remove(deviation);
                if let Some(key) = self.concerns.get(deviation) {
                    self.undecided.remove(key);
                }
            }
            Body::Rework { reopens, .. } => {
                self.fall(reopens);
                self.work.insert(fact.n);
            }
            Body::MeasureAgain { .. } => {
                self.work.insert(fact.n);
            }
            Body::SendBack { reopens, .. } => {
                self.fall(reopens);
                self.signed = None;
            }
            Body::Witness { step, .. } => {
                self.witnessed.insert(step.clone());
            }
            Body::Release { step, covers, .. } => {
                self.released
                    .insert(step.clone(), (fact.n, fact.by.clone(), covers.clone()));
            }
            Body::SignOff { .. } => self.signed = Some(fact.n),
            Body::JobRelease { .. } => self.job_released = Some((fact.n, fact.by.clone())),
            _ => {}
        }
    }

    /// What is wrong with a closed job.
    pub fn faults(&self) -> Vec<String> {
        let mut faults = Vec::new();
        for (step, hold, witness) in &self.planned {
            if !self.done.contains_key(step) {
                faults.push(format!("step {step} is not accounted for"));
            }
            if *hold && !self.released.contains_key(step) {
                faults.push(format!("the hold point at {step} is not released"));
            }
            if *witness && !self.witnessed.contains(step) {
                faults.push(format!("the witness point at {step} was passed over"));
            }
        }
        for (step, (n, by, covers)) in &self.released {
            if by != TOMASZ {
                faults.push(format!("{by} released {step}"));
            }
            if covers
                .iter()
                .any(|entry| self.by.get(entry) == Some(by) || entry >= n)
            {
                faults.push(format!(
                    "the release of {step} covers the releaser's own or later entries"
                ));
            }
            if self.done.get(step).is_none_or(|done| done > n) {
                faults.push(format!("{step} was released before it was done"));
            }
        }
        faults.extend(self.open.iter().map(|n| format!("deviation {n} is open")));
        let planned = |step: &StepRef| self.planned.iter().any(|(at, ..)| at == step);
        let undecided = self.undecided.iter().filter(|((step, _), _)| planned(step));
        faults.extend(undecided.map(|((step, name), n)| format!("{step}.{name} at entry {n} is undecided")));
        if self.signed.is_none() {
            faults.push("nobody signed the work off".into());
        }
        match &self.job_released {
            Some((_, by)) if by == TOMASZ && !self.work.iter().any(|n| self.by.get(n) == Some(by)) => {}
            other => faults.push(format!("the job's release is {other:?}")),
        }
        faults
    }
}
