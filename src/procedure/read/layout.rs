//! Layouts: the parts with their nodes, the views in which they are drawn, and what a step shows of them.

use super::word::Spelling;
use super::{Map, Reader};
use crate::content::{Key, Node};
use crate::diagnostic::Report;
use crate::procedure::draft::{LayoutDraft, Mark, Site};
use crate::procedure::drawing::Pointed;
use crate::procedure::form::layout::{FITTING, LAYOUT, SETUP};
use crate::procedure::layout::{Fitting, FittingKind, Layout, Setup};

const ENDS: [&str; 5] = ["from", "to", "branch", "spare", "back"];

/// Reads a layout from its file's tree; `slug` is the file's name without its ending.
pub fn layout(path: &str, slug: &str, root: &Node, report: &mut Report) -> Option<LayoutDraft> {
    let mut reader = Reader::new(path, report);
    let map = reader.map(root, &LAYOUT)?;
    reader.slug(&map, "layout");
    let parts = map.read("parts", |node| reader.fittings(node));
    reader.site = Site::Head;
    let model = Layout {
        id: slug.to_owned(),
        title: map
            .read("title", |node| reader.sentence(node))
            .unwrap_or_default(),
        revision: reader.revision(&map),
        parts,
        views: map.read("views", |node| reader.views(node)),
        place: map.spot_of("layout").within(path),
    };
    Some(LayoutDraft {
        path: path.to_owned(),
        model,
        marks: reader.marks,
    })
}

impl Reader<'_> {
    fn fittings(&mut self, node: &Node) -> Vec<Fitting> {
        let mut parts = Vec::new();
        for (key, node) in self.entries(node, "parts, by name").unwrap_or_default() {
            self.site = Site::Part(parts.len());
            parts.extend(self.fitting(key, node));
        }
        parts
    }

    fn fitting(&mut self, key: &Key, node: &Node) -> Option<Fitting> {
        let name = self.spelled(&key.text, key.spot, Spelling::Slug)?;
        let map = self.map(node, &FITTING)?;
        let of = map.get("kind")?;
        let kind = self.word_of(of, "a kind of part", &FittingKind::ALL)?;
        let joins = self.ends_of_fitting(&map, kind);
        let label = map.get("label").and_then(|node| self.text(node));
        let shows = map.get("shows").and_then(|node| {
            if kind.has_room() {
                return self.reference(node);
            }
            let found = format!("`shows` of a `{}`", kind.word());
            let fault = self.found(
                node.spot,
                "part-ends",
                found,
                "`label`, which may show the value too",
            );
            self.fault(fault)
        });
        let test = map
            .get("test")
            .and_then(|node| self.one_of(node, "`yes`", &["yes"]));
        Some(Fitting {
            test: test.is_some(),
            when: self.when(map.get("when")),
            place: key.spot.within(self.path),
            name,
            kind,
            joins,
            label,
            shows,
        })
    }

    /// The nodes at the ends; a kind has its own, all of which are needed but the loose ones.
    fn ends_of_fitting(&mut self, map: &Map, kind: FittingKind) -> Vec<(&'static str, String)> {
        let (ends, loose) = kind.ends();
        let mut joins = Vec::new();
        for end in ends.iter().chain(loose) {
            let Some(node) = map.get(end) else {
                if ends.contains(end) {
                    let found = format!("a `{}` without `{end}`", kind.word());
                    let fault = self.found(map.spot, "part-ends", found, "every end of its kind");
                    self.report(fault.help(format!("needed here: {}", ends.join(", "))));
                }
                continue;
            };
            let joined = self.id(node, Spelling::Slug);
            joins.extend(joined.map(|joined| (*end, joined)));
        }
        for end in ENDS {
            if let Some(node) = map
                .get(end)
                .filter(|_| !ends.contains(&end) && !loose.contains(&end))
            {
                let found = format!("`{end}` of a `{}`", kind.word());
                let fault = self.found(node.spot, "part-ends", found, "an end that this kind of part has");
                self.report(fault.choose(end, ends.iter().chain(loose).copied()));
            }
        }
        for (end, joined) in &joins {
            let joined = joined.clone();
            self.mark(map.spot_of(end), Mark::Joins(joined));
        }
        joins
    }

    /// What a step shows of a layout.
    pub(super) fn setup(&mut self, node: &Node) -> Option<Setup> {
        let map = self.map(node, &SETUP)?;
        let of = map.get("layout")?;
        let layout = self.id(of, Spelling::Slug)?;
        let view = map.get("view").and_then(|node| {
            let view = self.id(node, Spelling::Slug)?;
            Some((node.spot, view))
        });
        let open = self.fittings_shown(&map, "open", &layout);
        let out = self.fittings_shown(&map, "out", &layout);
        let pressure = self.fittings_shown(&map, "pressure", &layout);
        let points = self.fittings_shown(&map, "highlight", &layout);
        let setup = Setup {
            layout,
            view: view.as_ref().map(|(_, view)| view.clone()),
            open,
            out,
            pressure: map.has("pressure").then_some(pressure),
            points: points.into_iter().map(Pointed::Part).collect(),
        };
        let at = view.map_or(of.spot, |(at, _)| at);
        self.mark(at, Mark::Lays(setup.clone()));
        Some(setup)
    }

    fn fittings_shown(&mut self, map: &Map, key: &str, layout: &str) -> Vec<String> {
        let names = self.names_of_circuit(map.get(key), "parts");
        let named = names.into_iter().map(|(at, part)| {
            let mark = Mark::LayoutPart {
                layout: layout.to_owned(),
                part: part.clone(),
                opens: key == "open",
            };
            self.mark(at, mark);
            part
        });
        named.collect()
    }
}
