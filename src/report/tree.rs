//! What the parts of the document are to a reader who cannot see the sheet: the tags, in reading order.

use krilla::geom::Rect;
use krilla::tagging::{BBox, Identifier, Node, TagGroup, TagKind, TagTree};

/// A place in the tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place(usize);

enum Child {
    Part(usize),
    Content(Identifier),
}

struct Part {
    tag: TagKind,
    children: Vec<Child>,
}

/// The tree while it grows: the parts first, what is drawn for them later, page by page.
pub struct Tree {
    parts: Vec<Part>,
}

impl Tree {
    /// A tree with its root.
    pub fn new(root: impl Into<TagKind>) -> (Self, Place) {
        let root = Part {
            tag: root.into(),
            children: Vec::new(),
        };
        (Self { parts: vec![root] }, Place(0))
    }

    /// A new part, the last of its parent.
    pub fn add(&mut self, parent: Place, tag: impl Into<TagKind>) -> Place {
        let place = self.parts.len();
        self.parts.push(Part {
            tag: tag.into(),
            children: Vec::new(),
        });
        self.parts[parent.0].children.push(Child::Part(place));
        Place(place)
    }

    /// Something that was drawn for a part.
    pub fn draw(&mut self, place: Place, drawn: Identifier) {
        self.parts[place.0].children.push(Child::Content(drawn));
    }

    /// Where a figure stands.
    pub fn box_of(&mut self, place: Place, page: usize, rect: Rect) {
        if let TagKind::Figure(tag) = &mut self.parts[place.0].tag {
            tag.set_bbox(Some(BBox::new(page, rect)));
        }
    }

    /// The finished tree.
    pub fn finish(mut self) -> TagTree {
        let mut built: Vec<Option<TagGroup>> = self.parts.iter().map(|_| None).collect();
        // Parts are numbered after their parents, so that from the end every child is there before its parent.
        for (place, part) in self.parts.drain(..).enumerate().rev() {
            let mut group = TagGroup::new(part.tag);
            for child in part.children {
                match child {
                    Child::Content(drawn) => group.push(Node::Leaf(drawn)),
                    Child::Part(inner) => {
                        if let Some(inner) = built[inner].take() {
                            group.push(inner);
                        }
                    }
                }
            }
            built[place] = Some(group).filter(|group| !group.children.is_empty());
        }
        let mut tree = TagTree::new();
        if let Some(root) = built.first_mut().and_then(Option::take) {
            tree.push(root);
        }
        tree
    }
}
