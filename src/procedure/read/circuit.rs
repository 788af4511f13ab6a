//! Circuits: what is given, and the parts with their nodes.

use super::word::Spelling;
use super::{Map, Reader};
use crate::content::{Key, Kind, Node};
use crate::diagnostic::{Report, quoted};
use crate::procedure::circuit::{
    COPPER, Circuit, Given, GivenLimits, METER_INPUT, OF_WIRE, Part, PartFigure, PartKind, SOLVER, Slot,
};
use crate::procedure::draft::{CircuitDraft, Mark, Site, Target, Type};
use crate::procedure::form::Keys;
use crate::procedure::form::circuit::{CIRCUIT, GIVEN, PARTS};
use crate::procedure::model::Operand;
use crate::quantity::Dimension;
use std::collections::BTreeMap;

/// Names that stand beside the givens on the record.
const TAKEN: [&str; 4] = ["closed", "out", "held", SOLVER];

/// What each given is used for, by its name.
type Uses = BTreeMap<String, Dimension>;

/// Reads a circuit from its file's tree; `slug` is the file's name without its ending.
pub fn circuit(path: &str, slug: &str, root: &Node, report: &mut Report) -> Option<CircuitDraft> {
    let mut reader = Reader::new(path, report);
    let map = reader.map(root, &CIRCUIT)?;
    reader.slug(&map, "circuit");
    let mut uses = Uses::new();
    uses.insert(METER_INPUT.to_owned(), Dimension::Resistance);
    let parts = map.read("parts", |node| reader.parts(node, &mut uses));
    let given = map.read("given", |node| reader.given(node, &uses));
    reader.site = Site::Head;
    let looks = map.read("drawing", |node| reader.looks(node, slug));
    let model = Circuit {
        id: slug.to_owned(),
        title: map
            .read("title", |node| reader.sentence(node))
            .unwrap_or_default(),
        revision: reader.revision(&map),
        ground: map
            .read("ground", |node| reader.id(node, Spelling::Slug))
            .unwrap_or_default(),
        given,
        parts,
        looks,
        place: map.spot_of("circuit").within(path),
    };
    Some(CircuitDraft {
        path: path.to_owned(),
        model,
        marks: reader.marks,
    })
}

impl Reader<'_> {
    fn given(&mut self, node: &Node, uses: &Uses) -> Vec<Given> {
        let mut given = Vec::new();
        for (key, node) in self.entries(node, "what is given, by name").unwrap_or_default() {
            self.site = Site::Given(given.len());
            given.extend(self.one_given(key, node, uses));
        }
        given
    }

    /// One that lacks something is kept, so that uses of it are still checked.
    fn one_given(&mut self, key: &Key, node: &Node, uses: &Uses) -> Option<Given> {
        let name = self.own_name(key, "given")?;
        let map = self.map(node, &GIVEN)?;
        let of = uses.get(&name).copied();
        let target = Target::Typed(of.map_or(Type::Any, Type::Number));
        let is = map.get("is").and_then(|node| self.amount(node, &target));
        let is = is.unwrap_or(Operand::Fixed(crate::calc::Value::Flag(false)));
        Some(Given {
            label: map.read("label", |node| self.sentence(node)).unwrap_or_default(),
            limits: self.given_limits(&map, &is, &target),
            is,
            when: self.when(map.get("when")),
            place: key.spot.within(self.path),
            name,
        })
    }

    /// A name of an author's, which the ends of limits and the setting must not be taken for.
    pub(super) fn own_name(&mut self, key: &Key, what: &'static str) -> Option<String> {
        let name = self.spelled(&key.text, key.spot, Spelling::Name)?;
        let ends = ["_low", "_high"].iter().any(|end| name.ends_with(end));
        let fault = |expected: String| self.found(key.spot, "id-spelling", quoted(&name), &expected);
        if ends {
            let fault = fault(format!(
                "a name of a {what} that does not end in `_low` or `_high`"
            ));
            return self.fault(fault.help("these stand behind the ends of its limits"));
        }
        if what == "given" && TAKEN.contains(&name.as_str()) {
            let fault = fault(format!("a name that is none of {}", TAKEN.join(", ")));
            return self.fault(fault.help("these stand beside the givens on the record"));
        }
        Some(name)
    }

    fn given_limits(&mut self, map: &Map, is: &Operand, target: &Target) -> Option<GivenLimits> {
        let (within, from, to) = (map.get("within"), map.get("from"), map.get("to"));
        match (within, from, to) {
            (None, None, None) => None,
            (Some(node), None, None) => {
                let within = self.tolerance(node)?;
                let (middle, mark) = (is.clone(), within.clone());
                self.mark(node.spot, Mark::Tolerance { middle, within: mark });
                Some(GivenLimits::Within(within))
            }
            (None, Some(from), Some(to)) => {
                let [from, to] = [from, to].map(|node| self.limit(node, target));
                Some(GivenLimits::Between(from?, to?))
            }
            _ => {
                let found = "limits that are not whole";
                let fault = self.found(map.spot, "wrong-type", found, "`within`, or both `from` and `to`");
                self.fault(fault)
            }
        }
    }

    fn limit(&mut self, node: &Node, target: &Target) -> Option<crate::quantity::Quantity> {
        let quantity = self.quantity(node)?;
        let operand = Operand::Fixed(crate::calc::Value::Quantity(quantity));
        let target = target.clone();
        self.mark(node.spot, Mark::Amount { operand, target });
        Some(quantity)
    }

    fn parts(&mut self, node: &Node, uses: &mut Uses) -> Vec<Part> {
        let mut parts = Vec::new();
        for item in self.items(node, "parts") {
            self.site = Site::Part(parts.len());
            parts.extend(self.part_of_circuit(item, uses));
        }
        parts
    }

    fn part_of_circuit(&mut self, node: &Node, uses: &mut Uses) -> Option<Part> {
        let kind = self.part_kind(node)?;
        let map = self.map(node, keys(kind))?;
        let name = map
            .get(kind.key())
            .and_then(|node| self.id(node, Spelling::Slug))?;
        let named = Mark::Named {
            kind: "the part",
            name: name.clone(),
        };
        self.mark(map.spot_of(kind.key()), named);
        let mut joins = Vec::new();
        for end in kind.ends().iter().chain(kind.loose_ends()) {
            let node = map.get(end).and_then(|node| self.id(node, Spelling::Slug));
            joins.extend(node.map(|node| (*end, node)));
        }
        let slots = if kind == PartKind::Wire {
            self.of_wire(&map)
        } else {
            kind.figures()
        };
        let figures = slots
            .iter()
            .filter_map(|slot| Some((slot.name, self.part_figure(map.get(slot.name)?, *slot, uses)?)));
        Some(Part {
            figures: figures.collect(),
            when: self.when(map.get("when")),
            place: map.spot_of(kind.key()).within(self.path),
            name,
            kind,
            joins,
        })
    }

    /// The key that names a part says its kind.
    fn part_kind(&mut self, node: &Node) -> Option<PartKind> {
        let entries = self.entries(node, "a part")?;
        let has = |kind: &PartKind| entries.iter().any(|(key, _)| key.text == kind.key());
        let kinds: Vec<PartKind> = PartKind::ALL.into_iter().filter(has).collect();
        if let [kind] = kinds.as_slice() {
            return Some(*kind);
        }
        let found = match kinds.first() {
            None => "a part of no kind".to_owned(),
            Some(_) => format!("a part of {} kinds", kinds.len()),
        };
        let fault = self.found(node.spot, "part-kind", found, "the one key that names the part");
        let first = entries.first().map_or("", |(key, _)| key.text.as_str());
        self.fault(fault.choose(first, PartKind::ALL.map(PartKind::key)))
    }

    /// A wire has a resistance, or gauge, length and temperature.
    fn of_wire(&mut self, map: &Map) -> Vec<Slot> {
        let copper = COPPER.iter().filter(|slot| map.has(slot.name)).count();
        match (map.has(OF_WIRE.name), copper) {
            (true, 0) => vec![OF_WIRE],
            (false, 3) => COPPER.to_vec(),
            (both, count) => {
                let found = match (both, count) {
                    (true, _) => "a resistance beside gauge, length or temperature",
                    (false, 0) => "a wire without figures",
                    (false, _) => "a wire without all of gauge, length and temperature",
                };
                let expected = "`resistance`, or `gauge`, `length` and `temperature`";
                let fault = self.found(map.spot, "wire-figures", found, expected);
                self.report(fault);
                Vec::new()
            }
        }
    }

    /// A quantity, or the name of a given.
    fn part_figure(&mut self, node: &Node, slot: Slot, uses: &mut Uses) -> Option<PartFigure> {
        let text = self.scalar(node, "a quantity or the name of a given")?;
        if Spelling::Name.allows(text) {
            let given = text.to_owned();
            let of = *uses.entry(given.clone()).or_insert(slot.dimension);
            self.mark(node.spot, Mark::UsesGiven(given.clone()));
            if of != slot.dimension {
                let found = format!("{}, used as {} elsewhere", quoted(text), of.name());
                let fault = self.found(node.spot, "unit-mismatch", found, slot.dimension.name());
                return self.fault(fault);
            }
            return Some(PartFigure::Given(given));
        }
        let quantity = self.quantity_text(text, node.spot)?;
        if quantity.dimension() != slot.dimension {
            let found = format!("{quantity}, {}", quantity.dimension().name());
            let fault = self.found(node.spot, "unit-mismatch", found, slot.dimension.name());
            return self.fault(fault.help(slot.dimension.with_units()));
        }
        Some(PartFigure::Fixed(quantity))
    }

    /// A node or a part of another file's circuit, or several.
    pub(super) fn names_of_circuit(
        &mut self,
        node: Option<&Node>,
        what: &str,
    ) -> Vec<(crate::content::Spot, String)> {
        let items = match node.map(|node| (node, &node.kind)) {
            None => &[],
            Some((_, Kind::List(items))) => items.as_slice(),
            Some((node, _)) => self.items(node, what),
        };
        let mut names = Vec::new();
        for item in items {
            names.extend(self.id(item, Spelling::Slug).map(|id| (item.spot, id)));
        }
        names
    }
}

/// The keys of a part of this kind.
fn keys(kind: PartKind) -> &'static Keys {
    let at = PartKind::ALL.iter().position(|known| *known == kind);
    PARTS[at.unwrap_or_default()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_keys_of_a_part_are_its_name_ends_and_figures() {
        for kind in PartKind::ALL {
            let figures = match kind {
                PartKind::Wire => COPPER.into_iter().chain([OF_WIRE]).collect(),
                _ => kind.figures(),
            };
            let mut all = vec![kind.key()];
            all.extend(kind.ends().iter().chain(kind.loose_ends()));
            all.extend(figures.iter().map(|slot| slot.name));
            all.push("when");
            let names: Vec<&str> = keys(kind).names().collect();
            assert_eq!(names, all, "{kind:?}");
            assert_eq!(keys(kind).of, kind.in_words());
        }
    }
}
