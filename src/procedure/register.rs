//! The shop's register of instruments: `instruments.yaml` in the shop's folder.
//!
//! ```
//! let text = "
//! register:
//!   - id: gauge-1
//!     kind: pressure-gauge
//!     name: Fuel gauge, red hose
//!     serial: PG-0417
//!     range: { from: 0 bar, to: 10 bar }
//!     resolution: 0.05 bar
//!     calibrated: 2026-03-02
//!     due: 2027-03-02
//! ";
//! let register = witnessmark::procedure::register(text).unwrap();
//! assert_eq!(register[0].due.to_string(), "2027-03-02");
//! ```

use super::band::compare;
use super::model::{Instrument, InstrumentKind};
use super::operand::is_step_of;
use super::read::{Keys, Map, Reader, Spelling};
use crate::content::{self, Node};
use crate::diagnostic::{Report, quoted};
use chrono::NaiveDate;
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};

/// The name under which faults speak of the register.
const PATH: &str = "instruments.yaml";

const REGISTER: Keys = Keys {
    of: "the register",
    all: &["register"],
    needed: &["register"],
    ordered: false,
};
const INSTRUMENT: Keys = Keys {
    of: "an instrument",
    all: &[
        "id",
        "kind",
        "name",
        "serial",
        "range",
        "resolution",
        "calibrated",
        "due",
    ],
    needed: &[
        "id",
        "kind",
        "name",
        "serial",
        "range",
        "resolution",
        "calibrated",
        "due",
    ],
    ordered: false,
};

/// Reads the register.
///
/// # Errors
/// Every fault at once: broken YAML, unknown or missing keys, an id twice, quantities of different
/// dimensions, a range turned round, a date that is none, or a calibration that lapses before it begins.
pub fn register(text: &str) -> Result<Vec<Instrument>, Report> {
    let parsed = content::parse(PATH, text.as_bytes());
    let mut report = parsed.faults;
    let mut instruments = Vec::new();
    let nothing = Node::nothing();
    let root = parsed.root.unwrap_or(nothing);
    if report.is_clean() {
        let mut reader = Reader::new(PATH, &mut report);
        instruments = reader.register(&root);
    }
    report.finish(&BTreeMap::from([(PATH.to_owned(), text.as_bytes().to_vec())]));
    if report.is_clean() {
        Ok(instruments)
    } else {
        Err(report)
    }
}

impl Reader<'_> {
    fn register(&mut self, root: &Node) -> Vec<Instrument> {
        let list = self.map(root, &REGISTER).and_then(|map| map.get("register"));
        let items = list
            .map(|node| self.items(node, "instruments"))
            .unwrap_or_default();
        let mut seen = BTreeSet::new();
        let mut instruments = Vec::new();
        for item in items {
            let Some(map) = self.map(item, &INSTRUMENT) else {
                continue;
            };
            let Some(instrument) = self.instrument_of_shop(&map) else {
                continue;
            };
            if !seen.insert(instrument.id.clone()) {
                let found = format!("the instrument {} for the second time", quoted(&instrument.id));
                let fault = self.found(map.spot_of("id"), "duplicate-id", found, "each id once");
                self.report(fault);
            }
            instruments.push(instrument);
        }
        instruments
    }

    fn instrument_of_shop(&mut self, map: &Map) -> Option<Instrument> {
        let id = map.get("id").and_then(|node| self.id(node, Spelling::Slug));
        let kind = map.get("kind").and_then(|node| self.id(node, Spelling::Slug));
        let name = map.get("name").and_then(|node| self.sentence(node));
        let serial = map.get("serial").and_then(|node| self.sentence(node));
        let range = map.get("range").and_then(|node| self.range(node));
        let resolution = map.get("resolution").and_then(|node| self.quantity(node));
        let calibrated = map.get("calibrated").and_then(|node| self.date(node));
        let due = map.get("due").and_then(|node| self.date(node));
        let (from, to) = range?;
        let instrument = Instrument {
            id: id?,
            kind: InstrumentKind(kind?),
            name: name?,
            serial: serial?,
            from,
            to,
            resolution: resolution?,
            calibrated: calibrated?,
            due: due?,
        };
        self.measures_sensibly(map, &instrument);
        Some(instrument)
    }

    /// The quantities and the dates of an instrument go together.
    fn measures_sensibly(&mut self, map: &Map, instrument: &Instrument) {
        let Instrument {
            from,
            to,
            resolution,
            calibrated,
            due,
            ..
        } = instrument;
        if from.dimension() != to.dimension() || compare(*from, *to) != Ordering::Less {
            let found = format!("a range from {from} to {to}");
            let expected = "a range from a lower to a higher value of one kind";
            let fault = self.found(map.spot_of("range"), "plausible-range", found, expected);
            self.report(fault);
        }
        if !is_step_of(resolution.dimension(), from.dimension()) || resolution.difference_si() <= 0.0 {
            let expected = format!("{} above 0, as the range is", from.dimension().name());
            let fault = self.found(
                map.spot_of("resolution"),
                "unit-mismatch",
                resolution.to_string(),
                &expected,
            );
            self.report(fault);
        }
        if due <= calibrated {
            let found = format!("due on {due} after a calibration on {calibrated}");
            let fault = self.found(
                map.spot_of("due"),
                "wrong-type",
                found,
                "a day after the calibration",
            );
            self.report(fault);
        }
    }

    /// `2026-03-02`
    fn date(&mut self, node: &Node) -> Option<NaiveDate> {
        let text = self.scalar(node, "a date")?;
        let date = NaiveDate::parse_from_str(text, "%Y-%m-%d").ok();
        date.filter(|date| date.to_string() == text).or_else(|| {
            let fault = self.found(
                node.spot,
                "wrong-type",
                quoted(text),
                "a date as year-month-day: 2026-03-02",
            );
            self.report(fault);
            None
        })
    }
}
