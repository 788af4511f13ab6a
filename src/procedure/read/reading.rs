//! Readings and work-outs of a step.

use super::word::Spelling;
use super::{Map, Reader};
use crate::content::{Key, Node};
use crate::procedure::draft::{Makes, Mark, Target, Type};
use crate::procedure::form::step::{KINDS, LONGEST_TEXT, RANGE, READING, WORK_OUT};
use crate::procedure::model::{InstrumentKind, Judged, Method, Reading, ReadingKind, WorkOut};
use crate::procedure::plausible;
use crate::quantity::{Quantity, Unit};

impl Reader<'_> {
    /// The readings of a step.
    pub(super) fn readings(&mut self, node: Option<&Node>) -> Vec<Reading> {
        let entries = node
            .and_then(|node| self.entries(node, "readings by name"))
            .unwrap_or_default();
        entries
            .iter()
            .filter_map(|(key, node)| self.reading(key, node))
            .collect()
    }

    fn reading(&mut self, key: &Key, node: &Node) -> Option<Reading> {
        let name = self.made(key);
        let kind = self.map(node, &READING).map(|map| (self.reading_kind(&map), map));
        let of_kind = kind.as_ref().and_then(|(kind, _)| kind.as_ref()).map(type_of);
        self.mark(
            key.spot,
            Mark::Makes {
                name: key.text.clone(),
                kind: Makes::Reading(of_kind.clone()),
            },
        );
        let (kind, map) = kind?;
        let target = Target::Typed(of_kind.unwrap_or(Type::Any));
        let label = map.get("label").and_then(|node| self.text(node));
        let with = self.instrument(&map, kind.as_ref());
        let judged = self.judged(&map, &target, kind.as_ref());
        let place = key.spot.within(self.path);
        Some(Reading {
            name: name?,
            label: label?,
            kind: kind?,
            with,
            judged: judged?,
            place,
        })
    }

    /// The name of what a step makes.
    fn made(&mut self, key: &Key) -> Option<String> {
        self.mark(
            key.spot,
            Mark::Named {
                kind: "the reading or work-out",
                name: key.text.clone(),
            },
        );
        self.spelled(&key.text, key.spot, Spelling::Name)
    }

    fn reading_kind(&mut self, map: &Map) -> Option<ReadingKind> {
        if map.has("plausible") && !map.has("unit") {
            let at = map.spot_of("plausible");
            let fault = self.found(
                at,
                "plausible-range",
                "a range without a number",
                "a range beside `unit` alone",
            );
            self.report.push(fault);
        }
        match self.one_kind(map, &KINDS)? {
            "unit" => self.number(map),
            "yes_no" => self.must_be_yes(map.get("yes_no")?).map(|()| ReadingKind::YesNo),
            "choice" => self.choices(map.get("choice")?).map(ReadingKind::Choice),
            "photo" => self.must_be_yes(map.get("photo")?).map(|()| ReadingKind::Photo),
            _ => self
                .longest(map.get("text")?)
                .map(|most| ReadingKind::Text { most }),
        }
    }

    /// The one key of `kinds` that stands in the map.
    pub(super) fn one_kind(&mut self, map: &Map, kinds: &[&'static str]) -> Option<&'static str> {
        let given: Vec<&'static str> = kinds.iter().copied().filter(|kind| map.has(kind)).collect();
        match given.as_slice() {
            [kind] => Some(kind),
            [] => {
                let fault = self.found(map.spot, "missing-key", "no kind of answer", "exactly one kind");
                self.fault(fault.choose("", kinds.iter().copied()))
            }
            [_, second, ..] => {
                let found = format!("several kinds of answer: {}", given.join(", "));
                let fault = self.found(map.spot_of(second), "wrong-type", found, "exactly one kind");
                self.fault(fault.choose("", kinds.iter().copied()))
            }
        }
    }

    /// `yes_no: yes`, the only way to write it; of a photograph likewise.
    pub(super) fn must_be_yes(&mut self, node: &Node) -> Option<()> {
        if self.yes_no(node)? {
            return Some(());
        }
        let fault = self.found(node.spot, "wrong-type", "`no`", "`yes`, or no such key");
        self.fault(fault)
    }

    /// Choices by key, in the order of the file.
    pub(super) fn choices(&mut self, node: &Node) -> Option<Vec<(String, String)>> {
        let entries = self.entries(node, "choices by key")?;
        let mut choices = Vec::new();
        for (key, shown) in entries {
            let key = self.spelled(&key.text, key.spot, Spelling::Choice);
            let shown = self.sentence(shown);
            choices.extend(key.zip(shown));
        }
        if entries.len() < 2 {
            let found = format!("{} choices", entries.len());
            let fault = self.found(node.spot, "wrong-type", found, "at least two choices");
            self.report.push(fault);
        }
        Some(choices)
    }

    pub(super) fn longest(&mut self, node: &Node) -> Option<usize> {
        let what = format!("a count of characters from 1 to {LONGEST_TEXT}");
        self.count(node, &what, 1..=LONGEST_TEXT)
            .map(|most| most as usize)
    }

    fn number(&mut self, map: &Map) -> Option<ReadingKind> {
        let unit = map.get("unit").and_then(|node| self.unit(node));
        let Some(node) = map.get("plausible") else {
            return self.number_of_its_kind(map, unit?);
        };
        let range = self.range(node);
        let (unit, (from, to)) = (unit?, range?);
        self.mark(
            node.spot,
            Mark::Plausible {
                from,
                to,
                unit: unit.dimension(),
            },
        );
        Some(ReadingKind::Number { unit, from, to })
    }

    /// Without a range of its author, that of its kind of quantity.
    fn number_of_its_kind(&mut self, map: &Map, unit: Unit) -> Option<ReadingKind> {
        if let Some((from, to)) = plausible::range(unit.dimension()) {
            return Some(ReadingKind::Number { unit, from, to });
        }
        let found = format!("a number without `plausible`, {}", unit.dimension().name());
        let fault = self.found(map.spot, "plausible-range", found, "{ from, to }");
        self.fault(fault.help(
            "outside this range an entry is taken for a slip and asked again; this kind has none of its own",
        ))
    }

    /// `{ from: 0 psi, to: 150 psi }`
    pub(in crate::procedure) fn range(&mut self, node: &Node) -> Option<(Quantity, Quantity)> {
        let map = self.map(node, &RANGE)?;
        let from = map.get("from").and_then(|node| self.quantity(node));
        let to = map.get("to").and_then(|node| self.quantity(node));
        Some((from?, to?))
    }

    fn instrument(&mut self, map: &Map, kind: Option<&ReadingKind>) -> Option<InstrumentKind> {
        let node = map.get("with")?;
        if !map.has("unit") {
            let fault = self.found(
                node.spot,
                "wrong-type",
                "an instrument without a number",
                "`with` beside `unit` alone",
            );
            return self.fault(fault);
        }
        let id = self.id(node, Spelling::Slug)?;
        let measured = match kind {
            Some(ReadingKind::Number { unit, .. }) => Some(unit.dimension()),
            _ => None,
        };
        self.mark(
            node.spot,
            Mark::Instrument {
                kind: id.clone(),
                measured,
            },
        );
        Some(InstrumentKind(id))
    }

    fn judged(&mut self, map: &Map, target: &Target, kind: Option<&ReadingKind>) -> Option<Judged> {
        let plausible = match kind {
            Some(ReadingKind::Number { from, to, .. }) => Some((*from, *to)),
            _ => None,
        };
        match (map.get("band"), map.get("unjudged")) {
            (Some(band), None) => self.reading_band(band, target, plausible).map(Judged::Band),
            (None, Some(reason)) => self.sentence(reason).map(Judged::Unjudged),
            (Some(band), Some(_)) => {
                let fault = self.found(
                    band.spot,
                    "band-needed",
                    "both `band` and `unjudged`",
                    "one of them",
                );
                self.fault(fault)
            }
            (None, None) => {
                let fault = self.found(
                    map.spot,
                    "band-needed",
                    "neither `band` nor `unjudged`",
                    "one of them",
                );
                self.fault(fault.help("write a band, or the reason why no band can judge this reading"))
            }
        }
    }

    /// The work-outs of a step.
    pub(super) fn work_outs(&mut self, node: Option<&Node>) -> Vec<WorkOut> {
        let entries = node
            .and_then(|node| self.entries(node, "work-outs by name"))
            .unwrap_or_default();
        entries
            .iter()
            .filter_map(|(key, node)| self.work_out(key, node))
            .collect()
    }

    fn work_out(&mut self, key: &Key, node: &Node) -> Option<WorkOut> {
        let name = self.made(key);
        let map = self.map(node, &WORK_OUT);
        let method = map
            .as_ref()
            .map_or_else(nothing, |map| self.method(map, key.spot));
        self.mark(
            key.spot,
            Mark::Makes {
                name: key.text.clone(),
                kind: Makes::Work(method.clone()),
            },
        );
        let map = map?;
        let label = map.get("label").and_then(|node| self.text(node));
        let band = map.get("band").and_then(|node| self.output_band(node, &method));
        let place = key.spot.within(self.path);
        Some(WorkOut {
            name: name?,
            label: label?,
            method,
            band,
            place,
        })
    }
}

/// What stands for the method of a work-out that is no map.
fn nothing() -> Method {
    Method::Calculator {
        calc: String::new(),
        with: Vec::new(),
    }
}

/// What a reading of this kind may be.
fn type_of(kind: &ReadingKind) -> Type {
    match kind {
        ReadingKind::Number { unit, .. } => Type::Number(unit.dimension()),
        ReadingKind::YesNo => Type::yes_no(),
        ReadingKind::Choice(choices) => Type::Among(choices.iter().map(|(key, _)| key.clone()).collect()),
        ReadingKind::Text { .. } | ReadingKind::Photo => Type::Words,
    }
}
