//! How an instrument of the register is asked for its values.
//!
//! ```
//! let text = r#"
//! register:
//!   - id: meter-1
//!     kind: volt-meter
//!     name: Bench meter
//!     serial: VM-0093
//!     range: { from: 0 V, to: 60 V }
//!     resolution: 1 mV
//!     calibrated: 2026-03-02
//!     due: 2027-03-02
//!     meter: { at: "tcp://192.0.2.7:5025", asks: { V: "MEAS:VOLT:DC?" } }
//! "#;
//! let register = witnessmark::procedure::register(text).unwrap();
//! let line = register[0].meter.as_ref().unwrap();
//! assert_eq!(line.units_in_words(), "V");
//! ```

use super::form::register::METER;
use super::model::Instrument;
use super::read::{Map, Reader};
use crate::content::{Key, Node};
use crate::diagnostic::quoted;
use crate::quantity::Unit;
use crate::scpi::{Address, Query};
use std::fmt::Display;
use std::str::FromStr;

/// Where a meter is reached, and what it is asked for each unit in which it answers.
#[derive(Clone, Debug, PartialEq)]
pub struct MeterLine {
    pub at: Address,
    pub asks: Vec<(Unit, Query)>,
}

impl MeterLine {
    /// The question whose answer comes in this unit, or else in another one of its dimension.
    #[must_use]
    pub fn question_for(&self, unit: Unit) -> Option<(Unit, &Query)> {
        let same = |(asked, _): &&(Unit, Query)| *asked == unit;
        let alike = |(asked, _): &&(Unit, Query)| asked.dimension() == unit.dimension();
        let found = self
            .asks
            .iter()
            .find(same)
            .or_else(|| self.asks.iter().find(alike));
        found.map(|(unit, query)| (*unit, query))
    }

    /// `V, mV`
    #[must_use]
    pub fn units_in_words(&self) -> String {
        let units: Vec<&str> = self.asks.iter().map(|(unit, _)| unit.symbol()).collect();
        units.join(", ")
    }
}

impl Reader<'_> {
    /// `{ at: "tcp://192.0.2.7:5025", asks: { V: "MEAS:VOLT:DC?" } }`
    pub(super) fn meter(&mut self, node: &Node) -> Option<MeterLine> {
        let map = self.map(node, &METER)?;
        let at = map
            .get("at")
            .and_then(|node| self.written::<Address>(node, "the address of a meter"));
        let entries = map
            .get("asks")
            .and_then(|node| self.entries(node, "questions by their unit"))?;
        let asks: Option<Vec<_>> = entries.iter().map(|(key, node)| self.asks(key, node)).collect();
        self.asked_once(entries);
        if entries.is_empty() {
            let spot = map.spot_of("asks");
            let fault = self.found(
                spot,
                "missing-key",
                "a meter that is asked nothing",
                "`V: \"MEAS:VOLT:DC?\"`",
            );
            self.report(fault);
            return None;
        }
        Some(MeterLine { at: at?, asks: asks? })
    }

    /// A question for two units would leave open in which of them its answer comes.
    fn asked_once(&mut self, entries: &[(Key, Node)]) {
        let text = |node: &Node| node.scalar().map(|text| text.trim().to_owned());
        for (place, (_, node)) in entries.iter().enumerate() {
            let asked = text(node).filter(|asked| {
                let mut before = entries[..place].iter();
                before.any(|(_, other)| text(other).as_ref() == Some(asked))
            });
            if let Some(asked) = asked {
                let found = format!("the question {} for a second unit", quoted(&asked));
                let fault = self.found(node.spot, "duplicate-id", found, "each question for one unit");
                self.report(fault);
            }
        }
    }

    fn asks(&mut self, key: &Key, node: &Node) -> Option<(Unit, Query)> {
        let query = self.written::<Query>(node, "a question to the meter");
        let Some(unit) = Unit::find(&key.text) else {
            let expected = "the unit in which the meter answers";
            let fault = self.found(key.spot, "unknown-unit", quoted(&key.text), expected);
            self.report(fault);
            return None;
        };
        Some((unit, query?))
    }

    /// A scalar of a form of its own.
    fn written<T: FromStr<Err: Display>>(&mut self, node: &Node, what: &str) -> Option<T> {
        let text = self.scalar(node, what)?;
        match text.parse() {
            Ok(value) => Some(value),
            Err(error) => {
                // Both errors say what was found and what is allowed; the first stands in the fault already.
                let says = error.to_string();
                let expected = says
                    .split_once(", expected ")
                    .map_or(says.as_str(), |(_, expected)| expected);
                let fault = self.found(node.spot, "wrong-type", quoted(text), expected);
                self.report(fault);
                None
            }
        }
    }

    /// The meter answers in units of what the instrument measures.
    pub(super) fn meter_fits(&mut self, map: &Map, instrument: &Instrument) {
        let Some(line) = &instrument.meter else {
            return;
        };
        let measured = instrument.from.dimension();
        for (unit, _) in &line.asks {
            if unit.dimension() != measured {
                let found = format!("a question answered in {}", unit.symbol());
                let expected = format!("a unit of {}, as the range is", measured.name());
                let fault = self.found(map.spot_of("meter"), "unit-mismatch", found, &expected);
                self.report(fault);
            }
        }
    }
}
