//! Procedures.

use super::word::Spelling;
use super::{Map, Reader};
use crate::content::Node;
use crate::diagnostic::Report;
use crate::procedure::draft::{Mark, ProcedureDraft, Site};
use crate::procedure::form::procedure::{BEFORE, PROCEDURE};
use crate::procedure::model::{Before, Procedure, ProcedureId};

/// Reads a procedure from its file's tree; `slug` is the file's name without its ending.
pub fn procedure(path: &str, slug: &str, root: &Node, report: &mut Report) -> Option<ProcedureDraft> {
    let mut reader = Reader::new(path, report);
    let id = ProcedureId(slug.to_owned());
    reader.here = Some(id.clone());
    let map = reader.map(root, &PROCEDURE)?;
    reader.slug(&map, "procedure");
    let model = Procedure {
        title: map
            .get("title")
            .and_then(|node| reader.sentence(node))
            .unwrap_or_default(),
        revision: reader.revision(&map),
        before: map
            .get("before")
            .map(|node| reader.before(node))
            .unwrap_or_default(),
        steps: map
            .get("steps")
            .map(|node| reader.steps(node, &id))
            .unwrap_or_default(),
        close_out: map
            .get("close_out")
            .map(|node| reader.close_out(node))
            .unwrap_or_default(),
        place: root.spot.within(path),
        id,
    };
    Some(ProcedureDraft {
        path: path.to_owned(),
        model,
        marks: reader.marks,
    })
}

impl Reader<'_> {
    /// The slug that a file gives itself.
    pub(super) fn slug(&mut self, map: &Map, key: &str) {
        let Some(node) = map.get(key) else { return };
        if let Some(slug) = self.id(node, Spelling::Slug) {
            self.mark(node.spot, Mark::Slug(slug));
        }
    }

    /// The revision, and a mark of it as it was written.
    pub(super) fn revision(&mut self, map: &Map) -> u32 {
        let Some(node) = map.get("revision") else { return 0 };
        let Some(text) = self.scalar(node, "a revision").map(str::to_owned) else {
            return 0;
        };
        let revision = text.parse().unwrap_or(0);
        self.mark(node.spot, Mark::Revision(text));
        revision
    }

    fn before(&mut self, node: &Node) -> Before {
        self.site = Site::Before;
        let Some(map) = self.map(node, &BEFORE) else {
            return Before::default();
        };
        Before {
            conditions: map
                .get("conditions")
                .map(|node| self.texts(node))
                .unwrap_or_default(),
            people: map.get("people").map(|node| self.texts(node)).unwrap_or_default(),
            tools: self.tools_of(&map),
            hazards: self.hazards_of(&map),
        }
    }

    fn close_out(&mut self, node: &Node) -> Vec<crate::procedure::model::Text> {
        self.site = Site::CloseOut;
        self.texts(node)
    }
}
