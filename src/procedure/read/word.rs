//! Single words: ids, names, choices, yes and no, counts, units and quantities.

use super::Reader;
use crate::content::{Node, Spot};
use crate::diagnostic::{nearest, quoted};
use crate::procedure::draft::Mark;
use crate::quantity::{Quantity, QuantityError, Unit};

/// How an id is spelled.
#[derive(Clone, Copy)]
pub enum Spelling {
    /// `fuel-hose`
    Slug,
    /// `rail_idle`
    Name,
    /// `R9`, `manifold-referenced`, `1/8`
    Choice,
}

impl Spelling {
    pub(super) fn allows(self, text: &str) -> bool {
        let letter = |c: char| match self {
            Self::Slug => c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-',
            Self::Name => c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_',
            Self::Choice => c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '/'),
        };
        let starts = match self {
            Self::Choice => text.starts_with(|c: char| c.is_ascii_alphanumeric()),
            Self::Slug | Self::Name => text.starts_with(|c: char| c.is_ascii_lowercase()),
        };
        starts && text.len() <= 64 && text.chars().all(letter)
    }

    /// The same as a regular expression, for schemas.
    pub(in crate::procedure) fn pattern(self) -> &'static str {
        match self {
            Self::Slug => "^[a-z][a-z0-9-]{0,63}$",
            Self::Name => "^[a-z][a-z0-9_]{0,63}$",
            Self::Choice => "^[A-Za-z0-9][A-Za-z0-9_/-]{0,63}$",
        }
    }

    fn in_words(self) -> &'static str {
        match self {
            Self::Slug => "lower case letters, digits and hyphens, such as `fuel-hose`",
            Self::Name => "lower case letters, digits and underscores, such as `rail_idle`",
            Self::Choice => "letters, digits, hyphens, underscores and slashes",
        }
    }
}

impl Reader<'_> {
    /// The text of a scalar on which something stands.
    pub(in crate::procedure) fn scalar<'n>(&mut self, node: &'n Node, expected: &str) -> Option<&'n str> {
        match node.scalar() {
            Some(text) if !node.is_nothing() && !text.trim().is_empty() => Some(text.trim()),
            Some(_) => {
                let fault = self.found(node.spot, "wrong-type", "nothing", expected);
                self.fault(fault)
            }
            None => {
                let fault = self.found(node.spot, "wrong-type", node.described(), expected);
                self.fault(fault)
            }
        }
    }

    /// A sentence or a title, its lines joined by single spaces.
    pub(in crate::procedure) fn sentence(&mut self, node: &Node) -> Option<String> {
        let text = self.scalar(node, "a text")?;
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        self.mark(node.spot, Mark::Says(text.clone()));
        Some(text)
    }

    /// A list of sentences; a single sentence is no list.
    pub(super) fn sentences(&mut self, node: &Node) -> Vec<String> {
        let items = self.items(node, "sentences");
        items.iter().filter_map(|item| self.sentence(item)).collect()
    }

    /// An id that stands as a value.
    pub(in crate::procedure) fn id(&mut self, node: &Node, spelling: Spelling) -> Option<String> {
        let text = self.scalar(node, "an id")?;
        self.spelled(text, node.spot, spelling)
    }

    /// An id, wherever it stands.
    pub(super) fn spelled(&mut self, text: &str, at: Spot, spelling: Spelling) -> Option<String> {
        if spelling.allows(text) {
            return Some(text.to_owned());
        }
        let fault = self.found(at, "id-spelling", quoted(text), spelling.in_words());
        self.fault(fault)
    }

    /// One of some words.
    pub(super) fn one_of<'w>(&mut self, node: &Node, what: &str, words: &[&'w str]) -> Option<&'w str> {
        let text = self.scalar(node, what)?;
        let found = words.iter().copied().find(|word| *word == text);
        found.or_else(|| {
            let fault = self.found(node.spot, "unknown-choice", quoted(text), what);
            self.fault(fault.choose(text, words.iter().copied()))
        })
    }

    /// `yes` or `no`, and nothing that YAML might take for them.
    pub(super) fn yes_no(&mut self, node: &Node) -> Option<bool> {
        Some(self.one_of(node, "yes or no", &["yes", "no"])? == "yes")
    }

    /// A whole number within a range.
    pub(super) fn count(
        &mut self,
        node: &Node,
        what: &str,
        range: std::ops::RangeInclusive<u32>,
    ) -> Option<u32> {
        let text = self.scalar(node, what)?;
        let plain = !text.starts_with('0') && text.chars().all(|c| c.is_ascii_digit());
        match text.parse() {
            Ok(count) if plain && range.contains(&count) => Some(count),
            _ => {
                let fault = self.found(node.spot, "wrong-type", quoted(text), what);
                self.fault(fault)
            }
        }
    }

    /// A unit.
    pub(super) fn unit(&mut self, node: &Node) -> Option<Unit> {
        let text = self.scalar(node, "a unit")?;
        Unit::find(text).or_else(|| {
            let fault = self.found(node.spot, "unknown-unit", quoted(text), "the symbol of a unit");
            self.fault(fault.choose(text, Unit::all().map(Unit::symbol)))
        })
    }

    /// A quantity with its unit.
    pub(in crate::procedure) fn quantity(&mut self, node: &Node) -> Option<Quantity> {
        let text = self.scalar(node, "a quantity with its unit")?;
        self.quantity_text(text, node.spot)
    }

    pub(super) fn quantity_text(&mut self, text: &str, at: Spot) -> Option<Quantity> {
        match Quantity::parse(text, None) {
            Ok(quantity) => Some(quantity),
            Err(error) => {
                let (rule, expected) = match &error {
                    QuantityError::NotFinite { .. } => ("not-finite", "a finite number with its unit"),
                    _ if is_not_a_number(text) => ("not-finite", "a finite number with its unit"),
                    QuantityError::UnknownUnit { .. } => ("unknown-unit", "a number and a known unit"),
                    _ => ("wrong-type", "a quantity with its unit, such as `35 psi`"),
                };
                let near = match &error {
                    QuantityError::UnknownUnit { found, .. } => {
                        nearest(found, Unit::all().map(Unit::symbol)).filter(|near| near != found)
                    }
                    _ => None,
                };
                let meant = near.map_or(String::new(), |near| format!("did you mean `{near}`? "));
                let fault = self.found(at, rule, quoted(text), expected);
                self.fault(fault.help(format!("{meant}{error}")))
            }
        }
    }
}

/// The words by which YAML and others write a number that is none.
pub(super) fn is_not_a_number(text: &str) -> bool {
    let first = text
        .split_whitespace()
        .next()
        .unwrap_or_default()
        .to_ascii_lowercase();
    let bare = first.trim_start_matches(['+', '-', '.']);
    matches!(bare, "nan" | "inf" | "infinity")
}
