//! How a figure is worked out: a call of a calculator, or a question to a circuit.

use super::word::Spelling;
use super::{Map, Reader};
use crate::content::{Node, Spot};
use crate::procedure::circuit::{Call, Find, PartKind};
use crate::procedure::draft::Mark;
use crate::procedure::form::step::{ASKED, FOUND};
use crate::procedure::model::Method;
use std::collections::BTreeMap;

/// The keys beside `calc`, and those beside `circuit`.
const OF_CALCULATOR: [&str; 1] = ["with"];
const OF_CIRCUIT: [&str; 4] = ["closed", "out", "held", "find"];

impl Reader<'_> {
    /// `calc` and `with`, or `circuit` and `find`. What cannot be read names a calculator that there is not.
    pub(super) fn method(&mut self, map: &Map, at: Spot) -> Method {
        match (map.get("calc"), map.get("circuit")) {
            (None, Some(node)) => {
                self.only_beside(map, "calc", &OF_CALCULATOR);
                self.needs(map, "find");
                Method::Circuit(self.call(map, node))
            }
            (calc, circuit) => {
                if let (Some(_), Some(circuit)) = (calc, circuit) {
                    let found = "both `calc` and `circuit`";
                    let fault = self.found(circuit.spot, "wrong-type", found, "one of them");
                    self.report(fault);
                } else if calc.is_none() {
                    let found = "neither `calc` nor `circuit`";
                    let fault = self.found(map.spot, "missing-key", found, "one of them");
                    self.report(fault);
                } else {
                    self.only_beside(map, "circuit", &OF_CIRCUIT);
                    self.needs(map, "with");
                }
                let (calc, spec) = calc.and_then(|node| self.calculator(node)).unwrap_or_default();
                let with = self.inputs(map.get("with"), spec, at);
                Method::Calculator { calc, with }
            }
        }
    }

    fn needs(&mut self, map: &Map, key: &str) {
        if !map.has(key) {
            let found = format!("a figure without `{key}`");
            let fault = self.found(map.spot, "missing-key", found, "every needed key");
            self.report(fault);
        }
    }

    fn only_beside(&mut self, map: &Map, other: &str, keys: &[&str]) {
        for key in keys.iter().filter(|key| map.has(key)) {
            let expected = format!("`{key}` beside `{other}` alone");
            let fault = self.found(map.spot_of(key), "wrong-type", format!("`{key}`"), &expected);
            self.report(fault);
        }
    }

    fn call(&mut self, map: &Map, node: &Node) -> Call {
        let circuit = self.id(node, Spelling::Slug).unwrap_or_default();
        let parts = |reader: &mut Self, key, only| {
            let names = reader.names_of_circuit(map.get(key), "parts");
            let named = names.into_iter().map(|(at, part)| {
                reader.mark_part(at, &circuit, &part, only, false);
                part
            });
            named.collect()
        };
        let mut labels = BTreeMap::new();
        let call = Call {
            closed: parts(self, "closed", Some(PartKind::Switch)),
            out: parts(self, "out", None),
            held: parts(self, "held", Some(PartKind::Relay)),
            find: map.read("find", |node| self.finds(node, &circuit, &mut labels)),
            circuit,
            labels,
        };
        self.mark(node.spot, Mark::Calls(call.clone()));
        call
    }

    pub(super) fn mark_part(
        &mut self,
        at: Spot,
        circuit: &str,
        part: &str,
        only: Option<PartKind>,
        asked: bool,
    ) {
        let mark = Mark::CircuitPart {
            circuit: circuit.to_owned(),
            part: part.to_owned(),
            only,
            asked,
        };
        self.mark(at, mark);
    }

    pub(super) fn mark_node(&mut self, at: Spot, circuit: &str, node: &str, asked: bool) {
        let (circuit, node) = (circuit.to_owned(), node.to_owned());
        self.mark(at, Mark::CircuitNode { circuit, node, asked });
    }

    fn finds(
        &mut self,
        node: &Node,
        circuit: &str,
        labels: &mut BTreeMap<String, String>,
    ) -> Vec<(String, Find)> {
        let mut finds = Vec::new();
        for (key, node) in self.entries(node, "what is asked, by name").unwrap_or_default() {
            let name = self.own_name(key, "question");
            let found = self.find(node, circuit);
            if let (Some(name), Some((_, Some(label)))) = (&name, &found) {
                labels.insert(name.clone(), label.clone());
            }
            finds.extend(name.zip(found.map(|(find, _)| find)));
        }
        if finds.is_empty() && node.map().is_some_and(<[_]>::is_empty) {
            let fault = self.found(node.spot, "wrong-type", "nothing asked", "at least one thing");
            self.report(fault);
        }
        finds
    }

    /// What is asked, and what the answer is called.
    fn find(&mut self, node: &Node, circuit: &str) -> Option<(Find, Option<String>)> {
        let map = self.map(node, &FOUND)?;
        let kind = self.one_kind(&map, &ASKED)?;
        let label = map.get("label").and_then(|node| self.sentence(node));
        Some((self.asked(kind, map.get(kind)?, circuit)?, label))
    }

    fn asked(&mut self, kind: &str, node: &Node, circuit: &str) -> Option<Find> {
        if kind == "volts" {
            return self.volts(node, circuit);
        }
        let part = self.id(node, Spelling::Slug)?;
        let only = match kind {
            "amps" => None,
            "ohms" => Some(PartKind::Source),
            _ => Some(PartKind::Relay),
        };
        self.mark_part(node.spot, circuit, &part, only, true);
        Some(match kind {
            "amps" => Find::Amps(part),
            "contact_amps" => Find::ContactAmps(part),
            "ohms" => Find::Ohms(part),
            _ => Find::Pulled(part),
        })
    }

    /// One node against ground, or red and black.
    fn volts(&mut self, node: &Node, circuit: &str) -> Option<Find> {
        let nodes = match node.scalar() {
            Some(_) => vec![(node.spot, self.id(node, Spelling::Slug)?)],
            None => self.names_of_circuit(Some(node), "two nodes, red and black"),
        };
        for (at, name) in &nodes {
            self.mark_node(*at, circuit, name, true);
        }
        match nodes.as_slice() {
            [(_, red)] if node.scalar().is_some() => Some(Find::Volts {
                red: red.clone(),
                black: None,
            }),
            [(_, red), (_, black)] if red != black => Some(Find::Volts {
                red: red.clone(),
                black: Some(black.clone()),
            }),
            _ => {
                let expected = "a node against ground, or a list of two different nodes, red and black";
                let fault = self.found(node.spot, "wrong-type", node.described(), expected);
                self.fault(fault)
            }
        }
    }
}
