//! The shared files: hazards, tools, instruments and the glossary.

use super::word::Spelling;
use super::{Keys, Reader};
use crate::content::{Key, Node};
use crate::diagnostic::Report;
use crate::procedure::model::{
    Hazard, HazardId, InstrumentKind, InstrumentSort, Shared, SignalWord, Tool, ToolId,
};
use crate::quantity::{Dimension, Unit};

const HAZARD: Keys = Keys {
    of: "a hazard",
    all: &["word", "sign", "what", "happens", "avoid"],
    needed: &["word", "sign", "what", "happens", "avoid"],
    ordered: false,
};
const TOOL: Keys = Keys {
    of: "a tool",
    all: &["name"],
    needed: &["name"],
    ordered: false,
};
const INSTRUMENT: Keys = Keys {
    of: "an instrument",
    all: &["name", "measures"],
    needed: &["name", "measures"],
    ordered: false,
};

const WORDS: [(&str, SignalWord); 4] = [
    ("danger", SignalWord::Danger),
    ("warning", SignalWord::Warning),
    ("caution", SignalWord::Caution),
    ("notice", SignalWord::Notice),
];
const SIGNS: [&str; 13] = [
    "flammable",
    "oxidiser",
    "cold",
    "pressure",
    "electric",
    "hot",
    "suffocation",
    "explosion",
    "battery",
    "eyes",
    "hands",
    "moving",
    "general",
];

/// Reads `hazards.yaml`; gives the ids of what could not be read.
pub fn hazards(path: &str, root: &Node, shared: &mut Shared, report: &mut Report) -> Vec<String> {
    Reader::new(path, report).each(root, "hazards", |reader, id, node| {
        let hazard = reader.hazard(node)?;
        shared.hazards.insert(HazardId(id), hazard);
        Some(())
    })
}

/// Reads `tools.yaml`; gives the ids of what could not be read.
pub fn tools(path: &str, root: &Node, shared: &mut Shared, report: &mut Report) -> Vec<String> {
    Reader::new(path, report).each(root, "tools", |reader, id, node| {
        let map = reader.map(node, &TOOL)?;
        let name = reader.sentence(map.get("name")?)?;
        shared.tools.insert(ToolId(id), Tool { name });
        Some(())
    })
}

/// Reads `instruments.yaml`; gives the ids of what could not be read.
pub fn instruments(path: &str, root: &Node, shared: &mut Shared, report: &mut Report) -> Vec<String> {
    Reader::new(path, report).each(root, "instruments", |reader, id, node| {
        let sort = reader.instrument_sort(node)?;
        shared.instruments.insert(InstrumentKind(id), sort);
        Some(())
    })
}

/// Reads `glossary.yaml`, whose keys are words of any spelling.
pub fn glossary(path: &str, root: &Node, shared: &mut Shared, report: &mut Report) -> Vec<String> {
    let mut reader = Reader::new(path, report);
    for (key, node) in reader.only(root, "terms") {
        let meaning = reader.sentence(node);
        shared
            .terms
            .extend(meaning.map(|meaning| (key.text.clone(), meaning)));
    }
    Vec::new()
}

impl Reader<'_> {
    /// Reads each entry under the one key of a shared file; gives the ids whose entries gave nothing.
    fn each(
        mut self,
        root: &Node,
        key: &'static str,
        mut read: impl FnMut(&mut Self, String, &Node) -> Option<()>,
    ) -> Vec<String> {
        let mut unread = Vec::new();
        for (key, node) in self.only(root, key) {
            let id = self.spelled(&key.text, key.spot, Spelling::Slug);
            if read(&mut self, id.unwrap_or_default(), node).is_none() {
                unread.push(key.text.clone());
            }
        }
        unread
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
        let words = WORDS.map(|(word, _)| word);
        let word = map
            .get("word")
            .and_then(|node| self.one_of(node, "a signal word", &words));
        let word = WORDS
            .iter()
            .find(|(known, _)| Some(*known) == word)
            .map(|(_, word)| *word);
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
        Some(Hazard {
            word: word?,
            sign: sign?.to_owned(),
            what: what?,
            happens: happens?,
            avoid,
        })
    }

    fn instrument_sort(&mut self, node: &Node) -> Option<InstrumentSort> {
        let map = self.map(node, &INSTRUMENT)?;
        let name = map.get("name").and_then(|node| self.sentence(node));
        let measures = map.get("measures").and_then(|node| self.dimension(node));
        Some(InstrumentSort {
            name: name?,
            measures: measures?,
        })
    }

    /// What an instrument measures: a dimension in words, with spaces or hyphens.
    fn dimension(&mut self, node: &Node) -> Option<Dimension> {
        let text = self.scalar(node, "what it measures")?;
        let mut known: Vec<Dimension> = Unit::all().map(Unit::dimension).collect();
        known.dedup();
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

/// `pressure`, for `a pressure`.
fn bare_name(dimension: Dimension) -> &'static str {
    let name = dimension.name();
    name.split_once(' ').map_or(name, |(_, bare)| bare)
}
