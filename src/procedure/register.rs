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
//!     uncertainty: { of_reading: 0.5 %, plus: 0.04 bar, k: 2 }
//!     certificate: PG-0417-2026.jpg
//!     calibrated: 2026-03-02
//!     due: 2027-03-02
//! ";
//! let register = witnessmark::procedure::register(text).unwrap();
//! assert_eq!(register[0].due.to_string(), "2027-03-02");
//! ```

use super::band::compare;
use super::form::band::UNCERTAINTY;
use super::form::register::{INSTRUMENT, REGISTER};
use super::model::{Instrument, InstrumentKind, Shared};
use super::operand::is_step_of;
use super::read::{Map, Reader, Spelling};
use super::uncertainty::{self, Uncertainty};
use crate::content::{self, Kind, Node};
use crate::diagnostic::{Report, quoted};
use chrono::NaiveDate;
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};

/// The name under which faults speak of the register.
const PATH: &str = "instruments.yaml";

/// The coverage factors in which certificates state an uncertainty.
const COVERAGE: std::ops::RangeInclusive<f64> = 1.0..=4.0;
/// What a photograph of a certificate may be.
const PHOTOGRAPHS: [&str; 4] = ["jpg", "jpeg", "png", "pdf"];

/// Reads the register.
///
/// # Errors
/// Every fault at once: broken YAML, unknown or missing keys, an id twice, quantities of different
/// dimensions, a range turned round, a date that is none, or a calibration that lapses before it begins.
pub fn register(text: &str) -> Result<Vec<Instrument>, Report> {
    read(text.as_bytes(), PATH, None)
}

/// Reads the register at `path` and holds it against the kinds of instruments that content knows.
///
/// # Errors
/// As [`register`]; and an instrument of a kind that the content has not, or that measures something else.
pub fn register_for(bytes: &[u8], path: &str, shared: &Shared) -> Result<Vec<Instrument>, Report> {
    read(bytes, path, Some(shared))
}

fn read(bytes: &[u8], path: &str, shared: Option<&Shared>) -> Result<Vec<Instrument>, Report> {
    let parsed = content::parse(path, bytes);
    let mut report = parsed.faults;
    let mut instruments = Vec::new();
    let root = parsed.root.unwrap_or(Node::nothing());
    if report.is_clean() {
        let mut reader = Reader::new(path, &mut report);
        instruments = reader.register(&root, shared);
    }
    report.finish(&BTreeMap::from([(path.to_owned(), bytes.to_vec())]));
    if report.is_clean() {
        Ok(instruments)
    } else {
        Err(report)
    }
}

impl Reader<'_> {
    fn register(&mut self, root: &Node, shared: Option<&Shared>) -> Vec<Instrument> {
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
            if let Some(shared) = shared {
                self.of_a_known_kind(&map, &instrument, shared);
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
        let uncertainty = map.get("uncertainty").map(|node| self.uncertainty(node));
        let certificate = map.get("certificate").map(|node| self.photograph(node));
        let meter = map.get("meter").map(|node| self.meter(node));
        let (from, to) = range?;
        let instrument = Instrument {
            id: id?,
            kind: InstrumentKind(kind?),
            name: name?,
            serial: serial?,
            from,
            to,
            resolution: resolution?,
            uncertainty: uncertainty.map_or(Some(None), |stated| stated.map(Some))?,
            certificate: certificate.map_or(Some(None), |name| name.map(Some))?,
            calibrated: calibrated?,
            due: due?,
            meter: meter.map_or(Some(None), |line| line.map(Some))?,
        };
        self.measures_sensibly(map, &instrument);
        Some(instrument)
    }

    /// `0.05 bar`, or `{ of_reading: 0.5 %, plus: 0.02 V, k: 2 }` with one of the first two at least.
    pub(super) fn uncertainty(&mut self, node: &Node) -> Option<Uncertainty> {
        let mut stated = Uncertainty {
            of_reading: 0.0,
            plus: None,
            coverage: uncertainty::COVERAGE,
        };
        if !matches!(node.kind, Kind::Map(_)) {
            stated.plus = Some(self.quantity(node)?);
            return Some(stated);
        }
        let map = self.map(node, &UNCERTAINTY)?;
        if let Some(node) = map.get("of_reading") {
            stated.of_reading = self.share(node)?;
        }
        if let Some(node) = map.get("plus") {
            stated.plus = Some(self.quantity(node)?);
        }
        if let Some(node) = map.get("k") {
            stated.coverage = self.coverage(node)?;
        }
        if stated.plus.is_none() && stated.of_reading == 0.0 {
            let expected = "`of_reading`, `plus` or both";
            let fault = self.found(
                node.spot,
                "missing-key",
                "an uncertainty without a size",
                expected,
            );
            self.report(fault);
            return None;
        }
        Some(stated)
    }

    /// `0.5 %`, above nothing and below all of the reading.
    fn share(&mut self, node: &Node) -> Option<f64> {
        let share = self.quantity(node)?;
        if share.unit().symbol() == "%" && (0.0..100.0).contains(&share.value()) && share.value() > 0.0 {
            return Some(share.si());
        }
        let expected = "a share of the reading, such as `0.5 %`";
        let fault = self.found(node.spot, "unit-mismatch", share.to_string(), expected);
        self.report(fault);
        None
    }

    fn coverage(&mut self, node: &Node) -> Option<f64> {
        let factor = self.quantity(node)?;
        if factor.unit().is_plain() && COVERAGE.contains(&factor.value()) {
            return Some(factor.value());
        }
        let expected = "a coverage factor from 1 to 4, without a unit";
        let fault = self.found(node.spot, "plausible-range", factor.to_string(), expected);
        self.report(fault);
        None
    }

    /// The name of a file that can lead nowhere else.
    fn photograph(&mut self, node: &Node) -> Option<String> {
        let name = self.scalar(node, "the name of a file")?;
        let plain = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'.' | b'_' | b'-');
        let known = name
            .rsplit_once('.')
            .is_some_and(|(stem, extension)| !stem.is_empty() && PHOTOGRAPHS.contains(&extension));
        if known && name.len() <= 100 && !name.starts_with('.') && name.bytes().all(plain) {
            return Some(name.to_owned());
        }
        let expected = "the name of a file in `certificates/`, of A-Z a-z 0-9 . _ -, ending in .jpg, .jpeg, .png or .pdf";
        let fault = self.found(node.spot, "path-escape", quoted(name), expected);
        self.report(fault);
        None
    }

    /// The kind stands in the content, and measures what the instrument does.
    fn of_a_known_kind(&mut self, map: &Map, instrument: &Instrument, shared: &Shared) {
        let (kind, measured) = (&instrument.kind, instrument.from.dimension());
        let at = map.spot_of("kind");
        match shared.instruments.get(kind) {
            None => {
                let expected = "a kind of `instruments.yaml` in the content";
                let fault = self.found(at, "unknown-instrument", quoted(kind.as_str()), expected);
                let known = shared.instruments.keys().map(InstrumentKind::as_str);
                self.report(fault.choose(kind.as_str(), known));
            }
            Some(sort) if sort.measures != measured => {
                let found = format!("a range of {}", measured.name());
                let expected = format!(
                    "{}, which {} measures",
                    sort.measures.name(),
                    quoted(kind.as_str())
                );
                let fault = self.found(map.spot_of("range"), "instrument-dimension", found, &expected);
                self.report(fault);
            }
            Some(_) => {}
        }
    }

    /// What is stated fits the range.
    fn uncertainty_fits(&mut self, map: &Map, instrument: &Instrument) {
        let stated = instrument.uncertainty.as_ref();
        if let Some((found, expected)) = stated.and_then(|stated| stated.misfit(instrument.from.dimension()))
        {
            let fault = self.found(map.spot_of("uncertainty"), "unit-mismatch", found, &expected);
            self.report(fault);
        }
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
        self.uncertainty_fits(map, instrument);
        self.meter_fits(map, instrument);
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
