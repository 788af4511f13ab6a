//! Pictures: a file of the media, or a circuit or a layout that is drawn; and how a circuit is laid out.

use super::word::Spelling;
use super::{Map, Reader};
use crate::content::{Kind, Node};
use crate::procedure::circuit::PartKind;
use crate::procedure::draft::Mark;
use crate::procedure::drawing::{Look, Looks, Picture, Pointed, Seat, Shown, Sign, Towards, View};
use crate::procedure::form::drawing::{DIAGRAM, DRAWING, LOOK, MOST_CELLS};
use crate::procedure::model::Text;
use std::collections::BTreeMap;

/// What a diagram may point at, with the kind of part where only one will do.
type Makes = fn(String) -> Pointed;
const POINTS: [(&str, Makes, Option<PartKind>); 5] = [
    ("red", Pointed::Red, None),
    ("black", Pointed::Black, None),
    ("clamp", Pointed::Clamp, Some(PartKind::Wire)),
    ("highlight", Pointed::Part, None),
    ("at", Pointed::Node, None),
];

impl Reader<'_> {
    /// The name of a file, or what is shown of a circuit or a layout.
    pub(super) fn picture(&mut self, node: &Node) -> Option<Picture> {
        if let Some(entries) = node.map() {
            let of_layout = entries.iter().any(|(key, _)| key.text == "layout");
            return if of_layout {
                self.setup(node).map(Picture::Layout)
            } else {
                self.diagram(node).map(Picture::Circuit)
            };
        }
        let name = self
            .scalar(node, "the name of a picture, or what is shown of a circuit")?
            .to_owned();
        self.mark(node.spot, Mark::Picture(name.clone()));
        Some(Picture::File(name))
    }

    fn diagram(&mut self, node: &Node) -> Option<Shown> {
        let map = self.map(node, &DIAGRAM)?;
        let of = map.get("circuit")?;
        let circuit = self.id(of, Spelling::Slug)?;
        let view = map.get("view").and_then(|node| {
            let view = self.id(node, Spelling::Slug)?;
            Some((node.spot, view))
        });
        let closed = self.parts_shown(&map, "closed", &circuit, Some(PartKind::Switch));
        let out = self.parts_shown(&map, "out", &circuit, None);
        let mut points = Vec::new();
        for (key, makes, kind) in POINTS {
            let names = if makes(String::new()).at_node() {
                self.nodes_shown(&map, key, &circuit)
            } else {
                self.parts_shown(&map, key, &circuit, kind)
            };
            points.extend(names.into_iter().map(makes));
        }
        let shown = Shown {
            circuit,
            view: view.as_ref().map(|(_, view)| view.clone()),
            closed: map.has("closed").then_some(closed),
            out,
            points,
        };
        let at = view.map_or(of.spot, |(at, _)| at);
        self.mark(at, Mark::Draws(shown.clone()));
        Some(shown)
    }

    fn parts_shown(&mut self, map: &Map, key: &str, circuit: &str, only: Option<PartKind>) -> Vec<String> {
        let names = self.names_of_circuit(map.get(key), "parts");
        let named = names.into_iter().map(|(at, part)| {
            self.mark_part(at, circuit, &part, only, false);
            part
        });
        named.collect()
    }

    fn nodes_shown(&mut self, map: &Map, key: &str, circuit: &str) -> Vec<String> {
        let names = self.names_of_circuit(map.get(key), "nodes");
        let named = names.into_iter().map(|(at, node)| {
            self.mark_node(at, circuit, &node, false);
            node
        });
        named.collect()
    }

    /// How a circuit's parts and nodes stand in its diagram.
    pub(super) fn looks(&mut self, node: &Node, circuit: &str) -> Looks {
        let Some(map) = self.map(node, &DRAWING) else {
            return Looks::default();
        };
        Looks {
            parts: self.looks_of(&map, "parts", circuit),
            nodes: self.looks_of(&map, "nodes", circuit),
            views: map.read("views", |node| self.views(node)),
        }
    }

    fn looks_of(&mut self, map: &Map, key: &str, circuit: &str) -> BTreeMap<String, Look> {
        let mut looks = BTreeMap::new();
        let entries = map
            .get(key)
            .and_then(|node| self.entries(node, "names, each with how it is drawn"));
        for (name, node) in entries.unwrap_or_default() {
            let Some(slug) = self.spelled(&name.text, name.spot, Spelling::Slug) else {
                continue;
            };
            if key == "parts" {
                self.mark_part(name.spot, circuit, &slug, None, false);
            } else {
                self.mark_node(name.spot, circuit, &slug, false);
            }
            let look = self.look(node);
            looks.extend(look.map(|look| (slug, look)));
        }
        looks
    }

    fn look(&mut self, node: &Node) -> Option<Look> {
        let map = self.map(node, &LOOK)?;
        let label = map.get("label").and_then(|node| self.sentence(node));
        Some(Look {
            label: label.map(|label| Text::plain(&label)),
            sign: map
                .get("sign")
                .and_then(|node| self.word_of(node, "a sign", &Sign::ALL)),
        })
    }

    pub(super) fn views(&mut self, node: &Node) -> BTreeMap<String, View> {
        let mut views = BTreeMap::new();
        for (name, node) in self.entries(node, "views, by name").unwrap_or_default() {
            let Some(view) = self.spelled(&name.text, name.spot, Spelling::Slug) else {
                continue;
            };
            let mut seats = View::new();
            for (key, node) in self
                .entries(node, "parts, each with its seat")
                .unwrap_or_default()
            {
                let part = self.spelled(&key.text, key.spot, Spelling::Slug);
                if let Some((part, seat)) = part.zip(self.seat(node)) {
                    let (view, part) = (view.clone(), part.clone());
                    self.mark(key.spot, Mark::Seat { view, part });
                    seats.insert(key.text.clone(), seat);
                }
            }
            views.insert(view, seats);
        }
        views
    }

    fn seat(&mut self, node: &Node) -> Option<Seat> {
        const EXPECTED: &str =
            "a column and a row from 1 to 12, and where the second end points, such as `[3, 1, right]`";
        let items = match &node.kind {
            Kind::List(items) => items.as_slice(),
            _ => &[],
        };
        let number = |at: usize| {
            let number = items.get(at)?.scalar()?.parse::<u8>().ok()?;
            (1..=MOST_CELLS).contains(&number).then_some(number)
        };
        let towards = match items.get(2) {
            Some(node) => Some(self.word_of(node, "where the second end points", &Towards::ALL)?),
            None => None,
        };
        if let (Some(column), Some(row), 2..=3) = (number(0), number(1), items.len()) {
            return Some(Seat { column, row, towards });
        }
        let fault = self.found(node.spot, "diagram-place", node.described(), EXPECTED);
        self.fault(fault)
    }

    pub(super) fn word_of<T: Copy>(
        &mut self,
        node: &Node,
        what: &str,
        words: &[(&'static str, T)],
    ) -> Option<T> {
        let known: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
        let word = self.one_of(node, what, &known)?;
        words
            .iter()
            .find(|(known, _)| *known == word)
            .map(|(_, meant)| *meant)
    }
}
