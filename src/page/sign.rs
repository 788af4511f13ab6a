//! Pages that end in a person's word: what stands before a procedure, witness and hold points,
//! the end of a procedure and of the job, and the question of a practice run.

use super::gauge::Gauge;
use super::hazard::{self, HazardPanel};
use super::plot::Plot;
use super::strip::{self, Strip};
use crate::player::deviation::{Course, Deviation};
use crate::player::fact::{Body, Verdict};
use crate::player::{Prompt, State, wording};
use crate::procedure::{ProcedureId, StepRef, Text};
use crate::say;
use crate::words::Words;

/// What stands before a procedure.
#[derive(Clone, Debug)]
pub struct BeforePage {
    pub procedure: ProcedureId,
    pub title: String,
    /// The procedure's place in the job, from 1, among those that apply.
    pub number: usize,
    pub of: usize,
    pub conditions: Vec<String>,
    pub people: Vec<String>,
    pub tools: Vec<String>,
    pub hazards: Vec<HazardPanel>,
    pub strip: Strip,
}

/// A hold or witness point: what was done, and by whom.
#[derive(Clone, Debug)]
pub struct PointPage {
    pub step: StepRef,
    pub procedure_title: String,
    pub command: String,
    /// What the supervisor looks at.
    pub says: String,
    /// What deviated stands first, for whoever signs must not miss it; then the others in the order of the work.
    pub covered: Vec<CoveredLine>,
    /// Who did the work, and therefore cannot release it.
    pub workers: Vec<String>,
    pub strip: Strip,
}

/// One covered step.
#[derive(Clone, Debug, PartialEq)]
pub struct CoveredLine {
    pub step: StepRef,
    pub command: String,
    /// Who worked on it, each once, in the order in which they came to it.
    pub by: Vec<String>,
    /// Readings and figures with how they were judged.
    pub values: Vec<CoveredValue>,
    /// What deviated at this step, and how it stands.
    pub deviations: Vec<DeviationLine>,
}

/// A deviation with how it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DeviationLine {
    /// The entry that opened it.
    pub n: u64,
    pub what: String,
    pub course: Course,
    /// Who accepted it, by their id, and for which reason.
    pub accepted: Option<(String, String)>,
}

impl DeviationLine {
    /// The deviation in a sentence, with people as `name` calls them.
    #[must_use]
    pub fn say(&self, name: &dyn Fn(&str) -> String, words: &Words) -> String {
        let course = match (self.course, &self.accepted) {
            (_, Some((by, reason))) => {
                let whom = format!("{}: {reason}", name(by));
                say!(words, "accepted by {whom}", whom = whom)
            }
            (Course::Conceded(_), None) => {
                say!(words, "accepted by {whom}", whom = say!(words, "a supervisor"))
            }
            (Course::Open, _) => say!(words, "a decision is wanted"),
            (Course::Measuring, _) => say!(words, "being measured again"),
            (Course::Reworking, _) => say!(words, "being reworked"),
            (Course::Resolved(n), _) => say!(words, "resolved by entry {n}", n = n),
        };
        say!(
            words,
            "Deviation {n}: {what} ({course})",
            n = self.n,
            what = self.what,
            course = course
        )
    }
}

/// One reading or figure of a covered step.
#[derive(Clone, Debug, PartialEq)]
pub struct CoveredValue {
    pub label: String,
    pub shown: String,
    pub band: String,
    pub verdict: Option<Verdict>,
    /// The instrument of a measured value with its uncertainty there; else empty.
    pub with: String,
    /// Where a band judges a number: the value on its scale.
    pub gauge: Option<Gauge>,
    /// A figure drawn, where its calculator has a plot.
    pub plot: Option<Plot>,
}

/// The question of a practice run.
#[derive(Clone, Debug)]
pub struct QuestionPage {
    pub step: StepRef,
    pub ask: String,
    /// What each answer says, whether it is right, and why.
    pub answers: Vec<(String, bool, String)>,
    pub strip: Strip,
}

/// The end of a procedure.
#[derive(Clone, Debug)]
pub struct LinesPage {
    pub procedure: ProcedureId,
    pub title: String,
    pub lines: Vec<String>,
    pub strip: Strip,
}

/// The end of the job.
#[derive(Clone, Debug)]
pub struct EndPage {
    pub title: String,
    pub caution: String,
    pub prompt: Prompt,
    pub sign_off_statement: String,
    pub release_statement: String,
    /// Each deviation with how it ended.
    pub deviations: Vec<DeviationLine>,
    pub unrestored: Vec<String>,
    pub workers: Vec<String>,
    pub entries: u64,
    pub signed_off: bool,
    pub released: bool,
    pub closed: bool,
    pub practice: bool,
    pub strip: Strip,
}

/// What stands before the procedure.
#[must_use]
pub fn before(state: &State, id: &ProcedureId) -> BeforePage {
    let play = state.play().clone();
    let applying: Vec<&ProcedureId> = state.plan().map(|(procedure, _)| &procedure.id).collect();
    let procedure = play.procedure(id).map(|(procedure, _)| procedure);
    let before = procedure
        .map(|procedure| procedure.before.clone())
        .unwrap_or_default();
    let lines = |texts: &[Text]| texts.iter().map(|text| state.render(text)).collect();
    BeforePage {
        procedure: id.clone(),
        title: procedure.map_or_else(String::new, |procedure| procedure.title.clone()),
        number: applying
            .iter()
            .position(|other| *other == id)
            .map_or(0, |place| place + 1),
        of: applying.len(),
        conditions: lines(&before.conditions),
        people: lines(&before.people),
        tools: wording::tools(state, &before.tools),
        hazards: hazard::panels(state, &before.hazards),
        strip: strip::strip(state),
    }
}

/// The witness point of the step.
#[must_use]
pub fn witness(state: &State, at: &StepRef) -> PointPage {
    point(state, at, |step| step.witness.as_ref())
}

/// The hold point of the step.
#[must_use]
pub fn hold(state: &State, at: &StepRef) -> PointPage {
    point(state, at, |step| step.hold.as_ref())
}

fn point(
    state: &State,
    at: &StepRef,
    which: impl Fn(&crate::procedure::Step) -> Option<&crate::procedure::Point>,
) -> PointPage {
    let play = state.play().clone();
    let step = play.step(at);
    let point = step.and_then(which);
    let covers: Vec<StepRef> = point.map_or_else(Vec::new, |point| state.covered(at, point));
    let mut workers: Vec<String> = covers
        .iter()
        .flat_map(|step| state.work_on(step))
        .map(|(_, by)| by.to_owned())
        .collect();
    workers.sort();
    workers.dedup();
    let mut covered: Vec<CoveredLine> = covers.iter().map(|step| covered_at(state, step)).collect();
    covered.sort_by_key(|line| line.deviations.is_empty());
    PointPage {
        step: at.clone(),
        procedure_title: play
            .procedure(&at.procedure)
            .map_or_else(String::new, |(p, _)| p.title.clone()),
        command: step.map_or_else(String::new, |step| state.render(&step.command)),
        says: point.map_or_else(String::new, |point| state.render(&point.says)),
        covered,
        workers,
        strip: strip::strip(state),
    }
}

/// What was done at a step.
#[must_use]
pub fn covered_at(state: &State, at: &StepRef) -> CoveredLine {
    let step = state.play().step(at);
    let mut by: Vec<String> = Vec::new();
    for (_, who) in state.work_on(at) {
        if !by.iter().any(|known| known == who) {
            by.push(who.to_owned());
        }
    }
    CoveredLine {
        step: at.clone(),
        command: step.map_or_else(String::new, |step| state.render(&step.command)),
        by,
        values: step.map_or_else(Vec::new, |step| values(state, at, step)),
        deviations: deviations(state)
            .into_iter()
            .filter(|(step, _)| step == at)
            .map(|(_, line)| line)
            .collect(),
    }
}

fn values(state: &State, at: &StepRef, step: &crate::procedure::Step) -> Vec<CoveredValue> {
    let readings = step.read.iter().filter_map(|reading| {
        let (_, taken) = state.reading(&at.procedure, &reading.name)?;
        Some(CoveredValue {
            label: taken.label.clone(),
            shown: taken.shown.clone(),
            band: taken
                .limits
                .as_ref()
                .map_or_else(String::new, |limits| limits.say(state.words())),
            verdict: Some(taken.verdict),
            with: super::instrument::taken_with(taken, state.words()),
            gauge: super::step::reading_view(state, at, reading).gauge,
            plot: None,
        })
    });
    let figures = step.work_out.iter().filter_map(|work| {
        let (_, worked) = state.worked(&at.procedure, &work.name)?;
        let view = super::step::figure_drawn(state, worked);
        Some(CoveredValue {
            shown: view.result,
            label: view.label,
            band: view.band,
            verdict: view.verdict,
            with: String::new(),
            gauge: view.gauge,
            plot: view.plot,
        })
    });
    readings.chain(figures).collect()
}

/// Every deviation of the job with its step.
#[must_use]
pub fn deviations(state: &State) -> Vec<(StepRef, DeviationLine)> {
    let line = |deviation: &Deviation| {
        let line = DeviationLine {
            n: deviation.n,
            what: deviation.what.clone(),
            course: deviation.course,
            accepted: accepted(state, deviation.course),
        };
        (deviation.step.clone(), line)
    };
    state.deviations().iter().map(line).collect()
}

fn accepted(state: &State, course: Course) -> Option<(String, String)> {
    let Course::Conceded(n) = course else {
        return None;
    };
    let fact = state.facts().get(usize::try_from(n).ok()?)?;
    match &fact.body {
        Body::Concession { reason, .. } => Some((fact.by.clone(), reason.clone())),
        _ => None,
    }
}

/// The question of the step.
#[must_use]
pub fn question(state: &State, at: &StepRef) -> QuestionPage {
    let found = state.play().step(at).and_then(|step| step.question.clone());
    let answers = found.iter().flat_map(|question| &question.answers);
    QuestionPage {
        step: at.clone(),
        ask: found
            .as_ref()
            .map_or_else(String::new, |question| question.ask.clone()),
        answers: answers
            .map(|answer| (answer.says.clone(), answer.right, answer.because.clone()))
            .collect(),
        strip: strip::strip(state),
    }
}

/// The end of the procedure.
#[must_use]
pub fn close_out(state: &State, id: &ProcedureId) -> LinesPage {
    let procedure = state.play().procedure(id).map(|(procedure, _)| procedure);
    let lines = procedure.iter().flat_map(|procedure| &procedure.close_out);
    LinesPage {
        procedure: id.clone(),
        title: procedure.map_or_else(String::new, |procedure| procedure.title.clone()),
        lines: lines.map(|line| state.render(line)).collect(),
        strip: strip::strip(state),
    }
}

/// The end of the job.
#[must_use]
pub fn end(state: &State) -> EndPage {
    let mut workers: Vec<String> = state
        .play()
        .steps()
        .flat_map(|(at, ..)| {
            state
                .work_on(&at)
                .map(|(_, by)| by.to_owned())
                .collect::<Vec<_>>()
        })
        .collect();
    workers.sort();
    workers.dedup();
    EndPage {
        title: state.play().job.title.clone(),
        caution: state.play().job.caution.clone(),
        prompt: state.prompt(),
        sign_off_statement: state.words().say(wording::SIGN_OFF).to_owned(),
        release_statement: state.words().say(wording::JOB_RELEASE).to_owned(),
        deviations: deviations(state).into_iter().map(|(_, line)| line).collect(),
        unrestored: state.unrestored().map(str::to_owned).collect(),
        workers,
        entries: state.next_number(),
        signed_off: state.signed_off().is_some(),
        released: state.job_released().is_some(),
        closed: state.closed(),
        practice: state.practice(),
        strip: strip::strip(state),
    }
}
