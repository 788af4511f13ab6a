//! A figure with its way: what it was made from, by which equation, how it was judged, and its plot.

use super::circuit::Asked;
use super::gauge::Gauge;
use super::plot::{self, Plot};
use crate::calc::Value;
use crate::player::fact::{LimitsShown, Verdict, WorkedOut};
use crate::player::state::show;
use crate::player::{Play, State};
use crate::say;
use crate::words::Words;

/// A figure worked out at the step, with its way: inputs, equation, source, result.
#[derive(Clone, Debug)]
pub struct FigureView {
    pub label: String,
    /// The judged output, or all of them where none is judged.
    pub result: String,
    pub verdict: Option<Verdict>,
    pub gauge: Option<Gauge>,
    pub band: String,
    pub calculator: String,
    pub equation: String,
    pub inputs: Vec<(String, String)>,
    pub outputs: Vec<(String, String)>,
    pub sources: Vec<String>,
    pub notes: Vec<String>,
    /// The figure drawn, where its calculator has a plot.
    pub plot: Option<Plot>,
}

/// A figure with its way and its plot.
#[must_use]
pub fn figure_drawn(state: &State, worked: &WorkedOut) -> FigureView {
    FigureView {
        plot: plot::figure(state, worked),
        ..figure_view(worked, Some(state.play()), state.words())
    }
}

/// A figure with its way in words; `play` is the content it was worked out from, where it is at hand.
#[must_use]
pub fn figure_view(worked: &WorkedOut, play: Option<&Play>, words: &Words) -> FigureView {
    let view = calculator_view(worked, words);
    let Some(asked) = Asked::of(worked, play, words) else {
        return view;
    };
    FigureView {
        result: if view.verdict.is_some() {
            view.result
        } else {
            asked.result()
        },
        calculator: asked.title(),
        equation: asked.equation(),
        inputs: asked.inputs(),
        outputs: asked.outputs(),
        sources: asked.sources(),
        ..view
    }
}

fn calculator_view(worked: &WorkedOut, words: &Words) -> FigureView {
    let spec = crate::calc::find(&worked.calculator).map(|calculator| calculator.spec);
    let label = |of: fn(&crate::calc::Spec, &str) -> String, name: &str| {
        spec.map_or_else(
            || name.replace('_', " "),
            |spec| words.say(&of(spec, name)).to_owned(),
        )
    };
    let lines = |values: &[(String, Value)], of: fn(&crate::calc::Spec, &str) -> String| {
        values
            .iter()
            .map(|(name, value)| (label(of, name), shown(value, words)))
            .collect()
    };
    let judged = worked.judged.as_ref();
    FigureView {
        label: worked.label.clone(),
        result: result(worked, words),
        verdict: judged.map(|(_, _, verdict)| *verdict),
        gauge: judged.and_then(|(output, limits, _)| figure_gauge(worked, output, limits, words)),
        band: judged.map_or_else(String::new, |(_, limits, _)| limits.say(words)),
        calculator: spec.map_or_else(
            || worked.calculator.clone(),
            |spec| words.say(spec.title).to_owned(),
        ),
        equation: spec.map_or_else(String::new, |spec| spec.equation.to_owned()),
        inputs: lines(&worked.inputs, crate::calc::Spec::input_label),
        outputs: lines(&worked.outputs, crate::calc::Spec::output_label),
        sources: spec.map_or_else(Vec::new, |spec| spec.sources.iter().map(source_line).collect()),
        notes: worked.notes.clone(),
        plot: None,
    }
}

/// A source with its locator and how far it can be trusted.
#[must_use]
pub fn source_line(source: &crate::calc::Source) -> String {
    format!("{}, {} ({})", source.key, source.locator, source.mark.in_words())
}

/// A value as a person reads it.
#[must_use]
pub fn shown(value: &Value, words: &Words) -> String {
    match value {
        Value::Flag(true) => say!(words, "yes"),
        Value::Flag(false) => say!(words, "no"),
        // A calculator answers in words of its own.
        Value::Text(text) => words.say(text).to_owned(),
        Value::Quantity(_) => show(value),
    }
}

/// The judged output; where none is judged, all of them with their names, since a bare number says nothing.
fn result(worked: &WorkedOut, words: &Words) -> String {
    let judged = worked.judged.as_ref().map(|(output, _, _)| output);
    let outputs = worked.outputs.iter();
    let wanted: Vec<&(String, Value)> = outputs
        .filter(|(name, _)| judged.is_none_or(|output| output == name))
        .collect();
    if let [(_, value)] = wanted.as_slice() {
        return shown(value, words);
    }
    let spec = crate::calc::find(&worked.calculator).map(|calculator| calculator.spec);
    let label = |name: &str| {
        spec.map_or_else(
            || name.replace('_', " "),
            |spec| words.say(&spec.output_label(name)).to_owned(),
        )
    };
    let named = wanted
        .iter()
        .map(|(name, value)| format!("{} {}", label(name), shown(value, words)));
    named.collect::<Vec<_>>().join("; ")
}

fn figure_gauge(worked: &WorkedOut, output: &str, limits: &LimitsShown, words: &Words) -> Option<Gauge> {
    let (_, value) = worked.outputs.iter().find(|(name, _)| name == output)?;
    match value {
        Value::Quantity(quantity) => {
            let gauge = Gauge::new(limits, quantity.unit(), Some(*quantity))?;
            Some(gauge.said(limits, words))
        }
        _ => None,
    }
}
