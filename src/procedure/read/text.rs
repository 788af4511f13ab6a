//! Texts with references in braces.

use super::Reader;
use crate::content::Node;
use crate::diagnostic::quoted;
use crate::procedure::model::{Piece, Text};

impl Reader<'_> {
    /// A text; the references in its braces are marked.
    pub(super) fn text(&mut self, node: &Node) -> Option<Text> {
        let whole = self.sentence(node)?;
        let mut pieces = Vec::new();
        let mut rest = whole.as_str();
        while let Some(open) = rest.find(['{', '}']) {
            let (plain, after) = rest.split_at(open);
            let inside = after.strip_prefix('{').and_then(|after| after.split_once('}'));
            let Some((inside, behind)) = inside else {
                let fault = self.found(
                    node.spot,
                    "bad-reference",
                    "a brace without its partner",
                    "`{reference}`",
                );
                return self.fault(fault.help(format!("in {}", quoted(&whole))));
            };
            if !plain.is_empty() {
                pieces.push(Piece::Plain(plain.to_owned()));
            }
            pieces.push(Piece::Show(self.reference_text(inside, node.spot)?));
            rest = behind;
        }
        if !rest.is_empty() {
            pieces.push(Piece::Plain(rest.to_owned()));
        }
        Some(Text(pieces))
    }

    /// A list of texts.
    pub(super) fn texts(&mut self, node: &Node) -> Vec<Text> {
        let items = self.items(node, "sentences");
        items.iter().filter_map(|item| self.text(item)).collect()
    }
}
