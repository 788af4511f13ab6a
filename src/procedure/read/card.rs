//! The job card: groups of fields.

use super::word::Spelling;
use super::{Map, Reader};
use crate::content::Node;
use crate::procedure::draft::{Mark, Site, Target, Type};
use crate::procedure::form::job::{FIELD, GROUP, KINDS};
use crate::procedure::model::{Field, FieldKind, Group};
use std::collections::BTreeMap;

impl Reader<'_> {
    /// The groups of the card.
    pub(super) fn card(&mut self, node: &Node) -> Vec<Group> {
        let mut count = 0;
        let items = self.items(node, "groups");
        items
            .iter()
            .filter_map(|item| self.group(item, &mut count))
            .collect()
    }

    fn group(&mut self, node: &Node, count: &mut usize) -> Option<Group> {
        let map = self.map(node, &GROUP)?;
        let id = map
            .get("group")
            .and_then(|node| self.id(node, Spelling::Name))
            .unwrap_or_default();
        self.mark(
            map.spot_of("group"),
            Mark::Named {
                kind: "the group",
                name: id.clone(),
            },
        );
        let title = map
            .get("title")
            .and_then(|node| self.sentence(node))
            .unwrap_or_default();
        let items = map
            .get("ask")
            .map(|node| self.items(node, "card fields"))
            .unwrap_or_default();
        let mut ask = Vec::new();
        for item in items {
            self.site = Site::Field(*count);
            if let Some(field) = self.field(item, &id) {
                ask.push(field);
                *count += 1;
            }
        }
        self.site = Site::Head;
        Some(Group { id, title, ask })
    }

    /// A field. One whose kind could not be read is kept as a text, so that uses of it are still checked.
    fn field(&mut self, node: &Node, group: &str) -> Option<Field> {
        let map = self.map(node, &FIELD)?;
        let id = map.get("id").and_then(|node| self.id(node, Spelling::Name))?;
        self.mark(
            map.spot_of("id"),
            Mark::Named {
                kind: "the card field",
                name: format!("{group}.{id}"),
            },
        );
        let kind = self.field_kind(&map);
        if kind.is_none() {
            self.mark(map.spot_of("id"), Mark::Unread(format!("{group}.{id}")));
        }
        let target = Target::Typed(kind.as_ref().map_or(Type::Any, type_of));
        Some(Field {
            group: group.to_owned(),
            label: map
                .get("label")
                .and_then(|node| self.text(node))
                .unwrap_or_default(),
            help: map.get("help").and_then(|node| self.text(node)),
            when: self.when(map.get("when")),
            refuse: map
                .get("refuse")
                .map(|node| self.refused(node, &target))
                .unwrap_or_default(),
            personal: map
                .get("personal")
                .and_then(|node| self.yes_no(node))
                .unwrap_or(false),
            example: map.get("example").and_then(|node| {
                let answer = self.scalar(node, "an answer to this field")?.to_owned();
                Some((answer, node.spot.within(self.path)))
            }),
            kind: kind.unwrap_or(FieldKind::Text { most: 1 }),
            place: map.spot_of("id").within(self.path),
            id,
        })
    }

    fn field_kind(&mut self, map: &Map) -> Option<FieldKind> {
        for end in ["from", "to"]
            .iter()
            .filter(|end| map.has(end) && !map.has("quantity"))
        {
            let found = format!("`{end}` without `quantity`");
            let fault = self.found(
                map.spot_of(end),
                "wrong-type",
                found,
                "a range beside `quantity` alone",
            );
            self.report.push(fault);
        }
        match self.one_kind(map, &KINDS)? {
            "text" => self
                .longest(map.get("text")?)
                .map(|most| FieldKind::Text { most }),
            "choice" => self.choices(map.get("choice")?).map(FieldKind::Choice),
            "yes_no" => self.must_be_yes(map.get("yes_no")?).map(|()| FieldKind::YesNo),
            _ => self.asked_quantity(map),
        }
    }

    fn asked_quantity(&mut self, map: &Map) -> Option<FieldKind> {
        let unit = map.get("quantity").and_then(|node| self.unit(node));
        for end in ["from", "to"].iter().filter(|end| !map.has(end)) {
            let found = format!("a quantity without `{end}`");
            let fault = self.found(map.spot, "plausible-range", found, "`from` and `to`");
            self.report.push(fault);
        }
        let from = map.get("from").and_then(|node| self.quantity(node));
        let to = map.get("to").and_then(|node| self.quantity(node));
        let (unit, from, to) = (unit?, from?, to?);
        self.mark(
            map.spot_of("from"),
            Mark::Plausible {
                from,
                to,
                unit: unit.dimension(),
            },
        );
        Some(FieldKind::Quantity { unit, from, to })
    }

    fn refused(&mut self, node: &Node, target: &Target) -> BTreeMap<String, String> {
        let entries = self
            .entries(node, "refused choices, each with its reason")
            .unwrap_or_default();
        let mut refused = BTreeMap::new();
        for (key, reason) in entries {
            self.mark(
                key.spot,
                Mark::Word {
                    word: key.text.clone(),
                    target: target.clone(),
                },
            );
            if let Some(reason) = self.sentence(reason) {
                refused.insert(key.text.clone(), reason);
            }
        }
        refused
    }
}

/// What the answer to a field may be.
pub fn type_of(kind: &FieldKind) -> Type {
    match kind {
        FieldKind::Text { .. } => Type::Words,
        FieldKind::Choice(choices) => Type::Among(choices.iter().map(|(key, _)| key.clone()).collect()),
        FieldKind::Quantity { unit, .. } => Type::Number(unit.dimension()),
        FieldKind::YesNo => Type::yes_no(),
    }
}
