//! Why a calculator gives no figure.
use super::{Note, Range};
use crate::quantity::{Dimension, QuantityError};
use crate::say;
use crate::table::TableError;
use crate::words::Words;
use std::fmt;

/// What was found and what is allowed, for an apprentice or an author.
#[derive(Clone, PartialEq, Debug)]
pub enum CalcError {
    UnknownCalculator {
        found: String,
        legal: Vec<&'static str>,
    },
    UnknownInput {
        calculator: &'static str,
        found: String,
        legal: Vec<&'static str>,
    },
    MissingInput {
        calculator: &'static str,
        input: &'static str,
        about: &'static str,
        /// The others that are missing too.
        also: Vec<&'static str>,
    },
    NotAQuantity {
        input: &'static str,
        source: QuantityError,
    },
    OutOfRange {
        input: &'static str,
        found: String,
        range: Range,
    },
    NotAChoice {
        input: &'static str,
        found: String,
        expected: Expected,
    },
    /// Inputs that are each in range, but not with one another.
    Refused {
        input: &'static str,
        found: String,
        because: Note,
    },
    NotFinite {
        calculator: &'static str,
        output: &'static str,
    },
    Table(TableError),
}

/// What an input takes that was given something else.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Expected {
    OneOf(&'static [&'static str]),
    UnitSymbol,
    AnyQuantity,
    /// A quantity of one of these dimensions.
    Measured(Vec<Dimension>),
}

impl Expected {
    fn say(&self, words: &Words) -> String {
        match self {
            Self::OneOf(options) => say!(words, "one of {words}", words = options.join(", ")),
            Self::UnitSymbol => say!(words, "the symbol of a unit, such as bar, psi, mm or °C"),
            Self::AnyQuantity => say!(words, "a quantity with its unit"),
            Self::Measured(dimensions) => {
                let each = dimensions.iter().map(|dimension| dimension.with_units_in(words));
                each.collect::<Vec<_>>().join(words.say(", or "))
            }
        }
    }
}

impl CalcError {
    /// The sentence in a language. Inputs are named as authors write them.
    #[must_use]
    pub fn say(&self, words: &Words) -> String {
        match self {
            Self::UnknownCalculator { found, legal } => say!(
                words,
                "there is no calculator `{found}`; there are {legal}",
                found = found,
                legal = legal.join(", ")
            ),
            Self::UnknownInput {
                calculator,
                found,
                legal,
            } => say!(
                words,
                "`{calculator}` has no input `{found}`; it has {legal}",
                calculator = calculator,
                found = found,
                legal = legal.join(", ")
            ),
            Self::MissingInput {
                calculator,
                input,
                about,
                also,
            } => {
                let about = words.say(about);
                let needs = say!(
                    words,
                    "`{calculator}` needs `{input}`: {about}",
                    calculator = calculator,
                    input = input,
                    about = about
                );
                needs + &and_also(also, words)
            }
            Self::NotAQuantity { input, source } => format!("`{input}`: {}", source.say(words)),
            Self::NotFinite { calculator, output } => say!(
                words,
                "`{calculator}` gives no finite `{output}` for these inputs",
                calculator = calculator,
                output = output
            ),
            Self::Table(error) => table(error, words),
            _ => self.say_of_value(words),
        }
    }

    /// What is wrong with one value.
    fn say_of_value(&self, words: &Words) -> String {
        match self {
            Self::OutOfRange { input, found, range } => say!(
                words,
                "`{input}`: found {found}, valid {range} ({range_from})",
                input = input,
                found = found,
                range = range.say(words),
                range_from = words.say(range.range_from)
            ),
            Self::NotAChoice {
                input,
                found,
                expected,
            } => say!(
                words,
                "`{input}`: found `{found}`, expected {expected}",
                input = input,
                found = found,
                expected = expected.say(words)
            ),
            Self::Refused {
                input,
                found,
                because,
            } => say!(
                words,
                "`{input}`: found {found}, {because}",
                input = input,
                found = words.say(found),
                because = because.say(words)
            ),
            _ => String::new(),
        }
    }
}

/// Only a missing row is met by people; the rest is wrong with the content and told to its author.
fn table(error: &TableError, words: &Words) -> String {
    let TableError::NoRow { table, wanted, has } = error else {
        return error.to_string();
    };
    let has = match has.as_slice() {
        [] => words.say("no rows").to_owned(),
        has => has.join(", "),
    };
    say!(
        words,
        "table `{table}` has no row for {wanted}; it has {has}",
        table = table,
        wanted = wanted,
        has = has
    )
}

fn and_also(also: &[&str], words: &Words) -> String {
    match also {
        [] => String::new(),
        names => say!(words, "; and `{names}`", names = names.join("`, `")),
    }
}

impl fmt::Display for CalcError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.say(&Words::english()))
    }
}

impl std::error::Error for CalcError {}

impl From<TableError> for CalcError {
    fn from(error: TableError) -> Self {
        Self::Table(error)
    }
}
