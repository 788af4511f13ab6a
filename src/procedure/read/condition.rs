//! Conditions: `when: { card.fuel.supply: [flare, quick], any: [ {…}, {…} ], not: {…} }`.

use super::Reader;
use crate::content::{Key, Kind, Node};
use crate::diagnostic::{nearest, quoted};
use crate::procedure::draft::Mark;
use crate::procedure::model::Condition;

/// The most answers that one condition may name; the work of comparing conditions grows with their product.
const MOST_ANSWERS: usize = 64;

impl Reader<'_> {
    /// The condition of a part; none means always.
    pub(super) fn when(&mut self, node: Option<&Node>) -> Condition {
        let Some(node) = node else {
            return Condition::Always;
        };
        let answers = answers_in(node);
        if answers > MOST_ANSWERS {
            let expected = format!("at most {MOST_ANSWERS} answers in one condition");
            let fault = self.found(node.spot, "too-large", format!("{answers} answers"), &expected);
            self.report(fault);
            return Condition::Always;
        }
        let condition = self.condition(node, false);
        self.mark(node.spot, Mark::When(condition.clone()));
        condition
    }

    fn condition(&mut self, node: &Node, under_not: bool) -> Condition {
        let entries = self.entries(node, "a condition").unwrap_or_default();
        let mut parts: Vec<Condition> = entries
            .iter()
            .filter_map(|(key, value)| self.part(key, value, under_not))
            .collect();
        match parts.len() {
            1 => parts.remove(0),
            0 => {
                if entries.is_empty() && node.map().is_some() {
                    let fault = self.found(
                        node.spot,
                        "wrong-type",
                        "an empty condition",
                        "at least one answer",
                    );
                    self.report.push(fault);
                }
                Condition::Always
            }
            _ => Condition::All(parts),
        }
    }

    fn part(&mut self, key: &Key, value: &Node, under_not: bool) -> Option<Condition> {
        match key.text.as_str() {
            "any" => {
                let items = self.items(value, "conditions");
                if value.list().is_some_and(<[_]>::is_empty) {
                    let fault = self.found(
                        value.spot,
                        "wrong-type",
                        "an empty list",
                        "the conditions that are meant",
                    );
                    self.report.push(fault);
                }
                let parts: Vec<Condition> =
                    items.iter().map(|item| self.condition(item, under_not)).collect();
                (!parts.is_empty()).then_some(Condition::Any(parts))
            }
            "not" => Some(Condition::Not(Box::new(self.condition(value, true)))),
            _ => self.answer(key, value, under_not),
        }
    }

    fn answer(&mut self, key: &Key, value: &Node, under_not: bool) -> Option<Condition> {
        let parts: Vec<&str> = key.text.split('.').collect();
        let ["card", group, field] = parts.as_slice() else {
            let found = format!("the key {}", quoted(&key.text));
            let fault = self.found(key.spot, "condition-not-card", found, "a field of the job card");
            let first = key.text.split('.').next().unwrap_or_default();
            let near = nearest(first, ["card", "any", "not"]).filter(|near| *near != first);
            let meant = near.map_or(String::new(), |near| format!("did you mean `{near}`? "));
            let why = "a condition is known before the work begins, so it asks the card alone";
            let fault = fault.help(format!("{meant}{why}"));
            return self.fault(fault.choose("", ["card.<group>.<field>", "any", "not"]));
        };
        let one_of = self.answers(value);
        let (group, field) = ((*group).to_owned(), (*field).to_owned());
        let mark = Mark::Answers {
            group: group.clone(),
            field: field.clone(),
            one_of: one_of.clone(),
            under_not,
        };
        self.mark(key.spot, mark);
        (!one_of.is_empty()).then_some(Condition::Answer { group, field, one_of })
    }

    fn answers(&mut self, value: &Node) -> Vec<String> {
        let items = match &value.kind {
            Kind::List(items) => items.as_slice(),
            _ => std::slice::from_ref(value),
        };
        if items.is_empty() {
            let fault = self.found(
                value.spot,
                "wrong-type",
                "an empty list",
                "the answers that are meant",
            );
            self.report.push(fault);
        }
        items
            .iter()
            .filter_map(|item| self.scalar(item, "an answer").map(str::to_owned))
            .collect()
    }
}

/// How many single answers stand in a condition.
fn answers_in(node: &Node) -> usize {
    match &node.kind {
        Kind::Scalar { .. } => 1,
        Kind::List(items) => items.iter().map(answers_in).sum(),
        Kind::Map(entries) => entries.iter().map(|(_, value)| answers_in(value)).sum(),
    }
}
