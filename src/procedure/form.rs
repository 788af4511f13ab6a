//! The form of authored content as data: every key of every map, what it holds and what it means.
//!
//! Readers take the keys from here, and so do the JSON Schemas ([`super::schema`]); neither knows a key by itself.

pub mod band;
pub mod circuit;
pub mod drawing;
pub mod job;
pub mod layout;
pub mod procedure;
pub mod register;
pub mod shared;
pub mod step;

/// The legal keys of one kind of map.
pub struct Keys {
    /// With its article, to be read after "a key of".
    pub of: &'static str,
    /// In their order.
    pub entries: &'static [Entry],
    /// Whether the order must be kept.
    pub ordered: bool,
    /// Keys of which exactly one stands in the map, in each group.
    pub exactly_one: &'static [&'static [&'static str]],
    /// Keys of which at least one stands in the map.
    pub at_least_one: &'static [&'static str],
}

/// One key.
pub struct Entry {
    pub name: &'static str,
    pub needed: bool,
    pub holds: Shape,
    /// What it means, for the author; begins with a capital letter and ends with a full stop.
    pub about: &'static str,
}

/// What a key holds.
#[derive(Clone, Copy)]
pub enum Shape {
    /// An id that files, steps and shared entries bear: `fuel-hose`.
    Slug,
    /// The name of a reading, a figure or a card field: `rail_idle`.
    Name,
    /// Words, read as they stand.
    Sentence,
    /// Words that may show values in braces.
    Text,
    Revision,
    /// A whole number from 1 to this.
    Count(u32),
    YesNo,
    /// `yes`, or no such key.
    Yes,
    Quantity,
    Unit,
    /// A positive number without a unit.
    Factor,
    /// What an instrument measures.
    Dimension,
    Reference,
    /// A quantity, a reference, or a reference shifted once.
    Amount,
    /// An amount or a list of them.
    Amounts,
    /// `yes`, `no`, a choice or a reference.
    Word,
    /// `step` or `procedure.step`.
    StepRef,
    /// `everything-so-far`, or a list of steps.
    Covers,
    Condition,
    /// The inputs of a calculator.
    Inputs,
    /// The id of a calculator.
    Calculator,
    /// One node, or a list of two.
    Nodes,
    /// A quantity, or the name of a given.
    PartFigure,
    /// A quantity, or a map of an uncertainty.
    Uncertainty,
    /// The name of a file, or a map of what is shown of a circuit or a layout.
    Picture,
    /// A column and a row, and where the second end points.
    Seat,
    Date,
    /// Any single value.
    Scalar,
    /// Anything: the reader does not look at it.
    Anything,
    OneOf(&'static [&'static str]),
    Map(&'static Keys),
    /// One of several maps, told apart by their keys.
    AnyMap(&'static [&'static Keys]),
    /// A list; whether it must hold something.
    List(&'static Shape, bool),
    /// A map whose keys the author names; at least so many.
    Named(Naming, &'static Shape, usize),
}

/// How keys are spelled that the author names.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Naming {
    Slug,
    Name,
    Choice,
    Any,
}

impl Keys {
    /// The names of all keys, in their order.
    pub fn names(&self) -> impl Iterator<Item = &'static str> + use<> {
        self.entries.iter().map(|entry| entry.name)
    }

    /// The names of the keys that must be there.
    pub fn needed(&self) -> impl Iterator<Item = &'static str> + use<> {
        let needed = self.entries.iter().filter(|entry| entry.needed);
        needed.map(|entry| entry.name)
    }
}

/// Keys in any order.
pub const fn keys(of: &'static str, entries: &'static [Entry]) -> Keys {
    Keys {
        of,
        entries,
        ordered: false,
        exactly_one: &[],
        at_least_one: &[],
    }
}

/// Keys whose order is kept.
pub const fn ordered(of: &'static str, entries: &'static [Entry]) -> Keys {
    Keys {
        ordered: true,
        ..keys(of, entries)
    }
}

/// A key that must be there.
pub const fn must(name: &'static str, holds: Shape, about: &'static str) -> Entry {
    Entry {
        name,
        needed: true,
        holds,
        about,
    }
}

/// A key that may be left out.
pub const fn may(name: &'static str, holds: Shape, about: &'static str) -> Entry {
    Entry {
        name,
        needed: false,
        holds,
        about,
    }
}

/// A list of ids.
pub const SLUGS: Shape = Shape::List(&Shape::Slug, false);
/// A list of texts.
pub const TEXTS: Shape = Shape::List(&Shape::Text, false);
/// A list of steps.
pub const STEPS: Shape = Shape::List(&Shape::StepRef, false);

#[cfg(test)]
mod tests {
    use super::*;

    /// Every map that content has.
    pub fn all() -> Vec<&'static Keys> {
        let mut all = vec![
            &procedure::PROCEDURE,
            &job::JOB,
            &circuit::CIRCUIT,
            &layout::LAYOUT,
            &shared::HAZARDS,
            &shared::TOOLS,
            &shared::INSTRUMENTS,
            &shared::GLOSSARY,
            &shared::TABLE,
            &register::REGISTER,
        ];
        let mut at = 0;
        while let Some(keys) = all.get(at).copied() {
            for entry in keys.entries {
                for inner in inside(entry.holds) {
                    if !all.iter().any(|known| std::ptr::eq(*known, inner)) {
                        all.push(inner);
                    }
                }
            }
            at += 1;
        }
        all
    }

    fn inside(shape: Shape) -> Vec<&'static Keys> {
        match shape {
            Shape::Map(keys) => vec![keys],
            Shape::AnyMap(all) => all.to_vec(),
            Shape::List(of, _) | Shape::Named(_, of, _) => inside(*of),
            Shape::Picture => vec![&drawing::DIAGRAM, &layout::SETUP],
            _ => Vec::new(),
        }
    }

    #[test]
    fn every_key_is_told_once_and_in_a_sentence() {
        let all = all();
        assert!(all.len() > 20, "{}", all.len());
        for keys in all {
            for (at, entry) in keys.entries.iter().enumerate() {
                let told = entry.about.ends_with('.') && entry.about.starts_with(char::is_uppercase);
                assert!(told, "{} of {}: {}", entry.name, keys.of, entry.about);
                assert_eq!(keys.names().position(|name| name == entry.name), Some(at));
            }
            for group in keys.exactly_one.iter().copied().chain([keys.at_least_one]) {
                for name in group {
                    assert!(keys.names().any(|known| known == *name), "{name} of {}", keys.of);
                }
            }
        }
    }
}
