//! A reading taken, judged, and everything that follows from it.

use super::Fact;
use super::deviation::Concern;
use super::fact::{Body, InstrumentUsed, LimitsShown, Live, ReadingTaken, Verdict, WorkedOut};
use super::refusal::Refusal;
use super::state::{State, show_in};
use super::{instrument, judge, live, photo};
use crate::calc::Value;
use crate::procedure::circuit::Sight;
use crate::procedure::{GuardBand, Judged, Reading, ReadingKind, Step, StepRef, WorkOut};
use crate::quantity::Quantity;
use crate::say;
use crate::words::Words;
use std::borrow::Cow;
use std::sync::Arc;

/// A reading as it arrives.
pub(super) struct Typed {
    pub name: String,
    pub typed: String,
    pub instrument: Option<String>,
    pub live: Option<Box<Live>>,
    /// The person was asked whether it can be.
    pub confirmed: bool,
}

/// Takes a reading at the step: figures that its band rests on, the reading itself, its deviation
/// or resolution, and the figures that rest on it.
pub(super) fn read(state: &State, step: &Step, at: &StepRef, typed: &Typed) -> Result<Vec<Body>, Refusal> {
    let reading = step
        .read
        .iter()
        .find(|reading| reading.name == typed.name)
        .ok_or_else(|| Refusal::Reading {
            label: typed.name.clone(),
            why: say!(
                state.words(),
                "step {step} has no such reading; it has {names}",
                step = at,
                names = names(step)
            ),
        })?;
    let label = state.render(&reading.label);
    if state.reading(&at.procedure, &reading.name).is_some() {
        return Err(Refusal::ReadingThere { reading: label });
    }
    let mut bodies = work_outs(state, step, at, false)?;
    let ahead = ahead(state, &bodies);
    let taken = take(&ahead, reading, at, typed, label)?;
    bodies.extend(judged(&ahead, taken));
    if !step.work_out.is_empty() {
        let ahead = self::ahead(state, &bodies);
        bodies.extend(work_outs(&ahead, step, at, false)?);
    }
    Ok(bodies)
}

fn names(step: &Step) -> String {
    let names: Vec<&str> = step.read.iter().map(|reading| reading.name.as_str()).collect();
    if names.is_empty() {
        "none".into()
    } else {
        names.join(", ")
    }
}

/// The state with bodies that are decided but not yet facts: only numbers matter here.
pub(super) fn ahead<'s>(state: &'s State, bodies: &[Body]) -> Cow<'s, State> {
    if bodies.is_empty() {
        return Cow::Borrowed(state);
    }
    let mut next = state.clone();
    for body in bodies {
        let at = state.facts().last().map(|fact| fact.at).unwrap_or_default();
        let fact = Fact {
            n: next.next_number(),
            at,
            by: String::new(),
            body: body.clone(),
        };
        next.take(Arc::new(fact));
    }
    Cow::Owned(next)
}

fn take(
    state: &State,
    reading: &Reading,
    at: &StepRef,
    typed: &Typed,
    label: String,
) -> Result<ReadingTaken, Refusal> {
    let (value, shown) = understand(&reading.kind, typed, &label, state.words())?;
    let chosen = instrument::chosen(state, reading, typed.instrument.as_deref(), &value, &label)?;
    if let Some(said) = &typed.live {
        live::confirm(said, chosen, &value, &label, state.words())?;
    }
    let used = chosen.map(|instrument| instrument::used(state, instrument, &value));
    let outside = value
        .quantity()
        .is_some_and(|quantity| implausible(&reading.kind, &quantity));
    let judgement = judgement(state, reading, &value, used.as_ref(), &label)?;
    Ok(ReadingTaken {
        step: at.clone(),
        name: reading.name.clone(),
        label,
        typed: typed.typed.clone(),
        value,
        shown,
        instrument: used,
        live: typed.live.clone(),
        limits: judgement.limits.map(|limits| limits.for_kind(&reading.kind)),
        guard_band: judgement.guard_band,
        unjudged: judgement.unjudged,
        verdict: judgement.verdict,
        confirmed: typed.confirmed && outside,
    })
}

/// How a reading was judged, and by what.
struct Judgement {
    limits: Option<LimitsShown>,
    guard_band: Option<GuardBand>,
    unjudged: Option<String>,
    verdict: Verdict,
}

fn judgement(
    state: &State,
    reading: &Reading,
    value: &Value,
    used: Option<&InstrumentUsed>,
    label: &str,
) -> Result<Judgement, Refusal> {
    let band = match &reading.judged {
        Judged::Band(band) => band,
        Judged::Unjudged(reason) => {
            return Ok(Judgement {
                limits: None,
                guard_band: None,
                unjudged: Some(reason.clone()),
                verdict: Verdict::Unjudged,
            });
        }
    };
    let judged = match used.and_then(|used| used.uncertainty) {
        Some(uncertainty) => state.judge_guarded(band, value, uncertainty),
        None => state
            .judge(band, value)
            .map(|(limits, verdict)| (limits, None, verdict)),
    };
    let label = || label.to_owned();
    let (limits, guard_band, verdict) = judged.map_err(|why| Refusal::Figure { label: label(), why })?;
    Ok(Judgement {
        limits: Some(limits),
        guard_band,
        unjudged: None,
        verdict,
    })
}

fn understand(
    kind: &ReadingKind,
    entry: &Typed,
    label: &str,
    words: &Words,
) -> Result<(Value, String), Refusal> {
    let typed = entry.typed.as_str();
    let wrong = |why: String| Refusal::Reading {
        label: label.to_owned(),
        why,
    };
    let value = match kind {
        ReadingKind::Number { unit, from, to } => {
            let quantity = Quantity::parse(typed, Some(*unit)).map_err(|error| wrong(error.say(words)))?;
            if !entry.confirmed && implausible(kind, &quantity) {
                return Err(doubt(label, quantity, *from, *to));
            }
            Value::Quantity(quantity)
        }
        ReadingKind::YesNo => judge::yes_no(typed, words).map_err(wrong)?,
        ReadingKind::Choice(options) => judge::choice(typed, options, words).map_err(wrong)?,
        ReadingKind::Text { most } => judge::free_text(typed, *most, words).map_err(wrong)?,
        ReadingKind::Photo => Value::Text(photo::named(typed, words).map_err(wrong)?),
    };
    let shown = match (kind, &value) {
        (ReadingKind::Choice(options), Value::Text(key)) => judge::option_label(options, key),
        (ReadingKind::Photo, Value::Text(name)) => photo::shown(name, words),
        (_, Value::Quantity(quantity)) => quantity.to_string(),
        _ => show_in(&value, words),
    };
    Ok((value, shown))
}

/// Whether a value lies outside what the author holds possible.
fn implausible(kind: &ReadingKind, found: &Quantity) -> bool {
    match kind {
        ReadingKind::Number { from, to, .. } => found.si() < from.si() || found.si() > to.si(),
        _ => false,
    }
}

fn doubt(label: &str, found: Quantity, from: Quantity, to: Quantity) -> Refusal {
    Refusal::Implausible {
        label: label.to_owned(),
        shown: found.to_string(),
        from: from.to_string(),
        to: to.to_string(),
    }
}

fn judged(state: &State, taken: ReadingTaken) -> Vec<Body> {
    let n = state.next_number();
    let (at, concern) = (taken.step.clone(), Concern::Reading(taken.name.clone()));
    let fails = taken.verdict.fails();
    let what = || said_of(&taken, state.words());
    let follow = consequences(state, &at, &concern, fails, n, what);
    let mut bodies = vec![Body::Read(taken)];
    bodies.extend(follow);
    bodies
}

/// What a deviation says of a failing reading.
pub(super) fn said_of(taken: &ReadingTaken, words: &Words) -> String {
    let (Some(limits), label, shown) = (&taken.limits, &taken.label, &taken.shown) else {
        return String::new();
    };
    let band = limits.say(words);
    match (taken.verdict, &taken.guard_band, &taken.instrument) {
        (Verdict::Undecided, Some(guard_band), Some(used)) => say!(
            words,
            "{label}: {value} is too near a limit of its band ({band}) for {instrument} to tell (±{width})",
            label = label,
            value = shown,
            band = band,
            instrument = used.name,
            width = guard_band.width.shown(2)
        ),
        _ => not_in(label, shown, limits, words),
    }
}

/// What is told of a value outside its band.
fn not_in(label: &str, shown: &str, limits: &LimitsShown, words: &Words) -> String {
    let band = limits.say(words);
    say!(
        words,
        "{label}: {value} is not {band}",
        label = label,
        value = shown,
        band = band
    )
}

/// A new deviation for a failing value that has none, or the end of those that a value in its band resolves.
fn consequences(
    state: &State,
    at: &StepRef,
    concern: &Concern,
    fails: bool,
    n: u64,
    what: impl FnOnce() -> String,
) -> Vec<Body> {
    let mut had = state.unsettled(at, concern).peekable();
    if fails {
        let new = had.peek().is_none().then(|| Body::Deviation {
            step: at.clone(),
            concerns: Some(n),
            what: what(),
        });
        return new.into_iter().collect();
    }
    had.map(|deviation| Body::Resolved {
        deviation: deviation.n,
        by_entry: n,
    })
    .collect()
}

/// The figures of the step that can be worked out now and were not; at the end, all of them must be.
pub(super) fn work_outs(state: &State, step: &Step, at: &StepRef, all: bool) -> Result<Vec<Body>, Refusal> {
    let mut bodies = Vec::new();
    for work in &step.work_out {
        let ahead = ahead(state, &bodies);
        if ahead.worked(&at.procedure, &work.name).is_some() || (!all && !ready(&ahead, work)) {
            continue;
        }
        bodies.extend(work_out(&ahead, work, at)?);
    }
    Ok(bodies)
}

fn ready(state: &State, work: &WorkOut) -> bool {
    state.play().has_operands(
        &work.method,
        &Sight {
            value: &|reference| state.value(reference),
            holds: &|condition| state.holds(condition),
        },
    )
}

fn work_out(state: &State, work: &WorkOut, at: &StepRef) -> Result<Vec<Body>, Refusal> {
    let worked = worked(state, work, at)?;
    let n = state.next_number();
    let fails = worked.fails();
    let concern = Concern::WorkOut(work.name.clone());
    let what = || said(&worked, state.words());
    let follow = consequences(state, at, &concern, fails, n, what);
    let mut bodies = vec![Body::WorkedOut(worked)];
    bodies.extend(follow);
    Ok(bodies)
}

/// The figure as it comes out now, judged.
pub(super) fn worked(state: &State, work: &WorkOut, at: &StepRef) -> Result<WorkedOut, Refusal> {
    let label = state.render(&work.label);
    let outcome = state.play().work_out(
        &work.method,
        &Sight {
            value: &|reference| state.value(reference),
            holds: &|condition| state.holds(condition),
        },
    );
    let outcome = outcome.map_err(|why| Refusal::Figure {
        label: label.clone(),
        why,
    })?;
    let mut worked = WorkedOut::from_outcome(
        Some(at.clone()),
        &work.name,
        label.clone(),
        outcome,
        state.words(),
    );
    if let Some((output, band)) = &work.band {
        let value = worked
            .outputs
            .iter()
            .find(|(name, _)| name == output)
            .map(|(_, value)| value.clone());
        let none = || Refusal::Figure {
            label: label.clone(),
            why: say!(state.words(), "it has no output {output}", output = output),
        };
        let value = value.ok_or_else(none)?;
        let judged = state.judge(band, &value);
        let (limits, verdict) = judged.map_err(|why| Refusal::Figure { label, why })?;
        worked.judged = Some((output.clone(), limits, verdict));
    }
    Ok(worked)
}

/// What a deviation says of a failing figure.
pub(super) fn said(worked: &WorkedOut, words: &Words) -> String {
    let Some((output, limits, _)) = &worked.judged else {
        return worked.label.clone();
    };
    let value = worked
        .outputs
        .iter()
        .find(|(name, _)| name == output)
        .map_or_else(String::new, |(_, v)| show_in(v, words));
    not_in(&worked.label, &value, limits, words)
}

/// Whether a figure lies outside its band.
pub(super) fn any_fails(bodies: &[Body]) -> bool {
    bodies.iter().any(|body| match body {
        Body::WorkedOut(worked) => worked.fails(),
        _ => false,
    })
}
