//! What was asked of a circuit, in the words of its author.

use super::figure::shown;
use crate::calc::Value;
use crate::player::Play;
use crate::player::fact::WorkedOut;
use crate::player::state::show;
use crate::procedure::Circuit;
use crate::procedure::circuit::{METER_INPUT, METER_OHM, PartKind, SOLVER};
use crate::say;
use crate::to_say;
use crate::words::Words;
use std::collections::BTreeMap;

/// What stands before a circuit's slug where a calculator's id would stand.
const MARK: &str = "circuit.";

/// A circuit's figure, and the circuit where the content at hand has it.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    worked: &'a WorkedOut,
    circuit: Option<&'a Circuit>,
    /// What its answers are called, where their author says so.
    labels: Option<&'a BTreeMap<String, String>>,
    words: &'a Words,
}

impl<'a> Asked<'a> {
    /// The figure as a circuit's; nothing where a calculator worked it out.
    #[must_use]
    pub fn of(worked: &'a WorkedOut, play: Option<&'a Play>, words: &'a Words) -> Option<Self> {
        let slug = worked.calculator.strip_prefix(MARK)?;
        Some(Self {
            worked,
            circuit: play.and_then(|play| play.shared.circuits.get(slug)),
            labels: play.and_then(|play| play.answer_labels(worked)),
            words,
        })
    }

    /// The circuit's title, or its slug where the circuit is not at hand.
    #[must_use]
    pub fn title(&self) -> String {
        let slug = || self.worked.calculator.trim_start_matches(MARK).to_owned();
        self.circuit.map_or_else(slug, |circuit| circuit.title.clone())
    }

    /// How it was worked out, in words.
    #[must_use]
    pub fn equation(&self) -> String {
        let given = self.worked.inputs.iter().find(|(name, _)| name == METER_INPUT);
        let meter = given.map_or_else(|| format!("{} MΩ", METER_OHM / 1e6), |(_, ohm)| show(ohm));
        say!(
            self.words,
            "Into every node flows as much current as out of it, and around every loop the voltages sum to nothing. A voltage is what a meter of {meter} shows. Least and greatest are the extremes over all tolerances.",
            meter = meter
        )
    }

    /// The laws, and the calculator behind copper wires.
    #[must_use]
    pub fn sources(&self) -> Vec<String> {
        let mut sources = vec![say!(self.words, "Kirchhoff's laws, nodal analysis")];
        let copper = |circuit: &Circuit| {
            let mut parts = circuit.parts.iter();
            parts.any(|part| part.kind == PartKind::Wire && part.has("gauge"))
        };
        if self.circuit.is_some_and(copper) {
            sources.push(say!(
                self.words,
                "Resistance of copper wire by the calculator wire-resistance"
            ));
        }
        sources
    }

    /// The givens by their labels, and the setting.
    #[must_use]
    pub fn inputs(&self) -> Vec<(String, String)> {
        let inputs = self.worked.inputs.iter();
        inputs
            .map(|(name, value)| (self.input_label(name), self.input_shown(name, value)))
            .collect()
    }

    /// A value; of a setting the parts as the diagram calls them.
    fn input_shown(&self, name: &str, value: &Value) -> String {
        let shown = shown(value, self.words);
        if !["closed", "out", "held"].contains(&name) {
            return shown;
        }
        let parts = self.circuit.map(|circuit| &circuit.looks.parts);
        let called = |part: &str| {
            let look = parts.and_then(|parts| parts.get(part));
            let label = look.and_then(|look| look.label.as_ref());
            label.map_or_else(|| part.to_owned(), |label| label.render(&|_| None))
        };
        shown.split(", ").map(called).collect::<Vec<_>>().join(", ")
    }

    fn input_label(&self, name: &str) -> String {
        match name {
            "closed" => return say!(self.words, "Switches closed"),
            "out" => return say!(self.words, "Parts taken out"),
            "held" => return say!(self.words, "Relays pulled in just before"),
            SOLVER => return say!(self.words, "Revision of the solver"),
            _ => {}
        }
        let (name, end) = split(name);
        let given = self.circuit.and_then(|circuit| circuit.given(name));
        let label = given.map_or_else(|| sentence(&name.replace('_', " ")), |given| given.label.clone());
        format!("{label}{}", self.words.say(end))
    }

    /// The answers by their names.
    #[must_use]
    pub fn outputs(&self) -> Vec<(String, String)> {
        let outputs = self.worked.outputs.iter();
        let label = |name: &str| {
            let (name, end) = split(name);
            format!("{}{}", sentence(&self.called(name)), self.words.say(end))
        };
        outputs
            .map(|(name, value)| (label(name), shown(value, self.words)))
            .collect()
    }

    /// An answer by its author's label, else by its name.
    fn called(&self, name: &str) -> String {
        let label = self.labels.and_then(|labels| labels.get(name));
        label.map_or_else(|| name.replace('_', " "), Clone::clone)
    }

    /// All answers in one line, each with its limits behind it.
    #[must_use]
    pub fn result(&self) -> String {
        let value = |name: &str| {
            let outputs = self.worked.outputs.iter();
            outputs
                .into_iter()
                .find(|(known, _)| known == name)
                .map(|(_, value)| value)
        };
        let one = |(name, middle): &(String, Value)| {
            let (words, shown) = (self.called(name), shown(middle, self.words));
            match (value(&format!("{name}_low")), value(&format!("{name}_high"))) {
                (Some(low), Some(high)) if low != high => {
                    let (low, high) = (show(low), show(high));
                    let span = say!(self.words, " ({low} to {high})", low = low, high = high);
                    format!("{words}: {shown}{span}")
                }
                _ => format!("{words}: {shown}"),
            }
        };
        let middles = self
            .worked
            .outputs
            .iter()
            .filter(|(name, _)| split(name).1.is_empty());
        middles.map(one).collect::<Vec<_>>().join("; ")
    }
}

/// A name without the end that it may stand for, and that end in words.
fn split(name: &str) -> (&str, &'static str) {
    for (end, words) in [("_low", to_say!(", least")), ("_high", to_say!(", greatest"))] {
        if let Some(name) = name.strip_suffix(end) {
            return (name, words);
        }
    }
    (name, "")
}

/// The words with a capital.
fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Quantity;

    fn value(text: &str) -> Value {
        Value::Quantity(Quantity::parse(text, None).expect("a quantity"))
    }

    #[test]
    fn answers_are_read_with_their_limits() {
        let named = |name: &str, value| (name.to_owned(), value);
        let worked = WorkedOut {
            step: None,
            name: "armed".into(),
            label: "Armed".into(),
            calculator: "circuit.feed".into(),
            revision: 1,
            inputs: vec![
                named("main_feed", value("12.6 V")),
                named("main_feed_low", value("12.5 V")),
                named("closed", Value::Text("ignition, arming".into())),
            ],
            outputs: vec![
                named("at_valve", value("12.5 V")),
                named("at_valve_low", value("12.4 V")),
                named("at_valve_high", value("12.6 V")),
                named("on", Value::Flag(true)),
            ],
            notes: vec![],
            judged: None,
        };
        let words = Words::english();
        let asked = Asked::of(&worked, None, &words).expect("a circuit's figure");
        assert_eq!(asked.result(), "at valve: 12.5 V (12.4 V to 12.6 V); on: yes");
        let labels = |lines: Vec<(String, String)>| -> Vec<String> {
            lines.into_iter().map(|(label, _)| label).collect()
        };
        assert_eq!(
            labels(asked.inputs()),
            ["Main feed", "Main feed, least", "Switches closed"]
        );
        let outputs = ["At valve", "At valve, least", "At valve, greatest", "On"];
        assert_eq!(labels(asked.outputs()), outputs);
        assert!(asked.equation().contains("10 MΩ"), "{}", asked.equation());
        let authors = BTreeMap::from([("at_valve".to_owned(), "at the valve's terminal".to_owned())]);
        let asked = Asked {
            labels: Some(&authors),
            ..asked
        };
        let result = "at the valve's terminal: 12.5 V (12.4 V to 12.6 V); on: yes";
        assert_eq!(asked.result(), result);
        assert_eq!(labels(asked.outputs())[1], "At the valve's terminal, least");
        let other = WorkedOut {
            calculator: "wire-drop".into(),
            ..worked.clone()
        };
        assert!(Asked::of(&other, None, &words).is_none());
    }
}
