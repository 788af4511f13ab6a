//! A deviation: the first value, the band, where it came from, and the three ways on.

use super::gauge::Gauge;
use super::step;
use super::strip::{self, Strip};
use crate::player::deviation::{Concern, Deviation};
use crate::player::{State, photo};
use crate::procedure::StepRef;

/// A deviation as it is shown.
#[derive(Clone, Debug)]
pub struct DeviationPage {
    pub number: u64,
    pub step: Option<StepRef>,
    pub command: String,
    /// What is wrong, in one sentence.
    pub what: String,
    pub gauge: Option<Gauge>,
    pub band: String,
    pub origin: String,
    /// The author's sentence on why it matters.
    pub because: String,
    /// Why a reading in its band is not accepted, and what to do; empty for a value outside it.
    pub undecided: String,
    /// Whether something was measured at this step that can be measured again.
    pub can_measure_again: bool,
    /// The steps that a rework opens again, by their commands.
    pub rework_reopens: Vec<String>,
    /// How many photographs the record holds of its step.
    pub photos: usize,
    /// Why no supervisor may accept it; then concession is not offered.
    pub no_concession: Option<String>,
    pub strip: Strip,
}

/// The page of the deviation with this number.
#[must_use]
pub fn page(state: &State, number: u64) -> DeviationPage {
    let deviation = state.deviations().get(number);
    let (gauge, band, origin, because) =
        deviation.map_or_else(Default::default, |deviation| band(state, deviation));
    let found = deviation.and_then(|deviation| state.play().step(&deviation.step));
    let measured = deviation.is_some_and(|deviation| match deviation.concern {
        Concern::Reading(_) => true,
        Concern::WorkOut(_) => found.is_some_and(|step| !step.read.is_empty()),
        Concern::NotAsWritten => false,
    });
    DeviationPage {
        number,
        step: deviation.map(|deviation| deviation.step.clone()),
        command: found.map_or_else(String::new, |step| state.render(&step.command)),
        what: deviation.map_or_else(String::new, |deviation| deviation.what.clone()),
        gauge,
        band,
        origin,
        because,
        undecided: deviation.map_or_else(String::new, |deviation| undecided(state, deviation)),
        can_measure_again: measured,
        rework_reopens: deviation.map_or_else(Vec::new, |deviation| reopens(state, deviation)),
        photos: deviation.map_or(0, |deviation| photo::of_step(state, &deviation.step).count()),
        no_concession: deviation.and_then(|deviation| deviation.no_concession.clone()),
        strip: strip::strip(state),
    }
}

fn undecided(state: &State, deviation: &Deviation) -> String {
    let Concern::Reading(name) = &deviation.concern else {
        return String::new();
    };
    let taken = state.reading(&deviation.step.procedure, name);
    taken.map_or_else(String::new, |(_, taken)| step::undecided(taken, state.words()))
}

fn band(state: &State, deviation: &Deviation) -> (Option<Gauge>, String, String, String) {
    let at = &deviation.step;
    match &deviation.concern {
        Concern::Reading(name) => {
            let reading = state
                .play()
                .step(at)
                .and_then(|step| step.read.iter().find(|r| r.name == *name));
            let taken = state.reading(&at.procedure, name).map(|(_, taken)| taken);
            let view = reading.map(|reading| step::reading_view(state, at, reading));
            let because = taken
                .and_then(|taken| taken.limits.as_ref()?.because.clone())
                .unwrap_or_default();
            view.map_or_else(Default::default, |view| {
                (view.gauge, view.band, view.origin, because)
            })
        }
        Concern::WorkOut(name) => {
            let worked = state.worked(&at.procedure, name).map(|(_, worked)| worked);
            let limits = worked
                .and_then(|worked| worked.judged.as_ref())
                .map(|(_, limits, _)| limits.clone());
            let view = worked.map(|worked| step::figure_view(worked, Some(state.play()), state.words()));
            let (origin, because) =
                limits.map_or_else(Default::default, |l| (l.origin, l.because.unwrap_or_default()));
            let origin = if says_itself(state, at, name) {
                String::new()
            } else {
                origin
            };
            view.map_or_else(Default::default, |view| (view.gauge, view.band, origin, because))
        }
        Concern::NotAsWritten => Default::default(),
    }
}

/// Whether the band of a figure says all by itself.
fn says_itself(state: &State, at: &StepRef, figure: &str) -> bool {
    let step = state.play().step(at);
    let mut work = step.into_iter().flat_map(|step| &step.work_out);
    let band = work.find_map(|work| work.band.as_ref().filter(|_| work.name == figure));
    band.is_some_and(|(_, band)| band.says_itself(None))
}

fn reopens(state: &State, deviation: &Deviation) -> Vec<String> {
    let mut first = vec![deviation.step.clone()];
    let step = state.play().step(&deviation.step);
    first.extend(step.into_iter().flat_map(|step| step.reopens.iter().cloned()));
    let open = crate::player::depend::reopened(state, &first, &std::collections::BTreeSet::new());
    let commands = open
        .iter()
        .filter_map(|at| state.play().step(at))
        .map(|step| state.render(&step.command));
    commands.collect()
}
