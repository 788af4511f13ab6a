//! Maps, held against their form: which keys may stand there, which must, and in which order.

use super::Reader;
use crate::content::{Key, Kind, Node, Spot};
use crate::diagnostic::quoted;
use crate::procedure::form::Keys;

/// A map whose keys have been checked.
pub struct Map<'n> {
    pub spot: Spot,
    entries: &'n [(Key, Node)],
}

impl<'n> Map<'n> {
    /// The value of a key.
    pub fn get(&self, key: &str) -> Option<&'n Node> {
        self.entries
            .iter()
            .find(|(found, _)| found.text == key)
            .map(|(_, value)| value)
    }

    /// What `read` makes of the value of a key, or else nothing.
    pub fn read<T: Default>(&self, key: &str, read: impl FnOnce(&'n Node) -> T) -> T {
        self.get(key).map(read).unwrap_or_default()
    }

    /// Whether the key stands here.
    pub fn has(&self, key: &str) -> bool {
        self.get(key).is_some()
    }

    /// Where the value of a key stands, or else the map.
    pub fn spot_of(&self, key: &str) -> Spot {
        self.get(key).map_or(self.spot, |node| node.spot)
    }
}

impl Reader<'_> {
    /// A map with these keys; unknown, missing and misplaced keys are reported.
    pub(in crate::procedure) fn map<'n>(&mut self, node: &'n Node, keys: &Keys) -> Option<Map<'n>> {
        let entries = self.entries(node, keys.of)?;
        let mut last = 0;
        for (key, _) in entries {
            match keys.names().position(|known| known == key.text) {
                None => {
                    let found = format!("the unknown key {}", quoted(&key.text));
                    let expected = format!("a key of {}", keys.of);
                    let fault = self.found(key.spot, "unknown-key", found, &expected);
                    self.report.push(fault.choose(&key.text, keys.names()));
                }
                Some(at) if at < last && keys.ordered => self.out_of_order(key, keys, last),
                Some(at) => last = at,
            }
        }
        let map = Map {
            spot: node.spot,
            entries,
        };
        for needed in keys.needed().filter(|needed| !map.has(needed)) {
            let found = format!("{} without `{needed}`", keys.of);
            let fault = self.found(node.spot, "missing-key", found, "every needed key");
            self.report.push(fault.help(format!(
                "needed here: {}",
                keys.needed().collect::<Vec<_>>().join(", ")
            )));
        }
        Some(map)
    }

    fn out_of_order(&mut self, key: &Key, keys: &Keys, last: usize) {
        let found = format!("`{}` after `{}`", key.text, keys.entries[last].name);
        let expected = format!("the keys of {} in their order", keys.of);
        let fault = self.found(key.spot, "key-order", found, &expected);
        self.report.push(fault.choose("", keys.names()));
    }

    /// The entries of a map whose keys the author names.
    pub(in crate::procedure) fn entries<'n>(
        &mut self,
        node: &'n Node,
        what: &str,
    ) -> Option<&'n [(Key, Node)]> {
        match &node.kind {
            Kind::Map(entries) => Some(entries),
            _ => {
                let expected = format!("{what}, written as a map of keys and values");
                let fault = self.found(node.spot, "wrong-type", node.described(), &expected);
                self.fault(fault)
            }
        }
    }

    /// The items of a list.
    pub(in crate::procedure) fn items<'n>(&mut self, node: &'n Node, what: &str) -> &'n [Node] {
        if let Kind::List(items) = &node.kind {
            return items;
        }
        let expected = format!("a list of {what}");
        let fault = self.found(node.spot, "wrong-type", node.described(), &expected);
        self.report.push(fault);
        &[]
    }
}
