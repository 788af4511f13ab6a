//! The shared files: hazards, tools, instruments and the glossary.

use super::word::Spelling;
use super::{Map, Reader};
use crate::content::{Key, Node};
use crate::diagnostic::Report;
use crate::procedure::draft::Marked;
use crate::procedure::form::shared::{HAZARD, INSTRUMENT, SIGNS, TOOL, WORDS as SIGNAL_WORDS};
use crate::procedure::model::{
    Finest, Hazard, HazardId, InstrumentKind, InstrumentSort, Shared, SignalWord, Tool, ToolId,
};
use crate::procedure::operand::is_step_of;
use crate::quantity::{Dimension, Unit};

/// What a shared file leaves besides its entries: the ids of what could not be read, and its marks.
#[derive(Default)]
pub struct Left {
    pub unread: Vec<String>,
    pub marks: Vec<Marked>,
}

/// Reads `hazards.yaml`.
pub fn hazards(path: &str, root: &Node, shared: &mut Shared, report: &mut Report) -> Left {
    Reader::new(path, report).each(root, "hazards", |reader, id, node| {
        let hazard = reader.hazard(node)?;
        shared.hazards.insert(HazardId(id), hazard);
        Some(())
    })
}

/// Reads `tools.yaml`.
pub fn tools(path: &str, root: &Node, shared: &mut Shared, report: &mut Report) -> Left {
    Reader::new(path, report).each(root, "tools", |reader, id, node| {
        let map = reader.map(node, &TOOL)?;
        let throughout = map.read("throughout", |node| reader.must_be_yes(node).is_some());
        let name = reader.sentence(map.get("name")?)?;
        shared.tools.insert(ToolId(id), Tool { name, throughout });
        Some(())
    })
}

/// Reads `instruments.yaml`.
pub fn instruments(path: &str, root: &Node, shared: &mut Shared, report: &mut Report) -> Left {
    Reader::new(path, report).each(root, "instruments", |reader, id, node| {
        let sort = reader.instrument_sort(node)?;
        shared.instruments.insert(InstrumentKind(id), sort);
        Some(())
    })
}

/// Reads `glossary.yaml`, whose keys are words of any spelling.
pub fn glossary(path: &str, root: &Node, shared: &mut Shared, report: &mut Report) -> Left {
    let mut reader = Reader::new(path, report);
    for (key, node) in reader.only(root, "terms") {
        let meaning = reader.sentence(node);
        shared
            .terms
            .extend(meaning.map(|meaning| (key.text.clone(), meaning)));
    }
    Left {
        unread: Vec::new(),
        marks: reader.marks,
    }
}

impl Reader<'_> {
    /// Reads each entry under the one key of a shared file; left over are the ids whose entries gave nothing.
    fn each(
        mut self,
        root: &Node,
        key: &'static str,
        mut read: impl FnMut(&mut Self, String, &Node) -> Option<()>,
    ) -> Left {
        let mut unread = Vec::new();
        for (key, node) in self.only(root, key) {
            let id = self.spelled(&key.text, key.spot, Spelling::Slug);
            if read(&mut self, id.unwrap_or_default(), node).is_none() {
                unread.push(key.text.clone());
            }
        }
        Left {
            unread,
            marks: self.marks,
        }
    }

    /// The entries under the one key of a shared file.
    fn only<'n>(&mut self, root: &'n Node, key: &'static str) -> &'n [(Key, Node)] {
        let Some(entries) = self.entries(root, "a shared file") else {
            return &[];
        };
        for (other, _) in entries.iter().filter(|(other, _)| other.text != key) {
            let found = format!("the unknown key {}", crate::diagnostic::quoted(&other.text));
            let fault = self.found(other.spot, "unknown-key", found, "the one key of this file");
            self.report.push(fault.choose(&other.text, [key]));
        }
        let Some(node) = root.get(key) else {
            let found = format!("a file without `{key}`");
            let fault = self.found(root.spot, "missing-key", found, "the one key of this file");
            self.report.push(fault);
            return &[];
        };
        self.entries(node, key).unwrap_or_default()
    }

    fn hazard(&mut self, node: &Node) -> Option<Hazard> {
        let map = self.map(node, &HAZARD)?;
        let word = map
            .get("word")
            .and_then(|node| self.one_of(node, "a signal word", &SIGNAL_WORDS));
        let word = word.map(signal_word);
        let sign = map
            .get("sign")
            .and_then(|node| self.one_of(node, "a sign", &SIGNS));
        let what = map.get("what").and_then(|node| self.sentence(node));
        let happens = map.get("happens").and_then(|node| self.sentence(node));
        let avoid = map
            .get("avoid")
            .map(|node| self.sentences(node))
            .unwrap_or_default();
        if let (true, Some(node)) = (avoid.is_empty(), map.get("avoid")) {
            let fault = self.found(
                node.spot,
                "wrong-type",
                node.described(),
                "at least one way to avoid it",
            );
            self.report.push(fault);
        }
        let needs = self.tool_ids(map.get("needs"));
        Some(Hazard {
            word: word?,
            sign: sign?.to_owned(),
            what: what?,
            happens: happens?,
            avoid,
            needs,
        })
    }

    fn instrument_sort(&mut self, node: &Node) -> Option<InstrumentSort> {
        let map = self.map(node, &INSTRUMENT)?;
        let name = map.get("name").and_then(|node| self.sentence(node));
        let measures = map.get("measures").and_then(|node| self.dimension(node));
        let finest = self.finest(&map, measures);
        Some(InstrumentSort {
            name: name?,
            measures: measures?,
            finest,
        })
    }

    /// The best that such an instrument has; an uncertainty stands beside a resolution alone.
    fn finest(&mut self, map: &Map, measures: Option<Dimension>) -> Option<Finest> {
        let uncertainty = map.get("uncertainty").and_then(|node| self.uncertainty(node));
        let Some(node) = map.get("resolution") else {
            if map.has("uncertainty") {
                let found = "`uncertainty` without `resolution`";
                let fault = self.found(map.spot_of("uncertainty"), "missing-key", found, "both of them");
                self.report.push(fault);
            }
            return None;
        };
        let resolution = self.quantity(node)?;
        let measures = measures?;
        if !is_step_of(resolution.dimension(), measures) || resolution.difference_si() <= 0.0 {
            let expected = format!("{} above 0", measures.name());
            let fault = self.found(node.spot, "unit-mismatch", resolution.to_string(), &expected);
            return self.fault(fault.help(measures.with_units()));
        }
        if let (Some(stated), Some(at)) = (&uncertainty, map.get("uncertainty"))
            && let Some((found, expected)) = stated.misfit(measures)
        {
            let fault = self.found(at.spot, "unit-mismatch", found, &expected);
            return self.fault(fault);
        }
        Some(Finest {
            resolution,
            uncertainty,
        })
    }

    /// What an instrument measures: a dimension in words, with spaces or hyphens.
    fn dimension(&mut self, node: &Node) -> Option<Dimension> {
        let text = self.scalar(node, "what it measures")?;
        let known = dimensions();
        let wanted = text.replace('-', " ");
        let found = known
            .iter()
            .copied()
            .find(|dimension| bare_name(*dimension) == wanted);
        found.or_else(|| {
            let fault = self.found(node.spot, "unknown-choice", node.described(), "what it measures");
            self.fault(fault.choose(text, known.into_iter().map(bare_name)))
        })
    }
}

/// The signal word that one of `SIGNAL_WORDS` spells.
fn signal_word(spelled: &str) -> SignalWord {
    match spelled {
        "danger" => SignalWord::Danger,
        "warning" => SignalWord::Warning,
        "caution" => SignalWord::Caution,
        _ => SignalWord::Notice,
    }
}

/// `pressure`, for `a pressure`.
pub(in crate::procedure) fn bare_name(dimension: Dimension) -> &'static str {
    let name = dimension.name();
    name.split_once(' ').map_or(name, |(_, bare)| bare)
}

/// Everything that an instrument may measure.
pub(in crate::procedure) fn dimensions() -> Vec<Dimension> {
    let mut known: Vec<Dimension> = Unit::all().map(Unit::dimension).collect();
    known.dedup();
    known
}
