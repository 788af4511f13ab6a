//! The guards of a job and its procedures in their order.

use super::Reader;
use super::word::Spelling;
use crate::content::Node;
use crate::procedure::draft::{Mark, Site};
use crate::procedure::form::job::{GUARD, PLAYED};
use crate::procedure::model::{Condition, Guard, ProcedureId};

impl Reader<'_> {
    /// The guards.
    pub(super) fn guards(&mut self, node: &Node) -> Vec<Guard> {
        let mut guards = Vec::new();
        for item in self.items(node, "guards") {
            self.site = Site::Guard(guards.len());
            guards.extend(self.guard(item));
        }
        guards
    }

    fn guard(&mut self, node: &Node) -> Option<Guard> {
        let map = self.map(node, &GUARD)?;
        let act = map.get("act").and_then(|node| self.id(node, Spelling::Slug));
        let after = map.get("after").and_then(|node| self.step_ref(node));
        let because = map.get("because").and_then(|node| self.sentence(node));
        let (act, after, because) = (act?, after?, because?);
        self.mark(map.spot_of("act"), Mark::GuardedAct(act.clone()));
        self.mark(map.spot_of("after"), Mark::GuardAfter(after.clone()));
        Some(Guard {
            act,
            after,
            because,
            place: map.spot_of("after").within(self.path),
        })
    }

    /// The procedures in the order of work.
    pub(super) fn order(&mut self, node: &Node) -> Vec<(ProcedureId, Condition)> {
        let mut order = Vec::new();
        for item in self.items(node, "procedures") {
            self.site = Site::Order(order.len());
            order.extend(self.played(item));
        }
        if order.is_empty() {
            let fault = self.found(
                node.spot,
                "missing-key",
                "no procedures",
                "at least one procedure",
            );
            self.report.push(fault);
        }
        order
    }

    fn played(&mut self, node: &Node) -> Option<(ProcedureId, Condition)> {
        let map = self.map(node, &PLAYED)?;
        let node = map.get("procedure")?;
        let id = self.id(node, Spelling::Slug)?;
        self.mark(
            node.spot,
            Mark::Named {
                kind: "the procedure",
                name: id.clone(),
            },
        );
        self.mark(node.spot, Mark::Plays(ProcedureId(id.clone())));
        Some((ProcedureId(id), self.when(map.get("when"))))
    }
}
