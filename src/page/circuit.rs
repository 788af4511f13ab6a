//! What was asked of a circuit, in the words of its author.

use super::figure::shown;
use crate::calc::Value;
use crate::player::fact::WorkedOut;
use crate::player::state::show;
use crate::procedure::Circuit;
use crate::procedure::circuit::{METER_INPUT, METER_OHM, PartKind, SOLVER};
use crate::say;
use crate::to_say;
use crate::words::Words;
use std::collections::BTreeMap;

/// The circuits of the content, by their slugs.
pub type Circuits = BTreeMap<String, Circuit>;

/// What stands before a circuit's slug where a calculator's id would stand.
const MARK: &str = "circuit.";

/// A circuit's figure, and the circuit where the content at hand has it.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    worked: &'a WorkedOut,
    circuit: Option<&'a Circuit>,
    words: &'a Words,
}

impl<'a> Asked<'a> {
    /// The figure as a circuit's; nothing where a calculator worked it out.
    #[must_use]
    pub fn of(worked: &'a WorkedOut, circuits: &'a Circuits, words: &'a Words) -> Option<Self> {
        let slug = worked.calculator.strip_prefix(MARK)?;
        let circuit = circuits.get(slug);
        Some(Self {
            worked,
            circuit,
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
            .map(|(name, value)| (self.input_label(name), shown(value, self.words)))
            .collect()
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
        let label = given.map_or_else(|| sentence(name), |given| given.label.clone());
        format!("{label}{}", self.words.say(end))
    }

    /// The answers by their names.
    #[must_use]
    pub fn outputs(&self) -> Vec<(String, String)> {
        let outputs = self.worked.outputs.iter();
        let label = |name: &str| {
            let (name, end) = split(name);
            format!("{}{}", sentence(name), self.words.say(end))
        };
        outputs
            .map(|(name, value)| (label(name), shown(value, self.words)))
            .collect()
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
            let (words, shown) = (name.replace('_', " "), shown(middle, self.words));
            match (value(&format!("{name}_low")), value(&format!("{name}_high"))) {
                (Some(low), Some(high)) if low != high => {
                    let (low, high) = (show(low), show(high));
                    let span = say!(self.words, " ({low} to {high})", low = low, high = high);
                    format!("{words} {shown}{span}")
                }
                _ => format!("{words} {shown}"),
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

/// `before_trigger` as `Before trigger`.
fn sentence(name: &str) -> String {
    let words = name.replace('_', " ");
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
        let circuits = Circuits::new();
        let words = Words::english();
        let asked = Asked::of(&worked, &circuits, &words).expect("a circuit's figure");
        assert_eq!(asked.result(), "at valve 12.5 V (12.4 V to 12.6 V); on yes");
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
        let other = WorkedOut {
            calculator: "wire-drop".into(),
            ..worked.clone()
        };
        assert!(Asked::of(&other, &circuits, &words).is_none());
    }
}
